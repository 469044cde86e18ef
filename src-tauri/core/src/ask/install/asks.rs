//! What is asked about permanent installs, and what is written about one.

use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::act::write_stroke;
use super::load::{circuit_reply, install_reply, installs_reply, sheets_reply};
use crate::ask::Refusal;
use crate::ask::acts::{Act, Asked, Does, write};
use crate::ask::bench::Bench;
use crate::ask::forms::SoundAct;
use crate::ask::reply::Reply;
use crate::install::CircuitLook;
use crate::install::IronAct;
use crate::install::PlanForm;
use crate::logbook::{Log, Stamp};
use crate::record::audition::AuditionId;
use crate::record::entry::{About, Entry};
use crate::record::install::InstallAnswer;
use crate::record::install::InstallId;
use crate::record::install::InstallStep;
use crate::record::install::InstallTask;
use crate::record::names::EntryId;
use crate::record::parts::CircuitParts;
use crate::record::quantity::LengthUnit;
use crate::record::wiring::JackProbe;
use crate::record::wiring::JackSet;
use chrono::{DateTime, Utc};

/// What is asked about permanent installs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum InstallAsk {
    /// One permanent install, whole.
    Fit {
        /// Which.
        id: InstallId,
    },
    /// The sound of an install's circuit: what reaches the amplifier, by parts and positions.
    FitCircuit {
        /// Which.
        id: InstallId,
        /// The parts, and how everything stands; nothing for what was chosen, all at full.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[ts(optional = nullable)]
        look: Option<Box<CircuitLook>>,
    },
    /// Fit sheets of several candidates side by side.
    CompareFits {
        /// Two to four of them.
        fits: Vec<InstallId>,
        /// The unit of lengths in the answer; nothing for millimetres.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        #[ts(optional = nullable)]
        unit: Option<LengthUnit>,
    },
    /// Permanent installs of a pickup, a guitar or an audition, and where a pickup lives now.
    Fits {
        /// What they are about.
        about: About,
    },
}

/// What is written about a permanent install.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/install.ts")]
pub enum InstallAct {
    /// Begins a permanent install of the pickup of an audition.
    BeginFit {
        /// The new entry.
        entry: EntryId,
        /// Which install; a new version-7 UUID.
        fit: InstallId,
        /// The audition it rests on.
        audition: AuditionId,
        /// The place, as the guitar's record calls it; empty for the final place of the audition, or its place.
        place: String,
    },
    /// Says how the new pickup is to be wired.
    PlanFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// The plan.
        plan: PlanForm,
        /// Whether it is meant although not all of it can be given.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        #[ts(as = "Option<bool>", optional)]
        anyway: bool,
    },
    /// Chooses the parts between the new pickup and the amplifier.
    ChooseFitParts {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// The parts.
        parts: CircuitParts,
    },
    /// Says that a step of an install is over. What is not proven then needs a reason.
    PassFitStep {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// The step.
        step: InstallStep,
        /// Why it is passed although something in it is open; may be empty where nothing is.
        why: String,
    },
    /// Ticks, tells or does something before or at the hot iron. Lighting it is held as in an audition.
    AtFitIron {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// What.
        act: IronAct,
    },
    /// Tells how loud it is at an install, or corrects a time with the sound up. Its order is ticked as the iron's is.
    AtFitSound {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// What.
        act: SoundAct,
    },
    /// Ticks an act of the install. What needs the iron is held until it was lit.
    DoFitAct {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// The act.
        act: InstallTask,
        /// Words that go with it; may be empty.
        words: String,
    },
    /// Takes a meter reading at the guitar's jack before anything in it is unsoldered.
    ReadJackBefore {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// The position of selector and volume.
        at: JackSet,
        /// The reading as typed.
        reading: String,
        /// The room's temperature as typed; may be empty.
        room: String,
    },
    /// Takes a meter reading at the guitar's jack.
    ReadJack {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// The position of selector, switch and volume.
        at: JackSet,
        /// The reading as typed.
        reading: String,
        /// The room's temperature as typed; may be empty.
        room: String,
        /// Whether somebody was asked about it, and said that it is so: it is not asked again.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        #[ts(as = "Option<bool>", optional)]
        sure: bool,
    },
    /// Takes a meter reading inside the guitar to find out what is wrong.
    ProbeFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// Where the probes are.
        probe: JackProbe,
        /// The reading as typed.
        reading: String,
    },
    /// Says that what was asked for can't be measured; the next best is asked for then.
    CantProbeFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// Where the probes were to be put.
        probe: JackProbe,
    },
    /// Says what was found out by ear at the finished wiring.
    AnswerFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// The answer, with its question.
        answer: InstallAnswer,
    },
    /// Says that the install is done: the pickup lives in the guitar, the one that was there goes into the drawer.
    FinishFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// Words about it; may be empty.
        words: String,
    },
    /// Gives an install up.
    GiveUpFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// Why.
        why: String,
    },
    /// Strikes an entry of an install out. Striking a strike-out brings the entry back.
    StrikeFit {
        /// The new entry.
        entry: EntryId,
        /// Which install.
        fit: InstallId,
        /// The entry that no longer counts.
        struck: EntryId,
        /// Why; may be empty.
        why: String,
    },
}

impl InstallAct {
    /// The new entry, and what it is about.
    pub(super) fn goes_to(&self) -> (EntryId, InstallId) {
        match self {
            Self::BeginFit { entry, fit, .. }
            | Self::PlanFit { entry, fit, .. }
            | Self::ChooseFitParts { entry, fit, .. }
            | Self::PassFitStep { entry, fit, .. }
            | Self::AtFitIron { entry, fit, .. }
            | Self::AtFitSound { entry, fit, .. }
            | Self::DoFitAct { entry, fit, .. }
            | Self::ReadJackBefore { entry, fit, .. }
            | Self::ReadJack { entry, fit, .. }
            | Self::ProbeFit { entry, fit, .. }
            | Self::CantProbeFit { entry, fit, .. }
            | Self::AnswerFit { entry, fit, .. }
            | Self::FinishFit { entry, fit, .. }
            | Self::GiveUpFit { entry, fit, .. }
            | Self::StrikeFit { entry, fit, .. } => (*entry, *fit),
        }
    }
}

impl Act for InstallAct {
    const THING: &str = "fit";

    fn writes(&self) -> (EntryId, About) {
        let (entry, fit) = self.goes_to();
        (entry, About::Fit(fit))
    }

    fn write_down(
        self,
        log: &mut Log,
        before: &[(Entry, bool)],
        now: DateTime<Utc>,
        decided: Stamp,
    ) -> Result<bool, Refusal> {
        write_stroke(log, self, before, now, decided)
    }
}

impl Asked for InstallAsk {
    fn does(&self) -> Does {
        Does::Look
    }

    fn answer(self, _: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            Self::Fit { id } => install_reply(log, id, now),
            Self::FitCircuit { id, look } => circuit_reply(log, id, look.map(|look| *look)),
            Self::CompareFits { fits, unit } => sheets_reply(log, &fits, unit.unwrap_or_default(), now),
            Self::Fits { about } => installs_reply(log, about),
        }
    }
}

impl Asked for InstallAct {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, _: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let (_, fit) = self.goes_to();
        write(log, &self, now)?;
        install_reply(log, fit, now)
    }

    fn ends_work(&self) -> bool {
        matches!(self, Self::FinishFit { .. } | Self::GiveUpFit { .. })
    }
}
