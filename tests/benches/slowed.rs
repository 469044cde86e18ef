//! A browser whose processor is slowed down, as a phone's is beside a desk's.

use std::time::Duration;

use serde_json::json;

use solderlast_tests::browser::{Browser, Server};

use crate::timing::Timings;

/// How many times slower.
pub const SLOWED: u32 = 4;

/// Lets these scripts run before those of every page the browser opens, and never lets it have files whose address holds
/// one of `without`.
pub async fn prepare(browser: &Browser, script: &str, without: &[&str]) {
    browser.pass("Page.addScriptToEvaluateOnNewDocument", json!({"source": script})).await;
    let urls: Vec<String> = without.iter().map(|part| format!("*{part}*")).collect();
    browser.pass("Network.enable", json!({})).await;
    browser.pass("Network.setBlockedURLs", json!({"urls": urls})).await;
}

/// A phone's browser on the first page of this bench, in which the script ran before the page did.
pub async fn watched(server: &Server, script: &str) -> Browser {
    let browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    // A script may tap the sound on its way, and the page's rules would keep that from it.
    browser.pass("Page.enable", json!({})).await;
    browser.pass("Page.setBypassCSP", json!({"enabled": true})).await;
    prepare(&browser, script, &[]).await;
    // Another address with the same page in it would not load it anew.
    browser.client.refresh().await.expect("a page that loads");
    browser
}

/// The times that a script in the page took, in milliseconds.
pub fn timed(took: &serde_json::Value) -> Timings {
    let mut timings = Timings::new();
    for time in took.as_array().into_iter().flatten().filter_map(serde_json::Value::as_f64) {
        timings.push(Duration::from_secs_f64(time.max(0.0) / 1e3));
    }
    timings
}

/// Slows the browser down from now on. Answers how long a loop takes before, in milliseconds, and how many times longer it
/// takes after.
pub async fn slow_down(browser: &Browser) -> (f64, f64) {
    let before = looped(browser).await;
    browser.pass("Emulation.setCPUThrottlingRate", json!({"rate": SLOWED})).await;
    let times = looped(browser).await / before;
    assert!(times > f64::from(SLOWED) * 0.5, "the processor was slowed down {times} times only");
    (before, times)
}

async fn looped(browser: &Browser) -> f64 {
    let took = browser
        .run(
            "const once = () => { const begun = performance.now(); let sum = 0;
               for (let i = 0; i < 1e7; i += 1) sum = (sum * 31 + i) | 0;
               return [performance.now() - begun, sum]; };
             const all = Array.from({length: 15}, () => once()[0]).sort((a, b) => a - b);
             return all[7];",
        )
        .await;
    took.as_f64().expect("a time was taken")
}
