//! Which kinds of entries are about which things, and which other things they speak of.

use uuid::Uuid;

use crate::audition::{Choice, PhotoKind};
use crate::body::{
    AuditionBody, BenchBody, Body, ComparisonBody, InstallBody, ListeningBody, StayBody, StrikeBody, ThingBody,
};
use crate::entry::About;
use crate::gaps::GapAim;
use crate::pickup::PickupId;

/// Whether entries of this kind are about such a thing.
pub(super) fn can_be_about(about: About, body: &Body) -> bool {
    match body {
        Body::Thing(body) => match body {
            ThingBody::PickupDescribed { .. } => matches!(about, About::Pickup(_)),
            ThingBody::GuitarDescribed { .. } => matches!(about, About::Guitar(_)),
            ThingBody::RigDescribed { .. } => matches!(about, About::Rig(_)),
            ThingBody::MeterDescribed { .. } => matches!(about, About::Meter(_)),
            ThingBody::Retired { .. } | ThingBody::BroughtBack {} => {
                matches!(about, About::Pickup(_) | About::Guitar(_) | About::Rig(_))
            }
        },
        Body::Comparison(body) => match body {
            ComparisonBody::Decided { .. } => matches!(about, About::Guitar(_)),
            ComparisonBody::ReferencePinned {} | ComparisonBody::ReferenceUnpinned {} => {
                matches!(about, About::Audition(_))
            }
        },
        Body::Bench(body) => match body {
            BenchBody::PhotoTaken { look: PhotoKind::Before | PhotoKind::After, .. } => {
                matches!(about, About::Audition(_))
            }
            BenchBody::PhotoTaken { look: PhotoKind::Wiring, .. } => matches!(about, About::Fit(_)),
            BenchBody::Ticked { .. }
            | BenchBody::TickedTogether { .. }
            | BenchBody::LevelTold { .. }
            | BenchBody::ListeningCorrected { .. }
            | BenchBody::Told { .. }
            | BenchBody::IronLit {}
            | BenchBody::IronOff {}
            | BenchBody::CautionAcknowledged { .. }
            | BenchBody::HoldOverridden { .. } => matches!(about, About::Audition(_) | About::Fit(_)),
        },
        Body::Stay(body) => match body {
            StayBody::Installed { .. } | StayBody::TakenOut { .. } => matches!(about, About::Pickup(_)),
            StayBody::Fitted { .. } => matches!(about, About::Guitar(_)),
        },
        Body::Leads(_) => matches!(about, About::Pickup(_)),
        Body::Audition(_) | Body::Listening(_) => matches!(about, About::Audition(_)),
        Body::Install(_) => matches!(about, About::Fit(_)),
        Body::Strike(_) => true,
    }
}

/// The things that a body speaks of beside the one it is about.
pub fn speaks_of(body: &Body) -> Vec<About> {
    let pickup = |id: &Option<PickupId>| id.map(About::Pickup);
    match body {
        Body::Thing(ThingBody::GuitarDescribed { guitar }) => {
            guitar.places.iter().filter_map(|place| pickup(&place.fitted)).collect()
        }
        Body::Audition(AuditionBody::Chosen { choice: Choice { pickup, guitar, rig, .. } }) => {
            vec![About::Pickup(*pickup), About::Guitar(*guitar), About::Rig(*rig)]
        }
        Body::Audition(AuditionBody::GapsAimed { aim: Some(GapAim { from: Some(audition), .. }) }) => {
            vec![About::Audition(*audition)]
        }
        Body::Listening(ListeningBody::ReferenceLookedAt { reference, .. }) => vec![About::Audition(*reference)],
        Body::Comparison(ComparisonBody::Decided { decision }) => {
            let heard = decision.contenders.iter().flat_map(|one| {
                let auditions = one.auditions.iter().map(|id| About::Audition(*id));
                auditions.chain([About::Pickup(one.pickup)])
            });
            heard.chain([About::Pickup(decision.pickup), About::Audition(decision.audition)]).collect()
        }
        Body::Install(InstallBody::FitBegun { on }) => {
            vec![About::Audition(on.audition), About::Pickup(on.pickup), About::Guitar(on.guitar)]
        }
        Body::Install(InstallBody::FitDone { came_out, .. }) => pickup(came_out).into_iter().collect(),
        Body::Stay(StayBody::Installed { guitar, fit, .. }) | Body::Stay(StayBody::TakenOut { guitar, fit, .. }) => {
            vec![About::Guitar(*guitar), About::Fit(*fit)]
        }
        Body::Stay(StayBody::Fitted { pickup: now, came_out, fit, .. }) => {
            pickup(now).into_iter().chain(pickup(came_out)).chain([About::Fit(*fit)]).collect()
        }
        _ => Vec::new(),
    }
}

/// Every name of something else in a body.
pub(super) fn names(body: &Body) -> Vec<Uuid> {
    let entry = match body {
        Body::Strike(StrikeBody::StruckOut { entry, .. })
        | Body::Bench(BenchBody::ListeningCorrected { session: entry, .. }) => Some(entry.0),
        _ => None,
    };
    speaks_of(body).into_iter().map(About::uuid).chain(entry).collect()
}
