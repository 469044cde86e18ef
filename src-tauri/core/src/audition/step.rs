//! The steps of an audition.

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

    /// Why it is there, in a sentence.
    #[must_use]
    pub fn reason(self) -> &'static str {
        match self {
            Self::Choose => "One pickup, one guitar, one place: then what you hear has one cause.",
            Self::WhichWay => "The wrong way round, each pole meets another string than it was made for.",
            Self::Leads => "A lead that slips or sits in the wrong terminal sounds like a bad pickup.",
            Self::Meter => "A reading in each mode proves the hookup before anything makes a sound.",
            Self::Seat => "The rig stands on somebody's finish. Ask about it first.",
            Self::Gaps => "Height changes the sound more than most pickups differ. Write it down.",
            Self::SoundUp => "A bang through a raised amplifier hurts ears and speakers. Come up slowly.",
            Self::Listen => "Note what you hear while you hear it, mode by mode.",
            Self::TakeDown => {
                "Sound down first, then hands on the rig. Look at the finish before you put the guitar away."
            }
        }
    }
}
