//! Every page for everyone: no violation by axe-core, light and dark, on a phone and on a desk, with 320 px as the narrowest.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::Value;
use solderlast_core::record::install::InstallStep;

use solderlast_tests::bench::{demo, name, recorded, seeded};
use solderlast_tests::browser::{Browser, Server};

const RULES: &str = "return axe.run(document, {runOnly: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice']})
    .then(found => found.violations.map(v => v.id + ': ' + v.help + ' at ' + v.nodes.map(n => n.target.join(' ')).slice(0, 4).join(', ')));";

/// Every page, with the words it must have come to before it is looked at; or only those whose address holds what
/// `SOLDERLAST_PAGES` says.
pub(super) fn pages() -> Vec<(String, &'static str)> {
    let only = std::env::var("SOLDERLAST_PAGES").unwrap_or_default();
    all_pages().into_iter().filter(|(address, _)| only.split(',').any(|part| address.contains(part))).collect()
}

fn all_pages() -> Vec<(String, &'static str)> {
    let mut pages = vec![
        ("#/bench".to_owned(), "Bench"),
        ("#/drawer".to_owned(), "Drawer"),
        (format!("#/pickup/{}", name("pickup")), "Paper crane"),
        ("#/pickup/new".to_owned(), "A pickup for the bench"),
        (format!("#/pickup/{}/edit", name("pickup")), "The record"),
        (format!("#/leads/{}", name("pickup")), "Lead 1"),
        (format!("#/leads/{}/fit.{}.phase", name("pickup"), name("fit")), "Phase and hum"),
        ("#/meter".to_owned(), "Ohms ranges"),
        (format!("#/coils/{}", name("pickup")), "Sweep a coil"),
        ("#/guitars".to_owned(), "Guitars"),
        (format!("#/guitar/{}", name("guitar")), "Kitchen guitar"),
        ("#/guitar/new".to_owned(), "A guitar for the bench"),
        (format!("#/guitar/{}/edit", name("guitar")), "The record"),
        (format!("#/history/pickup/{}", name("pickup")), "Readings over time"),
        (format!("#/history/guitar/{}", name("guitar")), "The record"),
        ("#/rigs".to_owned(), "Rigs"),
        (format!("#/rig/{}", name("rig")), "Shelf rig"),
        ("#/rig/new".to_owned(), "How the pickup is joined"),
        (format!("#/rig/{}/edit", name("rig")), "The record"),
        ("#/logbook".to_owned(), "Logbook"),
        (format!("#/past/{}", name("audition")), "Kitchen guitar"),
        ("#/compare".to_owned(), "Pick two to four"),
        (format!("#/compare/{}", solderlast_tests::bench::COMPARED.join(",")), "What was not the same"),
        (format!("#/sheets/{},{}", name("fit"), solderlast_tests::bench::INSTALLED), "What differs"),
        (format!("#/decide/{}", solderlast_tests::bench::DECIDED), "What do you want"),
        ("#/settings".to_owned(), "Settings"),
        ("#/carry".to_owned(), "The bundle would hold"),
        (format!("#/carry/{}", name("audition")), "The bundle would hold"),
        ("#/safety".to_owned(), "Never open an amplifier"),
        (format!("#/iron/{}", name("audition")), "First the whole list"),
        ("#/hear".to_owned(), "Choose two to four"),
        (format!("#/hear/{}", solderlast_tests::bench::TAKES.join(",")), "What differs"),
        (format!("#/plan-blind/{}", solderlast_tests::bench::TAKES.join(",")), "What is asked"),
        (format!("#/hear/-/{}", solderlast_tests::bench::COMPARED.join(",")), "newest take of each audition"),
        (
            format!(
                "#/hear/{}/{}",
                solderlast_tests::bench::TAKES.join(","),
                solderlast_tests::bench::COMPARED.join(",")
            ),
            "What differs",
        ),
        (
            format!(
                "#/plan-blind/{}/{}",
                solderlast_tests::bench::TAKES.join(","),
                solderlast_tests::bench::COMPARED.join(",")
            ),
            "What is asked",
        ),
        (format!("#/blind/{}", solderlast_tests::bench::BLIND), "Which is the odd one"),
        ("#/nowhere".to_owned(), "There is no such page"),
    ];
    pages.push((format!("#/fit/new/{}", name("audition")), "At which place will it live"));
    pages.push((format!("#/fit/{}", name("fit")), "Photos of the wiring"));
    for (step, words) in [
        ("as_it_was", "Photos of the wiring"),
        ("plan", "How is it to be wired"),
        ("way_round", "I have looked at this"),
        ("phase", "Phase and hum"),
        ("hookup", "Joints"),
        ("room", "Opening and depth"),
        ("jack", "clips on tip and sleeve"),
        ("parts", "safety glasses"),
        ("sound", "Amplifier’s input"),
        ("iron", "First the whole list"),
        ("solder", "to jump by"),
        ("proof", "Taps"),
        ("listen", "once the strings are on"),
        ("done", "What changes with it"),
    ] {
        pages.push((format!("#/fit/{}/{step}", name("fit")), words));
    }
    pages.push((format!("#/audition/{}", name("audition")), "Sound up"));
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

/// The kinds of pages that the pages' router knows, as beginnings of their addresses: `*` stands for a name.
fn kinds_of_pages() -> Vec<String> {
    let router = std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../ui/src/routes.svelte.ts"))
        .expect("the pages' router");
    let words = |text: &str| -> Vec<String> { text.split('\'').skip(1).step_by(2).map(str::to_owned).collect() };
    let steps = router.split("STEPS: readonly Step[] = [").nth(1).and_then(|rest| rest.split(']').next());
    let mut kinds = Vec::new();
    let union = router.split("export type Route =").nth(1).and_then(|rest| rest.split("\n\n").next());
    for shape in union.expect("all routes").lines().filter(|line| line.trim_start().starts_with("| {")) {
        let (pages, given) = shape.split_once(';').unwrap_or((shape, ""));
        for page in words(pages) {
            let mut of = |rest: &str| kinds.push(format!("#/{page}{rest}"));
            match given.trim().trim_end_matches([' ', ';', '}']) {
                "" => of(""),
                "id?: string" => ["", "/*"].into_iter().for_each(of),
                "id: string; edit?: true" => ["/new", "/*", "/*/edit"].into_iter().for_each(of),
                "id: string" => of("/*"),
                // With the step that it leads back to.
                "id: string; back?: Back" => ["/*", "/*/*"].into_iter().for_each(of),
                // One sheet alone is no page.
                "ids: readonly string[]" if page == "sheets" => of("/*"),
                "ids: readonly string[]" => ["", "/*"].into_iter().for_each(of),
                // Takes, with the auditions that they were come to from.
                "ids: readonly string[]; of?: readonly string[]" if page == "hear" => {
                    ["", "/*", "/-/*", "/*/*"].into_iter().for_each(of);
                }
                "ids: readonly string[]; of?: readonly string[]" => ["/*", "/*/*"].into_iter().for_each(of),
                "id: string; step: Step | null" => {
                    of("/*");
                    words(steps.expect("the steps")).iter().for_each(|step| of(&format!("/*/{step}")));
                }
                "id: string; step: string | null" => {
                    ["/new/*", "/*"].into_iter().for_each(&mut of);
                    for step in InstallStep::ALL {
                        let named = serde_json::to_value(step).expect("a step has a name");
                        of(&format!("/*/{}", named.as_str().unwrap_or_default()));
                    }
                    // Beside the steps.
                    of("/*/sound");
                }
                of_what if of_what.starts_with("of: ") => {
                    words(of_what).iter().for_each(|thing| of(&format!("/{thing}/*")));
                }
                other => panic!("a page of a new kind, {page} with {other}: say here what its addresses are"),
            }
        }
    }
    kinds
}

/// A page that is in the router and not in the list is looked at by no journey.
#[test]
fn every_page_of_the_router_is_looked_at() {
    let is = |address: &str| {
        let parts = address.split('/');
        parts.map(|part| if part.len() >= 36 { "*" } else { part }).collect::<Vec<_>>().join("/")
    };
    let looked_at: BTreeSet<String> = all_pages().iter().map(|(address, _)| is(address)).collect();
    let there: BTreeSet<String> = kinds_of_pages().into_iter().collect();
    assert!(there.len() > 50, "{there:?}");
    assert_eq!(looked_at, there);
}

/// Parts that are fetched when they are opened: how the address of their page begins and ends, and words they must have come
/// to.
const FOLDED_AWAY: [(&str, &str, &str); 5] = [
    ("#/audition/", "/choose", "what you hear is heard from where it will be"),
    ("#/audition/", "/gaps", "Output against gap"),
    ("#/audition/", "/gaps", "Both outer strings"),
    ("#/audition/", "/listen", "Quick rating"),
    ("#/logbook", "", "Holds passed"),
];

/// Lets nothing fade from here on, or a colour is measured half-way: a button that wakes while axe looks fades too.
const WITHOUT_FADES: &str = "const sheet = new CSSStyleSheet(); \
                             sheet.replaceSync('*, ::before, ::after { transition: none !important; animation: none !important; }'); \
                             document.adoptedStyleSheets = [sheet]";

/// Lets every bar that keeps to the bottom of the screen lie where it stands in the page.
const AT_REST: &str = "for (const element of document.body.querySelectorAll('*')) \
                       if (getComputedStyle(element).position === 'sticky') element.style.position = 'static'";

/// axe-core itself.
pub(super) fn axe() -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../ui/node_modules/axe-core/axe.min.js"))
        .expect("axe-core is there: .ci/install installs it")
}

/// What shuts somebody out of the page that is shown, by its address.
pub(super) async fn troubles_on(browser: &Browser, axe: &str, route: &str) -> Vec<String> {
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
    browser.run(WITHOUT_FADES).await;
    // What a bar at the bottom covers just now can be scrolled out from under it, so it is no small target.
    browser.run(AT_REST).await;
    browser.run(axe).await;
    let found = browser.run(RULES).await;
    let found = found.as_array().into_iter().flatten().filter_map(Value::as_str);
    let mut troubles: Vec<String> = found.map(|violation| format!("{route}: {violation}")).collect();
    let wide =
        browser.run("return document.documentElement.scrollWidth > document.documentElement.clientWidth + 1").await;
    if wide == Value::Bool(true) {
        troubles.push(format!("{route}: wider than the screen"));
    }
    troubles
}

async fn look_at_all(width: u32, height: u32, touch: bool, dark: bool) {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    recorded(log.path());
    demo(log.path());
    let server = Server::start(log.path());
    let axe = axe();
    let browser = Browser::chromium(width, height, touch, dark).await;
    browser.goto(&server.address).await;
    let mut troubles = Vec::new();
    for (route, words) in pages() {
        browser.route(&route).await;
        browser.reads(words).await;
        troubles.extend(troubles_on(&browser, &axe, &route).await);
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
