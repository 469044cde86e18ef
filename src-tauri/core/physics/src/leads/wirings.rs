//! Every way in which leads, shield and frame can be joined, and how common each is.
//!
//! As far as a meter tells, a wiring is a partition twice over: nodes that are joined share a point, and points that
//! coils join share a part. Parts are trees of coils, so a part of three points has two coils.

use crate::recent::Recent;
use crate::record::leads::MOST_LEADS;

/// The most nodes that are told apart: eight leads, the shield and the frame.
pub const MOST_NODES: usize = MOST_LEADS + 2;
/// A pickup has no more coils than this.
pub const MOST_COILS: usize = 3;
/// With more nodes than this, only usual wirings are gone through: no lead joined to a lead, no coil that ends at the
/// shield or the frame alone.
const MOST_FOR_ALL: usize = 7;

/// What two nodes are to each other.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Relation {
    /// No resistance between them.
    Joined,
    /// One or more coils between them.
    Coil,
    /// No path.
    Open,
}

impl Relation {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Joined, Self::Coil, Self::Open];
}

/// How many nodes of each kind there are. Leads come first, then the shield, then the frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Nodes {
    /// Leads.
    pub leads: usize,
    /// Whether there is a shield.
    pub shield: bool,
    /// Whether the frame can be reached.
    pub frame: bool,
}

impl Nodes {
    /// All of them together.
    #[must_use]
    pub fn count(self) -> usize {
        self.leads + usize::from(self.shield) + usize::from(self.frame)
    }

    fn shield_at(self) -> Option<usize> {
        self.shield.then_some(self.leads)
    }

    fn frame_at(self) -> Option<usize> {
        self.frame.then_some(self.leads + usize::from(self.shield))
    }
}

/// One way in which nodes can be joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Wiring {
    /// The point of each node.
    pub point: [u8; MOST_NODES],
    /// The part of each node.
    pub part: [u8; MOST_NODES],
}

impl Wiring {
    /// What two nodes are to each other.
    #[must_use]
    pub fn relation(&self, a: usize, b: usize) -> Relation {
        if self.part[a] != self.part[b] {
            Relation::Open
        } else if self.point[a] == self.point[b] {
            Relation::Joined
        } else {
            Relation::Coil
        }
    }
}

/// What is known of each pair of nodes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Facts {
    known: [[Option<Relation>; MOST_NODES]; MOST_NODES],
}

impl Default for Facts {
    fn default() -> Self {
        Self { known: [[None; MOST_NODES]; MOST_NODES] }
    }
}

impl Facts {
    /// Writes down what two different nodes are to each other.
    pub fn learn(&mut self, a: usize, b: usize, relation: Relation) {
        if a != b && a < MOST_NODES && b < MOST_NODES {
            self.known[a][b] = Some(relation);
            self.known[b][a] = Some(relation);
        }
    }

    /// What is known of two nodes.
    #[must_use]
    pub fn between(&self, a: usize, b: usize) -> Option<Relation> {
        *self.known.get(a)?.get(b)?
    }
}

/// All wirings that fit what is known, with how common each is against one with nothing out of the ordinary about it.
///
/// How common is from memory, and only to choose what to measure first: no weight is zero, so nothing is ruled out by it.
#[must_use]
pub fn wirings(nodes: Nodes, facts: &Facts) -> Vec<(Wiring, f64)> {
    let mut found = Vec::new();
    grow(nodes, facts, &mut |growing, weight| found.push((growing.wiring, weight)));
    found
}

/// What the wirings that fit have in common, without a list of them.
#[derive(Clone)]
pub(super) struct Left {
    /// How many there are.
    pub count: usize,
    /// One of them: where there is no other, the one there is.
    pub one: Option<Wiring>,
    common: [[[f64; 3]; MOST_NODES]; MOST_NODES],
}

impl Left {
    /// Of all wirings that fit what is known.
    pub fn of(nodes: Nodes, facts: &Facts) -> Self {
        // What was measured last is looked at more often than it is measured.
        static LATELY: Recent<(Nodes, Facts), Left> = Recent::new();
        LATELY.find_or((nodes, *facts), |(nodes, facts)| Self::gone_through(*nodes, facts))
    }

    fn gone_through(nodes: Nodes, facts: &Facts) -> Self {
        let (mut count, mut one) = (0, None);
        let common = grow(nodes, facts, &mut |growing, _| {
            count += 1;
            one = Some(growing.wiring);
        });
        Self { count, one, common }
    }

    /// How common all of them are, together.
    pub fn weight(&self) -> f64 {
        Relation::ALL.into_iter().map(|relation| self.common(0, 1, relation)).sum()
    }

    /// How common those are, together, in which two nodes, the lower first, are this to each other; nothing when it is in none.
    pub fn common(&self, a: usize, b: usize, relation: Relation) -> f64 {
        self.common[a][b][relation as usize]
    }

    /// Whether two nodes, the lower first, are this to each other in all of them.
    pub fn always(&self, a: usize, b: usize, relation: Relation) -> bool {
        self.count > 0 && Relation::ALL.into_iter().all(|other| other == relation || self.common(a, b, other) == 0.0)
    }
}

/// What looks at a whole wiring, with how common it is.
type Each<'a> = dyn FnMut(&Growing, f64) + 'a;

/// Shows every wiring that fits what is known to `each`, with how common it is. Answers how common those are in which a pair,
/// the lower node first, is joined, has a coil or is open.
fn grow(nodes: Nodes, facts: &Facts, each: &mut dyn FnMut(&Growing, f64)) -> [[[f64; 3]; MOST_NODES]; MOST_NODES] {
    let count = nodes.count();
    let mut growing = Growing {
        nodes,
        all: count <= MOST_FOR_ALL,
        known: [[0; 3]; MOST_NODES],
        wiring: Wiring { point: [0; MOST_NODES], part: [0; MOST_NODES] },
        points: [Point { nodes: 0, part: 0 }; MOST_NODES],
        parts: [Part { nodes: 0, points: 0 }; MOST_NODES],
        point_count: 0,
        part_count: 0,
        coils: 0,
        common: [[[0.0; 3]; MOST_NODES]; MOST_NODES],
        each: Some(each),
    };
    if count <= MOST_NODES {
        for node in 0..count {
            for before in 0..node {
                if let Some(known) = facts.between(before, node) {
                    growing.known[node][known as usize] |= 1 << before;
                }
            }
        }
        growing.place(0, 1.0);
    }
    growing.common
}

/// Nodes that are joined.
#[derive(Clone, Copy)]
struct Point {
    nodes: u16,
    part: u8,
}

/// Points that coils join.
#[derive(Clone, Copy)]
struct Part {
    nodes: u16,
    points: u8,
}

/// Places one node after the other: on a point that is there, on a new point of a part that is there, or in a new part.
struct Growing<'a> {
    nodes: Nodes,
    all: bool,
    /// The nodes before each node that it is known to be joined to, to have a coil to, and to be open to.
    known: [[u16; 3]; MOST_NODES],
    wiring: Wiring,
    points: [Point; MOST_NODES],
    parts: [Part; MOST_NODES],
    point_count: u8,
    part_count: u8,
    coils: usize,
    common: [[[f64; 3]; MOST_NODES]; MOST_NODES],
    each: Option<&'a mut Each<'a>>,
}

impl Growing<'_> {
    /// Places this node and those after it. Answers how common all wirings are that come of it.
    fn place(&mut self, node: usize, so_far: f64) -> f64 {
        if node == self.nodes.count() {
            let weight = so_far * self.how_common();
            // It looks at the whole of this, so it is taken out for as long.
            if let Some(each) = self.each.take() {
                each(self, weight);
                self.each = Some(each);
            }
            return weight;
        }
        let lead = node < self.nodes.leads;
        let mut sum = 0.0;
        if self.all || !lead {
            for at in 0..self.point_count {
                sum += self.put(node, at, self.points[usize::from(at)].part, so_far);
            }
        }
        if self.coils < MOST_COILS && (self.all || lead) {
            for part in 0..self.part_count {
                sum += self.put(node, self.point_count, part, so_far);
            }
        }
        sum + self.put(node, self.point_count, self.part_count, so_far)
    }

    /// Puts a node on a point of a part, each there or the next new one, and goes on where that fits what is known.
    fn put(&mut self, node: usize, point: u8, part: u8, so_far: f64) -> f64 {
        let (p, q) = (usize::from(point), usize::from(part));
        let joined = if point < self.point_count { self.points[p].nodes } else { 0 };
        let whole = if part < self.part_count { self.parts[q].nodes } else { 0 };
        let before = (1_u16 << node) - 1;
        let relations = [joined, whole & !joined, before & !whole];
        if (0..3).any(|at| self.known[node][at] & !relations[at] != 0) {
            return 0.0;
        }
        let (was_point, was_part) = (self.points[p], self.parts[q]);
        let (new_point, new_part) = (point == self.point_count, part == self.part_count);
        self.points[p] = Point { nodes: joined | 1 << node, part };
        let points = if new_part { 1 } else { was_part.points + u8::from(new_point) };
        self.parts[q] = Part { nodes: whole | 1 << node, points };
        self.wiring.point[node] = point;
        self.wiring.part[node] = part;
        self.point_count += u8::from(new_point);
        self.part_count += u8::from(new_part);
        self.coils += usize::from(new_point && !new_part);
        // Two leads on one point are out of the ordinary.
        let lead_on_lead = node < self.nodes.leads && joined != 0;
        let weight = self.place(node + 1, if lead_on_lead { so_far * 0.03 } else { so_far });
        self.coils -= usize::from(new_point && !new_part);
        self.part_count -= u8::from(new_part);
        self.point_count -= u8::from(new_point);
        (self.points[p], self.parts[q]) = (was_point, was_part);
        if weight > 0.0 {
            for (relation, mut set) in relations.into_iter().enumerate() {
                while set != 0 {
                    self.common[set.trailing_zeros() as usize][node][relation] += weight;
                    set &= set - 1;
                }
            }
        }
        weight
    }

    /// How common the whole of it is, beside what its leads on one point make of it.
    fn how_common(&self) -> f64 {
        let leads = (1_u16 << self.nodes.leads) - 1;
        let part_of = |node: usize| self.parts[usize::from(self.wiring.part[node])];
        let point_of = |node: usize| self.points[usize::from(self.wiring.point[node])];
        let without_coil = self.parts[..usize::from(self.part_count)]
            .iter()
            .filter(|part| part.points == 1)
            .map(|part| (part.nodes & leads).count_ones() as usize);
        let mut weight = WITHOUT_COIL[without_coil.sum::<usize>().min(MOST_NODES)];
        let joins_a_lead = |node: usize| point_of(node).nodes & leads != 0;
        let ends_a_coil_alone = |node: usize| part_of(node).points > 1 && !joins_a_lead(node);
        if let Some(shield) = self.nodes.shield_at() {
            // A braid that is the pickup's ground, or a bare wire that its maker joined to a lead.
            weight *= if ends_a_coil_alone(shield) {
                0.3
            } else if joins_a_lead(shield) {
                0.2
            } else {
                1.0
            };
        }
        if let Some(frame) = self.nodes.frame_at() {
            let on_shield = self.nodes.shield_at().is_some_and(|shield| point_of(frame).nodes >> shield & 1 == 1);
            weight *= match (on_shield, ends_a_coil_alone(frame), joins_a_lead(frame)) {
                (true, ..) => 1.0,
                (false, true, _) => 0.02,
                (false, false, true) => 0.2,
                (false, false, false) => 1.0,
            };
        }
        weight
    }
}

/// How common it is that this many leads have no coil to anything: 0.15 for each.
const WITHOUT_COIL: [f64; MOST_NODES + 1] = {
    let mut common = [1.0; MOST_NODES + 1];
    let mut leads = 1;
    while leads <= MOST_NODES {
        common[leads] = common[leads - 1] * 0.15;
        leads += 1;
    }
    common
};

#[cfg(test)]
mod tests;
