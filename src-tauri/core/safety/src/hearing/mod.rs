//! Hearing: how long ears can take a level, and how much of today's allowance is spent.
//!
//! Three published rules, each a level that may last eight hours and a number of decibels that halves the time:
//! NIOSH 98-126 (85 dB(A), 3 dB), US law 29 CFR 1910.95 (90 dB(A), 5 dB), and EU Directive 2003/10/EC (87 dB(A), equal
//! energy). The dose of mixed listening is the sum of time heard over time allowed; 1 is the whole allowance.

mod clock;
mod day;
mod levels;
#[cfg(test)]
mod tests;

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::quantity::{Decibels, decimal, strip_unit, tidy};
use crate::record::sound::level_shown;
use crate::record::words::Unclear;

pub use clock::OwnClock;
pub use day::{Day, Forecast, HearingState, HearingToday, Listened, Spend, spend};
pub use levels::{LoudnessView, PEAKS, loudness_views};

/// The time for which a rule states its level, in hours.
const RULE_HOURS: f64 = 8.0;
/// The most a level can be, in dB(A): the threshold of pain, and past any rule.
pub const LOUDEST: f64 = 140.0;

/// Which published rule counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum HearingRule {
    /// The recommended limit of NIOSH 98-126: the most careful of the three.
    #[default]
    Niosh,
    /// US law, 29 CFR 1910.95.
    Osha,
    /// EU Directive 2003/10/EC, its exposure limit.
    Eu,
}

/// How long a level may last.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Allowed {
    /// So quiet that the rule does not count it.
    NotCounted,
    /// For this many seconds a day.
    Seconds(f64),
    /// So loud that the rule allows no time at all.
    Never,
}

impl HearingRule {
    /// All rules, the most careful first.
    pub const ALL: [Self; 3] = [Self::Niosh, Self::Eu, Self::Osha];

    /// The level that may last eight hours, in dB(A).
    #[must_use]
    pub fn eight_hour_level(self) -> Decibels {
        match self {
            Self::Niosh => Decibels(85.0),
            Self::Osha => Decibels(90.0),
            Self::Eu => Decibels(87.0),
        }
    }

    /// The decibels that halve the time; the EU's equal energy makes it 10·log10(2), which is 3.01.
    #[must_use]
    pub fn halving(self) -> Decibels {
        match self {
            Self::Niosh => Decibels(3.0),
            Self::Osha => Decibels(5.0),
            Self::Eu => Decibels(10.0 * std::f64::consts::LOG10_2),
        }
    }

    /// The level below which nothing counts, in dB(A): 80 by NIOSH 98-126 and by 29 CFR 1910.95 (d)(2)(i); the EU
    /// counts all sound.
    #[must_use]
    pub fn counted_from(self) -> Decibels {
        match self {
            Self::Niosh | Self::Osha => Decibels(80.0),
            Self::Eu => Decibels(0.0),
        }
    }

    /// The level past which no time is allowed, in dB(A): 115 by table G-16 of 29 CFR 1910.95, 140 by NIOSH 98-126
    /// (from memory); for the EU the peak limit of 140 dB(C) stands in.
    #[must_use]
    pub fn never_above(self) -> Decibels {
        match self {
            Self::Osha => Decibels(115.0),
            Self::Niosh | Self::Eu => Decibels(LOUDEST),
        }
    }

    /// Time allowed at a level by the rule's formula, in seconds: T = 8 h / 2^((L − L8) / halving).
    #[must_use]
    pub fn reference_seconds(self, level: Decibels) -> f64 {
        RULE_HOURS * 3600.0 / ((level.get() - self.eight_hour_level().get()) / self.halving().get()).exp2()
    }

    /// How long a level may last in a day.
    #[must_use]
    pub fn allowed(self, level: Decibels) -> Allowed {
        if level.get() < self.counted_from().get() {
            Allowed::NotCounted
        } else if level.get() > self.never_above().get() || level.get() >= LOUDEST {
            Allowed::Never
        } else {
            Allowed::Seconds(self.reference_seconds(level))
        }
    }

    /// Share of a day's allowance that a level uses up in a time; nothing below the level from which the rule counts.
    #[must_use]
    pub fn dose(self, level: Decibels, time: TimeDelta) -> f64 {
        let seconds = seconds_of(time);
        if seconds <= 0.0 || level.get().is_nan() || level.get() < self.counted_from().get() {
            return 0.0;
        }
        seconds / self.reference_seconds(Decibels(level.get().min(LOUDEST)))
    }

    /// The level that spends the same share in eight hours, in dB(A): the time-weighted average of NIOSH and OSHA, the
    /// daily exposure level of the EU. Nothing when nothing is spent.
    #[must_use]
    pub fn eight_hour_average(self, dose: f64) -> Option<Decibels> {
        (dose > 0.0 && dose.is_finite())
            .then(|| Decibels(self.eight_hour_level().get() + self.halving().get() * dose.log2()))
    }

    /// What the rule says, in a sentence.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Niosh => "NIOSH: 85 dB(A) for 8 hours. Each 3 dB more halves the time.",
            Self::Osha => "OSHA, the law in the US: 90 dB(A) for 8 hours. Each 5 dB more halves the time.",
            Self::Eu => "EU directive: at most 87 dB(A) over 8 hours. Each 3 dB more halves the time.",
        }
    }

    /// The document it is from.
    #[must_use]
    pub fn source(self) -> &'static str {
        match self {
            Self::Niosh => "NIOSH 98-126",
            Self::Osha => "29 CFR 1910.95",
            Self::Eu => "Directive 2003/10/EC",
        }
    }

    /// How long a level may last, as a page shows it.
    #[must_use]
    pub fn allowance(self, level: Decibels) -> Allowance {
        let allowed = self.allowed(level);
        let (seconds, shown, sentence) = match allowed {
            Allowed::NotCounted => {
                (None, "no limit".to_owned(), format!("{} is so quiet that it does not count.", level_shown(level)))
            }
            Allowed::Never => (
                Some(0.0),
                "no time".to_owned(),
                format!("{} is too loud for any time. Turn it down now.", level_shown(level)),
            ),
            Allowed::Seconds(seconds) if seconds >= 24.0 * 3600.0 => {
                (Some(seconds), "all day".to_owned(), format!("Your ears can take {} all day.", level_shown(level)))
            }
            Allowed::Seconds(seconds) => (
                Some(seconds),
                time_shown(seconds),
                format!("Your ears can take {} for {} a day.", level_shown(level), time_shown(seconds)),
            ),
        };
        Allowance {
            rule: self,
            level,
            level_shown: level_shown(level),
            seconds,
            shown,
            sentence,
            why: self.in_words().to_owned(),
        }
    }
}

/// How long a level may last, as a page shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct Allowance {
    /// The rule that says so.
    pub rule: HearingRule,
    /// The level, in dB(A).
    pub level: Decibels,
    /// `94 dB(A)`.
    pub level_shown: String,
    /// Time allowed a day, in seconds; nothing when the level does not count.
    pub seconds: Option<f64>,
    /// `1 h 30 min`, `no limit` or `no time`.
    pub shown: String,
    /// The same in a sentence.
    pub sentence: String,
    /// The rule, in a sentence.
    pub why: String,
}

/// Seconds of a span, to the millisecond.
#[must_use]
pub fn seconds_of(time: TimeDelta) -> f64 {
    // Millisecond counts stay exact in a double for 285,000 years.
    time.num_milliseconds() as f64 / 1000.0
}

/// A time as a person says it, rounded down so that it never promises too much: `2 h 15 min`, `7 min`, `40 s`.
#[must_use]
pub fn time_shown(seconds: f64) -> String {
    if !seconds.is_finite() || seconds < 1.0 {
        return "less than a second".to_owned();
    }
    // A table's 30 minutes must not show as 29 because of the last bit of a double.
    let whole = (seconds + 1e-6).floor();
    let (hours, minutes) = ((whole / 3600.0).floor(), ((whole % 3600.0) / 60.0).floor());
    if hours >= 1.0 && minutes >= 1.0 {
        format!("{hours} h {minutes} min")
    } else if hours >= 1.0 {
        format!("{hours} h")
    } else if minutes >= 1.0 {
        format!("{minutes} min")
    } else {
        format!("{whole} s")
    }
}

/// A share as a person says it, rounded up so that nothing seems unspent that is not: `46 %`.
#[must_use]
pub fn share_shown(share: f64) -> String {
    if share > 99.99 {
        return "more than 9999 %".to_owned();
    }
    // Rounded up a quarter of a minute would be told as five; a warning still comes early enough, as it goes by the share itself.
    if share > 1e-11 && share < 0.01 {
        return "less than 1 %".to_owned();
    }
    // Adding zero takes the sign off a zero.
    format!("{} %", (share * 100.0 - 1e-9).ceil().max(0.0) + 0.0)
}

/// Reads how long something lasted: `25`, `25 min`, `1:05`, `1 h 5 min`, `1.5 h`. A bare number is minutes.
///
/// # Errors
/// [`Unclear`] for words, a time below zero, or one longer than a day.
///
/// ```
/// use solderlast_safety::hearing::read_time;
/// assert_eq!(read_time("1 h 5 min").unwrap().num_minutes(), 65);
/// assert!(read_time("25 h").is_err());
/// ```
pub fn read_time(typed: &str) -> Result<TimeDelta, Unclear> {
    const EXAMPLE: &str = "25 min or 1 h 5 min";
    let text = tidy(typed, "a time", EXAMPLE)?.to_lowercase();
    let number = |part: &str| decimal(part, "a time", EXAMPLE);
    let bare = |part| strip_unit(part, &[("minutes", ()), ("minute", ()), ("min", ()), ("m", ())]).0;
    let (hours, rest) = match text.split_once([':', 'h']) {
        Some((hours, rest)) => (number(hours)?, rest.trim_start_matches("ours").trim_start_matches("our").trim()),
        None => (0.0, text.as_str()),
    };
    let minutes = hours * 60.0 + if rest.is_empty() && hours > 0.0 { 0.0 } else { number(bare(rest))? };
    if minutes > 24.0 * 60.0 {
        return Err(Unclear::new("A day has 24 hours. Write how long the sound was up, like 25 min."));
    }
    Ok(TimeDelta::milliseconds((minutes * 60_000.0).round() as i64))
}

/// Reads a sound level: `85`, `85.5 dB`, `92,4 dBA`, `92 dB(A)`.
///
/// # Errors
/// [`Unclear`] for words, a level below 20 or above 140 dB(A), or a level with another weighting.
///
/// ```
/// use solderlast_safety::hearing::read_level;
/// assert_eq!(read_level("92,4 dBA").unwrap().get(), 92.4);
/// assert!(read_level("92 dB(C)").is_err());
/// ```
pub fn read_level(typed: &str) -> Result<Decibels, Unclear> {
    const EXAMPLE: &str = "85 or 92.5 dB(A)";
    let text = tidy(typed, "a sound level", EXAMPLE)?.to_lowercase();
    let (number, weighting) = strip_unit(
        text.trim(),
        &[
            ("db(a)", true),
            ("db (a)", true),
            ("dba", true),
            ("db a", true),
            ("db(c)", false),
            ("db (c)", false),
            ("dbc", false),
            ("db c", false),
            ("db(z)", false),
            ("dbz", false),
            ("db", true),
        ],
    );
    if weighting == Some(false) {
        return Err(Unclear::new(
            "Set the meter to A, slow, and read it again. The rules for ears are made for dB(A).",
        ));
    }
    let level = decimal(number, "a sound level", EXAMPLE)?;
    if !(20.0..=LOUDEST).contains(&level) {
        return Err(Unclear::new("A sound level lies between 20 and 140 dB(A). Check the number."));
    }
    Ok(Decibels(level))
}
