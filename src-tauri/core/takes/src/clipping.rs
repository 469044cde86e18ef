//! Where a recording is clipped: its tops are cut flat, at full scale or below it.
//!
//! A flat top is a run of samples that stand still, on both sides of which the signal falls away at once. The top of a slow wave
//! stands still as well, but it bends: what it falls by just outside is little more than what it moves inside. Where nothing is
//! higher than a flat top, and it is at full scale or there are others like it, something was cut.

use serde::{Deserialize, Serialize};
use solderlast_record::quantity::Decibels;
use ts_rs::TS;

use crate::decibels::told;

/// The least a top has to be to be looked at, of full scale.
const LOUD: f32 = 0.05;
/// How little a flat top moves, of its height.
const STILL: f32 = 2e-4;
/// What it falls by just outside, in multiples of that.
const FALLS: f32 = 8.0;
/// The shortest flat top, in seconds, and in samples.
const SHORTEST: f64 = 1.0 / 24_000.0;
const FEWEST: usize = 3;
/// A flat top is at the ceiling if it is as high as the highest sample of its side, to this share.
const AT_CEILING: f32 = 0.985;
/// From this height on it is full scale.
const FULL: f32 = 0.998;
/// Flat tops that are nearer to each other than this, in seconds, are one place.
const ONE_PLACE: f64 = 0.05;
/// The most flat tops of one side that are kept; more than that, and the whole take is clipped.
const MOST: usize = 20_000;
/// The most places that are named.
const NAMED: usize = 20;

/// Where a recording is clipped.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Clipped {
    /// How many places; flat tops within 0.05 s are one.
    pub places: u32,
    /// When the first of them are, in seconds, at most twenty.
    pub at: Vec<f64>,
    /// The height of the flat tops, in decibels of full scale.
    pub ceiling: Option<Decibels>,
    /// They lie below full scale: something before the recorder cuts them.
    pub below_full_scale: bool,
}

/// One side, up or down, of one channel.
#[derive(Default)]
struct Side {
    highest: f32,
    /// Flat tops: the frame where each begins, and its height.
    flat: Vec<(u64, f32)>,
}

impl Side {
    fn found(&mut self, at: u64, height: f32) {
        if self.flat.len() >= MOST {
            let highest = self.highest;
            self.flat.retain(|(_, height)| *height >= highest * AT_CEILING);
        }
        if self.flat.len() < MOST {
            self.flat.push((at, height));
        }
    }

    /// The tops that were cut.
    fn cut(&self) -> Vec<(u64, f32)> {
        let mut cut = self.flat.clone();
        cut.retain(|(_, height)| *height >= self.highest * AT_CEILING);
        if cut.len() < 2 {
            cut.retain(|(_, height)| *height >= FULL);
        }
        cut
    }
}

#[derive(Default)]
struct Channel {
    sides: [Side; 2],
    before: f32,
    /// The sample that a run began with, how long it is, and the one before it.
    first: f32,
    length: usize,
    outside: f32,
}

/// Listens for flat tops.
pub(crate) struct Tops {
    channels: Vec<Channel>,
    rate: f64,
    shortest: usize,
    frames: u64,
}

impl Tops {
    pub(crate) fn new(channels: u8, rate: u32) -> Self {
        let rate = f64::from(rate);
        let channels = (0..channels).map(|_| Channel::default()).collect();
        Self { channels, rate, shortest: ((rate * SHORTEST).ceil() as usize).max(FEWEST), frames: 0 }
    }

    pub(crate) fn hear(&mut self, samples: &[f32]) {
        let count = self.channels.len();
        for (number, channel) in self.channels.iter_mut().enumerate() {
            channel.hear(samples.iter().skip(number).step_by(count), self.frames, self.shortest);
        }
        self.frames += (samples.len() / count) as u64;
    }

    /// Where it is clipped; nothing where it is not.
    pub(crate) fn told(mut self) -> Option<Clipped> {
        // A run at the very end ends there.
        let silence = vec![0.0; self.channels.len()];
        self.hear(&silence);
        let mut cut: Vec<(u64, f32)> =
            self.channels.iter().flat_map(|channel| channel.sides.iter().flat_map(Side::cut)).collect();
        cut.sort_by_key(|(at, _)| *at);
        let ceiling = cut.iter().map(|(_, height)| *height).reduce(f32::max)?;
        let apart = (ONE_PLACE * self.rate) as u64;
        let mut at = Vec::new();
        let (mut places, mut last) = (0, None);
        for (frame, _) in cut {
            if last.is_none_or(|last| frame > last + apart) {
                places += 1;
                if at.len() < NAMED {
                    at.push(frame as f64 / self.rate);
                }
            }
            last = Some(frame);
        }
        let height = 20.0 * f64::from(ceiling).log10();
        Some(Clipped { places, at, ceiling: told(height), below_full_scale: ceiling < FULL })
    }
}

impl Channel {
    fn hear<'a>(&mut self, samples: impl Iterator<Item = &'a f32>, from: u64, shortest: usize) {
        for (at, sample) in samples.copied().enumerate() {
            let (size, still) = (sample.abs(), self.first.abs() * STILL);
            if (sample - self.first).abs() <= still && size > LOUD {
                self.length += 1;
            } else {
                if self.length >= shortest {
                    self.end_run(sample, from + at as u64);
                }
                (self.first, self.length, self.outside) = (sample, 1, self.before);
            }
            let side = &mut self.sides[usize::from(sample < 0.0)];
            side.highest = side.highest.max(size);
            self.before = sample;
        }
    }

    fn end_run(&mut self, after: f32, at: u64) {
        let (height, up) = (self.first.abs(), self.first >= 0.0);
        let fall = FALLS * STILL * height;
        let below = |outside: f32| if up { self.first - outside } else { outside - self.first };
        // A run begins too late where the wave still rose slowly before it; then its outside is near and it bends.
        if below(self.outside) > fall && below(after) > fall {
            self.sides[usize::from(!up)].found(at - self.length as u64, height);
        }
    }
}
