//! Open strings, one after the other: when each was plucked, what it sounds, how loud it is, how fast it rises and dies, and
//! whether it warbles.

mod envelope;
mod onsets;
mod pitch;
mod warble;

use serde::{Deserialize, Serialize};
use solderlast_record::note::Note;
use solderlast_record::quantity::{Decibels, Hertz};
use ts_rs::TS;

use crate::decibels::{of_power, power};
pub use warble::Warble;

/// The longest part of a note that is looked at, in seconds.
const LONGEST: f64 = 12.0;
/// The shortest note, in seconds.
const SHORTEST: f64 = 0.25;
/// The level of a string is that of this part of its sound, in seconds from its pluck: after the pick's noise.
const BODY: [f64; 2] = [0.05, 0.55];
/// A sound that is so much weaker than the strongest, in decibels, is no pluck of a string.
const NO_PLUCK: f64 = 35.0;
/// A pitch further from a string's note than this, in cents, is not that string.
const NOT_THAT_STRING: f64 = 150.0;
/// The most notes of one take.
const MOST: usize = 200;

/// What one plucked string tells.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Pluck {
    /// When it was plucked, in seconds from the beginning.
    pub at: f64,
    /// Which string it is by its pitch, the thinnest being the first; nothing where the tuning has no such note.
    pub string: Option<u8>,
    /// What it sounds, in hertz.
    pub pitch: Hertz,
    /// How far that is from its string's note, in cents; below zero is flat.
    pub cents: Option<f64>,
    /// Its level from 0.05 to 0.55 s after the pluck, in decibels of full scale.
    pub level: Decibels,
    /// How long it takes from a tenth to nine tenths of its height, in milliseconds.
    pub rise: f64,
    /// How long it takes to lose 20 dB.
    pub decay: Option<Decay>,
    /// How it warbles, if it does.
    pub warble: Option<Warble>,
}

/// How a string dies away.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Decay {
    /// The time to lose 20 dB, in seconds.
    pub seconds: f64,
    /// It was heard so long; else it is told by how it began to die.
    pub heard: bool,
    /// It dies fast first and slowly later: the first slope is so many times the second one.
    pub two_slopes: Option<f64>,
}

/// A note that is being heard.
struct Sounding {
    /// The frame where its sound begins in the buffers, and the one where it was plucked.
    from: u64,
    pluck: u64,
    sound: Vec<Vec<f32>>,
}

/// Listens for strings.
pub(crate) struct Strings {
    rate: f64,
    tuning: Vec<Note>,
    onsets: onsets::Onsets,
    /// What was heard last, so that a pluck is heard from its beginning.
    before: Vec<Vec<f32>>,
    frames: u64,
    sounding: Option<Sounding>,
    plucks: Vec<Pluck>,
}

impl Strings {
    pub(crate) fn new(channels: u8, rate: u32, tuning: &[Note]) -> Self {
        Self {
            rate: f64::from(rate),
            tuning: tuning.to_vec(),
            onsets: onsets::Onsets::new(channels, rate),
            before: vec![Vec::new(); usize::from(channels)],
            frames: 0,
            sounding: None,
            plucks: Vec::new(),
        }
    }

    pub(crate) fn hear(&mut self, samples: &[f32]) {
        let channels = self.before.len();
        let kept = (onsets::LOOK_BACK * self.rate) as usize;
        for hop in samples.chunks(self.onsets.left_of_hop().max(1) * channels) {
            self.hear_some(hop, kept);
        }
    }

    /// What lies in one hop of the onsets.
    fn hear_some(&mut self, samples: &[f32], kept: usize) {
        let channels = self.before.len();
        for (number, before) in self.before.iter_mut().enumerate() {
            before.extend(samples.iter().skip(number).step_by(channels));
        }
        self.frames += (samples.len() / channels) as u64;
        let longest = (LONGEST * self.rate) as usize;
        if let Some(sounding) = &mut self.sounding {
            for (number, sound) in sounding.sound.iter_mut().enumerate() {
                if sound.len() < longest {
                    sound.extend(samples.iter().skip(number).step_by(channels));
                }
            }
        }
        if let Some(pluck) = self.onsets.hear(samples) {
            self.end_note(Some(pluck));
            let there = self.before[0].len() as u64;
            let from = self.frames - there;
            // A few milliseconds before it, from where it rises.
            let begin = pluck.saturating_sub((0.01 * self.rate) as u64).max(from);
            let skipped = (begin - from) as usize;
            let sound = self.before.iter().map(|before| before[skipped.min(before.len())..].to_vec()).collect();
            self.sounding = Some(Sounding { from: begin, pluck: pluck.max(begin), sound });
        }
        for before in &mut self.before {
            if before.len() > 2 * kept {
                before.drain(..before.len() - kept);
            }
        }
    }

    /// Looks at the note that sounds, up to the next pluck.
    fn end_note(&mut self, next: Option<u64>) {
        let Some(mut note) = self.sounding.take() else { return };
        if let Some(next) = next {
            let length = next.saturating_sub(note.from) as usize;
            note.sound.iter_mut().for_each(|sound| sound.truncate(length));
        }
        let power = |sound: &Vec<f32>| sound.iter().map(|x| f64::from(*x) * f64::from(*x)).sum::<f64>();
        let Some(sound) = note.sound.iter().max_by(|one, other| power(one).total_cmp(&power(other))) else { return };
        let pluck = (note.pluck - note.from) as usize;
        if self.plucks.len() < MOST
            && let Some(told) = self.look_at(sound, pluck, note.pluck)
        {
            self.plucks.push(told);
        }
    }

    fn look_at(&self, sound: &[f32], pluck: usize, at: u64) -> Option<Pluck> {
        let rate = self.rate;
        let frames = |seconds: f64| (seconds * rate) as usize;
        let after = sound.get(pluck..)?;
        if after.len() < frames(SHORTEST) {
            return None;
        }
        let pitch = pitch::of(after, rate)?;
        let body = after.get(frames(BODY[0])..frames(BODY[1]).min(after.len()))?;
        let level = of_power(mean_square(body));
        let near = self.tuning.iter().enumerate().map(|(place, note)| (place, cents(pitch, note.pitch().get())));
        let (string, off) = near
            .min_by(|(_, one), (_, other)| one.abs().total_cmp(&other.abs()))
            .filter(|(_, off)| off.abs() <= NOT_THAT_STRING)
            .map(|(place, off)| ((self.tuning.len() - place) as u8, off))
            .unzip();
        let envelope = envelope::Envelope::of(after, pitch, rate);
        Some(Pluck {
            at: at as f64 / rate,
            string,
            pitch: Hertz(pitch),
            cents: off,
            level: Decibels(level),
            rise: 1000.0 * envelope::rise(sound, pluck, pitch, rate),
            decay: envelope.decay(self.onsets.quietest()),
            warble: warble::of(after, pitch, rate),
        })
    }

    pub(crate) fn told(mut self) -> Vec<Pluck> {
        self.end_note(None);
        let loudest = self.plucks.iter().map(|pluck| pluck.level.get()).fold(f64::NEG_INFINITY, f64::max);
        self.plucks.retain(|pluck| pluck.level.get() >= loudest - NO_PLUCK);
        self.plucks
    }
}

fn mean_square(sound: &[f32]) -> f64 {
    let sum: f64 = sound.iter().map(|sample| f64::from(*sample) * f64::from(*sample)).sum();
    sum / sound.len().max(1) as f64
}

/// How far one pitch is above another, in cents.
fn cents(one: f64, other: f64) -> f64 {
    1200.0 * (one / other).log2()
}

/// The level of each string of a take, the mean of its plucks, the thinnest string first.
pub(crate) fn balance(plucks: &[Pluck]) -> Vec<(u8, f64)> {
    let mut strings: Vec<u8> = plucks.iter().filter_map(|pluck| pluck.string).collect();
    strings.sort_unstable();
    strings.dedup();
    let mean = |string: u8| {
        let levels: Vec<f64> =
            plucks.iter().filter(|pluck| pluck.string == Some(string)).map(|pluck| power(pluck.level.get())).collect();
        of_power(levels.iter().sum::<f64>() / levels.len() as f64)
    };
    strings.into_iter().map(|string| (string, mean(string))).collect()
}
