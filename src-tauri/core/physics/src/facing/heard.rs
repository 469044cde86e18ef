//! Where each coil comes to lie, and which coils a switch position puts out.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::coils::coils_of;
use crate::lies::InSpace;
use crate::record::guitar::Hand;
use crate::record::mounting::Lie;
use crate::record::pickup::{CoilEnd, CoilName, End, Pickup};
use crate::record::quantity::{InInches, Length, Millimetres};
use crate::record::rig::{Mode, SwitchPosition};

/// A coil beside the pole line.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/facing.ts")]
pub struct CoilAt {
    /// Which coil.
    pub coil: CoilName,
    /// How far it lies from the pole line towards the bridge in the rig, in millimetres; below zero towards the neck.
    pub in_rig: Millimetres,
    /// The same, installed.
    pub installed: Millimetres,
}

/// What a mode with one coil alone is heard through.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/facing.ts")]
pub struct HeardAlone {
    /// The mode.
    pub mode: Mode,
    /// The coil.
    pub coil: CoilName,
    /// How far its place in the rig is from its place installed.
    pub apart: Length,
    /// What that means, in a sentence.
    pub sentence: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub sentence_in_inches: Option<InInches>,
}

/// Where the coils lie along the strings in this lie; none when the lie is impossible.
#[must_use]
pub fn places(pickup: &Pickup, lie: Lie, strung: Hand) -> Vec<CoilAt> {
    let Some(rotation) = lie.rotation() else { return Vec::new() };
    coils_of(pickup, strung)
        .into_iter()
        .map(|(coil, at)| CoilAt {
            coil,
            // Adding zero turns a negative zero into a plain one.
            in_rig: Millimetres((rotation * at).x + 0.0),
            installed: Millimetres(at.x + 0.0),
        })
        .collect()
}

/// The coils that carry the signal in a switch position: those on any way from the output's ground to its tip.
///
/// `leads` says at which terminal each coil end is; an end that is not in it is at the terminal the rig is made for.
#[must_use]
pub fn coils_in(position: &SwitchPosition, pickup: &Pickup, leads: &[(CoilEnd, u8)]) -> Vec<CoilName> {
    // Nodes are terminals, named by the smallest terminal they are bonded to.
    let mut node: Vec<u8> = (0..=u8::MAX).collect();
    for bond in &position.bonds {
        let joined: Vec<u8> = bond.iter().map(|terminal| node[usize::from(*terminal)]).collect();
        let Some(least) = joined.iter().copied().min() else { continue };
        for place in &mut node {
            if joined.contains(place) {
                *place = least;
            }
        }
    }
    let at = |coil: CoilName, end: End| {
        let there = leads.iter().find(|(coil_end, _)| *coil_end == CoilEnd { coil, end }).map(|(_, at)| *at);
        let made_for =
            CoilName::ALL.iter().position(|name| *name == coil).unwrap_or(0) * 2 + usize::from(end == End::Plus);
        node[usize::from(there.unwrap_or_else(|| u8::try_from(made_for).unwrap_or(u8::MAX)))]
    };
    let edges: Vec<(CoilName, u8, u8)> =
        pickup.coils.iter().map(|coil| (coil.name, at(coil.name, End::Minus), at(coil.name, End::Plus))).collect();
    let [ground, tip] = position.output.map(|terminal| node[usize::from(terminal)]);
    let mut carrying = BTreeSet::new();
    walk(&edges, ground, tip, &mut Vec::new(), &mut vec![ground], &mut carrying);
    carrying.into_iter().collect()
}

/// Goes every way from `here` to `tip` that meets no node twice; there are at most three coils, so there are few.
fn walk(
    edges: &[(CoilName, u8, u8)],
    here: u8,
    tip: u8,
    taken: &mut Vec<CoilName>,
    met: &mut Vec<u8>,
    carrying: &mut BTreeSet<CoilName>,
) {
    if here == tip {
        carrying.extend(taken.iter().copied());
        return;
    }
    for (coil, one, other) in edges {
        let next = match (*one == here, *other == here) {
            (true, false) => *other,
            (false, true) => *one,
            _ => continue,
        };
        if met.contains(&next) {
            continue;
        }
        taken.push(*coil);
        met.push(next);
        walk(edges, next, tip, taken, met, carrying);
        met.pop();
        taken.pop();
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::pickup::Construction;
    use crate::record::rig::Rig;
    use solderlast_samples::invented as bench;

    #[test]
    fn which_coils_the_switch_puts_out() {
        let rig = Rig::four_terminal("bench rig");
        let pickup = bench::pickup(Construction::SideBySide);
        use CoilName::{A, B};
        for (mode, coils) in [("parallel", vec![A, B]), ("single", vec![A]), ("series", vec![A, B])] {
            let position = rig.position(&Mode::new(mode)).expect("the rig has it");
            assert_eq!(coils_in(position, &pickup, &[]), coils, "{mode}");
        }
        // Coil B's leads in the first two terminals: single is coil B then.
        let end = |coil, end| CoilEnd { coil, end };
        let swapped =
            [(end(B, End::Minus), 0), (end(B, End::Plus), 1), (end(A, End::Minus), 2), (end(A, End::Plus), 3)];
        let single = rig.position(&Mode::new("single")).expect("the rig has it");
        assert_eq!(coils_in(single, &pickup, &swapped), [B]);
        // Both ends of a coil at one terminal: it carries nothing.
        let shorted = [(end(A, End::Minus), 0), (end(A, End::Plus), 0)];
        assert_eq!(coils_in(single, &pickup, &shorted), []);
    }
}
