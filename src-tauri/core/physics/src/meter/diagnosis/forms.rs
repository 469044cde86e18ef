//! What looks see, each form once, so that thousands of causes are compared by numbers.

use rustc_hash::FxHashMap;

use super::act::{Acts, Hypothesis, RigMistake};
use super::probe::Taken;
use crate::meter::circuit::{RigCircuit, RigLook, Wiring};
use crate::meter::evidence::Adjusted;
use crate::network::{Joints, Node, Seen};

/// Each form that was seen, by number.
pub(super) struct Forms<'a> {
    circuit: &'a RigCircuit,
    seen: Vec<Seen>,
    by_form: FxHashMap<Seen, u16>,
    /// By the network as it is left when bonded nodes are one.
    by_network: FxHashMap<u128, u16>,
}

impl<'a> Forms<'a> {
    pub fn new(circuit: &'a RigCircuit) -> Self {
        Self { circuit, seen: Vec::new(), by_form: FxHashMap::default(), by_network: FxHashMap::default() }
    }

    pub fn get(&self, form: u16) -> &Seen {
        self.seen.get(usize::from(form)).unwrap_or(&Seen::Open)
    }

    /// The form that a look sees, with what is joined in each position under this wiring as far as it was needed.
    pub fn of(&mut self, wiring: &Wiring, joined: &mut Joined, look: &RigLook) -> u16 {
        let joints = joined.0.get_mut(look.position).and_then(|joints| {
            if joints.is_none() {
                *joints = self.circuit.joints(wiring, look.position);
            }
            *joints
        });
        let (Some(joints), Some((branches, count, (a, b)))) = (joints, self.circuit.laid_out(wiring, look)) else {
            return self.keep(Seen::Open);
        };
        // Nodes are numbered anew in the order they are met, so that the same network has the same key.
        let mut names = [Node(u8::MAX); 14];
        let mut named = 0;
        let mut number = |node: Node| {
            let node = joints.of(node);
            let found = names.iter().take(named).position(|name| *name == node).unwrap_or_else(|| {
                if let Some(slot) = names.get_mut(named) {
                    *slot = node;
                }
                named += 1;
                named - 1
            });
            found as u128
        };
        let mut key = number(a) << 4 | number(b);
        for branch in branches.iter().take(count) {
            let (from, to) = (number(branch.from), number(branch.to));
            key = key << 11 | u128::from(branch.value + 1) << 8 | from << 4 | to;
        }
        // Two nodes of the port and two of each of six branches are fourteen at most, so four bits hold each.
        if let Some(form) = self.by_network.get(&key) {
            return *form;
        }
        let seen = branches.get(..count).and_then(|branches| Seen::of(branches, &joints, a, b));
        let form = self.keep(seen.unwrap_or(Seen::Open));
        self.by_network.insert(key, form);
        form
    }

    fn keep(&mut self, seen: Seen) -> u16 {
        if let Some(form) = self.by_form.get(&seen) {
            return *form;
        }
        let form = u16::try_from(self.seen.len()).unwrap_or(u16::MAX);
        self.seen.push(seen.clone());
        self.by_form.insert(seen, form);
        form
    }
}

/// What is joined under one wiring, for each switch position; nothing where nobody looked yet.
pub(super) struct Joined(Vec<Option<Joints>>);

impl Joined {
    pub fn new(circuit: &RigCircuit) -> Self {
        Self(vec![None; circuit.positions.len()])
    }

    fn clear(&mut self) {
        self.0.fill(None);
    }
}

/// Causes that predict the same of every reading so far.
pub(super) struct Class {
    pub forms: Vec<(u16, Adjusted)>,
    /// Whether the coils are held to be other than stated.
    pub not_stated: bool,
    /// Its causes, by place, the commonest first.
    pub members: Vec<usize>,
    pub odds: f64,
}

/// Sorts hypotheses into classes.
pub(super) fn classes(
    circuit: &RigCircuit,
    acts: &Acts,
    hypotheses: &[Hypothesis],
    taken: &[(Taken, RigLook)],
    forms: &mut Forms,
) -> Vec<Class> {
    let mut classes: Vec<Class> = Vec::new();
    let mut places: FxHashMap<Vec<u32>, usize> = FxHashMap::default();
    let mut key: Vec<u32> = Vec::with_capacity(taken.len() + 1);
    let mut found: Vec<(u16, Adjusted)> = Vec::with_capacity(taken.len());
    let mut joined = Joined::new(circuit);
    for (place, hypothesis) in hypotheses.iter().enumerate() {
        let wiring = acts.wiring(circuit, hypothesis.acts);
        joined.clear();
        let not_stated = hypothesis.acts.contains(&RigMistake::NotStated);
        key.clear();
        found.clear();
        key.push(u32::from(not_stated));
        for (reading, (taken, meant)) in (0_u8..).zip(taken) {
            let (look, adjusted) = acts.look(circuit, hypothesis.acts, reading, &taken.probe, *meant);
            let form = forms.of(&wiring, &mut joined, &look);
            found.push((form, adjusted));
            key.push(u32::from(form) << 16 | u32::from(adjusted.power as u8) << 1 | u32::from(adjusted.range_low));
        }
        let class = if let Some(class) = places.get(key.as_slice()) {
            *class
        } else {
            places.insert(key.clone(), classes.len());
            classes.push(Class { forms: found.clone(), not_stated, members: Vec::new(), odds: 0.0 });
            classes.len() - 1
        };
        classes[class].members.push(place);
        classes[class].odds += hypothesis.odds;
    }
    for class in &mut classes {
        class.members.sort_by(|a, b| hypotheses[*b].odds.total_cmp(&hypotheses[*a].odds));
    }
    classes
}
