//! The level of the playing and of what is left between it, and whether the middle of the signal stands where it should.

use serde::{Deserialize, Serialize};
use solderlast_record::quantity::Decibels;
use ts_rs::TS;

use crate::decibels::{of_power, power, told};

/// Length of a block, in seconds.
const BLOCK: f64 = 0.1;
/// The playing is what lies within this of the loudest block, in decibels.
const PLAYING: f64 = 20.0;
/// The share of the blocks that is the quietest.
const QUIETEST: f64 = 0.1;
/// Between the playing and a floor lies at least this much, in decibels; else nothing rests.
const RESTS: f64 = 10.0;

/// Levels of a take, in decibels of full scale: a sine that just fits has −3.0 dB.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Level {
    /// The power of all that lies within 20 dB of the loudest tenth of a second.
    pub playing: Option<Decibels>,
    /// The power of the quietest tenth of all; nothing where it rests nowhere.
    pub floor: Option<Decibels>,
    /// How far the middle of each channel stands off zero, as a share of full scale, from −1 to 1.
    pub offset: Vec<f64>,
}

/// Listens for levels.
pub(crate) struct Levels {
    /// Frames in a block, and how many are there of the next.
    block: usize,
    within: usize,
    sums: Vec<[f64; 2]>,
    whole: Vec<f64>,
    frames: u64,
    powers: Vec<f32>,
}

impl Levels {
    pub(crate) fn new(channels: u8, rate: u32) -> Self {
        let channels = usize::from(channels);
        let block = ((f64::from(rate) * BLOCK) as usize).max(1);
        Self {
            block,
            within: 0,
            sums: vec![[0.0; 2]; channels],
            whole: vec![0.0; channels],
            frames: 0,
            powers: Vec::new(),
        }
    }

    pub(crate) fn hear(&mut self, mut samples: &[f32]) {
        let channels = self.sums.len();
        while !samples.is_empty() {
            let frames = (samples.len() / channels).min(self.block - self.within);
            let (now, later) = samples.split_at(frames * channels);
            match self.sums.as_mut_slice() {
                [one] => add::<1>(now, std::slice::from_mut(one)),
                two => add::<2>(now, two),
            }
            self.within += frames;
            if self.within == self.block {
                self.end_block();
            }
            samples = later;
        }
    }

    fn end_block(&mut self) {
        if self.within == 0 {
            return;
        }
        let count = self.within as f64;
        let mut power = 0.0;
        for ([sum, squares], whole) in self.sums.iter_mut().zip(&mut self.whole) {
            // What stands still is an offset, no sound.
            power += (*squares / count - (*sum / count).powi(2)).max(0.0);
            *whole += *sum;
            (*sum, *squares) = (0.0, 0.0);
        }
        self.frames += self.within as u64;
        self.within = 0;
        self.powers.push(power as f32);
    }

    pub(crate) fn told(mut self) -> Level {
        self.end_block();
        let frames = self.frames.max(1) as f64;
        let offset = self.whole.iter().map(|sum| sum / frames).collect();
        let mut powers: Vec<f64> = self.powers.iter().copied().map(f64::from).filter(|power| *power > 0.0).collect();
        powers.sort_by(f64::total_cmp);
        let mean = |powers: &[f64]| powers.iter().sum::<f64>() / powers.len() as f64;
        let Some(loudest) = powers.last() else { return Level { playing: None, floor: None, offset } };
        let from = powers.partition_point(|one| *one < loudest * power(-PLAYING));
        let playing = of_power(mean(&powers[from..]));
        let quiet = ((powers.len() as f64 * QUIETEST) as usize).max(1);
        let floor = of_power(mean(&powers[..quiet]));
        Level { playing: told(playing), floor: told(floor).filter(|_| playing - floor >= RESTS), offset }
    }
}

/// Sums and squares of each channel. In lanes, so that the processor adds several at once.
fn add<const CHANNELS: usize>(samples: &[f32], sums: &mut [[f64; 2]]) {
    const LANES: usize = 8;
    let (mut sum, mut squares) = ([0f64; LANES], [0f64; LANES]);
    let groups = samples.chunks_exact(LANES);
    let rest = groups.remainder();
    for group in groups {
        for lane in 0..LANES {
            let sample = f64::from(group[lane]);
            sum[lane] += sample;
            squares[lane] += sample * sample;
        }
    }
    for (lane, sample) in rest.iter().copied().map(f64::from).enumerate() {
        sum[lane] += sample;
        squares[lane] += sample * sample;
    }
    for lane in 0..LANES {
        if let Some([total, power]) = sums.get_mut(lane % CHANNELS) {
            *total += sum[lane];
            *power += squares[lane];
        }
    }
}
