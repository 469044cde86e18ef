//! What a meter should show at the jack.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Install;
use crate::quantity::Ohms;
use crate::rig::Mode;

/// How everything stands for a reading at the jack. All tones are at full, nothing is plugged in but the meter.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct JackSet {
    /// The position of the pickup selector, by name; empty where there is none.
    pub selector: String,
    /// The position of the mode switch, by name; empty for a fixed mode.
    pub switch: String,
    /// The volumes.
    pub volumes: Volumes,
}

/// How the volumes stand.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "at", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum Volumes {
    /// All at full.
    Full {},
    /// All at zero.
    Zero {},
    /// All about half way.
    Half {},
    /// One at zero, the others at full.
    ZeroOf {
        /// The place it belongs to.
        place: String,
    },
}

impl Volumes {
    /// In a person's words: `volume at full`.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self {
            Self::Full {} => "volume at full".to_owned(),
            Self::Zero {} => "volume at zero".to_owned(),
            Self::Half {} => "volume about half way".to_owned(),
            Self::ZeroOf { place } => format!("{place} volume at zero, the other at full"),
        }
    }
}

impl JackSet {
    /// In a person's words: `selector on neck, switch on up, volume at full`.
    #[must_use]
    pub fn in_words(&self) -> String {
        let mut words = Vec::new();
        if !self.selector.is_empty() {
            words.push(format!("selector on {}", self.selector));
        }
        if !self.switch.is_empty() {
            words.push(format!("mode switch on {}", self.switch));
        }
        words.push(self.volumes.in_words());
        words.join(", ")
    }
}

/// One reading to expect.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct JackReading {
    /// How everything stands.
    pub set: JackSet,
    /// The same in words.
    pub words: String,
    /// The mode of the new pickup, where it is heard.
    pub mode: Option<Mode>,
    /// The places that are put out.
    pub places: Vec<String>,
    /// Whether the meter shows over limit.
    pub open: bool,
    /// The likeliest value, in ohms; nothing when it is open, or when too little is known.
    pub nominal: Option<Ohms>,
    /// The least to be expected, in ohms.
    pub low: Option<Ohms>,
    /// The most to be expected, in ohms.
    pub high: Option<Ohms>,
    /// What the meter shows, as text: `7.75 kΩ`, `OL`, or `not known`.
    pub shown: String,
    /// The band, as text: `7.0 to 8.6 kΩ`; empty where there is none.
    pub band: String,
    /// Why, in a sentence.
    pub sentence: String,
}

/// What to expect at the jack for every position of selector and mode switch, volumes at full and at zero.
#[must_use]
pub fn jack_readings(install: &Install) -> Vec<JackReading> {
    let _ = install;
    Vec::new()
}
