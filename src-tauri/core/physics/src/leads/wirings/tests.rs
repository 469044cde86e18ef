//! Wirings, counted and weighed.

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

/// The way this was worked out at first: one wiring after the other, pair by pair.
fn how_common(wiring: &Wiring, nodes: Nodes) -> f64 {
    let count = nodes.count();
    let mut weight = 1.0;
    let is = |a: usize, b: usize, relation: Relation| a != b && wiring.relation(a, b) == relation;
    for lead in 0..nodes.leads {
        if (0..lead).any(|other| is(lead, other, Relation::Joined)) {
            weight *= 0.03;
        }
        if !(0..count).any(|other| is(lead, other, Relation::Coil)) {
            weight *= 0.15;
        }
    }
    let joins_a_lead = |node: usize| (0..nodes.leads).any(|lead| is(node, lead, Relation::Joined));
    let alone = |node: usize| (0..count).any(|other| is(node, other, Relation::Coil)) && !joins_a_lead(node);
    if let Some(shield) = nodes.shield_at() {
        weight *= if alone(shield) {
            0.3
        } else if joins_a_lead(shield) {
            0.2
        } else {
            1.0
        };
    }
    if let Some(frame) = nodes.frame_at() {
        let on_shield = nodes.shield_at().is_some_and(|shield| is(shield, frame, Relation::Joined));
        weight *= match (on_shield, alone(frame), joins_a_lead(frame)) {
            (false, true, _) => 0.02,
            (false, false, true) => 0.2,
            _ => 1.0,
        };
    }
    weight
}

#[test]
fn what_is_left_is_the_sum_of_its_wirings() {
    use Relation::{Coil, Joined, Open};
    let known: [&[(usize, usize, Relation)]; 5] = [
        &[],
        &[(0, 1, Coil)],
        &[(0, 1, Joined), (1, 2, Open)],
        &[(0, 1, Coil), (0, 2, Coil), (1, 2, Joined)],
        &[(0, 1, Joined), (0, 2, Coil), (1, 2, Open)],
    ];
    for (leads, shield, frame) in
        [(3, false, false), (3, true, true), (4, true, false), (5, true, true), (6, true, true)]
    {
        let nodes = Nodes { leads, shield, frame };
        for learned in known {
            let mut facts = Facts::default();
            learned.iter().for_each(|(a, b, relation)| facts.learn(*a, *b, *relation));
            let all = wirings(nodes, &facts);
            let left = Left::gone_through(nodes, &facts);
            assert_eq!(left.count, all.len(), "{nodes:?} {learned:?}");
            assert_eq!(left.one, all.last().map(|(wiring, _)| *wiring), "{nodes:?} {learned:?}");
            for (wiring, weight) in &all {
                assert!((weight / how_common(wiring, nodes) - 1.0).abs() < 1e-12, "{nodes:?} {wiring:?}: {weight}");
                let fits = |a: usize, b: usize| facts.between(a, b).is_none_or(|known| known == wiring.relation(a, b));
                assert!((0..nodes.count()).all(|b| (0..b).all(|a| fits(a, b))), "{nodes:?} {wiring:?} {learned:?}");
            }
            for (a, b) in (0..nodes.count()).flat_map(|b| (0..b).map(move |a| (a, b))) {
                for relation in Relation::ALL {
                    let those = all.iter().filter(|(wiring, _)| wiring.relation(a, b) == relation);
                    let sum: f64 = those.clone().map(|(_, weight)| weight).sum();
                    assert!((left.common(a, b, relation) - sum).abs() <= 1e-12 * sum, "{nodes:?} {learned:?} {a} {b}");
                    let always = !all.is_empty() && those.count() == all.len();
                    assert_eq!(left.always(a, b, relation), always, "{nodes:?} {learned:?} {a} {b}");
                }
            }
        }
    }
}

#[test]
fn ten_nodes_are_not_too_many() {
    let nodes = Nodes { leads: 8, shield: true, frame: true };
    let found = wirings(nodes, &Facts::default());
    assert!(found.len() < 400_000, "{}", found.len());
}
