//! What a zip file says it holds, read strictly, before any of it is unpacked.
//!
//! A zip file can be read in more than one way, and hostile ones are: two lists, a list that is not the last, names that
//! leave the folder, members that share their bytes. So only one plain shape is let in, which is the shape bundles are
//! packed in: one list at the very end, members one after the other without a gap, no extra fields, no comments, no
//! encryption, stored or deflated. What passes here can only be read in one way.

use std::collections::HashSet;
use std::io::{Read, Seek, SeekFrom};

use super::flaw::{Flaw, NotCarried};
use super::limits::{
    MOST_BYTES, MOST_BYTES_OF_ENTRIES, MOST_BYTES_OF_MANIFEST, MOST_BYTES_OF_PHOTO, MOST_BYTES_OF_TAKE, MOST_PHOTOS,
    MOST_RATIO, MOST_TAKES, RATIO_FROM,
};
use super::manifest::{ENTRIES, MANIFEST, PHOTOS, TAKES};
use super::takes::take_of;
use crate::record::photo::PhotoName;

/// A member of a bundle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Member {
    pub name: String,
    /// Its size unpacked, in bytes, as the list says.
    pub size: u64,
}

/// The record at the end of a zip file, in bytes (APPNOTE 4.3.16).
const END: u64 = 22;
/// A member's record in the list, without its name (APPNOTE 4.3.12).
const RECORD: usize = 46;
/// A member's own header, without its name (APPNOTE 4.3.7).
const HEADER: u64 = 30;
/// More than the longest name of a member.
const LONGEST_NAME: u64 = 80;
/// Flags that change nothing: how hard it was deflated, and that its name is UTF-8.
const HARMLESS: u16 = 0x0806;

/// Reads the list of members, in its order.
pub(super) fn members<R: Read + Seek>(file: &mut R) -> Result<Vec<Member>, NotCarried> {
    let length = file.seek(SeekFrom::End(0))?;
    if length > MOST_BYTES {
        return Err(Flaw::TooHeavy(length).into());
    }
    let Some(end_at) = length.checked_sub(END) else { return Err(Flaw::NotABundle.into()) };
    file.seek(SeekFrom::Start(end_at))?;
    let mut end = [0; END as usize];
    file.read_exact(&mut end)?;
    let end = Fields(&end);
    if end.u32(0) != 0x0605_4b50 {
        return Err(Flaw::NotABundle.into());
    }
    let count = u64::from(end.u16(10));
    if count > (MOST_PHOTOS + MOST_TAKES + 2) as u64 {
        return Err(Flaw::TooManyMembers(count).into());
    }
    let (list_size, list_at) = (u64::from(end.u32(12)), u64::from(end.u32(16)));
    let plain = end.u16(4) == 0 && end.u16(6) == 0 && end.u16(8) == end.u16(10) && end.u16(20) == 0;
    if !plain || list_at + list_size != end_at || list_size > count * (RECORD as u64 + LONGEST_NAME) {
        return Err(Flaw::OddlyPacked("its list of files is not where it should be").into());
    }
    file.seek(SeekFrom::Start(list_at))?;
    let mut list = Vec::new();
    file.by_ref().take(list_size).read_to_end(&mut list)?;
    Ok(read_list(&list, count, list_at)?)
}

fn read_list(mut list: &[u8], count: u64, list_at: u64) -> Result<Vec<Member>, Flaw> {
    let (mut members, mut names, mut extents) = (Vec::new(), HashSet::new(), Vec::new());
    for _ in 0..count {
        let Some((record, rest)) = list.split_at_checked(RECORD) else {
            return Err(Flaw::OddlyPacked("its list of files is cut short"));
        };
        let record = Fields(record);
        let (name_length, extra, comment) = (record.u16(28), record.u16(30), record.u16(32));
        let Some((name, rest)) = rest.split_at_checked(name_length.into()) else {
            return Err(Flaw::OddlyPacked("its list of files is cut short"));
        };
        if record.u32(0) != 0x0201_4b50 || extra != 0 || comment != 0 || record.u16(34) != 0 {
            return Err(Flaw::OddlyPacked("its files carry more than their bytes"));
        }
        let (flags, method) = (record.u16(8), record.u16(10));
        if flags & !HARMLESS != 0 || !matches!(method, 0 | 8) {
            return Err(Flaw::OddlyPacked("its files are encrypted or packed in another way"));
        }
        let name = checked_name(name)?;
        // What kind of file it is, as Unix programs write it: an ordinary one, or nothing said.
        if !matches!(record.u32(38) >> 28, 0 | 8) {
            return Err(Flaw::OddlyPacked("it holds links or folders"));
        }
        let (packed, size, at) = (u64::from(record.u32(20)), u64::from(record.u32(24)), u64::from(record.u32(42)));
        if size > most_bytes_of(&name) || (size > RATIO_FROM && size / MOST_RATIO > packed) {
            return Err(Flaw::UnpacksTooFar(name));
        }
        if method == 0 && packed != size {
            return Err(Flaw::OddlyPacked("a size in its list is wrong"));
        }
        if !names.insert(name.clone()) {
            return Err(Flaw::Twice(name));
        }
        extents.push((at, at + HEADER + u64::from(name_length) + packed));
        members.push(Member { name, size });
        list = rest;
    }
    // One after the other from the first byte to the list: no bytes are shared, and none are hidden.
    extents.sort_unstable();
    let mut reached = 0;
    for (from, to) in extents {
        if from != reached {
            return Err(Flaw::OddlyPacked("its files overlap, or something lies between them"));
        }
        reached = to;
    }
    if !list.is_empty() || reached != list_at {
        return Err(Flaw::OddlyPacked("something lies between its files and its list"));
    }
    Ok(members)
}

/// Only the names that members of a bundle have: never a path that leads out of it.
fn checked_name(name: &[u8]) -> Result<String, Flaw> {
    let belongs = |name: &str| {
        name == MANIFEST
            || name == ENTRIES
            || take_of(name).is_some()
            || name
                .strip_prefix(PHOTOS.0)
                .and_then(|rest| rest.strip_suffix(PHOTOS.1))
                .is_some_and(|digits| PhotoName::try_from(digits.to_owned()).is_ok())
    };
    match std::str::from_utf8(name) {
        Ok(name) if belongs(name) => Ok(name.to_owned()),
        _ => Err(Flaw::Name(printable(name))),
    }
}

/// A name from outside, to be shown: short, and without what a terminal or a page could take for more than letters.
fn printable(name: &[u8]) -> String {
    let text = String::from_utf8_lossy(name);
    let shown: String = text.chars().take(60).map(|c| if c.is_control() { '?' } else { c }).collect();
    if shown.is_empty() { "one without a name".to_owned() } else { shown }
}

fn most_bytes_of(name: &str) -> u64 {
    match name {
        MANIFEST => MOST_BYTES_OF_MANIFEST,
        ENTRIES => MOST_BYTES_OF_ENTRIES,
        _ if name.starts_with(TAKES.0) => MOST_BYTES_OF_TAKE,
        _ => MOST_BYTES_OF_PHOTO,
    }
}

/// Numbers in a record, the lowest byte first.
struct Fields<'a>(&'a [u8]);

impl Fields<'_> {
    /// The two bytes here; 0 past the end of the record.
    fn u16(&self, at: usize) -> u16 {
        self.0.get(at..at + 2).and_then(|bytes| bytes.try_into().ok()).map_or(0, u16::from_le_bytes)
    }

    /// The four bytes here; 0 past the end of the record.
    fn u32(&self, at: usize) -> u32 {
        self.0.get(at..at + 4).and_then(|bytes| bytes.try_into().ok()).map_or(0, u32::from_le_bytes)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_names_of_members_pass() {
        let photo = format!("photos/{}.jpg", "0a".repeat(32));
        for name in [MANIFEST, ENTRIES, &photo] {
            assert_eq!(checked_name(name.as_bytes()), Ok(name.to_owned()));
        }
        let upper = format!("photos/{}.jpg", "0A".repeat(32));
        let inner = format!("photos/../{}.jpg", "0a".repeat(32));
        for name in [
            "",
            "photos/",
            "../entries.jsonl",
            "/manifest.json",
            "C:\\manifest.json",
            "C:manifest.json",
            "photos\\x.jpg",
            "Manifest.json",
            "manifest.json\0",
            "./manifest.json",
            "photos/x.jpg",
            &upper,
            &inner,
        ] {
            assert!(matches!(checked_name(name.as_bytes()), Err(Flaw::Name(_))), "{name}");
        }
        assert!(matches!(checked_name(b"\xff\x1b[2J"), Err(Flaw::Name(shown)) if !shown.contains('\u{1b}')));
    }
}
