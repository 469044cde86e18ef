//! Clocks that differ. Entries stand in the order of their times, whoever wrote them, so a bench's clock is held against the server's
//! and what differs is said. No time that was written is changed by it.

use chrono::{DateTime, TimeDelta, Utc};

/// What differs by less is nobody's trouble: nobody writes at two benches within a minute and asks which came first.
const ENOUGH: TimeDelta = TimeDelta::minutes(1);

/// By how much the clock of this computer is ahead of the server's, or behind it; more than a minute.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct ClockOff(TimeDelta);

impl ClockOff {
    /// Holds the server's clock against this one, which showed `asked` when the server was asked and had its answer `trip` later.
    /// Nothing when they may be the same within a minute.
    #[must_use]
    pub fn of(asked: DateTime<Utc>, trip: TimeDelta, server: DateTime<Utc>) -> Option<Self> {
        // The server looked at its clock at some moment on the way.
        let half = trip / 2;
        let ahead = asked + half - server;
        (ahead.abs() - half > ENOUGH).then_some(Self(ahead))
    }

    /// What differs, and what to do, in sentences.
    #[must_use]
    pub fn in_words(self) -> String {
        let side = if self.0 > TimeDelta::zero() { "ahead of" } else { "behind" };
        format!(
            "This computer's clock is {} {side} the server's. The logbook goes by these times, so what several benches write would stand \
             in the wrong order: set the clock that is wrong. What is written keeps its time.",
            amount(self.0.abs())
        )
    }
}

/// `3 minutes`, `2 hours 10 minutes`, `4 days`.
fn amount(of: TimeDelta) -> String {
    let count = |number: i64, one: &str| if number == 1 { format!("1 {one}") } else { format!("{number} {one}s") };
    // To the nearest minute.
    let minutes = (of.num_seconds() + 30) / 60;
    let (days, hours, rest) = (minutes / (24 * 60), minutes / 60, minutes % 60);
    match () {
        () if days > 1 => count(days, "day"),
        () if hours > 0 && rest > 0 => format!("{} {}", count(hours, "hour"), count(rest, "minute")),
        () if hours > 0 => count(hours, "hour"),
        () => count(minutes, "minute"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn off(ahead_seconds: i64, trip_seconds: i64) -> Option<ClockOff> {
        let server = DateTime::UNIX_EPOCH + TimeDelta::days(20_000);
        // The server looks in the middle of the way.
        let asked = server + TimeDelta::seconds(ahead_seconds) - TimeDelta::seconds(trip_seconds) / 2;
        ClockOff::of(asked, TimeDelta::seconds(trip_seconds), server)
    }

    #[test]
    fn a_clock_that_differs_is_told_by_how_much_and_to_which_side() {
        for (ahead, told) in [
            (61, "1 minute ahead of"),
            (-61, "1 minute behind"),
            (100, "2 minutes ahead of"),
            (-59 * 60, "59 minutes behind"),
            (3600, "1 hour ahead of"),
            (-7260, "2 hours 1 minute behind"),
            (23 * 3600 + 1800, "23 hours 30 minutes ahead of"),
            (-30 * 3600, "30 hours behind"),
            (49 * 3600, "2 days ahead of"),
            (-365 * 86_400, "365 days behind"),
        ] {
            let words = off(ahead, 0).expect("it differs").in_words();
            assert!(words.contains(&format!("clock is {told} the server's")), "{ahead}: {words}");
        }
    }

    /// What may be the way alone is not said.
    #[test]
    fn a_slow_answer_is_no_clock_that_differs() {
        assert_eq!((off(0, 0), off(60, 0), off(-60, 0)), (None, None, None));
        for trip in [0, 2, 30, 600] {
            for looked in 0..=trip {
                let server = DateTime::UNIX_EPOCH + TimeDelta::seconds(looked);
                assert_eq!(
                    ClockOff::of(DateTime::UNIX_EPOCH, TimeDelta::seconds(trip), server),
                    None,
                    "{looked} of {trip}"
                );
            }
            let beyond = trip + 61;
            assert!(off(beyond, trip).is_some() && off(-beyond, trip).is_some(), "{trip}");
        }
    }
}
