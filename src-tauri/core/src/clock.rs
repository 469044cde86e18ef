//! Time and chance, given to the core from outside so that every run can be repeated.

use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

use chrono::{DateTime, TimeDelta, Utc};
use uuid::Uuid;

/// Tells the time.
pub trait Clock: Send + Sync {
    /// The present instant.
    fn now(&self) -> DateTime<Utc>;
}

/// Gives the random part of identifiers.
pub trait Dice: Send + Sync {
    /// Ten random bytes.
    fn roll(&self) -> [u8; 10];
}

/// A clock that starts at an instant and moves on by a fixed span at each look: for tests, examples and benchmarks.
#[derive(Debug)]
pub struct SteppingClock {
    micros: AtomicI64,
    step: i64,
}

impl SteppingClock {
    /// A clock that shows `start` first and then moves by `step`.
    #[must_use]
    pub fn new(start: DateTime<Utc>, step: TimeDelta) -> Self {
        Self { micros: AtomicI64::new(start.timestamp_micros()), step: step.num_microseconds().unwrap_or(1) }
    }

    /// Moves the clock on by `span`, back when it is negative.
    pub fn move_by(&self, span: TimeDelta) {
        self.micros.fetch_add(span.num_microseconds().unwrap_or(0), Ordering::SeqCst);
    }
}

impl Clock for SteppingClock {
    fn now(&self) -> DateTime<Utc> {
        let micros = self.micros.fetch_add(self.step, Ordering::SeqCst);
        DateTime::from_timestamp_micros(micros).unwrap_or_default()
    }
}

impl<C: Clock + ?Sized> Clock for std::sync::Arc<C> {
    fn now(&self) -> DateTime<Utc> {
        (**self).now()
    }
}

/// Dice that fall the same way in every run (SplitMix64): for tests, examples and benchmarks.
#[derive(Debug)]
pub struct SeededDice(AtomicU64);

impl SeededDice {
    /// Dice with this seed.
    #[must_use]
    pub fn new(seed: u64) -> Self {
        Self(AtomicU64::new(seed))
    }

    fn next(&self) -> u64 {
        let mut z = self.0.fetch_add(0x9E37_79B9_7F4A_7C15, Ordering::SeqCst).wrapping_add(0x9E37_79B9_7F4A_7C15);
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }
}

impl Dice for SeededDice {
    fn roll(&self) -> [u8; 10] {
        let mut bytes = [0; 10];
        bytes[..8].copy_from_slice(&self.next().to_le_bytes());
        bytes[8..].copy_from_slice(&self.next().to_le_bytes()[..2]);
        bytes
    }
}

/// A version-7 identifier for this instant.
#[must_use]
pub fn version_7(at: DateTime<Utc>, dice: &dyn Dice) -> Uuid {
    let millis = u64::try_from(at.timestamp_millis()).unwrap_or(0);
    uuid::Builder::from_unix_timestamp_millis(millis, &dice.roll()).into_uuid()
}
