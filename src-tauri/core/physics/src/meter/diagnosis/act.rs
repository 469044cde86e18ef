//! Causes as acts on the circuit and on the looks at it, with how common each is.

use super::cause::{Cause, LeadIn};
use super::probe::Taken;
use crate::meter::circuit::{MOST_WIRES, RigCircuit, RigLook, Wiring, wire};
use crate::meter::evidence::Adjusted;
use crate::network::Node;
use crate::record::meter::{Care, Probe};
use crate::record::pickup::{CoilEnd, End};

/// An act on the circuit, or on the readings.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum RigMistake {
    Nothing,
    NotStated,
    Unclamp(u8),
    /// A wire that makes a bad contact in its terminal.
    Contact(u8),
    /// Another order of the leads, by its place in the list.
    Exchange(u16),
    /// A wire in the terminals of another one.
    OneTerminal {
        wire: u8,
        with: u8,
        coil: u8,
    },
    Bridge(u8),
    Break(u8),
    ToShield(u8),
    Position {
        reading: u8,
        to: u8,
    },
    /// A reading that is off by powers of ten; all readings for [`ALL`].
    Scale {
        reading: u8,
        power: i8,
    },
    /// A reading for which the meter's range was too low, or all.
    RangeLow(u8),
    /// Fingers on a reading, or on all.
    Body(u8),
    Load,
}

/// Stands for every reading.
const ALL: u8 = u8::MAX;
/// With more leads than this, only exchanges of two leads are joined to another cause.
const FEW_LEADS: usize = 4;

/// An act and how common it is against nothing being wrong.
///
/// The figures are from memory of a bench, not from a count: a lead that is not clamped is commonest, two neighbours
/// exchanged, a switch or a finger next; a lead on its mate's terminal, a nicked lead or a wrong range are rare.
#[derive(Debug, Clone, Copy)]
pub(super) struct Single {
    pub act: RigMistake,
    pub odds: f64,
}

/// One thing that may be wrong, or two.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hypothesis {
    pub acts: [RigMistake; 2],
    pub odds: f64,
}

/// All acts on a bench, and the orders that leads can be in.
pub(super) struct Acts {
    pub singles: Vec<Single>,
    pub orders: Vec<[u16; MOST_WIRES]>,
}

impl Acts {
    /// `low` says whether the meter has a range that is too low for a coil.
    pub fn new(circuit: &RigCircuit, taken: &[Taken], stated: bool, low: bool) -> Self {
        let orders = orders(circuit);
        let mut acts = Self { singles: Vec::new(), orders };
        let mut add = |act: RigMistake, odds: f64| acts.singles.push(Single { act, odds });
        if stated {
            add(RigMistake::NotStated, 0.02);
        }
        for (wire, clamps) in (0_u8..).zip(circuit.meant.clamps.iter().take(circuit.wires.len())) {
            if *clamps != 0 {
                add(RigMistake::Unclamp(wire), 0.03);
                if circuit.shield() != Some(usize::from(wire)) {
                    add(RigMistake::Contact(wire), 0.01);
                }
            }
        }
        for (place, order) in (0_u16..).zip(&acts.orders) {
            add(RigMistake::Exchange(place), how_common(circuit, order));
        }
        for (coil, ends) in (0_u8..).zip(wires_of_coils(circuit)) {
            if let [Some(minus), Some(plus)] = ends {
                let clamps = |wire: u8| circuit.meant.clamps[usize::from(wire)];
                if clamps(minus) != 0 && clamps(plus) != 0 && clamps(minus) != clamps(plus) {
                    add(RigMistake::OneTerminal { wire: plus, with: minus, coil }, 0.003);
                    add(RigMistake::OneTerminal { wire: minus, with: plus, coil }, 0.003);
                }
            }
            add(RigMistake::Break(coil), 0.01);
        }
        for place in 1..circuit.terminals.len() as u8 {
            add(RigMistake::Bridge(place - 1), 0.008);
        }
        if circuit.shield().is_some() {
            for end in 0..2 * circuit.coils.len() as u8 {
                add(RigMistake::ToShield(end), 0.002);
            }
        }
        for (reading, taken) in (0_u8..ALL).zip(taken) {
            let Probe::Output { mode, care: Care::AsUsual } = &taken.probe else { continue };
            for (to, position) in (0_u8..).zip(&circuit.positions) {
                if &position.mode != mode {
                    add(RigMistake::Position { reading, to }, 0.01);
                }
            }
            for power in [-3, -1, 1, 3] {
                add(RigMistake::Scale { reading, power }, 0.002);
            }
            if low {
                add(RigMistake::RangeLow(reading), 0.003);
            }
            add(RigMistake::Body(reading), 0.01);
        }
        if taken.iter().filter(|taken| matches!(taken.probe, Probe::Output { .. })).count() > 1 {
            add(RigMistake::Body(ALL), 0.004);
            add(RigMistake::Scale { reading: ALL, power: -3 }, 0.002);
            if low {
                add(RigMistake::RangeLow(ALL), 0.01);
            }
        }
        add(RigMistake::Load, 0.015);
        acts
    }

    /// Nothing wrong, one thing wrong, or two.
    pub fn hypotheses(&self, circuit: &RigCircuit) -> Vec<Hypothesis> {
        let mut all = vec![Hypothesis { acts: [RigMistake::Nothing; 2], odds: 1.0 }];
        let few = circuit.wires.iter().filter(|wire| !wire.shield).count() <= FEW_LEADS;
        let joins = |act: RigMistake| match act {
            RigMistake::Exchange(order) => few || self.moved(circuit, order).count() == 2,
            // With another fault beside it, a bad contact can read like anything.
            RigMistake::Contact(_) => false,
            _ => true,
        };
        for (at, one) in self.singles.iter().enumerate() {
            all.push(Hypothesis { acts: [one.act, RigMistake::Nothing], odds: one.odds });
            if !joins(one.act) {
                continue;
            }
            for other in self.singles.iter().skip(at + 1) {
                if joins(other.act) && go_together(one.act, other.act) {
                    all.push(Hypothesis { acts: [one.act, other.act], odds: one.odds * other.odds });
                }
            }
        }
        all
    }

    fn moved<'a>(&'a self, circuit: &'a RigCircuit, order: u16) -> impl Iterator<Item = usize> + 'a {
        let order = self.orders.get(usize::from(order));
        (0..circuit.wires.len())
            .filter(move |wire| order.is_some_and(|order| order[*wire] != circuit.meant.clamps[*wire]))
    }

    /// The hookup with these acts on it. Exchanges come first, so that a lead is unclamped where it is.
    pub fn wiring(&self, circuit: &RigCircuit, acts: [RigMistake; 2]) -> Wiring {
        let mut wiring = circuit.meant;
        for act in acts {
            if let RigMistake::Exchange(order) = act
                && let Some(order) = self.orders.get(usize::from(order))
            {
                wiring.clamps = *order;
            }
        }
        for act in acts {
            if let RigMistake::OneTerminal { wire, with, .. } = act {
                wiring.clamps[usize::from(wire)] = wiring.clamps[usize::from(with)];
            }
        }
        for act in acts {
            match act {
                RigMistake::Unclamp(wire) => wiring.clamps[usize::from(wire)] = 0,
                RigMistake::Contact(wire) => wiring.contact = Some(wire),
                RigMistake::Bridge(place) => wiring.bridges |= 1 << place,
                RigMistake::Break(coil) => wiring.broken |= 1 << coil,
                RigMistake::ToShield(end) => wiring.to_shield |= 1 << end,
                RigMistake::Exchange(_) | RigMistake::OneTerminal { .. } => {}
                RigMistake::Nothing
                | RigMistake::NotStated
                | RigMistake::Position { .. }
                | RigMistake::Scale { .. }
                | RigMistake::RangeLow(_) => {}
                RigMistake::Body(_) | RigMistake::Load => {}
            }
        }
        wiring
    }

    /// The order of the leads under these acts.
    fn order(&self, acts: [RigMistake; 2]) -> Option<&[u16; MOST_WIRES]> {
        acts.into_iter().find_map(|act| match act {
            RigMistake::Exchange(order) => self.orders.get(usize::from(order)),
            _ => None,
        })
    }

    /// How reading number `reading`, meant as this look, was really taken.
    pub fn look(
        &self,
        circuit: &RigCircuit,
        acts: [RigMistake; 2],
        reading: u8,
        probe: &Probe,
        meant: RigLook,
    ) -> (RigLook, Adjusted) {
        let (mut look, mut adjusted) = (meant, Adjusted::default());
        let Probe::Output { care, .. } = probe else {
            // Leads that are known by their terminals are found there, whatever they are joined to.
            if let Some(order) = self.order(acts) {
                let there = |node: Node| {
                    let named = (0..circuit.wires.len()).find(|named| wire(*named) == node);
                    named.map_or(node, |named| wire(circuit.by_name(order, named)))
                };
                look.port = look.port.map(|(a, b)| (there(a), there(b)));
            }
            return (look, adjusted);
        };
        for act in acts {
            match act {
                RigMistake::Position { reading: of, to } if of == reading => look.position = usize::from(to),
                RigMistake::Scale { reading: of, power } if of == reading => adjusted.power += power,
                RigMistake::Scale { reading: ALL, power } if *care != Care::SwitchAndRange => adjusted.power += power,
                RigMistake::RangeLow(of) if of == reading => adjusted.range_low = true,
                RigMistake::RangeLow(ALL) if *care != Care::SwitchAndRange => adjusted.range_low = true,
                RigMistake::Body(of) if of == reading => look.body = true,
                RigMistake::Body(ALL) if *care != Care::HandsOff => look.body = true,
                RigMistake::Load if *care != Care::Unplugged => look.load = true,
                _ => {}
            }
        }
        (look, adjusted)
    }

    /// In the words of the bench, beside what else is at work; nothing for an act that is none.
    pub fn cause(
        &self,
        circuit: &RigCircuit,
        taken: &[Taken],
        act: RigMistake,
        beside: [RigMistake; 2],
    ) -> Option<Cause> {
        let order = self.order(beside).unwrap_or(&circuit.meant.clamps);
        let lead = |wire: u8| circuit.name_of(order, usize::from(wire)).cloned();
        let terminal = |clamps: u16| circuit.terminals.get(clamps.trailing_zeros() as usize).cloned();
        let mode = |reading: u8| {
            taken.get(usize::from(reading)).and_then(|taken| match &taken.probe {
                Probe::Output { mode, .. } => Some(mode.clone()),
                Probe::Terminals { .. } | Probe::Leads { .. } | Probe::LeadAt { .. } => None,
            })
        };
        Some(match act {
            RigMistake::Nothing => return None,
            RigMistake::NotStated => Cause::NotAsStated,
            RigMistake::Unclamp(wire) => Cause::NotClamped { lead: lead(wire)? },
            RigMistake::Contact(wire) => Cause::BadContact { lead: lead(wire)? },
            RigMistake::Exchange(order) => {
                let clamps = self.orders.get(usize::from(order))?;
                // Where nothing has to be moved, the record of the terminals is what is wrong.
                let lies_well = !circuit.named_by_place
                    && circuit.silent_positions(&Wiring { clamps: *clamps, ..circuit.meant })
                        < circuit.silent_positions(&circuit.meant);
                let leads = self.moved(circuit, order).filter_map(|wire| {
                    let terminal_now = terminal(clamps[wire])?;
                    let belongs = if lies_well { terminal_now.clone() } else { terminal(circuit.meant.clamps[wire])? };
                    let lead = circuit.name_of(clamps, wire)?.clone();
                    Some(LeadIn { lead, terminal: terminal_now, belongs })
                });
                let mut leads: Vec<LeadIn> = leads.collect();
                leads.sort_by_key(|lead| circuit.terminals.iter().position(|name| *name == lead.terminal));
                Cause::InEachOthersPlace { leads }
            }
            RigMistake::OneTerminal { wire, with, coil } => {
                let clamps = circuit.meant.clamps[usize::from(with)];
                Cause::OnOneTerminal {
                    coil: *circuit.coils.get(usize::from(coil))?,
                    lead: lead(wire)?,
                    terminal: clamps.trailing_zeros() as u8,
                    name: terminal(clamps)?,
                }
            }
            RigMistake::Bridge(place) => {
                let name = |place: usize| circuit.terminals.get(place).cloned();
                Cause::Bridged { terminals: [name(usize::from(place))?, name(usize::from(place) + 1)?] }
            }
            RigMistake::Break(coil) => Cause::Broken { coil: *circuit.coils.get(usize::from(coil))? },
            RigMistake::ToShield(end) => Cause::TouchesShield {
                end: CoilEnd {
                    coil: *circuit.coils.get(usize::from(end / 2))?,
                    end: if end % 2 == 0 { End::Minus } else { End::Plus },
                },
            },
            RigMistake::Position { reading, to } => Cause::OtherPosition {
                mode: mode(reading)?,
                stood: circuit.positions.get(usize::from(to))?.mode.clone(),
            },
            RigMistake::Scale { reading: ALL, power } => Cause::WrongRange { mode: None, power },
            RigMistake::Scale { reading, power } => Cause::WrongRange { mode: Some(mode(reading)?), power },
            RigMistake::RangeLow(ALL) => Cause::RangeTooLow { mode: None },
            RigMistake::RangeLow(reading) => Cause::RangeTooLow { mode: Some(mode(reading)?) },
            RigMistake::Body(ALL) => Cause::Fingers { mode: None },
            RigMistake::Body(reading) => Cause::Fingers { mode: Some(mode(reading)?) },
            RigMistake::Load => Cause::StillConnected,
        })
    }
}

/// Whether two acts can be done at once and are not the same as one of them, or as a third.
fn go_together(one: RigMistake, other: RigMistake) -> bool {
    match (one, other) {
        (RigMistake::Exchange(_), RigMistake::Exchange(_)) | (RigMistake::Scale { .. }, RigMistake::Scale { .. }) => {
            false
        }
        (RigMistake::OneTerminal { coil: a, .. }, RigMistake::OneTerminal { coil: b, .. }) => a != b,
        (RigMistake::Unclamp(wire), RigMistake::OneTerminal { wire: moved, with, .. })
        | (RigMistake::OneTerminal { wire: moved, with, .. }, RigMistake::Unclamp(wire)) => {
            wire != moved && wire != with
        }
        (RigMistake::Position { reading: a, .. }, RigMistake::Position { reading: b, .. }) => a != b,
        (RigMistake::Body(a), RigMistake::Body(b)) | (RigMistake::RangeLow(a), RigMistake::RangeLow(b)) => {
            a != ALL && b != ALL
        }
        (
            RigMistake::RangeLow(a),
            RigMistake::Scale { reading: b, .. } | RigMistake::Position { reading: b, .. } | RigMistake::Body(b),
        )
        | (
            RigMistake::Scale { reading: b, .. } | RigMistake::Position { reading: b, .. } | RigMistake::Body(b),
            RigMistake::RangeLow(a),
        ) => a != b && a != ALL,
        _ => true,
    }
}

/// The wires of each coil's minus and plus end, where it has one.
fn wires_of_coils(circuit: &RigCircuit) -> Vec<[Option<u8>; 2]> {
    let wire = |end: usize| {
        circuit
            .wires
            .iter()
            .position(|wire| wire.ends.iter().any(|own| usize::from(*own) == end))
            .and_then(|w| u8::try_from(w).ok())
    };
    (0..circuit.coils.len()).map(|coil| [wire(2 * coil), wire(2 * coil + 1)]).collect()
}

/// Every other order of the clamped leads on their terminals. The shield stays where it is.
fn orders(circuit: &RigCircuit) -> Vec<[u16; MOST_WIRES]> {
    let leads: Vec<usize> = (0..circuit.wires.len())
        .filter(|wire| !circuit.wires[*wire].shield && circuit.meant.clamps[*wire] != 0)
        .collect();
    let mut orders = Vec::new();
    // With more than six leads there would be thousands of orders: then only two exchanged.
    if leads.len() <= 6 {
        let mut order = leads.clone();
        permute(&mut order, 0, &mut |order| {
            let mut clamps = circuit.meant.clamps;
            for (wire, from) in leads.iter().zip(order) {
                clamps[*wire] = circuit.meant.clamps[*from];
            }
            orders.push(clamps);
        });
    } else {
        for (at, one) in leads.iter().enumerate() {
            for other in leads.iter().skip(at + 1) {
                let mut clamps = circuit.meant.clamps;
                clamps.swap(*one, *other);
                orders.push(clamps);
            }
        }
    }
    orders.sort_unstable();
    orders.dedup();
    orders.retain(|order| *order != circuit.meant.clamps);
    orders
}

fn permute(order: &mut Vec<usize>, from: usize, found: &mut impl FnMut(&[usize])) {
    if from == order.len() {
        return found(order);
    }
    for at in from..order.len() {
        order.swap(from, at);
        permute(order, from + 1, found);
        order.swap(from, at);
    }
}

/// Two neighbours exchanged are common, two others less, three or more leads mixed up rare.
fn how_common(circuit: &RigCircuit, order: &[u16; MOST_WIRES]) -> f64 {
    let moved: Vec<u32> = (0..circuit.wires.len())
        .filter(|wire| order[*wire] != circuit.meant.clamps[*wire])
        .map(|wire| order[wire].trailing_zeros())
        .collect();
    match moved.as_slice() {
        [a, b] if a.abs_diff(*b) == 1 => 0.015,
        [_, _] => 0.006,
        [_, _, _] => 0.0005,
        _ => 0.0003,
    }
}
