//! What the records of things, a decision and a plan may hold.

use std::collections::BTreeSet;
use std::ops::RangeInclusive;

use super::ranges::{
    FARADS, Kept, SCALE, STRINGS, along_the_string, label, labels, length, mode, note, reason, value, when, within,
    wrong,
};
use crate::controls::VolumeLayout;
use crate::decision::Decision;
use crate::guitar::{Guitar, Place};
use crate::leads::{MOST_LEADS, TOO_MANY};
use crate::pickup::{CoilName, Pickup, Stagger};
use crate::quantity::{Farads, Ohms};
use crate::rig::Rig;
use crate::wiring::Plan;

/// Gauges of strings, in millimetres.
const GAUGE: RangeInclusive<f64> = 0.1..=4.0;
/// Travel of a stud for one turn, in millimetres.
const THREAD_PITCH: RangeInclusive<f64> = 0.1..=5.0;
/// Numbers of a last fret.
const LAST_FRET: RangeInclusive<u8> = 12..=36;
/// Heights of an open string over the last fret, in millimetres.
const STRING_HEIGHT: RangeInclusive<f64> = 0.2..=8.0;
/// The most must-haves in a decision.
const MOST_MUSTS: usize = 16;

pub(super) fn described_pickup(pickup: &Pickup) -> Kept {
    label("pickup.label", &pickup.label)?;
    let in_order = pickup.coils.iter().map(|coil| coil.name).eq(CoilName::ALL.into_iter().take(pickup.coils.len()));
    when(in_order && (1..=3).contains(&pickup.coils.len()), "pickup.coils", "A pickup has one to three coils.")?;
    pickup.coils.iter().try_for_each(|coil| value("pickup.coils", coil.stated))?;
    when(pickup.leads.len() <= MOST_LEADS, "pickup.leads", TOO_MANY)?;
    labels("pickup.leads", pickup.leads.iter().map(|lead| &lead.name))?;
    let differ = pickup.leads.iter().map(|lead| &lead.name).collect::<BTreeSet<_>>().len() == pickup.leads.len();
    when(differ, "pickup.leads", "Two leads can't share a name.")?;
    let ends = pickup.leads.iter().flat_map(|lead| &lead.ends).chain(pickup.joined_inside.iter().flatten());
    for end in ends {
        let there = pickup.coils.iter().any(|coil| coil.name == end.coil);
        when(there, "pickup.leads", "This names a coil that the pickup does not have.")?;
    }
    let joined = pickup.shield.joined_to.as_ref().is_none_or(|to| pickup.leads.iter().any(|lead| lead.name == *to));
    when(joined, "pickup.shield", "The shield is joined to a lead that is not in the list.")?;
    let joined = pickup.frame_joined_to.as_ref().is_none_or(|to| pickup.can_have_frame_on(to));
    when(joined, "pickup.frame_joined_to", "The frame is joined to a lead or a shield that it does not have.")?;
    when(
        pickup.pole_count.is_none_or(|count| (1..=24).contains(&count)),
        "pickup.pole_count",
        "A pickup has 1 to 24 poles.",
    )?;
    if let Stagger::Staggered { heights } = &pickup.stagger {
        when(heights.len() <= 24, "pickup.stagger", "A pickup has at most 24 poles.")?;
        heights.iter().try_for_each(|height| length("pickup.stagger", Some(*height)))?;
    }
    for (field, size) in [
        ("pickup.pole_spacing", pickup.pole_spacing),
        ("pickup.coil_distance", pickup.coil_distance),
        ("pickup.width", pickup.width),
        ("pickup.length", pickup.length),
        ("pickup.depth", pickup.depth),
    ] {
        length(field, size)?;
    }
    note("pickup.bass_end_mark", &pickup.bass_end_mark)?;
    note("pickup.notes", &pickup.notes)?;
    note("pickup.came_from", &pickup.came_from)
}

pub(super) fn described_guitar(guitar: &Guitar) -> Kept {
    label("guitar.label", &guitar.label)?;
    when(STRINGS.contains(&guitar.strings.len()), "guitar.strings", "A guitar has four to twelve strings here.")?;
    for string in &guitar.strings {
        label("guitar.strings", &string.note)?;
        string.gauge.map_or(Ok(()), |gauge| within("guitar.strings", gauge.0, &GAUGE))?;
    }
    when(
        !guitar.in_pairs || guitar.strings.len().is_multiple_of(2),
        "guitar.strings",
        "Strings in pairs are an even number of strings.",
    )?;
    for (field, scale) in [("guitar.scale", Some(guitar.scale)), ("guitar.scale_treble", guitar.scale_treble)] {
        scale.map_or(Ok(()), |scale| within(field, scale.0, &SCALE))?;
    }
    when(
        guitar.last_fret.is_none_or(|fret| LAST_FRET.contains(&fret)),
        "guitar.last_fret",
        "The last fret has a number from 12 to 36.",
    )?;
    for (field, height) in [("guitar.height_bass", guitar.height_bass), ("guitar.height_treble", guitar.height_treble)]
    {
        height.map_or(Ok(()), |height| within(field, height.0, &STRING_HEIGHT))?;
    }
    length("guitar.spread_nut", guitar.spread_nut)?;
    length("guitar.spread_saddle", guitar.spread_saddle)?;
    when(!guitar.places.is_empty(), "guitar.places", "A guitar has at least one place for a pickup.")?;
    for place in &guitar.places {
        described_place(place)?;
        let fine = place.sides().iter().zip(guitar.scales()).all(|(side, scale)| *side < scale);
        when(fine, "guitar.places", "A place lies between the saddle and the nut.")?;
    }
    let known = |name: &String| guitar.places.iter().any(|place| place.name == *name);
    let controls = &guitar.controls;
    pots("guitar.controls", controls.volume, controls.tone, controls.capacitor)?;
    note("guitar.controls.words", &controls.words)?;
    if let Some(selector) = &controls.selector {
        let field = "guitar.controls.selector";
        when((2..=8).contains(&selector.positions.len()), field, "A selector has two to eight positions here.")?;
        labels(field, selector.positions.iter().map(|position| &position.name))?;
        for (index, position) in selector.positions.iter().enumerate() {
            let again = selector.positions[..index].iter().any(|other| other.name == position.name);
            when(!again, field, "Two positions can't share a name.")?;
            let there = !position.places.is_empty() && position.places.iter().all(known);
            when(there, field, "A position names places that the guitar does not have.")?;
        }
    }
    match &controls.layout {
        VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => {}
        VolumeLayout::EachPlace { pots: each, .. } => {
            for (index, one) in each.iter().enumerate() {
                let field = "guitar.controls.layout";
                let again = each[..index].iter().any(|other| other.place == one.place);
                when(known(&one.place) && !again, field, "Each place has its pots once.")?;
                pots(field, one.volume, one.tone, one.capacitor)?;
            }
        }
    }
    note("guitar.strings_age", &guitar.strings_age)?;
    note("guitar.finish.words", &guitar.finish.words)?;
    note("guitar.notes", &guitar.notes)
}

fn described_place(place: &Place) -> Kept {
    label("guitar.places", &place.name)?;
    for size in
        [Some(place.from_saddle), place.from_saddle_treble, place.opening_length, place.opening_width, place.depth]
    {
        length("guitar.places", size)?;
    }
    note("guitar.places", &place.fitted_words)
}

fn pots(field: &str, volume: Option<Ohms>, tone: Option<Ohms>, capacitor: Option<Farads>) -> Kept {
    value(field, volume)?;
    value(field, tone)?;
    capacitor.map_or(Ok(()), |capacitor| within(field, capacitor.0, &FARADS))
}

pub(super) fn described_rig(rig: &Rig) -> Kept {
    label("rig.label", &rig.label)?;
    let count = rig.terminals.len();
    when((2..=8).contains(&count), "rig.terminals", "A terminal block has two to eight terminals here.")?;
    labels("rig.terminals", &rig.terminals)?;
    when((1..=8).contains(&rig.positions.len()), "rig.positions", "A rig's switch has one to eight positions here.")?;
    for (index, position) in rig.positions.iter().enumerate() {
        mode("rig.positions", &position.mode)?;
        let again = rig.positions[..index].iter().any(|other| other.mode == position.mode);
        when(!again, "rig.positions", "Two positions can't give the same mode.")?;
        let there = position.bonds.iter().flatten().chain(&position.output).all(|at| usize::from(*at) < count);
        when(there, "rig.positions", "A position names a terminal that the block does not have.")?;
        when(position.output[0] != position.output[1], "rig.positions", "The output needs two different terminals.")?;
    }
    when((2..=4).contains(&rig.studs), "rig.studs", "A rig stands on two to four studs here.")?;
    rig.thread_pitch.map_or(Ok(()), |pitch| within("rig.thread_pitch", pitch.0, &THREAD_PITCH))?;
    length("rig.stud_spread", rig.stud_spread)?;
    length("rig.stud_travel", rig.stud_travel)?;
    rig.stray.map_or(Ok(()), |stray| within("rig.stray", stray.0, &FARADS))?;
    note("rig.notes", &rig.notes)
}

pub(super) fn decided(decision: &Decision) -> Kept {
    label("decision.place", &decision.place)?;
    label("decision.label", &decision.label)?;
    along_the_string("decision.from_saddle", decision.from_saddle)?;
    mode("decision.mode", &decision.mode)?;
    for (index, wish) in decision.wishes.iter().enumerate() {
        when((-2..=2).contains(&wish.want), "decision.wishes", "A wish goes from −2 to 2.")?;
        let again = decision.wishes[..index].iter().any(|other| other.quality == wish.quality);
        when(!again, "decision.wishes", "There is one wish for each quality.")?;
    }
    when(decision.musts.len() <= MOST_MUSTS, "decision.musts", "Sixteen must-haves at most.")?;
    let on_the_scale = decision.musts.iter().all(|must| (1..=5).contains(&must.value));
    when(on_the_scale, "decision.musts", "A must-have is a step from 1 to 5.")?;
    for contender in &decision.contenders {
        label("decision.contenders", &contender.label)?;
        mode("decision.contenders", &contender.mode)?;
    }
    reason("decision.why", &decision.why)
}

pub(super) fn planned(plan: &Plan) -> Kept {
    plan.modes.iter().try_for_each(|one| mode("plan.modes", one))?;
    let Some(switch) = &plan.switch else {
        when(plan.selector.is_none(), "plan.selector", "A selector that changes modes has a pole for that.")?;
        return when(plan.modes.len() == 1, "plan.modes", "Without a switch there is one mode.");
    };
    label("plan.switch.name", &switch.name)?;
    labels("plan.switch.positions", switch.positions.iter().map(|position| &position.name))?;
    switch.clone().checked().map_err(|unclear| wrong("plan.switch", unclear.sentence))?;
    when(plan.modes.len() == switch.positions.len(), "plan.modes", "Each position of the switch gives one mode.")?;
    let Some(by) = &plan.selector else { return Ok(()) };
    let there = |name: &String| switch.positions.iter().any(|position| &position.name == name);
    when(by.heard.iter().all(there), "plan.selector.heard", "The selector has no position of this name.")?;
    let Some(row) = &by.row else { return Ok(()) };
    when(there(&row.position), "plan.selector.row", "The selector has no position of this name.")?;
    label("plan.selector.row", &row.upper)?;
    label("plan.selector.row", &row.lower)?;
    when(row.upper != row.lower, "plan.selector.row", "A pickup can't stand in a row with itself.")
}
