//! The coils that fit all readings best, and how far the readings lie from each other.

use nalgebra::{DMatrix, DVector};

use super::least::{Weighed, least_apart};
use crate::network::Seen;

/// The coils that fit the readings best, by least squares, each reading weighed by the meter's claim.
pub(crate) struct Fit {
    /// Each coil, in ohms, as warm as it was.
    pub coils: Vec<f64>,
    /// How far each coil may lie from the truth, as a share of it, the meter at its worst; infinite where the readings
    /// don't tell.
    pub within: Vec<f64>,
    /// For each reading, how many times what the meter's claim allows the readings lie apart; nothing where no other reading
    /// fixes it.
    pub times: Vec<Option<f64>>,
}

impl Fit {
    /// Fits coils to readings, each with what the output sees there and how far it may lie off, in ohms. `likely` is a first
    /// guess for each coil, in ohms.
    pub fn of(readings: &[Weighed], likely: &[Option<f64>]) -> Option<Self> {
        if readings.is_empty() || likely.is_empty() {
            return None;
        }
        let model = Model::new(readings);
        let mean = readings.iter().map(|one| one.ohms).sum::<f64>() / readings.len() as f64;
        let start = likely.iter().map(|likely| likely.unwrap_or(mean).ln()).collect();
        let mut fits: Vec<(Vec<f64>, f64)> = model.descend(&model.weighted, start).into_iter().collect();
        let as_ohms = |logs: &[f64]| logs.iter().map(|log| log.exp()).collect::<Vec<f64>>();
        let found: Vec<Vec<f64>> = fits.iter().map(|(logs, _)| as_ohms(logs)).collect();
        // How far the readings lie apart is found for sure. The coils at which that is least are one more start: two equal ones
        // are a saddle where series and parallel are known, from which no slope leads away.
        let apart = least_apart(readings, likely.len(), &found);
        let start = apart.as_ref().map(|apart| apart.coils.iter().map(|ohms| ohms.ln()).collect());
        fits.extend(start.and_then(|start| model.descend(&model.weighted, start)));
        let logs = fits.into_iter().min_by(|(_, a), (_, b)| a.total_cmp(b)).map(|(logs, _)| logs)?;
        let slopes = model.slopes(&logs);
        let inverse = slopes.clone().pseudo_inverse(1e-6).ok()?;
        // What the coils can't take up of the readings.
        let left = DMatrix::identity(readings.len(), readings.len()) - &slopes * &inverse;
        let apart = apart?.times;
        let checked = |row: usize| left.row(row).iter().map(|share| share.abs()).sum::<f64>() > 1e-6;
        let checked: Vec<bool> = (0..readings.len()).map(checked).collect();
        // A reading is held against others where they share a coil: of two coils that are just alike, slopes alone say that
        // series and parallel tell nothing of one of them. Readings that no coils bring together are all held against each
        // other.
        let shares = |one: &Weighed, other: &Weighed| {
            (0..likely.len()).any(|coil| one.seen.has(coil as u8) && other.seen.has(coil as u8))
        };
        let times = readings
            .iter()
            .map(|one| {
                let held = readings.iter().zip(&checked).any(|(other, checked)| *checked && shares(one, other));
                (held || apart > 1.0).then_some(apart)
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
        Some(Self { coils: as_ohms(&logs), within, times })
    }

    /// How many times what the meter's claim allows the readings lie apart, at the coils at which that is least.
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
    fn new(readings: &[Weighed<'a>]) -> Self {
        let weighted = readings.iter().map(|one| one.ohms / one.claim).collect();
        Self {
            seen: readings.iter().map(|one| one.seen).collect(),
            claims: readings.iter().map(|one| one.claim).collect(),
            weighted: DVector::from_vec(weighted),
        }
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

    /// Gauss and Newton's steps down to the least squares from here, each made shorter until it leads down; also answers the
    /// sum of squares.
    fn descend(&self, weighted: &DVector<f64>, mut logs: Vec<f64>) -> Option<(Vec<f64>, f64)> {
        let squares = |logs: &[f64]| (weighted - self.seen(logs)).norm_squared();
        let mut here = squares(&logs);
        for _ in 0..40 {
            let inverse = self.slopes(&logs).pseudo_inverse(1e-6).ok()?;
            let mut step = inverse * (weighted - self.seen(&logs));
            let next = (0..30).find_map(|_| {
                let next: Vec<f64> = logs
                    .iter()
                    .zip(step.iter())
                    .map(|(log, step)| (log + step.clamp(-1.0, 1.0)).clamp(0.0, 21.0))
                    .collect();
                let there = squares(&next);
                if there < here {
                    return Some((next, there));
                }
                step *= 0.5;
                None
            });
            let Some((next, there)) = next else { break };
            let moved = logs.iter().zip(&next).map(|(log, next)| (log - next).abs()).fold(0.0, f64::max);
            (logs, here) = (next, there);
            if moved < 1e-10 {
                break;
            }
        }
        here.is_finite().then_some((logs, here))
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
