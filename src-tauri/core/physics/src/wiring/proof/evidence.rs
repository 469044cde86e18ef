//! How well a cause explains the readings of an install: the probability density of the readings, every resistance that is
//! not known averaged over.
//!
//! Resistances are logarithms with normal priors, readings scatter by the meter's claim; around the best fit the readings
//! are taken to be linear in the logarithms (Laplace's method). What a poor joint has of its own is known the least: it is as
//! likely at each logarithm from an ohm to 300 kΩ. It is summed over that whole range, so that it is ranked by all it can be
//! and by nothing it can't.

use std::f64::consts::TAU;

use nalgebra::SVector;

use super::GOOD_JOINT;
use crate::fault::{Factor, Fitted, Number, Square, log_determinant};
use crate::meter::SHORT_BELOW;
use crate::network::Seen;
use crate::record::claim::Meter;
use crate::record::quantity::{Ohms, Reading};

/// The most that a poor joint has, in ohms; the least is one.
pub(super) const POOREST: f64 = 300e3;
/// Points at which a joint's range is summed where it is not told narrowly.
const POINTS: usize = 25;
/// A joint that is told more narrowly than this, as a logarithm, is followed from its best fit.
const NARROW: f64 = 0.3;

/// What is believed of all resistances before a reading: means and deviations of their logarithms.
#[derive(Debug, Clone)]
pub(super) struct Belief<const N: usize> {
    pub mean: [f64; N],
    pub deviation: [f64; N],
    /// The first values may be so much alike that a fit has to start to one side of them.
    pub alike: usize,
    /// The place of a poor joint's own resistance, which has no mean.
    pub joint: usize,
}

/// What one reading must be explained by.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row<'a> {
    pub seen: &'a Seen,
    pub reading: Reading,
    /// What plain metal reads here at most, commonly, in ohms: a wiper at its end, or clips and joints.
    pub metal: f64,
}

/// The readings, sorted by how they are explained.
struct Readings<'a> {
    certain: f64,
    numbers: Vec<Number<'a>>,
    /// Resistances that must be past the meter's last range.
    over: Vec<&'a Seen>,
    /// The least that is past it, in ohms.
    limit: f64,
}

impl<'a> Readings<'a> {
    fn of(rows: &[Row<'a>], joint: u8, meter: &Meter) -> Option<Self> {
        let limit = meter.limit().0;
        let mut all = Self { certain: 0.0, numbers: Vec::with_capacity(rows.len()), over: Vec::new(), limit };
        all.limit = limit - if limit.is_finite() { meter.claim(meter.limit()).0 } else { 0.0 };
        for row in rows {
            match (row.reading, row.seen) {
                (Reading::OverLimit, Seen::Open) => {}
                (Reading::OverLimit, Seen::Short) | (Reading::Ohms(_), Seen::Open) => return None,
                (Reading::OverLimit, seen) => all.over.push(seen),
                (Reading::Ohms(Ohms(ohms)), Seen::Short) => all.certain += metal(ohms, row.metal)?.ln(),
                (Reading::Ohms(Ohms(ohms)), seen) => {
                    let least = if seen.has(joint) { 0.0 } else { SHORT_BELOW };
                    if !(ohms > 0.0 && ohms >= least && ohms.is_finite()) {
                        return None;
                    }
                    let claim = meter.claim(Ohms(ohms)).0 / ohms / 3_f64.sqrt();
                    // What metal has beside it is anything up to what it commonly reads.
                    let beside = row.metal / ohms / 12_f64.sqrt();
                    all.numbers.push(Number { seen, log: ohms.ln(), spread: claim.hypot(beside).max(1e-4) });
                }
            }
        }
        Some(all)
    }

    /// Whether what must be past the meter's last range is.
    fn are_over(&self, values: &[f64]) -> bool {
        self.over.iter().all(|seen| seen.ohms(values) >= self.limit)
    }

    fn have(&self, value: u8) -> bool {
        self.numbers.iter().map(|number| number.seen).chain(self.over.iter().copied()).any(|seen| seen.has(value))
    }
}

/// The density of a reading over plain metal that reads up to `most` commonly: a part of it reads nothing, the rest is spread
/// up to there, and little is beyond. Logarithmic above 0.05 Ω.
fn metal(ohms: f64, most: f64) -> Option<f64> {
    let evenly = 0.5 / (most / 0.05).ln();
    Some(if !(0.0..SHORT_BELOW).contains(&ohms) {
        return None;
    } else if ohms < 0.05 {
        0.5
    } else if ohms <= most {
        evenly.max(0.5 * ohms / most)
    } else if most <= GOOD_JOINT {
        // A joint that reads ten times what it may is no good one.
        evenly * (most / ohms).powi(4)
    } else {
        0.02
    })
}

/// Fits the resistances; nothing when the readings can't be explained at all.
pub(super) fn fit<const N: usize>(rows: &[Row], belief: &Belief<N>, meter: &Meter) -> Option<Fitted<N>> {
    let joint = belief.joint;
    let readings = Readings::of(rows, joint as u8, meter)?;
    let (mut logs, all) = (belief.mean, POOREST.ln());
    // Two equal coils are a saddle where series and parallel are known: start to one side of it.
    for (at, log) in logs.iter_mut().enumerate().take(belief.alike) {
        *log += 0.05 - 0.05 * at as f64;
    }
    if !readings.have(joint as u8) {
        let mut at = Settling { readings: &readings, belief, logs, held: true };
        at.settle(12)?;
        let mut fitted = at.fitted()?;
        // No reading tells anything of it.
        fitted.covariance[(joint, joint)] = all * all / 12.0;
        return Some(fitted);
    }
    let step = all / POINTS as f64;
    let mut tried: Vec<(f64, [f64; N])> = Vec::with_capacity(POINTS);
    let mut best: Option<(f64, [f64; N])> = None;
    for point in 0..POINTS {
        logs[joint] = (point as f64 + 0.5) * step;
        let mut at = Settling { readings: &readings, belief, logs, held: true };
        if at.settle(if point == 0 { 8 } else { 3 }).is_none() {
            continue;
        }
        // The next point begins where this one ended.
        logs = at.logs;
        let misfit = at.misfit().unwrap_or(f64::INFINITY);
        if best.is_none_or(|(least, _)| misfit < least) {
            best = Some((misfit, logs));
        }
        tried.extend(at.evidence().map(|(log_evidence, _)| (log_evidence, at.logs)));
    }
    let mut peak = Settling { readings: &readings, belief, logs: best?.1, held: false };
    peak.settle(12)?;
    if let Some(mut fitted) = peak.fitted() {
        let deviation = fitted.covariance[(joint, joint)].sqrt();
        if deviation < NARROW && (-deviation..all + deviation).contains(&fitted.logs[joint]) {
            fitted.log_evidence += 0.5 * TAU.ln() - all.ln();
            return Some(fitted);
        }
    }
    summed(&tried, &readings, belief)
}

/// The evidence summed over a joint's range, and the best fit with how far the joint is uncertain in it.
fn summed<const N: usize>(tried: &[(f64, [f64; N])], readings: &Readings, belief: &Belief<N>) -> Option<Fitted<N>> {
    let joint = belief.joint;
    let most = tried.iter().map(|(log_evidence, _)| *log_evidence).fold(f64::NEG_INFINITY, f64::max);
    let weight = |log_evidence: f64| (log_evidence - most).exp();
    let sum: f64 = tried.iter().map(|(log_evidence, _)| weight(*log_evidence)).sum();
    let mean_of = |of: &dyn Fn(f64) -> f64| {
        tried.iter().map(|(log_evidence, logs)| weight(*log_evidence) * of(logs[joint])).sum::<f64>() / sum
    };
    let mean = mean_of(&|log| log);
    let variance = mean_of(&|log| (log - mean).powi(2));
    let from_mean = |logs: &[f64; N]| (logs[joint] - mean).abs();
    let (_, logs) = tried.iter().min_by(|(_, a), (_, b)| from_mean(a).total_cmp(&from_mean(b)))?;
    // Only this one's covariance is wanted.
    let mut middle = Settling { readings, belief, logs: *logs, held: true }.fitted()?;
    middle.covariance[(joint, joint)] = variance.max(1e-6);
    middle.log_evidence = most + (sum / POINTS as f64).ln();
    middle.log_evidence.is_finite().then_some(middle)
}

/// A fit under way.
struct Settling<'a, const N: usize> {
    readings: &'a Readings<'a>,
    belief: &'a Belief<N>,
    logs: [f64; N],
    /// Whether a joint's own resistance stays as it is.
    held: bool,
}

impl<const N: usize> Settling<'_, N> {
    /// Twice the negative logarithm of how well all is explained, but for a constant; nothing where a resistance is none.
    fn misfit(&self) -> Option<f64> {
        let values = self.logs.map(f64::exp);
        let mut sum = 0.0;
        for at in (0..N).filter(|at| *at != self.belief.joint) {
            sum += ((self.logs[at] - self.belief.mean[at]) / self.belief.deviation[at]).powi(2);
        }
        for number in &self.readings.numbers {
            sum += number.off(&values)?.powi(2);
        }
        Some(sum)
    }

    /// How the misfit falls from here, and how sharply it bends.
    fn slopes(&self) -> Option<(SVector<f64, N>, Square<N>)> {
        let (joint, values) = (self.belief.joint, self.logs.map(f64::exp));
        let mut pull = SVector::<f64, N>::zeros();
        let mut bend = Square::<N>::zeros();
        for at in (0..N).filter(|at| *at != joint) {
            let precision = self.belief.deviation[at].powi(-2);
            pull[at] = precision * (self.belief.mean[at] - self.logs[at]);
            bend[(at, at)] = precision;
        }
        for number in &self.readings.numbers {
            let (mut slopes, residual) = number.slopes(&values)?;
            if self.held {
                slopes[joint] = 0.0;
            }
            let weight = number.spread.powi(-2);
            for row in (0..N).filter(|row| slopes[*row] != 0.0) {
                pull[row] += slopes[row] * weight * residual;
                for column in 0..N {
                    bend[(row, column)] += slopes[row] * slopes[column] * weight;
                }
            }
        }
        if self.held {
            bend[(joint, joint)] = 1.0;
        } else {
            // Where no reading tells it, it stays.
            bend[(joint, joint)] += 1e-6;
        }
        Some((pull, bend))
    }

    /// Goes to the best fit from here, each step no worse than the last.
    fn settle(&mut self, steps: usize) -> Option<()> {
        let mut here = self.misfit()?;
        for _ in 0..steps {
            let (pull, bend) = self.slopes()?;
            let step = Factor::<N>::new(bend)?.solve(&pull);
            let before = self.logs;
            let mut part = 1.0;
            let longest = loop {
                let mut longest = 0.0_f64;
                for at in 0..N {
                    let by = (part * step[at]).clamp(-1.5, 1.5);
                    self.logs[at] = before[at] + by;
                    longest = longest.max(by.abs());
                }
                match self.misfit().filter(|there| *there <= here + 1e-12) {
                    Some(there) => {
                        here = there;
                        break longest;
                    }
                    None if part > 0.01 => part *= 0.4,
                    None => {
                        self.logs = before;
                        break 0.0;
                    }
                }
            };
            if longest < 1e-5 {
                break;
            }
        }
        Some(())
    }

    /// How well this fit explains the readings, and how sharply all bends there; nothing where what must be past the meter's
    /// range is not.
    fn evidence(&self) -> Option<(f64, Factor<N>)> {
        let joint = self.belief.joint;
        let (_, bend) = self.slopes()?;
        let factor = Factor::<N>::new(bend)?;
        let log_determinant = log_determinant(&factor);
        let scatter: f64 = self.readings.numbers.iter().map(|number| number.spread.ln() + 0.5 * TAU.ln()).sum();
        let before: f64 = (0..N).filter(|at| *at != joint).map(|at| self.belief.deviation[at].ln()).sum();
        let log_evidence = self.readings.certain - 0.5 * self.misfit()? - scatter - before - 0.5 * log_determinant;
        let fits = log_evidence.is_finite() && self.readings.are_over(&self.logs.map(f64::exp));
        fits.then_some((log_evidence, factor))
    }

    /// What this fit comes to.
    fn fitted(&self) -> Option<Fitted<N>> {
        let (log_evidence, factor) = self.evidence()?;
        Some(Fitted { log_evidence, logs: self.logs, covariance: factor.inverse() })
    }
}
