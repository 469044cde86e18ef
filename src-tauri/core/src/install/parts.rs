//! Parts and tools, computed from the plan.

use super::page::{HookupView, JointLine, PartsView};
use super::parts_drawn;
use crate::record::controls::VolumeLayout;
use crate::record::guitar::Controls;
use crate::record::parts::CircuitParts;
use crate::record::quantity::{Farads, InInches, LengthUnit, Ohms};
use crate::record::wiring::Plan;

/// What goes into the guitar, and what lies on the bench. Common practice, no source.
#[must_use]
pub fn parts(
    plan: Option<&Plan>,
    hookup: &HookupView,
    controls: Option<&Controls>,
    chosen: Option<&CircuitParts>,
    place: &str,
) -> PartsView {
    let joints = hookup.joints.len();
    let of_parts = chosen.map_or(0, |chosen| joints_of(chosen, controls, place).len());
    let chosen = chosen.map(|chosen| to_buy(chosen, controls, place)).unwrap_or_default();
    let mut parts = vec!["the pickup, its screws and springs".to_owned()];
    let by_selector = plan.is_some_and(|plan| plan.selector.is_some());
    if let Some(switch) = plan.and_then(|plan| plan.switch.as_ref()).filter(|_| by_selector) {
        parts.push(format!(
            "a pickup selector of {} positions with this free: {}",
            switch.positions.len(),
            switch.name
        ));
    }
    if let Some(switch) = plan.and_then(|plan| plan.switch.as_ref()).filter(|_| !by_selector) {
        let pot = controls
            .and_then(|controls| controls.volume)
            .map_or_else(String::new, |pot| format!(", {} in place of the volume", pot.shown()));
        // A switch on a pot takes the place of the guitar's own.
        let pot = if switch.name.contains("pot") { pot } else { String::new() };
        parts.push(format!("a switch: {}{pot}, {} lugs", switch.name, switch.lugs));
    }
    parts.extend(chosen);
    let jumpers = usize::from(hookup.jumpers);
    if jumpers > 0 {
        parts.push(format!("{} for the jumpers", plural(jumpers, "short piece of wire", "short pieces of wire")));
    }
    let sleeves = joints.saturating_sub(of_parts) + hookup.insulated.len();
    if sleeves > 0 {
        parts.push(format!("{} of heat-shrink", plural(sleeves, "piece", "pieces")));
    }
    parts.push("a set of strings".to_owned());
    let mut tools = vec![
        "soldering iron with a stand, and a damp sponge or brass wool".to_owned(),
        if joints > 0 {
            format!("rosin-core solder for {}", plural(joints, "joint", "joints"))
        } else {
            "rosin-core solder".to_owned()
        },
        "solder sucker or braid for the old joints".to_owned(),
        "wire stripper and side cutter".to_owned(),
        "screwdrivers that fit the screws".to_owned(),
        "meter with clips, and a plug or cable for the jack".to_owned(),
        "steel screwdriver to tap the poles".to_owned(),
        "ruler or feeler gauges for the heights".to_owned(),
        "safety glasses, a fan or an open window".to_owned(),
        "cotton or card for the finish, tape to mark leads".to_owned(),
        "string winder and tuner".to_owned(),
    ];
    if hookup.joints.iter().any(|joint| joint.at == "ground") {
        tools.push("fine abrasive for the back of the pot, so that solder takes".to_owned());
    }
    let (ready, ready_in_inches) = InInches::told_each(|unit| ready(joints, jumpers, sleeves, hookup, unit));
    PartsView { parts, tools, ready, ready_in_inches }
}

/// Volume, tone and capacitor that the guitar has already at a place.
fn has(controls: Option<&Controls>, place: &str) -> (Option<Ohms>, Option<Ohms>, Option<Farads>) {
    let Some(controls) = controls else { return (None, None, None) };
    match &controls.layout {
        VolumeLayout::EachPlace { pots, .. } => {
            let here = pots.iter().find(|pots| pots.place == place);
            here.map_or((None, None, None), |pots| (pots.volume, pots.tone, pots.capacitor))
        }
        VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => (controls.volume, controls.tone, controls.capacitor),
    }
}

/// What was chosen that the guitar does not have, and where it goes.
fn to_buy(chosen: &CircuitParts, controls: Option<&Controls>, place: &str) -> Vec<String> {
    let mut all = Vec::new();
    let (volume, tone, capacitor) = has(controls, place);
    if let Some(pot) = chosen.volume.filter(|pot| Some(*pot) != volume) {
        all.push(format!("a volume pot, {}, {}", pot.shown(), chosen.volume_taper.in_words()));
    }
    if let Some(pot) = chosen.tone.filter(|pot| Some(*pot) != tone) {
        let no_load = if chosen.no_load { ", no-load" } else { "" };
        all.push(format!("a tone pot, {}, {}{no_load}", pot.shown(), chosen.tone_taper.in_words()));
    }
    if let Some(farads) = chosen.capacitor.filter(|farads| chosen.tone.is_some() && Some(*farads) != capacitor) {
        all.push(format!("a capacitor for the tone, {}, at the lugs of the old one", farads.shown()));
    }
    if let Some(bleed) = chosen.bleed {
        let with = |ohms: Option<Ohms>, where_: &str| {
            ohms.map_or_else(String::new, |ohms| format!(", {} {where_}", ohms.shown()))
        };
        all.push(format!(
            "a capacitor for the treble bleed, {}{}{}: from the volume pot's outer lug to its middle lug",
            bleed.capacitor.shown(),
            with(bleed.in_row, "in a row with it"),
            with(bleed.across, "across it")
        ));
    }
    if let Some(pot) = chosen.blend {
        all.push(format!("a blend pot, {}", pot.shown()));
    }
    all
}

/// The volume pot at a place, in words.
fn volume_of(controls: Option<&Controls>, place: &str) -> String {
    match controls.map(|controls| &controls.layout) {
        Some(VolumeLayout::EachPlace { .. }) if !place.is_empty() => format!("the {place} volume pot"),
        _ => "the volume pot".to_owned(),
    }
}

/// The joints that chosen parts take beside those of the leads, in the order in which they are made.
fn joints_of(chosen: &CircuitParts, controls: Option<&Controls>, place: &str) -> Vec<JointLine> {
    let line = |what: String, at: String| JointLine { what, at };
    let mut all = Vec::new();
    let (_, _, capacitor) = has(controls, place);
    if let (Some(bleed), Some(_)) = (chosen.bleed, chosen.volume) {
        let pot = volume_of(controls, place);
        let across = bleed.across.map_or_else(String::new, |ohms| format!(" with {} across it", ohms.shown()));
        let part = format!("treble bleed {}{across}", bleed.capacitor.shown());
        let middle = format!("the middle lug of {pot}");
        if let Some(ohms) = bleed.in_row {
            let resistor = format!("a resistor {}", ohms.shown());
            all.push(line(format!("one leg of the {part}, and one of {resistor}"), JointLine::EACH_OTHER.to_owned()));
            all.push(line(
                format!("the other leg of the {part}"),
                format!("the outer lug of {pot} that is not at ground"),
            ));
            all.push(line(format!("treble bleed: the other leg of the resistor {}", ohms.shown()), middle));
        } else {
            all.push(line(format!("one leg of the {part}"), format!("the outer lug of {pot} that is not at ground")));
            all.push(line(format!("the other leg of the {part}"), middle));
        }
    }
    if let Some(farads) = chosen.capacitor.filter(|farads| chosen.tone.is_some() && Some(*farads) != capacitor) {
        let part = format!("tone capacitor {}", farads.shown());
        all.push(line(format!("one leg of the {part}"), "the lug of the tone pot that the old one was on".to_owned()));
        all.push(line(format!("the other leg of the {part}"), "where the other leg of the old one was".to_owned()));
    }
    if let Some(pot) = chosen.blend {
        let part = format!("blend pot {}", pot.shown());
        all.push(line(
            format!("a wire from an outer lug of the {part}"),
            "the other pickup's lug of the selector".to_owned(),
        ));
        all.push(line(
            format!("a wire from the middle lug of the {part}"),
            "the common lug of the selector".to_owned(),
        ));
    }
    all
}

/// Adds the joints of chosen parts to a hookup, what else is to be known of them, and the drawing.
pub(super) fn with_parts(hookup: &mut HookupView, chosen: &CircuitParts, controls: Option<&Controls>, place: &str) {
    if hookup.joints.is_empty() {
        return;
    }
    hookup.joints.extend(joints_of(chosen, controls, place));
    let (volume, tone, _) = has(controls, place);
    let other = |pot: Option<Ohms>, has: Option<Ohms>| pot.filter(|pot| Some(*pot) != has);
    for (name, pot) in [("volume", other(chosen.volume, volume)), ("tone", other(chosen.tone, tone))] {
        hookup.notes.extend(pot.map(|pot| {
            format!(
                "Where a new {name} pot ({}) goes in, move the old one's wires to the same lugs, one at a time. These joints are not \
                 counted here.",
                pot.shown()
            )
        }));
    }
    if let (Some(bleed), Some(_), Some(drawn)) = (chosen.bleed, chosen.volume, &mut hookup.drawn) {
        parts_drawn::bleed(drawn, &volume_of(controls, place), bleed);
    }
}

/// What is made ready before the iron is hot: nobody cuts and strips with a hot iron at hand.
fn ready(joints: usize, jumpers: usize, sleeves: usize, hookup: &HookupView, unit: LengthUnit) -> Vec<String> {
    let mut ready = Vec::new();
    if joints > 0 {
        let bare = match unit {
            LengthUnit::Millimetre => "5 mm",
            LengthUnit::DecimalInch | LengthUnit::Sixtyfourth => "3/16 in",
        };
        ready.push(format!(
            "Strip {bare} of each lead that gets a joint. A nicked strand breaks later. Glasses on, and hold the end that flies off."
        ));
    }
    if jumpers > 0 {
        ready.push(format!("Cut and strip {} for the jumpers.", plural(jumpers, "piece of wire", "pieces of wire")));
    }
    if sleeves > 0 {
        ready.push(format!("Cut {} of heat-shrink.", plural(sleeves, "piece", "pieces")));
    }
    if hookup.joints.iter().any(|joint| joint.at == "ground") {
        ready.push("Roughen the back of the pot where ground is soldered to it.".to_owned());
    }
    ready
}

fn plural(count: usize, one: &str, many: &str) -> String {
    if count == 1 { format!("1 {one}") } else { format!("{count} {many}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What the guitar has already is not bought again.
    #[test]
    fn what_was_chosen_is_on_the_list_with_its_joints() {
        let mut controls = solderlast_testkit::invented::guitar().controls;
        (controls.volume, controls.tone, controls.capacitor) =
            (Some(Ohms(500e3)), Some(Ohms(500e3)), Some(Farads(22e-9)));
        let mut chosen = CircuitParts::straight(Farads(500e-12), Ohms(1e6));
        (chosen.volume, chosen.tone, chosen.capacitor) = (controls.volume, controls.tone, controls.capacitor);
        assert!(to_buy(&chosen, Some(&controls), "bridge").is_empty());
        assert_eq!(joints_of(&chosen, Some(&controls), "bridge"), []);
        chosen.bleed = Some(crate::record::parts::TrebleBleed {
            capacitor: Farads(1e-9),
            in_row: None,
            across: Some(Ohms(150e3)),
        });
        chosen.volume = Some(Ohms(250e3));
        let bought = to_buy(&chosen, Some(&controls), "bridge");
        assert_eq!(bought[0], "a volume pot, 250 kΩ, audio: 10 % at half");
        assert_eq!(
            bought[1],
            "a capacitor for the treble bleed, 1 nF, 150 kΩ across it: from the volume pot's outer lug to its middle lug"
        );
        assert_eq!(bought.len(), 2);
        let at = |chosen: &CircuitParts| -> Vec<(String, String)> {
            joints_of(chosen, Some(&controls), "bridge").into_iter().map(|one| (one.what, one.at)).collect()
        };
        let lugs = at(&chosen);
        assert_eq!(lugs.len(), 2, "{lugs:?}");
        assert!(lugs[0].0.contains("treble bleed 1 nF with 150 kΩ across it"), "{lugs:?}");
        assert!(lugs[0].1.contains("the outer lug of the volume pot") && lugs[1].1.contains("middle lug"), "{lugs:?}");
        // A resistor in a row is joined to the capacitor first.
        if let Some(bleed) = &mut chosen.bleed {
            bleed.in_row = Some(Ohms(130e3));
        }
        assert_eq!((at(&chosen).len(), at(&chosen)[0].1.as_str()), (3, "each other, and insulated"));
        // Without a guitar's record all of it is told.
        assert_eq!(to_buy(&chosen, None, "bridge").len(), 4);
    }
}
