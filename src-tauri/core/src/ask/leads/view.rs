//! Where the search for a pickup's leads stands.

use crate::ask::Refusal;
use crate::ask::load::{meter_in_use, things};
use crate::ask::reply::Reply;
use crate::leads::{lead_lines, lead_search};
use crate::logbook::Log;
use crate::physics::leads::LeadSearchView;
use crate::record::entry::{About, in_order};
use crate::record::pickup::{Pickup, PickupId};
use crate::record::rig::{Rig, RigId};
use crate::record::things::Thing;

/// Where the search for a pickup's leads stands.
pub(super) fn lead_search_reply(log: &mut Log, id: PickupId, rig: Option<RigId>) -> Result<Reply, Refusal> {
    let entries = log.about(About::Pickup(id))?;
    let ordered = in_order(entries.iter().cloned());
    let search = lead_search(&ordered);
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
    let search = LeadSearchView { lines: lead_lines(&ordered), ..search.view(id, &pickup, &rig, &meter.claim) };
    Ok(Reply::LeadSearch { search: Box::new(search) })
}
