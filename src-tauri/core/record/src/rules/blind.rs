//! What is written of a blind test.

use std::ops::RangeInclusive;

use super::ranges::{Kept, all_differ, along_the_string, label, mode, note, when, within};
use crate::blind::{BlindPlan, BlindTake, MOST_UNFAIR, STRETCH, TAKES, TRIALS};
use crate::body::BlindBody;

/// Where a stretch may begin in a take, in seconds.
const START: RangeInclusive<f64> = 0.0..=600.0;
/// Gains, in decibels: the louder goes down.
const GAIN: RangeInclusive<f64> = -120.0..=0.0;

pub(super) fn blind(body: &BlindBody) -> Kept {
    match body {
        BlindBody::BlindPlanned { plan } => planned(plan),
        BlindBody::BlindAnswered { trial, sound, .. } => {
            when(*trial >= 1, "trial", "Trials are counted from 1.")?;
            when((1..=3).contains(sound), "sound", "A trial has no such sound.")
        }
        BlindBody::BlindUncovered { .. } => Ok(()),
    }
}

fn planned(plan: &BlindPlan) -> Kept {
    when(TAKES.contains(&plan.takes.len()), "plan.takes", "A blind test has two to four takes.")?;
    let names: Vec<_> = plan.takes.iter().map(|one| &one.take).collect();
    when(all_differ(&names), "plan.takes", "Each take is in a test once.")?;
    plan.takes.iter().chain(plan.control.iter()).try_for_each(take)?;
    when(TRIALS.contains(&plan.trials), "plan.trials", "Each pair is heard 5 to 60 times.")?;
    when(TRIALS.contains(&plan.control_trials), "plan.control_trials", "The control is heard 5 to 60 times.")?;
    within("plan.length", plan.length, &STRETCH)?;
    plan.from_saddle.map_or(Ok(()), |from_saddle| along_the_string("plan.from_saddle", from_saddle))?;
    when(plan.unfair.len() <= MOST_UNFAIR, "plan.unfair", "That is more than can differ.")?;
    plan.unfair.iter().try_for_each(|one| note("plan.unfair", one))
}

fn take(take: &BlindTake) -> Kept {
    label("plan.takes.label", &take.label)?;
    take.mode.as_ref().map_or(Ok(()), |heard| mode("plan.takes.mode", heard))?;
    within("plan.takes.start", take.start, &START)?;
    within("plan.takes.gain", take.gain.0, &GAIN)
}
