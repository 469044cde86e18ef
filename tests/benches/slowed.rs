//! A browser whose processor is slowed down, as a phone's is beside a desk's.

use fantoccini::wd::WebDriverCompatibleCommand;
use serde_json::{Value, json};

use solderlast_tests::browser::Browser;

/// How many times slower.
pub const SLOWED: u32 = 4;

/// A command of Chromium's own protocol, which chromedriver passes on.
#[derive(Debug)]
struct Passed(Value);

impl WebDriverCompatibleCommand for Passed {
    fn endpoint(&self, base: &url::Url, session: Option<&str>) -> Result<url::Url, url::ParseError> {
        base.join(&format!("session/{}/goog/cdp/execute", session.unwrap_or_default()))
    }

    fn method_and_body(&self, _: &url::Url) -> (http::Method, Option<String>) {
        (http::Method::POST, Some(self.0.to_string()))
    }
}

async fn pass(browser: &Browser, command: &str, params: Value) {
    let passed = Passed(json!({"cmd": command, "params": params}));
    browser.client.issue_cmd(passed).await.expect("a browser that can be slowed down");
}

/// Lets these scripts run before those of every page the browser opens, and never lets it have files whose address holds
/// one of `without`.
pub async fn prepare(browser: &Browser, script: &str, without: &[&str]) {
    pass(browser, "Page.addScriptToEvaluateOnNewDocument", json!({"source": script})).await;
    let urls: Vec<String> = without.iter().map(|part| format!("*{part}*")).collect();
    pass(browser, "Network.enable", json!({})).await;
    pass(browser, "Network.setBlockedURLs", json!({"urls": urls})).await;
}

/// Slows the browser down from now on. Answers how long a loop takes before, in milliseconds, and how many times longer it
/// takes after.
pub async fn slow_down(browser: &Browser) -> (f64, f64) {
    let before = looped(browser).await;
    pass(browser, "Emulation.setCPUThrottlingRate", json!({"rate": SLOWED})).await;
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
