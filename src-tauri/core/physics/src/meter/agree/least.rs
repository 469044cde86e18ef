//! The least that readings lie apart, over all coils that there could be, so that no start and no slope can lead it astray.
//!
//! Of two coils that is found by halving: `two` says exactly whether there are coils at which every reading lies within so many
//! times its claim. Of three it is found by branching and bounding.
//! The resistance of every mode only rises with every coil. So over a box of coils (the least and the most of each) the least
//! and the most that a mode can read are those of its corners. A box that could do no better than the best coils found is
//! left; any other is made as small as each reading allows, then cut in two.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::two::{Two, halved};
use crate::network::Seen;

/// No more coils are looked at.
const MOST_COILS: usize = 3;
/// What a coil may have, in ohms.
pub(super) const COILS: (f64, f64) = (1.0, 1e9);
/// Of three coils, the least is found to within this, in times of the claim.
const FINEST: f64 = 1e-5;
/// With so many boxes looked at, the best coils found so far are taken. Readings that are that hard to bound are no bench's.
const MOST_BOXES: usize = 5000;

/// A reading: what the output sees there, what was read, and how far that may lie off, in ohms.
#[derive(Debug, Clone, Copy)]
pub(super) struct Weighed<'a> {
    pub seen: &'a Seen,
    pub ohms: f64,
    pub claim: f64,
}

/// How far the readings lie apart.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Apart {
    /// The most that any reading lies off, in times of its claim, at the coils at which that is least.
    pub times: f64,
    /// Those coils, in ohms.
    pub coils: Vec<f64>,
}

/// The coils at which the worst reading lies off least. `starts` are coils to begin with, which only make it quicker.
pub(super) fn least_apart(readings: &[Weighed], count: usize, starts: &[Vec<f64>]) -> Option<Apart> {
    if count == 0 || count > MOST_COILS || readings.is_empty() {
        return None;
    }
    let used: Vec<usize> = (0..count).filter(|coil| readings.iter().any(|one| one.seen.has(*coil as u8))).collect();
    let mut best = Apart { times: f64::INFINITY, coils: Vec::new() };
    for start in starts.iter().filter(|start| start.len() == count) {
        best.take(readings, start);
    }
    if let Some(two) = Two::of(readings, &used) {
        let most = best.times;
        best.take(readings, &halved(&two, most, count));
        return best.times.is_finite().then_some(best);
    }
    let mut boxes = BinaryHeap::from([Bounds { low: [COILS.0; MOST_COILS], high: [COILS.1; MOST_COILS], least: 0.0 }]);
    for _ in 0..MOST_BOXES {
        let Some(mut bounds) = boxes.pop() else { break };
        let better = best.times - FINEST;
        if better <= 0.0 || bounds.least >= better {
            break;
        }
        if !bounds.narrow(readings, better) {
            continue;
        }
        bounds.least = bounds.least_off(readings);
        if bounds.least >= better {
            continue;
        }
        best.take(readings, &bounds.middle()[..count]);
        let wide = |coil: usize| bounds.high[coil] / bounds.low[coil];
        let Some(widest) = used.iter().copied().max_by(|a, b| wide(*a).total_cmp(&wide(*b))) else { break };
        if wide(widest) > 1.0 + 1e-13 {
            boxes.extend(bounds.halves(widest));
        }
    }
    best.times.is_finite().then_some(best)
}

impl Apart {
    /// Takes these coils if they are better.
    fn take(&mut self, readings: &[Weighed], coils: &[f64]) {
        let off = |one: &Weighed| (one.seen.ohms(coils) - one.ohms).abs() / one.claim;
        let worst =
            readings.iter().map(off).fold(0.0, |worst, off| if off > worst || off.is_nan() { off } else { worst });
        if worst < self.times {
            *self = Self { times: worst, coils: coils.to_vec() };
        }
    }
}

/// The least and the most of each coil, in ohms, and what no coils between them can be better than.
#[derive(Debug, Clone, Copy)]
struct Bounds {
    low: [f64; MOST_COILS],
    high: [f64; MOST_COILS],
    least: f64,
}

impl Bounds {
    /// Leaves out what would bring a reading farther off than this; false when nothing is left.
    fn narrow(&mut self, readings: &[Weighed], times: f64) -> bool {
        (0..2).all(|_| {
            readings.iter().all(|one| {
                let within = (one.ohms - times * one.claim, one.ohms + times * one.claim);
                narrow(one.seen, within, &mut self.low, &mut self.high)
            })
        })
    }

    /// The least that the worst reading lies off, over this box, from below.
    fn least_off(&self, readings: &[Weighed]) -> f64 {
        let off = |one: &Weighed| {
            let (low, high) = (one.seen.ohms(&self.low), one.seen.ohms(&self.high));
            (low - one.ohms).max(one.ohms - high).max(0.0) / one.claim
        };
        readings.iter().map(off).fold(0.0, f64::max)
    }

    fn middle(&self) -> [f64; MOST_COILS] {
        std::array::from_fn(|coil| (self.low[coil] * self.high[coil]).sqrt())
    }

    fn halves(self, coil: usize) -> [Self; 2] {
        let middle = self.middle()[coil];
        let (mut below, mut above) = (self, self);
        below.high[coil] = middle;
        above.low[coil] = middle;
        [below, above]
    }

    /// How wide it is, as a sum of logarithms.
    fn width(&self) -> f64 {
        self.low.iter().zip(self.high).map(|(low, high)| (high / low).ln()).sum()
    }
}

/// The most promising first: the lowest bound, and of equal ones the smallest box.
impl Ord for Bounds {
    fn cmp(&self, other: &Self) -> Ordering {
        other.least.total_cmp(&self.least).then_with(|| other.width().total_cmp(&self.width()))
    }
}

impl PartialOrd for Bounds {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Bounds {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Bounds {}

/// Leaves out of the coils what can't bring this resistance between these two; false when nothing is left.
fn narrow(seen: &Seen, within: (f64, f64), low: &mut [f64], high: &mut [f64]) -> bool {
    match seen {
        Seen::Open | Seen::Short => true,
        Seen::One(coil) => {
            let coil = usize::from(*coil);
            let (Some(low), Some(high)) = (low.get_mut(coil), high.get_mut(coil)) else { return true };
            *low = low.max(within.0);
            *high = high.min(within.1);
            *low <= *high
        }
        Seen::Series(parts) => parts.iter().enumerate().all(|(place, part)| {
            let others = |side: &[f64]| others(parts, place, |part| part.ohms(side));
            narrow(part, (within.0 - others(high), within.1 - others(low)), low, high)
        }),
        // The same with conductances, which are the other way round.
        Seen::Parallel(parts) => parts.iter().enumerate().all(|(place, part)| {
            let others = |side: &[f64]| others(parts, place, |part| 1.0 / part.ohms(side));
            let most = 1.0 / within.0.max(f64::MIN_POSITIVE) - others(high);
            let least = 1.0 / within.1 - others(low);
            let top = if least > 0.0 { 1.0 / least } else { f64::INFINITY };
            within.1 > 0.0 && most > 0.0 && narrow(part, (1.0 / most, top), low, high)
        }),
    }
}

/// What all parts but one come to together.
fn others(parts: &[Seen], place: usize, of: impl Fn(&Seen) -> f64) -> f64 {
    parts.iter().enumerate().filter(|(other, _)| *other != place).map(|(_, part)| of(part)).sum()
}
