//! Pages and lines of replies.

mod things;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use self::things::{GuitarLine, GuitarPage, MeasuredCoil, PickupLine, PickupPage, PlaceShown, RigLine, RigPage};
use crate::ask::forms::meter::MeterForm;
use crate::audition::{CameTo, State};
use crate::logbook::{InstallLine, Line, Notice};
use crate::record::audition::{AuditionId, Choice, Step};
use crate::record::entry::About;
use crate::record::install::InstallId;
use crate::record::names::BenchId;
use crate::record::quantity::{InInches, Length};
use crate::record::seat::FinishAnswer;
use crate::record::strike::Struck;
use crate::safety::cautions::CautionView;
use crate::safety::finish::CountdownView;
use crate::safety::hearing::{HearingRule, HearingToday};
use crate::safety::holds::HoldView;

/// The meter in use.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct MeterPage {
    /// Its label and its claim, in words.
    pub shown: String,
    /// How far a reading of 6.66 kΩ may lie off, in words.
    pub example: String,
    /// The form, filled in.
    pub form: MeterForm,
    /// Whether somebody described it; otherwise it is the plain one that is taken for granted.
    pub described: bool,
}

/// A bench that wrote this log.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/bench.ts")]
pub struct NamedBench {
    /// Which.
    pub bench: BenchId,
    /// What it is called; no two are called the same.
    pub name: String,
    /// Whether somebody gave it that name.
    pub named: bool,
    /// Whether it is this one.
    pub this: bool,
}

/// What can be chosen to look for in the logbook, beside pickups, guitars and days.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct Choosable {
    /// Places that auditions were at, each once, whatever its case.
    pub places: Vec<String>,
    /// Modes of all rigs, each once.
    pub modes: Vec<String>,
    /// What readings can come to.
    pub proofs: Vec<NamedProof>,
    /// How an audition can stand.
    pub states: Vec<NamedState>,
    /// Benches that wrote in auditions, where there are several.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<NamedBench>>", optional)]
    pub benches: Vec<NamedBench>,
}

/// What readings can come to, with its name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct NamedProof {
    /// What.
    pub proof: CameTo,
    /// In words.
    pub name: String,
}

/// How an audition can stand, with its name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct NamedState {
    /// How.
    pub state: State,
    /// In words.
    pub name: String,
}

/// Who listens, as a page shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/safety.ts")]
pub struct ListenerView {
    /// The rule that counts.
    pub rule: HearingRule,
    /// The rules to choose from, the most careful first.
    pub rules: Vec<RuleView>,
    /// How many minutes the person's clock is ahead of UTC now.
    pub minutes_ahead: i32,
    /// The time zone of the person's clock, by its IANA name: it says when their day begins, also when clocks change.
    pub zone: Option<String>,
    /// Today's hearing, over all auditions.
    pub today: HearingToday,
}

/// One rule to choose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/safety.ts")]
pub struct RuleView {
    /// Which.
    pub rule: HearingRule,
    /// What it says, in a sentence.
    pub words: String,
    /// The document it is from.
    pub source: String,
}

/// An audition or a permanent install whose beginning was struck out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct StruckLine {
    /// Which.
    pub about: About,
    /// "Lantern stack into Wren, bridge"; for an audition that it has no pickup now.
    pub title: String,
    /// What was struck out, in words.
    pub words: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub in_inches: Option<InInches>,
    /// When it was written.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// The strike-out; striking that out brings it back.
    pub struck: Struck,
}

/// The gaps of an earlier audition.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct EarlierGaps {
    /// Which audition.
    pub audition: AuditionId,
    /// "Pickup on guitar, place".
    pub title: String,
    /// When its gaps were measured.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// At the bass side.
    pub bass: Length,
    /// At the treble side.
    pub treble: Length,
    /// Whether the strings were open or pressed, in words.
    pub pressed: String,
}

/// What was answered last time with the same guitar and rig. A page shows all of it, and somebody says that it is so again.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct LastTime {
    /// The newest audition that is told of.
    pub audition: AuditionId,
    /// "Pickup on guitar, place".
    pub title: String,
    /// When it was begun.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// What was chosen in it.
    pub choice: Choice,
    /// The guitar, the rig, the place and the modes, in words.
    pub choice_words: String,
    /// The answer for the finish, without what it looked like then.
    pub finish: Option<FinishAnswer>,
    /// That answer in words; empty without one.
    pub finish_words: String,
    /// The amplifier and its settings; empty where they were not told.
    pub amp: String,
    /// The room's temperature, shown.
    pub room: Option<String>,
    /// Cautions that were read in it, by name.
    pub cautions: Vec<String>,
}

/// What is going on at the bench.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/bench.ts")]
pub struct BenchView {
    /// Auditions that go on, the one written in last first.
    pub go_on: Vec<GoOn>,
    /// How many pickups are in use.
    pub pickups: usize,
    /// How many guitars are in use.
    pub guitars: usize,
    /// How many rigs are in use.
    pub rigs: usize,
    /// Whether the demo bench is loaded.
    pub demo: bool,
    /// Rigs that stand on a finish, the one whose time is over first coming first.
    pub on_finish: Vec<OnFinish>,
    /// Auditions in which the sound is up.
    pub sounding: Vec<AuditionId>,
    /// Installs in which the sound is up now.
    pub sounding_fits: Vec<InstallId>,
    /// Irons that were lit and not said to be off.
    pub irons: Vec<IronOn>,
    /// Today's hearing, over all auditions.
    pub hearing: HearingToday,
    /// What the person must know about the log.
    pub notices: Vec<NumberedNotice>,
    /// Why the date of this computer may be wrong, and what follows from that; nothing when nothing speaks for it.
    pub clock: Option<String>,
    /// The newest auditions that are over.
    pub recent: Vec<Line>,
    /// Permanent installs that go on, the one written in last first.
    pub fits: Vec<InstallLine>,
}

/// A soldering iron that is on.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/bench.ts")]
pub struct IronOn {
    /// The audition or the permanent install it was lit for.
    pub about: About,
    /// What that is called.
    pub title: String,
    /// Since when.
    #[ts(type = "string")]
    pub since: DateTime<Utc>,
}

/// A rig that stands on a finish.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/bench.ts")]
pub struct OnFinish {
    /// The audition it stands there for.
    pub audition: AuditionId,
    /// "Pickup on guitar, place".
    pub title: String,
    /// How the time stands.
    pub countdown: CountdownView,
}

/// What can hurt at one open audition, at any of its steps, or at a bench on which nothing is open.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/bench.ts")]
pub struct BenchNow {
    /// The audition, if there is one.
    pub audition: Option<AuditionId>,
    /// What it is called.
    pub title: String,
    /// What holds its next acts.
    pub holds: Vec<HoldView>,
    /// What can hurt, worst first.
    pub cautions: Vec<CautionView>,
}

/// An audition to go on with.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/bench.ts")]
pub struct GoOn {
    /// The audition.
    pub line: Line,
    /// The step to go on with.
    pub step: Step,
    /// Its name.
    pub step_name: String,
    /// What it waits for.
    pub what: String,
    /// How many steps are done or left out, of nine.
    pub steps_over: usize,
}

/// A notice with its number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/bench.ts")]
pub struct NumberedNotice {
    /// Its number, to put it away.
    #[ts(type = "number")]
    pub number: i64,
    /// What it says.
    pub notice: Notice,
}

/// Something typed and not yet recorded.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/bench.ts")]
pub struct Draft {
    /// Where it was typed.
    pub key: String,
    /// The text.
    pub text: String,
}
