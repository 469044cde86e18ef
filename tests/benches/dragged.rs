//! A knob dragged on a slow phone: how long after the pointer has moved the curve of where the knob then stands is drawn.

use std::path::{Path, PathBuf};
use std::time::Duration;

use solderlast_tests::bench::{name, seeded};
use solderlast_tests::browser::Server;

use crate::slowed::{SLOWED, slow_down, timed, watched};
use crate::timing::{Report, Timings};

/// How often the knob goes down and up again, and in how many moves each.
const DRAGS: usize = 3;
const MOVES: usize = 30;
/// Between two moves, as a finger's screen tells of them.
const BETWEEN: Duration = Duration::from_millis(33);
/// How long somebody looks at the curve before a knob is turned, and between two times.
const LOOKS: Duration = Duration::from_secs(2);
/// The budget, in milliseconds.
const MOST: f64 = 16.0;
/// A page with nothing but a knob that says where it stands: what a browser takes for that alone.
const BARE: &str = "data:text/html,<meta name=viewport content='width=device-width'><p data-circuit class=knob>\
    <input type=range min=0 max=10 step=0.25 value=10 style='width:100%25;height:48px' \
    oninput='this.parentNode.dataset.drawn=this.value'><p>Not measured";

pub fn measure(folder: &Path, report: &mut Report) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    for slowed in [false, true] {
        let how = if slowed { format!(", its processor slowed down {SLOWED} times") } else { String::new() };
        report.title(&format!("A knob dragged in Chromium at 390 x 844{how}"));
        let dragged = |bare| dragged(folder.join(format!("dragged-{slowed}-{bare}")), slowed, bare);
        let bare = runtime.block_on(dragged(true));
        report.timings("a knob alone on a page, beside it", &bare, f64::INFINITY, f64::INFINITY);
        let timings = runtime.block_on(dragged(false));
        let what = format!("the knob moved to its curve drawn, {} places", timings.count());
        report.timings(&what, &timings, MOST, f64::INFINITY);
    }
}

async fn dragged(log: PathBuf, slowed: bool, bare: bool) -> Timings {
    seeded(&log);
    let server = Server::start(&log);
    let browser = watched(&server, include_str!("dragged.js")).await;
    if bare {
        browser.goto(BARE).await;
    } else {
        browser.route(&format!("#/fit/{}/sound", name("fit"))).await;
    }
    browser.reads("Not measured").await;
    if slowed {
        slow_down(&browser).await;
    }
    let parts: Vec<f64> = (0..=2 * MOVES).map(|step| (step as f64 / MOVES as f64 - 1.0).abs()).collect();
    for _ in 0..DRAGS {
        tokio::time::sleep(LOOKS).await;
        browser.drag(".knob input", &parts, BETWEEN).await;
    }
    tokio::time::sleep(Duration::from_millis(500)).await;
    let took = browser.run("return dragged").await;
    browser.close().await;
    let timings = timed(&took);
    assert!(timings.count() >= MOVES, "the curve followed the knob {} times only", timings.count());
    timings
}
