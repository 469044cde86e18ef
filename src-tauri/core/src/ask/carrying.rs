//! Carrying the log out and in: one bundle at a time, packed, looked into or taken in by a thread beside the bench, so
//! that asks are answered meanwhile. Bundles come and go as files, not as JSON, so they have entrances of their own.

use std::io::{BufReader, Write as _};
use std::sync::{Arc, MutexGuard, PoisonError};

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::{Code, Refusal};
use crate::ask::acts::is_version_7;
use crate::ask::bench::Bench;
use crate::ask::carry::{Carry, Stands};
use crate::ask::carry_view::{BundleView, CarryId, Carrying};
use crate::ask::reply::Reply;
use crate::logbook::bundle::{self, NotCarried, Watch, Which, limits, size_shown, taken_in};
use crate::logbook::files::File;
use crate::logbook::{Find, Lists, Log, Table, Trouble};
use crate::private;
use crate::record::audition::AuditionId;

/// What is asked about the bundle that is carried.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/carry.ts")]
pub enum CarryAsk {
    /// What a bundle of the log would hold.
    BundleOf {
        /// Only these auditions, with what they are about; none for the whole log.
        auditions: Vec<AuditionId>,
    },
    /// Packs a bundle, in place of the one that was carried before. Asked again with the same name it packs nothing anew.
    PackBundle {
        /// A new version-7 UUID.
        carry: CarryId,
        /// Only these auditions, with what they are about; none for the whole log.
        auditions: Vec<AuditionId>,
        /// Whether the sound of takes goes with it.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        #[ts(type = "boolean | undefined")]
        takes: bool,
    },
    /// How the bundle stands that is being carried, or was last.
    Carry {},
    /// Takes in the bundle that was looked into.
    TakeIn {
        /// Which.
        carry: CarryId,
    },
    /// Calls a carrying off, or puts away what came of it.
    CallOff {
        /// Which.
        carry: CarryId,
    },
}

/// A bundle that comes in, part after part.
pub struct Receiving {
    id: CarryId,
    file: File,
    bytes: u64,
    watch: Arc<Watch>,
}

impl Receiving {
    /// Takes the next part.
    ///
    /// # Errors
    /// A [`Refusal`] when it grew too large, there is no room, or it was called off.
    pub fn take(&mut self, part: &[u8]) -> Result<(), Refusal> {
        self.watch.go_on()?;
        self.bytes += part.len() as u64;
        if self.bytes > limits::MOST_BYTES {
            return Err(NotCarried::from(bundle::Flaw::TooHeavy(self.bytes)).into());
        }
        Ok(self.file.write_all(part).map_err(Trouble::from)?)
    }

    /// Which carrying it belongs to.
    #[must_use]
    pub fn id(&self) -> CarryId {
        self.id
    }
}

impl Bench {
    /// Answers what is asked about carrying, without holding up other asks.
    pub(super) fn answer_carrying(&self, ask: CarryAsk) -> Result<Reply, Refusal> {
        match ask {
            CarryAsk::BundleOf { auditions } => {
                let which = Which::of(auditions);
                let counts = bundle::would_hold(self.folder(), &which)?;
                let takes = match bundle::takes_in(self.folder(), &which)? {
                    (0, _) => None,
                    (1, bytes) => Some(format!("One take, {} more", size_shown(bytes))),
                    (count, bytes) => Some(format!("{count} takes, {} more", size_shown(bytes))),
                };
                let sentence = if counts.entries == 0 {
                    "The log is empty. There is nothing to carry yet.".to_owned()
                } else {
                    format!("The bundle would hold {}.", counts.shown())
                };
                Ok(Reply::BundleOf { bundle: BundleView { empty: counts.entries == 0, sentence, takes } })
            }
            CarryAsk::PackBundle { carry, auditions, takes } => self.pack(carry, &Which::of(auditions), takes),
            CarryAsk::Carry {} => Ok(self.carry_reply(&self.carry())),
            CarryAsk::TakeIn { carry } => self.take_in(carry),
            CarryAsk::CallOff { carry } => self.call_off(carry),
        }
    }

    fn carry(&self) -> MutexGuard<'_, Option<Carry>> {
        self.carrying.lock().unwrap_or_else(PoisonError::into_inner)
    }

    fn carry_reply(&self, carry: &Option<Carry>) -> Reply {
        Reply::Carry { carry: carry.as_ref().map(|carry| carry.view(self.id)) }
    }

    /// Begins another carrying in place of the one before, which must have come to its end. Answers nothing when this
    /// very one was begun already.
    fn begin_carry(&self, id: CarryId, carrying: Carrying) -> Result<Option<MutexGuard<'_, Option<Carry>>>, Refusal> {
        if !is_version_7(id.0) {
            return Err(Refusal::unclear("carry", "The name of a carrying is a version-7 UUID."));
        }
        let mut now = self.carry();
        if now.as_ref().is_some_and(|carry| carry.id == id && carry.carrying == carrying) {
            return Ok(None);
        }
        if now.as_ref().is_some_and(Carry::is_working) {
            let sentence = "Another bundle is on its way out or in. Wait for it, or call it off first.";
            return Err(Refusal::new(Code::NotNow, sentence));
        }
        if let Some(before) = now.take() {
            before.end();
        }
        *now = Some(Carry::begin(self.folder(), id, carrying)?);
        Ok(Some(now))
    }

    fn pack(&self, id: CarryId, which: &Which, takes: bool) -> Result<Reply, Refusal> {
        let Some(mut now) = self.begin_carry(id, Carrying::Pack)? else {
            return Ok(self.carry_reply(&self.carry()));
        };
        // Before the work begins, so that the answer is the same in every run.
        let reply = self.carry_reply(&now);
        if let Some(carry) = now.as_mut() {
            let (folder, which, at) = (self.folder().to_owned(), which.clone(), self.clock.now());
            carry.set_to_work(&self.found_damaged, move |tray, watch| {
                let file = private::file(&tray.bundle())?;
                let manifest = bundle::pack_with(&folder, &which, takes, at, &file, watch)?;
                file.sync_all()?;
                let bytes = file.metadata()?.len();
                let sentence = format!("Packed: {}. The file has {}.", manifest.counts.shown(), size_shown(bytes));
                Ok(Stands::Packed { file: file_name(at), bytes, sentence })
            });
        }
        Ok(reply)
    }

    /// The packed bundle, to be given out, with a name for its file and its size in bytes.
    ///
    /// # Errors
    /// A [`Refusal`] when there is none of this name, or it is not packed yet.
    pub fn packed_bundle(&self, id: CarryId) -> Result<(File, String, u64), Refusal> {
        let now = self.carry();
        let packed = now.as_ref().filter(|carry| carry.id == id).and_then(|carry| match carry.stands() {
            Stands::Packed { file, bytes, .. } => Some((carry.tray.bundle(), file, bytes)),
            _ => None,
        });
        let Some((path, name, bytes)) = packed else {
            let sentence = "This bundle is not here any more. Pack it again.";
            return Err(Refusal::new(Code::NotFound, sentence));
        };
        Ok((File::open(path).map_err(Trouble::from)?, name, bytes))
    }

    /// Begins to receive a bundle. One that was begun under the same name and did not come to its end begins anew.
    ///
    /// # Errors
    /// A [`Refusal`] when another is on its way, or there is no room.
    pub fn receive_bundle(&self, id: CarryId) -> Result<Receiving, Refusal> {
        self.let_go_of(id);
        let Some(now) = self.begin_carry(id, Carrying::Look)? else {
            return Err(Refusal::new(Code::NotNow, "This bundle is here already."));
        };
        let Some(carry) = now.as_ref() else { return Err(Refusal::not_found("bundle")) };
        let file = private::file(&carry.tray.bundle()).map_err(Trouble::from)?;
        Ok(Receiving { id, file, bytes: 0, watch: Arc::clone(&carry.watch) })
    }

    /// The whole bundle has come in: it is looked into now.
    ///
    /// # Errors
    /// A [`Refusal`] when it was called off meanwhile.
    pub fn look_into(&self, received: Receiving) -> Result<Reply, Refusal> {
        received.file.sync_all().map_err(Trouble::from)?;
        let mut now = self.carry();
        let Some(carry) = now.as_mut().filter(|carry| carry.id == received.id && carry.work.is_none()) else {
            return Err(NotCarried::CalledOff.into());
        };
        let (folder, at) = (self.folder().to_owned(), self.clock.now());
        carry.set_to_work(&self.found_damaged, move |tray, watch| {
            let file = BufReader::new(File::open(tray.bundle())?);
            Ok(Stands::Looked(Box::new(bundle::look(&folder, file, tray, at, watch)?)))
        });
        Ok(self.carry_reply(&now))
    }

    /// A bundle did not come in whole: nothing of it is kept.
    pub fn let_go_of(&self, id: CarryId) {
        let mut now = self.carry();
        if now.as_ref().is_some_and(|carry| carry.id == id && carry.carrying == Carrying::Look && carry.work.is_none())
        {
            *now = None;
        }
    }

    fn take_in(&self, id: CarryId) -> Result<Reply, Refusal> {
        let mut now = self.carry();
        let Some(carry) = now.as_mut().filter(|carry| carry.id == id) else {
            let sentence = "This bundle is not here any more. Choose its file again.";
            return Err(Refusal::new(Code::NotFound, sentence));
        };
        if carry.carrying == Carrying::TakeIn {
            return Ok(self.carry_reply(&now));
        }
        let Stands::Looked(found) = carry.stands() else {
            return Err(Refusal::new(Code::NotNow, "This bundle was not looked into yet. Nothing was brought in."));
        };
        carry.carrying = Carrying::TakeIn;
        let (folder, at) = (self.folder().to_owned(), self.clock.now());
        carry.set_to_work(&self.found_damaged, move |tray, watch| {
            let file = BufReader::new(File::open(tray.bundle())?);
            let written = bundle::take_in(&folder, file, tray, at, watch)?;
            Ok(Stands::TakenIn(taken_in(&found.new, written)))
        });
        Ok(self.carry_reply(&now))
    }

    fn call_off(&self, id: CarryId) -> Result<Reply, Refusal> {
        let mut now = self.carry();
        if let Some(carry) = now.as_mut().filter(|carry| carry.id == id) {
            carry.watch.call_off();
            if let Some(work) = carry.work.take() {
                // What came of it is in its standing: called off, or done already.
                work.wait();
            }
            if !matches!(carry.stands(), Stands::TakenIn(_)) {
                *now = None;
            }
        }
        Ok(self.carry_reply(&now))
    }

    /// Ends what is being carried: it may hold what is about to be erased.
    ///
    /// # Errors
    /// A [`Refusal`] while a bundle is taken in.
    pub(super) fn end_carry(&self) -> Result<(), Refusal> {
        let mut now = self.carry();
        if now.as_ref().is_some_and(|carry| carry.carrying == Carrying::TakeIn && carry.is_working()) {
            let sentence = "A bundle is being taken in. Wait until that is done. Nothing was erased.";
            return Err(Refusal::new(Code::NotNow, sentence));
        }
        if let Some(carry) = now.take() {
            carry.end();
        }
        Ok(())
    }

    /// Ends what is being carried, whatever it is: the bench closes. What is in the log stays in it.
    pub(super) fn stop_carrying(&self) {
        if let Some(carry) = self.carry().take() {
            carry.end();
        }
    }

    /// Whether a bundle is being written into the log just now, so that other writing has to wait.
    pub(super) fn is_taking_in(&self) -> bool {
        self.carry().as_ref().is_some_and(|carry| carry.carrying == Carrying::TakeIn && carry.is_working())
    }

    /// Writes a table of the logbook, from a connection of its own, so that asks are answered meanwhile.
    ///
    /// # Errors
    /// A [`Refusal`] when the log can't be read, or `out` not be written.
    pub fn write_table(&self, table: Table, find: &Find, out: impl std::io::Write) -> Result<u64, Refusal> {
        let mut log = Log::beside(self.folder(), self.id)?;
        Ok(log.write_table(table, find, out)?)
    }
}

/// `solderlast-2026-11-25.zip`.
fn file_name(at: DateTime<Utc>) -> String {
    format!("solderlast-{}.zip", at.format("%Y-%m-%d"))
}

impl From<NotCarried> for Refusal {
    fn from(not_carried: NotCarried) -> Self {
        let sentence = not_carried.sentence();
        match not_carried {
            NotCarried::Flaw(flaw) => Self { code: Code::Bundle, sentence, field: Some(flaw.code().to_owned()) },
            NotCarried::Trouble(trouble) => trouble.into(),
            NotCarried::Unpackable(_) | NotCarried::CalledOff => Self::new(Code::NotNow, sentence),
        }
    }
}
