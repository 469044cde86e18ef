//! The tally: a second place for what was written last, which a torn write-ahead file can't take with it, and the count of
//! all entries.
//!
//! It is a file beside the log. Its head holds how many entries there were when it was begun and a sum of all of them,
//! whatever their order; behind it each entry that was written since is added, framed with its sum, after the log has it
//! and before it is acknowledged. It is not synced: what a power cut takes from it the log has, for that is. The tally
//! before it is kept, so that what is newer than the last two is always in it. What it has and the log lacks is put back at the
//! next opening; what it lacks is counted anew.

use crate::files::{self as fs, File, OpenOptions};
use std::collections::HashSet;
use std::io::{Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};

use rusqlite::types::ValueRef;
use rusqlite::{Connection, params_from_iter};
use uuid::Uuid;

use super::lock::{Lock, identity};
use super::raw::{Raw, Standing};
use super::sums::{Sum, sum_of};
use super::trouble::Trouble;
use crate::file::connect;
use crate::notice::{Lacking, Notice, Source};
use crate::private;
use crate::record::names::BenchId;
use crate::row::FILE;

const NOW: &str = "solderlast.tally";
const BEFORE: &str = "solderlast.tally-before";
/// Begins the file, and each frame.
const HEAD: &[u8; 8] = b"tally 1\n";
const FRAME: &[u8; 4] = b"\nIN\t";
const HEAD_LENGTH: usize = 8 + 16 + 1 + 8 + 16 + 16;
/// From this size on a new one is begun at the next opening, in bytes.
const LONG: u64 = 128 * 1024;
/// How much of a tally is read at an opening, in bytes, and how much of the one before it. A write-ahead file holds some
/// hundred entries that the log has nowhere else.
const MOST_NOW: u64 = 4 << 20;
const MOST_BEFORE: u64 = 1 << 20;
/// The longest tally that is read, in bytes.
const LONGEST: u64 = 1 << 30;
/// How much is kept for a disk that is full, in bytes.
const MOST_OWED: usize = 4 << 20;

/// How many entries there are, and the sum of all their sums, whatever their order.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub(super) struct Totals {
    pub count: u64,
    pub sum: Sum,
}

impl Totals {
    /// With one entry more, or less.
    pub fn toggle(&mut self, sum: &Sum, more: bool) {
        self.count = if more { self.count.saturating_add(1) } else { self.count.saturating_sub(1) };
        mix(&mut self.sum, sum);
    }
}

/// Brings one sum into another, or takes it out again.
fn mix(sum: &mut Sum, other: &Sum) {
    sum.iter_mut().zip(other).for_each(|(one, other)| *one ^= other);
}

/// The tally of a log, to be added to.
#[derive(Debug)]
pub(super) struct Tally {
    path: PathBuf,
    open: Option<(File, Option<(u64, u64)>)>,
    /// What found no room.
    owed: Vec<u8>,
}

impl Tally {
    pub fn of(folder: &Path) -> Self {
        Self { path: folder.join(NOW), open: None, owed: Vec::new() }
    }

    /// Adds frames. What finds no room is added with the next: the log has it already, so nobody is refused for it.
    pub fn add(&mut self, frames: &[u8]) {
        if frames.is_empty() {
            return;
        }
        let is = identity(&self.path);
        if self.open.as_ref().is_none_or(|(_, was)| is.is_none() || *was != is) {
            // Another program has begun a new one, and counted what was owed to the old one.
            self.owed.clear();
            self.open = OpenOptions::new().append(true).open(&self.path).ok().map(|file| (file, is));
        }
        self.owed.extend_from_slice(frames);
        // In one write, so that two programs' frames don't mix. A half of it is passed over by who reads.
        let written = self.open.as_mut().is_none_or(|(file, _)| file.write_all(&self.owed).is_ok());
        if written || self.owed.len() > MOST_OWED {
            self.owed.clear();
        }
    }
}

/// An entry as a frame.
pub(super) fn frame(values: [ValueRef<'_>; 7]) -> Vec<u8> {
    let mut payload = Vec::with_capacity(256);
    for value in values {
        match value {
            ValueRef::Blob(bytes) => payload.extend_from_slice(bytes),
            ValueRef::Integer(number) => payload.extend_from_slice(&number.to_le_bytes()),
            ValueRef::Text(bytes) => {
                payload.extend_from_slice(&(bytes.len() as u32).to_le_bytes());
                payload.extend_from_slice(bytes);
            }
            ValueRef::Null | ValueRef::Real(_) => {}
        }
    }
    let mut frame = Vec::with_capacity(payload.len() + 24);
    frame.extend_from_slice(FRAME);
    frame.extend_from_slice(&(payload.len() as u32).to_le_bytes());
    frame.extend_from_slice(&payload);
    frame.extend_from_slice(&sum_of(values));
    frame
}

/// Reads a frame that begins here; answers where it ends.
fn read_frame(bytes: &[u8]) -> Option<(Raw, usize)> {
    let rest = bytes.strip_prefix(FRAME)?;
    let length = u32::from_le_bytes(rest.get(..4)?.try_into().ok()?) as usize;
    let mut payload = rest.get(4..4_usize.checked_add(length)?)?;
    let end = 8 + length;
    let sum: Sum = bytes.get(end..end.checked_add(16)?)?.try_into().ok()?;
    let mut take = |length: usize| {
        let taken = payload.get(..length)?;
        payload = &payload[length..];
        Some(taken)
    };
    let id = take(16)?.try_into().ok()?;
    let at = i64::from_le_bytes(take(8)?.try_into().ok()?);
    let bench = take(16)?.try_into().ok()?;
    let thing_length = u32::from_le_bytes(take(4)?.try_into().ok()?) as usize;
    let thing = take(thing_length)?.to_vec();
    let about = take(16)?.try_into().ok()?;
    let kind_length = u32::from_le_bytes(take(4)?.try_into().ok()?) as usize;
    let kind = take(kind_length)?.to_vec();
    let body_length = u32::from_le_bytes(take(4)?.try_into().ok()?) as usize;
    let body = take(body_length)?.to_vec();
    let raw = Raw { seq: None, id, at, bench, thing, about, kind, body, sum: Some(sum) };
    (raw.standing() == Standing::Right).then_some((raw, end + 16))
}

/// The head of a tally.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Head {
    bench: BenchId,
    /// Nothing while nobody has counted.
    totals: Option<Totals>,
}

impl Head {
    fn bytes(self) -> Vec<u8> {
        let mut bytes = HEAD.to_vec();
        bytes.extend_from_slice(self.bench.0.as_bytes());
        bytes.push(u8::from(self.totals.is_some()));
        let totals = self.totals.unwrap_or_default();
        bytes.extend_from_slice(&totals.count.to_le_bytes());
        bytes.extend_from_slice(&totals.sum);
        let sum = sum_of([ValueRef::Blob(&bytes)]);
        bytes.extend_from_slice(&sum);
        bytes
    }

    fn read(bytes: &[u8]) -> Option<Self> {
        let head = bytes.get(..HEAD_LENGTH)?;
        let (said, sum) = head.split_at(HEAD_LENGTH - 16);
        (sum == sum_of([ValueRef::Blob(said)]) && said.starts_with(HEAD)).then_some(())?;
        let totals =
            Totals { count: u64::from_le_bytes(said[25..33].try_into().ok()?), sum: said[33..49].try_into().ok()? };
        let bench = BenchId(Uuid::from_slice(&said[8..24]).ok()?);
        Some(Self { bench, totals: (said[24] == 1).then_some(totals) })
    }
}

/// What the tallies of a log say.
#[derive(Debug, Default)]
pub(super) struct TallyRead {
    pub bench: Option<BenchId>,
    /// How many entries there must be, if anybody has counted.
    pub totals: Option<Totals>,
    /// What was written last, each entry once.
    pub entries: Vec<Raw>,
    /// The length of the tally that is added to; nothing when there is none whose head can be read.
    length: Option<u64>,
}

/// Whether the tally knows of an entry.
pub(super) fn holds_entries(folder: &Path) -> bool {
    let told = read(folder);
    !told.entries.is_empty() || told.totals.is_some_and(|totals| totals.count > 0)
}

/// Reads the tallies of the log in this folder.
pub(super) fn read(folder: &Path) -> TallyRead {
    read_most(folder, LONGEST, LONGEST)
}

/// Reads what was written last in the tallies of the log in this folder, so that a log opens at once however much was written
/// since: more than SQLite's write-ahead file holds. Where that is not all, nobody has counted.
pub(super) fn read_recent(folder: &Path) -> TallyRead {
    read_most(folder, MOST_NOW, MOST_BEFORE)
}

/// The last bytes of a file, at most so many of them, and the head before them; whether that is all. One that can't be read is
/// none.
fn end_of(path: &Path, most: u64) -> (Vec<u8>, bool) {
    let read = || {
        let mut file = File::open(path)?;
        let length = file.metadata()?.len();
        let mut bytes = Vec::new();
        if length <= most {
            file.take(most).read_to_end(&mut bytes)?;
            return Ok::<_, std::io::Error>((bytes, true));
        }
        (&mut file).take(HEAD_LENGTH as u64).read_to_end(&mut bytes)?;
        file.seek(SeekFrom::Start(length - most))?;
        file.take(most).read_to_end(&mut bytes)?;
        Ok((bytes, false))
    };
    read().unwrap_or_default()
}

fn read_most(folder: &Path, most_now: u64, most_before: u64) -> TallyRead {
    let path = folder.join(NOW);
    let (now, all) = end_of(&path, most_now);
    let head = Head::read(&now);
    let mut told = TallyRead {
        bench: head.map(|head| head.bench),
        totals: head.and_then(|head| head.totals).filter(|_| all),
        length: head.and_then(|_| crate::files::metadata(&path).ok()).map(|file| file.len()),
        entries: Vec::new(),
    };
    let mut names = HashSet::new();
    for (bytes, counts) in [(now, true), (end_of(&folder.join(BEFORE), most_before).0, false)] {
        let mut at = 0;
        while at < bytes.len() {
            let Some((raw, length)) = read_frame(&bytes[at..]) else {
                // A torn one, or one with a bit that flipped: on with the next that is whole.
                let next = bytes[at + 1..].iter().position(|byte| *byte == FRAME[0]);
                at = next.map_or(bytes.len(), |next| at + 1 + next);
                continue;
            };
            at += length;
            if names.insert(raw.id) {
                if let (true, Some(totals), Some(sum)) = (counts, &mut told.totals, &raw.sum) {
                    totals.toggle(sum, true);
                }
                told.entries.push(raw);
            }
        }
    }
    told
}

/// Begins a new tally. The one before is kept unless something was erased. Who does this holds the lock alone.
pub(super) fn begin(folder: &Path, bench: BenchId, totals: Option<Totals>, keep: bool) -> Result<(), Trouble> {
    let (now, before) = (folder.join(NOW), folder.join(BEFORE));
    let unfinished = folder.join(format!("{NOW}.part"));
    let mut file = private::file(&unfinished)?;
    file.write_all(&Head { bench, totals }.bytes())?;
    drop(file);
    if keep && fs::exists(&now)? {
        fs::rename(&now, &before)?;
    } else if fs::exists(&before)? {
        fs::remove_file(&before)?;
    }
    Ok(fs::rename(unfinished, now)?)
}

/// Begins a new tally after something was erased: nothing of it stays in an old one. Without room there is none for now.
pub(super) fn begin_without(folder: &Path, bench: BenchId, totals: Option<Totals>) -> Result<(), Trouble> {
    if begin(folder, bench, totals, false).is_ok() {
        return Ok(());
    }
    for name in [NOW, BEFORE] {
        match fs::remove_file(folder.join(name)) {
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => return Err(error.into()),
            _ => {}
        }
    }
    Ok(())
}

/// All entries of the log from the row after this one on, each checked by its sum; answers the last row too.
pub(super) fn count(conn: &Connection, after: i64) -> Result<(Totals, i64), Trouble> {
    let mut select = conn
        .prepare("SELECT id, at, bench, thing, about, kind, body, sum, seq FROM entry WHERE seq > ?1 ORDER BY seq")?;
    let mut rows = select.query([after])?;
    let (mut totals, mut last) = (Totals::default(), after);
    while let Some(row) = rows.next()? {
        let values = (0..7).map(|index| row.get_ref(index)).collect::<Result<Vec<_>, _>>()?;
        let sum = sum_of(values);
        last = row.get(8)?;
        match row.get_ref(7)? {
            ValueRef::Null => {}
            ValueRef::Blob(there) if there == sum => {}
            _ => return Err(Trouble::Damaged(format!("the entry in row {last} is not as it was written"))),
        }
        totals.toggle(&sum, true);
    }
    Ok((totals, last))
}

/// How many entries there must be against how many there are.
pub(super) fn held_against(is: Totals, must: Option<Totals>) -> Result<(), Trouble> {
    match must {
        Some(must) if is.count < must.count => match must.count - is.count {
            1 => Err(Trouble::Damaged("one entry is missing".to_owned())),
            many => Err(Trouble::Damaged(format!("{many} entries are missing"))),
        },
        Some(must) if is.count == must.count && is != must => {
            Err(Trouble::Damaged("an entry is another than was written".to_owned()))
        }
        _ => Ok(()),
    }
}

/// At an opening, under the lock: puts back what the tally has and the log lacks, and begins a new one where that is due.
/// `counted` is what is in the log, where that was counted.
///
/// # Errors
/// [`Trouble::Damaged`] when entries are missing that the tally does not have either.
pub(super) fn settle(
    conn: &Connection,
    folder: &Path,
    bench: BenchId,
    counted: Option<Totals>,
) -> Result<Option<Notice>, Trouble> {
    let told = read_recent(folder);
    let mut counted = counted;
    let mut back: Vec<&Raw> = Vec::new();
    {
        let mut is_there = conn.prepare("SELECT 1 FROM entry WHERE id = ?1")?;
        for raw in &told.entries {
            if !is_there.exists([Uuid::from_bytes(raw.id)])? {
                back.push(raw);
            }
        }
    }
    if !back.is_empty() {
        let stroke = conn.unchecked_transaction()?;
        {
            let mut insert = stroke.prepare(
                "INSERT INTO entry (id, at, bench, thing, about, kind, body, sum)
                 VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, sum_of(?1, ?2, ?3, ?4, ?5, ?6, ?7))",
            )?;
            for raw in &back {
                insert.execute(params_from_iter(raw.values().map(crate::raw::Ref)))?;
                if let (Some(counted), Some(sum)) = (&mut counted, &raw.sum) {
                    counted.toggle(sum, true);
                }
            }
        }
        stroke.commit()?;
    }
    if let Some(is) = counted {
        held_against(is, told.totals)?;
    }
    let totals = counted.or(told.totals);
    if told.length.is_none_or(|length| length > LONG) || totals != told.totals || told.bench != Some(bench) {
        match begin(folder, bench, totals, true) {
            // It is begun when there is room.
            Err(Trouble::Full) => {}
            other => other?,
        }
    }
    Ok((!back.is_empty()).then(|| put_back(&back)))
}

fn put_back(back: &[&Raw]) -> Notice {
    let sentence = match back.len() {
        1 => "One entry that was written lately was not in the log any more. It was put back from the tally; nothing is missing.".to_owned(),
        many => format!("{many} entries that were written lately were not in the log any more. They were put back from the tally; nothing is missing."),
    };
    let lacking: Vec<Lacking> = Vec::new();
    let sources = vec![Source { from: "the tally".to_owned(), entries: back.len() as u64 }];
    Notice { sentence, aside: None, sources, lacking }
}

/// Counts all entries beside the running bench, and begins a tally that knows. Writers wait only at the end.
///
/// # Errors
/// [`Trouble::Damaged`] when an entry is not as it was written; [`Trouble`] when the disk can't be used.
pub(super) fn count_anew(folder: &Path) -> Result<(), Trouble> {
    let conn = connect(&folder.join(FILE))?;
    let counted = count(&conn, 0)?;
    begin_counted(&conn, folder, counted)
}

/// Begins a tally that knows all entries: those that were counted up to a row, and what was written since.
///
/// # Errors
/// As [`count_anew`].
pub(super) fn begin_counted(conn: &Connection, folder: &Path, counted: (Totals, i64)) -> Result<(), Trouble> {
    let bench = BenchId(conn.query_row("SELECT id FROM this_bench LIMIT 1", [], |row| row.get(0))?);
    let (mut totals, last) = counted;
    let lock = Lock::of(folder)?;
    let _alone = lock.alone()?;
    let (since, _) = count(conn, last)?;
    totals.count += since.count;
    mix(&mut totals.sum, &since.sum);
    let is: i64 = conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0))?;
    // Something was erased meanwhile: it is counted another time.
    if u64::try_from(is).is_ok_and(|is| is == totals.count) {
        begin(folder, bench, Some(totals), true)?;
    }
    Ok(())
}
