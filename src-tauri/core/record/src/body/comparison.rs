//! Entries about auditions together.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::decision::Decision;

/// What is said of an audition beside others, and what is decided.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[expect(clippy::large_enum_variant, reason = "there is one decision for many entries, and a box would only cost")]
pub enum ComparisonBody {
    /// The audition is the reference from now on: the one that others are held against.
    ReferencePinned {},
    /// The audition is no longer the reference.
    ReferenceUnpinned {},
    /// Which pickup is to be installed at a place of a guitar, and why.
    Decided {
        /// The whole decision.
        decision: Decision,
    },
}
