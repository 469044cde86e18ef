//! Daily copies, what is brought back from them, and what is erased from them.

use std::fs;
use std::path::{Path, PathBuf};

use chrono::TimeDelta;
use serde_json::{Value, json};
use solderlast_testkit::files::files_with;
use solderlast_testkit::workbench::{self, AUDITION, GUITAR, OTHER_PICKUP, PICKUP, Workbench, pickup_form};

fn copies(bench: &Workbench) -> Vec<PathBuf> {
    let mut files: Vec<PathBuf> = fs::read_dir(bench.folder.path().join("copies"))
        .map(|files| files.filter_map(|file| file.ok().map(|file| file.path())).collect())
        .unwrap_or_default();
    files.sort();
    files
}

/// How many entries a log or a copy holds, and that it is sound.
fn entries_in(file: &Path) -> i64 {
    let conn = rusqlite::Connection::open_with_flags(file, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY).expect("opens");
    let finding: String = conn.query_row("PRAGMA integrity_check", [], |row| row.get(0)).expect("can be checked");
    assert_eq!(finding, "ok", "{}", file.display());
    conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0)).expect("can be read")
}

fn note(bench: &Workbench, words: &str) {
    bench.note(json!({"ask": "describe_amp", "words": words}));
}

fn notices(bench: &Workbench) -> Vec<Value> {
    let page = bench.ok(&json!({"ask": "bench"}))["bench"].clone();
    page["notices"].as_array().cloned().unwrap_or_default()
}

#[test]
fn one_copy_a_day_and_the_last_ten_are_kept() {
    let bench = Workbench::begun();
    assert_eq!(copies(&bench).len(), 1, "the first as soon as there is something to copy");
    note(&bench, "the same day");
    assert_eq!(copies(&bench).len(), 1);
    let mut kept = copies(&bench);
    for day in 1..=14_usize {
        bench.clock.move_by(TimeDelta::days(1));
        note(&bench, &format!("day {day}"));
        note(&bench, "again");
        let now = copies(&bench);
        assert_eq!(now.len(), (day + 1).min(10), "day {day}");
        let newest = now.last().expect("a copy").clone();
        assert!(!kept.contains(&newest), "day {day}: a new one");
        // The copy is made after the write that made it due, so it holds that write.
        let conn = rusqlite::Connection::open(&newest).expect("opens");
        let words: String = conn
            .query_row("SELECT body FROM entry ORDER BY seq DESC LIMIT 1", [], |row| row.get(0))
            .expect("can be read");
        assert!(words.contains(&format!("day {day}")), "{words}");
        kept.push(newest);
    }
    kept.reverse();
    kept.truncate(10);
    kept.reverse();
    assert_eq!(copies(&bench), kept, "the ten newest");
    for copy in copies(&bench) {
        assert!(entries_in(&copy) > 0);
    }
}

#[test]
fn a_clock_set_back_does_not_stop_the_copies() {
    let bench = Workbench::begun();
    bench.clock.move_by(TimeDelta::days(400));
    note(&bench, "a year ahead");
    bench.clock.move_by(TimeDelta::days(-400));
    bench.clock.move_by(TimeDelta::days(2));
    let before = copies(&bench).len();
    note(&bench, "set right");
    assert_eq!(copies(&bench).len(), before + 1);
}

/// The words of all notes in a file.
fn words_in(file: &Path) -> Vec<String> {
    let conn = rusqlite::Connection::open_with_flags(file, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY).expect("opens");
    let mut select = conn.prepare("SELECT body FROM entry WHERE kind = 'amp_described'").expect("asked");
    let rows = select.query_map([], |row| row.get::<_, String>(0)).expect("read");
    rows.map(|row| row.expect("read")).collect()
}

/// The clock is wrong for one day, and right again; or it is set back for good. No copy that holds something is dropped for
/// its date, and what holds most is brought back.
#[test]
fn a_clock_ten_years_off_neither_drops_nor_passes_over_a_copy() {
    let ten_years = TimeDelta::days(3650);
    for (jump, back) in [(ten_years, -ten_years), (-ten_years, ten_years), (-ten_years, TimeDelta::zero())] {
        let bench = Workbench::begun();
        let mut newest: Vec<PathBuf> = Vec::new();
        for day in 0..25 {
            bench.clock.move_by(TimeDelta::days(1));
            match day {
                5 => bench.clock.move_by(jump),
                6 => bench.clock.move_by(back),
                _ => {}
            }
            let before = copies(&bench);
            note(&bench, &format!("day {day}"));
            let made: Vec<PathBuf> = copies(&bench).into_iter().filter(|copy| !before.contains(copy)).collect();
            assert_eq!(made.len(), 1, "{jump}, day {day}: a copy a day");
            assert_eq!(words_in(&made[0]).len(), day + 1, "{jump}, day {day}: it holds everything");
            newest.extend(made);
            let kept: Vec<PathBuf> = newest.iter().rev().take(10).cloned().collect();
            let there = copies(&bench);
            assert!(kept.iter().all(|copy| there.contains(copy)), "{jump}, day {day}: the last ten that were made");
            // Opened and looked at again and again, nothing more is copied, so nothing is pushed out.
            bench.ok(&json!({"ask": "bench"}));
            assert_eq!(copies(&bench), there, "{jump}, day {day}");
        }
        let Workbench { bench: open, clock, folder, .. } = bench;
        drop(open);
        fs::write(folder.path().join("solderlast.db"), "shopping list, ".repeat(100)).expect("overwritten");
        let bench = Workbench::around(folder, clock);
        assert_eq!(words_in(&bench.folder.path().join("solderlast.db")).len(), 25, "{jump}");
    }
}

#[test]
fn a_copy_that_holds_everything_is_not_made_again() {
    let mut bench = Workbench::begun();
    note(&bench, "the last thing for a long time");
    bench.clock.move_by(TimeDelta::days(1));
    bench.ok(&json!({"ask": "bench"}));
    let before = copies(&bench);
    for _ in 0..15 {
        bench.clock.move_by(TimeDelta::days(2));
        bench = bench.reopened();
        bench.ok(&json!({"ask": "bench"}));
    }
    assert_eq!(copies(&bench), before);
}

#[test]
fn a_clock_that_jumped_is_said_on_the_bench() {
    let bench = Workbench::begun();
    let said = || bench.ok(&json!({"ask": "bench"}))["bench"]["clock"].clone();
    assert!(said().is_null());
    bench.clock.move_by(TimeDelta::days(-3650));
    assert!(said().as_str().is_some_and(|words| words.contains("One of the two is wrong")), "{}", said());
    bench.clock.move_by(TimeDelta::days(2 * 3650));
    assert!(said().as_str().is_some_and(|words| words.contains("Is the date right?")), "{}", said());
    bench.clock.move_by(TimeDelta::days(-3650));
    assert!(said().is_null());
}

#[test]
fn removing_the_demo_keeps_the_copies() {
    let bench = Workbench::begun();
    bench.ok(&json!({"ask": "load_demo"}));
    for day in 0..3 {
        bench.clock.move_by(TimeDelta::days(1));
        note(&bench, &format!("day {day}"));
    }
    let before = copies(&bench);
    assert_eq!(before.len(), 4);
    bench.ok(&json!({"ask": "remove_demo"}));
    assert_eq!(copies(&bench), before);
    // Those with the invented entries in them count no more than those made afterwards.
    for day in 3..14 {
        bench.clock.move_by(TimeDelta::days(1));
        note(&bench, &format!("day {day}"));
    }
    assert!(copies(&bench).iter().all(|copy| !before.contains(copy)), "each in its turn");
    // What is erased for good is gone from the copies as well.
    bench.ok(&json!({"ask": "erase", "things": [{"thing": "audition", "id": AUDITION}]}));
    assert_eq!(files_with(bench.folder.path(), AUDITION), Vec::<PathBuf>::new());
    assert_eq!(copies(&bench).len(), 1);
}

#[test]
fn an_empty_bench_is_not_copied() {
    let bench = Workbench::empty();
    bench.clock.move_by(TimeDelta::days(3));
    bench.ok(&json!({"ask": "bench"}));
    assert_eq!(copies(&bench).len(), 0);
}

#[test]
fn copies_that_were_never_finished_are_swept_away() {
    let bench = Workbench::begun();
    let folder = bench.folder.path().join("copies");
    let old = folder.join("solderlast-20261101T000000Z.4711.part");
    let under_way = folder.join("solderlast-20261104T095900Z.4711.part");
    let foreign = folder.join("holiday.jpg");
    for file in [&old, &under_way, &foreign] {
        fs::write(file, "half").expect("written");
    }
    bench.clock.move_by(TimeDelta::days(1));
    note(&bench, "the next day, about ten o'clock");
    assert!(!old.exists(), "given up long ago");
    assert!(under_way.exists(), "another program is at it");
    assert!(foreign.exists());
}

/// The log gone in several ways, each with the copy brought back and said so.
#[test]
fn a_log_that_is_gone_is_brought_back_from_its_copy() {
    type Loss = (&'static str, fn(&Path));
    let losses: [Loss; 3] = [
        ("the file is missing", |file| fs::remove_file(file).expect("removed")),
        ("the file is empty", |file| fs::write(file, "").expect("emptied")),
        ("the head of the file is not a log's", |file| {
            fs::write(file, "shopping list, ".repeat(100)).expect("overwritten")
        }),
    ];
    for ((what, lose), from) in losses.into_iter().flat_map(|loss| [(loss, "the tally"), (loss, "the copies")]) {
        let bench = Workbench::begun();
        note(&bench, "copied");
        let Workbench { bench: open, clock, folder, .. } = bench;
        drop(open);
        lose(&folder.path().join("solderlast.db"));
        if from == "the copies" {
            for tally in ["solderlast.tally", "solderlast.tally-before"] {
                let _ = fs::remove_file(folder.path().join(tally));
            }
        }
        let bench = Workbench::around(folder, clock);
        assert_eq!(
            bench.ok(&json!({"ask": "drawer", "retired": false}))["pickups"][0]["pickup"]["label"],
            "Paper crane"
        );
        let notices = notices(&bench);
        assert_eq!(notices.len(), 1, "{what}");
        let sentence = notices[0]["notice"]["sentence"].as_str().unwrap_or_default();
        assert!(sentence.contains(what) && sentence.contains("made of all that could be found"), "{what}: {sentence}");
        assert_eq!(notices[0]["notice"]["sources"][0]["from"], from);
        // It is said until it is put away, also after a restart.
        let bench = bench.reopened();
        bench.ok(&json!({"ask": "put_notice_away", "notice": notices[0]["number"]}));
        assert_eq!(bench.ok(&json!({"ask": "bench"}))["bench"]["notices"], json!([]));
    }
}

/// A stop between setting the damaged log aside and opening the copy: the next opening goes on from there.
#[test]
fn a_recovery_that_was_cut_short_is_taken_up_again() {
    let bench = Workbench::begun();
    note(&bench, "written after the copy");
    let Workbench { bench: open, clock, folder, .. } = bench;
    drop(open);
    let aside = folder.path().join("damaged-20261103T110000Z.db");
    fs::rename(folder.path().join("solderlast.db"), &aside).expect("set aside");
    fs::write(folder.path().join("solderlast.db-wal"), "left behind").expect("written");
    fs::write(folder.path().join("solderlast.part"), "half a copy").expect("written");
    let bench = Workbench::around(folder, clock);
    let notices = notices(&bench);
    assert_eq!(notices[0]["notice"]["aside"], "damaged-20261103T110000Z.db");
    assert_eq!(notices[0]["notice"]["lacking"], json!([]));
    // The only copy of the day was made after the first entry; the others were in the file that was set aside.
    let written = bench.ok(&json!({"ask": "audition", "id": AUDITION}))["audition"]["written"].clone();
    assert!(written.to_string().contains("written after the copy"), "{written}");
    assert!(!bench.folder.path().join("solderlast.part").exists());
    assert!(bench.folder.path().join("damaged-20261103T110000Z.db-wal").exists(), "not taken for the copy's own");
    bench.write(json!({"ask": "write_pickup", "id": OTHER_PICKUP, "form": pickup_form("Tin whistle")}));
}

#[test]
fn what_is_erased_is_on_no_page_of_the_log_or_its_copies() {
    let bench = Workbench::begun();
    let other = bench.name();
    bench.write(json!({"ask": "write_pickup", "id": OTHER_PICKUP, "form": pickup_form("Quokkafold")}));
    // Enough besides to spread over many pages, before and after.
    for number in 0..40 {
        let mut choice = workbench::choice();
        choice["question"] = json!(format!("number {number}"));
        bench.write(json!({"ask": "choose", "audition": bench.name(), "choice": choice}));
    }
    let mut choice = workbench::choice();
    choice["pickup"] = json!(OTHER_PICKUP);
    choice["question"] = json!("Is Quokkafold bright?");
    bench.write(json!({"ask": "choose", "audition": other, "choice": choice}));
    for words in ["Quokkafold hums", "quokkafold, quokkafold", "Quokkafold to the end"] {
        let entry = bench.name();
        bench.ok(&json!({"ask": "note_down", "entry": entry, "audition": other, "mode": "single", "words": words}));
        let key = format!("{other}/listen/single");
        bench.ok(&json!({"ask": "keep_draft", "key": key, "text": "Quokkafold once more"}));
        bench.ok(&json!({"ask": "logbook", "find": {"words": "quokkafold"}}));
        bench.clock.move_by(TimeDelta::days(1));
    }
    bench.ok(&json!({"ask": "bench"}));
    assert!(files_with(bench.folder.path(), "quokkafold").len() >= 3, "the log, its write-ahead file, copies");

    let thing = json!([{"thing": "pickup", "id": OTHER_PICKUP}]);
    let would_go = bench.ok(&json!({"ask": "what_would_go", "things": thing}))["sentences"].clone();
    assert!(would_go[0].as_str().is_some_and(|s| s.contains("one audition among them")), "{would_go}");
    bench.ok(&json!({"ask": "erase", "things": thing}));
    assert_eq!(files_with(bench.folder.path(), "quokkafold"), Vec::<PathBuf>::new());
    assert_eq!(files_with(bench.folder.path(), &other), Vec::<PathBuf>::new());

    // Nothing else went.
    assert_eq!(copies(&bench).len(), 1);
    assert_eq!(entries_in(&copies(&bench)[0]), entries_in(&bench.folder.path().join("solderlast.db")));
    assert_eq!(
        bench.ok(&json!({"ask": "logbook", "find": {"words": "number 39"}}))["found"]["lines"].as_array().map(Vec::len),
        Some(1)
    );
    assert_eq!(bench.ok(&json!({"ask": "logbook", "find": {"words": "quokkafold"}}))["found"]["lines"], json!([]));
    // Once more, on an index that was just written anew.
    bench.ok(&json!({"ask": "choose", "entry": bench.name(), "audition": other, "choice": workbench::choice()}));
    bench.ok(
        &json!({"ask": "note_down", "entry": bench.name(), "audition": other, "mode": "single", "words": "Wombatter"}),
    );
    bench.ok(&json!({"ask": "logbook", "find": {"words": "wombatter"}}));
    bench.ok(&json!({"ask": "erase", "things": [{"thing": "audition", "id": other}]}));
    assert_eq!(files_with(bench.folder.path(), "wombatter"), Vec::<PathBuf>::new());
    let bench = bench.reopened();
    assert_eq!(files_with(bench.folder.path(), "quokkafold"), Vec::<PathBuf>::new(), "also once the log was closed");
    bench.ok(&json!({"ask": "check_log"}));
}

#[test]
fn a_thing_goes_with_all_its_auditions() {
    let bench = Workbench::begun();
    for _ in 0..1100 {
        let entry = bench.name();
        bench.ok(&json!({"ask": "choose", "entry": entry, "audition": bench.name(), "choice": workbench::choice()}));
    }
    bench.ok(&json!({"ask": "erase", "things": [{"thing": "pickup", "id": PICKUP}]}));
    assert_eq!(bench.ok(&json!({"ask": "logbook", "find": {}}))["found"]["lines"], json!([]));
    assert_eq!(files_with(bench.folder.path(), "paper crane"), Vec::<PathBuf>::new());
    assert_eq!(
        bench.ok(&json!({"ask": "guitar", "id": GUITAR, "unit": "millimetre"}))["guitar"]["auditions"],
        json!([])
    );
}

#[test]
fn a_person_is_told_of_damaged_logs_that_nothing_is_erased_from() {
    let bench = Workbench::begun();
    let asked = json!({"ask": "what_would_go", "things": [{"thing": "audition", "id": AUDITION}]});
    assert_eq!(bench.ok(&asked)["sentences"].as_array().map(Vec::len), Some(2));
    fs::write(bench.folder.path().join("damaged-20261101T000000Z.db"), "as it was").expect("written");
    let sentences = bench.ok(&asked)["sentences"].clone();
    assert!(
        sentences[2].as_str().is_some_and(|s| s.contains("delete the files whose names begin with damaged")),
        "{sentences}"
    );
}
