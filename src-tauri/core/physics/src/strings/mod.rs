//! The strings over a pickup: how they fan, how far each is from its pole, what the place lets the pickup hear.

mod drawn;
mod harmonics;
mod offsets;
mod place;

use crate::record::guitar::Guitar;
use crate::record::pickup::Pickup;
use crate::record::quantity::Millimetres;

use crate::record::note::{Note, read_note};
pub use harmonics::{HARMONICS, Hearing, NODE_WITHIN, aperture};
pub use offsets::{OUTER_LIMIT, StringOffset, StringsView, strings_over_poles, strings_when_installed};
pub use place::{Band, CoilChoice, HarmonicRow, Listening, OneString, PlaceView, compare_places, more_heard, tuned_to};

/// Outer string to outer string at the saddle where nothing at all is known of a guitar (common practice).
pub const USUAL_SPREAD_SADDLE: Millimetres = Millimetres(52.0);
/// String to string at the nut and at the saddle where a guitar record does not say, in millimetres (common practice).
const USUAL_STEP: [f64; 2] = [7.0, 10.4];
/// The same on a bass.
const USUAL_STEP_BASS: [f64; 2] = [10.0, 19.0];
/// String to string in a pair, in millimetres (common practice).
const PAIR: f64 = 2.0;
/// The fret that runs straight across where frets are fanned (common practice).
const STRAIGHT_FRET: f64 = 7.0;

/// Outer string to outer string at the nut and at the saddle; usual values stand in for what the record does not say.
#[must_use]
pub fn spreads(guitar: &Guitar) -> [Millimetres; 2] {
    let steps = guitar.courses().saturating_sub(1).max(1) as f64;
    let usual = if is_bass(guitar) { USUAL_STEP_BASS } else { USUAL_STEP };
    [
        guitar.spread_nut.unwrap_or(Millimetres(usual[0] * steps)),
        guitar.spread_saddle.unwrap_or(Millimetres(usual[1] * steps)),
    ]
}

/// The highest note the thinnest string of a bass is tuned to: F3. A guitar's is A3 or higher.
const BASS_UP_TO: Note = Note(-16);
/// A scale from here on is a bass's where its notes can't be read, in millimetres (common practice).
const BASS_SCALE: f64 = 800.0;

/// Whether these are the strings of a bass: told by the note of the thinnest string, and where it can't be read by the
/// scale.
#[must_use]
pub fn is_bass(guitar: &Guitar) -> bool {
    let top = if guitar.in_pairs { 2 } else { 1 };
    let thinnest = guitar.strings.iter().rev().take(top).filter_map(|string| read_note(&string.note).ok()).min();
    thinnest.map_or(guitar.scale.0 >= BASS_SCALE, |note| note <= BASS_UP_TO)
}

/// Distance between the outer strings at `place` from the saddle, centre to centre: a straight line from the saddle to
/// the nut. Usual values (common practice) stand in for what the record does not say.
#[must_use]
pub fn spread_at(guitar: &Guitar, place: Millimetres) -> Millimetres {
    let [bass, treble] = outer_at(guitar, [place; 2]);
    Millimetres(treble - bass)
}

/// Where the outer strings are across the guitar at these distances from the saddle, from its middle line towards the treble
/// side, in millimetres.
#[must_use]
pub fn outer_at(guitar: &Guitar, place: [Millimetres; 2]) -> [f64; 2] {
    let [nut, saddle] = spreads(guitar).map(|spread| spread.0);
    let scales = guitar.scales();
    [(0, -0.5), (1, 0.5)].map(|(side, sign): (usize, f64)| {
        let part = if scales[side].0 > 0.0 { place[side].0 / scales[side].0 } else { 0.0 };
        sign * (saddle - (saddle - nut) * part)
    })
}

/// How much farther along the strings towards the neck the pole line is at the bass side than at the treble side, in
/// millimetres: zero for a pickup that stands straight across. Fanned frets move the two saddles apart; which fret runs
/// straight is common practice.
#[must_use]
pub fn slant(guitar: &Guitar, place: [Millimetres; 2]) -> f64 {
    let [bass, treble] = guitar.scales().map(|scale| scale.0);
    let saddles = (bass - treble) * 2f64.powf(-STRAIGHT_FRET / 12.0);
    place[0].0 - place[1].0 - saddles
}

/// A place on a guitar to draw when none is in hand: the first of its places, else a fifth of the scale.
#[must_use]
pub fn middle_place(guitar: &Guitar) -> Millimetres {
    guitar.places.first().map_or(Millimetres(guitar.scale.0 / 5.0), |place| place.from_saddle)
}

/// Where the strings are across the guitar at these distances from the saddle at the bass and at the treble side, from its
/// middle line towards the treble side, in millimetres. Strings in pairs stand close together.
#[must_use]
pub fn string_places(guitar: &Guitar, place: [Millimetres; 2]) -> Vec<f64> {
    let [bass, treble] = outer_at(guitar, place);
    let (middle, spread) = (f64::midpoint(bass, treble), treble - bass);
    if !guitar.in_pairs {
        return evenly(guitar.strings.len(), spread, middle);
    }
    let pairs = evenly(guitar.courses(), (spread - PAIR).max(0.0), middle);
    let both = pairs.into_iter().flat_map(|at| [at - PAIR / 2.0, at + PAIR / 2.0]);
    both.take(guitar.strings.len()).collect()
}

/// How far across each string is, from 0 for the outer bass string to 1 for the outer treble string, at these distances from
/// the saddle.
#[must_use]
pub fn parts_across(guitar: &Guitar, place: [Millimetres; 2]) -> Vec<f64> {
    let places = string_places(guitar, place);
    let first = places.first().copied().unwrap_or(0.0);
    let wide = places.last().map_or(0.0, |last| last - first);
    places.into_iter().map(|at| if wide > 0.0 { (at - first) / wide } else { 0.0 }).collect()
}

/// Where the poles are across, from the middle line towards the treble side, with the pickup moved by `shift` that way;
/// nothing when their number or spacing is not known.
#[must_use]
pub fn pole_places(pickup: &Pickup, shift: Millimetres) -> Option<Vec<f64>> {
    let count = usize::from(pickup.pole_count?);
    Some(evenly(count, pickup.pole_spacing?.0, shift.0))
}

fn evenly(count: usize, spread: f64, shift: f64) -> Vec<f64> {
    match count {
        0 => Vec::new(),
        1 => vec![shift],
        _ => (0..count).map(|index| shift + spread * (index as f64 / (count - 1) as f64 - 0.5)).collect(),
    }
}
