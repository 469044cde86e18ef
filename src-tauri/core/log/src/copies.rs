//! Copies of the log, what was set aside, and what is said of it.

use crate::files::{self as fs, File};
use std::cmp::Reverse;
use std::io::ErrorKind;
use std::path::{Path, PathBuf};

use chrono::{DateTime, NaiveDateTime, TimeDelta, Utc};
use rusqlite::backup::Backup;
use rusqlite::{Connection, OpenFlags};

use super::trouble::Trouble;
use super::{lock, tally};
use crate::file::check;
use crate::notice::{Notice, add_notice};
use crate::private;
use crate::record::entry::About;
use crate::row::{FILE, OF_THE_DEMO};

/// How many copies are kept.
const KEPT: usize = 10;
const FOLDER: &str = "copies";
const STAMP: &str = "%Y%m%dT%H%M%SZ";
const PREFIX: &str = "solderlast-";
const DAMAGED: &str = "damaged-";
const LEFT: &str = "left-";
const UNFINISHED: &str = ".part";
/// No copying takes longer than this; what is unfinished after it was given up.
const LONGEST_COPYING: TimeDelta = TimeDelta::hours(1);

/// Copies the log through SQLite's backup interface, under the name of this instant, and drops the oldest copies.
pub(super) fn make(conn: &Connection, folder: &Path, now: DateTime<Utc>) -> Result<PathBuf, Trouble> {
    let copies = folder.join(FOLDER);
    private::folder(&copies)?;
    sweep(&copies, now);
    let finished = copies.join(format!("{PREFIX}{}.db", now.format(STAMP)));
    // Two programs may copy the same log in the same second.
    let unfinished = copies.join(format!("{PREFIX}{}.{}{UNFINISHED}", now.format(STAMP), crate::files::program()));
    if let Err(trouble) = write_copy(conn, &unfinished) {
        // A half-made copy is of no use; that it can't be removed either changes nothing.
        let _ = fs::remove_file(&unfinished);
        return Err(trouble);
    }
    fs::rename(&unfinished, &finished)?;
    sync_folder(&copies)?;
    // Whatever the dates say: the new one stays, and of the others those that hold most.
    for old in all(folder).into_iter().filter(|copy| *copy != finished).skip(KEPT - 1) {
        remove(&old)?;
    }
    Ok(finished)
}

/// Copies what is open into a file of its own in the folder, when its place was taken by another.
pub(super) fn leave(conn: &Connection, folder: &Path, now: DateTime<Utc>) -> Result<PathBuf, Trouble> {
    let finished = folder.join(format!("{LEFT}{}.{}.db", now.format(STAMP), crate::files::program()));
    write_copy(conn, &finished)?;
    sync_folder(folder)?;
    Ok(finished)
}

/// Puts a sentence on the Bench page.
pub(super) fn say(
    conn: &Connection,
    now: DateTime<Utc>,
    sentence: String,
    aside: Option<String>,
) -> Result<(), Trouble> {
    add_notice(conn, now, &Notice { sentence, aside, sources: Vec::new(), lacking: Vec::new() })
}

pub(super) fn write_copy(conn: &Connection, to: &Path) -> Result<(), Trouble> {
    private::begin(to)?;
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

/// Removes copies that were never finished, because the program was stopped. One that is under way in another program
/// is left alone.
fn sweep(copies: &Path, now: DateTime<Utc>) {
    let Ok(files) = fs::read_dir(copies) else { return };
    for path in files.filter_map(|file| file.ok().map(|file| file.path())) {
        let name = path.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        let Some((begun, rest)) = name.strip_prefix(PREFIX).and_then(|rest| rest.split_once('.')) else { continue };
        let old = instant(begun).is_none_or(|begun| now - begun > LONGEST_COPYING || begun - now > LONGEST_COPYING);
        if rest.contains(UNFINISHED) && old {
            // What can't be removed now is tried again at the next copy.
            let _ = fs::remove_file(path);
        }
    }
}

/// Removes a copy; that another program has removed it already is as good.
fn remove(copy: &Path) -> Result<(), Trouble> {
    match fs::remove_file(copy) {
        Err(error) if error.kind() != ErrorKind::NotFound => Err(error.into()),
        _ => Ok(()),
    }
}

/// Whether any copy has an entry about any of these. One that can't be read may have.
pub(super) fn have_any(folder: &Path, things: &[About]) -> bool {
    let has = |copy: &PathBuf| -> rusqlite::Result<bool> {
        let conn = Connection::open_with_flags(copy, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        let mut select = conn.prepare("SELECT 1 FROM entry WHERE about = ?1 AND thing = ?2 LIMIT 1")?;
        for about in things {
            if select.exists(rusqlite::params![about.uuid(), about.word()])? {
                return Ok(true);
            }
        }
        Ok(false)
    };
    by_date(folder).iter().any(|copy| has(copy).unwrap_or(true))
}

/// Makes one new copy and removes all others. Answers whether there is a copy now: the others are removed also when
/// there is no room for a new one.
pub(super) fn replace_all(conn: &Connection, folder: &Path, now: DateTime<Utc>) -> Result<bool, Trouble> {
    let new = match make(conn, folder, now) {
        Ok(new) => Some(new),
        Err(Trouble::Full) => None,
        Err(trouble) => return Err(trouble),
    };
    for old in by_date(folder) {
        if Some(&old) != new.as_ref() {
            remove(&old)?;
        }
    }
    Ok(new.is_some() || make(conn, folder, now).is_ok())
}

/// All copies, the one that holds most first. A clock may have been wrong when one was made, so its date counts only
/// between copies that hold as much.
pub(super) fn all(folder: &Path) -> Vec<PathBuf> {
    let mut copies: Vec<(Held, PathBuf)> =
        by_date(folder).into_iter().map(|copy| (Held::of(&copy).unwrap_or_default(), copy)).collect();
    // Stable, so the later date comes first where two hold the same.
    copies.sort_by_key(|(held, _)| Reverse(*held));
    copies.into_iter().map(|(_, copy)| copy).collect()
}

/// What a copy holds. Nothing, where it can't be read.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord)]
struct Held {
    /// How many entries, beside those of the demo bench: these go again without taking anything of worth along.
    entries: i64,
    /// The row of the last entry.
    up_to: i64,
}

impl Held {
    fn of(copy: &Path) -> rusqlite::Result<Self> {
        let conn = Connection::open_with_flags(copy, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        let count = |sql: &str| conn.query_row(sql, [], |row| row.get::<_, i64>(0));
        let demo = count(&format!("SELECT count(*) {OF_THE_DEMO}"))?;
        Ok(Self { entries: count("SELECT count(*) FROM entry")? - demo, up_to: count(UP_TO)? })
    }
}

/// The row of the last entry.
const UP_TO: &str = "SELECT coalesce(max(seq), 0) FROM entry";

/// When the last copy of a log was made whose last entry has the row `up_to`, and the row of the last entry in it. Copies
/// with later rows are of a log that was here before.
pub(super) fn latest(folder: &Path, up_to: u64) -> Option<(DateTime<Utc>, u64)> {
    let of = |copy: PathBuf| {
        let conn = Connection::open_with_flags(&copy, OpenFlags::SQLITE_OPEN_READ_ONLY).ok()?;
        let reached: i64 = conn.query_row(UP_TO, [], |row| row.get(0)).ok()?;
        Some((u64::try_from(reached).ok()?, stamp(&copy, PREFIX)?))
    };
    let copies = by_date(folder).into_iter().filter_map(of).filter(|(reached, _)| *reached <= up_to);
    copies.max().map(|(reached, at)| (at, reached))
}

/// All copies, the latest date first.
fn by_date(folder: &Path) -> Vec<PathBuf> {
    dated(&folder.join(FOLDER), PREFIX)
}

/// Files with this prefix and a date in their names, newest first.
fn dated(folder: &Path, prefix: &str) -> Vec<PathBuf> {
    let Ok(files) = fs::read_dir(folder) else { return Vec::new() };
    let mut dated: Vec<PathBuf> = files
        .filter_map(|file| file.ok().map(|file| file.path()))
        .filter(|path| stamp(path, prefix).is_some())
        .collect();
    dated.sort_by(|a, b| b.cmp(a));
    dated
}

/// The latest date of a copy.
fn newest(folder: &Path) -> Option<DateTime<Utc>> {
    by_date(folder).first().and_then(|path| stamp(path, PREFIX))
}

/// Whether a log was here before: copies of it, or a damaged one that was set aside.
pub(super) fn are_there(folder: &Path) -> bool {
    !by_date(folder).is_empty() || !set_aside_before(folder).is_empty() || tally::holds_entries(folder)
}

/// Whether any copy has an entry.
pub(super) fn hold_entries(folder: &Path) -> bool {
    let holds = |copy: &PathBuf| {
        let conn = Connection::open_with_flags(copy, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        conn.prepare("SELECT 1 FROM entry")?.exists([])
    };
    by_date(folder).iter().any(|copy| holds(copy).unwrap_or(false))
}

/// Damaged logs that were set aside, newest first.
pub(super) fn set_aside_before(folder: &Path) -> Vec<PathBuf> {
    dated(folder, DAMAGED)
}

fn stamp(path: &Path, prefix: &str) -> Option<DateTime<Utc>> {
    let name = path.file_name()?.to_str()?;
    let text = name.strip_prefix(prefix)?.strip_suffix(".db")?;
    // A second one of the same second has a number after its date.
    instant(text.split_once('-').map_or(text, |(date, _)| date))
}

fn instant(text: &str) -> Option<DateTime<Utc>> {
    NaiveDateTime::parse_from_str(text, STAMP).ok().map(|naive| naive.and_utc())
}

/// A dated name for what is set aside now. Two in one second get different names: nothing that was set aside is
/// overwritten.
pub(super) fn name_aside(folder: &Path, now: DateTime<Utc>) -> PathBuf {
    let mut aside = folder.join(format!("{DAMAGED}{}.db", now.format(STAMP)));
    let mut number = 1;
    while fs::exists(&aside).unwrap_or(false) {
        number += 1;
        aside = folder.join(format!("{DAMAGED}{}-{number}.db", now.format(STAMP)));
    }
    aside
}

/// Gives the damaged log a dated name beside its own, so that it is never without one; answers which. Where a disk knows
/// one name a file only, it is moved.
pub(super) fn set_aside(folder: &Path, now: DateTime<Utc>) -> Result<PathBuf, Trouble> {
    let log = folder.join(FILE);
    // A salvage that was stopped has named it already.
    let named = set_aside_before(folder)
        .into_iter()
        .find(|aside| lock::identity(aside).is_some_and(|it| lock::identity(&log) == Some(it)));
    if let Some(aside) = named {
        return Ok(aside);
    }
    let aside = name_aside(folder, now);
    if fs::hard_link(&log, &aside).is_err() {
        fs::rename(&log, &aside)?;
        set_companions_aside(folder, &aside)?;
    }
    sync_folder(folder)?;
    Ok(aside)
}

/// A damaged log that was set aside after the newest copy, by a program that was stopped before it came to more.
pub(super) fn left_aside(folder: &Path) -> Option<PathBuf> {
    set_aside_before(folder).into_iter().next().filter(|path| stamp(path, DAMAGED) >= newest(folder))
}

/// Moves what SQLite keeps beside the log. Left in place, it would be taken for part of the next log.
pub(super) fn set_companions_aside(folder: &Path, aside: &Path) -> Result<(), Trouble> {
    for ending in ["-wal", "-shm", "-journal"] {
        let companion = folder.join(format!("{FILE}{ending}"));
        if fs::exists(&companion)? {
            let mut name = aside.as_os_str().to_owned();
            name.push(ending);
            fs::rename(companion, name)?;
        }
    }
    Ok(())
}

pub(super) fn is_sound(copy: &Path) -> bool {
    Connection::open_with_flags(copy, OpenFlags::SQLITE_OPEN_READ_ONLY)
        .map_err(Trouble::from)
        .and_then(|conn| check(&conn))
        .is_ok()
}

/// Makes sure that names in a folder outlast a power cut, where a system lets a program do so.
pub(super) fn sync_folder(folder: &Path) -> Result<(), Trouble> {
    if cfg!(unix) {
        File::open(folder)?.sync_all()?;
    }
    Ok(())
}
