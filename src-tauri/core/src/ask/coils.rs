//! What the coils of a pickup have read over its life.

use super::Refusal;
use crate::ask::load::{kit_then, meter_in_use};
use crate::ask::views::MeasuredCoil;
use crate::audition::{Audition, agreement};
use crate::leads::lead_search;
use crate::logbook::{Lists, Log};
use crate::physics::meter::{AgreementKind, ImpliedCoil, Visit};
use crate::record::audition::AuditionId;
use crate::record::entry::About;
use crate::record::pickup::{Pickup, PickupId};
use crate::record::things::Thing;

/// How many of a pickup's newest auditions its health is told from.
const VISITS: usize = 40;
/// How many earlier auditions are looked at for coils that were measured.
const LOOKED_AT: usize = 8;

/// What the newest auditions of a pickup or a guitar found, with the pickup each was about.
pub(crate) fn visits_of(log: &mut Log, about: About) -> Result<Vec<(PickupId, Visit)>, Refusal> {
    let mut visits = Vec::new();
    for audition in log.auditions_of(about)?.into_iter().take(VISITS) {
        let audition = Audition::fold(&log.about(About::Audition(AuditionId(audition)))?);
        let Some(pickup) = audition.choice.as_ref().map(|choice| choice.said.pickup) else { continue };
        let Some(at) = audition.readings.values().map(|taken| taken.at).max() else { continue };
        let kit = kit_then(log, &audition)?;
        if let Some(agreement) = agreement(&audition, &kit) {
            visits.push((pickup, Visit { at, agreement }));
        }
    }
    Ok(visits)
}

/// Coils of a pickup as the newest audition begun before this one found them.
pub(crate) fn measured_before(log: &mut Log, id: AuditionId, audition: &Audition) -> Result<Vec<ImpliedCoil>, Refusal> {
    let Some(choice) = audition.choice.as_ref() else { return Ok(Vec::new()) };
    newest_found(log, choice.said.pickup, |other, found| other != id && found.begun < audition.begun)
}

/// A pickup's coils as they were measured last: by an audition whose readings agree, else between the leads.
pub(crate) fn measured_last(log: &mut Log, id: PickupId) -> Result<Vec<MeasuredCoil>, Refusal> {
    let mut coils = newest_found(log, id, |_, _| true)?;
    if coils.is_empty() {
        let entries = log.about(About::Pickup(id))?;
        let search = lead_search(&entries);
        if let Some(thing) = Thing::<Pickup>::fold(&entries) {
            coils = search.measured(&thing.described, &meter_in_use(log, None)?.claim);
        }
    }
    let measured = |coil: ImpliedCoil| MeasuredCoil { coil: coil.coil, shown: coil.shown, ohms: coil.ohms };
    Ok(coils.into_iter().map(measured).collect())
}

/// Asks about a stated value that lies three powers of ten from what its coil read.
pub(crate) fn refuse_stated_by_slip(log: &mut Log, id: PickupId, pickup: &Pickup) -> Result<(), Refusal> {
    if pickup.coils.iter().all(|coil| coil.stated.is_none()) || log.about(About::Pickup(id))?.is_empty() {
        return Ok(());
    }
    let measured = measured_last(log, id)?;
    for (place, coil) in pickup.coils.iter().enumerate() {
        let read = measured.iter().find(|measured| measured.coil == coil.name);
        let Some((stated, read)) = coil.stated.zip(read) else { continue };
        let powers = (stated.0 / read.ohms.0).log10().abs();
        if (2.5..=3.5).contains(&powers) {
            let sentence = format!(
                "{}? This coil was measured at {}. Look at the letter: k is kilohm, M is megohm. Or leave it empty.",
                stated.shown(),
                read.shown
            );
            return Err(Refusal::unclear(&format!("coils.{place}.stated"), sentence));
        }
    }
    Ok(())
}

/// The coils that the newest of a pickup's auditions found whose readings agree, among those that are wanted.
fn newest_found(
    log: &mut Log,
    pickup: PickupId,
    wanted: impl Fn(AuditionId, &Audition) -> bool,
) -> Result<Vec<ImpliedCoil>, Refusal> {
    for other in log.auditions_of(About::Pickup(pickup))?.into_iter().take(LOOKED_AT).map(AuditionId) {
        let audition = Audition::fold(&log.about(About::Audition(other))?);
        if audition.readings.is_empty() || !wanted(other, &audition) {
            continue;
        }
        let kit = kit_then(log, &audition)?;
        if let Some(found) = agreement(&audition, &kit)
            && found.kind == AgreementKind::Agrees
            && !found.implied.is_empty()
        {
            return Ok(found.implied);
        }
    }
    Ok(Vec::new())
}
