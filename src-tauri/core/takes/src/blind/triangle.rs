//! Can two takes be told apart? Three sounds, two of them alike; which is the odd one? (ISO 4120)

use super::{LEVEL, MOST_TRIALS, Outcome, at_least, chance_in_words, early};

/// Who guesses is right this often.
const GUESS: f64 = 1.0 / 3.0;

/// How often somebody who guesses gets at least `right` of `trials`.
#[must_use]
pub fn by_guessing(right: u32, trials: u32) -> f64 {
    at_least(right, trials, GUESS)
}

/// The fewest right answers that tell two takes apart (5 %); nothing for so few trials that none would.
#[must_use]
pub fn least_right(trials: u32) -> Option<u32> {
    least_right_at(LEVEL, trials)
}

/// The same where no more than this share of tests may come about by chance.
#[must_use]
pub fn least_right_at(level: f64, trials: u32) -> Option<u32> {
    (0..=trials).find(|right| by_guessing(*right, trials) <= level)
}

/// How often a test of so many trials tells two takes apart for somebody who hears the difference in this share of the trials, and
/// guesses in the others.
#[must_use]
pub fn power(trials: u32, hears: f64) -> f64 {
    power_at(LEVEL, trials, hears)
}

/// The same where no more than this share of tests may come about by chance.
#[must_use]
pub fn power_at(level: f64, trials: u32, hears: f64) -> f64 {
    least_right_at(level, trials).map_or(0.0, |right| at_least(right, trials, hears + (1.0 - hears) * GUESS))
}

/// The fewest trials that reach this power, and do so with every number above; nothing where even the most don't.
#[must_use]
pub fn trials_for(wanted: f64, hears: f64) -> Option<u32> {
    let last_short = (1..=MOST_TRIALS).rev().find(|trials| power(*trials, hears) < wanted).unwrap_or(0);
    (last_short < MOST_TRIALS).then_some(last_short + 1)
}

/// What a test came to that was planned with so many trials.
#[must_use]
pub fn outcome(right: u32, answered: u32, planned: u32) -> Outcome {
    let by_chance = by_guessing(right, answered);
    let told = (answered >= planned).then_some(by_chance <= LEVEL);
    let sentence = match told {
        None => early(answered, planned),
        Some(true) => format!(
            "They can be told apart: {right} of {answered} right. Who guesses gets that far {}.",
            chance_in_words(by_chance)
        ),
        Some(false) => format!(
            "Not told apart: {right} of {answered} right, and {} were needed. That is no proof that they are alike: if you \
             hear it in half of the trials, such a test shows it {:.0} times in 100.",
            least_right(answered).map_or_else(|| "more trials".to_owned(), |least| least.to_string()),
            power(answered, 0.5) * 100.0
        ),
    };
    Outcome { count: right, answered, planned, by_chance, told, sentence }
}
