//! The log on disk: one SQLite file in WAL mode, synced at every acknowledged write.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use chrono::{DateTime, TimeDelta, Utc};
use rusqlite::types::ValueRef;
use rusqlite::{Connection, OptionalExtension, params};
use uuid::Uuid;

use super::copies::{self};
use super::lock::Lock;
use super::ordered::Ordered;
use super::place::LogFiles;
use super::remembered::{Remembered, Stamp};
use super::sums;
use super::tally::{self, Tally};
use super::trouble::Trouble;
use crate::file::{KEPT_OF_CHANGES, connect, keep_of_changes};
use crate::notice::Notice;
use crate::record::body::{BenchBody, Body};
use crate::record::entry::{About, Entry, Written};
use crate::record::names::{BenchId, EntryId};
use crate::record::photo::PhotoName;
use crate::row::{ABOUT, FILE, OF_THE_DEMO, read_entry, written};
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
    remembered: RefCell<Remembered>,
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
        if let Some(entries) = self.remembered.borrow().get(now, about) {
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
        let any: i64 = self.conn.query_row("SELECT coalesce(max(seq), 0) FROM entry", [], |row| row.get(0))?;
        Ok(u64::try_from(any).unwrap_or(0))
    }

    /// Erases all entries about these things for good, from the log and from its copies.
    ///
    /// The copies are replaced by one made afterwards, so that nothing erased stays behind.
    ///
    /// # Errors
    /// [`Trouble`]; then it may be that not all of it is erased from the disk, and it has to be asked for again.
    pub fn erase(&mut self, things: &[About], now: DateTime<Utc>) -> Result<(), Trouble> {
        self.take_out(things)?;
        let copied = copies::replace_all(&self.conn, &self.folder, now)?;
        self.newest_copy = copied.then_some(now);
        self.copied_up_to = None;
        Ok(())
    }

    /// Erases all entries about these things from the log alone. Its copies keep them.
    ///
    /// # Errors
    /// As for [`Log::erase`].
    pub fn take_out(&mut self, things: &[About]) -> Result<(), Trouble> {
        let _alone = self.lock.alone_to_write()?;
        let mut totals = tally::read_recent(&self.folder).totals;
        keep_of_changes(&self.conn, 0)?;
        let stroke = self.conn.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        for about in things {
            let id = about.uuid();
            if let Some(totals) = &mut totals {
                let mut select = stroke.prepare_cached(
                    "SELECT sum_of(id, at, bench, thing, about, kind, body) FROM entry WHERE about = ?1 AND thing = ?2",
                )?;
                let sums = select.query_map(params![id, about.word()], |row| row.get(0))?;
                for sum in sums {
                    totals.toggle(&sum?, false);
                }
            }
            stroke.execute("DELETE FROM entry WHERE about = ?1 AND thing = ?2", params![id, about.word()])?;
            stroke.execute("DELETE FROM draft WHERE instr(key, ?1) > 0", [id.to_string()])?;
            match about {
                About::Audition(_) => {
                    stroke.execute(
                        "DELETE FROM audition_words WHERE rowid IN (SELECT row FROM audition_line WHERE audition = ?1)",
                        [id],
                    )?;
                    stroke.execute("DELETE FROM audition_line WHERE audition = ?1", [id])?;
                }
                About::Meter(_) | About::Bench(_) => {}
                About::Fit(_) => {
                    stroke.execute("DELETE FROM fit_line WHERE fit = ?1", [id])?;
                }
                About::Pickup(_) | About::Guitar(_) | About::Rig(_) => {
                    stroke.execute("DELETE FROM thing_line WHERE id = ?1", [id])?;
                }
            }
        }
        // A word that is deleted from the full-text index is only marked there, until the index is written anew.
        stroke.execute("INSERT INTO audition_words (audition_words) VALUES ('optimize')", [])?;
        // Before it is gone from the log, or the next opening after a stop would put it back.
        tally::begin_without(&self.folder, self.bench, totals)?;
        stroke.commit()?;
        // What was erased must not live on in the write-ahead file either.
        let busy: bool = self.conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| row.get(0))?;
        if busy {
            return Err(Trouble::Busy);
        }
        keep_of_changes(&self.conn, KEPT_OF_CHANGES)
    }

    /// Keeps what this connection still holds of a file that is gone from its place, for a salvage.
    pub fn rescue(&self, now: DateTime<Utc>) {
        if !crate::files::exists(self.folder.join(FILE)).unwrap_or(true) {
            // What can't be had here is looked for in the tally and the copies.
            let _ = copies::write_copy(&self.conn, &copies::name_aside(&self.folder, now));
        }
    }

    /// When this bench wrote its last entry; nothing when none of the last entries is its own.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn last_written_here(&self) -> Result<Option<DateTime<Utc>>, Trouble> {
        let mut select = self.conn.prepare_cached(
            "SELECT at FROM (SELECT seq, at, bench FROM entry ORDER BY seq DESC LIMIT 200) WHERE bench = ?1
             ORDER BY seq DESC LIMIT 1",
        )?;
        let at: Option<i64> = select.query_row([self.bench.0], |row| row.get(0)).optional()?;
        Ok(at.and_then(DateTime::from_timestamp_micros))
    }

    /// How many damaged logs were set aside in the folder. Nothing is ever erased from them.
    #[must_use]
    pub fn set_aside(&self) -> usize {
        copies::set_aside_before(&self.folder).len()
    }

    /// Everything the demo bench wrote, as the things it is about.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn demo_things(&self) -> Result<Vec<About>, Trouble> {
        let mut select =
            self.conn.prepare_cached(&format!("SELECT DISTINCT thing, about {OF_THE_DEMO} ORDER BY seq"))?;
        let rows = select.query_map([], |row| Ok((row.get::<_, String>(0)?, row.get::<_, Uuid>(1)?)))?;
        let mut things = Vec::new();
        for row in rows {
            let (thing, id) = row?;
            things.extend(About::from_parts(&thing, id));
        }
        Ok(things)
    }

    /// The auditions and installs in which the sound came up, or its step was left out, at or after one instant and before another.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn sound_up_between(&self, from: DateTime<Utc>, to: DateTime<Utc>) -> Result<Vec<About>, Trouble> {
        let mut select = self.conn.prepare_cached(
            "SELECT DISTINCT thing, about FROM entry INDEXED BY entry_sound_up
             WHERE (instr(body, '\"raised_slowly\"') > 0 OR instr(body, '\"sound_up\"') > 0)
                AND thing IN ('audition', 'fit') AND at >= ?1 AND at < ?2 ORDER BY thing, about",
        )?;
        let rows = select.query_map([from.timestamp_micros(), to.timestamp_micros()], |row| {
            Ok((row.get::<_, String>(0)?, row.get(1)?))
        })?;
        let rows: Vec<(String, Uuid)> = rows.collect::<Result<_, _>>()?;
        Ok(rows.into_iter().filter_map(|(thing, id)| About::from_parts(&thing, id)).collect())
    }

    /// The entries that pinned an audition as the reference, or unpinned it, the newest first; struck-out ones too.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn pins(&self) -> Result<Vec<Entry>, Trouble> {
        let mut select = self.conn.prepare_cached(
            "SELECT id, at, bench, thing, about, kind, body, sum FROM entry INDEXED BY entry_pin
             WHERE kind IN ('reference_pinned', 'reference_unpinned') ORDER BY at DESC, id DESC",
        )?;
        let rows = select.query_map([], read_entry)?;
        collect(rows)
    }

    /// The photos that entries about these things name, whatever version wrote them.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn photos_of(&self, things: &[About]) -> Result<BTreeSet<PhotoName>, Trouble> {
        let mut select = self.conn.prepare_cached(
            "SELECT body FROM entry INDEXED BY entry_photo WHERE kind = 'photo_taken' AND about = ?1",
        )?;
        let mut photos = BTreeSet::new();
        for about in things {
            let rows = select.query_map([about.uuid()], |row| row.get::<_, String>(0))?;
            for body in rows {
                if let Some(Body::Bench(BenchBody::PhotoTaken { photo, .. })) =
                    Written::read("photo_taken", &body?).known()
                {
                    photos.insert(photo.clone());
                }
            }
        }
        Ok(photos)
    }

    /// Whether any entry names this photo, also one that a newer version wrote.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn names_photo(&self, photo: &PhotoName) -> Result<bool, Trouble> {
        names_photo(&self.conn, photo)
    }

    /// Whether anything of the demo bench is in the log.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn has_demo(&self) -> Result<bool, Trouble> {
        Ok(self.conn.prepare_cached(&format!("SELECT 1 {OF_THE_DEMO} LIMIT 1"))?.exists([])?)
    }

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

/// As [`Log::names_photo`].
pub(crate) fn names_photo(conn: &Connection, photo: &PhotoName) -> Result<bool, Trouble> {
    let plain = "SELECT 1 FROM main.entry INDEXED BY entry_photo WHERE kind = 'photo_taken' AND instr(body, ?1) > 0";
    Ok(conn.prepare_cached(plain)?.exists([photo.as_str()])? || is_anywhere(conn, photo.as_str())?)
}

/// Whether any entry has this word in it, which takes reading all of them.
pub(crate) fn is_anywhere(conn: &Connection, word: &str) -> Result<bool, Trouble> {
    Ok(conn.prepare_cached("SELECT 1 FROM main.entry WHERE instr(body, ?1) > 0")?.exists([word])?)
}

pub(crate) fn collect(rows: impl Iterator<Item = rusqlite::Result<Option<Entry>>>) -> Result<Vec<Entry>, Trouble> {
    let mut entries = Vec::new();
    for row in rows {
        entries.extend(row?);
    }
    Ok(entries)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::names::DEMO_BENCH;

    #[test]
    fn the_demo_is_found_without_reading_the_whole_log() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let mut log = Log::open(folder.path(), DateTime::UNIX_EPOCH, BenchId(Uuid::from_u128(7))).expect("a new log");
        assert!(!log.has_demo().expect("asked"));
        log.write(&solderlast_core::demo::entries()).expect("written");
        assert!(log.has_demo().expect("asked"));
        assert!(OF_THE_DEMO.contains(&DEMO_BENCH.0.simple().to_string()));
        let things: std::collections::BTreeSet<_> = log.demo_things().expect("asked").into_iter().collect();
        assert_eq!(things, solderlast_core::demo::entries().iter().map(|entry| entry.about).collect());
        let how: String = log
            .conn
            .query_row(&format!("EXPLAIN QUERY PLAN SELECT 1 {OF_THE_DEMO} LIMIT 1"), [], |row| row.get(3))
            .expect("explained");
        assert!(how.contains("entry_demo"), "{how}");
    }
}
