//! Every page at five widths, in four letter sizes, for both hands, light and dark: nothing lies over anything, no word is broken
//! inside, keys are large enough, and they never move while somebody types. It is measured where the page is laid out, in one
//! browser, without loading a page anew.

use std::time::Duration;

use serde_json::{Value, json};

use solderlast_tests::audition::Pages;
use solderlast_tests::bench::{demo, name, recorded, seeded};
use solderlast_tests::browser::{Browser, Server};

use super::access::pages;

const WIDTHS: [u32; 5] = [320, 360, 390, 768, 1280];
const HEIGHT: u32 = 844;
/// Letter sizes, hands, light and dark.
const SETTINGS: u64 = 4 * 2 * 2;

async fn measure_pages(mine: impl Fn(usize) -> bool) {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    recorded(log.path());
    demo(log.path());
    let server = Server::start(log.path());
    let browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    browser.run(include_str!("measure.js")).await;
    let (mut troubles, mut looks, mut shown) = (Vec::new(), 0, 0);
    for (number, (route, words)) in pages().into_iter().enumerate() {
        if !mine(number) {
            continue;
        }
        shown += 1;
        browser.route(&route).await;
        browser.reads(words).await;
        // What is folded away is fetched, and then opened with what is folded away in it.
        for _ in 0..2 {
            browser.run("measure.lay()").await;
            tokio::time::sleep(Duration::from_millis(150)).await;
        }
        for width in WIDTHS {
            browser.resize(width, HEIGHT).await;
            let found = browser.run("return measure.settings()").await;
            looks += found["looks"].as_u64().unwrap_or_default();
            for trouble in found["troubles"].as_array().into_iter().flatten().filter_map(Value::as_str) {
                troubles.push(format!("{route} at {width} px, {trouble}"));
            }
        }
    }
    browser.close().await;
    assert_eq!(looks, shown * WIDTHS.len() as u64 * SETTINGS);
    assert!(troubles.is_empty(), "{} of {looks} looks:\n{}", troubles.len(), troubles.join("\n"));
}

#[tokio::test]
async fn one_half_of_the_pages_at_every_width_and_letter_size() {
    measure_pages(|number| number % 2 == 0).await;
}

#[tokio::test]
async fn the_other_half_of_the_pages_at_every_width_and_letter_size() {
    measure_pages(|number| number % 2 == 1).await;
}

/// Every key of a pad, with what is said of it as well: what can't be understood, what is asked about, what is refused.
#[tokio::test]
async fn keys_stand_still_while_somebody_types() {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    let mut troubles = Vec::new();
    let audition = name("audition");
    for (route, ready) in [
        (format!("#/audition/{audition}/meter"), "button.again"),
        (format!("#/fit/{}/as_it_was", name("fit")), "[data-position]"),
        (format!("#/fit/{}/proof", name("fit")), "[data-position]"),
    ] {
        pages.browser.route(&route).await;
        pages.browser.find(ready).await;
        if !pages.browser.has(".pad").await {
            pages.browser.tap(ready).await;
        }
        pages.browser.find(".pad").await;
        for (width, text) in [(390, "usual"), (320, "usual"), (320, "largest"), (768, "larger")] {
            pages.browser.resize(width, HEIGHT).await;
            let moved = pages
                .browser
                .wait_for(&format!("({})({})", include_str!("keys.js").trim().trim_end_matches(';'), json!(text)))
                .await;
            for trouble in moved.as_array().into_iter().flatten() {
                troubles.push(format!("{route} at {width} px, {text}: {trouble}"));
            }
            assert!(moved.is_array(), "{moved}");
        }
    }
    pages.browser.close().await;
    assert!(troubles.is_empty(), "{}", troubles.join("\n"));
}

/// How many screens of a phone a step of an audition may take, its cautions read, whatever was done in it; and the act itself, from
/// its first control to its last.
const MOST_SCREENS: f64 = 2.0;
const MOST_OF_THE_ACT: f64 = 1.5;
/// As it comes, with cautions that nobody read yet: they are told in full then.
const MOST_UNREAD: f64 = 2.5;
/// How much of the height bars may take that stay where they are.
const MOST_OF_BARS: f64 = 0.15;

/// One look at a page: its name, its length as it comes and with cautions read, the act itself, and the taps up to then.
struct Look {
    named: &'static str,
    unread: f64,
    read: f64,
    act: f64,
    taps: usize,
}

/// The lengths of pages, as they are come to.
struct Lengths(Vec<Look>);

impl Lengths {
    /// How many screens the page takes, and how many the act.
    async fn screens(pages: &Pages) -> (f64, f64) {
        // What comes a moment later is there too.
        tokio::time::sleep(Duration::from_millis(300)).await;
        let found = pages.browser.run(include_str!("length.js")).await;
        let [whole, act, bars] = [0, 1, 2].map(|at| found[at].as_f64().expect("a length"));
        assert!(bars <= MOST_OF_BARS, "bars take {bars:.2} of the height");
        (whole, act)
    }

    /// Looks at a page as it comes, and again when its cautions are read.
    async fn look(&mut self, pages: &mut Pages, named: &'static str, ready: &str) {
        pages.browser.find(ready).await;
        let (unread, _) = Self::screens(pages).await;
        pages.read_cautions().await;
        let (read, act) = Self::screens(pages).await;
        self.0.push(Look { named, unread, read, act, taps: pages.browser.taps });
    }

    async fn step(&mut self, pages: &mut Pages, step: &'static str) {
        self.look(pages, step, &format!("[data-step={step}]")).await;
    }

    /// Prints what was found, and holds it against the goals.
    fn held(&self, limits: impl Fn(&str) -> (f64, f64, f64)) {
        let mut before = 0;
        for Look { named, unread, read, act, taps } in &self.0 {
            println!("| {named} | {unread:.2} | {read:.2} | {act:.2} | {} |", taps - before);
            before = *taps;
        }
        let long: Vec<String> = self
            .0
            .iter()
            .filter(|one| {
                let (unread, read, act) = limits(one.named);
                one.unread > unread || one.read > read || one.act > act
            })
            .map(|one| format!("{}: {:.2}, read {:.2}, the act {:.2}", one.named, one.unread, one.read, one.act))
            .collect();
        assert!(long.is_empty(), "too long:\n{}", long.join("\n"));
    }
}

#[tokio::test]
async fn the_way_on_stays_in_view_with_the_largest_letters() {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
    let pages = Pages::on_a_phone(log.path()).await;
    for step in ["which_way", "leads", "meter", "seat", "gaps", "listen"] {
        pages.browser.route(&format!("#/audition/{}/{step}", name("audition"))).await;
        pages.browser.find(&format!("[data-step={step}] .next button")).await;
        pages.browser.run("document.documentElement.dataset.text = 'largest'").await;
        let found = pages.browser.run(include_str!("length.js")).await;
        let bars = found[2].as_f64().expect("a length");
        assert!(bars > 0.0 && bars <= MOST_OF_BARS, "{step}: bars that stay take {bars:.2} of the height");
    }
    // The ways to the main pages grow with the letters.
    pages.browser.route("#/settings").await;
    pages.browser.find("nav a[aria-current=page]").await;
    let letters = "document.documentElement.dataset.text = 'largest';
        return Math.min(...[...document.querySelectorAll('body > * > nav a')].map(one => parseFloat(getComputedStyle(one).fontSize)))";
    let letters = pages.browser.run(letters).await.as_f64().expect("a size");
    let bars = pages.browser.run(include_str!("length.js")).await[2].as_f64().expect("a length");
    assert!(letters >= 22.0 && bars <= MOST_OF_BARS, "{letters} px, {bars:.2} of the height");
    pages.browser.close().await;
}

#[tokio::test]
async fn no_step_of_an_audition_takes_more_than_two_screens() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    let mut lengths = Lengths(Vec::new());
    pages.browser.reads("Start an audition").await;
    pages.browser.tap_named("Start an audition").await;
    lengths.look(&mut pages, "choose, nothing chosen", "[data-last]").await;
    pages.choose_radio("Lantern stack").await;
    pages.choose_radio("Wren").await;
    lengths.step(&mut pages, "choose").await;
    pages.browser.tap_named("Begin").await;
    lengths.step(&mut pages, "which_way").await;
    pages.which_way().await;
    lengths.step(&mut pages, "leads").await;
    let block = "return (document.querySelector('[data-step=leads] .picture').getBoundingClientRect().top + scrollY) / innerHeight";
    let block = pages.browser.run(block).await.as_f64().expect("a place");
    assert!(block < 0.6, "the terminals come at {block:.2} of the first screen");
    pages.leads(0).await;
    lengths.step(&mut pages, "meter").await;
    for (mode, reading, shown) in [("parallel", "3.334k", "3.334 kΩ"), ("single", "6.66k", "6.66 kΩ")] {
        pages.measure(mode, reading, shown).await;
    }
    lengths.look(&mut pages, "meter, two readings in", "[data-mode=series]").await;
    pages.measure("series", "13.34k", "13.34 kΩ").await;
    lengths.step(&mut pages, "seat").await;
    pages.finish().await;
    lengths.look(&mut pages, "seat, the finish told", "[data-step=seat]").await;
    let shared =
        "const [one, other] = [...document.querySelectorAll('.next button')].map((button) => button.offsetWidth);
        return Math.abs(one - other) <= 1";
    assert_eq!(pages.browser.run(shared).await, true, "both answers are as wide as each other");
    pages.seat().await;
    lengths.step(&mut pages, "gaps").await;
    pages.type_gaps("4.6", "3.8").await;
    pages.browser.tap_named("Show me the turns").await;
    lengths.look(&mut pages, "gaps, with the turns", "[data-turns] .turns").await;
    pages.browser.tap_named("Keep these gaps").await;
    lengths.step(&mut pages, "sound_up").await;
    pages.order(&solderlast_tests::audition::SOUND_UP).await;
    lengths.step(&mut pages, "listen").await;
    for mode in ["parallel", "single", "series"] {
        pages.browser.tap(&format!("button[data-hear={mode}]")).await;
        pages.browser.tap(&format!("[data-listening={mode}] [data-quality=treble] label:nth-child(3)")).await;
        pages.settle().await;
    }
    lengths.look(&mut pages, "listen, each mode rated", "[data-listening=series]").await;
    pages.browser.tap_named("Take down").await;
    lengths.step(&mut pages, "take_down").await;
    pages.order(&["volume_down", "amp_quiet", "unplugged", "leads_free", "lifted"]).await;
    lengths.look(&mut pages, "take down, the last of it", "[data-item=lifted].done").await;
    pages.order(&["finish_looked"]).await;
    pages.browser.tap_named("Read it over").await;
    lengths.look(&mut pages, "read over", "[data-result]").await;
    pages.browser.close().await;
    lengths.held(|named| {
        // What is only read has no act, and with nothing chosen all that can be chosen is shown.
        let act =
            if ["read over", "choose, nothing chosen"].contains(&named) { f64::INFINITY } else { MOST_OF_THE_ACT };
        (MOST_UNREAD, MOST_SCREENS, act)
    });
}

/// Pages beside an audition: at most so many screens as they come, and with cautions read.
const OTHERS: [(&str, f64, f64); 12] = [
    ("as_it_was", 2.1, 2.1),
    ("plan", 1.9, 1.9),
    ("room", 1.8, 1.8),
    ("jack", 2.1, 2.1),
    ("parts", 2.0, 2.0),
    ("iron", 3.2, 2.0),
    ("the iron, from an audition", 2.7, 1.7),
    ("solder", 1.5, 1.5),
    ("proof", 2.0, 2.0),
    ("listen", 1.7, 1.7),
    ("listen, by ear", 3.7, 2.9),
    ("past", 2.4, 2.4),
];

#[tokio::test]
async fn the_install_and_a_past_audition_begin_with_what_matters() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    pages.browser.find("a[data-fitting]").await;
    let fit = pages.browser.run("return document.querySelector('a[data-fitting]').hash.split('/')[2]").await;
    let fit = fit.as_str().expect("an install").to_owned();
    let past = solderlast_tests::bench::COMPARED[0];
    let mut lengths = Lengths(Vec::new());
    for step in ["as_it_was", "plan", "room", "jack", "parts", "iron", "solder", "proof", "listen"] {
        pages.browser.route(&format!("#/fit/{fit}/{step}")).await;
        lengths.look(&mut pages, step, &format!("[data-fit={step}]")).await;
    }
    pages.browser.tap_named("Phase, hum and sound, once the strings are on").await;
    pages.browser.tap_named("Listen now").await;
    lengths.look(&mut pages, "listen, by ear", "[data-sound]").await;
    pages.browser.route(&format!("#/iron/{past}")).await;
    lengths.look(&mut pages, "the iron, from an audition", "[data-item=stand_ready]").await;
    // The seven items come first: all of them are seen with one push.
    let seven = "scrollTo(0, 0); return document.querySelector('[data-item=stand_ready]').getBoundingClientRect().bottom / innerHeight";
    let seven = pages.browser.run(seven).await.as_f64().expect("a place");
    assert!(seven < 1.2, "the list ends at {seven:.2} screens");
    pages.browser.route(&format!("#/past/{past}")).await;
    lengths.look(&mut pages, "past", "[data-result]").await;
    let result = "return document.querySelector('[data-result] .verdict').getBoundingClientRect().top / innerHeight";
    let result = pages.browser.run(result).await.as_f64().expect("a place");
    assert!(result < 0.6, "the result comes at {result:.2} of the first screen");
    // The page of all cautions is long: its index stands on the first screen, and leads to each part.
    pages.browser.route("#/safety").await;
    pages.browser.find("nav[aria-label='Parts of this page'] button").await;
    let index = "return document.querySelector('nav[aria-label=\"Parts of this page\"]').getBoundingClientRect().top / innerHeight";
    let index = pages.browser.run(index).await.as_f64().expect("a place");
    assert!(index < 0.5, "the index comes at {index:.2} of the first screen");
    let parts = pages
        .browser
        .run("return document.querySelectorAll('nav[aria-label=\"Parts of this page\"] button').length")
        .await;
    for part in 1..=parts.as_u64().expect("a count") {
        pages.browser.tap(&format!("nav[aria-label='Parts of this page'] button:nth-child({part})")).await;
        let seen = "const at = document.activeElement.getBoundingClientRect();
            return document.activeElement.matches('h2, h3') && at.top >= 0 && at.bottom <= innerHeight";
        assert_eq!(pages.browser.run(seen).await, true, "part {part} did not come");
    }
    pages.browser.close().await;
    lengths.held(|named| {
        let (_, unread, read) = OTHERS.into_iter().find(|one| one.0 == named).expect("every page has a limit");
        (unread, read, f64::INFINITY)
    });
}
