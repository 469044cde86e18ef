//! Entries about a permanent install.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::install::InstallAnswer;
use crate::install::InstallBasis;
use crate::install::InstallStep;
use crate::install::InstallTask;
use crate::parts::CircuitParts;
use crate::pickup::PickupId;
use crate::quantity::Celsius;
use crate::quantity::Reading;
use crate::wiring::JackProbe;
use crate::wiring::JackSet;
use crate::wiring::Plan;

/// What is planned, done and measured at a permanent install.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum InstallBody {
    /// A permanent install was begun.
    FitBegun {
        /// What goes where, and the audition it rests on.
        on: InstallBasis,
    },
    /// How the new pickup is to be wired.
    FitPlanned {
        /// The plan.
        plan: Plan,
    },
    /// The parts that were chosen between the new pickup and the amplifier.
    FitPartsChosen {
        /// All of them.
        parts: CircuitParts,
    },
    /// A meter reading at the guitar's jack.
    JackRead {
        /// Where selector, switch and volume stood.
        at: JackSet,
        /// What the meter showed.
        reading: Reading,
        /// The letters that were typed.
        typed: String,
        /// The temperature of the room, if it was measured.
        room: Option<Celsius>,
        /// Somebody was asked whether it is so, and said yes.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        sure: bool,
    },
    /// A meter reading at the guitar's jack, before anything in it was unsoldered.
    JackReadBefore {
        /// Where selector and volume stood.
        at: JackSet,
        /// What the meter showed.
        reading: Reading,
        /// The letters that were typed.
        typed: String,
        /// The temperature of the room, if it was measured.
        room: Option<Celsius>,
    },
    /// A meter reading inside the guitar, to find what is wrong.
    FitProbed {
        /// Where the probes were.
        probe: JackProbe,
        /// What the meter showed.
        reading: Reading,
        /// The letters that were typed.
        typed: String,
    },
    /// Somebody can't measure what was asked for: it is asked for no more until it is measured after all.
    FitCantProbe {
        /// Where the probes were to be put.
        probe: JackProbe,
    },
    /// A step of a permanent install is over.
    FitStepOver {
        /// The step.
        step: InstallStep,
        /// Why it is passed although something in it is not proven; empty when nothing is open.
        why: String,
        /// What the step showed, in short: the tick holds as long as it shows the same. Nothing where it holds whatever it shows.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        cause: Option<String>,
    },
    /// An act of a permanent install was done.
    FitActDone {
        /// The act.
        act: InstallTask,
        /// Words that go with it; may be empty.
        words: String,
    },
    /// Something was found out by ear at the finished wiring.
    FitAnswered {
        /// The answer, with its question.
        answer: InstallAnswer,
    },
    /// A permanent install is done.
    FitDone {
        /// Words about it; may be empty.
        words: String,
        /// The pickup that came out, if it was one of the records.
        came_out: Option<PickupId>,
    },
    /// A permanent install was given up.
    FitGivenUp {
        /// Why.
        why: String,
    },
}
