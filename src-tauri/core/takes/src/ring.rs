//! How a coil rings after a tap of steel on its poles: how often it swings in a second, and how quickly that dies away.
//!
//! Steel that meets a pole stops, and the voltage in the coil with it. What the coil, the cable and the input had in them swings out
//! after that, over what the steel still does, which is slow beside it. The two are told apart by least squares: a swing that dies away
//! on a curve of second order, from where the steel has stopped. How long is looked at is what makes the swing known best.

use std::io::{Read, Seek};

use nalgebra::{DMatrix, DVector};
use solderlast_record::quantity::Hertz;

use crate::tap::{self, TAPS};

/// Swings in a second that coils make with a cable, and some more.
const SWINGS: std::ops::RangeInclusive<f64> = 900.0..=16_000.0;
/// How sharply the search lets it ring: π times the swings in the time in which it dies away.
const SHARP: [f64; 6] = [0.8, 1.3, 2.0, 3.2, 5.5, 10.0];
/// How many swings it begins with, from the lowest to the highest.
const STEPS: usize = 40;
/// What is looked at lasts so many times what it takes to die away.
const LONG: [f64; 4] = [1.5, 2.5, 4.0, 6.0];
/// In seconds: at the most.
const LONGEST: f64 = 0.006;
/// What steel takes to stop at the most, in seconds (of small hard things, from memory).
const STOPS: f64 = 0.000_15;
/// What is told is never nearer than this to what is, as a standard deviation and a share: of swings, of how it dies away.
const LEAST: [f64; 2] = [0.000_2, 0.001];
/// Three that lie further apart than this, as a share, are not of one coil as it was.
const APART: f64 = 0.08;
/// A swing that is known no better than this by one tap is too faint.
const FAINT: f64 = 0.05;

/// How a coil rang.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ringing {
    /// Swings in a second, as it dies away.
    pub swings: Hertz,
    /// The standard deviation of that, as a share of it.
    pub swings_spread: f64,
    /// What a second takes of the logarithm of its height.
    pub decay: f64,
    /// The standard deviation of that, as a share of it.
    pub decay_spread: f64,
}

/// Why nothing follows from a recording.
#[derive(Debug, Clone, PartialEq)]
pub enum Bad {
    /// There are no three taps in it that can be heard as such.
    NoTaps {
        /// Why.
        why: tap::Bad,
    },
    /// Nothing rings clearly behind them.
    Faint,
    /// They ring differently.
    Unlike {
        /// The least and the most swings in a second.
        between: [f64; 2],
    },
}

impl Bad {
    /// A stable name.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::NoTaps { why } => why.code(),
            Self::Faint => "ringing_faint",
            Self::Unlike { .. } => "ringing_unlike",
        }
    }

    /// What it is, and what to do.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::NoTaps { why } => why.sentence(tap::By::Steel),
            Self::Faint => {
                "Nothing rings clearly behind the taps. Use an input of 1 MΩ and a short cable, knock with a small \
                            hard piece of steel, and turn the gain up."
                    .to_owned()
            }
            Self::Unlike { between: [least, most] } => format!(
                "The taps ring at {least:.0} to {most:.0} Hz, and one coil rings at one pitch. Hold the clips still, touch nothing, and \
                 knock three times again."
            ),
        }
    }
}

impl From<tap::Bad> for Bad {
    fn from(why: tap::Bad) -> Self {
        Self::NoTaps { why }
    }
}

/// How a coil rings behind three taps.
///
/// # Errors
/// [`Bad`], with a sentence, where nothing can be made of the recording.
pub fn ringing<R: Read + Seek + Send + Sync + 'static>(source: R) -> Result<Ringing, Bad> {
    let heard = tap::heard(source)?;
    let each: Vec<Swing> = heard
        .taps
        .at
        .iter()
        .filter_map(|at| behind(&heard.samples, (at * heard.rate) as usize, heard.rate))
        .filter(|swing| swing.spread[0] < FAINT)
        .collect();
    if each.len() < TAPS {
        return Err(Bad::Faint);
    }
    let swings = each.iter().map(|swing| swing.logarithms[0].exp());
    let between = [swings.clone().fold(f64::INFINITY, f64::min), swings.fold(0.0, f64::max)];
    if between[1] > between[0] * (1.0 + APART) {
        return Err(Bad::Unlike { between });
    }
    let [(swings, swings_spread), (decay, decay_spread)] = [0, 1].map(|which| together(&each, which));
    Ok(Ringing { swings: Hertz(swings.exp()), swings_spread, decay: decay.exp(), decay_spread })
}

/// The logarithms of a swing, in a second and as it dies away, and how far each may be off as a standard deviation.
#[derive(Debug, Clone, Copy)]
struct Swing {
    logarithms: [f64; 2],
    spread: [f64; 2],
}

/// What all of them say together of one of both: the nearer one is known, the more it counts. Where they differ by more than they may,
/// all are less near.
fn together(each: &[Swing], which: usize) -> (f64, f64) {
    let weights: Vec<f64> = each.iter().map(|swing| 1.0 / swing.spread[which].hypot(LEAST[which]).powi(2)).collect();
    let sum: f64 = weights.iter().sum();
    let mean = each.iter().zip(&weights).map(|(swing, weight)| swing.logarithms[which] * weight).sum::<f64>() / sum;
    let off = each.iter().zip(&weights).map(|(swing, weight)| (swing.logarithms[which] - mean).powi(2) * weight);
    let wider = (off.sum::<f64>() / (each.len() - 1) as f64).max(1.0);
    (mean, (wider / sum).sqrt().max(LEAST[which]))
}

/// The swing behind one tap that begins at this sample.
fn behind(samples: &[f64], begins: usize, rate: f64) -> Option<Swing> {
    let near = |seconds: f64| (seconds * rate) as usize;
    // Where the steel meets the pole it is steepest, or a quarter of a swing after that.
    let around = begins.saturating_sub(near(0.002)).max(1)..(begins + near(0.04)).min(samples.len().checked_sub(2)?);
    let slope = |at: usize| (samples[at + 1] - samples[at - 1]).abs();
    let from = around.max_by(|one, other| slope(*one).total_cmp(&slope(*other)))?;
    // Until it has stopped, the coil is driven.
    let rest = samples.get(from + near(STOPS)..)?;
    let coarse = [0.001, 0.002].into_iter().filter_map(|seconds| searched(rest.get(..near(seconds))?, rate));
    let first = coarse.min_by(|one, other| one.spread[0].total_cmp(&other.spread[0]))?;
    let decay = first.logarithms[1].exp();
    let all = LONG.into_iter().filter_map(|times| {
        let long = near((times / decay).clamp(12.0 / rate, LONGEST));
        fitted(rest.get(..long)?, rate, first.logarithms)
    });
    all.min_by(|one, other| one.spread[0].total_cmp(&other.spread[0]))
}

/// The best of many beginnings.
fn searched(samples: &[f64], rate: f64) -> Option<Swing> {
    let (low, high) = (SWINGS.start().ln(), SWINGS.end().min(0.42 * rate).ln());
    let begins = (0..STEPS).map(|step| low + (high - low) * step as f64 / (STEPS - 1) as f64);
    let all = begins
        .flat_map(|swings| SHARP.into_iter().map(move |sharp| [swings, swings + (std::f64::consts::PI / sharp).ln()]));
    let best = all
        .filter_map(|logarithms| Some((left(samples, rate, logarithms)?.0, logarithms)))
        .min_by(|one, other| one.0.total_cmp(&other.0))?;
    fitted(samples, rate, best.1)
}

/// What is left of samples when the best swing of these logarithms and the best curve of second order are taken away: the sum of
/// its squares, and itself.
fn left(samples: &[f64], rate: f64, [swings, decay]: [f64; 2]) -> Option<(f64, DVector<f64>)> {
    let (turn, decay) = (std::f64::consts::TAU * swings.exp() / rate, decay.exp() / rate);
    let long = samples.len();
    let parts = DMatrix::from_fn(long, 5, |at, part| {
        let (time, along) = (at as f64, 2.0 * at as f64 / long as f64 - 1.0);
        match part {
            0 => 1.0,
            1 => along,
            2 => along * along,
            3 => (-decay * time).exp() * (turn * time).cos(),
            _ => (-decay * time).exp() * (turn * time).sin(),
        }
    });
    let heard = DVector::from_column_slice(samples);
    let weights = (parts.transpose() * &parts).cholesky()?.solve(&(parts.transpose() * &heard));
    let left = heard - parts * weights;
    Some((left.norm_squared(), left))
}

/// The swing that leaves least, from this one on; nothing where none is found or it is no swing that a coil makes.
fn fitted(samples: &[f64], rate: f64, begins: [f64; 2]) -> Option<Swing> {
    let long = samples.len();
    if long < 12 {
        return None;
    }
    let mut at = begins;
    let (mut sum, mut rest) = left(samples, rate, at)?;
    let mut damping = 1e-3;
    let slopes = |at: [f64; 2], rest: &DVector<f64>| -> Option<DMatrix<f64>> {
        let mut slopes = DMatrix::zeros(long, 2);
        for which in 0..2 {
            let mut moved = at;
            moved[which] += 1e-5;
            slopes.set_column(which, &((left(samples, rate, moved)?.1 - rest) / 1e-5));
        }
        Some(slopes)
    };
    for _ in 0..40 {
        let slopes = slopes(at, &rest)?;
        let mut square = slopes.transpose() * &slopes;
        let down = slopes.transpose() * &rest;
        for which in 0..2 {
            square[(which, which)] *= 1.0 + damping;
        }
        let step = square.try_inverse()? * down;
        let moved = [at[0] - step[0].clamp(-0.3, 0.3), at[1] - step[1].clamp(-0.5, 0.5)];
        match left(samples, rate, moved) {
            Some((less, moved_rest)) if less < sum => {
                let done = sum - less < 1e-12 * sum;
                (at, sum, rest, damping) = (moved, less, moved_rest, damping * 0.3);
                if done {
                    break;
                }
            }
            _ if damping > 1e6 => break,
            _ => damping *= 5.0,
        }
    }
    let within = SWINGS.contains(&at[0].exp()) && at[0].exp() < 0.45 * rate && at[1].exp() > 1.0;
    let slopes = slopes(at, &rest)?;
    let square = (slopes.transpose() * &slopes).try_inverse()?;
    // What is left is no noise where each sample is like the one before: then fewer of them count.
    let like = rest.as_slice().windows(2).map(|pair| pair[0] * pair[1]).sum::<f64>() / sum.max(f64::MIN_POSITIVE);
    let like = like.clamp(0.0, 0.95);
    let noise = sum / (long - 7) as f64 * (1.0 + like) / (1.0 - like);
    let spread = [0, 1].map(|which| (square[(which, which)] * noise).max(0.0).sqrt());
    (within && spread.iter().all(|spread| spread.is_finite())).then_some(Swing { logarithms: at, spread })
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;
    use std::io::Cursor;

    use solderlast_samples::Chance;
    use solderlast_samples::sound::{Samples, Sound};

    use super::*;

    const RATE: u32 = 48_000;

    /// A tap: a swing that grows until the steel meets the pole; then it rings.
    fn tapped(swings: [f64; 3], decay: f64, noise: f64, seed: u64) -> Sound {
        let mut sound = Sound::silence(RATE, 1, 4.5).noise(noise, &mut Chance(seed)).sine(50.0, 0.02);
        for (meets, swings) in [1.0, 2.1, 3.3].into_iter().zip(swings) {
            for (place, sample) in sound.channels[0].iter_mut().enumerate() {
                let seconds = place as f64 / f64::from(RATE) - meets;
                *sample += 0.3
                    * if seconds < 0.0 {
                        (seconds / 0.003).exp()
                    } else {
                        1.3 * (-decay * seconds).exp() * (TAU * swings * seconds).cos() - 0.3 * (-seconds / 0.006).exp()
                    };
            }
        }
        sound
    }

    fn told(sound: &Sound) -> Result<Ringing, Bad> {
        ringing(Cursor::new(sound.wav(Samples::Whole(24))))
    }

    #[test]
    fn what_rings_behind_taps_is_told_with_its_spread() {
        for (swings, sharp) in [(1800.0, 2.0), (3100.0, 1.2), (4200.0, 3.0), (7300.0, 6.0)] {
            let decay = std::f64::consts::PI * swings / sharp;
            let found = told(&tapped([swings; 3], decay, 1e-8, 4));
            let found = found.unwrap_or_else(|bad| panic!("{swings} {sharp}: {bad:?}"));
            assert!(
                (found.swings.0 / swings - 1.0).abs() < 3.0 * found.swings_spread.max(0.000_3),
                "{swings} {sharp}: {found:?}"
            );
            assert!(
                (found.decay / decay - 1.0).abs() < 3.0 * found.decay_spread.max(0.01),
                "{swings} {sharp}: {found:?}"
            );
            assert!(found.swings_spread < 0.01, "{swings} {sharp}: {found:?}");
        }
    }

    #[test]
    fn what_rings_differently_or_not_at_all_is_named() {
        let unlike = told(&tapped([4000.0, 4000.0, 5000.0], 4000.0, 1e-8, 5)).unwrap_err();
        assert_eq!(unlike.code(), "ringing_unlike");
        assert!(unlike.sentence().contains(" Hz, and one coil rings at one pitch"), "{}", unlike.sentence());
        assert_eq!(told(&tapped([4000.0; 3], 60_000.0, 1e-6, 6)).unwrap_err().code(), "ringing_faint");
        let tone = Sound::silence(RATE, 1, 2.0).sine(220.0, 0.2);
        assert_eq!(told(&tone).unwrap_err().code(), "taps_count");
    }
}
