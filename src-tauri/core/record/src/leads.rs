//! A pickup's leads as they are named and measured: taps, and which coil lies between two of them.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use crate::lead_name::{Contact, LeadName};
use crate::names::EntryId;
use crate::pickup::CoilName;
use crate::quantity::Decibels;

/// A coil and the leads at its ends, in any order.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/leads.ts")]
pub struct CoilLeads {
    /// Which coil it is.
    pub coil: CoilName,
    /// Its leads.
    pub between: [Contact; 2],
}

/// Steel laid on the poles and pulled off sharply.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/leads.ts")]
pub struct Tap {
    /// The lead on the meter's plus probe.
    pub plus: Contact,
    /// The lead on its minus probe.
    pub minus: Contact,
    /// The first swing when the steel is pulled off.
    pub swing: Swing,
}

/// Three knocks of plain steel on the poles, recorded with one lead at the tip of the cable.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/leads.ts")]
pub struct RecordedTaps {
    /// The lead at the tip.
    pub tip: Contact,
    /// The lead at the sleeve.
    pub sleeve: Contact,
    /// The input that recorded them, as its owner calls it. An input may turn what it records about, always in the same way.
    pub input: String,
    /// Whether the first swing goes up in the recording, when the steel comes down: the same for all three.
    pub up: bool,
    /// How high it is, in decibels of full scale.
    pub height: Decibels,
    /// The entry that kept the recording.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub take: Option<EntryId>,
}

impl RecordedTaps {
    /// The swing of a meter, its plus probe on the tip, if steel were pulled off instead: the other way than when it comes down.
    /// `turned` says whether the input turns what it records about.
    #[must_use]
    pub fn as_swing(&self, turned: bool) -> Swing {
        if self.up == turned { Swing::Up } else { Swing::Down }
    }
}

/// The first swing of a meter when steel is pulled off.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/leads.ts")]
pub enum Swing {
    /// To plus.
    Up,
    /// To plus, but hardly.
    UpSmall,
    /// To minus.
    Down,
    /// To minus, but hardly.
    DownSmall,
    /// None that could be seen.
    Nothing,
}

impl Swing {
    /// Which way the needle went: 1 to plus, −1 to minus.
    #[must_use]
    pub fn sign(self) -> Option<i8> {
        match self {
            Self::Up | Self::UpSmall => Some(1),
            Self::Down | Self::DownSmall => Some(-1),
            Self::Nothing => None,
        }
    }

    /// Whether the needle hardly moved.
    #[must_use]
    pub fn small(self) -> bool {
        matches!(self, Self::UpSmall | Self::DownSmall | Self::Nothing)
    }
}

/// The most leads of a pickup, beside its shield.
pub const MOST_LEADS: usize = 8;

/// The most leads of a pickup for which a permanent install is worked out, beside its shield.
pub const MOST_TO_SOLDER: usize = 6;

/// The most leads in one terminal.
pub const MOST_IN_A_TERMINAL: usize = 4;

/// What is said where a pickup has more.
pub const TOO_MANY: &str = "More than eight leads don't fit here.";
