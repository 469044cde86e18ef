//! Rest: once nothing was written for some seconds, or an audition was taken down, all of the log is brought into its one
//! file. A copy of the folder made then holds everything in it.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

use super::contract::Ask;
use crate::logbook::bring_together;
use crate::record::tick::Tick;

/// How long nothing is written before the log is brought together.
const REST: Duration = Duration::from_secs(3);
/// How often it is tried while other programs are at the log.
const TRIES: usize = 5;

/// A thread beside the bench that waits for rest.
#[derive(Debug)]
pub(super) struct Resting {
    tell: Option<Sender<Duration>>,
    thread: Option<JoinHandle<()>>,
    /// How many rows had been changed when it was told last.
    changes: u64,
}

impl Resting {
    /// For the log in this folder.
    pub fn of(folder: PathBuf) -> Self {
        let (tell, told) = channel();
        Self { tell: Some(tell), thread: Some(std::thread::spawn(move || wait(&folder, &told))), changes: 0 }
    }

    /// Something may have been written by this ask; `changes` rows were, since the log was opened.
    pub fn after(&mut self, ask: &Ask, changes: u64) {
        if self.changes == changes {
            return;
        }
        self.changes = changes;
        let after = if ends_work(ask) { Duration::ZERO } else { REST };
        // Without the thread the log is brought together when it is closed.
        let _ = self.tell.as_ref().map(|tell| tell.send(after));
    }
}

impl Drop for Resting {
    fn drop(&mut self) {
        self.tell = None;
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}

fn wait(folder: &Path, told: &Receiver<Duration>) {
    while let Ok(mut rest) = told.recv() {
        let mut tries = 0;
        while tries < TRIES {
            match told.recv_timeout(rest) {
                Ok(longer) => rest = longer,
                Err(RecvTimeoutError::Disconnected) => return,
                // What can't be done now is done after the next write, or when the log is closed.
                Err(RecvTimeoutError::Timeout) => {
                    if bring_together(folder).unwrap_or(true) {
                        break;
                    }
                    (tries, rest) = (tries + 1, REST);
                }
            }
        }
    }
}

/// Whether somebody may put the computer away after this.
fn ends_work(ask: &Ask) -> bool {
    match ask {
        Ask::TickOff { tick, .. } => Tick::TAKE_DOWN.contains(tick),
        Ask::TickTogether { ticks, .. } => ticks.iter().any(|tick| Tick::TAKE_DOWN.contains(tick)),
        Ask::EndEarly { .. } | Ask::FinishFit { .. } | Ask::GiveUpFit { .. } => true,
        _ => false,
    }
}
