//! Killed at a random moment while it writes: nothing it acknowledged is missing, and the log opens.

use std::collections::{BTreeSet, VecDeque};
use std::io::{BufRead as _, Write as _};
use std::path::Path;
use std::sync::Mutex;
use std::time::Duration;

use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_serve::machine::{SystemClock, SystemDice};

use solderlast_testkit::Chance;

use crate::bench::{Stock, name};
use crate::client::Client;
use crate::log;

fn rounds() -> u64 {
    std::env::var("SOLDERLAST_KILLS").ok().and_then(|number| number.parse().ok()).unwrap_or(200)
}

/// Opens the log as the program does, and lets go of it again.
fn reopen(folder: &Path) {
    let bench = Bench::open(folder, Box::new(SystemClock), &SystemDice).expect("the log opens again");
    let answer: Value = serde_json::from_slice(&bench.answer(br#"{"ask": "check_log"}"#)).expect("JSON");
    assert_eq!(answer["ok"]["sentence"], "The log is sound.", "{answer}");
    let page: Value = serde_json::from_slice(&bench.answer(br#"{"ask": "bench"}"#)).expect("JSON");
    assert_eq!(page["ok"]["bench"]["notices"], json!([]), "nothing was damaged");
}

/// Lets a client write as fast as it can and kills it after `moment`; answers the names it acknowledged.
fn killed_while_writing(folder: &Path, stock: &Stock, moment: Duration, number: &mut u64) -> Vec<String> {
    let mut client = Client::start(folder);
    let audition = name();
    let choose = stock.choose(&audition);
    let sent = Mutex::new(VecDeque::from([choose["entry"].clone()]));
    let mut acknowledged = Vec::new();
    let process = client.id();
    let (mut asks, replies) = client.ends();
    std::thread::scope(|scope| {
        scope.spawn(|| {
            let _ = writeln!(asks, "{choose}");
            loop {
                *number += 1;
                let ask = stock.some_write(&audition, *number);
                if let Ok(mut sent) = sent.lock() {
                    sent.push_back(ask["entry"].clone());
                }
                if writeln!(asks, "{ask}").is_err() {
                    return;
                }
            }
        });
        scope.spawn(move || {
            std::thread::sleep(moment);
            // By its number: the client itself is being read from.
            let _ = std::process::Command::new("kill").args(["-9", &process.to_string()]).status();
        });
        // What it had written to the pipe before it was killed was acknowledged too. A line without its end was not.
        let mut line = Vec::new();
        while replies.read_until(b'\n', &mut line).is_ok_and(|length| length > 0) && line.ends_with(b"\n") {
            let answer: Value = serde_json::from_slice(&line).expect("an answer is JSON");
            assert!(answer.get("ok").is_some(), "refused: {answer}");
            let entry = sent.lock().expect("nobody panicked").pop_front().expect("a reply to each ask");
            acknowledged.push(log::plain(entry.as_str().expect("a name")));
            line.clear();
        }
    });
    client.kill();
    acknowledged
}

#[test]
fn no_acknowledged_entry_is_missing_after_a_kill() {
    let (rounds, mut chance) = (rounds(), Chance::of_the_moment());
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let folder = scratch.path();
    let stock = Stock::new();
    let mut acknowledged: BTreeSet<String> = BTreeSet::new();
    let mut first = Client::start(folder);
    for ask in &stock.asks {
        first.ok(ask);
        acknowledged.insert(log::plain(ask["entry"].as_str().expect("a name")));
    }
    assert!(first.ended_well());

    let (mut number, mut in_vain) = (0, 0);
    // So long a client lives at most, in microseconds: longer where a busy machine is slow to start one.
    let mut longest = 120_000_u64;
    for round in 0..rounds {
        if round % 4 == 0 {
            // So that a copy is made in this round, and is killed as well now and then.
            let _ = std::fs::remove_dir_all(folder.join("copies"));
        }
        let moment = Duration::from_micros(chance.below(longest));
        let now = killed_while_writing(folder, &stock, moment, &mut number);
        in_vain += u64::from(now.is_empty());
        longest = if now.is_empty() { longest * 5 / 4 } else { longest * 9 / 10 }.clamp(120_000, 5_000_000);
        acknowledged.extend(now);
        if round % 2 == 0 {
            // In every other round the next client is the first to find what the last one left.
            reopen(folder);
        }
        let there = log::names(&log::file(folder));
        let missing: Vec<_> = acknowledged.difference(&there).collect();
        assert!(missing.is_empty(), "round {round}, killed after {moment:?}: {missing:?} were acknowledged");
        assert_eq!(log::finding(&log::file(folder)), "ok", "round {round}, killed after {moment:?}");
    }
    reopen(folder);
    println!(
        "{rounds} kills, {in_vain} before the first reply, {} entries acknowledged, none missing",
        acknowledged.len()
    );
    assert!(in_vain < rounds * 3 / 4, "too few clients lived long enough to write: the test says little");
    assert!(acknowledged.len() as u64 > rounds, "hardly anything was written: the test says little");
}

/// Killed while it sets a damaged log aside and opens its copy: the next one finishes that, and says so.
#[test]
fn a_recovery_that_is_killed_is_finished_by_the_next() {
    let mut chance = Chance::of_the_moment();
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let stock = Stock::new();
    let origin = scratch.path().join("origin");
    let mut first = Client::start(&origin);
    for ask in &stock.asks {
        first.ok(ask);
    }
    assert!(first.ended_well());
    let copied = log::names(log::copies(&origin).last().expect("a copy is made after the first write"));
    assert!(!copied.is_empty());

    let (mut untouched, mut finished) = (0, 0);
    for round in 0..60 {
        let folder = scratch.path().join(format!("round {round}"));
        std::fs::create_dir_all(folder.join("copies")).expect("a folder");
        for copy in log::copies(&origin) {
            std::fs::copy(&copy, folder.join("copies").join(copy.file_name().expect("a name"))).expect("copied");
        }
        std::fs::write(log::file(&folder), "shopping list").expect("damaged");
        let mut client = Client::start(&folder);
        std::thread::sleep(Duration::from_micros(chance.below(8_000)));
        client.kill();
        match std::fs::read(log::file(&folder)) {
            Ok(bytes) if bytes == b"shopping list" => untouched += 1,
            Ok(_) => finished += 1,
            Err(_) => {}
        }
        let mut next = Client::start(&folder);
        let page = next.ok(&json!({"ask": "bench"}));
        let notices = page["bench"]["notices"].as_array().expect("notices").clone();
        assert_eq!(notices.len(), 1, "round {round}: {notices:?}");
        let aside = notices[0]["notice"]["aside"].as_str().expect("the damaged file is named").to_owned();
        assert_eq!(std::fs::read(folder.join(&aside)).expect("it is there"), b"shopping list", "round {round}");
        assert!(next.ended_well());
        assert!(log::names(&log::file(&folder)).is_superset(&copied), "round {round}");
        assert_eq!(log::finding(&log::file(&folder)), "ok", "round {round}");
    }
    println!("60 kills: {untouched} before the recovery, {finished} after it, {} within", 60 - untouched - finished);
}
