//! Which terminal each lead goes into: all ways to put a pickup's leads into a rig's terminals, and the best of them.

use super::conditions;
use crate::leads::sound::{Phase, adds, shares_magnets};
use crate::meter::Joined;
use crate::meter::circuit::RigCircuit;
use crate::record::leads::{Contact, LeadName};
use crate::record::pickup::{CoilEnd, CoilName, Construction, End, Pickup, ShieldKind};
use crate::record::rig::Rig;

/// With more ways than this to put the leads in, only those are tried in which each coil has a pair of neighbours.
const MOST_WAYS: usize = 150;
/// More pairs than a rig has.
const NOWHERE: usize = 1000;

/// The leads in each terminal, where the pickup sounds best. The rig's own order comes first, so that of equals the plainest
/// is taken: coils turned or exchanged only where that brings something.
pub(super) fn best(pickup: &Pickup, rig: &Rig) -> Vec<Joined> {
    let choices = choices(pickup);
    let worth = |joined: Vec<Joined>| (Worth::of(pickup, rig, &joined), joined);
    // The first of equals is the plainest.
    let better = |one: (Worth, Vec<Joined>), other: (Worth, Vec<Joined>)| if other.0 > one.0 { other } else { one };
    let usual = [false, true].into_iter().flat_map(|turned| {
        let place = move |end: CoilEnd| usual(pickup, end, turned);
        choices.iter().map(move |second| joined(pickup, rig, &place, *second))
    });
    let best = usual.map(worth).reduce(better);
    let best = match best {
        Some((worth, joined)) if worth.is_whole(pickup, rig, &joined) => return joined,
        best => best,
    };
    let further = further(pickup, rig).into_iter().flat_map(|way| way.leads(pickup, rig, &choices));
    let best = best.into_iter().chain(further.map(worth)).reduce(better);
    best.map_or_else(Vec::new, |(_, joined)| joined)
}

fn index(coil: CoilName) -> usize {
    match coil {
        CoilName::A => 0,
        CoilName::B => 1,
        CoilName::C => 2,
    }
}

/// The terminal for a coil end: minus before plus, coil after coil, the lower coil of a stack the other way round.
fn usual(pickup: &Pickup, end: CoilEnd, turned: bool) -> usize {
    let lower = pickup.construction == Construction::Stacked && end.coil == CoilName::B;
    let plus = (end.end == End::Plus) != (turned != lower);
    index(end.coil) * 2 + usize::from(plus)
}

/// Every subset of the leads that could go to either of two terminals.
fn choices(pickup: &Pickup) -> Vec<u8> {
    let shared: u8 =
        (0_u8..8).zip(&pickup.leads).filter(|(_, lead)| lead.ends.len() > 1).fold(0, |mask, (at, _)| mask | 1 << at);
    let (mut choices, mut second) = (Vec::new(), 0_u8);
    loop {
        choices.push(second);
        second = second.wrapping_sub(shared) & shared;
        if second == 0 {
            return choices;
        }
    }
}

/// The leads where their ends go. `second` says of which leads the second end counts and not the first.
fn joined(pickup: &Pickup, rig: &Rig, terminal: &dyn Fn(CoilEnd) -> usize, second: u8) -> Vec<Joined> {
    let mut block = Block::new(rig);
    for (at, lead) in pickup.leads.iter().enumerate() {
        let second = at < 8 && second & (1 << at) != 0;
        let end = if second { lead.ends.get(1) } else { lead.ends.first() };
        if let Some(end) = end {
            block.put(terminal(*end), Contact::from(&lead.name));
        }
    }
    // No lead stays off beside an empty terminal.
    for point in points(pickup) {
        let names = || point.iter().map(|lead| &pickup.leads[*lead].name);
        if let Some(empty) = block.empty().filter(|_| !names().any(|name| block.has(name))) {
            names().for_each(|name| block.put(empty, Contact::from(name)));
        }
    }
    block.with_shield(pickup, rig)
}

/// Leads that are joined inside, or that are the same coil end, as one point each.
fn points(pickup: &Pickup) -> Vec<Vec<usize>> {
    let mut points: Vec<Vec<usize>> = Vec::new();
    for (at, lead) in pickup.leads.iter().enumerate().filter(|(_, lead)| !lead.ends.is_empty()) {
        let same = |other: &&mut Vec<usize>| {
            other.iter().any(|other| pickup.leads[*other].ends.iter().any(|end| lead.ends.contains(end)))
        };
        match points.iter_mut().find(same) {
            Some(point) => point.push(at),
            None => points.push(vec![at]),
        }
    }
    points
}

fn by_points(pickup: &Pickup, rig: &Rig, terminals: &[Option<usize>]) -> Vec<Joined> {
    let mut block = Block::new(rig);
    for (point, terminal) in points(pickup).iter().zip(terminals) {
        for lead in point {
            if let Some(terminal) = terminal {
                block.put(*terminal, Contact::from(&pickup.leads[*lead].name));
            }
        }
    }
    block.with_shield(pickup, rig)
}

/// A rig's terminals, and what is put into them.
struct Block {
    count: usize,
    joined: Vec<Joined>,
}

impl Block {
    fn new(rig: &Rig) -> Self {
        Self { count: rig.terminals.len(), joined: Vec::new() }
    }

    fn put(&mut self, terminal: usize, lead: Contact) {
        let Some(terminal) = u8::try_from(terminal).ok().filter(|here| usize::from(*here) < self.count) else { return };
        match self.joined.iter_mut().find(|here| here.terminal == terminal) {
            Some(here) => here.leads.push(lead),
            None => self.joined.push(Joined { terminal, leads: vec![lead] }),
        }
    }

    fn has(&self, lead: &LeadName) -> bool {
        self.joined.iter().any(|here| here.leads.iter().any(|other| other.is(lead)))
    }

    /// The first terminal with nothing in it.
    fn empty(&self) -> Option<usize> {
        (0..self.count).find(|terminal| self.joined.iter().all(|here| usize::from(here.terminal) != *terminal))
    }

    /// A shield that is joined to a lead inside needs no terminal of its own.
    fn with_shield(mut self, pickup: &Pickup, rig: &Rig) -> Vec<Joined> {
        if pickup.shield.kind != ShieldKind::None
            && pickup.shield.joined_to.is_none()
            && let Some(position) = rig.positions.first()
        {
            self.put(usize::from(position.output[0]), Contact::Shield);
        }
        self.joined.sort_by_key(|here| here.terminal);
        self.joined
    }
}

/// Another way to put the leads in.
enum Further {
    /// Each coil in a pair of neighbours, by its place in the order, some of them turned.
    Pairs { pairs: Vec<usize>, turned: u8 },
    /// Each coil from one terminal to the next, so that neighbours share one; by its place in the row, some of them turned.
    Row { places: Vec<usize>, turned: u8 },
    /// Each point in a terminal of its own; none where there are too few.
    Leads(Vec<Option<usize>>),
}

impl Further {
    fn leads(self, pickup: &Pickup, rig: &Rig, choices: &[u8]) -> Vec<Vec<Joined>> {
        match self {
            Self::Pairs { pairs, turned } => {
                let place = |end: CoilEnd| {
                    let coil = index(end.coil);
                    let plus = (end.end == End::Plus) != (turned >> coil & 1 == 1);
                    2 * pairs.get(coil).copied().unwrap_or(NOWHERE) + usize::from(plus)
                };
                choices.iter().map(|second| joined(pickup, rig, &place, *second)).collect()
            }
            Self::Row { places, turned } => {
                let place = |end: CoilEnd| {
                    let coil = index(end.coil);
                    let plus = (end.end == End::Plus) != (turned >> coil & 1 == 1);
                    places.get(coil).copied().unwrap_or(NOWHERE) + usize::from(plus)
                };
                choices.iter().map(|second| joined(pickup, rig, &place, *second)).collect()
            }
            Self::Leads(terminals) => vec![by_points(pickup, rig, &terminals)],
        }
    }
}

fn further(pickup: &Pickup, rig: &Rig) -> Vec<Further> {
    let (points, terminals) = (points(pickup).len(), rig.terminals.len());
    let coils = pickup.coils.len().min(3);
    let mut ways: Vec<Further> = Vec::new();
    for pairs in placings(coils, terminals.div_ceil(2)) {
        for turned in 0..1 << coils {
            // A coil for which there is no pair left stays off.
            let pairs = pairs.iter().map(|pair| pair.unwrap_or(NOWHERE)).collect();
            ways.push(Further::Pairs { pairs, turned });
        }
    }
    // A block with a terminal for the joint of two coils has too few for both ends of each.
    if coils > 1 && (coils + 1..2 * coils).contains(&terminals) {
        for places in placings(coils, coils) {
            for turned in 0..1 << coils {
                ways.push(Further::Row {
                    places: places.iter().map(|place| place.unwrap_or(NOWHERE)).collect(),
                    turned,
                });
            }
        }
    }
    let many = (0..points.min(terminals)).fold(1_usize, |many, at| many.saturating_mul(points.max(terminals) - at));
    if many <= MOST_WAYS {
        ways.extend(placings(points, terminals).into_iter().map(Further::Leads));
    }
    ways
}

/// Every way to give things a place of their own; where there are fewer places than things, every place is taken.
fn placings(things: usize, places: usize) -> Vec<Vec<Option<usize>>> {
    fn grow(
        things: usize,
        places: usize,
        off: usize,
        so_far: &mut Vec<Option<usize>>,
        all: &mut Vec<Vec<Option<usize>>>,
    ) {
        if so_far.len() == things {
            all.push(so_far.clone());
            return;
        }
        for place in (0..places).map(Some).chain([None]) {
            let taken = place.is_some() && so_far.contains(&place);
            let off_now = off + usize::from(place.is_none());
            if !taken && off_now <= things.saturating_sub(places) {
                so_far.push(place);
                grow(things, places, off_now, so_far, all);
                so_far.pop();
            }
        }
    }
    let mut all = Vec::new();
    grow(things, places, 0, &mut Vec::new(), &mut all);
    all
}

/// What a hookup is worth, the weightiest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
struct Worth {
    /// Coils heard in all modes, less what is silent or works against itself.
    strings: i32,
    /// Modes in which coils that share their magnets cancel their hum: there hum leads.
    stack: i32,
    /// How often a lead that shield or frame is joined to is at the sleeve.
    ground: i32,
    /// How often it is not, and carries the signal.
    live: i32,
}

impl Worth {
    fn of(pickup: &Pickup, rig: &Rig, joined: &[Joined]) -> Self {
        let circuit = RigCircuit::new(pickup, joined, rig);
        let stacked = shares_magnets(pickup.construction);
        let mut worth = Self { strings: 0, stack: 0, ground: 0, live: 0 };
        for position in 0..circuit.positions.len() {
            let sound = conditions(pickup, &circuit, position, None);
            let shorted = circuit.shorts_a_part(&circuit.meant, position);
            worth.strings += match sound.strings {
                Phase::OneCoil | Phase::InPhase if shorted => -1,
                Phase::Silent => -1,
                Phase::OutOfPhase => -3,
                Phase::OneCoil | Phase::InPhase => i32::try_from(sound.hears.len()).unwrap_or(0),
            };
            if sound.strings == Phase::Silent {
                continue;
            }
            if stacked && sound.hears.len() > 1 && sound.hum.left().is_some_and(|left| !adds(left)) {
                worth.stack += 1;
            }
            for (_, lead) in pickup.joined_to_leads() {
                match circuit.comes_out(&circuit.meant, lead, position) {
                    Some([true, _]) => worth.ground += 1,
                    Some([false, true]) => worth.live -= 1,
                    Some([false, false]) | None => {}
                }
            }
        }
        worth
    }

    /// Whether nothing is left to be wished for.
    fn is_whole(&self, pickup: &Pickup, rig: &Rig, joined: &[Joined]) -> bool {
        let circuit = RigCircuit::new(pickup, joined, rig);
        let positions = 0..circuit.positions.len();
        let shared = shares_magnets(pickup.construction);
        let sounds = positions.clone().all(|position| {
            let sound = conditions(pickup, &circuit, position, None);
            let hums = shared && sound.hears.len() > 1 && sound.hum.left().is_none_or(adds);
            match sound.strings {
                Phase::Silent | Phase::OutOfPhase => false,
                Phase::OneCoil | Phase::InPhase => !hums,
            }
        });
        let bound = positions.len() * pickup.joined_to_leads().len();
        sounds && usize::try_from(self.ground).is_ok_and(|ground| ground == bound)
    }
}
