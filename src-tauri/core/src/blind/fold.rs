//! A test by its entries.

use chrono::{DateTime, Utc};

use super::order::{Trial, order};
use crate::record::audition::AuditionId;
use crate::record::blind::{BlindPlan, Seed};
use crate::record::body::{BlindBody, Body};
use crate::record::entry::{About, Entry};
use crate::record::names::EntryId;

/// A blind test as its entries tell it.
#[derive(Debug, Clone, PartialEq)]
pub struct BlindTest {
    /// The entry that planned it.
    pub id: EntryId,
    /// What it is about: the guitar that was recorded, or else a pickup.
    pub about: About,
    /// When it was planned.
    pub planned: DateTime<Utc>,
    /// The plan.
    pub plan: BlindPlan,
    /// The answers, from the first trial on: which sound, from 1. They are given in order, so none is missing in between.
    pub answers: Vec<u8>,
    /// When it was uncovered, and by which seed.
    pub uncovered: Option<(DateTime<Utc>, Seed)>,
}

impl BlindTest {
    /// All tests in these entries, as [`crate::record::entry::in_order`] sorts them, in the order in which they were planned.
    ///
    /// Of two answers to one trial the first counts, and none counts that comes after the uncovering. A seed that the seal does
    /// not close uncovers nothing.
    #[must_use]
    pub fn fold_all(ordered: &[(Entry, bool)]) -> Vec<Self> {
        let mut tests: Vec<Self> = Vec::new();
        for (entry, _) in ordered.iter().filter(|(_, struck)| !struck) {
            let Some(Body::Blind(body)) = entry.body.known() else { continue };
            match body {
                BlindBody::BlindPlanned { plan } => tests.push(Self {
                    id: entry.id,
                    about: entry.about,
                    planned: entry.at,
                    plan: plan.clone(),
                    answers: Vec::new(),
                    uncovered: None,
                }),
                BlindBody::BlindAnswered { test, trial, sound } => {
                    if let Some(test) = running(&mut tests, *test) {
                        test.answered(*trial, *sound);
                    }
                }
                BlindBody::BlindUncovered { test, seed } => {
                    if let Some(test) = running(&mut tests, *test)
                        && test.plan.seal.closes(seed)
                    {
                        test.uncovered = Some((entry.at, seed.clone()));
                    }
                }
            }
        }
        tests
    }

    /// The test of this name.
    #[must_use]
    pub fn fold(ordered: &[(Entry, bool)], id: EntryId) -> Option<Self> {
        Self::fold_all(ordered).into_iter().find(|test| test.id == id)
    }

    fn answered(&mut self, trial: u32, sound: u8) {
        let next = self.next_trial();
        if next == Some(trial) && (1..=self.plan.question.sounds()).contains(&sound) {
            self.answers.push(sound);
        }
    }

    /// Whether takes of this audition are heard in it.
    #[must_use]
    pub fn hears(&self, audition: AuditionId) -> bool {
        self.plan.takes.iter().any(|take| take.audition == Some(audition))
    }

    /// The trial that is heard next, from 1; nothing where all are answered or names are shown.
    #[must_use]
    pub fn next_trial(&self) -> Option<u32> {
        let answered = u32::try_from(self.answers.len()).unwrap_or(u32::MAX);
        (self.uncovered.is_none() && answered < self.plan.all_trials()).then(|| answered + 1)
    }

    /// Whether it was ended before its last trial.
    #[must_use]
    pub fn ended_early(&self) -> bool {
        self.uncovered.is_some() && (self.answers.len() as u64) < u64::from(self.plan.all_trials())
    }

    /// Its trials with their answers, once names may be shown.
    #[must_use]
    pub fn told(&self) -> Option<Vec<(Trial, u8)>> {
        let (_, seed) = self.uncovered.as_ref()?;
        Some(order(&self.plan, seed).into_iter().zip(self.answers.iter().copied()).collect())
    }
}

/// The test of this name, if it was not uncovered yet.
fn running(tests: &mut [BlindTest], id: EntryId) -> Option<&mut BlindTest> {
    tests.iter_mut().find(|test| test.id == id && test.uncovered.is_none())
}
