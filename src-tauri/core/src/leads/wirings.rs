//! Every way in which leads, shield and frame can be joined, and how common each is.
//!
//! As far as a meter tells, a wiring is a partition twice over: nodes that are joined share a point, and points that
//! coils join share a part. Parts are trees of coils, so a part of three points has two coils.

/// The most nodes that are told apart: eight leads, the shield and the frame.
pub const MOST_NODES: usize = 10;
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

    /// How common it is, against one with nothing out of the ordinary about it.
    ///
    /// From memory, and only to choose what to measure first: no weight is zero, so nothing is ruled out by it.
    #[must_use]
    pub fn how_common(&self, nodes: Nodes) -> f64 {
        let count = nodes.count();
        let mut weight = 1.0;
        for lead in 0..nodes.leads {
            let others =
                |test: Relation| (0..count).filter(move |other| *other != lead && self.relation(lead, *other) == test);
            if others(Relation::Joined).any(|other| other < lead) {
                weight *= 0.03;
            }
            if others(Relation::Coil).next().is_none() {
                weight *= 0.15;
            }
        }
        let ends_a_coil_alone = |node: usize| {
            (0..count).any(|other| self.relation(node, other) == Relation::Coil)
                && !(0..nodes.leads).any(|lead| self.relation(node, lead) == Relation::Joined)
        };
        let joins_a_lead = |node: usize| (0..nodes.leads).any(|lead| self.relation(node, lead) == Relation::Joined);
        if let Some(shield) = nodes.shield_at() {
            // A braid that is the pickup's ground, or a bare wire that its maker joined to a lead.
            weight *= if ends_a_coil_alone(shield) {
                0.3
            } else if joins_a_lead(shield) {
                0.2
            } else {
                1.0
            };
        }
        if let Some(frame) = nodes.frame_at() {
            let on_shield = nodes.shield_at().is_some_and(|shield| self.relation(shield, frame) == Relation::Joined);
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

/// All wirings that fit what is known, with how common each is.
#[must_use]
pub fn wirings(nodes: Nodes, facts: &Facts) -> Vec<(Wiring, f64)> {
    let mut found = Vec::new();
    let count = nodes.count();
    if count <= MOST_NODES {
        let start = Wiring { point: [0; MOST_NODES], part: [0; MOST_NODES] };
        let mut growing = Growing { nodes, facts, all: count <= MOST_FOR_ALL, found: &mut found };
        growing.place(0, start, 0, 0, 0);
    }
    found
}

/// Places one node after the other: on a point that is there, on a new point of a part that is there, or in a new part.
struct Growing<'a> {
    nodes: Nodes,
    facts: &'a Facts,
    all: bool,
    found: &'a mut Vec<(Wiring, f64)>,
}

impl Growing<'_> {
    fn place(&mut self, node: usize, wiring: Wiring, points: u8, parts: u8, coils: usize) {
        if node == self.nodes.count() {
            self.found.push((wiring, wiring.how_common(self.nodes)));
            return;
        }
        let (lead, all) = (node < self.nodes.leads, self.all);
        let mut with = |point: u8, part: u8, points: u8, parts: u8, coils: usize| {
            let mut next = wiring;
            next.point[node] = point;
            next.part[node] = part;
            let fits = (0..node)
                .all(|other| self.facts.between(other, node).is_none_or(|known| known == next.relation(other, node)));
            if fits {
                self.place(node + 1, next, points, parts, coils);
            }
        };
        for point in 0..points {
            let part = (0..node).find(|other| wiring.point[*other] == point).map_or(0, |other| wiring.part[other]);
            if all || !lead {
                with(point, part, points, parts, coils);
            }
        }
        if coils < MOST_COILS && (all || lead) {
            for part in 0..parts {
                with(points, part, points + 1, parts, coils + 1);
            }
        }
        with(points, parts, points + 1, parts + 1, coils);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(leads: usize, shield: bool, frame: bool) -> usize {
        wirings(Nodes { leads, shield, frame }, &Facts::default()).len()
    }

    /// Partitions of partitions: 1, 3, 12, 60, 358 (OEIS A000258), less those with more than three coils.
    #[test]
    fn as_many_as_there_are_partitions_of_partitions() {
        assert_eq!([count(1, false, false), count(2, false, false), count(3, false, false)], [1, 3, 12]);
        assert_eq!([count(4, false, false), count(3, true, false), count(2, true, true)], [60; 3]);
        // Of 358, one has four coils.
        assert_eq!(count(5, false, false), 357);
        // Of 2471, one has five coils. Four coils have: six points in two parts of 5 + 1, 4 + 2 or 3 + 3, and five points in
        // one part.
        assert_eq!(count(4, true, true), 2471 - 1 - (6 + 15 + 10) - 15);
    }

    #[test]
    fn facts_leave_only_what_fits() {
        let nodes = Nodes { leads: 4, shield: false, frame: false };
        let mut facts = Facts::default();
        facts.learn(0, 1, Relation::Coil);
        facts.learn(2, 3, Relation::Coil);
        assert!(wirings(nodes, &facts).len() > 1);
        facts.learn(1, 2, Relation::Open);
        assert_eq!(wirings(nodes, &facts).len(), 1);
        facts.learn(1, 3, Relation::Joined);
        assert!(wirings(nodes, &facts).is_empty());
    }

    #[test]
    fn ten_nodes_are_not_too_many() {
        let nodes = Nodes { leads: 8, shield: true, frame: true };
        let found = wirings(nodes, &Facts::default());
        assert!(found.len() < 400_000, "{}", found.len());
    }
}
