//! What is looked up among all entries by what they say: the demo bench, sound, pins, photos.

use std::collections::BTreeSet;

use chrono::{DateTime, Utc};
use rusqlite::{Connection, OptionalExtension};
use uuid::Uuid;

use super::{Log, collect};
use crate::record::body::{BenchBody, Body};
use crate::record::entry::{About, Entry, Written};
use crate::record::photo::PhotoName;
use crate::row::{OF_THE_DEMO, read_entry};
use crate::trouble::Trouble;

impl Log {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::names::{BenchId, DEMO_BENCH};

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
