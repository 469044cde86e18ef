//! What the log keeps beside entries: what is being typed, and notices until they are put away.

use chrono::{DateTime, Utc};
use rusqlite::params;

use super::Log;
use crate::notice::Notice;
use crate::sums;
use crate::trouble::Trouble;

impl Log {
    /// Keeps what is being typed, until it is recorded or cleared; empty text clears it.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be written.
    pub fn keep_draft(&mut self, key: &str, text: &str, now: DateTime<Utc>) -> Result<(), Trouble> {
        if text.is_empty() {
            self.conn.execute("DELETE FROM draft WHERE key = ?1", [key])?;
        } else {
            self.conn.execute(
                "INSERT INTO draft VALUES (?1, ?2, ?3, sum_of(?1, ?2, ?3))
                 ON CONFLICT (key) DO UPDATE SET text = ?2, at = ?3, sum = excluded.sum",
                params![key, text, now.timestamp_micros()],
            )?;
        }
        Ok(())
    }

    /// Everything typed and not yet recorded, as (key, text).
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn drafts(&self) -> Result<Vec<(String, String)>, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT key, text, at, sum FROM draft ORDER BY at DESC LIMIT 500")?;
        let rows = select.query_map([], |row| {
            sums::check(row, 3, "a draft")?;
            Ok((row.get(0)?, row.get(1)?))
        })?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Notices that were not put away yet, with their numbers.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn notices(&self) -> Result<Vec<(i64, Notice)>, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT id, at, notice, sum FROM notice ORDER BY id")?;
        let rows = select.query_map([], |row| {
            sums::check(row, 3, "a notice")?;
            Ok((row.get(0)?, row.get::<_, String>(2)?))
        })?;
        let mut notices = Vec::new();
        for row in rows {
            let (id, text): (i64, String) = row?;
            if let Ok(notice) = serde_json::from_str(&text) {
                notices.push((id, notice));
            }
        }
        Ok(notices)
    }

    /// Puts a notice away.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be written.
    pub fn put_notice_away(&mut self, id: i64) -> Result<(), Trouble> {
        self.conn.execute("DELETE FROM notice WHERE id = ?1", [id])?;
        Ok(())
    }
}
