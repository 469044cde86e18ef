//! Where the search for a pickup's leads stands.

use crate::ask::Refusal;
use crate::ask::load::{meter_in_use, things};
use crate::ask::reply::Reply;
use crate::leads::{lead_lines, lead_search};
use crate::logbook::Log;
use crate::physics::leads::{LeadSearch, LeadSearchView};
use crate::record::entry::About;
use crate::record::pickup::{Pickup, PickupId};
use crate::record::rig::{Rig, RigId};
use crate::record::things::Thing;

/// What is known of inputs by other pickups is learned where taps were recorded on one that nothing is known of here.
pub(super) fn with_inputs(log: &mut Log, mut search: LeadSearch) -> Result<LeadSearch, Refusal> {
    if search.needs_inputs() {
        let mut known = Vec::new();
        for retired in [true, false] {
            for (id, _) in things::<Pickup>(log, "pickup", retired)? {
                let entries = log.about(About::Pickup(PickupId(id)))?;
                known.extend(lead_search(&entries).inputs());
            }
        }
        search.learn_inputs(known);
    }
    Ok(search)
}

/// Where the search for a pickup's leads stands.
pub(super) fn lead_search_reply(log: &mut Log, id: PickupId, rig: Option<RigId>) -> Result<Reply, Refusal> {
    let ordered = log.about(About::Pickup(id))?;
    let search = with_inputs(log, lead_search(&ordered))?;
    let pickup = Thing::<Pickup>::fold(&ordered).ok_or_else(|| Refusal::not_found("pickup"))?.described;
    let rig = match rig {
        Some(rig) => {
            Thing::<Rig>::fold(&log.about(About::Rig(rig))?).ok_or_else(|| Refusal::not_found("rig"))?.described
        }
        None => things::<Rig>(log, "rig", false)?
            .into_iter()
            .next()
            .map_or_else(|| Rig::four_terminal("Four-terminal rig"), |(_, thing)| thing.described),
    };
    let meter = meter_in_use(log, None)?;
    let search = LeadSearchView { lines: lead_lines(&ordered), ..search.view(id, &pickup, &rig, &meter.claim) };
    Ok(Reply::LeadSearch { search: Box::new(search) })
}
