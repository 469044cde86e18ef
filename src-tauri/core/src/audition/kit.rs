//! The things of an audition, and what they come to with what was answered.

use std::collections::{BTreeMap, BTreeSet};

use crate::audition::fold::Audition;
use crate::physics::gaps::{Hung, Over, Under};
use crate::physics::meter::ImpliedCoil;
use crate::physics::{leads, meter};
use crate::record::audition::Choice;
use crate::record::gaps::GapsMeasured;
use crate::record::guitar::Guitar;
use crate::record::leads::LeadName;
use crate::record::meter::OwnMeter;
use crate::record::pickup::{CoilEnd, Pickup};
use crate::record::rig::{Faces, Feet, Rig};

/// The things an audition is about, as they were described at the time; any may be missing.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Kit {
    /// The pickup over the strings.
    pub pickup: Option<Pickup>,
    /// The guitar under it.
    pub guitar: Option<Guitar>,
    /// The rig between them.
    pub rig: Option<Rig>,
    /// The meter that the readings are taken with.
    pub meter: OwnMeter,
    /// Coils measured before, between their leads or in earlier auditions.
    pub measured: Vec<ImpliedCoil>,
}

/// The leads in the terminals; while none is, as the pickup's record means them to be, which is what the Leads step suggests.
pub(crate) fn hookup_or_meant(audition: &Audition, kit: &Kit) -> Vec<meter::Joined> {
    match (&kit.pickup, &kit.rig) {
        (Some(pickup), Some(rig)) if audition.hooked.is_empty() => crate::audition::kit::meant(pickup, rig),
        _ => hookup(audition),
    }
}

/// The leads in the terminals as an install takes them: as they were hooked up, unless the pickup's record tells them otherwise by
/// now; then, and while nothing was hooked up, as the record means them now. `then` is the pickup as it was told when they were
/// hooked up.
pub(crate) fn hookup_by_record(
    audition: &Audition,
    rig: Option<&Rig>,
    [then, now]: [Option<&Pickup>; 2],
) -> Vec<meter::Joined> {
    let changed = then.zip(now).is_some_and(|(then, now)| !leads_told_alike(then, now));
    match (now, rig) {
        (Some(now), Some(rig)) if audition.hooked.is_empty() || changed => meant(now, rig),
        _ => hookup(audition),
    }
}

/// Whether two descriptions of a pickup tell the same of its leads.
fn leads_told_alike(one: &Pickup, other: &Pickup) -> bool {
    type Ends<'a> = BTreeMap<&'a LeadName, BTreeSet<&'a CoilEnd>>;
    fn ends(pickup: &Pickup) -> Ends<'_> {
        pickup.leads.iter().map(|lead| (&lead.name, lead.ends.iter().collect())).collect()
    }
    ends(one) == ends(other) && one.joined_inside == other.joined_inside && one.construction == other.construction
}

/// The leads in the terminals, as the meter's computing takes them.
pub(crate) fn hookup(audition: &Audition) -> Vec<meter::Joined> {
    audition
        .hooked
        .values()
        .map(|hooked| meter::Joined { terminal: hooked.said.terminal, leads: hooked.said.leads.clone() })
        .collect()
}

/// What the rig stands on or is to stand on, as it was said last; else as its record says.
pub(crate) fn feet(audition: &Audition, kit: &Kit) -> Option<Feet> {
    let seated = audition.seating.as_ref().map(|saved| (saved.at, saved.entry, saved.said.feet));
    let meant = audition.finish.as_ref().and_then(|saved| Some((saved.at, saved.entry, saved.said.feet?)));
    let last = seated.into_iter().chain(meant).max_by_key(|(at, entry, _)| (*at, *entry));
    last.map(|(.., feet)| feet).or(kit.rig.as_ref().map(|rig| rig.feet))
}

/// At which terminal each coil end is, as far as the leads that are hooked up tell.
pub(crate) fn ends_in_terminals(audition: &Audition, kit: &Kit) -> Vec<(CoilEnd, u8)> {
    let Some(pickup) = &kit.pickup else { return Vec::new() };
    audition
        .hooked
        .values()
        .flat_map(|hooked| hooked.said.leads.iter().map(|lead| (lead, hooked.said.terminal)))
        .flat_map(|(name, terminal)| {
            let lead = pickup.lead(name);
            lead.into_iter().flat_map(|lead| lead.ends.clone()).map(move |end| (end, terminal))
        })
        .collect()
}

/// What the starting range of the gaps hangs on.
pub(crate) fn under(audition: &Audition, kit: &Kit) -> Option<Under> {
    let place = audition.choice.as_ref()?.said.sides();
    let faces = kit.rig.as_ref().map_or(Faces::Down, |rig| rig.faces);
    Some(Under::at(kit.pickup.as_ref()?, kit.guitar.as_ref(), place, faces))
}

/// The strings over or under the pickup, at what was chosen.
pub(crate) fn over(choice: Option<&Choice>, kit: &Kit) -> Option<Over> {
    let faces = kit.rig.as_ref().map_or(Faces::Down, |rig| rig.faces);
    Some(Over::of(kit.guitar.as_ref(), choice?.sides(), faces))
}

/// Gaps as they were measured at what was chosen, to be held against others.
pub(crate) fn hung(choice: Option<&Choice>, gaps: Option<&GapsMeasured>, kit: &Kit) -> Option<Hung> {
    let gaps = gaps?;
    Some(Hung { gaps: gaps.pair(), strings: gaps.strings(), over: over(choice, kit)? })
}

/// The hookup that a rig is meant to have with a pickup, as far as its leads are known.
#[must_use]
pub fn meant(pickup: &Pickup, rig: &Rig) -> Vec<meter::Joined> {
    if pickup.leads.iter().all(|lead| lead.ends.is_empty()) {
        return Vec::new();
    }
    leads::hookup(pickup, rig).joined()
}
