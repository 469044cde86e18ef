//! The coils that fit all readings best, and how far the readings lie from each other.

use nalgebra::{DMatrix, DVector};

use crate::meter::Meter;
use crate::network::Seen;
use crate::quantity::Ohms;

/// The coils that fit the readings best, by least squares, each reading weighed by the meter's claim.
pub(crate) struct Fit {
    /// Each coil, in ohms, as warm as it was.
    pub coils: Vec<f64>,
    /// How far each coil may lie from the truth, as a share of it, the meter at its worst; infinite where the readings
    /// don't tell.
    pub within: Vec<f64>,
    /// For each reading, how many times what the meter's claim allows it lies off the others; nothing where no other
    /// reading fixes it.
    pub times: Vec<Option<f64>>,
}

impl Fit {
    /// Fits coils to readings, each with what the output sees there. `likely` is a first guess for each coil, in ohms.
    pub fn of(readings: &[(&Seen, f64)], likely: &[Option<f64>], meter: &Meter) -> Option<Self> {
        if readings.is_empty() || likely.is_empty() {
            return None;
        }
        let model = Model::new(readings, meter);
        let mean = readings.iter().map(|(_, ohms)| ohms).sum::<f64>() / readings.len() as f64;
        // Two equal coils are a saddle where series and parallel are known: a second start stands to one side of it.
        let starts = [0.0, 0.4].map(|aside| {
            (0..likely.len()).map(|coil| likely[coil].unwrap_or(mean).ln() + aside * coil as f64).collect::<Vec<f64>>()
        });
        let logs = starts
            .into_iter()
            .filter_map(|start| model.descend(&model.weighted, start))
            .min_by(|(_, a), (_, b)| a.total_cmp(b))
            .map(|(logs, _)| logs)?;
        let slopes = model.slopes(&logs);
        let inverse = slopes.clone().pseudo_inverse(1e-6).ok()?;
        // What the coils can't take up of the readings, and the most that the meter's claim lets that be.
        let left = DMatrix::identity(readings.len(), readings.len()) - &slopes * &inverse;
        let residual = &model.weighted - model.seen(&logs);
        // With one reading more than coils, the least that all readings lie off together is found to the last ohm: slopes
        // at the least squares alone can call readings right that lie beyond the claim by a hair.
        let least = (readings.len() == likely.len() + 1).then(|| model.least_off(&logs)).flatten();
        let times = (0..readings.len())
            .map(|row| {
                let allowed: f64 = left.row(row).iter().map(|share| share.abs()).sum();
                (allowed > 1e-6).then(|| least.unwrap_or(residual[row].abs() / allowed))
            })
            .collect();
        // A coil is told only if the readings alone fix it: moving along it must move a reading.
        let resolved = &inverse * &slopes;
        let within = (0..logs.len())
            .map(|coil| {
                let fixed = (resolved[(coil, coil)] - 1.0).abs() < 1e-6;
                if fixed { inverse.row(coil).iter().map(|share| share.abs()).sum() } else { f64::INFINITY }
            })
            .zip(model.moved(&logs))
            // Of a logarithm to a share: a coil may lie farther above than below.
            .map(|(by_slope, by_fit): (f64, f64)| by_slope.max(by_fit).exp_m1())
            .collect();
        Some(Self { coils: logs.iter().map(|log| log.exp()).collect(), within, times })
    }

    /// The farthest that any reading lies off the others, in times of what the meter allows.
    pub fn times_the_band(&self) -> Option<f64> {
        self.times.iter().copied().flatten().reduce(f64::max)
    }
}

/// Readings and what the coils make of them, both in units of the meter's claim. Coils are logarithms, so that each
/// stays above zero.
struct Model<'a> {
    seen: Vec<&'a Seen>,
    claims: Vec<f64>,
    weighted: DVector<f64>,
}

impl<'a> Model<'a> {
    fn new(readings: &[(&'a Seen, f64)], meter: &Meter) -> Self {
        let claims: Vec<f64> = readings.iter().map(|(_, ohms)| meter.claim(Ohms(*ohms)).0.max(1e-9)).collect();
        let weighted = readings.iter().zip(&claims).map(|((_, ohms), claim)| ohms / claim).collect();
        Self { seen: readings.iter().map(|(seen, _)| *seen).collect(), weighted: DVector::from_vec(weighted), claims }
    }

    fn seen(&self, logs: &[f64]) -> DVector<f64> {
        let coils: Vec<f64> = logs.iter().map(|log| log.exp()).collect();
        DVector::from_vec(self.seen.iter().zip(&self.claims).map(|(seen, claim)| seen.ohms(&coils) / claim).collect())
    }

    fn slopes(&self, logs: &[f64]) -> DMatrix<f64> {
        let coils: Vec<f64> = logs.iter().map(|log| log.exp()).collect();
        let mut slopes = DMatrix::zeros(self.seen.len(), coils.len());
        let mut row = vec![0.0; coils.len()];
        for (at, (seen, claim)) in self.seen.iter().zip(&self.claims).enumerate() {
            row.fill(0.0);
            seen.add_slopes(&coils, 1.0 / claim, &mut row);
            for (coil, slope) in row.iter().enumerate() {
                slopes[(at, coil)] = slope * coils[coil];
            }
        }
        slopes
    }

    /// Gauss and Newton's steps down to the least squares from here; also answers the sum of squares.
    fn descend(&self, weighted: &DVector<f64>, mut logs: Vec<f64>) -> Option<(Vec<f64>, f64)> {
        for _ in 0..40 {
            let inverse = self.slopes(&logs).pseudo_inverse(1e-6).ok()?;
            let step = inverse * (weighted - self.seen(&logs));
            for (log, step) in logs.iter_mut().zip(step.iter()) {
                *log = (*log + step.clamp(-1.0, 1.0)).clamp(0.0, 21.0);
            }
            if step.amax() < 1e-10 {
                break;
            }
        }
        let squares = (weighted - self.seen(&logs)).norm_squared();
        squares.is_finite().then_some((logs, squares))
    }

    /// The least that the worst of the readings lies off, in times of the claim, over all coils; nothing where that is not
    /// found. For one reading more than coils.
    ///
    /// At the best coils every reading that the coils don't fix alone lies off by the same, to the sides that the slopes there
    /// leave open. So the readings are moved by that much to those sides, the coils fitted to them, and the slopes looked at
    /// anew, until nothing changes.
    fn least_off(&self, logs: &[f64]) -> Option<f64> {
        let count = self.weighted.len();
        let mut logs = logs.to_vec();
        let mut least: f64 = f64::NAN;
        for _ in 0..20 {
            let slopes = self.slopes(&logs);
            let left = DMatrix::identity(count, count) - &slopes * slopes.clone().pseudo_inverse(1e-6).ok()?;
            let open = (0..count).map(|row| left.row(row)).max_by(|a, b| a.norm().total_cmp(&b.norm()))?.transpose();
            let allowed: f64 = open.iter().map(|share| share.abs()).sum();
            let residual = &self.weighted - self.seen(&logs);
            let off = open.dot(&residual) / allowed;
            if !off.is_finite() {
                return None;
            }
            let found = (off.abs() - least).abs() < 1e-9;
            least = off.abs();
            if found {
                return Some(least);
            }
            let sides = open.map(|share| if share.abs() < 1e-9 { 0.0 } else { off * share.signum() });
            logs = self.descend(&(&self.weighted - sides), logs)?.0;
        }
        None
    }

    /// How far each coil moves, as a logarithm, when each reading in turn lies off by all that the meter's claim allows,
    /// added up. Where two coils are nearly equal, slopes alone tell too little: series and parallel say hardly anything
    /// of their difference.
    fn moved(&self, logs: &[f64]) -> Vec<f64> {
        let mut sums = vec![0.0; logs.len()];
        for reading in 0..self.weighted.len() {
            let ways = [1.0, -1.0].map(|by| {
                let mut weighted = self.weighted.clone();
                weighted[reading] += by;
                self.descend(&weighted, logs.to_vec()).map(|(moved, _)| moved)
            });
            for (coil, sum) in sums.iter_mut().enumerate() {
                let far = ways.iter().flatten().map(|moved| (moved[coil] - logs[coil]).abs());
                *sum += far.fold(0.0, f64::max);
            }
        }
        sums
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Two coils in parallel, single and series, against the least that the worst reading lies off, by a search over a grid
    /// that is made finer about its best place again and again.
    #[test]
    fn how_far_readings_lie_apart_is_the_least_there_is() {
        let meter = Meter::plain();
        let both = vec![Seen::One(0), Seen::One(1)];
        let seen = [Seen::Parallel(both.clone()), Seen::One(0), Seen::Series(both)];
        for read in [
            // Beyond the claim by a hair: slopes at the least squares say within it.
            [3536.0, 7430.0, 13_850.0],
            [3334.0, 6660.0, 13_340.0],
            [3300.0, 6660.0, 13_600.0],
            [3400.0, 6500.0, 13_340.0],
            [2500.0, 9000.0, 12_400.0],
            [4000.0, 7000.0, 16_000.0],
        ] {
            let off = |a: f64, b: f64| {
                [a * b / (a + b), a, a + b]
                    .iter()
                    .zip(read)
                    .map(|(seen, ohms)| (seen - ohms).abs() / meter.claim(Ohms(ohms)).0)
                    .fold(0.0, f64::max)
            };
            let (mut a, mut b, mut wide) = (read[1], read[2] - read[1], 3000.0);
            while wide > 1e-5 {
                let steps = || (-20..=20).map(|step| f64::from(step) / 20.0 * wide);
                let around = steps().flat_map(|da| steps().map(move |db| (a + da, b + db)));
                let here = around.min_by(|one, other| off(one.0, one.1).total_cmp(&off(other.0, other.1)));
                (a, b) = here.unwrap_or((a, b));
                wide *= 0.7;
            }
            let readings: Vec<(&Seen, f64)> = seen.iter().zip(read).collect();
            let found = Fit::of(&readings, &[None, None], &meter).and_then(|fit| fit.times_the_band());
            let least = off(a, b);
            assert!(
                found.is_some_and(|found| (found - least).abs() < 1e-3 * least.max(0.01)),
                "{read:?} {found:?} {least}"
            );
        }
    }
}
