//! Where the search for a pickup's leads stands.

use crate::ask::Refusal;
use crate::ask::load::{meter_in_use, things};
use crate::ask::reply::Reply;
use crate::logbook::Log;
use crate::physics::leads::LeadSearch;
use crate::record::entry::{About, in_order};
use crate::record::pickup::{Pickup, PickupId};
use crate::record::rig::{Rig, RigId};
use crate::record::things::Thing;

/// Where the search for a pickup's leads stands.
pub(super) fn lead_search_reply(log: &mut Log, id: PickupId, rig: Option<RigId>) -> Result<Reply, Refusal> {
    let entries = log.about(About::Pickup(id))?;
    let search = LeadSearch::fold(&in_order(entries.iter().cloned()));
    let pickup = Thing::<Pickup>::fold(entries, None).ok_or_else(|| Refusal::not_found("pickup"))?.described;
    let rig = match rig {
        Some(rig) => {
            Thing::<Rig>::fold(log.about(About::Rig(rig))?, None).ok_or_else(|| Refusal::not_found("rig"))?.described
        }
        None => things::<Rig>(log, "rig", false)?
            .into_iter()
            .next()
            .map_or_else(|| Rig::four_terminal("Four-terminal rig"), |(_, thing)| thing.described),
    };
    let meter = meter_in_use(log, None)?;
    Ok(Reply::LeadSearch { search: Box::new(search.view(id, &pickup, &rig, &meter.claim)) })
}
