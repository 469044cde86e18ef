//! What the rig's place can hear, beside the place where the pickup will be installed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::harmonics::{HARMONICS, Hearing, aperture};
use super::{drawn, parts_across};
use crate::coils::coils_of;
use crate::drawing::Drawn;
use crate::lies::InSpace;
use crate::record::guitar::Guitar;
use crate::record::mounting::Lie;
use crate::record::note::{Note, read_note};
use crate::record::pickup::{CoilName, Pickup};
use crate::record::quantity::{Decibels, Hertz, InInches, Length, LengthUnit, Millimetres};
use crate::record::words::capital;

/// Differences below this are not told as one, in decibels.
const SAME_WITHIN: f64 = 1.0;

/// What is listened to, and through what.
#[derive(Debug, Clone, PartialEq)]
pub struct Listening {
    /// From the saddle to the pole line in the rig.
    pub rig: Millimetres,
    /// From the saddle to the pole line where it will be installed.
    pub last: Millimetres,
    /// How much farther from the saddle the pole line is at the treble side than at the bass side, in the rig and where it
    /// will be installed; zero for one that stands straight across.
    pub aslant: [Millimetres; 2],
    /// How it lies in the rig.
    pub lie: Lie,
    /// The coil that hears alone; nothing when all hear together.
    pub coil: Option<CoilName>,
    /// Distance between the coils' middles, if it is not the record's.
    pub apart: Option<Millimetres>,
    /// Aperture of one coil, if it is not the usual one.
    pub aperture: Option<Millimetres>,
    /// The string whose harmonics are shown, counted from 0 at the bass side.
    pub string: usize,
    /// The fret at which it is pressed; 0 is open.
    pub fret: u8,
    /// The tuning, one note a string; nothing for a string whose note is not known.
    pub tuning: Vec<Option<Note>>,
}

/// A choice of coils to hear through.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/strings.ts")]
pub struct CoilChoice {
    /// The coil alone; nothing for all together.
    pub coil: Option<CoilName>,
    /// "Both coils" or "Coil A alone".
    pub name: String,
}

/// One harmonic at both places.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/strings.ts")]
pub struct HarmonicRow {
    /// Its number; 1 is the fundamental.
    pub harmonic: u32,
    /// Its frequency, if the note is known.
    pub pitch: Option<Hertz>,
    /// The frequency, shown: `330 Hz`; empty when it is not known.
    pub pitch_shown: String,
    /// Its level at the rig's place; 0 dB is all of its movement.
    pub rig: Decibels,
    /// The same, shown.
    pub rig_shown: String,
    /// Whether it is silent there.
    pub rig_silent: bool,
    /// Its level at the final place.
    pub last: Decibels,
    /// The same, shown.
    pub last_shown: String,
    /// Whether it is silent there.
    pub last_silent: bool,
    /// The final place against the rig's: `+3.1 dB`, or words where one is silent.
    pub difference: String,
}

impl HarmonicRow {
    /// "Harmonic 4 is silent in the rig."
    pub(super) fn in_words(&self) -> String {
        let place = match (self.rig_silent, self.last_silent) {
            (true, true) => "at both places",
            (true, false) => "in the rig",
            (false, true) => "at the final place",
            (false, false) => "at neither place",
        };
        format!("Harmonic {} is silent {place}.", self.harmonic)
    }
}

/// One string at both places.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/strings.ts")]
pub struct OneString {
    /// Its note.
    pub note: String,
    /// Its frequency at the chosen fret, shown; empty when the note is not known.
    pub pitch: String,
    /// The first harmonic that is silent in the rig, up to the 20th.
    pub rig_silent: Option<u32>,
    /// The first harmonic that is silent at the final place.
    pub last_silent: Option<u32>,
    /// Both in words.
    pub words: String,
}

/// A range of harmonics at both places, over all strings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/strings.ts")]
pub struct Band {
    /// "the fundamentals".
    pub name: String,
    /// The final place against the rig's, in decibels.
    pub difference: Decibels,
    /// In words.
    pub words: String,
}

/// What the rig's place can hear beside the final place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/strings.ts")]
pub struct PlaceView {
    /// From the saddle to the middle of what hears in the rig.
    pub rig: Length,
    /// The same, installed.
    pub last: Length,
    /// Which coils hear.
    pub coil: Option<CoilName>,
    /// The coils to choose from.
    pub coils: Vec<CoilChoice>,
    /// Distance between the coils, where there are two beside each other.
    pub apart: Option<Length>,
    /// Length of string that one coil senses.
    pub aperture: Length,
    /// Where the two lengths come from.
    pub source: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub source_in_inches: Option<InInches>,
    /// Every string, at the chosen fret.
    pub strings: Vec<OneString>,
    /// The string whose harmonics are shown, counted from 0 at the bass side.
    pub string: usize,
    /// The fret; 0 is open.
    pub fret: u8,
    /// Its harmonics, 1 to 20.
    pub rows: Vec<HarmonicRow>,
    /// All strings together, by ranges of harmonics.
    pub bands: Vec<Band>,
    /// What changes, in sentences.
    pub sentences: Vec<String>,
    /// The same in inches, one for each; nothing for one that tells no length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Option<InInches>>>", optional)]
    pub sentences_in_inches: Vec<Option<InInches>>,
    /// The harmonics as bars.
    pub chart: Drawn,
}

/// The notes of a guitar's strings, as far as they can be read.
#[must_use]
pub fn tuned_to(guitar: &Guitar) -> Vec<Option<Note>> {
    guitar.strings.iter().map(|string| read_note(&string.note).ok()).collect()
}

/// The length of a string pressed at a fret, in equal temperament.
fn length_at(scale: Millimetres, fret: u8) -> Millimetres {
    Millimetres(scale.0 * 2f64.powf(-f64::from(fret) / 12.0))
}

/// What hears at a pole line, in a lie.
fn hearing(guitar: &Guitar, pickup: &Pickup, listening: &Listening, pole_line: Millimetres, lie: Lie) -> Hearing {
    let aperture = listening.aperture.unwrap_or_else(|| aperture(pickup.construction));
    let (known, _) = crate::coils::coil_distance(pickup);
    let apart = listening.apart.unwrap_or(known);
    let count = u8::try_from(pickup.coils.len()).unwrap_or(1);
    let beside = pickup.has_coils_side_by_side();
    match listening.coil {
        Some(coil) if beside => {
            // Towards the bridge is nearer the saddle.
            let stretch = if known.0 > 0.0 { apart.0 / known.0 } else { 1.0 };
            let at =
                coils_of(pickup, guitar.strung_for()).into_iter().find(|(name, _)| *name == coil).map(|(_, at)| at);
            let along = match (at, lie.rotation()) {
                (Some(at), Some(rotation)) => (rotation * at).x * stretch,
                _ => 0.0,
            };
            Hearing { place: Millimetres(pole_line.0 - along), aperture, apart: None }
        }
        None if beside => Hearing { place: pole_line, aperture, apart: Some((count, apart)) },
        _ => Hearing { place: pole_line, aperture, apart: None },
    }
}

/// Compares the rig's place with the final one.
///
/// # Errors
/// The name of the field and a sentence, when a place is not on the string, the string is not there, or it ends before
/// the place at this fret.
pub fn compare_places(
    guitar: &Guitar,
    pickup: &Pickup,
    listening: &Listening,
) -> Result<PlaceView, (&'static str, String)> {
    on_the_string(guitar, listening)?;
    // Each string has its own length over fanned frets, and its own place over a pole line that is aslant.
    let across = parts_across(guitar, [listening.rig, Millimetres(listening.rig.0 + listening.aslant[0].0)]);
    let part = |string: usize| across.get(string).copied().unwrap_or(0.0);
    let length_of = |string: usize| {
        let [bass, treble] = guitar.scales();
        length_at(Millimetres(bass.0 + (treble.0 - bass.0) * part(string)), listening.fret)
    };
    let heard_by = |string: usize| {
        let at = |place: Millimetres, aslant: Millimetres| Millimetres(place.0 + aslant.0 * part(string));
        let [rig, last] = listening.aslant;
        [
            hearing(guitar, pickup, listening, at(listening.rig, rig), listening.lie),
            hearing(guitar, pickup, listening, at(listening.last, last), Lie::INSTALLED),
        ]
    };
    let length = length_of(listening.string);
    let [rig, last] = heard_by(listening.string);
    if listening.fret > 36 || length.0 <= rig.place.0.max(last.place.0) {
        return Err((
            "fret",
            format!("Pressed at fret {}, the string ends before the pickup. Choose a lower fret.", listening.fret),
        ));
    }
    let note = |index: usize| listening.tuning.get(index).copied().flatten();
    let up = 2f64.powf(f64::from(listening.fret) / 12.0);
    let rows: Vec<HarmonicRow> = (1..=HARMONICS)
        .map(|harmonic| {
            let pitch = note(listening.string).map(|note| Hertz(note.pitch().0 * up * f64::from(harmonic)));
            row(harmonic, pitch, &rig, &last, length)
        })
        .collect();
    let strings: Vec<OneString> = guitar
        .strings
        .iter()
        .enumerate()
        .map(|(index, string)| {
            let [rig, last] = heard_by(index);
            one_string(string.note.clone(), note(index), up, &rig, &last, length_of(index))
        })
        .collect();
    let bands = bands(&rig, &last, length);
    let shown = note(listening.string).map_or_else(
        || guitar.strings.get(listening.string).map(|string| string.note.clone()).unwrap_or_default(),
        Note::shown,
    );
    let fret = if listening.fret == 0 { "open".to_owned() } else { format!("at fret {}", listening.fret) };
    let (source, source_in_inches) = InInches::told(|unit| lengths_from(pickup, listening, unit));
    let remark = tuning_remark(guitar, listening);
    let (sentences, sentences_in_inches) =
        InInches::told_each(|unit| sentences(&rig, &last, &bands, &rows, length, &remark, unit));
    Ok(PlaceView {
        rig: rig.place.into(),
        last: last.place.into(),
        coil: listening.coil,
        coils: coil_choices(pickup),
        apart: coils_apart(pickup, listening),
        aperture: rig.aperture.into(),
        source,
        source_in_inches,
        sentences,
        sentences_in_inches,
        chart: drawn::bars(format!("Harmonics of {shown}, {fret}"), &rows),
        strings,
        string: listening.string,
        fret: listening.fret,
        rows,
        bands,
    })
}

/// Whether both places are on the string, and the string is there.
fn on_the_string(guitar: &Guitar, listening: &Listening) -> Result<(), (&'static str, String)> {
    let inside = |place: Millimetres| place.0 > 0.0 && place.0 < guitar.scale.0;
    let beyond = "The place lies between the saddle and the nut. Measure from the saddle to the pole line.";
    if !inside(listening.rig) {
        return Err(("from_saddle", beyond.to_owned()));
    }
    if !inside(listening.last) {
        return Err(("final_place", beyond.to_owned()));
    }
    if listening.string >= guitar.strings.len() {
        return Err(("string", format!("This guitar has {} strings.", guitar.strings.len())));
    }
    Ok(())
}

/// How far the coils are apart, where they lie beside each other.
fn coils_apart(pickup: &Pickup, listening: &Listening) -> Option<Length> {
    let (known, _) = crate::coils::coil_distance(pickup);
    pickup.has_coils_side_by_side().then(|| Length::from(listening.apart.unwrap_or(known)))
}

/// Where the lengths that are taken for granted come from.
fn lengths_from(pickup: &Pickup, listening: &Listening, unit: LengthUnit) -> String {
    let beside = pickup.has_coils_side_by_side();
    let (known, is_known) = crate::coils::coil_distance(pickup);
    let mut source =
        "The length of string that a coil senses is from memory, a place to start; change it as you like.".to_owned();
    if beside && !is_known && listening.apart.is_none() {
        source.push_str(&format!(
            " The record does not say how far the coils are apart; {} is common practice. Write your own above, or into the pickup's \
             record.",
            known.shown(unit)
        ));
    }
    source
}

fn coil_choices(pickup: &Pickup) -> Vec<CoilChoice> {
    if !pickup.has_coils_side_by_side() {
        return Vec::new();
    }
    let all = if pickup.coils.len() == 2 { "Both coils" } else { "All coils" };
    std::iter::once(CoilChoice { coil: None, name: all.to_owned() })
        .chain(
            pickup
                .coils
                .iter()
                .map(|coil| CoilChoice { coil: Some(coil.name), name: format!("Coil {} alone", coil.name.letter()) }),
        )
        .collect()
}

fn signed(value: f64) -> String {
    let rounded = (value * 10.0).round() / 10.0 + 0.0;
    if rounded < 0.0 { format!("−{:.1}", -rounded) } else { format!("+{rounded:.1}") }
}

fn hertz(pitch: Hertz) -> String {
    let digits = if pitch.0 < 1000.0 { 1 } else { 0 };
    format!("{:.digits$} Hz", pitch.0)
}

fn row(harmonic: u32, pitch: Option<Hertz>, rig: &Hearing, last: &Hearing, length: Millimetres) -> HarmonicRow {
    let (rig_level, last_level) = (rig.level(harmonic, length), last.level(harmonic, length));
    let (rig_silent, last_silent) = (rig.is_silent(harmonic, length), last.is_silent(harmonic, length));
    let shown = |level: Decibels, silent: bool| if silent { "silent".to_owned() } else { level.shown() };
    let difference = match (rig_silent, last_silent) {
        (true, true) => "both silent".to_owned(),
        (true, false) => "only at the final place".to_owned(),
        (false, true) => "only in the rig".to_owned(),
        (false, false) => signed(last_level.0 - rig_level.0) + " dB",
    };
    HarmonicRow {
        harmonic,
        pitch,
        pitch_shown: pitch.map(hertz).unwrap_or_default(),
        rig: rig_level,
        rig_shown: shown(rig_level, rig_silent),
        rig_silent,
        last: last_level,
        last_shown: shown(last_level, last_silent),
        last_silent,
        difference,
    }
}

fn ordinal(number: u32) -> String {
    let ending = match (number % 10, number % 100) {
        (_, 11..=13) => "th",
        (1, _) => "st",
        (2, _) => "nd",
        (3, _) => "rd",
        _ => "th",
    };
    format!("{number}{ending}")
}

fn one_string(
    record: String,
    note: Option<Note>,
    up: f64,
    rig: &Hearing,
    last: &Hearing,
    length: Millimetres,
) -> OneString {
    let (rig_silent, last_silent) = (rig.first_silent(length), last.first_silent(length));
    let pitch = note.map(|note| note.pitch().0 * up);
    let silent = |harmonic: Option<u32>| match (harmonic, pitch) {
        (None, _) => "none up to the 20th".to_owned(),
        (Some(harmonic), Some(pitch)) => {
            format!("the {} ({})", ordinal(harmonic), hertz(Hertz(pitch * f64::from(harmonic))))
        }
        (Some(harmonic), None) => format!("the {}", ordinal(harmonic)),
    };
    OneString {
        note: note.map_or(record, Note::shown),
        pitch: pitch.map(|pitch| hertz(Hertz(pitch))).unwrap_or_default(),
        words: format!("First silent in the rig: {}. At the final place: {}.", silent(rig_silent), silent(last_silent)),
        rig_silent,
        last_silent,
    }
}

/// Ranges of harmonics that are told together, with their names.
const BANDS: [(&str, u32, u32); 3] =
    [("the fundamentals", 1, 1), ("harmonics 2 to 5", 2, 5), ("harmonics 6 to 20", 6, HARMONICS)];

/// How much more of the fundamental, of harmonics 2 to 5 and of harmonics 6 to 20 is heard at `last` than at `rig`, in
/// decibels of mean power, on a string that is `length` millimetres long.
#[must_use]
pub fn more_heard(rig: &Hearing, last: &Hearing, length: Millimetres) -> [Decibels; 3] {
    BANDS.map(|(_, from, to)| {
        let power = |hearing: &Hearing| (from..=to).map(|n| hearing.share(n, length).powi(2)).sum::<f64>().max(1e-12);
        Decibels(10.0 * (power(last) / power(rig)).log10())
    })
}

/// The same as [`more_heard`] in words. The strings are equally long, so one stands for all.
fn bands(rig: &Hearing, last: &Hearing, length: Millimetres) -> Vec<Band> {
    BANDS
        .iter()
        .zip(more_heard(rig, last, length))
        .map(|((name, ..), difference)| {
            let words = if difference.0.abs() < SAME_WITHIN {
                format!("About as much of {name}.")
            } else {
                let more = if difference.0 > 0.0 { "more" } else { "less" };
                format!("{:.1} dB {more} of {name}.", difference.0.abs())
            };
            Band { name: (*name).to_owned(), difference, words }
        })
        .collect()
}

fn tuning_remark(guitar: &Guitar, listening: &Listening) -> Option<String> {
    let unread: Vec<&str> = guitar
        .strings
        .iter()
        .zip(&listening.tuning)
        .filter(|(_, note)| note.is_none())
        .map(|(string, _)| string.note.as_str())
        .collect();
    (!unread.is_empty()).then(|| {
        format!(
            "“{}” can't be read as a note, so its frequencies are left out. Write notes like E2 in the guitar's record.",
            unread.join("”, “")
        )
    })
}

fn sentences(
    rig: &Hearing,
    last: &Hearing,
    bands: &[Band],
    rows: &[HarmonicRow],
    length: Millimetres,
    remark: &Option<String>,
    unit: LengthUnit,
) -> Vec<String> {
    let shown = |place: Millimetres| place.shown(unit);
    let deaf = |hearing: &Hearing| match hearing.first_silent(length) {
        Some(number) => format!("the first harmonic it can't hear is number {number}"),
        None => {
            let level = |harmonic: &u32| hearing.level(*harmonic, length).0;
            let least = (1..=HARMONICS).min_by(|a, b| level(a).total_cmp(&level(b))).unwrap_or(HARMONICS);
            format!("it hears all of the first {HARMONICS} harmonics, number {least} the least")
        }
    };
    let mut all = Vec::new();
    let apart = last.place.0 - rig.place.0;
    if rig == last {
        all.push("The rig's place is the final place: what you hear is heard from where it will be.".to_owned());
        all.push(format!("{}.", capital(&deaf(rig))));
    } else {
        let way = if apart > 0.0 { "nearer the neck" } else { "nearer the bridge" };
        all.push(format!(
            "Installed it hears {} from the saddle, {} {way} than in the rig ({}).",
            shown(last.place),
            shown(Millimetres(apart.abs())),
            shown(rig.place)
        ));
        all.push(format!("In the rig {}. At the final place {}.", deaf(rig), deaf(last)));
        let told: Vec<&str> = bands.iter().map(|band| band.words.as_str()).collect();
        all.push(format!("At the final place: {}", told.join(" ")));
        if let [low, _, high] = bands {
            let tilt = low.difference.0 - high.difference.0;
            all.push(
                if tilt > SAME_WITHIN {
                    "So expect it fuller and rounder than in the rig."
                } else if tilt < -SAME_WITHIN {
                    "So expect it thinner and brighter than in the rig."
                } else {
                    "So expect much the same balance as in the rig."
                }
                .to_owned(),
            );
        }
        let only: Vec<String> =
            rows.iter().filter(|row| row.rig_silent != row.last_silent).map(HarmonicRow::in_words).collect();
        if !only.is_empty() {
            all.push(only.join(" "));
        }
    }
    all.extend(remark.clone());
    all
}
