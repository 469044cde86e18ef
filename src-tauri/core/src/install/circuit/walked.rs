//! The circuit walked over: what is joined in a look, what a port sees of it, and what an exact meter shows.

use super::{
    Bonds, CASES, Circuit, ENDS, GROUND, GROUND_POINT, HOT_POINT, HOTS, Knob, Knobs, LUGS, Layout, Look, Made, NODES,
    NOWHERE, OUT, POINTS, SHARED_WIPER, SLEEVE, TIP, TOPS, Value, WIPERS, WIRES,
};
use crate::install::TrackWiring;
use crate::network::{Branch, Network, Seen};

impl Circuit {
    fn knob(&self, made: &Made, look: &Look, pot: u8) -> Knob {
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

    /// Walks over everything that is joined in a look: bonds first, then resistances.
    fn walk(&self, made: &Made, look: &Look, mut bond: impl FnMut(u8, u8), mut add: impl FnMut(u8, u8, Value)) {
        // The pickup: coil ends to leads, leads to points.
        for &(a, b) in &self.inside {
            bond(a, b);
        }
        let turn = |point: u8| match point {
            HOT_POINT if made.turned => GROUND_POINT,
            GROUND_POINT if made.turned => HOT_POINT,
            point => point,
        };
        for (at, on) in (0_u8..).zip(made.on.iter().take(self.wires.len())) {
            if *on != NOWHERE {
                let shield = self.wires.get(usize::from(at)).is_some_and(|wire| wire.shield);
                bond(WIRES + at, POINTS + if shield { *on } else { turn(*on) });
            }
        }
        for (at, pair) in (0_u8..).zip(&self.jumpers) {
            if made.missing != Some(at) {
                bond(POINTS + turn(pair[0]), POINTS + turn(pair[1]));
            }
        }
        if let Some((_, pairs)) = self.switch.get(usize::from(look.switch)) {
            for &(a, b) in pairs {
                bond(POINTS + a, POINTS + b);
            }
        }
        bond(POINTS + GROUND_POINT, GROUND);
        if !made.no_hot {
            bond(POINTS + HOT_POINT, HOTS);
        }
        // The jack.
        let (tip, sleeve) = if made.jack_turned { (SLEEVE, TIP) } else { (TIP, SLEEVE) };
        if !made.no_sleeve {
            bond(sleeve, GROUND);
        }
        let wiper = if self.layout == Layout::Shared { SHARED_WIPER } else { OUT };
        if !made.no_tip {
            bond(tip, wiper);
        }
        if made.jack_shorted {
            bond(TIP, SLEEVE);
        }
        if let Some(node) = made.to_ground {
            bond(node, GROUND);
        }
        for pot in 0..self.pots() {
            if made.case_off & (1 << pot) == 0 {
                bond(CASES + pot, GROUND);
            }
        }
        // From each place's hot to its lug of the selector, by its own volume or straight.
        for place in 0..self.places.len() as u8 {
            match self.layout {
                Layout::Each(track) => {
                    let (hot, lug) = match track {
                        TrackWiring::PickupOnTrack => (TOPS + place, WIPERS + place),
                        TrackWiring::PickupOnWiper => (WIPERS + place, TOPS + place),
                    };
                    bond(HOTS + place, hot);
                    bond(self.lug(made, place), lug);
                }
                Layout::Shared | Layout::NoVolume => bond(self.lug(made, place), HOTS + place),
            }
        }
        if let Some((_, places)) = self.selector.get(usize::from(look.selector)) {
            for place in places {
                bond(LUGS + place, OUT);
            }
        }
        for pot in 0..self.pots() {
            let (top, wiper) = if self.is_shared() { (OUT, SHARED_WIPER) } else { (TOPS + pot, WIPERS + pot) };
            let knob = self.knob(made, look, pot);
            match knob {
                Knob::Full => bond(wiper, top),
                Knob::Zero => bond(wiper, GROUND),
                Knob::Between => {
                    add(top, wiper, Value::Above);
                    add(wiper, GROUND, Value::Below);
                }
            }
            if knob != Knob::Between {
                add(top, GROUND, Value::Track(usize::from(pot)));
            }
            if made.conducts & (1 << pot) != 0 {
                add(if self.is_shared() { OUT } else { HOTS + pot }, GROUND, Value::Tone(usize::from(pot)));
            }
        }
        for (at, coil) in (0_u8..).zip(&self.coils) {
            if made.broken & (1 << at) == 0 {
                add(ENDS + 2 * at, ENDS + 2 * at + 1, Value::Coil(*coil));
            }
        }
        for place in 1..self.places.len() {
            add(HOTS + place as u8, GROUND, Value::Stays(place));
        }
    }

    /// The lug of the selector that a place's wire is on.
    fn lug(&self, made: &Made, place: u8) -> u8 {
        let lug = match made.exchanged {
            Some((a, b)) if a == place => b,
            Some((a, b)) if b == place => a,
            _ => place,
        };
        if made.shares == Some(place) { LUGS } else { LUGS + lug }
    }

    /// What a look sees; nothing for a bridge.
    pub fn seen(&self, made: &Made, look: &Look) -> Option<Seen> {
        let mut joints = Bonds::default();
        let mut branches: Vec<Branch> = Vec::with_capacity(16);
        self.walk(
            made,
            look,
            |a, b| joints.bond(a, b),
            |from, to, value| branches.extend(self.value(value).map(|value| Branch { from, to, value })),
        );
        Seen::of(&branches, &joints, look.port.0, look.port.1)
    }

    /// What an exact meter shows by the solver, in ohms, with these values in the order of [`Self::values`]; nothing when it
    /// is open.
    pub fn solved(&self, made: &Made, look: &Look, values: &[f64]) -> Option<f64> {
        let mut network = Network::default();
        for _ in 0..NODES {
            network.node();
        }
        let mut bonds: Vec<(u8, u8)> = Vec::new();
        let mut branches: Vec<(u8, u8, f64)> = Vec::new();
        self.walk(
            made,
            look,
            |a, b| bonds.push((a, b)),
            |from, to, value| {
                let ohms = self.value(value).and_then(|at| values.get(usize::from(at)));
                branches.extend(ohms.map(|ohms| (from, to, *ohms)));
            },
        );
        for (a, b) in bonds {
            network.bond(usize::from(a), usize::from(b));
        }
        for (a, b, ohms) in branches {
            network.resistance(usize::from(a), usize::from(b), ohms);
        }
        network.resistance_between(usize::from(look.port.0), usize::from(look.port.1))
    }
}
