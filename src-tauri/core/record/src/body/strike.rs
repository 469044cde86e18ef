//! Entries about what no longer counts.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::names::EntryId;

/// What no longer counts.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum StrikeBody {
    /// An entry no longer counts; it stays readable.
    StruckOut {
        /// The entry.
        entry: EntryId,
        /// Why; may be empty.
        why: String,
    },
}
