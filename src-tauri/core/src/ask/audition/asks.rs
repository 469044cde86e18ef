//! What is asked about an audition, and what is written about one.

use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::act::compose;
use super::geometry;
use super::last_time;
use super::view::audition_reply;
use crate::ask::Refusal;
use crate::ask::acts::{Asked, Composed, Does, write};
use crate::ask::bench::Bench;
use crate::ask::forms::AimForm;
use crate::ask::forms::ChoiceForm;
use crate::ask::forms::HearForm;
use crate::ask::forms::LevelForm;
use crate::ask::reply::Reply;
use crate::logbook::Log;
use crate::record::audition::AuditionId;
use crate::record::audition::HookedUp;
use crate::record::audition::Step;
use crate::record::body::Body;
use crate::record::entry::{About, Entry};
use crate::record::facts::BenchFact;
use crate::record::listening::Quality;
use crate::record::meter::Probe;
use crate::record::mounting::Lie;
use crate::record::mounting::Mounting;
use crate::record::names::EntryId;
use crate::record::quantity::LengthUnit;
use crate::record::rig::Mode;
use crate::record::seat::FinishAnswer;
use crate::record::seat::Seating;
use crate::record::tick::Tick;
use crate::safety::holds::SafetyHold;
use chrono::{DateTime, Utc};

/// What is asked about an audition, and what can be looked at beside it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/audition.ts")]
pub enum AuditionAsk {
    /// One audition, whole.
    Audition {
        /// Which.
        id: AuditionId,
    },
    /// What a lie in the rig comes to, while the pickup is turned about.
    Facing {
        /// Which audition.
        audition: AuditionId,
        /// The lie.
        lie: Lie,
        /// Whether the ends can be told apart.
        marked: bool,
    },
    /// The strings over the poles at the chosen place.
    StringsOver {
        /// Which audition.
        audition: AuditionId,
        /// How far the pickup is moved across, as typed; may be empty.
        shift: String,
        /// Whether it is moved to the treble side.
        to_treble: bool,
        /// How far an outer string may be off before it is worth a word, as typed; empty for the usual limit.
        limit: String,
        /// The unit of bare lengths.
        unit: LengthUnit,
    },
    /// What the rig's place can hear beside the final place.
    HearPlace {
        /// The places, and what is listened to.
        form: HearForm,
    },
    /// What was answered last time, to be offered again: with the same guitar and rig, or what was chosen last where no
    /// audition is named.
    LastTime {
        /// The audition it is for; nothing before one is begun.
        audition: Option<AuditionId>,
    },
    /// Gaps of earlier auditions, to be taken as an aim.
    EarlierGaps {
        /// The audition they are for.
        audition: AuditionId,
    },
}

/// What is written about an audition.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/audition.ts")]
pub enum AuditionAct {
    /// Begins an audition, or changes what one is about.
    Choose {
        /// The new entry.
        entry: EntryId,
        /// Which audition; a new version-7 UUID begins one.
        audition: AuditionId,
        /// What is chosen.
        choice: ChoiceForm,
    },
    /// Says how the pickup lies.
    Mount {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// How it lies.
        mounting: Mounting,
    },
    /// Says which leads are in a terminal, and whether they hold.
    HookUp {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The terminal and its leads.
        hooked: HookedUp,
    },
    /// Takes a meter reading at the rig's output.
    TakeReading {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The switch position.
        mode: Mode,
        /// The reading as typed.
        reading: String,
        /// The room's temperature as typed; may be empty.
        room: String,
        /// Whether somebody was asked about it, and said that it is so: it is not asked again.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        #[ts(as = "Option<bool>", optional)]
        sure: bool,
    },
    /// Takes a meter reading to find out what is wrong, where the diagnosis asks for it.
    Probe {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// Where the probes are.
        probe: Probe,
        /// The reading as typed.
        reading: String,
        /// Whether somebody was asked about it, and said that it is so: it is not asked again.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        #[ts(as = "Option<bool>", optional)]
        sure: bool,
    },
    /// Says that something on the rig was mended: what was measured before is shown as taken before, and judged no more.
    Mend {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// What was mended, in words; may be empty.
        what: String,
    },
    /// Answers for the finish.
    AskFinish {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The answer.
        answer: FinishAnswer,
    },
    /// Says how the rig stands. Held until the finish was asked about.
    Seat {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// How it stands.
        seating: Seating,
    },
    /// Measures the gaps.
    MeasureGaps {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// At the bass side, as typed.
        bass: String,
        /// At the treble side, as typed.
        treble: String,
        /// The unit of bare lengths.
        unit: LengthUnit,
        /// The fret at which the strings are pressed; nothing when they are open.
        pressed_at: Option<u8>,
        /// Whether the gaps stay like this.
        kept: bool,
        /// At the strings between the outer ones, as typed, bass side first; empty text where it was not measured.
        #[serde(default)]
        between: Vec<String>,
        /// How far the studs of the bass and the treble side stand out of their lowest position, as typed; empty when
        /// that was not measured.
        #[serde(default)]
        studs_out: Vec<String>,
    },
    /// Says what the studs are turned for.
    AimGaps {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The aim.
        aim: AimForm,
    },
    /// Writes down a level read at a known gap.
    ReadLevel {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The level as typed, in decibels.
        level: String,
        /// The gap as typed; empty for the mean of the gaps measured last.
        gap: String,
        /// The unit of a bare gap.
        unit: LengthUnit,
    },
    /// Says how the strings are tuned, when it is not as the guitar's record says.
    Tune {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// One note a string, bass side first, as typed; empty for the record's tuning.
        notes: String,
    },
    /// Says where the pickup will be installed.
    ChooseFinal {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// What the place is called.
        place: String,
        /// From the saddle to the pole line, as typed; at the bass side where the two sides differ.
        from_saddle: String,
        /// The same at the treble side, as typed, where it differs.
        #[serde(default)]
        from_saddle_treble: String,
        /// The unit of a bare length.
        unit: LengthUnit,
    },
    /// Ticks an item of a spoken order. Sound up is held by an unexplained short or open.
    TickOff {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The item.
        tick: Tick,
        /// Words that go with it; may be empty.
        words: String,
    },
    /// Ticks several items of one list that were said aloud one after the other. None may be one that a hold or a clock
    /// hangs on.
    TickTogether {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The items.
        ticks: Vec<Tick>,
    },
    /// Tells a fact of the bench that cautions hang on.
    Tell {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The fact.
        told: BenchFact,
    },
    /// Tells how loud it is at the ear.
    TellLevel {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The level.
        level: LevelForm,
    },
    /// Corrects a time with the sound up by hand.
    CorrectListening {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The entry with which the sound came up.
        session: EntryId,
        /// How long it really was, as typed; empty when that was right.
        time: String,
        /// How loud it really was; nothing when that was right.
        level: Option<LevelForm>,
    },
    /// Switches the soldering iron on. Held until the guitar is unplugged, its battery out and its finish covered.
    LightIron {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
    },
    /// Says that the iron is off and in its stand.
    IronOff {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
    },
    /// Rates one quality of the sound.
    Rate {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The mode heard.
        mode: Mode,
        /// The quality.
        quality: Quality,
        /// 1 to 5.
        value: u8,
    },
    /// Writes words about the sound.
    NoteDown {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The mode heard.
        mode: Mode,
        /// The words.
        words: String,
    },
    /// Says what the sound goes through.
    DescribeAmp {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The words.
        words: String,
    },
    /// Leaves a step out.
    SkipStep {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The step.
        step: Step,
        /// Why.
        why: String,
    },
    /// Takes up a step that was left out.
    TakeUpStep {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The step.
        step: Step,
    },
    /// Says that a caution was read.
    Acknowledge {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The caution's name.
        caution: String,
        /// Its cause, as the caution was shown with.
        cause: String,
    },
    /// Passes a hold on one's own responsibility.
    OverrideHold {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The hold.
        hold: SafetyHold,
        /// Why.
        why: String,
    },
    /// Ends an audition before its last step.
    EndEarly {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// Why.
        why: String,
    },
    /// Strikes an entry of an audition out. Striking a strike-out brings the entry back.
    StrikeOut {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The entry that no longer counts.
        struck: EntryId,
        /// Why; may be empty.
        why: String,
    },
}

impl AuditionAct {
    /// The new entry, and what it is about.
    fn goes_to(&self) -> (EntryId, AuditionId) {
        match self {
            Self::Choose { entry, audition, .. }
            | Self::Mount { entry, audition, .. }
            | Self::HookUp { entry, audition, .. }
            | Self::TakeReading { entry, audition, .. }
            | Self::Probe { entry, audition, .. }
            | Self::Mend { entry, audition, .. }
            | Self::AskFinish { entry, audition, .. }
            | Self::Seat { entry, audition, .. }
            | Self::MeasureGaps { entry, audition, .. }
            | Self::AimGaps { entry, audition, .. }
            | Self::ReadLevel { entry, audition, .. }
            | Self::Tune { entry, audition, .. }
            | Self::ChooseFinal { entry, audition, .. }
            | Self::TickOff { entry, audition, .. }
            | Self::TickTogether { entry, audition, .. }
            | Self::Tell { entry, audition, .. }
            | Self::TellLevel { entry, audition, .. }
            | Self::CorrectListening { entry, audition, .. }
            | Self::LightIron { entry, audition }
            | Self::IronOff { entry, audition }
            | Self::Rate { entry, audition, .. }
            | Self::NoteDown { entry, audition, .. }
            | Self::DescribeAmp { entry, audition, .. }
            | Self::SkipStep { entry, audition, .. }
            | Self::TakeUpStep { entry, audition, .. }
            | Self::Acknowledge { entry, audition, .. }
            | Self::OverrideHold { entry, audition, .. }
            | Self::EndEarly { entry, audition, .. }
            | Self::StrikeOut { entry, audition, .. } => (*entry, *audition),
        }
    }
}

impl Composed for AuditionAct {
    fn writes(&self) -> (EntryId, About) {
        let (entry, audition) = self.goes_to();
        (entry, About::Audition(audition))
    }

    fn compose(self, log: &mut Log, before: &[(Entry, bool)], now: DateTime<Utc>) -> Result<Vec<Body>, Refusal> {
        Ok(vec![compose(log, self, before, now)?])
    }
}

impl Asked for AuditionAsk {
    fn does(&self) -> Does {
        Does::Look
    }

    fn answer(self, _: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            Self::Audition { id } => audition_reply(log, id, now),
            Self::Facing { audition, lie, marked } => geometry::facing(log, audition, lie, marked),
            Self::StringsOver { audition, shift, to_treble, limit, unit } => {
                geometry::strings_over(log, audition, &shift, to_treble, &limit, unit)
            }
            Self::HearPlace { form } => geometry::hear_place(log, &form),
            Self::LastTime { audition } => last_time::last_time(log, audition),
            Self::EarlierGaps { audition } => geometry::earlier_gaps(log, audition),
        }
    }
}

impl Asked for AuditionAct {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, _: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let (_, audition) = self.goes_to();
        write(log, &self, now)?;
        audition_reply(log, audition, now)
    }

    fn ends_work(&self) -> bool {
        match self {
            Self::TickOff { tick, .. } => Tick::TAKE_DOWN.contains(tick),
            Self::TickTogether { ticks, .. } => ticks.iter().any(|tick| Tick::TAKE_DOWN.contains(tick)),
            other => matches!(other, Self::EndEarly { .. }),
        }
    }
}
