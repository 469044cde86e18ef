//! How a sweep was made, how a coil was tapped and what a component meter showed, as they are typed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::Refusal;
use crate::ask::forms::typed::{at, farads, ohms, trimmed};
use crate::record::measured::{ComponentValue, Driven, KnownFarads, KnownOhms, Metered, Rung, Swept, SweptPoint};
use crate::record::names::EntryId;
use crate::record::pickup::CoilName;
use crate::record::quantity::{Henries, Hertz, decimal, strip_unit, tidy};
use crate::takes::ring::Ringing;

/// How far the input of an interface may be off what its maker says (common practice).
const INPUT: f64 = 0.05;

/// The parts of a sweep, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/measured.ts")]
pub struct SweepForm {
    /// The coil, alone; nothing for all in a row.
    pub coil: Option<CoilName>,
    /// It came from a small coil over the poles, and through no resistor.
    pub exciter: bool,
    /// The resistor: `100k`.
    pub resistor: String,
    /// Its tolerance, in per cent.
    pub resistor_within: String,
    /// The capacitor across the terminals: `1n`; empty for none.
    pub added: String,
    /// Its tolerance, in per cent.
    pub added_within: String,
    /// The input that records: `1M`.
    pub input: String,
    /// The cable and the rig's stray: `300p`.
    pub cable: String,
    /// How far that may be off, in per cent.
    pub cable_within: String,
}

impl SweepForm {
    /// The parts that are bought for this, and a short cable.
    pub(crate) fn first(coil: Option<CoilName>) -> Self {
        let text = str::to_owned;
        Self {
            coil,
            exciter: false,
            resistor: text("100k"),
            resistor_within: text("1"),
            added: String::new(),
            added_within: text("1"),
            input: text("1M"),
            cable: text("300p"),
            cable_within: text("20"),
        }
    }

    /// As it was the last time.
    pub(crate) fn of(swept: &Swept) -> Self {
        let per_cent = |within: f64| trimmed(format!("{:.2}", 100.0 * within));
        let first = Self::first(swept.coil);
        let (exciter, resistor, resistor_within) = match swept.driven {
            Driven::Resistor { resistor } => (false, resistor.ohms.shown(), per_cent(resistor.within)),
            Driven::Exciter {} => (true, first.resistor.clone(), first.resistor_within.clone()),
        };
        Self {
            exciter,
            resistor,
            resistor_within,
            added_within: swept.added.map_or(first.added_within, |added| per_cent(added.within)),
            added: swept.added.map_or_else(String::new, |added| added.farads.shown()),
            input: swept.input.ohms.shown(),
            cable: swept.cable.farads.shown(),
            cable_within: per_cent(swept.cable.within),
            coil: swept.coil,
        }
    }

    /// A sweep with these parts, and what came back.
    pub(crate) fn read(&self, take: EntryId, points: Vec<SweptPoint>, turned: bool) -> Result<Swept, Refusal> {
        let driven = if self.exciter {
            Driven::Exciter {}
        } else {
            let known = needed(ohms(&self.resistor, "resistor")?, "resistor")?;
            Driven::Resistor {
                resistor: KnownOhms { ohms: known, within: share(&self.resistor_within, "resistor_within")? },
            }
        };
        let added = read_added(&self.added, &self.added_within)?;
        let input = read_input(&self.input)?;
        let cable = read_cable(&self.cable, &self.cable_within)?;
        let turned = (!self.exciter).then_some(turned);
        Ok(Swept { coil: self.coil, driven, added, input, cable, take: Some(take), turned, points })
    }
}

/// What lies across a coil that is tapped, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/measured.ts")]
pub struct RingForm {
    /// The coil, alone.
    pub coil: CoilName,
    /// The capacitor across the terminals: `1n`; empty for none.
    pub added: String,
    /// Its tolerance, in per cent.
    pub added_within: String,
    /// The input that records: `1M`.
    pub input: String,
    /// The cable and the rig's stray: `300p`.
    pub cable: String,
    /// How far that may be off, in per cent.
    pub cable_within: String,
}

impl RingForm {
    /// What was tapped with this across it, and how it rang.
    pub(crate) fn read(&self, take: EntryId, ringing: Ringing) -> Result<Rung, Refusal> {
        let Ringing { swings, swings_spread, decay, decay_spread } = ringing;
        Ok(Rung {
            coil: self.coil,
            added: read_added(&self.added, &self.added_within)?,
            input: read_input(&self.input)?,
            cable: read_cable(&self.cable, &self.cable_within)?,
            take,
            swings,
            swings_spread,
            decay,
            decay_spread,
        })
    }
}

fn needed<T>(known: Option<T>, field: &str) -> Result<T, Refusal> {
    known.ok_or_else(|| Refusal::unclear(field, "Say what it is: nothing follows from the recording without it."))
}

fn read_added(typed: &str, within: &str) -> Result<Option<KnownFarads>, Refusal> {
    match farads(typed, "added")? {
        Some(known) if known.0 > 0.0 => Ok(Some(KnownFarads { farads: known, within: share(within, "added_within")? })),
        Some(_) => Err(Refusal::unclear("added", "A capacitor is not zero. Leave it empty for none.")),
        None => Ok(None),
    }
}

fn read_input(typed: &str) -> Result<KnownOhms, Refusal> {
    Ok(KnownOhms { ohms: needed(ohms(typed, "input")?, "input")?, within: INPUT })
}

fn read_cable(typed: &str, within: &str) -> Result<KnownFarads, Refusal> {
    Ok(KnownFarads { farads: needed(farads(typed, "cable")?, "cable")?, within: share(within, "cable_within")? })
}

/// What a component meter shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/measured.ts")]
pub enum Shows {
    /// Resistance, by a direct current.
    Resistance,
    /// Inductance.
    Inductance,
    /// Quality.
    Quality,
}

/// A value of a component meter, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/measured.ts")]
pub struct ComponentForm {
    /// The coil, alone.
    pub coil: CoilName,
    /// What it shows.
    pub shows: Shows,
    /// The value: `7.2k`, `2.4 H`, `3.1`.
    pub value: String,
    /// The meter's frequency, in hertz: `1k`; of a resistance it may be empty.
    pub at: String,
    /// How far off the meter may be, in per cent.
    pub within: String,
}

impl ComponentForm {
    /// Reads what was typed.
    pub(crate) fn read(&self) -> Result<Metered, Refusal> {
        let hertz = || read_hertz(&self.at);
        let value = match self.shows {
            Shows::Resistance => {
                let known = ohms(&self.value, "value")?;
                ComponentValue::Resistance {
                    ohms: known.ok_or_else(|| Refusal::unclear("value", "Nothing was typed. Write it like 7.2k."))?,
                }
            }
            Shows::Inductance => ComponentValue::Inductance { henries: read_henries(&self.value)?, at: hertz()? },
            Shows::Quality => {
                let text = tidy(&self.value, "a quality", "3.1").map_err(at("value"))?;
                let q = decimal(&text, "a quality", "3.1").map_err(at("value"))?;
                if !(1e-3..=1e3).contains(&q) {
                    return Err(Refusal::unclear("value", "The Q of a coil lies between 0.001 and 1000."));
                }
                ComponentValue::Quality { q, at: hertz()? }
            }
        };
        Ok(Metered { coil: self.coil, value, within: share(&self.within, "within")? })
    }
}

/// Per cent as a share.
fn share(typed: &str, field: &'static str) -> Result<f64, Refusal> {
    let text = tidy(typed, "a tolerance", "1 %").map_err(at(field))?;
    let (number, _) = strip_unit(&text, &[("%", ())]);
    let within = decimal(number, "a tolerance", "1 %").map_err(at(field))? / 100.0;
    if (1e-4..=0.5).contains(&within) {
        Ok(within)
    } else {
        Err(Refusal::unclear(field, "A tolerance lies between 0.01 and 50 %."))
    }
}

fn read_hertz(typed: &str) -> Result<Hertz, Refusal> {
    let text = tidy(typed, "a frequency", "1 kHz").map_err(at("at"))?.to_lowercase();
    let (text, _) = strip_unit(&text, &[("hz", ())]);
    let (number, times) = strip_unit(text, &[("k", 1000.0)]);
    let hertz = decimal(number, "a frequency", "1 kHz").map_err(at("at"))? * times.unwrap_or(1.0);
    if (20.0..=200_000.0).contains(&hertz) {
        Ok(Hertz(hertz))
    } else {
        Err(Refusal::unclear("at", "A component meter works between 20 Hz and 200 kHz."))
    }
}

fn read_henries(typed: &str) -> Result<Henries, Refusal> {
    let text = tidy(typed, "an inductance", "2.4 H").map_err(at("value"))?.to_lowercase();
    let (text, _) = strip_unit(&text, &[("h", ())]);
    let (number, times) = strip_unit(text, &[("m", 1e-3)]);
    let henries = decimal(number, "an inductance", "2.4 H").map_err(at("value"))? * times.unwrap_or(1.0);
    if (1e-3..=100.0).contains(&henries) {
        Ok(Henries(henries))
    } else {
        Err(Refusal::unclear(
            "value",
            "The inductance of a coil lies between 1 mH and 100 H. Write it like 2.4 H or 850 mH.",
        ))
    }
}
