//! A pickup in the terminals of a rig, as a circuit that can be looked at from any two of its nodes.

use crate::network::{Branch, Joints, Network, Node, Seen};
use crate::record::leads::{Contact, LeadName};
use crate::record::pickup::{CoilEnd, CoilName, Construction, End, Pickup, ShieldKind};
use crate::record::rig::{Mode, Rig};

use super::Joined;

/// The most coils, terminals and wires that are looked at; a pickup and a rig have no more.
const MOST_COILS: usize = 3;
const MOST_TERMINALS: usize = 8;
pub(crate) const MOST_WIRES: usize = 12;
/// Where the wires and the coil ends start among the nodes; terminals come first.
const WIRES: Node = Node(MOST_TERMINALS as u8);
const ENDS: Node = WIRES.on(MOST_WIRES);
/// Where an output goes whose terminal is not on the block: two nodes that nothing is joined to.
const NOWHERE: Node = ENDS.on(2 * MOST_COILS);
const NODES: u8 = NOWHERE.0 + 2;

/// Places in the list of values: coils first, then a body on the probes, then what is still connected to the output, then a
/// clamp that makes a bad contact.
pub(crate) const BODY: u8 = MOST_COILS as u8;
pub(crate) const LOAD: u8 = BODY + 1;
pub(crate) const CONTACT: u8 = LOAD + 1;
/// How many values there are.
pub(crate) const VALUES: usize = CONTACT as usize + 1;

/// A wire that comes out of the pickup.
#[derive(Debug, Clone)]
pub(crate) struct Wire {
    /// Its owner's name for it, or that of its coil end.
    pub name: Contact,
    /// The coil ends it is joined to, as nodes counted from the first end.
    pub ends: Vec<u8>,
    /// Whether it is the shield.
    pub shield: bool,
}

/// A switch position, by numbers.
#[derive(Debug, Clone)]
pub(crate) struct Position {
    pub mode: Mode,
    bonds: Vec<(Node, Node)>,
    /// What is joined here whatever the wiring: by the switch, and inside the pickup.
    joints: Joints,
    /// Ground and tip.
    pub output: (Node, Node),
}

impl Position {
    /// How much it joins.
    pub fn joins(&self) -> usize {
        self.bonds.len()
    }
}

/// What can differ from the hookup as it was meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Wiring {
    /// For each wire, the terminals it is clamped in, a bit each.
    pub clamps: [u16; MOST_WIRES],
    /// Terminals joined to the next one, a bit each.
    pub bridges: u16,
    /// Broken coils, a bit each.
    pub broken: u8,
    /// Coil ends that touch the shield, a bit each.
    pub to_shield: u8,
    /// The wire whose clamp makes a bad contact.
    pub contact: Option<u8>,
}

/// Where and how a meter looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(crate) struct RigLook {
    /// The switch position, by its place.
    pub position: usize,
    /// Two nodes, or nothing for the output.
    pub port: Option<(Node, Node)>,
    /// Whether a body lies on the probes.
    pub body: bool,
    /// Whether something is still connected to the output.
    pub load: bool,
}

impl RigLook {
    /// At the output, with nothing in the way.
    pub fn output(position: usize) -> Self {
        Self { position, port: None, body: false, load: false }
    }
}

/// A pickup in a rig.
#[derive(Debug, Clone)]
pub(crate) struct RigCircuit {
    pub coils: Vec<CoilName>,
    pub terminals: Vec<String>,
    pub wires: Vec<Wire>,
    pub positions: Vec<Position>,
    /// The hookup as it was meant.
    pub meant: Wiring,
    /// Whether its coils are the parts of one winding.
    tapped: bool,
    /// Whether the ends of the leads were not all known, so that the rig's own order was taken.
    pub assumed: bool,
    /// Whether each wire has the name of what lies in its terminal, because nobody knows which lead it is. Where a lead lies
    /// is then known, and what it is joined to is not.
    pub named_by_place: bool,
    /// Bonds inside the pickup.
    inside: Vec<(Node, Node)>,
    /// The shield among the wires.
    shield: Option<u8>,
}

/// A coil between the nodes of its minus and its plus end.
pub(crate) type CoilBetween = (CoilName, usize, usize);

/// The node of a terminal.
pub(crate) fn terminal(place: u8) -> Node {
    Node(place)
}

/// The node of a wire's bare end.
pub(crate) fn wire(place: usize) -> Node {
    WIRES.on(place)
}

/// Branches of which a count are in use, and the port that is looked at.
pub type LaidOut = ([Branch; VALUES], usize, (Node, Node));

impl RigCircuit {
    /// Takes the hookup as it is where every lead's ends are known; otherwise as the rig means it: coil A minus, coil A
    /// plus, coil B minus, coil B plus, and so on.
    pub fn new(pickup: &Pickup, joined: &[Joined], rig: &Rig) -> Self {
        let coils: Vec<CoilName> = pickup.coils.iter().map(|coil| coil.name).take(MOST_COILS).collect();
        let terminals: Vec<String> = rig.terminals.iter().take(MOST_TERMINALS).cloned().collect();
        let end_of = |end: &CoilEnd| {
            let coil = coils.iter().position(|name| *name == end.coil)?;
            u8::try_from(coil * 2 + usize::from(end.end == End::Plus)).ok()
        };
        let mut circuit = Self {
            terminals,
            wires: Vec::new(),
            positions: Vec::new(),
            meant: Wiring { clamps: [0; MOST_WIRES], bridges: 0, broken: 0, to_shield: 0, contact: None },
            assumed: false,
            named_by_place: false,
            tapped: pickup.construction == Construction::TappedCoil,
            inside: Vec::new(),
            shield: None,
            coils: coils.clone(),
        };
        circuit.take_leads(pickup, joined, end_of);
        circuit.take_shield(pickup, joined);
        for joined in &pickup.joined_inside {
            let ends: Vec<u8> = joined.iter().filter_map(end_of).collect();
            circuit.inside.extend(ends.windows(2).map(|pair| (ENDS + pair[0], ENDS + pair[1])));
        }
        let count = circuit.terminals.len();
        let there = |terminal: &u8| usize::from(*terminal) < count;
        circuit.positions = rig
            .positions
            .iter()
            .map(|position| {
                let bonds = position.bonds.iter().flat_map(|bond| {
                    let here: Vec<u8> = bond.iter().copied().filter(there).collect();
                    here.windows(2).map(|pair| (terminal(pair[0]), terminal(pair[1]))).collect::<Vec<_>>()
                });
                let [ground, tip] = position.output;
                let ground = if there(&ground) { terminal(ground) } else { NOWHERE };
                let tip = if there(&tip) { terminal(tip) } else { NOWHERE + 1 };
                let bonds: Vec<(Node, Node)> = bonds.collect();
                let mut joints = Joints::default();
                for &(a, b) in circuit.inside.iter().chain(&bonds) {
                    joints.bond(a, b);
                }
                Position { mode: position.mode.clone(), bonds, joints, output: (ground, tip) }
            })
            .collect();
        circuit
    }

    fn take_leads(&mut self, pickup: &Pickup, joined: &[Joined], end_of: impl Fn(&CoilEnd) -> Option<u8>) {
        let lead = |name: &Contact| pickup.lead(name);
        let placed = || joined.iter().flat_map(|joined| &joined.leads).filter(|name| **name != Contact::Shield);
        let hooked = placed().next().is_some();
        self.assumed = !hooked || !placed().all(|name| lead(name).is_some_and(|lead| !lead.ends.is_empty()));
        let all_known = !pickup.leads.is_empty() && pickup.leads.iter().all(|lead| !lead.ends.is_empty());
        if !self.assumed || (all_known && !hooked) {
            for lead in pickup.leads.iter().take(MOST_WIRES - 1) {
                let ends: Vec<u8> = lead.ends.iter().filter_map(&end_of).collect();
                let mut clamps = clamps_of(&Contact::from(&lead.name), joined, self.terminals.len());
                if self.assumed {
                    // The join of two coils goes to the first of its terminals.
                    clamps = lead.ends.iter().map(|end| self.place(*end)).find(|bit| *bit != 0).unwrap_or(0);
                }
                self.add_wire(Contact::from(&lead.name), ends, clamps, false);
            }
            return;
        }
        self.named_by_place = true;
        // Somebody's leads, or none: each coil end that comes out has a wire in the terminal that the rig means for it.
        let inside = |end: &CoilEnd| pickup.joined_inside.iter().flatten().any(|joined| joined == end);
        let ends =
            self.coils.clone().into_iter().flat_map(|coil| [End::Minus, End::Plus].map(|end| CoilEnd { coil, end }));
        for end in ends.filter(|end| !inside(end)) {
            let clamps = self.place(end);
            let named = joined
                .iter()
                .filter(|joined| u32::from(joined.terminal) == clamps.trailing_zeros())
                .flat_map(|joined| &joined.leads)
                .find(|name| **name != Contact::Shield);
            let name = named.cloned().unwrap_or_else(|| Contact::from(end.in_words()));
            self.add_wire(name, end_of(&end).into_iter().collect(), clamps, false);
        }
    }

    fn take_shield(&mut self, pickup: &Pickup, joined: &[Joined]) {
        let clamps = clamps_of(&Contact::Shield, joined, self.terminals.len());
        if pickup.shield.kind == ShieldKind::None && clamps == 0 {
            return;
        }
        self.shield = u8::try_from(self.wires.len()).ok();
        let to = pickup.shield.joined_to.as_ref().and_then(|name| self.wires.iter().position(|w| w.name.is(name)));
        if let Some(to) = to {
            self.inside.push((wire(self.wires.len()), wire(to)));
        }
        self.add_wire(Contact::Shield, Vec::new(), clamps, true);
    }

    fn add_wire(&mut self, name: Contact, ends: Vec<u8>, clamps: u16, shield: bool) {
        let here = self.wires.len();
        if let Some(slot) = self.meant.clamps.get_mut(here) {
            *slot = clamps;
            self.inside.extend(ends.iter().map(|end| (wire(here), ENDS + *end)));
            self.wires.push(Wire { name, ends, shield });
        }
    }

    /// The terminal that a rig means for a coil end, as a bit; none when it has too few terminals.
    fn place(&self, end: CoilEnd) -> u16 {
        let coil = match end.coil {
            CoilName::A => 0,
            CoilName::B => 1,
            CoilName::C => 2,
        };
        let place = coil * 2 + usize::from(end.end == End::Plus);
        if place < self.terminals.len() { 1 << place } else { 0 }
    }

    /// Whether a wire is its pickup's shield, or there is one at all.
    pub fn shield(&self) -> Option<usize> {
        self.shield.map(usize::from)
    }

    /// Whether a wire is at the output's ground in a position, and whether it is at its tip.
    pub fn comes_out(&self, wiring: &Wiring, lead: &LeadName, position: usize) -> Option<[bool; 2]> {
        let here = self.wires.iter().position(|wire| wire.name.is(lead))?;
        let joints = self.joints(wiring, position)?;
        let (ground, tip) = self.positions.get(position)?.output;
        let at = joints.of(wire(here));
        Some([at == joints.of(ground), at == joints.of(tip)])
    }

    /// Whether a wire joins both ends of a coil in a position: of a tapped winding, the part that is shorted dulls the other.
    pub fn shorts_a_part(&self, wiring: &Wiring, position: usize) -> bool {
        let Some(joints) = self.joints(wiring, position).filter(|_| self.tapped) else { return false };
        (0..self.coils.len() as u8).any(|coil| joints.of(ENDS + 2 * coil) == joints.of(ENDS + 2 * coil + 1))
    }

    /// The wire that goes by another one's name when the clamps are these: that of the one that lies in its terminal.
    pub fn by_name(&self, clamps: &[u16; MOST_WIRES], named: usize) -> usize {
        let there = self.meant.clamps.get(named).copied().unwrap_or(0);
        let lies_there = |wire: &usize| clamps[*wire] == there && !self.wires[*wire].shield;
        let found = (0..self.wires.len()).find(lies_there).filter(|_| self.named_by_place && there != 0);
        found.filter(|_| !self.wires[named].shield).unwrap_or(named)
    }

    /// The name of a wire when the clamps are these.
    pub fn name_of(&self, clamps: &[u16; MOST_WIRES], wire: usize) -> Option<&Contact> {
        let named = (0..self.wires.len()).find(|named| self.by_name(clamps, *named) == wire).unwrap_or(wire);
        self.wires.get(named).map(|wire| &wire.name)
    }

    /// In how many positions nothing of the pickup is at the output.
    pub fn silent_positions(&self, wiring: &Wiring) -> usize {
        let silent = |position: &usize| {
            matches!(self.seen(wiring, &RigLook::output(*position)), Some(Seen::Open | Seen::Short) | None)
        };
        (0..self.positions.len()).filter(silent).count()
    }

    /// Whether the pickup can be joined in one way only, because it has one coil or no more than two leads.
    fn one_way_only(&self) -> bool {
        self.coils.len() == 1 || self.wires.iter().filter(|wire| !wire.shield).count() <= 2
    }

    /// The position of fewest joins in which a pickup that can be joined in one way only is put out as in this one, where that
    /// is another. With more leads the same joins may sound otherwise, as where one coil is turned round.
    pub fn same_as(&self, position: usize) -> Option<usize> {
        let seen = |place: usize| self.seen(&self.meant, &RigLook::output(place));
        let here = seen(position).filter(|seen| self.one_way_only() && !matches!(seen, Seen::Open | Seen::Short))?;
        let same = (0..self.positions.len()).filter(|place| seen(*place).as_ref() == Some(&here));
        same.min_by_key(|place| self.positions[*place].joins()).filter(|simplest| *simplest != position)
    }

    /// Whether a mode is none of this pickup's: another one is the same, or it is silent while another is not.
    pub fn is_no_mode_of_it(&self, position: usize) -> bool {
        let silent = |place: usize| {
            matches!(self.seen(&self.meant, &RigLook::output(place)), Some(Seen::Open | Seen::Short) | None)
        };
        self.one_way_only()
            && (self.same_as(position).is_some()
                || (silent(position) && (0..self.positions.len()).any(|place| !silent(place))))
    }

    /// Whether there is a switch to look at: a rig of one mode has none.
    pub fn has_switch(&self) -> bool {
        self.positions.len() > 1
    }

    /// The position that gives this mode.
    pub fn position(&self, mode: &Mode) -> Option<usize> {
        self.positions.iter().position(|position| &position.mode == mode)
    }

    /// What a look sees; nothing for a bridge, which no pickup in a rig makes.
    pub fn seen(&self, wiring: &Wiring, look: &RigLook) -> Option<Seen> {
        let joints = self.joints(wiring, look.position)?;
        let (branches, count, (a, b)) = self.laid_out(wiring, look)?;
        Seen::of(branches.get(..count)?, &joints, a, b)
    }

    /// What is joined with the switch in a position.
    pub fn joints(&self, wiring: &Wiring, position: usize) -> Option<Joints> {
        let mut joints = self.positions.get(position)?.joints;
        self.wired(wiring, |a, b| joints.bond(a, b));
        Some(joints)
    }

    /// The branches and the port of a look.
    pub fn laid_out(&self, wiring: &Wiring, look: &RigLook) -> Option<LaidOut> {
        let position = self.positions.get(look.position)?;
        let mut branches = [Branch { from: NOWHERE, to: NOWHERE, value: 0 }; VALUES];
        let mut count = 0;
        let mut add = |from: Node, to: Node, value: u8| {
            branches[count] = Branch { from, to, value };
            count += 1;
        };
        for coil in 0..self.coils.len() as u8 {
            if wiring.broken & (1 << coil) == 0 {
                add(ENDS + 2 * coil, ENDS + 2 * coil + 1, coil);
            }
        }
        let port = look.port.unwrap_or(position.output);
        if look.body {
            add(port.0, port.1, BODY);
        }
        if look.load {
            add(position.output.0, position.output.1, LOAD);
        }
        if let Some(bad) = wiring.contact
            && let Some(clamps) = wiring.clamps.get(usize::from(bad)).filter(|clamps| **clamps != 0)
        {
            add(wire(usize::from(bad)), terminal(clamps.trailing_zeros() as u8), CONTACT);
        }
        Some((branches, count, port))
    }

    /// What a wiring joins beside the switch and the pickup itself.
    fn wired(&self, wiring: &Wiring, mut bond: impl FnMut(Node, Node)) {
        for (here, clamps) in wiring.clamps.iter().enumerate().take(self.wires.len()) {
            // A bad contact joins nothing by itself: it is a resistance.
            let bad = wiring.contact.is_some_and(|bad| usize::from(bad) == here);
            let mut clamps = if bad { 0 } else { *clamps };
            while clamps != 0 {
                bond(wire(here), terminal(clamps.trailing_zeros() as u8));
                clamps &= clamps - 1;
            }
        }
        let mut bridges = wiring.bridges;
        while bridges != 0 {
            let place = bridges.trailing_zeros() as u8;
            bond(terminal(place), terminal(place + 1));
            bridges &= bridges - 1;
        }
        if let Some(shield) = self.shield {
            for end in 0..2 * self.coils.len() as u8 {
                if wiring.to_shield & (1 << end) != 0 {
                    bond(ENDS + end, WIRES + shield);
                }
            }
        }
    }

    /// What the meter sees by the solver, in ohms; nothing when it is open.
    pub fn solved(&self, wiring: &Wiring, look: &RigLook, values: &[f64; VALUES]) -> Option<f64> {
        let (network, (a, b)) = self.network(wiring, look, values)?;
        network.resistance_between(a, b)
    }

    /// How much of the output each coil's voltage makes, from −1 to 1: plus when its plus end faces the tip. Nothing
    /// when no path joins the output.
    ///
    /// By reciprocity this is the current that one ampere into the tip sends through the coil.
    pub fn shares(&self, wiring: &Wiring, position: usize, values: &[f64; VALUES]) -> Option<Vec<f64>> {
        let (network, (ground, tip)) = self.network(wiring, &RigLook::output(position), values)?;
        let volts = network.driven(tip, ground)?;
        let at = |node: usize| volts.get(node).copied().flatten();
        let first = usize::from(ENDS);
        let shares = (0..self.coils.len()).map(|coil| {
            let across =
                at(first + 2 * coil + 1).zip(at(first + 2 * coil)).map_or(0.0, |(plus, minus)| (plus - minus).re);
            if wiring.broken & (1 << coil) == 0 { across / values[coil] } else { 0.0 }
        });
        Some(shares.collect())
    }

    /// All but the coils in a position: each unbroken coil with the nodes of its minus and its plus end, and the output's two
    /// nodes, ground first.
    pub fn without_coils(
        &self,
        wiring: &Wiring,
        position: usize,
    ) -> Option<(Network, Vec<CoilBetween>, (usize, usize))> {
        let (network, output) = self.joined(wiring, position, None)?;
        let first = usize::from(ENDS);
        let unbroken = (0..self.coils.len()).filter(|coil| wiring.broken & (1 << coil) == 0);
        let coils = unbroken.map(|coil| (self.coils[coil], first + 2 * coil, first + 2 * coil + 1)).collect();
        Some((network, coils, output))
    }

    /// What is joined without resistance in a position, and the two nodes of a port.
    fn joined(
        &self,
        wiring: &Wiring,
        position: usize,
        port: Option<(Node, Node)>,
    ) -> Option<(Network, (usize, usize))> {
        let position = self.positions.get(position)?;
        let (a, b) = port.unwrap_or(position.output);
        let mut network = Network::default();
        for _ in 0..NODES {
            network.node();
        }
        for &(a, b) in self.inside.iter().chain(&position.bonds) {
            network.bond(usize::from(a), usize::from(b));
        }
        self.wired(wiring, |a, b| network.bond(usize::from(a), usize::from(b)));
        Some((network, (usize::from(a), usize::from(b))))
    }

    fn network(&self, wiring: &Wiring, look: &RigLook, values: &[f64; VALUES]) -> Option<(Network, (usize, usize))> {
        let (branches, count, port) = self.laid_out(wiring, look)?;
        let (mut network, port) = self.joined(wiring, look.position, Some(port))?;
        for branch in branches.iter().take(count) {
            network.resistance(usize::from(branch.from), usize::from(branch.to), values[usize::from(branch.value)]);
        }
        Some((network, port))
    }

    /// In a person's words: `coil A and coil B in series`.
    pub fn in_words(&self, seen: &Seen) -> String {
        match seen {
            Seen::Open => "nothing".to_owned(),
            Seen::Short => "a plain wire".to_owned(),
            Seen::One(BODY) => "your body".to_owned(),
            Seen::One(LOAD) => "what is plugged in".to_owned(),
            Seen::One(CONTACT) => "a bad contact".to_owned(),
            Seen::One(coil) if self.tapped => match coil {
                0 => "the winding up to its tap".to_owned(),
                _ => "the winding beyond its tap".to_owned(),
            },
            Seen::Series(parts) if self.tapped && parts.len() == self.coils.len() => "the whole winding".to_owned(),
            Seen::One(coil) => {
                self.coils.get(usize::from(*coil)).map_or_else(String::new, |coil| format!("coil {}", coil.letter()))
            }
            Seen::Series(parts) => format!("{} in series", self.listed(parts)),
            Seen::Parallel(parts) => format!("{} in parallel", self.listed(parts)),
        }
    }

    fn listed(&self, parts: &[Seen]) -> String {
        let words: Vec<String> = parts
            .iter()
            .map(|part| match part {
                Seen::Series(_) | Seen::Parallel(_) => format!("({})", self.in_words(part)),
                Seen::Open | Seen::Short | Seen::One(_) => self.in_words(part),
            })
            .collect();
        crate::record::words::listed(&words)
    }
}

fn clamps_of(name: &Contact, joined: &[Joined], terminals: usize) -> u16 {
    joined
        .iter()
        .filter(|joined| usize::from(joined.terminal) < terminals && joined.leads.iter().any(|lead| lead == name))
        .fold(0, |clamps, joined| clamps | 1 << joined.terminal)
}
