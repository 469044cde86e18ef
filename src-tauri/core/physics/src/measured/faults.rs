//! What is wrong with a coil, or with how it was measured, where the fit or its twin says so.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::fit::{Doubt, Layout, SURE};
use super::{CoilMeasured, Found};
use crate::record::measured::{ComponentValue, Swept};
use crate::record::pickup::CoilName;
use crate::record::quantity::{Decibels, Farads, Ohms};

/// What a coil is held against.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/measured.ts")]
pub enum Against {
    /// Its twin in the same pickup.
    Twin,
    /// What it was itself.
    Earlier,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "fault")]
#[ts(export_to = "contract/measured.ts")]
pub enum Fault {
    /// Turns of a coil are shorted: inductance fell, and resistance hardly.
    ShortedTurn {
        /// Which coil.
        coil: CoilName,
        /// What it is held against.
        against: Against,
        /// How much of its inductance is missing, as a share.
        missing: f64,
    },
    /// The capacitor that was put across is another than was said.
    WrongCapacitor {
        /// What was said.
        said: Farads,
        /// What it looks like.
        looks_like: Farads,
    },
    /// A contact in the row has resistance of its own.
    BadConnection {
        /// Which coil.
        coil: CoilName,
        /// What it measured by a direct current.
        metered: Ohms,
        /// What the sweep saw.
        swept: Ohms,
    },
    /// The curve is not that of a coil as it is taken to be.
    Misfit {
        /// How far its points lie off, as the root of the mean square.
        residue: Decibels,
    },
}

/// How far a capacitor may be off what was said before it is named, beside its tolerance.
const CAPACITOR: f64 = 0.07;
/// How far a point may lie off before the curve is named, in decibels.
const RESIDUE: f64 = 0.5;
/// How many standard deviations something known may be moved.
const MOVED: f64 = 4.0;

impl Fault {
    /// What it is and what to do.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::ShortedTurn { coil, against, missing } => {
                let than = match against {
                    Against::Twin => "its twin",
                    Against::Earlier => "it had before",
                };
                format!(
                    "Coil {} has {:.0} % less inductance than {than}, and its resistance does not say why. Some of its turns are \
                     likely shorted. Take metal off it, a cover too, and sweep it again; if it stays, this coil has to be wound anew.",
                    coil.letter(),
                    100.0 * missing
                )
            }
            Self::WrongCapacitor { said, looks_like } => format!(
                "The capacitor looks like {}, not {}. Read what is printed on it, put that in, and sweep again.",
                Farads(super::round_to_two(looks_like.0)).shown(),
                said.shown()
            ),
            Self::BadConnection { coil, metered, swept } => format!(
                "The sweep went through {}, where coil {} alone measures {}. A clip or a terminal touches badly: clean it, \
                 clamp it anew, sweep again.",
                Ohms(super::round_to_two(swept.0)).shown(),
                coil.letter(),
                metered.shown()
            ),
            Self::Misfit { residue } => format!(
                "The points lie {:.1} dB off the curve of a simple coil. Take metal off the pickup, look at the clips and at what \
                 you wrote for the parts, and sweep again.",
                residue.0
            ),
        }
    }
}

/// What the fit alone says: of what may be otherwise than it was said, that which explains most.
pub(super) fn by_fit(all: &[CoilName], layout: &Layout, found: &Found) -> Vec<Fault> {
    let at = &found.least.at;
    let capacitor = |number: usize| {
        let known = layout.added()[number];
        (layout.added_found(at, number) / known.farads.0).ln().abs() * SURE / known.within
    };
    let moved = (0..layout.added().len()).map(capacitor).chain(resistances(layout, found).map(|one| one.off.abs()));
    if found.wider > STRAINED || moved.fold(0.0, f64::max) > STRAINED {
        let doubted = [Doubt::Capacitor, Doubt::Contact].into_iter().filter_map(|doubt| {
            let free = Layout::new(all, layout.told, doubt);
            let freed = free.solved().filter(|freed| freed.sum < EXPLAINS * found.sum)?;
            let fault = match doubt {
                Doubt::Capacitor => wrong_capacitor(&free, &freed),
                Doubt::Contact => bad_connection(&free, &freed),
                Doubt::Nothing => None,
            };
            Some((freed.sum, fault?))
        });
        if let Some((_, fault)) = doubted.min_by(|one, other| one.0.total_cmp(&other.0)) {
            return vec![fault];
        }
    }
    let residue = layout.residue(at).filter(|residue| *residue > RESIDUE && found.wider > STRAINED);
    residue.map(|residue| Fault::Misfit { residue: Decibels(residue) }).into_iter().collect()
}

fn wrong_capacitor(free: &Layout, freed: &Found) -> Option<Fault> {
    free.added().iter().enumerate().find_map(|(number, known)| {
        let looks_like = free.added_found(&freed.least.at, number);
        let off = (looks_like / known.farads.0).ln().abs();
        let deviation = freed.deviation(&|at| free.added_found(at, number).ln());
        let wrong = off > known.within + CAPACITOR + 2.0 * deviation;
        wrong.then_some(Fault::WrongCapacitor { said: known.farads, looks_like: Farads(looks_like) })
    })
}

fn bad_connection(free: &Layout, freed: &Found) -> Option<Fault> {
    let worst = resistances(free, freed).filter(|one| one.off > MOVED);
    let worst = worst.max_by(|one, other| one.off.total_cmp(&other.off))?;
    Some(Fault::BadConnection { coil: worst.coil, metered: worst.metered, swept: Ohms(worst.swept) })
}

/// A resistance that was metered, and what the sweeps make of it.
struct Held {
    coil: CoilName,
    metered: Ohms,
    swept: f64,
    /// In standard deviations of both.
    off: f64,
}

fn resistances(layout: &Layout, found: &Found) -> impl Iterator<Item = Held> {
    layout.told.iter().filter_map(|one| {
        let (coil, shown, within, ComponentValue::Resistance { ohms }) = one.metered()? else { return None };
        let index = layout.coils.iter().position(|other| *other == coil)?;
        let swept = layout.numbers(&found.least.at, index).ohms;
        let deviation = found.sum_of(&[(4 * index, 1.0)]).1;
        Some(Held { coil, metered: ohms, swept, off: (swept / shown).ln() / (within / SURE).hypot(deviation) })
    })
}

/// Beyond this many times what is likely, something is looked for.
const STRAINED: f64 = 2.0;
/// What explains leaves at most this share of the sum of squares.
const EXPLAINS: f64 = 0.8;

/// How far the inductance of a coil may differ from what it was, beside what it is measured within, as a standard deviation: a
/// screw turned, a magnet charged (from memory).
const EARLIER: f64 = 0.005;
/// The same of a twin, when the turns that its resistance tells are allowed for (from memory).
const TWIN: f64 = 0.008;
/// Less than this is no shorted turn.
const LEAST: f64 = 0.025;
/// So many standard deviations are no chance.
const NO_CHANCE: f64 = 3.5;

/// Whether turns of a coil are shorted, held against its twin or what it was: inductance is missing that resistance does not
/// account for, and it loses no less.
#[must_use]
pub fn shorted_turn(now: &CoilMeasured, other: &CoilMeasured, against: Against) -> Option<Fault> {
    let (allowed, fewer_turns) = match against {
        Against::Earlier => (EARLIER, (0.0, 0.0)),
        // Inductance goes with the square of the turns, resistance with the turns.
        Against::Twin => {
            let (one, two) = (now.ohms?, other.ohms?);
            let deviation = one.deviation().hypot(two.deviation());
            (TWIN, (2.0 * (two.value / one.value).ln(), 2.0 * deviation))
        }
    };
    let missing = (other.henries.value / now.henries.value).ln() - fewer_turns.0;
    let measured = now.henries.deviation().hypot(other.henries.deviation());
    let deviation = allowed.hypot(measured).hypot(fewer_turns.1);
    let loses_less = match (&now.loss, &other.loss) {
        (Some(now), Some(other)) => {
            (now.value / other.value).ln() > 0.2 + 2.0 * now.deviation().hypot(other.deviation())
        }
        _ => false,
    };
    let named = missing > LEAST && missing > NO_CHANCE * deviation && !loses_less;
    named.then(|| Fault::ShortedTurn { coil: now.coil, against, missing: 1.0 - (-missing).exp() })
}

/// Whether a coil answers in a sweep at all: what comes back rises to a resonance. It does not where a clip is off, or where the
/// two touch each other.
#[must_use]
pub fn coil_answers(swept: &Swept) -> bool {
    let low = swept.points.iter().take(8).map(|point| point.1.0).fold(f64::INFINITY, f64::min);
    let top = swept.points.iter().map(|point| point.1.0).fold(f64::NEG_INFINITY, f64::max);
    top - low > RISES
}

/// What a coil rises by at the least, from 100 Hz to its resonance, in decibels.
const RISES: f64 = 6.0;
