//! Pickups and rigs by chance: constructions, joins, shields and frames on a lead, switches.

use solderlast_core::physics::meter::Joined;
use solderlast_core::record::pickup::{
    Coil, CoilEnd, CoilName, Construction, End, Lead, Pickup, Polarity, Shield, ShieldKind,
};
use solderlast_core::record::quantity::Ohms;
use solderlast_core::record::rig::{Mode, Rig, SwitchPosition};

use crate::Chance;

/// How a pickup may be built.
pub const CONSTRUCTIONS: [Construction; 7] = [
    Construction::SingleCoil,
    Construction::Stacked,
    Construction::SideBySide,
    Construction::SoapBar,
    Construction::Rail,
    Construction::Mini,
    Construction::TappedCoil,
];

const NAMES: [&str; 6] = ["moss", "rust", "slate", "chalk", "plum", "sand"];

/// A pickup of one to three coils, some ends of which are joined inside or share a lead, with or without a shield and a frame;
/// or one winding with one or two taps.
pub fn pickup(chance: &mut Chance) -> Pickup {
    let construction = chance.of(&CONSTRUCTIONS);
    let coils = match construction {
        Construction::SingleCoil => 1,
        Construction::TappedCoil => chance.of(&[2, 2, 3]),
        _ => chance.of(&[1, 2, 2, 2, 3]),
    };
    let stack = chance.of(&[Some(Polarity::North), Some(Polarity::South), None]);
    let told = chance.below(4) > 0;
    let coils: Vec<Coil> = CoilName::ALL[..coils]
        .iter()
        .map(|name| Coil {
            name: *name,
            stated: told.then(|| Ohms((1500 + chance.below(9000)) as f64)),
            magnet_up: match construction {
                Construction::Stacked | Construction::TappedCoil => stack,
                _ => chance.of(&[Some(Polarity::North), Some(Polarity::South), Some(Polarity::South), None]),
            },
        })
        .collect();
    // Some ends are joined in pairs, with a lead or without; every other end has a lead.
    let mut ends: Vec<CoilEnd> =
        coils.iter().flat_map(|coil| [End::Minus, End::Plus].map(|end| CoilEnd { coil: coil.name, end })).collect();
    let (mut leads, mut joined_inside): (Vec<Vec<CoilEnd>>, Vec<Vec<CoilEnd>>) = (Vec::new(), Vec::new());
    let winding = if construction == Construction::TappedCoil { 0 } else { coils.len() };
    // The parts of a winding follow each other, with a lead where one ends and the next begins.
    if winding == 0 {
        for pair in coils.windows(2) {
            let tap =
                [(&pair[0], End::Plus), (&pair[1], End::Minus)].map(|(coil, end)| CoilEnd { coil: coil.name, end });
            ends.retain(|end| !tap.contains(end));
            leads.push(tap.to_vec());
        }
    }
    for _ in 1..winding {
        let one = ends[chance.below(ends.len())];
        let others: Vec<CoilEnd> = ends.iter().copied().filter(|other| other.coil != one.coil).collect();
        if chance.flip() || others.is_empty() {
            continue;
        }
        let other = chance.of(&others);
        ends.retain(|end| *end != one && *end != other);
        if chance.flip() { leads.push(vec![one, other]) } else { joined_inside.push(vec![one, other]) }
    }
    leads.extend(ends.into_iter().map(|end| vec![end]));
    for at in (1..leads.len()).rev() {
        leads.swap(at, chance.below(at + 1));
    }
    let leads: Vec<Lead> = NAMES.iter().zip(leads).map(|(name, ends)| Lead { name: (*name).into(), ends }).collect();
    let on = |chance: &mut Chance| chance.flip().then(|| chance.of(&leads).name);
    let kind = chance.of(&[ShieldKind::None, ShieldKind::BareWire, ShieldKind::Braid]);
    let joined_to = if kind == ShieldKind::None { None } else { on(chance) };
    let frame_joined_to = if chance.below(3) == 0 { on(chance).map(Into::into) } else { None };
    let shield = Shield { kind, joined_to };
    Pickup { coils, leads, joined_inside, shield, frame_joined_to, ..Pickup::new("By chance", construction) }
}

/// The usual rig, or one with a switch of its own.
pub fn rig(chance: &mut Chance) -> Rig {
    let mut rig = Rig::four_terminal("Bench bridge");
    if chance.flip() {
        return rig;
    }
    let terminals = 2 + chance.below(5);
    rig.terminals = (1..=terminals).map(|name| name.to_string()).collect();
    let one = |chance: &mut Chance| u8::try_from(chance.below(terminals)).unwrap_or(0);
    rig.positions = ["parallel", "single", "series", "other"][..1 + chance.below(4)]
        .iter()
        .map(|mode| {
            let bonds = (0..chance.below(3)).map(|_| vec![one(chance), one(chance)]).collect();
            let ground = one(chance);
            let tip = (ground + 1 + u8::try_from(chance.below(terminals - 1)).unwrap_or(0)) % terminals as u8;
            SwitchPosition { mode: Mode::new(*mode), bonds, output: [ground, tip] }
        })
        .collect();
    rig
}

/// Each lead in some terminal, or in none.
pub fn anyhow(chance: &mut Chance, pickup: &Pickup, rig: &Rig) -> Vec<Joined> {
    let mut joined: Vec<Joined> = Vec::new();
    for lead in &pickup.leads {
        let terminal = u8::try_from(chance.below(rig.terminals.len())).unwrap_or(0);
        if chance.below(8) == 0 {
            continue;
        }
        match joined.iter_mut().find(|here| here.terminal == terminal) {
            Some(here) => here.leads.push(lead.name.clone().into()),
            None => joined.push(Joined { terminal, leads: vec![lead.name.clone().into()] }),
        }
    }
    joined
}
