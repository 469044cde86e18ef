//! Photos and takes between this log and a shared one: which are named here, which lie here, and those that come in, part after part.
//!
//! Parts are all of one length but the last, so everybody cuts a file into the same ones. What came in before a break stays beside
//! the log, and is gone on with. A file is put on its shelf only when the whole of it is what its name says, is as such files are
//! kept, and is named by an entry still.

use std::collections::BTreeSet;
use std::io::{self, Read as _};

use rusqlite::{OptionalExtension, params};

use super::{Sha, Shared, sha_of};
use crate::bundle::limits::{MOST_BYTES_OF_PHOTO, MOST_BYTES_OF_TAKE};
use crate::bundle::{HEAD_OF_TAKE, is_take_as_kept, take_named_in};
use crate::files::File;
use crate::lock::Lock;
use crate::photos::is_as_kept;
use crate::record::body::{BenchBody, Body};
use crate::record::entry::Written;
use crate::record::names::DEMO_BENCH;
use crate::record::photo::PhotoName;
use crate::record::take::TakeName;
use crate::row::in_letters;
use crate::shelf::{Half, Shelf, Sort};
use crate::store::names_photo;
use crate::takes::names_take;
use crate::{Trouble, photos, takes};

/// How long a part is, in bytes: 1 MiB. The last one of a file is shorter.
pub const PART: usize = 1 << 20;

/// A file beside a log that an entry names.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum FileName {
    /// A photo.
    Photo(PhotoName),
    /// A take.
    Take(TakeName),
}

impl FileName {
    /// The SHA-256 of the whole file, which its name is.
    #[must_use]
    pub fn sum(&self) -> Sha {
        let digits = match self {
            Self::Photo(photo) => photo.as_str(),
            Self::Take(take) => take.as_str(),
        };
        let mut sum = [0; 32];
        for (byte, pair) in sum.iter_mut().zip(digits.as_bytes().chunks(2)) {
            *byte = std::str::from_utf8(pair).ok().and_then(|pair| u8::from_str_radix(pair, 16).ok()).unwrap_or(0);
        }
        sum
    }

    fn most_bytes(&self) -> u64 {
        match self {
            Self::Photo(_) => MOST_BYTES_OF_PHOTO,
            Self::Take(_) => MOST_BYTES_OF_TAKE,
        }
    }
}

/// What a file is made of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Parts {
    /// How long it is, in bytes.
    pub bytes: u64,
    /// The SHA-256 of each part, in their order.
    pub sums: Vec<Sha>,
}

impl Parts {
    /// Reads what is left of a file.
    ///
    /// # Errors
    /// When it can't be read.
    pub fn of(file: &mut File) -> io::Result<Self> {
        let (mut parts, mut part) = (Self { bytes: 0, sums: Vec::new() }, Vec::new());
        loop {
            part.clear();
            file.by_ref().take(PART as u64).read_to_end(&mut part)?;
            if part.is_empty() {
                return Ok(parts);
            }
            parts.bytes += part.len() as u64;
            parts.sums.push(sha_of(&part));
        }
    }

    /// What tells this list of parts from every other one.
    #[must_use]
    pub fn sum(&self) -> Sha {
        sha_of(self.sums.concat())
    }

    /// How long the part at this place is, in bytes.
    #[must_use]
    pub fn length(&self, at: usize) -> usize {
        let left = self.bytes.saturating_sub((at * PART) as u64);
        usize::try_from(left).unwrap_or(PART).min(PART)
    }

    /// Whether a file of this name can be made of them.
    #[must_use]
    pub fn can_be(&self, name: &FileName) -> bool {
        (1..=name.most_bytes()).contains(&self.bytes) && self.sums.len() as u64 == self.bytes.div_ceil(PART as u64)
    }

    /// How many of them, from the first on, are in a file that came in half; what is behind them is cut off.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn in_half(&self, half: &mut Half) -> Result<usize, Trouble> {
        let (file, mut part) = (half.rewound()?, Vec::new());
        let mut there = 0;
        for sum in &self.sums {
            part.clear();
            file.by_ref().take(PART as u64).read_to_end(&mut part)?;
            if sha_of(&part) != *sum {
                break;
            }
            there += 1;
        }
        half.cut(self.bytes.min((there * PART) as u64))?;
        Ok(there)
    }
}

/// What became of a file that came in to its end.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CameIn {
    /// It is on its shelf.
    Kept,
    /// No entry names it any more.
    NotWanted,
    /// It is not what its name says, or not as such files are kept. Nothing of it is left here.
    Refused,
}

impl Shared {
    /// The photos and takes that entries behind this row name, and the row up to which was looked. What the invented bench wrote
    /// stays here, and what others erased and waits here.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn files_named(&self, after: i64) -> Result<(BTreeSet<FileName>, i64), Trouble> {
        // Asked first: what is written meanwhile has a higher number.
        let newest = self.newest()?;
        let mut names = BTreeSet::new();
        if newest <= after {
            return Ok((names, after));
        }
        // The first time by the indexes, later by the few rows that are new.
        let questions: &[&str] = if after == 0 {
            &[
                "SELECT kind, body FROM main.entry INDEXED BY entry_photo WHERE kind = 'photo_taken' AND bench <> ?2 AND seq > ?1
                 AND about NOT IN (SELECT about FROM shared.erased WHERE done = 0)",
                "SELECT kind, body FROM main.entry INDEXED BY entry_take WHERE kind = 'take_kept' AND bench <> ?2 AND seq > ?1
                 AND about NOT IN (SELECT about FROM shared.erased WHERE done = 0)",
            ]
        } else {
            &["SELECT kind, body FROM main.entry NOT INDEXED
               WHERE seq > ?1 AND kind IN ('photo_taken', 'take_kept') AND bench <> ?2
               AND about NOT IN (SELECT about FROM shared.erased WHERE done = 0)"]
        };
        for question in questions {
            let mut select = self.conn.prepare_cached(question)?;
            let mut rows = select.query(params![after, DEMO_BENCH.0])?;
            while let Some(row) = rows.next()? {
                names.extend(named_in(&in_letters(row.get_ref(0)?), &in_letters(row.get_ref(1)?)));
            }
        }
        Ok((names, newest))
    }

    /// Whether a file of this name lies here, whatever is in it.
    #[must_use]
    pub fn lies(&self, name: &FileName) -> bool {
        match name {
            FileName::Photo(photo) => photos::Shelf::beside(&self.folder).lies(photo),
            FileName::Take(take) => takes::Shelf::beside(&self.folder).lies(take),
        }
    }

    /// A file, if it is here and is what its name says.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be read.
    pub fn open_file(&self, name: &FileName) -> Result<Option<File>, Trouble> {
        match name {
            FileName::Photo(photo) => photos::Shelf::beside(&self.folder).open(photo),
            FileName::Take(take) => takes::Shelf::beside(&self.folder).open(take),
        }
    }

    /// Whether an entry here names this file.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn names(&self, name: &FileName) -> Result<bool, Trouble> {
        match name {
            FileName::Photo(photo) => names_photo(&self.conn, photo),
            FileName::Take(take) => names_take(&self.conn, take),
        }
    }

    /// Begins to bring in a file, or goes on with it; nothing when it is here, or another program is at it.
    ///
    /// # Errors
    /// [`Trouble`] when the folder can't be used.
    pub fn half(&self, name: &FileName) -> Result<Option<Half>, Trouble> {
        match name {
            FileName::Photo(photo) => photos::Shelf::beside(&self.folder).half(photo),
            FileName::Take(take) => takes::Shelf::beside(&self.folder).half(take),
        }
    }

    /// Puts a file that came in to its end on its shelf, if it is what it should be.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used; what came in is there still.
    pub fn lay_down(&self, name: &FileName, half: Half) -> Result<CameIn, Trouble> {
        match name {
            FileName::Photo(photo) => {
                let as_kept = |file: &mut File| {
                    let mut bytes = Vec::new();
                    file.take(MOST_BYTES_OF_PHOTO + 1).read_to_end(&mut bytes)?;
                    Ok(is_as_kept(&bytes))
                };
                self.lay(photo, &photos::Shelf::beside(&self.folder), half, as_kept, || names_photo(&self.conn, photo))
            }
            FileName::Take(take) => {
                let as_kept = |file: &mut File| {
                    let mut head = Vec::new();
                    file.take(HEAD_OF_TAKE as u64).read_to_end(&mut head)?;
                    Ok(is_take_as_kept(&head))
                };
                self.lay(take, &takes::Shelf::beside(&self.folder), half, as_kept, || names_take(&self.conn, take))
            }
        }
    }

    fn lay<N: Sort>(
        &self,
        name: &N,
        shelf: &Shelf<N>,
        mut half: Half,
        as_kept: impl Fn(&mut File) -> io::Result<bool>,
        is_named: impl Fn() -> Result<bool, Trouble>,
    ) -> Result<CameIn, Trouble> {
        let whole = N::of_all(half.rewound()?)? == *name;
        if !whole || !as_kept(half.rewound()?)? {
            half.throw_away();
            return Ok(CameIn::Refused);
        }
        // Who erases waits until it is on the shelf, and takes it from there; or has erased, and it is named no more.
        let lock = Lock::of(&self.folder)?;
        let _together = lock.together()?;
        if !is_named()? {
            half.throw_away();
            return Ok(CameIn::NotWanted);
        }
        shelf.complete(name, half)?;
        Ok(CameIn::Kept)
    }

    /// The sum of the list of parts of a file here, if it was noted.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read.
    pub fn parts_sum(&self, name: &FileName) -> Result<Option<Sha>, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT sum FROM shared.parts WHERE name = ?1")?;
        Ok(select.query_row([name.sum()], |row| row.get(0)).optional()?)
    }

    /// Notes it, so that the file need not be read again to know it.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be written.
    pub fn note_parts_sum(&self, name: &FileName, sum: &Sha) -> Result<(), Trouble> {
        self.conn.prepare_cached("INSERT OR REPLACE INTO shared.parts VALUES (?1, ?2)")?.execute([name.sum(), *sum])?;
        Ok(())
    }
}

/// The file that an entry of this kind names, if it names one.
fn named_in(kind: &str, body: &str) -> Option<FileName> {
    if let Some((take, _)) = take_named_in(kind, body) {
        return Some(FileName::Take(take));
    }
    match Written::read(kind, body).known() {
        Some(Body::Bench(BenchBody::PhotoTaken { photo, .. })) => Some(FileName::Photo(photo.clone())),
        _ => None,
    }
}
