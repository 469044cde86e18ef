//! What lies across a pickup on a bench: a resistor, the cable, the input.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::quantity::Ohms;

/// What lies across a rig's output while a pickup is auditioned, in place of the pots that it will have in the guitar.
///
/// Volume and tone pot of 250 kΩ each come to 125 kΩ together where a pickup resonates, of 500 kΩ each to 250 kΩ.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum LoadResistor {
    /// Nothing: the pickup goes straight to the amplifier.
    None,
    /// About 125 kΩ.
    Ohms125k,
    /// About 250 kΩ.
    Ohms250k,
    /// About 500 kΩ.
    Ohms500k,
}

impl LoadResistor {
    /// All of them.
    pub const ALL: [Self; 4] = [Self::None, Self::Ohms125k, Self::Ohms250k, Self::Ohms500k];

    /// In words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::None => "none: straight to the amp",
            Self::Ohms125k => "about 125 kΩ",
            Self::Ohms250k => "about 250 kΩ",
            Self::Ohms500k => "about 500 kΩ",
        }
    }

    /// Its resistance; nothing where there is none.
    #[must_use]
    pub fn ohms(self) -> Option<Ohms> {
        match self {
            Self::None => None,
            Self::Ohms125k => Some(Ohms(125e3)),
            Self::Ohms250k => Some(Ohms(250e3)),
            Self::Ohms500k => Some(Ohms(500e3)),
        }
    }

    /// The one that is nearest to pots that come to so many ohms, above zero.
    #[must_use]
    pub fn nearest(pots: Ohms) -> Self {
        let apart = |one: &Self| one.ohms().map_or(f64::INFINITY, |ohms| (ohms.0 / pots.0).ln().abs());
        Self::ALL.into_iter().min_by(|a, b| apart(a).total_cmp(&apart(b))).unwrap_or(Self::None)
    }
}

/// Sizes of a cable to pick from: the E6 series, with its words.
pub(super) const CABLE_SIZES: [(u16, &str); 8] = [
    (150, "about 150 pF"),
    (220, "about 220 pF"),
    (330, "about 330 pF"),
    (470, "about 470 pF"),
    (680, "about 680 pF"),
    (1000, "about 1000 pF"),
    (1500, "about 1500 pF"),
    (2200, "about 2200 pF"),
];

/// What a pickup sees of what it is plugged into.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum InputLoad {
    /// About 10 MΩ.
    Ohms10M,
    /// About 1 MΩ.
    Ohms1M,
    /// About 500 kΩ.
    Ohms500k,
    /// About 100 kΩ.
    Ohms100k,
    /// About 20 kΩ.
    Ohms20k,
}

impl InputLoad {
    /// All of them.
    pub const ALL: [Self; 5] = [Self::Ohms1M, Self::Ohms500k, Self::Ohms100k, Self::Ohms20k, Self::Ohms10M];

    /// In words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Ohms10M => "a buffer, about 10 MΩ",
            Self::Ohms1M => "an amp’s or instrument input, 1 MΩ",
            Self::Ohms500k => "about 500 kΩ",
            Self::Ohms100k => "an amp’s low input, about 100 kΩ",
            Self::Ohms20k => "a line input, about 20 kΩ",
        }
    }

    /// Its resistance.
    #[must_use]
    pub fn ohms(self) -> Ohms {
        Ohms(match self {
            Self::Ohms10M => 1e7,
            Self::Ohms1M => 1e6,
            Self::Ohms500k => 5e5,
            Self::Ohms100k => 1e5,
            Self::Ohms20k => 2e4,
        })
    }
}

/// How long the cable to the amplifier is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum Cable {
    /// Up to 3 m.
    Short,
    /// 3 to 6 m.
    Middle,
    /// Longer than 6 m.
    Long,
}

impl Cable {
    /// In words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Short => "up to 3 m (10 ft)",
            Self::Middle => "3 to 6 m (10 to 20 ft)",
            Self::Long => "longer than 6 m (20 ft)",
        }
    }

    /// Its capacitance by a usual 100 pF a metre (from memory), in picofarads, at a length amid its range.
    #[must_use]
    pub fn picofarads(self) -> f64 {
        match self {
            Self::Short => 200.0,
            Self::Middle => 450.0,
            Self::Long => 800.0,
        }
    }
}
