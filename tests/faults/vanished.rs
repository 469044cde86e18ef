//! The log's file vanishes while a program has it open, in every way a file can: whatever was acknowledged is in the log at
//! the path afterwards, or in a file that is named.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use serde_json::{Value, json};

use crate::bench::{Stock, name};
use crate::client::Client;
use crate::log;

/// A log that a client has open, with entries since the last copy; the names of what was acknowledged.
struct Open {
    scratch: tempfile::TempDir,
    stock: Stock,
    client: Client,
    acknowledged: BTreeSet<String>,
    number: u64,
}

impl Open {
    fn new() -> Self {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let client = Client::start(&scratch.path().join("log"));
        let mut open = Self { scratch, stock: Stock::new(), client, acknowledged: BTreeSet::new(), number: 0 };
        for ask in open.stock.asks.clone() {
            open.ask(&ask);
        }
        open.write(40);
        open
    }

    fn folder(&self) -> PathBuf {
        self.scratch.path().join("log")
    }

    /// Asks to write; keeps the name if that was acknowledged. Answers the refusal otherwise.
    fn ask(&mut self, ask: &Value) -> Option<Value> {
        let answer = self.client.asked(ask);
        if answer.get("ok").is_some() {
            self.acknowledged.insert(log::plain(ask["entry"].as_str().expect("a name")));
            return None;
        }
        Some(answer["refused"].clone())
    }

    /// Writes so often; answers the refusals.
    fn write(&mut self, times: u64) -> Vec<Value> {
        let audition = self.stock.audition.clone();
        let mut refusals = Vec::new();
        for _ in 0..times {
            self.number += 1;
            let ask = self.stock.some_write(&audition, self.number);
            refusals.extend(self.ask(&ask));
        }
        refusals
    }

    /// Nothing that was acknowledged is missing from the log at this path.
    fn all_in(&self, file: &Path, what: &str) {
        let there = log::names(file);
        let missing: Vec<_> = self.acknowledged.difference(&there).collect();
        assert!(missing.is_empty(), "{what}: {} of {} are missing", missing.len(), self.acknowledged.len());
        assert_eq!(log::finding(file), "ok", "{what}");
    }

    fn notices(&mut self) -> String {
        self.client.ok(&json!({"ask": "bench"}))["bench"]["notices"].to_string()
    }
}

type Way = (&'static str, fn(&Path));

#[test]
fn what_was_acknowledged_outlasts_its_file() {
    let ways: [Way; 5] = [
        ("deleted", |folder| fs::remove_file(log::file(folder)).expect("deleted")),
        ("replaced by an older copy", |folder| {
            let copy = log::copies(folder).pop().expect("a copy");
            fs::copy(copy, folder.join("put")).expect("copied");
            fs::rename(folder.join("put"), log::file(folder)).expect("replaced");
        }),
        ("renamed", |folder| fs::rename(log::file(folder), folder.join("mine.db")).expect("renamed")),
        ("deleted with what lies beside it", |folder| {
            for ending in ["", "-wal", "-shm"] {
                fs::remove_file(folder.join(format!("solderlast.db{ending}"))).expect("deleted");
            }
        }),
        ("without its write-ahead file", |folder| fs::remove_file(folder.join("solderlast.db-wal")).expect("deleted")),
    ];
    for (what, vanish) in ways {
        for looks_first in [true, false] {
            let mut open = Open::new();
            let folder = open.folder();
            vanish(&folder);
            if looks_first {
                open.client.ok(&json!({"ask": "logbook", "find": {}}));
            }
            assert_eq!(open.write(20), Vec::<Value>::new(), "{what}: it goes on");
            open.all_in(&log::file(&folder), what);
            let notices = open.notices();
            assert!(notices.contains("moved, replaced or deleted"), "{what}: {notices}");
            let Open { client, acknowledged, scratch, stock, number } = open;
            assert!(client.ended_well());
            // The next program finds the same.
            let mut next = Open { client: Client::start(&folder), acknowledged, scratch, stock, number };
            assert_eq!(next.write(5), Vec::<Value>::new(), "{what}");
            next.all_in(&log::file(&folder), what);
        }
    }
}

/// Another program writes an older log over the file, which stays the same file to the system. What it lacks the tally and the
/// copies have.
#[test]
fn what_was_acknowledged_outlasts_a_log_written_over_it() {
    for rest in [true, false] {
        let mut open = Open::new();
        let folder = open.folder();
        if rest {
            // All of it in the one file.
            rusqlite::Connection::open(log::file(&folder))
                .expect("opens")
                .query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |_| Ok(()))
                .expect("at rest");
        }
        let copy = log::copies(&folder).pop().expect("a copy");
        fs::copy(copy, log::file(&folder)).expect("written over");
        assert_eq!(open.write(20), Vec::<Value>::new(), "it goes on");
        open.all_in(&log::file(&folder), "written over");
        let notices = open.notices();
        assert!(!rest || notices.contains("written over"), "{notices}");
        let Open { client, acknowledged, scratch, stock, number } = open;
        assert!(client.ended_well());
        let mut next = Open { client: Client::start(&folder), acknowledged, scratch, stock, number };
        assert_eq!(next.write(5), Vec::<Value>::new());
        next.all_in(&log::file(&folder), "written over");
    }
}

#[test]
fn where_nothing_can_be_opened_a_file_is_named_that_holds_everything() {
    let mut open = Open::new();
    let folder = open.folder();
    fs::remove_file(log::file(&folder)).expect("deleted");
    fs::create_dir(log::file(&folder)).expect("a folder in its place");
    let refusals = open.write(5);
    assert_eq!(refusals.len(), 5, "{refusals:?}");
    for refusal in refusals {
        let sentence = refusal["sentence"].as_str().expect("a sentence").to_owned();
        let named = sentence.split_whitespace().find(|word| word.starts_with("left-")).expect("a file is named");
        open.all_in(&folder.join(named.trim_end_matches([',', '.'])), "a folder in its place");
    }
    fs::remove_dir(log::file(&folder)).expect("taken away");
    assert_eq!(open.write(5), Vec::<Value>::new(), "it goes on");
    open.all_in(&log::file(&folder), "a folder in its place, and away again");
}

#[test]
fn a_folder_that_was_renamed_is_named() {
    let mut open = Open::new();
    let folder = open.folder();
    let other = open.scratch.path().join("elsewhere");
    fs::rename(&folder, &other).expect("renamed");
    for refusal in open.write(3) {
        let sentence = refusal["sentence"].as_str().expect("a sentence").to_owned();
        assert!(sentence.contains(log::file(&other).to_str().expect("letters")), "{sentence}");
    }
    open.all_in(&log::file(&other), "renamed");
    assert!(!folder.exists(), "no second log is begun");
    fs::rename(&other, &folder).expect("renamed back");
    assert_eq!(open.write(3), Vec::<Value>::new(), "it goes on");
    open.all_in(&log::file(&folder), "renamed back");
}

/// Another program finds the log damaged and puts a better one in its place.
#[test]
fn a_log_that_another_program_brought_back_is_gone_on_with() {
    let mut open = Open::new();
    let folder = open.folder();
    let copy = log::copies(&folder).pop().expect("a copy");
    fs::rename(log::file(&folder), folder.join("damaged-20261103T110000Z.db")).expect("set aside");
    for ending in ["-wal", "-shm"] {
        let to = folder.join(format!("damaged-20261103T110000Z.db{ending}"));
        fs::rename(folder.join(format!("solderlast.db{ending}")), to).expect("set aside");
    }
    fs::copy(copy, log::file(&folder)).expect("brought back");
    let mut other = Client::start(&folder);
    let rig = open.stock.rig.clone();
    let thing = json!({"thing": "rig", "id": rig});
    let ask = json!({"ask": "retire", "entry": name(), "thing": thing, "why": "lent out"});
    let _ = other.asked(&ask);
    assert_eq!(open.write(20), Vec::<Value>::new());
    open.all_in(&log::file(&folder), "brought back by another program");
    assert!(other.ended_well());
    open.all_in(&log::file(&folder), "brought back by another program that ended");
}
