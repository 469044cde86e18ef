//! What takes tell, against ffmpeg, SciPy, published cases and sound that was made to be known.

mod blind;
mod files;
mod loudness;
mod recorded;
mod spectra;
mod strings;

use std::fs::File;
use std::path::Path;
use std::process::Command;

use serde_json::Value;
use solderlast_core::record::note::{Note, read_note};
use solderlast_core::record::take::Played;
use solderlast_core::takes::{Asked, Told, file::Unreadable, take};
use solderlast_testkit::limits;
use solderlast_testkit::sound::{Samples, Sound};

/// E2 A2 D3 G3 B3 E4.
fn usual_tuning() -> Vec<Note> {
    ["E2", "A2", "D3", "G3", "B3", "E4"].map(|note| read_note(note).unwrap()).to_vec()
}

fn heard(path: &Path, played: Played) -> Result<Told, Unreadable> {
    take(File::open(path).unwrap(), &Asked { played, tuning: usual_tuning() })
}

fn told(sound: &Sound, played: Played) -> Told {
    let file = std::io::Cursor::new(sound.wav(Samples::Float));
    take(file, &Asked { played, tuning: usual_tuning() }).unwrap()
}

/// Runs ffmpeg and answers what it says of its work.
fn ffmpeg(arguments: &[&str]) -> String {
    let mut command = Command::new("ffmpeg");
    command.args(["-nostdin", "-hide_banner", "-y"]).args(arguments);
    let output = limits::output(&mut command, b"")
        .unwrap_or_else(|error| panic!("ffmpeg is needed for this check ({error}): install ffmpeg (Debian)"));
    let said = String::from_utf8_lossy(&output.stderr).into_owned();
    assert!(output.status.success(), "ffmpeg {arguments:?} failed: {said}");
    said
}

fn scipy(script: &str, input: &Value) -> Value {
    // Debian's own Python, as Debian's SciPy belongs to that one.
    let text = solderlast_testkit::program::answer(
        "/usr/bin/python3",
        &["-c", script],
        &input.to_string(),
        "python3-scipy (Debian)",
    );
    serde_json::from_str(&text).expect("an answer in JSON")
}

fn near(one: f64, other: f64, by: f64, what: &str) {
    assert!((one - other).abs() <= by, "{what}: {one}, not {other}");
}
