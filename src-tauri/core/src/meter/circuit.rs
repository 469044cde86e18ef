//! The network of a pickup on a rig in one switch position.

use crate::audition::SHIELD;
use crate::network::Network;
use crate::pickup::{CoilEnd, CoilName, End, Pickup};
use crate::rig::{Rig, SwitchPosition};

use super::Joined;

/// The coil ends in each terminal, and whether they are known or assumed.
pub(super) struct Hookup {
    /// Ends by terminal.
    ends: Vec<Vec<CoilEnd>>,
    /// Whether the leads' ends were not all known, so that the rig's own order was assumed.
    pub assumed: bool,
}

impl Hookup {
    /// Takes the hookup as it is where every lead's ends are known; otherwise as the rig means it: coil A minus, coil A
    /// plus, coil B minus, coil B plus, and so on.
    pub fn new(pickup: &Pickup, joined: &[Joined], rig: &Rig) -> Self {
        let ends_of = |name: &String| pickup.leads.iter().find(|lead| &lead.name == name).map(|lead| &lead.ends);
        let leads = || joined.iter().flat_map(|joined| &joined.leads).filter(|name| *name != SHIELD);
        let known = leads().next().is_some() && leads().all(|name| ends_of(name).is_some_and(|ends| !ends.is_empty()));
        let mut ends = vec![Vec::new(); rig.terminals.len()];
        if known {
            for joined in joined {
                if let Some(here) = ends.get_mut(usize::from(joined.terminal)) {
                    here.extend(joined.leads.iter().filter_map(ends_of).flatten().copied());
                }
            }
        } else {
            let brought_out = pickup
                .coils
                .iter()
                .flat_map(|coil| [End::Minus, End::Plus].map(|end| CoilEnd { coil: coil.name, end }));
            for end in brought_out.filter(|end| !pickup.joined_inside.iter().flatten().any(|joined| joined == end)) {
                let terminal = place(end);
                if let Some(here) = ends.get_mut(terminal) {
                    here.push(end);
                }
            }
        }
        Self { ends, assumed: !known }
    }

    /// What the meter sees at the output in this position with these coils, in ohms; nothing when it is open.
    pub fn reading(&self, pickup: &Pickup, position: &SwitchPosition, coils: &[f64]) -> Option<f64> {
        let mut network = Network::default();
        let terminals: Vec<usize> = self.ends.iter().map(|_| network.node()).collect();
        let ends: Vec<[usize; 2]> = pickup.coils.iter().map(|_| [network.node(), network.node()]).collect();
        let node = |end: &CoilEnd| {
            let coil = pickup.coils.iter().position(|coil| coil.name == end.coil)?;
            Some(ends[coil][usize::from(end.end == End::Plus)])
        };
        for (coil, ohms) in ends.iter().zip(coils) {
            network.resistance(coil[0], coil[1], *ohms);
        }
        let mut bond_all = |nodes: Vec<usize>| {
            for pair in nodes.windows(2) {
                network.bond(pair[0], pair[1]);
            }
        };
        for lead in &pickup.leads {
            bond_all(lead.ends.iter().filter_map(node).collect());
        }
        for joined in &pickup.joined_inside {
            bond_all(joined.iter().filter_map(node).collect());
        }
        for (terminal, here) in terminals.iter().zip(&self.ends) {
            bond_all(std::iter::once(*terminal).chain(here.iter().filter_map(node)).collect());
        }
        for bond in &position.bonds {
            bond_all(bond.iter().filter_map(|terminal| terminals.get(usize::from(*terminal)).copied()).collect());
        }
        let [ground, tip] = position.output.map(|terminal| terminals.get(usize::from(terminal)).copied());
        network.resistance_between(tip?, ground?)
    }
}

fn place(end: CoilEnd) -> usize {
    let coil = match end.coil {
        CoilName::A => 0,
        CoilName::B => 1,
        CoilName::C => 2,
    };
    coil * 2 + usize::from(end.end == End::Plus)
}
