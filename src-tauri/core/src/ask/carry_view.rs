//! A bundle on its way, as its page shows it.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

/// Names one carrying of a bundle; a version-7 UUID.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/carry.ts")]
pub struct CarryId(pub Uuid);

/// What a bundle of the log would hold.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/carry.ts")]
pub struct BundleView {
    /// What it would hold, in a sentence.
    pub sentence: String,
    /// Whether there is nothing to carry.
    pub empty: bool,
    /// The takes that it can carry besides, and what they weigh, in a sentence; nothing where there are none.
    pub takes: Option<String>,
}

/// What is done with a bundle.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/carry.ts")]
pub enum Carrying {
    /// It is packed.
    Pack,
    /// It is looked into.
    Look,
    /// It is taken in.
    TakeIn,
}

/// How it stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/carry.ts")]
pub enum Standing {
    /// It goes on.
    Working,
    /// It is done.
    Done,
    /// It was refused; the log is as it was.
    Refused,
    /// It was called off; the log is as it was.
    CalledOff,
}

/// A bundle on its way out of the log or into it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/carry.ts")]
pub struct CarryView {
    /// Which.
    pub id: CarryId,
    /// What is done with it.
    pub carrying: Carrying,
    /// How that stands.
    pub standing: Standing,
    /// How much of the present part is done, in hundredths.
    pub hundredths: u8,
    /// What goes on, or what came of it.
    pub sentence: String,
    /// What is in it, and what of that is new here.
    pub lines: Vec<String>,
    /// What a person should know before they bring it in.
    pub warnings: Vec<String>,
    /// Whether there is something new in it.
    pub anything_new: bool,
    /// The name of its file, once it is packed.
    pub file: Option<String>,
    /// The size of its file, in bytes, once it is packed.
    #[ts(type = "number | null")]
    pub bytes: Option<u64>,
}
