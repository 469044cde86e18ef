//! What is listed of a log. The lists hold nothing of their own and can be made anew from the entries at any time.

use std::io::Write;

use rusqlite::params;
use solderlast_log::{Ordered, sums};
use uuid::Uuid;

use super::checks::check;
use super::install_line::InstallLine;
use super::line::{Line, column_of, read_line};
use super::search::{Find, LogbookPage};
use super::tables::Table;
use super::up_to_date::{catch_up, catch_up_to_look};
use super::{Log, Trouble, installs, search, tables};
use crate::record::audition::AuditionId;
use crate::record::entry::About;
use crate::record::names::BenchId;

/// What is listed of a log, looked for in it, and told by it.
pub trait Lists {
    /// Checks the whole file as it lies on the disk, as a person may ask for. Lists that are not right are made anew.
    ///
    /// # Errors
    /// [`Trouble::Damaged`] with the first finding.
    fn check(&self) -> Result<(), Trouble>;

    /// Brings the lists up to date with the entries.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn catch_up(&mut self) -> Result<(), Trouble>;

    /// Makes the lists anew from the entries.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn list_anew(&mut self) -> Result<(), Trouble>;

    /// Auditions that go on, the one written in last first.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn open_auditions(&mut self) -> Result<Vec<Line>, Trouble>;

    /// The things of one kind with their entries, in the order of their labels.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn things(&mut self, kind: &str, retired: bool) -> Result<Vec<(Uuid, Ordered)>, Trouble>;

    /// The guitars and pickups of which blind tests were planned.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn with_blind_tests(&mut self) -> Result<Vec<About>, Trouble>;

    /// How many things of one kind are in use.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn count_of(&mut self, kind: &str) -> Result<usize, Trouble>;

    /// The names of places that auditions were at, in the order of their letters; at most `most`.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn places(&mut self, most: usize) -> Result<Vec<String>, Trouble>;

    /// The benches that wrote in any audition, but the invented one.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn benches(&mut self) -> Result<Vec<BenchId>, Trouble>;

    /// The same, but who wrote first since the lists were brought up to date; quick also behind a write.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn benches_listed(&self) -> Result<Vec<BenchId>, Trouble>;

    /// How many auditions a pickup or a guitar was in.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn count_auditions_of(&mut self, about: About) -> Result<usize, Trouble>;

    /// Auditions in which nothing is chosen any more, newest first, at most fifty.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn auditions_of_nothing(&mut self) -> Result<Vec<AuditionId>, Trouble>;

    /// The auditions a pickup, guitar or rig was in, newest first.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn auditions_of(&mut self, about: About) -> Result<Vec<Uuid>, Trouble>;

    /// A page of the logbook.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn find(&mut self, find: &Find) -> Result<LogbookPage, Trouble>;

    /// At most so many lines of the logbook.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn find_some(&mut self, find: &Find, most: usize) -> Result<LogbookPage, Trouble>;

    /// Permanent installs that go on, the one written in last first.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn open_installs(&mut self) -> Result<Vec<InstallLine>, Trouble>;

    /// Permanent installs whose beginning was struck out, the one written in last first.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn struck_out_installs(&mut self) -> Result<Vec<InstallLine>, Trouble>;

    /// Permanent installs that a pickup went into or came out by, of a guitar, or that rest on an audition; the newest
    /// first, at most fifty; those that were struck out among them.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    fn installs_of(&mut self, about: About) -> Result<Vec<InstallLine>, Trouble>;

    /// Writes a table of the auditions that `find` finds, newest first, whatever page it asks for. Memory stays the same
    /// however many there are. Answers how many rows there are below the heads.
    ///
    /// # Errors
    /// [`Trouble`] when the log can't be read, or `out` not be written.
    fn write_table(&mut self, table: Table, find: &Find, out: impl Write) -> Result<u64, Trouble>;
}

impl Lists for Log {
    fn check(&self) -> Result<(), Trouble> {
        check(self.folder())
    }

    fn catch_up(&mut self) -> Result<(), Trouble> {
        catch_up(self)
    }

    fn list_anew(&mut self) -> Result<(), Trouble> {
        self.clear_tables()?;
        catch_up(self)
    }

    fn open_auditions(&mut self) -> Result<Vec<Line>, Trouble> {
        catch_up_to_look(self)?;
        let mut select = self.tables().prepare_cached(
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

    fn things(&mut self, kind: &str, retired: bool) -> Result<Vec<(Uuid, Ordered)>, Trouble> {
        catch_up_to_look(self)?;
        let ids: Vec<Uuid> = {
            let mut select = self.tables().prepare_cached(
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

    fn count_of(&mut self, kind: &str) -> Result<usize, Trouble> {
        catch_up_to_look(self)?;
        let mut select =
            self.tables().prepare_cached("SELECT count(*) FROM thing_line WHERE thing = ?1 AND retired = 0")?;
        let count: i64 = select.query_row([kind], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or(0))
    }

    fn places(&mut self, most: usize) -> Result<Vec<String>, Trouble> {
        catch_up_to_look(self)?;
        // From one name straight to the next in the index, however many auditions there are at each.
        let mut select = self.tables().prepare_cached(
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

    fn with_blind_tests(&mut self) -> Result<Vec<About>, Trouble> {
        catch_up_to_look(self)?;
        let mut select = self.tables().prepare_cached(
            "SELECT DISTINCT entry.thing, entry.about FROM thing_line JOIN entry ON entry.about = thing_line.id
             WHERE entry.kind = 'blind_planned'",
        )?;
        let rows = select.query_map([], |row| Ok((row.get::<_, String>(0)?, row.get::<_, Uuid>(1)?)))?;
        let rows: Vec<(String, Uuid)> = rows.collect::<Result<_, _>>()?;
        Ok(rows.into_iter().filter_map(|(thing, id)| About::from_parts(&thing, id)).collect())
    }

    fn count_auditions_of(&mut self, about: About) -> Result<usize, Trouble> {
        let Some(column) = column_of(about) else { return Ok(0) };
        catch_up_to_look(self)?;
        let sql = format!("SELECT count(*) FROM audition_line WHERE {column} = ?1");
        let count: i64 = self.tables().prepare_cached(&sql)?.query_row([about.uuid()], |row| row.get(0))?;
        Ok(usize::try_from(count).unwrap_or(0))
    }

    fn auditions_of_nothing(&mut self) -> Result<Vec<AuditionId>, Trouble> {
        catch_up_to_look(self)?;
        let mut select = self
            .tables()
            .prepare_cached("SELECT audition FROM audition_line WHERE pickup IS NULL ORDER BY row DESC LIMIT 50")?;
        let rows = select.query_map([], |row| row.get(0))?;
        Ok(rows.map(|id| id.map(AuditionId)).collect::<Result<_, _>>()?)
    }

    fn auditions_of(&mut self, about: About) -> Result<Vec<Uuid>, Trouble> {
        let Some(column) = column_of(about) else { return Ok(Vec::new()) };
        catch_up_to_look(self)?;
        let sql = format!("SELECT audition FROM audition_line WHERE {column} = ?1 ORDER BY row DESC");
        let mut select = self.tables().prepare_cached(&sql)?;
        let rows = select.query_map([about.uuid()], |row| row.get(0))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    fn find(&mut self, find: &Find) -> Result<LogbookPage, Trouble> {
        search::find(self, find)
    }

    fn find_some(&mut self, find: &Find, most: usize) -> Result<LogbookPage, Trouble> {
        search::find_some(self, find, most)
    }

    fn benches(&mut self) -> Result<Vec<BenchId>, Trouble> {
        search::benches(self)
    }

    fn benches_listed(&self) -> Result<Vec<BenchId>, Trouble> {
        search::benches_listed(self)
    }

    fn open_installs(&mut self) -> Result<Vec<InstallLine>, Trouble> {
        installs::open_installs(self)
    }

    fn struck_out_installs(&mut self) -> Result<Vec<InstallLine>, Trouble> {
        installs::struck_out_installs(self)
    }

    fn installs_of(&mut self, about: About) -> Result<Vec<InstallLine>, Trouble> {
        installs::installs_of(self, about)
    }

    fn write_table(&mut self, table: Table, find: &Find, out: impl Write) -> Result<u64, Trouble> {
        if table == Table::Measured {
            // Of all pickups, or of the one that is looked for.
            let mut pickups = self.things("pickup", false)?;
            pickups.extend(self.things("pickup", true)?);
            pickups.retain(|(id, _)| find.pickup.is_none_or(|only| only.0 == *id));
            return tables::write_measured(pickups.into_iter().map(|(_, entries)| entries).collect(), out);
        }
        tables::write_table(self, table, find, out)
    }
}
