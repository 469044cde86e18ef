//! Least squares by Levenberg's and Marquardt's damped step, with what the answer may be off by.
//!
//! The library for it stands on an older `nalgebra` than the solver does, and two of them are more than these lines are.

use nalgebra::{DMatrix, DVector};

/// The most steps.
const STEPS: usize = 60;
/// A step that lowers the sum by less than this share of it is the last.
const ENOUGH: f64 = 1e-9;
/// How far a parameter is moved to find its slope.
const MOVED: f64 = 1e-5;

/// Parameters at which squares are least, and how far off they may be.
pub(super) struct Least {
    pub at: DVector<f64>,
    /// The sum of squares there.
    pub sum: f64,
    /// Variances and covariances of the parameters, where each residual has a variance of one.
    pub covariance: DMatrix<f64>,
}

/// Looks for the least sum of squares from here on; nothing where a residual is no number, or nothing hangs on a parameter.
pub(super) fn least(start: DVector<f64>, residuals: &dyn Fn(&DVector<f64>) -> DVector<f64>) -> Option<Least> {
    let mut at = start;
    let mut here = residuals(&at);
    let mut sum = here.norm_squared();
    if !sum.is_finite() {
        return None;
    }
    let mut damping = 1e-3;
    for _ in 0..STEPS {
        let slopes = slopes(&at, &here, residuals);
        let (normal, gradient) = (slopes.tr_mul(&slopes), slopes.tr_mul(&here));
        let mut fell = None;
        while damping < 1e12 {
            let mut damped = normal.clone();
            for place in 0..damped.nrows() {
                damped[(place, place)] *= 1.0 + damping;
            }
            let Some(step) = damped.cholesky().map(|solved| solved.solve(&gradient)) else {
                damping *= 10.0;
                continue;
            };
            let there = &at - &step;
            let then = residuals(&there);
            let new = then.norm_squared();
            if new.is_finite() && new < sum {
                fell = Some((there, then, new));
                damping = (damping * 0.1).max(1e-12);
                break;
            }
            damping *= 10.0;
        }
        let Some((there, then, new)) = fell else { break };
        let last = sum - new <= ENOUGH * sum;
        (at, here, sum) = (there, then, new);
        if last {
            break;
        }
    }
    let slopes = slopes(&at, &here, residuals);
    let covariance = slopes.tr_mul(&slopes).cholesky()?.inverse();
    Some(Least { at, sum, covariance })
}

fn slopes(at: &DVector<f64>, here: &DVector<f64>, residuals: &dyn Fn(&DVector<f64>) -> DVector<f64>) -> DMatrix<f64> {
    let mut all = DMatrix::zeros(here.len(), at.len());
    for place in 0..at.len() {
        let mut moved = at.clone();
        moved[place] += MOVED;
        all.set_column(place, &((residuals(&moved) - here) / MOVED));
    }
    all
}
