//! The notes of the reference, as they are shown to somebody who asks for them.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::Audition;
use crate::record::audition::AuditionId;
use crate::record::listening::Quality;
use crate::record::rig::Mode;

/// The notes of the reference.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct ReferenceView {
    /// Which audition.
    pub audition: AuditionId,
    /// "Pickup on guitar, place".
    pub title: String,
    /// That it was looked at, and what that means for the ratings to come.
    pub sentence: String,
    /// Its notes in the mode that is heard, or in all modes it was heard in where that one is not among them.
    pub modes: Vec<ReferenceMode>,
}

/// The notes of the reference in one mode.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct ReferenceMode {
    /// The mode.
    pub mode: Mode,
    /// Its ratings, in the order in which qualities are asked.
    pub rated: Vec<ReferenceRating>,
    /// Its words; may be empty.
    pub note: String,
}

/// One rating of the reference.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct ReferenceRating {
    /// The quality.
    pub quality: Quality,
    /// Its name.
    pub name: String,
    /// 1 to 5.
    pub value: u8,
    /// The word for it.
    pub word: String,
}

impl ReferenceView {
    /// The notes of `audition`, for somebody who hears `mode`.
    #[must_use]
    pub fn of(id: AuditionId, title: String, audition: &Audition, mode: &Mode) -> Self {
        let mut modes: BTreeMap<&Mode, ReferenceMode> = BTreeMap::new();
        let fresh = |mode: &Mode| ReferenceMode { mode: mode.clone(), rated: Vec::new(), note: String::new() };
        for ((heard, quality), rating) in &audition.rated {
            let value = rating.said.value;
            modes.entry(heard).or_insert_with(|| fresh(heard)).rated.push(ReferenceRating {
                quality: *quality,
                name: quality.name().to_owned(),
                value,
                word: quality.word(value).unwrap_or_default().to_owned(),
            });
        }
        for (heard, note) in audition.notes.iter().filter(|(_, note)| !note.said.is_empty()) {
            modes.entry(heard).or_insert_with(|| fresh(heard)).note = note.said.clone();
        }
        let (modes, other) = match modes.remove(mode) {
            Some(same) => (vec![same], ""),
            None => (modes.into_values().collect(), " It was not heard in this mode, so all its notes are here."),
        };
        let sentence = format!(
            "You have looked at the reference. What you rate in {} from now on is marked as rated after that.{other}",
            mode.0
        );
        Self { audition: id, title, sentence, modes }
    }
}
