//! What a person answers while a pickup is installed for good.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::AuditionId;
use crate::guitar::GuitarId;
use crate::leads::Swing;
use crate::pickup::PickupId;
use crate::rig::Mode;

/// What is installed where, and what that rests on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct FitOn {
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
/// What each says, why, and what can go wrong is in [`crate::fit::acts`].
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum FitAct {
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
    /// Bare joints and unused ends are insulated.
    Insulated,
    /// The joints have cooled by themselves.
    Cooled,
    /// Each joint held when it was tugged.
    Tugged,
    /// The cavity is closed again.
    Closed,
    /// New or old strings are on and tuned.
    Strung,
    /// The pickup stands at its starting heights.
    HeightsSet,
}

impl FitAct {
    /// The acts at the open guitar, up to the proof.
    pub const SOLDER: [Self; 8] = [
        Self::OldPictured,
        Self::OldOut,
        Self::Tinned,
        Self::SetIn,
        Self::Joined,
        Self::Insulated,
        Self::Cooled,
        Self::Tugged,
    ];
    /// The acts after the proof.
    pub const CLOSE: [Self; 3] = [Self::Closed, Self::Strung, Self::HeightsSet];

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

/// What was found out by ear or by eye at the finished wiring, with the question it answers.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(tag = "check", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum FitAnswer {
    /// Steel tapped on the poles at a place, with the selector in a position that uses it.
    Tap {
        /// The place that is tapped.
        place: String,
        /// What came out.
        heard: TapHeard,
    },
    /// The first swing of the meter when steel is pulled off a pickup that stays, plus probe on the tip of the plug.
    Swing {
        /// The place of the pickup that stays.
        place: String,
        /// Which way it went.
        swing: Swing,
    },
    /// Which pole a compass finds at the strings' side of a pickup that stays.
    Poles {
        /// The place of the pickup that stays.
        place: String,
        /// Which.
        up: PolesUp,
    },
    /// Whether a pickup sits at a place of which the guitar's record says nothing.
    Sits {
        /// The place.
        place: String,
        /// Whether one does.
        sits: bool,
    },
    /// Two pickups together, beside each alone.
    Phase {
        /// The selector's position.
        position: String,
        /// How it sounds.
        heard: PhaseHeard,
    },
    /// Hum with nobody touching the strings, in one mode.
    Hum {
        /// The mode.
        mode: Mode,
        /// How much there is.
        heard: HumHeard,
    },
    /// The sound beside what was noted in the audition, in one mode.
    Sound {
        /// The mode.
        mode: Mode,
        /// Whether it is what was chosen.
        heard: SoundHeard,
        /// Words; may be empty.
        #[serde(default)]
        words: String,
    },
}

/// What an answer is about: a later answer to the same question stands.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum FitCheck {
    /// A tap at a place.
    Tap(String),
    /// The first swing of a pickup that stays.
    Swing(String),
    /// The poles of a pickup that stays.
    Poles(String),
    /// Whether a pickup sits at a place.
    Sits(String),
    /// Two pickups in a position of the selector.
    Phase(String),
    /// Hum in a mode.
    Hum(Mode),
    /// The sound in a mode.
    Sound(Mode),
}

impl FitAnswer {
    /// The question it answers.
    #[must_use]
    pub fn check(&self) -> FitCheck {
        match self {
            Self::Tap { place, .. } => FitCheck::Tap(place.clone()),
            Self::Swing { place, .. } => FitCheck::Swing(place.clone()),
            Self::Poles { place, .. } => FitCheck::Poles(place.clone()),
            Self::Sits { place, .. } => FitCheck::Sits(place.clone()),
            Self::Phase { position, .. } => FitCheck::Phase(position.clone()),
            Self::Hum { mode, .. } => FitCheck::Hum(mode.clone()),
            Self::Sound { mode, .. } => FitCheck::Sound(mode.clone()),
        }
    }

    /// Whether it takes an amplifier with the sound up.
    #[must_use]
    pub fn is_by_ear(&self) -> bool {
        match self {
            Self::Tap { .. } | Self::Phase { .. } | Self::Hum { .. } | Self::Sound { .. } => true,
            Self::Swing { .. } | Self::Poles { .. } | Self::Sits { .. } => false,
        }
    }

    /// Whether it is a fact about a pickup that stays, which no other wiring of the new one makes worthless.
    #[must_use]
    pub fn of_what_stays(&self) -> bool {
        match self {
            Self::Swing { .. } | Self::Poles { .. } | Self::Sits { .. } => true,
            Self::Tap { .. } | Self::Phase { .. } | Self::Hum { .. } | Self::Sound { .. } => false,
        }
    }
}

/// What came out of the amplifier when poles were tapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum TapHeard {
    /// A clear knock, and only there.
    Clear,
    /// Much weaker than at the others.
    Weak,
    /// Nothing.
    Nothing,
    /// It knocks where another place is tapped.
    Elsewhere,
}

/// Which poles of a pickup face the strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum PolesUp {
    /// North poles only.
    North,
    /// South poles only.
    South,
    /// A row or a half of each, so that it cancels hum by itself.
    Both,
}

/// How two pickups sound together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum PhaseHeard {
    /// Full, as loud as each alone or louder.
    Full,
    /// Thin and weak.
    Thin,
}

/// How much hum there is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum HumHeard {
    /// Hardly any.
    Quiet,
    /// As much as one coil alone makes, the same whether strings are touched or not.
    OneCoil,
    /// Some, and less when the strings are touched: the ground of the strings works.
    LessWhenTouched,
    /// Loud, and more when the strings are touched.
    MoreWhenTouched,
}

/// Whether the installed sound is the one that was chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum SoundHeard {
    /// It is.
    AsHeard,
    /// It differs a little.
    Near,
    /// It is another sound.
    Different,
}
