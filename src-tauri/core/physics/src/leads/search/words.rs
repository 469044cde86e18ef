//! How to find out about leads, in words.

use super::super::sound::shares_magnets;
use crate::record::leads::{CoilLeads, Contact, LeadName};
use crate::record::pickup::{CoilName, Construction, Pickup};
use crate::record::words::{capital, listed};

/// How to tell which coil is which.
pub(super) fn which_coil(pickup: &Pickup, coil: CoilName) -> String {
    let letter = coil.letter();
    match (pickup.construction, coil) {
        (Construction::Stacked, CoilName::A) => {
            "Coil A is the upper one. Lay the pickup flat, the meter on DC millivolts. Clip its probes on one pair, one by one, and \
             tap the poles with steel. Do the same on the other pair: the one with the larger swing is coil A. Without a meter \
             that shows it, leave it as it is found."
                .to_owned()
        }
        (Construction::Stacked, _) => format!("Coil {letter} is the next one below."),
        (_, CoilName::A) => {
            "Coil A is the one away from you when the poles look up and the bass end is at your left. Lay the pickup so, the \
             meter on DC millivolts. Clip its probes on one pair, one by one, and tap the poles of that coil only. Then clip them on \
             each other pair and tap the same poles. One magnet may reach both coils: the pair that swings most is coil A."
                .to_owned()
        }
        _ => format!(
            "Coil {letter} is the next one towards the bridge. Clip the meter on one pair and tap the poles of that coil only. \
             Then clip it on each other pair and tap the same poles: the pair that swings most is coil {letter}."
        ),
    }
}

/// That a coil has its name from the record, by these of its leads.
pub(super) fn by_its_record(known: &CoilLeads, leads: &[&LeadName]) -> String {
    let letter = known.coil.letter();
    let belongs = if leads.len() == 1 { "belongs" } else { "belong" };
    format!(
        "Its record says that {} {belongs} to coil {letter}, so {} to {} is coil {letter}. If that is wrong, change its record first.",
        listed(leads),
        known.between[0],
        known.between[1]
    )
}

pub(super) fn over_coil(pickup: &Pickup, coil: CoilName, found: usize) -> String {
    if found < 2 || shares_magnets(pickup.construction) { String::new() } else { format!(" of coil {}", coil.letter()) }
}

/// Which of the coils that are tapped this one is: `Coil B, 2 of 2`; nothing where there is one alone.
pub(super) fn which_of_them(coil: CoilName, tapped: &[CoilName]) -> Option<String> {
    let place = tapped.iter().position(|one| *one == coil).filter(|_| tapped.len() > 1)?;
    Some(format!("Coil {}, {} of {}", coil.letter(), place + 1, tapped.len()))
}

/// Where coil A is among several that are tapped. A stack has one set of poles: its coils are told apart by their leads alone.
pub(super) fn where_coil_a_is(pickup: &Pickup, tapped: &[CoilName]) -> &'static str {
    if tapped.len() < 2 || shares_magnets(pickup.construction) {
        return "";
    }
    "With the poles up and the bass end at your left, coil A is the one away from you. "
}

/// What a record says of its leads, a sentence each.
pub(super) fn told(record: &Pickup, pickup: &Pickup) -> Vec<String> {
    let construction = (record.construction != pickup.construction)
        .then(|| format!("Construction: {}, in two parts.", pickup.construction.in_words()));
    let mut sentences: Vec<String> = pickup
        .leads
        .iter()
        .map(|lead| match lead.ends.as_slice() {
            [] => format!("{}: not known.", lead.name),
            ends => {
                let ends: Vec<String> = ends.iter().map(|end| pickup.end_in_words(*end)).collect();
                format!("{}: {}.", lead.name, ends.join(" and "))
            }
        })
        .collect();
    for (what, lead) in pickup.joined_to_leads() {
        sentences.push(capital(&format!("{what} is joined to {lead}.")));
    }
    if pickup.frame_joined_to == Some(Contact::Shield) && pickup.shield.joined_to.is_none() {
        sentences.push("The frame or cover is joined to the shield.".to_owned());
    }
    sentences.extend(construction);
    sentences
}
