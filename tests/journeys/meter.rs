//! The meter bench by touch: leads found out from nothing, a mistake named and mended, and a meter of one's own.

use std::time::Duration;

use serde_json::json;
use solderlast_testkit::Chance;
use solderlast_testkit::sound::{Samples, Sound};

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
                // The next question looks almost the same: what was answered stands above it.
                browser.reads("Written down.").await;
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

/// A recording of three pulses, each this high: they grow until the steel meets the pole.
fn knocked(folder: &std::path::Path, heights: [f64; 3]) -> std::path::PathBuf {
    let mut sound = Sound::silence(48_000, 1, 4.0).noise(1e-9, &mut Chance(3)).sine(60.0, 0.01);
    for (number, height) in heights.into_iter().enumerate() {
        for (place, sample) in sound.channels[0].iter_mut().enumerate() {
            let since = place as f64 / 48_000.0 - 0.8 - number as f64;
            *sample +=
                if since < 0.0 { height * (since / 0.004).exp() } else { -0.4 * height * (-since / 0.006).exp() };
        }
    }
    let path = folder.join(format!("taps {heights:?}.wav"));
    std::fs::write(&path, sound.wav(Samples::Whole(24))).expect("a file");
    path
}

/// Finds out the leads of the demo's stacked pickup up to the question which way a coil swings; answers that question.
async fn up_to_the_tap(browser: &mut Browser) -> String {
    find_leads_of(browser, "Lantern stack").await;
    let (_, begin) = next_task(browser, "").await;
    browser.tap_named("Begin to measure").await;
    let (mut task, mut told) = next_task(browser, &begin).await;
    while task != "tap" {
        if task == "name" {
            browser.tap_named("moss and rust").await;
        } else {
            let pair = asked_for(&told);
            let coil = COILS.iter().find(|coil| [coil.0, coil.1].iter().all(|one| pair.iter().any(|two| two == one)));
            browser.type_into("input.display", coil.map_or("OL", |(_, _, ohms)| ohms)).await;
            browser.tap_named("Write down").await;
        }
        (task, told) = next_task(browser, &told).await;
    }
    told
}

/// Recorded here while the connection is lost: the recording waits, is sent again, and then is heard.
#[tokio::test]
async fn a_recording_of_taps_waits_for_the_connection() {
    let (log, profile) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let silent = log.path().join("silent.wav");
    let sound = Sound::silence(48_000, 1, 4.0).noise(1e-9, &mut Chance(4));
    std::fs::write(&silent, sound.wav(Samples::Whole(16))).expect("a file");
    demo(log.path());
    let browser = Browser::hearing(profile.path(), Some(&silent)).await;
    let mut pages = Pages::opened(Server::start(log.path()), browser).await;
    let browser = &mut pages.browser;
    up_to_the_tap(browser).await;
    browser.tap_named("Or record three taps").await;
    browser.tap("[data-taps=nothing] [data-record]").await;
    browser.find("[data-taps=recording]").await;
    browser.reads("It records").await;
    tokio::time::sleep(Duration::from_secs(2)).await;
    let offline =
        |offline: bool| json!({"offline": offline, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1});
    browser.pass("Network.enable", json!({})).await;
    browser.pass("Network.emulateNetworkConditions", offline(true)).await;
    browser.tap("[data-end]").await;
    browser.find("[data-taps=nothing] [data-again]").await;
    browser.pass("Network.emulateNetworkConditions", offline(false)).await;
    browser.tap("[data-again]").await;
    browser.reads("No tap is heard in it").await;
    assert!(!browser.has("[data-again]").await, "it lies beside the log now");
    pages.browser.close().await;
}

/// Recorded taps in the place of a needle's swing: refused where they don't agree, against the other coil, and for good by a cell.
#[tokio::test]
async fn three_recorded_taps_tell_which_way_a_coil_swings() {
    let (log, files) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let mut pages = on_a_phone(log.path()).await;
    let browser = &mut pages.browser;
    let mut told = up_to_the_tap(browser).await;
    let wav = |heights: [f64; 3]| knocked(files.path(), heights).to_string_lossy().into_owned();
    let choose = async |browser: &mut Browser, heights: [f64; 3]| {
        if !browser.has("[data-taps]").await {
            browser.tap_named("Or record three taps").await;
        }
        let field = browser.find("[data-taps=nothing] input[type=file]").await;
        field.send_keys(&wav(heights)).await.expect("a file");
    };
    choose(browser, [0.2, -0.2, 0.2]).await;
    browser.reads("swings the other way than the other two").await;
    choose(browser, [0.2, 0.2, 0.0]).await;
    browser.reads("2 taps are heard in it, and not three").await;
    choose(browser, [0.2, 0.25, 0.2]).await;
    browser.reads("Which end is plus is not known yet").await;
    (_, told) = next_task(browser, &told).await;
    choose(browser, [-0.2, -0.25, -0.2]).await;
    browser.reads("swings opposite to coil A").await;
    (_, told) = next_task(browser, &told).await;
    browser.tap("[data-by-taps] input[type=checkbox]").await;
    browser.reads("Unclip the pickup").await;
    choose(browser, [0.3; 3]).await;
    let (task, _) = next_task(browser, &told).await;
    assert_eq!(task, "compass");
    browser.reads("Coil A: ").await;
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
    let fields =
        "const all = [...document.querySelectorAll('input.box')]; all.forEach((f, at) => f.id = 'meter-' + at);
                  return document.querySelector('#meter-1') !== null";
    browser.until(fields).await;
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
