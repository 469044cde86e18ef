//! What is asked about pickups, guitars, rigs and the meter, and what is written about them.

use serde::{Deserialize, Serialize};
use strum::VariantNames;
use ts_rs::TS;

use super::act::compose;
use super::meter::{health_reply, meter_reply, modes_reply};
use super::pages::{drawer, guitar_page, guitars, pickup_page, rig_page, rigs, show};
use crate::ask::Refusal;
use crate::ask::acts::{Asked, Composed, Does, write};
use crate::ask::bench::Bench;
use crate::ask::forms::guitar::GuitarForm;
use crate::ask::forms::guitar::HeightsForm;
use crate::ask::forms::meter::MeterForm;
use crate::ask::forms::pickup::PickupForm;
use crate::ask::forms::rig::{RigForm, RigToBeginFrom};
use crate::ask::forms::sizes::{OpeningForm, SizesForm};
use crate::ask::reply::Reply;
use crate::logbook::Log;
use crate::record::body::Body;
use crate::record::entry::{About, Entry};
use crate::record::guitar::GuitarId;
use crate::record::meter::MeterId;
use crate::record::names::EntryId;
use crate::record::pickup::PickupId;
use crate::record::quantity::LengthUnit;
use crate::record::rig::Rig;
use crate::record::rig::RigId;
use chrono::{DateTime, Utc};

/// What is asked about pickups, guitars, rigs and the meter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/things.ts")]
pub enum ThingAsk {
    /// The pickups in use, or those put away.
    Drawer {
        /// Those put away instead.
        retired: bool,
    },
    /// One pickup, with a form to edit it.
    Pickup {
        /// Which.
        id: PickupId,
        /// The unit of lengths in the form.
        unit: LengthUnit,
    },
    /// The guitars in use, or those put away.
    Guitars {
        /// Those put away instead.
        retired: bool,
    },
    /// One guitar, with a form to edit it.
    Guitar {
        /// Which.
        id: GuitarId,
        /// The unit of lengths in the form.
        unit: LengthUnit,
    },
    /// The rigs in use, or those put away.
    Rigs {
        /// Those put away instead.
        retired: bool,
    },
    /// One rig, with a form to edit it.
    Rig {
        /// Which.
        id: RigId,
        /// The unit of lengths in the form.
        unit: LengthUnit,
    },
    /// A form for the ready-made four-terminal rig, to be written under a name of one's own.
    FourTerminalRig {
        /// The unit of lengths in the form.
        unit: LengthUnit,
    },
    /// Common kinds of rig, to begin the record of one's own from.
    RigsToBeginFrom {
        /// The unit of lengths in the forms.
        unit: LengthUnit,
    },
    /// A pickup's coils over its life, from the newest auditions.
    PickupHealth {
        /// The pickup.
        id: PickupId,
    },
    /// What each mode of a rig would do with a pickup, before anything is measured.
    ModesOf {
        /// The pickup.
        pickup: PickupId,
        /// The rig.
        rig: RigId,
    },
    /// The meter in use, with a form to edit it.
    Meter {},
}

/// What is written about pickups, guitars, rigs and the meter.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS, VariantNames)]
#[serde(tag = "ask", rename_all = "snake_case", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
#[ts(export_to = "contract/things.ts")]
pub enum ThingAct {
    /// Writes a pickup down, new or changed.
    WritePickup {
        /// The new entry.
        entry: EntryId,
        /// Which pickup; a new version-7 UUID for a new one.
        id: PickupId,
        /// The form as filled in.
        form: PickupForm,
    },
    /// Writes a guitar down, new or changed.
    WriteGuitar {
        /// The new entry.
        entry: EntryId,
        /// Which guitar; a new version-7 UUID for a new one.
        id: GuitarId,
        /// The form as filled in.
        form: GuitarForm,
    },
    /// Writes into a guitar's record how high its open strings stand over the last fret.
    TellHeights {
        /// The new entry.
        entry: EntryId,
        /// Which guitar.
        id: GuitarId,
        /// The heights as typed.
        heights: HeightsForm,
    },
    /// Writes into a pickup's record what was missing there: its bass end's mark, its size. What is left empty stays.
    TellSizes {
        /// The new entry.
        entry: EntryId,
        /// Which pickup.
        id: PickupId,
        /// The sizes as typed.
        sizes: SizesForm,
    },
    /// Writes into a guitar's record how large the opening at a place is. What is left empty stays.
    TellOpening {
        /// The new entry.
        entry: EntryId,
        /// Which guitar.
        id: GuitarId,
        /// The opening as typed.
        opening: OpeningForm,
    },
    /// Writes into a guitar's record which pickup of the drawer sits at a place.
    TellFitted {
        /// The new entry.
        entry: EntryId,
        /// Which guitar.
        id: GuitarId,
        /// The place, by its name in the record.
        place: String,
        /// The pickup that sits there.
        pickup: PickupId,
    },
    /// Writes a rig down, new or changed.
    WriteRig {
        /// The new entry.
        entry: EntryId,
        /// Which rig; a new version-7 UUID for a new one.
        id: RigId,
        /// The form as filled in.
        form: RigForm,
    },
    /// Writes the meter in use down, new or changed. What was measured before keeps the claim it was measured with.
    WriteMeter {
        /// The new entry.
        entry: EntryId,
        /// The form as filled in.
        form: MeterForm,
    },
    /// Puts a pickup, a guitar or a rig away; it stays in the log.
    Retire {
        /// The new entry.
        entry: EntryId,
        /// The thing.
        thing: About,
        /// Why; may be empty.
        why: String,
    },
    /// Brings it back into use.
    BringBack {
        /// The new entry.
        entry: EntryId,
        /// The thing.
        thing: About,
    },
}

impl Composed for ThingAct {
    fn writes(&self) -> (EntryId, About) {
        match self {
            Self::WritePickup { entry, id, .. } | Self::TellSizes { entry, id, .. } => (*entry, About::Pickup(*id)),
            Self::WriteGuitar { entry, id, .. }
            | Self::TellHeights { entry, id, .. }
            | Self::TellOpening { entry, id, .. }
            | Self::TellFitted { entry, id, .. } => (*entry, About::Guitar(*id)),
            Self::WriteRig { entry, id, .. } => (*entry, About::Rig(*id)),
            Self::WriteMeter { entry, .. } => (*entry, About::Meter(MeterId::IN_USE)),
            Self::Retire { entry, thing, .. } | Self::BringBack { entry, thing } => (*entry, *thing),
        }
    }

    fn compose(self, log: &mut Log, before: &[(Entry, bool)], _: DateTime<Utc>) -> Result<Vec<Body>, Refusal> {
        Ok(vec![compose(log, self, before)?])
    }
}

impl Asked for ThingAsk {
    fn does(&self) -> Does {
        Does::Look
    }

    fn answer(self, _: &Bench, log: &mut Log, _: DateTime<Utc>) -> Result<Reply, Refusal> {
        match self {
            Self::Drawer { retired } => drawer(log, retired),
            Self::Pickup { id, unit } => pickup_page(log, id, unit),
            Self::Guitars { retired } => guitars(log, retired),
            Self::Guitar { id, unit } => guitar_page(log, id, unit),
            Self::Rigs { retired } => rigs(log, retired),
            Self::Rig { id, unit } => rig_page(log, id, unit),
            Self::FourTerminalRig { unit } => {
                Ok(Reply::RigForm { form: RigForm::from_record(&Rig::four_terminal("Four-terminal rig"), unit) })
            }
            Self::RigsToBeginFrom { unit } => Ok(Reply::RigsToBeginFrom {
                rigs: Rig::to_begin_from()
                    .map(|(what, joins, rig)| RigToBeginFrom {
                        what: what.to_owned(),
                        joins: joins.to_owned(),
                        form: RigForm::from_record(&rig, unit),
                    })
                    .to_vec(),
            }),
            Self::PickupHealth { id } => health_reply(log, id),
            Self::ModesOf { pickup, rig } => modes_reply(log, pickup, rig),
            Self::Meter {} => meter_reply(log),
        }
    }
}

impl Asked for ThingAct {
    fn does(&self) -> Does {
        Does::Write
    }

    fn answer(self, _: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
        let (_, about) = self.writes();
        write(log, &self, now)?;
        show(log, about, now)
    }
}
