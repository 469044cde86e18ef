//! Which name belongs to which file: a list that is added to, line after line, each with a sum.
//!
//! It lies in one of two files. When it has grown long it is begun anew in the other one, whose head, with a higher number, is
//! written last: until then the old one counts. A line that was torn, or of which a bit flipped, is passed over by who reads.

use std::collections::BTreeMap;
use std::io;

use sha2::{Digest as _, Sha256};

use crate::slots::{Slots, read_all};

/// Files 0 and 1 hold lists.
pub const LISTS: u32 = 2;
const MARK: &[u8; 8] = b"slnames1";
const HEAD: usize = 24;
const LINE: u8 = 0xA7;
/// Before and after the text of a line, in bytes: a mark, its length, its file; its sum.
const AROUND: usize = 1 + 2 + 4 + 8;
/// Of a line that takes a name away.
const NONE: u32 = u32::MAX;
/// From here on a list may be begun anew.
const LONG: u64 = 256 * 1024;
/// The longest list that is read.
const LONGEST: u64 = 64 * 1024 * 1024;

/// The names, and where the next line goes.
#[derive(Debug)]
pub struct Names {
    /// Each name's file.
    pub files: BTreeMap<String, u32>,
    list: u32,
    number: u64,
    length: u64,
    unsynced: bool,
}

fn sum(parts: &[&[u8]]) -> [u8; 8] {
    let mut hash = Sha256::new();
    parts.iter().for_each(|part| hash.update(part));
    let mut sum = [0; 8];
    sum.copy_from_slice(&hash.finalize()[..8]);
    sum
}

fn head(number: u64) -> Vec<u8> {
    let number = number.to_le_bytes();
    [&MARK[..], &number, &sum(&[MARK, &number])].concat()
}

fn number_in(list: &[u8]) -> Option<u64> {
    let number = u64::from_le_bytes(list.get(8..16)?.try_into().ok()?);
    (list.get(..HEAD)? == head(number)).then_some(number)
}

fn line(number: u64, at: u64, name: &str, file: u32) -> io::Result<Vec<u8>> {
    let length = u16::try_from(name.len()).map_err(|_| io::Error::from(io::ErrorKind::InvalidFilename))?;
    let mut line = vec![LINE];
    line.extend_from_slice(&length.to_le_bytes());
    line.extend_from_slice(&file.to_le_bytes());
    line.extend_from_slice(name.as_bytes());
    let sum = sum(&[&number.to_le_bytes(), &at.to_le_bytes(), &line]);
    line.extend_from_slice(&sum);
    Ok(line)
}

/// The line that begins here: its name, its file and its length.
fn line_at(number: u64, list: &[u8], at: usize) -> Option<(&str, u32, usize)> {
    let rest = list.get(at..)?;
    if *rest.first()? != LINE {
        return None;
    }
    let length = usize::from(u16::from_le_bytes(rest.get(1..3)?.try_into().ok()?));
    let file = u32::from_le_bytes(rest.get(3..7)?.try_into().ok()?);
    let (said, told) = (rest.get(..7 + length)?, rest.get(7 + length..length + AROUND)?);
    let right = told == sum(&[&number.to_le_bytes(), &(at as u64).to_le_bytes(), said]);
    right.then_some((std::str::from_utf8(&said[7..]).ok()?, file, length + AROUND))
}

impl Names {
    /// Reads the names, or begins a list where there is none.
    ///
    /// # Errors
    /// When neither file can be read or written.
    pub fn read(slots: &impl Slots) -> io::Result<Self> {
        let mut found: Option<(u64, u32, Vec<u8>)> = None;
        for list in 0..LISTS {
            let bytes = read_all(slots, list, LONGEST)?;
            if let Some(number) = number_in(&bytes)
                && found.as_ref().is_none_or(|(other, ..)| number > *other)
            {
                found = Some((number, list, bytes));
            }
        }
        let Some((number, list, bytes)) = found else {
            let mut names = Self { files: BTreeMap::new(), list: 1, number: 0, length: 0, unsynced: false };
            names.begin_anew(slots)?;
            return Ok(names);
        };
        let mut names = Self { files: BTreeMap::new(), list, number, length: HEAD as u64, unsynced: false };
        let mut at = HEAD;
        while at < bytes.len() {
            let Some((name, file, length)) = line_at(number, &bytes, at) else {
                at += 1;
                continue;
            };
            if file == NONE {
                names.files.remove(name);
            } else {
                names.files.insert(name.to_owned(), file);
            }
            at += length;
            names.length = at as u64;
        }
        // What is torn at its end is written over; it must not be read as part of a later line.
        if names.length < bytes.len() as u64 {
            slots.set_size(list, names.length)?;
        }
        names.begin_anew_if_long(slots)?;
        Ok(names)
    }

    /// Gives a file a name, in place of the one that has it. Nothing is certain before [`Self::sync`].
    ///
    /// # Errors
    /// When there is no room.
    pub fn give(&mut self, slots: &impl Slots, name: &str, file: u32) -> io::Result<()> {
        self.add(slots, &[(name, file)])?;
        self.files.insert(name.to_owned(), file);
        Ok(())
    }

    /// Takes a name away.
    ///
    /// # Errors
    /// When there is no room.
    pub fn take(&mut self, slots: &impl Slots, name: &str) -> io::Result<()> {
        self.add(slots, &[(name, NONE)])?;
        self.files.remove(name);
        Ok(())
    }

    /// Gives a file another name, in one stroke: of the two lines it is the first that gives, so a stop between them leaves both.
    ///
    /// # Errors
    /// When there is no room.
    pub fn change(&mut self, slots: &impl Slots, from: &str, to: &str, file: u32) -> io::Result<()> {
        self.add(slots, &[(to, file), (from, NONE)])?;
        self.files.insert(to.to_owned(), file);
        self.files.remove(from);
        Ok(())
    }

    /// Brings the list to the device.
    ///
    /// # Errors
    /// When that fails.
    pub fn sync(&mut self, slots: &impl Slots) -> io::Result<()> {
        if self.unsynced {
            slots.sync(self.list)?;
            self.unsynced = false;
        }
        Ok(())
    }

    fn add(&mut self, slots: &impl Slots, lines: &[(&str, u32)]) -> io::Result<()> {
        let mut bytes = Vec::new();
        for (name, file) in lines {
            bytes.extend(line(self.number, self.length + bytes.len() as u64, name, *file)?);
        }
        if let Err(error) = slots.write_at(self.list, self.length, &bytes) {
            // A half of it is passed over by who reads; where it can be cut off it is.
            let _ = slots.set_size(self.list, self.length);
            return Err(error);
        }
        self.length += bytes.len() as u64;
        self.unsynced = true;
        Ok(())
    }

    fn begin_anew_if_long(&mut self, slots: &impl Slots) -> io::Result<()> {
        let needed: usize = self.files.keys().map(|name| name.len() + AROUND).sum();
        if self.length > LONG && self.length > 4 * needed as u64 {
            // Without room the old one goes on.
            let _ = self.begin_anew(slots);
        }
        Ok(())
    }

    fn begin_anew(&mut self, slots: &impl Slots) -> io::Result<()> {
        let (list, number) = (1 - self.list, self.number + 1);
        let mut bytes = Vec::new();
        for (name, file) in &self.files {
            bytes.extend(line(number, (HEAD + bytes.len()) as u64, name, *file)?);
        }
        slots.set_size(list, 0)?;
        slots.write_at(list, HEAD as u64, &bytes)?;
        slots.sync(list)?;
        slots.write_at(list, 0, &head(number))?;
        slots.sync(list)?;
        (self.list, self.number, self.length, self.unsynced) = (list, number, (HEAD + bytes.len()) as u64, false);
        Ok(())
    }
}
