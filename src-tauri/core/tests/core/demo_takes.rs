//! The demo's recordings: nobody played them. Strings are computed, heard at the place and the gap of the audition, and go through
//! coils and a circuit with invented values. `WRITE_DEMO_TAKES=1` makes the files of `demo-data/takes` anew and prints what the
//! entries have to say of them.

use std::f64::consts::{PI, TAU};
use std::io::Cursor;
use std::path::{Path, PathBuf};

use serde_json::json;
use solderlast_core::demo;
use solderlast_core::physics::response::{CoilValues, Load, Pots, Response, Values};
use solderlast_core::record::body::{Body, TakeBody};
use solderlast_core::record::pickup::CoilName;
use solderlast_core::record::quantity::{Farads, Henries, Hertz, Ohms};
use solderlast_core::record::take::{Played, TakeName};
use solderlast_core::takes::{Asked, keep::keep, take};
use solderlast_testkit::Chance;
use solderlast_testkit::sound::{Samples, Sound};
use solderlast_testkit::workbench::Workbench;

/// Samples a second: a pickup gives little above half of it.
const RATE: u32 = 24_000;
/// Full scale of the samples that are written, so that the files stay small.
const STEPS: f64 = 1024.0;
const SECONDS: f64 = 3.6;
/// Notes of the riff, each with the open string it is played on, in hertz.
const RIFF: [(f64, f64); 5] = [(110.0, 110.0), (164.81, 146.83), (220.0, 196.0), (261.63, 246.94), (329.63, 329.63)];

/// A recording of the demo.
struct Made {
    file: &'static str,
    henries: f64,
    ohms: f64,
    /// How loud against the others, by its gap.
    height: f64,
    /// Whether its magnets pull the low strings.
    pulls: bool,
    /// By which chance the player differs from one take to the next.
    seed: u64,
}

const MADE: [Made; 4] = [
    Made { file: "lantern-stack.flac", henries: 3.4, ohms: 6660.0, height: 0.20, pulls: false, seed: 1 },
    Made { file: "lantern-stack-again.flac", henries: 3.4, ohms: 6660.0, height: 0.20, pulls: false, seed: 2 },
    Made { file: "tin-whistle.flac", henries: 2.1, ohms: 5800.0, height: 0.19, pulls: false, seed: 3 },
    Made { file: "tin-whistle-nearer.flac", henries: 2.1, ohms: 5800.0, height: 0.27, pulls: true, seed: 4 },
];

fn folder() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../demo-data/takes")
}

fn sound(made: &Made) -> Sound {
    let coil = CoilValues {
        ohms: Ohms(made.ohms),
        henries: Henries(made.henries),
        farads: Farads(110e-12),
        loss: Some(Ohms(9e5)),
    };
    let values = Values::new(vec![(CoilName::A, coil)], 0.0).expect("values that can be");
    let load = Load { cable: Farads(300e-12), input: Ohms(1e6), across: Some(Ohms(125e3)), stray: Farads(30e-12) };
    let circuit = Response::of_coil(&values, CoilName::A, &Pots::none(), &load).expect("one coil");
    let mut chance = Chance(made.seed);
    let mut sound = Sound::silence(RATE, 1, SECONDS).noise(2e-9, &mut chance);
    let rate = f64::from(RATE);
    for (number, (hertz, open)) in RIFF.into_iter().enumerate() {
        let begins = 0.05 + 0.55 * number as f64 + chance.between(-0.012, 0.012);
        let (plucked, hard) = (0.14 + chance.between(-0.01, 0.01), chance.in_ratio(0.9, 1.1));
        // A fretted string is shorter, and the pickup lies farther along it.
        let length = 648.0 * open / hertz;
        for n in 1..=40 {
            let n = f64::from(n);
            let at = n * hertz * (1.0 + 4e-5 * n * n).sqrt();
            if at > 0.45 * rate {
                break;
            }
            let through = circuit.at(Hertz(at)).expect("a frequency");
            // The velocity of a string that is plucked there, at the place of the pickup.
            let height =
                made.height * hard * (n * PI * plucked).sin() * (n * PI * 162.0 / length).sin() / n * through.norm();
            let (falls, phase) = (0.9 + 0.12 * n, through.arg() + 2.4 * n * n);
            let beats = if made.pulls && number < 2 { 0.35 } else { 0.0 };
            for (sample, into) in sound.channels[0].iter_mut().enumerate().skip((begins * rate) as usize) {
                let time = sample as f64 / rate - begins;
                let risen = (time / 0.002).clamp(0.0, 1.0);
                let turning = TAU * at * time;
                let both = (turning + phase).cos() + beats * (turning + TAU * 3.1 * time + phase).cos();
                *into += risen * height * (-falls * time).exp() * both;
            }
        }
    }
    // The last tenth of a second fades, as a hand stops the strings.
    let frames = sound.channels[0].len() as f64;
    for (at, sample) in sound.channels[0].iter_mut().enumerate() {
        let faded = ((frames - at as f64) / (0.1 * rate)).min(1.0);
        *sample = (*sample * faded * STEPS).round() / STEPS;
    }
    sound
}

fn of_riff() -> Asked {
    Asked { played: Played::Riff, tuning: Vec::new() }
}

#[test]
fn the_demos_recordings_are_what_is_said_of_them() {
    let writes = std::env::var_os("WRITE_DEMO_TAKES").is_some();
    for made in &MADE {
        let wav = sound(made).wav(Samples::Whole(16));
        let path = folder().join(made.file);
        if writes {
            let mut kept = Cursor::new(Vec::new());
            let written = keep(Cursor::new(wav.clone()), &mut kept).expect("it is kept");
            let bytes = kept.into_inner();
            std::fs::create_dir_all(folder()).expect("a folder");
            std::fs::write(&path, &bytes).expect("written");
            println!(
                "{}: {}",
                made.file,
                json!({"take": TakeName::of(&bytes), "seconds": written.seconds, "rate": written.from.rate,
                "channels": written.from.channels, "bytes": bytes.len(), "came_as": written.from.coding})
            );
        }
        let [as_made, as_kept] = [wav, std::fs::read(&path).expect("its file")]
            .map(|file| take(Cursor::new(file), &of_riff()).expect("sound"));
        let level = |told: &solderlast_core::takes::Told| told.loudness.integrated.expect("it sounds").get();
        let off = level(&as_made) - level(&as_kept);
        assert!(off.abs() < 0.01 && as_made.level == as_kept.level, "{}: {off} dB", made.file);
        assert!(as_kept.clipped.is_none() && as_kept.flaws.is_empty(), "{}", made.file);
    }
}

/// The files in the program are those that the entries name, all of them and no more.
#[test]
fn each_entry_of_the_demo_has_its_recording() {
    let mut named: Vec<(TakeName, u64)> = demo::entries()
        .iter()
        .filter_map(|entry| match entry.body.known() {
            Some(Body::Take(TakeBody::TakeKept { sound, .. })) => Some((sound.take.clone(), sound.bytes)),
            _ => None,
        })
        .collect();
    let mut there: Vec<(TakeName, u64)> = demo::takes().map(|(name, bytes)| (name, bytes.len() as u64)).collect();
    named.sort();
    there.sort();
    assert_eq!((named.len(), named), (MADE.len(), there));
}

/// They come with the demo and go with it, and can be heard.
#[test]
fn recordings_come_and_go_with_the_demo() {
    let bench = Workbench::empty();
    let files = || {
        let all = std::fs::read_dir(bench.folder.path().join("takes")).into_iter().flatten().filter_map(Result::ok);
        all.filter(|file| file.path().extension().is_some_and(|ending| ending == "flac")).count()
    };
    bench.ok(&json!({"ask": "load_demo"}));
    bench.ok(&json!({"ask": "load_demo"}));
    assert_eq!(files(), MADE.len());
    let takes = bench.ok(&json!({"ask": "takes", "about": null}));
    let lines = takes["takes"]["takes"].as_array().expect("takes").clone();
    assert!(lines.len() == MADE.len() && lines.iter().all(|line| line["is_here"] == true), "{takes}");
    let entries: Vec<&serde_json::Value> = lines.iter().map(|line| &line["entry"]).collect();
    let heard = bench.ok(&json!({"ask": "hear_takes", "takes": entries, "from": 0.0, "length": 3.0}));
    assert_eq!(heard["hearing"]["takes"].as_array().map(Vec::len), Some(MADE.len()), "{heard}");
    bench.ok(&json!({"ask": "remove_demo"}));
    assert_eq!(files(), 0);
}
