//! Erasing for good: what was written about things, and the photos and takes that nothing else names.
//!
//! Where several benches share the log, the fact is noted beside it, synced, before anything goes, so that every bench erases the
//! same and nothing of it comes back from there. A fact tells which thing, when and on which bench, and nothing of what it was.

use std::io::Write as _;
use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};

use crate::files as fs;
use crate::record::entry::About;
use crate::record::names::{BenchId, DEMO_BENCH};
use crate::{Log, Trouble, photos, private, takes};

const BESIDE: &str = "solderlast.erased";

/// That a thing was erased.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Erasure {
    /// The thing.
    pub about: About,
    /// When.
    pub at: DateTime<Utc>,
    /// Where.
    pub bench: BenchId,
}

/// The file with the facts of the log in this folder.
fn beside(folder: &Path) -> PathBuf {
    folder.join(BESIDE)
}

/// How long the list of facts is, in bytes; it only grows.
pub(crate) fn noted_bytes(folder: &Path) -> u64 {
    fs::metadata(beside(folder)).map_or(0, |file| file.len())
}

/// What was erased here since the log is shared.
pub(crate) fn noted(folder: &Path) -> Result<Vec<Erasure>, Trouble> {
    match fs::read_to_string(beside(folder)) {
        // What a stop left half is no fact: nothing was erased by then.
        Ok(text) => Ok(text.lines().filter_map(|line| serde_json::from_str(line).ok()).collect()),
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => Ok(Vec::new()),
        Err(error) => Err(error.into()),
    }
}

/// Notes these facts, synced; answers how long the list is then.
fn note(folder: &Path, erasures: &[Erasure]) -> Result<u64, Trouble> {
    let mut text = String::new();
    for erasure in erasures {
        // Each begins a line of its own, whatever a stop left before it.
        text.push('\n');
        text.push_str(&serde_json::to_string(erasure).map_err(|error| Trouble::Program(error.to_string()))?);
        text.push('\n');
    }
    let mut file = private::options().append(true).create(true).open(beside(folder))?;
    file.write_all(text.as_bytes())?;
    file.sync_all()?;
    Ok(file.metadata()?.len())
}

impl Log {
    /// Erases all entries about these things for good, from the log and from its copies, and the photos and takes that nothing
    /// else names. In a log that benches share, the fact is noted for all of them.
    ///
    /// # Errors
    /// [`Trouble`]; then it may be that not all of it is erased from the disk, and it has to be asked for again.
    pub fn erase_everywhere(&mut self, things: &[About], is_shared: bool, now: DateTime<Utc>) -> Result<(), Trouble> {
        if !is_shared {
            return self.erase_with_files(things, |log| log.erase(things, now));
        }
        let folder = self.folder().to_owned();
        let (before, bench) = (noted_bytes(&folder), self.bench());
        let mut erasures = Vec::new();
        for about in things {
            if !self.is_on_every_bench(*about)? {
                erasures.push(Erasure { about: *about, at: now, bench });
            }
        }
        let after = note(&folder, &erasures)?;
        let erased = self.erase_with_files(things, |log| log.erase(things, now));
        if erased.is_err() && self.has_any(things)? && noted_bytes(&folder) == after {
            // It is all there still, so it is no fact.
            private::options().open(beside(&folder))?.set_len(before)?;
        }
        erased
    }

    /// Whether there is an entry about any of these.
    fn has_any(&self, things: &[About]) -> Result<bool, Trouble> {
        for about in things {
            if self.count_about(*about)? > 0 {
                return Ok(true);
            }
        }
        Ok(false)
    }

    /// How many entries there are about this.
    pub(crate) fn count_about(&self, about: About) -> Result<u64, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT count(*) FROM entry WHERE about = ?1 AND thing = ?2")?;
        let count: i64 = select.query_row(rusqlite::params![about.uuid(), about.word()], |row| row.get(0))?;
        Ok(count.unsigned_abs())
    }

    /// Whether this is on every bench under the same name, as the meter is and what is invented: each erases it for itself.
    pub(crate) fn is_on_every_bench(&self, about: About) -> Result<bool, Trouble> {
        let invented = "SELECT 1 FROM entry WHERE about = ?1 AND thing = ?2 AND bench = ?3 LIMIT 1";
        let invented_by = rusqlite::params![about.uuid(), about.word(), DEMO_BENCH.0];
        Ok(matches!(about, About::Meter(_)) || self.conn.prepare_cached(invented)?.exists(invented_by)?)
    }

    /// Erases entries by `erase`, and the photos and takes of these things that nothing else names.
    ///
    /// # Errors
    /// As `erase` has it, or when a file can't be removed.
    pub fn erase_with_files(
        &mut self,
        things: &[About],
        erase: impl FnOnce(&mut Self) -> Result<(), Trouble>,
    ) -> Result<(), Trouble> {
        let (shelf, photos) = (photos::Shelf::beside(self.folder()), self.photos_of(things)?);
        for photo in &photos {
            shelf.set_aside(photo)?;
        }
        let (take_shelf, takes) = (takes::Shelf::beside(self.folder()), self.takes_of(things)?);
        for take in &takes {
            take_shelf.set_aside(take)?;
        }
        let erased = erase(self);
        for photo in &photos {
            if self.names_photo(photo)? { shelf.put_back(photo)? } else { shelf.clear(photo)? }
        }
        for take in &takes {
            if self.names_take(take)? { take_shelf.put_back(take)? } else { take_shelf.clear(take)? }
        }
        erased
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::audition::AuditionId;
    use uuid::Uuid;

    #[test]
    fn what_a_stop_left_half_is_no_fact_and_harms_none_after_it() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let name = |number: u128| Uuid::from_u128(0x0198_0000_0000_7000_8000_0000_0000_0000 + number);
        let fact = |number| Erasure {
            about: About::Audition(AuditionId(name(number))),
            at: DateTime::UNIX_EPOCH,
            bench: BenchId(name(9)),
        };
        assert_eq!((noted(folder.path()).expect("read"), noted_bytes(folder.path())), (Vec::new(), 0));
        note(folder.path(), &[fact(1), fact(2)]).expect("noted");
        let whole = std::fs::read_to_string(beside(folder.path())).expect("read");
        std::fs::write(beside(folder.path()), whole.trim_end().trim_end_matches('}')).expect("cut");
        assert_eq!(noted(folder.path()).expect("read"), [fact(1)]);
        note(folder.path(), &[fact(3)]).expect("noted");
        assert_eq!(noted(folder.path()).expect("read"), [fact(1), fact(3)]);
    }
}
