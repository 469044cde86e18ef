//! A test as its page shows it. While names are hidden, nothing here follows from the takes, their pickups or the order: what is
//! told then is the number of takes and of trials, and how far it got.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::fold::BlindTest;
use super::result::BlindResult;
use crate::record::blind::{BlindQuestion, Seal};
use crate::record::entry::About;
use crate::record::names::EntryId;
use crate::record::quantity::Millimetres;

/// A test on its page.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct BlindView {
    /// The test.
    pub test: EntryId,
    /// The guitar or the pickup it is about.
    pub about: About,
    /// When it was planned.
    #[ts(type = "string")]
    pub planned: DateTime<Utc>,
    /// What is asked.
    pub question: BlindQuestion,
    /// That in words.
    pub question_words: String,
    /// What each trial asks.
    pub asked: String,
    /// How many sounds a trial has.
    pub sounds: u8,
    /// How many takes are in it.
    pub takes: usize,
    /// The trial that is heard next, from 1; nothing when all are answered, or names are shown.
    pub trial: Option<u32>,
    /// How many trials there are.
    pub trials: u32,
    /// How many are answered.
    pub answered: u32,
    /// How long the stretch is, in seconds.
    pub length: f64,
    /// How many things were not the same for all takes.
    pub unfair: usize,
    /// The seal of the seed that orders it, told before the first answer.
    pub seal: Seal,
    /// What is done next, in a sentence.
    pub next: String,
    /// What it came to, once names are shown.
    pub result: Option<BlindResult>,
}

impl BlindView {
    /// The page of a test.
    #[must_use]
    pub fn of(test: &BlindTest) -> Self {
        let plan = &test.plan;
        let (trials, answered) = (plan.all_trials(), u32::try_from(test.answers.len()).unwrap_or(u32::MAX));
        let trial = test.next_trial();
        let next = match (trial, &test.uncovered) {
            (_, Some(_)) => "It is over. What it came to stands in the log for good.".to_owned(),
            (Some(trial), None) => {
                format!(
                    "Trial {trial} of {trials}. Nothing is told before the last one. An early end weakens the result."
                )
            }
            (None, None) => "All trials are answered. Uncover what it came to.".to_owned(),
        };
        Self {
            test: test.id,
            about: test.about,
            planned: test.planned,
            question: plan.question,
            question_words: plan.question.in_words().to_owned(),
            asked: plan.question.asked().to_owned(),
            sounds: plan.question.sounds(),
            takes: plan.takes.len(),
            trial,
            trials,
            answered,
            length: plan.length,
            unfair: plan.unfair.len(),
            seal: plan.seal.clone(),
            next,
            result: test.result(),
        }
    }
}

/// A test in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct BlindLine {
    /// The test.
    pub test: EntryId,
    /// The guitar or the pickup it is about.
    pub about: About,
    /// When it was planned.
    #[ts(type = "string")]
    pub planned: DateTime<Utc>,
    /// What was asked.
    pub question: String,
    /// How far it got, or what it came to, in a sentence.
    pub words: String,
    /// Whether names are still hidden.
    pub running: bool,
}

impl BlindLine {
    /// The line of a test.
    #[must_use]
    pub fn of(test: &BlindTest) -> Self {
        Self {
            test: test.id,
            about: test.about,
            planned: test.planned,
            question: test.plan.question.in_words().to_owned(),
            words: test.in_short(),
            running: test.uncovered.is_none(),
        }
    }
}

/// A test as evidence for a decision.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct BlindEvidence {
    /// The test.
    pub test: EntryId,
    /// When it was uncovered.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// What it came to, pair by pair.
    pub told: Vec<String>,
    /// What weakens it: an early end, an unfair take, a control that was told apart.
    pub weak: Vec<String>,
}

/// What was heard blind of takes from one place of a guitar, or from all where no place is named, the newest first. It is above
/// notes: whoever answered had not seen the names.
#[must_use]
pub fn evidence(tests: &[BlindTest], place: Option<Millimetres>, same_place: Millimetres) -> Vec<BlindEvidence> {
    let at_place = |test: &BlindTest, place: Millimetres| {
        test.plan.from_saddle.is_some_and(|at| (at.0 - place.0).abs() <= same_place.0)
    };
    let here = |test: &&BlindTest| place.is_none_or(|place| at_place(test, place));
    let mut all: Vec<BlindEvidence> = tests.iter().filter(here).filter_map(one_evidence).collect();
    all.sort_by_key(|one| std::cmp::Reverse((one.at, one.test)));
    all
}

fn one_evidence(test: &BlindTest) -> Option<BlindEvidence> {
    let ((at, _), result) = (test.uncovered.as_ref()?, test.result()?);
    let control = (result.control.outcome.told == Some(true)).then_some(result.control.sentence);
    Some(BlindEvidence {
        test: test.id,
        at: *at,
        told: result.pairs.into_iter().map(|pair| pair.sentence).collect(),
        weak: result.early.into_iter().chain(control).chain(result.unfair).collect(),
    })
}
