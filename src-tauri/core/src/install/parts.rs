//! Parts and tools, computed from the plan.

use super::page::{HookupView, PartsView};
use crate::record::guitar::Controls;
use crate::record::wiring::Plan;

/// What goes into the guitar, and what lies on the bench. Common practice, no source.
#[must_use]
pub fn parts(plan: Option<&Plan>, hookup: &HookupView, controls: Option<&Controls>) -> PartsView {
    let joints = usize::from(hookup.joint_count).max(hookup.joints.len());
    let mut parts = vec!["the pickup, its screws and springs".to_owned()];
    if let Some(switch) = plan.and_then(|plan| plan.switch.as_ref()) {
        let pot =
            controls.and_then(|controls| controls.volume).map_or_else(String::new, |pot| format!(", {}", pot.shown()));
        // A switch on a pot takes the place of the guitar's own.
        let pot = if switch.name.contains("pot") { pot } else { String::new() };
        parts.push(format!("a switch: {}{pot}, {} lugs", switch.name, switch.lugs));
    }
    let jumpers = hookup.joints.iter().filter(|joint| joint.what.contains("jumper")).count();
    if jumpers > 0 {
        parts.push(format!("{} for the jumpers", plural(jumpers, "short piece of wire", "short pieces of wire")));
    }
    let sleeves = joints + hookup.insulated.len();
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
