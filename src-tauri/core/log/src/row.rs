//! An entry as a row of the log.

use chrono::DateTime;
use rusqlite::Row;
use rusqlite::types::ValueRef;

use crate::record::entry::{About, Entry, Written};
use crate::record::names::{BenchId, EntryId};
use crate::sums;
use crate::trouble::Trouble;

/// The name of the log in its folder.
pub(crate) const FILE: &str = "solderlast.db";

/// The entries about one thing.
pub const ABOUT: &str =
    "SELECT id, at, bench, thing, about, kind, body, sum FROM entry WHERE about = ?1 AND thing = ?2";

/// The demo bench's entries. Its name stands in the words of the question, as the index of them has it, or SQLite would
/// read the whole log to find them.
pub(crate) const OF_THE_DEMO: &str = "FROM entry WHERE bench = x'0198000000007000800000000000de30'";

pub(crate) fn written(body: &Written) -> Result<(&str, String), Trouble> {
    match body {
        Written::Known(body) => {
            let text = serde_json::to_string(body).map_err(|error| Trouble::Program(error.to_string()))?;
            Ok((body.kind(), text))
        }
        Written::Newer { kind, text } => Ok((kind, text.clone())),
    }
}

/// Reads a row of (id, at, bench, thing, about, kind, body, sum); nothing for a thing this version does not know.
pub fn read_entry(row: &Row<'_>) -> rusqlite::Result<Option<Entry>> {
    sums::check(row, 7, "an entry")?;
    let thing: String = row.get(3)?;
    let Some(about) = About::from_parts(&thing, row.get(4)?) else { return Ok(None) };
    // A byte that went bad in an entry's words must not keep the other entries from being read.
    let (kind, text) = (in_letters(row.get_ref(5)?), in_letters(row.get_ref(6)?));
    Ok(Some(Entry {
        id: EntryId(row.get(0)?),
        at: DateTime::from_timestamp_micros(row.get(1)?).unwrap_or_default(),
        bench: BenchId(row.get(2)?),
        about,
        body: Written::read(&kind, &text),
    }))
}

/// A column as text, with a mark where its bytes are no letters.
pub(crate) fn in_letters(value: ValueRef<'_>) -> String {
    match value {
        ValueRef::Text(bytes) | ValueRef::Blob(bytes) => String::from_utf8_lossy(bytes).into_owned(),
        ValueRef::Null | ValueRef::Integer(_) | ValueRef::Real(_) => String::new(),
    }
}
