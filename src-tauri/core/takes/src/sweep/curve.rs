//! Three answers to a sweep as one curve, and whether they are alike.

use solderlast_record::measured::SweptPoint;
use solderlast_record::quantity::{Decibels, Hertz};

use super::answer::{AFTER, BEFORE, spectrum};
use super::{FROM, HIGH, growth};
use crate::sweep::bad::Bad;

/// The lowest and the highest point, in hertz, and how many there are in an octave.
const LOWEST: f64 = 100.0;
const HIGHEST: f64 = 18_000.0;
const IN_AN_OCTAVE: f64 = 16.0;
/// A point is made of what lies within this share of its frequency.
const WIDE: f64 = 0.021;
/// So many points to either side tell how far an answer spreads.
const AROUND: usize = 4;
/// The least that a point spreads, in decibels: rounding.
const LEAST: f64 = 1e-3;
/// A quiet sweep that comes back this much too loud, in decibels, was turned up.
const TURNED_UP: f64 = 0.25;
/// A last sweep that comes back this much otherwise, in decibels, came another way.
const CHANGED: f64 = 0.2;
/// Points that differ by more than this, in decibels, and so many times more than most, are another sound.
const OTHER: f64 = 1.0;
const TIMES: f64 = 8.0;
/// So many of them beside each other, or one that differs so many times more still.
const BESIDE: usize = 3;
const FAR: f64 = 3.0;
/// A quiet answer that is this much too loud over so many points, in decibels, was not held down as the loud ones were.
const HELD_DOWN: f64 = 0.5;
const SMOOTH: usize = 4;
/// Answers that differ by more than this in the middle, in decibels, are covered.
const COVERED: f64 = 1.0;

/// The frequencies of all points, in hertz, for a recording with so many samples a second.
pub(super) fn frequencies(rate: f64) -> Vec<f64> {
    let top = HIGHEST.min(0.42 * rate);
    let count = (IN_AN_OCTAVE * (top / LOWEST).log2()).floor() as usize;
    (0..=count).map(|at| LOWEST * 2_f64.powf(at as f64 / IN_AN_OCTAVE)).collect()
}

/// The level of the answer that begins here at each point, in decibels.
pub(super) fn levels(answers: &[f64], begins: usize, rate: f64) -> Vec<f64> {
    let (before, after) = ((BEFORE * rate) as usize, (AFTER * rate) as usize);
    let falls = (0.05 * rate) as usize;
    let from = begins.saturating_sub(before);
    let mut part: Vec<f64> = answers.iter().skip(from).take(before + after).copied().collect();
    let count = part.len();
    for (at, sample) in part.iter_mut().enumerate() {
        let edge = (at as f64 / (0.4 * before as f64)).min((count - at) as f64 / falls as f64).min(1.0);
        *sample *= 0.5 * (1.0 - (std::f64::consts::PI * edge).cos());
    }
    let length = (2 * count).next_power_of_two().max(2);
    let lines = spectrum(&part, length);
    let step = rate / length as f64;
    let level = |at: usize| 20.0 * lines.get(at).map_or(0.0, |line| line.norm()).max(1e-30).log10();
    frequencies(rate).into_iter().map(|hertz| smooth(hertz, step, &level)).collect()
}

/// The level at a frequency by the parabola that fits best what lies around it.
fn smooth(hertz: f64, step: f64, level: &dyn Fn(usize) -> f64) -> f64 {
    let wide = (WIDE * hertz).max(2.2 * step);
    let (from, to) = (((hertz - wide) / step).ceil() as usize, ((hertz + wide) / step).floor() as usize);
    // Sums of powers of the distance, and of the level with them.
    let (mut powers, mut sums) = ([0.0; 5], [0.0; 3]);
    for at in from..=to {
        let (x, y) = ((at as f64 * step - hertz) / wide, level(at));
        for (power, sum) in powers.iter_mut().enumerate() {
            *sum += x.powi(power as i32);
        }
        for (power, sum) in sums.iter_mut().enumerate() {
            *sum += y * x.powi(power as i32);
        }
    }
    let matrix = nalgebra::Matrix3::from_fn(|row, column| powers[row + column]);
    let solved = matrix.lu().solve(&nalgebra::Vector3::from(sums));
    solved.map_or_else(|| level((hertz / step).round() as usize), |fitted| fitted[0])
}

/// Levels of the three answers.
pub(super) struct Curves {
    /// As high as if each had been sent at full height.
    each: Vec<Vec<f64>>,
}

impl Curves {
    pub fn new(mut each: Vec<Vec<f64>>) -> Self {
        for (curve, high) in each.iter_mut().zip(HIGH) {
            // What is sent has half of full scale.
            let lift = 20.0 * (high * super::FULL).log10();
            curve.iter_mut().for_each(|level| *level -= lift);
        }
        Self { each }
    }

    /// The curve, if the three are alike.
    pub fn points(&self, rate: f64, begins: &[usize; 3]) -> Result<Vec<SweptPoint>, Bad> {
        let [first, quiet, last] = self.each.as_slice() else { return Err(Bad::CutOff) };
        let frequencies = frequencies(rate);
        let count = frequencies.len();
        let weights = HIGH.map(|high| high * high);
        let all: f64 = weights.iter().sum();
        let mean: Vec<f64> = (0..count)
            .map(|at| self.each.iter().zip(weights).map(|(curve, weight)| curve[at] * weight).sum::<f64>() / all)
            .collect();
        // Each has the variance of one sweep at full height.
        let variance: Vec<f64> = (0..count)
            .map(|at| {
                let squares =
                    self.each.iter().zip(weights).map(|(curve, weight)| weight * (curve[at] - mean[at]).powi(2));
                squares.sum::<f64>() / 2.0
            })
            .collect();
        let louder = middle((0..count).map(|at| quiet[at] - 0.5 * (first[at] + last[at])));
        let changed = middle((0..count).map(|at| last[at] - first[at]));
        // What is left when each is as high as the others.
        let differ = middle((0..count).map(|at| {
            let apart = [last[at] - first[at] - changed, quiet[at] - 0.5 * (first[at] + last[at]) - louder];
            (apart[0].powi(2) / 2.0 + apart[1].powi(2) / 4.5).sqrt() / std::f64::consts::SQRT_2
        }));
        // The middle of many is surer than each.
        let sure = 6.0 * differ / (count as f64).sqrt();
        if louder > TURNED_UP + sure + 0.6 * changed.abs() && differ < 3.0 * COVERED {
            return Err(Bad::AutomaticGain { by: Decibels(louder) });
        }
        if differ > COVERED {
            return Err(Bad::Noise { differ: Decibels(differ) });
        }
        if changed.abs() > CHANGED + sure {
            return Err(Bad::Changed { by: Decibels(changed) });
        }
        if louder < -TURNED_UP - sure {
            return Err(Bad::Changed { by: Decibels(louder) });
        }
        if let Some(by) = self.compressed() {
            return Err(Bad::AutomaticGain { by: Decibels(by) });
        }
        if let Some(at) = self.other_sound(&frequencies, differ) {
            let (number, hertz) = at;
            let seconds = begins[number] as f64 / rate + growth() * (hertz / FROM).ln();
            return Err(Bad::OtherSound { at: seconds });
        }
        let points = (0..count).map(|at| {
            let around = &variance[at.saturating_sub(AROUND)..(at + AROUND + 1).min(count)];
            let pooled = around.iter().sum::<f64>() / around.len() as f64;
            let spread = (pooled / all).sqrt().max(LEAST);
            let tidy = |value: f64| (value * 1e4).round() / 1e4;
            SweptPoint(Hertz(tidy(frequencies[at])), Decibels(tidy(mean[at])), Decibels(tidy(spread)))
        });
        Ok(points.collect())
    }

    /// By how much the quiet answer is too loud where it is highest for some way, smoothly, while the other two are alike: there
    /// something holds down what is loud.
    fn compressed(&self) -> Option<f64> {
        let [first, quiet, last] = self.each.as_slice() else { return None };
        let louder: Vec<f64> = (0..first.len()).map(|at| quiet[at] - 0.5 * (first[at] + last[at])).collect();
        let apart: Vec<f64> = (0..first.len()).map(|at| (first[at] - last[at]).abs()).collect();
        let some = louder.windows(SMOOTH).zip(apart.windows(SMOOTH)).filter_map(|(louder, apart)| {
            let least = louder.iter().copied().fold(f64::INFINITY, f64::min);
            let step = louder.windows(2).map(|pair| (pair[1] - pair[0]).abs()).fold(0.0, f64::max);
            let differ = apart.iter().copied().fold(0.0, f64::max);
            (least > HELD_DOWN && step < 0.5 * least + 0.1 && differ < 0.3 * least).then_some(least)
        });
        some.reduce(f64::max)
    }

    /// In which answer and where something else sounds: there alone it is far from the other two.
    fn other_sound(&self, frequencies: &[f64], differ: f64) -> Option<(usize, f64)> {
        let least = OTHER.max(TIMES * differ);
        (0..3).find_map(|number| {
            let [one, other] = [(number + 1) % 3, (number + 2) % 3];
            // What the quiet one differs by is twice as much by chance.
            let least = if number == 1 { 2.0 * least } else { least };
            let off: Vec<f64> = (0..frequencies.len())
                .map(|at| {
                    let (one, other) = (self.each[one][at], self.each[other][at]);
                    let apart = (one - other).abs();
                    (self.each[number][at] - 0.5 * (one + other)).abs() - apart
                })
                .collect();
            let many = off.windows(BESIDE).position(|some| some.iter().all(|off| *off > least));
            let far = off.iter().position(|off| *off > FAR * least);
            Some((number, frequencies[many.map(|first| first + BESIDE / 2).or(far)?]))
        })
    }
}

fn middle(of: impl Iterator<Item = f64>) -> f64 {
    let mut all: Vec<f64> = of.collect();
    all.sort_by(f64::total_cmp);
    all.get(all.len() / 2).copied().unwrap_or(0.0)
}

/// Whether the answer's first swing goes down: of the earliest of the highest swings.
pub(super) fn turned(answers: &[f64], begins: &[usize; 3], rate: f64) -> bool {
    let (before, after) = ((0.002 * rate) as usize, (0.004 * rate) as usize);
    let each = |at: usize| -> f64 {
        begins
            .iter()
            .zip(HIGH)
            .map(|(first, high)| answers.get((first + at).saturating_sub(before)).copied().unwrap_or(0.0) * high)
            .sum()
    };
    let mean: Vec<f64> = (0..before + after).map(each).collect();
    let most = mean.iter().fold(0.0_f64, |most, sample| most.max(sample.abs()));
    // The first swing is a half of the highest at the least.
    let Some(first) = mean.iter().position(|sample| sample.abs() > 0.5 * most) else { return false };
    mean[first] < 0.0
}
