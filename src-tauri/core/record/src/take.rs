//! A take: a recording of a pickup.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// What was played in a take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/take.ts")]
pub enum Played {
    /// Open strings one by one, each left to ring.
    OpenStrings,
    /// A riff that is played the same way each time.
    Riff,
    /// Chords.
    Chords,
    /// Nothing, with the hands off the strings.
    HumHandsOff,
    /// Nothing, with the hands on the strings.
    HumHandsOn,
    /// A tap of steel on the poles.
    Tap,
}

impl Played {
    /// All that may be played.
    pub const ALL: [Self; 6] =
        [Self::OpenStrings, Self::Riff, Self::Chords, Self::HumHandsOff, Self::HumHandsOn, Self::Tap];

    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::OpenStrings => "open strings one by one",
            Self::Riff => "a riff",
            Self::Chords => "chords",
            Self::HumHandsOff => "hum, hands off",
            Self::HumHandsOn => "hum, hands on the strings",
            Self::Tap => "a tap",
        }
    }

    /// Whether nothing is played, so that all that sounds is hum and noise.
    #[must_use]
    pub fn is_hum(self) -> bool {
        matches!(self, Self::HumHandsOff | Self::HumHandsOn)
    }
}
