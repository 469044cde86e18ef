//! Entries about what is done at the bench.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::audition::PhotoKind;
use crate::facts::BenchFact;
use crate::names::EntryId;
use crate::photo::PhotoName;
use crate::sound::LevelTold;
use crate::tick::Tick;

/// What is done and told at the bench, in an audition or at an install.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum BenchBody {
    /// One item of a spoken order was done.
    Ticked {
        /// The item.
        tick: Tick,
        /// Words that go with it, such as what the finish looked like; may be empty.
        words: String,
    },
    /// Several items of one stop list, said aloud one after the other and ticked in one act.
    TickedTogether {
        /// The items, in the order of the list.
        ticks: Vec<Tick>,
    },
    /// A fact of the bench that cautions hang on.
    Told {
        /// The fact.
        told: BenchFact,
    },
    /// How loud it is at the ear, from now on.
    LevelTold {
        /// The level.
        level: LevelTold,
    },
    /// A time with the sound up was longer, shorter or of another level than the log says.
    ListeningCorrected {
        /// The entry with which the sound came up.
        session: EntryId,
        /// How long it really was, in minutes; nothing when that was right.
        minutes: Option<f64>,
        /// How loud it really was; nothing when that was right.
        level: Option<LevelTold>,
    },
    /// A photo of the finish, or of a guitar's wiring, kept beside the log.
    PhotoTaken {
        /// Before the rig stood there, after, or of the wiring.
        look: PhotoKind,
        /// The photo, by its content.
        photo: PhotoName,
    },
    /// The soldering iron was switched on.
    IronLit {},
    /// The soldering iron is off and in its stand.
    IronOff {},
    /// A caution was read.
    CautionAcknowledged {
        /// The caution's name.
        caution: String,
        /// What made it apply, so that it is shown again when that changes.
        cause: String,
    },
    /// A hold was passed on somebody's own responsibility.
    HoldOverridden {
        /// The hold's name.
        hold: String,
        /// The person's reason.
        why: String,
    },
}
