//! Rest: once nothing was written for some seconds, or an audition was taken down, all of the log is brought into its one
//! file. A copy of the folder made then holds everything in it.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::sync::{Arc, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use crate::logbook::bring_together;

/// How long nothing is written before the log is brought together.
const REST: Duration = Duration::from_secs(3);
/// How often it is tried while other programs are at the log.
const TRIES: usize = 5;

/// A thread beside the bench that waits for rest. It is woken by the first write after a rest and by what ends the work, not by
/// each write: that would cost the next write's sync a change of threads.
#[derive(Debug)]
pub(super) struct Resting {
    wake: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
    /// When the log is brought together, unless something is written before; nothing while it is.
    due: Arc<Mutex<Option<Instant>>>,
    /// How many rows had been changed when it was told last.
    changes: u64,
}

impl Resting {
    /// For the log in this folder. A page's log is in one file whenever nothing is being written: nobody waits there.
    pub fn of(folder: PathBuf) -> Self {
        if cfg!(target_family = "wasm") {
            return Self { wake: None, thread: None, due: Arc::default(), changes: 0 };
        }
        let (wake, woken) = channel();
        let due = Arc::new(Mutex::new(None));
        let shared = Arc::clone(&due);
        Self {
            wake: Some(wake),
            thread: Some(std::thread::spawn(move || wait(&folder, &woken, &shared))),
            due,
            changes: 0,
        }
    }

    /// Something may have been written, which `ends` the work or does not; `changes` rows were, since the log was opened.
    pub fn after(&mut self, ends: bool, changes: u64) {
        if self.changes == changes || self.thread.is_none() {
            return;
        }
        self.changes = changes;
        let now = Instant::now();
        let before = lock(&self.due).replace(if ends { now } else { now + REST });
        if ends || before.is_none() {
            // Without the thread the log is brought together when it is closed.
            let _ = self.wake.as_ref().map(|wake| wake.send(()));
        }
    }
}

impl Drop for Resting {
    fn drop(&mut self) {
        self.wake = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn lock(due: &Mutex<Option<Instant>>) -> MutexGuard<'_, Option<Instant>> {
    // An instant is written whole or not at all.
    due.lock().unwrap_or_else(PoisonError::into_inner)
}

fn wait(folder: &Path, woken: &Receiver<()>, due: &Mutex<Option<Instant>>) {
    while let Ok(()) = woken.recv() {
        let mut tries = 0;
        loop {
            let Some(at) = *lock(due) else { break };
            let left = at.saturating_duration_since(Instant::now());
            if !left.is_zero() {
                match woken.recv_timeout(left) {
                    Err(RecvTimeoutError::Disconnected) => return,
                    Ok(()) | Err(RecvTimeoutError::Timeout) => continue,
                }
            }
            // What is written from here on makes it due again.
            *lock(due) = None;
            tries += 1;
            // What can't be done now is done after the next write, or when the log is closed.
            if bring_together(folder).unwrap_or(true) || tries == TRIES {
                break;
            }
            lock(due).get_or_insert(Instant::now() + REST);
        }
    }
}
