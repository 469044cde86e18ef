//! What a rig stands on: the finish that was asked about, what lies between, how it stands.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::guitar::{FinishKind, Surface};
use crate::rig::Feet;

/// What was found out about a finish before the rig touched it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct FinishAnswer {
    /// Kind of finish.
    pub kind: FinishKind,
    /// Its surface.
    pub surface: Surface,
    /// Whether it is old, cracked or flaking, or has lines left by earlier tape.
    pub aged: bool,
    /// What the rig is to stand on; earlier versions did not ask it here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub feet: Option<Feet>,
    /// What lies between the feet and the finish.
    pub barrier: Barrier,
    /// What keeps the rig in its place where its feet can't; earlier versions did not ask.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub held_by: Option<HeldBy>,
    /// Whether it was tried where it does not show.
    pub tried: bool,
    /// Whether grit was wiped off first.
    pub wiped: bool,
    /// What the finish looked like before; may be empty.
    pub before: String,
}

/// How the rig stands on the guitar.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct Seating {
    /// What it stands on.
    pub feet: Feet,
    /// Whether it stayed put when it was nudged.
    pub steady: bool,
}

/// What lies between the rig's feet and the finish.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum Barrier {
    /// Nothing.
    None,
    /// Clean cotton cloth.
    Cloth,
    /// Plain paper or card.
    Paper,
    /// A film that clings by itself.
    Film,
}

impl Barrier {
    /// Every one, the barest first.
    pub const ALL: [Self; 4] = [Self::None, Self::Cloth, Self::Paper, Self::Film];

    /// What it is called.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Self::None => "nothing",
            Self::Cloth => "clean cotton",
            Self::Paper => "paper or card",
            Self::Film => "clinging film",
        }
    }

    /// In a person's words, where it is not said what it lies between.
    #[must_use]
    pub fn in_words(self) -> String {
        format!("{} between", self.name())
    }
}

/// What keeps a rig in its place where its feet can't.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum HeldBy {
    /// Nothing.
    Nothing,
    /// A soft cotton strap round the guitar's body and the rig.
    Strap,
    /// Something else that holds without a hand.
    Other,
}

impl HeldBy {
    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Nothing => "held by nothing",
            Self::Strap => "held by a soft strap",
            Self::Other => "held by something else",
        }
    }

    /// Whether it holds.
    #[must_use]
    pub fn holds(self) -> bool {
        match self {
            Self::Nothing => false,
            Self::Strap | Self::Other => true,
        }
    }
}
