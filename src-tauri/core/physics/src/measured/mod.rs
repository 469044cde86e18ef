//! What coils are by what was measured of them: every sweep, every ringing and every value of a component meter, fitted at once by
//! least squares.
//!
//! A coil is resistance in a row with inductance, a loss across that, capacitance across both ([`crate::response::CoilValues`]). What
//! is known of a bench within some per cent (its resistor, its capacitor, its cable, its input) may move within that, so it widens
//! what is found; the gain of an input is not known at all. Farina, AES 108, 2000, for the sweep.
//!
//! ```
//! use solderlast_physics::measured::{Told, measured};
//! use solderlast_record::measured::{ComponentValue, Metered};
//! use solderlast_record::pickup::CoilName;
//! use solderlast_record::quantity::{Henries, Hertz};
//!
//! let value = ComponentValue::Inductance { henries: Henries(2.4), at: Hertz(1000.0) };
//! let told = [Told::Metered(Metered { coil: CoilName::A, value, within: 0.02 })];
//! let found = measured(&[CoilName::A], &told).unwrap();
//! let coil = found.coil(CoilName::A).unwrap();
//! // Its own capacitance is not known by that, and makes a little of the inductance that is seen.
//! assert!(coil.henries.low < 2.4 && coil.henries.high > 2.38 && coil.farads.is_none());
//! // Of a coil that nothing was measured of, nothing is said.
//! assert!(measured(&[CoilName::A], &[]).is_none());
//! ```

mod drawn;
mod faults;
mod fit;
mod least_squares;
mod model;
#[cfg(test)]
mod tests;

use std::f64::consts::TAU;

use nalgebra::DVector;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use drawn::drawn;
pub use faults::{Against, Fault, coil_answers, shorted_turn};

use crate::record::measured::{ComponentValue, KnownFarads, KnownOhms, Metered, Rung, Swept};
use crate::record::pickup::CoilName;
use crate::record::quantity::{Farads, Henries, Ohms};
use crate::response::{CoilValues, Values};
use fit::{Doubt, Layout, SURE};
use least_squares::Least;

/// A value is known when its logarithm is known within this, as a standard deviation.
const KNOWN: f64 = 0.4;
/// How far a stated resistance may be off, 19 times of 20 (common practice: 5 to 10 %).
const STATED: f64 = 0.1;
/// What is stated and lies so many standard deviations off what was measured is left out.
const NO_CHANCE: f64 = 3.0;

/// One thing that was told of a pickup's coils.
#[derive(Debug, Clone, PartialEq)]
pub enum Told {
    /// A sweep.
    Swept(Swept),
    /// A value of a component meter.
    Metered(Metered),
    /// How a coil rang after taps.
    Rung(Rung),
    /// The resistance that its maker states of a coil.
    Stated(CoilName, Ohms),
}

impl Told {
    fn swept(&self) -> Option<&Swept> {
        match self {
            Self::Swept(swept) => Some(swept),
            Self::Metered(_) | Self::Rung(_) | Self::Stated(..) => None,
        }
    }

    fn rung(&self) -> Option<&Rung> {
        match self {
            Self::Rung(rung) => Some(rung),
            Self::Swept(_) | Self::Metered(_) | Self::Stated(..) => None,
        }
    }

    /// What lay across the terminals.
    fn across(&self) -> Option<Across> {
        match self {
            Self::Swept(Swept { added, input, cable, .. }) | Self::Rung(Rung { added, input, cable, .. }) => {
                Some(Across { added: *added, input: *input, cable: *cable })
            }
            Self::Metered(_) | Self::Stated(..) => None,
        }
    }

    /// The coil, what was shown, how far that may be off, and of what it is.
    fn metered(&self) -> Option<(CoilName, f64, f64, ComponentValue)> {
        match self {
            Self::Swept(_) | Self::Rung(_) => None,
            Self::Stated(coil, ohms) => Some((*coil, ohms.0, STATED, ComponentValue::Resistance { ohms: *ohms })),
            Self::Metered(Metered { coil, value, within }) => {
                let shown = match value {
                    ComponentValue::Resistance { ohms } => ohms.0,
                    ComponentValue::Inductance { henries, .. } => henries.0,
                    ComponentValue::Quality { q, .. } => *q,
                };
                Some((*coil, shown, *within, *value))
            }
        }
    }

    /// Whether it tells of this coil alone; of a pickup with one coil, a sweep through all is one through it.
    fn is_of(&self, coil: CoilName, all: &[CoilName]) -> bool {
        match self {
            Self::Swept(swept) => swept.coil.map_or(all.len() == 1, |one| one == coil),
            Self::Metered(metered) => metered.coil == coil,
            Self::Rung(rung) => rung.coil == coil,
            Self::Stated(..) => false,
        }
    }
}

/// What lay across the terminals beside the coil.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Across {
    added: Option<KnownFarads>,
    input: KnownOhms,
    cable: KnownFarads,
}

/// A value, and the range in which it lies 19 times of 20.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/measured.ts")]
pub struct Estimate {
    /// The likeliest value, in its unit.
    pub value: f64,
    /// The least that it may be.
    pub low: f64,
    /// The most that it may be.
    pub high: f64,
}

impl Estimate {
    /// From a logarithm and its standard deviation.
    fn of(logarithm: f64, deviation: f64) -> Self {
        let value = logarithm.exp();
        Self { value, low: value * (-SURE * deviation).exp(), high: value * (SURE * deviation).exp() }
    }

    /// The standard deviation of its logarithm.
    #[must_use]
    pub fn deviation(&self) -> f64 {
        (self.high / self.low).ln() / (2.0 * SURE)
    }
}

/// What one coil is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/measured.ts")]
pub struct CoilMeasured {
    /// Which coil.
    pub coil: CoilName,
    /// The resistance of its wire, in ohms; nothing where nothing tells it.
    pub ohms: Option<Estimate>,
    /// Its inductance, in henries.
    pub henries: Estimate,
    /// Its own capacitance, in farads; nothing where nothing tells it.
    pub farads: Option<Estimate>,
    /// What its losses are across its inductance, in ohms; nothing where nothing tells it.
    pub loss: Option<Estimate>,
    /// Where it rings with the cable and the input that it was measured with, in hertz: 1 / (2π√(LC)).
    pub resonance: Option<Estimate>,
    /// How sharply it rings there, without the resistor that it was driven through: one over R / ωL + ωL / (all across it).
    pub q: Option<Estimate>,
}

/// What the coils of a pickup are by what was measured.
#[derive(Debug, Clone, PartialEq)]
pub struct Measured {
    /// Each coil of which the inductance is known.
    pub coils: Vec<CoilMeasured>,
    /// The coupling of any two, −1 to 1, where they were swept in a row.
    pub coupling: Option<Estimate>,
    /// The likeliest values, of those coils; what nothing tells of one stands at what such a coil commonly has.
    pub values: Values,
    /// Values at the ends of what is likely (19 times of 20), one direction each: what they make of a curve is its band.
    pub band: Vec<Values>,
    /// How far the points lie off the curves, as the root of the mean square, in decibels; nothing without sweeps.
    pub residue: Option<f64>,
    /// The level of the curve that was fitted at each point of each sweep, in decibels, in the order in which they were told.
    pub curves: Vec<Vec<f64>>,
    /// What is wrong, by the fit alone.
    pub faults: Vec<Fault>,
}

impl Measured {
    /// One coil.
    #[must_use]
    pub fn coil(&self, coil: CoilName) -> Option<&CoilMeasured> {
        self.coils.iter().find(|one| one.coil == coil)
    }
}

/// Parameters at which squares are least.
struct Found {
    least: Least,
    /// How much further points lie off than their repeats differ.
    wider: f64,
    /// The sum of squares where points lie off as far as their repeats differ.
    sum: f64,
}

/// What these coils are by all that was told of them; nothing when no inductance is known by it. What is stated and can't be by what
/// was measured is left out: it may be of another coil, or of both.
#[must_use]
pub fn measured(coils: &[CoilName], told: &[Told]) -> Option<Measured> {
    let wrong = contradicted(coils, told);
    if wrong.is_empty() {
        return fitted(coils, told);
    }
    let right = |one: &&Told| !matches!(one, Told::Stated(coil, _) if wrong.contains(coil));
    let rest: Vec<Told> = told.iter().filter(right).cloned().collect();
    fitted(coils, &rest)
}

/// The coils of which a stated resistance can't be by all that was measured.
fn contradicted(coils: &[CoilName], told: &[Told]) -> Vec<CoilName> {
    let stated = |one: &&Told| matches!(one, Told::Stated(..));
    if !told.iter().any(|one| stated(&one)) {
        return Vec::new();
    }
    let rest: Vec<Told> = told.iter().filter(|one| !stated(one)).cloned().collect();
    let layout = Layout::new(coils, &rest, Doubt::Nothing);
    let Some(found) = layout.solved() else { return Vec::new() };
    let wrong = told.iter().filter_map(|one| {
        let Told::Stated(coil, Ohms(ohms)) = one else { return None };
        let index = layout.coils.iter().position(|other| other == coil)?;
        let (logarithm, deviation) = found.sum_of(&[(4 * index, 1.0)]);
        let off = (ohms.ln() - logarithm).abs() / deviation.hypot(STATED / SURE);
        (off > NO_CHANCE).then_some(*coil)
    });
    wrong.collect()
}

fn fitted(coils: &[CoilName], told: &[Told]) -> Option<Measured> {
    let layout = Layout::new(coils, told, Doubt::Nothing);
    let found = layout.solved()?;
    let at = &found.least.at;
    let known: Vec<usize> =
        (0..layout.coils.len()).filter(|coil| found.sum_of(&[(4 * coil + 1, 1.0)]).1 < KNOWN).collect();
    if known.is_empty() {
        return None;
    }
    let values = |at: &DVector<f64>| {
        let coils = known.iter().map(|coil| {
            let one = layout.numbers(at, *coil);
            let values = CoilValues {
                ohms: Ohms(one.ohms),
                henries: Henries(one.henries),
                farads: Farads(one.farads),
                loss: Some(Ohms(one.loss)),
            };
            (layout.coils[*coil], values)
        });
        Values::new(coils.collect(), layout.coupling(at)).ok()
    };
    let count = 4 * layout.coils.len() + usize::from(layout.coupled);
    let coupling = layout.coupled.then(|| {
        let deviation = found.deviation(&|at| layout.coupling(at));
        let value = layout.coupling(at);
        Estimate { value, low: value - SURE * deviation, high: value + SURE * deviation }
    });
    let sweeps = told.iter().filter(|one| one.swept().is_some()).count();
    Some(Measured {
        coils: known.iter().map(|coil| coil_measured(&layout, &found, *coil, told)).collect(),
        coupling,
        values: values(at)?,
        band: found.axes(count).iter().filter_map(values).collect(),
        residue: layout.residue(at),
        curves: (0..sweeps).map(|number| layout.curve(at, number)).collect(),
        faults: faults::by_fit(coils, &layout, &found),
    })
}

fn coil_measured(layout: &Layout, found: &Found, coil: usize, told: &[Told]) -> CoilMeasured {
    let part = |part: usize| {
        let (logarithm, deviation) = found.sum_of(&[(4 * coil + part, 1.0)]);
        (deviation < KNOWN).then(|| Estimate::of(logarithm, deviation))
    };
    let name = layout.coils[coil];
    // With what it was measured alone, a sweep first, the fewest parts across it first.
    let alone = told.iter().filter(|one| one.is_of(name, &layout.coils));
    let across = alone
        .filter_map(|one| Some((one.rung().is_some(), one.across()?)))
        .min_by_key(|(rung, across)| (*rung, across.added.is_some()))
        .map(|(_, across)| across);
    let rings = |at: &DVector<f64>| {
        let bench = across.map(|across| layout.bench(at, None, &Across { added: None, ..across }));
        let one = layout.numbers(at, coil);
        let across = one.farads + bench.map_or(0.0, |bench| bench.across);
        let radians = 1.0 / (one.henries * across).sqrt();
        let reactance = radians * one.henries;
        let lost = one.ohms / reactance + reactance * (1.0 / one.loss + bench.map_or(0.0, |bench| 1.0 / bench.input));
        [radians / TAU, 1.0 / lost]
    };
    let [resonance, q] = [0, 1].map(|which| {
        across?;
        let deviation = found.deviation(&|at| rings(at)[which].ln());
        (deviation < KNOWN).then(|| Estimate::of(rings(&found.least.at)[which].ln(), deviation))
    });
    let (logarithm, deviation) = found.sum_of(&[(4 * coil + 1, 1.0)]);
    CoilMeasured {
        coil: name,
        ohms: part(0),
        henries: Estimate::of(logarithm, deviation),
        farads: part(2),
        loss: part(3),
        resonance,
        q,
    }
}

/// With two digits.
fn round_to_two(value: f64) -> f64 {
    if value <= 0.0 || !value.is_finite() {
        return value;
    }
    let step = 10_f64.powf(value.log10().floor() - 1.0);
    (value / step).round() * step
}
