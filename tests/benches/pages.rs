//! The pages on a phone: how much script is sent, how soon the first page can be used, and how soon a tap is answered.
//!
//! A phone is stood in for by Chromium at 390 x 844 with its processor slowed down four times, which a loop in the page
//! confirms. Times are the browser's own: from the start of the navigation, and from a finger's lifting as the event
//! carries it, to the frame in which the first, or the last, of what it changes is drawn. The last comes after the log was
//! written and the new page drawn, so it holds a round trip and a sync of the disk.

use std::collections::BTreeSet;
use std::io::{Read as _, Write as _};
use std::net::TcpStream;
use std::path::Path;
use std::time::Duration;

use serde_json::{Value, json};

use crate::slowed::{SLOWED, prepare, slow_down};
use crate::timing::{Report, Timings};
use solderlast_tests::audition::{Pages, whole_audition};
use solderlast_tests::bench::demo;
use solderlast_tests::browser::{Browser, Server};

/// The budget for the script that the first page and a whole audition need, in bytes on the wire.
const MOST_SCRIPT: usize = 80_000;
/// The budget for the first page, from the start of the navigation to its answer to a press, in milliseconds.
const FIRST_PAGE: f64 = 1000.0;
/// The budget for nineteen taps in twenty, in milliseconds.
const TAP: f64 = 50.0;
/// Files that follow when the first page has come to rest. The walks do without them, so none of them is needed.
const LATER: [&str; 4] = ["/assets/things-", "/assets/aside-", "/assets/compare-", "/assets/meter-"];
const LOADS: usize = 9;
const WALKS: usize = 2;

pub fn measure(folder: &Path, report: &mut Report) {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build().unwrap();
    runtime.block_on(async {
        report.title(&format!("The pages in Chromium at 390 x 844, its processor slowed down {SLOWED} times"));
        first_page(&folder.join("first"), report).await;
        walks(folder, report).await;
    });
}

/// Hands the key over without opening the pages, so that they come into a browser that has never had them.
async fn let_in(browser: &Browser, server: &Server) {
    browser.goto(&format!("{}/icon.svg", server.origin())).await;
    let script = "const [key, done] = arguments;
        fetch('/enter', {method: 'POST', headers: {'content-type': 'application/json'}, body: JSON.stringify({key})})
          .then((answer) => done(answer.ok), () => done(false));";
    let done = browser.client.execute_async(script, vec![json!(server.key())]).await.expect("a script that runs");
    assert_eq!(done, json!(true), "the door let nobody in");
    // Another page of the same server: the process that draws is there, and the pages are not in it.
    browser.goto(&format!("{}/icon.svg", server.origin())).await;
}

/// Opens the Bench page in a browser that has never been here, and presses its first button as soon as it is there.
async fn first_page(log: &Path, report: &mut Report) {
    demo(log);
    let server = Server::start(log);
    let (mut there, mut answered, mut slower) = (Timings::new(), Timings::new(), Vec::new());
    for _ in 0..LOADS {
        let browser = Browser::phone(false).await;
        let_in(&browser, &server).await;
        prepare(&browser, include_str!("first_page.js"), &[]).await;
        slower.push(slow_down(&browser).await);
        browser.goto(server.origin()).await;
        browser.find("[data-step=choose]").await;
        tokio::time::sleep(Duration::from_millis(300)).await;
        let seen = browser.run("return [measured.there, measured.answered]").await;
        there.push(milliseconds(&seen[0]));
        answered.push(milliseconds(&seen[1]));
        browser.close().await;
    }
    slower.sort_by(|a, b| f64::total_cmp(&a.1, &b.1));
    let (before, times) = slower[slower.len() / 2];
    report.note("a loop in the page", &format!("{before:.0} ms before, {times:.1} times slower now"));
    report.timings(&format!("first button drawn, {LOADS} first loads"), &there, f64::INFINITY, FIRST_PAGE);
    report.timings("first button pressed and answered", &answered, f64::INFINITY, FIRST_PAGE);
}

/// Goes through whole auditions, by touch; then asks the server for every script that the pages asked for.
async fn walks(folder: &Path, report: &mut Report) {
    let (mut first, mut all) = (Timings::new(), Timings::new());
    let mut events = Timings::new();
    let mut scripts = BTreeSet::new();
    for number in 0..WALKS {
        let log = folder.join(format!("walk-{number}"));
        demo(&log);
        let server = Server::start(&log);
        let (address, key) = (server.origin().to_owned(), server.key().to_owned());
        let browser = Browser::phone(false).await;
        let_in(&browser, &server).await;
        prepare(&browser, include_str!("taps.js"), &LATER).await;
        slow_down(&browser).await;
        let pages = whole_audition(&log, Pages::opened(server, browser).await, false).await;
        tokio::time::sleep(Duration::from_millis(500)).await;
        let seen = pages.browser.run("return [measured.taps, measured.events, measured.scripts()]").await;
        let of = |number: usize| seen[number].as_array().cloned().unwrap_or_default();
        for tap in of(0) {
            first.push(milliseconds(&tap["first"]));
            all.push(milliseconds(&tap["all"]));
        }
        of(1).iter().for_each(|event| events.push(milliseconds(event)));
        if std::env::var_os("SOLDERLAST_BENCH_TAPS").is_some() {
            of(0).iter().for_each(|tap| println!("    {tap}"));
        }
        let needed = |path: &&str| !LATER.iter().any(|later| path.contains(later));
        scripts.extend(of(2).iter().filter_map(Value::as_str).filter(needed).map(str::to_owned));
        if number + 1 == WALKS {
            sent(&address, &key, &scripts, report);
        }
        pages.browser.close().await;
    }
    report.timings("a tap to the next frame (Event Timing)", &events, TAP, f64::INFINITY);
    report.timings(&format!("a tap to its first visible change, {} taps", first.count()), &first, TAP, f64::INFINITY);
    report.timings("a tap to the last change, written and answered", &all, TAP, f64::INFINITY);
}

/// What of the built script a phone gets: plain HTTP, where browsers ask for gzip.
fn sent(address: &str, key: &str, scripts: &BTreeSet<String>, report: &mut Report) {
    assert!(!scripts.is_empty(), "the pages asked for no script");
    let all = |coding: &str| scripts.iter().map(|path| body(address, key, path, coding)).sum::<usize>();
    let (plain, gzip) = (all("identity"), all("gzip"));
    let what = format!("script for the first page and an audition, {} files", scripts.len());
    report.note(&what, &format!("{plain} bytes plain"));
    report.number(&format!("the same in gzip, at most {MOST_SCRIPT}"), &format!("{gzip} bytes"), gzip <= MOST_SCRIPT);
    let built = Path::new(env!("CARGO_MANIFEST_DIR")).join("../ui/dist/assets");
    let rest = std::fs::read_dir(built).unwrap().filter_map(|file| {
        let path = format!("/assets/{}", file.ok()?.file_name().to_string_lossy());
        (path.ends_with(".js") && !scripts.contains(&path)).then(|| body(address, key, &path, "gzip"))
    });
    report.note("all other script, each when it is first wanted", &format!("{} bytes in gzip", rest.sum::<usize>()));
}

/// How many bytes the body of this file has on the wire in this coding.
fn body(address: &str, key: &str, path: &str, coding: &str) -> usize {
    let host = address.trim_start_matches("http://").trim_end_matches('/');
    let mut wire = TcpStream::connect(host).unwrap();
    let let_in = format!("Authorization: Bearer {key}\r\nAccept-Encoding: {coding}\r\nConnection: close");
    write!(wire, "GET {path} HTTP/1.1\r\nHost: {host}\r\n{let_in}\r\n\r\n").unwrap();
    let mut answer = Vec::new();
    wire.read_to_end(&mut answer).unwrap();
    let end = answer.windows(4).position(|four| four == b"\r\n\r\n").expect("an answer has a head");
    let head = String::from_utf8_lossy(&answer[..end]).to_lowercase();
    assert!(head.starts_with("http/1.1 200") && head.contains("javascript"), "{path}: {head}");
    assert_eq!(head.contains("content-encoding: gzip"), coding == "gzip", "{path}: {head}");
    answer.len() - end - 4
}

fn milliseconds(value: &Value) -> Duration {
    Duration::from_secs_f64(value.as_f64().expect("a time was taken") / 1e3)
}
