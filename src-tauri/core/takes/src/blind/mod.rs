//! The arithmetic of hearing takes blind: whether two can be told apart (the triangle test of ISO 4120), which of two is nearer to
//! what somebody wants (paired comparison, ISO 5495), and how several stand (Bradley and Terry).
//!
//! The number of trials is chosen before the first of them, with what it can show; nothing is told before the last.
//!
//! ```
//! use solderlast_takes::blind::triangle;
//!
//! // The table of ISO 4120 for 24 trials at 5 %: 13 right ones.
//! assert_eq!(triangle::least_right(24), Some(13));
//! // Who guesses gets that far in fewer than 5 of 100 tests.
//! assert!(triangle::by_guessing(13, 24) < 0.05);
//! // 24 trials show it to somebody who hears it in half of them about nine times in ten.
//! assert!(triangle::power(24, 0.5) > 0.89);
//! ```

pub mod paired;
pub mod ranking;
#[cfg(test)]
mod simulated;
pub mod triangle;

use serde::{Deserialize, Serialize};
use statrs::distribution::{Binomial, DiscreteCDF as _};
use ts_rs::TS;

/// A result counts if it comes about by chance in no more than this share of tests.
pub const LEVEL: f64 = 0.05;
/// The most trials of one test.
pub const MOST_TRIALS: u32 = 200;

/// The chance that at least `least` of `trials` come out when each does with this chance.
fn at_least(least: u32, trials: u32, chance: f64) -> f64 {
    let Some(below) = least.checked_sub(1) else { return 1.0 };
    Binomial::new(chance.clamp(0.0, 1.0), u64::from(trials)).map_or(1.0, |trial| trial.sf(u64::from(below)))
}

/// What a test came to.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Outcome {
    /// How many answers went one way: right ones, or those for the first.
    pub count: u32,
    /// How many answers there are.
    pub answered: u32,
    /// How many were planned.
    pub planned: u32,
    /// How often chance alone comes out at least as clear.
    pub by_chance: f64,
    /// Whether it is told; nothing where the test was ended before its last trial.
    pub told: Option<bool>,
    /// In words.
    pub sentence: String,
}

/// `4.3 in 100`.
#[must_use]
pub fn chance_in_words(p: f64) -> String {
    if p < 0.001 { "less than 1 in 1000".to_owned() } else { format!("{:.1} in 100", p * 100.0) }
}

/// What is said where a test was ended early.
fn early(answered: u32, planned: u32) -> String {
    format!(
        "Ended after {answered} of {planned} trials. Who stops when it looks good finds differences that are not there, so nothing \
         is told. Begin again, with as many trials as you want to hear."
    )
}
