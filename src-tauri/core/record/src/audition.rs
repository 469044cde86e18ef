//! What a person answers in an audition: the choice, the hookup, the steps.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use crate::guitar::GuitarId;
use crate::leads::Contact;
use crate::pickup::PickupId;
use crate::quantity::Millimetres;
use crate::rig::{Mode, RigId};

/// What is auditioned, where and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/audition.ts")]
pub struct Choice {
    /// The pickup over the strings.
    pub pickup: PickupId,
    /// The guitar under it.
    pub guitar: GuitarId,
    /// The rig between them.
    pub rig: RigId,
    /// What the place is called.
    pub place: String,
    /// From the saddle to the pole line, in millimetres; at the bass side where the two sides differ.
    pub from_saddle: Millimetres,
    /// The same at the treble side, for a slanted pickup or fanned frets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub from_saddle_treble: Option<Millimetres>,
    /// The modes to hear, as the rig names them.
    pub modes: Vec<Mode>,
    /// What the person wants to find out; may be empty.
    pub question: String,
}

impl Choice {
    /// From the saddle to the pole line at the bass and at the treble side.
    #[must_use]
    pub fn sides(&self) -> [Millimetres; 2] {
        [self.from_saddle, self.from_saddle_treble.unwrap_or(self.from_saddle)]
    }
}

/// A terminal and the leads in it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/audition.ts")]
pub struct HookedUp {
    /// The terminal, by its place on the block, counted from 0.
    pub terminal: u8,
    /// What is in it; nothing when it stays empty.
    pub leads: Vec<Contact>,
    /// Whether each lead held when it was tugged.
    pub tugged: bool,
}

/// When a finish was looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/audition.ts")]
pub enum PhotoKind {
    /// Before the rig stood on it.
    Before,
    /// After it was lifted off.
    After,
    /// Of a guitar's wiring, before anything in it is unsoldered.
    Wiring,
}

impl PhotoKind {
    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Before => "before",
            Self::After => "after",
            Self::Wiring => "of the wiring",
        }
    }
}

/// Where the pickup will be installed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/audition.ts")]
pub struct FinalPlace {
    /// What the place is called.
    pub place: String,
    /// From the saddle to the pole line, in millimetres; at the bass side where the two sides differ.
    pub from_saddle: Millimetres,
    /// The same at the treble side, for a slanted pickup or fanned frets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub from_saddle_treble: Option<Millimetres>,
}

/// Names one audition for good, across benches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/audition.ts")]
pub struct AuditionId(pub Uuid);

/// The steps of an audition, in their order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/audition.ts")]
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
