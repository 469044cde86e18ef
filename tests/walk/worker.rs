//! The worker of the page that is a bench itself, asked by a script as the page asks it.

use std::path::Path;
use std::time::{Duration, Instant};

use serde_json::{Value, json};

use crate::browser::{Browser, Host};

/// A worker in a browser with this profile, and nothing else of the page.
pub struct Worker {
    /// Where it runs.
    pub browser: Browser,
    host: Host,
}

const SCRIPT: &str = "
  const address = new URL(arguments[0], location.origin).href;
  const [start, step] = arguments[1] ?? [0, 0];
  const stepping = `import '${address}'; let at = ${start - step}; Date.now = () => (at += ${step});`;
  const source = step === 0 ? address : URL.createObjectURL(new Blob([stepping], { type: 'text/javascript' }));
  const worker = new Worker(source, { type: 'module' });
  const waiting = new Map();
  let number = 0;
  window.acknowledged = [];
  worker.onmessage = ({ data }) => {
    if ('sent' in data) return;
    waiting.get(data.number)?.(data.given?.body ?? JSON.stringify({ failed: data.failed }));
    waiting.delete(data.number);
  };
  window.wants = (wanted) => new Promise((done) => { number += 1; waiting.set(number, done); worker.postMessage({ number, wanted }); });
  window.asks = (ask) => window.wants({ kind: 'ask', ask: JSON.stringify(ask), has: null });
";

impl Worker {
    /// Starts one, and waits until its log is open.
    pub async fn start(profile: &Path, port: u16) -> Self {
        Self::start_by(profile, port, None).await
    }

    /// Starts one of the page that was built into this folder.
    pub async fn of(page: &Path, profile: &Path, port: u16) -> Self {
        Self::begin(page, profile, port, None).await
    }

    /// Starts one whose clock shows an instant first, then moves by a fixed span at each look; both in milliseconds.
    pub async fn start_by(profile: &Path, port: u16, clock: Option<(i64, i64)>) -> Self {
        Self::begin(&Host::folder(), profile, port, clock).await
    }

    async fn begin(folder: &Path, profile: &Path, port: u16, clock: Option<(i64, i64)>) -> Self {
        let host = Host::start(folder, port);
        let browser = Browser::keeping(profile).await;
        // A picture of the folder: a page of this origin without a script of its own.
        browser.goto(&format!("{}icons/192.png", host.address)).await;
        let files = std::fs::read_dir(folder.join("assets")).expect("a folder");
        let names = files.filter_map(|file| file.ok()?.file_name().into_string().ok());
        let name = names.into_iter().find(|name| name.starts_with("worker-")).expect("a worker");
        let script = vec![json!(format!("/assets/{name}")), json!(clock)];
        browser.client.execute(SCRIPT, script).await.expect("a script that runs");
        let begun = browser.wait_for("wants({ kind: 'start' })").await;
        assert_eq!(begun, json!(""), "the log opens");
        Self { browser, host }
    }

    /// Its port.
    pub fn port(&self) -> u16 {
        self.host.port()
    }

    /// Asks one question.
    pub async fn ask(&self, ask: &Value) -> Value {
        let answer = self.browser.wait_for(&format!("asks({ask})")).await;
        serde_json::from_str(answer.as_str().unwrap_or_default()).unwrap_or(answer)
    }

    /// Has it write these one after the other, each when the one before was acknowledged, without waiting for the end.
    pub async fn write_on(&self, asks: &[Value]) {
        let asks = json!(asks);
        let script = format!(
            "void (async () => {{ for (const ask of {asks}) {{ if (JSON.parse(await asks(ask)).ok) acknowledged.push(ask.entry); }} }})();"
        );
        self.browser.run(&script).await;
    }

    /// The entries that were acknowledged until now.
    pub async fn acknowledged(&self) -> Vec<String> {
        let told = self.browser.run("return acknowledged").await;
        serde_json::from_value(told).unwrap_or_default()
    }

    /// Waits until so many are acknowledged.
    pub async fn has_acknowledged(&self, count: usize) {
        let begun = Instant::now();
        while self.acknowledged().await.len() < count {
            assert!(begun.elapsed() < Duration::from_secs(60), "{count} entries were not written in a minute");
            tokio::time::sleep(Duration::from_millis(5)).await;
        }
    }

    /// Kills every process of the browser.
    pub fn kill(mut self, profile: &Path) {
        self.browser.crash(profile);
        self.host.end();
    }

    /// Ends it.
    pub async fn close(self) {
        self.browser.close().await;
        self.host.end();
    }
}

/// Runs the program on a log; it has to succeed.
fn program_on(log: &Path, words: &[&str], file: &Path) {
    let mut command = std::process::Command::new(crate::browser::program("solderlast"));
    let done = command.args(words).arg(file).arg("--log").arg(log).status().expect("a program that starts");
    assert!(done.success(), "{words:?}");
}

/// Packs a log on this computer, recordings and all.
pub fn pack(log: &Path, file: &Path) {
    program_on(log, &["export", "--takes"], file);
}

/// Takes a bundle in on this computer.
pub fn take_in(log: &Path, file: &Path) {
    program_on(log, &["import"], file);
}

impl Worker {
    /// Sends a bundle, and has it looked into.
    pub async fn send_bundle(&self, carry: &str, file: &Path) -> Value {
        use base64::Engine as _;
        let bytes = base64::engine::general_purpose::STANDARD.encode(std::fs::read(file).expect("a bundle"));
        let script = format!(
            "(async () => {{ const text = atob('{bytes}'); const file = new Blob([Uint8Array.from(text, (c) => c.charCodeAt(0))]);
              return wants({{ kind: 'send', path: '/bundle/{carry}', file }}); }})()"
        );
        let answer = self.browser.wait_for(&script).await;
        serde_json::from_str(answer.as_str().unwrap_or_default()).unwrap_or(answer)
    }

    /// A packed bundle.
    pub async fn bundle(&self, carry: &str) -> Vec<u8> {
        use base64::Engine as _;
        let script = format!(
            "(async () => {{ const file = await wants({{ kind: 'get', path: '/bundle/{carry}' }});
              const bytes = new Uint8Array(await file.arrayBuffer()); let text = '';
              for (const byte of bytes) text += String.fromCharCode(byte); return btoa(text); }})()"
        );
        let text = self.browser.wait_for(&script).await;
        base64::engine::general_purpose::STANDARD.decode(text.as_str().unwrap_or_default()).expect("a bundle")
    }
}
