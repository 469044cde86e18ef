//! Networks whose answers are known, and the agreement of both ways to solve one.

use std::f64::consts::TAU;

use proptest::prelude::*;

use super::*;

fn near(found: Option<f64>, ohms: f64) -> bool {
    found.is_some_and(|found| (found - ohms).abs() <= ohms.abs() * 1e-9)
}

fn with_nodes<const N: usize>() -> (Network, [usize; N]) {
    let mut network = Network::default();
    let nodes = std::array::from_fn(|_| network.node());
    (network, nodes)
}

#[test]
fn a_bridge_that_is_not_balanced() {
    let (mut bridge, [a, b, c, d]) = with_nodes();
    let edges = [(a, b, 1.0), (b, d, 2.0), (a, c, 3.0), (c, d, 4.0), (b, c, 5.0)];
    for (from, to, ohms) in edges {
        bridge.resistance(from, to, ohms);
    }
    // Foster's theorem: over all edges, effective resistance over resistance adds up to the nodes less one.
    let sum: f64 =
        edges.into_iter().map(|(from, to, ohms)| bridge.resistance_between(from, to).unwrap_or(f64::NAN) / ohms).sum();
    assert!((sum - 3.0).abs() < 1e-12, "{sum}");
}

#[test]
fn bonds_opens_and_what_floats() {
    let (mut network, [a, b, c, d, e]) = with_nodes();
    network.resistance(a, b, 6660.0);
    network.resistance(c, d, 6680.0);
    assert_eq!(network.between(a, c), None);
    assert_eq!(network.between(a, e), None);
    assert_eq!(network.between(a, 99), None);
    network.bond(b, c);
    network.bond(b, 99);
    assert!(near(network.resistance_between(a, d), 13340.0));
    network.bond(a, d);
    assert_eq!(network.resistance_between(a, d), Some(0.0));
    assert!(near(network.resistance_between(a, b), 6660.0 * 6680.0 / 13340.0));
}

#[test]
fn past_its_limit_a_meter_shows_over_limit() {
    let (mut network, [a, b, c]) = with_nodes();
    network.resistance(a, b, 4_194_304.0);
    assert_eq!(network.reading(a, b, Ohms(2e6)), Reading::OverLimit);
    assert_eq!(network.reading(a, b, Ohms(2e7)), Reading::Ohms(Ohms(4_194_304.0)));
    assert_eq!(network.reading(a, c, Ohms(2e7)), Reading::OverLimit);
    assert_eq!(network.reading(a, a, Ohms(2e7)), Reading::Ohms(Ohms(0.0)));
}

#[test]
fn what_is_no_number_is_open_and_what_is_not_above_zero_is_a_bond() {
    for (ohms, expected) in
        [(f64::NAN, None), (f64::INFINITY, None), (0.0, Some(0.0)), (-4.0, Some(0.0)), (f64::NEG_INFINITY, Some(0.0))]
    {
        let (mut network, [a, b]) = with_nodes();
        network.resistance(a, b, ohms);
        assert_eq!(network.resistance_between(a, b), expected, "{ohms}");
    }
}

/// A coil with a capacitance across it: at 1/√(LC) the two admittances cancel but for the coil's resistance.
#[test]
fn a_coil_and_a_capacitance_across_it() {
    let (l, r, c) = (2.5, 6660.0, 470e-12);
    for hertz in [82.41, 1000.0, 4000.0, 12_000.0] {
        let w = TAU * hertz;
        let (mut network, [a, middle, b]) = with_nodes();
        network.resistance(a, middle, r);
        network.impedance(middle, b, Impedance::new(0.0, w * l));
        network.impedance(a, b, Impedance::new(0.0, -1.0 / (w * c)));
        let coil = Impedance::new(r, w * l);
        let expected = coil / (Impedance::new(1.0 - w * w * l * c, w * r * c));
        let found = network.between(a, b).unwrap_or_default();
        assert!((found - expected).norm() < expected.norm() * 1e-9, "{hertz} Hz: {found} {expected}");
    }
}

#[test]
fn a_bridge_is_neither_in_series_nor_in_parallel() {
    let edge = |from, to, value| Branch { from: Node(from), to: Node(to), value };
    let bridge = [edge(0, 2, 0), edge(2, 1, 1), edge(0, 3, 2), edge(3, 1, 3), edge(2, 3, 4)];
    assert_eq!(Seen::of(&bridge, &<Joints>::default(), Node(0), Node(1)), None);
    assert!(Seen::of(&bridge[..4], &<Joints>::default(), Node(0), Node(1)).is_some());
}

#[test]
fn the_same_function_has_the_same_form() {
    let edge = |from, to, value| Branch { from: Node(from), to: Node(to), value };
    let mut joints = <Joints>::default();
    joints.bond(Node(1), Node(2));
    let there = Seen::of(&[edge(0, 1, 0), edge(2, 3, 1)], &joints, Node(0), Node(3));
    let back = Seen::of(&[edge(1, 0, 0), edge(3, 2, 1)], &joints, Node(3), Node(0));
    let other = Seen::of(&[edge(3, 1, 0), edge(2, 0, 1)], &joints, Node(0), Node(3));
    assert_eq!(there, Some(Seen::Series(vec![Seen::One(0), Seen::One(1)])));
    assert_eq!((&there, &there), (&back, &other));
    // A loop that hangs off one side carries no current.
    let hanging = [edge(0, 3, 0), edge(0, 4, 1), edge(4, 5, 2), edge(5, 0, 0)];
    assert_eq!(Seen::of(&hanging, &<Joints>::default(), Node(0), Node(3)), Some(Seen::One(0)));
}

proptest! {
    #[test]
    fn scaling_every_resistance_scales_the_reading(
        ohms in prop::collection::vec(1.0_f64..1e6, 6), factor in 0.01_f64..100.0,
    ) {
        let build = |factor: f64| {
            let (mut network, nodes) = with_nodes::<4>();
            let pairs = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)];
            for ((a, b), ohms) in pairs.into_iter().zip(&ohms) {
                network.resistance(nodes[a], nodes[b], ohms * factor);
            }
            network.resistance_between(nodes[0], nodes[3])
        };
        let one = build(1.0).unwrap_or(f64::NAN);
        prop_assert!(near(build(factor), one * factor));
    }

    /// Series and parallel by form, and the solver, find the same; so do the slopes and a small step.
    #[test]
    fn both_ways_find_the_same(
        edges in prop::collection::vec((0_u8..7, 0_u8..7, 10.0_f64..1e6), 0..6),
        bonds in prop::collection::vec((0_u8..7, 0_u8..7), 0..4),
        port in (0_u8..7, 0_u8..7),
    ) {
        let values: Vec<f64> = edges.iter().map(|edge| edge.2).collect();
        let (mut network, nodes) = with_nodes::<7>();
        let mut joints = <Joints>::default();
        for (from, to, ohms) in &edges {
            network.resistance(nodes[usize::from(*from)], nodes[usize::from(*to)], *ohms);
        }
        for (a, b) in bonds {
            network.bond(nodes[usize::from(a)], nodes[usize::from(b)]);
            joints.bond(Node(a), Node(b));
        }
        let branches: Vec<Branch> =
            (0..).zip(&edges).map(|(value, (from, to, _))| Branch { from: Node(*from), to: Node(*to), value }).collect();
        let solved = network.resistance_between(nodes[usize::from(port.0)], nodes[usize::from(port.1)]);
        if let Some(seen) = Seen::of(&branches, &joints, Node(port.0), Node(port.1)) {
            match solved {
                None => prop_assert_eq!(&seen, &Seen::Open),
                Some(0.0) => prop_assert_eq!(&seen, &Seen::Short),
                Some(ohms) => prop_assert!(near(Some(seen.ohms(&values)), ohms), "{:?} {}", seen, ohms),
            }
            let mut slopes = vec![0.0; values.len()];
            seen.add_slopes(&values, 1.0, &mut slopes);
            for (at, slope) in slopes.into_iter().enumerate() {
                // A step to both sides, wide enough that rounding of a far larger resistance does not drown it.
                let step = values[at] * 1e-3;
                let moved = |by: f64| {
                    let mut moved = values.clone();
                    moved[at] += by;
                    seen.ohms(&moved)
                };
                let found = (moved(step) - moved(-step)) / (2.0 * step);
                prop_assert!(solved.is_none() || (found - slope).abs() < 1e-4, "{} {}", found, slope);
            }
        } else {
            prop_assert!(solved.is_some_and(|ohms| ohms > 0.0));
        }
    }
}
