//! An installed pickup as a circuit: its leads on their points, the mode switch, the pots, the selector, the pickups that
//! stay, the jack.
//!
//! One description serves all: readings to expect are solved as a network, causes are compared by what a port sees.

mod joint;
mod row;
mod sounds;
mod walked;

pub(super) use joint::{Carried, Joint};
use row::Row;
pub(super) use sounds::{AtJack, Sounds, Together};

use super::{JackCase, SignalPath, SolderPointKind};
use crate::network::{Joints, Node};
use crate::record::controls::{TrackWiring, VolumeLayout};
use crate::record::leads::Contact;
use crate::record::pickup::{CoilEnd, CoilName, End, Lead, Pickup, ShieldKind};
use crate::record::wiring::Volumes;

/// The most of each that is looked at.
pub(super) const MOST_PLACES: usize = 5;
const MOST_POINTS: usize = 30;
const MOST_WIRES: usize = 8;
const MOST_COILS: usize = 3;

/// Nodes.
pub(super) const TIP: Node = Node(0);
pub(super) const SLEEVE: Node = Node(1);
pub(super) const GROUND: Node = Node(2);
/// Where the selector puts out, before a shared volume.
pub(super) const OUT: Node = Node(3);
const SHARED_WIPER: Node = Node(4);
/// By place: where the pickup is soldered, the selector's lug, the end of its track, its wiper.
const HOTS: Node = Node(5);
const LUGS: Node = HOTS.on(MOST_PLACES);
const TOPS: Node = LUGS.on(MOST_PLACES);
const WIPERS: Node = TOPS.on(MOST_PLACES);
/// By pot: its case.
const CASES: Node = WIPERS.on(MOST_PLACES);
/// By pot: the lug of its track that is at ground.
const EARTHS: Node = CASES.on(MOST_PLACES);
/// By place: the ground end of a pickup that stays.
const GROUNDS: Node = EARTHS.on(MOST_PLACES);
/// The bridge, and with it the strings.
pub(super) const BRIDGE: Node = GROUNDS.on(MOST_PLACES);
const POINTS: Node = BRIDGE.on(1);
const WIRES: Node = POINTS.on(MOST_POINTS);
const ENDS: Node = WIRES.on(MOST_WIRES);
const NODES: usize = ENDS.0 as usize + 2 * MOST_COILS;

/// Bonds among the nodes.
pub(super) type Bonds = Joints<NODES>;

/// A wire that is soldered to nothing.
pub(super) const NOWHERE: u8 = u8::MAX;
/// The places of the wiring's list of points at which hot and ground stand.
pub(super) const HOT_POINT: u8 = 0;
pub(super) const GROUND_POINT: u8 = 1;

/// A resistance of the circuit, by its place in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Value {
    /// A coil of the new pickup.
    Coil(CoilName),
    /// The pickup at a place.
    Stays(usize),
    /// The track of a pot.
    Track(usize),
    /// A tone pot, where its capacitor conducts.
    Tone(usize),
    /// The parts of a track above and below a wiper that is not at an end.
    Above,
    Below,
    /// What a poor joint has of its own.
    Joint,
    /// What is plugged into the guitar: an amplifier's input, or a cable.
    Plugged,
}

/// A lead or the shield of the new pickup.
#[derive(Debug, Clone)]
pub(super) struct Wire {
    pub name: Contact,
    ends: Vec<u8>,
    pub shield: bool,
}

/// What can differ from the plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Made {
    /// The point that each wire is on.
    pub on: [u8; MOST_WIRES],
    /// A joint that is open, and one that has a resistance of its own.
    pub open: Option<Joint>,
    pub poor: Option<Joint>,
    /// What hangs on the case of a pot that is not grounded.
    pub carried: Carried,
    /// Hot and ground of the new pickup exchanged; tip and sleeve exchanged, or touching.
    pub turned: bool,
    pub jack_turned: bool,
    pub jack_shorted: bool,
    /// A node that touches ground.
    pub to_ground: Option<Node>,
    /// Open coils, pots wired backwards and conducting capacitors, a bit each.
    pub broken: u8,
    pub backwards: u8,
    pub conducts: u8,
    /// Two places on each other's lug of the selector.
    pub exchanged: Option<(u8, u8)>,
    /// A place whose pickup is on the new one's lug.
    pub shares: Option<u8>,
    /// The selector's free pole is wired from its other end.
    pub mirrored: bool,
}

/// Where and how a meter looks.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) struct JackLook {
    pub selector: u8,
    pub switch: u8,
    pub knobs: Knobs,
    pub port: (Node, Node),
    /// Whether a volume that should be at full is not quite there.
    pub not_full: bool,
    /// Whether something is plugged into the guitar beside the meter.
    pub plugged: bool,
}

/// Where the volumes stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Knobs {
    Full,
    Zero,
    Half,
    ZeroOf(u8),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Knob {
    Full,
    Zero,
    Between,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Layout {
    Shared,
    Each(TrackWiring),
    NoVolume,
}

/// An installed pickup.
#[derive(Debug, Clone)]
pub(super) struct InstallCircuit {
    pub coils: Vec<CoilName>,
    pub wires: Vec<Wire>,
    /// The names of the points.
    pub points: Vec<String>,
    pub jumpers: Vec<[u8; 2]>,
    /// For each position of the mode switch, or of the selector where that is it, its name and the points it joins.
    pub switch: Vec<(String, Vec<(u8, u8)>)>,
    /// Whether the selector is the mode switch, and the pickups that stand in a row in one of its positions.
    pub by_selector: bool,
    pub row: Option<Row>,
    /// The places that hold a pickup; the new one is the first.
    pub places: Vec<String>,
    /// For each position of the selector, its name and the places it puts out.
    pub selector: Vec<(String, Vec<u8>)>,
    pub values: Vec<Value>,
    pub planned: Made,
    all_joints: Vec<Joint>,
    inside: Vec<(Node, Node)>,
    layout: Layout,
    tones: u8,
    /// Points that are insulated ends, a bit each.
    insulated: u32,
}

pub(super) fn point(place: u8) -> Node {
    POINTS + place
}

pub(super) fn wire(place: u8) -> Node {
    WIRES + place
}

pub(super) fn case(pot: u8) -> Node {
    CASES + pot
}

/// How the volumes are wired, how many pots there are, and at which of them a tone pot hangs, a bit each.
fn volumes(path: &SignalPath, places: &[String]) -> (Layout, usize, u8) {
    match &path.layout {
        VolumeLayout::Shared {} => (Layout::Shared, 1, u8::from(path.tone.is_some())),
        VolumeLayout::NoVolume {} => (Layout::NoVolume, 0, 0),
        VolumeLayout::EachPlace { track, pots } => {
            let with_tone = |place: &String| pots.iter().any(|pot| &pot.place == place && pot.tone.is_some());
            let tones =
                (0_u8..).zip(places).filter(|(_, place)| with_tone(place)).fold(0, |mask, (at, _)| mask | 1 << at);
            (Layout::Each(*track), places.len(), tones)
        }
    }
}

/// Every resistance of an install, in the order in which they are solved for.
fn values(coils: &[CoilName], places: usize, pots: usize, tones: u8) -> Vec<Value> {
    let mut values: Vec<Value> = coils.iter().copied().map(Value::Coil).collect();
    values.extend((1..places).map(Value::Stays));
    values.extend((0..pots).map(Value::Track));
    values.extend((0..pots).filter(|pot| tones & (1 << pot) != 0).map(Value::Tone));
    if pots > 0 {
        values.extend([Value::Above, Value::Below]);
    }
    values.extend([Value::Joint, Value::Plugged]);
    values
}

/// The leads of the new pickup, and its shield where it hangs on none of them.
fn wires(pickup: &Pickup, end_of: impl Fn(&CoilEnd) -> Option<u8>) -> Vec<Wire> {
    let of = |lead: &Lead| Wire {
        name: Contact::from(&lead.name),
        ends: lead.ends.iter().filter_map(&end_of).collect(),
        shield: false,
    };
    let mut wires: Vec<Wire> = pickup.leads.iter().take(MOST_WIRES - 1).map(of).collect();
    if pickup.shield.kind != ShieldKind::None && pickup.shield.joined_to.is_none() {
        wires.push(Wire { name: Contact::Shield, ends: Vec::new(), shield: true });
    }
    wires
}

impl Made {
    /// Nothing that differs from the plan.
    fn as_planned(on: [u8; MOST_WIRES]) -> Self {
        Self {
            on,
            open: None,
            poor: None,
            carried: Carried::default(),
            turned: false,
            jack_turned: false,
            jack_shorted: false,
            to_ground: None,
            broken: 0,
            backwards: 0,
            conducts: 0,
            exchanged: None,
            shares: None,
            mirrored: false,
        }
    }
}

impl InstallCircuit {
    pub fn new(install: &JackCase) -> Self {
        let pickup = install.pickup;
        let coils: Vec<CoilName> = pickup.coils.iter().map(|coil| coil.name).take(MOST_COILS).collect();
        let end_of = |end: &CoilEnd| {
            let coil = coils.iter().position(|name| *name == end.coil)?;
            u8::try_from(coil * 2 + usize::from(end.end == End::Plus)).ok()
        };
        let wires = wires(pickup, end_of);
        let points = &install.wiring.points;
        let mut on = [NOWHERE; MOST_WIRES];
        for (wire, on) in wires.iter().zip(&mut on) {
            let here = points.iter().take(MOST_POINTS).position(|point| point.leads.contains(&wire.name));
            *on = here.and_then(|here| u8::try_from(here).ok()).unwrap_or(NOWHERE);
        }
        let mut places = vec![install.place.to_owned()];
        for staying in install.staying {
            if places.len() < MOST_PLACES && !places.contains(&staying.place) {
                places.push(staying.place.clone());
            }
        }
        let number = |name: &String| places.iter().position(|place| place == name).and_then(|p| u8::try_from(p).ok());
        let selector = install
            .path
            .positions
            .iter()
            .map(|position| (position.name.clone(), position.places.iter().filter_map(number).collect()))
            .collect();
        let (layout, pots, tones) = volumes(install.path, &places);
        let values = values(&coils, places.len(), pots, tones);
        let inside = pickup.joined_inside.iter().flat_map(|joined| {
            let ends: Vec<u8> = joined.iter().filter_map(end_of).collect();
            ends.windows(2).map(|pair| (ENDS + pair[0], ENDS + pair[1])).collect::<Vec<_>>()
        });
        let inside =
            inside
                .chain((0_u8..).zip(&wires).flat_map(|(at, wire)| {
                    wire.ends.iter().map(move |end| (WIRES + at, ENDS + *end)).collect::<Vec<_>>()
                }))
                .collect();
        let insulated = (0_u32..)
            .zip(points.iter().take(MOST_POINTS))
            .filter(|(_, point)| matches!(point.kind, SolderPointKind::Insulated {}))
            .fold(0, |mask, (at, _)| mask | 1 << at);
        let there = |point: &u8| usize::from(*point) < points.len().min(MOST_POINTS);
        let row = install.wiring.selector.as_ref().and_then(|by| Row::of(by.row.as_ref()?, &places, install));
        let switch = install
            .wiring
            .positions
            .iter()
            .map(|position| {
                let pairs = position.joined.iter().flat_map(|set| {
                    let set: Vec<u8> = set.iter().copied().filter(there).collect();
                    set.windows(2).map(|pair| (pair[0], pair[1])).collect::<Vec<_>>()
                });
                (position.name.clone(), pairs.collect())
            })
            .collect();
        let mut circuit = Self {
            points: points.iter().take(MOST_POINTS).map(|point| point.name.clone()).collect(),
            jumpers: install.wiring.jumpers.iter().filter(|pair| pair.iter().all(there)).copied().collect(),
            planned: Made::as_planned(on),
            coils,
            wires,
            switch,
            places,
            selector,
            values,
            inside,
            layout,
            tones,
            insulated,
            by_selector: install.wiring.selector.is_some(),
            row,
            all_joints: Vec::new(),
        };
        circuit.all_joints = circuit.listed_joints();
        circuit
    }

    /// How many volume pots there are.
    pub fn pots(&self) -> u8 {
        match self.layout {
            Layout::Shared => 1,
            Layout::Each(_) => u8::try_from(self.places.len()).unwrap_or(0),
            Layout::NoVolume => 0,
        }
    }

    /// Whether there is one volume for all places.
    pub fn is_shared(&self) -> bool {
        self.layout == Layout::Shared
    }

    /// Whether one volume at zero leaves the other pickups be.
    pub fn is_independent(&self) -> bool {
        self.layout == Layout::Each(TrackWiring::PickupOnWiper)
    }

    /// Whether it is known what a volume does that is not at full.
    pub fn is_told(&self) -> bool {
        self.layout != Layout::Each(TrackWiring::NotKnown)
    }

    /// Whether a point is the insulated end of a lead.
    pub fn is_insulated(&self, point: u8) -> bool {
        self.insulated & (1 << point) != 0
    }

    /// Whether anything is soldered to a point.
    pub fn is_used(&self, point: u8) -> bool {
        point == HOT_POINT
            || point == GROUND_POINT
            || (!self.is_insulated(point)
                && (self.planned.on.contains(&point) || self.jumpers.iter().flatten().any(|other| *other == point)))
    }

    /// Whether exchanging two leads turns the whole pickup round: one lead on the hot and one on ground.
    pub fn is_turned_by_two_leads(&self) -> bool {
        let on = |point: u8| {
            let leads = self.wires.iter().zip(&self.planned.on).filter(|(wire, on)| !wire.shield && **on == point);
            leads.count()
        };
        let wired = self.jumpers.iter().flatten().any(|point| *point == HOT_POINT || *point == GROUND_POINT);
        !wired && on(HOT_POINT) == 1 && on(GROUND_POINT) == 1
    }

    /// Whether a selector position puts out the new pickup.
    pub fn hears_new(&self, selector: &str) -> bool {
        self.selector.iter().any(|(name, places)| name == selector && places.contains(&0))
    }

    /// Whether a pot has a tone with it.
    pub fn has_tone(&self, pot: u8) -> bool {
        self.tones & (1 << pot) != 0
    }

    /// The name of a pot's place; empty for the shared one.
    pub fn pot_name(&self, pot: u8) -> String {
        if self.is_shared() {
            return String::new();
        }
        self.places.get(usize::from(pot)).cloned().unwrap_or_default()
    }

    pub fn value(&self, value: Value) -> Option<u8> {
        self.values.iter().position(|other| *other == value).and_then(|at| u8::try_from(at).ok())
    }

    pub fn selector_position(&self, name: &str) -> Option<u8> {
        self.selector.iter().position(|(other, _)| other == name).and_then(|at| u8::try_from(at).ok())
    }

    /// The mode switch's positions; none where the selector is it.
    pub fn mode_switch(&self) -> &[(String, Vec<(u8, u8)>)] {
        if self.by_selector { &[] } else { &self.switch }
    }

    /// The position of the mode switch with this name; where the selector is it, that of the selector.
    pub fn switch_position(&self, name: &str, selector: u8) -> Option<u8> {
        if self.by_selector {
            return usize::from(selector).lt(&self.switch.len()).then_some(selector);
        }
        self.switch.iter().position(|(other, _)| other == name).and_then(|at| u8::try_from(at).ok())
    }

    /// How the volumes stand, by numbers; nothing for a place without one.
    pub fn knobs(&self, volumes: &Volumes) -> Option<Knobs> {
        Some(match volumes {
            Volumes::Full {} => Knobs::Full,
            Volumes::Zero {} => Knobs::Zero,
            Volumes::Half {} => Knobs::Half,
            Volumes::ZeroOf { place } => {
                let place = self.places.iter().position(|other| other == place)?;
                Knobs::ZeroOf(u8::try_from(place).ok()?)
            }
        })
    }
}
