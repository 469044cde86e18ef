//! How the time on a finish runs down, from seating to take-down.

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::cautions::TimeOnFinish;
use crate::hearing::{seconds_of, time_shown};

/// The longest warning before the time is over, in minutes.
const LONGEST_NOTICE: i64 = 10;

/// A countdown from the moment a rig was seated.
///
/// It holds instants only, so it goes on while the app is closed. Clocks are set: when the device's clock has been
/// turned back, the latest instant that this bench has written in its log shows that more time has gone by than the
/// clock says, and the larger time counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Countdown {
    seated: DateTime<Utc>,
    limit: TimeDelta,
}

/// A reminder for the device to show by itself, also when the app is closed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct Reminder {
    /// When it is due.
    pub at: DateTime<Utc>,
    /// What it says.
    pub words: String,
}

/// A countdown as a page shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct CountdownView {
    /// Running, nearly over, or over.
    pub state: TimeOnFinish,
    /// Time left, in seconds; below zero when it is over.
    pub seconds_left: f64,
    /// `1 h 20 min left` or `over by 5 min`.
    pub shown: String,
    /// What to do.
    pub sentence: String,
    /// The device's clock stands before the seating, or before something written since: the time is a guess.
    pub clock_moved: bool,
    /// When the rig was seated.
    pub seated_at: DateTime<Utc>,
    /// When the first notice is due, by the device's clock.
    pub notice_at: DateTime<Utc>,
    /// When the time is over, by the device's clock.
    pub over_at: DateTime<Utc>,
    /// Reminders still to come.
    pub reminders: Vec<Reminder>,
}

impl Countdown {
    /// A countdown for a rig that was seated at this instant and may stay for this long; less than nothing is nothing.
    #[must_use]
    pub fn new(seated: DateTime<Utc>, limit: TimeDelta) -> Self {
        Self { seated, limit: limit.clamp(TimeDelta::zero(), TimeDelta::days(7)) }
    }

    /// How long before the end the first notice is due: ten minutes, or a quarter of a short time.
    fn notice(self) -> TimeDelta {
        (self.limit / 4).min(TimeDelta::minutes(LONGEST_NOTICE))
    }

    /// Time that has gone by at least: by the clock, or by the latest entry this bench has written.
    fn gone(self, now: DateTime<Utc>, last_written: Option<DateTime<Utc>>) -> TimeDelta {
        let latest = last_written.map_or(now, |written| written.max(now));
        (latest - self.seated).max(TimeDelta::zero())
    }

    /// How far it is run down at `now`; `last_written` is the latest instant in this bench's own entries.
    #[must_use]
    pub fn at(self, now: DateTime<Utc>, last_written: Option<DateTime<Utc>>) -> CountdownView {
        let left = self.limit - self.gone(now, last_written);
        let clock_moved = now < self.seated || last_written.is_some_and(|written| now < written);
        let state = if left <= TimeDelta::zero() {
            TimeOnFinish::Over
        } else if left <= self.notice() {
            TimeOnFinish::NearlyOver
        } else {
            TimeOnFinish::Running
        };
        // Instants by the device's clock as it stands now, whatever it was set to before.
        let from_now = |span: TimeDelta| now.checked_add_signed(span).unwrap_or(now);
        let (notice_at, over_at) = (from_now(left - self.notice()), from_now(left));
        let seconds_left = seconds_of(left);
        let shown = if left > TimeDelta::zero() {
            format!("{} left", time_shown(seconds_left))
        } else {
            format!("over by {}", time_shown(-seconds_left))
        };
        let sentence = if clock_moved && state != TimeOnFinish::Over {
            "The clock of this device was set back, so the time left is a guess. Look at the finish now."
        } else {
            sentence(state)
        };
        let reminders = [(notice_at, TimeOnFinish::NearlyOver), (over_at, TimeOnFinish::Over)]
            .into_iter()
            .filter(|(at, _)| *at > now)
            .map(|(at, state)| Reminder { at, words: sentence_for_reminder(state).to_owned() })
            .collect();
        CountdownView {
            state,
            seconds_left,
            shown,
            sentence: sentence.to_owned(),
            clock_moved,
            seated_at: self.seated,
            notice_at,
            over_at,
            reminders,
        }
    }
}

fn sentence(state: TimeOnFinish) -> &'static str {
    match state {
        TimeOnFinish::Running => "The rig may stay on the finish for now.",
        TimeOnFinish::NearlyOver => "The time on the finish is nearly over. Get ready to lift the rig.",
        TimeOnFinish::Over => "The time on the finish is over. Volume to zero, then lift the rig and look.",
    }
}

fn sentence_for_reminder(state: TimeOnFinish) -> &'static str {
    match state {
        TimeOnFinish::Running | TimeOnFinish::NearlyOver => "Soon take the rig off the guitar, to spare its finish.",
        TimeOnFinish::Over => "Take the rig off the guitar now, and look at the finish.",
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn at(text: &str) -> DateTime<Utc> {
        text.parse().expect("a time written in the test")
    }

    fn two_hours() -> Countdown {
        Countdown::new(at("2024-03-09T10:00:00Z"), TimeDelta::hours(2))
    }

    #[test]
    fn runs_down() {
        for (now, state, shown, reminders) in [
            ("2024-03-09T10:00:00Z", TimeOnFinish::Running, "2 h left", 2),
            ("2024-03-09T11:20:00Z", TimeOnFinish::Running, "40 min left", 2),
            ("2024-03-09T11:49:59Z", TimeOnFinish::Running, "10 min left", 2),
            ("2024-03-09T11:50:00Z", TimeOnFinish::NearlyOver, "10 min left", 1),
            ("2024-03-09T11:59:30Z", TimeOnFinish::NearlyOver, "30 s left", 1),
            ("2024-03-09T12:00:00Z", TimeOnFinish::Over, "over by less than a second", 0),
            ("2024-03-10T09:05:00Z", TimeOnFinish::Over, "over by 21 h 5 min", 0),
        ] {
            let view = two_hours().at(at(now), None);
            assert_eq!((view.state, view.shown.as_str(), view.reminders.len()), (state, shown, reminders), "{now}");
            assert!(!view.clock_moved);
        }
        let view = two_hours().at(at("2024-03-09T11:20:00Z"), None);
        assert_eq!((view.notice_at, view.over_at), (at("2024-03-09T11:50:00Z"), at("2024-03-09T12:00:00Z")));
    }

    #[test]
    fn a_short_time_gets_a_short_notice() {
        let quarter = Countdown::new(at("2024-03-09T10:00:00Z"), TimeDelta::minutes(20));
        assert_eq!(quarter.at(at("2024-03-09T10:14:59Z"), None).state, TimeOnFinish::Running);
        assert_eq!(quarter.at(at("2024-03-09T10:15:00Z"), None).state, TimeOnFinish::NearlyOver);
        let none = Countdown::new(at("2024-03-09T10:00:00Z"), TimeDelta::zero());
        assert_eq!(none.at(at("2024-03-09T10:00:00Z"), None).state, TimeOnFinish::Over);
    }

    #[test]
    fn a_clock_set_back_gives_no_time() {
        // An entry was written at 11:30; then the clock was turned back to 09:00.
        let view = two_hours().at(at("2024-03-09T09:00:00Z"), Some(at("2024-03-09T11:30:00Z")));
        assert!(view.clock_moved);
        assert_eq!(view.shown, "30 min left");
        assert_eq!(view.over_at, at("2024-03-09T09:30:00Z"), "by the clock as it stands now");
        assert!(view.sentence.contains("set back"), "{}", view.sentence);
        // Nothing was written since the seating: all that is known is that the clock is wrong.
        let view = two_hours().at(at("2024-03-09T09:00:00Z"), Some(at("2024-03-09T10:00:00Z")));
        assert!(view.clock_moved);
        assert_eq!(view.shown, "2 h left");
    }

    #[test]
    fn a_clock_set_forward_is_believed() {
        let view = two_hours().at(at("2024-03-12T09:00:00Z"), Some(at("2024-03-09T10:30:00Z")));
        assert_eq!(view.state, TimeOnFinish::Over);
        assert!(!view.clock_moved);
    }

    proptest! {
        /// What was written later never gives time back, and later is never earlier in the countdown.
        #[test]
        fn time_only_runs_out(limit in 0_i64..100_000, a in 0_i64..200_000, b in 0_i64..200_000, written in 0_i64..200_000) {
            let seated = at("2024-03-09T10:00:00Z");
            let countdown = Countdown::new(seated, TimeDelta::seconds(limit));
            let (early, late) = (a.min(b), a.max(b));
            let view = |s: i64, w: Option<i64>| {
                countdown.at(seated + TimeDelta::seconds(s), w.map(|w| seated + TimeDelta::seconds(w)))
            };
            prop_assert!(view(late, None).seconds_left <= view(early, None).seconds_left);
            prop_assert!(view(late, None).state >= view(early, None).state);
            prop_assert!(view(early, Some(written)).seconds_left <= view(early, None).seconds_left);
        }

        /// No instant breaks it.
        #[test]
        fn no_panic(seated in any::<i64>(), now in any::<i64>(), written in any::<i64>(), limit in any::<i32>()) {
            let instant = |micros: i64| DateTime::<Utc>::from_timestamp_micros(micros).unwrap_or_default();
            for seated in [instant(seated), DateTime::<Utc>::MIN_UTC, DateTime::<Utc>::MAX_UTC] {
                for now in [instant(now), DateTime::<Utc>::MIN_UTC, DateTime::<Utc>::MAX_UTC] {
                    let view = Countdown::new(seated, TimeDelta::seconds(limit.into())).at(now, Some(instant(written)));
                    prop_assert!(!view.shown.is_empty());
                }
            }
        }
    }
}
