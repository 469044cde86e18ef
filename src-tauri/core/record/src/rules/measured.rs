//! What an entry about a coil's values may say.

use std::ops::RangeInclusive;

use super::ranges::{FARADS, Kept, typed, value, when, within};
use crate::body::MeasuredBody;
use crate::measured::{ComponentValue, Driven, KnownFarads, KnownOhms, Metered, POINTS, Rung, Swept, SweptPoint};
use crate::quantity::{Decibels, Farads, Hertz};

/// How far off something known may be, as a share.
const WITHIN: RangeInclusive<f64> = 1e-4..=0.5;
/// Inductances, in henries.
const HENRIES: RangeInclusive<f64> = 1e-3..=100.0;
/// Frequencies of a component meter, in hertz.
const METER: RangeInclusive<f64> = 20.0..=200_000.0;
/// Frequencies of a sweep, in hertz.
const SWEPT: RangeInclusive<f64> = 10.0..=96_000.0;
/// Levels of what comes back, in decibels, and how far they spread.
const LEVEL: RangeInclusive<f64> = -200.0..=100.0;
const SPREAD: RangeInclusive<f64> = 1e-6..=100.0;
/// How quickly a ringing dies away, and how far what is told of one spreads, as a share.
const DECAY: RangeInclusive<f64> = 1.0..=1e6;
const OF_RINGING: RangeInclusive<f64> = 1e-6..=1.0;
/// Quality of a coil.
const QUALITY: RangeInclusive<f64> = 1e-3..=1e3;

pub(super) fn measured(body: &MeasuredBody) -> Kept {
    match body {
        MeasuredBody::ComponentMetered { metered, typed: text } => {
            typed(text)?;
            component(metered)
        }
        MeasuredBody::CoilSwept { swept: one } => swept(one),
        MeasuredBody::CoilRung { rung: one } => rung(one),
    }
}

fn component(metered: &Metered) -> Kept {
    within("metered.within", metered.within, &WITHIN)?;
    match metered.value {
        ComponentValue::Resistance { ohms } => value("metered.value", Some(ohms)),
        ComponentValue::Inductance { henries, at } => {
            within("metered.value", henries.0, &HENRIES)?;
            within("metered.value", at.0, &METER)
        }
        ComponentValue::Quality { q, at } => {
            within("metered.value", q, &QUALITY)?;
            within("metered.value", at.0, &METER)
        }
    }
}

fn known_ohms(field: &str, KnownOhms { ohms, within: off }: KnownOhms) -> Kept {
    value(field, Some(ohms))?;
    within(field, off, &WITHIN)
}

fn known_farads(field: &str, KnownFarads { farads: Farads(farads), within: off }: KnownFarads) -> Kept {
    within(field, farads, &FARADS)?;
    within(field, off, &WITHIN)
}

/// A capacitor across the terminals, where there is one.
fn across(field: &str, added: Option<KnownFarads>) -> Kept {
    let Some(added) = added else { return Ok(()) };
    known_farads(field, added)?;
    when(added.farads.0 > 0.0, field, "A capacitor is not zero.")
}

fn rung(rung: &Rung) -> Kept {
    across("rung.added", rung.added)?;
    known_ohms("rung.input", rung.input)?;
    known_farads("rung.cable", rung.cable)?;
    within("rung.swings", rung.swings.0, &SWEPT)?;
    within("rung.swings_spread", rung.swings_spread, &OF_RINGING)?;
    within("rung.decay", rung.decay, &DECAY)?;
    within("rung.decay_spread", rung.decay_spread, &OF_RINGING)
}

fn swept(swept: &Swept) -> Kept {
    match swept.driven {
        Driven::Resistor { resistor } => known_ohms("swept.driven", resistor)?,
        Driven::Exciter {} => {}
    }
    across("swept.added", swept.added)?;
    known_ohms("swept.input", swept.input)?;
    known_farads("swept.cable", swept.cable)?;
    when(POINTS.contains(&swept.points.len()), "swept.points", "No sweep has so many points.")?;
    for SweptPoint(Hertz(hertz), Decibels(level), Decibels(spread)) in &swept.points {
        within("swept.points", *hertz, &SWEPT)?;
        within("swept.points", *level, &LEVEL)?;
        within("swept.points", *spread, &SPREAD)?;
    }
    let rises = swept.points.windows(2).all(|pair| pair[0].0.0 < pair[1].0.0);
    when(rises, "swept.points", "The points of a sweep go from the lowest frequency to the highest.")
}
