//! The meter itself, and what it is to expect of a pickup.

use crate::ask::Refusal;
use crate::ask::coils::visits_of_pickup;
use crate::ask::forms::meter::MeterForm;
use crate::ask::load::meter_in_use;
use crate::ask::reply::Reply;
use crate::ask::views::MeterPage;
use crate::leads::lead_search;
use crate::logbook::Log;
use crate::physics::meter::{Health, expected_from, health};
use crate::record::entry::About;
use crate::record::meter::{MeterId, OwnMeter};
use crate::record::pickup::{Pickup, PickupId};
use crate::record::quantity::Ohms;
use crate::record::rig::{Rig, RigId};
use crate::record::things::Thing;

pub(super) fn meter_reply(log: &Log) -> Result<Reply, Refusal> {
    let thing = Thing::<OwnMeter>::fold(&log.about(About::Meter(MeterId::IN_USE))?);
    let described = thing.is_some();
    let meter = thing.map(|thing| thing.described).unwrap_or_default();
    let typical = Ohms(6660.0);
    let meter = MeterPage {
        shown: format!("{}, {}", meter.label, meter.claim.shown()),
        example: format!("A reading of {} may lie {} off.", typical.shown(), meter.claim.claim(typical).shown()),
        form: MeterForm::from_record(&meter),
        described,
    };
    Ok(Reply::Meter { meter })
}

/// What each mode of a rig would do with a pickup.
pub(super) fn modes_reply(log: &Log, pickup: PickupId, rig: RigId) -> Result<Reply, Refusal> {
    let entries = log.about(About::Pickup(pickup))?;
    let search = lead_search(&entries);
    let pickup = Thing::<Pickup>::fold(&entries).ok_or_else(|| Refusal::not_found("pickup"))?.described;
    let rig = Thing::<Rig>::fold(&log.about(About::Rig(rig))?).ok_or_else(|| Refusal::not_found("rig"))?.described;
    let meter = meter_in_use(log, None)?.claim;
    let joined = crate::audition::meant(&pickup, &rig);
    Ok(Reply::Modes { modes: expected_from(&pickup, &joined, &rig, &meter, None, &search.measured(&pickup, &meter)) })
}

/// A pickup's coils over its newest auditions.
pub(super) fn health_reply(log: &mut Log, id: PickupId) -> Result<Reply, Refusal> {
    if Thing::<Pickup>::fold(&log.about(About::Pickup(id))?).is_none() {
        return Err(Refusal::not_found("pickup"));
    }
    let health: Health = health(&visits_of_pickup(log, id)?);
    Ok(Reply::Health { health })
}
