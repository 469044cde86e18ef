//! Every page at five widths, in four letter sizes, for both hands, light and dark: nothing lies over anything, no word is broken
//! inside, keys are large enough, and they never move while somebody types. It is measured where the page is laid out, in one
//! browser, without loading a page anew.

use std::time::Duration;

use serde_json::{Value, json};

use solderlast_tests::audition::Pages;
use solderlast_tests::bench::{demo, name, seeded};
use solderlast_tests::browser::{Browser, Server};

use super::access::pages;

const WIDTHS: [u32; 5] = [320, 360, 390, 768, 1280];
const HEIGHT: u32 = 844;
/// Letter sizes, hands, light and dark.
const SETTINGS: u64 = 4 * 2 * 2;

async fn measure_pages(mine: impl Fn(usize) -> bool) {
    let log = tempfile::tempdir().expect("a scratch folder");
    seeded(log.path());
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

/// How many screens of a phone a step may take when it comes, with cautions that nobody read yet. The goal is two for each.
const MOST_SCREENS: [(&str, f64); 9] = [
    ("choose", 2.2),
    ("which_way", 2.6),
    ("leads", 2.4),
    ("meter", 2.2),
    ("seat", 3.0),
    ("gaps", 2.4),
    ("sound_up", 2.7),
    ("listen", 2.8),
    ("take_down", 2.2),
];
/// How much of the height bars may take that stay where they are.
const MOST_OF_BARS: f64 = 0.15;

/// The lengths of the steps of one audition, as they are come to.
struct Lengths(Vec<(&'static str, f64, f64, usize)>);

impl Lengths {
    async fn screens(pages: &Pages) -> f64 {
        // What comes a moment later is there too.
        tokio::time::sleep(Duration::from_millis(300)).await;
        let script = "const bars = [...document.querySelectorAll('.next, .lines, body > * > nav')]
              .filter((one) => ['sticky', 'fixed'].includes(getComputedStyle(one).position)).reduce((sum, one) => sum + one.offsetHeight, 0);
            return [document.documentElement.scrollHeight / innerHeight, bars / innerHeight];";
        let found = pages.browser.run(script).await;
        let bars = found[1].as_f64().expect("a share");
        assert!(bars <= MOST_OF_BARS, "bars take {bars:.2} of the height");
        found[0].as_f64().expect("a length")
    }

    /// Looks at a step as it comes, and again when its cautions are read.
    async fn look(&mut self, pages: &mut Pages, step: &'static str) {
        pages.browser.find(&format!("[data-step={step}]")).await;
        let first = Self::screens(pages).await;
        let taps = pages.browser.taps;
        pages.read_cautions().await;
        let act = Self::screens(pages).await;
        self.0.push((step, first, act, pages.browser.taps - taps));
    }
}

#[tokio::test]
async fn no_step_of_an_audition_grows_longer() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let mut pages = Pages::on_a_phone(log.path()).await;
    let mut lengths = Lengths(Vec::new());
    pages.browser.reads("Start an audition").await;
    pages.browser.tap_named("Start an audition").await;
    pages.choose_radio("Lantern stack").await;
    pages.choose_radio("Wren").await;
    lengths.look(&mut pages, "choose").await;
    pages.browser.tap_named("Begin").await;
    lengths.look(&mut pages, "which_way").await;
    pages.which_way().await;
    lengths.look(&mut pages, "leads").await;
    pages.leads(0).await;
    lengths.look(&mut pages, "meter").await;
    for (mode, reading, shown) in
        [("parallel", "3.334k", "3.334 kΩ"), ("single", "6.66k", "6.66 kΩ"), ("series", "13.34k", "13.34 kΩ")]
    {
        pages.measure(mode, reading, shown).await;
    }
    lengths.look(&mut pages, "seat").await;
    pages.finish().await;
    pages.seat().await;
    lengths.look(&mut pages, "gaps").await;
    pages.gaps("4.6", "3.8").await;
    lengths.look(&mut pages, "sound_up").await;
    pages.order(&solderlast_tests::audition::SOUND_UP).await;
    lengths.look(&mut pages, "listen").await;
    for mode in ["parallel", "single", "series"] {
        pages.browser.tap(&format!("button[data-hear={mode}]")).await;
        pages.browser.tap(&format!("[data-listening={mode}] [data-quality=treble] label:nth-child(3)")).await;
        pages.settle().await;
    }
    pages.browser.tap_named("Take down").await;
    lengths.look(&mut pages, "take_down").await;
    pages.browser.close().await;
    for (step, first, act, cautions) in &lengths.0 {
        println!("| {step} | {first:.2} | {act:.2} | {cautions} |");
    }
    for ((step, first, act, _), (named, most)) in lengths.0.iter().zip(MOST_SCREENS) {
        assert!(
            *step == named && *first <= most && act <= first,
            "{step} takes {first:.2} screens, {act:.2} once read"
        );
    }
}
