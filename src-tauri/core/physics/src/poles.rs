//! Which pole of a magnet faces a phone's magnetic field sensor, held against a magnet whose pole is known.
//!
//! The phone lies still. The earth's field is measured, then a known magnet comes to one edge of the phone and goes, then the
//! pickup's poles come to the same edge. What the magnet adds to the earth's field points, as both come from the same side, the
//! same way for the same pole and the opposite way for the other. Where the sensor sits in the phone need not be known.

use std::f64::consts::FRAC_1_SQRT_2;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::pickup::Polarity;

/// What the earth alone can give, in microtesla (22 to 67 on its surface, World Magnetic Model; with room for a phone's own iron).
const EARTH: (f64, f64) = (15.0, 80.0);
/// How still a phone that lies on a bench reads, in microtesla (common practice, no source).
const STILL: f64 = 4.0;
/// What a magnet must add to be told from what a moved phone or a tool would add, in microtesla (common practice, no source).
const LEAST: f64 = 80.0;
/// Beyond this the sensors of some phones have come to their end, in microtesla (common practice, no source).
const MOST: f64 = 1000.0;
/// Whatever is told was read at least so often.
const FEWEST: usize = 8;
/// How far apart what two magnets add may point, or from the opposite, as a cosine.
const ALONG: f64 = FRAC_1_SQRT_2;
/// How much of the strongest an opposite field may be before two unlike poles are near.
const UNLIKE: f64 = 0.2;

/// What fills the bar, in microtesla: well over what has to be added, well under a sensor's end.
const FULL: f64 = 250.0;

const LAY_DOWN: &str =
    "Lay the phone flat on wood, an arm's length from magnets, steel and loudspeakers. Leave it there to the end.";
const BRING_KNOWN: &str = "Bring the pole that you know, from an arm's length, to the middle of the phone's upper edge, not over the glass, \
                           until the bar is full.";
const BRING_POLES: &str = "Take that magnet an arm's length away. Bring the tops of these poles to the same place in the same way, the \
                           other coil's poles turned away.";

/// What a sensor read, in the order it was read: three axes of the phone each, in microtesla.
pub type Readings = [[f64; 3]];

/// What comes next, or what was told.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/leads.ts")]
pub enum PoleStage {
    /// The earth's field is measured.
    Earth,
    /// The known magnet comes.
    Known,
    /// The pickup's poles come.
    Here,
    /// The pole is told.
    Told,
}

/// How far it has come.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/leads.ts")]
pub struct PoleSide {
    /// What comes next.
    pub stage: PoleStage,
    /// The pole that faces the phone, once it is told.
    pub up: Option<Polarity>,
    /// What to do now; where something was wrong, what, and what to do about it.
    pub sentence: String,
    /// Something was wrong with what was read last: it does not count.
    pub wrong: bool,
    /// The field of the earth alone, once it is known, in microtesla.
    pub alone: Option<[f64; 3]>,
    /// What has to be added to it for a full bar, in microtesla.
    pub full: f64,
}

impl PoleSide {
    fn at(stage: PoleStage, alone: Option<[f64; 3]>, said: Result<&str, String>) -> Self {
        let wrong = said.is_err();
        let sentence = said.map_or_else(|sentence| sentence, str::to_owned);
        Self { stage, up: None, sentence, wrong, alone, full: FULL }
    }
}

/// Says which pole faces the phone, or what comes next: readings of the earth alone, of the known magnet as it comes, and of the
/// pickup's poles as they come, each empty until it was done.
///
/// ```
/// use solderlast_physics::poles::{PoleStage, pole_side};
/// use solderlast_record::pickup::Polarity::{North, South};
///
/// let earth = [[5.0, 20.0, -42.0]; 10];
/// // Something that comes from the upper edge adds to the field along the phone's length.
/// let comes = |most: f64| (0..10).map(|at| [5.0, 20.0 - most * (f64::from(at) / 9.0).powi(3), -42.0]).collect::<Vec<_>>();
/// let told = pole_side(&earth, North, &comes(300.0), &comes(-200.0));
/// assert_eq!((told.stage, told.up), (PoleStage::Told, Some(South)));
/// ```
#[must_use]
pub fn pole_side(earth: &Readings, known_pole: Polarity, known: &Readings, here: &Readings) -> PoleSide {
    use PoleStage::{Earth, Here, Known, Told};
    if earth.is_empty() {
        return PoleSide::at(Earth, None, Ok(LAY_DOWN));
    }
    let alone = match at_rest(earth) {
        Ok(alone) => alone,
        Err(sentence) => return PoleSide::at(Earth, None, Err(sentence)),
    };
    let mut added_by = Vec::new();
    for (stage, readings, what_to_do) in [(Known, known, BRING_KNOWN), (Here, here, BRING_POLES)] {
        if readings.is_empty() {
            return PoleSide::at(stage, Some(alone), Ok(what_to_do));
        }
        match added(readings, alone) {
            Ok(most) => added_by.push(most),
            Err(sentence) => return PoleSide::at(stage, Some(alone), Err(sentence)),
        }
    }
    let along = match added_by[..] {
        [by_known, by_here] => dot(by_known, by_here) / (size(by_known) * size(by_here)),
        _ => 0.0,
    };
    if along.abs() < ALONG {
        let sentence = "This field comes from another side than the known magnet's did. Take both to the same place of the edge, from the \
                        same side, and keep other poles away.";
        return PoleSide::at(Here, Some(alone), Err(sentence.to_owned()));
    }
    let up = match (known_pole, along > 0.0) {
        (Polarity::North, true) | (Polarity::South, false) => Polarity::North,
        (Polarity::South, true) | (Polarity::North, false) => Polarity::South,
    };
    let word = if up == Polarity::North { "North" } else { "South" };
    let sentence = format!("{word} faces the phone. Where a compass says otherwise, the compass is right.");
    PoleSide { up: Some(up), ..PoleSide::at(Told, Some(alone), Ok(&sentence)) }
}

/// The field of the earth alone, if it can be that.
fn at_rest(readings: &Readings) -> Result<[f64; 3], String> {
    in_range(readings)?;
    let alone = [0, 1, 2].map(|axis| middle(readings, axis));
    if readings.iter().any(|one| size(less(*one, alone)) > STILL) {
        return Err("The phone moved, or something magnetic did. Leave both alone and measure again.".to_owned());
    }
    let strong = size(alone);
    if !(EARTH.0..=EARTH.1).contains(&strong) {
        return Err(format!(
            "{strong:.0} µT are here, and the earth alone gives 20 to 70. Take the phone out of a case with magnets, away from \
             steel and loudspeakers."
        ));
    }
    Ok(alone)
}

/// What a magnet that comes nearer adds to the earth's field where it is nearest.
fn added(readings: &Readings, alone: [f64; 3]) -> Result<[f64; 3], String> {
    let added: Vec<[f64; 3]> = readings.iter().map(|one| less(*one, alone)).collect();
    if added.first().is_none_or(|first| size(*first) > LEAST / 4.0) {
        let sentence = "It was near already, or the phone lies otherwise than before. Take every magnet an arm's length away and measure \
                        from the beginning.";
        return Err(sentence.to_owned());
    }
    in_range(readings)?;
    let Some(most) = added.iter().copied().max_by(|one, other| size(*one).total_cmp(&size(*other))) else {
        return Err("Nothing was read.".to_owned());
    };
    let strong = size(most);
    if strong < LEAST {
        return Err(format!("Only {strong:.0} µT were added. Bring it nearer."));
    }
    // Told at some distance already, it points as it does nearby: a magnet that passed the sensor, or two poles, don't.
    let turned = |one: &[f64; 3]| dot(*one, most) / strong;
    let unlike =
        added.iter().any(|one| turned(one) < -UNLIKE * strong || (turned(one) < 0.0 && size(*one) > LEAST / 2.0));
    let aside = added.iter().filter(|one| size(**one) > LEAST / 2.0).any(|one| turned(one) < size(*one) / 2.0);
    if unlike || aside {
        let sentence = "The field turned while it came: two unlike poles are near, or it went past the sensor. Bring it from further off, straight \
                        to the edge, with the other pole turned away.";
        return Err(sentence.to_owned());
    }
    Ok(most)
}

fn in_range(readings: &Readings) -> Result<(), String> {
    if readings.len() < FEWEST {
        return Err("That was too short to tell. Measure again.".to_owned());
    }
    if !readings.iter().flatten().all(|one| one.is_finite() && one.abs() <= MOST) {
        return Err(format!("Over {MOST:.0} µT the sensor may be at its end. Stay further off."));
    }
    Ok(())
}

fn middle(readings: &Readings, axis: usize) -> f64 {
    let mut sorted: Vec<f64> = readings.iter().map(|one| one[axis]).collect();
    sorted.sort_by(f64::total_cmp);
    sorted[sorted.len() / 2]
}

fn less(one: [f64; 3], other: [f64; 3]) -> [f64; 3] {
    [one[0] - other[0], one[1] - other[1], one[2] - other[2]]
}

fn dot(one: [f64; 3], other: [f64; 3]) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}

fn size(one: [f64; 3]) -> f64 {
    dot(one, one).sqrt()
}

#[cfg(test)]
mod tests;
