//! A damaged log: pages overwritten, bits flipped, cut short, replaced. It is set aside untouched, a log made of all that
//! can be read takes its place, and the person is told what is missing.
//!
//! `SOLDERLAST_FLIPS=2000` flips bits from that many seeds instead of three.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;

use chrono::{DateTime, TimeDelta};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::clock::{SeededDice, SteppingClock};

use solderlast_testkit::Chance;

use crate::bench::{Stock, name};
use crate::log;

pub const PAGE: usize = 4096;

/// A bench opened in this program, whose days the test can count.
pub struct OnThatDay {
    bench: Bench,
    clock: Arc<SteppingClock>,
}

impl OnThatDay {
    pub fn open(folder: &Path, day: i64) -> Self {
        let start = DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default() + TimeDelta::days(day);
        let clock = Arc::new(SteppingClock::new(start, TimeDelta::seconds(1)));
        let bench = Bench::open(folder, Box::new(Arc::clone(&clock)), &SeededDice::new(7)).expect("a bench opens");
        Self { bench, clock }
    }

    pub fn asked(&self, ask: &Value) -> Value {
        serde_json::from_slice(&self.bench.answer(ask.to_string().as_bytes())).expect("an answer is JSON")
    }

    pub fn ok(&self, ask: &Value) -> Value {
        let answer = self.asked(ask);
        assert!(answer.get("ok").is_some(), "{ask} was refused: {answer}");
        answer["ok"].clone()
    }

    pub fn notices(&self) -> Vec<Value> {
        let page = self.ok(&json!({"ask": "bench"}));
        page["bench"]["notices"]
            .as_array()
            .expect("notices")
            .iter()
            .map(|numbered| numbered["notice"].clone())
            .collect()
    }
}

/// A log of some days: a copy a day, and entries written after the newest of them.
pub struct Sound {
    scratch: tempfile::TempDir,
    pub stock: Stock,
    /// Where it lies.
    from: PathBuf,
    /// Names in the newest copy, and in the log.
    pub in_copy: BTreeSet<String>,
    pub in_log: BTreeSet<String>,
}

impl Sound {
    pub fn new() -> Self {
        Self::left(true)
    }

    /// One that is written in, so that what was written last lies in its write-ahead file.
    pub fn under_way() -> Self {
        Self::left(false)
    }

    fn left(ended: bool) -> Self {
        let scratch = tempfile::tempdir().expect("a scratch folder");
        let folder = scratch.path().join("log");
        let stock = Stock::new();
        let day = OnThatDay::open(&folder, 0);
        for ask in &stock.asks {
            day.ok(ask);
        }
        for number in 0..60 {
            day.ok(&words(&stock, number));
        }
        day.clock.move_by(TimeDelta::days(1));
        day.ok(&words(&stock, 60));
        day.clock.move_by(TimeDelta::days(1));
        day.ok(&words(&stock, 61));
        let in_copy = log::names(log::copies(&folder).last().expect("copies"));
        for number in 62..70 {
            day.ok(&words(&stock, number));
        }
        day.ok(&json!({"ask": "logbook", "find": {"words": "number"}}));
        day.ok(&json!({"ask": "keep_draft", "key": "a/b", "text": "half a word"}));
        let from = if ended {
            drop(day);
            folder
        } else {
            // As it lies now: a bench that nobody asks anything brings its files together.
            let from = scratch.path().join("under way");
            copy(&folder, &from);
            from
        };
        let in_log = log::names(&log::file(&from));
        assert_eq!(in_log.len(), in_copy.len() + 8);
        Self { scratch, from, stock, in_copy, in_log }
    }

    /// A copy of the whole folder, to be damaged.
    pub fn to_damage(&self) -> (tempfile::TempDir, PathBuf) {
        let place = tempfile::tempdir().expect("a scratch folder");
        let to = place.path().join("log");
        copy(&self.from, &to);
        (place, to)
    }
}

/// Copies the files of a log.
fn copy(from: &Path, to: &Path) {
    fs::create_dir_all(to.join("copies")).expect("a folder");
    for file in ["solderlast.db", "solderlast.db-wal", "solderlast.tally", "solderlast.tally-before"] {
        if from.join(file).exists() {
            fs::copy(from.join(file), to.join(file)).expect("copied");
        }
    }
    for copy in log::copies(from) {
        fs::copy(&copy, to.join("copies").join(copy.file_name().expect("a name"))).expect("copied");
    }
}

pub fn words(stock: &Stock, number: usize) -> Value {
    let words = format!("number {number}: {}", "middling ".repeat(number * 7 % 300));
    json!({"ask": "describe_amp", "entry": name(), "audition": stock.audition, "words": words})
}

/// What a person finds after the log in `folder` was damaged in a way that SQLite can see.
fn is_brought_back(what: &str, folder: &Path, sound: &Sound) -> Value {
    let damaged = fs::read(log::file(folder)).expect("read");
    let day = OnThatDay::open(folder, 2);
    let notices = day.notices();
    assert_eq!(notices.len(), 1, "{what}: {notices:?}");
    let notice = notices[0].clone();
    let sentence = notice["sentence"].as_str().expect("a sentence");
    assert!(sentence.contains("set aside as") && sentence.contains("Keep that file"), "{what}: {sentence}");
    let aside = folder.join(notice["aside"].as_str().expect("the file is named"));
    assert!(fs::read(aside).expect("it is there") == damaged, "{what}: nothing in it was changed");
    // What is missing is listed as far as it can be seen, and nothing else is.
    let lacking = notice["lacking"].as_array().expect("a list");
    assert!(lacking.len() <= sound.in_log.len() - sound.in_copy.len(), "{what}: {lacking:?}");
    // Work goes on.
    day.ok(&json!({"ask": "audition", "id": sound.stock.audition}));
    day.ok(&words(&sound.stock, 1));
    day.ok(&json!({"ask": "logbook", "find": {"words": "number"}}));
    day.ok(&json!({"ask": "check_log"}));
    drop(day);
    let names = log::names(&log::file(folder));
    let missing: Vec<_> = sound.in_log.difference(&names).collect();
    assert!(names.is_superset(&sound.in_copy), "{what}");
    assert!(missing.len() <= lacking.len().max(sound.in_log.len() - sound.in_copy.len()), "{what}: {missing:?}");
    unaltered(what, folder, sound);
    assert_eq!(log::finding(&log::file(folder)), "ok", "{what}");
    notice
}

/// No entry that is there is another than it was.
pub fn unaltered(what: &str, folder: &Path, sound: &Sound) {
    let before = log::rows(&log::file(&sound.scratch.path().join("log")));
    let after = log::rows(&log::file(folder));
    for (name, kind, body) in &before {
        if let Some(row) = after.iter().find(|(other, ..)| other == name) {
            assert_eq!((&row.1, &row.2), (kind, body), "{what}: {name}");
        }
    }
}

#[test]
fn a_damaged_log_is_set_aside_and_made_anew() {
    let sound = Sound::new();
    let mut chance = Chance::of_the_moment();
    let length = fs::metadata(log::file(&sound.scratch.path().join("log"))).expect("its length").len() as usize;
    let mut noise = |length: usize| -> Vec<u8> { (0..length).map(|_| chance.below(256) as u8).collect() };
    type Damage<'a> = (&'a str, Box<dyn FnMut(&mut Vec<u8>) + 'a>);
    let damages: Vec<Damage> = vec![
        ("the first page is noise", Box::new(|file| file[..PAGE].copy_from_slice(&noise(PAGE)))),
        ("the first page is empty", Box::new(|file| file[..PAGE].fill(0))),
        ("the head is another program's", Box::new(|file| file[..16].copy_from_slice(b"Somebody else's "))),
        ("cut in half", Box::new(|file| file.truncate(length / PAGE / 2 * PAGE))),
        ("cut within a page", Box::new(|file| file.truncate(length / 2 + 100))),
        ("all but the first page gone", Box::new(|file| file.truncate(PAGE))),
        ("one byte left", Box::new(|file| file.truncate(1))),
        ("a letter in its place", Box::new(|file| *file = b"Dear Ada, the log is in the shed.".to_vec())),
        ("every second page empty", Box::new(|file| file.chunks_mut(PAGE).step_by(2).for_each(|page| page.fill(0)))),
        ("the last third noise-like", Box::new(|file| file[length / 3 * 2..].fill(0xA5))),
    ];
    for (what, mut damage) in damages {
        let (_place, folder) = sound.to_damage();
        let mut bytes = fs::read(log::file(&folder)).expect("read");
        damage(&mut bytes);
        fs::write(log::file(&folder), bytes).expect("damaged");
        is_brought_back(what, &folder, &sound);
    }
}

/// Each page in turn. A page that holds nothing any more may be anything.
#[test]
fn no_damaged_page_goes_unnoticed_or_stops_the_bench() {
    let sound = Sound::new();
    let mut chance = Chance::of_the_moment();
    let whole = fs::read(log::file(&sound.scratch.path().join("log"))).expect("read");
    let pages = whole.len() / PAGE;
    let (mut noticed, mut seen) = (0, BTreeSet::new());
    for page in 0..pages {
        let (_place, folder) = sound.to_damage();
        let mut bytes = whole.clone();
        bytes[page * PAGE..(page + 1) * PAGE].iter_mut().for_each(|byte| *byte = chance.below(256) as u8);
        fs::write(log::file(&folder), bytes).expect("damaged");
        if log::finding(&log::file(&folder)) == "ok" {
            let day = OnThatDay::open(&folder, 2);
            assert_eq!(day.notices(), [] as [Value; 0], "page {page}");
            drop(day);
            assert_eq!(log::names(&log::file(&folder)), sound.in_log, "page {page}");
        } else {
            noticed += 1;
            let notice = is_brought_back(&format!("page {page}"), &folder, &sound);
            seen.insert(notice["lacking"].as_array().map_or(0, Vec::len));
        }
    }
    println!("{noticed} of {pages} pages noticed; of 8 entries that the copies lack, {seen:?} are missing");
    assert!(noticed > pages / 2);
}

/// Single bits. SQLite keeps no sum of its pages, so a bit within the words of an entry, or in the text of an index, is not
/// seen by it. No entry is altered by it; at most the one it is in is missing.
fn flip_bits(sound: &Sound, whole: &[u8], seed: u64, bits: usize) -> [usize; 3] {
    let mut chance = Chance(seed);
    let mut counts = [0; 3];
    for number in 0..bits {
        let (_place, folder) = sound.to_damage();
        let mut bytes = whole.to_vec();
        let at = chance.below(bytes.len() as u64) as usize;
        let bit = chance.below(8);
        bytes[at] ^= 1 << bit;
        fs::write(log::file(&folder), bytes).expect("damaged");
        let what = format!("seed {seed}, bit {number}: {bit} of byte {at}");
        let noticed = {
            let day = OnThatDay::open(&folder, 2);
            for ask in [
                json!({"ask": "audition", "id": sound.stock.audition}),
                json!({"ask": "bench"}),
                json!({"ask": "logbook", "find": {"words": "number"}}),
                json!({"ask": "drawer", "retired": false}),
            ] {
                let answer = day.asked(&ask);
                assert!(answer.get("ok").is_some(), "{what}: {answer}");
            }
            let answer = day.asked(&words(&sound.stock, 3));
            assert!(answer.get("ok").is_some(), "{what}: {answer}");
            !day.notices().is_empty()
        };
        let missing = sound.in_log.difference(&log::names(&log::file(&folder))).count();
        assert!(missing <= 1 && (noticed || missing == 0), "{what}: {missing} entries missing");
        unaltered(&what, &folder, sound);
        counts[if missing == 1 { 2 } else { usize::from(noticed) }] += 1;
    }
    counts
}

#[test]
fn a_flipped_bit_costs_at_most_the_entry_it_is_in() {
    let sound = Sound::new();
    let whole = fs::read(log::file(&sound.scratch.path().join("log"))).expect("read");
    let mut totals = [0; 3];
    let mut add = |seed, bits| {
        let counts = flip_bits(&sound, &whole, seed, bits);
        totals.iter_mut().zip(counts).for_each(|(total, count)| *total += count);
    };
    // Seeds that found bits in the text of tables and indexes, and in lists.
    for seed in [1_795_707_665_158_850_638, 1_795_838_587_308_387_606] {
        add(seed, 60);
    }
    let rounds: u64 = std::env::var("SOLDERLAST_FLIPS").ok().and_then(|flips| flips.parse().ok()).unwrap_or(1);
    let mut seeds = Chance::of_the_moment();
    for _ in 0..rounds {
        add(seeds.below(u64::MAX), 30);
    }
    let [unseen, mended, lost] = totals;
    println!(
        "{unseen} bits concerned nothing, {mended} were noticed and cost nothing, {lost} cost the entry they were in"
    );
}

#[test]
fn a_copy_that_is_damaged_too_is_passed_over() {
    let sound = Sound::new();
    let (_place, folder) = sound.to_damage();
    let copies = log::copies(&folder);
    assert_eq!(copies.len(), 3);
    fs::write(&copies[2], "also shopping").expect("damaged");
    fs::write(log::file(&folder), "shopping list").expect("damaged");
    let day = OnThatDay::open(&folder, 2);
    assert_eq!(day.notices().len(), 1);
    drop(day);
    let older = log::names(&copies[1]);
    assert!(log::names(&log::file(&folder)).is_superset(&older), "what the copy of the day before holds");
}

#[test]
fn without_a_copy_all_that_can_be_read_is_kept() {
    let sound = Sound::new();
    for (what, copies_too) in [("no copies", false), ("only damaged copies", true)] {
        let (_place, folder) = sound.to_damage();
        for copy in log::copies(&folder) {
            if copies_too {
                fs::write(copy, "shopping").expect("damaged");
            } else {
                fs::remove_file(copy).expect("removed");
            }
        }
        let mut bytes = fs::read(log::file(&folder)).expect("read");
        let end = bytes.len() - PAGE;
        bytes[end..].fill(0xA5);
        fs::write(log::file(&folder), &bytes).expect("damaged");
        if log::finding(&log::file(&folder)) == "ok" {
            panic!("the last page holds nothing: the test says little");
        }
        let day = OnThatDay::open(&folder, 2);
        let notices = day.notices();
        let lacking = notices[0]["lacking"].as_array().expect("a list").len();
        let drawer = day.ok(&json!({"ask": "drawer", "retired": false}));
        assert_eq!(drawer["pickups"].as_array().map(Vec::len), Some(1), "{what}");
        let missing = sound.in_log.difference(&log::names(&log::file(&folder))).count();
        assert!(missing < 12 && missing == lacking, "{what}: {missing} missing, {lacking} named");
        unaltered(what, &folder, &sound);
        let aside = folder.join(notices[0]["aside"].as_str().expect("named"));
        assert!(fs::read(aside).expect("there") == bytes, "{what}");
    }
}

/// Damage that appears while the bench is open is met at the next ask that reads there.
#[test]
fn damage_under_an_open_bench_is_met_when_it_is_read() {
    let sound = Sound::new();
    let (_place, folder) = sound.to_damage();
    let day = OnThatDay::open(&folder, 2);
    let mut bytes = fs::read(log::file(&folder)).expect("read");
    bytes[PAGE..].fill(0xA5);
    fs::write(log::file(&folder), &bytes).expect("damaged");
    // What the bench has in memory it may go on showing; a check reads the file itself.
    let said = day.ok(&json!({"ask": "check_log"}))["sentence"].clone();
    assert!(said.as_str().is_some_and(|said| said.contains("made of all that could be read is open now")), "{said}");
    assert_eq!(day.ok(&json!({"ask": "check_log"}))["sentence"], "The log is sound.");
    let page = day.ok(&json!({"ask": "audition", "id": sound.stock.audition}));
    assert!(page["audition"]["title"].is_string());
    let entry = words(&sound.stock, 5);
    day.ok(&entry);
    let notices = day.notices();
    assert_eq!(notices.len(), 1, "{notices:?}");
    drop(day);
    let there = log::names(&log::file(&folder));
    assert!(there.is_superset(&sound.in_copy));
    assert!(there.contains(&log::plain(entry["entry"].as_str().expect("a name"))), "written after the recovery");
    assert_eq!(log::finding(&log::file(&folder)), "ok");
}
