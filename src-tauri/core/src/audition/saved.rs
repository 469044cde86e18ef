//! What an entry said, with its name and its time.

use chrono::{DateTime, Utc};

use crate::record::names::EntryId;

/// Something said, with the entry that says it.
#[derive(Debug, Clone, PartialEq)]
pub struct Saved<T> {
    /// The entry.
    pub entry: EntryId,
    /// When it was written.
    pub at: DateTime<Utc>,
    /// What it says.
    pub said: T,
}
