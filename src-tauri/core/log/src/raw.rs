//! Entries read from the bytes of a file, without SQLite: what a salvage finds where SQLite finds no table any more.
//!
//! A table's rows lie on pages of their own, each row whole, with its long texts continued on further pages. Its sum proves
//! a row to be as it was written, wherever it was found; so nothing else of the file has to be right. On a page that is
//! not in order, rows are looked for at every byte. Form: <https://www.sqlite.org/fileformat2.html>.

mod row;

use crate::files::File;
use std::collections::HashMap;
use std::io::{self, Read, Seek, SeekFrom};
use std::path::Path;

pub(crate) use self::row::{Raw, Ref, Standing};
use self::row::{head, named, record, size_of};

/// The size of a page: SQLite's own, which no log was ever made with another of.
pub(super) const PAGE: usize = 4096;
/// The longest row that is looked at, in bytes.
const LONGEST: u64 = 64 << 20;
/// More entries than any log has.
const MOST_ROWS: i64 = 1 << 40;
/// How many pages are read at once.
const AT_ONCE: usize = 256;
const WAL_HEAD: u64 = 32;
const FRAME_HEAD: usize = 24;
/// A leaf of a table, and a leaf of an index.
const TABLE_LEAF: u8 = 13;
const INDEX_LEAF: u8 = 10;
/// The most of a row, and of an index's row, that lies on its own page; the least, when it does not fit.
const MOST_IN_TABLE: u64 = PAGE as u64 - 35;
const LEAST: u64 = (PAGE as u64 - 12) * 32 / 255 - 23;

/// Gives every entry that can be made out in a file and its write-ahead file, some of them more than once.
///
/// # Errors
/// When a file can't be read. What could be read by then was given.
pub(super) fn entries(file: &Path, wal: &Path, each: &mut dyn FnMut(Raw) -> io::Result<()>) -> io::Result<()> {
    let mut pages = Pages::open(file, wal)?;
    pages.each_page(&mut |pages, page| pages.rows(page, each))
}

/// Gives what every index of names, or of what entries are about, says: a name and the number of a row.
///
/// # Errors
/// When a file can't be read.
pub(super) fn names(file: &Path, wal: &Path, each: &mut dyn FnMut([u8; 16], i64)) -> io::Result<()> {
    let mut pages = Pages::open(file, wal)?;
    pages.each_page(&mut |_, page| {
        if page.first() == Some(&INDEX_LEAF) {
            for at in cells(page).unwrap_or_default() {
                let Some((length, start)) = varint(page, at) else { continue };
                let end = usize::try_from(length).ok().and_then(|length| start.checked_add(length));
                if let Some((name, row)) = end.and_then(|end| page.get(start..end)).and_then(named) {
                    // The indexes of lists have instants for their rows.
                    if (1..MOST_ROWS).contains(&row) {
                        each(name, row);
                    }
                }
            }
        }
        Ok(())
    })
}

/// The pages of a file, and those of its write-ahead file that come before them.
struct Pages {
    file: Option<File>,
    wal: Option<File>,
    /// Where the last of each page lies in the write-ahead file.
    last: HashMap<u64, u64>,
}

impl Pages {
    fn open(file: &Path, wal: &Path) -> io::Result<Self> {
        let there = |path: &Path| match File::open(path) {
            Ok(file) => Ok(Some(file)),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        };
        let (file, mut wal) = (there(file)?, there(wal)?);
        let last = wal.as_mut().map_or_else(|| Ok(HashMap::new()), last_of_each)?;
        Ok(Self { file, wal, last })
    }

    fn each_page(&mut self, each: &mut dyn FnMut(&mut Self, &[u8]) -> io::Result<()>) -> io::Result<()> {
        let mut block = vec![0; PAGE * AT_ONCE];
        let mut at = 0;
        while let Some(file) = &mut self.file {
            let read = read_at(file, at, &mut block)?;
            for page in block[..read].chunks(PAGE) {
                each(self, page)?;
            }
            at += read as u64;
            if read < block.len() {
                break;
            }
        }
        let mut frame = vec![0; FRAME_HEAD + PAGE];
        let mut at = WAL_HEAD;
        while let Some(wal) = &mut self.wal {
            let read = read_at(wal, at, &mut frame)?;
            if read <= FRAME_HEAD {
                break;
            }
            each(self, &frame[FRAME_HEAD..read])?;
            at += (FRAME_HEAD + PAGE) as u64;
        }
        Ok(())
    }

    /// A page by its number, as it is now or as it is in the file itself.
    fn page(&mut self, number: u64, now: bool) -> io::Result<Vec<u8>> {
        let mut page = vec![0; PAGE];
        let read = match (self.last.get(&number), &mut self.wal, &mut self.file) {
            (Some(at), Some(wal), _) if now => read_at(wal, *at, &mut page)?,
            (_, _, Some(file)) => read_at(file, number.saturating_sub(1).saturating_mul(PAGE as u64), &mut page)?,
            _ => 0,
        };
        page.truncate(read);
        Ok(page)
    }

    /// The rows of a page: those it lists, and where that is not in order, whatever looks like one.
    fn rows(&mut self, page: &[u8], each: &mut dyn FnMut(Raw) -> io::Result<()>) -> io::Result<()> {
        let listed = if page.first() == Some(&TABLE_LEAF) { cells(page) } else { None };
        let mut in_order = page.len() == PAGE && (listed.is_some() || !matches!(page.first(), Some(&TABLE_LEAF)));
        let mut found = Vec::new();
        for at in listed.unwrap_or_default() {
            match self.row(page, at)? {
                Cell::Entry(raw) => found.push(raw),
                Cell::Other => {}
                Cell::Broken => in_order = false,
            }
        }
        in_order &= found.iter().all(|raw| raw.standing() != Standing::Wrong);
        // A page of another kind holds no entries, unless the byte that says so is wrong.
        if !in_order || !matches!(page.first(), Some(&TABLE_LEAF)) {
            for at in 0..page.len().saturating_sub(8) {
                if looks_like_an_entry(&page[at..]) {
                    let raw = self.headed(page, at)?;
                    found.extend(raw.filter(|raw| raw.sum.is_some() || raw.standing() != Standing::Wrong));
                }
            }
        }
        found.dedup();
        found.into_iter().try_for_each(each)
    }

    /// The row whose cell begins here.
    fn row(&mut self, page: &[u8], at: usize) -> io::Result<Cell> {
        let Some((length, next)) = varint(page, at) else { return Ok(Cell::Broken) };
        let Some((seq, start)) = varint(page, next) else { return Ok(Cell::Broken) };
        match self.payload(page, start, length)? {
            None => Ok(Cell::Broken),
            Some(versions) => {
                let read: Vec<Raw> = versions.iter().filter_map(|payload| record(payload)).collect();
                let right = read.iter().position(|raw| raw.standing() == Standing::Right).unwrap_or(0);
                Ok(match read.into_iter().nth(right) {
                    Some(raw) => Cell::Entry(Raw { seq: Some(seq as i64), ..raw }),
                    None => Cell::Other,
                })
            }
        }
    }

    /// The row whose record begins here, whatever stands before it.
    fn headed(&mut self, page: &[u8], at: usize) -> io::Result<Option<Raw>> {
        let Some((types, _)) = head(&page[at..]) else { return Ok(None) };
        let length = types.iter().fold(u64::from(page[at]), |sum, kind| sum.saturating_add(size_of(*kind)));
        let versions = self.payload(page, at, length)?.unwrap_or_default();
        let seq = number_before(page, at, length);
        let read: Vec<Raw> = versions.iter().filter_map(|payload| record(payload)).collect();
        let right = read.iter().position(|raw| raw.standing() == Standing::Right).unwrap_or(0);
        Ok(read.into_iter().nth(right).map(|raw| Raw { seq, ..raw }))
    }

    /// A record of this length that begins here, continued on further pages: as they are now, and as they are in the file
    /// itself where that differs.
    fn payload(&mut self, page: &[u8], start: usize, length: u64) -> io::Result<Option<Vec<Vec<u8>>>> {
        if length > LONGEST {
            return Ok(None);
        }
        let here = if length <= MOST_IN_TABLE {
            length
        } else {
            let some = LEAST + (length - LEAST) % (PAGE as u64 - 4);
            if some <= MOST_IN_TABLE { some } else { LEAST }
        } as usize;
        let Some(first) = page.get(start..start + here) else { return Ok(None) };
        if here as u64 == length {
            return Ok(Some(vec![first.to_vec()]));
        }
        let Some(next) = number_at(page, start + here) else { return Ok(None) };
        let mut versions = Vec::new();
        for now in [true, false] {
            let mut whole = first.to_vec();
            let mut next = next;
            while (whole.len() as u64) < length && next != 0 {
                let further = self.page(next, now)?;
                let Some(after) = number_at(&further, 0) else { break };
                let missing = length as usize - whole.len();
                let text = &further[4..];
                whole.extend(&text[..text.len().min(missing)]);
                next = if text.is_empty() { 0 } else { after };
            }
            if whole.len() as u64 == length && !versions.contains(&whole) {
                versions.push(whole);
            }
            if self.last.is_empty() {
                break;
            }
        }
        Ok((!versions.is_empty()).then_some(versions))
    }
}

/// What lies in a cell.
enum Cell {
    Entry(Raw),
    Other,
    Broken,
}

/// Where the last of each page lies that was committed: behind a frame's head, up to the last frame that ends a
/// transaction, of the frames that belong together.
fn last_of_each(wal: &mut File) -> io::Result<HashMap<u64, u64>> {
    let mut whole_head = [0; WAL_HEAD as usize];
    if read_at(wal, 0, &mut whole_head)? < whole_head.len() {
        return Ok(HashMap::new());
    }
    let mut last = HashMap::new();
    let mut under_way = Vec::new();
    let mut head = [0; FRAME_HEAD];
    let mut at = WAL_HEAD;
    while read_at(wal, at, &mut head)? == FRAME_HEAD {
        if head[8..16] != whole_head[16..24] {
            break;
        }
        let (number, ends) = (number_at(&head, 0).unwrap_or(0), number_at(&head, 4).unwrap_or(0));
        under_way.push((number, at + FRAME_HEAD as u64));
        if ends != 0 {
            last.extend(under_way.drain(..));
        }
        at += (FRAME_HEAD + PAGE) as u64;
    }
    Ok(last)
}

fn read_at(file: &mut File, at: u64, buffer: &mut [u8]) -> io::Result<usize> {
    file.seek(SeekFrom::Start(at))?;
    let mut read = 0;
    while read < buffer.len() {
        match file.read(&mut buffer[read..]) {
            Ok(0) => break,
            Ok(some) => read += some,
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            // A sector that can't be read any more costs what lies in it.
            Err(_) if read > 0 => break,
            Err(error) => return Err(error),
        }
    }
    Ok(read)
}

/// The number of a page, in four bytes.
fn number_at(bytes: &[u8], at: usize) -> Option<u64> {
    let four: [u8; 4] = bytes.get(at..at + 4)?.try_into().ok()?;
    Some(u64::from(u32::from_be_bytes(four)))
}

/// Where the cells of a leaf begin; nothing when its head is not in order.
fn cells(page: &[u8]) -> Option<Vec<usize>> {
    let two = |at: usize| Some(usize::from(u16::from_be_bytes(page.get(at..at + 2)?.try_into().ok()?)));
    let count = two(3)?;
    let end = 8 + 2 * count;
    (end <= PAGE).then_some(())?;
    (0..count).map(|number| two(8 + 2 * number).filter(|at| (end..PAGE - 3).contains(at))).collect()
}

/// A number of one to nine bytes, and where it ends.
fn varint(bytes: &[u8], at: usize) -> Option<(u64, usize)> {
    let mut number = 0_u64;
    for index in 0..9 {
        let byte = *bytes.get(at + index)?;
        if index == 8 {
            return Some((number << 8 | u64::from(byte), at + 9));
        }
        number = number << 7 | u64::from(byte & 0x7f);
        if byte & 0x80 == 0 {
            return Some((number, at + index + 1));
        }
    }
    None
}

fn looks_like_an_entry(bytes: &[u8]) -> bool {
    matches!(bytes, [8..=40, 0, 44, 1..=6 | 8 | 9, 44, ..])
}

/// The number of a row whose record begins at `at` and is this long: it stands before the record, after the length.
fn number_before(page: &[u8], at: usize, length: u64) -> Option<i64> {
    (2..=18.min(at)).find_map(|back| {
        let (stated, next) = varint(page, at - back)?;
        let (seq, end) = varint(page, next)?;
        (stated == length && end == at).then_some(seq as i64)
    })
}
