//! Killed while a bundle is taken in, at many moments: the log is as it was or has all of the bundle, and it goes on.

use std::path::Path;
use std::process::{Command, Stdio};

use rusqlite::Connection;
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::logbook::Log;
use solderlast_core::record::body::{Body, ThingBody};
use solderlast_core::record::entry::{About, Entry, Written};
use solderlast_core::record::names::{BenchId, EntryId};
use solderlast_core::record::pickup::PickupId;
use solderlast_serve::machine::{SystemClock, SystemDice};
use solderlast_testkit::limits::output;
use uuid::Uuid;

use solderlast_tests::program::built;

/// Entries in the bundle: enough that the taking in lasts longer than the moments below.
const ENTRIES: u64 = 30_000;
/// How often it is killed, each time at a later moment.
const KILLS: u64 = 24;

fn name(family: u8, number: u64) -> Uuid {
    Uuid::from_u128(0x019a_3c5f_7e00_7000_8000_0000_0000_0000 | u128::from(family) << 48 | u128::from(number))
}

/// A log with that many entries, packed.
fn bundle(folder: &Path) -> std::path::PathBuf {
    let now = chrono::DateTime::from_timestamp(1_795_000_000, 0).unwrap_or_default();
    let mut log = Log::open(folder, now, BenchId(name(8, 1))).expect("a new log");
    let entries: Vec<Entry> = (0..ENTRIES)
        .map(|number| Entry {
            id: EntryId(name(9, number)),
            at: now,
            bench: BenchId(name(8, 1)),
            about: About::Pickup(PickupId(name(1, number % 50))),
            body: Written::Known(Body::Thing(ThingBody::Retired {
                why: format!("reason {number} {}", "and more ".repeat(20)),
            })),
        })
        .collect();
    log.write(&entries).expect("written");
    drop(log);
    let file = folder.join("out.zip");
    let done = output(Command::new(built()).args(["export", "--log"]).arg(folder).arg(&file), b"");
    assert!(done.is_ok_and(|done| done.status.success()));
    file
}

fn count(folder: &Path) -> u64 {
    let conn = Connection::open(folder.join("solderlast.db")).expect("the log opens");
    let count: i64 = conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0)).expect("counted");
    u64::try_from(count).unwrap_or(0)
}

#[test]
fn a_kill_leaves_the_log_as_it_was_or_whole() {
    let (here, there) =
        (tempfile::tempdir().expect("a scratch folder"), tempfile::tempdir().expect("a scratch folder"));
    let bundle = bundle(here.path());
    let import = |folder: &Path| {
        let mut command = Command::new(built());
        command.args(["import", "--log"]).arg(folder).arg(&bundle).stdout(Stdio::null()).stderr(Stdio::null());
        command
    };
    // How long it takes undisturbed, on this machine now.
    let calm = tempfile::tempdir().expect("a scratch folder");
    let begun = std::time::Instant::now();
    assert!(output(&mut import(calm.path()), b"").expect("runs").status.success());
    let whole = begun.elapsed();
    assert_eq!(count(calm.path()), ENTRIES);

    let mut cut_off = 0;
    for number in 1..=KILLS {
        let mut child = import(there.path()).spawn().expect("runs");
        std::thread::sleep(whole.mul_f64(number as f64 / (KILLS as f64 * 1.05)));
        let _ = child.kill();
        let _ = child.wait();
        // Opened as the program does, the log is sound, and nothing is left on a tray.
        let bench = Bench::open(there.path(), Box::new(SystemClock), &SystemDice).expect("the log opens again");
        let answer: Value = serde_json::from_slice(&bench.answer(br#"{"ask": "check_log"}"#)).expect("JSON");
        assert_eq!(answer["ok"]["sentence"], "The log is sound.", "{answer}");
        let page: Value = serde_json::from_slice(&bench.answer(br#"{"ask": "bench"}"#)).expect("JSON");
        assert_eq!(page["ok"]["bench"]["notices"], json!([]));
        drop(bench);
        assert_eq!(std::fs::read_dir(there.path().join("carry")).map_or(0, |trays| trays.count()), 0);
        match count(there.path()) {
            0 => cut_off += 1,
            ENTRIES => break,
            some => panic!("{some} of {ENTRIES} entries were written"),
        }
    }
    assert!(cut_off > 0, "no kill came before the end");
    println!("killed {cut_off} times before the end of {:.1} s", whole.as_secs_f64());
    // It goes on, and another time changes nothing.
    for _ in 0..2 {
        assert!(output(&mut import(there.path()), b"").expect("runs").status.success());
        assert_eq!(count(there.path()), ENTRIES);
    }
}
