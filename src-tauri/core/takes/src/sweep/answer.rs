//! The answer to a sweep, out of a recording.

use std::io::{Read, Seek};

use realfft::RealFftPlanner;
use realfft::num_complex::Complex;
use solderlast_record::measured::SweptPoint;
use solderlast_record::quantity::Decibels;

use super::bad::Bad;
use super::curve::{Curves, levels, turned};
use super::{FROM, LONG, PERIOD, TO, one};
use crate::file::{Flaw, Recording};
use crate::whole::Whole;

/// Samples a second that tell enough and not too much.
const RATES: std::ops::RangeInclusive<u32> = 44_100..=96_000;
/// The longest recording of a sweep, in seconds.
const LONGEST: f64 = 30.0;
/// Hum that is further over all else than this, in decibels, hides it.
const HUM_OVER: f64 = 10.0;
/// How far a line of hum reaches to either side, in hertz, and how many there are.
const LINE: f64 = 0.5;
const LINES: u32 = 30;
/// How much slower or faster it may run: two clocks that were never set by each other.
const CLOCKS: f64 = 5e-4;
/// How long the answer is that is looked at, before and after its beginning, in seconds. Before it lies what its lower end makes of
/// it, and, from 0.26 s on, what is distorted.
pub(super) const BEFORE: f64 = 0.12;
pub(super) const AFTER: f64 = 0.3;
/// An answer that has less than this share of the power that it should have is missing.
const MISSING: f64 = 0.05;

/// What a recording tells.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What came back by frequency.
    pub points: Vec<SweptPoint>,
    /// Whether its sign came back turned.
    pub turned: bool,
}

/// What came back of a sweep.
///
/// # Errors
/// [`Bad`], with a sentence, where nothing can be made of the recording.
pub fn answer<R: Read + Seek + Send + Sync + 'static>(source: R) -> Result<Answer, Bad> {
    let (samples, rate) = samples(source)?;
    let spectra = Spectra::of(&samples, rate);
    if let Some(over) = spectra.hum() {
        return Err(Bad::Hum { over: Decibels(over) });
    }
    let answers = spectra.deconvolved();
    let begins = begins(&answers, rate, samples.len())?;
    let curves: Vec<Vec<f64>> = begins.iter().map(|at| levels(&answers, *at, rate)).collect();
    let points = Curves::new(curves).points(rate, &begins)?;
    Ok(Answer { points, turned: turned(&answers, &begins, rate) })
}

/// The channel that has more in it.
fn samples<R: Read + Seek + Send + Sync + 'static>(source: R) -> Result<(Vec<f64>, f64), Bad> {
    let mut recording = Recording::open(source)?;
    let shape = recording.shape();
    if !RATES.contains(&shape.rate) {
        return Err(Bad::Rate { rate: shape.rate });
    }
    let Whole { samples: mut loudest, flaws, clipped, .. } = Whole::of(&mut recording, LONGEST)?.ok_or(Bad::TooLong)?;
    for flaw in flaws {
        match flaw {
            Flaw::CutOff { .. } | Flaw::Damaged { .. } => return Err(Bad::CutOff),
            Flaw::Lossy { .. } => return Err(Bad::Lossy),
            Flaw::NotNumbers { .. } | Flaw::FewBits { .. } | Flaw::FromVideo => {}
        }
    }
    if clipped {
        return Err(Bad::Clipped);
    }
    if (loudest.len() as f64) < 2.0 * PERIOD * f64::from(shape.rate) {
        return Err(Bad::CutOff);
    }
    let middle = loudest.iter().sum::<f64>() / loudest.len().max(1) as f64;
    loudest.iter_mut().for_each(|sample| *sample -= middle);
    Ok((loudest, f64::from(shape.rate)))
}

/// The spectrum of a whole recording.
struct Spectra {
    lines: Vec<Complex<f64>>,
    length: usize,
    rate: f64,
}

impl Spectra {
    fn of(samples: &[f64], rate: f64) -> Self {
        let length = (samples.len() + (LONG * rate) as usize).next_power_of_two();
        Self { lines: spectrum(samples, length), length, rate }
    }

    fn place(&self, hertz: f64) -> usize {
        (hertz / self.rate * self.length as f64).round() as usize
    }

    /// How far hum is over all else, in decibels, where that is too far.
    fn hum(&self) -> Option<f64> {
        let power = |from: usize, to: usize| -> f64 {
            self.lines.get(from..to.min(self.lines.len())).into_iter().flatten().map(Complex::norm_sqr).sum()
        };
        let all = power(self.place(20.0), self.lines.len());
        let over = [50.0, 60.0].map(|mains| {
            let hum: f64 = (1..=LINES)
                .map(|harmonic| {
                    let middle = mains * f64::from(harmonic);
                    power(self.place(middle - LINE), self.place(middle + LINE) + 1)
                })
                .sum();
            10.0 * (hum / (all - hum).max(all * 1e-9)).log10()
        });
        Some(over[0].max(over[1])).filter(|over| *over > HUM_OVER)
    }

    /// The recording with the sweep's inverse: a short answer where each sweep began.
    fn deconvolved(&self) -> Vec<f64> {
        let sweep = spectrum(&one(self.rate), self.length);
        let most = sweep.iter().map(Complex::norm_sqr).fold(0.0, f64::max);
        let top = (0.46 * self.rate).min(TO * 0.97);
        let mut lines: Vec<Complex<f64>> = (0..self.lines.len())
            .map(|at| {
                let hertz = at as f64 * self.rate / self.length as f64;
                // Both ends of what was sent come in gently.
                let edge = ((hertz / FROM - 1.05) / 0.6).min((top - hertz) / (0.08 * top)).clamp(0.0, 1.0);
                let gentle = 0.5 * (1.0 - (std::f64::consts::PI * edge).cos());
                self.lines[at] * sweep[at].conj() * gentle / (sweep[at].norm_sqr() + most * 1e-9)
            })
            .collect();
        ends_are_real(&mut lines);
        let mut out = vec![0.0; self.length];
        let transform = RealFftPlanner::new().plan_fft_inverse(self.length);
        // It fails for lengths that don't fit alone, and these are made to.
        let _ = transform.process(&mut lines, &mut out);
        let scale = 1.0 / self.length as f64;
        out.iter_mut().for_each(|sample| *sample *= scale);
        out
    }
}

/// A spectrum of real samples has no imaginary part at its ends.
fn ends_are_real(lines: &mut [Complex<f64>]) {
    if let [first, .., last] = lines {
        (first.im, last.im) = (0.0, 0.0);
    }
}

/// The spectrum of samples with silence after them.
pub(super) fn spectrum(samples: &[f64], length: usize) -> Vec<Complex<f64>> {
    let transform = RealFftPlanner::new().plan_fft_forward(length);
    let mut input = vec![0.0; length];
    for (place, sample) in input.iter_mut().zip(samples) {
        *place = *sample;
    }
    let mut lines = transform.make_output_vec();
    // It fails for lengths that don't fit alone, and these are made to.
    let _ = transform.process(&mut input, &mut lines);
    lines
}

/// Where each of the three answers begins, in samples.
fn begins(answers: &[f64], rate: f64, recorded: usize) -> Result<[usize; 3], Bad> {
    if let Some(second) = speed(answers, rate) {
        return Err(Bad::Speed { second });
    }
    let block = (rate * 0.002) as usize;
    let power = |at: i64| -> f64 {
        let from = usize::try_from(at - block as i64).unwrap_or(0);
        answers.get(from..(from + 4 * block).min(answers.len())).into_iter().flatten().map(|one| one * one).sum()
    };
    let top = (0..answers.len()).max_by(|one, other| answers[*one].abs().total_cmp(&answers[*other].abs()));
    let top = top.unwrap_or(0) as i64;
    let apart = |number: i64| (number as f64 * PERIOD * rate).round() as i64;
    // The highest is one of the three.
    let guess = (0..3).map(|number| {
        let first = top - apart(number);
        let each = [0, 1, 2].map(|one| power(first + apart(one)));
        (first, each[0].min(4.0 * each[1]).min(each[2]))
    });
    let (first, least) = guess.max_by(|one, other| one.1.total_cmp(&other.1)).unwrap_or((0, 0.0));
    // An answer stands out of what is there all the time.
    let all: f64 = answers.iter().map(|one| one * one).sum::<f64>() / answers.len().max(1) as f64 * (4 * block) as f64;
    if power(top) < 20.0 * all.max(1e-30) {
        return Err(Bad::NoSweep);
    }
    let ends = first + apart(2) + ((LONG + AFTER) * rate) as i64;
    if least < MISSING * power(top) || first < 0 || ends > recorded as i64 {
        return Err(Bad::CutOff);
    }
    Ok([0, 1, 2].map(|number| (first + apart(number)).max(0) as usize))
}

/// How long a second of the recording is, in seconds, where it runs at another speed.
fn speed(answers: &[f64], rate: f64) -> Option<f64> {
    let lines = spectrum(answers, answers.len().next_power_of_two());
    let mut powers: Vec<Complex<f64>> = lines.iter().map(|one| Complex::new(one.norm_sqr(), 0.0)).collect();
    let length = answers.len().next_power_of_two();
    let mut alike = vec![0.0; length];
    let _ = RealFftPlanner::new().plan_fft_inverse(length).process(&mut powers, &mut alike);
    let wanted = PERIOD * rate;
    let (from, to) = ((0.85 * wanted) as usize, ((1.18 * wanted) as usize).min(length / 2));
    let best = (from..to).max_by(|one, other| alike[*one].total_cmp(&alike[*other]))?;
    let second = best as f64 / wanted;
    // Three answers of 1, a half and 1 are alike by four ninths, one period apart.
    ((second - 1.0).abs() > CLOCKS && alike[best] > 0.2 * alike[0]).then_some(second)
}
