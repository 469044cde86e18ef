//! What a word, a number and a name of an entry may be, whatever it says.

use std::collections::BTreeSet;
use std::ops::RangeInclusive;

use uuid::Uuid;

use crate::gaps::possible;
use crate::quantity::{Celsius, Millimetres, Ohms, Reading};
use crate::rig::Mode;
use crate::words;

/// Why an entry can't be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Broken {
    /// The field at fault, as a path into the body.
    pub field: String,
    /// What is wrong with it.
    pub sentence: String,
}

pub(super) type Kept = Result<(), Broken>;

/// The largest resistance that is written down, in ohms: past it, a meter says over-limit.
pub(super) const OHMS: RangeInclusive<f64> = 0.0..=1e9;
/// Lengths, in millimetres.
pub(super) const MILLIMETRES: RangeInclusive<f64> = 0.0..=3000.0;
/// Scale lengths, in millimetres.
pub(super) const SCALE: RangeInclusive<f64> = 250.0..=1000.0;
/// Capacitances, in farads.
pub(super) const FARADS: RangeInclusive<f64> = 0.0..=1e-5;
/// Temperatures of a room, in degrees Celsius.
pub(super) const ROOM: RangeInclusive<f64> = -40.0..=60.0;
/// Levels on a meter, in decibels.
pub(super) const LEVEL: RangeInclusive<f64> = -120.0..=140.0;
/// Levels at the ear, in dB(A).
pub(super) const AT_THE_EAR: RangeInclusive<f64> = 20.0..=140.0;
/// How long the sound can have been up, in minutes.
pub(super) const MINUTES: RangeInclusive<f64> = 0.0..=24.0 * 60.0;
/// Notes, in semitones from A4: C0 and a semitone below it, to B8 and one above.
pub(super) const NOTES: RangeInclusive<i32> = -58..=51;
/// How many strings a guitar has.
pub(super) const STRINGS: RangeInclusive<usize> = 4..=12;
/// The longest text that is kept as it was typed for a number, in characters.
pub(super) const LONGEST_TYPED: usize = 128;

pub(super) fn wrong(field: &str, sentence: impl Into<String>) -> Broken {
    Broken { field: field.to_owned(), sentence: sentence.into() }
}

pub(super) fn broken(field: &str, sentence: &str) -> Kept {
    Err(wrong(field, sentence))
}

pub(super) fn when(fine: bool, field: &str, sentence: &str) -> Kept {
    if fine { Ok(()) } else { broken(field, sentence) }
}

pub(super) fn version_7(name: Uuid) -> Kept {
    when(name.get_version_num() == 7, "id", "The name of a thing or an entry is a version-7 UUID.")
}

/// A label as a page writes it: what is left when blanks are taken off its ends, with nothing in it that can't be seen.
pub(super) fn label(field: &str, text: &str) -> Kept {
    match words::label(text, "this") {
        Ok(read) => when(read == text, field, "A name has no blanks at its ends."),
        Err(unclear) => Err(wrong(field, unclear.sentence)),
    }
}

pub(super) fn labels(field: &str, texts: impl IntoIterator<Item = impl AsRef<str>>) -> Kept {
    texts.into_iter().try_for_each(|text| label(field, text.as_ref()))
}

pub(super) fn label_or_none(field: &str, text: &str) -> Kept {
    if text.is_empty() { Ok(()) } else { label(field, text) }
}

pub(super) fn mode(field: &str, Mode(name): &Mode) -> Kept {
    label(field, name)
}

/// The name of a caution or a hold; a newer version may have others than this one.
pub(super) fn name_of_a_rule(field: &str, name: &str) -> Kept {
    let fine = name.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || matches!(b, b'_' | b'-' | b'.'));
    when(fine && (1..=words::LONGEST_LABEL).contains(&name.len()), field, "No caution and no hold has such a name.")
}

pub(super) fn note(field: &str, text: &str) -> Kept {
    words::note(text, "the note").map(drop).map_err(|unclear| wrong(field, unclear.sentence))
}

pub(super) fn reason(field: &str, text: &str) -> Kept {
    words::reason(text).map(drop).map_err(|unclear| wrong(field, unclear.sentence))
}

/// What was typed for a number, kept beside it.
pub(super) fn typed(text: &str) -> Kept {
    let short = text.chars().take(LONGEST_TYPED + 1).count() <= LONGEST_TYPED;
    when(short && !text.trim().chars().any(char::is_control), "typed", "Nobody can have typed this for a number.")
}

pub(super) fn within(field: &str, number: f64, range: &RangeInclusive<f64>) -> Kept {
    when(range.contains(&number), field, &format!("This lies between {} and {}.", range.start(), range.end()))
}

pub(super) fn length(field: &str, length: Option<Millimetres>) -> Kept {
    length.map_or(Ok(()), |Millimetres(length)| within(field, length, &MILLIMETRES))
}

/// From the saddle to a pole line.
pub(super) fn along_the_string(field: &str, from_saddle: Millimetres) -> Kept {
    let fine = from_saddle.0 > 0.0 && from_saddle.0 < *SCALE.end();
    when(fine, field, "A place lies between the saddle and the nut.")
}

/// The same at the treble side, where that differs.
pub(super) fn along_the_treble_side(field: &str, from_saddle: Option<Millimetres>) -> Kept {
    from_saddle.map_or(Ok(()), |from_saddle| along_the_string(field, from_saddle))
}

pub(super) fn gap(field: &str, gap: Millimetres) -> Kept {
    when(gap.0.is_finite(), field, "A gap is a number.")?;
    possible(gap).map_err(|sentence| wrong(field, sentence))
}

pub(super) fn fret(pressed_at: Option<u8>) -> Kept {
    when(pressed_at.is_none_or(|fret| (1..=36).contains(&fret)), "pressed_at", "Frets are counted from 1 to 36.")
}

/// A value that somebody states: never zero.
pub(super) fn value(field: &str, ohms: Option<Ohms>) -> Kept {
    ohms.map_or(Ok(()), |Ohms(ohms)| when(ohms > 0.0 && OHMS.contains(&ohms), field, "No such resistance is stated."))
}

pub(super) fn reading(reading: Reading) -> Kept {
    match reading {
        Reading::Ohms(Ohms(ohms)) => within("reading", ohms, &OHMS),
        Reading::OverLimit => Ok(()),
    }
}

pub(super) fn room(room: Option<Celsius>) -> Kept {
    room.map_or(Ok(()), |Celsius(room)| within("room", room, &ROOM))
}

pub(super) fn all_differ<T: Ord>(of: &[T]) -> bool {
    of.iter().collect::<BTreeSet<_>>().len() == of.len()
}
