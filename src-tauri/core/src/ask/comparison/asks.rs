//! What is asked about several auditions together, and what is written of one beside others.

use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::{compare, compose, decision, looked_at};
use crate::ask::Refusal;
use crate::ask::acts::{Asked, Composed, Does, write};
use crate::ask::audition::view::audition_reply;
use crate::ask::bench::Bench;
use crate::ask::load::audition_of;
use crate::ask::reply::Reply;
use crate::logbook::Log;
use crate::record::audition::AuditionId;
use crate::record::body::Body;
use crate::record::decision::Must;
use crate::record::decision::Wish;
use crate::record::entry::{About, Entry};
use crate::record::guitar::GuitarId;
use crate::record::listening::Quality;
use crate::record::listening::Than;
use crate::record::names::EntryId;
use crate::record::quantity::LengthUnit;
use crate::record::quantity::Millimetres;
use crate::record::rig::Mode;
use chrono::{DateTime, Utc};

/// What is asked about several auditions together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/comparison.ts")]
pub enum ComparisonAsk {
    /// Two to four auditions side by side, and whether it is fair to compare them.
    Compare {
        /// Which; two to four, no two alike.
        auditions: Vec<AuditionId>,
        /// The unit of lengths in the answer.
        unit: LengthUnit,
    },
    /// Which pickup in which mode for a place of a guitar: the candidates and how they stand.
    Decision {
        /// The guitar.
        guitar: GuitarId,
        /// From the saddle to the place, in millimetres; nothing for the one that was heard last.
        place: Option<Millimetres>,
        /// What is wished; nothing for what was wished when it was decided last.
        wishes: Option<Vec<Wish>>,
        /// Must-haves; nothing for what had to be so when it was decided last.
        musts: Option<Vec<Must>>,
    },
}

/// What is written of one audition beside others, and what is decided.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/comparison.ts")]
pub enum ComparisonAct {
    /// Says how a quality compares with that of the pickup which is fitted at the place now.
    RateAgainstFitted {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
        /// The mode heard.
        mode: Mode,
        /// The quality.
        quality: Quality,
        /// Less, the same or more.
        than: Than,
    },
    /// Pins an audition as the reference that others are held against. There is one at a time.
    PinReference {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
    },
    /// Unpins it.
    UnpinReference {
        /// The new entry.
        entry: EntryId,
        /// Which audition.
        audition: AuditionId,
    },
    /// Looks at the notes of the reference while another audition is heard, which is written down.
    LookAtReference {
        /// The new entry.
        entry: EntryId,
        /// The audition that is heard.
        audition: AuditionId,
        /// The mode that is heard.
        mode: Mode,
    },
    /// Begins an audition in which one pickup is heard again under the conditions of another audition.
    HearAgain {
        /// The first new entry; the others follow from it.
        entry: EntryId,
        /// The new audition: a new version-7 UUID.
        audition: AuditionId,
        /// Its pickup and modes are taken.
        again: AuditionId,
        /// Its guitar, rig, place, tuning and gaps are taken.
        like: AuditionId,
    },
    /// Decides which pickup is to be installed at a place of a guitar.
    Decide {
        /// The new entry.
        entry: EntryId,
        /// The guitar.
        guitar: GuitarId,
        /// What was wished.
        wishes: Vec<Wish>,
        /// What had to be so.
        musts: Vec<Must>,
        /// The audition it is chosen by: its pickup and place count.
        audition: AuditionId,
        /// The mode it is chosen in.
        mode: Mode,
        /// Why, in words.
        why: String,
    },
    /// Strikes a decision out, or brings one back by striking out its strike-out.
    StrikeDecision {
        /// The new entry.
        entry: EntryId,
        /// The guitar.
        guitar: GuitarId,
        /// The entry that no longer counts.
        struck: EntryId,
        /// Why; may be empty.
        why: String,
    },
}

impl Composed for ComparisonAct {
    fn writes(&self) -> (EntryId, About) {
        match self {
            Self::RateAgainstFitted { entry, audition, .. }
            | Self::PinReference { entry, audition }
            | Self::UnpinReference { entry, audition }
            | Self::LookAtReference { entry, audition, .. }
            | Self::HearAgain { entry, audition, .. } => (*entry, About::Audition(*audition)),
            Self::Decide { entry, guitar, .. } | Self::StrikeDecision { entry, guitar, .. } => {
                (*entry, About::Guitar(*guitar))
            }
        }
    }

    fn compose(self, log: &mut Log, before: &[(Entry, bool)], now: DateTime<Utc>) -> Result<Vec<Body>, Refusal> {
        compose(log, self, before, now)
    }
}

impl Asked for ComparisonAsk {
    fn does(&self) -> Does {
        Does::Look
    }

    fn answer(self, _: &Bench, log: &mut Log, _: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            Self::Compare { auditions, unit } => compare(log, &auditions, unit),
            Self::Decision { guitar, place, wishes, musts } => decision(log, guitar, place, wishes, musts),
        }
    }
}

impl Asked for ComparisonAct {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, _: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        write(log, &self, now)?;
        match self {
            Self::RateAgainstFitted { audition, .. }
            | Self::PinReference { audition, .. }
            | Self::UnpinReference { audition, .. }
            | Self::HearAgain { audition, .. } => audition_reply(log, audition, now),
            Self::LookAtReference { audition, mode, .. } => looked_at(log, audition, &mode),
            Self::Decide { guitar, wishes, musts, audition, .. } => {
                let place = audition_of(log, audition)?.choice.map(|choice| choice.said.from_saddle);
                decision(log, guitar, place, Some(wishes), Some(musts))
            }
            Self::StrikeDecision { guitar, .. } => decision(log, guitar, None, None, None),
        }
    }
}
