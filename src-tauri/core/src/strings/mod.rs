//! The strings over a pickup: how they fan, how far each is from its pole, what the place lets the pickup hear.

mod drawn;
mod harmonics;
mod offsets;
mod pitch;
mod place;

use crate::guitar::Guitar;
use crate::pickup::Pickup;
use crate::quantity::Millimetres;

pub use harmonics::{HARMONICS, Hearing, NODE_WITHIN, aperture, silent_near};
pub use offsets::{OUTER_LIMIT, StringOffset, StringsView, strings_over_poles};
pub use pitch::{A4, Note, read_note, read_note_near, read_tuning};
pub use place::{Band, CoilChoice, HarmonicRow, Listening, OneString, PlaceView, compare_places, more_heard, tuned_to};

/// Outer string to outer string at the nut where a guitar record does not say (common practice).
pub const USUAL_SPREAD_NUT: Millimetres = Millimetres(35.0);
/// Outer string to outer string at the saddle where a guitar record does not say (common practice).
pub const USUAL_SPREAD_SADDLE: Millimetres = Millimetres(52.0);

/// Distance between the outer strings at `place` from the saddle, centre to centre: a straight line from the saddle to
/// the nut. Usual values (common practice) stand in for what the record does not say.
#[must_use]
pub fn spread_at(guitar: &Guitar, place: Millimetres) -> Millimetres {
    let saddle = guitar.spread_saddle.unwrap_or(USUAL_SPREAD_SADDLE).0;
    let nut = guitar.spread_nut.unwrap_or(USUAL_SPREAD_NUT).0;
    let part = if guitar.scale.0 > 0.0 { place.0 / guitar.scale.0 } else { 0.0 };
    Millimetres(saddle - (saddle - nut) * part)
}

/// A place on a guitar to draw when none is in hand: the first of its places, else a fifth of the scale.
#[must_use]
pub fn middle_place(guitar: &Guitar) -> Millimetres {
    guitar.places.first().map_or(Millimetres(guitar.scale.0 / 5.0), |place| place.from_saddle)
}

/// Where the strings are across the guitar at `place`, from its middle line towards the treble side, in millimetres.
#[must_use]
pub fn string_places(guitar: &Guitar, place: Millimetres) -> Vec<f64> {
    evenly(guitar.strings.len(), spread_at(guitar, place).0, 0.0)
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
