//! What each act about a thing puts into the log.

use super::asks::ThingAct;
use crate::ask::Refusal;
use crate::ask::coils::refuse_stated_by_slip;
use crate::ask::forms::typed::at;
use crate::ask::load::newest;
use crate::logbook::Log;
use crate::record::body::{Body, ThingBody};
use crate::record::entry::{About, Entry};
use crate::record::guitar::Guitar;
use crate::record::pickup::Pickup;
use crate::record::words;

/// What this act writes, given what was written about the same thing before.
pub(super) fn compose(log: &mut Log, act: ThingAct, before: &[(Entry, bool)]) -> Result<Body, Refusal> {
    Ok(match act {
        ThingAct::WriteMeter { form, .. } => Body::Thing(ThingBody::MeterDescribed { meter: form.read()? }),
        ThingAct::WritePickup { form, id, .. } => {
            let pickup = form.read()?;
            refuse_stated_by_slip(log, id, &pickup)?;
            Body::Thing(ThingBody::PickupDescribed { pickup })
        }
        ThingAct::WriteGuitar { form, .. } => Body::Thing(ThingBody::GuitarDescribed { guitar: form.read()? }),
        ThingAct::TellHeights { id, heights, .. } => {
            let guitar: Guitar = newest(log, About::Guitar(id), "guitar")?;
            Body::Thing(ThingBody::GuitarDescribed { guitar: heights.read(guitar)? })
        }
        ThingAct::TellSizes { id, sizes, .. } => {
            let pickup: Pickup = newest(log, About::Pickup(id), "pickup")?;
            Body::Thing(ThingBody::PickupDescribed { pickup: sizes.read(pickup)? })
        }
        ThingAct::TellOpening { id, opening, .. } => {
            let guitar: Guitar = newest(log, About::Guitar(id), "guitar")?;
            Body::Thing(ThingBody::GuitarDescribed { guitar: opening.read(guitar)? })
        }
        ThingAct::TellFitted { id, place, pickup, .. } => {
            newest::<Pickup>(log, About::Pickup(pickup), "pickup")?;
            let mut guitar: Guitar = newest(log, About::Guitar(id), "guitar")?;
            let Some(at) = guitar.places.iter_mut().find(|at| at.name == place) else {
                return Err(Refusal::unclear("place", "The guitar has no such place."));
            };
            at.fitted = Some(pickup);
            Body::Thing(ThingBody::GuitarDescribed { guitar })
        }
        ThingAct::WriteRig { form, .. } => Body::Thing(ThingBody::RigDescribed { rig: form.read()? }),
        ThingAct::Retire { why, thing, .. } => {
            if before.is_empty()
                || matches!(thing, About::Audition(_) | About::Meter(_) | About::Fit(_) | About::Bench(_))
            {
                return Err(Refusal::not_found("thing"));
            }
            Body::Thing(ThingBody::Retired { why: words::note(&why, "the reason").map_err(at("why"))? })
        }
        ThingAct::BringBack { thing, .. } => {
            if before.is_empty()
                || matches!(thing, About::Audition(_) | About::Meter(_) | About::Fit(_) | About::Bench(_))
            {
                return Err(Refusal::not_found("thing"));
            }
            Body::Thing(ThingBody::BroughtBack {})
        }
    })
}
