//! Timings, and whether they keep their budgets.

use std::path::Path;
use std::process::Command;
use std::time::{Duration, Instant};

/// How long something took, many times.
pub struct Timings(Vec<Duration>);

impl Timings {
    pub fn new() -> Self {
        Self(Vec::new())
    }

    /// Takes a time that something else measured.
    pub fn push(&mut self, took: Duration) {
        self.0.push(took);
    }

    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// Times one doing of it.
    pub fn time<T>(&mut self, doing: impl FnOnce() -> T) -> T {
        let began = Instant::now();
        let done = doing();
        self.0.push(began.elapsed());
        done
    }

    /// Times `times` doings of it.
    pub fn of<T>(times: usize, mut doing: impl FnMut(usize) -> T) -> Self {
        let mut timings = Self::new();
        for number in 0..times {
            std::hint::black_box(timings.time(|| doing(number)));
        }
        timings
    }

    /// The time that this part of all stays under, in milliseconds.
    pub fn at(&self, part: f64) -> f64 {
        let mut sorted = self.0.clone();
        sorted.sort();
        let index = ((sorted.len() as f64 * part).ceil() as usize).clamp(1, sorted.len().max(1)) - 1;
        sorted.get(index).map_or(0.0, |time| time.as_secs_f64() * 1e3)
    }

    pub fn median(&self) -> f64 {
        self.at(0.5)
    }

    pub fn p95(&self) -> f64 {
        self.at(0.95)
    }

    pub fn max(&self) -> f64 {
        self.at(1.0)
    }

    pub fn mean(&self) -> f64 {
        self.0.iter().sum::<Duration>().as_secs_f64() * 1e3 / self.0.len().max(1) as f64
    }
}

/// What was measured, line by line, with the budgets that were not kept.
#[derive(Default)]
pub struct Report {
    missed: usize,
}

impl Report {
    pub fn title(&self, title: &str) {
        println!("\n{title}");
    }

    /// One line of timings. `most` is the budget for the slowest of them and `p95` for nineteen in twenty, in
    /// milliseconds; where both are infinite there is none.
    pub fn timings(&mut self, what: &str, timings: &Timings, p95: f64, most: f64) {
        let judged = if p95.is_finite() || most.is_finite() {
            self.judged(timings.p95() <= p95 && timings.max() <= most)
        } else {
            ""
        };
        println!(
            "  {what:<46} median {:>8.3} ms   95 % {:>8.3} ms   max {:>8.3} ms   {}",
            timings.median(),
            timings.p95(),
            timings.max(),
            judged
        );
    }

    /// One number and whether it keeps its budget.
    pub fn number(&mut self, what: &str, shown: &str, kept: bool) {
        let judged = self.judged(kept);
        println!("  {what:<46} {shown}   {judged}");
    }

    /// Something worth knowing, without a budget.
    pub fn note(&self, what: &str, shown: &str) {
        println!("  {what:<46} {shown}");
    }

    fn judged(&mut self, kept: bool) -> &'static str {
        if kept {
            "kept"
        } else {
            self.missed += 1;
            "MISSED"
        }
    }

    pub fn all_kept(&self) -> bool {
        match self.missed {
            0 => println!("\nAll budgets kept."),
            1 => println!("\nOne budget missed."),
            many => println!("\n{many} budgets missed."),
        }
        self.missed == 0
    }
}

/// The disk that a folder is on, as the system tells it.
pub fn disk(folder: &Path) -> String {
    let told = Command::new("df").args(["--output=fstype,source"]).arg(folder).output();
    let told = told.map(|told| String::from_utf8_lossy(&told.stdout).into_owned()).unwrap_or_default();
    told.lines().nth(1).map_or_else(
        || "a disk that can't be named".to_owned(),
        |line| line.split_whitespace().collect::<Vec<_>>().join(" "),
    )
}

/// What else the machine is doing, as Linux tells it: a busy machine makes every figure worse.
pub fn busy() -> String {
    let processors = std::thread::available_parallelism().map_or(1, std::num::NonZero::get);
    let load = std::fs::read_to_string("/proc/loadavg").unwrap_or_default();
    format!("load {} on {processors} processors", load.split(' ').next().unwrap_or("unknown"))
}

/// Makes the system forget what it has of a file in memory, so that the next reading comes from the disk. Answers
/// whether it could be asked to (by GNU dd).
pub fn forget(file: &Path) -> bool {
    let mut input = std::ffi::OsString::from("if=");
    input.push(file);
    Command::new("dd")
        .arg(input)
        .args(["of=/dev/null", "iflag=nocache", "count=0", "status=none"])
        .status()
        .is_ok_and(|status| status.success())
}
