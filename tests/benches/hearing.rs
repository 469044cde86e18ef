//! Two takes side by side on a slow phone: how long after a tap the other one is what the loudspeaker gives.
//!
//! Each sample that the page plays is listened to. The takes are two tones, so which of them it is can be heard; to about 2 ms.

use std::path::Path;
use std::time::Duration;

use solderlast_tests::bench::{TAKES, recorded, seeded};
use solderlast_tests::browser::Server;

use crate::slowed::{SLOWED, slow_down, timed, watched};
use crate::timing::{Report, Timings};

const SWITCHES: usize = 20;
/// Between the pitches of the two, in Hz.
const BETWEEN: f64 = 400.0;
/// The budget, in milliseconds.
const MOST: f64 = 50.0;

pub fn measure(folder: &Path, report: &mut Report) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    for slowed in [false, true] {
        let how = if slowed { format!(", its processor slowed down {SLOWED} times") } else { String::new() };
        report.title(&format!("Takes switched in Chromium at 390 x 844{how}"));
        let timings = runtime.block_on(switched(&folder.join(format!("hearing-{slowed}")), slowed, report));
        let what = format!("a tap to the other take, heard, {} switches", timings.count());
        report.timings(&what, &timings, MOST, f64::INFINITY);
    }
}

async fn switched(log: &Path, slowed: bool, report: &mut Report) -> Timings {
    seeded(log);
    recorded(log);
    let server = Server::start(log);
    let mut browser = watched(&server, include_str!("../journeys/hearing.js")).await;
    browser.route(&format!("#/hear/{}", TAKES.join(","))).await;
    browser.reads("dB louder than").await;
    browser.tap_named("Play").await;
    browser.find("[data-playing=true]").await;
    if slowed {
        slow_down(&browser).await;
    }
    for round in 0..SWITCHES {
        tokio::time::sleep(Duration::from_millis(500)).await;
        let other = (round + 1) % 2;
        browser.tap(&format!("[data-take='{other}']")).await;
        browser.find(&format!("[data-heard='{other}']")).await;
    }
    tokio::time::sleep(Duration::from_millis(500)).await;
    let took = browser.run(&format!("return switched({BETWEEN})")).await;
    let latency = browser.run("return latency()").await.as_f64().unwrap();
    report.note("of which the browser's way to its loudspeaker", &format!("{latency:.0} ms"));
    browser.close().await;
    let timings = timed(&took);
    assert_eq!(timings.count(), SWITCHES, "each switch is heard once: {took}");
    timings
}
