//! Recorded takes: what a recording of a pickup tells, and what follows from it.
//!
//! ```
//! use std::io::Cursor;
//!
//! use solderlast_record::take::Played;
//! use solderlast_takes::{Asked, follows, take};
//!
//! // One second of a full-scale sine of 997 Hz, as a WAV file with 16 bit at 48 kHz.
//! let samples = (0..48_000).map(|at| (f64::from(at) * 997.0 / 48_000.0 * std::f64::consts::TAU).sin());
//! let sound: Vec<u8> = samples.flat_map(|sample| ((sample * 32_767.0) as i16).to_le_bytes()).collect();
//! let head: [&[u8]; 9] = [
//!     b"RIFF",
//!     &(36 + sound.len() as u32).to_le_bytes(),
//!     b"WAVEfmt \x10\0\0\0\x01\0\x01\0",
//!     &48_000u32.to_le_bytes(),
//!     &96_000u32.to_le_bytes(),
//!     &[2, 0, 16, 0],
//!     b"data",
//!     &(sound.len() as u32).to_le_bytes(),
//!     &sound,
//! ];
//!
//! let told = take(Cursor::new(head.concat()), &Asked { played: Played::Riff, tuning: Vec::new() }).unwrap();
//! // ITU-R BS.1770: such a sine in one channel has −3.01 LUFS.
//! assert!((told.loudness.integrated.unwrap().get() + 3.01).abs() < 0.05);
//! assert!(follows::from_take(&told)[0].sentence.contains("Leave 6 to 12 dB of room"));
//!
//! let refused = take(Cursor::new(b"\x89PNG\r\n\x1a\n and so on"), &Asked { played: Played::Riff, tuning: Vec::new() });
//! assert_eq!(refused.unwrap_err().sentence(), "This is a picture, whatever its name says. Choose a recording.");
//! ```

pub mod blind;
mod clipping;
mod decibels;
pub mod file;
pub mod follows;
mod hum;
pub mod keep;
mod level;
mod loudness;
pub mod repeats;
mod report;
pub mod ring;
mod spectrum;
pub mod stretch;
mod strings;
pub mod sweep;
pub mod tap;
#[cfg(test)]
mod tests;
pub mod through;
mod told;
mod whole;

pub use clipping::Clipped;
pub use hum::{Hum, Line};
pub use level::Level;
pub use loudness::Loudness;
pub use report::{Figure, Named, Report};
pub use spectrum::{Band, Point, Spectrum};
pub use strings::{Decay, Pluck, Warble};
pub use told::{Asked, Told, take};
