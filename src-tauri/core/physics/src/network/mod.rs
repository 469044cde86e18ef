//! A small network of resistances, coils and capacitances: what a meter sees between two of its nodes.
//!
//! [`Network`] solves any network, with complex values, for one port. [`Seen`] says in what order a port sees a few
//! resistances in series and in parallel, which is what a sentence needs and what many causes are compared by.

mod seen;

use nalgebra::{Complex, DMatrix, DVector};

pub use seen::{Branch, Joints, Seen};

use crate::record::quantity::{Ohms, Reading};

/// An impedance, in ohms: the real part is resistance.
pub type Impedance = Complex<f64>;

/// A network of impedances and bonds between numbered nodes.
///
/// ```
/// use solderlast_physics::network::Network;
///
/// // Two coils of 8 kΩ beside each other, and a lead that hangs free.
/// let mut rig = Network::default();
/// let [hot, cold, free] = [rig.node(), rig.node(), rig.node()];
/// rig.resistance(hot, cold, 8000.0);
/// rig.resistance(hot, cold, 8000.0);
/// assert!(rig.between(hot, cold).is_some_and(|ohms| (ohms.re - 4000.0).abs() < 1e-6));
/// assert_eq!(rig.between(hot, free), None);
/// ```
#[derive(Debug, Clone, Default)]
pub struct Network {
    nodes: usize,
    bonds: Vec<(usize, usize)>,
    branches: Vec<(usize, usize, Impedance)>,
}

impl Network {
    /// Adds a node that touches nothing yet.
    pub fn node(&mut self) -> usize {
        self.nodes += 1;
        self.nodes - 1
    }

    /// Joins two nodes without resistance. A node that was never added is left out.
    pub fn bond(&mut self, a: usize, b: usize) {
        if a < self.nodes && b < self.nodes {
            self.bonds.push((a, b));
        }
    }

    /// Puts a resistance between two nodes, in ohms. One that is not above zero is a bond; one that is not a number or
    /// not finite is open.
    pub fn resistance(&mut self, a: usize, b: usize, ohms: f64) {
        if ohms <= 0.0 {
            self.bond(a, b);
        } else {
            self.impedance(a, b, Impedance::new(ohms, 0.0));
        }
    }

    /// Puts an impedance between two nodes, in ohms. Exactly zero is a bond; one that is not finite is open.
    pub fn impedance(&mut self, a: usize, b: usize, ohms: Impedance) {
        if ohms.re == 0.0 && ohms.im == 0.0 {
            self.bond(a, b);
        } else if ohms.re.is_finite() && ohms.im.is_finite() && a < self.nodes && b < self.nodes {
            self.branches.push((a, b, ohms));
        }
    }

    /// The impedance between two nodes, in ohms; nothing when no path joins them.
    #[must_use]
    pub fn between(&self, a: usize, b: usize) -> Option<Impedance> {
        self.driven(a, b).and_then(|volts| *volts.get(a)?)
    }

    /// The voltage of each node against `to` when one ampere goes in at `from` and out at `to`; nothing for a node that no
    /// path joins to them. Nothing at all when no path joins the two.
    ///
    /// Bonded nodes are merged, so a bond is exactly zero; nodes that no path joins to the first one carry no current
    /// and are left out, so nothing floats.
    #[must_use]
    pub fn driven(&self, from: usize, to: usize) -> Option<Vec<Option<Impedance>>> {
        let zero = Impedance::new(0.0, 0.0);
        let merged = self.merged();
        let (from, to) = (*merged.get(from)?, *merged.get(to)?);
        let reached = self.reached(from, &merged);
        if !reached.contains(&to) {
            return None;
        }
        if from == to {
            // What goes in and out at the same node drops no voltage anywhere.
            return Some(merged.iter().map(|node| reached.contains(node).then_some(zero)).collect());
        }
        // Every reached node but the one that is held at zero volts has a row.
        let unknown: Vec<usize> = reached.into_iter().filter(|node| *node != to).collect();
        let row = |node: usize| unknown.iter().position(|other| *other == node);
        let mut admittance = DMatrix::<Impedance>::zeros(unknown.len(), unknown.len());
        for &(a, b, ohms) in &self.branches {
            let (a, b) = (merged[a], merged[b]);
            if a == b {
                continue;
            }
            let one_over = ohms.inv();
            let (a, b) = (row(a), row(b));
            for node in [a, b].into_iter().flatten() {
                admittance[(node, node)] += one_over;
            }
            if let (Some(a), Some(b)) = (a, b) {
                admittance[(a, b)] -= one_over;
                admittance[(b, a)] -= one_over;
            }
        }
        let mut current = DVector::<Impedance>::zeros(unknown.len());
        if let Some(source) = row(from) {
            current[source] = Impedance::new(1.0, 0.0);
        }
        let volts = admittance.lu().solve(&current)?;
        let of = |node: usize| if node == to { Some(zero) } else { row(node).map(|row| volts[row]) };
        Some(merged.iter().map(|node| of(*node)).collect())
    }

    /// The resistance between two nodes, in ohms; nothing when no path joins them.
    #[must_use]
    pub fn resistance_between(&self, a: usize, b: usize) -> Option<f64> {
        self.between(a, b).map(|impedance| impedance.re)
    }

    /// What a meter shows between two nodes that reads up to `limit`: over limit past it, and where no path joins them.
    #[must_use]
    pub fn reading(&self, a: usize, b: usize, limit: Ohms) -> Reading {
        match self.resistance_between(a, b) {
            Some(ohms) if ohms <= limit.0 => Reading::Ohms(Ohms(ohms)),
            Some(_) | None => Reading::OverLimit,
        }
    }

    /// For each node, the lowest node it is bonded to.
    fn merged(&self) -> Vec<usize> {
        let mut lowest: Vec<usize> = (0..self.nodes).collect();
        let mut changed = true;
        while changed {
            changed = false;
            for &(a, b) in &self.bonds {
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
            for &(a, b, _) in &self.branches {
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
mod tests;
