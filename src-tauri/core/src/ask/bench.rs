//! The bench: its log and its clock.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};

use chrono::{DateTime, TimeDelta, Utc};

use super::beside::Beside;
use super::carry::Carry;
use super::refusal::Refusal;
use super::resting::Resting;
use super::since::LastTold;
use crate::clock::{Clock, Dice, version_7};
use crate::logbook::bundle::clear_away;
use crate::logbook::{Log, Trouble, check_and_copy};
use crate::record::names::BenchId;

/// One bench: its log and its clock. Shared between threads; every ask is answered as if it were alone.
pub struct Bench {
    pub(super) folder: PathBuf,
    pub(super) log: Mutex<Log>,
    pub(super) clock: Box<dyn Clock>,
    /// Set when a check beside the running bench found the log damaged.
    pub(super) found_damaged: Arc<AtomicBool>,
    /// What was said of a log that was made anew in vain.
    pub(super) in_vain: Mutex<Option<String>>,
    pub(super) beside: Mutex<Option<Beside>>,
    pub(super) resting: Mutex<Resting>,
    /// The name of this bench.
    pub(super) id: BenchId,
    /// What a key of blind tests is made of, where there is none yet.
    pub(super) chance: [u8; 32],
    /// When it was opened, and how long the computer had been on then.
    pub(super) opened: (DateTime<Utc>, Option<TimeDelta>),
    /// The auditions that were told last.
    pub(super) told: Mutex<LastTold>,
    /// The bundle that is on its way out or in.
    pub(super) carrying: Mutex<Option<Carry>>,
}

impl std::fmt::Debug for Bench {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Bench").field("folder", &self.folder).finish_non_exhaustive()
    }
}

impl Bench {
    /// Opens the log in `folder`, or makes one.
    ///
    /// A small log is checked and, once a day, copied before this returns; a large one, and any in a page, beside the running bench.
    ///
    /// # Errors
    /// A [`Refusal`] when the folder can't be used or a newer version wrote the log.
    pub fn open(folder: &Path, clock: Box<dyn Clock>, dice: &dyn Dice) -> Result<Self, Refusal> {
        let now = clock.now();
        let opened = (now, clock.running());
        let log = Log::open(folder, now, BenchId(version_7(now, dice)))?;
        let id = log.bench();
        let mut chance = [0; 32];
        for part in chance.chunks_mut(8) {
            part.copy_from_slice(&dice.roll()[..part.len()]);
        }
        let bench = Self {
            folder: folder.to_owned(),
            log: Mutex::new(log),
            clock,
            found_damaged: Arc::default(),
            in_vain: Mutex::default(),
            beside: Mutex::new(None),
            resting: Mutex::new(Resting::of(folder.to_owned())),
            id,
            chance,
            opened,
            told: Mutex::new(LastTold::of(now)),
            carrying: Mutex::new(None),
        };
        {
            let mut log = bench.lock();
            // What can't be tidied now must not keep the bench from opening; it is tried again at the next opening.
            let _ = clear_away(&log);
            let _ = bench.shelf().tidy(now, |photo| log.names_photo(photo));
            let _ = bench.take_shelf().tidy(now, |take| log.names_take(take));
            bench.look_after(&mut log, now, true);
        }
        Ok(bench)
    }

    /// The name of this bench.
    #[must_use]
    pub fn id(&self) -> BenchId {
        self.id
    }

    /// The folder the log lies in.
    #[must_use]
    pub fn folder(&self) -> &Path {
        &self.folder
    }

    pub(crate) fn lock(&self) -> MutexGuard<'_, Log> {
        // A thread that died while it held the log left at most an unfinished transaction, which SQLite rolled back.
        self.log.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// How far the clock was moved since the bench was opened, as far as that can be told.
    pub(crate) fn moved(&self, now: DateTime<Utc>) -> Option<TimeDelta> {
        let (then, running) = self.opened;
        Some((now - then) - (self.clock.running()? - running?))
    }

    /// Makes good an older log that was written over the open one.
    pub(crate) fn hold_to_what_it_held(&self, log: &mut Log) -> Result<(), Refusal> {
        if log.still_holds() { Ok(()) } else { self.recover(log, "an older log was written over it") }
    }

    pub(crate) fn recover(&self, log: &mut Log, what: &str) -> Result<(), Refusal> {
        let now = self.clock.now();
        let bench = log.bench();
        let had = log.file();
        log.rescue(now);
        log.let_go();
        *log = Log::recover(&self.folder, now, bench, what, had)?;
        Ok(())
    }

    /// Makes the daily copy, and checks a large log, beside the running bench.
    pub(crate) fn look_after(&self, log: &mut Log, now: DateTime<Utc>, opened: bool) {
        let mut beside = self.beside.lock().unwrap_or_else(PoisonError::into_inner);
        if beside.as_ref().is_some_and(|work| !work.is_finished()) {
            return;
        }
        // A copy that can't be made must not stop the work; it is due again later.
        let due = log.copy_is_due(now).unwrap_or(false);
        if !log.is_large() {
            if due {
                let _ = log.copy(now);
            }
            return;
        }
        if !due && !opened {
            return;
        }
        let (folder, found) = (self.folder.clone(), Arc::clone(&self.found_damaged));
        if due {
            log.copying(now);
        }
        *beside = Some(Beside::when_there_is_time(move || {
            if let Err(Trouble::Damaged(_)) = check_and_copy(&folder, now, due) {
                found.store(true, Ordering::SeqCst);
            }
        }));
    }

    /// Waits for what is done beside the bench: a check of a large log, and the day's copy, which may hold what is about to be erased.
    /// In a page this is when it is done.
    pub fn wait_for_copy(&self) {
        let beside = self.beside.lock().unwrap_or_else(PoisonError::into_inner).take();
        if let Some(work) = beside {
            work.wait();
        }
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        self.stop_carrying();
        self.wait_for_copy();
    }
}
