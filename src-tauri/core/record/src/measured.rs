//! What is measured of a pickup's coils: by a component meter, by a sweep that was recorded through them, and by how they ring after a
//! tap.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::names::EntryId;
use crate::pickup::CoilName;
use crate::quantity::{Decibels, Farads, Henries, Hertz, Ohms};

/// The fewest and the most points of a swept curve.
pub const POINTS: std::ops::RangeInclusive<usize> = 40..=400;

/// A resistance and how far off it may be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/measured.ts")]
pub struct KnownOhms {
    /// In ohms, above zero.
    pub ohms: Ohms,
    /// Half of the range it lies in, 19 times of 20, as a share of it: 0.01 for 1 %.
    pub within: f64,
}

/// A capacitance and how far off it may be.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/measured.ts")]
pub struct KnownFarads {
    /// In farads, zero or more.
    pub farads: Farads,
    /// Half of the range it lies in, 19 times of 20, as a share of it: 0.01 for 1 %.
    pub within: f64,
}

/// What a component meter shows of one coil that nothing else hangs on.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "shows")]
#[ts(export_to = "contract/measured.ts")]
pub enum ComponentValue {
    /// The resistance of its wire, by a direct current.
    Resistance {
        /// In ohms.
        ohms: Ohms,
    },
    /// Inductance, as in a row with its resistance.
    Inductance {
        /// In henries.
        henries: Henries,
        /// The frequency of the meter.
        at: Hertz,
    },
    /// Quality: how many times its reactance is its resistance.
    Quality {
        /// Above zero.
        q: f64,
        /// The frequency of the meter.
        at: Hertz,
    },
}

impl ComponentValue {
    /// `2.41 H at 1000 Hz`.
    #[must_use]
    pub fn in_words(self) -> String {
        match self {
            Self::Resistance { ohms } => format!("{} by direct current", ohms.shown()),
            Self::Inductance { henries, at } => format!("{} at {:.0} Hz", henries.shown(), at.0),
            Self::Quality { q, at } => format!("Q {q:.2} at {:.0} Hz", at.0),
        }
    }
}

/// A value that a component meter showed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/measured.ts")]
pub struct Metered {
    /// The coil, alone.
    pub coil: CoilName,
    /// What it showed.
    pub value: ComponentValue,
    /// How far off the meter may be, 19 times of 20, as a share: 0.01 for 1 %.
    pub within: f64,
}

/// How a sweep reaches a coil.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "by")]
#[ts(export_to = "contract/measured.ts")]
pub enum Driven {
    /// Through a resistor in a row with it.
    Resistor {
        /// The resistor.
        resistor: KnownOhms,
    },
    /// By a small coil over the poles, fed with a current that is the same at every frequency.
    Exciter {},
}

impl Driven {
    /// `through 100 kΩ`.
    #[must_use]
    pub fn in_words(self) -> String {
        match self {
            Self::Resistor { resistor } => format!("through {}", resistor.ohms.shown()),
            Self::Exciter {} => "by a coil over the poles".to_owned(),
        }
    }
}

/// One point of a swept curve, written as a list of three: hertz, decibels and decibels.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/measured.ts")]
pub struct SweptPoint(
    /// The frequency.
    pub Hertz,
    /// The level, against that of the sweep as it was sent.
    pub Decibels,
    /// The standard deviation of that, from how far the repeats of the sweep differ.
    pub Decibels,
);

/// A sweep that was recorded through a pickup's coils.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/measured.ts")]
pub struct Swept {
    /// The coil, alone; nothing for all of them in a row, each plus end on the minus end of the next.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub coil: Option<CoilName>,
    /// How the sweep reached it.
    pub driven: Driven,
    /// A capacitor of known value across the terminals.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub added: Option<KnownFarads>,
    /// The input that recorded it.
    pub input: KnownOhms,
    /// The cable, with the rig's own stray.
    pub cable: KnownFarads,
    /// The recording.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub take: Option<EntryId>,
    /// Whether the answer came back with its sign turned, where that can be told.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub turned: Option<bool>,
    /// What came back, by frequency, from the lowest to the highest.
    pub points: Vec<SweptPoint>,
}

/// How a coil rang after taps of steel on its poles.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/measured.ts")]
pub struct Rung {
    /// The coil, alone.
    pub coil: CoilName,
    /// A capacitor of known value across the terminals.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub added: Option<KnownFarads>,
    /// The input that recorded it.
    pub input: KnownOhms,
    /// The cable, with the rig's own stray.
    pub cable: KnownFarads,
    /// The recording.
    pub take: EntryId,
    /// How often it swung in a second, as it died away.
    pub swings: Hertz,
    /// The standard deviation of that, as a share of it.
    pub swings_spread: f64,
    /// How quickly it died away: what a second would take of the logarithm of its height.
    pub decay: f64,
    /// The standard deviation of that, as a share of it.
    pub decay_spread: f64,
}

impl Rung {
    /// `coil A rang at 4210 Hz, 1 nF across it`.
    #[must_use]
    pub fn in_words(&self) -> String {
        let added = self.added.map_or_else(String::new, |added| format!(", {} across it", added.farads.shown()));
        format!("coil {} rang at {:.0} Hz{added}", self.coil.letter(), self.swings.0)
    }
}

/// `coil A`, or `all coils in a row`.
#[must_use]
pub fn coils_in_words(coil: Option<CoilName>) -> String {
    coil.map_or_else(|| "all coils in a row".to_owned(), |coil| format!("coil {}", coil.letter()))
}

impl Swept {
    /// `coil A through 100 kΩ, 1 nF across it`.
    #[must_use]
    pub fn in_words(&self) -> String {
        let added = self.added.map_or_else(String::new, |added| format!(", {} across it", added.farads.shown()));
        format!("{} {}{added}", coils_in_words(self.coil), self.driven.in_words())
    }
}
