//! How well a cause explains readings: the probability density of the readings, all unknown resistances averaged over.
//!
//! Resistances are logarithms with a normal prior; readings scatter by the meter's claim. Around the best fit the readings
//! are taken to be linear in the logarithms (Laplace's method), so that the average has a closed form.

use std::f64::consts::{LN_10, TAU};

use super::act::Adjusted;
use crate::meter::circuit::{BODY, LOAD, VALUES};
use crate::meter::expect::Beforehand;
use crate::meter::{COPPER_PER_DEGREE, Meter, ROOM_WITHIN, SHORT_BELOW, copper};
use crate::network::Seen;
use crate::quantity::{Celsius, Ohms, Reading};

/// Values and their square matrices.
pub(super) type Values = [f64; VALUES];
pub(super) type Square = [[f64; VALUES]; VALUES];

/// Coils of which nothing is known: around 7 kΩ, within a factor of three, those of one pickup more alike (from memory).
const UNKNOWN_COIL: f64 = 7000.0;
const UNKNOWN_SPREAD: f64 = 0.55;
const UNKNOWN_BESIDE_EACH_OTHER: f64 = 0.25;
/// A coil of which nothing is known beside one that is stated.
const UNKNOWN_BESIDE_STATED: f64 = 0.35;
/// A body is 100 kΩ to 1 MΩ (from memory).
const BODY_LIKELY: f64 = 316_000.0;
const BODY_SPREAD: f64 = 0.66;
/// A volume pot or an amplifier's input is 250 kΩ to 1 MΩ (common practice).
const LOAD_LIKELY: f64 = 450_000.0;
const LOAD_SPREAD: f64 = 0.5;

/// What is believed of all resistances before a reading.
#[derive(Debug, Clone)]
pub(super) struct Belief {
    mean: Values,
    precision: Square,
    log_determinant: f64,
}

impl Belief {
    /// From what is known of each coil beforehand; `as_stated` is false when that is held to be wrong.
    pub fn new(coils: &[Option<Beforehand>], room: Option<Celsius>, as_stated: bool) -> Self {
        let mut mean = [UNKNOWN_COIL.ln(); VALUES];
        let mut spread = [[0.0; VALUES]; VALUES];
        let known = |at: usize| coils.get(at).copied().flatten().filter(|_| as_stated);
        let stated: Vec<f64> = coils.iter().flatten().map(|coil| coil.ohms.ln()).collect();
        let average = stated.iter().sum::<f64>() / stated.len().max(1) as f64;
        let common = if room.is_none() { square(COPPER_PER_DEGREE * ROOM_WITHIN) / 3.0 } else { 0.0 };
        let alone = !as_stated || stated.is_empty();
        for at in 0..usize::from(BODY) {
            if let Some(coil) = known(at) {
                mean[at] = (coil.ohms * room.map_or(1.0, copper)).ln();
                spread[at][at] = square(coil.within.max(0.002)) / 3.0;
            } else if alone {
                spread[at][at] = square(UNKNOWN_BESIDE_EACH_OTHER);
            } else {
                mean[at] = average;
                spread[at][at] = square(UNKNOWN_BESIDE_STATED);
            }
        }
        let common = if alone { square(UNKNOWN_SPREAD) } else { common };
        for row in spread.iter_mut().take(usize::from(BODY)) {
            for cell in row.iter_mut().take(usize::from(BODY)) {
                *cell += common;
            }
        }
        let (body, load) = (usize::from(BODY), usize::from(LOAD));
        mean[body] = BODY_LIKELY.ln();
        spread[body][body] = square(BODY_SPREAD);
        mean[load] = LOAD_LIKELY.ln();
        spread[load][load] = square(LOAD_SPREAD);
        let factor = cholesky(&spread);
        Self { mean, precision: inverse(&factor), log_determinant: log_determinant(&factor) }
    }
}

/// What one reading must be explained by.
#[derive(Debug, Clone, Copy)]
pub(super) struct Row<'a> {
    pub seen: &'a Seen,
    pub adjusted: Adjusted,
    pub reading: Reading,
}

/// The best fit of the resistances, and how well the readings are explained.
#[derive(Debug, Clone)]
pub(super) struct Fitted {
    /// Logarithm of the probability density of the readings.
    pub log_evidence: f64,
    /// Logarithms of the resistances.
    pub logs: Values,
    /// Their covariance.
    pub covariance: Square,
}

/// A reading that is a number and is explained by one.
struct Number<'a> {
    seen: &'a Seen,
    log: f64,
    spread: f64,
}

/// Fits the resistances; nothing when the readings can't be explained at all.
pub(super) fn fit(rows: &[Row], belief: &Belief, meter: &Meter) -> Option<Fitted> {
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
                let spread = meter.claim(Ohms(really)).0 / really / 3_f64.sqrt();
                let log = ohms.ln() - f64::from(row.adjusted.power) * LN_10;
                numbers.push(Number { seen: row.seen, log, spread: spread.max(1e-4) });
            }
        }
    }
    let mut logs = belief.mean;
    // Two equal coils are a saddle where series and parallel are known: start to one side of it.
    for (at, log) in logs.iter_mut().enumerate().take(usize::from(BODY)) {
        *log += 0.05 - 0.05 * at as f64;
    }
    let mut information = belief.precision;
    let mut misfit = 0.0;
    for _ in 0..12 {
        let (pull, found) = normal_equations(&numbers, belief, &logs, &mut information, &mut misfit)?;
        let step = solve(&cholesky(&information), &pull);
        let mut longest = 0.0_f64;
        for (log, step) in logs.iter_mut().zip(step) {
            let step = step.clamp(-1.5, 1.5);
            *log += step;
            longest = longest.max(step.abs());
        }
        if longest < 1e-5 || !found {
            break;
        }
    }
    normal_equations(&numbers, belief, &logs, &mut information, &mut misfit)?;
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
fn normal_equations(
    numbers: &[Number],
    belief: &Belief,
    logs: &Values,
    information: &mut Square,
    misfit: &mut f64,
) -> Option<(Values, bool)> {
    let values = logs.map(f64::exp);
    *information = belief.precision;
    let mut pull = [0.0; VALUES];
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
        let mut slopes = [0.0; VALUES];
        number.seen.add_slopes(&values, 1.0 / ohms, &mut slopes);
        let weight = 1.0 / square(number.spread);
        let residual = number.log - ohms.ln();
        *misfit += square(residual) * weight;
        for row in 0..VALUES {
            slopes[row] *= values[row];
        }
        for row in 0..VALUES {
            pull[row] += slopes[row] * weight * residual;
            for column in 0..VALUES {
                information[row][column] += slopes[row] * slopes[column] * weight;
            }
        }
    }
    Some((pull, !numbers.is_empty()))
}

impl Fitted {
    /// The logarithm of what is to be read where this is seen, and how far that is uncertain; nothing where it is open or
    /// short.
    pub fn predicts(&self, seen: &Seen, meter: &Meter) -> Option<(f64, f64)> {
        let values = self.logs.map(f64::exp);
        let ohms = seen.ohms(&values);
        if !(ohms > 0.0 && ohms.is_finite()) {
            return None;
        }
        let mut slopes = [0.0; VALUES];
        seen.add_slopes(&values, 1.0 / ohms, &mut slopes);
        for (slope, value) in slopes.iter_mut().zip(values) {
            *slope *= value;
        }
        let mut variance = square(meter.claim(Ohms(ohms)).0 / ohms) / 3.0;
        for row in 0..VALUES {
            for column in 0..VALUES {
                variance += slopes[row] * self.covariance[row][column] * slopes[column];
            }
        }
        Some((ohms.ln(), variance.max(0.0).sqrt()))
    }
}

fn square(x: f64) -> f64 {
    x * x
}

/// The lower triangle whose square is a positive definite matrix.
fn cholesky(matrix: &Square) -> Square {
    let mut lower = [[0.0; VALUES]; VALUES];
    for row in 0..VALUES {
        for column in 0..=row {
            let done: f64 = (0..column).map(|k| lower[row][k] * lower[column][k]).sum();
            let left = matrix[row][column] - done;
            lower[row][column] = if row == column { left.max(1e-300).sqrt() } else { left / lower[column][column] };
        }
    }
    lower
}

fn log_determinant(lower: &Square) -> f64 {
    2.0 * (0..VALUES).map(|at| lower[at][at].ln()).sum::<f64>()
}

fn solve(lower: &Square, right: &Values) -> Values {
    let mut forward = [0.0; VALUES];
    for row in 0..VALUES {
        let done: f64 = (0..row).map(|k| lower[row][k] * forward[k]).sum();
        forward[row] = (right[row] - done) / lower[row][row];
    }
    let mut solved = [0.0; VALUES];
    for row in (0..VALUES).rev() {
        let done: f64 = (row + 1..VALUES).map(|k| lower[k][row] * solved[k]).sum();
        solved[row] = (forward[row] - done) / lower[row][row];
    }
    solved
}

fn inverse(lower: &Square) -> Square {
    let mut inverse = [[0.0; VALUES]; VALUES];
    for column in 0..VALUES {
        let mut unit = [0.0; VALUES];
        unit[column] = 1.0;
        let solved = solve(lower, &unit);
        for (row, value) in solved.into_iter().enumerate() {
            inverse[row][column] = value;
        }
    }
    inverse
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(seen: &[Seen], shown: &[f64]) -> Vec<(Seen, f64)> {
        seen.iter().cloned().zip(shown.iter().copied()).collect()
    }

    fn evidence(rows: &[(Seen, f64)], belief: &Belief) -> Option<Fitted> {
        let rows: Vec<Row> = rows
            .iter()
            .map(|(seen, ohms)| Row { seen, adjusted: Adjusted::default(), reading: Reading::Ohms(Ohms(*ohms)) })
            .collect();
        fit(&rows, belief, &Meter::plain())
    }

    fn stated(ohms: f64) -> Option<Beforehand> {
        Some(Beforehand { ohms, within: 0.1, measured: false })
    }

    /// One coil and one reading: the density of a normal, whose variance is that of coil, room and meter together.
    #[test]
    fn one_reading_by_hand() {
        let belief = Belief::new(&[stated(6660.0)], None, true);
        let meter = 96.6_f64 / 6660.0;
        let variance = 0.01 / 3.0 + square(0.0393) / 3.0 + square(meter) / 3.0;
        for ohms in [6660.0_f64, 7000.0, 6000.0] {
            let spread = variance - square(meter) / 3.0 + square(Meter::plain().claim(Ohms(ohms)).0 / ohms) / 3.0;
            let by_hand = -0.5 * square(ohms.ln() - 6660_f64.ln()) / spread - 0.5 * (TAU * spread).ln();
            let found = evidence(&rows(&[Seen::One(0)], &[ohms]), &belief).map(|fitted| fitted.log_evidence);
            assert!(found.is_some_and(|found| (found - by_hand).abs() < 1e-6), "{ohms}: {found:?} {by_hand}");
        }
    }

    /// Two coils of which nothing is known, in series and in parallel: found though they are unequal.
    #[test]
    fn unequal_coils_are_found_from_series_and_parallel() {
        let belief = Belief::new(&[None, None], None, true);
        let both = vec![Seen::One(0), Seen::One(1)];
        let found = evidence(&rows(&[Seen::Series(both.clone()), Seen::Parallel(both)], &[12_500.0, 3000.0]), &belief);
        let mut coils = found.map_or_else(Vec::new, |fitted| fitted.logs.iter().take(2).map(|log| log.exp()).collect());
        coils.sort_by(f64::total_cmp);
        assert!((coils[0] - 5000.0).abs() < 60.0 && (coils[1] - 7500.0).abs() < 60.0, "{coils:?}");
    }

    #[test]
    fn what_can_not_be_is_not_explained() {
        let belief = Belief::new(&[None], None, true);
        for (seen, ohms) in [
            (Seen::Open, 5000.0),
            (Seen::Short, 5000.0),
            (Seen::One(0), 0.0),
            (Seen::One(0), f64::NAN),
            (Seen::One(0), -1.0),
            (Seen::Short, -1.0),
        ] {
            assert!(evidence(&rows(std::slice::from_ref(&seen), &[ohms]), &belief).is_none(), "{seen:?} {ohms}");
        }
        assert!(evidence(&rows(&[Seen::Short], &[0.3]), &belief).is_some());
    }
}
