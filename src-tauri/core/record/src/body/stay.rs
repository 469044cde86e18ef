//! Entries about where a pickup lives.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::guitar::GuitarId;
use crate::install::InstallId;
use crate::pickup::PickupId;

/// Where a pickup lives from an install on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum StayBody {
    /// A pickup went into a guitar for good.
    Installed {
        /// The guitar.
        guitar: GuitarId,
        /// The place in it.
        place: String,
        /// The permanent install that did it.
        fit: InstallId,
    },
    /// A pickup came out of a guitar.
    TakenOut {
        /// The guitar.
        guitar: GuitarId,
        /// The place it sat at.
        place: String,
        /// The permanent install that did it.
        fit: InstallId,
    },
    /// A place of a guitar holds another pickup now.
    Fitted {
        /// The place.
        place: String,
        /// The pickup that sits there now; nothing when none of the records does.
        pickup: Option<PickupId>,
        /// What sits there now, in words, where no record tells of it; may be empty.
        words: String,
        /// The pickup that sat there before, if it was one of the records.
        came_out: Option<PickupId>,
        /// What sat there before, in words; may be empty.
        came_out_words: String,
        /// The permanent install that did it.
        fit: InstallId,
    },
}
