//! The whole log looked at: SQLite's own check, the sum of every row, the count of all entries, and the lists held against
//! what can be searched.

use std::collections::HashMap;
use std::path::Path;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags, params};

use super::lock::Lock;
use super::schema::{self, MIGRATIONS, Tables};
use super::tally::{self, Totals};
use super::trouble::Trouble;
use super::{copies, sums};
use crate::copies::make;
use crate::file::{check, connect, head_is_ours, prepare};
use crate::row::FILE;
use crate::sums::sum_of_word;
use chrono::{DateTime, Utc};

/// How many rows get their sum in one stroke.
const AT_ONCE: i64 = 5000;

/// Every row of the lists as it was written, and every line found by its own words and no others.
pub(super) fn lists_are_right(conn: &Connection) -> Result<bool, Trouble> {
    let mut words: HashMap<i64, (Option<i64>, i64)> = HashMap::new();
    for (sql, columns) in [
        ("SELECT id, thing, label, retired, terminals, sum FROM thing_line", 5),
        ("SELECT fit, open, last, audition, pickup, guitar, came_out, line, sum FROM fit_line", 8),
        ("SELECT row, audition, open, last, pickup, guitar, rig, line, place, words, sum FROM audition_line", 10),
    ] {
        let mut select = conn.prepare(sql)?;
        let mut rows = select.query([])?;
        while let Some(row) = rows.next()? {
            if sums::check(row, columns, "a line of a list").is_err() {
                return Ok(false);
            }
            if columns == 10 {
                words.insert(row.get(0)?, (row.get(9)?, 0));
            }
        }
    }
    let listed: i64 = conn.query_row("SELECT up_to FROM listed", [], |row| row.get(0))?;
    // The number of the last entry that was ever written: entries that were erased were listed too.
    let newest: i64 = conn.query_row(
        "SELECT max((SELECT coalesce(max(seq), 0) FROM entry),
                    coalesce((SELECT seq FROM sqlite_sequence WHERE name = 'entry'), 0))",
        [],
        |row| row.get(0),
    )?;
    let must =
        |words: &HashMap<i64, (Option<i64>, i64)>| words.values().all(|(must, is)| must.is_none_or(|must| must == *is));
    if listed > newest {
        return Ok(false);
    }
    let mut select = conn.prepare("SELECT term, doc FROM temp.audition_terms")?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        // A line that is gone may leave its words behind; nobody finds it by them.
        if let Some((_, is)) = words.get_mut(&row.get(1)?) {
            *is ^= sum_of_word(row.get_ref(0)?.as_bytes().unwrap_or_default());
        }
    }
    if must(&words) {
        return Ok(true);
    }
    // The list of words may tell of some that were deleted and whose number was used again: what is found by each decides.
    words.values_mut().for_each(|(_, is)| *is = 0);
    let mut terms = conn.prepare("SELECT DISTINCT term FROM temp.audition_terms")?;
    let mut lines = conn.prepare("SELECT rowid FROM audition_words WHERE audition_words MATCH ?1")?;
    let mut rows = terms.query([])?;
    while let Some(row) = rows.next()? {
        let term = row.get_ref(0)?.as_bytes().unwrap_or_default();
        let asked = format!("\"{}\"", String::from_utf8_lossy(term).replace('"', "\"\""));
        let mut found = lines.query([asked])?;
        while let Some(line) = found.next()? {
            if let Some((_, is)) = words.get_mut(&line.get(0)?) {
                *is ^= sum_of_word(term);
            }
        }
    }
    Ok(must(&words))
}

/// Gives some thousand rows of earlier versions their sums; answers whether there may be more.
pub(super) fn seal_some(conn: &Connection) -> Result<bool, Trouble> {
    let up_to: i64 = conn.query_row("SELECT up_to FROM sealed", [], |row| row.get(0))?;
    let newest: i64 = conn.query_row("SELECT coalesce(max(seq), 0) FROM entry", [], |row| row.get(0))?;
    let unsealed = "SELECT 1 FROM entry WHERE seq > ?1 AND sum IS NULL";
    if newest <= up_to || !conn.prepare_cached(unsealed)?.exists([up_to])? {
        return Ok(false);
    }
    let to = newest.min(up_to.saturating_add(AT_ONCE));
    let stroke = conn.unchecked_transaction()?;
    stroke.execute(
        "UPDATE entry SET sum = sum_of(id, at, bench, thing, about, kind, body)
         WHERE sum IS NULL AND seq > ?1 AND seq <= ?2",
        params![up_to, to],
    )?;
    stroke.execute("UPDATE sealed SET up_to = ?1", [to])?;
    stroke.commit()?;
    Ok(true)
}

/// Gives all rows of earlier versions their sums, beside the running bench.
fn seal(conn: &Connection, folder: &Path) -> Result<(), Trouble> {
    let lock = Lock::of(folder)?;
    loop {
        let _together = lock.together()?;
        if !seal_some(conn)? {
            return Ok(());
        }
    }
}

/// What only prepares for the next check waits until there is room.
fn unless_full(done: Result<(), Trouble>) -> Result<(), Trouble> {
    match done {
        Err(Trouble::Full) => Ok(()),
        other => other,
    }
}

/// Counts all entries as they are at one instant, each checked by its sum, and holds that against the tally of the same
/// instant. Writers wait for no more than the reading of the tally. Answers the last row that was counted too.
fn counted(conn: &Connection, folder: &Path) -> Result<((Totals, i64), Option<Totals>), Trouble> {
    let read = conn.unchecked_transaction()?;
    let must = {
        let lock = Lock::of(folder)?;
        let _alone = lock.alone()?;
        let _: i64 = read.query_row("SELECT coalesce(max(seq), 0) FROM entry", [], |row| row.get(0))?;
        tally::read_recent(folder).totals
    };
    let counted = tally::count(&read, 0)?;
    tally::held_against(counted.0, must)?;
    Ok((counted, must))
}

/// The whole of the log in a folder, from a connection of its own, so that the bench can go on meanwhile. A tally that has not
/// counted does. Lists that are not right are emptied, so that they are made anew; answers whether there were none of those.
///
/// # Errors
/// [`Trouble::Damaged`] when the log is not sound.
pub fn whole(folder: &Path) -> Result<bool, Trouble> {
    let path = folder.join(FILE);
    head_is_ours(&path)?;
    let conn = connect(&path)?;
    if let Tables::Altered(what) = schema::look(&conn, &MIGRATIONS)? {
        return Err(Trouble::Damaged(what));
    }
    check(&conn)?;
    unless_full(seal(&conn, folder))?;
    let (counted, must) = counted(&conn, folder)?;
    if must != Some(counted.0) {
        unless_full(tally::begin_counted(&conn, folder, counted))?;
    }
    let right = lists_are_right(&conn)?;
    if !right {
        schema::clear(&conn)?;
    }
    Ok(right)
}

/// What a look at a log came to, which changed nothing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Looked {
    /// How many entries there are.
    pub entries: u64,
    /// How many copies.
    pub copies: usize,
    /// Why it is not sound, if it is not.
    pub unsound: Option<String>,
}

/// Looks at the log in a folder, and changes nothing in it.
///
/// Nothing when there is no log.
///
/// # Errors
/// [`Trouble`] when it can't be looked at.
pub fn look_over(folder: &Path) -> Result<Option<Looked>, Trouble> {
    let copies = copies::all(folder).len();
    let path = folder.join(FILE);
    let there = crate::files::exists(&path)?;
    if !there && !copies::are_there(folder) {
        return Ok(None);
    }
    if !there {
        return Ok(Some(Looked { entries: 0, copies, unsound: Some("the file is missing".to_owned()) }));
    }
    let looked = match look_into(folder, &path) {
        Ok(entries) if entries == 0 && copies::hold_entries(folder) => {
            Looked { entries, copies, unsound: Some("it is empty, and its copies are not".to_owned()) }
        }
        Ok(entries) => Looked { entries, copies, unsound: None },
        Err(Trouble::Damaged(what)) => Looked { entries: 0, copies, unsound: Some(what) },
        Err(other) => return Err(other),
    };
    Ok(Some(looked))
}

/// Whether there is a log in this folder, or was: a file, copies, or a damaged one that was set aside.
#[must_use]
pub fn is_there(folder: &Path) -> bool {
    crate::files::exists(folder.join(FILE)).unwrap_or(false) || copies::are_there(folder)
}

fn look_into(folder: &Path, path: &Path) -> Result<u64, Trouble> {
    let size = crate::files::metadata(path)?.len();
    if size < 512 {
        return Err(Trouble::Damaged("the file is cut short".to_owned()));
    }
    head_is_ours(path)?;
    let conn = Connection::open_with_flags(path, OpenFlags::default() & !OpenFlags::SQLITE_OPEN_CREATE)?;
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, true)?;
    match schema::look(&conn, &MIGRATIONS)? {
        Tables::Of(version) if version == MIGRATIONS.len() => {}
        Tables::Of(_) => {
            check(&conn)?;
            let count: i64 = conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0))?;
            return Ok(u64::try_from(count).unwrap_or(0));
        }
        Tables::None => return Err(Trouble::Damaged("the file holds no log".to_owned())),
        Tables::Newer => return Err(Trouble::Newer),
        Tables::Altered(what) => return Err(Trouble::Damaged(what)),
    }
    prepare(&conn)?;
    check(&conn)?;
    let ((is, _), _) = counted(&conn, folder)?;
    if !lists_are_right(&conn)? {
        return Err(Trouble::Damaged("a list is not as it was made; it is made anew at the next opening".to_owned()));
    }
    Ok(is.count)
}

/// Copies the log in a folder, from a connection of its own, so that the bench can go on meanwhile.
///
/// # Errors
/// [`Trouble`] when there is no room.
pub fn copy_beside(folder: &Path, now: DateTime<Utc>) -> Result<(), Trouble> {
    make(&connect(&folder.join(FILE))?, folder, now).map(drop)
}

#[cfg(test)]
mod tests {
    use chrono::{DateTime, TimeDelta};
    use solderlast_core::logbook::{Find, Lists, Log};
    use uuid::Uuid;

    use super::*;
    use crate::record::entry::{Entry, Written};
    use crate::record::names::BenchId;
    use crate::record::names::EntryId;

    /// A log in which lines were written, written anew, and taken away.
    fn listed() -> (tempfile::TempDir, Log) {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let now = DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default();
        let mut log = Log::open(folder.path(), now, BenchId(uuid::Uuid::from_u128(7))).expect("a new log");
        let entries = solderlast_core::demo::entries();
        for part in entries.chunks(entries.len() / 7 + 1) {
            log.write(part).expect("written");
            log.catch_up().expect("listed");
        }
        let about = entries.last().map(|entry| entry.about).expect("an entry");
        log.erase(&[about], now + TimeDelta::days(1)).expect("erased");
        log.catch_up().expect("listed");
        (folder, log)
    }

    #[test]
    fn lists_that_were_written_again_and_again_are_right() {
        let (folder, mut log) = listed();
        assert!(lists_are_right(log.tables()).expect("looked"));
        log.list_anew().expect("listed");
        assert!(lists_are_right(log.tables()).expect("looked"));
        whole(folder.path()).expect("sound");
        let looked = look_over(folder.path()).expect("looked").expect("a log");
        assert_eq!(looked.unsound, None);
        assert!(looked.entries > 20);
    }

    #[test]
    fn a_list_that_says_something_else_is_seen_and_made_anew() {
        let (folder, mut log) = listed();
        for (what, sql) in [
            ("a place", "UPDATE audition_line SET line = replace(line, 'neck', 'nick'), place = 'nick'"),
            ("a state", "UPDATE audition_line SET open = 1 - open"),
            ("a label", "UPDATE thing_line SET label = 'x' || label"),
            ("a word", "DELETE FROM audition_words WHERE rowid = (SELECT max(row) FROM audition_line)"),
            ("how far it goes", "UPDATE listed SET up_to = up_to + 1000"),
        ] {
            let before = log.find(&Find::default()).expect("found");
            log.tables().execute(sql, []).expect("altered");
            assert!(!lists_are_right(log.tables()).expect("looked"), "{what}");
            assert!(look_over(folder.path()).expect("looked").and_then(|looked| looked.unsound).is_some(), "{what}");
            whole(folder.path()).expect("mended");
            assert!(lists_are_right(log.tables()).expect("looked"), "{what}");
            assert_eq!(log.find(&Find::default()).expect("found"), before, "{what}");
        }
    }

    /// More was written since the tally was begun than an opening reads of it.
    #[test]
    fn a_long_tally_puts_back_what_was_written_last() {
        let (folder, mut log) = listed();
        let now = DateTime::from_timestamp(1_793_800_000, 0).unwrap_or_default();
        let one = solderlast_core::demo::entries().remove(0);
        let text = format!(r#"{{"kind":"hummed","tune":"{}"}}"#, "la ".repeat(10_000));
        for number in 0..200 {
            let body = Written::Newer { kind: "hummed".to_owned(), text: text.clone() };
            log.write(&[Entry { id: EntryId(Uuid::from_u128(1 << 96 | number)), body, ..one.clone() }])
                .expect("written");
        }
        let before =
            log.tables().query_row("SELECT count(*) FROM entry", [], |row| row.get::<_, i64>(0)).expect("counted");
        log.tables().execute("DELETE FROM entry WHERE seq = (SELECT max(seq) FROM entry)", []).expect("gone");
        drop(log);
        let log = Log::open(folder.path(), now, BenchId(Uuid::from_u128(7))).expect("opens");
        let after =
            log.tables().query_row("SELECT count(*) FROM entry", [], |row| row.get::<_, i64>(0)).expect("counted");
        assert_eq!(after, before);
        assert!(log.tables().prepare("SELECT 1 FROM notice").expect("a table").exists([]).expect("read"), "it is said");
        whole(folder.path()).expect("sound");
    }

    #[test]
    fn an_entry_that_is_gone_or_altered_is_seen() {
        for (what, sql) in [
            ("gone", "DELETE FROM entry WHERE seq = 9"),
            ("altered", "UPDATE entry SET body = replace(body, 'e', 'f') WHERE seq = 9"),
            (
                "altered, with a sum that fits",
                "UPDATE entry SET at = at + 1, sum = sum_of(id, at + 1, bench, thing, about, kind, body) WHERE seq = 9",
            ),
        ] {
            let (folder, log) = listed();
            log.tables().execute(sql, []).expect("altered");
            assert!(matches!(whole(folder.path()), Err(Trouble::Damaged(_))), "{what}");
            assert!(look_over(folder.path()).expect("looked").and_then(|looked| looked.unsound).is_some(), "{what}");
        }
    }
}
