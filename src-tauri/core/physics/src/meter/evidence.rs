//! How well a cause explains readings: the probability density of the readings, all unknown resistances averaged over.
//!
//! Resistances are logarithms with a normal prior; readings scatter by the meter's claim. Around the best fit the readings
//! are taken to be linear in the logarithms (Laplace's method), so that the average has a closed form.

use std::f64::consts::{LN_10, TAU};

use nalgebra::SVector;

use super::SHORT_BELOW;
use crate::fault::{Factor, Fitted, Number, Square, log_determinant};
use crate::network::Seen;
use crate::record::claim::Meter;
use crate::record::quantity::{Ohms, Reading};

/// What is believed of all resistances before a reading.
#[derive(Debug, Clone)]
pub(crate) struct Belief<const N: usize> {
    mean: [f64; N],
    precision: Square<N>,
    log_determinant: f64,
    alike: usize,
}

impl<const N: usize> Belief<N> {
    /// From the means of the logarithms and their covariance, positive definite. The first `alike` values may be so much alike
    /// that a fit has to start to one side of them.
    /// Nothing when it is not.
    pub fn new(mean: [f64; N], covariance: Square<N>, alike: usize) -> Option<Self> {
        let factor = Factor::new(covariance)?;
        Some(Self { mean, precision: factor.inverse(), log_determinant: log_determinant(&factor), alike })
    }
}

/// How a reading differs from what the meter saw.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub(crate) struct Adjusted {
    /// The power of ten by which it was written too large.
    pub power: i8,
    /// Whether the meter's range was too low for it.
    pub range_low: bool,
}

/// What one reading must be explained by.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Row<'a> {
    pub seen: &'a Seen,
    pub adjusted: Adjusted,
    pub reading: Reading,
    /// What its last digit stands for, if that is known.
    pub last_digit: Option<Ohms>,
}

/// Fits the resistances; nothing when the readings can't be explained at all.
pub(crate) fn fit<const N: usize>(rows: &[Row], belief: &Belief<N>, meter: &Meter) -> Option<Fitted<N>> {
    let mut certain = 0.0;
    let mut numbers: Vec<Number> = Vec::with_capacity(rows.len());
    for row in rows {
        match atom(row) {
            Explained::Not => return None,
            Explained::Certainly(log) => certain += log,
            Explained::AsANumber(ohms) => {
                let factor = 10_f64.powi(i32::from(row.adjusted.power));
                // The claim is that of the range it was really measured in.
                let really = ohms / factor;
                if really < SHORT_BELOW {
                    return None;
                }
                let digit = row.last_digit.map(|digit| Ohms(digit.0 / factor));
                let spread = meter.claim_as_written(Ohms(really), digit).0 / really / 3_f64.sqrt();
                let log = ohms.ln() - f64::from(row.adjusted.power) * LN_10;
                numbers.push(Number { seen: row.seen, log, spread: spread.max(1e-4) });
            }
        }
    }
    let mut logs = belief.mean;
    // Two equal coils are a saddle where series and parallel are known: start to one side of it.
    for (at, log) in logs.iter_mut().enumerate().take(belief.alike) {
        *log += 0.05 - 0.05 * at as f64;
    }
    // Newton's steps, each made shorter until it leads down: a whole one may lead to a place that only looks like the best.
    let mut information = belief.precision;
    let mut misfit = 0.0;
    let (mut pull, found) = normal_equations(&numbers, belief, &logs, &mut information, &mut misfit)?;
    for _ in 0..if found { 12 } else { 1 } {
        let mut step = Factor::new(information)?.solve(&pull).map(|step| step.clamp(-1.5, 1.5));
        let here = misfit;
        let mut next = None;
        for _ in 0..8 {
            let there = std::array::from_fn(|at| logs[at] + step[at]);
            let around = normal_equations(&numbers, belief, &there, &mut information, &mut misfit)?;
            if misfit <= here + 1e-12 * here {
                next = Some((there, around.0));
                break;
            }
            step = step.map(|step| 0.5 * step);
        }
        let Some((there, around)) = next else {
            normal_equations(&numbers, belief, &logs, &mut information, &mut misfit)?;
            break;
        };
        (logs, pull) = (there, around);
        if step.iter().all(|step| step.abs() < 1e-5) {
            break;
        }
    }
    let factor = Factor::new(information)?;
    let scatter: f64 = numbers.iter().map(|number| number.spread.ln() + 0.5 * TAU.ln()).sum();
    let log_evidence = certain - 0.5 * misfit - scatter - 0.5 * belief.log_determinant - 0.5 * log_determinant(&factor);
    log_evidence.is_finite().then(|| Fitted { log_evidence, logs, covariance: factor.inverse() })
}

/// How a reading is explained.
enum Explained {
    Not,
    /// With this logarithm of its density.
    Certainly(f64),
    /// By a resistance, of which this is the reading.
    AsANumber(f64),
}

fn atom(row: &Row) -> Explained {
    use Explained::{AsANumber, Certainly, Not};
    match (row.reading, row.seen) {
        (Reading::OverLimit, Seen::Open) => Certainly(0.0),
        (Reading::OverLimit, Seen::Short) => Not,
        (Reading::OverLimit, _) => {
            if row.adjusted.range_low {
                Certainly(0.0)
            } else {
                Not
            }
        }
        (Reading::Ohms(_), Seen::Open) => Not,
        (Reading::Ohms(Ohms(ohms)), Seen::Short) => contact(ohms),
        (Reading::Ohms(_), _) if row.adjusted.range_low => Not,
        (Reading::Ohms(Ohms(ohms)), _) if ohms > 0.0 && ohms.is_finite() => AsANumber(ohms),
        (Reading::Ohms(_), _) => Not,
    }
}

/// The density of a reading over plain metal: nothing, or up to some ohms of probes and clamps; logarithmic above 0.05 Ω.
fn contact(ohms: f64) -> Explained {
    let density = if !(0.0..SHORT_BELOW).contains(&ohms) {
        return Explained::Not;
    } else if ohms < 0.05 {
        0.5
    } else if ohms < 5.0 {
        0.5 / 100_f64.ln()
    } else {
        0.003
    };
    Explained::Certainly(density.ln())
}

/// The pull on the logarithms at this point; also the information and the misfit there. The flag says whether any reading
/// depends on them.
fn normal_equations<const N: usize>(
    numbers: &[Number],
    belief: &Belief<N>,
    logs: &[f64; N],
    information: &mut Square<N>,
    misfit: &mut f64,
) -> Option<(SVector<f64, N>, bool)> {
    let values = logs.map(f64::exp);
    let off = SVector::from(*logs) - SVector::from(belief.mean);
    *information = belief.precision;
    let mut pull = -(belief.precision * off);
    *misfit = -pull.dot(&off);
    for number in numbers {
        let (slopes, residual) = number.slopes(&values)?;
        let (slopes, weight) = (SVector::from(slopes), 1.0 / square(number.spread));
        *misfit += square(residual) * weight;
        pull += slopes * (weight * residual);
        *information += slopes * slopes.transpose() * weight;
    }
    Some((pull, !numbers.is_empty()))
}

pub(crate) fn square(x: f64) -> f64 {
    x * x
}
