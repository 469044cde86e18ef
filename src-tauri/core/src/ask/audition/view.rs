//! An audition as its page shows it.

use chrono::{DateTime, Utc};

use crate::ask::Refusal;
use crate::ask::benches::sign;
use crate::ask::coils::measured_before;
use crate::ask::listener::present;
use crate::ask::load::kit_then;
use crate::ask::reference::tell;
use crate::ask::reply::Reply;
use crate::audition::{Audition, view};
use crate::logbook::Log;
use crate::record::audition::AuditionId;
use crate::record::entry::About;

/// One audition as it stands.
pub(crate) fn audition_reply(log: &mut Log, id: AuditionId, now: DateTime<Utc>) -> Result<Reply, Refusal> {
    log.at_one_moment(|log| {
        let ordered = log.about(About::Audition(id))?;
        if ordered.is_empty() {
            return Err(Refusal::not_found("audition"));
        }
        let audition = Audition::fold(&ordered);
        let mut kit = kit_then(log, &audition)?;
        if kit.pickup.as_ref().is_some_and(|pickup| {
            pickup
                .coils
                .iter()
                .any(|coil| coil.stated.is_none() && kit.measured.iter().all(|measured| measured.coil != coil.name))
        }) {
            kit.measured = measured_before(log, id, &audition, std::mem::take(&mut kit.measured))?;
        }
        let present = present(log, now, Some(About::Audition(id)))?;
        let mut view = view(id, &ordered, kit, &present);
        tell(log, &audition, &mut view)?;
        sign(log, &ordered, &mut view.written)?;
        Ok(Reply::Audition { audition: Box::new(view) })
    })
}
