//! Recordings as they come to a bench, good and bad.

mod bad_files;
mod keeping;
mod recordings;

use std::io::Cursor;

use solderlast_record::note::{Note, read_note};
use solderlast_record::take::Played;
use solderlast_samples::sound::{Samples, Sound};

use crate::{Asked, Told, file::Unreadable, take};

/// E2 A2 D3 G3 B3 E4.
fn usual_tuning() -> Vec<Note> {
    ["E2", "A2", "D3", "G3", "B3", "E4"].map(|note| read_note(note).unwrap()).to_vec()
}

fn asked(played: Played) -> Asked {
    Asked { played, tuning: usual_tuning() }
}

fn heard(file: Vec<u8>, played: Played) -> Result<Told, Unreadable> {
    take(Cursor::new(file), &asked(played))
}

fn told(sound: &Sound, played: Played) -> Told {
    heard(sound.wav(Samples::Whole(24)), played).unwrap()
}

fn sentences(told: &Told) -> Vec<String> {
    crate::follows::from_take(told).into_iter().map(|follows| follows.sentence).collect()
}
