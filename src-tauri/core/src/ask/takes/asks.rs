//! What is asked about takes, and how it is answered. A take itself is more than an ask may be: it comes as a file.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::lines::{take_reply, takes_reply};
use super::several::fair_reply;
use crate::ask::acts::{Asked, Composed, Does, write};
use crate::ask::bench::Bench;
use crate::ask::reply::Reply;
use crate::ask::striking::may_be_struck;
use crate::ask::take_view::TakePicked;
use crate::ask::{Code, Refusal};
use crate::logbook::Log;
use crate::record::body::{Body, StrikeBody, TakeBody};
use crate::record::entry::{About, Entry};
use crate::record::install::InstallId;
use crate::record::names::EntryId;
use crate::record::quantity::LengthUnit;

/// What is asked about takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/take.ts")]
pub enum TakeAsk {
    /// The takes of an audition, an install or a pickup (those of its auditions and installs too), or all.
    Takes {
        /// What of; nothing for all.
        about: Option<About>,
    },
    /// One take with what it tells, worked out now where it was not yet.
    TellTake {
        /// What it is about.
        about: About,
        /// The entry by which it was kept.
        take: EntryId,
    },
    /// Whether takes may be held against each other: what was not the same when they were made, and what that does.
    FairTakes {
        /// Two to four.
        takes: Vec<TakePicked>,
        /// The unit of lengths in sentences.
        unit: LengthUnit,
    },
}

/// What is written about takes.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/take.ts")]
pub enum TakeAct {
    /// Computes a recording of an audition as it would sound through an install, with the parts that were chosen for it, and keeps
    /// that as a take of the install that says it was computed.
    HearAsInstalled {
        /// The new entry.
        entry: EntryId,
        /// The install.
        fit: InstallId,
        /// The entry that kept the recording.
        take: EntryId,
    },
    /// Strikes out a take, or brings it back by striking out the strike-out.
    StrikeTake {
        /// The new entry.
        entry: EntryId,
        /// What the take is about.
        about: About,
        /// The entry to strike out.
        struck: EntryId,
        /// Why; may be empty.
        why: String,
    },
}

impl Asked for TakeAsk {
    fn does(&self) -> Does {
        Does::Look
    }

    fn answer(self, bench: &Bench, log: &mut Log, _: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            Self::Takes { about } => takes_reply(log, &bench.take_shelf(), about),
            Self::TellTake { about, take } => take_reply(log, &bench.take_shelf(), about, take),
            Self::FairTakes { takes, unit } => fair_reply(log, &takes, unit),
        }
    }
}

impl Composed for TakeAct {
    fn writes(&self) -> (EntryId, About) {
        match self {
            Self::StrikeTake { entry, about, .. } => (*entry, *about),
            Self::HearAsInstalled { entry, fit, .. } => (*entry, About::Fit(*fit)),
        }
    }

    fn compose(self, _: &mut Log, before: &[(Entry, bool)], _: DateTime<Utc>) -> Result<Vec<Body>, Refusal> {
        match self {
            Self::StrikeTake { struck, why, .. } => {
                may_be_struck(before, struck, "This take is not in the log.", |body| {
                    matches!(body.known(), Some(Body::Take(TakeBody::TakeKept { .. })))
                })?;
                Ok(vec![Body::Strike(StrikeBody::StruckOut { entry: struck, why })])
            }
            // It is heard first, and comes as a file does.
            Self::HearAsInstalled { .. } => Err(Refusal::new(Code::Program, "A take is computed on another road.")),
        }
    }
}

impl Asked for TakeAct {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, bench: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let (_, about) = Composed::writes(&self);
        write(log, &self, now)?;
        takes_reply(log, &bench.take_shelf(), Some(about))
    }
}
