//! A sweep through a pickup: the sound that is sent, and what a recording of the answer tells.
//!
//! The sound is an exponential sweep (Farina, AES 108, 2000), three times after some silence, the second time half as high: what
//! comes back has to be half as high as well, or something turns its own gain. Times between them are a third of a period off whole
//! periods of 50 and of 60 Hz, so that hum falls differently into each. The inverse of the sweep makes one short answer of each; what
//! the devices distort comes before that and is cut away.
//!
//! ```
//! use solderlast_takes::sweep::{PERIOD, SECONDS, wav};
//!
//! let sound = wav();
//! assert_eq!(&sound[..4], b"RIFF");
//! // 24 bit at 48 kHz.
//! assert_eq!(sound.len(), 44 + 3 * (48_000.0 * SECONDS) as usize);
//! assert!(SECONDS > 3.0 * PERIOD);
//! ```

mod answer;
mod bad;
mod curve;
#[cfg(test)]
mod tests;

pub use answer::{Answer, answer};
pub use bad::Bad;

/// Samples a second of the sound that is sent.
pub const RATE: u32 = 48_000;
/// Silence before the first sweep, in seconds.
pub const HEAD: f64 = 0.5;
/// Length of one sweep, in seconds.
pub const LONG: f64 = 2.4;
/// From the beginning of one sweep to that of the next, in seconds.
pub const PERIOD: f64 = 3.0 + 1.0 / 150.0;
/// Length of the whole, in seconds.
pub const SECONDS: f64 = HEAD + 3.0 * PERIOD + 0.5;
/// Where it begins and ends, in hertz.
const FROM: f64 = 40.0;
const TO: f64 = 20_000.0;
/// How high each of the three is.
const HIGH: [f64; 3] = [1.0, 0.5, 1.0];
/// Full scale of what is sent.
const FULL: f64 = 0.5;
/// It rises and falls in this time, in seconds.
const ENDS: f64 = 0.01;

/// The time in which its frequency grows by a factor of e, in seconds.
fn growth() -> f64 {
    LONG / (TO / FROM).ln()
}

/// One sweep at so many samples a second, full scale being 1.
fn one(rate: f64) -> Vec<f64> {
    let growth = growth();
    (0..(LONG * rate).round() as usize)
        .map(|at| {
            let seconds = at as f64 / rate;
            let phase = std::f64::consts::TAU * FROM * growth * ((seconds / growth).exp() - 1.0);
            let edge = (seconds / ENDS).min((LONG - seconds) / ENDS).clamp(0.0, 1.0);
            phase.sin() * 0.5 * (1.0 - (std::f64::consts::PI * edge).cos())
        })
        .collect()
}

/// All that is sent, at so many samples a second.
#[must_use]
pub fn sent(rate: u32) -> Vec<f64> {
    let rate = f64::from(rate);
    let mut all = vec![0.0; (SECONDS * rate) as usize];
    let sweep = one(rate);
    for (number, high) in HIGH.into_iter().enumerate() {
        let first = ((HEAD + number as f64 * PERIOD) * rate).round() as usize;
        for (at, sample) in sweep.iter().enumerate() {
            if let Some(place) = all.get_mut(first + at) {
                *place += FULL * high * sample;
            }
        }
    }
    all
}

/// The file that is played: WAV, one channel with 24 bit at 48 kHz.
#[must_use]
pub fn wav() -> Vec<u8> {
    let sound: Vec<u8> = sent(RATE)
        .into_iter()
        .flat_map(|sample| {
            let [low, middle, high, _] = ((sample * 8_388_607.0).round() as i32).to_le_bytes();
            [low, middle, high]
        })
        .collect();
    let bytes = sound.len() as u32;
    let head: [&[u8]; 8] = [
        b"RIFF",
        &(36 + bytes).to_le_bytes(),
        b"WAVEfmt \x10\0\0\0\x01\0\x01\0",
        &RATE.to_le_bytes(),
        &(3 * RATE).to_le_bytes(),
        &[3, 0, 24, 0],
        b"data",
        &bytes.to_le_bytes(),
    ];
    [head.concat(), sound].concat()
}
