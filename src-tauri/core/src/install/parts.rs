//! Parts and tools, computed from the plan.

use super::page::{HookupView, PartsView};
use crate::record::guitar::Controls;
use crate::record::parts::CircuitParts;
use crate::record::wiring::Plan;

/// What goes into the guitar, and what lies on the bench. Common practice, no source.
#[must_use]
pub fn parts(
    plan: Option<&Plan>,
    hookup: &HookupView,
    controls: Option<&Controls>,
    chosen: Option<&CircuitParts>,
) -> PartsView {
    let chosen = chosen.map(|chosen| to_buy(chosen, controls)).unwrap_or_default();
    let of_the_hookup = usize::from(hookup.joint_count).max(hookup.joints.len());
    let joints = of_the_hookup + chosen.iter().map(|(_, joints)| joints).sum::<usize>();
    let mut parts = vec!["the pickup, its screws and springs".to_owned()];
    if let Some(switch) = plan.and_then(|plan| plan.switch.as_ref()) {
        let pot = controls
            .and_then(|controls| controls.volume)
            .map_or_else(String::new, |pot| format!(", {} in place of the volume", pot.shown()));
        // A switch on a pot takes the place of the guitar's own.
        let pot = if switch.name.contains("pot") { pot } else { String::new() };
        parts.push(format!("a switch: {}{pot}, {} lugs", switch.name, switch.lugs));
    }
    parts.extend(chosen.into_iter().map(|(part, _)| part));
    let jumpers = hookup.joints.iter().filter(|joint| joint.what.contains("jumper")).count();
    if jumpers > 0 {
        parts.push(format!("{} for the jumpers", plural(jumpers, "short piece of wire", "short pieces of wire")));
    }
    let sleeves = of_the_hookup + hookup.insulated.len();
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
    PartsView { parts, tools, ready: ready(joints, jumpers, sleeves, hookup) }
}

/// What was chosen that the guitar does not have, and where it goes, each with how many joints it takes.
fn to_buy(chosen: &CircuitParts, controls: Option<&Controls>) -> Vec<(String, usize)> {
    let mut all = Vec::new();
    let (volume, tone, capacitor) =
        controls.map_or((None, None, None), |controls| (controls.volume, controls.tone, controls.capacitor));
    if let Some(pot) = chosen.volume.filter(|pot| Some(*pot) != volume) {
        all.push((format!("a volume pot, {}, {}", pot.shown(), chosen.volume_taper.in_words()), 0));
    }
    if let Some(pot) = chosen.tone.filter(|pot| Some(*pot) != tone) {
        let no_load = if chosen.no_load { ", no-load" } else { "" };
        all.push((format!("a tone pot, {}, {}{no_load}", pot.shown(), chosen.tone_taper.in_words()), 0));
    }
    if let Some(farads) = chosen.capacitor.filter(|farads| chosen.tone.is_some() && Some(*farads) != capacitor) {
        all.push((format!("a capacitor for the tone, {}, at the lugs of the old one", farads.shown()), 2));
    }
    if let Some(bleed) = chosen.bleed {
        let with = |ohms: Option<crate::record::quantity::Ohms>, where_: &str| {
            ohms.map_or_else(String::new, |ohms| format!(", {} {where_}", ohms.shown()))
        };
        all.push((
            format!(
                "a capacitor for the treble bleed, {}{}{}: from the volume pot's lug of the pickup to its middle lug",
                bleed.capacitor.shown(),
                with(bleed.in_row, "in a row with it"),
                with(bleed.across, "across it")
            ),
            2,
        ));
    }
    if let Some(pot) = chosen.blend {
        all.push((format!("a blend pot, {}", pot.shown()), 2));
    }
    all
}

/// What is made ready before the iron is hot: nobody cuts and strips with a hot iron at hand.
fn ready(joints: usize, jumpers: usize, sleeves: usize, hookup: &HookupView) -> Vec<String> {
    let mut ready = Vec::new();
    if joints > 0 {
        ready.push(
            "Strip 5 mm of each lead that gets a joint. A nicked strand breaks later. Glasses on, and hold the end that flies off."
                .to_owned(),
        );
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
    use crate::record::quantity::{Farads, Ohms};

    /// What the guitar has already is not bought again.
    #[test]
    fn what_was_chosen_is_on_the_list_with_its_joints() {
        let mut controls = solderlast_testkit::invented::guitar().controls;
        (controls.volume, controls.tone, controls.capacitor) =
            (Some(Ohms(500e3)), Some(Ohms(500e3)), Some(Farads(22e-9)));
        let mut chosen = CircuitParts::straight(Farads(500e-12), Ohms(1e6));
        (chosen.volume, chosen.tone, chosen.capacitor) = (controls.volume, controls.tone, controls.capacitor);
        assert_eq!(to_buy(&chosen, Some(&controls)), []);
        chosen.bleed = Some(crate::record::parts::TrebleBleed {
            capacitor: Farads(1e-9),
            in_row: None,
            across: Some(Ohms(150e3)),
        });
        chosen.volume = Some(Ohms(250e3));
        let bought = to_buy(&chosen, Some(&controls));
        assert_eq!(bought[0], ("a volume pot, 250 kΩ, audio: 10 % at half".to_owned(), 0));
        assert_eq!(
            bought[1].0,
            "a capacitor for the treble bleed, 1 nF, 150 kΩ across it: from the volume pot's lug of the pickup to its middle lug"
        );
        assert_eq!((bought[1].1, bought.len()), (2, 2));
        // Without a guitar's record all of it is told.
        assert_eq!(to_buy(&chosen, None).len(), 4);
    }
}
