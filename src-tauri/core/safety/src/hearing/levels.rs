//! Levels for people without a meter: a plain description, with the level that is assumed for it.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::HearingRule;
use crate::record::quantity::Decibels;
use crate::record::sound::{LOUDNESS, Loudness, level_shown};

/// What peaks are, and why the dose does not tell of them.
pub const PEAKS: &str = "A bang lasts so short that the day's sum hardly sees it, but it can harm ears at once. All three \
                         rules stop at a peak of 140 dB. A plug pulled with the sound up bangs, worst of all in \
                         headphones. So volume goes to zero first.";

/// A description to pick, as a page shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
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
