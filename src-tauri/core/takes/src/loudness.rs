//! How loud a take is (ITU-R BS.1770, EBU R 128), and its true peak.

use std::collections::VecDeque;
use std::sync::mpsc::{SyncSender, sync_channel};
use std::thread::{self, JoinHandle};

use ebur128::{EbuR128, Mode};
use serde::{Deserialize, Serialize};
use solderlast_record::quantity::Decibels;
use ts_rs::TS;

use crate::decibels::told;

/// How loud a take is. Loudness is in LUFS; nothing where it is too quiet to count.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts", rename = "TakeLoudness")]
pub struct Loudness {
    /// Of the whole, what is quiet left out (two gates), in LUFS.
    pub integrated: Option<Decibels>,
    /// The loudest 0.4 s, in LUFS.
    pub momentary: Option<Decibels>,
    /// The loudest 3 s, in LUFS; nothing for a shorter take.
    pub short_term: Option<Decibels>,
    /// From the quiet to the loud parts, in LU (EBU Tech 3342); nothing for a take under 30 s, in which there
    /// are too few parts.
    pub range: Option<Decibels>,
    /// The highest peak between and at samples, in decibels of full scale.
    pub true_peak: Option<Decibels>,
}

/// Listens for loudness.
pub(crate) struct Meter {
    meter: EbuR128,
    channels: u32,
    /// Samples in a step of 0.02 s, over all channels, and how many of the next step are there.
    step: usize,
    within: usize,
    steps: u32,
    /// The power of the last 3 s, a step each, the newest last: what a window holds is summed from these, not from its samples.
    powers: VecDeque<f64>,
    momentary: f64,
    short_term: f64,
}

/// Steps in 0.4 s and in 3 s.
const MOMENTARY: usize = 20;
const SHORT_TERM: usize = 150;

impl Meter {
    /// For this many channels, and samples a second.
    pub(crate) fn new(channels: u8, rate: u32) -> Result<Self, ebur128::Error> {
        let (channels, quiet) = (u32::from(channels), f64::NEG_INFINITY);
        let meter = EbuR128::new(channels, rate, Mode::I | Mode::LRA | Mode::TRUE_PEAK)?;
        let step = (rate as usize).div_ceil(50) * channels as usize;
        Ok(Self {
            meter,
            channels,
            step,
            within: 0,
            steps: 0,
            powers: VecDeque::new(),
            momentary: quiet,
            short_term: quiet,
        })
    }

    pub(crate) fn hear(&mut self, mut samples: &[f32]) -> Result<(), ebur128::Error> {
        while !samples.is_empty() {
            let (now, later) = samples.split_at(samples.len().min(self.step - self.within));
            self.meter.add_frames_f32(now)?;
            self.within += now.len();
            if self.within == self.step {
                self.within = 0;
                self.steps += 1;
                self.powers.push_back(10.0_f64.powf(self.meter.loudness_window(20)? / 10.0));
                if self.powers.len() > SHORT_TERM {
                    self.powers.pop_front();
                }
                if self.powers.len() >= MOMENTARY {
                    self.momentary = self.momentary.max(self.over_the_last(MOMENTARY));
                }
                if self.powers.len() == SHORT_TERM && self.steps.is_multiple_of(5) {
                    self.short_term = self.short_term.max(self.over_the_last(SHORT_TERM));
                }
            }
            samples = later;
        }
        Ok(())
    }

    /// The loudness of so many steps up to now, in LUFS.
    fn over_the_last(&self, steps: usize) -> f64 {
        10.0 * (self.powers.iter().rev().take(steps).sum::<f64>() / steps as f64).log10()
    }

    pub(crate) fn told(&self) -> Result<Loudness, ebur128::Error> {
        let peaks = (0..self.channels).map(|channel| self.meter.true_peak(channel));
        let peak = peaks.collect::<Result<Vec<_>, _>>()?.into_iter().fold(0.0, f64::max);
        Ok(Loudness {
            integrated: told(self.meter.loudness_global()?),
            momentary: told(self.momentary),
            short_term: told(self.short_term),
            range: if self.steps >= 1500 { told(self.meter.loudness_range()?) } else { None },
            true_peak: told(20.0 * peak.log10()),
        })
    }
}

/// A meter on a thread of its own: it takes about as long as all else that is listened for. Where no thread is to be had, as in
/// a browser, it hears in its turn.
pub(crate) struct Aside(Hearing);

enum Hearing {
    Aside {
        /// What is not handed over yet.
        next: Vec<f32>,
        parts: SyncSender<Vec<f32>>,
        meter: JoinHandle<Result<Meter, ebur128::Error>>,
    },
    InTurn(Box<Meter>),
}

/// Samples that are handed over at a time, and how often that may wait for the meter: enough that neither waits for the other at
/// each.
const PART: usize = 16_384;
const WAITING: usize = 8;

impl Aside {
    /// For this many channels, and samples a second.
    pub(crate) fn new(channels: u8, rate: u32) -> Result<Self, ebur128::Error> {
        let (parts, waiting) = sync_channel::<Vec<f32>>(WAITING);
        let mut meter = Meter::new(channels, rate)?;
        let aside = thread::Builder::new().name("loudness".to_owned()).spawn(move || {
            for part in waiting {
                meter.hear(&part)?;
            }
            Ok(meter)
        });
        Ok(Self(match aside {
            Ok(meter) => Hearing::Aside { next: Vec::with_capacity(PART), parts, meter },
            Err(_) => Hearing::InTurn(Box::new(Meter::new(channels, rate)?)),
        }))
    }

    pub(crate) fn hear(&mut self, samples: &[f32]) -> Result<(), ebur128::Error> {
        match &mut self.0 {
            // A thread that has ended early says why when it is asked for what it heard.
            Hearing::Aside { next, parts, .. } => {
                next.extend_from_slice(samples);
                if next.len() >= PART {
                    let _ended = parts.send(std::mem::replace(next, Vec::with_capacity(PART)));
                }
                Ok(())
            }
            Hearing::InTurn(meter) => meter.hear(samples),
        }
    }

    pub(crate) fn told(self) -> Result<Loudness, ebur128::Error> {
        match self.0 {
            Hearing::Aside { next, parts, meter } => {
                let _ended = parts.send(next);
                drop(parts);
                // It does nothing that could panic; should it, there is no loudness to tell.
                meter.join().map_err(|_| ebur128::Error::NoMem)??.told()
            }
            Hearing::InTurn(meter) => meter.told(),
        }
    }
}
