//! Takes as a page shows them.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::forms::take::RecordedForm;
use crate::record::entry::About;
use crate::record::facts::Cable;
use crate::record::names::EntryId;
use crate::record::quantity::InInches;
use crate::record::rig::Mode;
use crate::record::strike::Struck;
use crate::record::take::{KeptSound, Played, Recorded, Through};
use crate::takes::follows::Follows;
use crate::takes::{Figure, Told};

/// Takes of one thing, or of all.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct TakesView {
    /// What of; nothing for all.
    pub about: Option<About>,
    /// The takes, the newest first.
    pub takes: Vec<TakeLine>,
    /// What can be said of how a take is made.
    pub choices: TakeChoices,
    /// What was answered the last time, to be offered; nothing where it never was.
    pub last: Option<LastRecorded>,
    /// What several of them tell together, in sentences.
    pub together: Vec<String>,
}

/// One take.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct TakeLine {
    /// The entry by which it was kept.
    pub entry: EntryId,
    /// When it was kept.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// What it is about.
    pub about: About,
    /// The pickup, and where it was.
    pub title: String,
    /// The kept file.
    pub sound: KeptSound,
    /// How it was made, as somebody said.
    pub recorded: Recorded,
    /// The same in words.
    pub words: String,
    /// Its length and how it is kept, in words.
    pub kept: String,
    /// What it was made in, in words, as a note has it; empty where nothing is known.
    pub conditions: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub conditions_in_inches: Option<InInches>,
    /// Whether its file lies beside the log.
    pub is_here: bool,
    /// What it tells; nothing where that was not worked out yet, or its file is not here.
    pub told: Option<Box<Told>>,
    /// What follows from it.
    pub follows: Vec<Follows>,
    /// Its figures, for a person.
    pub figures: Vec<Figure>,
    /// The strike-out, where it no longer counts.
    pub struck: Option<Struck>,
}

/// A take that is picked, to be held against others.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/take.ts")]
pub struct TakePicked {
    /// What it is about.
    pub about: About,
    /// The entry by which it was kept.
    pub take: EntryId,
}

/// What can be said of how a take is made.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct TakeChoices {
    /// What can be played, with its words.
    pub played: Vec<(Played, String)>,
    /// What it can be recorded through, with its words.
    pub through: Vec<(Through, String)>,
    /// How long a cable can be, with its words.
    pub cables: Vec<(Cable, String)>,
    /// The modes of what is recorded; none where there is nothing to choose.
    pub modes: Vec<Mode>,
}

/// What was answered the last time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct LastRecorded {
    /// As it was typed.
    pub form: RecordedForm,
    /// In words.
    pub words: String,
}
