//! Every way to join ground, hot and a pickup's leads to each other, and what each does.
//!
//! A way to join them is a partition into groups. What it does is solved as a network: the resistance between hot and
//! ground, and the part of the signal that each coil has in it, for coils so uneven that no two wirings look alike by chance.

use std::collections::HashMap;

use crate::network::{Impedance, Joints, Network, Node};
use crate::record::leads::MOST_TO_SOLDER;
use crate::record::pickup::{CoilEnd, CoilName, End, Pickup};

/// Ground and hot among the things to join; leads follow.
pub const GROUND: usize = 0;
pub const HOT: usize = 1;
pub const LEADS: usize = 2;
/// The most things to join: leads beside hot and ground.
pub const MOST: usize = LEADS + MOST_TO_SOLDER;

/// For each thing, the lowest thing it is joined to counts as its group's number, in the order they are met.
pub type Groups = [u8; MOST];

/// All ways to join a number of things.
pub struct Partitions {
    count: usize,
    all: Vec<Groups>,
    /// For each way and each pair of things, the way that joins the pair too.
    merged: Vec<u16>,
}

/// What a way to join does; nothing comparable when hot and ground touch.
#[derive(Debug, Clone, PartialEq)]
pub struct Does {
    /// Between hot and ground, in ohms; infinite when open.
    pub ohms: f64,
    /// Each coil's part in the signal, above zero where its plus end faces the hot.
    pub shares: Vec<f64>,
    /// Coils that are not heard and hang on the hot by one end, where they catch hum.
    pub hanging: u8,
}

impl Partitions {
    /// All ways to join this many things; at most [`MOST`].
    pub fn new(count: usize) -> Self {
        let count = count.min(MOST);
        let mut all: Vec<Groups> = Vec::new();
        let mut groups = [0_u8; MOST];
        grow(&mut groups, 1, 1, count, &mut all);
        let places: HashMap<Groups, u16> = (0..).zip(&all).map(|(place, groups)| (*groups, place)).collect();
        let mut merged = Vec::with_capacity(all.len() * count * count);
        for groups in &all {
            for a in 0..count {
                for b in 0..count {
                    let joined = join(groups, a, b, count);
                    merged.push(places.get(&joined).copied().unwrap_or_default());
                }
            }
        }
        Self { count, all, merged }
    }

    pub fn len(&self) -> usize {
        self.all.len()
    }

    /// How many things there are.
    pub fn count(&self) -> usize {
        self.count
    }

    pub fn groups(&self, place: u16) -> &Groups {
        self.all.get(usize::from(place)).unwrap_or(&[0; MOST])
    }

    /// How many groups a way has.
    pub fn how_many(&self, place: u16) -> usize {
        self.groups(place).iter().take(self.count).map(|group| usize::from(*group) + 1).max().unwrap_or(0)
    }

    /// The way that joins two things more.
    pub fn merge(&self, place: u16, a: usize, b: usize) -> u16 {
        self.merged.get((usize::from(place) * self.count + a) * self.count + b).copied().unwrap_or(place)
    }

    /// The way that joins just these sets.
    pub fn of(&self, sets: &[Vec<usize>]) -> u16 {
        // The last way is the one that joins nothing: every thing starts a group of its own.
        let mut place = u16::try_from(self.all.len().saturating_sub(1)).unwrap_or(u16::MAX);
        for set in sets {
            for pair in set.windows(2) {
                place = self.merge(place, pair[0], pair[1]);
            }
        }
        place
    }

    /// Marks each way from which a marked way can be reached by joining more.
    pub fn leading_to(&self, marked: &[bool]) -> Vec<bool> {
        let mut order: Vec<u16> = (0..).take(self.all.len()).collect();
        order.sort_by_key(|place| self.how_many(*place));
        let mut leads = marked.to_vec();
        for place in order {
            let at = usize::from(place);
            leads[at] = leads[at]
                || (0..self.count).any(|a| {
                    (a + 1..self.count).any(|b| {
                        let next = self.merge(place, a, b);
                        next != place && leads[usize::from(next)]
                    })
                });
        }
        leads
    }
}

fn grow(groups: &mut Groups, at: usize, used: u8, count: usize, all: &mut Vec<Groups>) {
    if at >= count {
        all.push(*groups);
        return;
    }
    for group in 0..=used {
        groups[at] = group;
        grow(groups, at + 1, used.max(group + 1), count, all);
    }
    groups[at] = 0;
}

fn join(groups: &Groups, a: usize, b: usize, count: usize) -> Groups {
    let (keep, gone) = (groups[a].min(groups[b]), groups[a].max(groups[b]));
    let mut numbers = [u8::MAX; MOST];
    let mut next = 0;
    let mut joined = [0; MOST];
    for at in 0..count {
        let group = usize::from(if groups[at] == gone { keep } else { groups[at] });
        if numbers[group] == u8::MAX {
            numbers[group] = next;
            next += 1;
        }
        joined[at] = numbers[group];
    }
    joined
}

/// The way that joins just these sets of so many things.
pub fn groups_of(count: usize, sets: &[Vec<usize>]) -> Groups {
    let mut groups: Groups = std::array::from_fn(|at| if at < count { at as u8 } else { 0 });
    for pair in sets.iter().flat_map(|set| set.windows(2)) {
        groups = join(&groups, pair[0], pair[1], count);
    }
    groups
}

/// A pickup's coils between its leads, to be solved.
pub struct Coils {
    coils: Vec<CoilName>,
    leads: Vec<Vec<usize>>,
    inside: Vec<Vec<usize>>,
}

impl Coils {
    pub fn new(pickup: &Pickup) -> Self {
        let coils: Vec<CoilName> = pickup.coils.iter().map(|coil| coil.name).collect();
        let node = |end: &CoilEnd| {
            coils.iter().position(|name| *name == end.coil).map(|coil| 2 * coil + usize::from(end.end == End::Plus))
        };
        Self {
            leads: pickup.leads.iter().map(|lead| lead.ends.iter().filter_map(node).collect()).collect(),
            inside: pickup.joined_inside.iter().map(|ends| ends.iter().filter_map(node).collect()).collect(),
            coils,
        }
    }

    /// What a way to join does; nothing when hot and ground touch.
    pub fn solve(&self, groups: &Groups) -> Option<Does> {
        let ohms: Vec<f64> = UNEVEN.into_iter().cycle().take(self.coils.len()).collect();
        self.solve_with(groups, &ohms)
    }

    /// Joins the coils in a network that has nodes for ground and hot; answers each coil with the nodes of its minus and its
    /// plus end.
    pub fn lay(
        &self,
        network: &mut Network,
        groups: &Groups,
        (ground, hot): (usize, usize),
    ) -> Vec<(CoilName, usize, usize)> {
        let group: Vec<usize> = (0..MOST).map(|_| network.node()).collect();
        let end: Vec<usize> = (0..2 * self.coils.len()).map(|_| network.node()).collect();
        network.bond(group[usize::from(groups[GROUND])], ground);
        network.bond(group[usize::from(groups[HOT])], hot);
        for (lead, ends) in self.leads.iter().enumerate().take(MOST - LEADS) {
            for at in ends {
                network.bond(group[usize::from(groups[LEADS + lead])], end[*at]);
            }
        }
        for pair in self.inside.iter().flat_map(|ends| ends.windows(2)) {
            network.bond(end[pair[0]], end[pair[1]]);
        }
        self.coils.iter().enumerate().map(|(coil, name)| (*name, end[2 * coil], end[2 * coil + 1])).collect()
    }

    /// The same with these coils, in ohms.
    pub fn solve_with(&self, groups: &Groups, ohms: &[f64]) -> Option<Does> {
        if groups[GROUND] == groups[HOT] {
            return None;
        }
        let mut network = Network::default();
        let group: Vec<usize> = (0..MOST).map(|_| network.node()).collect();
        let end: Vec<usize> = (0..2 * self.coils.len()).map(|_| network.node()).collect();
        // At most eight groups and six ends, so that a small list of joints holds them too.
        let mut joints = <Joints>::default();
        let mut bond = |a: usize, b: usize| {
            network.bond(a, b);
            joints.bond(Node(a as u8), Node(b as u8));
        };
        for (lead, ends) in self.leads.iter().enumerate().take(MOST - LEADS) {
            for at in ends {
                bond(group[usize::from(groups[LEADS + lead])], end[*at]);
            }
        }
        for ends in &self.inside {
            for pair in ends.windows(2) {
                bond(end[pair[0]], end[pair[1]]);
            }
        }
        for (coil, ohms) in ohms.iter().enumerate().take(self.coils.len()) {
            network.resistance(end[2 * coil], end[2 * coil + 1], *ohms);
        }
        let (ground, hot) = (group[usize::from(groups[GROUND])], group[usize::from(groups[HOT])]);
        let volts = network.driven(hot, ground);
        let at = |node: usize| -> Option<f64> { volts.as_ref()?.get(node).copied().flatten().map(|v: Impedance| v.re) };
        let shares: Vec<f64> = ohms
            .iter()
            .enumerate()
            .take(self.coils.len())
            .map(|(coil, ohms)| {
                at(end[2 * coil + 1]).zip(at(end[2 * coil])).map_or(0.0, |(plus, minus)| (plus - minus) / ohms)
            })
            .collect();
        let whole = at(hot);
        let touches_hot = |node: usize| joints.of(Node(node as u8)) == joints.of(Node(hot as u8));
        let hanging = (0..self.coils.len())
            .filter(|coil| {
                let ends = [end[2 * coil], end[2 * coil + 1]];
                shares.get(*coil).is_some_and(|share| share.abs() < 1e-9)
                    && ends.iter().filter(|node| touches_hot(**node)).count() == 1
            })
            .count();
        Some(Does { ohms: whole.unwrap_or(f64::INFINITY), shares, hanging: u8::try_from(hanging).unwrap_or(u8::MAX) })
    }
}

/// Resistances of which no two sums or parallels are alike by chance.
const UNEVEN: [f64; 3] = [1000.0, 1618.0, 2718.0];

impl Does {
    /// Whether two wirings give the same signal and the same reading.
    pub fn same(&self, other: &Self) -> bool {
        let near = |a: f64, b: f64| a == b || (a - b).abs() < 1e-6 * (1.0 + a.abs().min(b.abs()));
        near(self.ohms, other.ohms)
            && self.shares.len() == other.shares.len()
            && self.shares.iter().zip(&other.shares).all(|(a, b)| near(*a, *b))
    }

    /// Whether no coil is heard.
    pub fn silent(&self) -> bool {
        self.shares.iter().all(|share| share.abs() < 1e-9)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn there_are_as_many_ways_as_bell_numbers_say() {
        // OEIS A000110.
        for (count, ways) in [(2, 2), (3, 5), (4, 15), (5, 52), (6, 203), (7, 877), (8, 4140)] {
            assert_eq!(Partitions::new(count).len(), ways, "{count}");
        }
    }

    #[test]
    fn joining_more_leads_to_what_is_joined() {
        let ways = Partitions::new(5);
        let target = ways.of(&[vec![0, 2], vec![1, 3, 4]]);
        let mut marked = vec![false; ways.len()];
        marked[usize::from(target)] = true;
        let leads = ways.leading_to(&marked);
        assert!(leads[usize::from(ways.of(&[]))] && leads[usize::from(ways.of(&[vec![1, 4]]))]);
        assert!(!leads[usize::from(ways.of(&[vec![0, 1]]))] && !leads[usize::from(ways.of(&[vec![2, 4]]))]);
        assert_eq!(ways.how_many(target), 2);
        assert_eq!(ways.merge(ways.merge(ways.of(&[vec![0, 2], vec![1, 3]]), 4, 1), 3, 4), target);
    }
}
