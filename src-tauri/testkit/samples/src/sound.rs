//! Sound that is made, not recorded: sines, noise and plucked strings, and the file they are kept in. It shares no code with what
//! listens to it.

use std::f64::consts::TAU;

use crate::Chance;

/// How samples are kept in a WAV file.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Samples {
    /// Whole numbers of 8, 16, 24 or 32 bit.
    Whole(u16),
    /// Floating point of 32 bit.
    Float,
}

/// Some seconds of sound.
#[derive(Debug, Clone)]
pub struct Sound {
    /// Samples a second.
    pub rate: u32,
    /// Channels, full scale being 1.
    pub channels: Vec<Vec<f64>>,
}

/// A string that is plucked.
#[derive(Debug, Clone)]
pub struct Plucked {
    /// When, in seconds.
    pub at: f64,
    /// Its first partial, in hertz.
    pub hertz: f64,
    /// The height of the first partial where it begins.
    pub height: f64,
    /// The time in which it loses 20 dB, in seconds.
    pub loses_20: f64,
    /// The time in which a partial rises, in seconds.
    pub rises: f64,
    /// How much its partials are stretched: the n-th lies at n·f·√(1 + stretch·n²).
    pub stretch: f64,
    /// Two pitches at once, so many hertz apart, the second with this share of the height of the first.
    pub beats: Option<(f64, f64)>,
    /// It is stopped after so many seconds.
    pub stopped: f64,
}

/// How many partials a string has.
pub const PARTIALS: i32 = 16;

impl Plucked {
    /// A string of this pitch, that loses 20 dB in two seconds and is stopped after them.
    #[must_use]
    pub fn at(at: f64, hertz: f64) -> Self {
        Self { at, hertz, height: 0.2, loses_20: 2.0, rises: 0.002, stretch: 5e-5, beats: None, stopped: 3.0 }
    }
}

impl Sound {
    /// Silence.
    #[must_use]
    pub fn silence(rate: u32, channels: usize, seconds: f64) -> Self {
        let frames = (seconds * f64::from(rate)).round() as usize;
        Self { rate, channels: vec![vec![0.0; frames]; channels] }
    }

    fn add(mut self, wave: impl Fn(f64) -> f64) -> Self {
        for channel in &mut self.channels {
            for (at, sample) in channel.iter_mut().enumerate() {
                *sample += wave(at as f64 / f64::from(self.rate));
            }
        }
        self
    }

    /// A sine in all channels, over the whole length.
    #[must_use]
    pub fn sine(self, hertz: f64, height: f64) -> Self {
        self.add(|time| height * (TAU * hertz * time).sin())
    }

    /// White noise of this power in each channel, a channel by itself.
    #[must_use]
    pub fn noise(mut self, power: f64, chance: &mut Chance) -> Self {
        let height = (3.0 * power).sqrt();
        for sample in self.channels.iter_mut().flatten() {
            *sample += chance.between(-height, height);
        }
        self
    }

    /// A plucked string in all channels.
    #[must_use]
    pub fn pluck(mut self, string: &Plucked) -> Self {
        let rate = f64::from(self.rate);
        let partials: Vec<(f64, f64)> = (1..=PARTIALS)
            .map(f64::from)
            .map(|n| (n * string.hertz * (1.0 + string.stretch * n * n).sqrt(), string.height / n))
            .filter(|(hertz, _)| *hertz < 0.45 * rate)
            .collect();
        let slope = 10f64.ln() / string.loses_20;
        let from = (string.at * rate).ceil() as usize;
        let to = ((string.at + string.stopped) * rate) as usize;
        for channel in &mut self.channels {
            for at in from..to.min(channel.len()) {
                let time = at as f64 / rate - string.at;
                let risen = (time / string.rises).min(1.0);
                // A finger stops it within 20 ms.
                let held = ((string.stopped - time) / 0.02).clamp(0.0, 1.0);
                let height = risen * held * (-slope * time).exp();
                if height < 1e-6 {
                    continue;
                }
                for (number, (hertz, part)) in partials.iter().enumerate() {
                    // Each partial begins elsewhere, or all would peak at once.
                    let phase = 2.4 * (number * number) as f64;
                    let mut wave = (TAU * hertz * time + phase).cos();
                    if let Some((apart, share)) = string.beats {
                        wave += share * (TAU * (hertz + apart * (number + 1) as f64) * time + phase).cos();
                    }
                    channel[at] += height * part * wave;
                }
            }
        }
        self
    }

    /// Cut off above and below this height.
    #[must_use]
    pub fn clipped(mut self, height: f64) -> Self {
        for sample in self.channels.iter_mut().flatten() {
            *sample = sample.clamp(-height, height);
        }
        self
    }

    /// Everything made larger or smaller, and shifted.
    #[must_use]
    pub fn scaled(mut self, by: f64, shifted: f64) -> Self {
        for sample in self.channels.iter_mut().flatten() {
            *sample = *sample * by + shifted;
        }
        self
    }

    /// The samples of all channels beside each other.
    fn beside(&self) -> impl Iterator<Item = f64> {
        let frames = self.channels.first().map_or(0, Vec::len);
        (0..frames).flat_map(|at| self.channels.iter().map(move |channel| channel[at]))
    }

    /// As a WAV file.
    #[must_use]
    pub fn wav(&self, samples: Samples) -> Vec<u8> {
        let mut data = Vec::new();
        for sample in self.beside() {
            match samples {
                Samples::Float => data.extend((sample as f32).to_le_bytes()),
                Samples::Whole(8) => data.push((sample * 127.0 + 128.0).round().clamp(0.0, 255.0) as u8),
                Samples::Whole(bits) => {
                    let full = 2f64.powi(i32::from(bits) - 1) - 1.0;
                    let whole = (sample * full).round().clamp(-full - 1.0, full) as i32;
                    data.extend(&whole.to_le_bytes()[..usize::from(bits / 8)]);
                }
            }
        }
        wav_of(samples, self.channels.len() as u16, self.rate, &data, data.len() as u32)
    }
}

/// A WAV file of these bytes of sound, whose head promises `promised` bytes of it.
#[must_use]
pub fn wav_of(samples: Samples, channels: u16, rate: u32, data: &[u8], promised: u32) -> Vec<u8> {
    let (format, bits) = match samples {
        Samples::Whole(bits) => (1u16, bits),
        Samples::Float => (3, 32),
    };
    let frame = channels * bits / 8;
    let mut file = b"RIFF".to_vec();
    file.extend(promised.saturating_add(36).to_le_bytes());
    file.extend(b"WAVEfmt \x10\0\0\0");
    file.extend(format.to_le_bytes());
    file.extend(channels.to_le_bytes());
    file.extend(rate.to_le_bytes());
    file.extend((rate * u32::from(frame)).to_le_bytes());
    file.extend(frame.to_le_bytes());
    file.extend(bits.to_le_bytes());
    file.extend(b"data");
    file.extend(promised.to_le_bytes());
    file.extend(data);
    file
}
