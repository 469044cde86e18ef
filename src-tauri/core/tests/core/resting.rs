//! At rest, and once an audition is taken down, the log is one file: a copy of it holds everything.

use std::time::{Duration, Instant};

use serde_json::json;
use solderlast_testkit::workbench::Workbench;

/// How many entries a bare copy of the log's file holds, without what lies beside it.
fn entries_in_a_copy(bench: &Workbench) -> i64 {
    let copy = tempfile::tempdir().expect("a scratch folder");
    let file = copy.path().join("solderlast.db");
    std::fs::copy(bench.folder.path().join("solderlast.db"), &file).expect("copied");
    let conn = rusqlite::Connection::open(file).expect("opens");
    conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0)).unwrap_or(0)
}

fn entries(bench: &Workbench) -> i64 {
    let file = bench.folder.path().join("solderlast.db");
    let conn = rusqlite::Connection::open_with_flags(file, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY).expect("opens");
    conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0)).expect("counted")
}

fn comes_to_rest(bench: &Workbench, within: Duration) {
    let (begun, all) = (Instant::now(), entries(bench));
    while entries_in_a_copy(bench) < all {
        assert!(begun.elapsed() < within, "{} of {all} after {within:?}", entries_in_a_copy(bench));
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[test]
fn one_file_holds_all_once_nothing_is_written_for_a_while() {
    let bench = Workbench::begun();
    assert!(entries_in_a_copy(&bench) < entries(&bench), "until then it lies beside");
    comes_to_rest(&bench, Duration::from_secs(60));
    // Taken down, it is brought together at once.
    bench.note(json!({"ask": "describe_amp", "words": "small amp"}));
    bench.note(json!({"ask": "end_early", "why": "the amp broke"}));
    comes_to_rest(&bench, Duration::from_secs(60));
    // And what is written afterwards is in it as well.
    bench.note(json!({"ask": "describe_amp", "words": "another amp"}));
    comes_to_rest(&bench, Duration::from_secs(60));
    bench.ok(&json!({"ask": "check_log"}));
}
