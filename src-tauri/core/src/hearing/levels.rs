//! Levels for people without a meter: a plain description, with the level that is assumed for it.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{HearingRule, level_shown};
use crate::quantity::Decibels;

/// What peaks are, and why the dose does not tell of them.
pub const PEAKS: &str = "A bang lasts so short that the day's sum hardly sees it, but it can harm ears at once. All three \
                         rules stop at a peak of 140 dB. A plug pulled with the sound up bangs, worst of all in \
                         headphones. So volume goes to zero first.";

/// How loud it is, in plain words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
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

/// A description to pick, as a page shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct LoudnessView {
    /// The description.
    pub loudness: Loudness,
    /// In plain words.
    pub words: String,
    /// The level assumed for it, in dB(A).
    pub level: Decibels,
    /// `taken as 85 dB(A)`.
    pub level_shown: String,
    /// Where that is from.
    pub source: String,
    /// How long it may last by the rule: `8 h`.
    pub allowed: String,
}

/// All descriptions to pick from, the quietest first.
#[must_use]
pub fn loudness_views(rule: HearingRule) -> Vec<LoudnessView> {
    LOUDNESS
        .iter()
        .map(|&(loudness, level, source)| LoudnessView {
            loudness,
            words: loudness.in_words().to_owned(),
            level: Decibels(level),
            level_shown: format!("taken as {}", level_shown(Decibels(level))),
            source: source.to_owned(),
            allowed: rule.allowance(Decibels(level)).shown,
        })
        .collect()
}
