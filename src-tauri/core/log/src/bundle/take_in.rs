//! Taking a bundle in: all of it, or nothing.

use std::io::{Read, Seek};
use std::path::Path;

use chrono::{DateTime, Utc};
use rusqlite::{Connection, OptionalExtension, Transaction, TransactionBehavior, params};
use uuid::Uuid;
use zip::ZipArchive;

use super::compare::{NEW, refuse_contradictions};
use super::directory::{Member, members};
use super::flaw::{Flaw, NotCarried};
use super::look::{beside, photo_of, whole};
use super::takes;
use super::tray::Tray;
use super::watch::{Phase, Watch};
use crate::lock::Lock;
use crate::photos::Shelf;
use crate::record::names::EntryId;
use crate::{copies, tally};

/// How many rows are written between two looks at whether it was called off.
const AT_ONCE: i64 = 5000;

/// Takes in the bundle that was looked into with this tray; answers how many entries are new in the log.
///
/// New photos are laid on the tray first and the log is copied; then all new entries are written in one transaction, and
/// the photos go to the shelf; the lists are brought up to date by who makes them. Whoever else writes to the log meanwhile waits. A stop before the end of the transaction
/// leaves the log as it was; one after it is ended at the next opening.
///
/// # Errors
/// [`NotCarried`]; the log is as it was. Once the entries are written nothing is refused any more.
pub fn take_in<R: Read + Seek>(
    folder: &Path,
    bundle: R,
    tray: &Tray,
    now: DateTime<Utc>,
    watch: &Watch,
) -> Result<u64, NotCarried> {
    let mut conn = beside(folder, tray)?;
    let shelf = Shelf::beside(folder);
    let (listed, mut archive) = lay_photos(&conn, bundle, tray, &shelf, watch)?;
    takes::lay(&mut archive, &listed, &conn, tray, &crate::takes::Shelf::beside(folder), watch)?;
    drop(archive);
    watch.begin(Phase::Copying, 1);
    copies::make(&conn, folder, now)?;
    watch.go_on()?;
    let written = write(&mut conn, folder, tray, watch, Tallied::Anew)?;
    drop(conn);
    // From here on it is in. What can't be done now is done at the next opening.
    let _ = tray.shelve(folder);
    // So many at once are not added to the tally one by one.
    if written > 0 {
        let _ = tally::count_anew(folder);
    }
    Ok(written)
}

/// Lays the photos that the shelf does not have on the tray.
fn lay_photos<R: Read + Seek>(
    conn: &Connection,
    mut bundle: R,
    tray: &Tray,
    shelf: &Shelf,
    watch: &Watch,
) -> Result<(Vec<Member>, ZipArchive<R>), NotCarried> {
    let listed = members(&mut bundle)?;
    let mut archive = ZipArchive::new(bundle).map_err(|_| Flaw::NotABundle)?;
    watch.begin(Phase::Copying, listed.len() as u64);
    let mut comes = conn.prepare("SELECT 1 FROM tray.photo WHERE name = ?1 AND comes = 1")?;
    for (number, member) in listed.iter().enumerate() {
        watch.reached(number as u64)?;
        let Some(photo) = photo_of(&member.name) else { continue };
        if !comes.exists([photo.as_str()])? || shelf.read(&photo)?.is_some() {
            continue;
        }
        let bytes = whole(&mut archive, &listed, number)?;
        // The file was checked when it was looked into; it may have been changed since.
        if !photo.names(&bytes) {
            return Err(Flaw::Changed(member.name.clone()).into());
        }
        tray.lay_photo(&photo, &bytes)?;
    }
    Ok((listed, archive))
}

/// How new entries come into the tally.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tallied {
    /// All of the log is counted once they are in.
    Anew,
    /// One by one: they are few.
    OneByOne,
}

/// New entries as frames of the tally.
fn frames(stroke: &Transaction<'_>) -> Result<Vec<u8>, NotCarried> {
    let mut select = stroke
        .prepare(&format!("SELECT s.id, s.at, s.bench, s.thing, s.about, s.kind, s.body FROM {NEW} ORDER BY s.row"))?;
    let (mut rows, mut frames) = (select.query([])?, Vec::new());
    while let Some(row) = rows.next()? {
        let of = |column| row.get_ref(column);
        frames.extend(tally::frame([of(0)?, of(1)?, of(2)?, of(3)?, of(4)?, of(5)?, of(6)?]));
    }
    Ok(frames)
}

/// Writes the new entries in one transaction, in the order of the bundle.
pub(super) fn write(
    conn: &mut Connection,
    folder: &Path,
    tray: &Tray,
    watch: &Watch,
    tallied: Tallied,
) -> Result<u64, NotCarried> {
    let lock = Lock::of(folder)?;
    let _together = lock.together()?;
    let stroke = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Looked at again inside the transaction: the log may have been written to since.
    refuse_contradictions(&stroke)?;
    let first: Option<Uuid> =
        stroke.query_row(&format!("SELECT s.id FROM {NEW} ORDER BY s.row LIMIT 1"), [], |row| row.get(0)).optional()?;
    let Some(first) = first else { return Ok(0) };
    tray.committing(EntryId(first))?;
    let last: i64 = stroke.query_row("SELECT coalesce(max(row), 0) FROM tray.staged", [], |row| row.get(0))?;
    watch.begin(Phase::Writing, u64::try_from(last).unwrap_or(0));
    let frames = if tallied == Tallied::OneByOne { frames(&stroke)? } else { Vec::new() };
    let mut written = 0;
    {
        let mut insert = stroke.prepare(&format!(
            "INSERT INTO main.entry (id, at, bench, thing, about, kind, body, sum)
             SELECT s.id, s.at, s.bench, s.thing, s.about, s.kind, s.body,
                sum_of(s.id, s.at, s.bench, s.thing, s.about, s.kind, s.body) FROM {NEW} AND s.row > ?1 AND s.row <= ?2
             ORDER BY s.row"
        ))?;
        let mut from = 0;
        while from < last {
            written += insert.execute(params![from, from + AT_ONCE])? as u64;
            from += AT_ONCE;
            watch.reached(u64::try_from(from).unwrap_or(0))?;
        }
    }
    stroke.commit()?;
    tally::Tally::of(folder).add(&frames);
    Ok(written)
}
