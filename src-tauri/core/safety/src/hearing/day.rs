//! What was heard today, over all sessions, in the person's own day.

use std::collections::BTreeMap;

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{Allowed, HearingRule, LOUDEST, OwnClock, seconds_of, share_shown, time_shown};
use crate::record::quantity::Decibels;
use crate::record::sound::level_shown;

/// No day of a clock is longer than two of the earth, so nothing farther ahead is today.
const MOST_SECONDS_AHEAD: f64 = 172_800.0;
/// The share of the allowance at which a first warning is due.
const HALF: f64 = 0.5;
/// The share at which the allowance is spent.
const FULL: f64 = 1.0;
/// Sums of doubles may miss a threshold by their last bits; a warning must not.
const HAIR: f64 = 1e-9;

/// One person's day, from midnight to midnight of their own clock, as instants.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day {
    /// Its first instant.
    pub from: DateTime<Utc>,
    /// The first instant of the next day.
    pub to: DateTime<Utc>,
}

impl Day {
    /// The day around an instant, by somebody's clock: 23 or 25 hours long when it is changed.
    #[must_use]
    pub fn around(now: DateTime<Utc>, clock: impl Into<OwnClock>) -> Self {
        clock.into().day(now)
    }
}

/// A time of listening: from sound up to take-down, or as corrected by hand.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Listened {
    /// When the sound came up.
    pub from: DateTime<Utc>,
    /// When it was taken down; the present instant while it is still up.
    pub to: DateTime<Utc>,
    /// The time a person says it really was; spread evenly over the session where midnight lies in it.
    pub corrected: Option<TimeDelta>,
    /// The level at the ear, in dB(A).
    pub level: Decibels,
}

/// What listening adds up to in one day.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spend {
    /// Share of the allowance: 1 is all of it.
    pub dose: f64,
    /// Time with sound up, in seconds, whatever its level.
    pub seconds: f64,
    /// Sessions that seem to end before they begin, because a clock was set: their time is not counted.
    pub doubtful: usize,
}

/// Adds up the listening of one day.
///
/// A session that crosses midnight counts for each day with its part. Time that two sessions share counts once, at
/// the louder level, since one person has one pair of ears; time corrected by hand is added as it is said. The order of
/// the sessions does not matter.
#[must_use]
pub fn spend(rule: HearingRule, sessions: &[Listened], day: Day) -> Spend {
    let mut spend = Spend::default();
    // Changes of what is sounding: at an instant, a level begins (+1) or ends (-1). Levels are kept by their bits,
    // which sort like the numbers for levels of zero and more.
    let mut changes: BTreeMap<DateTime<Utc>, Vec<(u64, i32)>> = BTreeMap::new();
    for session in sessions {
        let level = tamed(session.level);
        if session.to < session.from && session.corrected.is_none() {
            spend.doubtful += 1;
            continue;
        }
        if let Some(corrected) = session.corrected {
            let share = share_of_day(session, day);
            let seconds = seconds_of(corrected.clamp(TimeDelta::zero(), TimeDelta::days(1))) * share;
            spend.seconds += seconds;
            spend.dose += rule.dose_of_seconds(level, seconds);
            continue;
        }
        let (from, to) = (session.from.max(day.from), session.to.min(day.to));
        if from < to {
            changes.entry(from).or_default().push((level.get().to_bits(), 1));
            changes.entry(to).or_default().push((level.get().to_bits(), -1));
        }
    }
    let mut sounding: BTreeMap<u64, i32> = BTreeMap::new();
    let mut since: Option<DateTime<Utc>> = None;
    for (at, here) in changes {
        if let (Some(since), Some((bits, _))) = (since, sounding.last_key_value()) {
            let seconds = seconds_of(at - since);
            spend.seconds += seconds;
            spend.dose += rule.dose_of_seconds(Decibels(f64::from_bits(*bits)), seconds);
        }
        for (bits, change) in here {
            let count = sounding.entry(bits).or_insert(0);
            *count += change;
            if *count == 0 {
                sounding.remove(&bits);
            }
        }
        since = Some(at);
    }
    spend
}

impl HearingRule {
    fn dose_of_seconds(self, level: Decibels, seconds: f64) -> f64 {
        if level.get() < self.counted_from().get() { 0.0 } else { seconds / self.reference_seconds(level) }
    }
}

/// A level a rule can count with: what is no number counts as silence, what is past any rule as the loudest.
fn tamed(level: Decibels) -> Decibels {
    if level.get().is_nan() { Decibels(0.0) } else { Decibels(level.get().clamp(0.0, LOUDEST)) }
}

/// How much of a session lies in a day: 0 to 1.
fn share_of_day(session: &Listened, day: Day) -> f64 {
    let length = seconds_of(session.to - session.from);
    if length <= 0.0 {
        return if session.from >= day.from && session.from < day.to { 1.0 } else { 0.0 };
    }
    let inside = seconds_of(session.to.min(day.to) - session.from.max(day.from));
    (inside / length).clamp(0.0, 1.0)
}

/// How far today's allowance is spent.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum HearingState {
    /// Less than half.
    Fresh,
    /// Half or more.
    Half,
    /// All of it: listening is held.
    Spent,
}

impl HearingState {
    /// The state for a share of the allowance.
    #[must_use]
    pub fn of(dose: f64) -> Self {
        if dose >= FULL - HAIR {
            Self::Spent
        } else if dose >= HALF - HAIR {
            Self::Half
        } else {
            Self::Fresh
        }
    }

    fn sentence(self) -> &'static str {
        match self {
            Self::Fresh => "Less than half of what your ears can take today is spent.",
            Self::Half => "Half of what your ears can take today is spent. Turn it down, or take a break.",
            Self::Spent => "Your ears have had all they can take today. Stop, and give them rest until tomorrow.",
        }
    }
}

/// Today's hearing, as a page shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct HearingToday {
    /// The rule that counts.
    pub rule: HearingRule,
    /// The rule, in a sentence.
    pub why: String,
    /// Share spent: 1 is all of it.
    pub spent: f64,
    /// `46 %`.
    pub spent_shown: String,
    /// Fresh, half or spent.
    pub state: HearingState,
    /// What that means.
    pub sentence: String,
    /// Time with sound up today, in seconds.
    pub listened: f64,
    /// `1 h 5 min`.
    pub listened_shown: String,
    /// The level that would spend the same in eight hours, in dB(A).
    pub average: Option<Decibels>,
    /// `83.2 dB(A) over 8 hours`.
    pub average_shown: Option<String>,
    /// What the rule asks for at this average, where it names a lower level too (EU action values).
    pub advice: Option<String>,
    /// What is left at the present level.
    pub left: Option<TimeLeft>,
    /// A sentence about sessions whose time can't be counted, if there are any.
    pub doubtful: Option<String>,
    /// When the next warnings are due if the sound stays as it is.
    pub forecast: Forecast,
}

/// What is left of today's allowance at one level.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct TimeLeft {
    /// The level, in dB(A).
    pub level: Decibels,
    /// Time left, in seconds; nothing when the level does not count.
    pub seconds: Option<f64>,
    /// `25 min left at 94 dB(A)`.
    pub shown: String,
}

/// When listening that goes on at one level reaches half and all of the allowance; nothing where that is not today.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct Forecast {
    /// When half of it is spent.
    pub half_at: Option<DateTime<Utc>>,
    /// When all of it is spent.
    pub spent_at: Option<DateTime<Utc>>,
}

impl HearingToday {
    /// Today's hearing at an instant: `level` is the level at the ear now, if one is set, and `sounding` whether the sound
    /// is up.
    #[must_use]
    pub fn at(
        now: DateTime<Utc>,
        clock: impl Into<OwnClock>,
        rule: HearingRule,
        sessions: &[Listened],
        level: Option<Decibels>,
        sounding: bool,
    ) -> Self {
        let day = Day::around(now, clock);
        let spend = spend(rule, sessions, day);
        let state = HearingState::of(spend.dose);
        let average = rule.eight_hour_average(spend.dose);
        let level = level.map(tamed);
        Self {
            rule,
            why: rule.in_words().to_owned(),
            spent: spend.dose,
            spent_shown: share_shown(spend.dose),
            state,
            sentence: state.sentence().to_owned(),
            listened: spend.seconds,
            listened_shown: if spend.seconds > 0.0 { time_shown(spend.seconds) } else { "none yet".to_owned() },
            average,
            average_shown: average.map(|average| format!("{} over 8 hours", level_shown(average))),
            advice: average.and_then(|average| advice(rule, average)).map(str::to_owned),
            left: level.map(|level| time_left(rule, spend.dose, level)),
            doubtful: doubtful(spend.doubtful),
            forecast: match level {
                Some(level) if sounding => forecast(rule, spend.dose, level, now, day),
                _ => Forecast::default(),
            },
        }
    }
}

/// The EU's action values (Directive 2003/10/EC, article 3): from 80 dB(A) protection is offered, from 85 it is worn.
fn advice(rule: HearingRule, average: Decibels) -> Option<&'static str> {
    match rule {
        HearingRule::Eu if average.get() >= 85.0 => {
            Some("Past 85 dB(A) over 8 hours the directive asks for hearing protection to be worn.")
        }
        HearingRule::Eu if average.get() >= 80.0 => {
            Some("Past 80 dB(A) over 8 hours the directive asks for hearing protection to be at hand.")
        }
        HearingRule::Eu | HearingRule::Niosh | HearingRule::Osha => None,
    }
}

fn doubtful(count: usize) -> Option<String> {
    match count {
        0 => None,
        1 => Some("One session ends before it begins, because a clock was set. Correct its time by hand.".to_owned()),
        more => {
            Some(format!("{more} sessions end before they begin, because a clock was set. Correct their time by hand."))
        }
    }
}

fn time_left(rule: HearingRule, dose: f64, level: Decibels) -> TimeLeft {
    let (seconds, shown) = match rule.allowed(level) {
        Allowed::NotCounted => (None, format!("no limit at {}", level_shown(level))),
        Allowed::Never => (Some(0.0), format!("no time at {}", level_shown(level))),
        Allowed::Seconds(allowed) => {
            let left = ((FULL - dose) * allowed).max(0.0);
            let shown = if left < 1.0 {
                format!("no time left at {}", level_shown(level))
            } else {
                format!("{} left at {}", time_shown(left), level_shown(level))
            };
            (Some(left), shown)
        }
    };
    TimeLeft { level, seconds, shown }
}

fn forecast(rule: HearingRule, dose: f64, level: Decibels, now: DateTime<Utc>, day: Day) -> Forecast {
    let allowed = match rule.allowed(level) {
        Allowed::NotCounted => return Forecast::default(),
        // The dose is still summed by the formula; the hold does not wait for the forecast.
        Allowed::Never => rule.reference_seconds(level),
        Allowed::Seconds(seconds) => seconds,
    };
    let reaches = |share: f64| {
        let seconds = (share - dose) * allowed;
        (dose < share && seconds < MOST_SECONDS_AHEAD)
            .then(|| now.checked_add_signed(TimeDelta::milliseconds((seconds * 1000.0).round() as i64)))
            .flatten()
            .filter(|at| *at < day.to)
    };
    Forecast { half_at: reaches(HALF), spent_at: reaches(FULL) }
}
