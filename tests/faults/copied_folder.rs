//! The folder of a log is copied, at any moment and file by file, while a client writes: the copy opens, and whatever had
//! been acknowledged before the copying began is in it, or is said to be missing.

use std::collections::BTreeSet;
use std::fs;
use std::path::Path;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use serde_json::json;

use solderlast_testkit::Chance;

use crate::bench::Stock;
use crate::client::Client;
use crate::log;

fn rounds() -> u64 {
    std::env::var("SOLDERLAST_COPIES").ok().and_then(|number| number.parse().ok()).unwrap_or(12)
}

/// Copies a folder as a person's program would, one file after the other, with a pause after each.
fn copy(from: &Path, to: &Path, pause: Duration) {
    fs::create_dir_all(to).expect("a folder");
    let mut files: Vec<_> = fs::read_dir(from).expect("a folder").map(|file| file.expect("a file").path()).collect();
    files.sort();
    for file in files {
        let to = to.join(file.file_name().expect("a name"));
        if file.is_dir() {
            copy(&file, &to, Duration::ZERO);
        } else {
            // What is gone by now was never part of it.
            let _ = fs::copy(&file, &to);
            std::thread::sleep(pause);
        }
    }
}

/// Tells the writer to end, also when a round fails: a scope waits for its threads before it lets a failure out.
struct TellsToEnd<'a>(&'a AtomicBool);

impl Drop for TellsToEnd<'_> {
    fn drop(&mut self) {
        self.0.store(true, Ordering::SeqCst);
    }
}

#[test]
fn a_folder_copied_at_any_moment_opens_with_what_was_acknowledged() {
    let (rounds, mut chance) = (rounds(), Chance::of_the_moment());
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let folder = scratch.path().join("log");
    let stock = Stock::new();
    let mut client = Client::start(&folder);
    for ask in &stock.asks {
        client.ok(ask);
    }
    let first: BTreeSet<String> =
        stock.asks.iter().map(|ask| log::plain(ask["entry"].as_str().expect("a name"))).collect();
    let acknowledged = Mutex::new(first);
    let over = AtomicBool::new(false);
    let (mut whole, mut said) = (0, 0);
    std::thread::scope(|scope| {
        let writer = scope.spawn(|| {
            let mut number = 0;
            while !over.load(Ordering::SeqCst) {
                number += 1;
                let ask = stock.some_write(&stock.audition, number);
                client.ok(&ask);
                let name = log::plain(ask["entry"].as_str().expect("a name"));
                acknowledged.lock().expect("nobody panicked").insert(name);
            }
        });
        let end = TellsToEnd(&over);
        for round in 0..rounds {
            std::thread::sleep(Duration::from_millis(chance.below(60)));
            let before = acknowledged.lock().expect("nobody panicked").clone();
            let to = scratch.path().join(format!("copy {round}"));
            copy(&folder, &to, Duration::from_millis(chance.below(30)));
            let mut other = Client::start(&to);
            let notices = other.ok(&json!({"ask": "bench"}))["bench"]["notices"].to_string();
            assert!(other.ended_well(), "round {round}");
            let there = log::names(&log::file(&to));
            assert_eq!(log::finding(&log::file(&to)), "ok", "round {round}");
            let missing: Vec<&String> = before.difference(&there).collect();
            if missing.is_empty() {
                whole += 1;
            } else {
                // A file was copied before the next one was written: what that cost is told.
                assert!(notices.contains("missing"), "round {round}: {} of {}: {notices}", missing.len(), before.len());
                said += 1;
            }
        }
        drop(end);
        writer.join().expect("a writer that was content");
    });
    println!("{rounds} copies: {whole} with everything, {said} with what is missing said");
    assert!(whole > said, "copies are whole as a rule");
}
