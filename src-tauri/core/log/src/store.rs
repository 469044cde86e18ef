//! The log on disk: one SQLite file in WAL mode, synced at every acknowledged write.

mod drafts;
mod looked_up;
mod taken_out;

use std::cell::RefCell;
use std::path::{Path, PathBuf};

use chrono::{DateTime, TimeDelta, Utc};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension, params};

pub(crate) use self::looked_up::{is_anywhere, names_photo};
use super::copies::{self};
use super::lock::Lock;
use super::ordered::Ordered;
use super::place::LogFiles;
use super::remembered::{Remembered, Stamp};
use super::tally::{self, Tally};
use super::trouble::Trouble;
use crate::file::connect;
use crate::record::entry::{About, Entry};
use crate::record::names::{BenchId, EntryId};
use crate::row::{ABOUT, FILE, read_entry, written};
use crate::schema::clear;

/// The log of one bench.
#[derive(Debug)]
pub struct Log {
    pub(super) conn: Connection,
    pub(super) folder: PathBuf,
    /// Held by who writes, together with others.
    lock: Lock,
    tally: Tally,
    bench: BenchId,
    newest_copy: Option<DateTime<Utc>>,
    /// The row up to which a copy is known to hold everything.
    copied_up_to: Option<u64>,
    /// When a copy that could not be made is tried again.
    not_before: Option<DateTime<Utc>>,
    pub(super) remembered: RefCell<Remembered>,
    /// The highest number of an entry that was seen in it.
    reached: i64,
    /// The files it lies in.
    pub(super) place: LogFiles,
    /// Where everything was put once it was found in another place.
    pub(super) left: Option<PathBuf>,
    /// The state it is looked at in, while somebody looks at it as it is at one moment.
    pub(super) moment: Option<Stamp>,
}

/// What came of entries that were decided on by what the log held.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Came {
    /// All of them are on disk.
    Written,
    /// Somebody else wrote in the meantime; nothing was written, and it has to be decided anew.
    Moved,
    /// One of their names is taken; nothing was written.
    Taken,
}

/// How often the log is copied.
const A_DAY: TimeDelta = TimeDelta::days(1);
/// How long after a copy that could not be made the next is tried.
const TRY_AGAIN: TimeDelta = TimeDelta::minutes(10);

impl Log {
    pub(super) fn of(conn: Connection, folder: &Path, bench: BenchId) -> Result<Self, Trouble> {
        Ok(Self {
            conn,
            lock: Lock::of(folder)?,
            tally: Tally::of(folder),
            folder: folder.to_owned(),
            bench,
            newest_copy: None,
            copied_up_to: None,
            not_before: None,
            remembered: RefCell::default(),
            reached: 0,
            place: LogFiles::of(folder),
            left: None,
            moment: None,
        })
    }

    /// What tells the file that is open from every other one.
    pub fn file(&self) -> Option<(u64, u64)> {
        self.place.log
    }

    /// Another connection to the log in this folder, which was opened before, for long looks beside the running bench.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn beside(folder: &Path, bench: BenchId) -> Result<Self, Trouble> {
        Self::of(connect(&folder.join(FILE))?, folder, bench)
    }

    /// The connection, for tables that are derived from entries.
    #[must_use]
    pub fn tables(&self) -> &Connection {
        &self.conn
    }

    /// The same, to change such tables.
    pub fn tables_mut(&mut self) -> &mut Connection {
        &mut self.conn
    }

    /// Empties the tables that are derived from entries, so that they are made anew when somebody looks at them.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn clear_tables(&self) -> Result<(), Trouble> {
        clear(&self.conn)
    }

    /// The name of this bench.
    #[must_use]
    pub fn bench(&self) -> BenchId {
        self.bench
    }

    /// The folder the log lies in.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Whether a day has passed since the last copy of the log, and something was written since.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn copy_is_due(&mut self, now: DateTime<Utc>) -> Result<bool, Trouble> {
        if self.not_before.is_some_and(|not_before| (now..now + TRY_AGAIN * 2).contains(&not_before)) {
            return Ok(false);
        }
        let old = |at: Option<DateTime<Utc>>| at.is_none_or(|at| now - at >= A_DAY || at - now >= A_DAY);
        if !old(self.newest_copy) {
            return Ok(false);
        }
        let written = self.count()?;
        if written == 0 || self.copied_up_to == Some(written) {
            return Ok(false);
        }
        // Another program, or one beside this bench, may have made today's copy.
        let latest = copies::latest(&self.folder, written);
        self.newest_copy = latest.map(|(at, _)| at);
        self.copied_up_to = latest.map(|(_, up_to)| up_to);
        Ok(old(self.newest_copy) && self.copied_up_to != Some(written))
    }

    /// Notes that somebody is about to copy the log: it is not due for ten minutes, whatever comes of it.
    pub fn copying(&mut self, now: DateTime<Utc>) {
        self.not_before = Some(now + TRY_AGAIN);
    }

    /// Copies the log.
    ///
    /// # Errors
    /// [`Trouble`] when there is no room for it.
    pub fn copy(&mut self, now: DateTime<Utc>) -> Result<(), Trouble> {
        self.copying(now);
        copies::make(&self.conn, &self.folder, now)?;
        self.newest_copy = Some(now);
        self.copied_up_to = None;
        Ok(())
    }

    /// Writes entries in one stroke: all of them are on disk when this returns, or none. An entry that is there already
    /// is left as it is.
    ///
    /// # Errors
    /// [`Trouble`]; then nothing was written, or into a file that is gone ([`Trouble::Gone`]).
    pub fn write(&mut self, entries: &[Entry]) -> Result<(), Trouble> {
        self.stroke(entries, None).map(drop)
    }

    /// The state of the log now: what is decided by what it holds is written with [`Log::write_if_still`].
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn stamp(&self) -> Result<Stamp, Trouble> {
        self.moment.map_or_else(|| Stamp::of(&self.conn), Ok)
    }

    /// Writes entries in one stroke if nobody else wrote since they were decided on, and no name of theirs is taken: all of
    /// them are on disk then, or none.
    ///
    /// # Errors
    /// [`Trouble`]; then nothing was written.
    pub fn write_if_still(&mut self, entries: &[Entry], decided: Stamp) -> Result<Came, Trouble> {
        self.stroke(entries, Some(decided))
    }

    fn stroke(&mut self, entries: &[Entry], decided: Option<Stamp>) -> Result<Came, Trouble> {
        let _together = self.lock.together()?;
        let mut frames = Vec::new();
        let stroke = self.conn.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        // SQLite's lock is held, so no other program changes anything from here on.
        let before = Stamp::of(&stroke)?;
        if decided.is_some_and(|decided| !decided.is_still(before)) {
            return Ok(Came::Moved);
        }
        let mut new = 0;
        {
            let mut insert = stroke.prepare_cached(
                "INSERT INTO entry (id, at, bench, thing, about, kind, body, sum)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, sum_of(?1, ?2, ?3, ?4, ?5, ?6, ?7))
                 ON CONFLICT (id) DO NOTHING",
            )?;
            for entry in entries {
                let (kind, body) = written(&entry.body)?;
                let inserted = insert.execute(params![
                    entry.id.0,
                    entry.at.timestamp_micros(),
                    entry.bench.0,
                    entry.about.word(),
                    entry.about.uuid(),
                    kind,
                    body
                ])?;
                if inserted == 1 {
                    frames.extend(tally::frame([
                        ValueRef::Blob(entry.id.0.as_bytes()),
                        ValueRef::Integer(entry.at.timestamp_micros()),
                        ValueRef::Blob(entry.bench.0.as_bytes()),
                        ValueRef::Text(entry.about.word().as_bytes()),
                        ValueRef::Blob(entry.about.uuid().as_bytes()),
                        ValueRef::Text(kind.as_bytes()),
                        ValueRef::Text(body.as_bytes()),
                    ]));
                }
                new += inserted;
            }
        }
        if decided.is_some() && new < entries.len() {
            return Ok(Came::Taken);
        }
        let after = Stamp::of(&stroke)?;
        stroke.commit()?;
        if !self.place.is_still(&self.folder) {
            return Err(Trouble::Gone(String::new()));
        }
        self.tally.add(&frames);
        if new == entries.len() {
            self.remembered.get_mut().written(before, after, entries);
        }
        Ok(Came::Written)
    }

    /// The entries about one thing, in the order they are read in, each with whether it is struck out.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn about(&self, about: About) -> Result<Ordered, Trouble> {
        let now = self.stamp()?;
        if let Some(entries) = self.remembered.borrow_mut().get(now, about) {
            return Ok(entries);
        }
        let mut select = self.conn.prepare_cached(ABOUT)?;
        let rows = select.query_map(params![about.uuid(), about.word()], read_entry)?;
        let entries = Ordered::of(collect(rows)?);
        self.remembered.borrow_mut().keep(now, about, &entries);
        Ok(entries)
    }

    /// Whether it still has all numbers that entries were given. They only grow, also where entries are erased, so an older
    /// log was written over this one where they don't.
    pub fn still_holds(&mut self) -> bool {
        let numbers = self.conn.prepare_cached("SELECT seq FROM sqlite_sequence WHERE name = 'entry'");
        let newest = numbers.and_then(|mut select| select.query_row([], |row| row.get(0)).optional());
        // What can't be read is met where it is needed.
        let Ok(newest) = newest else { return true };
        let newest: i64 = newest.unwrap_or(0);
        let holds = newest >= self.reached;
        self.reached = self.reached.max(newest);
        holds
    }

    /// Whether something of another kind goes by the same name.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn is_taken(&self, about: About) -> Result<bool, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT 1 FROM entry WHERE about = ?1 AND thing <> ?2 LIMIT 1")?;
        Ok(select.exists(params![about.uuid(), about.word()])?)
    }

    /// One entry.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn entry(&self, id: EntryId) -> Result<Option<Entry>, Trouble> {
        let mut select =
            self.conn.prepare_cached("SELECT id, at, bench, thing, about, kind, body, sum FROM entry WHERE id = ?1")?;
        Ok(select.query_row([id.0], read_entry).optional()?.flatten())
    }

    /// How many entries there are.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn count(&self) -> Result<u64, Trouble> {
        let any: i64 =
            self.conn.prepare_cached("SELECT coalesce(max(seq), 0) FROM entry")?.query_row([], |row| row.get(0))?;
        Ok(u64::try_from(any).unwrap_or(0))
    }

    /// Keeps what this connection still holds of a file that is gone from its place, for a salvage.
    pub fn rescue(&self, now: DateTime<Utc>) {
        if !crate::files::exists(self.folder.join(FILE)).unwrap_or(true) {
            // What can't be had here is looked for in the tally and the copies.
            let _ = copies::write_copy(&self.conn, &copies::name_aside(&self.folder, now));
        }
    }

    /// How many damaged logs were set aside in the folder. Nothing is ever erased from them.
    #[must_use]
    pub fn set_aside(&self) -> usize {
        copies::set_aside_before(&self.folder).len()
    }
}

pub(crate) fn collect(rows: impl Iterator<Item = rusqlite::Result<Option<Entry>>>) -> Result<Vec<Entry>, Trouble> {
    let mut entries = Vec::new();
    for row in rows {
        entries.extend(row?);
    }
    Ok(entries)
}
