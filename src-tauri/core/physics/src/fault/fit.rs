//! Resistances fitted to readings: what a reading asks of their logarithms, and what a fit foretells.

use nalgebra::{Cholesky, Const, SMatrix, SVector};

use crate::network::Seen;
use crate::record::claim::Meter;
use crate::record::quantity::Ohms;

/// A symmetric matrix over the values.
pub(crate) type Square<const N: usize> = SMatrix<f64, N, N>;
/// Its lower triangle.
pub(crate) type Factor<const N: usize> = Cholesky<f64, Const<N>>;

/// The logarithm of a matrix's determinant.
pub(crate) fn log_determinant<const N: usize>(factor: &Factor<N>) -> f64 {
    2.0 * factor.l_dirty().diagonal().iter().map(|part| part.ln()).sum::<f64>()
}

/// A reading that is a number and is explained by one.
pub(crate) struct Number<'a> {
    /// What the meter sees.
    pub seen: &'a Seen,
    /// The logarithm of what it showed.
    pub log: f64,
    /// How far that logarithm scatters.
    pub spread: f64,
}

impl Number<'_> {
    /// How far off these resistances are, in its own scatter; nothing where they come to no resistance.
    pub fn off(&self, values: &[f64]) -> Option<f64> {
        resistance(self.seen, values).map(|ohms| (self.log - ohms.ln()) / self.spread)
    }

    /// How its logarithm goes with those of the resistances; and how far off these are, in logarithms.
    pub fn slopes<const N: usize>(&self, values: &[f64; N]) -> Option<([f64; N], f64)> {
        let (ohms, slopes) = log_slopes(self.seen, values)?;
        Some((slopes, self.log - ohms.ln()))
    }
}

/// What is seen of these resistances; nothing where it is open or short.
fn resistance(seen: &Seen, values: &[f64]) -> Option<f64> {
    let ohms = seen.ohms(values);
    (ohms > 0.0 && ohms.is_finite()).then_some(ohms)
}

/// The same, and how its logarithm goes with each of theirs.
fn log_slopes<const N: usize>(seen: &Seen, values: &[f64; N]) -> Option<(f64, [f64; N])> {
    let ohms = resistance(seen, values)?;
    let mut slopes = [0.0; N];
    seen.add_slopes(values, 1.0 / ohms, &mut slopes);
    for (slope, value) in slopes.iter_mut().zip(values) {
        *slope *= value;
    }
    Some((ohms, slopes))
}

/// The best fit of the resistances, and how well the readings are explained.
#[derive(Debug, Clone)]
pub(crate) struct Fitted<const N: usize> {
    /// Logarithm of the probability density of the readings.
    pub log_evidence: f64,
    /// Logarithms of the resistances.
    pub logs: [f64; N],
    /// Their covariance.
    pub covariance: Square<N>,
}

impl<const N: usize> Fitted<N> {
    /// The logarithm of what is to be read where this is seen, and how far that is uncertain; nothing where it is open or
    /// short.
    pub fn predicts(&self, seen: &Seen, meter: &Meter) -> Option<(f64, f64)> {
        let (ohms, slopes) = log_slopes(seen, &self.logs.map(f64::exp))?;
        let slopes = SVector::<f64, N>::from(slopes);
        let claim = meter.claim(Ohms(ohms)).0 / ohms / 3_f64.sqrt();
        let variance = claim * claim + slopes.dot(&(self.covariance * slopes));
        Some((ohms.ln(), variance.max(0.0).sqrt()))
    }
}
