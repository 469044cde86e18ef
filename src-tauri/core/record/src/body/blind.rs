//! Entries about blind tests.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::blind::{BlindPlan, Seed};
use crate::names::EntryId;

/// What is written of a blind test. A test goes by the name of the entry that planned it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum BlindBody {
    /// Before anything is heard: takes, number of trials, and the seal of the chance that orders them.
    BlindPlanned {
        /// The plan.
        plan: BlindPlan,
    },
    /// The answer to one trial, before anything is uncovered.
    BlindAnswered {
        /// The test.
        test: EntryId,
        /// Which trial, from 1.
        trial: u32,
        /// Which sound, from 1: the odd one, or the one that is nearer.
        sound: u8,
    },
    /// Names are shown from now on, and nothing is answered any more.
    BlindUncovered {
        /// The test.
        test: EntryId,
        /// The chance that ordered it.
        seed: Seed,
    },
}
