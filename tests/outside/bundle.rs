//! A bundle read by another program: Python's zipfile and hashlib find the members, their sizes, their check sums and the
//! SHA-256 that the manifest says; its csv module reads the tables back; and a bundle that Python put together is taken in.

use std::fs::File;
use std::io::Cursor;
use std::path::Path;

use chrono::{DateTime, Utc};
use serde_json::Value;
use solderlast_core::logbook::bundle::{Tray, Watch, Which, look, pack, take_in};
use solderlast_core::logbook::{Find, Lists, Log, Table};
use solderlast_core::record::names::BenchId;
use solderlast_testkit::program::answer;

const READ: &str = r#"
import hashlib, json, sys, zipfile
with zipfile.ZipFile(sys.argv[1]) as bundle:
    assert bundle.testzip() is None
    manifest = json.loads(bundle.read("manifest.json"))
    names = set(bundle.namelist()) - {"manifest.json"}
    assert names == {member["name"] for member in manifest["members"]}
    for member in manifest["members"]:
        content = bundle.read(member["name"])
        assert len(content) == member["bytes"], member
        assert hashlib.sha256(content).hexdigest() == member["sha256"], member
        if member["name"].startswith("photos/"):
            assert member["name"] == "photos/" + member["sha256"] + ".jpg"
    entries = [json.loads(line) for line in bundle.read("entries.jsonl").decode().splitlines()]
    assert len({entry["id"] for entry in entries}) == len(entries) == manifest["counts"]["entries"]
    things = lambda thing: len({entry["about"]["id"] for entry in entries if entry["about"]["thing"] == thing})
    print(json.dumps([len(entries)] + [things(thing) for thing in ("audition", "pickup", "guitar", "rig")]))
"#;

const WRITE: &str = r#"
import hashlib, json, sys, zipfile
given = json.load(sys.stdin)
entries = "".join(json.dumps(entry) + "\n" for entry in given).encode()
manifest = {"form": "solderlast-bundle", "version": 1, "made": "2026-11-03T10:00:00Z", "program": "a script",
    "bench": "0198a000-0000-7000-8000-000000000001", "whole": True, "counts": {"entries": len(given)},
    "members": [{"name": "entries.jsonl", "bytes": len(entries), "sha256": hashlib.sha256(entries).hexdigest()}]}
with zipfile.ZipFile(sys.argv[1], "w", zipfile.ZIP_DEFLATED) as bundle:
    bundle.writestr("entries.jsonl", entries)
    bundle.writestr("manifest.json", json.dumps(manifest))
"#;

const TABLE: &str = r#"
import csv, io, json, sys
text = open(sys.argv[1], newline="", encoding="utf-8").read()
assert text.count("\r\n") >= 1 and text.endswith("\r\n")
rows = list(csv.DictReader(io.StringIO(text, newline=""), strict=True))
assert all(None not in row and None not in row.values() for row in rows)
print(json.dumps(rows))
"#;

fn now() -> DateTime<Utc> {
    DateTime::from_timestamp(1_795_000_000, 0).unwrap_or_default()
}

fn python(script: &str, file: &Path, input: &str) -> String {
    answer("python3", &["-c", script, &file.to_string_lossy()], input, "python3")
}

/// The demo bench in a log.
fn demo(folder: &Path) -> Log {
    let mut log = Log::open(folder, now(), BenchId(uuid::Uuid::from_u128(7))).expect("a new log");
    log.write(&solderlast_core::demo::entries()).expect("written");
    log
}

#[test]
fn python_reads_a_bundle_and_its_check_sums() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let log = demo(folder.path());
    let path = folder.path().join("out.zip");
    let file = File::create_new(&path).expect("a file");
    let manifest = pack(folder.path(), &Which::All, now(), &file, &Watch::default()).expect("packed");
    let counts: Vec<u64> = serde_json::from_str(&python(READ, &path, "")).expect("JSON");
    let ours = manifest.counts;
    assert_eq!(counts, [ours.entries, ours.auditions, ours.pickups, ours.guitars, ours.rigs]);
    assert_eq!(ours.entries, log.count().expect("counted"));
}

#[test]
fn a_bundle_that_python_put_together_is_taken_in() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    drop(Log::open(folder.path(), now(), BenchId(uuid::Uuid::from_u128(7))).expect("a new log"));
    let path = folder.path().join("in.zip");
    let lines = include_str!("../../demo-data/bench.jsonl").lines();
    let mut entries: Vec<Value> = lines.map(|line| serde_json::from_str(line).expect("a line")).collect();
    for entry in &mut entries {
        entry["bench"] = Value::from("0198a000-0000-7000-8000-000000000001");
    }
    python(WRITE, &path, &Value::from(entries.clone()).to_string());
    let bundle = std::fs::read(&path).expect("a file");
    let tray =
        Tray::put(folder.path(), uuid::Uuid::from_u128(0x0198_a000_0000_7000_8000_0000_0000_0009)).expect("a tray");
    let found = look(folder.path(), Cursor::new(&bundle), &tray, now(), &Watch::default()).expect("whole");
    assert_eq!((found.new.entries, found.new.auditions, found.newer), (entries.len() as u64, 4, 0));
    let written = take_in(folder.path(), Cursor::new(&bundle), &tray, now(), &Watch::default()).expect("taken in");
    assert_eq!(written, entries.len() as u64);
}

#[test]
fn python_reads_the_tables_back() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let mut log = demo(folder.path());
    for (table, at_least) in [(Table::Readings, 5), (Table::Notes, 6)] {
        let path = folder.path().join(table.file_name());
        let rows = log.write_table(table, &Find::default(), File::create_new(&path).expect("a file")).expect("written");
        let read: Vec<Value> = serde_json::from_str(&python(TABLE, &path, "")).expect("JSON");
        assert_eq!(read.len() as u64, rows);
        assert!(rows >= at_least, "{rows}");
        let guitars = solderlast_core::demo::entries();
        let labels: Vec<String> = guitars
            .iter()
            .filter_map(|entry| match entry.body.known() {
                Some(solderlast_core::record::body::Body::GuitarDescribed { guitar }) => Some(guitar.label.clone()),
                _ => None,
            })
            .collect();
        assert!(read.iter().all(|row| labels.iter().any(|label| row["guitar"] == label.as_str())), "{read:?}");
        if table == Table::Readings {
            assert!(
                read.iter().any(|row| row["reading (ohm)"].as_str().is_some_and(|ohms| ohms.parse::<f64>().is_ok()))
            );
        }
    }
}
