//! How well a cause explains readings: the probability density of the readings, all unknown resistances averaged over.
//!
//! Resistances are logarithms with a normal prior; readings scatter by the meter's claim. Around the best fit the readings
//! are taken to be linear in the logarithms (Laplace's method), so that the average has a closed form.

use std::f64::consts::{LN_10, TAU};

use super::SHORT_BELOW;
use crate::network::Seen;
use crate::record::claim::Meter;
use crate::record::quantity::{Ohms, Reading};

/// Values and their square matrices.
pub(crate) type Values<const N: usize> = [f64; N];
pub(crate) type Square<const N: usize> = [[f64; N]; N];

/// What is believed of all resistances before a reading.
#[derive(Debug, Clone)]
pub(crate) struct Belief<const N: usize> {
    mean: Values<N>,
    precision: Square<N>,
    log_determinant: f64,
    alike: usize,
}

impl<const N: usize> Belief<N> {
    /// From the means of the logarithms and their covariance, positive definite. The first `alike` values may be so much alike
    /// that a fit has to start to one side of them.
    pub fn new(mean: [f64; N], covariance: &Square<N>, alike: usize) -> Self {
        let factor = cholesky(covariance);
        Self { mean, precision: inverse(&factor), log_determinant: log_determinant(&factor), alike }
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

/// The best fit of the resistances, and how well the readings are explained.
#[derive(Debug, Clone)]
pub(crate) struct Fitted<const N: usize> {
    /// Logarithm of the probability density of the readings.
    pub log_evidence: f64,
    /// Logarithms of the resistances.
    pub logs: Values<N>,
    /// Their covariance.
    pub covariance: Square<N>,
}

/// A reading that is a number and is explained by one.
struct Number<'a> {
    seen: &'a Seen,
    log: f64,
    spread: f64,
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
        let mut step = solve(&cholesky(&information), &pull).map(|step| step.clamp(-1.5, 1.5));
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
    let factor = cholesky(&information);
    let scatter: f64 = numbers.iter().map(|number| number.spread.ln() + 0.5 * TAU.ln()).sum();
    let log_evidence = certain - 0.5 * misfit - scatter - 0.5 * belief.log_determinant - 0.5 * log_determinant(&factor);
    log_evidence.is_finite().then(|| Fitted { log_evidence, logs, covariance: inverse(&factor) })
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
    logs: &Values<N>,
    information: &mut Square<N>,
    misfit: &mut f64,
) -> Option<(Values<N>, bool)> {
    let values = logs.map(f64::exp);
    *information = belief.precision;
    let mut pull = [0.0; N];
    *misfit = 0.0;
    for (row, (pull, precision)) in pull.iter_mut().zip(&belief.precision).enumerate() {
        for (column, precision) in precision.iter().enumerate() {
            *pull -= precision * (logs[column] - belief.mean[column]);
        }
        *misfit -= *pull * (logs[row] - belief.mean[row]);
    }
    for number in numbers {
        let ohms = number.seen.ohms(&values);
        if !(ohms > 0.0 && ohms.is_finite()) {
            return None;
        }
        let mut slopes = [0.0; N];
        number.seen.add_slopes(&values, 1.0 / ohms, &mut slopes);
        let weight = 1.0 / square(number.spread);
        let residual = number.log - ohms.ln();
        *misfit += square(residual) * weight;
        for row in 0..N {
            slopes[row] *= values[row];
        }
        for row in 0..N {
            pull[row] += slopes[row] * weight * residual;
            for column in 0..N {
                information[row][column] += slopes[row] * slopes[column] * weight;
            }
        }
    }
    Some((pull, !numbers.is_empty()))
}

impl<const N: usize> Fitted<N> {
    /// The logarithm of what is to be read where this is seen, and how far that is uncertain; nothing where it is open or
    /// short.
    pub fn predicts(&self, seen: &Seen, meter: &Meter) -> Option<(f64, f64)> {
        let values = self.logs.map(f64::exp);
        let ohms = seen.ohms(&values);
        if !(ohms > 0.0 && ohms.is_finite()) {
            return None;
        }
        let mut slopes = [0.0; N];
        seen.add_slopes(&values, 1.0 / ohms, &mut slopes);
        for (slope, value) in slopes.iter_mut().zip(values) {
            *slope *= value;
        }
        let mut variance = square(meter.claim(Ohms(ohms)).0 / ohms) / 3.0;
        for row in 0..N {
            for column in 0..N {
                variance += slopes[row] * self.covariance[row][column] * slopes[column];
            }
        }
        Some((ohms.ln(), variance.max(0.0).sqrt()))
    }
}

pub(crate) fn square(x: f64) -> f64 {
    x * x
}

/// The lower triangle whose square is a positive definite matrix.
fn cholesky<const N: usize>(matrix: &Square<N>) -> Square<N> {
    let mut lower = [[0.0; N]; N];
    for row in 0..N {
        for column in 0..=row {
            let done: f64 = (0..column).map(|k| lower[row][k] * lower[column][k]).sum();
            let left = matrix[row][column] - done;
            lower[row][column] = if row == column { left.max(1e-300).sqrt() } else { left / lower[column][column] };
        }
    }
    lower
}

fn log_determinant<const N: usize>(lower: &Square<N>) -> f64 {
    2.0 * (0..N).map(|at| lower[at][at].ln()).sum::<f64>()
}

fn solve<const N: usize>(lower: &Square<N>, right: &Values<N>) -> Values<N> {
    let mut forward = [0.0; N];
    for row in 0..N {
        let done: f64 = (0..row).map(|k| lower[row][k] * forward[k]).sum();
        forward[row] = (right[row] - done) / lower[row][row];
    }
    let mut solved = [0.0; N];
    for row in (0..N).rev() {
        let done: f64 = (row + 1..N).map(|k| lower[k][row] * solved[k]).sum();
        solved[row] = (forward[row] - done) / lower[row][row];
    }
    solved
}

fn inverse<const N: usize>(lower: &Square<N>) -> Square<N> {
    let mut inverse = [[0.0; N]; N];
    for column in 0..N {
        let mut unit = [0.0; N];
        unit[column] = 1.0;
        let solved = solve(lower, &unit);
        for (row, value) in solved.into_iter().enumerate() {
            inverse[row][column] = value;
        }
    }
    inverse
}
