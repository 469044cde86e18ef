//! Leads found out for every wiring there can be: always right, or honestly unsure.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]

use std::collections::HashMap;

use solderlast_core::audition::SHIELD;
use solderlast_core::leads::{
    FRAME, Facts, MOST_NODES, Nodes, PairReading, Relation, Search, Wiring, identify, wirings,
};
use solderlast_core::meter::Meter;
use solderlast_core::network::Network;
use solderlast_core::quantity::Ohms;

/// The coils of a pickup in a row, in ohms: no one is the sum of others, so a meter can tell them apart.
const COILS: [f64; 3] = [5200.0, 6900.0, 8600.0];

/// A pickup wired like this: the points of each part lie in a row, in the order of their numbers, a coil from each to the next.
struct OnTheBench {
    network: Network,
    nodes: Vec<usize>,
    /// Pairs of nodes with one coil between them.
    coils: Vec<(usize, usize)>,
}

impl OnTheBench {
    fn new(wiring: &Wiring, count: usize) -> Self {
        let mut network = Network::default();
        let nodes: Vec<usize> = (0..count).map(|_| network.node()).collect();
        let mut points: Vec<(u8, u8)> = (0..count).map(|at| (wiring.part[at], wiring.point[at])).collect();
        points.sort_unstable();
        points.dedup();
        let first = |point: (u8, u8)| (0..count).find(|at| (wiring.part[*at], wiring.point[*at]) == point).unwrap_or(0);
        for at in 0..count {
            let to = first((wiring.part[at], wiring.point[at]));
            if to != at {
                network.bond(nodes[to], nodes[at]);
            }
        }
        let mut coils = Vec::new();
        for pair in points.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
            network.resistance(nodes[first(pair[0])], nodes[first(pair[1])], COILS[coils.len() % COILS.len()]);
            coils.push((first(pair[0]), first(pair[1])));
        }
        Self { network, nodes, coils }
    }
}

/// Follows its own next pair to the end; answers how many measurements that took.
fn find_out(nodes: Nodes, wiring: &Wiring) -> usize {
    let leads: Vec<String> = (0..nodes.leads).map(|at| format!("lead {at}")).collect();
    let mut names = leads.clone();
    names.extend(nodes.shield.then(|| SHIELD.to_owned()));
    names.extend(nodes.frame.then(|| FRAME.to_owned()));
    let at = |name: &str| names.iter().position(|other| other == name).unwrap();
    let bench = OnTheBench::new(wiring, nodes.count());
    let mut search =
        Search { leads, shield: nodes.shield, frame: nodes.frame, readings: Vec::new(), out_of_reach: Vec::new() };
    let most = names.len() * (names.len() - 1) / 2;
    loop {
        let found = identify(&search, &Meter::plain());
        assert!(found.contradictions.is_empty(), "{nodes:?} {wiring:?}: {found:#?}");
        if let Some(next) = &found.next {
            let [a, b] = [at(&next.between[0]), at(&next.between[1])];
            let reading = bench.network.reading(bench.nodes[a], bench.nodes[b], Ohms(4e7));
            search.readings.push(PairReading { between: next.between.clone(), reading });
            assert!(search.readings.len() <= most, "{nodes:?} {wiring:?}: no pair is measured twice");
            continue;
        }
        // Whatever is said has to be so, sure or not.
        for touching in &found.touching {
            let [a, b] = [at(&touching.between[0]), at(&touching.between[1])];
            assert_eq!(wiring.relation(a, b), Relation::Joined, "{nodes:?} {wiring:?}: {found:#?}");
        }
        if !found.sure {
            assert!(found.sentence.starts_with("Not sure"), "{nodes:?} {wiring:?}: {found:#?}");
            return search.readings.len();
        }
        let same = |a: usize, b: usize| wiring.relation(a, b) == Relation::Joined || a == b;
        for coil in &found.coils {
            let [a, b] = [at(&coil.between[0]), at(&coil.between[1])];
            let there = bench
                .coils
                .iter()
                .any(|(from, to)| (same(a, *from) && same(b, *to)) || (same(a, *to) && same(b, *from)));
            assert!(there, "{nodes:?} {wiring:?}: {found:#?}");
        }
        assert_eq!(found.coils.len(), bench.coils.len(), "{nodes:?} {wiring:?}: {found:#?}");
        for loose in &found.loose {
            let node = at(loose);
            let alone = (0..names.len()).all(|other| other == node || wiring.relation(node, other) == Relation::Open);
            assert!(alone, "{nodes:?} {wiring:?}: {found:#?}");
        }
        return search.readings.len();
    }
}

/// Every wiring of up to four leads with shield and frame, and of five leads alone.
#[test]
fn every_wiring_is_found_out_or_left_open() {
    let mut seen = 0;
    for leads in 2..=5 {
        for (shield, frame) in [(false, false), (true, false), (true, true)] {
            let nodes = Nodes { leads, shield, frame };
            if nodes.count() > 6 && std::env::var_os("SOLDERLAST_ALL_WIRINGS").is_none() {
                continue;
            }
            let all = wirings(nodes, &Facts::default());
            assert!(nodes.count() <= MOST_NODES && !all.is_empty());
            let (mut measured, mut weight) = (0.0, 0.0);
            for (wiring, common) in &all {
                measured += common * find_out(nodes, wiring) as f64;
                weight += common;
            }
            println!("{nodes:?}: {} wirings, {:.2} measurements on average", all.len(), measured / weight);
            seen += all.len();
        }
    }
    assert!(seen > 500, "{seen}");
}

/// What is known of each pair, with what follows from it, and the least that is to be measured from there: by trying every
/// pair that is not known yet, and every outcome that some wiring has, each weighed by how common it is.
///
/// Leads that are told apart by their names only are one case: what is known is looked up under the name of the first of all
/// orders of the leads. A pair is given up as soon as what it must cost at the least (see [`at_least`]) is more than the best
/// one found.
struct BestOrder {
    nodes: Nodes,
    all: Vec<(Wiring, f64)>,
    orders: Vec<Vec<usize>>,
    least: HashMap<u64, f64>,
    canonical: HashMap<u64, u64>,
}

impl BestOrder {
    fn new(nodes: Nodes) -> Self {
        let orders = orders_of(nodes.leads);
        let all = wirings(nodes, &Facts::default());
        Self { nodes, all, orders, least: HashMap::new(), canonical: HashMap::new() }
    }

    /// What is known as a number: the smallest over all orders of the leads, two bits a pair.
    fn name(&mut self, facts: &Facts) -> u64 {
        let count = self.nodes.count();
        let code = |a: usize, b: usize| facts.between(a, b).map_or(0, |relation| relation as u64 + 1);
        let as_it_is = pairs(count).fold(0, |key, (a, b)| key << 2 | code(a, b));
        if let Some(name) = self.canonical.get(&as_it_is) {
            return *name;
        }
        let leads = self.nodes.leads;
        let smallest = self.orders.iter().map(|order| {
            let at = |node: usize| if node < leads { order[node] } else { node };
            pairs(count).fold(0, |key, (a, b)| key << 2 | code(at(a), at(b)))
        });
        let name = smallest.min().unwrap_or(as_it_is);
        self.canonical.insert(as_it_is, name);
        name
    }

    /// The least that is expected to be measured, times the weight of the wirings that are left.
    fn from(&mut self, facts: Facts, left: &[usize]) -> f64 {
        let count = self.nodes.count();
        let weight: f64 = left.iter().map(|at| self.all[*at].1).sum();
        if let [only] = left {
            return weight * joins_to_tell(&self.all[*only].0, &facts, count) as f64;
        }
        let name = self.name(&facts);
        if let Some(least) = self.least.get(&name) {
            return *least;
        }
        type Split = (f64, (usize, usize), [Vec<usize>; 3]);
        let mut splits: Vec<Split> = Vec::new();
        for (a, b) in pairs(count).filter(|(a, b)| facts.between(*a, *b).is_none()) {
            let outcomes = Relation::ALL.map(|relation| -> Vec<usize> {
                left.iter().copied().filter(|at| self.all[*at].0.relation(a, b) == relation).collect()
            });
            // Where every wiring says the same, measuring tells nothing about which it is.
            if outcomes.iter().filter(|left| !left.is_empty()).count() < 2 {
                continue;
            }
            let bound =
                weight + outcomes.iter().map(|left| at_least(left.iter().map(|at| self.all[*at].1))).sum::<f64>();
            splits.push((bound, (a, b), outcomes));
        }
        splits.sort_by(|one, other| one.0.total_cmp(&other.0));
        let mut least = f64::INFINITY;
        for (bound, (a, b), outcomes) in splits {
            if bound >= least {
                break;
            }
            let mut sum = bound;
            for (relation, left) in Relation::ALL.into_iter().zip(&outcomes) {
                if !left.is_empty() && sum < least {
                    let mut next = facts;
                    next.learn(a, b, relation);
                    follow(&mut next, count);
                    sum += self.from(next, left) - at_least(left.iter().map(|at| self.all[*at].1));
                }
            }
            least = least.min(sum);
        }
        self.least.insert(name, least);
        least
    }

    fn average(&mut self) -> f64 {
        let all: Vec<usize> = (0..self.all.len()).collect();
        let weight: f64 = self.all.iter().map(|(_, weight)| weight).sum();
        self.from(Facts::default(), &all) / weight
    }
}

/// What any order of measurements with three outcomes each takes at the least to tell these wirings apart, times their weight:
/// their entropy, counted in threes (Shannon's source coding theorem, Bell System Technical Journal 27, 1948).
fn at_least(weights: impl Iterator<Item = f64> + Clone) -> f64 {
    let all: f64 = weights.clone().sum();
    weights.filter(|weight| *weight > 0.0).map(|weight| -weight * (weight / all).log(3.0)).sum::<f64>().max(0.0)
}

fn orders_of(count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let shorter = orders_of(count - 1);
    let into = |order: &Vec<usize>, place: usize| {
        let mut longer = order.clone();
        longer.insert(place, count - 1);
        longer
    };
    shorter.iter().flat_map(|order| (0..count).map(move |place| into(order, place))).collect()
}

fn pairs(count: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..count).flat_map(move |a| (a + 1..count).map(move |b| (a, b)))
}

/// What is joined to the same is alike, and what has a path to one end of a gap has none to the other.
fn follow(facts: &mut Facts, count: usize) {
    use Relation::{Coil, Joined, Open};
    loop {
        let mut found = None;
        for (a, b) in pairs(count).filter(|(a, b)| facts.between(*a, *b).is_none()) {
            found = (0..count).find_map(|middle| match (facts.between(a, middle)?, facts.between(middle, b)?) {
                (Joined, other) | (other, Joined) => Some((a, b, other)),
                (Coil, Open) | (Open, Coil) => Some((a, b, Open)),
                (Coil, Coil) | (Open, Open) => None,
            });
            if found.is_some() {
                break;
            }
        }
        let Some((a, b, relation)) = found else { return };
        facts.learn(a, b, relation);
    }
}

/// Pairs of points in one part that still need a reading of their own: with three points or more, only all their readings
/// say at which point the coils join.
fn joins_to_tell(wiring: &Wiring, facts: &Facts, count: usize) -> usize {
    let first = |node: usize| (0..node).all(|other| wiring.relation(other, node) != Relation::Joined);
    let alike = |node: usize| (0..count).filter(move |o| *o == node || wiring.relation(*o, node) == Relation::Joined);
    pairs(count)
        .filter(|(a, b)| first(*a) && first(*b) && wiring.relation(*a, *b) == Relation::Coil)
        .filter(|(a, b)| alike(*a).all(|x| alike(*b).all(|y| facts.between(x, y).is_none())))
        .count()
}

/// The average over all wirings, each weighed by how common it is, of the measurements that `identify` asks for, beside that
/// of the best order there is. An order may look at what a pair is, joined, a coil or open, not at how many ohms it reads.
///
/// With six and seven nodes it takes minutes, so they are tried with `SOLDERLAST_ALL_WIRINGS=1`, best in a release build.
#[test]
fn measurements_beside_the_best_possible_order() {
    let most = if std::env::var_os("SOLDERLAST_ALL_WIRINGS").is_some() { MOST_NODES } else { 5 };
    for leads in 2..=5 {
        for (shield, frame) in [(false, false), (true, false), (true, true)] {
            let nodes = Nodes { leads, shield, frame };
            let all = wirings(nodes, &Facts::default());
            let weight: f64 = all.iter().map(|(_, common)| common).sum();
            if nodes.count() > most {
                continue;
            }
            let asked =
                all.iter().map(|(wiring, common)| common * find_out(nodes, wiring) as f64).sum::<f64>() / weight;
            let bound = at_least(all.iter().map(|(_, common)| *common)) / weight;
            let mut order = BestOrder::new(nodes);
            let best = order.average();
            println!(
                "{nodes:?}: {asked:.3} measurements asked for, {best:.3} by the best order, {bound:.3} by entropy, {} cases",
                order.least.len()
            );
            assert!(asked >= best - 1e-9, "{nodes:?}: nothing is better than the best: {asked} {best}");
            assert!(best >= bound - 1e-9, "{nodes:?}: nothing is better than entropy allows: {best} {bound}");
            assert!(asked <= 1.05 * best, "{nodes:?}: {asked} {best}");
        }
    }
}
