//! What is known of every resistance of an install beforehand: coils, pots, the pickups that stay.

use super::circuit::{InstallCircuit, Value};
use super::controls::POT_WITHIN;
use super::soldered::partitions::{Coils, GROUND, Groups, HOT, LEADS, MOST, groups_of};
use super::{JackCase, ModeWiring, SolderPointKind, Staying};
use crate::meter::expect::known_of;
use crate::meter::{ROOM_WITHIN, copper};
use crate::record::controls::VolumeLayout;
use crate::record::leads::LeadName;
use crate::record::pickup::Pickup;
use crate::record::quantity::{Celsius, Ohms};

/// A pot of which nothing is known is 250 kΩ to 1 MΩ, 500 kΩ most often (common practice).
const UNKNOWN_POT: [f64; 3] = [500e3, 250e3, 1e6];

/// A resistance in this room, in ohms.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct PickupKnown {
    pub likely: f64,
    pub low: f64,
    pub high: f64,
    /// Whether the value was measured or stated; a pot's usual range is neither.
    pub told: bool,
}

/// What is known of each value of a circuit; nothing where nothing is.
pub(super) fn known(install: &JackCase, circuit: &InstallCircuit) -> Vec<Option<PickupKnown>> {
    circuit
        .values
        .iter()
        .map(|value| match value {
            Value::Coil(name) => known_of(install.pickup, *name, install.measured).map(|coil| {
                of_copper([coil.ohms, coil.ohms * (1.0 - coil.within), coil.ohms * (1.0 + coil.within)], install.room)
            }),
            Value::Stays(place) => {
                let staying =
                    circuit.places.get(*place).and_then(|place| install.staying.iter().find(|s| &s.place == place));
                staying.and_then(|staying| of_staying(staying, install)).map(|ohms| of_copper(ohms, install.room))
            }
            Value::Track(pot) => Some(pot_of(volume_of(install, &circuit.pot_name(u8::try_from(*pot).unwrap_or(0))))),
            Value::Tone(pot) => Some(pot_of(tone_of(install, &circuit.pot_name(u8::try_from(*pot).unwrap_or(0))))),
            Value::Above | Value::Below | Value::Joint | Value::Plugged => None,
        })
        .collect()
}

fn of_copper([likely, low, high]: [f64; 3], room: Option<Celsius>) -> PickupKnown {
    let (cold, middle, warm) = match room {
        Some(room) => (room.0, room.0, room.0),
        None => (20.0 - ROOM_WITHIN, 20.0, 20.0 + ROOM_WITHIN),
    };
    let at = |degrees: f64| copper(Celsius(degrees));
    PickupKnown { likely: likely * at(middle), low: low * at(cold), high: high * at(warm), told: true }
}

fn sound(ohms: Option<Ohms>) -> Option<f64> {
    ohms.map(|ohms| ohms.0).filter(|ohms| ohms.is_finite() && *ohms > 0.0)
}

fn pot_of(stated: Option<Ohms>) -> PickupKnown {
    let (range, told) = match sound(stated) {
        Some(ohms) => ([ohms; 3], true),
        None => (UNKNOWN_POT, false),
    };
    let [likely, low, high] = range;
    PickupKnown { likely, low: low * (1.0 - POT_WITHIN), high: high * (1.0 + POT_WITHIN), told }
}

/// The stated volume pot of a place; of the shared one for an empty name.
pub(super) fn volume_of(install: &JackCase, place: &str) -> Option<Ohms> {
    match &install.path.layout {
        VolumeLayout::EachPlace { pots, .. } => pots.iter().find(|pot| pot.place == place).and_then(|pot| pot.volume),
        VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => install.path.volume,
    }
}

fn tone_of(install: &JackCase, place: &str) -> Option<Ohms> {
    match &install.path.layout {
        VolumeLayout::EachPlace { pots, .. } => pots.iter().find(|pot| pot.place == place).and_then(|pot| pot.tone),
        VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => install.path.tone,
    }
}

/// What a pickup that stays reads by itself at 20 °C: likely, least, most, in ohms.
fn of_staying(staying: &Staying, install: &JackCase) -> Option<[f64; 3]> {
    if let Some(reads) = sound(staying.reads) {
        if let Some([low, high]) = staying.reads_between
            && low.0 > 0.0
            && low.0 <= reads
            && high.0 >= reads
            && high.0.is_finite()
        {
            return Some([reads, low.0, high.0]);
        }
        let claim = install.meter.claim(Ohms(reads)).0.min(reads * 0.5);
        return Some([reads, reads - claim, reads + claim]);
    }
    let pickup = staying.pickup.as_ref()?;
    let coils: Option<Vec<[f64; 3]>> = pickup
        .coils
        .iter()
        .map(|coil| {
            let coil = known_of(pickup, coil.name, &staying.measured)?;
            Some([coil.ohms, coil.ohms * (1.0 - coil.within), coil.ohms * (1.0 + coil.within)])
        })
        .collect();
    let coils = coils?;
    match (&staying.wired, coils.as_slice()) {
        (Some(wired), _) => {
            let groups = groups_of_mode(pickup, wired)?;
            let solved = Coils::new(pickup);
            let at = |which: usize| {
                let ohms: Vec<f64> = coils.iter().map(|coil| coil[which]).collect();
                solved.solve_with(&groups, &ohms).map(|does| does.ohms).filter(|ohms| ohms.is_finite() && *ohms > 0.0)
            };
            Some([at(0)?, at(1)?, at(2)?])
        }
        (None, [one]) => Some(*one),
        (None, _) => None,
    }
}

/// How a mode joins ground, hot and leads; nothing for a pickup with more leads than are looked at.
pub(super) fn groups_of_mode(pickup: &Pickup, wiring: &ModeWiring) -> Option<Groups> {
    let thing = |name: &LeadName| pickup.leads.iter().position(|lead| &lead.name == name).map(|lead| LEADS + lead);
    let count = LEADS + pickup.leads.len();
    if count > MOST {
        return None;
    }
    let with = |first: usize, leads: &[LeadName]| -> Vec<usize> {
        std::iter::once(first).chain(leads.iter().filter_map(thing)).collect()
    };
    let mut sets = vec![with(GROUND, &wiring.ground), with(HOT, &wiring.hot)];
    sets.extend(wiring.joined.iter().map(|leads| leads.iter().filter_map(thing).collect::<Vec<usize>>()));
    Some(groups_of(count, &sets))
}

/// How each position of a wiring's switch joins ground, hot and leads, read off its points, wires and contacts.
pub(super) fn groups_in(install: &JackCase, position: usize) -> Option<Groups> {
    let (pickup, wiring) = (install.pickup, install.wiring);
    let count = LEADS + pickup.leads.len();
    if count > MOST {
        return None;
    }
    let mut of: Vec<usize> = (0..wiring.points.len()).collect();
    let mut join = |a: u8, b: u8| {
        let (Some(a), Some(b)) = (of.get(usize::from(a)).copied(), of.get(usize::from(b)).copied()) else { return };
        for other in &mut of {
            if *other == a.max(b) {
                *other = a.min(b);
            }
        }
    };
    for [a, b] in &wiring.jumpers {
        join(*a, *b);
    }
    // What the new pickup puts out against the hot that it stands on.
    let row = wiring.selector.as_ref().and_then(|by| by.row.as_ref()).filter(|row| row.upper == install.place);
    let beside = wiring.points.iter().position(|point| matches!(point.kind, SolderPointKind::Beside { .. }));
    if let Some(beside) = row.and(beside).and_then(|beside| u8::try_from(beside).ok()) {
        join(1, beside);
    }
    for set in &wiring.positions.get(position)?.joined {
        set.windows(2).for_each(|pair| join(pair[0], pair[1]));
    }
    let things = |point: usize| {
        let leads = wiring.points[point].leads.iter();
        let leads = leads.filter_map(|name| pickup.leads.iter().position(|lead| name.is(&lead.name)));
        // Hot and ground are the first two of the points.
        [HOT, GROUND].get(point).copied().into_iter().chain(leads.map(|lead| LEADS + lead)).collect::<Vec<usize>>()
    };
    let sets: Vec<Vec<usize>> = (0..of.len())
        .map(|group| (0..of.len()).filter(|point| of[*point] == group).flat_map(things).collect())
        .collect();
    Some(groups_of(count, &sets))
}
