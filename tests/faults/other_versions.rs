//! A log that another version wrote in.

use rusqlite::{Connection, params};
use serde_json::json;

use crate::bench::Stock;
use crate::client::Client;
use crate::log;

fn stocked(folder: &std::path::Path) -> Stock {
    let stock = Stock::new();
    let mut client = Client::start(folder);
    for ask in &stock.asks {
        client.ok(ask);
    }
    assert!(client.ended_well());
    stock
}

#[test]
fn a_log_of_a_newer_version_is_refused_and_left_alone() {
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let folder = scratch.path();
    stocked(folder);
    let conn = Connection::open(log::file(folder)).expect("the log opens");
    // A number alone may be a bit that flipped: a newer version has tables of its own.
    conn.execute_batch("CREATE TABLE weather (sky TEXT) STRICT; PRAGMA user_version = 99").expect("made newer");
    conn.close().expect("closed");
    let before = std::fs::read(log::file(folder)).expect("read");

    let mut client = Client::start(folder);
    let said = client.said();
    assert!(said.contains("newer version") && said.contains("nothing was changed"), "{said}");
    assert!(!client.ended_well());
    assert!(std::fs::read(log::file(folder)).expect("read") == before, "the file is as it was");
    assert!(!said.contains("panicked"), "{said}");
}

/// Entries of kinds, and with fields, that this version does not know; and about a thing it does not know.
#[test]
fn unknown_kinds_of_entries_are_kept_to_the_letter() {
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let folder = scratch.path();
    let stock = stocked(folder);
    let about = |name: &str| u128::from_str_radix(&log::plain(name), 16).expect("a name").to_be_bytes().to_vec();
    let audition = about(&stock.audition);
    let newer = [
        ("audition", audition.clone(), "weather_noted", r#"{"kind":"weather_noted",  "sky":"grey","°C":21.50}"#),
        ("audition", audition.clone(), "rated", r#"{"kind":"rated","mode":"single","quality":"sparkle","value":11}"#),
        (
            "audition",
            audition.clone(),
            "mounted",
            r#"{"kind":"mounted","mounting":{"bass_end_over":"bass","turn":"rolled","by":"Ada"}}"#,
        ),
        ("rig", about(&stock.rig), "calibrated", r#"{"kind":"calibrated","by":null}"#),
        (
            "amplifier",
            about("019a3c5f-7e00-7000-8000-00000000abcd"),
            "amplifier_described",
            r#"{"kind":"amplifier_described"}"#,
        ),
    ];
    let conn = Connection::open(log::file(folder)).expect("the log opens");
    for (number, (thing, about, kind, body)) in newer.iter().enumerate() {
        let id = (0x019a_3c5f_7e00_7000_9000_0000_0000_0000_u128 + number as u128).to_be_bytes().to_vec();
        conn.execute(
            "INSERT INTO entry (id, at, bench, thing, about, kind, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
            params![id, 1_900_000_000_000_000_i64, [7_u8; 16].to_vec(), thing, about, kind, body],
        )
        .expect("a newer version wrote");
    }
    conn.close().expect("closed");
    let kept = log::rows(&log::file(folder));
    let before = log::copies(folder);

    let mut client = Client::start(folder);
    let page = client.ok(&json!({"ask": "audition", "id": stock.audition}))["audition"].clone();
    assert_eq!(page["newer"], 3);
    let lines: Vec<_> =
        page["written"].as_array().expect("lines").iter().filter_map(|line| line["words"].as_str()).collect();
    for kind in ["weather noted", "rated", "mounted"] {
        assert!(lines.iter().any(|line| line.contains("newer version") && line.contains(kind)), "{kind}: {lines:?}");
    }
    assert_eq!(client.ok(&json!({"ask": "rig", "id": stock.rig, "unit": "millimetre"}))["rig"]["newer"], 1);
    // Whatever is done besides leaves them as they are.
    client.ok(&stock.some_write(&stock.audition, 1));
    client.ok(&json!({"ask": "logbook", "find": {"words": "crane"}}));
    client.ok(&json!({"ask": "load_demo"}));
    client.ok(&json!({"ask": "remove_demo"}));
    client.ok(&json!({"ask": "check_log"}));
    assert!(client.ended_well());
    // A copy that was made before they came can't have them.
    for place in log::copies(folder).iter().filter(|copy| !before.contains(copy)).chain([&log::file(folder)]) {
        let now = log::rows(place);
        assert!(kept.iter().all(|row| now.contains(row)), "{}", place.display());
    }
}
