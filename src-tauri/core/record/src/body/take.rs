//! Entries about recordings.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::take::{KeptSound, Recorded};

/// What is recorded of a pickup: in an audition, loose or installed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum TakeBody {
    /// A take, kept beside the log.
    TakeKept {
        /// The kept file.
        sound: KeptSound,
        /// How it was made.
        recorded: Recorded,
    },
}
