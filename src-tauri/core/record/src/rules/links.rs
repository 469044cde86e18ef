//! Which kinds of entries are about which things, and which other things they speak of.

use uuid::Uuid;

use crate::audition::{Choice, Look};
use crate::body::Body;
use crate::entry::About;
use crate::gaps::GapAim;
use crate::pickup::PickupId;

/// Whether entries of this kind are about such a thing.
pub(super) fn can_be_about(about: About, body: &Body) -> bool {
    match body {
        Body::PickupDescribed { .. }
        | Body::LeadsBegun { .. }
        | Body::LeadsMeasured { .. }
        | Body::CoilNamed { .. }
        | Body::Tapped { .. }
        | Body::CompassHeld { .. }
        | Body::Installed { .. }
        | Body::TakenOut { .. } => matches!(about, About::Pickup(_)),
        Body::GuitarDescribed { .. } | Body::Decided { .. } | Body::Fitted { .. } => matches!(about, About::Guitar(_)),
        Body::RigDescribed { .. } => matches!(about, About::Rig(_)),
        Body::MeterDescribed { .. } => matches!(about, About::Meter(_)),
        Body::Retired { .. } | Body::BroughtBack {} => {
            matches!(about, About::Pickup(_) | About::Guitar(_) | About::Rig(_))
        }
        Body::Chosen { .. }
        | Body::Mounted { .. }
        | Body::HookedUp { .. }
        | Body::ReadingTaken { .. }
        | Body::Probed { .. }
        | Body::Mended { .. }
        | Body::FinishAsked { .. }
        | Body::Seated { .. }
        | Body::GapsMeasured { .. }
        | Body::GapsAimed { .. }
        | Body::LevelRead { .. }
        | Body::Tuned { .. }
        | Body::FinalPlaceChosen { .. }
        | Body::Rated { .. }
        | Body::NoteWritten { .. }
        | Body::AmpDescribed { .. }
        | Body::RatedAgainstFitted { .. }
        | Body::ReferencePinned {}
        | Body::ReferenceUnpinned {}
        | Body::ReferenceLookedAt { .. }
        | Body::StepSkipped { .. }
        | Body::StepTakenUp { .. }
        | Body::EndedEarly { .. } => matches!(about, About::Audition(_)),
        Body::PhotoTaken { look: Look::Before | Look::After, .. } => matches!(about, About::Audition(_)),
        Body::PhotoTaken { look: Look::Wiring, .. } => matches!(about, About::Fit(_)),
        Body::Ticked { .. }
        | Body::TickedTogether { .. }
        | Body::LevelTold { .. }
        | Body::ListeningCorrected { .. }
        | Body::Told { .. }
        | Body::IronLit {}
        | Body::IronOff {}
        | Body::CautionAcknowledged { .. }
        | Body::HoldOverridden { .. } => matches!(about, About::Audition(_) | About::Fit(_)),
        Body::FitBegun { .. }
        | Body::FitPlanned { .. }
        | Body::JackRead { .. }
        | Body::JackReadBefore { .. }
        | Body::FitProbed { .. }
        | Body::FitStepOver { .. }
        | Body::FitActDone { .. }
        | Body::FitAnswered { .. }
        | Body::FitDone { .. }
        | Body::FitGivenUp { .. } => matches!(about, About::Fit(_)),
        Body::StruckOut { .. } => true,
    }
}

/// The things that a body speaks of beside the one it is about.
pub fn speaks_of(body: &Body) -> Vec<About> {
    let pickup = |id: &Option<PickupId>| id.map(About::Pickup);
    match body {
        Body::GuitarDescribed { guitar } => guitar.places.iter().filter_map(|place| pickup(&place.fitted)).collect(),
        Body::Chosen { choice: Choice { pickup, guitar, rig, .. } } => {
            vec![About::Pickup(*pickup), About::Guitar(*guitar), About::Rig(*rig)]
        }
        Body::GapsAimed { aim: Some(GapAim { from: Some(audition), .. }) } => vec![About::Audition(*audition)],
        Body::ReferenceLookedAt { reference, .. } => vec![About::Audition(*reference)],
        Body::Decided { decision } => {
            let heard = decision.contenders.iter().flat_map(|one| {
                let auditions = one.auditions.iter().map(|id| About::Audition(*id));
                auditions.chain([About::Pickup(one.pickup)])
            });
            heard.chain([About::Pickup(decision.pickup), About::Audition(decision.audition)]).collect()
        }
        Body::FitBegun { on } => {
            vec![About::Audition(on.audition), About::Pickup(on.pickup), About::Guitar(on.guitar)]
        }
        Body::FitDone { came_out, .. } => pickup(came_out).into_iter().collect(),
        Body::Installed { guitar, fit, .. } | Body::TakenOut { guitar, fit, .. } => {
            vec![About::Guitar(*guitar), About::Fit(*fit)]
        }
        Body::Fitted { pickup: now, came_out, fit, .. } => {
            pickup(now).into_iter().chain(pickup(came_out)).chain([About::Fit(*fit)]).collect()
        }
        _ => Vec::new(),
    }
}

/// Every name of something else in a body.
pub(super) fn names(body: &Body) -> Vec<Uuid> {
    let entry = match body {
        Body::StruckOut { entry, .. } | Body::ListeningCorrected { session: entry, .. } => Some(entry.0),
        _ => None,
    };
    speaks_of(body).into_iter().map(About::uuid).chain(entry).collect()
}
