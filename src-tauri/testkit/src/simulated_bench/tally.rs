//! What a run of pretended benches counted.

use std::collections::BTreeMap;
use std::time::Duration;

use solderlast_core::physics::meter::{Cause, Diagnosis};

/// What a run counted.
#[derive(Debug, Default)]
pub struct Tally {
    /// All benches: with nothing wrong, with one thing, with two.
    pub benches: [usize; 3],
    /// Good hookups that were not called well.
    pub false_alarms: usize,
    /// Benches whose readings lie beyond the band.
    pub beyond: usize,
    /// Of those, the ones called all well.
    pub misses: usize,
    /// Faults that the three readings tell apart from every other cause.
    pub told_apart: usize,
    /// Of those, the ones ranked first.
    pub right: usize,
    /// Faults that change a reading beyond the band.
    pub faults: usize,
    /// Of those, the ones whose cause is among the first suspect and those alike after the three readings.
    pub among_first: usize,
    /// Of those, the ones where it takes a measurement more.
    pub open: usize,
    /// How that went with the suggested one.
    pub suggested: Follow,
    /// How it went with a random one.
    pub random: Follow,
    /// Benches with a fault that was mended and measured anew: called well in the end, of so many.
    pub mended: [usize; 2],
    /// Benches with a fault that was said to be mended and was not, still beyond the band.
    pub mended_badly: usize,
    /// Of those, the ones called well.
    pub mended_missed: usize,
    /// Verdicts that rest on what was read before a repair.
    pub from_before: usize,
    /// How sure the first suspect was called, at every verdict: how often, and how often rightly.
    pub sure: BTreeMap<String, [usize; 2]>,
    /// Times that one more measurement was said to tell, or that it may: how often, and how often it did.
    pub promised: [[usize; 2]; 2],
    /// Wrong verdicts with their benches, for looking into.
    pub wrong: Vec<String>,
    /// Times of one whole diagnosis with its next measurement, by the clock.
    pub times: Vec<Duration>,
    /// The same by the processor.
    pub processor: Vec<Duration>,
}

/// How following measurements went.
#[derive(Debug, Default)]
pub struct Follow {
    /// Measurements taken beside the three modes.
    pub measurements: usize,
    /// Benches on which a cause was named in the end.
    pub named: usize,
    /// Of those, the ones on which it was the right one, or a part of the right two.
    pub right: usize,
}

impl Tally {
    /// Counts how sure the first suspect is called, and whether it is at work: alone, or as one of two.
    pub(super) fn called(&mut self, found: &Diagnosis, wrong: &[Cause]) {
        let Some(first) = found.ranked.first().filter(|first| !first.causes.is_empty()) else { return };
        let counted = self.sure.entry(first.how_sure.clone()).or_default();
        counted[0] += 1;
        counted[1] += usize::from(is_part(&first.causes, wrong));
        if first.how_sure == "almost sure" && !is_part(&first.causes, wrong) {
            self.wrong.push(format!("almost sure of {:?}: {wrong:?}", first.causes));
        }
    }
}

impl Follow {
    pub(super) fn add(&mut self, (measurements, named): (usize, Option<Vec<Cause>>), wrong: &[Cause]) {
        self.measurements += measurements;
        if let Some(named) = named {
            self.named += 1;
            self.right += usize::from(is_part(&named, wrong));
        }
    }
}

/// All of the right causes, or one of two: mending it and measuring again shows the other.
pub(super) fn is_part(named: &[Cause], wrong: &[Cause]) -> bool {
    !named.is_empty() && named.iter().all(|cause| wrong.contains(cause))
}
