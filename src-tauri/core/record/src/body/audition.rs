//! Entries about an audition.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::audition::Choice;
use crate::audition::FinalPlace;
use crate::audition::HookedUp;
use crate::audition::Step;
use crate::gaps::GapAim;
use crate::gaps::GapsMeasured;
use crate::gaps::LevelReading;
use crate::meter::Probe;
use crate::mounting::Mounting;
use crate::note::Note;
use crate::quantity::Celsius;
use crate::quantity::Reading;
use crate::rig::Mode;
use crate::seat::FinishAnswer;
use crate::seat::Seating;

/// What is chosen, set up and measured in an audition.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum AuditionBody {
    /// What is auditioned, where and why.
    Chosen {
        /// The choice.
        choice: Choice,
    },
    /// How the pickup lies in the rig.
    Mounted {
        /// The mounting, as confirmed.
        mounting: Mounting,
    },
    /// Which leads are in a terminal.
    HookedUp {
        /// The terminal and its leads.
        hooked: HookedUp,
    },
    /// A meter reading at the rig's output.
    ReadingTaken {
        /// The switch position it was taken in.
        mode: Mode,
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
    /// A meter reading taken elsewhere than at the output, or there with special care, to find what is wrong.
    Probed {
        /// Where the probes were.
        probe: Probe,
        /// What the meter showed.
        reading: Reading,
        /// The letters that were typed.
        typed: String,
        /// Somebody was asked whether it is so, and said yes.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        sure: bool,
    },
    /// Something on the rig was mended: what was measured before tells of how it was.
    Mended {
        /// What was mended, in words; may be empty.
        what: String,
    },
    /// What was found out about the finish before the rig touched it.
    FinishAsked {
        /// The answer.
        answer: FinishAnswer,
    },
    /// The rig stands on the guitar.
    Seated {
        /// How it stands.
        seating: Seating,
    },
    /// The gaps as they are now.
    GapsMeasured {
        /// The gaps.
        gaps: GapsMeasured,
    },
    /// The gaps to turn the studs for; nothing for the middle of the starting range.
    GapsAimed {
        /// The gaps.
        aim: Option<GapAim>,
    },
    /// A level read at a known gap.
    LevelRead {
        /// The gap and the level.
        level: LevelReading,
    },
    /// The strings are tuned otherwise than the guitar's record says.
    Tuned {
        /// One note a string, bass side first.
        notes: Vec<Note>,
    },
    /// Where the pickup will be installed.
    FinalPlaceChosen {
        /// The place.
        place: FinalPlace,
    },
    /// A step was left out.
    StepSkipped {
        /// The step.
        step: Step,
        /// The person's reason.
        why: String,
    },
    /// A step that was left out is taken up after all.
    StepTakenUp {
        /// The step.
        step: Step,
    },
    /// The audition was ended before its last step.
    EndedEarly {
        /// Why.
        why: String,
    },
}
