//! Why a recording of a sweep tells nothing.

use solderlast_record::quantity::Decibels;
use solderlast_record::take::time_shown;

use crate::file::Unreadable;

/// Why nothing is made of it.
#[derive(Debug, Clone, PartialEq)]
pub enum Bad {
    /// No sound can be read from it.
    Unreadable {
        /// Why.
        why: Unreadable,
    },
    /// What is hard to hear was thrown away.
    Lossy,
    /// Too few or too many samples a second.
    Rate {
        /// How many.
        rate: u32,
    },
    /// It goes on for too long.
    TooLong,
    /// Its tops are cut flat.
    Clipped,
    /// Mains hum is far over the answer.
    Hum {
        /// By this.
        over: Decibels,
    },
    /// It runs faster or slower than it was sent: saved at another rate than it was recorded at.
    Speed {
        /// How long a second of it is, in seconds.
        second: f64,
    },
    /// Less than three answers are in it.
    CutOff,
    /// No answer is in it.
    NoSweep,
    /// Something turned the gain by itself.
    AutomaticGain {
        /// How much louder the quiet sweep came back than it was sent.
        by: Decibels,
    },
    /// The last answer is not as high as the first.
    Changed {
        /// By this.
        by: Decibels,
    },
    /// Something else sounded.
    OtherSound {
        /// When, in seconds.
        at: f64,
    },
    /// Noise covers it.
    Noise {
        /// How far the three answers differ in the middle of all points.
        differ: Decibels,
    },
}

impl Bad {
    /// A stable name.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Unreadable { why } => why.code(),
            Self::Lossy => "sweep_lossy",
            Self::Rate { .. } => "sweep_rate",
            Self::TooLong => "sweep_too_long",
            Self::Clipped => "sweep_clipped",
            Self::Hum { .. } => "sweep_hum",
            Self::Speed { .. } => "sweep_speed",
            Self::CutOff => "sweep_cut_off",
            Self::NoSweep => "sweep_none",
            Self::AutomaticGain { .. } => "sweep_automatic_gain",
            Self::Changed { .. } => "sweep_changed",
            Self::OtherSound { .. } => "sweep_other_sound",
            Self::Noise { .. } => "sweep_noise",
        }
    }

    /// What it is, and what to do.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::Unreadable { why } => why.sentence(),
            Self::Lossy => "The file threw away what is hard to hear. Record the sweep as WAV or FLAC.".to_owned(),
            Self::Rate { rate } => {
                format!("It has {rate} samples a second. Record the sweep with 44,100 to 96,000; 48,000 is best.")
            }
            Self::TooLong => "It is longer than 30 seconds. Record the sweep alone, or cut the file to it.".to_owned(),
            Self::Clipped => "It is clipped. Turn the input gain down, and sweep again.".to_owned(),
            Self::Hum { over } => format!(
                "Mains hum is {:.0} dB over the answer. Move away from transformers and lamps, turn the pickup, check the \
                 ground of the cable, and sweep again.",
                over.0
            ),
            Self::Speed { second } => format!(
                "It runs {:.1} % {} than it was sent. It was saved at another rate than it was recorded at: use one rate, \
                 48 kHz, for both.",
                100.0 * (second - 1.0).abs(),
                if *second < 1.0 { "faster" } else { "slower" }
            ),
            Self::CutOff => {
                "One of the three sweeps is missing. Begin to record before it plays, and end after it.".to_owned()
            }
            Self::NoSweep => {
                "No sweep is in it. Check that it plays into the resistor, that both clips hold, and that the right input \
                 is recorded."
                    .to_owned()
            }
            Self::AutomaticGain { by } => format!(
                "The quiet sweep came back {:.1} dB too loud: something turns the gain by itself. Switch automatic gain and \
                 limiters off, and sweep again.",
                by.0
            ),
            Self::Changed { by } => format!(
                "The last sweep came back {:.1} dB {} than the first. A clip touches badly, or a knob was turned: mend that, \
                 and sweep again.",
                by.0.abs(),
                if by.0 < 0.0 { "lower" } else { "higher" }
            ),
            Self::OtherSound { at } => format!(
                "Something else sounded at {}. Touch nothing, play nothing else, and sweep again.",
                time_shown(*at)
            ),
            Self::Noise { differ } => format!(
                "Noise covers the answer: the three sweeps differ by {:.1} dB. Turn the sweep or the input gain up a little, \
                 keep away from what hums, and sweep again.",
                differ.0
            ),
        }
    }
}

impl From<Unreadable> for Bad {
    fn from(why: Unreadable) -> Self {
        Self::Unreadable { why }
    }
}
