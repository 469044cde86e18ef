//! What is erased for good on one bench goes from all, comes back to none, and is purged from the server by a role of its own alone.

use std::collections::BTreeSet;

use chrono::{TimeDelta, Utc};
use serde_json::json;
use solderlast_core::clock::version_7;
use solderlast_core::logbook::Log;
use solderlast_core::record::audition::AuditionId;
use solderlast_core::record::entry::{About, Entry, Written};
use solderlast_core::record::names::{BenchId, DEMO_BENCH, EntryId};
use solderlast_meet::Shared;
use solderlast_meet::in_memory::InMemory;
use solderlast_serve::machine::SystemDice;
use solderlast_testkit::Chance;
use uuid::Uuid;

use crate::bench::{Stock, name};
use crate::in_any_order::met;
use crate::number;
use crate::server::{PASSWORD, Postgres, program};
use crate::shopkeeper::{Files, Rows, Shopkeeper, union};

/// A word that stands in what is erased and nowhere else.
const WORD: &str = "heliotrope";

fn meets(server: &Postgres, keeper: &Shopkeeper) -> String {
    let output = program(&["meet", &server.address("shop"), "--once"], &keeper.folder(), Some(PASSWORD));
    assert!(output.status.success(), "{output:?}");
    String::from_utf8_lossy(&output.stdout).into_owned()
}

fn erase(keeper: &mut Shopkeeper, audition: &str) -> String {
    let things = json!([{"thing": "audition", "id": audition}]);
    let goes = keeper.ok(&json!({"ask": "what_would_go", "things": things})).to_string();
    let done = keeper.ok(&json!({"ask": "erase", "things": things})).to_string();
    format!("{goes} {done}")
}

/// Whether this word is anywhere in the files of a log.
fn holds(keeper: &Shopkeeper, word: &str) -> bool {
    let mut folders = vec![keeper.folder()];
    while let Some(folder) = folders.pop() {
        for file in std::fs::read_dir(folder).expect("listed").filter_map(Result::ok) {
            if file.path().is_dir() {
                folders.push(file.path());
            } else if std::fs::read(file.path())
                .is_ok_and(|bytes| bytes.windows(word.len()).any(|part| part == word.as_bytes()))
            {
                return true;
            }
        }
    }
    false
}

/// The statements that say of all that these rows are about that it was erased for good.
pub fn fact(rows: &Rows) -> String {
    let things: BTreeSet<(&String, &String)> =
        rows.values().map(|row| (&row.2, &row.3)).filter(|(thing, _)| *thing != "meter").collect();
    things.iter().map(|(thing, about)| erasure(thing, about)).collect()
}

/// The statement that says of one thing that it was erased for good.
fn erasure(thing: &str, about: &str) -> String {
    format!(
        "INSERT INTO solderlast.erasure (about, thing, at, bench) VALUES ('{about}', '{thing}', now(), gen_random_uuid());"
    )
}

/// Another audition with words, a photo and a take of its own, and a photo that the first audition has as well.
fn audition(keeper: &mut Shopkeeper, stock: &Stock, chance: &mut Chance) -> String {
    let audition = name();
    keeper.ok(&stock.choose(&audition));
    keeper.ok(&json!({"ask": "describe_amp", "entry": name(), "audition": audition, "words": WORD}));
    keeper.photo(&audition, 3);
    keeper.photo(&audition, 4);
    keeper.photo(&stock.audition, 4);
    keeper.take(&audition, (1 << 20) + 5, chance);
    audition
}

#[test]
fn what_one_bench_erases_goes_from_all_and_is_purged_by_the_keeper_alone() {
    let server = Postgres::start(&[]);
    server.shared_log("shop");
    server.keeper("shop").does(&format!("CREATE ROLE purger LOGIN PASSWORD '{PASSWORD}' IN ROLE solderlast_keeper"));
    let (stock, mut chance) = (Stock::new(), Chance(11));
    let (mut ada, ben, mut cal) = (Shopkeeper::stocked(&stock), Shopkeeper::new(), Shopkeeper::new());
    let gone = audition(&mut ada, &stock, &mut chance);
    for keeper in [&ada, &ben, &cal] {
        meets(&server, keeper);
    }
    assert!(ben.files().len() == 3 && holds(&ben, WORD));
    // Written about it where nobody has heard of the erasing yet.
    cal.ok(&json!({"ask": "describe_amp", "entry": name(), "audition": gone, "words": format!("{WORD} too")}));
    let said = erase(&mut ada, &gone);
    assert!(
        said.contains("Every bench that shares this log erases it too, and asks first")
            && said.contains("every other bench"),
        "{said}"
    );
    let said = meets(&server, &ada);
    assert!(said.contains("1 thing was erased for good here"), "{said}");
    for keeper in [&cal, &ben] {
        let said = meets(&server, keeper);
        assert!(said.contains("Erased for good here too, as ada erased it: 1 audition, with "), "{said}");
    }
    for keeper in [&ada, &ben, &cal] {
        assert!(!holds(keeper, WORD), "it is in no file of the log");
        assert_eq!(keeper.files().len(), 1, "the photo that another audition has stays");
        assert!(keeper.rows() == ada.rows());
        assert!(meets(&server, keeper).contains("Nothing new on either side."));
    }
    let folds = ada.folds(&stock.audition);
    assert!(cal.folds(&stock.audition) == folds);

    // On the server it is still, and only who may purge can change that.
    let owner = server.keeper("shop");
    let words = format!("SELECT count(*) FROM solderlast.entry WHERE line LIKE '%{WORD}%'");
    assert_eq!(owner.counts(&words), 1);
    let (bench, purger) = (server.somebody("ada", "shop"), server.somebody("purger", "shop"));
    let living = format!("{} WHERE about <> '{gone}'", "SELECT count(*) FROM solderlast.entry");
    let before = owner.counts(&living);
    for sql in [
        "UPDATE solderlast.entry SET line = NULL, sum = NULL",
        "DELETE FROM solderlast.erasure",
        "UPDATE solderlast.erasure SET at = now()",
        "INSERT INTO solderlast.erasure (about, thing, at, bench, account) VALUES (gen_random_uuid(), 'audition', now(), gen_random_uuid(), 'eve')",
        "INSERT INTO solderlast.entry (id, about, line, sum) VALUES (gen_random_uuid(), gen_random_uuid(), NULL, NULL)",
    ] {
        assert_eq!(bench.tries(sql), Err("42501".to_owned()), "{sql}");
    }
    for sql in [
        "UPDATE solderlast.entry SET line = 'x', sum = sha256('x')",
        "UPDATE solderlast.entry SET id = gen_random_uuid()",
        "DELETE FROM solderlast.entry",
        "DELETE FROM solderlast.erasure",
        "INSERT INTO solderlast.erasure (about, thing, at, bench) VALUES (gen_random_uuid(), 'audition', now(), gen_random_uuid())",
        "INSERT INTO solderlast.part (sum, bytes) VALUES (sha256('x'), 'x')",
        "UPDATE solderlast.file SET sum = sum",
        "TRUNCATE solderlast.part",
    ] {
        assert_eq!(purger.tries(sql), Err("42501".to_owned()), "{sql}");
    }
    let refused = program(&["meet", &server.address("shop"), "--purge"], &ada.folder(), Some(PASSWORD));
    assert!(
        !refused.status.success() && String::from_utf8_lossy(&refused.stderr).contains("may not purge"),
        "{refused:?}"
    );
    assert_eq!(owner.counts(&words), 1, "nothing was purged");

    // Without a word of an erasure nothing can go.
    purger.does("UPDATE solderlast.entry SET line = NULL, sum = NULL WHERE false");
    let address = server.address("shop").replace("ada@", "purger@");
    let purged = program(&["meet", &address, "--purge"], &ada.folder(), Some(PASSWORD));
    let said = String::from_utf8_lossy(&purged.stdout).into_owned();
    assert!(purged.status.success() && said.contains("2 of photos and takes"), "{purged:?}");
    assert_eq!(owner.counts(&words), 0);
    assert_eq!(owner.counts("SELECT count(*) FROM solderlast.file"), 1, "what a living entry names stays");
    assert_eq!(owner.counts("SELECT count(*) FROM solderlast.part"), 1);
    purger.does(
        "UPDATE solderlast.entry SET line = NULL, sum = NULL; DELETE FROM solderlast.file; DELETE FROM solderlast.part",
    );
    let left = format!("{living} AND line IS NOT NULL");
    assert_eq!((owner.counts(&living), owner.counts(&left)), (before, before), "the living can't be purged");
    assert_eq!(owner.counts("SELECT count(*) FROM solderlast.part"), 1);
    let again = program(&["meet", &address, "--purge"], &ada.folder(), Some(PASSWORD));
    assert!(String::from_utf8_lossy(&again.stdout).contains("nothing to purge"), "{again:?}");

    // Who had met before sees nothing new, and who comes later never sees it.
    let late = Shopkeeper::new();
    for keeper in [&ada, &ben, &cal] {
        let said = meets(&server, keeper);
        assert!(said.contains("Nothing new on either side."), "{said}");
    }
    meets(&server, &late);
    assert!(late.rows() == ada.rows() && late.files() == ada.files() && !holds(&late, WORD));
    assert!(meets(&server, &late).contains("Nothing new on either side."));
}

/// Entries that are not about any of these.
fn living(rows: &Rows, gone: &[String]) -> Rows {
    let is_gone = |about: &String| gone.iter().any(|gone| gone.replace('-', "") == *about);
    rows.iter().filter(|(_, row)| !is_gone(&row.3)).map(|(id, row)| (id.clone(), row.clone())).collect()
}

#[test]
fn any_order_of_exchanges_and_erasures_gives_the_same_log_everywhere() {
    let stock = Stock::new();
    let mut chance = Chance::seeded(20_261_130);
    let (mut broken, mut erased) = (0, 0);
    for round in 0..number("SOLDERLAST_MEETINGS", 4) {
        let mut keepers: Vec<Shopkeeper> = (0..3).map(|_| Shopkeeper::stocked(&stock)).collect();
        let shared = InMemory::new(version_7(Utc::now(), &SystemDice));
        for keeper in &keepers {
            met(keeper, &mut shared.clone(), true).expect("nothing breaks");
        }
        let (mut auditions, mut gone) = (Vec::<String>::new(), Vec::<String>::new());
        for step in 0..30 {
            let at = chance.below(3_usize);
            match chance.below(6_u64) {
                0 | 1 => auditions.push(audition(&mut keepers[at], &stock, &mut chance)),
                2 if !auditions.is_empty() => {
                    let one = auditions[chance.below(auditions.len())].clone();
                    // Of a bench that does not know it, the fact goes out all the same.
                    erase(&mut keepers[at], &one);
                    erased += 1;
                    if !gone.contains(&one) {
                        gone.push(one);
                    }
                }
                3 if !auditions.is_empty() => {
                    let one = &auditions[chance.below(auditions.len())];
                    let amp = json!({"ask": "describe_amp", "entry": name(), "audition": one, "words": WORD});
                    keepers[at].tries(&amp);
                }
                _ => {
                    keepers[at].ok(&stock.some_write(&stock.audition, step));
                }
            }
            let mut road = shared.breaking_after(chance.below(20_usize), chance.flip());
            if met(&keepers[at], &mut road, true).is_err() {
                broken += 1;
            }
            if chance.below(12_u64) == 0 {
                shared.go_back(chance.below(1 + shared.held().len()));
            }
        }
        let written = living(&union(keepers.iter().map(Shopkeeper::rows).collect::<Vec<_>>().iter()), &gone);
        for _ in 0..3 {
            for keeper in &keepers {
                met(keeper, &mut shared.clone(), true).expect("nothing breaks");
            }
        }
        let folds = keepers[0].folds(&stock.audition);
        let files: Files = keepers[0].files();
        for keeper in &mut keepers {
            assert!(keeper.rows() == written, "round {round}: every bench has the union, without what was erased");
            assert!(keeper.files() == files, "round {round}: and the same photos and takes");
            assert!(keeper.folds(&stock.audition) == folds, "round {round}: every bench shows the same");
        }
        assert_eq!(shared.held().len(), written.len(), "round {round}: none lost, none twice");
    }
    assert!(broken > 0 && erased > 0, "{broken} {erased}: the test says little");
}

/// An entry about this thing, as a row that a bench sends.
fn row_about(thing: &str) -> (String, String) {
    let id = name();
    let line = format!(
        r#"{{"id":"{id}","at":"2026-11-29T12:00:00Z","bench":"{id}","about":{{"thing":"audition","id":"{thing}"}},"kind":"amp_described","words":"{WORD}"}}"#
    );
    let row = format!("('{id}', '{thing}', '{line}', sha256(convert_to('{line}', 'UTF8')))");
    (id, row)
}

/// The server leaves out what is about an erased thing, and that alone, also where a bench changes the setting by which it does.
#[test]
fn however_much_was_erased_that_alone_is_left_out() {
    let server = Postgres::start(&[]);
    server.shared_log("shop");
    let (owner, bench) = (server.keeper("shop"), server.somebody("ada", "shop"));
    let mut gone: Vec<String> = Vec::new();
    for much in [0, 1, 2, 99, 100, 101, 102, 400] {
        while gone.len() < much {
            gone.push(name());
            bench.does(&erasure("audition", &gone[gone.len() - 1]));
        }
        // A setting that a bench makes for itself changes nothing.
        for set in ["", "SET solderlast.erased = 'none'; ", "SET solderlast.erased = ''; "] {
            let (first, last) = (row_about(&name()), row_about(&name()));
            let erased: Vec<(String, String)> = gone.iter().map(|thing| row_about(thing)).collect();
            let rows: Vec<&str> =
                [&first].into_iter().chain(&erased).chain([&last]).map(|(_, row)| row.as_str()).collect();
            bench.does(&format!("{set}INSERT INTO solderlast.entry (id, about, line, sum) VALUES {}", rows.join(", ")));
            let living = format!("SELECT count(*) FROM solderlast.entry WHERE id IN ('{}', '{}')", first.0, last.0);
            assert_eq!(owner.counts(&living), 2, "{much} erased, after “{set}”: what lives is kept");
            let left = format!("SELECT count(*) FROM solderlast.entry WHERE id NOT IN ('{}', '{}')", first.0, last.0);
            assert_eq!(owner.counts(&left), 0, "{much} erased, after “{set}”: what was erased is left out");
            owner.does("DELETE FROM solderlast.entry");
        }
    }
}

#[test]
fn much_that_others_erased_waits_until_somebody_here_says_so() {
    let server = Postgres::start(&[]);
    server.shared_log("shop");
    let (stock, mut chance) = (Stock::new(), Chance(12));
    let (mut ada, mut ben) = (Shopkeeper::stocked(&stock), Shopkeeper::new());
    let auditions: Vec<String> = (0..6).map(|_| audition(&mut ada, &stock, &mut chance)).collect();
    meets(&server, &ada);
    meets(&server, &ben);
    let (before, files) = (ben.rows(), ben.files());
    let eve = server.somebody("ada", "shop");
    let fact = fact(&before);
    // Somebody tells that all of it was erased.
    eve.does(&fact);
    for again in 0..2 {
        let said = meets(&server, &ben);
        assert!(said.contains("ada erased much of what lies here") && said.contains("--erase"), "{again}: {said}");
        assert!(ben.rows() == before && ben.files() == files, "nothing of it went");
    }
    // Work goes on, and what is about it stays here.
    ben.ok(&json!({"ask": "describe_amp", "entry": name(), "audition": auditions[0], "words": "still here"}));
    assert!(meets(&server, &ben).contains("Nothing new on either side."));
    assert_eq!(ben.rows().len(), before.len() + 1);
    // Who keeps the database takes the false word back, and all goes on as before.
    server.keeper("shop").does("DELETE FROM solderlast.erasure");
    assert!(meets(&server, &ben).contains("Sent 1 entry"), "what waited goes out");
    assert!(meets(&server, &ada).contains("brought in 1 entry"));
    // It is meant after all.
    eve.does(&fact);
    let purger = "CREATE ROLE purger LOGIN PASSWORD '";
    server.keeper("shop").does(&format!("{purger}{PASSWORD}' IN ROLE solderlast_keeper"));
    let (address, entries) =
        (server.address("shop").replace("ada@", "purger@"), "SELECT count(line) FROM solderlast.entry");
    let before = server.keeper("shop").counts(entries);
    let said = program(&["meet", &address, "--purge"], &ben.folder(), Some(PASSWORD));
    assert!(
        !said.status.success() && String::from_utf8_lossy(&said.stderr).contains("Nothing was purged."),
        "{said:?}"
    );
    assert_eq!(server.keeper("shop").counts(entries), before);
    assert!(meets(&server, &ben).contains("--erase"));
    let said = program(&["meet", &server.address("shop"), "--once", "--erase"], &ben.folder(), Some(PASSWORD));
    assert!(String::from_utf8_lossy(&said.stdout).contains("Erased for good here too"), "{said:?}");
    assert!(ben.files().is_empty() && !holds(&ben, WORD));
    assert!(meets(&server, &ben).contains("Nothing new on either side."));
}

#[test]
fn a_little_goes_unasked_and_no_trickle_takes_more_of_it_in_a_day() {
    let keeper = Shopkeeper::new();
    let (folder, now) = (keeper.folder(), Utc::now());
    let new = || version_7(Utc::now(), &SystemDice);
    let things: Vec<(String, Uuid)> = (0..100).map(|_| ("audition".to_owned(), new())).collect();
    let written_by = |bench: BenchId, audition: Uuid| Entry {
        id: EntryId(new()),
        at: now,
        bench,
        about: About::Audition(AuditionId(audition)),
        body: Written::Newer { kind: "hummed".to_owned(), text: r#"{"kind":"hummed"}"#.to_owned() },
    };
    let (bench, invented) = (BenchId(new()), new());
    let mut entries: Vec<Entry> = things.iter().map(|(_, audition)| written_by(bench, *audition)).collect();
    entries.push(written_by(DEMO_BENCH, invented));
    Log::beside(&folder, bench).and_then(|mut log| log.write(&entries)).expect("written");
    let mut here = Shared::open(&folder).expect("opens");
    let mut erase = |things: &[(String, Uuid)], all, now| {
        let erased = here.erase(things, all, now).expect("erased");
        (erased.went.len(), erased.waits.len(), keeper.rows().len())
    };
    assert_eq!(erase(&things[..12], false, now), (12, 0, 89));
    assert_eq!(erase(&things[..24], false, now), (0, 12, 89), "with those before it would be 24");
    assert_eq!(erase(&things[..20], false, now), (8, 0, 81));
    assert_eq!(erase(&things[..21], false, now + TimeDelta::hours(23)), (0, 1, 81));
    assert_eq!(erase(&things[..21], false, now + TimeDelta::hours(25)), (1, 0, 80));
    // Of what never was here nothing goes, and no copy either; what is invented is each bench's own.
    let copies = || std::fs::read_dir(folder.join("copies")).expect("listed").map(|copy| copy.expect("a copy").path());
    let before: Vec<_> = copies().collect();
    let others = [("audition", new()), ("spoon", things[30].1), ("guitar", things[30].1), ("audition", invented)];
    let others = others.map(|(thing, id)| (thing.to_owned(), id));
    assert_eq!(erase(&others, true, now + TimeDelta::hours(26)), (0, 0, 80));
    assert!(copies().eq(before) && copies().count() == 1);
    assert_eq!(erase(&things, true, now + TimeDelta::hours(27)), (79, 0, 1));
}
