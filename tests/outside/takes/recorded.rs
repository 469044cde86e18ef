//! Guitars as they were recorded: notes of fluid-soundfont-gm, rendered by fluidsynth.

use std::fs;
use std::path::Path;
use std::process::Command;

use solderlast_core::record::take::Played;
use solderlast_testkit::{Chance, limits};

use super::{heard, usual_tuning};

const SOUNDS: &str = "/usr/share/sounds/sf2/FluidR3_GM.sf2";
/// Ticks a second: 480 a beat, two beats a second.
const TICKS: f64 = 960.0;

/// A note: when, for how long, in seconds; its number (A4 is 69) and how hard it is struck.
pub(super) type Note = (f64, f64, u8, u8);

/// A number as Standard MIDI Files keep it.
fn variable(mut number: u32) -> Vec<u8> {
    let mut bytes = vec![(number & 0x7f) as u8];
    while number > 0x7f {
        number >>= 7;
        bytes.insert(0, (number & 0x7f) as u8 | 0x80);
    }
    bytes
}

/// Renders notes by an instrument of General MIDI (25 to 30 are guitars, counted from 0) as a WAV file.
pub(super) fn render(path: &Path, notes: &[Note], instrument: u8) {
    let mut events: Vec<(u32, [u8; 3])> = Vec::new();
    for (at, lasts, number, hard) in notes {
        events.push(((at * TICKS) as u32, [0x90, *number, *hard]));
        events.push((((at + lasts) * TICKS) as u32, [0x80, *number, 0]));
    }
    events.sort_unstable();
    let mut track = vec![0, 0xc0, instrument];
    let mut now = 0;
    for (at, event) in events {
        track.extend(variable(at - now));
        track.extend(event);
        now = at;
    }
    // Two seconds of rest, and the end.
    track.extend(variable(2 * TICKS as u32));
    track.extend([0xff, 0x2f, 0]);
    let mut song = b"MThd\0\0\0\x06\0\0\0\x01\x01\xe0MTrk".to_vec();
    song.extend((track.len() as u32).to_be_bytes());
    song.extend(track);
    let midi = path.with_extension("mid");
    fs::write(&midi, song).unwrap();
    let mut command = Command::new("fluidsynth");
    // No reverberation, no chorus; 24 bit.
    command.args(["-ni", "-q", "-g", "0.8", "-R", "0", "-C", "0", "-r", "48000", "-O", "s24", "-F"]);
    command.arg(path).arg(SOUNDS).arg(&midi);
    let output = limits::output(&mut command, b"").unwrap_or_else(|error| {
        panic!("fluidsynth is needed for this check ({error}): install fluidsynth and fluid-soundfont-gm (Debian)")
    });
    assert!(output.status.success(), "fluidsynth failed: {}", String::from_utf8_lossy(&output.stderr));
}

/// Some notes of a riff.
pub(super) fn riff(chance: &mut Chance) -> Vec<Note> {
    (0..16)
        .map(|beat| (0.25 * f64::from(beat), 0.24, chance.whole(40, 70) as u8, chance.whole(60, 120) as u8))
        .collect()
}

/// Open strings of three recorded guitars, one by one: each is found, when it was plucked and as what it was played.
#[test]
fn open_strings_of_recorded_guitars() {
    let folder = tempfile::tempdir().unwrap();
    for instrument in [25, 26, 27] {
        let notes: Vec<Note> = usual_tuning()
            .iter()
            .enumerate()
            .map(|(at, note)| (1.0 + 3.0 * at as f64, 2.8, (note.0 + 69) as u8, 100))
            .collect();
        let path = folder.path().join("strings.wav");
        render(&path, &notes, instrument);
        let told = heard(&path, Played::OpenStrings).unwrap();
        assert_eq!(told.plucks.len(), 6, "instrument {instrument}: {:#?}", told.plucks);
        for (number, pluck) in told.plucks.iter().enumerate() {
            assert_eq!(pluck.string, Some(6 - number as u8), "instrument {instrument}: {pluck:?}");
            let late = pluck.at - (1.0 + 3.0 * number as f64);
            assert!((-0.01..=0.03).contains(&late), "instrument {instrument}: {late} s late");
            // The recorded guitars are in tune as guitars are.
            assert!(pluck.cents.unwrap().abs() < 15.0, "instrument {instrument}: {pluck:?}");
        }
        assert!(told.hum.is_none(), "{:?}", told.hum);
        assert!(told.clipped.is_none(), "{:?}", told.clipped);
    }
}
