//! Takes in a bundle: they may be large, so each passes through part after part.

use std::collections::{BTreeSet, HashMap};
use std::io::{Read, Seek, Write};

use rusqlite::Connection;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

use super::directory::Member;
use super::flaw::{Flaw, NotCarried};
use super::limits::MOST_BYTES;
use super::look::opened;
use super::manifest::{Counts, Manifest, MemberListed, Sum, TAKES};
use super::tray::Tray;
use super::watch::Watch;
use crate::record::body::{Body, TakeBody};
use crate::record::entry::Written;
use crate::record::take::TakeName;
use crate::takes::Shelf;

/// How much passes at a time, in bytes.
const PART: usize = 64 * 1024;
/// What a kept take begins with (RFC 9639): its mark, and the head of a block about the whole stream.
pub(crate) const HEAD: usize = 8 + 34;

/// The take that a member is, if it is one.
pub(super) fn take_of(member: &str) -> Option<TakeName> {
    let digits = member.strip_prefix(TAKES.0)?.strip_suffix(TAKES.1)?;
    TakeName::try_from(digits.to_owned()).ok()
}

/// The take that an entry of this kind names, if it is one that this version reads, and its size in bytes.
pub(crate) fn named_in(kind: &str, body: &str) -> Option<(TakeName, u64)> {
    if kind != "take_kept" {
        return None;
    }
    match Written::read(kind, body).known() {
        Some(Body::Take(TakeBody::TakeKept { sound, .. })) => Some((sound.take.clone(), sound.bytes)),
        _ => None,
    }
}

/// Packs takes. One that is not beside the log, or was changed there, is counted as missing.
pub(super) fn pack<W: Write + Seek>(
    zip: &mut ZipWriter<W>,
    shelf: &Shelf,
    names: BTreeSet<TakeName>,
    weight: &mut u64,
    counts: &mut Counts,
    members: &mut Vec<MemberListed>,
    watch: &Watch,
) -> Result<(), NotCarried> {
    let unwritten = super::pack::unwritten;
    let stored = SimpleFileOptions::default().compression_method(CompressionMethod::Stored);
    for name in names {
        watch.go_on()?;
        let Some(mut file) = shelf.open(&name)? else {
            counts.takes_missing += 1;
            continue;
        };
        let member = format!("{}{name}{}", TAKES.0, TAKES.1);
        zip.start_file(&member, stored).map_err(unwritten)?;
        let (mut sum, mut part) = (Sum::default(), vec![0; PART]);
        loop {
            let length = file.read(&mut part)?;
            if length == 0 {
                break;
            }
            watch.go_on()?;
            sum.add(&part[..length]);
            zip.write_all(&part[..length])?;
            if *weight + sum.bytes() > MOST_BYTES {
                return Err(NotCarried::too_much("with its takes it weighs more than 4 GB"));
            }
        }
        *weight += sum.bytes();
        let listed = sum.listed(&member);
        // Changed while it was read.
        if listed.sha256 != name.as_str() {
            return Err(NotCarried::Unpackable(
                "A take was changed while it was packed. Nothing was packed.".to_owned(),
            ));
        }
        members.push(listed);
        counts.takes += 1;
    }
    Ok(())
}

/// Looks at the takes of a bundle: each is what its name says and as takes are kept, and an entry speaks of it.
pub(super) fn look<R: Read + Seek>(
    archive: &mut ZipArchive<R>,
    listed: &[Member],
    manifest: &Manifest,
    conn: &Connection,
    watch: &Watch,
) -> Result<(), NotCarried> {
    let said: HashMap<&str, &MemberListed> = manifest.members.iter().map(|one| (one.name.as_str(), one)).collect();
    for (index, Member { name, .. }) in listed.iter().enumerate() {
        let Some(take) = take_of(name) else { continue };
        let mut head = Vec::new();
        let passed = pass(archive, listed, index, watch, |part| {
            head.extend_from_slice(&part[..part.len().min(HEAD - head.len())]);
            Ok(())
        })?;
        if said.get(name.as_str()) != Some(&&passed) || passed.sha256 != take.as_str() {
            return Err(Flaw::Changed(name.clone()).into());
        }
        if !is_as_kept(&head) {
            return Err(Flaw::Take(name.clone()).into());
        }
        let comes = "UPDATE tray.take SET comes = 1 WHERE name = ?1";
        if conn.prepare_cached(comes)?.execute([take.as_str()])? == 0 {
            return Err(Flaw::TakeOfNothing(name.clone()).into());
        }
    }
    Ok(())
}

/// Lays the takes that the shelf does not have on the tray.
pub(super) fn lay<R: Read + Seek>(
    archive: &mut ZipArchive<R>,
    listed: &[Member],
    conn: &Connection,
    tray: &Tray,
    shelf: &Shelf,
    watch: &Watch,
) -> Result<(), NotCarried> {
    for (index, Member { name, .. }) in listed.iter().enumerate() {
        let Some(take) = take_of(name) else { continue };
        let comes = "SELECT 1 FROM tray.take WHERE name = ?1 AND comes = 1";
        if !conn.prepare_cached(comes)?.exists([take.as_str()])? || shelf.open(&take)?.is_some() {
            continue;
        }
        let mut file = tray.begin_take(&take)?;
        let passed = pass(archive, listed, index, watch, |part| Ok(file.write_all(part)?))?;
        // The file was checked when it was looked into; it may have been changed since.
        if passed.sha256 != take.as_str() {
            return Err(Flaw::Changed(name.clone()).into());
        }
        file.sync_all()?;
    }
    Ok(())
}

/// Reads a member part after part; answers its size and sum.
fn pass<R: Read + Seek>(
    archive: &mut ZipArchive<R>,
    listed: &[Member],
    index: usize,
    watch: &Watch,
    mut each: impl FnMut(&[u8]) -> Result<(), NotCarried>,
) -> Result<MemberListed, NotCarried> {
    let (name, size) = listed.get(index).map_or(("", 0), |one| (one.name.as_str(), one.size));
    let mut member = opened(archive, index, name)?.take(size + 1);
    let (mut sum, mut part) = (Sum::default(), vec![0; PART]);
    loop {
        watch.go_on()?;
        let length = member.read(&mut part).map_err(|error| super::look::unread(error, name))?;
        if length == 0 {
            return Ok(sum.listed(name));
        }
        sum.add(&part[..length]);
        each(&part[..length])?;
    }
}

/// Whether a file that begins like this is a take as takes are kept: FLAC, one channel or two, 24 bit.
pub(crate) fn is_as_kept(head: &[u8]) -> bool {
    let [b'f', b'L', b'a', b'C', block, 0, 0, 34, ..] = head else { return false };
    // Behind two sizes of blocks and two of frames: 20 bits of rate, 3 of channels less one, 5 of bits less one.
    let Some(&[_, _, low, high]) = head.get(18..22) else { return false };
    let (channels, bits) = ((low >> 1) & 7, ((low & 1) << 4) | (high >> 4));
    block & 0x7f == 0 && channels < 2 && bits == 23
}
