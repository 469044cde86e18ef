//! The log taken along: packed on one bench, brought in on another in a real browser, twice, and equal; a bundle that was
//! changed on its way; tables; and the bench card, which is one page of paper.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use http::Method;
use rusqlite::Connection;
use serde_json::{Value, json};

use solderlast_testkit::limits::output;
use solderlast_tests::bench::{demo, name, seeded};
use solderlast_tests::browser::{Browser, Server};

/// Every row of the log, by its name.
fn rows(log: &Path) -> BTreeMap<Vec<u8>, String> {
    let conn = Connection::open(log.join("solderlast.db")).expect("the log opens");
    let mut select = conn.prepare("SELECT id, at, bench, thing, about, kind, body FROM entry").expect("a table");
    let rows = select.query_map([], |row| {
        let (at, bench, thing): (i64, Vec<u8>, String) = (row.get(1)?, row.get(2)?, row.get(3)?);
        let (about, kind, body): (Vec<u8>, String, String) = (row.get(4)?, row.get(5)?, row.get(6)?);
        Ok((row.get(0)?, format!("{at} {bench:?} {thing} {about:?} {kind} {body}")))
    });
    rows.expect("rows").collect::<Result<_, _>>().expect("rows")
}

/// A browser that keeps what it saves in this folder.
async fn saving_to(folder: &Path) -> Browser {
    let browser = Browser::phone(false).await;
    saves_to(&browser, folder).await;
    browser
}

/// Has a browser keep what it saves in this folder.
pub(super) async fn saves_to(browser: &Browser, folder: &Path) {
    let parameters = json!({"behavior": "allow", "downloadPath": folder.to_string_lossy()});
    devtools(browser, "Browser.setDownloadBehavior", &parameters).await;
}

/// Has Chromium do something by its developer protocol.
async fn devtools(browser: &Browser, command: &str, parameters: &Value) -> Value {
    let wish = Devtools(json!({"cmd": command, "params": parameters}).to_string());
    browser.client.issue_cmd(wish).await.expect("Chromium does it")
}

#[derive(Debug)]
struct Devtools(String);

impl fantoccini::wd::WebDriverCompatibleCommand for Devtools {
    fn endpoint(&self, base: &url::Url, session: Option<&str>) -> Result<url::Url, url::ParseError> {
        base.join(&format!("session/{}/goog/cdp/execute", session.unwrap_or_default()))
    }

    fn method_and_body(&self, _: &url::Url) -> (Method, Option<String>) {
        (Method::POST, Some(self.0.clone()))
    }
}

/// Waits until a file whose name ends like this is saved whole.
pub(super) async fn saved(folder: &Path, ending: &str) -> PathBuf {
    let begun = Instant::now();
    loop {
        let files = std::fs::read_dir(folder).expect("a folder").filter_map(|file| file.ok().map(|file| file.path()));
        let mut found: Vec<PathBuf> = files.filter(|path| path.to_string_lossy().ends_with(ending)).collect();
        found.sort();
        if let Some(path) = found.pop() {
            return path;
        }
        assert!(begun.elapsed() < Duration::from_secs(20), "nothing like {ending} was saved");
        tokio::time::sleep(Duration::from_millis(50)).await;
    }
}

/// Gives a file to the page, as a person does who chooses it.
pub(super) async fn choose(browser: &Browser, file: &Path) {
    let input = browser.find("input[type=file]").await;
    input.send_keys(&file.to_string_lossy()).await.expect("a file that can be chosen");
}

#[tokio::test]
async fn a_bundle_is_carried_to_a_fresh_log_twice_and_the_logs_are_equal() {
    let (here, there) = (tempfile::tempdir().expect("a folder"), tempfile::tempdir().expect("a folder"));
    let downloads = tempfile::tempdir().expect("a folder");
    demo(here.path());
    seeded(here.path());
    let server = Server::start(here.path());
    let mut browser = saving_to(downloads.path()).await;
    browser.goto(&server.address).await;
    browser.route("#/settings").await;
    browser.tap_named("Take the log along").await;
    browser.reads("The bundle would hold 5 auditions").await;
    browser.tap_named("Pack the whole log").await;
    browser.reads("Packed: 5 auditions").await;
    browser.tap_named("Save the file").await;
    let bundle = saved(downloads.path(), ".zip").await;
    browser.tap_named("Done with it").await;
    browser.reads("The bundle would hold").await;

    // One audition alone, with what it is about.
    browser.route(&format!("#/past/{}", name("audition"))).await;
    browser.tap_named("Take this audition along").await;
    browser.reads("The bundle would hold 1 audition, 1 pickup, 1 guitar and 1 rig").await;
    browser.tap_named("The whole log instead").await;
    browser.reads("The bundle would hold 5 auditions").await;

    // Tables, of what is looked for in the logbook.
    browser.tap_named("Readings").await;
    let readings = std::fs::read_to_string(saved(downloads.path(), "readings.csv").await).expect("a table");
    assert!(readings.starts_with("audition,begun (UTC),pickup,"), "{readings}");
    assert!(readings.lines().count() > 6, "{readings}");
    browser.close().await;
    drop(server);

    // On the other bench.
    let server = Server::start(there.path());
    let mut browser = saving_to(downloads.path()).await;
    browser.goto(&server.address).await;
    browser.route("#/carry").await;
    browser.reads("There is nothing to carry yet").await;
    choose(&browser, &bundle).await;
    browser.reads("This is what it would bring").await;
    browser.reads("New here: 5 auditions").await;
    assert!(rows(there.path()).is_empty(), "nothing is written before it is read");
    browser.tap_named("Leave it").await;
    browser.reads("Choose the file").await;
    assert!(rows(there.path()).is_empty());
    choose(&browser, &bundle).await;
    browser.tap_named("Bring it in").await;
    browser.reads("Brought in: 5 auditions").await;
    browser.named("To the Logbook").await;
    assert_eq!(rows(there.path()), rows(here.path()));

    // Once more: nothing new, and nothing changed.
    choose(&browser, &bundle).await;
    browser.reads("Everything in it is here already").await;
    browser.tap_named("Good").await;
    assert_eq!(rows(there.path()), rows(here.path()));

    // Changed on its way.
    let mut bytes = std::fs::read(&bundle).expect("a bundle");
    let middle = bytes.len() / 2;
    bytes[middle] ^= 0x40;
    let changed = downloads.path().join("changed.zip");
    std::fs::write(&changed, &bytes).expect("written");
    choose(&browser, &changed).await;
    browser.reads("your log is as it was").await;
    assert_eq!(rows(there.path()), rows(here.path()));

    // What came is there to be read, the demo bench still marked.
    browser.route("#/logbook").await;
    browser.reads("Paper crane").await;
    browser.reads("Demo").await;
    browser.close().await;
}

/// How many pages a PDF has, and its words, as poppler's programs tell.
fn looked_at(pdf: &Path) -> (u32, String) {
    let told = |program: &str, arguments: &[&str]| {
        let output = output(Command::new(program).args(arguments).arg(pdf).arg("-"), b"");
        let output =
            output.unwrap_or_else(|error| panic!("{program} can't be started ({error}): .ci/install installs it"));
        String::from_utf8_lossy(&output.stdout).into_owned()
    };
    let text = told("pdftotext", &["-layout"]);
    let pages = text.matches('\u{c}').count();
    (u32::try_from(pages).unwrap_or(0), text)
}

#[tokio::test]
async fn a_bench_card_is_one_page() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    seeded(log.path());
    let server = Server::start(log.path());
    let browser = Browser::phone(true).await;
    browser.goto(&server.address).await;
    browser.route("#/logbook").await;
    browser.reads("Paper crane").await;
    let links =
        browser.run("return [...document.querySelectorAll('main a[href^=\"#/past/\"]')].map(a => a.hash)").await;
    let mut links: Vec<String> =
        links.as_array().into_iter().flatten().filter_map(|link| Some(link.as_str()?.to_owned())).collect();
    let seeded = format!("#/past/{}", name("audition"));
    if !links.contains(&seeded) {
        links.push(seeded);
    }
    assert_eq!(links.len(), 5, "{links:?}");
    for link in links {
        browser.route(&link).await;
        browser.find(&format!(".paper[data-of=\"{}\"]", link.trim_start_matches("#/past/"))).await;
        for (sheet, width, height) in [("A4", 8.27, 11.69), ("Letter", 8.5, 11.0)] {
            let parameters = json!({"paperWidth": width, "paperHeight": height, "preferCSSPageSize": false, "printBackground": true});
            let printed = devtools(&browser, "Page.printToPDF", &parameters).await;
            let pdf = log.path().join("card.pdf");
            std::fs::write(&pdf, STANDARD.decode(printed["data"].as_str().unwrap_or_default()).expect("base64"))
                .expect("written");
            if let Some(folder) = std::env::var_os("SOLDERLAST_PICTURES") {
                let file = Path::new(&folder).join(format!("card-{sheet}-{}.pdf", &link[link.len() - 4..]));
                let _ = std::fs::copy(&pdf, file);
            }
            let (pages, words) = looked_at(&pdf);
            assert_eq!(pages, 1, "{sheet}, {link}: {words}");
            for word in ["BENCH CARD", "Readings", "Expected", "Hookup", "Cautions read"] {
                assert!(words.contains(word), "{sheet}, {link}: no {word} in {words}");
            }
            assert!(!words.contains("Erase for good") && !words.contains("Everything written"), "{words}");
        }
    }
    browser.close().await;
}

/// A log that lost a page and had no copy: what became of it is said on the first page, and printed; and the check under
/// Settings finds the log sound.
#[tokio::test]
async fn what_became_of_a_damaged_log_is_said_and_printed() {
    let log = tempfile::tempdir().expect("a scratch folder");
    demo(log.path());
    let file = log.path().join("solderlast.db");
    let mut bytes = std::fs::read(&file).expect("a log");
    let at = bytes.windows(4).position(|four| four == b"neck").expect("the demo has a neck pickup");
    bytes[at / 4096 * 4096..][..4096].fill(0);
    std::fs::write(&file, bytes).expect("damaged");
    let server = Server::start(log.path());
    let mut browser = Browser::phone(false).await;
    browser.goto(&server.address).await;
    browser.reads("was set aside as").await;
    let name = "return document.querySelector('.notice b').textContent";
    let said = browser.run(name).await.as_str().expect("a sentence").to_owned();
    let printed = devtools(&browser, "Page.printToPDF", &json!({"paperWidth": 8.27, "paperHeight": 11.69})).await;
    let pdf = log.path().join("notice.pdf");
    std::fs::write(&pdf, STANDARD.decode(printed["data"].as_str().unwrap_or_default()).expect("base64"))
        .expect("written");
    let (pages, words) = looked_at(&pdf);
    assert_eq!(pages, 1, "{words}");
    let plain = |text: &str| text.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(plain(&words).contains(&plain(&said)), "{said}: {words}");
    assert!(!words.contains("I have read this") && !words.contains("Go on where you were"), "{words}");
    browser.route("#/settings").await;
    browser.tap_named("Check the log").await;
    browser.reads("The log is sound.").await;
    browser.route("#/").await;
    browser.tap_named("I have read this").await;
    let began = std::time::Instant::now();
    while browser.has(".notice").await {
        assert!(began.elapsed().as_secs() < 20, "it is put away");
        tokio::time::sleep(std::time::Duration::from_millis(50)).await;
    }
    browser.close().await;
}
