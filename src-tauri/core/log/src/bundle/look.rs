//! Looking into a bundle: every byte of it is checked, and what is new in it is said, before anything is changed.
//!
//! Entries go into a table of their own on the tray, so memory stays the same however many there are, and what is new is
//! asked of SQLite.

use std::collections::{HashMap, HashSet};
use std::io::{BufRead, BufReader, Read, Seek};
use std::path::Path;

use chrono::{DateTime, Utc};
use rusqlite::{Connection, params};
use uuid::Uuid;
use zip::{ZipArchive, ZipReadOptions};

use super::compare::compare;
use super::directory::{Member, members};
use super::flaw::{Flaw, NotCarried};
use super::limits::{LONGEST_LINE, MOST_BYTES_OF_ENTRIES, MOST_ENTRIES};
use super::line::{Carried, photos_in};
use super::manifest::{Counts, ENTRIES, MANIFEST, Manifest, PHOTOS, Sum};
use super::takes;
use super::tray::Tray;
use super::watch::{Phase, Watch};
use crate::file::connect;
use crate::photos::is_as_kept;
use crate::private;
use crate::record::body::{AuditionBody, Body, InstallBody, StrikeBody};
use crate::record::entry::About;
use crate::record::names::{BenchId, EntryId};
use crate::record::photo::PhotoName;
use crate::record::rules::{check, speaks_of};
use crate::row::FILE;

/// How many lines are read between two looks at whether it was called off.
const AT_ONCE: u64 = 500;

/// What is in a bundle, beside what is in the log.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BundleNews {
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

impl BundleNews {
    /// Whether taking it in would bring anything: entries, or photos and takes that entries speak of and that are missing here.
    #[must_use]
    pub fn is_anything_new(&self) -> bool {
        self.new.entries > 0 || self.new.photos > 0 || self.new.takes > 0
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
) -> Result<BundleNews, NotCarried> {
    watch.begin(Phase::Reading, 1);
    let listed = members(&mut bundle)?;
    let mut archive = ZipArchive::new(bundle).map_err(|_| Flaw::OddlyPacked("its list of files can't be read"))?;
    let manifest = read_manifest(&mut archive, &listed)?;

    let conn = staging(folder, tray)?;
    read_entries(&mut archive, &listed, &manifest, &conn, watch)?;
    read_photos(&mut archive, &listed, &manifest, &conn, watch)?;
    takes::look(&mut archive, &listed, &manifest, &conn, watch)?;
    let found = compare(&conn, manifest, folder, now)?;
    watch.go_on()?;
    Ok(found)
}

/// The log's own connection with the tray's tables beside it, empty.
pub(super) fn staging(folder: &Path, tray: &Tray) -> Result<Connection, NotCarried> {
    for ending in ["", "-journal"] {
        let mut path = tray.staged().into_os_string();
        path.push(ending);
        match crate::files::remove_file(path) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(error.into()),
            _ => {}
        }
    }
    private::begin(&tray.staged())?;
    let conn = beside(folder, tray)?;
    conn.execute_batch(
        "CREATE TABLE tray.staged (
            row INTEGER PRIMARY KEY, id BLOB NOT NULL UNIQUE, at INTEGER NOT NULL, bench BLOB NOT NULL,
            thing TEXT NOT NULL, about BLOB NOT NULL, kind TEXT NOT NULL, body TEXT NOT NULL, newer INTEGER NOT NULL
         ) STRICT;
         CREATE TABLE tray.thing (about BLOB PRIMARY KEY, thing TEXT NOT NULL) STRICT, WITHOUT ROWID;
         CREATE TABLE tray.photo (name TEXT PRIMARY KEY, comes INTEGER NOT NULL) STRICT, WITHOUT ROWID;
         CREATE TABLE tray.take (name TEXT PRIMARY KEY, comes INTEGER NOT NULL) STRICT, WITHOUT ROWID;
         CREATE TABLE tray.spoken (
            about BLOB NOT NULL, thing TEXT NOT NULL, line INTEGER NOT NULL, PRIMARY KEY (about, thing)
         ) STRICT, WITHOUT ROWID;
         CREATE TABLE tray.struck (entry BLOB NOT NULL, about BLOB NOT NULL, line INTEGER NOT NULL) STRICT;
         CREATE TABLE tray.follows (
            id BLOB PRIMARY KEY, first TEXT NOT NULL, about BLOB NOT NULL, line INTEGER NOT NULL
         ) STRICT, WITHOUT ROWID;",
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
pub(super) fn opened<'a, R: Read + Seek>(
    archive: &'a mut ZipArchive<R>,
    index: usize,
    name: &str,
) -> Result<impl Read + use<'a, R>, NotCarried> {
    let strict = ZipReadOptions::new().enforce_header_consistency(true);
    let member = archive.by_index_with_options(index, strict).map_err(|_| Flaw::Changed(name.to_owned()))?;
    if member.name_raw() == name.as_bytes() { Ok(member) } else { Err(Flaw::Changed(name.to_owned()).into()) }
}

/// What a failure to read comes from: mostly the bundle, else the disk.
pub(super) fn unread(error: std::io::Error, name: &str) -> NotCarried {
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
pub(super) struct Staging<'a> {
    entry: rusqlite::Statement<'a>,
    thing: rusqlite::Statement<'a>,
    thing_there: rusqlite::Statement<'a>,
    photo: rusqlite::Statement<'a>,
    take: rusqlite::Statement<'a>,
    spoken: rusqlite::Statement<'a>,
    struck: rusqlite::Statement<'a>,
    follows: rusqlite::Statement<'a>,
    last: Option<(Uuid, String)>,
}

impl<'a> Staging<'a> {
    pub(super) fn new(stroke: &'a Connection) -> Result<Self, NotCarried> {
        Ok(Self {
            entry: stroke.prepare(
                "INSERT INTO tray.staged (id, at, bench, thing, about, kind, body, newer)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8) ON CONFLICT (id) DO NOTHING",
            )?,
            thing: stroke.prepare("INSERT INTO tray.thing VALUES (?1, ?2) ON CONFLICT (about) DO NOTHING")?,
            thing_there: stroke.prepare("SELECT thing FROM tray.thing WHERE about = ?1")?,
            photo: stroke.prepare("INSERT OR IGNORE INTO tray.photo VALUES (?1, 0)")?,
            take: stroke.prepare("INSERT OR IGNORE INTO tray.take VALUES (?1, 0)")?,
            spoken: stroke.prepare("INSERT OR IGNORE INTO tray.spoken VALUES (?1, ?2, ?3)")?,
            struck: stroke.prepare("INSERT INTO tray.struck VALUES (?1, ?2, ?3)")?,
            follows: stroke.prepare("INSERT OR IGNORE INTO tray.follows VALUES (?1, ?2, ?3, ?4)")?,
            last: None,
        })
    }

    pub(super) fn stage(&mut self, entry: &Carried, number: u64) -> Result<(), NotCarried> {
        let written = entry.written();
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
        if let (Some(known), Some(of)) = (written.known(), About::from_parts(thing, *about)) {
            check(of, known).map_err(|broken| Flaw::Unsound(number, broken.sentence))?;
            self.stage_links(EntryId(*id), of, known, number)?;
        }
        if let Some((take, _)) = takes::named_in(kind, body) {
            self.take.execute([take.as_str()])?;
        }
        for name in photos_in(kind, body) {
            self.photo.execute([name])?;
        }
        Ok(())
    }

    /// What an entry says of others, to be held against them when all are there.
    fn stage_links(&mut self, id: EntryId, about: About, body: &Body, number: u64) -> Result<(), NotCarried> {
        let line = i64::try_from(number).unwrap_or(i64::MAX);
        for thing in speaks_of(body) {
            self.spoken.execute(params![thing.uuid(), thing.word(), line])?;
        }
        if let Body::Strike(StrikeBody::StruckOut { entry, .. }) = body {
            self.struck.execute(params![entry.0, about.uuid(), line])?;
        }
        // How many entries the act of such a one writes beside it.
        let further = match body {
            Body::Audition(AuditionBody::Chosen { .. }) => 2,
            Body::Install(InstallBody::FitDone { .. }) => 4,
            Body::Strike(_) if matches!(about, About::Fit(_)) => 8,
            Body::Thing(_)
            | Body::Leads(_)
            | Body::Measured(_)
            | Body::Audition(_)
            | Body::Listening(_)
            | Body::Comparison(_)
            | Body::Bench(_)
            | Body::Install(_)
            | Body::Take(_)
            | Body::Stay(_)
            | Body::Blind(_)
            | Body::Strike(_) => 0,
        };
        for follower in (1..=further).map(|number| id.beside(number)) {
            self.follows.execute(params![follower.0, body.kind(), about.uuid(), line])?;
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
