//! What is asked about the leads of a pickup, and what is found out about them.

use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::act::compose;
use super::view::lead_search_reply;
use crate::ask::Refusal;
use crate::ask::acts::{Asked, Composed, Does, write};
use crate::ask::bench::Bench;
use crate::ask::reply::Reply;
use crate::logbook::Log;
use crate::physics::poles::{Readings, pole_side};
use crate::record::body::Body;
use crate::record::entry::{About, Entry};
use crate::record::leads::{CoilLeads, Contact, Tap};
use crate::record::names::EntryId;
use crate::record::pickup::CoilName;
use crate::record::pickup::PickupId;
use crate::record::pickup::Polarity;
use crate::record::rig::RigId;
use crate::takes::tap::Taps;
use chrono::{DateTime, Utc};

/// What is asked about the leads of a pickup.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/leads.ts")]
pub enum LeadsAsk {
    /// What is known of a pickup's leads, and what to measure next.
    FindLeads {
        /// The pickup.
        pickup: PickupId,
        /// The rig for which a hookup is shown; nothing for the first one in use.
        rig: Option<RigId>,
    },
    /// Which pole faces a phone's magnetic field sensor, or what to do next; all readings in microtesla, by the phone's three axes.
    PoleSide {
        /// The earth's field alone; empty until it was measured.
        earth: Vec<[f64; 3]>,
        /// The pole of the known magnet that comes.
        known_pole: Polarity,
        /// The field while the known magnet came; empty until it did.
        known: Vec<[f64; 3]>,
        /// The field while the pickup's poles came; empty until they did.
        here: Vec<[f64; 3]>,
    },
}

/// What is found out about the leads of a pickup.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/leads.ts")]
pub enum LeadsAct {
    /// Begins to find out a pickup's leads, anew if that was begun before.
    BeginLeads {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// Its leads by name or colour: two to eight, no two alike.
        leads: Vec<String>,
        /// Whether there is a shield to measure at.
        shield: bool,
        /// Whether there is a frame or baseplate to measure at.
        frame: bool,
        /// The leads are as the pickup's record says, whatever is named here: they are tapped at once, and not measured.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        #[ts(optional, as = "Option<bool>")]
        as_recorded: bool,
    },
    /// Measures between two leads of a pickup, or a lead and its shield or frame.
    MeasureLeads {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The two.
        between: [Contact; 2],
        /// The reading as typed; empty when the two can't be reached.
        reading: String,
        /// The two can't be reached with the probes.
        out_of_reach: bool,
        /// Whether somebody was asked about it, and said that it is so: it is not asked again.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        #[ts(as = "Option<bool>", optional)]
        sure: bool,
    },
    /// Says which coil lies between two leads.
    NameCoil {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The coil and its leads.
        coil: CoilLeads,
    },
    /// Says how a meter swung when steel was pulled off the poles.
    TapCoil {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The probes and the swing.
        tap: Tap,
    },
    /// Writes down three taps that were recorded as a take of this pickup, if they agree.
    KeepTaps {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The entry by which the take was kept.
        take: EntryId,
        /// The lead at the tip of the cable.
        tip: Contact,
        /// The lead at its sleeve.
        sleeve: Contact,
        /// The input, as its owner calls it: the same name for the same input.
        input: String,
    },
    /// Writes down whether an input turns what it records about, by a cell that was touched to it three times, plus to the tip.
    CalibrateInput {
        /// The new entry.
        entry: EntryId,
        /// The pickup at hand.
        pickup: PickupId,
        /// The entry by which the take was kept.
        take: EntryId,
        /// The input, as its owner calls it.
        input: String,
    },
    /// Says what a compass told over a coil.
    HoldCompass {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The coil.
        coil: CoilName,
        /// The pole that faces the strings; nothing when the compass did not tell.
        up: Option<Polarity>,
    },
    /// Writes what was found out about the leads into the pickup's record.
    SettleLeads {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
    },
    /// Strikes out something that was found out about the leads.
    StrikeLeads {
        /// The new entry.
        entry: EntryId,
        /// The pickup.
        pickup: PickupId,
        /// The entry that no longer counts.
        struck: EntryId,
    },
}

impl LeadsAct {
    /// The new entry, and what it is about.
    fn goes_to(&self) -> (EntryId, PickupId) {
        match self {
            Self::BeginLeads { entry, pickup, .. }
            | Self::MeasureLeads { entry, pickup, .. }
            | Self::NameCoil { entry, pickup, .. }
            | Self::TapCoil { entry, pickup, .. }
            | Self::KeepTaps { entry, pickup, .. }
            | Self::CalibrateInput { entry, pickup, .. }
            | Self::HoldCompass { entry, pickup, .. }
            | Self::SettleLeads { entry, pickup }
            | Self::StrikeLeads { entry, pickup, .. } => (*entry, *pickup),
        }
    }
}

/// An act with what a recording told, where it has one.
#[derive(Debug, Clone)]
pub(super) struct Finding {
    pub act: LeadsAct,
    pub heard: Option<Taps>,
}

impl Composed for Finding {
    fn writes(&self) -> (EntryId, About) {
        let (entry, pickup) = self.act.goes_to();
        (entry, About::Pickup(pickup))
    }

    fn compose(self, log: &mut Log, before: &[(Entry, bool)], _: DateTime<Utc>) -> Result<Vec<Body>, Refusal> {
        Ok(vec![compose(log, self.act, self.heard.as_ref(), before)?])
    }
}

/// At ten readings a second, over a minute.
const MOST_READINGS: usize = 1000;

fn pole_side_reply(
    earth: &Readings,
    known_pole: Polarity,
    known: &Readings,
    here: &Readings,
) -> Result<Reply, Refusal> {
    for (field, readings) in [("earth", earth), ("known", known), ("here", here)] {
        if readings.len() > MOST_READINGS {
            return Err(Refusal::unclear(field, "The sensor was read for too long. Measure again, for some seconds."));
        }
    }
    Ok(Reply::PoleSide { side: pole_side(earth, known_pole, known, here) })
}

impl Asked for LeadsAsk {
    fn does(&self) -> Does {
        Does::Look
    }

    fn answer(self, _: &Bench, log: &mut Log, _: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            Self::FindLeads { pickup, rig } => lead_search_reply(log, pickup, rig),
            Self::PoleSide { earth, known_pole, known, here } => pole_side_reply(&earth, known_pole, &known, &here),
        }
    }
}

impl Asked for Finding {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, _: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let (_, pickup) = self.act.goes_to();
        write(log, &self, now)?;
        lead_search_reply(log, pickup, None)
    }
}
