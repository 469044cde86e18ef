//! What the coils of a pickup have read over its life.

use std::collections::BTreeMap;

use super::Refusal;
use crate::ask::load::{kit_then, meter_in_use};
use crate::ask::views::MeasuredCoil;
use crate::audition::{Audition, agreement};
use crate::leads::{lead_search, lead_searches};
use crate::logbook::{Lists, Log};
use crate::physics::meter::{Agreement, AgreementKind, ImpliedCoil, Visit, within_at_20};
use crate::record::audition::AuditionId;
use crate::record::entry::About;
use crate::record::pickup::{CoilName, Pickup, PickupId};
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

/// What was found of a pickup's coils over its life: by its newest auditions, and each time they were read between its leads.
pub(crate) fn visits_of_pickup(log: &mut Log, id: PickupId) -> Result<Vec<Visit>, Refusal> {
    let about = About::Pickup(id);
    let mut visits: Vec<Visit> = visits_of(log, about)?.into_iter().map(|(_, visit)| visit).collect();
    let entries = log.about(about)?;
    let Some(thing) = Thing::<Pickup>::fold(&entries) else { return Ok(visits) };
    let meter = meter_in_use(log, None)?.claim;
    for (at, search) in lead_searches(&entries) {
        let implied = search.measured(&thing.described, &meter);
        if !implied.is_empty() {
            let agreement = Agreement {
                kind: AgreementKind::Agrees,
                sentence: String::new(),
                per_mode: Vec::new(),
                implied,
                times_the_band: None,
                explained: true,
            };
            visits.push(Visit { at, agreement });
        }
    }
    Ok(visits)
}

/// Each coil by what tells it closest: `found` by an audition, or read at the leads. Where the two can't both be right the coil is no
/// longer what it was at the leads, and what was found holds.
fn closest(at_leads: Vec<ImpliedCoil>, found: Vec<ImpliedCoil>) -> Vec<ImpliedCoil> {
    let mut coils: BTreeMap<CoilName, ImpliedCoil> = found.into_iter().map(|coil| (coil.coil, coil)).collect();
    for read in at_leads {
        let holds = coils.get(&read.coil).is_some_and(|found| {
            let [found_within, read_within] = [found, &read].map(within_at_20);
            found_within <= read_within || (found.ohms.0 - read.ohms.0).abs() > found_within + read_within
        });
        if !holds {
            coils.insert(read.coil, read);
        }
    }
    coils.into_values().collect()
}

/// Coils of a pickup as the newest audition begun before this one found them, or as they were read at the leads, whichever tells a
/// coil closest.
pub(crate) fn measured_before(
    log: &mut Log,
    id: AuditionId,
    audition: &Audition,
    at_leads: Vec<ImpliedCoil>,
) -> Result<Vec<ImpliedCoil>, Refusal> {
    let Some(choice) = audition.choice.as_ref() else { return Ok(at_leads) };
    let found = newest_found(log, choice.said.pickup, |other, found| other != id && found.begun < audition.begun)?;
    Ok(closest(at_leads, found))
}

/// A pickup's coils as they were measured: by the newest audition whose readings agree or between the leads, whichever tells a coil
/// closest.
pub(crate) fn measured_last(log: &mut Log, id: PickupId) -> Result<Vec<MeasuredCoil>, Refusal> {
    let found = newest_found(log, id, |_, _| true)?;
    let entries = log.about(About::Pickup(id))?;
    let at_leads = match Thing::<Pickup>::fold(&entries) {
        Some(thing) => lead_search(&entries).measured(&thing.described, &meter_in_use(log, None)?.claim),
        None => Vec::new(),
    };
    let coils = closest(at_leads, found);
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::quantity::Ohms;

    fn coil(coil: CoilName, ohms: f64, within: f64, at_20: bool) -> ImpliedCoil {
        ImpliedCoil { coil, ohms: Ohms(ohms), within: Ohms(within), at_20, shown: String::new() }
    }

    /// Read at the leads and found by an audition, the closer one of two that fit each other is told, and the later one of two that
    /// don't.
    #[test]
    fn one_coil_is_told_by_what_tells_it_closest() {
        use CoilName::{A, B};
        let read = || vec![coil(A, 4050.0, 50.0, false), coil(B, 4220.0, 50.0, false)];
        for (what, found, told) in [
            ("by the leads alone", vec![], [4050.0, 4220.0]),
            ("less close", vec![coil(A, 4040.0, 77.0, false), coil(B, 4210.0, 190.0, false)], [4050.0, 4220.0]),
            ("closer, in a room that was measured", vec![coil(B, 4210.0, 77.0, true)], [4050.0, 4210.0]),
            ("another coil than it was", vec![coil(A, 5000.0, 200.0, false)], [5000.0, 4220.0]),
        ] {
            let coils = closest(read(), found.clone());
            assert_eq!(coils.iter().map(|coil| coil.ohms.0).collect::<Vec<_>>(), told, "{what}");
            assert_eq!(closest(Vec::new(), found.clone()), found, "{what}");
        }
    }
}
