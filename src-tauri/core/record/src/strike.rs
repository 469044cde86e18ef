//! A strike-out, and what it strikes out.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::body::Body;
use crate::entry::Entry;
use crate::names::EntryId;

/// A strike-out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/entry.ts")]
pub struct Struck {
    /// The entry that strikes it out; striking that one out brings the line back.
    pub by: EntryId,
    /// When.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// Why; may be empty.
    pub why: String,
}

/// The strike-out that counts for an entry.
#[must_use]
pub fn struck_by(ordered: &[(Entry, bool)], id: EntryId) -> Option<Struck> {
    ordered.iter().rev().find_map(|(entry, struck)| match entry.body.known() {
        Some(Body::StruckOut { entry: target, why }) if *target == id && !struck => {
            Some(Struck { by: entry.id, at: entry.at, why: why.clone() })
        }
        _ => None,
    })
}

/// What an entry is about in the end: itself, or for a strike-out what it strikes out, or brings back by striking out a
/// strike-out. Nothing when that is not among these entries.
#[must_use]
pub fn root(ordered: &[(Entry, bool)], id: EntryId) -> Option<&Entry> {
    let mut at = ordered.iter().position(|(entry, _)| entry.id == id)?;
    loop {
        let (entry, _) = ordered.get(at)?;
        let Some(Body::StruckOut { entry: target, .. }) = entry.body.known() else { return Some(entry) };
        // A strike-out counts for earlier entries only, so this comes to an end.
        at = ordered[..at].iter().position(|(earlier, _)| earlier.id == *target)?;
    }
}
