//! The page that is a bench itself, its browser killed while it writes, and its storage full: nothing acknowledged is missing.

use std::path::{Path, PathBuf};
use std::time::Duration;

use rusqlite::Connection;
use serde_json::{Value, json};
use solderlast_testkit::files::files_with;
use solderlast_tests::browser::{Browser, Host};
use solderlast_tests::worker::{Worker, take_in};
use uuid::Uuid;

use crate::bench::{Stock, name};

fn rounds() -> usize {
    std::env::var("SOLDERLAST_KILLS").ok().and_then(|number| number.parse().ok()).unwrap_or(3)
}

/// Holds the log to what was acknowledged, by a bundle of it that is taken in here.
async fn holds(worker: &Worker, acknowledged: &[String], round: usize) {
    let checked = worker.ask(&json!({"ask": "check_log"})).await;
    assert_eq!(checked["ok"]["sentence"], "The log is sound.", "round {round}: {checked}");
    let page = worker.ask(&json!({"ask": "bench"})).await;
    assert_eq!(page["ok"]["bench"]["notices"], json!([]), "round {round}: nothing was damaged");
    let carry = name();
    worker.ask(&json!({"ask": "pack_bundle", "carry": carry, "auditions": []})).await;
    let here = tempfile::tempdir().expect("a folder");
    let bundle = here.path().join("there.zip");
    std::fs::write(&bundle, worker.bundle(&carry).await).expect("written");
    let log = here.path().join("log");
    take_in(&log, &bundle);
    let conn = Connection::open(log.join("solderlast.db")).expect("a log");
    let mut there = conn.prepare("SELECT 1 FROM entry WHERE id = ?1").expect("a table");
    for entry in acknowledged {
        let id = Uuid::parse_str(entry).expect("a name");
        assert!(there.exists([id]).expect("a table"), "round {round}: {entry} is missing");
    }
}

async fn stocked(profile: &Path) -> (Worker, Stock) {
    let worker = Worker::start(profile, 0).await;
    let stock = Stock::new();
    for ask in &stock.asks {
        let answer = worker.ask(ask).await;
        assert!(answer["ok"].is_object(), "{answer}");
    }
    (worker, stock)
}

#[tokio::test]
async fn the_browser_killed_while_it_writes_loses_nothing_that_was_acknowledged() {
    let profile = tempfile::tempdir().expect("a folder");
    let (mut worker, stock) = stocked(profile.path()).await;
    let port = worker.port();
    let (mut number, mut acknowledged) = (0, Vec::new());
    for round in 0..rounds() {
        let audition = name();
        let mut asks: Vec<Value> = vec![stock.choose(&audition)];
        for _ in 0..400 {
            number += 1;
            asks.push(stock.some_write(&audition, number));
        }
        worker.write_on(&asks).await;
        worker.has_acknowledged(2 + 7 * (round % 5)).await;
        acknowledged.extend(worker.acknowledged().await);
        worker.kill(profile.path());
        worker = Worker::start(profile.path(), port).await;
        holds(&worker, &acknowledged, round).await;
    }
    worker.close().await;
}

#[tokio::test]
async fn a_storage_that_is_full_takes_nothing_that_was_acknowledged() {
    let profile = tempfile::tempdir().expect("a folder");
    let (worker, stock) = stocked(profile.path()).await;
    let origin = format!("http://127.0.0.1:{}", worker.port());
    let used = worker.browser.wait_for("navigator.storage.estimate().then((it) => it.usage)").await;
    let quota = used.as_f64().unwrap_or_default() + 400_000.0;
    worker.browser.pass("Storage.overrideQuotaForOrigin", json!({"origin": origin, "quotaSize": quota})).await;
    let mut acknowledged = Vec::new();
    let mut refused = Value::Null;
    for number in 0..600 {
        let audition = stock.audition.clone();
        let ask = json!({"ask": "describe_amp", "entry": name(), "audition": audition, "words": format!("{number} ").repeat(500)});
        let answer = worker.ask(&ask).await;
        if answer["ok"].is_object() {
            acknowledged.push(ask["entry"].as_str().unwrap_or_default().to_owned());
        } else {
            refused = answer;
            break;
        }
    }
    assert_eq!(refused["refused"]["code"], "disk_full", "{refused} after {}", acknowledged.len());
    worker.browser.pass("Storage.overrideQuotaForOrigin", json!({"origin": origin})).await;
    let again = json!({"ask": "describe_amp", "entry": name(), "audition": stock.audition, "words": "room again"});
    let answer = worker.ask(&again).await;
    assert!(answer["ok"].is_object(), "{answer}");
    holds(&worker, &acknowledged, 0).await;
    worker.close().await;
}

/// What of the names of the bench's files begins like this, as it lies on the disk. Nobody may have the files open.
async fn names_on_the_disk(profile: &Path, port: u16, begin: &str) -> usize {
    let host = Host::start(&Host::folder(), port);
    let browser = Browser::keeping(profile).await;
    browser.goto(&format!("{}icons/192.png", host.address)).await;
    let lists = browser
        .wait_for(
            "(async () => { const folder = await (await navigator.storage.getDirectory()).getDirectoryHandle('solderlast');
               const list = async (name) => (await (await folder.getFileHandle(name)).getFile()).text();
               return await list('0') + await list('1'); })()",
        )
        .await;
    browser.close().await;
    host.end();
    lists.as_str().expect("text").matches(begin).count()
}

#[tokio::test]
async fn the_day_s_copy_is_made_when_nobody_asks_and_keeps_nobody_waiting() {
    let profile = tempfile::tempdir().expect("a folder");
    let (worker, stock) = stocked(profile.path()).await;
    let port = worker.port();
    worker.close().await;
    assert_eq!(names_on_the_disk(profile.path(), port, "copies/").await, 0, "nobody waited for a copy");
    let worker = Worker::start(profile.path(), port).await;
    for words in ["checked after it was opened", "copied after that"] {
        let ask = json!({"ask": "describe_amp", "entry": name(), "audition": stock.audition, "words": words});
        assert!(worker.ask(&ask).await["ok"].is_object());
        tokio::time::sleep(Duration::from_secs(13)).await;
    }
    assert!(worker.ask(&json!({"ask": "bench"})).await["ok"].is_object());
    worker.close().await;
    assert!(names_on_the_disk(profile.path(), port, "copies/").await > 0, "it was copied while nobody asked");
}

#[tokio::test]
async fn what_is_erased_is_in_no_file_of_the_browser() {
    let profile = tempfile::tempdir().expect("a folder");
    let (worker, stock) = stocked(profile.path()).await;
    // Checked first, and then copied: the copy has it too.
    for words in ["quokkafold hums", "quokkafold is bright"] {
        let ask = json!({"ask": "describe_amp", "entry": name(), "audition": stock.audition, "words": words});
        assert!(worker.ask(&ask).await["ok"].is_object());
        worker.ask(&json!({"ask": "logbook", "find": {"words": "quokkafold"}})).await;
        tokio::time::sleep(Duration::from_secs(13)).await;
    }
    worker.ask(&json!({"ask": "bench"})).await;
    let port = worker.port();
    worker.close().await;
    assert!(names_on_the_disk(profile.path(), port, "copies/").await > 0);
    assert!(files_with(profile.path(), "quokkafold").len() > 1, "the log, and its copy");
    let worker = Worker::start(profile.path(), port).await;
    let erased = worker.ask(&json!({"ask": "erase", "things": [{"thing": "audition", "id": stock.audition}]})).await;
    assert!(erased["ok"].is_object(), "{erased}");
    worker.close().await;
    assert_eq!(files_with(profile.path(), "quokkafold"), Vec::<PathBuf>::new());
}
