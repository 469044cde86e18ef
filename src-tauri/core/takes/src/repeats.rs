//! Takes of the same, several times: what differs between them is the player. A difference between two pickups counts when it is more
//! than that.

use serde::{Deserialize, Serialize};
use solderlast_record::quantity::Hertz;
use statrs::distribution::{ContinuousCDF as _, StudentsT};
use ts_rs::TS;

use crate::strings::balance;
use crate::told::Told;

/// So many takes of the same are wanted.
pub const WANTED: usize = 3;
/// How sure a difference is before it counts.
const SURE: f64 = 0.95;

/// A figure of a take that can be held against that of another.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "quantity")]
#[ts(export_to = "contract/take.ts")]
pub enum Quantity {
    /// Integrated loudness, in LUFS.
    Loudness,
    /// Hum, in decibels of full scale.
    Hum,
    /// The middle of the spectrum, in hertz.
    Middle,
    /// The level of a third octave against the whole take, in decibels.
    Third {
        /// What it is called, in hertz.
        name: Hertz,
    },
    /// The level of a string against the mean of all, in decibels.
    Balance {
        /// Which string, the thinnest being the first.
        string: u8,
    },
    /// The time a string takes to lose 20 dB, in seconds.
    Decay {
        /// Which string, the thinnest being the first.
        string: u8,
    },
}

/// The figures of one take.
fn figures(told: &Told) -> Vec<(Quantity, f64)> {
    let mut all = Vec::new();
    all.extend(told.loudness.integrated.map(|loudness| (Quantity::Loudness, loudness.get())));
    all.extend(told.hum.as_ref().map(|hum| (Quantity::Hum, hum.level.get())));
    all.extend(told.spectrum.middle.map(|middle| (Quantity::Middle, middle.get())));
    let levels = told.spectrum.thirds.iter().filter_map(|band| Some((band.name, band.level?.get())));
    let whole = 10.0 * levels.clone().map(|(_, level)| 10f64.powf(level / 10.0)).sum::<f64>().log10();
    all.extend(levels.map(|(name, level)| (Quantity::Third { name }, level - whole)));
    let strings = balance(&told.plucks);
    let mean = strings.iter().map(|(_, level)| level).sum::<f64>() / strings.len().max(1) as f64;
    for (string, level) in strings {
        all.push((Quantity::Balance { string }, level - mean));
        let of_string = told.plucks.iter().filter(|pluck| pluck.string == Some(string));
        let decays: Vec<f64> = of_string.filter_map(|pluck| Some(pluck.decay?.seconds)).collect();
        if !decays.is_empty() {
            all.push((Quantity::Decay { string }, decays.iter().sum::<f64>() / decays.len() as f64));
        }
    }
    all
}

/// A figure over several takes of the same.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Spread {
    /// Which figure.
    pub of: Quantity,
    /// Its mean.
    pub mean: f64,
    /// Its standard deviation from take to take; nothing for one take.
    pub deviation: Option<f64>,
    /// How many takes have it.
    pub takes: u32,
}

/// Each figure of takes of the same, as far as all of them have it.
///
/// ```
/// use solderlast_takes::repeats::spread;
/// assert!(spread(&[]).is_empty());
/// ```
#[must_use]
pub fn spread(takes: &[&Told]) -> Vec<Spread> {
    let each: Vec<_> = takes.iter().map(|told| figures(told)).collect();
    let Some((first, rest)) = each.split_first() else { return Vec::new() };
    let in_all = |of: Quantity, value: f64| {
        let others = rest.iter().map(|figures| figures.iter().find(|(one, _)| *one == of).map(|(_, value)| *value));
        std::iter::once(Some(value)).chain(others).collect::<Option<Vec<f64>>>()
    };
    first.iter().filter_map(|(of, value)| Some(Spread::of(*of, &in_all(*of, *value)?))).collect()
}

impl Spread {
    fn of(of: Quantity, values: &[f64]) -> Self {
        let count = values.len() as f64;
        let mean = values.iter().sum::<f64>() / count;
        let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
        let deviation = (values.len() > 1).then(|| (squares / (count - 1.0)).sqrt());
        Self { of, mean, deviation, takes: values.len() as u32 }
    }
}

/// What two groups of takes of the same differ by in one figure.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Difference {
    /// Which figure.
    pub of: Quantity,
    /// Its means in the two groups.
    pub means: [f64; 2],
    /// The least difference that would count, as the player differs from take to take; nothing with fewer than three takes in
    /// either.
    pub least: Option<f64>,
}

impl Difference {
    /// Whether they differ; nothing where too few takes tell.
    #[must_use]
    pub fn differs(&self) -> Option<bool> {
        Some((self.means[1] - self.means[0]).abs() > self.least?)
    }
}

/// What two groups of takes differ by: Welch's interval, 95 % sure for each figure by itself.
#[must_use]
pub fn differences(one: &[&Told], other: &[&Told]) -> Vec<Difference> {
    let others = spread(other);
    let pair = |one: Spread| Some((one, *others.iter().find(|other| other.of == one.of)?));
    spread(one).into_iter().filter_map(pair).map(|(one, other)| one.against(&other)).collect()
}

impl Spread {
    fn against(&self, other: &Self) -> Difference {
        let variance = |spread: &Self| {
            let enough = spread.takes as usize >= WANTED;
            spread.deviation.filter(|_| enough).map(|deviation| deviation.powi(2) / f64::from(spread.takes))
        };
        let least = variance(self).zip(variance(other)).map(|(one, two)| {
            let sum = one + two;
            if sum <= 0.0 {
                return 0.0;
            }
            // Welch and Satterthwaite.
            let part = |variance: f64, takes: u32| variance.powi(2) / f64::from(takes - 1);
            let freedom = sum.powi(2) / (part(one, self.takes) + part(two, other.takes));
            StudentsT::new(0.0, 1.0, freedom).map_or(f64::INFINITY, |t| t.inverse_cdf(0.5 + SURE / 2.0)) * sum.sqrt()
        });
        Difference { of: self.of, means: [self.mean, other.mean], least: least.filter(|least| least.is_finite()) }
    }
}
