//! What an entry says: one kind for everything that is written down.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::{AuditionId, Choice, FinalPlace, HookedUp, Look, Step};
use crate::decision::Decision;
use crate::gaps::{GapAim, GapsMeasured, LevelReading};
use crate::guitar::{Guitar, GuitarId};
use crate::install::{FitAct, FitAnswer, FitId, FitOn, FitStep};
use crate::leads::{CoilLeads, Tap};
use crate::listening::{Quality, Than};
use crate::meter::{OwnMeter, Probe};
use crate::mounting::Mounting;
use crate::names::EntryId;
use crate::note::Note;
use crate::photo::PhotoName;
use crate::pickup::{CoilName, Pickup, PickupId, Polarity};
use crate::quantity::{Celsius, Reading};
use crate::rig::{Mode, Rig};
use crate::seat::{FinishAnswer, Seating};
use crate::sound::LevelTold;
use crate::tick::Tick;
use crate::told::Told;
use crate::wiring::{JackProbe, JackSet, Plan};

/// What an entry says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[ts(export_to = "contract/entry.ts")]
pub enum Body {
    /// A pickup as it is known from now on.
    PickupDescribed {
        /// The whole description.
        pickup: Pickup,
    },
    /// A guitar as it is known from now on.
    GuitarDescribed {
        /// The whole description.
        guitar: Guitar,
    },
    /// A rig as it is known from now on.
    RigDescribed {
        /// The whole description.
        rig: Rig,
    },
    /// The meter as it is known from now on.
    MeterDescribed {
        /// The whole description.
        meter: OwnMeter,
    },
    /// The leads of a pickup are to be found out; what was measured of them before no longer counts.
    LeadsBegun {
        /// The leads, by their owner's names or colours.
        leads: Vec<String>,
        /// Whether there is a shield to measure at.
        shield: bool,
        /// Whether there is a frame or baseplate to measure at.
        frame: bool,
    },
    /// A reading between two leads of a pickup, or a lead and its shield or frame.
    LeadsMeasured {
        /// The two.
        between: [String; 2],
        /// What the meter showed; nothing when the two can't be reached.
        reading: Option<Reading>,
        /// The letters that were typed; empty when the two can't be reached.
        typed: String,
    },
    /// Which coil lies between two leads of a pickup.
    CoilNamed {
        /// The coil and its leads.
        coil: CoilLeads,
    },
    /// Steel laid on a pickup's poles and pulled off.
    Tapped {
        /// The probes and the swing.
        tap: Tap,
    },
    /// A compass held over a pickup's coil.
    CompassHeld {
        /// The coil.
        coil: CoilName,
        /// The pole that faces the strings; nothing when the compass did not tell.
        up: Option<Polarity>,
    },
    /// The thing is put away.
    Retired {
        /// Why, in words; may be empty.
        why: String,
    },
    /// The thing is back in use.
    BroughtBack {},
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
    },
    /// A meter reading taken elsewhere than at the output, or there with special care, to find what is wrong.
    Probed {
        /// Where the probes were.
        probe: Probe,
        /// What the meter showed.
        reading: Reading,
        /// The letters that were typed.
        typed: String,
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
        told: Told,
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
        look: Look,
        /// The photo, by its content.
        photo: PhotoName,
    },
    /// The soldering iron was switched on.
    IronLit {},
    /// The soldering iron is off and in its stand.
    IronOff {},
    /// One quality of the sound in one mode, on a five-step scale.
    Rated {
        /// The mode heard.
        mode: Mode,
        /// What was rated.
        quality: Quality,
        /// 1 to 5.
        value: u8,
    },
    /// Words about the sound in one mode; the latest stand.
    NoteWritten {
        /// The mode heard.
        mode: Mode,
        /// The words.
        words: String,
    },
    /// What the sound went through: amplifier and settings, in words.
    AmpDescribed {
        /// The words.
        words: String,
    },
    /// One quality of the sound in one mode, beside that of the pickup which is fitted at the place now.
    RatedAgainstFitted {
        /// The mode heard.
        mode: Mode,
        /// What was rated.
        quality: Quality,
        /// Less, the same or more than the fitted one has.
        than: Than,
    },
    /// The audition is the reference from now on: the one that others are held against.
    ReferencePinned {},
    /// The audition is no longer the reference.
    ReferenceUnpinned {},
    /// The notes of the reference were looked at while this audition was heard.
    ReferenceLookedAt {
        /// The reference.
        reference: AuditionId,
        /// The mode that was heard.
        mode: Mode,
    },
    /// Which pickup is to be installed at a place of a guitar, and why.
    Decided {
        /// The whole decision.
        decision: Decision,
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
    /// The audition was ended before its last step.
    EndedEarly {
        /// Why.
        why: String,
    },
    /// A permanent install was begun.
    FitBegun {
        /// What goes where, and the audition it rests on.
        on: FitOn,
    },
    /// How the new pickup is to be wired.
    FitPlanned {
        /// The plan.
        plan: Plan,
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
    /// A step of a permanent install is over.
    FitStepOver {
        /// The step.
        step: FitStep,
        /// Why it is passed although something in it is not proven; empty when nothing is open.
        why: String,
    },
    /// An act of a permanent install was done.
    FitActDone {
        /// The act.
        act: FitAct,
        /// Words that go with it; may be empty.
        words: String,
    },
    /// Something was found out by ear at the finished wiring.
    FitAnswered {
        /// The answer, with its question.
        answer: FitAnswer,
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
    /// A pickup went into a guitar for good.
    Installed {
        /// The guitar.
        guitar: GuitarId,
        /// The place in it.
        place: String,
        /// The permanent install that did it.
        fit: FitId,
    },
    /// A pickup came out of a guitar.
    TakenOut {
        /// The guitar.
        guitar: GuitarId,
        /// The place it sat at.
        place: String,
        /// The permanent install that did it.
        fit: FitId,
    },
    /// A place of a guitar holds another pickup now.
    Fitted {
        /// The place.
        place: String,
        /// The pickup that sits there now; nothing when none of the records does.
        pickup: Option<PickupId>,
        /// What sits there now, in words, where no record tells of it; may be empty.
        words: String,
        /// The pickup that sat there before, if it was one of the records.
        came_out: Option<PickupId>,
        /// What sat there before, in words; may be empty.
        came_out_words: String,
        /// The permanent install that did it.
        fit: FitId,
    },
    /// An entry no longer counts; it stays readable.
    StruckOut {
        /// The entry.
        entry: EntryId,
        /// Why; may be empty.
        why: String,
    },
}

impl Body {
    /// The kind as it is written in the log.
    #[must_use]
    pub fn kind(&self) -> &'static str {
        match self {
            Self::PickupDescribed { .. } => "pickup_described",
            Self::GuitarDescribed { .. } => "guitar_described",
            Self::RigDescribed { .. } => "rig_described",
            Self::MeterDescribed { .. } => "meter_described",
            Self::LeadsBegun { .. } => "leads_begun",
            Self::LeadsMeasured { .. } => "leads_measured",
            Self::CoilNamed { .. } => "coil_named",
            Self::Tapped { .. } => "tapped",
            Self::CompassHeld { .. } => "compass_held",
            Self::Retired { .. } => "retired",
            Self::BroughtBack {} => "brought_back",
            Self::Chosen { .. } => "chosen",
            Self::Mounted { .. } => "mounted",
            Self::HookedUp { .. } => "hooked_up",
            Self::ReadingTaken { .. } => "reading_taken",
            Self::Probed { .. } => "probed",
            Self::Mended { .. } => "mended",
            Self::FinishAsked { .. } => "finish_asked",
            Self::Seated { .. } => "seated",
            Self::GapsMeasured { .. } => "gaps_measured",
            Self::GapsAimed { .. } => "gaps_aimed",
            Self::LevelRead { .. } => "level_read",
            Self::Tuned { .. } => "tuned",
            Self::FinalPlaceChosen { .. } => "final_place_chosen",
            Self::Ticked { .. } => "ticked",
            Self::TickedTogether { .. } => "ticked_together",
            Self::Told { .. } => "told",
            Self::LevelTold { .. } => "level_told",
            Self::ListeningCorrected { .. } => "listening_corrected",
            Self::PhotoTaken { .. } => "photo_taken",
            Self::IronLit {} => "iron_lit",
            Self::IronOff {} => "iron_off",
            Self::Rated { .. } => "rated",
            Self::NoteWritten { .. } => "note_written",
            Self::AmpDescribed { .. } => "amp_described",
            Self::RatedAgainstFitted { .. } => "rated_against_fitted",
            Self::ReferencePinned {} => "reference_pinned",
            Self::ReferenceUnpinned {} => "reference_unpinned",
            Self::ReferenceLookedAt { .. } => "reference_looked_at",
            Self::Decided { .. } => "decided",
            Self::StepSkipped { .. } => "step_skipped",
            Self::StepTakenUp { .. } => "step_taken_up",
            Self::CautionAcknowledged { .. } => "caution_acknowledged",
            Self::HoldOverridden { .. } => "hold_overridden",
            Self::EndedEarly { .. } => "ended_early",
            Self::FitBegun { .. } => "fit_begun",
            Self::FitPlanned { .. } => "fit_planned",
            Self::JackRead { .. } => "jack_read",
            Self::JackReadBefore { .. } => "jack_read_before",
            Self::FitProbed { .. } => "fit_probed",
            Self::FitStepOver { .. } => "fit_step_over",
            Self::FitActDone { .. } => "fit_act_done",
            Self::FitAnswered { .. } => "fit_answered",
            Self::FitDone { .. } => "fit_done",
            Self::FitGivenUp { .. } => "fit_given_up",
            Self::Installed { .. } => "installed",
            Self::TakenOut { .. } => "taken_out",
            Self::Fitted { .. } => "fitted",
            Self::StruckOut { .. } => "struck_out",
        }
    }
}
