//! A browser whose processor is slowed down, as a phone's is beside a desk's.

use serde_json::json;

use solderlast_tests::browser::Browser;

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
