//! Recordings beside a log: FLAC files, each named by what it holds, and the entries that name them.

use std::collections::BTreeSet;

use rusqlite::Connection;
use uuid::Uuid;

use crate::record::body::{Body, TakeBody};
use crate::record::entry::{About, Entry, Written};
use crate::record::names::DEMO_BENCH;
use crate::record::take::TakeName;
use crate::row::{in_letters, read_entry};
use crate::shelf::{self, Sort};
use crate::store::{Log, collect, is_anywhere};
use crate::trouble::Trouble;

pub use crate::shelf::{Arriving, Laid};

/// The takes beside a log.
pub type Shelf = shelf::Shelf<TakeName>;

impl Sort for TakeName {
    const FOLDER: &str = "takes";
    const ENDING: &str = "flac";
    const BY_PARTS: bool = true;
}

impl Log {
    /// The takes that entries about these things name.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn takes_of(&self, things: &[About]) -> Result<BTreeSet<TakeName>, Trouble> {
        let mut select = self
            .conn
            .prepare_cached("SELECT body FROM entry INDEXED BY entry_take WHERE kind = 'take_kept' AND about = ?1")?;
        let mut takes = BTreeSet::new();
        for about in things {
            let rows = select.query_map([about.uuid()], |row| row.get::<_, String>(0))?;
            for body in rows {
                if let Some(Body::Take(TakeBody::TakeKept { sound, .. })) = Written::read("take_kept", &body?).known() {
                    takes.insert(sound.take.clone());
                }
            }
        }
        Ok(takes)
    }

    /// Whether any entry names this take, also one that a newer version wrote.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn names_take(&self, take: &TakeName) -> Result<bool, Trouble> {
        names_take(&self.conn, take)
    }

    /// The entry by which the last take was kept; those of the demo are nobody's.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn last_take(&self) -> Result<Option<Entry>, Trouble> {
        let mut select = self.conn.prepare_cached(
            "SELECT id, at, bench, thing, about, kind, body, sum FROM entry INDEXED BY entry_take
             WHERE kind = 'take_kept' AND bench <> ?1 ORDER BY at DESC, id DESC LIMIT 1",
        )?;
        let rows = select.query_map([DEMO_BENCH.0], read_entry)?;
        Ok(collect(rows)?.into_iter().next())
    }

    /// The things of which there are takes, struck-out ones too.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn with_takes(&self) -> Result<BTreeSet<About>, Trouble> {
        let mut select = self
            .conn
            .prepare_cached("SELECT DISTINCT thing, about FROM entry INDEXED BY entry_take WHERE kind = 'take_kept'")?;
        let rows = select.query_map([], |row| Ok((in_letters(row.get_ref(0)?), row.get(1)?)))?;
        let rows: Vec<(String, Uuid)> = rows.collect::<Result<_, _>>()?;
        Ok(rows.into_iter().filter_map(|(thing, id)| About::from_parts(&thing, id)).collect())
    }
}

/// As [`Log::names_take`].
pub(crate) fn names_take(conn: &Connection, take: &TakeName) -> Result<bool, Trouble> {
    let plain = "SELECT 1 FROM main.entry INDEXED BY entry_take WHERE kind = 'take_kept' AND instr(body, ?1) > 0";
    Ok(conn.prepare_cached(plain)?.exists([take.as_str()])? || is_anywhere(conn, take.as_str())?)
}
