//! Where a meter can be put on an installed pickup, and what it showed there.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::install::JackSet;
use crate::quantity::Reading;

/// Where to put the probes. The guitar is unplugged, and fingers are off the bare metal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "at", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum JackProbe {
    /// Tip to sleeve, at the jack.
    Jack {
        /// How everything stands.
        set: JackSet,
    },
    /// From a point of the wiring to the jack's sleeve.
    PointToSleeve {
        /// How everything stands.
        set: JackSet,
        /// The point, by its place in the wiring's list.
        point: u8,
    },
    /// From a point of the wiring to the jack's tip.
    PointToTip {
        /// How everything stands.
        set: JackSet,
        /// The point, by its place in the wiring's list.
        point: u8,
    },
    /// From the bare wire of a lead to a point of the wiring: across a joint.
    LeadToPoint {
        /// How everything stands.
        set: JackSet,
        /// The lead; [`crate::audition::SHIELD`] for the shield.
        lead: String,
        /// The point, by its place in the wiring's list.
        point: u8,
    },
    /// From the case of a volume pot to the jack's sleeve.
    CaseToSleeve {
        /// How everything stands.
        set: JackSet,
        /// The place it belongs to; empty for the shared one.
        place: String,
    },
}

/// A reading and where it was taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct JackTaken {
    /// Where.
    pub probe: JackProbe,
    /// What the meter showed.
    pub reading: Reading,
}

impl JackProbe {
    /// How everything stands.
    #[must_use]
    pub fn set(&self) -> &JackSet {
        match self {
            Self::Jack { set }
            | Self::PointToSleeve { set, .. }
            | Self::PointToTip { set, .. }
            | Self::LeadToPoint { set, .. }
            | Self::CaseToSleeve { set, .. } => set,
        }
    }
}
