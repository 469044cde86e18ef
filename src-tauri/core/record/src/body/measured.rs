//! Entries about what the coils of a pickup are to sound.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::measured::{Metered, Rung, Swept};

/// What is measured of a pickup's coils.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum MeasuredBody {
    /// What a component meter showed.
    ComponentMetered {
        /// The value.
        metered: Metered,
        /// The letters that were typed.
        typed: String,
    },
    /// A sweep through its coils.
    CoilSwept {
        /// How, and what came back.
        swept: Swept,
    },
    /// How one of them rang after taps.
    CoilRung {
        /// With what across it, and how.
        rung: Rung,
    },
}

impl MeasuredBody {
    /// In words.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self {
            Self::ComponentMetered { metered, .. } => {
                format!("Component meter, coil {}: {}", metered.coil.letter(), metered.value.in_words())
            }
            Self::CoilSwept { swept } => format!("Swept {}", swept.in_words()),
            Self::CoilRung { rung } => format!("Tapped, {}", rung.in_words()),
        }
    }
}
