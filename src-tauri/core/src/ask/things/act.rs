//! What each act about a thing puts into the log.

use super::asks::ThingAct;
use crate::ask::Refusal;
use crate::ask::coils::refuse_stated_by_slip;
use crate::ask::forms::typed::at;
use crate::ask::load::newest;
use crate::logbook::Log;
use crate::record::body::Body;
use crate::record::entry::{About, Entry};
use crate::record::guitar::Guitar;
use crate::record::words;

/// What this act writes, given what was written about the same thing before.
pub(super) fn compose(log: &mut Log, act: ThingAct, before: &[(Entry, bool)]) -> Result<Body, Refusal> {
    Ok(match act {
        ThingAct::WriteMeter { form, .. } => Body::MeterDescribed { meter: form.read()? },
        ThingAct::WritePickup { form, id, .. } => {
            let pickup = form.read()?;
            refuse_stated_by_slip(log, id, &pickup)?;
            Body::PickupDescribed { pickup }
        }
        ThingAct::WriteGuitar { form, .. } => Body::GuitarDescribed { guitar: form.read()? },
        ThingAct::TellHeights { id, heights, .. } => {
            let guitar: Guitar = newest(log, About::Guitar(id), "guitar")?;
            Body::GuitarDescribed { guitar: heights.read(guitar)? }
        }
        ThingAct::WriteRig { form, .. } => Body::RigDescribed { rig: form.read()? },
        ThingAct::Retire { why, thing, .. } => {
            if before.is_empty() || matches!(thing, About::Audition(_) | About::Meter(_) | About::Fit(_)) {
                return Err(Refusal::not_found("thing"));
            }
            Body::Retired { why: words::note(&why, "the reason").map_err(at("why"))? }
        }
        ThingAct::BringBack { thing, .. } => {
            if before.is_empty() || matches!(thing, About::Audition(_) | About::Meter(_) | About::Fit(_)) {
                return Err(Refusal::not_found("thing"));
            }
            Body::BroughtBack {}
        }
    })
}
