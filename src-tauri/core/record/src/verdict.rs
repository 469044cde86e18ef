//! What an answer comes to.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// What an answer comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/meter.ts")]
pub enum VerdictKind {
    /// As it should be.
    Good,
    /// Not as it should be.
    Bad,
    /// It can't be said.
    Unsure,
}

/// What an answer comes to, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct Verdict {
    /// Good, bad or unsure.
    pub kind: VerdictKind,
    /// One word for it.
    pub word: String,
    /// What it means and what to do.
    pub sentence: String,
}

impl Verdict {
    /// A verdict of one word, and what it means.
    #[must_use]
    pub fn new(kind: VerdictKind, word: &str, sentence: impl Into<String>) -> Self {
        Self { kind, word: word.to_owned(), sentence: sentence.into() }
    }
}
