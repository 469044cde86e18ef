//! The meter's judgement of an audition's readings, remembered.
//!
//! Fitting coils to readings and looking for what is wrong are the costly parts of looking at an audition, and most of what
//! is written leaves the readings alone. The judgement follows from what it is made of and from nothing else, so
//! remembering it changes nothing but the time it takes.

use super::fold::Audition;
use crate::audition::kit::{Kit, hookup_or_meant};
use crate::audition::saved::Saved;
use crate::physics::meter;
use crate::physics::meter::{
    Agreement, AgreementKind, Case, Cause, Diagnosis, DiagnosisKind, ImpliedCoil, Joined, NotCovered, Shown, Taken,
};
use crate::physics::recent::Recent;
use crate::record::claim::Meter;
use crate::record::meter::{Care, Probe};
use crate::record::pickup::Pickup;
use crate::record::quantity::{Celsius, last_digit};
use crate::record::rig::{Mode, Rig};
use crate::record::verdict::Verdict;

/// All that a judgement is made of.
#[derive(PartialEq)]
struct Grounds {
    readings: Vec<Shown>,
    joined: Vec<Joined>,
    room: Option<Celsius>,
    pickup: Pickup,
    rig: Rig,
    meter: Meter,
}

/// All that a diagnosis is made of.
#[derive(PartialEq)]
struct Findings {
    joined: Vec<Joined>,
    room: Option<Celsius>,
    pickup: Pickup,
    rig: Rig,
    meter: Meter,
    measured: Vec<ImpliedCoil>,
    modes: Vec<Mode>,
    taken: Vec<Taken>,
}

static JUDGED: Recent<Grounds, Agreement> = Recent::new();
static DIAGNOSED: Recent<Findings, Diagnosis> = Recent::new();

fn room(audition: &Audition) -> Option<Celsius> {
    audition.readings.values().filter_map(|taken| taken.said.room).next_back()
}

/// Whether the readings agree; nothing when the pickup or the rig is not known.
pub(crate) fn agreement(audition: &Audition, kit: &Kit) -> Option<Agreement> {
    let grounds = Grounds {
        readings: audition
            .readings
            .iter()
            .map(|(mode, Saved { said, .. })| Shown {
                mode: mode.clone(),
                reading: said.reading,
                last_digit: last_digit(&said.typed),
            })
            .collect(),
        joined: hookup_or_meant(audition, kit),
        room: room(audition),
        pickup: kit.pickup.clone()?,
        rig: kit.rig.clone()?,
        meter: kit.meter.claim.clone(),
    };
    let why = meter::not_covered(&grounds.pickup, grounds.readings.iter().map(|shown| shown.reading));
    let agreement = JUDGED.find_or(grounds, |Grounds { readings, joined, room, pickup, rig, meter }| {
        meter::agree_as_written(readings, pickup, rig, joined, meter, *room)
    });
    Some(match why {
        Some(why) => unjudged(agreement, why),
        None => agreement,
    })
}

/// Readings of a pickup that is not covered prove nothing, and nothing in them needs an explanation.
fn unjudged(mut agreement: Agreement, why: NotCovered) -> Agreement {
    agreement.kind = AgreementKind::CantSay;
    agreement.sentence = why.sentence().to_owned();
    agreement.implied.clear();
    agreement.times_the_band = None;
    agreement.explained = true;
    for mode in &mut agreement.per_mode {
        mode.kind = AgreementKind::CantSay;
        mode.sentence = "Not covered: a meter says nothing of this one.".to_owned();
        mode.times_the_band = None;
    }
    agreement
}

/// Why the pickup of this audition is not covered, if it is not.
pub(super) fn not_covered(audition: &Audition, kit: &Kit) -> Option<NotCovered> {
    meter::not_covered(kit.pickup.as_ref()?, audition.readings.values().map(|taken| taken.said.reading))
}

/// What the readings come to, in words; nothing before there is one.
pub(super) fn meter_verdict(audition: &Audition, kit: &Kit, agreement: Option<&Agreement>) -> Option<Verdict> {
    let agreement = agreement.filter(|_| !audition.readings.is_empty())?;
    Some(match not_covered(audition, kit) {
        Some(why) => why.into(),
        None => agreement.so_far(&not_read(audition)),
    })
}

/// The modes that are to be tried and that no reading was taken in yet.
fn not_read(audition: &Audition) -> Vec<Mode> {
    let chosen = audition.choice.iter().flat_map(|choice| &choice.said.modes);
    chosen.filter(|mode| !audition.readings.contains_key(*mode)).cloned().collect()
}

/// What the readings of the other modes say of the coils, where nothing else is known of one.
pub(super) fn beside(audition: &Audition, kit: &Kit, mode: &Mode) -> Vec<ImpliedCoil> {
    let known = |pickup: &Pickup| {
        let measured = |name| kit.measured.iter().any(|measured| measured.coil == name);
        pickup.coils.iter().all(|coil| coil.stated.is_some() || measured(coil.name))
    };
    if audition.readings.is_empty() || kit.pickup.as_ref().is_none_or(known) {
        return Vec::new();
    }
    let mut others =
        Audition { choice: audition.choice.clone(), hooked: audition.hooked.clone(), ..Audition::default() };
    let kept = audition.readings.iter().filter(|(other, _)| *other != mode);
    others.readings.extend(kept.map(|(mode, taken)| (mode.clone(), taken.clone())));
    let agreement = agreement(&others, kit).filter(|agreement| agreement.kind != AgreementKind::DoesNotAgree);
    agreement.map(|agreement| agreement.implied).unwrap_or_default()
}

/// What is wrong, where something may be: the readings don't agree, all of them leave it open, or somebody probed further.
pub(super) fn diagnosis(audition: &Audition, kit: &Kit) -> Option<Diagnosis> {
    if not_covered(audition, kit).is_some() {
        return None;
    }
    let modes = &audition.choice.as_ref()?.said.modes;
    let probed =
        audition.evidence.iter().any(|saved| !matches!(saved.said.probe, Probe::Output { care: Care::AsUsual, .. }));
    let all = modes.iter().all(|mode| audition.readings.contains_key(mode));
    let found = agreement(audition, kit)?.kind;
    let wanted = match found {
        AgreementKind::DoesNotAgree => true,
        AgreementKind::Agrees => probed && all,
        AgreementKind::CantSay => all || probed,
        AgreementKind::NothingYet => false,
    };
    if !wanted {
        return None;
    }
    let findings = Findings {
        joined: hookup_or_meant(audition, kit),
        room: room(audition),
        pickup: kit.pickup.clone()?,
        rig: kit.rig.clone()?,
        meter: kit.meter.claim.clone(),
        measured: kit.measured.clone(),
        modes: modes.clone(),
        taken: audition.evidence.iter().map(|saved| saved.said.clone()).collect(),
    };
    let diagnosis =
        DIAGNOSED.find_or(findings, |Findings { joined, room, pickup, rig, meter, measured, modes, taken }| {
            meter::diagnose(&Case { pickup, joined, rig, meter, room: *room, measured, modes, taken })
        });
    // Taken anew, the readings agree: what was wrong with an earlier one is over.
    Some(diagnosis).filter(|diagnosis| found != AgreementKind::Agrees || !is_past(diagnosis))
}

/// Whether no more was wrong than how a reading was taken.
fn is_past(diagnosis: &Diagnosis) -> bool {
    let told = match diagnosis.kind {
        DiagnosisKind::Found => 1,
        DiagnosisKind::CantTellApart => diagnosis.ranked.len(),
        DiagnosisKind::NothingYet | DiagnosisKind::NotEnough | DiagnosisKind::AllWell | DiagnosisKind::Unexplained => 0,
    };
    let all_past = |causes: &[Cause]| causes.iter().all(Cause::is_past);
    diagnosis.slip.is_none()
        && told > 0
        && diagnosis
            .ranked
            .iter()
            .take(told)
            .all(|suspect| all_past(&suspect.causes) && suspect.alike_causes.iter().all(|causes| all_past(causes)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::recent::KEPT;
    use crate::record::body::{Body, ThingBody};
    use crate::record::claim::Meter;
    use crate::record::entry::Written;
    use crate::record::names::EntryId;
    use crate::record::quantity::{Ohms, Reading};

    /// Judged once and remembered, or with other readings in between: always as if it were judged for the first time.
    #[test]
    fn what_is_remembered_is_what_would_be_found() {
        let rig = Rig::four_terminal("Shelf rig");
        let pickup = crate::demo::entries().into_iter().find_map(|entry| match entry.body {
            Written::Known(Body::Thing(ThingBody::PickupDescribed { pickup })) => Some(pickup),
            _ => None,
        });
        let kit = Kit { pickup, rig: Some(rig), ..Kit::default() };
        let pickup = kit.pickup.as_ref().expect("the demo bench has a pickup");
        let mode = kit.rig.as_ref().and_then(|rig| rig.positions.first()).map(|position| position.mode.clone());
        let mode = mode.expect("the rig has a switch");
        for ohms in (0..3 * KEPT).chain(0..KEPT).map(|number| 3000.0 + 50.0 * (number % 40) as f64) {
            let taken =
                super::super::fold::MeterRead { reading: Reading::Ohms(Ohms(ohms)), typed: String::new(), room: None };
            let entry = EntryId(uuid::Uuid::nil());
            let taken = crate::audition::saved::Saved { entry, at: chrono::DateTime::UNIX_EPOCH, said: taken };
            let audition = Audition { readings: [(mode.clone(), taken)].into(), ..Audition::default() };
            let anew = kit.rig.as_ref().map(|rig| {
                let readings = [(mode.clone(), Reading::Ohms(Ohms(ohms)))];
                meter::agree(&readings, pickup, rig, &[], &Meter::plain(), None)
            });
            assert_eq!(agreement(&audition, &kit), anew, "{ohms}");
        }
    }

    #[test]
    fn nothing_is_judged_without_a_rig() {
        assert_eq!(agreement(&Audition::default(), &Kit::default()), None);
    }
}
