//! A coil measured by a sweep, from what to buy to what it is: the page plays it, and a microphone that plays a file answers as a coil
//! would.

use std::path::{Path, PathBuf};
use std::time::Duration;

use serde_json::{Value, json};
use solderlast_core::takes::sweep::{RATE, sent};
use solderlast_testkit::sound::{Samples, Sound};
use solderlast_tests::bench::{name, put, seeded};
use solderlast_tests::browser::{Browser, Server};

const FINER: u32 = 6;

/// The answer of a coil of 2.6 H and 7 kΩ on 390 pF, behind 100 kΩ, stepped through time; a capacitor may be added.
fn answer(folder: &Path, added: f64) -> PathBuf {
    let source = sent(RATE * FINER);
    let step = 1.0 / f64::from(RATE * FINER);
    let across = 390e-12 + added;
    let slope = |volts: f64, current: f64, sent: f64| {
        // The loss lies across the inductance.
        let winding = (volts - 7000.0 * current) / (1.0 + 7000.0 / 600e3);
        let coil = current + winding / 600e3;
        (((sent - volts) / 100e3 - volts / 1e6 - coil) / across, winding / 2.6)
    };
    let (mut volts, mut current) = (0.0, 0.0);
    let mut heard = Vec::new();
    for (at, pair) in source.windows(2).enumerate() {
        if at % FINER as usize == 0 {
            heard.push(0.8 * volts);
        }
        // Runge and Kutta: a plainer step would take some of the capacitance away.
        let middle = 0.5 * (pair[0] + pair[1]);
        let (a, b) = slope(volts, current, pair[0]);
        let (c, d) = slope(volts + 0.5 * step * a, current + 0.5 * step * b, middle);
        let (e, f) = slope(volts + 0.5 * step * c, current + 0.5 * step * d, middle);
        let (g, h) = slope(volts + step * e, current + step * f, pair[1]);
        volts += step / 6.0 * (a + 2.0 * c + 2.0 * e + g);
        current += step / 6.0 * (b + 2.0 * d + 2.0 * f + h);
    }
    // The file begins when the device is opened; it is recorded from a count of three on.
    let mut sound = Sound::silence(RATE, 1, 3.6);
    sound.channels[0].extend(heard);
    let path = folder.join("answer.wav");
    std::fs::write(&path, sound.wav(Samples::Whole(16))).expect("a file");
    path
}

async fn values(browser: &Browser) -> Value {
    let told = asked(browser, &json!({"ask": "coil_values", "pickup": name("pickup")})).await;
    told["ok"]["values"].clone()
}

async fn asked(browser: &Browser, ask: &Value) -> Value {
    browser
        .wait_for(&format!(
            "fetch('/ask', {{method: 'POST', headers: {{'content-type': 'application/json'}}, body: JSON.stringify({ask})}}).then((answer) => answer.json())"
        ))
        .await
}

#[tokio::test]
async fn a_sweep_is_played_recorded_and_tells_the_coil() {
    let (log, profile) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    seeded(log.path());
    // What one sweep alone can't tell: how large all of it is.
    let reading = json!({"coil": "A", "shows": "resistance", "value": "7.00k", "at": "", "within": "1"});
    let entry = "019a3c5f-7e00-7000-8000-00000000c001";
    put(log.path(), [json!({"ask": "meter_component", "entry": entry, "pickup": name("pickup"), "form": reading})]);
    let server = Server::start(log.path());
    let mut browser = Browser::hearing(profile.path(), Some(&answer(log.path(), 0.0))).await;
    browser.goto(&server.address).await;
    // A busy computer begins too late, or leaves gaps in what it plays: that is said, and it is tried again.
    let mut counted = Value::Null;
    for _ in 0..3 {
        browser.route("#/bench").await;
        browser.route(&format!("#/coils/{}", name("pickup"))).await;
        browser.find("[data-coil-values]").await;
        browser.reads("headphones off").await;
        browser.tap("[data-play]").await;
        browser.find("[data-sweep=playing]").await;
        // Ten seconds of sound, and what it takes to keep and to hear them.
        for _ in 0..600 {
            if browser.has("[data-sweep=nothing]").await {
                break;
            }
            tokio::time::sleep(Duration::from_millis(100)).await;
        }
        counted = values(&browser).await;
        if !browser.has("[data-refused]").await {
            break;
        }
    }
    assert_eq!(counted["lines"].as_array().map(Vec::len), Some(2), "{}", browser.text().await);
    let resonance = counted["found"][0]["values"]["resonance"]["value"].as_f64().expect("it rings");
    let truth = 1.0 / (std::f64::consts::TAU * (2.6_f64 * 390e-12).sqrt());
    assert!((resonance / truth - 1.0).abs() < 0.01, "{resonance} Hz, {truth} Hz");
    browser.find("[data-found]").await;
    browser.find("svg.drawing").await;
    browser.close().await;
}

/// Three taps on the same coil, as it rings behind them: a file is chosen, as from a recorder.
#[tokio::test]
async fn recorded_taps_tell_how_a_coil_rings() {
    let log = tempfile::tempdir().expect("a folder");
    seeded(log.path());
    let mut sound = Sound::silence(RATE, 1, 4.2);
    let swings = 1.0 / (std::f64::consts::TAU * (2.6_f64 * 390e-12).sqrt());
    for meets in [1.0, 2.1, 3.2] {
        for (place, sample) in sound.channels[0].iter_mut().enumerate() {
            let seconds = place as f64 / f64::from(RATE) - meets;
            *sample += 0.3
                * if seconds < 0.0 {
                    (seconds / 0.003).exp()
                } else {
                    1.3 * (-4000.0 * seconds).exp() * (std::f64::consts::TAU * swings * seconds).cos()
                        - 0.3 * (-seconds / 0.03).exp()
                };
        }
    }
    let (taps, none) = (log.path().join("taps.wav"), log.path().join("none.wav"));
    std::fs::write(&taps, sound.wav(Samples::Whole(24))).expect("a file");
    std::fs::write(&none, Sound::silence(RATE, 1, 3.0).sine(220.0, 0.2).wav(Samples::Whole(24))).expect("a file");
    let server = Server::start(log.path());
    let mut browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    browser.route(&format!("#/coils/{}", name("pickup"))).await;
    let file = browser.find("[data-ringing] input[type=file]").await;
    file.send_keys(&none.to_string_lossy()).await.expect("a file");
    browser.find("[data-ringing] [data-refused=taps_count]").await;
    file.send_keys(&taps.to_string_lossy()).await.expect("a file");
    browser.reads("The ringing counts.").await;
    let told = values(&browser).await;
    let words = told["lines"][0]["words"].as_str().expect("words").to_owned();
    let told = words
        .strip_prefix("Tapped, coil A rang at ")
        .and_then(|rest| rest.strip_suffix(" Hz"))
        .and_then(|text| text.parse::<f64>().ok());
    assert!(told.is_some_and(|told| (told / swings - 1.0).abs() < 0.005), "{words}, {swings} Hz");
    browser.tap_named("What was measured (1)").await;
    browser.reads(&words).await;
    browser.tap_named("Strike out").await;
    browser.find("[data-measured] s").await;
    browser.close().await;
}

/// The connection is lost while a sweep plays: what was recorded waits, and is sent again.
#[tokio::test]
async fn a_recorded_sweep_waits_for_the_connection() {
    let (log, profile) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    seeded(log.path());
    let server = Server::start(log.path());
    let mut browser = Browser::hearing(profile.path(), Some(&answer(log.path(), 0.0))).await;
    browser.goto(&server.address).await;
    browser.route(&format!("#/coils/{}", name("pickup"))).await;
    browser.find("[data-coil-values]").await;
    let offline =
        |offline: bool| json!({"offline": offline, "latency": 0, "downloadThroughput": -1, "uploadThroughput": -1});
    browser.pass("Network.enable", json!({})).await;
    browser.tap("[data-play]").await;
    browser.find("[data-sweep=playing]").await;
    tokio::time::sleep(Duration::from_secs(5)).await;
    browser.pass("Network.emulateNetworkConditions", offline(true)).await;
    for _ in 0..600 {
        if browser.has("[data-again]").await {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    browser.pass("Network.emulateNetworkConditions", offline(false)).await;
    browser.tap("[data-again]").await;
    // Heard, whatever a busy computer's gaps make of it: it lies beside the log, and is not offered again.
    for _ in 0..300 {
        if browser.has("[data-sweep=nothing]").await && !browser.has("[data-again]").await {
            break;
        }
        tokio::time::sleep(Duration::from_millis(100)).await;
    }
    assert!(!browser.has("[data-again]").await, "{}", browser.text().await);
    let takes = asked(&browser, &json!({"ask": "takes", "about": {"thing": "pickup", "id": name("pickup")}})).await;
    assert_eq!(takes["ok"]["takes"]["takes"].as_array().map(Vec::len), Some(1), "{takes}");
    browser.close().await;
}
