//! Opening the log, and what to do when the file is not sound.

use std::path::Path;

use chrono::{DateTime, Utc};
use rusqlite::config::DbConfig;
use rusqlite::{Connection, OptionalExtension};

use super::lock::{Lock, identity};
use super::salvage::salvage;
use super::schema::{self, MIGRATIONS, Tables, migrate};
use super::store::Log;
use super::trouble::Trouble;
use super::{checks, copies, sums, tally};
use crate::file::{PATIENCE, SHORTEST, check, head_is_ours, prepare};
use crate::private;
use crate::record::names::BenchId;
use crate::row::FILE;

/// Up to this size the whole file is checked and copied before the log opens; larger ones are checked and copied
/// beside the running bench, so that a long logbook opens at once. In a page all that hold anything are.
const SMALL_ENOUGH_TO_WAIT: u64 = if cfg!(target_family = "wasm") { 0 } else { 24 * 1024 * 1024 };

impl Log {
    /// Opens the log in `folder`, or makes one.
    ///
    /// A damaged file is set aside under a dated name and a log made of everything that can be read takes its place; a
    /// notice says so. A log that is missing while there are copies of it is brought back in the same way. `fresh` names
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
        let lock = Lock::of(folder)?;
        let _alone = lock.alone()?;
        match Self::open_file(folder, now, fresh, migrations) {
            Err(Trouble::Damaged(what)) => {
                salvage(folder, now, &what)?;
                Self::open_file(folder, now, fresh, migrations)
            }
            other => other,
        }
    }

    /// Makes the log anew of everything that can be read, unless another program has done so since this one opened it.
    /// Nobody in this program may have the log open. `had` is the file it was.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn recover(
        folder: &Path,
        now: DateTime<Utc>,
        fresh: BenchId,
        what: &str,
        had: Option<(u64, u64)>,
    ) -> Result<Self, Trouble> {
        let lock = Lock::of(folder)?;
        let _alone = lock.alone()?;
        let is = identity(&folder.join(FILE));
        if is.is_some() && is != had {
            match Self::open_file(folder, now, fresh, &MIGRATIONS) {
                Err(Trouble::Damaged(_)) => {}
                other => return other,
            }
        }
        salvage(folder, now, what)?;
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
        let damaged = |what: &str| Err(Trouble::Damaged(what.to_owned()));
        let size = match crate::files::metadata(&path) {
            Ok(file) if !file.is_file() => return Err(Trouble::Disk("what lies there is no file".to_owned())),
            Ok(file) => Some(file.len()),
            Err(error) if error.kind() == std::io::ErrorKind::NotFound => None,
            Err(error) => return Err(error.into()),
        };
        match size {
            None if copies::are_there(folder) => return damaged("the file is missing"),
            // An empty file is how SQLite begins, so it would pass for a new log.
            Some(0) if copies::are_there(folder) => return damaged("the file is empty"),
            Some(1..SHORTEST) => return damaged("the file is cut short"),
            None | Some(0) => {}
            Some(_) => head_is_ours(&path)?,
        }
        let size = size.unwrap_or(0);
        private::begin(&path)?;
        let mut conn = Connection::open(&path)?;
        conn.busy_timeout(PATIENCE)?;
        // Until it is known to be sound and ours, closing it must not change it.
        conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
        let version = match schema::look(&conn, migrations)? {
            Tables::None if size > 0 && copies::are_there(folder) => return damaged("the file holds no log"),
            Tables::None => 0,
            Tables::Of(version) => version,
            Tables::Newer => return Err(Trouble::Newer),
            Tables::Altered(what) => return Err(Trouble::Damaged(what)),
        };
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
        if is_empty(&conn)? && copies::hold_entries(folder) {
            return damaged("it is empty, and its copies are not");
        }
        let bench = bench_name(&conn, fresh)?;
        if migrations.len() >= MIGRATIONS.len() {
            look_through(&conn, folder, now, bench, size <= SMALL_ENOUGH_TO_WAIT)?;
        }
        conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, false)?;
        Self::of(conn, folder, bench)
    }

    /// Whether the log is so large that it is checked and copied beside the running bench.
    #[must_use]
    pub fn is_large(&self) -> bool {
        crate::files::metadata(self.folder().join(FILE)).is_ok_and(|data| data.len() > SMALL_ENOUGH_TO_WAIT)
    }
}

/// Holds the log against its tally. A small one is read through for that: every entry, and the lists, which are made anew
/// where they are not right.
fn look_through(
    conn: &Connection,
    folder: &Path,
    now: DateTime<Utc>,
    bench: BenchId,
    small: bool,
) -> Result<(), Trouble> {
    let counted = if small {
        while checks::seal_some(conn)? {}
        Some(tally::count(conn, 0)?.0)
    } else {
        None
    };
    if let Some(notice) = tally::settle(conn, folder, bench, counted)? {
        crate::notice::add_notice(conn, now, &notice)?;
    }
    if small && !checks::lists_are_right(conn)? {
        crate::schema::clear(conn)?;
    }
    Ok(())
}

fn is_empty(conn: &Connection) -> Result<bool, Trouble> {
    Ok(!conn.prepare("SELECT 1 FROM entry")?.exists([])?)
}

fn bench_name(conn: &Connection, fresh: BenchId) -> Result<BenchId, Trouble> {
    let named = "SELECT id, sum FROM this_bench LIMIT 1";
    let read = |row: &rusqlite::Row<'_>| {
        sums::check(row, 1, "the name of this bench")?;
        row.get(0)
    };
    if let Some(name) = conn.query_row(named, [], read).optional()? {
        return Ok(BenchId(name));
    }
    conn.execute(
        "INSERT INTO this_bench SELECT ?1, sum_of(?1) WHERE NOT EXISTS (SELECT 1 FROM this_bench)",
        [fresh.0],
    )?;
    Ok(BenchId(conn.query_row(named, [], read)?))
}

#[cfg(test)]
mod tests {
    use solderlast_core::logbook::{self, Lists};
    use uuid::Uuid;

    use super::super::schema::version;
    use super::*;
    use crate::record::entry::Entry;

    fn now() -> DateTime<Utc> {
        DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default()
    }

    fn bench() -> BenchId {
        BenchId(Uuid::from_u128(7))
    }

    fn entries() -> Vec<Entry> {
        solderlast_core::demo::entries()
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
        let mut conn = Connection::open(folder.path().join(FILE)).expect("a file");
        migrate(&mut conn, &MIGRATIONS[..1]).expect("a log as it was");
        conn.execute("INSERT INTO this_bench VALUES (?1)", [bench().0]).expect("named");
        for entry in entries() {
            let (kind, body) = crate::row::written(&entry.body).expect("a body");
            conn.execute(
                "INSERT INTO entry (id, at, bench, thing, about, kind, body) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7)",
                rusqlite::params![
                    entry.id.0,
                    entry.at.timestamp_micros(),
                    entry.bench.0,
                    entry.about.word(),
                    entry.about.uuid(),
                    kind,
                    body
                ],
            )
            .expect("written");
        }
        drop(conn);
        let log = Log::open(folder.path(), now(), bench()).expect("opens");
        let careful = crate::Listener { rule: "niosh".to_owned(), ..crate::Listener::default() };
        assert_eq!(log.listener().expect("read"), careful);
        let first = entries().first().map(|entry| entry.at).unwrap_or_default();
        let last = first + chrono::TimeDelta::days(60);
        assert_eq!(log.sound_up_between(first, last).expect("read").len(), 4, "all auditions of the demo bench");
        drop(log);
        assert_eq!(versions(folder.path()), (MIGRATIONS.len(), vec![1]), "copied before");
    }

    /// A sheet whose beginning an earlier version let strike out, of which it kept no line.
    #[test]
    fn a_sheet_that_was_hidden_is_listed_again() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let mut conn = Connection::open(folder.path().join(FILE)).expect("a file");
        migrate(&mut conn, &MIGRATIONS[..6]).expect("a log as it was");
        let [begun, struck, fit, other] = [1, 2, 3, 4].map(|number: u128| Uuid::from_u128(number));
        let on = format!(
            r#"{{"kind":"fit_begun","on":{{"audition":"{other}","pickup":"{other}","guitar":"{other}","place":"neck"}}}}"#
        );
        let strike = format!(r#"{{"kind":"struck_out","entry":"{begun}","why":""}}"#);
        for (at, (id, kind, body)) in (0..).zip([(begun, "fit_begun", on), (struck, "struck_out", strike)]) {
            let insert =
                "INSERT INTO entry (id, at, bench, thing, about, kind, body) VALUES (?1, ?2, ?3, 'fit', ?4, ?5, ?6)";
            conn.execute(insert, rusqlite::params![id, at, other, fit, kind, body]).expect("written");
        }
        conn.execute("UPDATE listed SET up_to = (SELECT max(seq) FROM entry)", []).expect("listed");
        drop(conn);
        let mut log = logbook::Log::open(folder.path(), now(), bench()).expect("brought up to date");
        let hidden: Vec<_> = log.struck_out_installs().expect("read").into_iter().map(|line| line.fit.0).collect();
        assert_eq!(hidden, [fit]);
    }

    #[test]
    fn a_change_that_fails_leaves_the_log_as_it_was() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let mut log = Log::open(folder.path(), now(), bench()).expect("a new log");
        log.write(&entries()).expect("written");
        drop(log);
        let broken = "ALTER TABLE entry ADD COLUMN weather TEXT; ALTER TABLE no_such ADD COLUMN x TEXT";
        let broken = [&MIGRATIONS[..], &[broken]].concat();
        let refused = Log::open_with(folder.path(), now(), bench(), &broken);
        assert!(matches!(refused, Err(Trouble::Program(_))), "{refused:?}");
        assert_eq!(versions(folder.path()), (MIGRATIONS.len(), vec![]), "nothing was touched");
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
