//! Opening the log: its tables, their changes from version to version, and what to do when the file is not sound.

use std::path::Path;
use std::time::Duration;

use chrono::{DateTime, Utc};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OptionalExtension, TransactionBehavior};

use super::copies;
use super::entry::BenchId;
use super::store::{FILE, Log};
use super::trouble::Trouble;
use crate::private;

/// Up to this size the whole file is checked and copied before the log opens; larger ones are checked and copied
/// beside the running bench, so that a long logbook opens at once.
const SMALL_ENOUGH_TO_WAIT: u64 = 24 * 1024 * 1024;

/// Schema changes, in order; the number of those applied is SQLite's `user_version`.
const MIGRATIONS: [&str; 6] = [
    "CREATE TABLE entry (
        seq INTEGER PRIMARY KEY AUTOINCREMENT,
        id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
        at INTEGER NOT NULL,
        bench BLOB NOT NULL CHECK (length(bench) = 16),
        thing TEXT NOT NULL,
        about BLOB NOT NULL CHECK (length(about) = 16),
        kind TEXT NOT NULL,
        body TEXT NOT NULL
     ) STRICT;
     CREATE INDEX entry_about ON entry (about);
     CREATE TABLE this_bench (id BLOB NOT NULL CHECK (length(id) = 16)) STRICT;
     CREATE TABLE draft (key TEXT PRIMARY KEY, text TEXT NOT NULL, at INTEGER NOT NULL) STRICT;
     CREATE TABLE notice (
        id INTEGER PRIMARY KEY, at INTEGER NOT NULL, notice TEXT NOT NULL
     ) STRICT;
     CREATE TABLE listed (up_to INTEGER NOT NULL) STRICT;
     INSERT INTO listed VALUES (0);
     CREATE TABLE audition_line (
        row INTEGER PRIMARY KEY,
        audition BLOB NOT NULL UNIQUE,
        open INTEGER NOT NULL,
        last INTEGER NOT NULL,
        pickup BLOB, guitar BLOB, rig BLOB,
        line TEXT NOT NULL
     ) STRICT;
     CREATE INDEX audition_open ON audition_line (last) WHERE open = 1;
     CREATE INDEX audition_pickup ON audition_line (pickup, row);
     CREATE INDEX audition_guitar ON audition_line (guitar, row);
     CREATE VIRTUAL TABLE audition_words USING fts5(
        words, content = '', contentless_delete = 1, detail = none, prefix = '1 2 3',
        tokenize = 'ascii'
     );
     CREATE TABLE thing_line (
        id BLOB PRIMARY KEY, thing TEXT NOT NULL, label TEXT NOT NULL, retired INTEGER NOT NULL, terminals INTEGER
     ) STRICT;",
    // Of the demo bench's entries alone, so that it costs no other entry anything.
    "CREATE INDEX entry_demo ON entry (thing, about) WHERE bench = x'0198000000007000800000000000de30';
       CREATE INDEX thing_kind ON thing_line (thing, retired);",
    WHO_LISTENS_AND_PHOTOS,
    "CREATE INDEX entry_pin ON entry (at) WHERE kind IN ('reference_pinned', 'reference_unpinned');",
    MORE_TO_LOOK_FOR,
    PERMANENT_INSTALLS,
];

/// Who listens (one person with one pair of ears and one clock); where the sound came up, so that a day's hearing is
/// summed without reading the whole log; which photos are named.
const WHO_LISTENS_AND_PHOTOS: &str =
    "CREATE TABLE listener (rule TEXT NOT NULL, minutes_ahead INTEGER NOT NULL) STRICT;
     INSERT INTO listener VALUES ('niosh', 0);
     CREATE INDEX entry_sound_up ON entry (at)
        WHERE instr(body, '\"raised_slowly\"') > 0 OR instr(body, '\"sound_up\"') > 0;
     CREATE INDEX entry_photo ON entry (about) WHERE kind = 'photo_taken';";

/// Lines tell where an audition was and what its readings came to, so all of them are made anew from the entries. The index of
/// their ends finds those that a thing described anew, at an earlier time, may be judged otherwise by.
const MORE_TO_LOOK_FOR: &str = "DELETE FROM audition_line; DELETE FROM thing_line;
     INSERT INTO audition_words (audition_words) VALUES ('delete-all');
     UPDATE listed SET up_to = 0;
     ALTER TABLE audition_line ADD COLUMN place TEXT NOT NULL DEFAULT '';
     CREATE INDEX audition_place ON audition_line (place);
     CREATE INDEX audition_last ON audition_line (last);";
/// Permanent installs, by what they are about.
const PERMANENT_INSTALLS: &str = "CREATE TABLE fit_line (
        fit BLOB PRIMARY KEY, open INTEGER NOT NULL, last INTEGER NOT NULL,
        audition BLOB NOT NULL, pickup BLOB NOT NULL, guitar BLOB NOT NULL, came_out BLOB, line TEXT NOT NULL
     ) STRICT;";

impl Log {
    /// Opens the log in `folder`, or makes one.
    ///
    /// A damaged file is set aside under a dated name and the newest good copy is opened in its place; a notice says
    /// so. A log that is missing while there are copies of it is brought back from them in the same way. `fresh` names
    /// this bench if the log is new.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used or a newer version wrote the log; then nothing was changed.
    pub fn open(folder: &Path, now: DateTime<Utc>, fresh: BenchId) -> Result<Self, Trouble> {
        Self::open_with(folder, now, fresh, &MIGRATIONS)
    }

    /// Opens with these tables, so that a test can have a version that does not exist yet.
    fn open_with(folder: &Path, now: DateTime<Utc>, fresh: BenchId, migrations: &[&str]) -> Result<Self, Trouble> {
        private::folder(folder)?;
        private::mend(folder);
        match std::fs::metadata(folder.join(FILE)) {
            // An empty file is how SQLite begins, so it would pass for a new log.
            Ok(file) if file.len() == 0 && copies::are_there(folder) => {
                Self::recover(folder, now, fresh, "the file is empty")
            }
            Ok(file) if (1..SHORTEST).contains(&file.len()) => {
                Self::recover(folder, now, fresh, "the file is cut short")
            }
            // A stop in the middle of a recovery leaves none.
            Err(error) if error.kind() == std::io::ErrorKind::NotFound && copies::are_there(folder) => {
                copies::bring_back(folder, now, None, "the file is missing")?;
                Self::open_file(folder, now, fresh, migrations)
            }
            _ => match Self::open_file(folder, now, fresh, migrations) {
                Err(Trouble::Damaged(what)) => Self::recover(folder, now, fresh, &what),
                other => other,
            },
        }
    }

    /// Sets the damaged file aside and opens the newest good copy. Nobody in this program may have the log open.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn recover(folder: &Path, now: DateTime<Utc>, fresh: BenchId, what: &str) -> Result<Self, Trouble> {
        let aside = copies::set_aside(folder, now)?;
        copies::bring_back(folder, now, Some(&aside), what)?;
        Self::open_file(folder, now, fresh, &MIGRATIONS)
    }

    /// Lets go of the file without touching it, so that it can be set aside as it is. The log can't be used any more.
    pub fn let_go(&mut self) {
        // If SQLite can't be told so it tidies up as it closes, which it does not do to a file that was moved.
        let _ = self.conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true);
        if let Ok(nothing) = Connection::open_in_memory() {
            self.conn = nothing;
        }
    }

    fn open_file(folder: &Path, now: DateTime<Utc>, fresh: BenchId, migrations: &[&str]) -> Result<Self, Trouble> {
        let path = folder.join(FILE);
        let size = std::fs::metadata(&path).map_or(0, |data| data.len());
        private::begin(&path)?;
        let mut conn = Connection::open(&path)?;
        conn.busy_timeout(PATIENCE)?;
        // Until it is known to be sound and ours, closing it must not change it.
        conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
        let version = version(&conn)?;
        if version > migrations.len() {
            return Err(Trouble::Newer);
        }
        prepare(&conn)?;
        if size <= SMALL_ENOUGH_TO_WAIT {
            check(&conn)?;
        }
        if version < migrations.len() {
            if version > 0 {
                copies::make(&conn, folder, now)?;
            }
            migrate(&mut conn, migrations)?;
        }
        let bench = bench_name(&conn, fresh)?;
        conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false)?;
        Ok(Self::of(conn, folder, bench))
    }

    /// Whether the log is so large that it is checked and copied beside the running bench.
    #[must_use]
    pub fn is_large(&self) -> bool {
        std::fs::metadata(self.folder().join(FILE)).is_ok_and(|data| data.len() > SMALL_ENOUGH_TO_WAIT)
    }
}

/// The shortest file that can be a log, in bytes: SQLite's smallest page.
const SHORTEST: u64 = 512;
/// How long another program may hold the log before an ask is refused.
const PATIENCE: Duration = Duration::from_secs(5);

pub(super) fn connect(path: &Path) -> Result<Connection, Trouble> {
    let conn = Connection::open(path)?;
    conn.busy_timeout(PATIENCE)?;
    prepare(&conn)?;
    Ok(conn)
}

fn prepare(conn: &Connection) -> Result<(), Trouble> {
    conn.set_prepared_statement_cache_capacity(64);
    write_ahead(conn)?;
    conn.execute_batch(
        "PRAGMA synchronous = FULL;
         PRAGMA secure_delete = ON;
         PRAGMA temp_store = MEMORY;
         PRAGMA cache_size = -16000;
         CREATE VIRTUAL TABLE temp.audition_terms USING fts5vocab('main', 'audition_words', 'instance');",
    )?;
    Ok(())
}

/// Sets write-ahead mode. For this change alone SQLite does not wait for another program that is about to make it too.
fn write_ahead(conn: &Connection) -> Result<(), Trouble> {
    const PAUSE: Duration = Duration::from_millis(5);
    let mut waited = Duration::ZERO;
    loop {
        match conn.query_row("PRAGMA journal_mode = WAL", [], |row| row.get::<_, String>(0)).map_err(Trouble::from) {
            Err(Trouble::Busy) if waited < PATIENCE => std::thread::sleep(PAUSE),
            other => return other.map(drop),
        }
        waited += PAUSE;
    }
}

pub(super) fn check(conn: &Connection) -> Result<(), Trouble> {
    let finding: String = conn.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if finding == "ok" { Ok(()) } else { Err(Trouble::Damaged(finding)) }
}

/// How many migrations the file has seen.
fn version(conn: &Connection) -> Result<usize, Trouble> {
    let version: i64 = conn.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    Ok(version.try_into().unwrap_or(usize::MAX))
}

fn migrate(conn: &mut Connection, migrations: &[&str]) -> Result<(), Trouble> {
    let stroke = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Read inside the transaction: another program may have migrated the log in the meantime.
    for migration in migrations.iter().skip(version(&stroke)?) {
        stroke.execute_batch(migration)?;
    }
    stroke.pragma_update(None, "user_version", i64::try_from(migrations.len()).unwrap_or(i64::MAX))?;
    stroke.commit()?;
    Ok(())
}

/// The tables of a new log, for a file that is not in its place yet.
pub(super) fn begin(conn: &mut Connection) -> Result<(), Trouble> {
    migrate(conn, &MIGRATIONS)
}

fn bench_name(conn: &Connection, fresh: BenchId) -> Result<BenchId, Trouble> {
    let named = "SELECT id FROM this_bench LIMIT 1";
    if let Some(name) = conn.query_row(named, [], |row| row.get(0)).optional()? {
        return Ok(BenchId(name));
    }
    conn.execute("INSERT INTO this_bench SELECT ?1 WHERE NOT EXISTS (SELECT 1 FROM this_bench)", [fresh.0])?;
    Ok(BenchId(conn.query_row(named, [], |row| row.get(0))?))
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::logbook::Entry;

    fn now() -> DateTime<Utc> {
        DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default()
    }

    fn bench() -> BenchId {
        BenchId(Uuid::from_u128(7))
    }

    fn entries() -> Vec<Entry> {
        crate::demo::entries()
    }

    /// The versions that the log and its copies were written by, copies oldest first.
    fn versions(folder: &Path) -> (usize, Vec<usize>) {
        let of = |file: &Path| version(&Connection::open(file).expect("opens")).expect("can be read");
        let copies = std::fs::read_dir(folder.join("copies")).map(|files| {
            let mut files: Vec<_> = files.filter_map(|file| file.ok().map(|file| file.path())).collect();
            files.sort();
            files.iter().map(|file| of(file)).collect()
        });
        (of(&folder.join(FILE)), copies.unwrap_or_default())
    }

    #[test]
    fn the_log_is_copied_before_its_tables_change() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let mut log = Log::open(folder.path(), now(), bench()).expect("a new log");
        log.write(&entries()).expect("written");
        drop(log);
        let first = MIGRATIONS.len();
        assert_eq!(versions(folder.path()), (first, vec![]));

        let later = [&MIGRATIONS[..], &["ALTER TABLE entry ADD COLUMN weather TEXT"]].concat();
        let log = Log::open_with(folder.path(), now(), bench(), &later).expect("brought up to date");
        assert_eq!(log.count().expect("counted"), entries().len() as u64);
        drop(log);
        assert_eq!(versions(folder.path()), (first + 1, vec![first]), "the copy is of the log before");

        // Opened again there is nothing to change, and nothing to copy first.
        drop(Log::open_with(folder.path(), now(), bench(), &later).expect("opens again"));
        assert_eq!(versions(folder.path()), (first + 1, vec![first]));
    }

    #[test]
    fn a_log_of_an_earlier_version_is_brought_up_to_date() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let mut log = Log::open_with(folder.path(), now(), bench(), &MIGRATIONS[..1]).expect("a log as it was");
        log.write(&entries()).expect("written");
        drop(log);
        let log = Log::open(folder.path(), now(), bench()).expect("opens");
        assert_eq!(log.listener().expect("read"), crate::logbook::Listener::default());
        let first = entries().first().map(|entry| entry.at).unwrap_or_default();
        let last = first + chrono::TimeDelta::days(60);
        assert_eq!(log.sound_up_between(first, last).expect("read").len(), 4, "all auditions of the demo bench");
        drop(log);
        assert_eq!(versions(folder.path()), (MIGRATIONS.len(), vec![1]), "copied before");
    }

    #[test]
    fn a_change_that_fails_leaves_the_log_as_it_was() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let mut log = Log::open(folder.path(), now(), bench()).expect("a new log");
        log.write(&entries()).expect("written");
        drop(log);
        let broken = "ALTER TABLE entry ADD COLUMN weather TEXT; ALTER TABLE no_such ADD COLUMN x TEXT";
        let broken = [&MIGRATIONS[..], &[broken]].concat();
        assert!(Log::open_with(folder.path(), now(), bench(), &broken).is_err());
        assert_eq!(versions(folder.path()), (MIGRATIONS.len(), vec![MIGRATIONS.len()]));
        let log = Log::open(folder.path(), now(), bench()).expect("opens as before");
        assert_eq!(log.count().expect("counted"), entries().len() as u64);
    }

    #[test]
    fn a_log_of_a_newer_version_is_refused_and_not_touched() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let later = [&MIGRATIONS[..], &["CREATE TABLE weather (sky TEXT) STRICT"]].concat();
        drop(Log::open_with(folder.path(), now(), bench(), &later).expect("a new log"));
        let before = std::fs::read(folder.path().join(FILE)).expect("read");
        let refused = Log::open(folder.path(), now(), bench());
        assert!(matches!(refused, Err(Trouble::Newer)), "{refused:?}");
        assert_eq!(std::fs::read(folder.path().join(FILE)).expect("read"), before);
        let write_ahead = std::fs::metadata(folder.path().join(format!("{FILE}-wal"))).map_or(0, |file| file.len());
        assert_eq!(write_ahead, 0, "SQLite's own companion holds nothing");
    }
}
