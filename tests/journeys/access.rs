//! Every page for everyone: no violation by axe-core, light and dark, on a phone and on a desk, with 320 px as the narrowest.

use std::path::Path;

use serde_json::Value;

use solderlast_tests::bench::{demo, name, seeded};
use solderlast_tests::browser::{Browser, Server};

const RULES: &str = "return axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})
    .then(found => found.violations.map(v => v.id + ': ' + v.help + ' at ' + v.nodes.map(n => n.target.join(' ')).slice(0, 4).join(', ')));";

/// Every page, with the words it must have come to before it is looked at.
pub(super) fn pages() -> Vec<(String, &'static str)> {
    let mut pages = vec![
        ("#/bench".to_owned(), "Bench"),
        ("#/drawer".to_owned(), "Drawer"),
        (format!("#/pickup/{}", name("pickup")), "Paper crane"),
        ("#/pickup/new".to_owned(), "pickup"),
        (format!("#/leads/{}", name("pickup")), "Lead 1"),
        ("#/meter".to_owned(), "Ohms ranges"),
        ("#/guitars".to_owned(), "Guitars"),
        (format!("#/guitar/{}", name("guitar")), "Kitchen guitar"),
        (format!("#/history/pickup/{}", name("pickup")), "Readings over time"),
        (format!("#/history/guitar/{}", name("guitar")), "The record"),
        ("#/rigs".to_owned(), "Rigs"),
        (format!("#/rig/{}", name("rig")), "Shelf rig"),
        ("#/logbook".to_owned(), "Logbook"),
        (format!("#/past/{}", name("audition")), "Kitchen guitar"),
        ("#/compare".to_owned(), "Pick two to four"),
        (format!("#/compare/{}", solderlast_tests::bench::COMPARED.join(",")), "What was not the same"),
        (format!("#/decide/{}", solderlast_tests::bench::DECIDED), "What do you want"),
        ("#/settings".to_owned(), "Settings"),
        ("#/carry".to_owned(), "The bundle would hold"),
        ("#/safety".to_owned(), "Never open an amplifier"),
        (format!("#/iron/{}", name("audition")), "First the whole list"),
    ];
    pages.push((format!("#/fit/new/{}", name("audition")), "At which place will it live"));
    for (step, words) in [
        ("as_it_was", "Photos of the wiring"),
        ("plan", "How is it to be wired"),
        ("way_round", "I have looked at this"),
        ("phase", "Phase and hum"),
        ("hookup", "Joints"),
        ("room", "Opening and depth"),
        ("jack", "clips on tip and sleeve"),
        ("parts", "safety glasses"),
        ("iron", "First the whole list"),
        ("solder", "to jump by"),
        ("proof", "Taps"),
        ("listen", "sound now?"),
        ("done", "What changes with it"),
    ] {
        pages.push((format!("#/fit/{}/{step}", name("fit")), words));
    }
    for (step, name) in [
        ("choose", "Choose"),
        ("which_way", "Lying like this"),
        ("leads", "Other lead"),
        ("meter", "Meter"),
        ("seat", "Seat the rig"),
        ("gaps", "Gap at the bass side"),
        ("sound_up", "Amplifier and its settings"),
        ("listen", "String balance"),
        ("take_down", "Look at the finish in light from the side"),
    ] {
        pages.push((format!("#/audition/{}/{step}", solderlast_tests::bench::name("audition")), name));
    }
    pages
}

/// Parts that are fetched when they are opened: how the address of their page begins and ends, and words they must have come
/// to.
const FOLDED_AWAY: [(&str, &str, &str); 5] = [
    ("#/audition/", "/choose", "The first harmonic it can't hear"),
    ("#/audition/", "/gaps", "Output against gap"),
    ("#/audition/", "/gaps", "Both outer strings"),
    ("#/audition/", "/listen", "Quick rating"),
    ("#/logbook", "", "Holds passed"),
];

/// Lets every bar that keeps to the bottom of the screen lie where it stands in the page.
const AT_REST: &str = "for (const element of document.body.querySelectorAll('*')) \
                       if (getComputedStyle(element).position === 'sticky') element.style.position = 'static'";

async fn look_at_all(width: u32, height: u32, touch: bool, dark: bool) {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    demo(log.path());
    let server = Server::start(log.path());
    let axe =
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../ui/node_modules/axe-core/axe.min.js"))
            .expect("axe-core is there: .ci/install installs it");
    let browser = Browser::chromium(width, height, touch, dark).await;
    browser.goto(&server.address).await;
    let mut troubles = Vec::new();
    for (route, words) in pages() {
        browser.route(&route).await;
        browser.reads(words).await;
        // What is folded away is looked at too, and fetched where it has to be.
        browser.run("document.querySelectorAll('details').forEach(one => { one.open = true; })").await;
        tokio::time::sleep(std::time::Duration::from_millis(250)).await;
        for (begins, ends, words) in FOLDED_AWAY {
            if route.starts_with(begins) && route.ends_with(ends) {
                browser.reads(words).await;
            }
        }
        // What was folded away in there as well.
        browser.run("document.querySelectorAll('details').forEach(one => { one.open = true; })").await;
        // Fades must have come to an end, or a colour is measured half-way.
        browser.run("document.getAnimations().forEach(a => { try { a.finish(); } catch { a.cancel(); } })").await;
        // What a bar at the bottom covers just now can be scrolled out from under it, so it is no small target.
        browser.run(AT_REST).await;
        browser.run(&axe).await;
        let found = browser.run(RULES).await;
        for violation in found.as_array().into_iter().flatten().filter_map(Value::as_str) {
            troubles.push(format!("{route}: {violation}"));
        }
        let wide =
            browser.run("return document.documentElement.scrollWidth > document.documentElement.clientWidth + 1").await;
        if wide == Value::Bool(true) {
            troubles.push(format!("{route}: wider than the screen"));
        }
        if let Some(folder) = std::env::var_os("SOLDERLAST_PICTURES")
            && let Ok(picture) = browser.client.screenshot().await
        {
            let file = route.replace(['#', '/'], "-");
            let shade = if dark { "dark" } else { "light" };
            let _ = std::fs::write(Path::new(&folder).join(format!("{width}-{shade}{file}.png")), picture);
        }
    }
    browser.close().await;
    assert!(troubles.is_empty(), "{}", troubles.join("\n"));
}

#[tokio::test]
async fn on_a_phone_in_the_light() {
    look_at_all(390, 844, true, false).await;
}

#[tokio::test]
async fn on_a_phone_in_the_dark() {
    look_at_all(390, 844, true, true).await;
}

#[tokio::test]
async fn on_a_desk_in_the_light() {
    look_at_all(1280, 900, false, false).await;
}

#[tokio::test]
async fn on_a_desk_in_the_dark() {
    look_at_all(1280, 900, false, true).await;
}

#[tokio::test]
async fn on_the_narrowest_phone() {
    look_at_all(320, 640, true, false).await;
}
