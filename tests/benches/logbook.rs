//! A logbook of a hundred thousand auditions: to its first page, and each way of looking for one.

use std::path::{Path, PathBuf};
use std::time::Instant;

use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::logbook::{Lists, Log};
use solderlast_core::record::names::BenchId;
use solderlast_serve::machine::{SystemClock, SystemDice};
use solderlast_testkit::Chance;

use crate::generated::{GUITARS, PICKUPS, PLACES, WORDS, an_audition, begun, guitar, name, pickup, word, write};
use crate::timing::{Report, Timings, forget};

/// The budget for the slowest search, in milliseconds.
const MOST: f64 = 100.0;
/// The budget for opening, with what is checked before the first page, in milliseconds.
const OPENING: f64 = 50.0;
/// The budget for nineteen searches in twenty, in milliseconds.
const USUAL: f64 = 16.0;
/// What can be chosen to look for.
const MODES: [&str; 3] = ["parallel", "single", "series"];
const PROOFS: [&str; 3] = ["proven", "something_wrong", "not_proven"];
const STATES: [&str; 3] = ["open", "finished", "ended_early"];
/// How often each search is made, with other words each time.
const TIMES: usize = 300;

pub fn measure(folder: &Path, report: &mut Report) {
    let auditions: u64 =
        std::env::var("SOLDERLAST_BENCH_AUDITIONS").ok().and_then(|n| n.parse().ok()).unwrap_or(100_000);
    let kept = std::env::var_os("SOLDERLAST_BENCH_LOGBOOK").map(PathBuf::from);
    let log = kept.unwrap_or_else(|| folder.join("logbook"));
    report.title(&format!("A logbook of {auditions} auditions"));
    if !log.join("solderlast.db").exists() {
        generate(&log, auditions, report);
    }
    let size = std::fs::metadata(log.join("solderlast.db")).map_or(0, |file| file.len());
    report.note("size", &format!("{} MB", size / 1_000_000));

    opening(&log, report);
    salvage(&log, &folder.join("salvage"), report);
    let bench = Bench::open(&log, Box::new(SystemClock), &SystemDice).unwrap();
    // The check and the copy that opening began beside the bench would be measured too.
    settled(&log);
    looked_for(&bench, auditions, report);
}

fn generate(log: &Path, auditions: u64, report: &Report) {
    let began = Instant::now();
    let mut log = Log::open(log, begun(0), BenchId(name(7, 2))).unwrap();
    let entries = write(&mut log, auditions);
    report.note("written", &format!("{entries} entries in {:.0} s", began.elapsed().as_secs_f64()));
    let began = Instant::now();
    log.catch_up().unwrap();
    report.note("lists made from them", &format!("{:.0} s", began.elapsed().as_secs_f64()));
}

/// From nothing to the Bench page's answer, and to the logbook's first page: with the file in the system's memory, and
/// without.
fn opening(log: &Path, report: &mut Report) {
    for (page, ask) in [
        ("the Bench page", json!({"ask": "bench"})),
        ("the logbook's first page", json!({"ask": "logbook", "find": {}})),
    ] {
        let text = ask.to_string();
        let mut timings = [Timings::new(), Timings::new()];
        let mut forgotten = true;
        for number in 0..10 {
            let cold = number % 2;
            if cold == 1 {
                forgotten &= forget(&log.join("solderlast.db"));
            }
            let bench = timings[cold].time(|| {
                let bench = Bench::open(log, Box::new(SystemClock), &SystemDice).unwrap();
                let answer = bench.answer(text.as_bytes());
                assert!(answer.starts_with(b"{\"ok\""), "{}", String::from_utf8_lossy(&answer));
                bench
            });
            drop(bench);
        }
        report.timings(&format!("opened to {page}"), &timings[0], f64::INFINITY, OPENING);
        if forgotten {
            report.timings(&format!("opened to {page}, nothing in memory"), &timings[1], f64::INFINITY, MOST);
        }
    }
}

/// From a damaged file, with no copy and no tally beside it, to the Bench page's answer: every entry read from the bytes.
fn salvage(log: &Path, scratch: &Path, report: &mut Report) {
    std::fs::create_dir_all(scratch).unwrap();
    let file = scratch.join("solderlast.db");
    std::fs::copy(log.join("solderlast.db"), &file).unwrap();
    let mut damaged = std::fs::OpenOptions::new().write(true).open(&file).unwrap();
    std::io::Write::write_all(&mut damaged, b"Somebody else's ").unwrap();
    drop(damaged);
    let began = Instant::now();
    let bench = Bench::open(scratch, Box::new(SystemClock), &SystemDice).unwrap();
    let answer = bench.answer(br#"{"ask": "bench"}"#);
    report.note("a whole salvage, to the Bench page", &format!("{:.1} s", began.elapsed().as_secs_f64()));
    let answer: Value = serde_json::from_slice(&answer).unwrap();
    report
        .note("what it said", answer["ok"]["bench"]["notices"][0]["notice"]["sentence"].as_str().unwrap_or("nothing"));
    drop(bench);
    std::fs::remove_dir_all(scratch).unwrap();
}

/// Waits until the copy of the log lies there, where one is being made.
fn settled(log: &Path) {
    for _ in 0..600 {
        let unfinished = std::fs::read_dir(log.join("copies")).is_ok_and(|files| {
            files.filter_map(Result::ok).any(|file| file.file_name().to_string_lossy().contains(".part"))
        });
        if !unfinished {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(200));
    }
}

/// A way of looking for an audition, in words, and what is looked for by chance.
pub type Search = (&'static str, Box<dyn FnMut(&mut Chance) -> Value>);

/// Each way of looking for one of so many auditions.
pub fn searches(auditions: u64) -> Vec<Search> {
    let common = |chance: &mut Chance| word(chance.below(30));
    let days = move |chance: &mut Chance, length: u64| {
        let from = chance.below(auditions.saturating_sub(length).max(1));
        json!({"from": begun(from), "until": begun(from + length)})
    };
    vec![
        ("the first page", Box::new(|_| json!({}))),
        (
            "a page further on",
            Box::new(move |chance| json!({"after": begun(chance.below(auditions)).timestamp_micros()})),
        ),
        ("a common word", Box::new(move |chance| json!({"words": common(chance)}))),
        ("any word", Box::new(move |chance| json!({"words": word(chance.below(WORDS))}))),
        ("a rare word", Box::new(move |chance| json!({"words": word(WORDS - 1 - chance.below(200))}))),
        ("a word that is nowhere", Box::new(move |chance| json!({"words": format!("xylo{}", chance.below(1000))}))),
        ("the first letter", Box::new(move |chance| json!({"words": &word(chance.below(WORDS))[..1]}))),
        ("the first two letters", Box::new(move |chance| json!({"words": &word(chance.below(WORDS))[..2]}))),
        ("the first three letters", Box::new(move |chance| json!({"words": &word(chance.below(WORDS))[..3]}))),
        ("the first four letters", Box::new(move |chance| json!({"words": &word(chance.below(WORDS))[..4]}))),
        (
            "two words",
            Box::new(move |chance| json!({"words": format!("{} {}", word(chance.below(60)), word(chance.below(300)))})),
        ),
        (
            "three letters and a word",
            Box::new(
                move |chance| json!({"words": format!("{} {}", &word(chance.below(WORDS))[..3], word(chance.below(300)))}),
            ),
        ),
        (
            "a month by name",
            Box::new(move |chance| json!({"words": (["january", "june", "october"][chance.below(3) as usize])})),
        ),
        ("a pickup", Box::new(move |chance| json!({"pickup": pickup(chance.below(PICKUPS))}))),
        ("a guitar", Box::new(move |chance| json!({"guitar": guitar(chance.below(GUITARS))}))),
        (
            "a pickup on a guitar",
            Box::new(
                move |chance| json!({"pickup": pickup(chance.below(PICKUPS)), "guitar": guitar(chance.below(GUITARS))}),
            ),
        ),
        ("a pickup that has none", Box::new(move |chance| json!({"pickup": pickup(PICKUPS + chance.below(100))}))),
        (
            "a pickup and a common word",
            Box::new(move |chance| json!({"pickup": pickup(chance.below(PICKUPS)), "words": word(chance.below(30))})),
        ),
        ("a week", Box::new(move |chance| days(chance, 336))),
        ("a year", Box::new(move |chance| days(chance, 17_520))),
        (
            "a pickup in a week",
            Box::new(move |chance| {
                let mut find = days(chance, 336);
                find["pickup"] = json!(pickup(chance.below(PICKUPS)));
                find
            }),
        ),
        (
            "a guitar, long ago",
            Box::new(move |chance| json!({"guitar": guitar(chance.below(GUITARS)), "until": begun(200)})),
        ),
        (
            "a common word in a week",
            Box::new(move |chance| {
                let mut find = days(chance, 336);
                find["words"] = json!(word(chance.below(30)));
                find
            }),
        ),
        ("a place", Box::new(move |chance| json!({"place": PLACES[chance.below(6) as usize]}))),
        ("a place that is nowhere", Box::new(move |chance| json!({"place": format!("attic {}", chance.below(100))}))),
        ("a mode", Box::new(move |chance| json!({"mode": MODES[chance.below(3) as usize]}))),
        ("what the readings came to", Box::new(move |chance| json!({"proof": PROOFS[chance.below(3) as usize]}))),
        ("a bench", Box::new(|_| json!({"bench": name(7, 1)}))),
        ("a bench that wrote nothing", Box::new(|chance| json!({"bench": name(7, 2 + chance.below(100))}))),
        (
            "a bench and a common word",
            Box::new(move |chance| json!({"bench": name(7, 1), "words": word(chance.below(30))})),
        ),
        ("how it stands", Box::new(move |chance| json!({"state": STATES[chance.below(3) as usize]}))),
        ("a hold passed, or none", Box::new(move |chance| json!({"overridden": chance.below(2) == 0}))),
        (
            "something wrong at a place, with a hold passed",
            Box::new(
                move |chance| json!({"proof": "something_wrong", "place": PLACES[chance.below(6) as usize], "overridden": true}),
            ),
        ),
        (
            "a pickup on a guitar at a place, something wrong",
            Box::new(move |chance| {
                json!({"pickup": pickup(chance.below(PICKUPS)), "guitar": guitar(chance.below(GUITARS)),
                    "place": PLACES[chance.below(6) as usize], "proof": "something_wrong"})
            }),
        ),
        (
            "open, among all that is over",
            Box::new(
                move |chance| json!({"state": "open", "mode": MODES[chance.below(3) as usize], "until": begun(200)}),
            ),
        ),
        (
            "a common word, a mode, proven and finished",
            Box::new(
                move |chance| json!({"words": word(chance.below(30)), "mode": "series", "proof": "proven", "state": "finished"}),
            ),
        ),
        (
            "a first letter, a place, ended early, with a hold passed",
            Box::new(
                move |chance| json!({"words": &word(chance.below(WORDS))[..1], "place": "neck", "state": "ended_early", "overridden": true}),
            ),
        ),
        (
            "all that can be chosen, and two words",
            Box::new(move |chance| {
                json!({"words": format!("{} {}", word(chance.below(30)), word(chance.below(30))),
                    "pickup": pickup(chance.below(PICKUPS)), "guitar": guitar(chance.below(GUITARS)), "place": "neck",
                    "mode": "single", "proof": "proven", "state": "finished", "overridden": false})
            }),
        ),
        (
            "something wrong in a year, long ago",
            Box::new(
                move |chance| json!({"proof": "something_wrong", "place": PLACES[chance.below(6) as usize], "until": begun(17_520)}),
            ),
        ),
        (
            "a first letter, long ago",
            Box::new(move |chance| json!({"words": &word(chance.below(WORDS))[..1], "until": begun(2000)})),
        ),
    ]
}

fn looked_for(bench: &Bench, auditions: u64, report: &mut Report) {
    let mut chance = Chance(5);
    for (what, mut find) in searches(auditions) {
        let asks: Vec<Vec<u8>> =
            (0..TIMES).map(|_| json!({"ask": "logbook", "find": find(&mut chance)}).to_string().into_bytes()).collect();
        let mut found = 0;
        let timings = Timings::of(TIMES, |number| {
            let answer = bench.answer(&asks[number]);
            assert!(answer.starts_with(b"{\"ok\""), "{}", String::from_utf8_lossy(&answer));
            found += usize::from(answer.len() > 200);
        });
        report.timings(&format!("{what} ({found} of {TIMES} find something)"), &timings, USUAL, MOST);
    }
    for (what, ask) in [
        ("one audition", json!({"ask": "audition", "id": an_audition(auditions)})),
        ("what can be chosen", json!({"ask": "choosable"})),
        ("the benches", json!({"ask": "benches"})),
        ("a pickup's history", json!({"ask": "pickup_history", "id": pickup(7), "after": null})),
        ("a guitar's history", json!({"ask": "guitar_history", "id": guitar(7), "after": null})),
        ("a pickup's page", json!({"ask": "pickup", "id": pickup(7), "unit": "millimetre"})),
        ("the Bench page", json!({"ask": "bench"})),
    ] {
        let text = ask.to_string().into_bytes();
        let timings = Timings::of(TIMES, |_| bench.answer(&text));
        report.timings(what, &timings, USUAL, MOST);
    }
    let choice = crate::write::stock(bench);
    let write = |number: usize| {
        let number = u64::try_from(number).unwrap_or(0);
        let ask =
            json!({"ask": "choose", "entry": name(21, number), "audition": name(22, number / 10), "choice": choice});
        let answer = bench.answer(ask.to_string().as_bytes());
        assert!(answer.starts_with(b"{\"ok\""), "{}", String::from_utf8_lossy(&answer));
    };
    let first = Timings::of(1, write);
    report.note("the first write", &format!("{:.3} ms", first.max()));
    let timings = Timings::of(200, |number| write(number + 1));
    report.timings("a write", &timings, f64::INFINITY, f64::INFINITY);
    let page = json!({"ask": "logbook", "find": {}}).to_string().into_bytes();
    let after = Timings::of(100, |number| {
        write(number + 1000);
        bench.answer(&page)
    });
    report.timings("a write, then the logbook's first page", &after, f64::INFINITY, MOST);
}
