//! Leads found out for every wiring there can be: always right, or honestly unsure.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]

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
