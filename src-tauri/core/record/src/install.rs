//! A permanent install: its name, its steps, its acts.

mod answers;

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

pub use self::answers::{
    HumHeard, InstallAnswer, InstallCheck, PhaseHeard, PolesUp, SoundHeard, TapHeard, swing_in_words,
};
use crate::audition::AuditionId;
use crate::guitar::GuitarId;
use crate::pickup::PickupId;

/// Names one permanent install for good, across benches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/install.ts")]
pub struct InstallId(pub Uuid);

/// The steps of a permanent install, in their order: first what the guitar was like, then what is planned, then what is done, then what is proven.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum InstallStep {
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

impl InstallStep {
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
            Self::Done => "Save the install for good; both pickups' records then say where they are.",
        }
    }
}

/// What is installed where, and what that rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct InstallBasis {
    /// The audition in which the pickup was heard.
    pub audition: AuditionId,
    /// The pickup that goes in.
    pub pickup: PickupId,
    /// The guitar it goes into.
    pub guitar: GuitarId,
    /// The place, by its name in the guitar's record.
    pub place: String,
}

/// One act of the install, in the order in which they are done.
///
/// What each says, why, and what can go wrong is told where the acts are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum InstallTask {
    /// The old wiring is in a picture.
    OldPictured,
    /// The old pickup is out.
    OldOut,
    /// Bare ends are tinned.
    Tinned,
    /// The new pickup sits in its opening.
    SetIn,
    /// Each joint of the hookup list is made.
    Joined,
    /// The joints have cooled by themselves.
    Cooled,
    /// Each joint held when it was tugged.
    Tugged,
    /// Bare joints and unused ends are insulated.
    Insulated,
    /// The cavity is closed again.
    Closed,
    /// New or old strings are on and tuned.
    Strung,
    /// The pickup stands at its starting heights.
    HeightsSet,
}

impl InstallTask {
    /// The acts at the guitar as it was, before an iron is lit: all that is done cold and can't be done later.
    pub const OPEN: [Self; 1] = [Self::OldPictured];
    /// The acts at the open guitar, from the lit iron up to the proof.
    pub const SOLDER: [Self; 7] =
        [Self::OldOut, Self::Tinned, Self::SetIn, Self::Joined, Self::Cooled, Self::Tugged, Self::Insulated];
    /// The acts after the proof.
    pub const CLOSE: [Self; 3] = [Self::Closed, Self::Strung, Self::HeightsSet];

    /// What it reads as in the logbook.
    #[must_use]
    pub fn done(self) -> &'static str {
        match self {
            Self::OldPictured => "Old wiring recorded",
            Self::OldOut => "Old pickup out",
            Self::Tinned => "Lead ends tinned",
            Self::SetIn => "New pickup set in",
            Self::Joined => "Joints made",
            Self::Insulated => "Joints insulated",
            Self::Cooled => "Joints cooled and looked at",
            Self::Tugged => "Joints held when tugged",
            Self::Closed => "Cavity closed",
            Self::Strung => "Strung and tuned",
            Self::HeightsSet => "Heights set",
        }
    }

    /// Whether it is done with a hot iron.
    #[must_use]
    pub fn needs_iron(self) -> bool {
        match self {
            Self::OldOut | Self::Tinned | Self::Joined => true,
            Self::OldPictured
            | Self::SetIn
            | Self::Insulated
            | Self::Cooled
            | Self::Tugged
            | Self::Closed
            | Self::Strung
            | Self::HeightsSet => false,
        }
    }
}
