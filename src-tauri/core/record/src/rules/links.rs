//! Which kinds of entries are about which things, and which other things they speak of.

use uuid::Uuid;

use crate::audition::{Choice, PhotoKind};
use crate::body::{
    AuditionBody, BenchBody, BlindBody, Body, ComparisonBody, InstallBody, LeadsBody, ListeningBody, MeasuredBody,
    StayBody, StrikeBody, TakeBody, ThingBody,
};
use crate::entry::About;
use crate::gaps::GapAim;
use crate::names::EntryId;
use crate::pickup::PickupId;

/// Whether entries of this kind are about such a thing.
pub(super) fn can_be_about(about: About, body: &Body) -> bool {
    match body {
        Body::Thing(body) => match body {
            ThingBody::PickupDescribed { .. } => matches!(about, About::Pickup(_)),
            ThingBody::GuitarDescribed { .. } => matches!(about, About::Guitar(_)),
            ThingBody::RigDescribed { .. } => matches!(about, About::Rig(_)),
            ThingBody::MeterDescribed { .. } => matches!(about, About::Meter(_)),
            ThingBody::BenchNamed { .. } => matches!(about, About::Bench(_)),
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
        Body::Take(body) => match body {
            TakeBody::TakeKept { .. } => {
                matches!(about, About::Audition(_) | About::Fit(_) | About::Pickup(_))
            }
        },
        Body::Leads(_) | Body::Measured(_) => matches!(about, About::Pickup(_)),
        Body::Blind(_) => matches!(about, About::Pickup(_) | About::Guitar(_)),
        Body::Audition(_) | Body::Listening(_) => matches!(about, About::Audition(_)),
        Body::Install(_) => matches!(about, About::Fit(_)),
        Body::Strike(_) => true,
    }
}

/// The things that a body speaks of beside the one it is about.
pub fn speaks_of(body: &Body) -> Vec<About> {
    match body {
        Body::Thing(body) => things_of_thing(body),
        Body::Audition(body) => things_of_audition(body),
        Body::Listening(body) => match body {
            ListeningBody::ReferenceLookedAt { reference, .. } => vec![About::Audition(*reference)],
            ListeningBody::Rated { .. }
            | ListeningBody::NoteWritten { .. }
            | ListeningBody::AmpDescribed { .. }
            | ListeningBody::RatedAgainstFitted { .. } => Vec::new(),
        },
        Body::Comparison(body) => match body {
            ComparisonBody::Decided { decision } => {
                let heard = decision.contenders.iter().flat_map(|one| {
                    let auditions = one.auditions.iter().map(|id| About::Audition(*id));
                    auditions.chain([About::Pickup(one.pickup)])
                });
                heard.chain([About::Pickup(decision.pickup), About::Audition(decision.audition)]).collect()
            }
            ComparisonBody::ReferencePinned {} | ComparisonBody::ReferenceUnpinned {} => Vec::new(),
        },
        Body::Install(body) => things_of_install(body),
        Body::Stay(body) => match body {
            StayBody::Installed { guitar, fit, .. } | StayBody::TakenOut { guitar, fit, .. } => {
                vec![About::Guitar(*guitar), About::Fit(*fit)]
            }
            StayBody::Fitted { pickup: now, came_out, fit, .. } => {
                pickup(*now).chain(pickup(*came_out)).chain([About::Fit(*fit)]).collect()
            }
        },
        Body::Blind(body) => match body {
            BlindBody::BlindPlanned { plan } => {
                let takes = plan.takes.iter().chain(plan.control.iter());
                takes.flat_map(|one| pickup(one.pickup).chain(one.audition.map(About::Audition))).collect()
            }
            BlindBody::BlindAnswered { .. } | BlindBody::BlindUncovered { .. } => Vec::new(),
        },
        // These speak of nothing but what they are about, or of entries alone.
        Body::Leads(_) | Body::Measured(_) | Body::Bench(_) | Body::Take(_) | Body::Strike(_) => Vec::new(),
    }
}

fn pickup(id: Option<PickupId>) -> impl Iterator<Item = About> {
    id.map(About::Pickup).into_iter()
}

fn things_of_thing(body: &ThingBody) -> Vec<About> {
    match body {
        ThingBody::GuitarDescribed { guitar } => guitar.places.iter().flat_map(|place| pickup(place.fitted)).collect(),
        ThingBody::PickupDescribed { .. }
        | ThingBody::RigDescribed { .. }
        | ThingBody::MeterDescribed { .. }
        | ThingBody::BenchNamed { .. }
        | ThingBody::Retired { .. }
        | ThingBody::BroughtBack {} => Vec::new(),
    }
}

fn things_of_audition(body: &AuditionBody) -> Vec<About> {
    match body {
        AuditionBody::Chosen { choice: Choice { pickup, guitar, rig, .. } } => {
            vec![About::Pickup(*pickup), About::Guitar(*guitar), About::Rig(*rig)]
        }
        AuditionBody::GapsAimed { aim: Some(GapAim { from: Some(audition), .. }) } => vec![About::Audition(*audition)],
        AuditionBody::GapsAimed { aim: None | Some(GapAim { from: None, .. }) }
        | AuditionBody::Mounted { .. }
        | AuditionBody::HookedUp { .. }
        | AuditionBody::ReadingTaken { .. }
        | AuditionBody::Probed { .. }
        | AuditionBody::Mended { .. }
        | AuditionBody::FinishAsked { .. }
        | AuditionBody::Seated { .. }
        | AuditionBody::GapsMeasured { .. }
        | AuditionBody::LevelRead { .. }
        | AuditionBody::Tuned { .. }
        | AuditionBody::FinalPlaceChosen { .. }
        | AuditionBody::StepSkipped { .. }
        | AuditionBody::StepTakenUp { .. }
        | AuditionBody::EndedEarly { .. } => Vec::new(),
    }
}

fn things_of_install(body: &InstallBody) -> Vec<About> {
    match body {
        InstallBody::FitBegun { on } => {
            vec![About::Audition(on.audition), About::Pickup(on.pickup), About::Guitar(on.guitar)]
        }
        InstallBody::FitDone { came_out, .. } => pickup(*came_out).collect(),
        InstallBody::FitPlanned { .. }
        | InstallBody::FitPartsChosen { .. }
        | InstallBody::JackRead { .. }
        | InstallBody::JackReadBefore { .. }
        | InstallBody::FitProbed { .. }
        | InstallBody::FitCantProbe { .. }
        | InstallBody::FitStepOver { .. }
        | InstallBody::FitActDone { .. }
        | InstallBody::FitAnswered { .. }
        | InstallBody::FitGivenUp { .. } => Vec::new(),
    }
}

/// The entry that a body speaks of.
fn speaks_of_entry(body: &Body) -> Option<EntryId> {
    match body {
        Body::Strike(StrikeBody::StruckOut { entry, .. }) => Some(*entry),
        Body::Blind(body) => match body {
            BlindBody::BlindPlanned { .. } => None,
            BlindBody::BlindAnswered { test, .. } | BlindBody::BlindUncovered { test, .. } => Some(*test),
        },
        Body::Bench(body) => match body {
            BenchBody::ListeningCorrected { session, .. } => Some(*session),
            BenchBody::Ticked { .. }
            | BenchBody::TickedTogether { .. }
            | BenchBody::Told { .. }
            | BenchBody::LevelTold { .. }
            | BenchBody::PhotoTaken { .. }
            | BenchBody::IronLit {}
            | BenchBody::IronOff {}
            | BenchBody::CautionAcknowledged { .. }
            | BenchBody::HoldOverridden { .. } => None,
        },
        Body::Measured(MeasuredBody::CoilSwept { swept }) => swept.take,
        Body::Measured(MeasuredBody::CoilRung { rung }) => Some(rung.take),
        Body::Leads(body) => match body {
            LeadsBody::TapsRecorded { taps } => taps.take,
            LeadsBody::InputCalibrated { take, .. } => *take,
            LeadsBody::LeadsBegun { .. }
            | LeadsBody::LeadsMeasured { .. }
            | LeadsBody::CoilNamed { .. }
            | LeadsBody::Tapped { .. }
            | LeadsBody::CompassHeld { .. } => None,
        },
        Body::Measured(MeasuredBody::ComponentMetered { .. })
        | Body::Thing(_)
        | Body::Audition(_)
        | Body::Listening(_)
        | Body::Comparison(_)
        | Body::Install(_)
        | Body::Take(_)
        | Body::Stay(_) => None,
    }
}

/// Every name of something else in a body.
pub(super) fn names(body: &Body) -> Vec<Uuid> {
    let entry = speaks_of_entry(body).map(|entry| entry.0);
    speaks_of(body).into_iter().map(About::uuid).chain(entry).collect()
}
