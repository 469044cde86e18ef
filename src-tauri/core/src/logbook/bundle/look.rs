//! Looking into a bundle: every byte of it is checked, and what is new in it is said, before anything is changed.
//!
//! Entries go into a table of their own on the tray, so memory stays the same however many there are, and what is new is
//! asked of SQLite.

use std::collections::{HashMap, HashSet};
use std::io::{BufRead, BufReader, Read, Seek};
use std::path::Path;

use chrono::{DateTime, Utc};
use rusqlite::{Connection, OptionalExtension, Row, params};
use serde_json::Value;
use uuid::Uuid;
use zip::{ZipArchive, ZipReadOptions};

use super::directory::{Member, members};
use super::flaw::{Flaw, NotCarried};
use super::limits::{AHEAD, LONGEST_LINE, MOST_BYTES_OF_ENTRIES, MOST_ENTRIES};
use super::line::{Carried, is_sound, photos_in};
use super::manifest::{Counts, ENTRIES, MANIFEST, Manifest, PHOTOS, Sum};
use super::tray::Tray;
use super::watch::{Phase, Watch};
use crate::logbook::opening::connect;
use crate::logbook::store::{FILE, in_letters};
use crate::logbook::{BenchId, DEMO_BENCH, Written};
use crate::photos::{PhotoName, Shelf, is_as_kept};

/// How many lines are read between two looks at whether it was called off.
const AT_ONCE: u64 = 500;
/// How many benches are told apart.
const BENCHES: usize = 20;

/// What is in a bundle, beside what is in the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Found {
    /// The bundle's own list.
    pub manifest: Manifest,
    /// Entries and things that are new here, photos included.
    pub new: Counts,
    /// Entries that are here already.
    pub here: u64,
    /// Things that are here already and that new entries are about.
    pub added_to: u64,
    /// New entries that this version can't read.
    pub newer: u64,
    /// New entries that are dated later than this bench's clock shows, and the latest of their dates.
    pub ahead: Option<(u64, DateTime<Utc>)>,
    /// Who wrote the new entries, and how many each; those who wrote most first, at most twenty.
    pub benches: Vec<(BenchId, u64)>,
}

impl Found {
    /// Whether taking it in would bring anything: entries, or photos that entries speak of and that are missing here.
    #[must_use]
    pub fn is_anything_new(&self) -> bool {
        self.new.entries > 0 || self.new.photos > 0
    }
}

/// Looks into a bundle for the log in this folder. Nothing in the log is changed; what was read lies on the tray
/// afterwards, ready to be taken in.
///
/// # Errors
/// [`NotCarried`] with the first [`Flaw`], or when the disk can't be used.
pub fn look<R: Read + Seek>(
    folder: &Path,
    mut bundle: R,
    tray: &Tray,
    now: DateTime<Utc>,
    watch: &Watch,
) -> Result<Found, NotCarried> {
    watch.begin(Phase::Reading, 1);
    let listed = members(&mut bundle)?;
    let mut archive = ZipArchive::new(bundle).map_err(|_| Flaw::OddlyPacked("its list of files can't be read"))?;
    let manifest = read_manifest(&mut archive, &listed)?;

    let conn = staging(folder, tray)?;
    read_entries(&mut archive, &listed, &manifest, &conn, watch)?;
    read_photos(&mut archive, &listed, &manifest, &conn, watch)?;
    let found = compare(&conn, manifest, &Shelf::beside(folder), now)?;
    watch.go_on()?;
    Ok(found)
}

/// The log's own connection with the tray's tables beside it, empty.
fn staging(folder: &Path, tray: &Tray) -> Result<Connection, NotCarried> {
    for ending in ["", "-journal"] {
        let mut path = tray.staged().into_os_string();
        path.push(ending);
        match std::fs::remove_file(path) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(error.into()),
            _ => {}
        }
    }
    let conn = beside(folder, tray)?;
    conn.execute_batch(
        "CREATE TABLE tray.staged (
            row INTEGER PRIMARY KEY, id BLOB NOT NULL UNIQUE, at INTEGER NOT NULL, bench BLOB NOT NULL,
            thing TEXT NOT NULL, about BLOB NOT NULL, kind TEXT NOT NULL, body TEXT NOT NULL, newer INTEGER NOT NULL
         ) STRICT;
         CREATE TABLE tray.thing (about BLOB PRIMARY KEY, thing TEXT NOT NULL) STRICT, WITHOUT ROWID;
         CREATE TABLE tray.photo (name TEXT PRIMARY KEY, comes INTEGER NOT NULL) STRICT, WITHOUT ROWID;",
    )?;
    Ok(conn)
}

/// A connection to the log with what lies on the tray beside it.
pub(super) fn beside(folder: &Path, tray: &Tray) -> Result<Connection, NotCarried> {
    let conn = connect(&folder.join(FILE))?;
    let staged = tray.staged();
    let Some(path) = staged.to_str() else {
        return Err(std::io::Error::other("the folder of the log has a name that is not text").into());
    };
    conn.execute("ATTACH ?1 AS tray", [path])?;
    // What lies there is made anew after a stop, so it needs neither a journal nor syncing.
    conn.execute_batch("PRAGMA tray.journal_mode = OFF; PRAGMA tray.synchronous = OFF;")?;
    Ok(conn)
}

fn read_manifest<R: Read + Seek>(archive: &mut ZipArchive<R>, listed: &[Member]) -> Result<Manifest, NotCarried> {
    let index = place_of(listed, MANIFEST)?;
    let manifest = Manifest::read(&whole(archive, listed, index)?)?;
    let mut named: Vec<&str> = manifest.members.iter().map(|member| member.name.as_str()).collect();
    named.sort_unstable();
    if named.windows(2).any(|pair| pair[0] == pair[1]) || named.binary_search(&MANIFEST).is_ok() {
        return Err(Flaw::Manifest.into());
    }
    let there: HashSet<&str> = listed.iter().map(|one| one.name.as_str()).collect();
    if let Some(missing) = named.iter().find(|name| !there.contains(*name)) {
        return Err(Flaw::Missing((*missing).to_owned()).into());
    }
    if let Some(one) =
        listed.iter().find(|one| one.name != MANIFEST && named.binary_search(&one.name.as_str()).is_err())
    {
        return Err(Flaw::NotListed(one.name.clone()).into());
    }
    if named.binary_search(&ENTRIES).is_err() {
        return Err(Flaw::Missing(ENTRIES.to_owned()).into());
    }
    Ok(manifest)
}

fn place_of(listed: &[Member], name: &str) -> Result<usize, Flaw> {
    listed.iter().position(|one| one.name == name).ok_or_else(|| Flaw::Missing(name.to_owned()))
}

/// All bytes of the member at this place, which is small enough to be held.
pub(super) fn whole<R: Read + Seek>(
    archive: &mut ZipArchive<R>,
    listed: &[Member],
    index: usize,
) -> Result<Vec<u8>, NotCarried> {
    let Some(Member { name, size }) = listed.get(index) else { return Err(Flaw::NotABundle.into()) };
    let mut bytes = Vec::new();
    opened(archive, index, name)?.take(size + 1).read_to_end(&mut bytes).map_err(|error| unread(error, name))?;
    if bytes.len() as u64 == *size { Ok(bytes) } else { Err(Flaw::Changed(name.clone()).into()) }
}

/// A member, to be read; what it unpacks to may still be more than its list says.
fn opened<'a, R: Read + Seek>(
    archive: &'a mut ZipArchive<R>,
    index: usize,
    name: &str,
) -> Result<impl Read + use<'a, R>, NotCarried> {
    let strict = ZipReadOptions::new().enforce_header_consistency(true);
    let member = archive.by_index_with_options(index, strict).map_err(|_| Flaw::Changed(name.to_owned()))?;
    if member.name_raw() == name.as_bytes() { Ok(member) } else { Err(Flaw::Changed(name.to_owned()).into()) }
}

/// What a failure to read comes from: mostly the bundle, else the disk.
fn unread(error: std::io::Error, name: &str) -> NotCarried {
    match error.raw_os_error() {
        Some(_) => error.into(),
        None => Flaw::Changed(name.to_owned()).into(),
    }
}

fn read_entries<R: Read + Seek>(
    archive: &mut ZipArchive<R>,
    listed: &[Member],
    manifest: &Manifest,
    conn: &Connection,
    watch: &Watch,
) -> Result<(), NotCarried> {
    let index = place_of(listed, ENTRIES)?;
    let size = listed.get(index).map_or(0, |one| one.size);
    watch.begin(Phase::Reading, size);
    let mut lines = BufReader::with_capacity(1 << 16, opened(archive, index, ENTRIES)?.take(size + 1));
    let stroke = conn.unchecked_transaction()?;
    let mut staging = Staging::new(&stroke)?;
    let (mut sum, mut line, mut number) = (Sum::default(), Vec::new(), 0);
    loop {
        line.clear();
        let length = lines
            .by_ref()
            .take(LONGEST_LINE as u64 + 1)
            .read_until(b'\n', &mut line)
            .map_err(|error| unread(error, ENTRIES))?;
        if length == 0 {
            break;
        }
        number += 1;
        if length > LONGEST_LINE {
            return Err(Flaw::LongLine(number).into());
        }
        if number > MOST_ENTRIES || sum.bytes() > MOST_BYTES_OF_ENTRIES {
            return Err(Flaw::TooManyEntries.into());
        }
        sum.add(&line);
        staging.stage(&Carried::read(line.strip_suffix(b"\n").unwrap_or(&line), number)?, number)?;
        if number.is_multiple_of(AT_ONCE) {
            watch.reached(sum.bytes())?;
        }
    }
    drop(staging);
    let read = sum.listed(ENTRIES);
    if read.bytes != size || !manifest.members.contains(&read) {
        return Err(Flaw::Changed(ENTRIES.to_owned()).into());
    }
    if number != manifest.counts.entries {
        return Err(Flaw::Counts.into());
    }
    stroke.commit()?;
    Ok(())
}

/// Puts entries on the tray.
struct Staging<'a> {
    entry: rusqlite::Statement<'a>,
    thing: rusqlite::Statement<'a>,
    thing_there: rusqlite::Statement<'a>,
    photo: rusqlite::Statement<'a>,
    last: Option<(Uuid, String)>,
}

impl<'a> Staging<'a> {
    fn new(stroke: &'a Connection) -> Result<Self, NotCarried> {
        Ok(Self {
            entry: stroke.prepare(
                "INSERT INTO tray.staged (id, at, bench, thing, about, kind, body, newer)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT (id) DO NOTHING",
            )?,
            thing: stroke.prepare("INSERT INTO tray.thing VALUES (?1, ?2) ON CONFLICT (about) DO NOTHING")?,
            thing_there: stroke.prepare("SELECT thing FROM tray.thing WHERE about = ?1")?,
            photo: stroke.prepare("INSERT OR IGNORE INTO tray.photo VALUES (?1, 0)")?,
            last: None,
        })
    }

    fn stage(&mut self, entry: &Carried, number: u64) -> Result<(), NotCarried> {
        let written = entry.written();
        if !is_sound(&written) {
            return Err(Flaw::Unsound(number).into());
        }
        let newer = written.known().is_none();
        let Carried { id, at, bench, thing, about, kind, body } = entry;
        if self.entry.execute(params![id, at, bench, thing, about, kind, body, newer])? == 0 {
            return Err(Flaw::EntryTwice(number).into());
        }
        // Entries about one thing mostly come one after the other.
        if self.last.as_ref().is_none_or(|(last, of)| last != about || of != thing) {
            if self.thing.execute(params![about, thing])? == 0 {
                let there: String = self.thing_there.query_row([about], |row| row.get(0))?;
                if there != *thing {
                    return Err(Flaw::TwoThings.into());
                }
            }
            self.last = Some((*about, thing.clone()));
        }
        for name in photos_in(body) {
            self.photo.execute([name])?;
        }
        Ok(())
    }
}

fn read_photos<R: Read + Seek>(
    archive: &mut ZipArchive<R>,
    listed: &[Member],
    manifest: &Manifest,
    conn: &Connection,
    watch: &Watch,
) -> Result<(), NotCarried> {
    let stroke = conn.unchecked_transaction()?;
    // A photo's name is its SHA-256, so the list must say the same.
    let said: HashMap<&str, (u64, &str)> =
        manifest.members.iter().map(|one| (one.name.as_str(), (one.bytes, one.sha256.as_str()))).collect();
    for (index, Member { name, size }) in listed.iter().enumerate() {
        let Some(photo) = photo_of(name) else { continue };
        watch.go_on()?;
        let bytes = whole(archive, listed, index)?;
        if said.get(name.as_str()) != Some(&(*size, photo.as_str())) || !photo.names(&bytes) {
            return Err(Flaw::Changed(name.clone()).into());
        }
        if !is_as_kept(&bytes) {
            return Err(Flaw::Photo(name.clone()).into());
        }
        let comes = "UPDATE tray.photo SET comes = 1 WHERE name = ?1";
        if stroke.prepare_cached(comes)?.execute([photo.as_str()])? == 0 {
            return Err(Flaw::PhotoOfNothing(name.clone()).into());
        }
    }
    stroke.commit()?;
    Ok(())
}

/// The photo that a member is, if it is one.
pub(super) fn photo_of(member: &str) -> Option<PhotoName> {
    let digits = member.strip_prefix(PHOTOS.0)?.strip_suffix(PHOTOS.1)?;
    PhotoName::try_from(digits.to_owned()).ok()
}

/// Entries on the tray that the log does not have.
pub(super) const NEW: &str = "tray.staged s WHERE NOT EXISTS (SELECT 1 FROM entry e WHERE e.id = s.id)";

/// Beside the log: what would be rewritten is refused, what is new is counted.
fn compare(conn: &Connection, manifest: Manifest, shelf: &Shelf, now: DateTime<Utc>) -> Result<Found, NotCarried> {
    let read = conn.unchecked_transaction()?;
    refuse_contradictions(&read)?;
    let ahead_of = (now + AHEAD).timestamp_micros();
    let sql = format!("SELECT count(*), coalesce(sum(newer), 0), coalesce(sum(at > ?1), 0), max(at) FROM {NEW}");
    let (entries, newer, ahead, latest): (u64, u64, u64, Option<i64>) = read
        .query_row(&sql, [ahead_of], |row| Ok((counted(row, 0)?, counted(row, 1)?, counted(row, 2)?, row.get(3)?)))?;
    let mut new = Counts { entries, ..Counts::default() };
    let unknown = "SELECT thing FROM tray.thing t WHERE NOT EXISTS (SELECT 1 FROM entry e WHERE e.about = t.about)";
    let mut select = read.prepare(unknown)?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        new.add(&in_letters(row.get_ref(0)?));
    }
    let mut select = read.prepare("SELECT name FROM tray.photo WHERE comes = 1")?;
    let mut rows = select.query([])?;
    while let Some(row) = rows.next()? {
        let name = PhotoName::try_from(in_letters(row.get_ref(0)?));
        new.photos += u64::from(name.is_ok_and(|name| !shelf.lies(&name)));
    }
    new.photos_missing =
        read.query_row("SELECT count(*) FROM tray.photo WHERE comes = 0", [], |row| counted(row, 0))?;
    let added_to =
        format!("SELECT count(DISTINCT s.about) FROM {NEW} AND EXISTS (SELECT 1 FROM entry e WHERE e.about = s.about)");
    let added_to = read.query_row(&added_to, [], |row| counted(row, 0))?;
    let benches = format!("SELECT bench, count(*) FROM {NEW} GROUP BY bench ORDER BY 2 DESC, 1 LIMIT {BENCHES}");
    let mut select = read.prepare(&benches)?;
    let benches =
        select.query_map([], |row| Ok((BenchId(row.get(0)?), counted(row, 1)?)))?.collect::<Result<_, _>>()?;
    let ahead = latest.and_then(DateTime::from_timestamp_micros).filter(|_| ahead > 0).map(|latest| (ahead, latest));
    Ok(Found { here: manifest.counts.entries.saturating_sub(entries), manifest, new, added_to, newer, ahead, benches })
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
