//! The meter bench by touch: leads found out from nothing, a mistake named and mended, and a meter of one's own.

use std::time::Duration;

use serde_json::json;

use solderlast_tests::audition::Pages;
use solderlast_tests::bench::demo;
use solderlast_tests::browser::{Browser, Server};

/// What lies on the bench: the coils of the demo's stacked pickup, minus lead, plus lead and ohms.
const COILS: [(&str, &str, &str); 2] = [("moss", "rust", "6.66k"), ("slate", "chalk", "6.68k")];

async fn on_a_phone(log: &std::path::Path) -> Pages {
    demo(log);
    let pages = Pages::opened(Server::start(log), Browser::phone(false).await).await;
    pages.browser.reads("Start an audition").await;
    pages
}

/// Opens the page of a pickup in the drawer, and from there the page that finds out its leads.
async fn find_leads_of(browser: &mut Browser, pickup: &str) {
    browser.route("#/drawer").await;
    let mark = format!(
        "const link = [...document.querySelectorAll('main a[href^=\"#/pickup/\"]')].find(a => a.textContent.includes({}));
         if (link) {{ link.setAttribute('data-here', ''); return true; }} return false;",
        json!(pickup)
    );
    for _ in 0..200 {
        if browser.run(&mark).await == json!(true) {
            break;
        }
        tokio::time::sleep(Duration::from_millis(40)).await;
    }
    browser.tap("[data-here]").await;
    browser.tap_named("Find out the leads").await;
    browser.find("[data-task=begin]").await;
}

/// The task that the page is at, with the words of its question; waits until it is another than `before`.
async fn next_task(browser: &Browser, before: &str) -> (String, String) {
    for _ in 0..300 {
        let now = browser
            .run(
                "const page = document.querySelector('[data-task]');
                 const count = document.querySelector('details summary')?.textContent ?? '';
                 return page ? [page.dataset.task, page.querySelector('.lead')?.textContent ?? '', count] : null;",
            )
            .await;
        if let [Some(task), Some(lead), Some(count)] = [0, 1, 2].map(|at| now[at].as_str().map(str::to_owned)) {
            let told = format!("{task}: {lead} {count}");
            if told != before {
                return (task, told);
            }
        }
        tokio::time::sleep(Duration::from_millis(30)).await;
    }
    panic!("the page stays at {before}: {}", browser.text().await);
}

/// The two names in a question like “Measure ohms between moss and the shield.”
fn asked_for(told: &str) -> [String; 2] {
    let names = told.split_once("between ").and_then(|(_, rest)| rest.split_once('.')).map(|(names, _)| names);
    let (one, other) = names.and_then(|names| names.split_once(" and ")).expect("a question between two leads");
    [one, other].map(|name| name.trim_start_matches("the ").to_owned())
}

#[tokio::test]
async fn leads_are_found_out_and_written_into_the_pickup() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let mut pages = on_a_phone(log.path()).await;
    let browser = &mut pages.browser;
    find_leads_of(browser, "Lantern stack").await;
    let (_, begin) = next_task(browser, "").await;
    browser.tap_named("Begin to measure").await;
    let (mut task, mut told) = next_task(browser, &begin).await;
    let mut measured = 0;
    let mut reached = false;
    let mut slipped = false;
    loop {
        match task.as_str() {
            "measure" => {
                let pair = asked_for(&told);
                let between =
                    |one: &str, other: &str| pair.contains(&one.to_owned()) && pair.contains(&other.to_owned());
                let coil = COILS.iter().find(|(minus, plus, _)| between(minus, plus));
                if !reached {
                    // One that can't be reached is gone round.
                    reached = true;
                    browser.tap_named("Can't reach that one").await;
                } else if !slipped {
                    // Letters are no reading: the page says so and stays.
                    slipped = true;
                    browser.type_into("input.display", "abc").await;
                    browser.tap_named("Write down").await;
                    browser.find("[role=alert]").await;
                    continue;
                } else {
                    browser.type_into("input.display", coil.map_or("OL", |(_, _, ohms)| ohms)).await;
                    browser.tap_named("Write down").await;
                    measured += 1;
                }
            }
            "name" => browser.tap_named("moss and rust").await,
            "tap" => {
                // “plus probe on moss, …”: a plus end swings to plus.
                let plus =
                    told.split_once("plus probe on ").and_then(|(_, rest)| rest.split_once(',')).map(|(lead, _)| lead);
                let up = COILS.iter().any(|(_, end, _)| Some(*end) == plus);
                browser.tap_named(if up { "To plus" } else { "To minus" }).await;
            }
            "compass" => browser.tap_named("Its south end: north is up").await,
            "settle" => browser.tap_named("Write it into the pickup").await,
            "done" => break,
            other => panic!("{other}: {}", browser.text().await),
        }
        (task, told) = next_task(browser, &told).await;
    }
    // Four leads and a shield have ten pairs; asked cleverly, some are enough, and some are read to check the others.
    assert!((3..=14).contains(&measured), "{measured} readings");
    for words in ["Coil A: rust is plus, moss is minus.", "For the install later", "hum cancelled"] {
        browser.reads(words).await;
    }
    browser.tap_named("To the pickup").await;
    browser.reads("rust: coil A plus").await;
    // From its page an audition begins with this pickup chosen.
    browser.tap_named("Start an audition").await;
    browser.find("[data-step=choose]").await;
    pages.choose_radio("Wren").await;
    pages.browser.tap_named("Begin").await;
    pages.browser.find("[data-step=which_way]").await;
    pages.browser.reads("LANTERN STACK ON WREN").await;
    pages.browser.close().await;
}

#[tokio::test]
async fn leads_in_each_others_place_are_named_and_mended() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let mut pages = on_a_phone(log.path()).await;
    pages.up_to_the_meter("Lantern stack", "Wren").await;
    // The leads in terminals 2 and 3 sit in each other's place: parallel and single lose their path.
    pages.measure("parallel", "OL", "OL").await;
    pages.measure("single", "OL", "OL").await;
    pages.measure("series", "13.34k", "13.34 kΩ").await;
    pages.browser.find("[data-diagnosis]").await;
    pages.browser.reads("in each other's place").await;
    // Mended at the block, each mode is measured again.
    for (mode, reading, shown) in [("parallel", "3.334k", "3.334 kΩ"), ("single", "6.66k", "6.66 kΩ")] {
        pages.browser.tap(&format!("[data-reading={mode}] .again")).await;
        pages.measure(mode, reading, shown).await;
        if mode == "parallel" {
            pages.browser.find(&format!("[data-reading={mode}] .good")).await;
        }
    }
    pages.browser.find("[data-step=seat]").await;
    pages.browser.close().await;
}

/// The way to the leads shows them as they are to be swapped; one tap says that it was done, and each mode is measured anew.
#[tokio::test]
async fn the_leads_page_shows_the_swap_and_takes_it_in_one_tap() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let mut pages = on_a_phone(log.path()).await;
    pages.up_to_the_meter("Lantern stack", "Wren").await;
    for (mode, reading, shown) in [("parallel", "OL", "OL"), ("single", "OL", "OL"), ("series", "13.34k", "13.34 kΩ")]
    {
        pages.measure(mode, reading, shown).await;
    }
    pages.browser.tap_named("To the leads").await;
    pages.browser.find("[data-step=leads] [data-swap]").await;
    pages.browser.reads("rust to terminal 2; chalk to terminal 3").await;
    // Nothing is taken for done before somebody says so.
    for terminal in [1, 2] {
        assert!(!pages.browser.has(&format!("[data-terminal='{terminal}'] .held")).await);
    }
    let taps = pages.browser.taps;
    pages.browser.tap("[data-swapped]").await;
    pages.browser.find("[data-step=meter] [data-mode=parallel]").await;
    assert_eq!(pages.browser.taps, taps + 1);
    for (mode, reading, shown) in
        [("parallel", "3.334k", "3.334 kΩ"), ("single", "6.66k", "6.66 kΩ"), ("series", "13.34k", "13.34 kΩ")]
    {
        pages.measure(mode, reading, shown).await;
    }
    pages.browser.find("[data-step=seat]").await;
    pages.browser.close().await;
}

#[tokio::test]
async fn the_next_measurement_tells_a_switch_from_a_fault() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let mut pages = on_a_phone(log.path()).await;
    pages.up_to_the_meter("Lantern stack", "Wren").await;
    pages.measure("parallel", "3.334k", "3.334 kΩ").await;
    pages.measure("single", "6.66k", "6.66 kΩ").await;
    pages.measure("series", "6.66k", "6.66 kΩ").await;
    pages.browser.find("[data-diagnosis=cant_tell_apart]").await;
    pages.browser.reads("The switch stood in single for the series reading").await;
    pages.browser.reads("Measure this next").await;
    // Where the probes go is the bench's word; the coil's own reading there says that only the switch was wrong.
    pages.browser.type_into("[data-diagnosis] input.display", "nonsense").await;
    pages.browser.tap_named("Write that down").await;
    pages.browser.find("[data-diagnosis] [role=alert]").await;
    pages.browser.type_into("[data-diagnosis] input.display", "6.66k").await;
    pages.browser.tap_named("Write that down").await;
    pages.browser.reads("between terminals").await;
    pages.browser.find("[data-diagnosis=found]").await;
    pages.browser.close().await;
}

#[tokio::test]
async fn a_meter_of_ones_own_is_written_down_and_used() {
    let log = tempfile::tempdir().expect("a scratch folder");
    let mut pages = on_a_phone(log.path()).await;
    let browser = &mut pages.browser;
    browser.route("#/meter").await;
    browser.reads("A plain pocket meter").await;
    let fields = "[...document.querySelectorAll('input.box')].forEach((f, at) => f.id = 'meter-' + at);";
    browser.find("input.box").await;
    browser.run(fields).await;
    browser.type_into("#meter-1", "forty").await;
    browser.tap_named("Write it down").await;
    browser.reads("as a number").await;
    browser.type_into("#meter-0", "Yellow meter").await;
    browser.type_into("#meter-1", "0.5").await;
    browser.tap_named("Write it down").await;
    browser.reads("Yellow meter, ±(0.5 % + 3 digits)").await;
    pages.up_to_the_meter("Lantern stack", "Wren").await;
    pages.unfold("How near, and what no meter shows").await;
    pages.browser.reads("Meter: Yellow meter").await;
    pages.browser.close().await;
}
