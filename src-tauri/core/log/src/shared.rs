//! What of this log a shared one has: a small file beside the log, so that only what is new goes out and comes in.
//!
//! It is a help and no part of the log: without it, or when it is damaged, everything is compared anew, which comes to the same.
//! An entry stands in it only when it was read in the shared log: one that was sent and not read again may have gone with a server
//! that was put back from a backup.

use std::collections::HashMap;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OptionalExtension, params};
use sha2::{Digest as _, Sha256};
use uuid::Uuid;

use crate::bundle::limits::LONGEST_LINE;
use crate::bundle::{Carried, read_row};
use crate::file::connect;
use crate::place::LogFiles;
use crate::record::entry::About;
use crate::record::names::DEMO_BENCH;
use crate::record::rules::check;
use crate::row::FILE;
use crate::{Trouble, private, sums};

mod erased;
mod files;

pub use crate::shelf::Half;
pub use erased::{ErasedHere, is_shared};
pub use files::{CameIn, FileName, PART, Parts};

const BESIDE: &str = "solderlast.shared";
/// The version of the tables in it; with any other it is made anew.
const VERSION: i64 = 3;

/// SHA-256.
pub type Sha = [u8; 32];

/// The SHA-256 of an entry's line, without its end, or of a part of a file.
#[must_use]
pub fn sha_of(bytes: impl AsRef<[u8]>) -> Sha {
    Sha256::digest(bytes).into()
}

/// An entry on its way out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Outgoing {
    /// Its name.
    pub id: Uuid,
    /// The name of what it is about.
    pub about: Uuid,
    /// The entry as a line of a bundle, without its end.
    pub line: String,
    /// The line's SHA-256.
    pub sum: Sha,
}

/// Entries on their way out, and where to go on.
#[derive(Debug, Default)]
pub struct Unsent {
    /// The entries, in the order in which they were written.
    pub entries: Vec<Outgoing>,
    /// The number of the last row that was looked at.
    pub up_to: i64,
    /// Whether there is more behind it.
    pub more: bool,
    /// How many can't be carried: no bench would take them in.
    pub kept_back: u64,
}

/// Which shared log was met, and how far it was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Met {
    /// The name of the shared log.
    pub log: Uuid,
    /// The number of the last entry that was read there; 0 before the first.
    pub up_to: i64,
}

/// How many entries there are, and what their names come to: two logs of which both are the same have the same entries, but for
/// what nobody meets by accident.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Names {
    /// How many.
    pub count: u64,
    /// The first eight bytes of the SHA-256 of each name as a number, all of them by exclusive or. Names themselves are too much alike.
    pub mixed: u64,
}

impl Names {
    /// With one more.
    #[must_use]
    pub fn with(self, id: Uuid) -> Self {
        let [a, b, c, d, e, f, g, h, ..]: Sha = Sha256::digest(id.as_bytes()).into();
        Self { count: self.count + 1, mixed: self.mixed ^ u64::from_be_bytes([a, b, c, d, e, f, g, h]) }
    }
}

/// The log, with what is known of the shared one.
#[derive(Debug)]
pub struct Shared {
    conn: Connection,
    folder: PathBuf,
    place: LogFiles,
}

impl Shared {
    /// Opens what is known beside the log in this folder, which was opened before.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn open(folder: &Path) -> Result<Self, Trouble> {
        match Self::attach(folder) {
            Err(Trouble::Damaged(_)) => {
                for ending in ["", "-wal", "-shm", "-journal"] {
                    match crate::files::remove_file(folder.join(format!("{BESIDE}{ending}"))) {
                        Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(error.into()),
                        _ => {}
                    }
                }
                Self::attach(folder)
            }
            other => other,
        }
    }

    fn attach(folder: &Path) -> Result<Self, Trouble> {
        let conn = connect(&folder.join(FILE))?;
        let place = LogFiles::of(folder);
        let beside = folder.join(BESIDE);
        private::begin(&beside)?;
        let Some(path) = beside.to_str() else {
            return Err(Trouble::Disk("the folder of the log has a name that is not text".to_owned()));
        };
        conn.execute("ATTACH ?1 AS shared", [path])?;
        conn.execute_batch("PRAGMA shared.journal_mode = WAL; PRAGMA shared.synchronous = NORMAL;")?;
        let version: i64 = conn.query_row("PRAGMA shared.user_version", [], |row| row.get(0))?;
        if version == 0 {
            conn.execute_batch(&format!(
                "BEGIN;
                 CREATE TABLE IF NOT EXISTS shared.known (id BLOB PRIMARY KEY) STRICT, WITHOUT ROWID;
                 CREATE TABLE IF NOT EXISTS shared.met (log BLOB NOT NULL, up_to INTEGER NOT NULL) STRICT;
                 CREATE TABLE IF NOT EXISTS shared.parts (name BLOB PRIMARY KEY, sum BLOB NOT NULL) STRICT, WITHOUT ROWID;
                 CREATE TABLE IF NOT EXISTS shared.erased (about BLOB PRIMARY KEY, at INTEGER NOT NULL, done INTEGER NOT NULL) STRICT, WITHOUT ROWID;
                 PRAGMA shared.user_version = {VERSION};
                 COMMIT;"
            ))?;
        } else if version != VERSION {
            return Err(Trouble::Damaged("what is known of the shared log is of another version".to_owned()));
        }
        Ok(Self { conn, folder: folder.to_owned(), place })
    }

    /// The folder of the log.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    /// Whether the log is still the file that was opened.
    pub fn is_still(&mut self) -> bool {
        self.place.is_still(&self.folder)
    }

    /// The number of the newest entry that is here; it only grows.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn newest(&self) -> Result<i64, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT coalesce(max(seq), 0) FROM main.entry")?;
        Ok(select.query_row([], |row| row.get(0))?)
    }

    /// Whether there is anything here but the invented bench.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn is_anything_here(&self) -> Result<bool, Trouble> {
        Ok(self.conn.prepare_cached("SELECT 1 FROM main.entry WHERE bench <> ?1 LIMIT 1")?.exists([DEMO_BENCH.0])?)
    }

    /// Which shared log was met.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn met(&self) -> Result<Option<Met>, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT log, up_to FROM shared.met LIMIT 1")?;
        let met = select.query_row([], |row| Ok(Met { log: row.get(0)?, up_to: row.get(1)? }));
        Ok(met.optional()?)
    }

    /// Notes which shared log was met, and that these entries are in it.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be written.
    pub fn set_met(&mut self, met: Met, known: &[Uuid]) -> Result<(), Trouble> {
        let stroke = self.conn.transaction()?;
        stroke.execute("DELETE FROM shared.met", [])?;
        stroke.execute("INSERT INTO shared.met VALUES (?1, ?2)", params![met.log, met.up_to])?;
        insert(&stroke, known)?;
        Ok(stroke.commit()?)
    }

    /// What was read of the shared log up to where it was read.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn known(&self) -> Result<Names, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT id FROM shared.known")?;
        let (mut rows, mut names) = (select.query([])?, Names::default());
        while let Some(row) = rows.next()? {
            names = names.with(row.get(0)?);
        }
        Ok(names)
    }

    /// Forgets which shared log was met, and what is in it: all is compared anew.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be written.
    pub fn forget(&mut self) -> Result<(), Trouble> {
        Ok(self.conn.execute_batch("BEGIN; DELETE FROM shared.met; DELETE FROM shared.known; COMMIT;")?)
    }

    /// How many entries the shared log is not known to have.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn waiting(&self) -> Result<u64, Trouble> {
        let mut select = self.conn.prepare_cached(
            "SELECT count(*) FROM main.entry e
             WHERE bench <> ?1 AND NOT EXISTS (SELECT 1 FROM shared.known k WHERE k.id = e.id)",
        )?;
        let count: i64 = select.query_row([DEMO_BENCH.0], |row| row.get(0))?;
        Ok(u64::try_from(count).unwrap_or(0))
    }

    /// Entries behind this row that the shared log is not known to have: at most so many, and not many more bytes than these. What
    /// the invented bench wrote stays here.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read, or an entry is not as it was written.
    pub fn unsent(&self, after: i64, most: usize, most_bytes: usize) -> Result<Unsent, Trouble> {
        // Asked first: what is written meanwhile has a higher number.
        let newest = self.newest()?;
        let mut select = self.conn.prepare_cached(
            "SELECT id, at, bench, thing, about, kind, body, sum, seq FROM main.entry e
             WHERE seq > ?1 AND bench <> ?2 AND NOT EXISTS (SELECT 1 FROM shared.known k WHERE k.id = e.id)
             ORDER BY seq",
        )?;
        let mut rows = select.query(params![after, DEMO_BENCH.0])?;
        let (mut unsent, mut bytes) = (Unsent { up_to: after, ..Unsent::default() }, 0);
        while let Some(row) = rows.next()? {
            if unsent.entries.len() >= most || bytes >= most_bytes {
                unsent.more = true;
                return Ok(unsent);
            }
            sums::check(row, 7, "an entry")?;
            unsent.up_to = row.get(8)?;
            let entry = read_row(row)?;
            let line = line_of(&entry);
            if !would_be_taken_in(&line) {
                unsent.kept_back += 1;
                continue;
            }
            bytes += line.len();
            unsent.entries.push(Outgoing { id: entry.id, about: entry.about, sum: sha_of(&line), line });
        }
        unsent.up_to = unsent.up_to.max(newest);
        Ok(unsent)
    }

    /// The sums of the lines of those of these entries that are here.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read, or an entry is not as it was written.
    pub fn here(&self, ids: &[Uuid]) -> Result<HashMap<Uuid, Sha>, Trouble> {
        let mut select = self
            .conn
            .prepare_cached("SELECT id, at, bench, thing, about, kind, body, sum FROM main.entry WHERE id = ?1")?;
        let mut here = HashMap::new();
        for id in ids {
            let found = select.query_row([id], |row| {
                sums::check(row, 7, "an entry")?;
                read_row(row)
            });
            if let Some(entry) = found.optional()? {
                here.insert(*id, sha_of(line_of(&entry)));
            }
        }
        Ok(here)
    }
}

fn insert(stroke: &Connection, known: &[Uuid]) -> Result<(), Trouble> {
    let mut insert = stroke.prepare_cached("INSERT OR IGNORE INTO shared.known VALUES (?1)")?;
    for id in known {
        insert.execute([id])?;
    }
    Ok(())
}

fn line_of(entry: &Carried) -> String {
    let mut line = String::new();
    entry.write(&mut line);
    line.truncate(line.trim_end_matches('\n').len());
    line
}

/// Whether a bench takes this line in, as far as it can be told from the line alone. A damaged log may hold what none does.
fn would_be_taken_in(line: &str) -> bool {
    line.len() <= LONGEST_LINE
        && Carried::read(line.as_bytes(), 1).is_ok_and(|entry| {
            let about = About::from_parts(&entry.thing, entry.about);
            about.zip(entry.written().known()).is_none_or(|(about, body)| check(about, body).is_ok())
        })
}

#[cfg(test)]
mod tests {
    use chrono::DateTime;

    use super::*;
    use crate::Log;
    use crate::record::audition::AuditionId;
    use crate::record::entry::{Entry, Written};
    use crate::record::names::{BenchId, EntryId};

    fn name(number: u128) -> Uuid {
        Uuid::from_u128(0x0198_0000_0000_7000_8000_0000_0000_0000 + number)
    }

    fn entry(number: u128, bench: Uuid) -> Entry {
        let text = format!(r#"{{"kind":"hummed","tune":{number}}}"#);
        Entry {
            id: EntryId(name(number)),
            at: DateTime::UNIX_EPOCH,
            bench: BenchId(bench),
            about: About::Audition(AuditionId(name(7))),
            body: Written::Newer { kind: "hummed".to_owned(), text },
        }
    }

    /// The figure is that of `sha256sum`, as a database comes to it too.
    #[test]
    fn names_that_are_much_alike_are_told_apart() {
        let of = |numbers: &[u128]| numbers.iter().fold(Names::default(), |names, number| names.with(name(*number)));
        assert_eq!(of(&[1, 2]), of(&[2, 1]));
        assert_ne!(of(&[1, 2]), of(&[4, 7]), "by exclusive or of the names alone these are the same");
        assert_eq!(Names::default().with(Uuid::nil()).mixed, 0x374708fff7719dd5);
    }

    #[test]
    fn what_is_not_known_to_be_there_is_sent_in_parts_and_the_demo_never() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let mut log = Log::open(folder.path(), DateTime::UNIX_EPOCH, BenchId(name(1))).expect("a new log");
        let mut entries: Vec<Entry> = (10..20).map(|number| entry(number, name(1))).collect();
        entries.push(entry(30, DEMO_BENCH.0));
        // No bench has such a name, so no other would take it in.
        entries.push(entry(31, Uuid::from_u128(5)));
        log.write(&entries).expect("written");
        let mut shared = Shared::open(folder.path()).expect("opened");
        assert_eq!((shared.met().expect("asked"), shared.waiting().expect("asked")), (None, 11));
        let first = shared.unsent(0, 4, 1 << 20).expect("asked");
        assert_eq!((first.entries.len(), first.more, first.up_to), (4, true, 4));
        shared.set_met(Met { log: name(3), up_to: 3 }, &[name(10), name(12), name(19)]).expect("noted");
        let three = Names::default().with(name(19)).with(name(10)).with(name(12));
        assert_eq!(shared.known().expect("asked"), three);
        let rest = shared.unsent(0, 100, 1 << 20).expect("asked");
        let ids: Vec<Uuid> = rest.entries.iter().map(|entry| entry.id).collect();
        assert_eq!(ids, [11, 13, 14, 15, 16, 17, 18].map(name));
        assert_eq!((rest.more, rest.kept_back), (false, 1));
        assert_eq!(shared.unsent(0, 100, 1).expect("asked").entries.len(), 1, "by their weight");
        let here = shared.here(&[name(11), name(99)]).expect("asked");
        assert_eq!(here.into_iter().collect::<Vec<_>>(), [(name(11), rest.entries[0].sum)]);
        // Opened again it is known still; damaged it is begun anew.
        shared.set_met(Met { log: name(3), up_to: 9 }, &[name(11)]).expect("noted");
        drop(shared);
        let shared = Shared::open(folder.path()).expect("opened");
        assert_eq!(shared.met().expect("asked").map(|met| met.up_to), Some(9));
        assert_eq!(shared.waiting().expect("asked"), 7);
        drop(shared);
        std::fs::write(folder.path().join(BESIDE), "shopping list, much longer than nothing at all").expect("damaged");
        let shared = Shared::open(folder.path()).expect("begun anew");
        assert_eq!((shared.met().expect("asked"), shared.waiting().expect("asked")), (None, 11));
    }
}
