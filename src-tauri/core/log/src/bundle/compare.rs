//! What lies on a tray beside what is in the log: what is new, and what must not be.

use std::path::Path;

use std::cmp::Reverse;
use std::collections::HashMap;

use chrono::{DateTime, Utc};
use rusqlite::{Connection, OptionalExtension, Row};
use serde_json::Value;
use uuid::Uuid;

use super::flaw::{Flaw, NotCarried};
use super::limits::AHEAD;
use super::look::BundleNews;
use super::manifest::{Counts, Manifest};
use crate::photos::Shelf;
use crate::record::entry::Written;
use crate::record::names::{BenchId, DEMO_BENCH};
use crate::record::photo::PhotoName;
use crate::record::take::TakeName;
use crate::row::in_letters;

/// How many benches are named at most.
const BENCHES: usize = 20;
/// How many benches are told apart; there are never so many but in a bundle that was made up.
const MOST_BENCHES: usize = 1000;

/// Entries on the tray that the log does not have.
pub(super) const NEW: &str = "tray.staged s WHERE NOT EXISTS (SELECT 1 FROM entry e WHERE e.id = s.id)";

/// Beside the log: what would be rewritten is refused, what is new is counted.
pub(super) fn compare(
    conn: &Connection,
    manifest: Manifest,
    folder: &Path,
    now: DateTime<Utc>,
) -> Result<BundleNews, NotCarried> {
    let read = conn.unchecked_transaction()?;
    refuse_contradictions(&read)?;
    let NewEntries { entries, newer, ahead, benches } = new_entries(&read, now)?;
    let mut new = Counts { entries, ..Counts::default() };
    let unknown = "SELECT thing FROM tray.thing t WHERE NOT EXISTS (SELECT 1 FROM entry e WHERE e.about = t.about)";
    let mut select = read.prepare(unknown)?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        new.add(&in_letters(row.get_ref(0)?));
    }
    let shelf = Shelf::beside(folder);
    let mut select = read.prepare("SELECT name FROM tray.photo WHERE comes = 1")?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let name = PhotoName::try_from(in_letters(row.get_ref(0)?));
        new.photos += u64::from(name.is_ok_and(|name| !shelf.lies(&name)));
    }
    let takes = crate::takes::Shelf::beside(folder);
    let mut select = read.prepare("SELECT name FROM tray.take WHERE comes = 1")?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let name = TakeName::try_from(in_letters(row.get_ref(0)?));
        new.takes += u64::from(name.is_ok_and(|name| !takes.lies(&name)));
    }
    // Those that lie here already are not missed.
    let mut select = read.prepare("SELECT name FROM tray.take WHERE comes = 0")?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let name = TakeName::try_from(in_letters(row.get_ref(0)?));
        new.takes_missing += u64::from(name.is_ok_and(|name| !takes.lies(&name)));
    }
    new.photos_missing =
        read.query_row("SELECT count(*) FROM tray.photo WHERE comes = 0", [], |row| counted(row, 0))?;
    let added_to =
        format!("SELECT count(DISTINCT s.about) FROM {NEW} AND EXISTS (SELECT 1 FROM entry e WHERE e.about = s.about)");
    let added_to = read.query_row(&added_to, [], |row| counted(row, 0))?;
    Ok(BundleNews {
        here: manifest.counts.entries.saturating_sub(entries),
        manifest,
        new,
        added_to,
        newer,
        ahead,
        benches,
    })
}

/// What is said of the new entries as they pass by.
struct NewEntries {
    entries: u64,
    newer: u64,
    ahead: Option<(u64, DateTime<Utc>)>,
    benches: Vec<(BenchId, u64)>,
}

/// Counts the new entries one after the other: SQLite would sort them all in memory.
fn new_entries(read: &Connection, now: DateTime<Utc>) -> Result<NewEntries, NotCarried> {
    let ahead_of = (now + AHEAD).timestamp_micros();
    let (mut entries, mut newer, mut ahead, mut latest) = (0, 0, 0, i64::MIN);
    let mut benches = HashMap::<Uuid, u64>::new();
    let mut select = read.prepare(&format!("SELECT s.bench, s.newer, s.at FROM {NEW}"))?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let (bench, at): (Uuid, i64) = (row.get(0)?, row.get(2)?);
        entries += 1;
        newer += counted(row, 1)?;
        ahead += u64::from(at > ahead_of);
        latest = latest.max(at);
        if benches.len() < MOST_BENCHES || benches.contains_key(&bench) {
            *benches.entry(bench).or_default() += 1;
        }
    }
    let mut benches: Vec<(BenchId, u64)> = benches.into_iter().map(|(bench, count)| (BenchId(bench), count)).collect();
    benches.sort_by_key(|(bench, count)| (Reverse(*count), *bench));
    benches.truncate(BENCHES);
    let ahead = DateTime::from_timestamp_micros(latest).filter(|_| ahead > 0).map(|latest| (ahead, latest));
    Ok(NewEntries { entries, newer, ahead, benches })
}

/// A count that SQLite made; it is never negative.
pub(super) fn counted(row: &Row<'_>, column: usize) -> rusqlite::Result<u64> {
    Ok(u64::try_from(row.get::<_, i64>(column)?).unwrap_or(0))
}

/// Refuses entries that would change what is written, and names that mean two things.
pub(super) fn refuse_contradictions(read: &Connection) -> Result<(), NotCarried> {
    let two_things = "SELECT 1 FROM tray.thing t
        WHERE EXISTS (SELECT 1 FROM entry e WHERE e.about = t.about AND e.thing <> t.thing) LIMIT 1";
    if read.query_row(two_things, [], |_| Ok(())).optional()?.is_some() {
        return Err(Flaw::TwoThings.into());
    }
    refuse_false_links(read)?;
    let mut select = read.prepare(
        "SELECT e.at, e.bench, s.bench, e.kind, e.body, s.kind, s.body,
                e.at = s.at AND e.thing = s.thing AND e.about = s.about
         FROM tray.staged s JOIN entry e ON e.id = s.id
         WHERE e.at <> s.at OR e.bench <> s.bench OR e.thing <> s.thing OR e.about <> s.about OR e.kind <> s.kind
            OR e.body <> s.body",
    )?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let benches: (Uuid, Uuid) = (row.get(1)?, row.get(2)?);
        // The demo bench may be of another version there; what is here stays.
        if benches == (DEMO_BENCH.0, DEMO_BENCH.0) {
            continue;
        }
        let mut texts = [const { String::new() }; 4];
        for (text, column) in texts.iter_mut().zip(3..) {
            *text = in_letters(row.get_ref(column)?);
        }
        let [kind, body, other_kind, other_body] = texts;
        if !row.get::<_, bool>(7)?
            || benches.0 != benches.1
            || !says_the_same((&kind, &body), (&other_kind, &other_body))
        {
            let at = DateTime::from_timestamp_micros(row.get(0)?).unwrap_or_default();
            return Err(Flaw::Rewritten(at).into());
        }
    }
    Ok(())
}

/// Refuses entries that take something for another thing than it is, strike out what they can't, or have the name of one that
/// belongs to another's act. What is neither in the bundle nor in the log is no reason: a bundle may hold a part of a log.
fn refuse_false_links(read: &Connection) -> Result<(), NotCarried> {
    const MEANT_OTHERWISE: &str = "SELECT s.line FROM tray.spoken s JOIN {things} t ON t.about = s.about
        WHERE t.thing <> s.thing LIMIT 1";
    const STRUCK: &str = "SELECT s.line FROM tray.struck s JOIN {there} t ON t.id = s.entry
        WHERE t.about <> s.about OR t.kind = 'reference_looked_at' LIMIT 1";
    const FOLLOWS: &str = "SELECT f.line FROM tray.follows f JOIN {there} t ON t.id = f.id
        WHERE CASE f.first
            WHEN 'chosen' THEN t.about <> f.about OR t.kind NOT IN ('tuned', 'gaps_aimed')
            WHEN 'fit_done' THEN t.kind NOT IN ('installed', 'taken_out', 'fitted')
            ELSE t.kind NOT IN ('struck_out', 'fitted')
        END LIMIT 1";
    for (question, flaw) in
        [(MEANT_OTHERWISE, Flaw::Reference as fn(u64) -> Flaw), (STRUCK, Flaw::Strike), (FOLLOWS, Flaw::Follower)]
    {
        for (there, things) in [("tray.staged", "tray.thing"), ("main.entry", "main.entry")] {
            let asked = question.replace("{there}", there).replace("{things}", things);
            if let Some(line) = read.query_row(&asked, [], |row| counted(row, 0)).optional()? {
                return Err(flaw(line).into());
            }
        }
    }
    Ok(())
}

/// Whether two bodies come to the same: a version may leave out what another writes although it is the usual.
fn says_the_same(one: (&str, &str), other: (&str, &str)) -> bool {
    if one.0 != other.0 {
        return false;
    }
    let read = |(kind, text): (&str, &str)| Written::read(kind, text);
    match (read(one).known(), read(other).known()) {
        (Some(one), Some(other)) => one == other,
        _ => {
            let value = |text: &str| serde_json::from_str::<Value>(text).ok();
            one.1 == other.1 || value(one.1).is_some_and(|value_of_one| value(other.1) == Some(value_of_one))
        }
    }
}
