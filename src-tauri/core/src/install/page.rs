//! What the page of a permanent install shows: every number with its unit, every verdict with its reason.

mod proof;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use self::proof::{
    AnswerOffered, BeforeReading, BeforeView, CheckView, HeardBefore, JackLine, JackView, ProofReading, ProofView,
};
use super::fold::InstallState;
use super::plan::{PlanForm, SelectorOffered};
use super::slips::StatedIn;
use crate::audition::{IronView, SoundView, Status};
use crate::entry_lines::lines::EntryLine;
use crate::physics::drawing::Drawn;
use crate::record::facts::BenchFact;
use crate::record::guitar::GuitarId;
use crate::record::install::{InstallBasis, InstallId, InstallStep, InstallTask};
use crate::record::leads::Contact;
use crate::record::names::EntryId;
use crate::record::pickup::PickupId;
use crate::record::quantity::InInches;
use crate::record::rig::Mode;
use crate::record::tick::Tick;
use crate::record::verdict::Verdict;
use crate::safety::holds::SafetyHold;

/// Where a pickup lives.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct LivesIn {
    /// The guitar.
    pub guitar: GuitarId,
    /// The place in it.
    pub place: String,
    /// "in Wren, bridge".
    pub words: String,
}

/// The pickup that comes out, where no record tells of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct Unrecorded {
    /// What it is for, in a sentence.
    pub sentence: String,
    /// What it may be called.
    pub label: String,
    /// Where it came from, as its record says it.
    pub came_from: String,
    /// What is known of it, as its record says it.
    pub notes: String,
}

/// What is ticked, told and done before and at the hot iron, and before the sound comes up and goes down.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub enum IronAct {
    /// Ticks an item of the stop list.
    TickOff {
        /// The item.
        tick: Tick,
        /// Words that go with it; may be empty.
        words: String,
    },
    /// Ticks several items that were said aloud one after the other; none on which a hold hangs.
    TickTogether {
        /// The items.
        ticks: Vec<Tick>,
    },
    /// Tells a fact of the bench.
    Tell {
        /// The fact.
        told: BenchFact,
    },
    /// Says that a caution was read.
    Acknowledge {
        /// The caution's name.
        caution: String,
        /// Its cause, as the caution was shown with.
        cause: String,
    },
    /// Passes a hold on one's own responsibility.
    OverrideHold {
        /// The hold.
        hold: SafetyHold,
        /// Why.
        why: String,
    },
    /// Switches the iron on.
    LightIron {},
    /// Says that the iron is off and in its stand.
    IronOff {},
}

/// One permanent install, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct InstallView {
    /// Its name for good.
    pub id: InstallId,
    /// "Lantern stack into Wren, bridge".
    pub title: String,
    /// When it was begun.
    #[ts(type = "string | null")]
    pub begun: Option<DateTime<Utc>>,
    /// When it was written in last.
    #[ts(type = "string | null")]
    pub last: Option<DateTime<Utc>>,
    /// Open, done, given up or struck out.
    pub state: InstallState,
    /// The entry that struck its beginning out; striking that one out brings it back.
    pub struck_out: Option<EntryId>,
    /// Why it was given up.
    pub given_up_because: Option<String>,
    /// What came of it, in sentences, once it is done.
    pub outcome: Vec<String>,
    /// Whether it belongs to the demo bench.
    pub demo: bool,
    /// What goes where.
    pub on: InstallBasis,
    /// What the audition is called that it rests on.
    pub audition_title: String,
    /// What comes out and is in no record, to be recorded with what is known of it; nothing once the install is over.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub unrecorded: Option<Unrecorded>,
    /// What the audition did not prove, in sentences.
    pub unproven: Vec<String>,
    /// The step to go on with.
    pub next: Option<InstallStep>,
    /// The thirteen steps.
    pub steps: Vec<InstallStepView>,
    /// The guitar as it was.
    pub before: BeforeView,
    /// The plan.
    pub plan: PlanView,
    /// Which way round it is set in, in sentences; what the rig had changed comes last.
    pub way_round: Vec<String>,
    /// The same in inches, one for each; nothing for one that tells no length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Option<InInches>>>", optional)]
    pub way_round_in_inches: Vec<Option<InInches>>,
    /// The pickup as it lies installed, drawn; nothing where nothing is known to draw.
    pub way_drawn: Option<Drawn>,
    /// Phase and hum.
    pub phase: PhaseView,
    /// Which lead goes where.
    pub hookup: HookupView,
    /// Will it fit, a line a check.
    pub room: Vec<CheckedLine>,
    /// What to expect at the jack.
    pub jack: JackView,
    /// Parts and tools.
    pub parts: PartsView,
    /// The parts that were chosen, in words; nothing where none were.
    pub circuit: Option<String>,
    /// Before the iron is lit, and while it is.
    pub iron: IronView,
    /// The sound at the finished wiring: its order, what can hurt, what holds it, today's hearing.
    pub sound: SoundView,
    /// The acts at the guitar as it was, before the iron.
    pub opening: Vec<ActView>,
    /// The acts at the open guitar, with the iron.
    pub acts: Vec<ActView>,
    /// The proof.
    pub proof: ProofView,
    /// The acts after the proof.
    pub closing: Vec<ActView>,
    /// What the ear finds out once strings are on: phase and hum.
    pub strung: Vec<CheckView>,
    /// What the audition noted, mode by mode, with the question whether it is still so.
    pub listen: Vec<HeardBefore>,
    /// What will change when it is done, in sentences.
    pub will_change: Vec<String>,
    /// Everything that was written, oldest first, struck-out lines included.
    pub written: Vec<EntryLine>,
    /// How many entries a newer version wrote.
    pub newer: usize,
}

/// A step of an install and how it stands.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct InstallStepView {
    /// Which.
    pub step: InstallStep,
    /// Its name.
    pub name: String,
    /// Why there is such a step.
    pub reason: String,
    /// How it stands.
    pub status: Status,
    /// What is not proven or not right in it, in sentences; passing it then needs a reason.
    pub open: Vec<String>,
    /// What can't be told by what is known, although all was done or before anything is tapped; it takes no reason to go on.
    pub unsure: Vec<String>,
    /// The reason with which it was passed although something was open.
    pub passed: Option<String>,
    /// What a later change made worthless.
    pub invalidated: Option<String>,
    /// Which earlier steps are not over, as a sentence, when this one is looked at before its turn.
    pub before: Option<String>,
    /// All of it as it is read aloud.
    pub spoken: String,
}

/// How the new pickup is wired, and how it could be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct PlanView {
    /// Whether a pickup sits at each place of which the guitar's record says nothing: to be answered before the plan.
    pub asked: Vec<CheckView>,
    /// As it was said, to be changed; the first suggestion before that.
    pub form: PlanForm,
    /// Whether somebody said it.
    pub chosen: bool,
    /// In words; empty before it was said.
    pub words: String,
    /// The modes this pickup can give, each with what it comes to.
    pub modes: Vec<ModeOffered>,
    /// Ready-made switches.
    pub switches: Vec<SwitchOffered>,
    /// What the guitar's own selector can do; nothing where it has none.
    pub selector: Option<SelectorOffered>,
    /// What the plan can give of what it asks for, and what not.
    pub verdict: Option<Verdict>,
    /// The guitar's controls in a line.
    pub controls: String,
}

/// A mode to choose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct ModeOffered {
    /// The mode.
    pub mode: Mode,
    /// What was noted of it in the audition, or that it was not heard.
    pub words: String,
    /// Why it gives no sound with these leads, in a sentence.
    pub silent: Option<String>,
}

/// A ready-made switch to choose.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct SwitchOffered {
    /// What the trade calls it.
    pub switch: String,
    /// The names of its positions.
    pub positions: Vec<String>,
    /// What each position gives as a start, in their order.
    pub modes: Vec<Mode>,
}

/// Phase and hum against the pickups that stay.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct PhaseView {
    /// Where things stand, in a sentence.
    pub sentence: String,
    /// Each pair in each position that joins two places.
    pub pairs: Vec<TogetherView>,
    /// What tap and compass are asked about the pickups that stay.
    pub checks: Vec<CheckView>,
}

/// Two pickups together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct TogetherView {
    /// "bridge in series, with neck, selector in both".
    pub title: String,
    /// The record of the one that stays, where there is one.
    pub record: Option<PickupId>,
    /// In phase or not.
    pub phase: Verdict,
    /// Whether hum is cancelled.
    pub hum: Verdict,
    /// What mends it or settles it, in sentences.
    pub what_to_do: Vec<String>,
}

/// Which lead goes where.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct HookupView {
    /// What is wrong with it or keeps it from being told; nothing where it can be soldered like this.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub verdict: Option<Verdict>,
    /// One line a joint: what is soldered at one spot. That is how many joints there are.
    pub joints: Vec<JointLine>,
    /// Leads that stay unused, each to be insulated.
    pub insulated: Vec<Contact>,
    /// The same, drawn.
    pub drawn: Option<Drawn>,
    /// What each position of the switch gives, in sentences.
    pub gives: Vec<String>,
    /// What has to be known of it, in sentences.
    pub notes: Vec<String>,
    /// The acts of soldering it, a sentence each, in their order.
    pub steps: Vec<String>,
    /// How many of the wires are jumpers, each with a joint at both ends.
    pub jumpers: u8,
}

/// One joint.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct JointLine {
    /// Leads and jumpers that meet, by name.
    pub what: String,
    /// Where.
    pub at: String,
}

impl JointLine {
    /// Where leads go that meet in a joint of their own: nothing else holds it, or keeps it from touching.
    pub(super) const EACH_OTHER: &str = "each other, and insulated";
}

/// Something that was compared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct CheckedLine {
    /// What was looked at.
    pub name: String,
    /// What it comes to.
    pub verdict: Verdict,
    /// Its sentence in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub in_inches: Option<InInches>,
    /// Sizes that nobody has measured, to be written down here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<MissingSize>>", optional)]
    pub missing: Vec<MissingSize>,
    /// The records that say too little of it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<StatedIn>>", optional)]
    pub records: Vec<StatedIn>,
}

/// A size that is missing in a record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct MissingSize {
    /// In whose record.
    pub of: StatedIn,
    /// Which.
    pub size: SizeOf,
}

/// A size of a pickup or of its opening.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum SizeOf {
    /// Across the strings.
    Length,
    /// Along the strings.
    Width,
    /// Depth.
    Depth,
}

/// Parts and tools.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct PartsView {
    /// What goes into the guitar.
    pub parts: Vec<String>,
    /// What lies on the bench.
    pub tools: Vec<String>,
    /// What is made ready while the iron is cold, in sentences.
    pub ready: Vec<String>,
    /// The same in inches, one for each; nothing for one that tells no length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Option<InInches>>>", optional)]
    pub ready_in_inches: Vec<Option<InInches>>,
}

/// One act.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct ActView {
    /// Which.
    pub act: InstallTask,
    /// `2 of 8`.
    pub number: String,
    /// What to do.
    pub say: String,
    /// How it is done well.
    pub how: String,
    /// What can hurt in it.
    pub caution: String,
    /// What this install needs in it: the joints, the heights, the way round.
    pub here: Vec<String>,
    /// The same in inches, one for each; nothing for one that tells no length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Option<InInches>>>", optional)]
    pub here_in_inches: Vec<Option<InInches>>,
    /// What it waits for; nothing when it can be done.
    pub waits: Option<String>,
    /// When it was done.
    #[ts(type = "string | null")]
    pub done: Option<DateTime<Utc>>,
    /// Words that went with it.
    pub words: String,
    /// All of it as it is read aloud.
    pub spoken: String,
}

impl CheckedLine {
    /// A line of which no record misses anything.
    pub(super) fn new(name: &str, verdict: Verdict) -> Self {
        Self { name: name.to_owned(), verdict, in_inches: None, missing: Vec::new(), records: Vec::new() }
    }
}
