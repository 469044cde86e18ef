//! The entries about what was looked at last, so that the next look does not read them again, and what was found in them.

use std::any::{Any, TypeId};
use std::collections::{BTreeSet, HashMap};

use chrono::DateTime;
use rusqlite::Connection;

use super::ordered::Ordered;
use super::trouble::Trouble;
use crate::record::entry::{About, Entry};

/// The most entries that are remembered: some hundred auditions.
const MOST: usize = 5000;
/// The most findings that are remembered.
const MOST_FOUND: usize = 500;

/// A state of the log: what other programs did to it, and how many rows this one changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Stamp {
    others: i64,
    own: u64,
}

impl Stamp {
    /// Whether no other connection wrote between this state and a later one.
    pub fn is_still(self, later: Self) -> bool {
        self.others == later.others
    }

    /// The state now.
    pub fn of(conn: &Connection) -> Result<Self, Trouble> {
        let others = conn.prepare_cached("PRAGMA data_version")?.query_row([], |row| row.get(0))?;
        Ok(Self { others, own: conn.total_changes() })
    }
}

/// What was read at one state of the log. At any other it counts for nothing.
#[derive(Debug, Default)]
pub(super) struct Remembered {
    at: Option<Stamp>,
    of: HashMap<About, Ordered>,
    entries: usize,
    found: HashMap<(About, TypeId), Finding>,
    /// What the looks that go on have read of, the outermost look first.
    reading: Vec<BTreeSet<About>>,
}

/// What a look found, and the things it read of.
#[derive(Debug)]
struct Finding {
    read: BTreeSet<About>,
    what: Box<dyn Any + Send>,
}

impl Remembered {
    /// The entries about this, if they were read at this state.
    pub fn get(&mut self, now: Stamp, about: About) -> Option<Ordered> {
        if let Some(read) = self.reading.last_mut() {
            read.insert(about);
        }
        if self.at == Some(now) { self.of.get(&about).cloned() } else { None }
    }

    /// Keeps what was read at this state.
    pub fn keep(&mut self, at: Stamp, about: About, entries: &Ordered) {
        if self.at != Some(at) {
            self.found.clear();
        }
        if self.at != Some(at) || self.entries + entries.len() > MOST {
            self.of.clear();
            self.entries = 0;
        }
        self.at = Some(at);
        if entries.len() <= MOST && self.of.insert(about, entries.clone()).is_none() {
            self.entries += entries.len();
        }
    }

    /// What was found at this state.
    pub fn found<T: Clone + 'static>(&mut self, now: Stamp, about: About) -> Option<T> {
        let finding = self.found.get(&(about, TypeId::of::<T>())).filter(|_| self.at == Some(now))?;
        if let Some(read) = self.reading.last_mut() {
            read.extend(&finding.read);
        }
        finding.what.downcast_ref().cloned()
    }

    /// A look begins: what is read from now on is read for it.
    pub fn begin(&mut self) {
        self.reading.push(BTreeSet::new());
    }

    /// Ends the innermost look that goes on; what it found at this state is kept.
    pub fn end<T: Clone + Send + 'static>(&mut self, at: Stamp, about: About, found: Option<&T>) {
        let read = self.reading.pop().unwrap_or_default();
        if let Some(outer) = self.reading.last_mut() {
            outer.extend(&read);
        }
        let Some(found) = found.filter(|_| self.at == Some(at)) else { return };
        if self.found.len() >= MOST_FOUND {
            self.found.clear();
        }
        self.found.insert((about, TypeId::of::<T>()), Finding { read, what: Box::new(found.clone()) });
    }

    /// From one state to the next nothing happened but that these entries were written, each of them new.
    pub fn written(&mut self, from: Stamp, to: Stamp, entries: &[Entry]) {
        if self.at != Some(from) {
            return;
        }
        self.at = Some(to);
        self.found.retain(|_, finding| entries.iter().all(|entry| !finding.read.contains(&entry.about)));
        for entry in entries {
            if let Some(about) = self.of.get_mut(&entry.about) {
                // As the log keeps it: to the microsecond.
                let at = DateTime::from_timestamp_micros(entry.at.timestamp_micros()).unwrap_or(entry.at);
                about.add(Entry { at, ..entry.clone() });
                self.entries += 1;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Log;
    use crate::record::audition::AuditionId;
    use crate::record::entry::Written;
    use crate::record::names::{BenchId, EntryId};
    use solderlast_core::demo;
    use uuid::Uuid;

    #[test]
    fn what_is_remembered_is_what_a_fresh_look_reads() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let bench = BenchId(Uuid::from_u128(7));
        let mut log = Log::open(folder.path(), DateTime::UNIX_EPOCH, bench).expect("a new log");
        let entries = demo::entries();
        let things: std::collections::BTreeSet<About> = entries.iter().map(|entry| entry.about).collect();
        let same = |log: &Log, when: &str| {
            let fresh = Log::beside(folder.path(), bench).expect("another connection");
            for about in &things {
                // Once read, once remembered.
                for _ in 0..2 {
                    let pair = [log.about(*about).expect("read"), fresh.about(*about).expect("read")];
                    assert_eq!(pair[0], pair[1], "{about:?}, {when}");
                }
            }
        };
        same(&log, "nothing written");
        let (first, rest) = entries.split_at(entries.len() / 2);
        log.write(first).expect("written");
        same(&log, "half of it written");
        log.write(&entries[..entries.len() / 2 + 3]).expect("written");
        same(&log, "three new ones among some that were there");
        let mut other = Log::beside(folder.path(), bench).expect("another connection");
        other.write(&rest[3..10]).expect("written");
        same(&log, "written by another program");
        for entry in &rest[10..] {
            log.write(std::slice::from_ref(entry)).expect("written");
            same(&log, "one after the other");
        }
        log.keep_draft("draft", "half a word", DateTime::UNIX_EPOCH).expect("kept");
        same(&log, "a draft kept");
        let about = entries.last().map(|entry| entry.about).expect("there is one");
        let at = DateTime::from_timestamp_nanos(1_790_000_000_123_456_789);
        let newer = Written::Newer { kind: "hummed".to_owned(), text: r#"{"kind":"hummed","tune":[1.5]}"#.to_owned() };
        let late = Entry { id: EntryId(Uuid::from_u128(99)), at, bench, about, body: newer };
        log.write(&[late]).expect("written");
        same(&log, "an entry of a newer version, between two microseconds");
        log.erase(&[about], DateTime::UNIX_EPOCH).expect("erased");
        assert!(log.about(about).expect("read").is_empty());
        same(&log, "erased");
    }

    #[test]
    fn no_more_is_remembered_than_so_many_entries() {
        let one = demo::entries().remove(0);
        let many = |count: usize| {
            Ordered::of((0..count as u128).map(|number| Entry { id: EntryId(Uuid::from_u128(number)), ..one.clone() }))
        };
        let mut remembered = Remembered::default();
        let at = Stamp { others: 1, own: 0 };
        let about = |number: u128| About::Audition(AuditionId(Uuid::from_u128(number)));
        remembered.keep(at, about(1), &many(MOST / 2 + 1));
        assert!(remembered.get(at, about(1)).is_some());
        remembered.keep(at, about(2), &many(MOST / 2 + 1));
        assert!(remembered.get(at, about(1)).is_none() && remembered.get(at, about(2)).is_some());
        remembered.keep(at, about(3), &many(MOST + 1));
        assert!(remembered.get(at, about(3)).is_none());
        assert!(remembered.get(Stamp { others: 2, own: 0 }, about(2)).is_none());
    }
}
