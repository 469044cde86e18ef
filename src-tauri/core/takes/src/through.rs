//! A take as it would sound through another circuit: filtered by the ratio of what the two make of a pickup's voltage.
//!
//! The ratio is sampled in frequency and turned into an impulse response, which is laid over the sound block by block
//! (overlap-save), so memory stays the same however long the take is.

use std::sync::Arc;

use realfft::num_complex::Complex;
use realfft::{ComplexToReal, RealFftPlanner, RealToComplex};

/// How many samples a block of the filter takes in, and the size of its transform.
const BLOCK: usize = 8192;
const SIZE: usize = 2 * BLOCK;
/// How long the impulse response is, and how much of it lies before the sound: what a cut at half the rate rings ahead.
const TAPS: usize = 4096;
const AHEAD: usize = 256;
/// The most that a frequency is raised, as a factor: 24 dB. Beyond it, noise would be all that is heard.
const MOST: f64 = 16.0;

/// The filter from one circuit to another, at a rate.
#[derive(Clone)]
pub struct Circuit {
    /// The transform of its impulse response.
    spectrum: Vec<Complex<f32>>,
    forward: Arc<dyn RealToComplex<f32>>,
    back: Arc<dyn ComplexToReal<f32>>,
}

impl std::fmt::Debug for Circuit {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Circuit").field("bins", &self.spectrum.len()).finish_non_exhaustive()
    }
}

impl Circuit {
    /// From a ratio by frequency in hertz, as real and imaginary part. Where nothing is told the next lower frequency counts. Nothing when
    /// nothing is told at all, or a transform can't be made.
    #[must_use]
    pub fn new(rate: u32, ratio: impl Fn(f64) -> Option<[f64; 2]>) -> Option<Self> {
        let mut planner = RealFftPlanner::<f32>::new();
        let mut precise = RealFftPlanner::<f64>::new();
        let step = f64::from(rate) / SIZE as f64;
        let told = |hertz: f64| {
            let [re, im] = ratio(hertz).filter(|both| both.iter().all(|part| part.is_finite()))?;
            let size = re.hypot(im);
            let held = if size > MOST { MOST / size } else { 1.0 };
            Some(Complex::new(re * held, im * held))
        };
        let mut last = told(20.0)?;
        let mut bins: Vec<Complex<f64>> = (0..=SIZE / 2)
            .map(|bin| {
                // What is not heard goes as the nearest that is.
                last = told((bin as f64 * step).clamp(20.0, 20_000.0)).unwrap_or(last);
                last
            })
            .collect();
        for end in [0, SIZE / 2] {
            // At both ends a real signal has no phase but its sign.
            let sign = if bins[end].re < 0.0 { -1.0 } else { 1.0 };
            bins[end] = Complex::new(sign * bins[end].norm(), 0.0);
        }
        let mut response = vec![0.0; SIZE];
        precise.plan_fft_inverse(SIZE).process(&mut bins, &mut response).ok()?;
        // From a little ahead of the sound on; the last quarter fades.
        let mut taps = vec![0.0_f32; SIZE];
        for (at, tap) in taps.iter_mut().enumerate().take(TAPS) {
            let from = (at + SIZE - AHEAD) % SIZE;
            let end = (TAPS - at) as f64 / (TAPS / 4) as f64;
            let begin = (at + 1) as f64 / AHEAD as f64;
            let fade = |part: f64| 0.5 - 0.5 * (std::f64::consts::PI * part.min(1.0)).cos();
            *tap = (response[from] / SIZE as f64 * fade(end) * fade(begin)) as f32;
        }
        let (forward, back) = (planner.plan_fft_forward(SIZE), planner.plan_fft_inverse(SIZE));
        let mut spectrum = forward.make_output_vec();
        forward.process(&mut taps, &mut spectrum).ok()?;
        Some(Self { spectrum, forward, back })
    }
}

/// A take on its way through a circuit. What comes out is as long as what went in, and in step with it.
#[derive(Debug)]
pub struct Passing {
    circuit: Circuit,
    channels: Vec<Channel>,
    /// Frames that are still to be left out at the beginning, and that are still to come.
    early: usize,
    left: usize,
}

#[derive(Debug, Clone)]
struct Channel {
    /// The block before, then the one that fills.
    heard: Vec<f32>,
    filled: usize,
    out: Vec<f32>,
}

impl Passing {
    /// So many channels, at least one.
    #[must_use]
    pub fn new(circuit: &Circuit, channels: usize) -> Self {
        let channel = Channel { heard: vec![0.0; SIZE], filled: 0, out: vec![0.0; BLOCK] };
        Self { circuit: circuit.clone(), channels: vec![channel; channels.max(1)], early: AHEAD, left: 0 }
    }

    /// Takes samples in, the channels of each frame side by side and no frame in parts, and hands on what comes out in the same order.
    pub fn hear<E>(&mut self, samples: &[f32], mut with: impl FnMut(&[f32]) -> Result<(), E>) -> Result<(), E> {
        let count = self.channels.len();
        for frame in samples.chunks_exact(count) {
            for (channel, sample) in self.channels.iter_mut().zip(frame) {
                channel.heard[BLOCK + channel.filled] = *sample;
                channel.filled += 1;
            }
            self.left += 1;
            if self.channels[0].filled == BLOCK {
                self.block(&mut with)?;
            }
        }
        Ok(())
    }

    /// Hands on what is still to come.
    pub fn end<E>(mut self, mut with: impl FnMut(&[f32]) -> Result<(), E>) -> Result<(), E> {
        while self.left > 0 {
            for channel in &mut self.channels {
                channel.heard[BLOCK + channel.filled..].fill(0.0);
                channel.filled = BLOCK;
            }
            self.block(&mut with)?;
        }
        Ok(())
    }

    fn block<E>(&mut self, with: &mut impl FnMut(&[f32]) -> Result<(), E>) -> Result<(), E> {
        let Circuit { spectrum, forward, back } = &self.circuit;
        for channel in &mut self.channels {
            let mut heard = channel.heard.clone();
            let mut bins = forward.make_output_vec();
            let mut sound = back.make_output_vec();
            // The sizes are those that both were planned for.
            let _ = forward.process(&mut heard, &mut bins);
            for (bin, by) in bins.iter_mut().zip(spectrum) {
                *bin *= by;
            }
            if let Some(first) = bins.first_mut() {
                first.im = 0.0;
            }
            if let Some(last) = bins.last_mut() {
                last.im = 0.0;
            }
            let _ = back.process(&mut bins, &mut sound);
            for (out, sample) in channel.out.iter_mut().zip(&sound[BLOCK..]) {
                *out = sample / SIZE as f32;
            }
            channel.heard.copy_within(BLOCK.., 0);
            channel.filled = 0;
        }
        let from = self.early.min(BLOCK);
        self.early -= from;
        let to = BLOCK.min(from + self.left);
        self.left -= to - from;
        let frames: Vec<f32> =
            (from..to).flat_map(|at| self.channels.iter().map(move |channel| channel.out[at])).collect();
        with(&frames)
    }
}

#[cfg(test)]
mod tests {
    use std::convert::Infallible;
    use std::f64::consts::TAU;

    use super::*;

    fn passed(circuit: &Circuit, channels: usize, samples: &[f32], part: usize) -> Vec<f32> {
        let mut out = Vec::new();
        let mut passing = Passing::new(circuit, channels);
        let mut keep = |samples: &[f32]| -> Result<(), Infallible> {
            out.extend_from_slice(samples);
            Ok(())
        };
        for part in samples.chunks(part) {
            let Ok(()) = passing.hear(part, &mut keep);
        }
        let Ok(()) = passing.end(&mut keep);
        out
    }

    /// A coil's low-pass with a resonance at 3 kHz of quality 3, half as loud: known in closed form.
    fn resonance(hertz: f64) -> [f64; 2] {
        let x = hertz / 3000.0;
        let one = Complex::new(0.5, 0.0) / Complex::new(1.0 - x * x, x / 3.0);
        [one.re, one.im]
    }

    #[test]
    fn a_tone_comes_out_as_the_ratio_says() {
        for rate in [44_100, 48_000, 96_000] {
            let circuit = Circuit::new(rate, |hertz| Some(resonance(hertz))).expect("a filter");
            for hertz in [82.4, 440.0, 1500.0, 3000.0, 5000.0, 9000.0] {
                let at = |frame: usize| TAU * hertz * frame as f64 / f64::from(rate);
                let sound: Vec<f32> = (0..rate as usize).map(|frame| (0.2 * at(frame).sin()) as f32).collect();
                let out = passed(&circuit, 1, &sound, 1000);
                assert_eq!(out.len(), sound.len());
                // What is in step with the tone and a quarter behind it, its ends left out.
                let inside = 12_000..out.len() - 12_000;
                let count = inside.len() as f64;
                let part = |wave: fn(f64) -> f64| {
                    2.0 * inside.clone().map(|frame| f64::from(out[frame]) * wave(at(frame))).sum::<f64>() / count
                };
                let found = Complex::new(part(f64::sin), part(f64::cos)) / 0.2;
                let [re, im] = resonance(hertz);
                let truth = Complex::new(re, im);
                let off = 20.0 * (found.norm() / truth.norm()).log10();
                let turned = (found / truth).arg().to_degrees();
                assert!(off.abs() < 0.1 && turned.abs() < 1.0, "{rate} {hertz}: {off} dB, {turned}°");
            }
        }
    }

    #[test]
    fn the_same_circuit_changes_nothing_and_channels_stay_apart() {
        let circuit = Circuit::new(48_000, |_| Some([1.0, 0.0])).expect("a filter");
        for frames in [0, 1, 100, BLOCK - AHEAD, BLOCK, 3 * BLOCK + 17] {
            let sound: Vec<f32> = (0..frames).flat_map(|at| [((at * 37) % 101) as f32 / 101.0 - 0.5, 0.25]).collect();
            let out = passed(&circuit, 2, &sound, 998);
            assert_eq!(out.len(), sound.len(), "{frames}");
            for (one, other) in out.iter().zip(&sound) {
                assert!((one - other).abs() < 1e-3, "{one} {other}");
            }
        }
    }

    #[test]
    fn nothing_is_raised_without_end() {
        assert!(Circuit::new(48_000, |_| None).is_none());
        assert!(Circuit::new(48_000, |_| Some([f64::NAN, 0.0])).is_none());
        let circuit = Circuit::new(48_000, |_| Some([1e9, 0.0])).expect("a filter");
        let out = passed(&circuit, 1, &vec![0.01; 4 * BLOCK], 500);
        assert!(out.iter().all(|sample| sample.abs() < 0.2), "24 dB at most");
    }
}
