//! How long three minutes of stereo at 48 kHz take to be told, beside ffmpeg's `ebur128=peak=true` alone on the same file in the
//! same run: by the clock, which is what a person waits, and by the processor's time, which is what a battery gives; and the memory
//! that it took. `cargo bench -p solderlast-takes`.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a measurement that can't go on should stop")]

use std::fs::{self, File};
use std::path::Path;
use std::process::{Command, ExitCode};
use std::time::Instant;

use rustix::time::{ClockId, clock_gettime};
use solderlast_record::take::Played;
use solderlast_takes::{Asked, take};

const ROUNDS: usize = 5;
/// Of ffmpeg's time by the clock.
const GOAL: f64 = 0.5;
/// In MiB.
const MEMORY: f64 = 64.0;

fn ffmpeg(arguments: &[&str]) -> String {
    let output = Command::new("ffmpeg").args(["-nostdin", "-hide_banner", "-y", "-nostats"]).args(arguments).output();
    let output = output.unwrap_or_else(|error| panic!("ffmpeg is needed for this ({error}): install ffmpeg (Debian)"));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "ffmpeg {arguments:?} failed: {said}");
    said
}

/// Seconds by the clock and of the processor.
type Times = (f64, f64);

/// The times that ffmpeg says it took.
fn by_ffmpeg(path: &str) -> Times {
    let said = ffmpeg(&["-benchmark", "-i", path, "-af", "ebur128=peak=true", "-f", "null", "-"]);
    let line = said.lines().find(|line| line.contains("rtime=")).unwrap();
    let of = |name: &str| -> f64 {
        let from = line.find(name).unwrap() + name.len();
        line[from..].split('s').next().unwrap().parse().unwrap()
    };
    (of("rtime="), of("utime=") + of("stime="))
}

fn by_us(path: &Path, played: Played) -> Times {
    let now = || {
        let time = clock_gettime(ClockId::ProcessCPUTime);
        time.tv_sec as f64 + time.tv_nsec as f64 / 1e9
    };
    let (began, clock) = (now(), Instant::now());
    let told = take(File::open(path).unwrap(), &Asked { played, tuning: Vec::new() }).unwrap();
    assert!((told.length - 180.0).abs() < 0.1);
    (clock.elapsed().as_secs_f64(), now() - began)
}

/// The most memory that this process ever held, in MiB.
fn peak() -> f64 {
    let status = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.and_then(|line| line.split_whitespace().next()?.parse::<f64>().ok()).map_or(f64::NAN, |kib| kib / 1024.0)
}

fn median(mut times: Vec<f64>) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn main() -> ExitCode {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("three minutes.wav");
    let name = path.to_string_lossy().into_owned();
    // Strings are looked for in it as well, so it swells like plucked ones.
    let noise = "anoisesrc=d=180:c=pink:r=48000:a=0.5:seed=7,volume='exp(-2*mod(t,1.5))':eval=frame";
    ffmpeg(&["-f", "lavfi", "-i", noise, "-ac", "2", "-c:a", "pcm_s24le", &name]);
    let mut kept = true;
    for (what, played) in [("a riff", Played::Riff), ("open strings", Played::OpenStrings)] {
        let rounds: Vec<(Times, Times)> = (0..ROUNDS).map(|_| (by_us(&path, played), by_ffmpeg(&name))).collect();
        for (by, goal, of) in [("the clock", Some(GOAL), 0), ("the processor", None, 1)] {
            let time = |times: Times| if of == 0 { times.0 } else { times.1 };
            let ours = median(rounds.iter().map(|(ours, _)| time(*ours)).collect());
            let theirs = median(rounds.iter().map(|(_, theirs)| time(*theirs)).collect());
            let ratio = ours / theirs;
            let word = goal.map_or_else(String::new, |goal| {
                kept &= ratio <= goal;
                format!(" (goal {goal}) {}", if ratio <= goal { "kept" } else { "MISSED" })
            });
            println!(
                "180 s of stereo at 48 kHz, {what}, by {by}: {ours:.2} s, ffmpeg {theirs:.2} s, {ratio:.2} of it{word}"
            );
        }
    }
    let most = peak();
    kept &= most <= MEMORY;
    println!("memory at most {most:.1} MiB (goal {MEMORY}) {}", if most <= MEMORY { "kept" } else { "MISSED" });
    if kept { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}
