//! What any bench of a shared log erased for good is erased here too.
//!
//! Nobody here asked for it, and it can't be undone, so a false or mistaken word must not take much: more than a little within a day
//! waits until somebody at this bench says so.

use std::collections::HashSet;
use std::path::Path;

use chrono::{DateTime, TimeDelta, Utc};
use rusqlite::params;
use uuid::Uuid;

use super::{BESIDE, Shared};
use crate::erasing::{self, Erasure};
use crate::record::entry::About;
use crate::record::names::{BenchId, DEMO_BENCH};
use crate::{Log, Trouble, copies};

/// So many things that others erased go within a day without asking, if they are not more than half of what is here.
const UNASKED: u64 = 20;

/// What of the things that were erased elsewhere lay here.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct ErasedHere {
    /// What went: the thing's name, and how many entries about it.
    pub went: Vec<(Uuid, u64)>,
    /// What is here still, as it is more than goes unasked.
    pub waits: Vec<Uuid>,
}

/// Whether the log in this folder is one that benches share.
///
/// # Errors
/// [`Trouble`] when the disk can't be read.
pub fn is_shared(folder: &Path) -> Result<bool, Trouble> {
    if erasing::noted_bytes(folder) > 0 {
        return Ok(true);
    }
    if !crate::files::exists(folder.join(BESIDE))? {
        return Ok(false);
    }
    Ok(Shared::open(folder)?.met()?.is_some())
}

impl Shared {
    /// What was erased on this bench since the log is shared.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn erasures(&self) -> Result<Vec<Erasure>, Trouble> {
        erasing::noted(&self.folder)
    }

    /// How long the list of them is; it only grows.
    #[must_use]
    pub fn erasures_bytes(&self) -> u64 {
        erasing::noted_bytes(&self.folder)
    }

    /// Erases these things here, by the words for their kinds and their names, unless that was done and nothing came back of them.
    /// Without `all`, what others erased stays where it is much.
    ///
    /// # Errors
    /// [`Trouble`]; then it has to be asked for again.
    pub fn erase(&mut self, things: &[(String, Uuid)], all: bool, now: DateTime<Utc>) -> Result<ErasedHere, Trouble> {
        let done: HashSet<Uuid> = self
            .conn
            .prepare_cached("SELECT about FROM shared.erased WHERE done = 1")?
            .query_map([], |row| row.get(0))?
            .collect::<Result<_, _>>()?;
        let own: HashSet<Uuid> = self.erasures()?.iter().map(|erasure| erasure.about.uuid()).collect();
        let bench: Uuid = self.conn.query_row("SELECT id FROM main.this_bench LIMIT 1", [], |row| row.get(0))?;
        let mut log = Log::beside(&self.folder, BenchId(bench))?;
        let mut due = Vec::new();
        // Of a kind that this version does not know there is nothing it could erase.
        for about in things.iter().filter_map(|(thing, id)| About::from_parts(thing, *id)) {
            let entries = log.count_about(about)?;
            if (entries > 0 || !done.contains(&about.uuid())) && !log.is_on_every_bench(about)? {
                due.push((about, entries));
            }
        }
        let lies_here = |(about, entries): &(About, u64)| *entries > 0 && !own.contains(&about.uuid());
        let mut waits: Vec<Uuid> = due.iter().filter(|one| lies_here(one)).map(|(about, _)| about.uuid()).collect();
        if all || !self.is_much(waits.len() as u64, now)? {
            waits.clear();
        } else {
            due.retain(|one| !lies_here(one));
        }
        self.conn.execute("DELETE FROM shared.erased WHERE done = 0 AND at = 0", [])?;
        self.note_erased(waits.iter().map(|about| (*about, 0)), false)?;
        let went = due.iter().filter(|(_, entries)| *entries > 0).map(|(about, entries)| (about.uuid(), *entries));
        let erased = ErasedHere { went: went.collect(), waits };
        if due.is_empty() {
            return Ok(erased);
        }
        // Counted before anything goes, so that no stop makes room for more.
        self.note_erased(
            due.iter().map(|one| (one.0.uuid(), if lies_here(one) { now.timestamp_micros() } else { 0 })),
            false,
        )?;
        let things: Vec<About> = due.iter().map(|(about, _)| *about).collect();
        // Copies are made anew only where they hold any of it: the older ones are worth something.
        let is_anywhere = !erased.went.is_empty() || copies::have_any(&self.folder, &things);
        log.erase_with_files(&things, |log| if is_anywhere { log.erase(&things, now) } else { log.take_out(&things) })?;
        self.note_erased(things.into_iter().map(|about| (about.uuid(), 0)), true)?;
        Ok(erased)
    }

    fn note_erased(&mut self, things: impl Iterator<Item = (Uuid, i64)>, done: bool) -> Result<(), Trouble> {
        let stroke = self.conn.transaction()?;
        for (about, at) in things {
            stroke.execute(
                "INSERT INTO shared.erased VALUES (?1, ?2, ?3)
                 ON CONFLICT (about) DO UPDATE SET at = max(at, excluded.at), done = excluded.done",
                params![about, at, done],
            )?;
        }
        Ok(stroke.commit()?)
    }

    /// Whether so many things more are much, with what went unasked within the last day.
    fn is_much(&self, more: u64, now: DateTime<Utc>) -> Result<bool, Trouble> {
        let count = |sql: &str, of: &dyn rusqlite::ToSql| -> Result<u64, Trouble> {
            let count: i64 = self.conn.query_row(sql, [of], |row| row.get(0))?;
            Ok(count.unsigned_abs())
        };
        let yesterday = (now - TimeDelta::days(1)).timestamp_micros();
        let gone = count("SELECT count(*) FROM shared.erased WHERE at > ?1", &yesterday)?;
        let here = count("SELECT count(DISTINCT about) FROM main.entry WHERE bench <> ?1", &DEMO_BENCH.0)?;
        Ok(more > 0 && (more + gone > UNASKED || 2 * (more + gone) > here + gone))
    }
}
