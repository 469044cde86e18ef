//! Carrying a log of a hundred thousand auditions out and in: how long it takes, with progress, how much memory at most,
//! and that ten times as many auditions hardly take more of it. A program of its own, because the memory that is measured
//! is that of the whole process, SQLite's included, as Linux tells it.
//!
//! `SOLDERLAST_BENCH_AUDITIONS` names another number of auditions, `SOLDERLAST_BENCH_FOLDER` a folder on the disk to be
//! measured (else one beside the build).

#![allow(clippy::panic, clippy::unwrap_used, reason = "a measurement that can't go on should stop")]

#[allow(dead_code)]
mod generated;

use std::fs::File;
use std::io::BufReader;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::time::{Duration, Instant};

use solderlast_core::logbook::Log;
use solderlast_core::logbook::bundle::{NotCarried, Tray, Watch, Which, look, pack, take_in};
use solderlast_core::record::names::BenchId;

use generated::{begun, name, write};

/// The most memory the process may have in any part, in MiB: the program, SQLite's pages of 16 MB for each of two files,
/// and what a line, a table row and the packing need.
const MOST: f32 = 64.0;
/// How much more memory ten times as many auditions may take, in MiB: the index of pages in the write-ahead file, and a
/// name for each thing that is told apart.
const MORE: f32 = 20.0;

/// What a part took.
struct Took {
    seconds: f64,
    mib: f32,
}

/// Names the folder in which a child of this program generates a log, and how many auditions it gets.
const GENERATE: [&str; 2] = ["SOLDERLAST_CARRY_FOLDER", "SOLDERLAST_CARRY_AUDITIONS"];

fn main() -> ExitCode {
    if let Some(folder) = std::env::var_os(GENERATE[0]) {
        let auditions = std::env::var(GENERATE[1]).unwrap().parse().unwrap();
        let mut log = Log::open(Path::new(&folder), begun(0), BenchId(name(7, 2))).unwrap();
        println!("{}", write(&mut log, auditions));
        return ExitCode::SUCCESS;
    }
    let auditions: u64 =
        std::env::var("SOLDERLAST_BENCH_AUDITIONS").ok().and_then(|n| n.parse().ok()).unwrap_or(100_000);
    let place = std::env::var_os("SOLDERLAST_BENCH_FOLDER").map_or_else(beside_the_build, PathBuf::from);
    std::fs::create_dir_all(&place).unwrap();
    let (few, many) = (carried(&place, auditions / 10), carried(&place, auditions));
    let mut kept = true;
    for ((what, few), (_, many)) in few.iter().zip(&many) {
        let flat = many.mib < MOST && many.mib - few.mib < MORE;
        kept &= flat;
        println!(
            "{what}: {:.1} and {:.1} s, at most {:.0} and {:.0} MiB: memory {}",
            few.seconds,
            many.seconds,
            few.mib,
            many.mib,
            if flat { "kept" } else { "MISSED" }
        );
    }
    if kept { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Generates a log in a process of its own, so that what that needs is not taken for what carrying needs.
fn generated(folder: &Path, auditions: u64) -> u64 {
    let mut child = std::process::Command::new(std::env::current_exe().unwrap());
    let output = child.env(GENERATE[0], folder).env(GENERATE[1], auditions.to_string()).output().unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).trim().parse().unwrap()
}

/// Runs a part, with somebody who watches.
fn took<T>(watch: &Watch, work: impl FnOnce(&Watch) -> T + Send) -> (T, Took, usize)
where
    T: Send,
{
    let began = Instant::now();
    // Forgets the peak so far (proc(5), clear_refs).
    std::fs::write("/proc/self/clear_refs", "5").unwrap();
    let (done, seen) = std::thread::scope(|scope| {
        let worker = scope.spawn(|| work(watch));
        let mut seen = std::collections::BTreeSet::new();
        while !worker.is_finished() {
            let (phase, hundredths) = watch.now();
            seen.insert((phase.words(), hundredths));
            std::thread::sleep(Duration::from_millis(20));
        }
        (worker.join().unwrap(), seen.len())
    });
    let mib = resident("VmHWM:");
    (done, Took { seconds: began.elapsed().as_secs_f64(), mib }, seen)
}

/// The memory of this whole process, in MiB, by its name in proc(5).
fn resident(which: &str) -> f32 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap();
    let line = status.lines().find_map(|line| line.strip_prefix(which)).unwrap();
    line.trim().trim_end_matches(" kB").parse::<f32>().unwrap() / 1024.0
}

fn carried(place: &Path, auditions: u64) -> Vec<(&'static str, Took)> {
    let (here, there) = (tempfile::tempdir_in(place).unwrap(), tempfile::tempdir_in(place).unwrap());
    let entries = generated(here.path(), auditions);
    drop(Log::open(there.path(), begun(0), BenchId(name(7, 3))).unwrap());
    let now = begun(auditions + 100);
    let path = here.path().join("out.zip");
    let mut all = Vec::new();

    let watch = Watch::default();
    let (packed, took_packing, seen) = took(&watch, |watch| {
        let file = File::create_new(&path).unwrap();
        pack(here.path(), &Which::All, now, &file, watch).unwrap()
    });
    assert_eq!(packed.counts.entries, entries);
    let size = path.metadata().unwrap().len();
    println!(
        "{auditions} auditions, {entries} entries: a bundle of {} MB, {seen} looks at its progress",
        size / 1_000_000
    );
    all.push(("packed", took_packing));

    let tray = Tray::put(there.path(), name(7, 4)).unwrap();
    let open = || BufReader::new(File::open(&path).unwrap());
    let watch = Watch::default();
    let (found, took_looking, seen) = took(&watch, |watch| look(there.path(), open(), &tray, now, watch).unwrap());
    assert_eq!((found.new.entries, found.new.auditions), (entries, auditions));
    println!("  looked into, {seen} looks at its progress");
    all.push(("looked into", took_looking));

    // Called off on its way, at once and without a trace.
    let watch = Watch::default();
    let (answer, waited) = std::thread::scope(|scope| {
        let worker = scope.spawn(|| take_in(there.path(), open(), &tray, now, &watch));
        std::thread::sleep(Duration::from_millis(300 + auditions / 50));
        let asked = Instant::now();
        watch.call_off();
        (worker.join().unwrap(), asked.elapsed())
    });
    match answer {
        Err(NotCarried::CalledOff) => {
            println!("  called off: stopped after {:.2} s", waited.as_secs_f64());
            let log = Log::open(there.path(), now, BenchId(name(7, 3))).unwrap();
            assert!(
                log.entry(solderlast_core::record::names::EntryId(name(5, 1))).unwrap().is_none(),
                "nothing was written"
            );
        }
        Ok(written) => println!("  taken in before it was called off: {written}"),
        Err(other) => panic!("{other}"),
    }

    let watch = Watch::default();
    let (written, took_taking, seen) = took(&watch, |watch| take_in(there.path(), open(), &tray, now, watch).unwrap());
    println!("  taken in, {seen} looks at its progress");
    assert!(written == entries || written == 0);
    all.push(("taken in, lists and all", took_taking));
    all
}

fn beside_the_build() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../target"), PathBuf::from)
        .join("bench")
}
