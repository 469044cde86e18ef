//! What is asked about a pickup's coils as sound sees them, and what is measured of them.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::view::coil_values_reply;
use crate::ask::Refusal;
use crate::ask::acts::{Asked, Composed, Does, write};
use crate::ask::bench::Bench;
use crate::ask::forms::measured::{ComponentForm, RingForm, SweepForm};
use crate::ask::reply::Reply;
use crate::ask::striking::may_be_struck;
use crate::logbook::Log;
use crate::record::body::{Body, MeasuredBody, StrikeBody};
use crate::record::entry::{About, Entry};
use crate::record::measured::{Rung, Swept};
use crate::record::names::EntryId;
use crate::record::pickup::{CoilName, Pickup, PickupId};
use crate::record::things::Thing;

/// What is asked about a pickup's coils.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/measured.ts")]
pub enum MeasureAsk {
    /// What a pickup's coils are by all that was measured.
    CoilValues {
        /// The pickup.
        pickup: PickupId,
    },
}

/// What is measured of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/measured.ts")]
pub enum MeasureAct {
    /// Writes down what a component meter showed.
    MeterComponent {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The value as typed.
        form: ComponentForm,
    },
    /// Writes down what came back of a sweep that was recorded as a take of this pickup.
    KeepSweep {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The entry by which the take was kept.
        take: EntryId,
        /// The parts of the sweep as typed.
        form: SweepForm,
    },
    /// Writes down how a coil rang behind three taps of steel that were recorded as a take of this pickup.
    KeepRinging {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The entry by which the take was kept.
        take: EntryId,
        /// What lay across the coil, as typed.
        form: RingForm,
    },
    /// Strikes out something that was measured, or brings it back by striking out the strike-out.
    StrikeMeasured {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The entry to strike out.
        struck: EntryId,
        /// Why; may be empty.
        why: String,
    },
}

impl MeasureAct {
    /// The new entry, and what it is about.
    pub(super) fn goes_to(&self) -> (EntryId, PickupId) {
        match self {
            Self::MeterComponent { entry, pickup, .. }
            | Self::KeepSweep { entry, pickup, .. }
            | Self::KeepRinging { entry, pickup, .. }
            | Self::StrikeMeasured { entry, pickup, .. } => (*entry, *pickup),
        }
    }
}

/// An act with what a recording told, where it has one.
#[derive(Debug, Clone)]
pub(super) struct Measuring {
    pub act: MeasureAct,
    pub heard: Option<Heard>,
}

/// What a recording told.
#[derive(Debug, Clone)]
pub(super) enum Heard {
    Swept(Swept),
    Rung(Rung),
}

impl Heard {
    fn noted(self) -> MeasuredBody {
        match self {
            Self::Swept(swept) => MeasuredBody::CoilSwept { swept },
            Self::Rung(rung) => MeasuredBody::CoilRung { rung },
        }
    }
}

impl Asked for MeasureAsk {
    fn does(&self) -> Does {
        Does::Look
    }

    fn answer(self, _: &Bench, log: &mut Log, _: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            Self::CoilValues { pickup } => coil_values_reply(log, pickup),
        }
    }
}

impl Composed for Measuring {
    fn writes(&self) -> (EntryId, About) {
        let (entry, pickup) = self.act.goes_to();
        (entry, About::Pickup(pickup))
    }

    fn compose(self, _: &mut Log, before: &[(Entry, bool)], _: DateTime<Utc>) -> Result<Vec<Body>, Refusal> {
        let pickup = Thing::<Pickup>::fold(before).ok_or_else(|| Refusal::not_found("pickup"))?.described;
        let has = |coil: CoilName| match pickup.coils.iter().any(|one| one.name == coil) {
            true => Ok(()),
            false => Err(Refusal::unclear("coil", format!("This pickup has no coil {}.", coil.letter()))),
        };
        Ok(vec![match self.act {
            MeasureAct::MeterComponent { form, .. } => {
                has(form.coil)?;
                let metered = form.read()?;
                Body::Measured(MeasuredBody::ComponentMetered { metered, typed: form.value })
            }
            MeasureAct::KeepSweep { form, .. } => {
                form.coil.map_or(Ok(()), has)?;
                Body::Measured(self.heard.ok_or_else(|| Refusal::not_found("take"))?.noted())
            }
            MeasureAct::KeepRinging { form, .. } => {
                has(form.coil)?;
                Body::Measured(self.heard.ok_or_else(|| Refusal::not_found("take"))?.noted())
            }
            MeasureAct::StrikeMeasured { struck, why, .. } => {
                may_be_struck(before, struck, "This was not measured of this pickup.", |body| {
                    matches!(body.known(), Some(Body::Measured(_)))
                })?;
                Body::Strike(StrikeBody::StruckOut { entry: struck, why })
            }
        }])
    }
}

impl Asked for Measuring {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, _: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let (_, pickup) = self.act.goes_to();
        write(log, &self, now)?;
        coil_values_reply(log, pickup)
    }
}
