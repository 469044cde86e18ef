//! Takes recorded in the page, heard side by side and blind: with a microphone that plays a file, and with an ear on what the page
//! plays.

use std::path::{Path, PathBuf};
use std::time::Duration;

use serde_json::{Value, json};
use solderlast_testkit::sound::{Samples, Sound};
use solderlast_tests::bench::{TAKES, name, recorded, seeded};
use solderlast_tests::browser::{Browser, Server};

/// A file for the microphone: a tone of 440 Hz at a quarter of full scale.
pub(super) fn tone(folder: &Path) -> PathBuf {
    let path = folder.join("tone.wav");
    let sound = Sound::silence(48_000, 1, 4.0).sine(440.0, 0.25);
    std::fs::write(&path, sound.wav(Samples::Whole(16))).expect("a file");
    path
}

/// Opens the recordings of the seeded pickup.
pub(super) async fn recordings(browser: &mut Browser) {
    browser.route(&format!("#/pickup/{}", name("pickup"))).await;
    browser.tap_named("Recordings").await;
    browser.find("[data-keep-take]").await;
}

/// What is told of the takes, past the pages.
async fn takes(browser: &Browser) -> Vec<Value> {
    let told = browser
        .wait_for("fetch('/ask', {method: 'POST', headers: {'content-type': 'application/json'}, body: '{\"ask\":\"takes\",\"about\":null}'}).then((answer) => answer.json())")
        .await;
    told["ok"]["takes"]["takes"].as_array().cloned().unwrap_or_default()
}

/// Waits until so many takes are kept.
async fn kept(browser: &Browser, count: usize) -> Vec<Value> {
    for _ in 0..200 {
        let takes = takes(browser).await;
        if takes.len() == count {
            return takes;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("{count} takes were never kept: {}", browser.text().await)
}

#[tokio::test]
async fn a_take_is_recorded_from_the_microphone() {
    let (log, profile) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    seeded(log.path());
    let server = Server::start(log.path());
    let mut browser = Browser::hearing(profile.path(), Some(&tone(log.path()))).await;
    browser.goto(&server.address).await;
    recordings(&mut browser).await;
    browser.tap_named("Record here").await;
    browser.tap_named("Record").await;
    browser.find("[data-recorder=recording]").await;
    tokio::time::sleep(Duration::from_secs(3)).await;
    browser.tap("[data-recorder=recording] button.first").await;
    browser.find("[data-left]").await;
    browser.tap_named("Keep it").await;
    let takes = kept(&browser, 1).await;
    let told = &takes[0]["told"];
    // What came in is what was kept: as loud as it was, and nothing else than the tone.
    let level = told["level"]["playing"].as_f64().expect("a level");
    // Powers of two channels add.
    let channels = takes[0]["sound"]["channels"].as_f64().expect("channels");
    let came_in = 10.0 * (channels * 0.25_f64.powi(2) / 2.0).log10();
    assert!((level - came_in).abs() < 1.0, "{told}");
    let thirds = told["spectrum"]["thirds"].as_array().expect("third octaves");
    let loudest = thirds
        .iter()
        .max_by(|a, b| a["level"].as_f64().unwrap_or(-200.0).total_cmp(&b["level"].as_f64().unwrap_or(-200.0)));
    assert_eq!(loudest.and_then(|band| band["name"].as_f64()), Some(400.0), "{told}");
    assert!(takes[0]["sound"]["seconds"].as_f64().is_some_and(|seconds| seconds > 2.0), "{takes:?}");
    assert!(!browser.has("[data-left]").await, "what is kept is no longer offered");
    browser.close().await;
}

#[tokio::test]
async fn what_was_recorded_before_a_crash_is_offered_the_next_time() {
    let (log, profile) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    seeded(log.path());
    let server = Server::start(log.path());
    let file = tone(log.path());
    let mut browser = Browser::hearing(profile.path(), Some(&file)).await;
    browser.goto(&server.address).await;
    recordings(&mut browser).await;
    browser.tap_named("Record here").await;
    browser.tap_named("Record").await;
    browser.find("[data-recorder=recording]").await;
    tokio::time::sleep(Duration::from_secs(4)).await;
    browser.crash(profile.path());

    let mut browser = Browser::hearing(profile.path(), Some(&file)).await;
    browser.goto(&server.address).await;
    recordings(&mut browser).await;
    browser.reads("not kept yet").await;
    browser.tap_named("Keep it").await;
    let takes = kept(&browser, 1).await;
    // At most the last part is lost.
    assert!(takes[0]["sound"]["seconds"].as_f64().is_some_and(|seconds| seconds >= 2.0), "{takes:?}");
    browser.close().await;
}

#[tokio::test]
async fn a_refused_microphone_leaves_the_file() {
    let (log, profile) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    seeded(log.path());
    let server = Server::start(log.path());
    let mut browser = Browser::hearing(profile.path(), None).await;
    browser.goto(&server.address).await;
    recordings(&mut browser).await;
    browser.tap_named("Record here").await;
    browser.reads("The microphone was refused").await;
    browser.reads("You can still choose a file").await;
    browser.find("[data-keep-take] input[type=file]").await;
    browser.close().await;
}

/// A phone's own recorder makes an M4A with AAC; there is no microphone in a page over plain HTTP, so that file is chosen.
#[tokio::test]
async fn a_file_from_a_phones_recorder_is_taken_in() {
    let log = tempfile::tempdir().expect("a folder");
    seeded(log.path());
    let made = log.path().join("New recording 7.m4a");
    let ffmpeg = std::process::Command::new("ffmpeg")
        .args(["-v", "error", "-i"])
        .arg(tone(log.path()))
        .args(["-c:a", "aac", "-b:a", "128k"])
        .arg(&made)
        .status();
    assert!(ffmpeg.is_ok_and(|status| status.success()), "this test needs ffmpeg");
    let server = Server::start(log.path());
    let mut browser = Browser::phone(true).await;
    browser.goto(&server.address).await;
    recordings(&mut browser).await;
    browser.find("[data-keep-take] input[type=file]").await.send_keys(&made.to_string_lossy()).await.expect("a file");
    let takes = kept(&browser, 1).await;
    assert_eq!(takes[0]["sound"]["came_as"], "aac", "{takes:?}");
    let level = takes[0]["told"]["level"]["playing"].as_f64().expect("a level");
    assert!((level - 10.0 * (0.25_f64.powi(2) / 2.0).log10()).abs() < 1.0, "{level}");
    browser.reads("came as AAC").await;
    // It answers where the eye is.
    let seen = browser.run("const take = [...document.querySelectorAll('[data-takes] li')][0].getBoundingClientRect(); return take.top < innerHeight && take.bottom > 0").await;
    assert_eq!(seen, true, "{}", browser.text().await);
    browser.close().await;
}

/// The device goes while it records: what was recorded by then is offered.
#[tokio::test]
async fn what_was_recorded_before_the_device_was_unplugged_is_offered() {
    let (log, profile) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    seeded(log.path());
    let server = Server::start(log.path());
    let mut browser = Browser::hearing(profile.path(), Some(&tone(log.path()))).await;
    browser.goto(&server.address).await;
    recordings(&mut browser).await;
    // The browser's pretended device can't be pulled out, so its track says what a track says then.
    browser
        .run(
            "const given = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices); \
             navigator.mediaDevices.getUserMedia = async (how) => (window.given = await given(how))",
        )
        .await;
    browser.tap_named("Record here").await;
    browser.tap_named("Record").await;
    browser.find("[data-recorder=recording]").await;
    tokio::time::sleep(Duration::from_secs(3)).await;
    browser
        .run("const track = window.given.getAudioTracks()[0]; track.stop(); track.dispatchEvent(new Event('ended'))")
        .await;
    browser.reads("The device was unplugged. What was recorded by then is kept").await;
    browser.tap_named("Keep it").await;
    let takes = kept(&browser, 1).await;
    assert!(takes[0]["sound"]["seconds"].as_f64().is_some_and(|seconds| seconds >= 2.0), "{takes:?}");
    browser.close().await;
}

/// In the app's own window it records, or says why not and what to do.
#[tokio::test]
async fn the_window_records_or_says_why_not() {
    let log = tempfile::tempdir().expect("a folder");
    seeded(log.path());
    let mut browser = Browser::window(log.path()).await;
    browser.find("nav").await;
    recordings(&mut browser).await;
    browser.tap_named("Record here").await;
    for _ in 0..100 {
        let text = browser.text().await;
        if text.contains("You can still choose a file") || browser.has("[data-recorder=ready]").await {
            println!("{}", text.lines().find(|line| line.contains("You can still")).unwrap_or("It can record."));
            browser.close().await;
            return;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    panic!("neither came: {}", browser.text().await)
}

/// Every sample that the page plays is heard: no pause over 5 ms and no click, going round and switching.
#[tokio::test]
async fn takes_go_round_and_are_switched_without_a_gap_or_a_click() {
    let log = tempfile::tempdir().expect("a folder");
    seeded(log.path());
    recorded(log.path());
    let server = Server::start(log.path());
    let mut browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    browser.pass("Page.enable", json!({})).await;
    browser.pass("Page.setBypassCSP", json!({"enabled": true})).await;
    browser.pass("Page.addScriptToEvaluateOnNewDocument", json!({"source": include_str!("hearing.js")})).await;
    // Another address with the same page in it would not load it anew.
    browser.client.refresh().await.expect("a page that loads");
    browser.route(&format!("#/hear/{}", TAKES.join(","))).await;
    browser.reads("dB louder than").await;
    browser.reads("Start with your headphones low").await;
    browser.tap_named("Play").await;
    browser.find("[data-playing=true]").await;
    for round in 0..6 {
        tokio::time::sleep(Duration::from_millis(700)).await;
        let other = (round + 1) % 2;
        browser.tap(&format!("[data-take='{other}']")).await;
        browser.find(&format!("[data-heard='{other}']")).await;
    }
    // By key, too.
    browser.run("document.body.dispatchEvent(new KeyboardEvent('keydown', {key: '2', bubbles: true}))").await;
    browser.find("[data-heard='1']").await;
    tokio::time::sleep(Duration::from_millis(600)).await;
    browser.tap_named("Stop").await;
    tokio::time::sleep(Duration::from_millis(400)).await;
    let judged = browser.run("return judged()").await;
    println!("{judged}");
    assert!(judged["seconds"].as_f64().is_some_and(|seconds| seconds > 4.0), "{judged}");
    assert!(judged["pause"].as_f64().is_some_and(|pause| pause < 5.0), "{judged}");
    // The tone of 660 Hz itself bends by (2π · 660 / 48000)² of its height from sample to sample.
    assert!(judged["jump"].as_f64().is_some_and(|jump| jump < 0.02), "{judged}");
    browser.close().await;
}

/// A test from its plan to its end, by touch. Nothing on the page and no address tells a name before.
#[tokio::test]
async fn a_blind_test_is_heard_to_its_end() {
    let log = tempfile::tempdir().expect("a folder");
    seeded(log.path());
    recorded(log.path());
    let server = Server::start(log.path());
    let mut browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    let files: Vec<String> =
        takes(&browser).await.iter().filter_map(|take| take["sound"]["take"].as_str().map(str::to_owned)).collect();
    browser.route(&format!("#/plan-blind/{}", TAKES.join(","))).await;
    browser.reads("What is asked").await;
    browser.tap("input[value=nearer_to_wish]").await;
    browser.tap("input[value='8']").await;
    browser.reads("8 of each pair").await;
    browser.run("performance.clearResourceTimings()").await;
    browser.tap_named("Begin the test").await;
    for trial in 1..=14 {
        browser.find(&format!("[data-blind='{trial}'][data-loaded='{trial}']")).await;
        let text = browser.text().await;
        assert!(!text.contains("Paper crane") && !text.contains("take 1"), "{text}");
        // Headphones are turned up once; after that the volume stays.
        assert_eq!(text.contains("Start with your headphones low"), trial == 1, "{text}");
        if trial == 1 {
            // An answer that comes too early says what was not heard, and brings there.
            browser.tap("[data-answer='1']").await;
            browser.reads("Listen to 1 and 2 first.").await;
            browser.until("return document.activeElement?.matches('[data-sound=\"1\"]') === true").await;
        }
        for sound in [1, 2] {
            browser.tap(&format!("[data-sound='{sound}']")).await;
        }
        browser.tap(&format!("[data-answer='{}']", 1 + trial % 2)).await;
    }
    let asked = browser.run("return performance.getEntriesByType('resource').map((one) => one.name).join(' ')").await;
    let asked = asked.as_str().unwrap_or_default();
    assert!(asked.contains("/blind/") && files.iter().all(|file| !asked.contains(file.as_str())), "{asked}");
    browser.tap_named("Show what it came to").await;
    browser.reads("Pair by pair").await;
    browser.reads("Paper crane").await;
    browser.reads("The control was").await;
    browser.close().await;
}
