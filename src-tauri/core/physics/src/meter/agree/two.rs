//! Two coils: whether there are any at which every reading lies within so many times its claim, told exactly.

use super::least::{COILS, Weighed};
use crate::network::Seen;

/// More than anything reads on a bench, in times of its claim.
const MOST: f64 = 1e12;

/// Readings of one coil, of the other, of both in series, of both in parallel.
pub(super) struct Two {
    coils: [usize; 2],
    alone: [Vec<(f64, f64)>; 2],
    series: Vec<(f64, f64)>,
    parallel: Vec<(f64, f64)>,
}

impl Two {
    /// Sorts readings by what they see; nothing when they see more coils than two.
    pub fn of(readings: &[Weighed], used: &[usize]) -> Option<Self> {
        let coils = match *used {
            [one] => [one, one],
            [one, other] => [one, other],
            _ => return None,
        };
        let mut two = Self { coils, alone: [Vec::new(), Vec::new()], series: Vec::new(), parallel: Vec::new() };
        for one in readings {
            let read = (one.ohms, one.claim);
            match one.seen {
                Seen::One(coil) if usize::from(*coil) == coils[0] => two.alone[0].push(read),
                Seen::One(_) => two.alone[1].push(read),
                Seen::Series(parts) if both(parts) => two.series.push(read),
                Seen::Parallel(parts) if both(parts) => two.parallel.push(read),
                Seen::Open | Seen::Short | Seen::Series(_) | Seen::Parallel(_) => return None,
            }
        }
        Some(two)
    }

    /// Two coils at which every reading lies within so many times its claim.
    ///
    /// What the single coils and the sum allow is a convex area. Parallel rises with either coil: it is least where the sum is
    /// least and the coils lie farthest apart, most where the sum is most and they lie nearest, and in between it takes every
    /// value.
    fn within(&self, times: f64) -> Option<[f64; 2]> {
        let [a, b] = [0, 1].map(|coil| bounds(&self.alone[coil], times, COILS));
        let series = bounds(&self.series, times, (a.0 + b.0, a.1 + b.1));
        let parallel = bounds(&self.parallel, times, (0.0, f64::INFINITY));
        if [a, b, series, parallel].iter().any(|(low, high)| low > high) {
            return None;
        }
        // How much of a sum the first coil may have.
        let share = |sum: f64| (a.0.max(sum - b.1), a.1.min(sum - b.0));
        let of = |first: f64, sum: f64| first * (sum - first) / sum;
        let (low, high) = share(series.0);
        let least = if of(low, series.0) <= of(high, series.0) { low } else { high };
        let (low, high) = share(series.1);
        // Rounding may leave the two ends crossed by a hair.
        let most = (series.1 / 2.0).max(low).min(high);
        if of(least, series.0) > parallel.1 || of(most, series.1) < parallel.0 {
            return None;
        }
        // Between the two, the point at which parallel is allowed.
        let at = |share: f64| (least + share * (most - least), series.0 + share * (series.1 - series.0));
        let wanted = of(least, series.0).max(parallel.0).min(parallel.1);
        let (mut low, mut high) = (0.0, 1.0);
        for _ in 0..60 {
            let middle = f64::midpoint(low, high);
            let (first, sum) = at(middle);
            if of(first, sum) < wanted { low = middle } else { high = middle }
        }
        // At the least that is allowed, or just above.
        let (first, sum) = at(high);
        Some([first, sum - first])
    }
}

/// The coils at which the worst reading lies off least, by halving; coils that aren't looked at are as large as the first.
pub(super) fn halved(two: &Two, most: f64, count: usize) -> Vec<f64> {
    let (mut low, mut high) = (0.0, most.min(MOST));
    let mut best = two.within(high).or_else(|| two.within(MOST)).unwrap_or([COILS.0; 2]);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        match two.within(middle) {
            Some(coils) => (best, high) = (coils, middle),
            None => low = middle,
        }
        if high - low < 1e-9 * high {
            break;
        }
    }
    let mut coils = vec![best[0]; count];
    for (place, ohms) in two.coils.iter().zip(best).take(if two.coils[0] == two.coils[1] { 1 } else { 2 }) {
        coils[*place] = ohms;
    }
    coils
}

fn both(parts: &[Seen]) -> bool {
    matches!(parts, [Seen::One(one), Seen::One(other)] if one != other)
}

/// What so many times the claims leave of these bounds.
fn bounds(read: &[(f64, f64)], times: f64, (low, high): (f64, f64)) -> (f64, f64) {
    read.iter()
        .fold((low, high), |(low, high), (ohms, claim)| (low.max(ohms - times * claim), high.min(ohms + times * claim)))
}
