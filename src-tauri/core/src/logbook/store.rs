//! The log on disk: one SQLite file in WAL mode, synced at every acknowledged write.

use std::path::{Path, PathBuf};
use std::time::Duration;

use chrono::{DateTime, Utc};
use rusqlite::{Connection, ErrorCode, OptionalExtension, Row, params};
use uuid::Uuid;

use super::copies::{self, Notice};
use super::entry::{About, BenchId, Entry, EntryId, Written};

/// The name of the log in its folder.
pub(super) const FILE: &str = "solderlast.db";

/// Up to this size the whole file is checked and copied before the log opens; larger ones are checked and copied
/// beside the running bench, so that a long logbook opens at once.
const SMALL_ENOUGH_TO_WAIT: u64 = 24 * 1024 * 1024;

/// Schema changes, in order; the number of those applied is SQLite's `user_version`.
const MIGRATIONS: [&str; 1] = ["CREATE TABLE entry (
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
        id BLOB PRIMARY KEY, thing TEXT NOT NULL, label TEXT NOT NULL, retired INTEGER NOT NULL
     ) STRICT;"];

/// The entries about one thing.
pub(super) const ABOUT: &str =
    "SELECT id, at, bench, thing, about, kind, body FROM entry WHERE about = ?1 AND thing = ?2";

/// What went wrong with the log: the disk, the file, or this program.
#[derive(Debug)]
pub enum Trouble {
    /// No room is left on the disk; nothing was written.
    Full,
    /// Another program holds the log.
    Busy,
    /// The file can't be read or written.
    Disk(String),
    /// The file is not a sound log.
    Damaged(String),
    /// The log was written by a newer version.
    Newer,
    /// This program made a mistake.
    Program(String),
}

impl std::fmt::Display for Trouble {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Full => f.write_str(
                "The disk is full, so this was not written. Everything written before is safe. Make room and try again.",
            ),
            Self::Busy => f.write_str("The log is in use by another program. What you typed is kept; try again."),
            Self::Disk(what) => write!(f, "The log can't be reached on the disk ({what}). What you typed is kept; try again."),
            Self::Damaged(what) => write!(f, "The log is damaged ({what})."),
            Self::Newer => f.write_str("This log was written by a newer version of Solderlast. Use that version to open it; nothing was changed."),
            Self::Program(what) => write!(f, "The program made a mistake ({what}). Nothing was written; please report it."),
        }
    }
}

impl std::error::Error for Trouble {}

impl From<rusqlite::Error> for Trouble {
    fn from(error: rusqlite::Error) -> Self {
        match error.sqlite_error_code() {
            Some(ErrorCode::DiskFull) => Self::Full,
            Some(ErrorCode::DatabaseBusy | ErrorCode::DatabaseLocked) => Self::Busy,
            Some(ErrorCode::DatabaseCorrupt | ErrorCode::NotADatabase) => Self::Damaged(error.to_string()),
            Some(
                ErrorCode::SystemIoFailure | ErrorCode::CannotOpen | ErrorCode::ReadOnly | ErrorCode::PermissionDenied,
            ) => Self::Disk(error.to_string()),
            _ => Self::Program(error.to_string()),
        }
    }
}

impl From<std::io::Error> for Trouble {
    fn from(error: std::io::Error) -> Self {
        match error.kind() {
            std::io::ErrorKind::StorageFull | std::io::ErrorKind::QuotaExceeded => Self::Full,
            _ => Self::Disk(error.to_string()),
        }
    }
}

/// The log of one bench.
#[derive(Debug)]
pub struct Log {
    pub(super) conn: Connection,
    pub(super) folder: PathBuf,
    bench: BenchId,
    newest_copy: Option<DateTime<Utc>>,
}

impl Log {
    /// Opens the log in `folder`, or makes one.
    ///
    /// A damaged file is set aside under a dated name and the newest good copy is opened in its place; a notice says
    /// so. `fresh` names this bench if the log is new.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used or a newer version wrote the log.
    pub fn open(folder: &Path, now: DateTime<Utc>, fresh: BenchId) -> Result<Self, Trouble> {
        std::fs::create_dir_all(folder)?;
        match Self::open_file(folder, now, fresh) {
            Err(Trouble::Damaged(what)) => Self::recover(folder, now, fresh, &what),
            other => other,
        }
    }

    /// Sets the damaged file aside and opens the newest good copy.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn recover(folder: &Path, now: DateTime<Utc>, fresh: BenchId, what: &str) -> Result<Self, Trouble> {
        let aside = copies::set_aside(folder, now)?;
        let copy = copies::put_back_newest_good(folder)?;
        let mut log = Self::open_file(folder, now, fresh)?;
        let notice = copies::say_what_may_lack(&log, &aside, copy, what);
        log.add_notice(now, &notice)?;
        Ok(log)
    }

    fn open_file(folder: &Path, now: DateTime<Utc>, fresh: BenchId) -> Result<Self, Trouble> {
        let path = folder.join(FILE);
        let size = std::fs::metadata(&path).map_or(0, |data| data.len());
        let mut conn = connect(&path)?;
        let version: usize =
            conn.query_row("PRAGMA user_version", [], |row| row.get::<_, i64>(0))?.try_into().unwrap_or(usize::MAX);
        if version > MIGRATIONS.len() {
            return Err(Trouble::Newer);
        }
        if size <= SMALL_ENOUGH_TO_WAIT {
            check(&conn)?;
        }
        if version > 0 && version < MIGRATIONS.len() {
            copies::make(&conn, folder, now)?;
        }
        migrate(&mut conn)?;
        let bench = bench_name(&conn, fresh)?;
        let mut log = Self { conn, folder: folder.to_owned(), bench, newest_copy: copies::newest(folder) };
        if size <= SMALL_ENOUGH_TO_WAIT {
            log.copy_if_due(now)?;
        }
        Ok(log)
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

    /// Whether the log is so large that it is checked and copied beside the running bench.
    #[must_use]
    pub fn is_large(&self) -> bool {
        std::fs::metadata(self.folder.join(FILE)).is_ok_and(|data| data.len() > SMALL_ENOUGH_TO_WAIT)
    }

    /// Whether a day has passed since the last copy of the log.
    #[must_use]
    pub fn copy_is_due(&self, now: DateTime<Utc>) -> bool {
        self.newest_copy
            .is_none_or(|at| now - at >= chrono::TimeDelta::days(1) || at > now + chrono::TimeDelta::days(1))
    }

    /// Copies the log when a day has passed since the last copy and there is something in it.
    ///
    /// # Errors
    /// [`Trouble`] when there is no room for it.
    pub fn copy_if_due(&mut self, now: DateTime<Utc>) -> Result<(), Trouble> {
        if self.copy_is_due(now) && self.count()? > 0 {
            copies::make(&self.conn, &self.folder, now)?;
            self.newest_copy = Some(now);
        }
        Ok(())
    }

    /// Notes that somebody else made the copy that was due.
    pub fn copy_was_made(&mut self, now: DateTime<Utc>) {
        self.newest_copy = Some(now);
    }

    /// Checks the whole file, as a person may ask for.
    ///
    /// # Errors
    /// [`Trouble::Damaged`] with SQLite's first finding.
    pub fn check(&self) -> Result<(), Trouble> {
        check(&self.conn)
    }

    /// Writes entries in one stroke: all of them are on disk when this returns, or none. An entry that is there already
    /// is left as it is.
    ///
    /// # Errors
    /// [`Trouble`]; then nothing was written.
    pub fn write(&mut self, entries: &[Entry]) -> Result<(), Trouble> {
        let stroke = self.conn.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        {
            let mut insert = stroke.prepare_cached(
                "INSERT INTO entry (id, at, bench, thing, about, kind, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)
                 ON CONFLICT (id) DO NOTHING",
            )?;
            for entry in entries {
                let (kind, body) = written(&entry.body)?;
                insert.execute(params![
                    entry.id.0,
                    entry.at.timestamp_micros(),
                    entry.bench.0,
                    entry.about.letter(),
                    entry.about.uuid(),
                    kind,
                    body
                ])?;
            }
        }
        stroke.commit()?;
        Ok(())
    }

    /// The entries about one thing, in no order.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn about(&self, about: About) -> Result<Vec<Entry>, Trouble> {
        let mut select = self.conn.prepare_cached(ABOUT)?;
        let rows = select.query_map(params![about.uuid(), about.letter()], read_entry)?;
        collect(rows)
    }

    /// Whether something of another kind goes by the same name.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn is_taken(&self, about: About) -> Result<bool, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT 1 FROM entry WHERE about = ?1 AND thing <> ?2 LIMIT 1")?;
        Ok(select.exists(params![about.uuid(), about.letter()])?)
    }

    /// One entry.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn entry(&self, id: EntryId) -> Result<Option<Entry>, Trouble> {
        let mut select =
            self.conn.prepare_cached("SELECT id, at, bench, thing, about, kind, body FROM entry WHERE id = ?1")?;
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
    /// [`Trouble`]; then nothing was erased.
    pub fn erase(&mut self, things: &[About], now: DateTime<Utc>) -> Result<(), Trouble> {
        let stroke = self.conn.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        for about in things {
            let id = about.uuid();
            stroke.execute("DELETE FROM entry WHERE about = ?1 AND thing = ?2", params![id, about.letter()])?;
            stroke.execute("DELETE FROM thing_line WHERE id = ?1 AND thing = ?2", params![id, about.letter()])?;
            stroke.execute("DELETE FROM draft WHERE instr(key, ?1) > 0", [id.to_string()])?;
            if !matches!(about, About::Audition(_)) {
                continue;
            }
            stroke.execute(
                "DELETE FROM audition_words WHERE rowid IN (SELECT row FROM audition_line WHERE audition = ?1)",
                [id],
            )?;
            stroke.execute("DELETE FROM audition_line WHERE audition = ?1", [id])?;
        }
        stroke.commit()?;
        // What was erased must not live on in the write-ahead file either.
        let _: i64 = self.conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| row.get(0))?;
        copies::replace_all(&self.conn, &self.folder, now)?;
        self.newest_copy = Some(now);
        Ok(())
    }

    /// Everything the demo bench wrote, as the things it is about.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn written_by(&self, bench: BenchId) -> Result<Vec<About>, Trouble> {
        let mut select = self.conn.prepare("SELECT DISTINCT thing, about FROM entry WHERE bench = ?1 ORDER BY seq")?;
        let rows = select.query_map([bench.0], |row| Ok((row.get::<_, String>(0)?, row.get::<_, Uuid>(1)?)))?;
        let mut things = Vec::new();
        for row in rows {
            let (thing, id) = row?;
            things.extend(About::from_parts(&thing, id));
        }
        Ok(things)
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
                "INSERT INTO draft VALUES (?1, ?2, ?3) ON CONFLICT (key) DO UPDATE SET text = ?2, at = ?3",
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
        let mut select = self.conn.prepare_cached("SELECT key, text FROM draft ORDER BY at DESC LIMIT 500")?;
        let rows = select.query_map([], |row| Ok((row.get(0)?, row.get(1)?)))?;
        Ok(rows.collect::<Result<_, _>>()?)
    }

    /// Notices that were not put away yet, with their numbers.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn notices(&self) -> Result<Vec<(i64, Notice)>, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT id, notice FROM notice ORDER BY id")?;
        let rows = select.query_map([], |row| Ok((row.get(0)?, row.get::<_, String>(1)?)))?;
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

    pub(super) fn add_notice(&mut self, now: DateTime<Utc>, notice: &Notice) -> Result<(), Trouble> {
        let text = serde_json::to_string(notice).map_err(|error| Trouble::Program(error.to_string()))?;
        self.conn.execute("INSERT INTO notice (at, notice) VALUES (?1, ?2)", params![now.timestamp_micros(), text])?;
        Ok(())
    }
}

pub(super) fn connect(path: &Path) -> Result<Connection, Trouble> {
    let conn = Connection::open(path)?;
    conn.busy_timeout(Duration::from_secs(5))?;
    conn.set_prepared_statement_cache_capacity(64);
    conn.execute_batch(
        "PRAGMA journal_mode = WAL;
         PRAGMA synchronous = FULL;
         PRAGMA secure_delete = ON;
         PRAGMA temp_store = MEMORY;
         PRAGMA cache_size = -16000;",
    )?;
    Ok(conn)
}

pub(super) fn check(conn: &Connection) -> Result<(), Trouble> {
    let finding: String = conn.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if finding == "ok" { Ok(()) } else { Err(Trouble::Damaged(finding)) }
}

fn migrate(conn: &mut Connection) -> Result<(), Trouble> {
    let stroke = conn.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
    // Read inside the transaction: another program may have migrated the log in the meantime.
    let version: usize =
        stroke.query_row("PRAGMA user_version", [], |row| row.get::<_, i64>(0))?.try_into().unwrap_or(usize::MAX);
    for migration in MIGRATIONS.iter().skip(version) {
        stroke.execute_batch(migration)?;
    }
    if version < MIGRATIONS.len() {
        stroke.pragma_update(None, "user_version", i64::try_from(MIGRATIONS.len()).unwrap_or(i64::MAX))?;
    }
    stroke.commit()?;
    Ok(())
}

fn bench_name(conn: &Connection, fresh: BenchId) -> Result<BenchId, Trouble> {
    conn.execute("INSERT INTO this_bench SELECT ?1 WHERE NOT EXISTS (SELECT 1 FROM this_bench)", [fresh.0])?;
    Ok(BenchId(conn.query_row("SELECT id FROM this_bench LIMIT 1", [], |row| row.get(0))?))
}

pub(super) fn written(body: &Written) -> Result<(&str, String), Trouble> {
    match body {
        Written::Known(body) => {
            let text = serde_json::to_string(body).map_err(|error| Trouble::Program(error.to_string()))?;
            Ok((body.kind(), text))
        }
        Written::Newer { kind, text } => Ok((kind, text.clone())),
    }
}

/// Reads a row of (id, at, bench, thing, about, kind, body); nothing for a thing this version does not know.
pub(super) fn read_entry(row: &Row<'_>) -> rusqlite::Result<Option<Entry>> {
    let thing: String = row.get(3)?;
    let Some(about) = About::from_parts(&thing, row.get(4)?) else { return Ok(None) };
    let kind: String = row.get(5)?;
    let text: String = row.get(6)?;
    Ok(Some(Entry {
        id: EntryId(row.get(0)?),
        at: DateTime::from_timestamp_micros(row.get(1)?).unwrap_or_default(),
        bench: BenchId(row.get(2)?),
        about,
        body: Written::read(&kind, &text),
    }))
}

fn collect(rows: impl Iterator<Item = rusqlite::Result<Option<Entry>>>) -> Result<Vec<Entry>, Trouble> {
    let mut entries = Vec::new();
    for row in rows {
        entries.extend(row?);
    }
    Ok(entries)
}
