//! One audition: its steps and what holds them.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

/// Names one audition for good, across benches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract.ts")]
pub struct AuditionId(pub Uuid);

/// The steps of an audition, in their order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Step {
    /// Which pickup, guitar, place, rig and modes.
    Choose,
    /// How the pickup lies in the rig.
    WhichWay,
    /// Which lead goes to which terminal.
    Leads,
    /// A meter reading in each mode.
    Meter,
    /// The rig onto the guitar.
    Seat,
    /// Distances from pickup to strings.
    Gaps,
    /// Sound comes up, slowly.
    SoundUp,
    /// What is heard, mode by mode.
    Listen,
    /// Sound down, rig off, a look at the finish.
    TakeDown,
}

impl Step {
    /// All steps, in order.
    pub const ALL: [Self; 9] = [
        Self::Choose,
        Self::WhichWay,
        Self::Leads,
        Self::Meter,
        Self::Seat,
        Self::Gaps,
        Self::SoundUp,
        Self::Listen,
        Self::TakeDown,
    ];

    /// Its name on the page.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::Choose => "Choose",
            Self::WhichWay => "Which way round",
            Self::Leads => "Leads",
            Self::Meter => "Meter",
            Self::Seat => "Seat the rig",
            Self::Gaps => "Gaps",
            Self::SoundUp => "Sound up",
            Self::Listen => "Listen",
            Self::TakeDown => "Take down",
        }
    }
}
