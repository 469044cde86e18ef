//! How far the carrying has come, and whether somebody called it off. Shared between who works and who watches.

use std::sync::atomic::{AtomicBool, AtomicU8, AtomicU64, Ordering};

use super::flaw::NotCarried;

/// What is being done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Phase {
    /// The bundle comes in.
    Receiving,
    /// Entries are written into a bundle.
    Packing,
    /// The bundle is read and checked, entry by entry.
    Reading,
    /// The log is copied before anything is changed.
    Copying,
    /// New entries are written into the log.
    Writing,
    /// The lists are brought up to date.
    Listing,
}

impl Phase {
    const ALL: [Self; 6] = [Self::Receiving, Self::Packing, Self::Reading, Self::Copying, Self::Writing, Self::Listing];

    /// What a person reads while it goes on.
    #[must_use]
    pub fn words(self) -> &'static str {
        match self {
            Self::Receiving => "The bundle comes in",
            Self::Packing => "Packing the entries",
            Self::Reading => "Reading the bundle and checking it",
            Self::Copying => "Copying the log first",
            Self::Writing => "Writing the new entries into the log",
            Self::Listing => "Bringing the lists up to date",
        }
    }
}

/// How far it has come.
#[derive(Debug)]
pub struct Watch {
    phase: AtomicU8,
    done: AtomicU64,
    of: AtomicU64,
    called_off: AtomicBool,
}

impl Default for Watch {
    fn default() -> Self {
        Self {
            phase: AtomicU8::new(Phase::Receiving as u8),
            done: AtomicU64::new(0),
            of: AtomicU64::new(0),
            called_off: AtomicBool::new(false),
        }
    }
}

impl Watch {
    /// Begins a phase of so many parts.
    pub fn begin(&self, phase: Phase, of: u64) {
        self.phase.store(phase as u8, Ordering::SeqCst);
        self.done.store(0, Ordering::SeqCst);
        self.of.store(of, Ordering::SeqCst);
    }

    /// Says how many parts are done.
    ///
    /// # Errors
    /// [`NotCarried::CalledOff`] when somebody called it off meanwhile.
    pub fn reached(&self, done: u64) -> Result<(), NotCarried> {
        self.done.store(done, Ordering::Relaxed);
        self.go_on()
    }

    /// Goes on unless it was called off.
    ///
    /// # Errors
    /// [`NotCarried::CalledOff`] when it was.
    pub fn go_on(&self) -> Result<(), NotCarried> {
        if self.called_off.load(Ordering::Relaxed) { Err(NotCarried::CalledOff) } else { Ok(()) }
    }

    /// Calls it off; who works stops at the next part, and leaves the log as it was.
    pub fn call_off(&self) {
        self.called_off.store(true, Ordering::SeqCst);
    }

    /// What is being done, and how much of it, in hundredths.
    #[must_use]
    pub fn now(&self) -> (Phase, u8) {
        let phase = self.phase.load(Ordering::SeqCst);
        let phase = Phase::ALL.into_iter().find(|one| *one as u8 == phase).unwrap_or(Phase::Receiving);
        let (done, of) = (self.done.load(Ordering::Relaxed), self.of.load(Ordering::Relaxed));
        let hundredths = u128::from(done.min(of)) * 100 / u128::from(of.max(1));
        (phase, u8::try_from(hundredths).unwrap_or(100))
    }
}
