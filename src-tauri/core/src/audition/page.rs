//! An audition as a page shows it.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::gaps::GapsView;
use crate::audition::present::HearingView;
use crate::audition::questions::QuestionView;
use crate::audition::steps::{State, StepView};

use crate::entry_lines::lines::EntryLine;
use crate::listening::Reference;
use crate::physics::leads::HookupMap;
use crate::physics::meter::{Diagnosis, ModeExpectation};
use crate::physics::sides::Sides;
use crate::record::audition::{AuditionId, Choice, FinalPlace, HookedUp, PhotoKind, Step};
use crate::record::guitar::{FinishKind, Guitar, Surface};
use crate::record::leads::Contact;
use crate::record::listening::{Quality, Than};
use crate::record::mounting::{Lie, Mounting};
use crate::record::names::EntryId;
use crate::record::photo::PhotoName;
use crate::record::pickup::Pickup;
use crate::record::quantity::{InInches, Length, Ohms};
use crate::record::rig::{Feet, Mode, Rig};
use crate::record::seat::{Barrier, FinishAnswer, Seating};
use crate::record::tick::Tick;
use crate::record::verdict::Verdict;
use crate::safety::cautions::{CautionView, SignalWord};
use crate::safety::finish::{CountdownView, FinishVerdict, Slides};
use crate::safety::holds::HoldView;
use crate::safety::stop_lists::OrderView;

/// One audition, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct AuditionView {
    /// Its name for good.
    pub id: AuditionId,
    /// "Pickup on guitar, place".
    pub title: String,
    /// When it was begun.
    #[ts(type = "string | null")]
    pub begun: Option<DateTime<Utc>>,
    /// When it was written in last.
    #[ts(type = "string | null")]
    pub last: Option<DateTime<Utc>>,
    /// Open, finished or ended early.
    pub state: State,
    /// Why it was ended early.
    pub ended_because: Option<String>,
    /// The step to go on with.
    pub next: Option<Step>,
    /// Whether it belongs to the demo bench.
    pub demo: bool,
    /// What was chosen.
    pub choice: Option<Choice>,
    /// From the saddle to the pole line.
    pub from_saddle: Option<Length>,
    /// Where the pickup will be installed, if that was said.
    pub final_place: Option<FinalPlace>,
    /// The tuning as it was typed, when it is not the guitar record's; empty otherwise.
    pub tuning: String,
    /// The pickup as it was described then.
    pub pickup: Option<Pickup>,
    /// The guitar as it was described then.
    pub guitar: Option<Guitar>,
    /// The rig as it was described then.
    pub rig: Option<Rig>,
    /// Whether that has a switch to set; not where it is not known, or gives one mode.
    pub switched: bool,
    /// Where the bass strings are on a picture of this guitar.
    pub sides: Sides,
    /// The nine steps.
    pub steps: Vec<StepView>,
    /// Which way round.
    pub which_way: WhichWayView,
    /// Leads.
    pub leads: LeadsView,
    /// Meter.
    pub meter: MeterView,
    /// Seat the rig.
    pub seat: SeatView,
    /// Gaps.
    pub gaps: GapsView,
    /// Sound up.
    pub sound_up: OrderView,
    /// Listen.
    pub listen: ListenView,
    /// Take down.
    pub take_down: OrderView,
    /// Today's hearing, and the level at the ear.
    pub hearing: HearingView,
    /// How the time on the finish stands, while the rig stands on one.
    pub on_finish: Option<CountdownView>,
    /// Photos of the finish, in the order they were taken.
    pub photos: Vec<PhotoView>,
    /// Holds that were passed on somebody's own word, whether they still stand or not.
    pub overrides: Vec<OverrideView>,
    /// Before the iron is lit.
    pub iron: IronView,
    /// The cautions that were read, also those that apply no more.
    pub cautions_read: Vec<CautionRead>,
    /// Everything that was written, oldest first, struck-out lines included.
    pub written: Vec<EntryLine>,
    /// How many entries a newer version wrote.
    pub newer: usize,
    /// What was decided by it for its guitar, in words; nothing where nothing was, or no longer stands.
    pub decided: Option<String>,
    /// The same in inches.
    pub decided_in_inches: Option<InInches>,
}

/// How the pickup lies, and how it should.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct WhichWayView {
    /// As confirmed.
    pub mounting: Option<Mounting>,
    /// As confirmed, in words; empty before.
    pub words: String,
    /// The lie to begin to look from: the confirmed one, or as it comes out of the drawer.
    pub lie: Lie,
    /// Whether its ends can be told apart, as far as it was said.
    pub marked: bool,
    /// What to do, in a sentence.
    pub instruction: String,
    /// How the bass end is marked.
    pub mark: String,
    /// That neither end is marked, and which to mark before it is taken out of the rig.
    pub unmarked: Option<String>,
}

/// The terminal block.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct LeadsView {
    /// One row a terminal.
    pub terminals: Vec<TerminalView>,
    /// Every lead of the pickup, by name; the shield last.
    pub names: Vec<Contact>,
    /// Where the suggestion comes from.
    pub suggestion: String,
    /// What each mode does with the leads as they are in the terminals, or as suggested while none is; nothing where the
    /// ends are not known.
    pub hookup: Option<HookupMap>,
}

/// One terminal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct TerminalView {
    /// Its place on the block, counted from 0.
    pub terminal: u8,
    /// Its name on the block.
    pub name: String,
    /// The coil end that the lead there is by the pickup's record, or else the one that belongs there, in words.
    pub role: String,
    /// The leads that belong there, as far as they are known; while nobody has confirmed any, those of them that are in no other.
    pub suggested: Vec<Contact>,
    /// The leads that are there.
    pub hooked: Option<HookedUp>,
}

/// The readings beside what was expected.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct MeterView {
    /// One row a chosen mode, in the order of the rig's switch.
    pub modes: Vec<ModeReading>,
    /// The verdict on all readings together.
    pub verdict: Option<Verdict>,
    /// What is wrong and what to do, where something may be.
    pub diagnosis: Option<Diagnosis>,
    /// What was probed beside the ordinary readings, in the order it was.
    pub probed: Vec<ProbedLine>,
    /// What was measured before something was changed or mended, in the order it was; nothing is made of it any more.
    pub before: Vec<ProbedLine>,
    /// Asked where a mode reads other than it did while the others were not measured again.
    pub mended: Option<String>,
    /// The meter and its claim, in words.
    pub meter: String,
    /// What a resistance can't show.
    pub cannot_show: String,
    /// The room's temperature as typed last, shown.
    pub room: Option<String>,
}

/// A measurement beside the ordinary readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct ProbedLine {
    /// The entry that holds it.
    pub entry: EntryId,
    /// Where the probes were.
    pub words: String,
    /// The reading, shown.
    pub reading: String,
}

/// One mode's reading.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct ModeReading {
    /// The mode.
    pub mode: Mode,
    /// Sets of terminals joined in it, counted from 0.
    pub bonds: Vec<Vec<u8>>,
    /// Ground and tip of the output, counted from 0.
    pub output: [u8; 2],
    /// What to expect.
    pub expected: Option<ModeExpectation>,
    /// The least and the most that could be read here, in ohms: what is typed is held against it, so that a slip is asked
    /// about. Nothing where that is not known.
    pub plausible: Option<[Ohms; 2]>,
    /// The reading, shown.
    pub reading: Option<String>,
    /// The entry that holds it.
    pub entry: Option<EntryId>,
    /// What it comes to.
    pub verdict: Option<Verdict>,
}

/// The rig and the finish.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct SeatView {
    /// What was answered.
    pub finish: Option<FinishAnswer>,
    /// The same in words, its face and its age left out; empty where nothing was answered.
    pub finish_words: String,
    /// The guitar's finish as its record says.
    pub known_kind: FinishKind,
    /// The guitar's surface as its record says.
    pub known_surface: Surface,
    /// The feet the rig's record says.
    pub feet: Feet,
    /// How it was seated.
    pub seating: Option<Seating>,
    /// What may touch the finish, by the answer.
    pub guard: Option<FinishVerdict>,
    /// How to look at a finish, before and after.
    pub how_to_look: Vec<String>,
    /// How the guitar lies before the rig goes on, in a sentence.
    pub how_it_lies: String,
    /// On which feet and barriers a rig slides, so that something has to hold it.
    pub slides: Vec<Slides>,
    /// What to do where it slides.
    pub how_to_hold: String,
    /// What may lie between feet and finish, in words.
    pub between: Vec<BarrierWords>,
}

/// A caution that was read.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct CautionRead {
    /// Its signal word, as it is printed.
    pub word_shown: String,
    /// The hazard, in a few words.
    pub hazard: String,
}

/// What lies between feet and finish, in words.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct BarrierWords {
    /// Which it is.
    pub barrier: Barrier,
    /// What it is called.
    pub name: String,
    /// The same where it is not said what it lies between.
    pub words: String,
}

/// A photo of the finish.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct PhotoView {
    /// The entry that holds it.
    pub entry: EntryId,
    /// When it was taken.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// Before the rig stood there, or after.
    pub look: PhotoKind,
    /// Its name.
    pub photo: PhotoName,
}

/// A hold that was passed on somebody's own word.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct OverrideView {
    /// The entry that passed it.
    pub entry: EntryId,
    /// When.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// How bad it is to go on.
    pub word: SignalWord,
    /// Why it stops.
    pub reason: String,
    /// The reason given.
    pub why: String,
}

/// Before the soldering iron is lit, and while it is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct IronView {
    /// The stop list.
    pub order: OrderView,
    /// What can hurt, worst first.
    pub cautions: Vec<CautionView>,
    /// Those of the cautions that an item of the list says as well.
    pub in_list: Vec<String>,
    /// What else can hurt before the iron, while the guitar is opened.
    pub opening: Vec<CautionView>,
    /// What holds it, passed holds included.
    pub holds: Vec<HoldView>,
    /// What may be told of the bench.
    pub questions: Vec<QuestionView>,
    /// All of it as it is read aloud.
    pub spoken: String,
    /// Since when the iron is on, if it is.
    #[ts(type = "string | null")]
    pub lit: Option<DateTime<Utc>>,
    /// Items of the list that were done when it was lit last, for what is soldered since.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(optional = nullable, as = "Option<Vec<Tick>>")]
    pub done_when_lit: Vec<Tick>,
}

/// What was heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct ListenView {
    /// One card a chosen mode.
    pub modes: Vec<HeardMode>,
    /// How to listen, in sentences.
    pub how: Vec<String>,
    /// The amplifier and its settings.
    pub amp: String,
    /// What is fitted at the place now, in words; "the pickup that is fitted now" where nobody has written that down.
    pub fitted: String,
    /// The reference, without its notes: they are shown when they are asked for.
    pub reference: Option<Reference>,
    /// The recordings that were kept, in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(optional = nullable, as = "Option<Vec<String>>")]
    pub takes: Vec<String>,
}

/// What was heard in one mode.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct HeardMode {
    /// The mode.
    pub mode: Mode,
    /// Each quality with its scale.
    pub rated: Vec<RatedView>,
    /// The words.
    pub note: String,
    /// What it was heard in, recorded by itself.
    pub heard_in: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub heard_in_inches: Option<InInches>,
    /// Whether the notes of the reference were looked at in this mode.
    pub looked: bool,
}

/// One quality's scale.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct RatedView {
    /// Which quality.
    pub quality: Quality,
    /// Its name.
    pub name: String,
    /// The words for 1 to 5.
    pub anchors: [String; 5],
    /// 1 to 5, if it was rated.
    pub value: Option<u8>,
    /// Whether the reference was looked at before it was rated.
    pub led: bool,
    /// As it compares with what is fitted now, if that was said.
    pub against: Option<Than>,
    /// With less of it, and with more.
    pub compared: [String; 2],
    /// What to see to when it is rated, if anything.
    pub how: Option<String>,
}
