//! Which lead is in which terminal, and which still goes there.

use crate::audition::fold::Audition;
use crate::audition::kit::{Kit, hookup};
use crate::audition::page::{LeadsView, TerminalView};
use crate::audition::steps::left_out;
use crate::physics::leads::HookupPlace;
use crate::physics::{leads, meter};
use crate::record::leads::Contact;
use crate::record::pickup::{CoilEnd, CoilName, End, Pickup, ShieldKind};

/// The coil ends the terminals of a rig are made for, in their order.
fn role(terminal: usize) -> Option<CoilEnd> {
    let coil = *CoilName::ALL.get(terminal / 2)?;
    Some(CoilEnd { coil, end: if terminal.is_multiple_of(2) { End::Minus } else { End::Plus } })
}

pub(super) fn leads(audition: &Audition, kit: &Kit) -> LeadsView {
    let Some(rig) = &kit.rig else {
        return LeadsView { terminals: Vec::new(), names: Vec::new(), suggestion: String::new(), hookup: None };
    };
    let pickup = kit.pickup.as_ref();
    let mut names: Vec<Contact> = pickup.iter().flat_map(|p| &p.leads).map(|lead| Contact::from(&lead.name)).collect();
    let shield = pickup.is_some_and(|p| p.shield.kind != ShieldKind::None);
    if shield {
        names.push(Contact::Shield);
    }
    let known = pickup.is_some_and(|p| p.leads.iter().any(|lead| !lead.ends.is_empty()));
    let best = pickup.filter(|_| known).map(|pickup| leads::hookup(pickup, rig));
    let told = |pickup: &Pickup, joined: &[meter::Joined]| leads::as_hooked_up(pickup, rig, joined, &kit.measured);
    let places: &[HookupPlace] = best.as_ref().map_or(&[], |map| &map.places);
    let meant = |terminal: u8| {
        if audition.hooked.contains_key(&terminal) {
            let here = places.iter().filter(|place| place.terminal == terminal);
            here.flat_map(|place| place.leads.clone()).collect()
        } else {
            still_meant(audition, places, terminal)
        }
    };
    // Leads that are not in yet go where they are meant to: what a mode does is told of the whole hookup.
    let to_come = places.iter().map(|place| place.terminal).filter(|at| !audition.hooked.contains_key(at));
    let to_come = to_come.map(|terminal| meter::Joined { terminal, leads: meant(terminal) });
    let joined: Vec<meter::Joined> = hookup(audition).into_iter().chain(to_come).collect();
    let mut hookup = pickup.filter(|_| known).map(|pickup| told(pickup, &joined));
    if let (Some(map), Some(sentence)) = (&mut hookup, left_out(audition, kit)) {
        (map.amiss, map.sentence) = (true, sentence);
    }
    let in_words = |end: CoilEnd| pickup.map_or_else(|| end.in_words(), |pickup| pickup.end_in_words(end));
    let terminals = rig
        .terminals
        .iter()
        .enumerate()
        .map(|(index, name)| {
            let role = role(index);
            let terminal = u8::try_from(index).unwrap_or(u8::MAX);
            let mut suggested = meant(terminal);
            let ground = rig.positions.first().is_some_and(|position| usize::from(position.output[0]) == index);
            if best.is_none() && shield && ground {
                suggested.push(Contact::Shield);
            }
            let hooked = audition.hooked.get(&terminal).map(|saved| saved.said.clone());
            // What a lead is follows from the record, wherever it is.
            let is = |leads: &[Contact]| end_in(pickup, leads);
            let end = hooked.as_ref().and_then(|hooked| is(&hooked.leads)).or_else(|| is(&suggested)).or(role);
            TerminalView {
                terminal,
                name: name.clone(),
                role: end.map(in_words).unwrap_or_default(),
                suggested,
                hooked,
            }
        })
        .collect();
    let suggestion = if known {
        "From the pickup's own record: which lead is which end of which coil. The meter proves it in the next step."
    } else {
        "Not recorded yet which lead is which. Put them in as you think; the meter shows whether it is right."
    };
    LeadsView { terminals, names, suggestion: suggestion.to_owned(), hookup }
}

/// The leads that still go into a terminal: those that the record means for it, less those that are in another one already, and
/// in their place those that these have put out of theirs.
fn still_meant(audition: &Audition, places: &[HookupPlace], terminal: u8) -> Vec<Contact> {
    let where_is = |lead: &Contact| {
        audition.hooked.values().find(|hooked| hooked.said.leads.contains(lead)).map(|hooked| hooked.said.terminal)
    };
    let (mut leads, mut looked_at, mut to_look_at) = (Vec::new(), Vec::new(), vec![terminal]);
    while let Some(at) = to_look_at.pop() {
        looked_at.push(at);
        for lead in places.iter().filter(|place| place.terminal == at).flat_map(|place| &place.leads) {
            match where_is(lead) {
                // A shield that was left out of its terminal goes into no other.
                None if at == terminal || matches!(lead, Contact::Lead(_)) => leads.push(lead.clone()),
                Some(other) if matches!(lead, Contact::Lead(_)) && !looked_at.contains(&other) => {
                    to_look_at.push(other)
                }
                None | Some(_) => {}
            }
        }
    }
    leads
}

/// The coil end that the first of these leads is.
fn end_in(pickup: Option<&Pickup>, leads: &[Contact]) -> Option<CoilEnd> {
    let first = leads.iter().find(|contact| **contact != Contact::Shield)?;
    pickup?.lead(first)?.ends.first().copied()
}
