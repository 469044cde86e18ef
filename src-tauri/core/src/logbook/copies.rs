//! Copies of the log, and what happens when the log itself is damaged.

use std::collections::HashSet;
use std::fs::{self, File};
use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDateTime, Utc};
use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags};
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use super::store::{FILE, Log, Trouble, check};

/// How many copies are kept.
const KEPT: usize = 10;
const FOLDER: &str = "copies";
const STAMP: &str = "%Y%m%dT%H%M%SZ";
/// How many missing entries a notice lists by name.
const LISTED: usize = 50;

/// Something a person must know about their log.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct Notice {
    /// What happened, what was kept, what to do.
    pub sentence: String,
    /// Where the damaged file lies now.
    pub aside: Option<String>,
    /// When the last entry in the copy was written.
    #[ts(type = "string | null")]
    pub copy_ends: Option<DateTime<Utc>>,
    /// Entries that could still be read in the damaged file and are not in the copy, oldest first.
    pub lacking: Vec<Lacking>,
}

/// An entry that the copy lacks.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct Lacking {
    /// When it was written.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// Its kind.
    pub kind: String,
}

/// Copies the log through SQLite's backup interface, under the name of this instant, and drops the oldest copies.
pub(super) fn make(conn: &Connection, folder: &Path, now: DateTime<Utc>) -> Result<PathBuf, Trouble> {
    let copies = folder.join(FOLDER);
    fs::create_dir_all(&copies)?;
    let finished = copies.join(format!("solderlast-{}.db", now.format(STAMP)));
    let unfinished = finished.with_extension("part");
    let made = write_copy(conn, &unfinished);
    if let Err(trouble) = made {
        // A half-made copy is of no use; that it can't be removed either changes nothing.
        let _ = fs::remove_file(&unfinished);
        return Err(trouble);
    }
    fs::rename(&unfinished, &finished)?;
    File::open(&copies)?.sync_all()?;
    for old in all(folder).into_iter().skip(KEPT) {
        fs::remove_file(old)?;
    }
    Ok(finished)
}

fn write_copy(conn: &Connection, to: &Path) -> Result<(), Trouble> {
    let mut copy = Connection::open(to)?;
    {
        let backup = Backup::new(conn, &mut copy)?;
        // All pages in one step: the copy is of one instant, whoever writes meanwhile.
        backup.step(-1)?;
    }
    // A copy stands alone: no write-ahead file belongs to it.
    let _: String = copy.query_row("PRAGMA journal_mode = DELETE", [], |row| row.get(0))?;
    copy.close().map_err(|(_, error)| error)?;
    File::open(to)?.sync_all()?;
    Ok(())
}

/// Makes one new copy and removes all others.
pub(super) fn replace_all(conn: &Connection, folder: &Path, now: DateTime<Utc>) -> Result<(), Trouble> {
    let new = make(conn, folder, now)?;
    for old in all(folder) {
        if old != new {
            fs::remove_file(old)?;
        }
    }
    Ok(())
}

/// Copies the log in `folder` from a connection of its own, so that the bench can go on meanwhile, and checks it first.
///
/// # Errors
/// [`Trouble::Damaged`] when the log is not sound; [`Trouble`] when there is no room.
pub(crate) fn check_and_copy(folder: &Path, now: DateTime<Utc>, copy: bool) -> Result<(), Trouble> {
    let conn = super::store::connect(&folder.join(FILE))?;
    check(&conn)?;
    if copy {
        make(&conn, folder, now)?;
    }
    Ok(())
}

/// All copies, newest first.
fn all(folder: &Path) -> Vec<PathBuf> {
    let Ok(files) = fs::read_dir(folder.join(FOLDER)) else { return Vec::new() };
    let mut copies: Vec<PathBuf> =
        files.filter_map(|file| file.ok().map(|file| file.path())).filter(|path| stamp(path).is_some()).collect();
    copies.sort_by(|a, b| b.cmp(a));
    copies
}

/// When the newest copy was made.
pub(super) fn newest(folder: &Path) -> Option<DateTime<Utc>> {
    all(folder).first().and_then(|path| stamp(path))
}

fn stamp(path: &Path) -> Option<DateTime<Utc>> {
    let name = path.file_name()?.to_str()?;
    let text = name.strip_prefix("solderlast-")?.strip_suffix(".db")?;
    NaiveDateTime::parse_from_str(text, STAMP).ok().map(|naive| naive.and_utc())
}

/// Moves the log and its companions to dated names; answers where the log went.
pub(super) fn set_aside(folder: &Path, now: DateTime<Utc>) -> Result<PathBuf, Trouble> {
    // Two in one second get different names: nothing that was set aside is overwritten.
    let mut name = format!("damaged-{}", now.format(STAMP));
    let mut number = 1;
    while folder.join(format!("{name}.db")).exists() {
        number += 1;
        name = format!("damaged-{}-{number}", now.format(STAMP));
    }
    let aside = folder.join(format!("{name}.db"));
    fs::rename(folder.join(FILE), &aside)?;
    for ending in ["-wal", "-shm"] {
        let companion = folder.join(format!("{FILE}{ending}"));
        if companion.exists() {
            fs::rename(companion, folder.join(format!("{name}.db{ending}")))?;
        }
    }
    Ok(aside)
}

/// Puts the newest sound copy in the log's place; answers which, or nothing when there is none.
pub(super) fn put_back_newest_good(folder: &Path) -> Result<Option<PathBuf>, Trouble> {
    for copy in all(folder) {
        let sound = Connection::open_with_flags(&copy, OpenFlags::SQLITE_OPEN_READ_ONLY)
            .map_err(Trouble::from)
            .and_then(|conn| check(&conn))
            .is_ok();
        if sound {
            let unfinished = folder.join("solderlast.part");
            fs::copy(&copy, &unfinished)?;
            File::open(&unfinished)?.sync_all()?;
            fs::rename(&unfinished, folder.join(FILE))?;
            return Ok(Some(copy));
        }
    }
    Ok(None)
}

/// Compares the restored log with what can still be read of the damaged file.
pub(super) fn say_what_may_lack(log: &Log, aside: &Path, copy: Option<PathBuf>, what: &str) -> Notice {
    let name = aside.file_name().map(|name| name.to_string_lossy().into_owned());
    let held = names_in(&log.conn);
    let copy_ends = held.iter().map(|(_, at, _)| *at).max();
    let known: HashSet<Uuid> = held.into_iter().map(|(id, _, _)| id).collect();
    let mut lacking: Vec<Lacking> = Connection::open(aside)
        .map(|conn| names_in(&conn))
        .unwrap_or_default()
        .into_iter()
        .filter(|(id, _, _)| !known.contains(id))
        .map(|(_, at, kind)| Lacking { at, kind })
        .collect();
    lacking.sort_by_key(|entry| entry.at);
    let count = lacking.len();
    lacking.truncate(LISTED);
    let copied = match (&copy, copy_ends) {
        (Some(_), Some(end)) => format!(
            "The newest good copy is open in its place. It ends with an entry of {}. Anything written after that may be missing; \
             {count} such entries could still be seen in the damaged file.",
            end.format("%e %B %Y, %H:%M UTC").to_string().trim_start()
        ),
        (Some(_), None) => "The newest good copy is open in its place, and it holds no entries.".to_owned(),
        (None, _) => format!(
            "There is no good copy yet, so an empty log is open. {count} entries could still be seen in the damaged file."
        ),
    };
    Notice {
        sentence: format!(
            "The log was damaged ({what}) and was set aside as {}. {copied} Keep that file: nothing in it was changed.",
            name.as_deref().unwrap_or("a dated file")
        ),
        aside: name,
        copy_ends,
        lacking,
    }
}

/// Names, times and kinds of all entries that can be read, from both ends, since a damaged page stops the reading.
fn names_in(conn: &Connection) -> Vec<(Uuid, DateTime<Utc>, String)> {
    let mut seen = HashSet::new();
    let mut names = Vec::new();
    for order in ["ASC", "DESC"] {
        let Ok(mut select) = conn.prepare(&format!("SELECT id, at, kind FROM entry ORDER BY seq {order}")) else {
            continue;
        };
        let Ok(mut rows) = select.query([]) else { continue };
        while let Ok(Some(row)) = rows.next() {
            let read = (row.get::<_, Uuid>(0), row.get::<_, i64>(1), row.get::<_, String>(2));
            let (Ok(id), Ok(at), Ok(kind)) = read else { continue };
            if !seen.insert(id) {
                break;
            }
            names.push((id, DateTime::from_timestamp_micros(at).unwrap_or_default(), kind));
        }
    }
    names
}
