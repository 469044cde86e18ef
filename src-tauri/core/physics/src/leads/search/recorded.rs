//! Leads that the pickup's record is taken for right about: nothing is measured, only taps and a compass are left.

use crate::leads::identify::{CoilFound, LeadsFound, Touching};
use crate::leads::sense::SensesFound;
use crate::record::leads::{CoilLeads, Contact};
use crate::record::pickup::{CoilEnd, CoilName, Construction, End, Pickup, ShieldKind};

/// The coils of a pickup whose record says which lead is at each of their ends, minus first, and what each has; nothing where one of
/// these is not in it.
#[must_use]
pub fn recorded_coils(pickup: &Pickup) -> Option<Vec<CoilLeads>> {
    let at = |coil: CoilName, which: End| {
        let end = CoilEnd { coil, end: which };
        pickup.leads.iter().find(|lead| lead.ends.contains(&end)).map(|lead| Contact::from(&lead.name))
    };
    let coils = pickup.coils.iter().map(|coil| {
        coil.stated?;
        Some(CoilLeads { coil: coil.name, between: [at(coil.name, End::Minus)?, at(coil.name, End::Plus)?] })
    });
    coils.collect::<Option<Vec<_>>>().filter(|coils| !coils.is_empty())
}

/// Coils that were found and that the record names by a lead of theirs, minus and plus in any order. Whoever measures a pickup whose
/// record says it all doubts that record, and where these readings speak against one that says a part, nothing of it is taken.
pub(super) fn named_in_record(record: &Pickup, found: &[CoilFound]) -> Vec<CoilLeads> {
    if found.len() < 2 || record.construction == Construction::TappedCoil || recorded_coils(record).is_some() {
        return Vec::new();
    }
    let mut named: Vec<CoilLeads> = Vec::new();
    for coil in found {
        let [one, other] = coil.between.each_ref().map(|contact| coils_at(record, contact));
        let both: Vec<CoilName> = match (one.is_empty(), other.is_empty()) {
            (true, _) => other,
            (_, true) => one,
            (false, false) => {
                let both: Vec<CoilName> = one.into_iter().filter(|name| other.contains(name)).collect();
                if both.is_empty() {
                    return Vec::new();
                }
                both
            }
        };
        let [name] = both.as_slice() else { continue };
        if named.iter().any(|known| known.coil == *name) {
            return Vec::new();
        }
        named.push(CoilLeads { coil: *name, between: coil.between.clone() });
    }
    named
}

/// The coils that end at this lead by the record.
fn coils_at(record: &Pickup, contact: &Contact) -> Vec<CoilName> {
    let mut coils: Vec<CoilName> =
        record.lead(contact).into_iter().flat_map(|lead| &lead.ends).map(|end| end.coil).collect();
    coils.sort_unstable();
    coils.dedup();
    coils
}

/// As if these coils had been measured, with what the record states.
pub(super) fn as_recorded(coils: &[CoilLeads], pickup: &Pickup) -> LeadsFound {
    let stated = |name: CoilName| pickup.coils.iter().find(|coil| coil.name == name).and_then(|coil| coil.stated);
    let coil = |coil: &CoilLeads| {
        let (between, ohms) = (coil.between.clone(), stated(coil.coil)?);
        Some(CoilFound {
            sentence: format!("{} to {}: {} stated", between[0], between[1], ohms.shown()),
            between,
            ohms,
        })
    };
    let shield = pickup.shield.joined_to.as_ref().filter(|_| pickup.shield.kind != ShieldKind::None);
    LeadsFound {
        sure: true,
        checking: false,
        sentence: "Which lead is which is taken from its record.".to_owned(),
        coils: coils.iter().filter_map(coil).collect(),
        joins: Vec::new(),
        touching: shield
            .map(|lead| Touching {
                between: [Contact::from(lead), Contact::Shield],
                sentence: format!("The shield is joined to {lead}, as its record says."),
            })
            .into_iter()
            .collect(),
        loose: Vec::new(),
        next: None,
        contradictions: Vec::new(),
        notes: Vec::new(),
        measured: 0,
    }
}

/// What no tap told stays as the record has it.
pub(super) fn ends_as_recorded(written: &mut Pickup, record: &Pickup, senses: &SensesFound) {
    let told = |coil: CoilName| senses.coils.iter().any(|sense| sense.coil == coil && sense.plus.is_some());
    for lead in &mut written.leads {
        let stands = record.leads.iter().find(|other| other.name == lead.name);
        let untold = stands.into_iter().flat_map(|lead| &lead.ends).filter(|end| !told(end.coil));
        for end in untold {
            if !lead.ends.contains(end) {
                lead.ends.push(*end);
            }
        }
    }
}
