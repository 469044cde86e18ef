//! Facts of the bench that a sound hangs on and that no step asks for.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// What became of the pickup that is fitted at the place while another one is auditioned over it.
///
/// Its magnets pull the strings too, and its field adds to that of the pickup on the rig or opposes it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Installed {
    /// No pickup is fitted there.
    NoneHere,
    /// It was lowered.
    Lowered,
    /// It was left as it is, under the rig.
    Left,
    /// The rig stands beside it.
    Beside,
    /// It was taken out.
    TakenOut,
}

impl Installed {
    /// In words, after "the fitted pickup".
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::NoneHere => "there is none",
            Self::Lowered => "lowered",
            Self::Left => "left as it is, under the rig",
            Self::Beside => "the rig stands beside it",
            Self::TakenOut => "taken out",
        }
    }
}

/// Whether a clip from the output's sleeve to the bridge grounds the strings while a pickup is auditioned, in words.
///
/// A rig on loose pickups joins nothing to the bridge, so without a clip the hands on the strings do not take the hum away.
#[must_use]
pub fn string_ground_in_words(is: bool) -> &'static str {
    if is { "clipped to the bridge" } else { "none" }
}

/// How long the cable to the amplifier is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
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
