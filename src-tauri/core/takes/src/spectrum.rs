//! The spectrum of a take over its whole length, in third octaves and finer, and its middle.
//!
//! Windows of about 1.4 s overlap by half. Each is the root of a Hann window, so that the squares of two that overlap add up to one
//! everywhere and no moment counts more than another. Two channels go through one transform, and their powers add.

use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{RealFftPlanner, RealToComplex};
use serde::{Deserialize, Serialize};
use solderlast_record::quantity::{Decibels, Hertz};
use ts_rs::TS;

use crate::decibels::{of_power, told};

/// The least length of a window, in seconds.
const WINDOW: f64 = 1.3;
/// The step of the octave, base 10 (IEC 61260-1).
const OCTAVE: f64 = 1.995_262_314_968_88;
/// Third octaves by number from 1 kHz: 25 Hz to 20 kHz.
const THIRDS: std::ops::RangeInclusive<i32> = -16..=13;
/// Names of the third octaves, in hertz (IEC 61260-1, ISO 266).
const NOMINAL: [f64; 30] = [
    25.0, 31.5, 40.0, 50.0, 63.0, 80.0, 100.0, 125.0, 160.0, 200.0, 250.0, 315.0, 400.0, 500.0, 630.0, 800.0, 1000.0,
    1250.0, 1600.0, 2000.0, 2500.0, 3150.0, 4000.0, 5000.0, 6300.0, 8000.0, 10_000.0, 12_500.0, 16_000.0, 20_000.0,
];
/// Twelfths of an octave by number from 1 kHz, for a drawn spectrum: 20 Hz to 20 kHz.
const TWELFTHS: std::ops::RangeInclusive<i32> = -68..=51;
/// What the middle of the spectrum is taken of, in hertz.
const HEARD: [f64; 2] = [20.0, 20_000.0];
/// Hum is looked for below this, in hertz.
pub(crate) const LOW: f64 = 1250.0;
/// The most quiet windows that are kept.
const QUIET: usize = 12;

/// The level of one band.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts", rename = "ThirdOctave")]
pub struct Band {
    /// Its exact middle, in hertz.
    pub middle: Hertz,
    /// What it is called, in hertz.
    pub name: Hertz,
    /// Its level, in decibels of full scale.
    pub level: Option<Decibels>,
}

/// A point of the spectrum.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Point {
    /// Where it is, in hertz.
    pub at: Hertz,
    /// The level of a twelfth of an octave there, in decibels of full scale.
    pub level: Option<Decibels>,
}

/// What a take sounds like over its whole length.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Spectrum {
    /// Third octaves from 25 Hz to 20 kHz, as far as the recording reaches (IEC 61260-1).
    pub thirds: Vec<Band>,
    /// Twelfths of an octave, to be drawn.
    pub points: Vec<Point>,
    /// The middle of the power between 20 Hz and 20 kHz (centroid): higher is brighter.
    pub middle: Option<Hertz>,
}

/// Quiet windows of a take, as powers by frequency: what sounds when nobody plays.
pub(crate) struct Quiet {
    /// From one frequency to the next, in hertz.
    pub(crate) step: f64,
    /// The power of each frequency in each of the quietest windows; none for a take that is shorter than a window.
    pub(crate) windows: Vec<Vec<f64>>,
    /// How far each frequency of those windows sounds in their first half rather than in their second, as a power: nothing where
    /// it stays as it is.
    pub(crate) falls: Vec<Vec<f64>>,
    /// The least power of each frequency in any window of the take.
    pub(crate) least: Vec<f64>,
    /// How far they lie below the loudest window, in decibels.
    pub(crate) below_loudest: f64,
}

/// What may be hum in one window: the power of each frequency, and how far it falls.
struct Low {
    power: f64,
    powers: Vec<f32>,
    falls: Vec<f32>,
}

/// Listens for the spectrum.
pub(crate) struct Spectra {
    transform: Arc<dyn RealToComplex<f32>>,
    rate: f64,
    channels: usize,
    length: usize,
    window: Vec<f32>,
    /// Each channel from the window's beginning on.
    heard: Vec<Vec<f32>>,
    input: Vec<f32>,
    output: Vec<Complex<f32>>,
    scratch: Vec<Complex<f32>>,
    powers: Vec<f64>,
    frames: u64,
    /// The quietest windows, each by the power of what may be hum.
    quiet: Vec<Low>,
    least: Vec<f32>,
    loudest: f64,
    low: usize,
    windows: usize,
}

impl Spectra {
    pub(crate) fn new(channels: u8, rate: u32) -> Self {
        let rate = f64::from(rate);
        let length = ((rate * WINDOW) as usize).next_power_of_two();
        let transform = RealFftPlanner::new().plan_fft_forward(length);
        let window =
            (0..length).map(|at| (std::f64::consts::PI * (at as f64 + 0.5) / length as f64).sin() as f32).collect();
        let channels = usize::from(channels);
        Self {
            rate,
            channels,
            length,
            window,
            // Half a window of silence before the beginning, so that it counts like the rest.
            heard: vec![vec![0.0; length / 2]; channels],
            input: vec![0.0; length],
            output: transform.make_output_vec(),
            scratch: transform.make_scratch_vec(),
            powers: vec![0.0; length / 2 + 1],
            frames: 0,
            quiet: Vec::new(),
            least: Vec::new(),
            loudest: 0.0,
            low: (LOW / rate * length as f64) as usize,
            windows: 0,
            transform,
        }
    }

    pub(crate) fn hear(&mut self, mut samples: &[f32]) {
        self.frames += (samples.len() / self.channels) as u64;
        while !samples.is_empty() {
            let there = self.heard[0].len();
            let frames = (samples.len() / self.channels).min(self.length - there);
            let (now, later) = samples.split_at(frames * self.channels);
            for (number, channel) in self.heard.iter_mut().enumerate() {
                channel.extend(now.iter().skip(number).step_by(self.channels));
            }
            if there + frames == self.length {
                self.end_window(false);
            }
            samples = later;
        }
    }

    fn end_window(&mut self, padded: bool) {
        let (mut low, mut falls) = (vec![0f32; self.low], vec![0f32; self.low]);
        for channel in &mut self.heard {
            for ((input, sample), weight) in self.input.iter_mut().zip(channel.iter()).zip(&self.window) {
                *input = sample * weight;
            }
            channel.drain(..self.length / 2);
            // Lengths are those of the plan.
            let done = self.transform.process_with_scratch(&mut self.input, &mut self.output, &mut self.scratch);
            debug_assert!(done.is_ok(), "buffers are the plan's own");
            for (power, bin) in self.powers.iter_mut().zip(&self.output) {
                *power += f64::from(bin.norm_sqr());
            }
            for (power, bin) in low.iter_mut().zip(&self.output) {
                *power += bin.norm_sqr();
            }
            // A frequency and the next, turned against each other, weigh a window's moments with one swing of a sine over it.
            for (falls, pair) in falls.iter_mut().zip(self.output.windows(2)) {
                *falls += (pair[0] * pair[1].conj()).im;
            }
        }
        // The first window is silent by half.
        if !padded && self.windows > 0 {
            self.keep_quiet(low, falls);
        }
        self.windows += 1;
    }

    /// Keeps this window if it is among the quietest that are not silent altogether.
    fn keep_quiet(&mut self, powers: Vec<f32>, falls: Vec<f32>) {
        let from = (HEARD[0] / self.rate * self.length as f64) as usize;
        let power: f64 = powers.iter().skip(from).copied().map(f64::from).sum();
        if power <= 0.0 {
            return;
        }
        self.loudest = self.loudest.max(power);
        if self.least.is_empty() {
            self.least.clone_from(&powers);
        }
        for (least, here) in self.least.iter_mut().zip(&powers) {
            *least = least.min(*here);
        }
        let place = self.quiet.partition_point(|one| one.power < power);
        if place < QUIET {
            self.quiet.insert(place, Low { power, powers, falls });
            self.quiet.truncate(QUIET);
        }
    }

    pub(crate) fn told(mut self) -> (Spectrum, Quiet) {
        // Silence after the end, until the last sample had its two windows.
        let mut left = self.heard[0].len();
        while left > 0 {
            for channel in &mut self.heard {
                channel.resize(self.length, 0.0);
            }
            self.end_window(true);
            left = left.saturating_sub(self.length / 2);
        }
        let step = self.rate / self.length as f64;
        // Both halves of the spectrum, by Parseval; the window's squares add up to one over any sample.
        let scale = 2.0 / (self.length as f64 * self.frames.max(1) as f64);
        let powers: Vec<f64> = self.powers.iter().map(|power| power * scale).collect();
        let top = self.rate / 2.0;
        let band = |middle: f64, part: f64| {
            let half = OCTAVE.powf(part / 2.0);
            told(of_power(between(&powers, step, middle / half, middle * half)))
        };
        let third = |(number, name): (i32, f64)| {
            let middle = 1000.0 * OCTAVE.powf(f64::from(number) / 3.0);
            Band { middle: Hertz(middle), name: Hertz(name), level: band(middle, 1.0 / 3.0) }
        };
        let thirds = THIRDS.zip(NOMINAL).map(third).filter(|band| band.middle.get() * 1.13 < top).collect();
        let point = |number: i32| {
            let middle = 1000.0 * OCTAVE.powf(f64::from(number) / 12.0);
            Point { at: Hertz(middle), level: band(middle, 1.0 / 12.0) }
        };
        let points = TWELFTHS.map(point).filter(|point| point.at.get() * 1.03 < top).collect();
        let (mut sum, mut weighed) = (0.0, 0.0);
        for (at, power) in powers.iter().enumerate() {
            let hertz = at as f64 * step;
            if (HEARD[0]..=HEARD[1]).contains(&hertz) {
                sum += power;
                weighed += power * hertz;
            }
        }
        let middle = (sum > 0.0).then(|| Hertz(weighed / sum));
        (Spectrum { thirds, points, middle }, self.quietest(step))
    }

    fn quietest(&self, step: f64) -> Quiet {
        // Windows in which somebody plays have no place beside one in which nobody does.
        let least = self.quiet.first().map_or(0.0, |one| one.power);
        let kept: Vec<_> = self.quiet.iter().filter(|one| one.power <= 4.0 * least).collect();
        // The squares of one window have a mean of one half.
        let scale = 4.0 / (self.length as f64 * self.length as f64);
        let scaled = |window: &Vec<f32>| window.iter().map(|power| f64::from(*power) * scale).collect();
        Quiet {
            step,
            windows: kept.iter().map(|one| scaled(&one.powers)).collect(),
            falls: kept.iter().map(|one| scaled(&one.falls)).collect(),
            least: scaled(&self.least),
            below_loudest: of_power(self.loudest / least),
        }
    }
}

/// The power between two frequencies: what lies at one is spread evenly half a step to both sides.
fn between(powers: &[f64], step: f64, low: f64, high: f64) -> f64 {
    let (low, high) = (low / step + 0.5, high / step + 0.5);
    let (first, last) = (low.floor(), high.floor());
    let at = |place: f64| powers.get(place as usize).copied().unwrap_or(0.0);
    if first == last {
        return at(first) * (high - low);
    }
    let inside: f64 = powers.iter().take(last as usize).skip(first as usize + 1).sum();
    at(first) * (first + 1.0 - low) + inside + at(last) * (high - last)
}
