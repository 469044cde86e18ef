//! A small network of resistances: what a meter sees between two of its nodes.

use nalgebra::{DMatrix, DVector};

/// A network of resistances and bonds between numbered nodes.
#[derive(Debug, Clone, Default)]
pub struct Network {
    nodes: usize,
    bonds: Vec<(usize, usize)>,
    resistances: Vec<(usize, usize, f64)>,
}

impl Network {
    /// Adds a node that touches nothing yet.
    pub fn node(&mut self) -> usize {
        self.nodes += 1;
        self.nodes - 1
    }

    /// Joins two nodes without resistance.
    pub fn bond(&mut self, a: usize, b: usize) {
        self.bonds.push((a, b));
    }

    /// Puts a resistance between two nodes, in ohms. One that is not above zero is a bond; one that is not a number or
    /// not finite is open.
    pub fn resistance(&mut self, a: usize, b: usize, ohms: f64) {
        if ohms <= 0.0 {
            self.bond(a, b);
        } else if ohms.is_finite() {
            self.resistances.push((a, b, ohms));
        }
    }

    /// The resistance between two nodes, in ohms; nothing when no path joins them.
    ///
    /// Bonded nodes are merged, so a bond is exactly zero; nodes that no path joins to the first one carry no current
    /// and are left out, so nothing floats. What remains is solved for one ampere.
    #[must_use]
    pub fn between(&self, a: usize, b: usize) -> Option<f64> {
        let merged = self.merged();
        let (from, to) = (*merged.get(a)?, *merged.get(b)?);
        if from == to {
            return Some(0.0);
        }
        let reached = self.reached(from, &merged);
        if !reached.contains(&to) {
            return None;
        }
        // Every reached node but the one that is held at zero volts has a row.
        let unknown: Vec<usize> = reached.into_iter().filter(|node| *node != to).collect();
        let row = |node: usize| unknown.iter().position(|other| *other == node);
        let mut conductance = DMatrix::<f64>::zeros(unknown.len(), unknown.len());
        for &(a, b, ohms) in &self.resistances {
            let (a, b) = (merged[a], merged[b]);
            if a == b {
                continue;
            }
            let g = 1.0 / ohms;
            let (a, b) = (row(a), row(b));
            for node in [a, b].into_iter().flatten() {
                conductance[(node, node)] += g;
            }
            if let (Some(a), Some(b)) = (a, b) {
                conductance[(a, b)] -= g;
                conductance[(b, a)] -= g;
            }
        }
        let mut current = DVector::<f64>::zeros(unknown.len());
        let source = row(from)?;
        current[source] = 1.0;
        conductance.lu().solve(&current).map(|volts| volts[source])
    }

    /// For each node, the lowest node it is bonded to.
    fn merged(&self) -> Vec<usize> {
        let mut lowest: Vec<usize> = (0..self.nodes).collect();
        let mut changed = true;
        while changed {
            changed = false;
            for &(a, b) in &self.bonds {
                if a >= self.nodes || b >= self.nodes {
                    continue;
                }
                let low = lowest[a].min(lowest[b]);
                changed |= lowest[a] != low || lowest[b] != low;
                lowest[a] = low;
                lowest[b] = low;
            }
        }
        lowest
    }

    fn reached(&self, from: usize, merged: &[usize]) -> Vec<usize> {
        let mut reached = vec![from];
        let mut looked = 0;
        while looked < reached.len() {
            let here = reached[looked];
            looked += 1;
            for &(a, b, _) in &self.resistances {
                let (a, b) = (merged[a], merged[b]);
                for (near, far) in [(a, b), (b, a)] {
                    if near == here && !reached.contains(&far) {
                        reached.push(far);
                    }
                }
            }
        }
        reached
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn near(found: Option<f64>, ohms: f64) -> bool {
        found.is_some_and(|found| (found - ohms).abs() <= ohms.abs() * 1e-9)
    }

    #[test]
    fn a_bridge_that_is_not_balanced() {
        let mut bridge = Network::default();
        let [a, b, c, d] = std::array::from_fn(|_| bridge.node());
        for (from, to, ohms) in [(a, b, 1.0), (b, d, 2.0), (a, c, 3.0), (c, d, 4.0), (b, c, 5.0)] {
            bridge.resistance(from, to, ohms);
        }
        // Foster's theorem: over all edges, effective resistance over resistance adds up to the nodes less one.
        let sum: f64 = [(a, b, 1.0), (b, d, 2.0), (a, c, 3.0), (c, d, 4.0), (b, c, 5.0)]
            .into_iter()
            .map(|(from, to, ohms)| bridge.between(from, to).unwrap_or(f64::NAN) / ohms)
            .sum();
        assert!((sum - 3.0).abs() < 1e-12, "{sum}");
    }

    #[test]
    fn bonds_opens_and_what_floats() {
        let mut network = Network::default();
        let [a, b, c, d, e] = std::array::from_fn(|_| network.node());
        network.resistance(a, b, 6660.0);
        network.resistance(c, d, 6680.0);
        assert_eq!(network.between(a, c), None);
        assert_eq!(network.between(a, e), None);
        assert_eq!(network.between(a, 99), None);
        network.bond(b, c);
        assert!(near(network.between(a, d), 13340.0));
        network.bond(a, d);
        assert_eq!(network.between(a, d), Some(0.0));
        assert!(near(network.between(a, b), 6660.0 * 6680.0 / 13340.0));
    }

    proptest! {
        #[test]
        fn scaling_every_resistance_scales_the_reading(
            ohms in prop::collection::vec(1.0_f64..1e6, 6), factor in 0.01_f64..100.0,
        ) {
            let build = |factor: f64| {
                let mut network = Network::default();
                let nodes: [usize; 4] = std::array::from_fn(|_| network.node());
                let pairs = [(0, 1), (0, 2), (0, 3), (1, 2), (1, 3), (2, 3)];
                for ((a, b), ohms) in pairs.into_iter().zip(&ohms) {
                    network.resistance(nodes[a], nodes[b], ohms * factor);
                }
                network.between(nodes[0], nodes[3])
            };
            let one = build(1.0).unwrap_or(f64::NAN);
            prop_assert!(near(build(factor), one * factor));
        }
    }
}
