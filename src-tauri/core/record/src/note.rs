//! Pitches from note names: equal temperament, A4 at 440 Hz (ISO 16).

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::quantity::{Hertz, tidy};
use crate::words::Unclear;

/// The tuning frequency of A4 (ISO 16).
pub const A4: Hertz = Hertz(440.0);

/// A note, as semitones above or below A4.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/quantity.ts")]
pub struct Note(pub i32);

const NAMES: [&str; 12] = ["C", "C#", "D", "D#", "E", "F", "F#", "G", "G#", "A", "A#", "B"];
const EXAMPLE: &str = "E2 or F#3";

impl Note {
    /// Its frequency.
    #[must_use]
    pub fn pitch(self) -> Hertz {
        Hertz(A4.0 * 2f64.powf(f64::from(self.0) / 12.0))
    }

    /// `F#3`.
    #[must_use]
    pub fn shown(self) -> String {
        let from_c0 = self.0 + 57;
        let name = usize::try_from(from_c0.rem_euclid(12)).ok().and_then(|index| NAMES.get(index)).unwrap_or(&"?");
        format!("{name}{}", from_c0.div_euclid(12))
    }
}

/// Reads a note as people write it: `E2`, `f#3`, `B♭1`, `Bb1`; the number is the octave, C4 is middle C.
///
/// # Errors
/// [`Unclear`] for anything else, and without an octave.
///
/// ```
/// use solderlast_record::note::read_note;
/// assert!((read_note("E2").unwrap().pitch().get() - 82.41).abs() < 0.005);
/// assert!(read_note("H2").is_err());
/// ```
pub fn read_note(typed: &str) -> Result<Note, Unclear> {
    let (in_octave, octave) = parts(typed)?;
    let octave = octave.ok_or_else(|| {
        Unclear::new(format!("“{}” lacks its octave. Write the note like {EXAMPLE}; C4 is middle C.", typed.trim()))
    })?;
    Ok(Note(octave * 12 + in_octave - 57))
}

/// Reads a note that may lack its octave; then it is the nearest one to `near`.
///
/// # Errors
/// [`Unclear`] as for [`read_note`], and when neither the octave is typed nor a near note is known.
pub fn read_note_near(typed: &str, near: Option<Note>) -> Result<Note, Unclear> {
    let (in_octave, octave) = parts(typed)?;
    match (octave, near) {
        (None, Some(near)) => {
            let steps = (in_octave - 57 - near.0 + 6).rem_euclid(12) - 6;
            Ok(Note(near.0 + steps))
        }
        _ => read_note(typed),
    }
}

/// Semitones above the C of its octave (which may leave the octave), and the octave.
fn parts(typed: &str) -> Result<(i32, Option<i32>), Unclear> {
    let text = tidy(typed, "a note", EXAMPLE)?;
    let not_a_note = || Unclear::new(format!("“{text}” is not a note. Write it like {EXAMPLE}."));
    let mut letters = text.chars().filter(|c| !c.is_whitespace()).peekable();
    let letter = letters.next().map(|c| c.to_ascii_uppercase()).ok_or_else(not_a_note)?;
    let name = NAMES.iter().position(|name| name.len() == 1 && name.starts_with(letter)).ok_or_else(not_a_note)?;
    let mut semitones = i32::try_from(name).map_err(|_| not_a_note())?;
    match letters.peek() {
        Some('#' | '♯') => {
            semitones += 1;
            letters.next();
        }
        Some('b' | 'B' | '♭') => {
            semitones -= 1;
            letters.next();
        }
        _ => {}
    }
    let octave: String = letters.collect();
    if octave.is_empty() {
        return Ok((semitones, None));
    }
    let octave = octave.parse::<i32>().ok().filter(|octave| (0..=8).contains(octave)).ok_or_else(not_a_note)?;
    Ok((semitones, Some(octave)))
}

/// Reads a whole tuning: one note a string, bass side first, parted by spaces or commas. A note without its octave is the
/// one nearest to what the string is usually tuned to.
///
/// # Errors
/// [`Unclear`] when a note can't be read or there is not one for each string.
pub fn read_tuning(typed: &str, usual: &[Option<Note>]) -> Result<Vec<Note>, Unclear> {
    if typed.chars().take(201).count() > 200 {
        return Err(Unclear::new("That is too long for a tuning. Write one note a string, bass side first."));
    }
    let mut words: Vec<String> =
        typed.split(|c: char| c.is_whitespace() || c == ',').filter(|w| !w.is_empty()).map(str::to_owned).collect();
    // DADGBE, written as one word.
    if let [word] = words.as_slice()
        && word.len() == usual.len()
        && word.chars().all(|c| c.is_ascii_alphabetic())
    {
        words = word.chars().map(String::from).collect();
    }
    if words.len() != usual.len() {
        return Err(Unclear::new(format!(
            "Write one note for each of the {} strings, bass side first, like D2 A2 D3. There are {} here.",
            usual.len(),
            words.len()
        )));
    }
    words.iter().zip(usual).map(|(word, near)| read_note_near(word, *near)).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn notes_as_people_write_them() {
        for (typed, shown) in [
            ("E2", "E2"),
            ("e2", "E2"),
            ("F#3", "F#3"),
            ("F♯3", "F#3"),
            ("Bb1", "A#1"),
            ("B♭1", "A#1"),
            ("bb1", "A#1"),
            (" A 4 ", "A4"),
            ("Cb4", "B3"),
            ("B#3", "C4"),
        ] {
            assert_eq!(read_note(typed).map(Note::shown), Ok(shown.to_owned()), "{typed}");
        }
        for typed in ["", "H2", "E", "E22", "2", "E#b2", "E-1", "\u{202e}E2", "low E"] {
            assert!(read_note(typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn tunings() {
        let usual: Vec<Option<Note>> = ["E2", "A2", "D3", "G3", "B3", "E4"].iter().map(|n| read_note(n).ok()).collect();
        let shown = |typed: &str| {
            read_tuning(typed, &usual).map(|notes| notes.into_iter().map(Note::shown).collect::<Vec<_>>().join(" "))
        };
        for (typed, read) in [
            ("D2 A2 D3 G3 B3 E4", "D2 A2 D3 G3 B3 E4"),
            ("D A D G B E", "D2 A2 D3 G3 B3 E4"),
            ("DADGAD", "D2 A2 D3 G3 A3 D4"),
            ("D,A,D,F#,A,D", "D2 A2 D3 F#3 A3 D4"),
            ("F A# D# G# C F", "F2 A#2 D#3 G#3 C4 F4"),
        ] {
            assert_eq!(shown(typed), Ok(read.to_owned()), "{typed}");
        }
        assert!(matches!(shown("D A D"), Err(u) if u.sentence.contains("each of the 6 strings")));
        assert!(shown("D A D G B X").is_err());
    }

    proptest! {
        #[test]
        fn written_and_read_again(semitones in -57_i32..50) {
            prop_assert_eq!(read_note(&Note(semitones).shown()), Ok(Note(semitones)));
        }

        #[test]
        fn anything_typed_is_answered(typed in ".{0,40}") {
            let _ = read_note(&typed);
            let _ = read_tuning(&typed, &[None, Some(Note(0))]);
        }
    }
}
