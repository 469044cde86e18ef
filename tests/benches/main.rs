//! Budgets, measured: writing, asking, the meter bench, the sound of a circuit, a sweep, a logbook of a hundred thousand auditions,
//! takes side by side, one log of several benches, a knob that is dragged, the pages on a slow phone, and the page that is a bench
//! itself. Run by `make bench`.
//!
//! `SOLDERLAST_BENCH_FOLDER` names a folder on the disk to be measured (else one beside the build);
//! `SOLDERLAST_BENCH_AUDITIONS` another number of auditions, `SOLDERLAST_BENCH_LOGBOOK` a folder in which the generated
//! logbook is kept for the next run. A part of a name as an argument (`write`, `asks`, `geometry`, `meter`, `sound`, `swept`,
//! `takes`, `logbook`, `shop`, `hearing`, `dragged`, `pages`, `installed`) runs that alone; `SOLDERLAST_BENCH_SHOP` another number
//! of entries of a shared log.
//! `SOLDERLAST_BENCH_TAPS` lists every tap.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a measurement that can't go on should stop")]

mod asks;
mod dragged;
mod generated;
mod geometry;
mod hearing;
mod installed;
mod logbook;
mod meter;
mod pages;
#[path = "../shop/server.rs"]
#[allow(dead_code, reason = "all of it is used by the tests of a shop")]
mod server;
mod shop;
mod slowed;
mod sound;
mod swept;
mod takes;
mod timing;
mod write;

use std::path::PathBuf;
use std::process::ExitCode;

use timing::Report;

fn main() -> ExitCode {
    let wanted: Vec<String> = std::env::args().skip(1).filter(|word| !word.starts_with('-')).collect();
    let runs = |name: &str| wanted.is_empty() || wanted.iter().any(|word| name.contains(word.as_str()));
    let place = std::env::var_os("SOLDERLAST_BENCH_FOLDER").map_or_else(beside_the_build, PathBuf::from);
    std::fs::create_dir_all(&place).unwrap();
    let folder = tempfile::tempdir_in(&place).unwrap();
    println!("On {}, {}", timing::disk(folder.path()), timing::busy());

    let mut report = Report::default();
    if runs("write") {
        write::measure(folder.path(), &mut report);
    }
    if runs("asks") {
        asks::measure(folder.path(), &mut report);
    }
    if runs("geometry") {
        geometry::measure(folder.path(), &mut report);
    }
    if runs("meter") {
        meter::measure(folder.path(), &mut report);
    }
    if runs("sound") {
        sound::measure(&mut report);
    }
    if runs("swept") {
        swept::measure(&mut report);
    }
    if runs("takes") {
        takes::measure(folder.path(), &mut report);
    }
    if runs("logbook") {
        logbook::measure(folder.path(), &mut report);
    }
    if runs("shop") {
        shop::measure(folder.path(), &mut report);
    }
    if runs("hearing") {
        hearing::measure(folder.path(), &mut report);
    }
    if runs("dragged") {
        dragged::measure(folder.path(), &mut report);
    }
    if runs("pages") {
        pages::measure(folder.path(), &mut report);
    }
    if runs("installed") {
        installed::measure(folder.path(), &mut report);
    }
    if report.all_kept() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

fn beside_the_build() -> PathBuf {
    std::env::var_os("CARGO_TARGET_DIR")
        .map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../target"), PathBuf::from)
        .join("bench")
}
