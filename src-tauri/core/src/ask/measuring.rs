//! Asks of the meter bench: the meter itself, the leads of a pickup, and what its coils have read over its life.

use super::contract::Ask;
use super::striking::may_be_struck;
use super::{Code, Refusal};
use crate::ask::load::{kit_then, meter_in_use, things};
use crate::ask::reply::Reply;
use crate::ask::views::{MeasuredCoil, MeterForm, MeterPage};
use crate::audition::{Audition, agreement};
use crate::logbook::{Lists, Log};
use crate::physics::leads::LeadSearch;
use crate::physics::meter::{AgreementKind, Health, ImpliedCoil, Visit, expected_from, health};
use crate::record::audition::AuditionId;
use crate::record::body::Body;
use crate::record::entry::{About, Entry, in_order};
use crate::record::leads::{FRAME, MOST_LEADS, SHIELD};
use crate::record::meter::{MeterId, OwnMeter};
use crate::record::pickup::{Pickup, PickupId};
use crate::record::quantity::{Ohms, read_ohms};
use crate::record::rig::{Rig, RigId};
use crate::record::things::Thing;
use crate::record::words;

/// How many of a pickup's newest auditions its health is told from.
const VISITS: usize = 40;
/// How many earlier auditions are looked at for coils that were measured.
const LOOKED_AT: usize = 8;

pub(super) fn meter_reply(log: &Log) -> Result<Reply, Refusal> {
    let thing = Thing::<OwnMeter>::fold(log.about(About::Meter(MeterId::IN_USE))?, None);
    let described = thing.is_some();
    let meter = thing.map(|thing| thing.described).unwrap_or_default();
    let typical = Ohms(6660.0);
    let meter = MeterPage {
        shown: format!("{}, {}", meter.label, meter.claim.shown()),
        example: format!("A reading of {} may lie {} off.", typical.shown(), meter.claim.claim(typical).shown()),
        form: MeterForm::from_record(&meter),
        described,
    };
    Ok(Reply::Meter { meter })
}

/// Where the search for a pickup's leads stands.
pub(super) fn lead_search_reply(log: &mut Log, id: PickupId, rig: Option<RigId>) -> Result<Reply, Refusal> {
    let entries = log.about(About::Pickup(id))?;
    let search = LeadSearch::fold(&in_order(entries.iter().cloned()));
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
    Ok(Reply::LeadSearch { search: Box::new(search.view(id, &pickup, &rig, &meter.claim)) })
}

/// What each mode of a rig would do with a pickup.
pub(super) fn modes_reply(log: &Log, pickup: PickupId, rig: RigId) -> Result<Reply, Refusal> {
    let entries = log.about(About::Pickup(pickup))?;
    let search = LeadSearch::fold(&in_order(entries.iter().cloned()));
    let pickup = Thing::<Pickup>::fold(entries, None).ok_or_else(|| Refusal::not_found("pickup"))?.described;
    let rig = Thing::<Rig>::fold(log.about(About::Rig(rig))?, None).ok_or_else(|| Refusal::not_found("rig"))?.described;
    let meter = meter_in_use(log, None)?.claim;
    let joined = crate::audition::meant(&pickup, &rig);
    Ok(Reply::Modes { modes: expected_from(&pickup, &joined, &rig, &meter, None, &search.measured(&pickup, &meter)) })
}

/// A pickup's coils over its newest auditions.
pub(super) fn health_reply(log: &mut Log, id: PickupId) -> Result<Reply, Refusal> {
    if Thing::<Pickup>::fold(log.about(About::Pickup(id))?, None).is_none() {
        return Err(Refusal::not_found("pickup"));
    }
    let visits: Vec<Visit> = visits_of(log, About::Pickup(id))?.into_iter().map(|(_, visit)| visit).collect();
    let health: Health = health(&visits);
    Ok(Reply::Health { health })
}

/// What the newest auditions of a pickup or a guitar found, with the pickup each was about.
pub(super) fn visits_of(log: &mut Log, about: About) -> Result<Vec<(PickupId, Visit)>, Refusal> {
    let mut visits = Vec::new();
    for audition in log.auditions_of(about)?.into_iter().take(VISITS) {
        let audition = Audition::fold(&in_order(log.about(About::Audition(AuditionId(audition)))?));
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
pub(super) fn measured_before(log: &mut Log, id: AuditionId, audition: &Audition) -> Result<Vec<ImpliedCoil>, Refusal> {
    let Some(choice) = audition.choice.as_ref() else { return Ok(Vec::new()) };
    newest_found(log, choice.said.pickup, |other, found| other != id && found.begun < audition.begun)
}

/// A pickup's coils as they were measured last: by an audition whose readings agree, else between the leads.
pub(super) fn measured_last(log: &mut Log, id: PickupId) -> Result<Vec<MeasuredCoil>, Refusal> {
    let mut coils = newest_found(log, id, |_, _| true)?;
    if coils.is_empty() {
        let entries = log.about(About::Pickup(id))?;
        let search = LeadSearch::fold(&in_order(entries.iter().cloned()));
        if let Some(thing) = Thing::<Pickup>::fold(entries, None) {
            coils = search.measured(&thing.described, &meter_in_use(log, None)?.claim);
        }
    }
    let measured = |coil: ImpliedCoil| MeasuredCoil { coil: coil.coil, shown: coil.shown, ohms: coil.ohms };
    Ok(coils.into_iter().map(measured).collect())
}

/// Asks about a stated value that lies three powers of ten from what its coil read.
pub(super) fn refuse_stated_by_slip(log: &mut Log, id: PickupId, pickup: &Pickup) -> Result<(), Refusal> {
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
        let audition = Audition::fold(&in_order(log.about(About::Audition(other))?));
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

/// What an ask about leads or the meter writes, given what was written about the same thing before.
pub(super) fn compose(log: &Log, ask: Ask, before: &[(Entry, bool)]) -> Result<Body, Refusal> {
    if let Ask::WriteMeter { form, .. } = ask {
        return Ok(Body::MeterDescribed { meter: form.read()? });
    }
    let entries = || before.iter().map(|(entry, _)| entry.clone());
    let pickup = Thing::<Pickup>::fold(entries(), None).ok_or_else(|| Refusal::not_found("pickup"))?.described;
    let search = LeadSearch::fold(before);
    let known = |name: &str, field: &'static str| {
        if search.has(name) {
            Ok(())
        } else {
            Err(Refusal::unclear(field, "This is none of the leads that were named. Begin anew to name others."))
        }
    };
    Ok(match ask {
        Ask::BeginLeads { leads, shield, frame, .. } => {
            let mut names: Vec<String> = Vec::new();
            for lead in &leads {
                let name = words::label(lead, "the lead").map_err(|e| Refusal::unclear("leads", e.sentence))?;
                if name == SHIELD || name == FRAME {
                    return Err(Refusal::unclear(
                        "leads",
                        format!("“{name}” is not the name of a lead here. Say below whether there is one."),
                    ));
                }
                if names.contains(&name) {
                    return Err(Refusal::unclear(
                        "leads",
                        format!("Two leads are called {name}. Give each its own name."),
                    ));
                }
                names.push(name);
            }
            if names.is_empty() || names.len() > MOST_LEADS || (names.len() == 1 && !shield) {
                return Err(Refusal::unclear(
                    "leads",
                    format!("Name two to {MOST_LEADS} leads, or one lead and a shield."),
                ));
            }
            Body::LeadsBegun { leads: names, shield, frame }
        }
        Ask::MeasureLeads { between, reading, out_of_reach, .. } => {
            known(&between[0], "between")?;
            known(&between[1], "between")?;
            if between[0] == between[1] {
                return Err(Refusal::unclear("between", "Put the two probes on two different leads."));
            }
            if out_of_reach {
                Body::LeadsMeasured { between, reading: None, typed: String::new() }
            } else {
                let taken = read_ohms(&reading).map_err(|unclear| Refusal::unclear("reading", unclear.sentence))?;
                Body::LeadsMeasured { between, reading: Some(taken), typed: reading }
            }
        }
        Ask::NameCoil { coil, .. } => {
            known(&coil.between[0], "coil.between")?;
            known(&coil.between[1], "coil.between")?;
            Body::CoilNamed { coil }
        }
        Ask::TapCoil { tap, .. } => {
            known(&tap.plus, "tap.plus")?;
            known(&tap.minus, "tap.minus")?;
            Body::Tapped { tap }
        }
        Ask::HoldCompass { coil, up, .. } => Body::CompassHeld { coil, up },
        Ask::SettleLeads { .. } => {
            let meter = meter_in_use(log, None)?;
            let written = search.written_into(&pickup, &meter.claim).ok_or_else(|| {
                Refusal::unclear("pickup", "The leads are not known for sure yet. Nothing was written.")
            })?;
            Body::PickupDescribed { pickup: written }
        }
        Ask::StrikeLeads { struck, .. } => {
            let sentence = "This was not found out about the leads of this pickup.";
            may_be_struck(before, struck, sentence, |body| {
                matches!(
                    body.known(),
                    Some(
                        Body::LeadsMeasured { .. }
                            | Body::CoilNamed { .. }
                            | Body::Tapped { .. }
                            | Body::CompassHeld { .. }
                    )
                )
            })?;
            Body::StruckOut { entry: struck, why: String::new() }
        }
        _ => return Err(Refusal::new(Code::Program, "The program took another ask for one about leads.")),
    })
}
