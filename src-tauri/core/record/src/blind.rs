//! A blind test: takes heard without their names. Its plan, its answers and the chance that orders it, as they are written down.
//!
//! ```
//! use solderlast_record::blind::Seed;
//!
//! let seed = Seed::of([7; 32]);
//! // The plan holds the seal. Whoever is told the seed later can check that it was chosen before the first answer.
//! assert!(seed.seal().closes(&seed));
//! assert!(!seed.seal().closes(&Seed::of([8; 32])));
//! ```

use std::fmt;

use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use ts_rs::TS;

use crate::audition::AuditionId;
use crate::pickup::PickupId;
use crate::quantity::{Decibels, Millimetres};
use crate::rig::Mode;
use crate::take::TakeName;
use crate::words::Unclear;

/// What is asked in each trial.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/blind.ts")]
pub enum BlindQuestion {
    /// Three sounds, two of them of one take: which is the odd one? (triangle test, ISO 4120)
    OddOneOut,
    /// Two sounds: which is nearer to what you want? (paired comparison, ISO 5495)
    NearerToWish,
}

impl BlindQuestion {
    /// Both.
    pub const ALL: [Self; 2] = [Self::OddOneOut, Self::NearerToWish];

    /// How many sounds a trial has.
    #[must_use]
    pub fn sounds(self) -> u8 {
        match self {
            Self::OddOneOut => 3,
            Self::NearerToWish => 2,
        }
    }

    /// What the whole test asks.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::OddOneOut => "Can you tell them apart?",
            Self::NearerToWish => "Which is nearer to what you want?",
        }
    }

    /// What each trial asks.
    #[must_use]
    pub fn asked(self) -> &'static str {
        match self {
            Self::OddOneOut => "Two of these are the same. Which is the odd one?",
            Self::NearerToWish => "Which is nearer to what you want?",
        }
    }
}

/// The fewest and the most takes of one test.
pub const TAKES: std::ops::RangeInclusive<usize> = 2..=4;
/// The fewest and the most trials of each pair.
pub const TRIALS: std::ops::RangeInclusive<u32> = 5..=60;
/// The shortest and the longest stretch that is heard, in seconds.
pub const STRETCH: std::ops::RangeInclusive<f64> = 0.5..=20.0;
/// The most that is said to be unfair about one test.
pub const MOST_UNFAIR: usize = 24;

/// One of the takes of a test.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/blind.ts")]
pub struct BlindTake {
    /// The recording.
    pub take: TakeName,
    /// The pickup that was recorded, where that is known.
    pub pickup: Option<PickupId>,
    /// What it was called.
    pub label: String,
    /// The mode it was recorded in, where that is known.
    pub mode: Option<Mode>,
    /// The audition it was recorded in.
    pub audition: Option<AuditionId>,
    /// Where the stretch begins in it, in seconds.
    pub start: f64,
    /// The gain by which it is as loud as the quietest, in decibels; never above 0.
    pub gain: Decibels,
}

/// A test as it was planned, before anything was heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/blind.ts")]
pub struct BlindPlan {
    /// What is asked.
    pub question: BlindQuestion,
    /// The takes. Each is heard against each.
    pub takes: Vec<BlindTake>,
    /// Two takes of one pickup, or one take twice: what this pair comes to is the player's, not a pickup's.
    pub control: Box<[BlindTake; 2]>,
    /// How often each pair is heard.
    pub trials: u32,
    /// How often the control is heard.
    pub control_trials: u32,
    /// How long the stretch is that is heard, in seconds.
    pub length: f64,
    /// From the saddle to the place, where all were recorded at one.
    pub from_saddle: Option<Millimetres>,
    /// What was not the same for all of them, in sentences. It is marked for good.
    pub unfair: Vec<String>,
    /// The seal of the seed by which the order was drawn.
    pub seal: Seal,
}

impl BlindPlan {
    /// The pairs of takes, by their places in `takes`; the control is none of them.
    #[must_use]
    pub fn pairs(&self) -> Vec<[usize; 2]> {
        (0..self.takes.len()).flat_map(|one| (one + 1..self.takes.len()).map(move |other| [one, other])).collect()
    }

    /// How many trials there are.
    #[must_use]
    pub fn all_trials(&self) -> u32 {
        let pairs = u32::try_from(self.pairs().len()).unwrap_or(u32::MAX);
        pairs.saturating_mul(self.trials).saturating_add(self.control_trials)
    }
}

fn is_hex(text: &str) -> bool {
    text.len() == 64 && text.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

/// The chance of a test: 32 bytes, as 64 small hexadecimal digits. Nobody is told it before the test is over.
#[derive(Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(try_from = "String", into = "String")]
#[ts(export_to = "contract/blind.ts", type = "string")]
pub struct Seed(String);

/// A seed in a log or an error would tell what it should hide.
impl fmt::Debug for Seed {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Seed")
    }
}

impl Seed {
    /// Of these bytes.
    #[must_use]
    pub fn of(bytes: [u8; 32]) -> Self {
        Self(hex(&bytes))
    }

    /// What is said of it beforehand.
    #[must_use]
    pub fn seal(&self) -> Seal {
        Seal(hex(&Sha256::digest(self.0.as_bytes())))
    }

    /// The bytes of this number that are drawn for this purpose: SHA-256 of the seed's digits, the purpose and the number, one after
    /// the other with a blank between. So whoever is told the seed can draw them anew.
    #[must_use]
    pub fn draw(&self, purpose: &str, number: u64) -> [u8; 32] {
        Sha256::digest(format!("{} {purpose} {number}", self.0)).into()
    }
}

/// The SHA-256 of a seed's digits, as 64 small hexadecimal digits.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(try_from = "String", into = "String")]
#[ts(export_to = "contract/blind.ts", type = "string")]
pub struct Seal(String);

impl Seal {
    /// Whether it is this seed's.
    #[must_use]
    pub fn closes(&self, seed: &Seed) -> bool {
        seed.seal() == *self
    }

    /// As text.
    #[must_use]
    pub fn as_str(&self) -> &str {
        &self.0
    }
}

impl TryFrom<String> for Seed {
    type Error = Unclear;

    /// # Errors
    /// [`Unclear`] for anything but 64 small hexadecimal digits.
    fn try_from(text: String) -> Result<Self, Unclear> {
        if is_hex(&text) { Ok(Self(text)) } else { Err(Unclear::new("A seed is 64 digits from 0 to f.")) }
    }
}

impl TryFrom<String> for Seal {
    type Error = Unclear;

    /// # Errors
    /// [`Unclear`] for anything but 64 small hexadecimal digits.
    fn try_from(text: String) -> Result<Self, Unclear> {
        if is_hex(&text) { Ok(Self(text)) } else { Err(Unclear::new("A seal is 64 digits from 0 to f.")) }
    }
}

impl From<Seed> for String {
    fn from(seed: Seed) -> Self {
        seed.0
    }
}

impl From<Seal> for String {
    fn from(seal: Seal) -> Self {
        seal.0
    }
}
