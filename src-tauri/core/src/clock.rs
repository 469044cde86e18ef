//! Time and chance, given to the core from outside so that every run can be repeated.

use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};

use chrono::{DateTime, TimeDelta, Utc};
use uuid::Uuid;

/// Tells the time.
pub trait Clock: Send + Sync {
    /// The present instant.
    fn now(&self) -> DateTime<Utc>;

    /// How long the computer has been on, asleep or not, whatever its date says; nothing where that can't be told.
    fn running(&self) -> Option<TimeDelta> {
        None
    }
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

    fn running(&self) -> Option<TimeDelta> {
        (**self).running()
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

/// Why the date may be wrong, and what follows, in sentences; nothing when nothing speaks for it. `last` is when the last
/// entry was written, and `moved` how far the clock was moved while the program ran.
#[must_use]
pub fn doubt(last: Option<DateTime<Utc>>, now: DateTime<Utc>, moved: Option<TimeDelta>) -> Option<String> {
    /// From here on a clock that was moved, or lies behind the last entry, is worth a word.
    const A_DAY: TimeDelta = TimeDelta::days(1);
    /// Nobody needs to be asked after a holiday.
    const LONG_AWAY: TimeDelta = TimeDelta::days(180);
    const FOLLOWS: &str = "Set the date of this computer right before you write more. No entry and no copy is lost by it, but the \
                           days shown, the time left on a finish and today’s hearing may be wrong.";
    let day = |at: DateTime<Utc>| at.format("%e %B %Y").to_string().trim_start().to_owned();
    let days = |span: TimeDelta| match span.num_days().unsigned_abs() {
        1 => "a day".to_owned(),
        days => format!("{days} days"),
    };
    let what = match (last, moved) {
        (_, Some(moved)) if moved >= A_DAY => {
            format!(
                "The clock of this computer was set ahead by {} while the program ran; it says {}.",
                days(moved),
                day(now)
            )
        }
        (_, Some(moved)) if moved <= -A_DAY => {
            format!(
                "The clock of this computer was set back by {} while the program ran; it says {}.",
                days(moved),
                day(now)
            )
        }
        (Some(last), _) if last - now >= A_DAY => {
            format!(
                "This computer says it is {}, but the last entry is dated {}. One of the two is wrong.",
                day(now),
                day(last)
            )
        }
        (Some(last), _) if now - last >= LONG_AWAY => {
            format!(
                "This computer says it is {}, and the last entry is dated {}. Is the date right?",
                day(now),
                day(last)
            )
        }
        _ => return None,
    };
    Some(format!("{what} {FOLLOWS}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_clock_that_can_not_be_right_is_doubted() {
        let at = |days: i64| DateTime::UNIX_EPOCH + TimeDelta::days(20_000 + days);
        let hours = TimeDelta::hours;
        for (last, now, moved, says) in [
            (None, at(0), None, None),
            (Some(at(0)), at(179), Some(hours(23)), None),
            (Some(at(0)), at(0) - hours(23), Some(hours(-23)), None),
            (Some(at(1)), at(0), None, Some("One of the two is wrong")),
            (Some(at(3650)), at(0), None, Some("One of the two is wrong")),
            (Some(at(0)), at(3650), None, Some("Is the date right?")),
            (Some(at(0)), at(2), Some(hours(47)), Some("set ahead by a day while")),
            (Some(at(0)), at(-3650), Some(hours(-24 * 3650)), Some("set back by 3650 days while")),
        ] {
            let doubt = doubt(last, now, moved);
            let found = doubt.as_deref().unwrap_or_default();
            assert_eq!(doubt.is_some(), says.is_some(), "{found}");
            assert!(found.contains(says.unwrap_or_default()), "{found}");
        }
    }
}
