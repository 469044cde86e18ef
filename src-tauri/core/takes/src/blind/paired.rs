//! Which of two takes is nearer to what somebody wants? (paired comparison, two-sided, ISO 5495)

use super::{LEVEL, Outcome, at_least, chance_in_words, early};

/// How often chance alone is at least as far from half and half.
#[must_use]
pub fn by_chance(first: u32, trials: u32) -> f64 {
    let more = first.max(trials.saturating_sub(first));
    (2.0 * at_least(more, trials, 0.5)).min(1.0)
}

/// The fewest answers for one of two that make a preference (5 %, two-sided); nothing for so few trials that none would.
#[must_use]
pub fn least_for_one(trials: u32) -> Option<u32> {
    least_for_one_at(LEVEL, trials)
}

/// The same where no more than this share of tests may come about by chance.
#[must_use]
pub fn least_for_one_at(level: f64, trials: u32) -> Option<u32> {
    (trials.div_ceil(2)..=trials).find(|first| by_chance(*first, trials) <= level)
}

/// How often a test of so many trials finds the preference of somebody who chooses one of the two in this share of the trials.
#[must_use]
pub fn power(trials: u32, chooses: f64) -> f64 {
    power_at(LEVEL, trials, chooses)
}

/// The same where no more than this share of tests may come about by chance.
#[must_use]
pub fn power_at(level: f64, trials: u32, chooses: f64) -> f64 {
    let both = |least| at_least(least, trials, chooses) + at_least(least, trials, 1.0 - chooses);
    least_for_one_at(level, trials).map_or(0.0, both)
}

/// What a test came to that was planned with so many trials.
#[must_use]
pub fn outcome(first: u32, answered: u32, planned: u32) -> Outcome {
    let by_chance = by_chance(first, answered);
    let told = (answered >= planned).then_some(by_chance <= LEVEL);
    let second = answered.saturating_sub(first);
    let sentence = match told {
        None => early(answered, planned),
        Some(true) => format!(
            "The {} is nearer to what you want: {} to {}. Chance alone is that clear {}.",
            if first > second { "first" } else { "second" },
            first.max(second),
            first.min(second),
            chance_in_words(by_chance)
        ),
        Some(false) => format!(
            "No preference is told: {first} to {second}. {} the same way were needed.",
            least_for_one(answered).map_or_else(|| "More trials".to_owned(), |least| least.to_string())
        ),
    };
    Outcome { count: first, answered, planned, by_chance, told, sentence }
}
