//! What was found out, as the record of a pickup has it.

use super::recorded::ends_as_recorded;
use super::{LeadSearch, same, tapped};
use crate::leads::identify::{CoilFound, LeadsFound, Search};
use crate::leads::sense::SensesFound;
use crate::leads::sound::shares_magnets;
use crate::record::claim::Meter;
use crate::record::leads::{Contact, LeadName};
use crate::record::pickup::{CoilEnd, CoilName, End, Lead, Pickup, ShieldKind};

impl LeadSearch {
    /// The pickup's record with what was found out; nothing while that is not sure.
    #[must_use]
    pub fn written_into(&self, pickup: &Pickup, meter: &Meter) -> Option<Pickup> {
        let found = self.found(self.search.as_ref()?, pickup, meter);
        if !found.sure || !found.contradictions.is_empty() || self.slip(pickup, &found, meter).is_some() {
            return None;
        }
        let taken = tapped(pickup, &found);
        let coils = self.coils(&taken, &found);
        let mut senses = self.senses(&taken, &coils);
        self.tell_heard(&coils, &mut Vec::new(), &mut senses);
        self.written_into_with(&taken, &found, &coils, &senses)
    }

    pub(super) fn written_into_with(
        &self,
        pickup: &Pickup,
        found: &LeadsFound,
        coils: &[(Option<CoilName>, CoilFound)],
        senses: &SensesFound,
    ) -> Option<Pickup> {
        let search = self.search.as_ref()?;
        if !senses.contradictions.is_empty() || coils.iter().any(|(name, _)| name.is_none()) {
            return None;
        }
        let mut written = pickup.clone();
        written.leads = senses.leads.clone();
        for lead in &search.leads {
            if !written.leads.iter().any(|known| known.name == *lead) {
                written.leads.push(Lead { name: lead.clone(), ends: Vec::new() });
            }
        }
        if self.recorded.is_empty() {
            joined_in_a_row(&mut written, pickup, coils.len());
        } else {
            ends_as_recorded(&mut written, pickup, senses);
        }
        for coil in &mut written.coils {
            let up = self.compass.iter().rev().find(|(name, _)| *name == coil.name).and_then(|(_, up)| *up);
            let shared = shares_magnets(pickup.construction)
                .then(|| self.compass.iter().rev().find_map(|(_, up)| *up))
                .flatten();
            coil.magnet_up = up.or(shared).or(coil.magnet_up);
        }
        one_end_each(&mut written, found);
        shield_and_frame(&mut written, search, found);
        Some(written)
    }
}

/// Fewer coils at the leads than in the pickup: they are joined in a row inside.
fn joined_in_a_row(written: &mut Pickup, pickup: &Pickup, coils: usize) {
    let inside = pickup.coils.len().min(CoilName::ALL.len());
    written.joined_inside = Vec::new();
    if coils != 1 || inside < 2 {
        return;
    }
    let last = CoilName::ALL[inside - 1];
    for end in written.leads.iter_mut().flat_map(|lead| &mut lead.ends) {
        if end.end == End::Plus {
            end.coil = last;
        }
    }
    written.joined_inside = CoilName::ALL[..inside]
        .windows(2)
        .map(|pair| vec![CoilEnd { coil: pair[0], end: End::Plus }, CoilEnd { coil: pair[1], end: End::Minus }])
        .collect();
}

/// Leads that are one coil end are each that end.
fn one_end_each(written: &mut Pickup, found: &LeadsFound) {
    for touching in &found.touching {
        let is_one = |lead: &Lead| touching.between.iter().any(|contact| contact.is(&lead.name));
        let ends_of = |contact: &Contact| written.lead(contact).map(|lead| lead.ends.clone()).unwrap_or_default();
        let ends = touching.between.each_ref().map(ends_of).concat();
        for lead in written.leads.iter_mut().filter(|lead| is_one(lead) && lead.ends.is_empty()) {
            lead.ends.clone_from(&ends);
        }
    }
}

/// What the shield and the frame are joined to inside.
fn shield_and_frame(written: &mut Pickup, search: &Search, found: &LeadsFound) {
    let with = |contact: &Contact| {
        found.touching.iter().find_map(|touching| match &touching.between {
            [one, Contact::Lead(lead)] | [Contact::Lead(lead), one] if one == contact => Some(lead.clone()),
            _ => None,
        })
    };
    let lead = |contact: &Contact| written.leads.iter().map(|lead| &lead.name).find(|lead| contact.is(lead)).cloned();
    // A coil that ends at the frame has the frame for a lead, one that ends at the shield has the braid.
    let (braid, frame) = (lead(&Contact::from(LeadName::braid())), lead(&Contact::Frame));
    if search.shield {
        if written.shield.kind == ShieldKind::None {
            written.shield.kind = ShieldKind::BareWire;
        }
        if braid.is_some() {
            written.shield.kind = ShieldKind::Braid;
        }
        written.shield.joined_to = braid.clone().or_else(|| with(&Contact::Shield));
    }
    if search.frame {
        let both = [Contact::Shield, Contact::Frame];
        let on_shield = found.touching.iter().any(|touching| same(&touching.between, &both));
        let on_shield = || on_shield.then(|| braid.map_or(Contact::Shield, Contact::from));
        written.frame_joined_to = frame.or_else(|| with(&Contact::Frame)).map(Contact::from).or_else(on_shield);
    }
}
