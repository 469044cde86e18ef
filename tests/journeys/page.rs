//! The page that is a bench itself, in Chromium at the size of a phone: loaded once, then without a host and without a network.

use std::io::{BufRead as _, BufReader};
use std::net::TcpListener;
use std::path::Path;
use std::sync::{Arc, Mutex};

use chrono::{DateTime, TimeDelta};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::clock::SteppingClock;
use solderlast_core::logbook::Find;
use solderlast_serve::machine::{SystemClock, SystemDice};
use solderlast_tests::audition::{Pages, whole_audition};
use solderlast_tests::bench::{TAKES, demo, name, recorded, seeded};
use solderlast_tests::browser::{Browser, Host};
use solderlast_tests::worker::Worker;

use crate::access::{axe, troubles_on};
use crate::carry::{choose, saved, saves_to};
use crate::hearing::{recordings, tone};
use crate::install::{is_one_page, whole_install};
use crate::safety::{photos, wait_for};

#[tokio::test]
async fn a_whole_audition_offline_killed_in_the_middle_of_every_step() {
    let nowhere = tempfile::tempdir().expect("a scratch folder");
    let pages = Pages::installed().await;
    let mut pages = whole_audition(nowhere.path(), pages, true).await;
    pages.browser.tap_named("Read it over").await;
    for words in
        ["Lantern stack", "13.34 kΩ", "The readings agree with each other", "6.66 kΩ", "6.68 kΩ", "very strong"]
    {
        pages.browser.reads(words).await;
    }
    // Where the browser promises nothing, the log is to be taken along after each audition.
    if pages.browser.wait_for("navigator.storage.persisted()").await == json!(false) {
        pages.browser.find("[data-keeping] a[href='#/carry']").await;
    }
    pages.browser.close().await;
}

#[tokio::test]
async fn a_pickup_is_installed_offline() {
    let nowhere = tempfile::tempdir().expect("a scratch folder");
    whole_install(Pages::installed().await, nowhere.path()).await;
}

/// Pages that differ from what a computer shows, or do most with the device.
const LOOKED_AT: [(&str, &str); 5] = [
    ("#/bench", "Start an audition"),
    ("#/settings", "The log on this phone"),
    ("#/carry", "For a spreadsheet"),
    ("#/drawer", "Paper crane"),
    ("#/logbook", "Paper crane"),
];

#[tokio::test]
async fn a_bundle_photos_takes_tables_and_paper_offline_and_nobody_is_shut_out() {
    let (log, folder) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    seeded(log.path());
    recorded(log.path());
    let bundle = folder.path().join("from-a-computer.zip");
    solderlast_tests::worker::pack(log.path(), &bundle);
    let mut pages = Pages::installed().await;
    let browser = &mut pages.browser;
    saves_to(browser, folder.path()).await;
    browser.route("#/carry").await;
    choose(browser, &bundle).await;
    browser.reads("This is what it would bring").await;
    browser.tap_named("Bring it in").await;
    browser.reads("Brought in").await;
    // A table, of what came with it too.
    browser.route("#/bench").await;
    browser.route("#/carry").await;
    browser.tap_named("Readings").await;
    let readings = std::fs::read_to_string(saved(folder.path(), "readings.csv").await).expect("a table");
    assert!(readings.starts_with("audition,begun (UTC),pickup,") && readings.contains("Paper crane"), "{readings}");
    // The sweep, to be played by something else.
    browser.route(&format!("#/coils/{}", name("pickup"))).await;
    browser.tap_named("Save the sweep as a file").await;
    let sweep = std::fs::read(saved(folder.path(), "sweep.wav").await).expect("a sweep");
    assert!(sweep.starts_with(b"RIFF") && sweep.len() > 100_000, "{} bytes", sweep.len());
    // A recording, and two that came with the bundle heard beside each other.
    recordings(browser).await;
    let before = browser.run("return document.querySelectorAll('[data-takes] li').length").await.as_u64();
    let take = tone(folder.path());
    browser.find("[data-keep-take] input[type=file]").await.send_keys(&take.to_string_lossy()).await.expect("a file");
    let one_more =
        format!("return document.querySelectorAll('[data-takes] li').length === {}", before.unwrap_or(0) + 1);
    wait_for(browser, &one_more).await;
    browser.route(&format!("#/hear/{}", TAKES.join(","))).await;
    browser.reads("dB louder than").await;
    browser.tap_named("Play").await;
    browser.find("[data-playing=true]").await;
    browser.tap("[data-take='1']").await;
    browser.find("[data-heard='1']").await;
    browser.tap_named("Stop").await;
    photos(browser, folder.path()).await;
    // On paper.
    browser.route(&format!("#/past/{}", name("audition"))).await;
    browser.reads("Kitchen guitar").await;
    is_one_page(browser).await;
    let axe = axe();
    let mut troubles = Vec::new();
    for (route, words) in LOOKED_AT {
        browser.route(route).await;
        browser.reads(words).await;
        troubles.extend(troubles_on(browser, &axe, route).await);
    }
    assert!(troubles.is_empty(), "{}", troubles.join("\n"));
    pages.browser.close().await;
}

/// Waits until the page's files are kept.
async fn kept(browser: &Browser) {
    let kept = "navigator.serviceWorker.ready.then(() => new Promise((done) => {
        const look = () => navigator.serviceWorker.controller ? done(true) : setTimeout(look, 50); look(); }))";
    assert_eq!(browser.wait_for(kept).await, json!(true));
}

#[tokio::test]
async fn no_request_leaves_after_the_first_load_but_the_look_for_a_newer_version() {
    let profile = tempfile::tempdir().expect("a scratch folder");
    let host = Host::start(&Host::folder(), 0);
    let (address, port) = (host.address.clone(), host.port());
    let mut browser = Browser::keeping(profile.path()).await;
    browser.goto(&address).await;
    browser.reads("Load the demo bench").await;
    kept(&browser).await;
    host.end();
    // Whoever comes now is heard, and gets no answer.
    let heard = Arc::new(Mutex::new(Vec::new()));
    let listener = TcpListener::bind(("127.0.0.1", port)).expect("the port is free again");
    let listening = Arc::clone(&heard);
    std::thread::spawn(move || {
        for stream in listener.incoming().flatten() {
            let mut line = String::new();
            if BufReader::new(&stream).read_line(&mut line).is_ok() && !line.is_empty() {
                listening.lock().expect("nobody panics with it").push(line.trim().to_owned());
            }
        }
    });
    browser.goto(&address).await;
    browser.tap_named("Load the demo bench").await;
    browser.reads("Start an audition").await;
    for route in ["#/drawer", "#/logbook", "#/safety", "#/settings", "#/carry", "#/bench"] {
        browser.route(route).await;
        browser.find("h1").await;
    }
    browser.route("#/settings").await;
    browser.reads("The log on this phone").await;
    browser.reads("Nothing is sent anywhere").await;
    browser.close().await;
    let heard = heard.lock().expect("nobody panics with it").clone();
    assert!(heard.iter().all(|line| line.starts_with("GET /sw.js ")), "{heard:?}");
}

#[tokio::test]
async fn one_window_has_the_log_and_another_can_take_it_over() {
    let profile = tempfile::tempdir().expect("a scratch folder");
    let host = Host::start(&Host::folder(), 0);
    let mut browser = Browser::keeping(profile.path()).await;
    browser.goto(&host.address).await;
    browser.tap_named("Load the demo bench").await;
    browser.reads("Start an audition").await;
    let first = browser.client.window().await.expect("a window");
    let second = browser.client.new_window(true).await.expect("a second window").handle;
    browser.client.switch_to_window(second).await.expect("it is there");
    browser.goto(&host.address).await;
    browser.reads("One at a time can write").await;
    browser.tap_named("Use it here").await;
    browser.reads("Start an audition").await;
    browser.client.switch_to_window(first).await.expect("it is there");
    browser.reads("which has the log now").await;
    browser.close().await;
}

#[tokio::test]
async fn a_newer_version_is_offered_and_used_when_somebody_says_so() {
    let (profile, folder) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    copied(&Host::folder(), folder.path());
    let host = Host::start(folder.path(), 0);
    let mut browser = Browser::keeping(profile.path()).await;
    browser.goto(&host.address).await;
    browser.tap_named("Load the demo bench").await;
    browser.reads("Start an audition").await;
    kept(&browser).await;

    let change = |name: &str, from: &str, to: &str| {
        let path = folder.path().join(name);
        let text = std::fs::read_to_string(&path).expect("a file");
        assert!(text.contains(from), "{name}");
        std::fs::write(path, text.replace(from, to)).expect("changed");
    };
    change("index.html", "<title>", "<meta name=\"later\" content=\"yes\" /><title>");
    change("sw.js", "const VERSION = '", "const VERSION = 'later ");
    browser.goto(&host.address).await;
    browser.find("[data-newer]").await;
    assert!(!browser.has("meta[name=later]").await, "all files are of the old version until then");
    // Never in the middle of an audition.
    browser.tap_named("Start an audition").await;
    browser.find("[data-step=choose]").await;
    assert!(!browser.has("[data-newer]").await);
    browser.route("#/bench").await;
    browser.find("[data-newer] button").await;
    // Whoever sees nothing happen taps again.
    for seconds in 0..30 {
        if browser.has("meta[name=later]").await {
            break;
        }
        if seconds % 5 == 0 {
            browser.run("document.querySelector('[data-newer] button')?.click()").await;
        }
        tokio::time::sleep(std::time::Duration::from_secs(1)).await;
    }
    browser.find("meta[name=later]").await;
    browser.reads("Start an audition").await;
    assert!(!browser.has("[data-newer]").await);
    browser.close().await;
}

/// WebKitGTK has no files of a page as it comes, and a driven one, where they are switched on, is a private window.
#[tokio::test]
async fn a_browser_without_room_for_a_log_is_named() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let host = Host::start(&Host::folder(), 0);
    for (features, words) in [
        ("-StorageAPI", "This browser can’t keep a log in a page. Use a newer one"),
        ("StorageAPI,FileSystem,FileSystemWritableStream,AccessHandle", "A private window can’t keep one."),
    ] {
        let browser = Browser::plain_webkit(features, folder.path()).await;
        browser.goto(&host.address).await;
        browser.reads(words).await;
        assert!(!browser.has("nav").await, "{features}: no pages without a log");
        browser.close().await;
    }
}

fn copied(from: &Path, to: &Path) {
    for entry in std::fs::read_dir(from).expect("a folder").flatten() {
        let target = to.join(entry.file_name());
        if entry.path().is_dir() {
            std::fs::create_dir_all(&target).expect("made");
            copied(&entry.path(), &target);
        } else {
            std::fs::copy(entry.path(), target).expect("copied");
        }
    }
}

/// What a clock and chance decide: instants, days, and names that a bench gives.
fn undated(value: &mut Value) {
    match value {
        Value::String(text) => {
            let is_instant = text.len() >= 20 && text.as_bytes()[10] == b'T' && text.ends_with('Z');
            let is_given = text.len() == 36 && text.as_bytes()[8] == b'-' && !text.starts_with("019a3c5f");
            if is_instant || is_given {
                *text = "given".to_owned();
            }
        }
        Value::Array(all) => all.iter_mut().for_each(undated),
        Value::Object(all) => all.values_mut().for_each(undated),
        _ => {}
    }
}

/// Where two answers are not the same: every word and every number shown is to the last digit; a bare number that is not shown
/// may end otherwise, as sines of two libraries of mathematics do, and a search that ends once it is near enough.
fn unlike(there: &Value, here: &Value, path: &str) -> Option<String> {
    match (there, here) {
        (Value::Number(one), Value::Number(other)) => {
            let (one, other) = (one.as_f64().unwrap_or(f64::NAN), other.as_f64().unwrap_or(f64::NAN));
            let near = (one - other).abs() <= 1e-7 * one.abs().max(other.abs()).max(1e-3);
            (!near).then(|| format!("{path}: {one} there, {other} here"))
        }
        (Value::Array(one), Value::Array(other)) if one.len() == other.len() => {
            let mut pairs = one.iter().zip(other).enumerate();
            pairs.find_map(|(at, (one, other))| unlike(one, other, &format!("{path}/{at}")))
        }
        (Value::Object(one), Value::Object(other)) if one.len() == other.len() => one
            .iter()
            .find_map(|(name, one)| unlike(one, other.get(name).unwrap_or(&Value::Null), &format!("{path}/{name}"))),
        (one, other) => (one != other).then(|| format!("{path}: {one} there, {other} here")),
    }
}

/// Every worked example asked of the worker and of the native program, equal to the last digit shown.
#[tokio::test]
async fn what_is_computed_there_is_what_is_computed_here() {
    let (profile, log) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let asks =
        std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("../src-tauri/core/tests/core/form.jsonl"))
            .expect("the worked examples");
    let asks: Vec<Value> = asks.lines().map(|line| serde_json::from_str(line).expect("JSON")).collect();
    // Bundles are worked on beside the bench here, and at once there.
    let beside = ["bundle_of", "pack_bundle", "carry", "take_in", "call_off"];
    let asks = asks.into_iter().filter(|ask| ask["ask"].as_str().is_some_and(|name| !beside.contains(&name)));
    // The same clock for both.
    let (start, step) = (1_795_000_000_000, 1000);
    let clock =
        SteppingClock::new(DateTime::from_timestamp_millis(start).expect("an instant"), TimeDelta::milliseconds(step));
    let bench = Bench::open(log.path(), Box::new(clock), &SystemDice).expect("a log");
    let worker = Worker::start_by(profile.path(), 0, Some((start, step))).await;
    let mut answered = 0;
    for ask in asks {
        let mut here: Value = serde_json::from_slice(&bench.answer(ask.to_string().as_bytes())).expect("JSON");
        let mut there = worker.ask(&ask).await;
        undated(&mut here);
        undated(&mut there);
        assert_eq!(unlike(&there, &here, ""), None, "{ask}");
        answered += usize::from(here.get("ok").is_some());
    }
    assert!(answered > 150, "only {answered} were answered");
    worker.close().await;
}

/// A bundle from a computer and back: the same entries, to the letter.
#[tokio::test]
async fn a_bundle_from_a_computer_and_back_gives_equal_folds() {
    let (profile, log) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let back = tempfile::tempdir().expect("a folder");
    demo(log.path());
    let bench = |folder: &Path| Bench::open(folder, Box::new(SystemClock), &SystemDice).expect("a log");
    let folds = |bench: &Bench| {
        let asks = [
            json!({"ask": "bench"}),
            json!({"ask": "drawer", "retired": true}),
            json!({"ask": "logbook", "find": Find::default()}),
        ];
        asks.map(|ask| {
            let mut answer: Value = serde_json::from_slice(&bench.answer(ask.to_string().as_bytes())).expect("JSON");
            undated(&mut answer);
            answer
        })
    };
    let packed = log.path().join("there.zip");
    solderlast_tests::worker::pack(log.path(), &packed);
    let worker = Worker::start(profile.path(), 0).await;
    let carry = "019a3c5f-7e00-7000-8000-00000000aaaa";
    let looked = worker.send_bundle(carry, &packed).await;
    assert!(looked["ok"].is_object(), "{looked}");
    worker.ask(&json!({"ask": "take_in", "carry": carry})).await;
    let taken = worker.ask(&json!({"ask": "carry"})).await;
    assert_eq!(taken["ok"]["carry"]["standing"], "done", "{taken}");
    let other = "019a3c5f-7e00-7000-8000-00000000bbbb";
    worker.ask(&json!({"ask": "pack_bundle", "carry": other, "auditions": []})).await;
    let bytes = worker.bundle(other).await;
    worker.close().await;
    let returned = log.path().join("back.zip");
    std::fs::write(&returned, bytes).expect("written");
    solderlast_tests::worker::take_in(back.path(), &returned);
    assert_eq!(folds(&bench(back.path())), folds(&bench(log.path())));
}
