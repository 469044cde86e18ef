//! The page that is a bench itself, as `make page` built it: what is sent the first time, how soon it can be used, and what its worker
//! answers.
//!
//! Chromium slows down the thread that draws a page, and no worker. So what a worker takes is told as it is times four.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use std::time::Duration;

use serde_json::{Value, json};
use solderlast_core::ask::examples as examples_of;
use solderlast_core::logbook::{Lists as _, Log};
use solderlast_core::record::names::BenchId;
use solderlast_testkit::Chance;
use solderlast_tests::browser::{Browser, Host};
use solderlast_tests::worker::{Worker, pack};

use crate::generated::{begun, name, write};
use crate::logbook::searches;
use crate::slowed::{SLOWED, prepare, slow_down};
use crate::timing::{Report, Timings};

/// Budgets: bytes that are sent the first time, and milliseconds.
const MOST_SENT: u64 = 2_000_000;
const FIRST_VISIT: f64 = 3000.0;
const LATER_VISIT: f64 = 1000.0;
const LOOK: f64 = 5.0;
const ACKNOWLEDGED: f64 = 30.0;
const SEARCH: f64 = 50.0;
const VISITS: usize = 5;
const TIMES: usize = 100;
const AUDITIONS: u64 = 10_000;

pub fn measure(folder: &Path, report: &mut Report) {
    report.title(&format!("The page that is a bench itself, a processor slowed down {SLOWED} times"));
    let page = built();
    sent(&page, report);
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        visits(&page, report).await;
        asked(&page, report).await;
        logbook(&page, folder, report).await;
    });
}

fn built() -> PathBuf {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../target/page");
    assert!(folder.join("sw.js").is_file(), "the page is not built: run `make page` first");
    folder
}

/// What a host that compresses sends, each file by itself.
fn sent(page: &Path, report: &mut Report) {
    for (coding, program, words) in [("gzip", "gzip", ["-9", "-c"]), ("brotli", "brotli", ["-q11", "-c"])] {
        let mut sum = Some(0);
        for file in files(page) {
            let output = Command::new(program).args(words).arg(&file).stderr(Stdio::null()).output();
            sum = sum
                .zip(output.ok().filter(|output| output.status.success()))
                .map(|(sum, output)| sum + output.stdout.len() as u64);
        }
        match sum {
            Some(sum) => report.number(
                &format!("sent the first time, in {coding}, at most {MOST_SENT}"),
                &format!("{sum} bytes"),
                sum <= MOST_SENT,
            ),
            None => report.note(&format!("sent the first time, in {coding}"), &format!("{program} is not installed")),
        }
    }
}

fn files(folder: &Path) -> Vec<PathBuf> {
    let entries = std::fs::read_dir(folder).unwrap().filter_map(Result::ok).map(|entry| entry.path());
    entries.flat_map(|path| if path.is_dir() { files(&path) } else { vec![path] }).collect()
}

async fn visits(page: &Path, report: &mut Report) {
    let (mut first, mut later) = (Timings::new(), Timings::new());
    for _ in 0..VISITS {
        let profile = tempfile::tempdir().unwrap();
        let host = Host::start(page, 0);
        let browser = Browser::keeping(profile.path()).await;
        // A picture of the host: the process that draws is there, and the page is not in it.
        let picture = format!("{}icons/192.png", host.address);
        browser.goto(&picture).await;
        prepare(&browser, include_str!("first_page.js"), &[]).await;
        slow_down(&browser).await;
        for timings in [&mut first, &mut later] {
            browser.goto(&picture).await;
            browser.goto(&host.address).await;
            browser.find("main button:not([disabled])").await;
            let there = "new Promise((done) => { const look = () => measured.there === undefined ? setTimeout(look, 20) : done(measured.there); look(); })";
            let there = browser.wait_for(there).await;
            timings.push(milliseconds(&there));
            let kept = "navigator.serviceWorker.ready.then(() => new Promise((done) => {
                const look = () => navigator.serviceWorker.controller ? done(true) : setTimeout(look, 50); look(); }))";
            browser.wait_for(kept).await;
        }
        browser.close().await;
        host.end();
    }
    report.timings(
        &format!("first button drawn, {VISITS} first visits, no network in it"),
        &first,
        f64::INFINITY,
        FIRST_VISIT,
    );
    report.timings(&format!("first button drawn, {VISITS} later visits"), &later, f64::INFINITY, LATER_VISIT);
}

/// How long each of these takes on its way to the worker and back, times four. As the page does, each says which answer it still has.
async fn timed(worker: &Worker, asks: &[Value]) -> Timings {
    let script = format!(
        "(async () => {{ const took = []; let has = ''; for (const asked of {}) {{ const ask = JSON.stringify(asked);
           const begun = performance.now(); const said = await wants({{ kind: 'ask', ask, has }});
           took.push(performance.now() - begun); const told = JSON.parse(said);
           if (!('ok' in told || 'since' in told)) return said; has = told.as_of ?? ''; }} return took; }})()",
        json!(asks)
    );
    let took = worker.browser.wait_for(&script).await;
    let mut timings = Timings::new();
    for one in took.as_array().unwrap_or_else(|| panic!("{took}")) {
        timings.push(milliseconds(one) * SLOWED);
    }
    timings
}

async fn asked(page: &Path, report: &mut Report) {
    let profile = tempfile::tempdir().unwrap();
    let worker = Worker::of(page, profile.path(), 0).await;
    // The first of each is compiled as it is run.
    timed(&worker, &vec![json!({"ask": "load_demo"}); 2]).await;
    let looks = [
        ("the Bench page", json!({"ask": "bench"})),
        (
            "what is typed, understood",
            json!({"ask": "understand", "quantity": "coil", "text": "6.66k", "unit": "millimetre"}),
        ),
        ("the Drawer", json!({"ask": "drawer", "retired": false})),
    ];
    // While the browser still compiles what is run often, beside what it runs, and then.
    for (what, ask) in &looks {
        let first = timed(&worker, &vec![ask.clone(); TIMES]).await;
        report.timings(&format!("the first {TIMES} times: {what}"), &first, f64::INFINITY, f64::INFINITY);
    }
    for (what, ask) in looks {
        let timings = timed(&worker, &vec![ask; TIMES]).await;
        report.timings(&format!("asked without the disk: {what}"), &timings, LOOK, f64::INFINITY);
    }
    // An audition up to its meter, as the worked examples write it.
    let examples = tempfile::tempdir().unwrap();
    let all: Vec<Value> = examples_of(examples.path()).unwrap().into_iter().map(|(ask, _)| ask).collect();
    let reads = |ask: &Value| ask["ask"] == "take_reading";
    let first = all.iter().position(reads).expect("an example of a reading");
    let audition = all[first]["audition"].clone();
    let before = all[..=first].iter().filter(|ask| ask["entry"].is_string());
    timed(&worker, &before.cloned().collect::<Vec<_>>()).await;
    for (what, numbers, most) in [
        (format!("the first {TIMES} times: a reading, acknowledged"), 0..TIMES as u64, f64::INFINITY),
        ("a reading, acknowledged".to_owned(), TIMES as u64..2 * TIMES as u64, ACKNOWLEDGED),
    ] {
        let readings = numbers.map(|number| {
            json!({"ask": "take_reading", "entry": name(23, number), "audition": audition, "mode": "series",
                "reading": "13.34k", "room": "21"})
        });
        let timings = timed(&worker, &readings.collect::<Vec<_>>()).await;
        report.timings(&what, &timings, most, f64::INFINITY);
    }
    worker.close().await;
}

async fn logbook(page: &Path, folder: &Path, report: &mut Report) {
    // A browser is handed a file by its whole name.
    let folder = folder.canonicalize().unwrap();
    let (log, bundle) = (folder.join("carried"), folder.join("carried.zip"));
    {
        let mut log = Log::open(&log, begun(0), BenchId(name(7, 2))).unwrap();
        write(&mut log, AUDITIONS);
        log.catch_up().unwrap();
    }
    pack(&log, &bundle);
    let profile = tempfile::tempdir().unwrap();
    let host = Host::start(page, 0);
    let (port, browser) = (host.port(), Browser::keeping(profile.path()).await);
    let mut browser = browser;
    browser.goto(&format!("{}#/carry", host.address)).await;
    browser.find("input[type=file]").await.send_keys(&bundle.to_string_lossy()).await.unwrap();
    browser.reads_within("This is what it would bring", 300).await;
    let began = std::time::Instant::now();
    browser.tap_named("Bring it in").await;
    browser.reads_within("Brought in", 600).await;
    report.note(
        &format!("{AUDITIONS} auditions brought in, not slowed down"),
        &format!("{:.0} s", began.elapsed().as_secs_f64()),
    );
    browser.close().await;
    host.end();
    let worker = Worker::of(page, profile.path(), port).await;
    let mut chance = Chance(5);
    timed(&worker, &[json!({"ask": "logbook", "find": {}})]).await;
    for (what, mut find) in searches(AUDITIONS) {
        let asks: Vec<Value> = (0..TIMES).map(|_| json!({"ask": "logbook", "find": find(&mut chance)})).collect();
        let timings = timed(&worker, &asks).await;
        report.timings(&format!("looked for: {what}"), &timings, SEARCH, f64::INFINITY);
    }
    worker.close().await;
}

fn milliseconds(value: &Value) -> Duration {
    Duration::from_secs_f64(value.as_f64().expect("a time was taken") / 1e3)
}
