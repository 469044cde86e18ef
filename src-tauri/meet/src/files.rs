//! Photos and takes, both ways, part after part: what lies here and is not there goes out, what entries here name and is there comes in.
//!
//! Parts that arrived before a break are there the next time, on either side. At most one part is in memory. A file that is not what
//! it is called is refused by itself: entries and other files go on.

use std::collections::{BTreeSet, HashMap, HashSet};
use std::io::{Read as _, Seek as _, SeekFrom};

use crate::log::files::File;
use crate::log::shared::{CameIn, FileName, Half, PART, Parts, Sha, Shared, sha_of};
use crate::{Exchanged, FileHead, NotMet, SharedLog};

/// How many bytes pass, or are read on the way, before entries have their turn again.
const AT_ONCE: u64 = 4 << 20;
/// How many files are asked about at once.
const READ_AT_ONCE: usize = 5000;

/// How far photos and takes came over one connection.
#[derive(Debug, Default)]
pub(crate) struct Files {
    /// The row here up to which entries were looked at.
    looked_up_to: i64,
    /// The number there up to which files were read.
    read_up_to: i64,
    /// The files that are there, by their sums; a bench may have told one falsely, so there may be several of one sum.
    there: HashMap<Sha, Vec<FileHead>>,
    /// Files there that are not what they are called.
    refused: HashSet<i64>,
    /// What is named and lies here, and was not looked for there yet.
    unsent: BTreeSet<FileName>,
    /// What is named and does not lie here.
    wanted: BTreeSet<FileName>,
    /// Those of them that are there and were not tried in this exchange; nothing before it is known which.
    ready: Option<Vec<FileName>>,
    sending: Option<Sending>,
    receiving: Option<Receiving>,
}

/// A file on its way out.
#[derive(Debug)]
struct Sending {
    name: FileName,
    file: File,
    parts: Parts,
    /// The places of parts that are missing there, the last one first.
    missing: Vec<usize>,
}

/// A file on its way in.
#[derive(Debug)]
struct Receiving {
    name: FileName,
    head: FileHead,
    parts: Parts,
    half: Half,
    /// The place of the part that comes next.
    next: usize,
}

impl Files {
    /// Exchanges some; answers whether there is more.
    pub(crate) async fn exchange(
        &mut self,
        here: &Shared,
        there: &mut impl SharedLog,
        exchanged: &mut Exchanged,
    ) -> Result<bool, NotMet> {
        let (named, looked_up_to) = here.files_named(self.looked_up_to)?;
        self.looked_up_to = looked_up_to;
        for name in named {
            if here.lies(&name) {
                self.unsent.insert(name)
            } else {
                self.wanted.insert(name)
            };
        }
        self.read(there).await?;
        self.ready = None;
        let mut passed = 0;
        while passed < AT_ONCE {
            passed += if let Some(sending) = self.sending.take() {
                self.send_part(here, there, sending, exchanged).await?
            } else if let Some(receiving) = self.receiving.take() {
                self.receive_part(here, there, receiving, exchanged).await?
            } else if let Some(name) = self.unsent.pop_first() {
                self.begin_to_send(here, there, name).await?
            } else if let Some(name) = self.next_ready() {
                self.begin_to_receive(here, there, name, exchanged).await?
            } else {
                return Ok(false);
            };
        }
        Ok(true)
    }

    /// What comes in next. What another program is at is tried again with the next exchange.
    fn next_ready(&mut self) -> Option<FileName> {
        let (wanted, there) = (&self.wanted, &self.there);
        let is_there = |name: &&FileName| there.contains_key(&name.sum());
        self.ready.get_or_insert_with(|| wanted.iter().filter(is_there).cloned().collect()).pop()
    }

    /// Reads which files are there.
    async fn read(&mut self, there: &mut impl SharedLog) -> Result<(), NotMet> {
        loop {
            let heads = there.files_after(self.read_up_to, READ_AT_ONCE).await?;
            let count = heads.len();
            for head in heads {
                if head.number <= self.read_up_to {
                    return Err(NotMet::untrue("its files are not in order"));
                }
                self.read_up_to = head.number;
                self.there.entry(head.sum).or_default().push(head);
            }
            if count < READ_AT_ONCE {
                return Ok(());
            }
        }
    }

    fn is_there(&self, name: &FileName, parts_sum: &Sha) -> bool {
        self.there.get(&name.sum()).is_some_and(|heads| heads.iter().any(|head| head.parts_sum == *parts_sum))
    }

    async fn begin_to_send(
        &mut self,
        here: &Shared,
        there: &mut impl SharedLog,
        name: FileName,
    ) -> Result<u64, NotMet> {
        if here.parts_sum(&name)?.is_some_and(|known| self.is_there(&name, &known)) || !here.names(&name)? {
            return Ok(0);
        }
        let Some(mut file) = here.open_file(&name)? else {
            // Gone, or changed on the disk: it may be had from there.
            self.wanted.insert(name);
            return Ok(0);
        };
        let parts = Parts::of(&mut file)?;
        here.note_parts_sum(&name, &parts.sum())?;
        let read = parts.bytes;
        if !self.is_there(&name, &parts.sum()) && parts.can_be(&name) {
            let lie_there: HashSet<Sha> = there.parts_there(&parts.sums).await?.into_iter().collect();
            let missing = (0..parts.sums.len()).rev().filter(|at| !lie_there.contains(&parts.sums[*at])).collect();
            self.sending = Some(Sending { name, file, parts, missing });
        }
        Ok(read)
    }

    /// Sends the next part, or tells the file when all of them are there.
    async fn send_part(
        &mut self,
        here: &Shared,
        there: &mut impl SharedLog,
        mut sending: Sending,
        exchanged: &mut Exchanged,
    ) -> Result<u64, NotMet> {
        // Erased since it was begun.
        if !here.names(&sending.name)? {
            return Ok(0);
        }
        let Some(at) = sending.missing.pop() else {
            there.add_file(&sending.name.sum(), &sending.parts).await?;
            exchanged.files_sent += 1;
            return Ok(0);
        };
        let mut part = Vec::new();
        sending.file.seek(SeekFrom::Start((at * PART) as u64))?;
        sending.file.by_ref().take(PART as u64).read_to_end(&mut part)?;
        let Some(sum) = sending.parts.sums.get(at).filter(|sum| sha_of(&part) == **sum) else {
            // Changed on the disk while it went out: looked at anew.
            self.unsent.insert(sending.name);
            return Ok(0);
        };
        there.add_part(sum, &part).await?;
        self.sending = Some(sending);
        Ok(part.len() as u64)
    }

    async fn begin_to_receive(
        &mut self,
        here: &Shared,
        there: &mut impl SharedLog,
        name: FileName,
        exchanged: &mut Exchanged,
    ) -> Result<u64, NotMet> {
        // Erased, or come on another way.
        if !here.names(&name)? || here.open_file(&name)?.is_some() {
            self.wanted.remove(&name);
            return Ok(0);
        }
        let heads = self.there.get(&name.sum()).into_iter().flatten();
        let Some(head) = heads.copied().find(|head| !self.refused.contains(&head.number)) else { return Ok(0) };
        let Some(parts) = there.parts_of(head.number).await? else {
            self.forget(head);
            return Ok(0);
        };
        if !parts.can_be(&name) || parts.sum() != head.parts_sum {
            self.refuse(name, head, exchanged);
            return Ok(0);
        }
        // Another program is at it.
        let Some(mut half) = here.half(&name)? else { return Ok(0) };
        let next = parts.in_half(&mut half)?;
        self.receiving = Some(Receiving { name, head, parts, half, next });
        Ok((next * PART) as u64)
    }

    /// Fetches the next part, or puts the file on its shelf when all of them are here.
    async fn receive_part(
        &mut self,
        here: &Shared,
        there: &mut impl SharedLog,
        mut receiving: Receiving,
        exchanged: &mut Exchanged,
    ) -> Result<u64, NotMet> {
        let Some(sum) = receiving.parts.sums.get(receiving.next) else {
            let Receiving { name, head, parts, half, .. } = receiving;
            match here.lay_down(&name, half)? {
                CameIn::Kept => {
                    here.note_parts_sum(&name, &head.parts_sum)?;
                    self.wanted.remove(&name);
                    exchanged.files_brought += 1;
                }
                CameIn::NotWanted => {
                    self.wanted.remove(&name);
                }
                CameIn::Refused => self.refuse(name, head, exchanged),
            }
            return Ok(parts.bytes);
        };
        let Some(part) = there.part(sum).await? else {
            self.forget(receiving.head);
            return Ok(0);
        };
        if part.len() != receiving.parts.length(receiving.next) || sha_of(&part) != *sum {
            receiving.half.throw_away();
            self.refuse(receiving.name, receiving.head, exchanged);
            return Ok(0);
        }
        receiving.half.add(&part)?;
        receiving.next += 1;
        self.receiving = Some(receiving);
        Ok(part.len() as u64)
    }

    /// Notes that a file there is not what it is called; it is not asked for again over this connection. Another of this name may be.
    fn refuse(&mut self, name: FileName, head: FileHead, exchanged: &mut Exchanged) {
        self.refused.insert(head.number);
        self.ready.iter_mut().for_each(|ready| ready.push(name.clone()));
        exchanged.files_refused += 1;
    }

    /// Notes that a file is there no more.
    fn forget(&mut self, head: FileHead) {
        if let Some(heads) = self.there.get_mut(&head.sum) {
            heads.retain(|other| other.number != head.number);
        }
    }
}
