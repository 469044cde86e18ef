//! Derived tables for lists and search. They hold nothing of their own and can be made anew from the entries at any time.
//!
//! A write touches the entries only; the lists catch up when somebody looks at them, so that recording a reading costs
//! one row and one sync.

use std::collections::BTreeMap;

use rusqlite::{TransactionBehavior, params};
use uuid::Uuid;

use super::lines::Lines;
use super::store::Log;
use super::sums;
use super::trouble::Trouble;
use crate::logbook::line::{Line, column_of, read_line};
use crate::logbook::schema::clear;
use crate::record::audition::AuditionId;
use crate::record::entry::{About, Entry};

/// How many things are brought up to date in one stroke.
const AT_ONCE: usize = 2000;

impl Log {
    /// Brings the lists up to date with the entries.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn catch_up(&mut self) -> Result<(), Trouble> {
        while self.catch_up_some()? {}
        Ok(())
    }

    /// Brings the lists up to date for somebody who only looks. On a full disk they show what they showed before.
    pub(super) fn catch_up_to_look(&mut self) -> Result<(), Trouble> {
        match self.catch_up() {
            Err(Trouble::Full) => Ok(()),
            other => other,
        }
    }

    /// Makes the lists anew from the entries.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn list_anew(&mut self) -> Result<(), Trouble> {
        clear(&self.conn)?;
        self.catch_up()
    }

    /// Brings some of the lists up to date; answers whether there is more to do.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub(super) fn catch_up_some(&mut self) -> Result<bool, Trouble> {
        let up_to: i64 = self.conn.query_row("SELECT up_to FROM listed", [], |row| row.get(0))?;
        let newest: i64 = self.conn.query_row("SELECT coalesce(max(seq), 0) FROM entry", [], |row| row.get(0))?;
        if newest <= up_to {
            return Ok(false);
        }
        let stroke = self.conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
        // Read again inside the stroke: another program may have caught up in the meantime.
        let up_to: i64 = stroke.query_row("SELECT up_to FROM listed", [], |row| row.get(0))?;
        // What was written about, and when the earliest was that may describe it otherwise.
        let mut touched: BTreeMap<About, Option<i64>> = BTreeMap::new();
        let mut reached = up_to;
        {
            let mut select =
                stroke.prepare_cached("SELECT seq, thing, about, at, kind FROM entry WHERE seq > ?1 ORDER BY seq")?;
            let mut rows = select.query([up_to])?;
            while let Some(row) = rows.next()? {
                if touched.len() >= AT_ONCE {
                    break;
                }
                reached = row.get(0)?;
                let thing: String = row.get(1)?;
                let Some(about) = About::from_parts(&thing, row.get(2)?) else { continue };
                let earliest = touched.entry(about).or_default();
                let (at, kind): (i64, String) = (row.get(3)?, row.get(4)?);
                if kind.ends_with("_described") || kind == "struck_out" {
                    *earliest = Some(earliest.map_or(at, |earliest| earliest.min(at)));
                }
            }
        }
        Lines::new(&stroke).bring_up_to_date(&touched)?;
        stroke.execute("UPDATE listed SET up_to = ?1", [reached])?;
        stroke.commit()?;
        Ok(true)
    }

    /// Auditions that go on, the one written in last first.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn open_auditions(&mut self) -> Result<Vec<Line>, Trouble> {
        self.catch_up_to_look()?;
        let mut select = self.conn.prepare_cached(
            "SELECT row, audition, open, last, pickup, guitar, rig, line, place, words, sum
             FROM audition_line WHERE open = 1 ORDER BY last DESC, audition LIMIT 20",
        )?;
        let rows = select.query_map([], read_line)?;
        let mut lines = Vec::new();
        for text in rows {
            lines.extend(serde_json::from_str::<Line>(&text?));
        }
        Ok(lines)
    }

    /// The things of one kind with their entries, in the order of their labels.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn things(&mut self, kind: &str, retired: bool) -> Result<Vec<(Uuid, Vec<Entry>)>, Trouble> {
        self.catch_up_to_look()?;
        let ids: Vec<Uuid> = {
            let mut select = self.conn.prepare_cached(
                "SELECT id, thing, label, retired, terminals, sum FROM thing_line WHERE thing = ?1 AND retired = ?2
                 ORDER BY label COLLATE NOCASE, id",
            )?;
            let rows = select.query_map(params![kind, retired], |row| {
                sums::check(row, 5, "a line of a list")?;
                row.get(0)
            })?;
            rows.collect::<Result<_, _>>()?
        };
        let mut things = Vec::with_capacity(ids.len());
        for id in ids {
            if let Some(about) = About::from_parts(kind, id) {
                things.push((id, self.about(about)?));
            }
        }
        Ok(things)
    }

    /// How many things of one kind are in use.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn count_of(&mut self, kind: &str) -> Result<usize, Trouble> {
        self.catch_up_to_look()?;
        let mut select =
            self.conn.prepare_cached("SELECT count(*) FROM thing_line WHERE thing = ?1 AND retired = 0")?;
        let count: i64 = select.query_row([kind], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or(0))
    }

    /// The names of places that auditions were at, in the order of their letters; at most `most`.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn places(&mut self, most: usize) -> Result<Vec<String>, Trouble> {
        self.catch_up_to_look()?;
        // From one name straight to the next in the index, however many auditions there are at each.
        let mut select = self.conn.prepare_cached(
            "WITH RECURSIVE one (place) AS (
                SELECT min(place) FROM audition_line WHERE place > ''
                UNION ALL
                SELECT (SELECT min(place) FROM audition_line WHERE place > one.place) FROM one WHERE place IS NOT NULL
             )
             SELECT place FROM one WHERE place IS NOT NULL LIMIT ?1",
        )?;
        let rows = select.query_map([i64::try_from(most).unwrap_or(i64::MAX)], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// How many auditions a pickup or a guitar was in.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn count_auditions_of(&mut self, about: About) -> Result<usize, Trouble> {
        let Some(column) = column_of(about) else { return Ok(0) };
        self.catch_up_to_look()?;
        let sql = format!("SELECT count(*) FROM audition_line WHERE {column} = ?1");
        let count: i64 = self.conn.prepare_cached(&sql)?.query_row([about.uuid()], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or(0))
    }

    /// Auditions in which nothing is chosen any more, newest first, at most fifty.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn auditions_of_nothing(&mut self) -> Result<Vec<AuditionId>, Trouble> {
        self.catch_up_to_look()?;
        let mut select = self
            .conn
            .prepare_cached("SELECT audition FROM audition_line WHERE pickup IS NULL ORDER BY row DESC LIMIT 50")?;
        let rows = select.query_map([], |row| row.get(0))?;
        Ok(rows.map(|id| id.map(AuditionId)).collect::<Result<_, _>>()?)
    }

    /// The auditions a pickup, guitar or rig was in, newest first.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn auditions_of(&mut self, about: About) -> Result<Vec<Uuid>, Trouble> {
        let Some(column) = column_of(about) else { return Ok(Vec::new()) };
        self.catch_up_to_look()?;
        let sql = format!("SELECT audition FROM audition_line WHERE {column} = ?1 ORDER BY row DESC");
        let mut select = self.conn.prepare_cached(&sql)?;
        let rows = select.query_map([about.uuid()], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }
}
