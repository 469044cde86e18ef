//! The reference: one audition that is pinned, so that a scale means in some weeks what it means today.
//!
//! Its notes are shown beside new ones only when somebody asks for them, mode by mode. Whoever has looked is led, so that is
//! written down, and a rating given in that mode afterwards says so for good.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::audition::AuditionId;
use crate::record::body::Body;
use crate::record::entry::{About, Entry};
use crate::record::listening::{Quality, Than};

/// The pinned audition, told without its notes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct Reference {
    /// Which audition.
    pub audition: AuditionId,
    /// "Pickup on guitar, place".
    pub title: String,
    /// Whether it is the audition that is looked at.
    pub this_one: bool,
}

/// The audition that is pinned, by the entries that pinned one or unpinned it, the newest first and without those that are
/// struck out: the last one that was pinned, unless it was unpinned since.
///
/// # Errors
/// The error of reading the entries.
pub fn pinned<E>(newest_first: impl IntoIterator<Item = Result<Entry, E>>) -> Result<Option<AuditionId>, E> {
    let mut unpinned = BTreeSet::new();
    for entry in newest_first {
        let entry = entry?;
        let About::Audition(audition) = entry.about else { continue };
        match entry.body.known() {
            Some(Body::ReferencePinned {}) => return Ok((!unpinned.contains(&audition)).then_some(audition)),
            Some(Body::ReferenceUnpinned {}) => {
                unpinned.insert(audition);
            }
            _ => {}
        }
    }
    Ok(None)
}

/// "brighter; the same in bass": ratings beside the fitted pickup in a line, in the order in which qualities are asked.
#[must_use]
pub fn against_in_words(against: &[(Quality, Than)]) -> String {
    let words: Vec<String> = against.iter().map(|(quality, than)| than.in_words(*quality)).collect();
    words.join("; ")
}
