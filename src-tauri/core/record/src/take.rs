//! A take: a recording of a pickup.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::facts::Cable;
use crate::names::EntryId;
use crate::quantity::{Decibels, Ohms};
use crate::rig::Mode;

crate::content::named_by_content! {
    /// A take's name: the SHA-256 of its kept file, as 64 small hexadecimal digits. Never a path.
    TakeName, "take"
}

/// The longest words about a gain or a device, in characters.
pub const LONGEST_WORDS: usize = 80;
/// The longest take, in seconds.
pub const LONGEST: f64 = 600.0;
/// The fewest and the most samples a second that are read and kept.
pub const RATES: std::ops::RangeInclusive<u32> = 8_000..=192_000;
/// The largest file of a take, in bytes, as it comes and as it is kept.
pub const LARGEST: u64 = 200_000_000;

/// What was played in a take.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/take.ts")]
pub enum Played {
    /// Open strings one by one, each left to ring.
    OpenStrings,
    /// A riff that is played the same way each time.
    Riff,
    /// Chords.
    Chords,
    /// Nothing, with the hands off the strings.
    HumHandsOff,
    /// Nothing, with the hands on the strings.
    HumHandsOn,
    /// A tap of steel on the poles.
    Tap,
    /// The sweep of this program, sent through the pickup.
    Sweep,
}

impl Played {
    /// All that a person plays.
    pub const ALL: [Self; 6] =
        [Self::OpenStrings, Self::Riff, Self::Chords, Self::HumHandsOff, Self::HumHandsOn, Self::Tap];

    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::OpenStrings => "open strings one by one",
            Self::Riff => "a riff",
            Self::Chords => "chords",
            Self::HumHandsOff => "hum, hands off",
            Self::HumHandsOn => "hum, hands on the strings",
            Self::Tap => "a tap",
            Self::Sweep => "a sweep",
        }
    }

    /// Whether nothing is played, so that all that sounds is hum and noise.
    #[must_use]
    pub fn is_hum(self) -> bool {
        matches!(self, Self::HumHandsOff | Self::HumHandsOn)
    }

    /// Whether strings are played, to be listened to.
    #[must_use]
    pub fn is_music(self) -> bool {
        matches!(self, Self::OpenStrings | Self::Riff | Self::Chords)
    }
}

/// What a take was recorded through.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/take.ts")]
pub enum Through {
    /// An instrument input, commonly of 1 MΩ.
    Instrument,
    /// A line input, commonly of 10 kΩ or so: it loads a pickup heavily.
    Line,
    /// A microphone before the amplifier's loudspeaker.
    Microphone,
}

impl Through {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Instrument, Self::Line, Self::Microphone];

    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Instrument => "instrument input (1 MΩ)",
            Self::Line => "line input",
            Self::Microphone => "microphone before the amplifier",
        }
    }
}

/// How a take was made, as far as somebody said so.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/take.ts")]
pub struct Recorded {
    /// What was played.
    pub played: Played,
    /// The mode it was played in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub mode: Option<Mode>,
    /// What it was recorded through.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub through: Option<Through>,
    /// Where the gain stood, in words; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[ts(optional = nullable, as = "Option<String>")]
    pub gain: String,
    /// A resistor across the rig's output, in ohms, as the guitar's own pots would load the pickup; nothing where there was none,
    /// or nobody said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub load: Option<Ohms>,
    /// How long the cable was.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub cable: Option<Cable>,
    /// The device that recorded it, as its owner calls it; may be empty.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    #[ts(optional = nullable, as = "Option<String>")]
    pub device: String,
    /// What it was computed from; nothing for a recording, which it is then not.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub computed: Option<Computed>,
}

/// A take that was not recorded: another one, filtered to what it would be through another circuit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/take.ts")]
pub struct Computed {
    /// The entry that kept the recording.
    pub from: EntryId,
    /// Through what it would sound like this, in words.
    pub through: String,
    /// How far it may be off, in a sentence.
    pub within: String,
    /// How far it was turned down so that nothing clips, in decibels; zero for not at all.
    pub turned_down: Decibels,
}

impl Computed {
    /// `computed, not recorded: through volume 500 kΩ …, turned down 3 dB`.
    #[must_use]
    pub fn in_words(&self) -> String {
        let down = self.turned_down.get();
        let turned = if down > 0.05 { format!(", turned down {}", self.turned_down.shown()) } else { String::new() };
        format!("computed, not recorded: {}{turned}", self.through)
    }
}

impl Recorded {
    /// Nothing is known but what was played.
    #[must_use]
    pub fn of(played: Played) -> Self {
        Self {
            played,
            mode: None,
            through: None,
            gain: String::new(),
            load: None,
            cable: None,
            device: String::new(),
            computed: None,
        }
    }

    /// `a riff, bridge, instrument input (1 MΩ), gain at 3, 125 kΩ across the output, cable up to 3 m (10 ft)`.
    #[must_use]
    pub fn in_words(&self) -> String {
        let Self { played, mode, through, gain, load, cable, device, computed } = self;
        let mut words = vec![played.in_words().to_owned()];
        words.extend(computed.as_ref().map(Computed::in_words));
        words.extend(mode.as_ref().map(|mode| mode.0.clone()));
        words.extend(through.map(|through| through.in_words().to_owned()));
        words.extend((!gain.is_empty()).then(|| format!("gain {gain}")));
        words.extend(load.map(|load| format!("{} across the output", load.shown())));
        words.extend(cable.map(|cable| format!("cable {}", cable.in_words())));
        words.extend((!device.is_empty()).then(|| device.clone()));
        words.join(", ")
    }
}

/// The file of a take: what it is kept as, and what it came from.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/take.ts")]
pub struct KeptSound {
    /// The take, by its content.
    pub take: TakeName,
    /// Its length, in seconds.
    pub seconds: f64,
    /// Samples a second in each channel, in hertz.
    pub rate: u32,
    /// One channel, or two.
    pub channels: u8,
    /// The size of the kept file, in bytes.
    #[ts(type = "number")]
    pub bytes: u64,
    /// How the file was kept that it came from.
    pub came_as: Coding,
    /// What was wrong with that file.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(optional = nullable, as = "Option<Vec<Flaw>>")]
    pub flaws: Vec<Flaw>,
}

/// How sound is kept in a file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/take.ts")]
pub enum Coding {
    /// Plain samples, as in a WAV file.
    Pcm,
    /// FLAC: nothing is lost.
    Flac,
    /// Apple Lossless: nothing is lost.
    Alac,
    /// MP3: what is hard to hear is thrown away.
    Mp3,
    /// Vorbis, in an Ogg file: what is hard to hear is thrown away.
    Vorbis,
    /// AAC, as in an M4A file: what is hard to hear is thrown away.
    Aac,
}

impl Coding {
    /// What people call it.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Pcm => "unpacked sound",
            Self::Flac => "FLAC",
            Self::Alac => "ALAC",
            Self::Mp3 => "MP3",
            Self::Vorbis => "Ogg Vorbis",
            Self::Aac => "AAC",
        }
    }

    /// Whether the sound comes out as it went in.
    #[must_use]
    pub fn is_lossless(self) -> bool {
        matches!(self, Self::Pcm | Self::Flac | Self::Alac)
    }
}

/// What was wrong with a recording of which at least a part was read.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "flaw")]
#[ts(export_to = "contract/take.ts")]
pub enum Flaw {
    /// It ends before it said it would.
    CutOff {
        /// What was read, in seconds.
        read: f64,
        /// What it promised, in seconds, where it did.
        promised: Option<f64>,
    },
    /// Parts of it can't be read; they are left out.
    Damaged {
        /// How many.
        parts: u32,
        /// Where the first of them is, in seconds of what was read.
        at: f64,
    },
    /// Samples that are no numbers, or beyond all sound; silence stands in their place.
    NotNumbers {
        /// How many.
        samples: u64,
    },
    /// So few bits that their own noise is heard.
    FewBits {
        /// Bits of a sample.
        bits: u32,
    },
    /// What is hard to hear was thrown away when the file was made.
    Lossy {
        /// How it was kept.
        coding: Coding,
    },
    /// It is the sound of a video.
    FromVideo,
}

impl Flaw {
    /// What it is, what was kept, and what to do.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::CutOff { read, promised: Some(promised) } => format!(
                "The file breaks off: it promised {}, and {} of sound are there. These are kept.",
                time_shown(*promised),
                time_shown(*read)
            ),
            Self::CutOff { read, promised: None } => {
                format!("The file breaks off. {} of sound are there, and are kept.", time_shown(*read))
            }
            Self::Damaged { parts, at } => format!(
                "{} of the file can't be read, the first at {}. The rest is kept; what is left out makes clicks.",
                if *parts == 1 { "A part".to_owned() } else { format!("{parts} parts") },
                time_shown(*at)
            ),
            Self::NotNumbers { samples } => format!(
                "{samples} {} no sound at all, and {} heard as silence. The program that saved the file is at fault: save it \
                 again, as WAV with 24 bit.",
                if *samples == 1 { "sample is" } else { "samples are" },
                if *samples == 1 { "is" } else { "are" }
            ),
            Self::FewBits { bits } => format!(
                "It has {bits} bit, whose own noise hides hum and the ends of notes. Record with 16 bit or more."
            ),
            Self::Lossy { coding } => format!(
                "{} throws away what is hard to hear, most of all treble. To compare treble, record as WAV or FLAC.",
                coding.in_words()
            ),
            Self::FromVideo => "This is a video; its sound alone is read. A camera turns its gain by itself, so don't \
                 compare levels."
                .to_owned(),
        }
    }
}

/// `0.4 s`, `3 min 20 s`.
#[must_use]
pub fn time_shown(seconds: f64) -> String {
    if seconds < 60.0 {
        return format!("{seconds:.1} s");
    }
    let whole = seconds.round();
    if whole < 3600.0 {
        return format!("{} min {} s", (whole / 60.0).floor(), whole % 60.0);
    }
    format!("{:.1} h", whole / 3600.0)
}
