//! The steps of a permanent install.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

/// Names one permanent install for good, across benches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract.ts")]
pub struct FitId(pub Uuid);

/// The steps of a permanent install, in their order: first what the guitar was like, then what is planned, then what is done, then what is proven.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum FitStep {
    /// Readings at the jack and photos, before anything is unsoldered.
    AsItWas,
    /// One mode for good, or a switch.
    Plan,
    /// Which end to the bass strings, which edge to the bridge.
    WayRound,
    /// Polarity and hum against the pickups that stay.
    Phase,
    /// Which lead goes where.
    Hookup,
    /// Opening, depth, spacing, heights.
    Room,
    /// What to expect at the jack.
    Jack,
    /// Parts and tools.
    Parts,
    /// The stop list before the iron.
    Iron,
    /// The joints.
    Solder,
    /// Readings at the jack, taps, phase and hum.
    Proof,
    /// A listen against the audition's notes.
    Listen,
    /// Done, in ink.
    Done,
}

impl FitStep {
    /// All steps, in order.
    pub const ALL: [Self; 13] = [
        Self::AsItWas,
        Self::Plan,
        Self::WayRound,
        Self::Phase,
        Self::Hookup,
        Self::Room,
        Self::Jack,
        Self::Parts,
        Self::Iron,
        Self::Solder,
        Self::Proof,
        Self::Listen,
        Self::Done,
    ];

    /// Its name on the page.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::AsItWas => "As it was",
            Self::Plan => "Plan",
            Self::WayRound => "Which way round",
            Self::Phase => "Phase and hum",
            Self::Hookup => "Hookup",
            Self::Room => "Will it fit",
            Self::Jack => "At the jack",
            Self::Parts => "Parts and tools",
            Self::Iron => "Before the iron",
            Self::Solder => "Solder",
            Self::Proof => "Proof",
            Self::Listen => "Listen",
            Self::Done => "Done",
        }
    }

    /// Why there is such a step, in a sentence.
    #[must_use]
    pub fn reason(self) -> &'static str {
        match self {
            Self::AsItWas => "Read the guitar and take its picture before you unsolder. Nobody can do it later.",
            Self::Plan => "Say once how it is to be wired. All the rest follows from it.",
            Self::WayRound => "The rig turned the pickup over. Installed, it lies the other way.",
            Self::Phase => "Two pickups together can sound full or thin. Know which before you solder.",
            Self::Hookup => "One list, one joint a line, in your own lead colours.",
            Self::Room => "Look at the opening before anything is unsoldered.",
            Self::Jack => "These are the readings that a good install shows.",
            Self::Parts => "Have it all on the bench before the iron is hot.",
            Self::Iron => "Most marks and burns come in the first minute.",
            Self::Solder => "One act after the other, each ticked when it is done.",
            Self::Proof => "Measure before you close it up. A wrong joint is found now, not on stage.",
            Self::Listen => "Close it up, string it, and hear whether it is what you chose.",
            Self::Done => "Write it down in ink, and both pickups know where they live.",
        }
    }
}
