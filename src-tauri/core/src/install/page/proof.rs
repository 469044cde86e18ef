//! Readings at the jack, before and after, and what is proven by ear and by eye.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::{PhotoView, ProbedLine};
use crate::install::slips::InstallSlip;
use crate::physics::wiring::{Proof, ProofNext};
use crate::record::install::InstallAnswer;
use crate::record::names::EntryId;
use crate::record::quantity::{InInches, Ohms};
use crate::record::rig::Mode;
use crate::record::verdict::Verdict;
use crate::record::wiring::JackSet;
use crate::safety::cautions::CautionView;

/// The guitar as it was before anything in it was unsoldered.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct BeforeView {
    /// How to measure.
    pub how: String,
    /// Every position that is worth a reading, in order.
    pub readings: Vec<BeforeReading>,
    /// The next one to read.
    pub next: Option<JackSet>,
    /// The room's temperature as typed last, shown.
    pub room: Option<String>,
    /// What the readings tell of each pickup, solved back through the pots, in sentences.
    pub known: Vec<String>,
    /// Photos of the wiring, in the order they were taken.
    pub photos: Vec<PhotoView>,
}

/// One reading of the guitar as it was.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct BeforeReading {
    /// The position.
    pub at: JackSet,
    /// The position in words.
    pub words: String,
    /// The reading, shown.
    pub reading: Option<String>,
    /// The entry that holds it.
    pub entry: Option<EntryId>,
}

/// What to expect at the jack.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct JackView {
    /// How to measure.
    pub how: String,
    /// One line a position of selector, switch and volume.
    pub lines: Vec<JackLine>,
    /// What has to be known of it, in sentences.
    pub notes: Vec<String>,
}

/// One expected reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct JackLine {
    /// The position.
    pub at: JackSet,
    /// The position in words.
    pub words: String,
    /// `7.75 kΩ, 7.1 to 8.3 kΩ`, or what else it shows.
    pub shown: String,
    /// Why; may be empty.
    pub why: String,
}

/// The proof.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct ProofView {
    /// Every reading that is wanted, in the order in which it is taken.
    pub readings: Vec<ProofReading>,
    /// The next one to take.
    pub next: Option<JackSet>,
    /// What all readings come to together.
    pub verdict: Option<Verdict>,
    /// What is to be asked first, where a slip of the pen would explain the readings.
    pub slip: Option<InstallSlip>,
    /// What is wrong and what to do, where something may be.
    pub diagnosis: Option<Proof>,
    /// What was probed beside, in the order it was.
    pub probed: Vec<ProbedLine>,
    /// What may be measured beside the positions at any time: the bridge, pot cases, across each joint.
    pub beside: Vec<ProofNext>,
    /// What comes before anything is mended; nothing while nothing is wrong.
    pub mend: Option<String>,
    /// What is found out by ear without strings.
    pub checks: Vec<CheckView>,
    /// What can hurt while it is tried out.
    pub cautions: Vec<CautionView>,
    /// The meter and its claim, in words.
    pub meter: String,
    /// The room's temperature as typed last, shown.
    pub room: Option<String>,
}

/// One reading of the proof.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct ProofReading {
    /// The position.
    pub at: JackSet,
    /// The position in words.
    pub words: String,
    /// What to expect.
    pub expected: String,
    /// The least and the most to be expected, in ohms, where that is known.
    pub plausible: Option<[Ohms; 2]>,
    /// The reading, shown.
    pub reading: Option<String>,
    /// The entry that holds it.
    pub entry: Option<EntryId>,
    /// What it comes to.
    pub verdict: Option<Verdict>,
}

/// A question that ear or eye answers.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct CheckView {
    /// The question.
    pub asked: String,
    /// How it is found out.
    pub how: String,
    /// The answers to pick from.
    pub answers: Vec<AnswerOffered>,
    /// What the answer comes to.
    pub verdict: Option<Verdict>,
}

/// An answer to pick.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct AnswerOffered {
    /// The answer.
    pub answer: InstallAnswer,
    /// Its words.
    pub words: String,
    /// Whether it was given.
    pub chosen: bool,
}

/// What was noted of a mode in the audition.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct HeardBefore {
    /// The mode.
    pub mode: Mode,
    /// Each quality that was rated, in words.
    pub rated: Vec<String>,
    /// The words.
    pub note: String,
    /// What it was heard in.
    pub heard_in: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub heard_in_inches: Option<InInches>,
    /// Whether it is still so.
    pub check: CheckView,
}
