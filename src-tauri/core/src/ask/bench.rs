//! The bench: its log and its clock, and how it answers.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;

use chrono::{DateTime, TimeDelta, Utc};

use super::carry::Carry;
use super::contract::Ask;
use super::letter::read;
use super::refusal::{Code, Refusal};
use super::reply::Reply;
use super::resting::Resting;
use super::since::Told;
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
    pub(super) beside: Mutex<Option<JoinHandle<()>>>,
    pub(super) resting: Mutex<Resting>,
    /// The name of this bench.
    pub(super) id: BenchId,
    /// When it was opened, and how long the computer had been on then.
    pub(super) opened: (DateTime<Utc>, Option<TimeDelta>),
    /// The auditions that were told last.
    told: Mutex<Told>,
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
    /// A small log is checked and, once a day, copied before this returns; a large one beside the running bench.
    ///
    /// # Errors
    /// A [`Refusal`] when the folder can't be used or a newer version wrote the log.
    pub fn open(folder: &Path, clock: Box<dyn Clock>, dice: &dyn Dice) -> Result<Self, Refusal> {
        let now = clock.now();
        let opened = (now, clock.running());
        let log = Log::open(folder, now, BenchId(version_7(now, dice)))?;
        let id = log.bench();
        let bench = Self {
            folder: folder.to_owned(),
            log: Mutex::new(log),
            clock,
            found_damaged: Arc::default(),
            in_vain: Mutex::default(),
            beside: Mutex::new(None),
            resting: Mutex::new(Resting::of(folder.to_owned())),
            id,
            opened,
            told: Mutex::new(Told::of(now)),
            carrying: Mutex::new(None),
        };
        {
            let mut log = bench.lock();
            // What can't be tidied now must not keep the bench from opening; it is tried again at the next opening.
            let _ = clear_away(&log, &bench.shelf());
            let _ = bench.shelf().tidy(now, |photo| log.names_photo(photo));
            bench.look_after(&mut log, now, true);
        }
        Ok(bench)
    }

    /// Answers one ask.
    ///
    /// # Errors
    /// A [`Refusal`] that names what was wrong; then nothing was written.
    pub fn ask(&self, ask: Ask) -> Result<Reply, Refusal> {
        if let Some(answer) = self.answer_carrying(&ask) {
            return answer;
        }
        let mut log = self.lock();
        if self.found_damaged.swap(false, Ordering::SeqCst) {
            self.recover(&mut log, "found by the check after opening")?;
        }
        let now = self.clock.now();
        // Whatever writes looks itself, after it wrote.
        if log.is_left() || (ask.writes().is_none() && !log.is_in_place()) {
            log.open_in_place(now)?;
        }
        self.hold_to_what_it_held(&mut log)?;
        let reply = match self.answer_with(&mut log, ask.clone(), now) {
            // Written into a file that is gone: that is brought over, and the ask finds itself written, or is written now.
            Err(_) if !log.is_in_place() => {
                log.open_in_place(now)?;
                self.answer_with(&mut log, ask.clone(), now)
            }
            Err(refusal) if refusal.code == Code::Damaged => {
                // What a log made anew could not mend was no damage, but a mistake of the program.
                if self.in_vain.lock().is_ok_and(|in_vain| in_vain.as_ref() == Some(&refusal.sentence)) {
                    return Err(Trouble::Program(refusal.sentence).into());
                }
                self.recover(&mut log, &format!("found while it was read: {}", refusal.sentence))?;
                if ask == (Ask::CheckLog {}) {
                    let sentence = "The log was damaged. It was set aside, and one made of all that could be read is open now. \
                                    The Bench page says what came of it.";
                    Ok(Reply::Done { sentence: sentence.to_owned() })
                } else {
                    let again = self.answer_with(&mut log, ask.clone(), now);
                    if let (Err(again), Ok(mut in_vain)) = (&again, self.in_vain.lock()) {
                        *in_vain = (again.code == Code::Damaged).then(|| again.sentence.clone());
                    }
                    again
                }
            }
            Err(refusal) if refusal.code == Code::Busy && self.is_taking_in() => {
                let sentence =
                    "A bundle is being written into the log. Wait a moment, then try again. What you typed is kept.";
                Err(Refusal::new(Code::Busy, sentence))
            }
            other => other,
        };
        self.look_after(&mut log, now, false);
        self.resting.lock().unwrap_or_else(PoisonError::into_inner).after(&ask, log.changes());
        reply
    }

    /// Answers one ask in JSON: `{"ok": reply}` or `{"refused": refusal}`. Never fails: what is not an ask is refused.
    #[must_use]
    pub fn answer(&self, json: &[u8]) -> Vec<u8> {
        let answer = read(json).and_then(|ask| self.ask(ask));
        in_json(&answer)
    }

    /// The same for who says which answer about an audition they still have, by its `as_of`: `{"since": has, "as_of": name,
    /// "changed": {…}}` with the fields of the audition that are not as they were in that. Of its steps only those that
    /// changed come, as `some_steps`; what was written since comes as `more_written`. Who has none (an empty name), or one that
    /// is no longer known, is answered in full, as `{"ok": reply, "as_of": name}`.
    #[must_use]
    pub fn answer_since(&self, json: &[u8], has: &str) -> Vec<u8> {
        self.told(read(json).and_then(|ask| self.ask(ask)), has)
    }

    /// An answer in JSON for who has an earlier one, as [`Bench::answer_since`] gives it.
    #[must_use]
    pub fn told(&self, answer: Result<Reply, Refusal>, has: &str) -> Vec<u8> {
        self.told.lock().unwrap_or_else(PoisonError::into_inner).tell(answer, has)
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
        let mut beside = self.beside.lock().unwrap_or_else(PoisonError::into_inner);
        if beside.as_ref().is_some_and(|thread| !thread.is_finished()) {
            return;
        }
        if due {
            log.copying(now);
        }
        *beside = Some(std::thread::spawn(move || {
            if let Err(Trouble::Damaged(_)) = check_and_copy(&folder, now, due) {
                found.store(true, Ordering::SeqCst);
            }
        }));
    }

    /// Waits for a copy that is being made beside the bench: it may hold what is about to be erased.
    pub(crate) fn wait_for_copy(&self) {
        let beside = self.beside.lock().unwrap_or_else(PoisonError::into_inner).take();
        if let Some(thread) = beside {
            // A check that panicked has nothing left to say.
            let _ = thread.join();
        }
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        self.stop_carrying();
        self.wait_for_copy();
    }
}

/// An answer in JSON.
#[must_use]
pub fn in_json(answer: &Result<Reply, Refusal>) -> Vec<u8> {
    #[derive(serde::Serialize)]
    #[serde(rename_all = "snake_case")]
    enum Answer<'a> {
        Ok(&'a Reply),
        Refused(&'a Refusal),
    }
    let answer = match answer {
        Ok(reply) => Answer::Ok(reply),
        Err(refusal) => Answer::Refused(refusal),
    };
    serde_json::to_vec(&answer).unwrap_or_else(|_| {
        br#"{"refused":{"code":"program","sentence":"The answer could not be written.","field":null}}"#.to_vec()
    })
}
