//! The circuit walked over: what is joined in a look, what a port sees of it, and what an exact meter shows.

use super::{
    BRIDGE, Bonds, CASES, EARTHS, ENDS, GROUND, GROUND_POINT, GROUNDS, HOT_POINT, HOTS, InstallCircuit, JackLook,
    Joint, Knob, Knobs, LUGS, Layout, Made, NODES, NOWHERE, OUT, POINTS, SHARED_WIPER, SLEEVE, TIP, TOPS, Value,
    WIPERS, WIRES,
};
use crate::network::{Branch, Network, Node, Seen};
use crate::record::controls::TrackWiring;

/// What is joined: without resistance, or by one.
enum Part {
    Bond(Node, Node),
    Value(Node, Node, Value),
}

impl InstallCircuit {
    fn knob(&self, made: &Made, look: &JackLook, pot: u8) -> Knob {
        let meant = match look.knobs {
            Knobs::Full => Knob::Full,
            Knobs::Zero => Knob::Zero,
            Knobs::Half => Knob::Between,
            Knobs::ZeroOf(place) if place == pot && !self.is_shared() => Knob::Zero,
            Knobs::ZeroOf(_) => Knob::Full,
        };
        let backwards = made.backwards & (1 << pot) != 0;
        match (meant, backwards) {
            // Only the new pickup's own volume is taken to be short of full.
            (Knob::Full, false) if look.not_full && pot == 0 => Knob::Between,
            (Knob::Full, true) => Knob::Zero,
            (Knob::Zero, true) => Knob::Full,
            (knob, _) => knob,
        }
    }

    /// Walks over everything that is joined in a look.
    fn walk(&self, made: &Made, look: &JackLook, mut with: impl FnMut(Part)) {
        self.walk_joints(made, look, &mut with);
        for place in 1..self.places.len() as u8 {
            with(Part::Value(HOTS + place, GROUNDS + place, Value::Stays(usize::from(place))));
        }
        self.walk_pots(made, look, &mut with);
        for (at, coil) in (0_u8..).zip(&self.coils) {
            if made.broken & (1 << at) == 0 {
                with(Part::Value(ENDS + 2 * at, ENDS + 2 * at + 1, Value::Coil(*coil)));
            }
        }
    }

    /// The number of the position in which the mode switch stands; the selector's own where that is it.
    fn stands(&self, made: &Made, look: &JackLook) -> usize {
        match (self.by_selector, made.mirrored) {
            (false, _) => usize::from(look.switch),
            (true, false) => usize::from(look.selector),
            (true, true) => self.switch.len().saturating_sub(1 + usize::from(look.selector)),
        }
    }

    /// Walks over all that is joined in a look but pots, coils and the pickups that stay.
    fn walk_joints(&self, made: &Made, look: &JackLook, mut with: impl FnMut(Part)) {
        // The pickup: coil ends to leads, leads to points.
        for &(a, b) in &self.inside {
            with(Part::Bond(a, b));
        }
        let soldered = self.all_joints.iter().copied().filter(|joint| !joint.is_contact());
        let switched = self.switch.get(self.stands(made, look)).into_iter().flat_map(|(_, pairs)| pairs);
        let selected = self.contacts(look.selector).map(Joint::Selector);
        let contacts = switched.map(|(a, b)| Joint::Switch(*a, *b)).chain(selected);
        for joint in soldered.chain(contacts) {
            if let (Some((a, b)), true) = (self.between(made, joint), made.open != Some(joint)) {
                with(if made.poor == Some(joint) { Part::Value(a, b, Value::Joint) } else { Part::Bond(a, b) });
            }
        }
        if let Some(row) = self.row {
            let (at, node) = row.lies_at();
            with(Part::Bond(POINTS + at, node));
            with(Part::Bond(LUGS + row.upper, OUT));
        }
        if made.jack_shorted {
            with(Part::Bond(TIP, SLEEVE));
        }
        if look.plugged {
            with(Part::Value(TIP, SLEEVE, Value::Plugged));
        }
        if let Some(node) = made.to_ground {
            with(Part::Bond(node, GROUND));
        }
        for pot in (0..self.pots()).filter(|pot| made.carried.cases & (1 << pot) != 0) {
            with(Part::Bond(CASES + pot, CASES + made.carried.first()));
        }
        // From each place's hot to its lug of the selector, by its own volume or straight.
        for place in 0..self.places.len() as u8 {
            match self.layout {
                Layout::Each(track) => {
                    let (hot, lug) = match track {
                        // With the volume at full, both ways are one.
                        TrackWiring::PickupOnTrack | TrackWiring::NotKnown => (TOPS + place, WIPERS + place),
                        TrackWiring::PickupOnWiper => (WIPERS + place, TOPS + place),
                    };
                    if place == 0 {
                        with(Part::Bond(HOTS, hot));
                    }
                    with(Part::Bond(self.lug(made, place), lug));
                }
                Layout::Shared | Layout::NoVolume if place == 0 => with(Part::Bond(self.lug(made, place), HOTS)),
                Layout::Shared | Layout::NoVolume => {}
            }
        }
    }

    /// Walks over the pots as they stand in a look.
    fn walk_pots(&self, made: &Made, look: &JackLook, mut with: impl FnMut(Part)) {
        for pot in 0..self.pots() {
            let (top, wiper) = if self.is_shared() { (OUT, SHARED_WIPER) } else { (TOPS + pot, WIPERS + pot) };
            let knob = self.knob(made, look, pot);
            match knob {
                Knob::Full => with(Part::Bond(wiper, top)),
                Knob::Zero => with(Part::Bond(wiper, EARTHS + pot)),
                Knob::Between => {
                    with(Part::Value(top, wiper, Value::Above));
                    with(Part::Value(wiper, EARTHS + pot, Value::Below));
                }
            }
            if knob != Knob::Between {
                with(Part::Value(top, EARTHS + pot, Value::Track(usize::from(pot))));
            }
            if made.conducts & (1 << pot) != 0 {
                with(Part::Value(
                    if self.is_shared() { OUT } else { HOTS + pot },
                    GROUND,
                    Value::Tone(usize::from(pot)),
                ));
            }
        }
    }

    /// The nodes of a joint: the wire that goes in, and the metal it sits on.
    pub fn between(&self, made: &Made, joint: Joint) -> Option<(Node, Node)> {
        let turn = |point: u8| match point {
            HOT_POINT if made.turned => GROUND_POINT,
            GROUND_POINT if made.turned => HOT_POINT,
            point => point,
        };
        let (tip, sleeve) = if made.jack_turned { (SLEEVE, TIP) } else { (TIP, SLEEVE) };
        let star = CASES + made.carried.first();
        Some(match joint {
            Joint::Lead(at) => {
                let on = *made.on.get(usize::from(at)).filter(|on| **on != NOWHERE)?;
                let shield = self.wires.get(usize::from(at))?.shield;
                (WIRES + at, POINTS + if shield { on } else { turn(on) })
            }
            Joint::Jumper(at) => {
                let [a, b] = *self.jumpers.get(usize::from(at))?;
                (POINTS + turn(a), POINTS + turn(b))
            }
            Joint::Hot => (POINTS + HOT_POINT, HOTS),
            Joint::Earth => (POINTS + GROUND_POINT, if made.carried.places & 1 != 0 { star } else { GROUND }),
            Joint::Tip => (if self.layout == Layout::Shared { SHARED_WIPER } else { OUT }, tip),
            Joint::Sleeve => (GROUND, sleeve),
            Joint::Lug(pot) => (EARTHS + pot, if made.carried.lugs & (1 << pot) != 0 { star } else { GROUND }),
            Joint::Stays(place) => {
                let lug = match self.layout {
                    Layout::Each(TrackWiring::PickupOnTrack | TrackWiring::NotKnown) => TOPS + place,
                    Layout::Each(TrackWiring::PickupOnWiper) => WIPERS + place,
                    Layout::Shared | Layout::NoVolume => self.lug(made, place),
                };
                (HOTS + place, lug)
            }
            Joint::Case(pot) if made.carried.cases & (1 << pot) != 0 => return None,
            Joint::Case(pot) => (CASES + pot, GROUND),
            Joint::Strings => (BRIDGE, GROUND),
            Joint::StaysEarth(place) => {
                (GROUNDS + place, if made.carried.places & (1 << place) != 0 { star } else { GROUND })
            }
            Joint::Selector(place) => (LUGS + place, OUT),
            Joint::Switch(a, b) => (POINTS + a, POINTS + b),
        })
    }

    /// The lug of the selector that a place's wire is on.
    fn lug(&self, made: &Made, place: u8) -> Node {
        let lug = match made.exchanged {
            Some((a, b)) if a == place => b,
            Some((a, b)) if b == place => a,
            _ => place,
        };
        if made.shares == Some(place) { LUGS } else { LUGS + lug }
    }

    /// What a look sees; nothing for a bridge.
    pub fn seen(&self, made: &Made, look: &JackLook) -> Option<Seen> {
        let mut joints = Bonds::default();
        let mut branches: Vec<Branch> = Vec::with_capacity(16);
        self.walk(made, look, |part| match part {
            Part::Bond(a, b) => joints.bond(a, b),
            Part::Value(from, to, value) => {
                branches.extend(self.value(value).map(|value| Branch { from, to, value }));
            }
        });
        Seen::of(&branches, &joints, look.port.0, look.port.1)
    }

    /// The network of a look without pots, coils and the pickups that stay.
    pub(super) fn joints_alone(&self, made: &Made, look: &JackLook) -> Network {
        let mut network = Network::default();
        for _ in 0..NODES {
            network.node();
        }
        self.walk_joints(made, look, |part| {
            if let Part::Bond(a, b) = part {
                network.bond(usize::from(a), usize::from(b));
            }
        });
        network
    }

    /// What an exact meter shows by the solver, in ohms, with these values in the order of [`Self::values`]; nothing when it
    /// is open.
    pub fn solved(&self, made: &Made, look: &JackLook, values: &[f64]) -> Option<f64> {
        let mut network = Network::default();
        for _ in 0..NODES {
            network.node();
        }
        let mut bonds: Vec<(Node, Node)> = Vec::new();
        let mut branches: Vec<(Node, Node, f64)> = Vec::new();
        self.walk(made, look, |part| match part {
            Part::Bond(a, b) => bonds.push((a, b)),
            Part::Value(from, to, value) => {
                let ohms = self.value(value).and_then(|at| values.get(usize::from(at)));
                branches.extend(ohms.map(|ohms| (from, to, *ohms)));
            }
        });
        for (a, b) in bonds {
            network.bond(usize::from(a), usize::from(b));
        }
        for (a, b, ohms) in branches {
            network.resistance(usize::from(a), usize::from(b), ohms);
        }
        network.resistance_between(usize::from(look.port.0), usize::from(look.port.1))
    }
}
