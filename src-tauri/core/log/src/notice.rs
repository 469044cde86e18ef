//! What is told of a log that was made good.

use chrono::{DateTime, Utc};
use rusqlite::{Connection, params};
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use crate::trouble::Trouble;

/// Something a person must know about their log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct Notice {
    /// What happened, what was kept, what to do.
    pub sentence: String,
    /// Where the damaged file lies now.
    pub aside: Option<String>,
    /// Where the entries of the new log were found.
    #[serde(default)]
    pub sources: Vec<Source>,
    /// Entries that were seen and are nowhere as they were written, oldest first.
    pub lacking: Vec<Lacking>,
}

/// How many entries came from where.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct Source {
    /// From where, in words.
    pub from: String,
    /// How many of them.
    #[ts(type = "number")]
    pub entries: u64,
}

/// An entry that was seen and could not be had as it was written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct Lacking {
    /// When it was written, as far as that can be told.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// Its kind; empty where nobody knows.
    pub kind: String,
    /// Its name, where that can be told.
    #[serde(default)]
    pub name: Option<Uuid>,
    /// What stands there instead. Something in it is wrong.
    #[serde(default)]
    pub doubtful: Option<String>,
}

/// Puts a notice into a log.
pub(crate) fn add_notice(conn: &Connection, now: DateTime<Utc>, notice: &Notice) -> Result<(), Trouble> {
    let text = serde_json::to_string(notice).map_err(|error| Trouble::Program(error.to_string()))?;
    conn.execute("INSERT INTO notice (at, notice) VALUES (?1, ?2)", params![now.timestamp_micros(), text])?;
    conn.execute("UPDATE notice SET sum = sum_of(id, at, notice) WHERE id = last_insert_rowid()", [])?;
    Ok(())
}
