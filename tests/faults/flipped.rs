//! Bits, pages and ends of every file of a log: the log itself, the text of its tables, its head, its write-ahead file, its
//! tally. Whatever one of them suffers, each acknowledged entry is there and unaltered, or named as missing; and no page
//! says anything else than before without a notice.
//!
//! `SOLDERLAST_FLIPS=2000` flips that many bits in each place instead of some.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Barrier;

use serde_json::{Value, json};
use solderlast_testkit::Chance;

use crate::bench::name;
use crate::client::Client;
use crate::damaged::{OnThatDay, PAGE, Sound, unaltered, words};
use crate::log;

/// How many bits are flipped in a place: so many, or as many as the run asks for.
fn bits(usual: u64) -> u64 {
    std::env::var("SOLDERLAST_FLIPS").ok().and_then(|flips| flips.parse().ok()).unwrap_or(usual)
}

/// What the pages say, without what changes from look to look.
fn pages(day: &OnThatDay, sound: &Sound) -> Vec<Value> {
    [
        json!({"ask": "audition", "id": sound.stock.audition}),
        json!({"ask": "logbook", "find": {"words": "number"}}),
        json!({"ask": "logbook", "find": {"state": "open"}}),
        json!({"ask": "drawer", "retired": false}),
        json!({"ask": "rig", "id": sound.stock.rig, "unit": "millimetre"}),
    ]
    .iter()
    .map(|ask| day.asked(ask))
    .collect()
}

/// Opens a damaged log: every entry is there as it was, or is named; the pages say what they said, or a notice is shown; and
/// work goes on. Answers how many entries are missing.
fn holds(what: &str, folder: &Path, sound: &Sound, before: &[Value]) -> usize {
    let (notices, mut after) = {
        let day = OnThatDay::open(folder, 2);
        let mut after = pages(&day, sound);
        after.push(day.asked(&words(&sound.stock, 3)));
        let answer = day.asked(&json!({"ask": "check_log"}));
        assert_eq!(answer["ok"]["sentence"], "The log is sound.", "{what}: {answer}");
        (day.notices(), after)
    };
    let names = log::names(&log::file(folder));
    let missing: Vec<&String> = sound.in_log.difference(&names).collect();
    let written = after.pop();
    for answer in after.iter().chain(&written) {
        // What is missing may be the thing itself.
        let lost = !missing.is_empty() && answer["refused"]["code"] == "not_found";
        assert!(answer.get("ok").is_some() || lost, "{what}: {answer}");
    }
    let named: Vec<String> = notices
        .iter()
        .flat_map(|notice| notice["lacking"].as_array().cloned().unwrap_or_default())
        .filter_map(|one| one["name"].as_str().map(log::plain))
        .collect();
    let said = notices.iter().any(|notice| notice["sentence"].as_str().is_some_and(|said| said.contains("counted")));
    for name in &missing {
        assert!(named.contains(name) || said, "{what}: {name} is missing and not named: {notices:?}");
    }
    unaltered(what, folder, sound);
    assert!(!notices.is_empty() || after == before, "{what}: a page says something else, and nothing is said of it");
    missing.len()
}

fn flip(file: &Path, at: usize, bit: u64) {
    let mut bytes = fs::read(file).expect("read");
    bytes[at] ^= 1 << bit;
    fs::write(file, bytes).expect("damaged");
}

/// Flips bits of a file at places that `place` chooses among its bytes.
fn flip_bits(sound: &Sound, file: impl Fn(&Path) -> PathBuf, count: u64, mut place: impl FnMut(usize) -> (usize, u64)) {
    let before = said_before(sound);
    let mut missing = 0;
    for number in 0..count {
        let (_place, folder) = sound.to_damage();
        let file = file(&folder);
        let length = fs::metadata(&file).expect("its length").len() as usize;
        let (at, bit) = place(length);
        flip(&file, at, bit);
        missing += holds(&format!("flip {number}: bit {bit} of byte {at}"), &folder, sound, &before);
    }
    assert_eq!(missing, 0, "what one file loses another has");
}

fn said_before(sound: &Sound) -> Vec<Value> {
    let (_place, folder) = sound.to_damage();
    let day = OnThatDay::open(&folder, 2);
    let before = pages(&day, sound);
    assert_eq!(day.notices(), [] as [Value; 0]);
    before
}

#[test]
fn a_bit_anywhere_in_the_log_costs_nothing() {
    let (sound, mut chance) = (Sound::new(), Chance::of_the_moment());
    flip_bits(&sound, log::file, bits(40), |length| (chance.below(length as u64) as usize, chance.below(8)));
}

#[test]
fn a_bit_in_the_text_of_the_tables_costs_nothing() {
    let (sound, mut chance) = (Sound::new(), Chance::of_the_moment());
    flip_bits(&sound, log::file, bits(40), |_| (100 + chance.below(PAGE as u64 - 100) as usize, chance.below(8)));
}

#[test]
fn a_bit_in_the_head_costs_nothing() {
    let (sound, mut chance) = (Sound::new(), Chance::of_the_moment());
    let all = 100 * 8;
    let step = if bits(40) >= all { 1 } else { 17 + chance.below(6) };
    let mut next = chance.below(step);
    flip_bits(&sound, log::file, all / step, |_| {
        let bit = next % all;
        next += step;
        ((bit / 8) as usize, bit % 8)
    });
}

#[test]
fn a_bit_in_the_tally_costs_nothing() {
    let (sound, mut chance) = (Sound::new(), Chance::of_the_moment());
    let tally = |folder: &Path| folder.join("solderlast.tally");
    flip_bits(&sound, tally, bits(20), |length| (chance.below(length as u64) as usize, chance.below(8)));
}

/// Bits and cuts in the write-ahead file, and the same without it.
#[test]
fn what_a_torn_write_ahead_file_loses_the_tally_has() {
    let (sound, mut chance) = (Sound::under_way(), Chance::of_the_moment());
    let before = said_before(&sound);
    let wal = |folder: &Path| folder.join("solderlast.db-wal");
    let mut put_back = 0;
    for number in 0..bits(40) {
        let (_place, folder) = sound.to_damage();
        let mut bytes = fs::read(wal(&folder)).expect("a write-ahead file");
        assert!(bytes.len() > 20 * PAGE, "it holds enough to say something");
        let at = chance.below(bytes.len() as u64) as usize;
        let what = match number % 3 {
            0 => {
                bytes.truncate(at);
                format!("cut after {at} bytes")
            }
            1 => {
                let end = (at + 3 * PAGE).min(bytes.len());
                bytes[at..end].fill(0);
                format!("zeroed from {at} on")
            }
            _ => {
                let bit = chance.below(8);
                bytes[at] ^= 1 << bit;
                format!("bit {bit} of byte {at}")
            }
        };
        fs::write(wal(&folder), bytes).expect("damaged");
        assert_eq!(holds(&what, &folder, &sound, &before), 0, "{what}");
        put_back += 1;
    }
    println!("{put_back} torn write-ahead files, no entry missing");
}

#[test]
fn a_log_cut_at_any_length_loses_nothing_that_is_elsewhere() {
    let (sound, mut chance) = (Sound::new(), Chance::of_the_moment());
    let before = said_before(&sound);
    for _ in 0..bits(20) {
        let (_place, folder) = sound.to_damage();
        let file = log::file(&folder);
        let length = chance.below(fs::metadata(&file).expect("its length").len());
        fs::OpenOptions::new().write(true).open(&file).and_then(|file| file.set_len(length)).expect("cut");
        assert_eq!(holds(&format!("cut after {length} bytes"), &folder, &sound, &before), 0);
    }
}

/// Damage that no other file makes good is said: nothing is missing that is not named.
#[test]
fn what_is_nowhere_is_named() {
    let (sound, mut chance) = (Sound::new(), Chance::of_the_moment());
    let before = said_before(&sound);
    let (mut whole, mut named) = (0, 0);
    for number in 0..bits(20) {
        let (_place, folder) = sound.to_damage();
        fs::remove_dir_all(folder.join("copies")).expect("removed");
        for tally in ["solderlast.tally", "solderlast.tally-before"] {
            let path = folder.join(tally);
            // With the head alone, how many there must be is known and nothing else.
            if number % 2 == 0 {
                let _ = fs::remove_file(path);
            } else if let Ok(bytes) = fs::read(&path) {
                fs::write(path, &bytes[..bytes.len().min(40)]).expect("cut");
            }
        }
        let file = log::file(&folder);
        let mut bytes = fs::read(&file).expect("read");
        let page = 1 + chance.below(bytes.len() as u64 / PAGE as u64 - 1) as usize;
        bytes[page * PAGE..(page + 1) * PAGE].fill(0);
        fs::write(&file, bytes).expect("damaged");
        match holds(&format!("page {page} zeroed"), &folder, &sound, &before) {
            0 => whole += 1,
            some => named += some,
        }
    }
    println!("{whole} pages cost nothing; {named} entries were nowhere, and each is named");
}

/// Two programs open a damaged log at once, and both write.
#[test]
fn two_programs_open_a_damaged_log_together() {
    let (sound, mut chance) = (Sound::new(), Chance::of_the_moment());
    let rounds = std::env::var("SOLDERLAST_KILLS").ok().and_then(|rounds| rounds.parse().ok()).unwrap_or(12);
    for round in 0..rounds {
        let (_place, folder) = sound.to_damage();
        let file = log::file(&folder);
        let mut bytes = fs::read(&file).expect("read");
        match round % 4 {
            0 => bytes[..16].copy_from_slice(b"Somebody else's "),
            1 => bytes.truncate(bytes.len() / 2),
            2 => {
                let page = 1 + chance.below(bytes.len() as u64 / PAGE as u64 - 1) as usize;
                bytes[page * PAGE..(page + 1) * PAGE].fill(0xA5);
            }
            _ => bytes.clear(),
        }
        fs::write(&file, bytes).expect("damaged");
        let start = Barrier::new(2);
        let written: Vec<String> = std::thread::scope(|scope| {
            let writers = [0, 1].map(|_| {
                let (folder, start, sound) = (&folder, &start, &sound);
                scope.spawn(move || {
                    let ask = json!({"ask": "describe_amp", "entry": name(), "audition": sound.stock.audition, "words": "loud"});
                    start.wait();
                    let mut client = Client::start(folder);
                    client.ok(&ask);
                    assert!(client.ended_well());
                    log::plain(ask["entry"].as_str().expect("a name"))
                })
            });
            writers.into_iter().map(|writer| writer.join().expect("a writer that was content")).collect()
        });
        let names = log::names(&file);
        assert!(written.iter().all(|name| names.contains(name)), "round {round}: acknowledged");
        assert!(names.is_superset(&sound.in_log), "round {round}: {:?}", sound.in_log.difference(&names));
        unaltered(&format!("round {round}"), &folder, &sound);
        let notices: i64 =
            log::open(&file).query_row("SELECT count(*) FROM notice", [], |row| row.get(0)).expect("counted");
        assert!(notices <= 1, "round {round}: {notices} notices");
    }
    println!("{rounds} damaged logs opened by two programs at once");
}
