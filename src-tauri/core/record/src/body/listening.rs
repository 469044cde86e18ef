//! Entries about what was heard.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::audition::AuditionId;
use crate::listening::Quality;
use crate::listening::Than;
use crate::rig::Mode;

/// What is heard in an audition, and through what.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum ListeningBody {
    /// One quality of the sound in one mode, on a five-step scale.
    Rated {
        /// The mode heard.
        mode: Mode,
        /// What was rated.
        quality: Quality,
        /// 1 to 5.
        value: u8,
    },
    /// Words about the sound in one mode; the latest stand.
    NoteWritten {
        /// The mode heard.
        mode: Mode,
        /// The words.
        words: String,
    },
    /// What the sound went through: amplifier and settings, in words.
    AmpDescribed {
        /// The words.
        words: String,
    },
    /// One quality of the sound in one mode, beside that of the pickup which is fitted at the place now.
    RatedAgainstFitted {
        /// The mode heard.
        mode: Mode,
        /// What was rated.
        quality: Quality,
        /// Less, the same or more than the fitted one has.
        than: Than,
    },
    /// The notes of the reference were looked at while this audition was heard.
    ReferenceLookedAt {
        /// The reference.
        reference: AuditionId,
        /// The mode that was heard.
        mode: Mode,
    },
}
