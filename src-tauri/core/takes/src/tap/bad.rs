//! Why nothing follows from a recording of taps.

use solderlast_record::take::time_shown;

use super::By;
use crate::file::Unreadable;

/// Why nothing follows from a recording of taps.
#[derive(Debug, Clone, PartialEq)]
pub enum Bad {
    /// No sound can be read from it.
    Unreadable {
        /// Why.
        why: Unreadable,
    },
    /// What is hard to hear was thrown away, or a part is missing.
    Altered,
    /// It goes on for too long.
    TooLong,
    /// Its tops are cut flat.
    Clipped,
    /// There are not three taps in it.
    Count {
        /// How many there are.
        found: usize,
    },
    /// Something swings before a tap does.
    Unclear {
        /// When, in seconds.
        at: f64,
    },
    /// One of three swings the other way.
    Differ {
        /// When, in seconds.
        at: f64,
    },
}

impl Bad {
    /// A stable name.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::Unreadable { why } => why.code(),
            Self::Altered => "taps_altered",
            Self::TooLong => "taps_too_long",
            Self::Clipped => "taps_clipped",
            Self::Count { .. } => "taps_count",
            Self::Unclear { .. } => "taps_unclear",
            Self::Differ { .. } => "taps_differ",
        }
    }

    /// What it is, and what to do.
    #[must_use]
    pub fn sentence(&self, by: By) -> String {
        let (one, some) = match by {
            By::Steel => ("tap", "taps"),
            By::Cell => ("touch", "touches"),
        };
        match self {
            Self::Unreadable { why } => why.sentence(),
            Self::Altered => {
                format!("The file is cut off, or threw away what is hard to hear. Record the {some} as WAV or FLAC.")
            }
            Self::TooLong => format!("It is longer than 30 seconds. Record three {some} alone."),
            Self::Clipped => format!("It is clipped. Turn the input gain down, and {one} three times again."),
            Self::Count { found: 0 } => {
                let check = match by {
                    By::Steel => "Check the clips, turn the gain up, and knock harder on the poles with plain steel.",
                    By::Cell => {
                        "Check the clips and the cell, turn the gain up, and touch the tip for a moment each time."
                    }
                };
                format!("No {one} is heard in it. {check} Wait a second before the first.")
            }
            Self::Count { found } => {
                let heard = if *found == 1 { format!("One {one} is") } else { format!("{found} {some} are") };
                let again = match by {
                    By::Steel => "Knock three times, a second apart, as hard each time, and touch nothing else.",
                    By::Cell => "Touch three times, a second apart, for a moment each, and move nothing else.",
                };
                format!("{heard} heard in it, and not three. {again} Wait a second before the first.")
            }
            Self::Unclear { at } => {
                let hold = match by {
                    By::Steel => "the pickup and the cable",
                    By::Cell => "the cable",
                };
                let at = time_shown(*at);
                format!("Something moves before the {one} at {at}. Hold {hold} still, and {one} three times again.")
            }
            Self::Differ { at } => {
                let (goes, hold) = match by {
                    By::Steel => ("swings", "Hold the pickup still, knock straight down,"),
                    By::Cell => ("goes", "Hold the cable still,"),
                };
                let at = time_shown(*at);
                format!(
                    "The {one} at {at} {goes} the other way than the other two. {hold} and {one} three times again."
                )
            }
        }
    }
}

impl From<Unreadable> for Bad {
    fn from(why: Unreadable) -> Self {
        Self::Unreadable { why }
    }
}
