//! The logbook narrowed by what is chosen, and the history of a pickup and a guitar, by touch.

use std::path::Path;
use std::time::Duration;

use serde_json::{Value, json};

use solderlast_tests::bench::{name, put, seeded};
use solderlast_tests::browser::{Browser, Server};

fn fresh(number: u32) -> String {
    format!("019a3c5f-7e00-7000-8000-0000{number:08x}")
}

/// The form that the worked examples write the guitar with.
fn guitar_form() -> Value {
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let examples = solderlast_core::ask::examples(scratch.path()).expect("the examples run");
    let ask = examples.into_iter().map(|(ask, _)| ask).find(|ask| ask["ask"] == "write_guitar");
    ask.map(|ask| ask["form"].clone()).expect("the examples write a guitar")
}

/// The seeded bench with twelve more auditions of its pickup: eleven at the neck with readings that agree, and one at the
/// bridge in which the switch stood wrong and a hold was passed. The pickup is fitted at the neck.
fn stocked(log: &Path) {
    seeded(log);
    let mut form = guitar_form();
    form["places"][0]["fitted"] = json!(name("pickup"));
    let mut asks = vec![json!({"ask": "write_guitar", "entry": fresh(0x9000), "id": name("guitar"), "form": form})];
    for number in 0..12_u32 {
        let (audition, odd) = (fresh(0x5000 + number), number == 7);
        let mut entry = 0x6000 + number * 16;
        let mut next = || {
            entry += 1;
            fresh(entry)
        };
        let place = if odd { "bridge" } else { "neck" };
        asks.push(json!({"ask": "choose", "entry": next(), "audition": audition, "choice": {
            "pickup": name("pickup"), "guitar": name("guitar"), "rig": name("rig"), "place": place, "from_saddle": "162 mm",
            "unit": "millimetre", "modes": ["parallel", "single", "series"], "question": format!("Question {number}")}}));
        let series = if odd { "6.66k" } else { "13.34k" };
        for (mode, reading) in [("parallel", "3.334k"), ("single", "6.66k"), ("series", series)] {
            asks.push(
                json!({"ask": "take_reading", "entry": next(), "audition": audition, "mode": mode, "reading": reading,
                "room": "20"}),
            );
        }
        if odd {
            asks.push(
                json!({"ask": "override_hold", "entry": next(), "audition": audition, "hold": "bare_feet_on_finish",
                "why": "tried on scrap"}),
            );
        } else {
            asks.push(
                json!({"ask": "end_early", "entry": next(), "audition": audition, "why": format!("Reason {number}")}),
            );
        }
    }
    put(log, asks);
}

/// Waits until as many lines are shown.
async fn lines(browser: &Browser, wanted: usize) {
    for _ in 0..200 {
        let count = browser.run("return document.querySelectorAll('main a[href^=\"#/past/\"]').length").await;
        if count == json!(wanted) {
            return;
        }
        tokio::time::sleep(Duration::from_millis(40)).await;
    }
    panic!("not {wanted} lines: {}", browser.text().await);
}

#[tokio::test]
async fn the_logbook_is_narrowed_by_what_is_chosen() {
    let log = tempfile::tempdir().expect("a scratch folder");
    stocked(log.path());
    let server = Server::start(log.path());
    let mut browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    browser.route("#/logbook").await;
    lines(&browser, 13).await;
    browser.tap("main search details summary").await;
    browser.choose_option("Readings", "Something wrong").await;
    lines(&browser, 1).await;
    browser.reads("Question 7").await;
    browser.choose_option("Readings", "any outcome").await;
    browser.choose_option("How it stands", "Ended early").await;
    lines(&browser, 11).await;
    browser.choose_option("Holds passed", "with a hold passed").await;
    browser.reads("Nothing found").await;
    browser.choose_option("How it stands", "any state").await;
    browser.choose_option("Place", "bridge").await;
    browser.choose_option("Mode tried", "series").await;
    browser.choose_option("Pickup", "Paper crane").await;
    browser.choose_option("Guitar", "Kitchen guitar").await;
    lines(&browser, 1).await;
    // With a word beside all that was chosen.
    browser.type_into("main input[type=search]", "question").await;
    lines(&browser, 1).await;
    browser.tap_named("Show everything").await;
    lines(&browser, 13).await;
    browser.close().await;
}

#[tokio::test]
async fn a_pickup_and_a_guitar_tell_their_history() {
    let log = tempfile::tempdir().expect("a scratch folder");
    stocked(log.path());
    let server = Server::start(log.path());
    let mut browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    browser.route(&format!("#/pickup/{}", name("pickup"))).await;
    browser.tap_named("Its whole history").await;
    browser.find("[data-history=pickup]").await;
    browser.reads("Readings over time").await;
    for words in ["Steady", "Auditions: 13", "Where it lived", "until now", "Written down.", "Ended early: Reason 11"] {
        browser.reads(words).await;
    }
    // A picture a coil, with a point a visit that told it; the one that did not agree is left out.
    browser.find("[data-coil=A] svg").await;
    lines(&browser, 10).await;
    browser.tap_named("Older ones").await;
    lines(&browser, 13).await;
    // What was heard and noted in the oldest one, and the hold that was passed in another.
    for words in ["clear, some hum", "Treble 4 of 5", "Reason given: tried on scrap"] {
        browser.reads(words).await;
    }
    browser.tap("main a[href^=\"#/history/guitar/\"]").await;
    browser.find("[data-history=guitar]").await;
    for words in ["Kitchen guitar", "What lived in it", "Paper crane", "Auditions: 13", "Record changed."] {
        browser.reads(words).await;
    }
    browser.tap("main a[href^=\"#/past/\"]").await;
    browser.reads("PAST AUDITION").await;
    browser.close().await;
}
