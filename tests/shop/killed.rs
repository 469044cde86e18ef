//! Benches that write, take photos and record at once, while benches and the server are killed and connections break: every bench ends
//! with all that was written, none lost, none twice, none half.

use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, Instant};

use solderlast_testkit::Chance;
use solderlast_testkit::limits::{A_PROGRAM, Leash};

use crate::bench::{Stock, name};
use crate::number;
use solderlast_tests::program::built;

use crate::server::{PASSWORD, Postgres, program};
use crate::shopkeeper::{Files, Shopkeeper, files, rows, union};

/// A program that keeps up. It is killed when the test lets go of it.
struct KeepingUp(Child, #[expect(dead_code, reason = "held until it is dropped")] Leash);

impl KeepingUp {
    fn start(address: &str, folder: &Path) -> Self {
        let child = Command::new(built())
            .args(["meet", address, "--join"])
            .env("SOLDERLAST_LOG", folder)
            .env("PGPASSWORD", PASSWORD)
            .stdin(Stdio::null())
            .stdout(Stdio::null())
            .stderr(Stdio::null())
            .spawn()
            .expect("the program can be started");
        let leash = Leash::on(&child, A_PROGRAM);
        Self(child, leash)
    }
}

impl Drop for KeepingUp {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Counts a writer as done, also one that failed.
struct Done<'a>(&'a AtomicUsize);

impl Drop for Done<'_> {
    fn drop(&mut self) {
        self.0.fetch_sub(1, Ordering::SeqCst);
    }
}

/// How many photos and takes each bench has, about.
const FILES: u64 = 4;

/// So many entries of each bench are of one audition that all of them write in; the others of auditions of its own, with so many each.
const TOGETHER: u64 = 100;
const AUDITION: u64 = 50;

#[test]
fn benches_and_a_server_that_are_killed_end_with_the_union() {
    let (benches, entries) = (number("SOLDERLAST_BENCHES", 4), number("SOLDERLAST_ENTRIES", 100));
    let mut chance = Chance::seeded(20_261_129);
    let mut server = Postgres::start(&[]);
    server.shared_log("shop");
    let address = server.address("shop");
    let stock = Stock::new();
    let mut keepers: Vec<Shopkeeper> = (0..benches).map(|_| Shopkeeper::stocked(&stock)).collect();
    let folders: Vec<_> = keepers.iter().map(Shopkeeper::folder).collect();
    let mut programs: Vec<KeepingUp> = folders.iter().map(|folder| KeepingUp::start(&address, folder)).collect();

    let (writing, mut broken) = (AtomicUsize::new(keepers.len()), 0);
    std::thread::scope(|scope| {
        for (bench, keeper) in keepers.iter_mut().enumerate() {
            let (stock, writing, mut chance) = (&stock, &writing, Chance(bench as u64 + 1));
            scope.spawn(move || {
                let _done = Done(writing);
                let mut own = String::new();
                for number in 0..entries {
                    if number < TOGETHER {
                        keeper.ok(&stock.some_write(&stock.audition, number));
                    } else if (number - TOGETHER).is_multiple_of(AUDITION) {
                        own = name();
                        keeper.ok(&stock.choose(&own));
                    } else {
                        keeper.ok(&stock.some_write(&own, 6 * number + number % 2));
                    }
                    // What travels takes long enough to be broken on the way.
                    match number * FILES / entries.max(1) {
                        part if part == (number + 1) * FILES / entries.max(1) => {}
                        0 => keeper.photo(&stock.audition, chance.below(200_u8)),
                        _ => keeper.take(&stock.audition, 1000 + chance.below(4 << 20), &mut chance),
                    }
                    // Two and more seconds of writing, so that much is broken meanwhile.
                    std::thread::sleep(Duration::from_millis(25));
                }
            });
        }
        while writing.load(Ordering::SeqCst) > 0 {
            // Whoever begins anew reads all there is: with many benches and much written they would do nothing else.
            std::thread::sleep(Duration::from_millis((50 + chance.below(250_u64)) * (benches / 4).max(1)));
            broken += 1;
            match chance.below(4_u64) {
                0 => {
                    server.kill();
                    std::thread::sleep(Duration::from_millis(chance.below(300_u64)));
                    server.start_again(&[]);
                }
                1 => server.keeper("postgres").does(
                    "SELECT pg_terminate_backend(pid) FROM pg_stat_activity WHERE usename = 'ada' AND random() < 0.7",
                ),
                _ => {
                    let at = chance.below(folders.len());
                    // Killed first, then started anew.
                    drop(programs.remove(at));
                    programs.insert(at, KeepingUp::start(&address, &folders[at]));
                }
            }
        }
    });
    // Left alone, those that keep up come to the end by themselves.
    let written = union(folders.iter().map(|folder| rows(folder)).collect::<Vec<_>>().iter());
    let own = |keeper: &Shopkeeper| keeper.written;
    assert_eq!(written.len() as u64, keepers.iter().map(own).sum::<u64>(), "nothing acknowledged is missing");
    let all_files: Files = folders.iter().flat_map(|folder| files(folder)).collect();
    let whole = |folder: &Path| rows(folder).len() == written.len() && files(folder).len() == all_files.len();
    let begun = Instant::now();
    while !folders.iter().all(|folder| whole(folder)) {
        assert!(begun.elapsed() < Duration::from_secs(150 + benches * entries / 100), "they do not come together");
        std::thread::sleep(Duration::from_millis(100));
    }
    drop(programs);
    for folder in &folders {
        let last = program(&["meet", &address, "--once"], folder, Some(PASSWORD));
        assert!(last.status.success(), "{last:?}");
        assert!(String::from_utf8_lossy(&last.stdout).contains("Nothing new on either side."), "{last:?}");
        assert!(rows(folder) == written, "every bench ends with the union");
        assert!(files(folder) == all_files, "every bench ends with all photos and takes");
        for shelf in ["photos", "takes"] {
            let lie_there = std::fs::read_dir(folder.join(shelf)).expect("listed").filter_map(Result::ok);
            let mut names = lie_there.map(|file| file.file_name().to_string_lossy().into_owned());
            assert_eq!(names.find(|name| name.ends_with(".half")), None, "nothing half is left");
        }
    }
    let there = server.keeper("shop");
    assert_eq!(there.counts("SELECT count(*) FROM solderlast.entry"), written.len() as i64, "none lost, none twice");
    assert_eq!(
        there.counts("SELECT count(*) FROM solderlast.file"),
        all_files.len() as i64,
        "no file lost, none twice"
    );
    let other_than_named = "SELECT count(*) FROM solderlast.file f WHERE f.sum IS DISTINCT FROM sha256((
        SELECT string_agg(p.bytes, ''::bytea ORDER BY n) FROM generate_series(0, octet_length(f.parts) / 32 - 1) n
        JOIN solderlast.part p ON p.sum = substr(f.parts, n * 32 + 1, 32)))";
    assert_eq!(there.counts(other_than_named), 0, "each is what it is called");
    let folds = keepers[0].folds(&stock.audition);
    for keeper in &mut keepers {
        assert!(keeper.folds(&stock.audition) == folds, "every bench shows the same");
    }
    println!(
        "{benches} benches, {} entries, {} photos and takes, {broken} times broken",
        written.len(),
        all_files.len()
    );
    assert!(broken > 3, "hardly anything broke: the test says little");
}
