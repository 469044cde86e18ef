//! Why no sound could be read from a file.

use solderlast_record::take::time_shown;

use super::{LARGEST, LONGEST, SHORTEST};

/// What can be saved anywhere and is read here.
const WANTED: &str = "Save it as WAV or FLAC and take that.";

/// Why no sound could be read from a file.
#[derive(Debug, Clone, PartialEq)]
pub enum Unreadable {
    /// The disk or the connection.
    Unread {
        /// In the system's words.
        why: String,
    },
    /// No byte.
    Empty,
    /// More bytes than a take may have.
    TooLarge {
        /// How many it has.
        bytes: u64,
    },
    /// Longer than a take may be.
    TooLong,
    /// So short that it has no loudness.
    TooShort {
        /// Samples of one channel.
        frames: u64,
        /// Samples a second, in hertz.
        rate: u32,
    },
    /// Something else than sound, by its first bytes.
    NotSound {
        /// What it is, with its article.
        what: String,
    },
    /// Nobody knows by its bytes what it is.
    Unknown,
    /// It ends before any sound could be found.
    OnlyBegun {
        /// What it is, with its article.
        kind: String,
    },
    /// Its head makes no sense.
    BadHead {
        /// What it is, with its article.
        kind: String,
    },
    /// Pictures that move, and no sound.
    OnlyVideo,
    /// No track of sound.
    NoTrack,
    /// A track of sound with nothing in it.
    NoSamples,
    /// None of its parts can be read.
    AllDamaged,
    /// Every sample is zero.
    Silent,
    /// Kept in a way that is not read here, or locked.
    Coding {
        /// It is Opus.
        opus: bool,
    },
    /// More channels than a guitar has.
    Channels {
        /// How many.
        channels: usize,
    },
    /// Too few or too many samples a second.
    Rate {
        /// Samples a second, in hertz.
        rate: u32,
    },
}

impl Unreadable {
    /// A stable name of the reason.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Unread { .. } => "take_unread",
            Self::Empty => "take_empty",
            Self::TooLarge { .. } => "take_too_large",
            Self::TooLong => "take_too_long",
            Self::TooShort { .. } => "take_too_short",
            Self::NotSound { .. } => "take_not_sound",
            Self::Unknown => "take_unknown",
            Self::OnlyBegun { .. } => "take_only_begun",
            Self::BadHead { .. } => "take_bad_head",
            Self::OnlyVideo => "take_only_video",
            Self::NoTrack => "take_no_track",
            Self::NoSamples => "take_no_samples",
            Self::AllDamaged => "take_all_damaged",
            Self::Silent => "take_silent",
            Self::Coding { .. } => "take_coding",
            Self::Channels { .. } => "take_channels",
            Self::Rate { .. } => "take_rate",
        }
    }

    /// What is wrong, and what to do.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::Unread { why } => format!("The file can't be read: {why}."),
            Self::Empty => "The file is empty.".to_owned(),
            Self::TooLarge { bytes } => format!(
                "The file has {} MB; a take may have {} MB. Cut out the part that counts.",
                bytes.div_ceil(1_000_000),
                LARGEST / 1_000_000
            ),
            Self::TooLong => {
                format!("It is longer than {}. Cut out the part that counts.", time_shown(LONGEST).replace(" 0 s", ""))
            }
            Self::TooShort { frames: 1, .. } => {
                "There is one sample in it, which is no sound. Record again.".to_owned()
            }
            Self::TooShort { frames, rate } => format!(
                "There are {:.2} s of sound in it; at least {SHORTEST} s are needed. Record again.",
                *frames as f64 / f64::from((*rate).max(1))
            ),
            Self::NotSound { what } => format!("This is {what}, whatever its name says. Choose a recording."),
            Self::Unknown => format!("What is in this file is not known here. {WANTED}"),
            Self::OnlyBegun { kind } => format!(
                "This is {kind} that breaks off before its sound, or lacks the index at its end. Open it in the recorder that \
                 made it, and save it again."
            ),
            Self::BadHead { kind } => format!("This is {kind} whose head can't be read. {WANTED}"),
            Self::OnlyVideo => "This is a video without sound.".to_owned(),
            Self::NoTrack => "There is no sound in this file.".to_owned(),
            Self::NoSamples => {
                "There is no sound in this file, though there is room for it. If the recorder was ended in the middle, \
                 open the file there and save it again."
                    .to_owned()
            }
            Self::AllDamaged => format!("The sound in this file is damaged: no part of it can be read. {WANTED}"),
            Self::Silent => {
                "It is silent from end to end: no sound came to the recorder. Look at its input and the gain."
                    .to_owned()
            }
            Self::Coding { opus: true } => format!("Its sound is kept as Opus, which is not read here. {WANTED}"),
            Self::Coding { opus: false } => {
                format!("Its sound is locked, or kept in a way that is not read here. {WANTED}")
            }
            Self::Channels { channels } => format!(
                "It has {channels} channels; a take has one or two. Save the one that the guitar is on by itself."
            ),
            Self::Rate { rate } => {
                format!("It has {rate} samples a second; 8000 to 192,000 are read. Record with 44,100 or 48,000.")
            }
        }
    }
}
