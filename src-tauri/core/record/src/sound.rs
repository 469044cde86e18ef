//! How loud it is at the ear, as somebody told it.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::quantity::Decibels;

/// The level at the ear, as somebody told it.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "by", deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub enum LevelTold {
    /// Read from a meter.
    Meter {
        /// In dB(A).
        level: Decibels,
    },
    /// Picked from plain descriptions, each of which stands for a level.
    Words {
        /// The description.
        loudness: Loudness,
    },
}

impl LevelTold {
    /// Counted with until somebody tells a level: the last item before listening says to stop while one can still talk.
    pub const ASSUMED: Self = Self::Words { loudness: Loudness::TalkStill };

    /// In dB(A); for a description, the level assumed for it.
    #[must_use]
    pub fn level(self) -> Decibels {
        match self {
            Self::Meter { level } => level,
            Self::Words { loudness } => loudness.assumed(),
        }
    }

    /// `94 dB(A), by a meter`, or a description with the level it is taken as.
    #[must_use]
    pub fn in_words(self) -> String {
        match self {
            Self::Meter { level } => format!("{}, by a meter", level_shown(level)),
            Self::Words { loudness } => {
                format!("{}, taken as {}", loudness.in_words(), level_shown(loudness.assumed()))
            }
        }
    }
}

/// How loud it is, in plain words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum Loudness {
    /// The bare strings are heard beside it.
    BesideTheStrings,
    /// One can talk with ease.
    TalkWithEase,
    /// It is in the way, but one can still talk.
    TalkStill,
    /// One has to shout to someone two metres away.
    ShoutAtTwoMetres,
    /// One has to shout to someone one metre away.
    ShoutAtOneMetre,
    /// Only a shout into the ear is heard.
    ShoutIntoTheEar,
    /// As beside a drum kit that is played hard.
    BesideDrums,
}

/// All descriptions, the quietest first, with the level assumed for each in dB(A) and where that is from.
///
/// 80, 85 and 90 are the simple tests of HSE L108. The others are common practice, set at the loud end of what people
/// mean by them.
pub const LOUDNESS: [(Loudness, f64, &str); 7] = [
    (Loudness::BesideTheStrings, 70.0, "common practice"),
    (Loudness::TalkWithEase, 75.0, "common practice"),
    (Loudness::TalkStill, 80.0, "HSE L108"),
    (Loudness::ShoutAtTwoMetres, 85.0, "HSE L108"),
    (Loudness::ShoutAtOneMetre, 90.0, "HSE L108"),
    (Loudness::ShoutIntoTheEar, 100.0, "common practice"),
    (Loudness::BesideDrums, 110.0, "common practice"),
];

impl Loudness {
    /// The level assumed for it, in dB(A).
    #[must_use]
    pub fn assumed(self) -> Decibels {
        Decibels(self.row().1)
    }

    /// Where that level is from.
    #[must_use]
    pub fn source(self) -> &'static str {
        self.row().2
    }

    fn row(self) -> (Self, f64, &'static str) {
        // Every description has its row, in order; the last one, the loudest, would be the careful answer.
        LOUDNESS[(self as usize).min(LOUDNESS.len() - 1)]
    }

    /// In plain words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::BesideTheStrings => "You still hear the bare strings beside it",
            Self::TalkWithEase => "You can talk over it with ease",
            Self::TalkStill => "It is in the way, but you can still talk",
            Self::ShoutAtTwoMetres => "You have to shout to someone 2 m (6 ft) away",
            Self::ShoutAtOneMetre => "You have to shout to someone 1 m (3 ft) away",
            Self::ShoutIntoTheEar => "You have to shout into an ear",
            Self::BesideDrums => "Like standing beside a drum kit",
        }
    }
}

/// `94 dB(A)` or `94.5 dB(A)`.
#[must_use]
pub fn level_shown(level: Decibels) -> String {
    let text = format!("{:.1}", level.get());
    format!("{} dB(A)", text.strip_suffix(".0").unwrap_or(&text))
}
