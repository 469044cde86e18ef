//! An acknowledged write through the bench, beside a bare insert of the same row with the same settings.

use std::path::Path;

use chrono::Utc;
use rusqlite::{Connection, params};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::logbook::Log;
use solderlast_core::record::audition::AuditionId;
use solderlast_core::record::entry::{About, Entry, Written};
use solderlast_core::record::names::{BenchId, EntryId};
use solderlast_serve::machine::{SystemClock, SystemDice};

use crate::generated::name;
use crate::timing::{Report, Timings};

const WRITES: u64 = 3000;
/// Writes in one audition before the next is begun.
const AN_AUDITION: u64 = 30;

pub fn measure(folder: &Path, report: &mut Report) {
    report.title("An acknowledged write beside a bare insert, in turn");
    let log = folder.join("write");
    let bench = Bench::open(&log, Box::new(SystemClock), &SystemDice).unwrap();
    let stock = stock(&bench);
    let bare = bare(&folder.join("bare.db"));
    let mut insert = bare
        .prepare("INSERT INTO entry (id, at, bench, thing, about, kind, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)")
        .unwrap();

    let mut log = Log::open(&folder.join("log-alone"), Utc::now(), BenchId(name(7, 1))).unwrap();

    let (mut asked, mut written, mut inserted) = (Timings::new(), Timings::new(), Timings::new());
    // As a page asks, which has the answer before.
    let mut has = String::new();
    for number in 0..WRITES {
        let audition = name(11, number / AN_AUDITION);
        let ask = a_write(number, &audition, &stock);
        let answer = asked.time(|| bench.answer_since(&ask, Some(&has)));
        has = name_of(&answer);
        let body = r#"{"kind":"reading_taken","mode":"single","reading":{"ohms":6660.0},"typed":"6.66k","room":null}"#;
        let entry = Entry {
            id: EntryId(name(12, number)),
            at: Utc::now(),
            bench: log.bench(),
            about: About::Audition(AuditionId(audition)),
            body: Written::read("reading_taken", body),
        };
        written.time(|| log.write(&[entry]).unwrap());
        inserted.time(|| {
            let at = Utc::now().timestamp_micros();
            insert
                .execute(params![name(12, number), at, name(7, 1), "audition", audition, "reading_taken", body])
                .unwrap()
        });
    }
    report.timings("through the bench, JSON to JSON", &asked, f64::INFINITY, f64::INFINITY);
    report.timings("the log's part of it", &written, f64::INFINITY, f64::INFINITY);
    report.timings("bare insert", &inserted, f64::INFINITY, f64::INFINITY);
    let part = written.median() / inserted.median();
    report.note("the log's part beside a bare insert, medians", &format!("{part:.2}"));
    for (what, ratio) in [
        ("ratio of medians, at most 1.3", asked.median() / inserted.median()),
        ("ratio of means, at most 1.3", asked.mean() / inserted.mean()),
    ] {
        report.number(what, &format!("{ratio:.2}"), ratio <= 1.3);
    }
}

/// The name under which an audition was told.
fn name_of(answer: &[u8]) -> String {
    let told: Value = serde_json::from_slice(answer).unwrap();
    let name = told["as_of"].as_str();
    name.unwrap_or_else(|| panic!("{}", String::from_utf8_lossy(answer))).to_owned()
}

/// A table without an index, in a file set up as the log is.
fn bare(file: &Path) -> Connection {
    let bare = Connection::open(file).unwrap();
    bare.execute_batch(
        "PRAGMA journal_mode = WAL;
         PRAGMA synchronous = FULL;
         PRAGMA secure_delete = ON;
         PRAGMA temp_store = MEMORY;
         PRAGMA cache_size = -16000;
         CREATE TABLE entry (
            seq INTEGER PRIMARY KEY, id BLOB NOT NULL, at INTEGER NOT NULL, bench BLOB NOT NULL, thing TEXT NOT NULL,
            about BLOB NOT NULL, kind TEXT NOT NULL, body TEXT NOT NULL
         ) STRICT;",
    )
    .unwrap();
    bare
}

/// The first ask of an audition chooses; the others are what is written most.
fn a_write(number: u64, audition: &uuid::Uuid, choice: &Value) -> Vec<u8> {
    let entry = name(13, number);
    let mode = ["parallel", "single", "series"][(number % 3) as usize];
    let ask = match number % AN_AUDITION {
        0 => json!({"ask": "choose", "entry": entry, "audition": audition, "choice": choice}),
        1..=10 => {
            json!({"ask": "take_reading", "entry": entry, "audition": audition, "mode": mode, "reading": "6.66k", "room": ""})
        }
        11..=24 => {
            json!({"ask": "rate", "entry": entry, "audition": audition, "mode": mode, "quality": "treble", "value": 4})
        }
        _ => {
            json!({"ask": "note_down", "entry": entry, "audition": audition, "mode": mode, "words": "clear, some hum, quick to answer"})
        }
    };
    ask.to_string().into_bytes()
}

/// Writes a pickup, a guitar and a rig down as the worked examples have them; answers the choice of them.
pub fn stock(bench: &Bench) -> Value {
    let folder = tempfile::tempdir().unwrap();
    let mut choice = Value::Null;
    for (ask, _) in solderlast_core::ask::examples(folder.path()).unwrap() {
        match ask["ask"].as_str().unwrap_or_default() {
            "write_pickup" | "write_guitar" | "write_rig" => {
                let answer = bench.answer(ask.to_string().as_bytes());
                assert!(answer.starts_with(b"{\"ok\""), "{}", String::from_utf8_lossy(&answer));
            }
            "choose" => choice = ask["choice"].clone(),
            _ => {}
        }
    }
    choice
}
