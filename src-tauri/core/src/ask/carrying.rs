//! Carrying the log out and in: one bundle at a time, packed, looked into or taken in by a thread beside the bench, so
//! that asks are answered meanwhile. Bundles come and go as files, not as JSON, so they have entrances of their own.

use std::fs::File;
use std::io::{BufReader, Write as _};
use std::path::Path;
use std::sync::atomic::Ordering;
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;

use chrono::{DateTime, Utc};

use super::carry_view::{BundleView, CarryId, CarryView, Carrying, Standing};
use super::contract::{Ask, Reply, is_version_7};
use super::{Bench, Code, Refusal};
use crate::logbook::bundle::{self, Found, NotCarried, Tray, Watch, Which, limits, size_shown, taken_in};
use crate::logbook::{Find, Log, Table, Trouble};
use crate::private;
use crate::record::names::BenchId;

/// One carrying, and who works on it.
pub(super) struct Carry {
    id: CarryId,
    carrying: Carrying,
    tray: Arc<Tray>,
    watch: Arc<Watch>,
    stands: Arc<Mutex<Stands>>,
    work: Option<JoinHandle<()>>,
}

/// How far it came.
#[derive(Debug, Clone)]
enum Stands {
    Working,
    Packed { file: String, bytes: u64, sentence: String },
    Looked(Box<Found>),
    TakenIn(String),
    Failed(Refusal),
    CalledOff,
}

impl Carry {
    fn begin(folder: &Path, id: CarryId, carrying: Carrying) -> Result<Self, Refusal> {
        Ok(Self {
            id,
            carrying,
            tray: Arc::new(Tray::put(folder, id.0)?),
            watch: Arc::default(),
            stands: Arc::new(Mutex::new(Stands::Working)),
            work: None,
        })
    }

    fn stands(&self) -> Stands {
        self.stands.lock().unwrap_or_else(PoisonError::into_inner).clone()
    }

    fn is_working(&self) -> bool {
        matches!(self.stands(), Stands::Working)
    }

    /// Does the work on a thread of its own.
    fn set_to_work(
        &mut self,
        bench: &Bench,
        work: impl FnOnce(&Tray, &Watch) -> Result<Stands, NotCarried> + Send + 'static,
    ) {
        let (tray, watch, stands) = (Arc::clone(&self.tray), Arc::clone(&self.watch), Arc::clone(&self.stands));
        let found_damaged = Arc::clone(&bench.found_damaged);
        *stands.lock().unwrap_or_else(PoisonError::into_inner) = Stands::Working;
        self.work = Some(std::thread::spawn(move || {
            // Were there a mistake in it, nobody may wait for ever.
            let done = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| work(&tray, &watch)));
            let now = match done {
                Ok(Ok(now)) => now,
                Ok(Err(NotCarried::CalledOff)) => Stands::CalledOff,
                Ok(Err(not_carried)) => {
                    if matches!(not_carried, NotCarried::Trouble(Trouble::Damaged(_))) {
                        found_damaged.store(true, Ordering::SeqCst);
                    }
                    Stands::Failed(not_carried.into())
                }
                Err(_) => Stands::Failed(Trouble::Program("while a bundle was carried".to_owned()).into()),
            };
            *stands.lock().unwrap_or_else(PoisonError::into_inner) = now;
        }));
    }

    /// Calls it off and waits until nobody works on it.
    fn end(mut self) {
        self.watch.call_off();
        if let Some(work) = self.work.take() {
            // What went wrong in it is in its standing.
            let _ = work.join();
        }
    }

    fn view(&self, this_bench: BenchId) -> CarryView {
        let (phase, hundredths) = self.watch.now();
        let mut view = CarryView {
            id: self.id,
            carrying: self.carrying,
            standing: Standing::Done,
            hundredths: 100,
            sentence: String::new(),
            lines: Vec::new(),
            warnings: Vec::new(),
            anything_new: false,
            file: None,
            bytes: None,
        };
        match self.stands() {
            Stands::Working => {
                view.standing = Standing::Working;
                view.hundredths = hundredths;
                view.sentence = format!("{}.", phase.words());
            }
            Stands::Packed { file, bytes, sentence } => {
                view.sentence = sentence;
                view.file = Some(file);
                view.bytes = Some(bytes);
            }
            Stands::Looked(found) => {
                view.anything_new = found.is_anything_new();
                view.sentence = if view.anything_new {
                    "The bundle is whole. This is what it would bring.".to_owned()
                } else {
                    "The bundle is whole. Everything in it is here already.".to_owned()
                };
                view.lines = found.in_words(this_bench);
                view.warnings = found.warnings();
            }
            Stands::TakenIn(sentence) => view.sentence = sentence,
            Stands::Failed(refusal) => {
                view.standing = Standing::Refused;
                view.sentence = refusal.sentence;
            }
            Stands::CalledOff => {
                view.standing = Standing::CalledOff;
                view.sentence = NotCarried::CalledOff.sentence();
            }
        }
        view
    }
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
    /// Answers what is asked about carrying, without holding up other asks; nothing for any other ask.
    pub(super) fn answer_carrying(&self, ask: &Ask) -> Option<Result<Reply, Refusal>> {
        Some(match ask {
            Ask::BundleOf { auditions } => {
                let which = Which::of(auditions.iter().copied());
                bundle::would_hold(self.folder(), &which).map_err(Refusal::from).map(|counts| Reply::BundleOf {
                    bundle: BundleView {
                        empty: counts.entries == 0,
                        sentence: if counts.entries == 0 {
                            "The log is empty. There is nothing to carry yet.".to_owned()
                        } else {
                            format!("The bundle would hold {}.", counts.shown())
                        },
                    },
                })
            }
            Ask::PackBundle { carry, auditions } => self.pack(*carry, &Which::of(auditions.iter().copied())),
            Ask::Carry {} => Ok(self.carry_reply(&self.carry())),
            Ask::TakeIn { carry } => self.take_in(*carry),
            Ask::CallOff { carry } => self.call_off(*carry),
            _ => return None,
        })
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

    fn pack(&self, id: CarryId, which: &Which) -> Result<Reply, Refusal> {
        let Some(mut now) = self.begin_carry(id, Carrying::Pack)? else {
            return Ok(self.carry_reply(&self.carry()));
        };
        // Before the work begins, so that the answer is the same in every run.
        let reply = self.carry_reply(&now);
        if let Some(carry) = now.as_mut() {
            let (folder, which, at) = (self.folder().to_owned(), which.clone(), self.clock.now());
            carry.set_to_work(self, move |tray, watch| {
                let file = private::file(&tray.bundle())?;
                let manifest = bundle::pack(&folder, &which, at, &file, watch)?;
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
        carry.set_to_work(self, move |tray, watch| {
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
        carry.set_to_work(self, move |tray, watch| {
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
                let _ = work.join();
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
