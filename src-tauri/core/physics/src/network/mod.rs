//! A small network of resistances, coils and capacitances: what a meter sees between two of its nodes.
//!
//! [`Network`] solves any network, with complex values, for one port: a direct current is one of no frequency. [`Seen`] says in what order a port sees a few
//! resistances in series and in parallel, which is what a sentence needs and what many causes are compared by.

mod answer;
mod seen;

use std::f64::consts::TAU;

use nalgebra::{Complex, DMatrix, DVector};

pub use answer::Answer;
pub use seen::{Branch, Joints, Node, Seen};

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
    branches: Vec<(usize, usize, Branching)>,
    windings: Vec<(usize, usize)>,
    /// Of two windings, the second not after the first: what the current in one induces in the other, in henries.
    mutual: Vec<(usize, usize, f64)>,
}

/// What lies between two nodes.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Branching {
    /// The same at every frequency, in ohms.
    Impedance(Impedance),
    /// In farads.
    Capacitance(f64),
}

/// A winding of a network, by its number.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Winding(usize);

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
            self.branches.push((a, b, Branching::Impedance(ohms)));
        }
    }

    /// Puts a capacitance between two nodes, in farads. One that is not above zero or not finite is none.
    pub fn capacitance(&mut self, a: usize, b: usize, farads: f64) {
        if farads > 0.0 && farads.is_finite() && a < self.nodes && b < self.nodes {
            self.branches.push((a, b, Branching::Capacitance(farads)));
        }
    }

    /// Puts a winding without resistance between two nodes, in henries, above zero; nothing when it is not, or when a node was
    /// never added. A voltage induced in it counts from `b` to `a`.
    pub fn winding(&mut self, a: usize, b: usize, henries: f64) -> Option<Winding> {
        if !(henries > 0.0 && henries.is_finite() && a < self.nodes && b < self.nodes) {
            return None;
        }
        let winding = self.windings.len();
        self.windings.push((a, b));
        self.mutual.push((winding, winding, henries));
        Some(Winding(winding))
    }

    /// Couples two windings by `k`, from −1 to 1: the part of one's flux that goes through the other, below zero where
    /// currents into their first nodes work against each other. A `k` of 1 or more, or no number, couples nothing.
    pub fn couple(&mut self, one: Winding, other: Winding, k: f64) {
        let own = |of: Winding| self.mutual.iter().find(|(a, b, _)| (*a, *b) == (of.0, of.0)).map(|(.., own)| *own);
        if let (Some(a), Some(b), true) = (own(one), own(other), k.abs() < 1.0 && one != other) {
            self.mutual.push((one.0.max(other.0), one.0.min(other.0), k * (a * b).sqrt()));
        }
    }

    /// The impedance between two nodes for a direct current, in ohms; nothing when no path joins them.
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
        let laid = self.laid(from, to, 0.0)?;
        if laid.from == laid.to {
            // What goes in and out at the same node drops no voltage anywhere.
            return Some(laid.merged.iter().map(|node| laid.reached.contains(node).then_some(zero)).collect());
        }
        let volts = laid.at(0.0).lu().solve(&laid.current())?;
        let of = |node: usize| if node == laid.to { Some(zero) } else { laid.row(node).map(|row| volts[row]) };
        Some(laid.merged.iter().map(|node| of(*node)).collect())
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

    /// All equations for what `from` is joined to, `to` held at zero volts; nothing when no path joins the two.
    fn laid(&self, from: usize, to: usize, hertz: f64) -> Option<Laid> {
        let merged = self.merged();
        let (from, to) = (*merged.get(from)?, *merged.get(to)?);
        let reached = self.reached(from, &merged, hertz > 0.0);
        if !reached.contains(&to) {
            return None;
        }
        // Every reached node but the one that is held at zero volts has a row, then every winding.
        let mut unknown: Vec<usize> = reached.iter().copied().filter(|node| *node != to).collect();
        if hertz > 0.0 {
            self.add_coupled(&mut unknown, &reached, &merged);
        }
        let here = |node: usize| reached.contains(&node) || unknown.contains(&node);
        let here = |(a, b): (usize, usize)| here(merged[a]) || here(merged[b]);
        let windings = (0..self.windings.len()).filter(|at| here(self.windings[*at])).collect();
        let size = unknown.len();
        let mut laid = Laid {
            from,
            to,
            merged,
            reached,
            unknown,
            windings,
            steady: DMatrix::zeros(0, 0),
            per_radian: DMatrix::zeros(0, 0),
        };
        let size = size + laid.windings.len();
        let (mut steady, mut per_radian) = (DMatrix::zeros(size, size), DMatrix::zeros(size, size));
        for &(a, b, branch) in &self.branches {
            let (a, b) = (laid.row(laid.merged[a]), laid.row(laid.merged[b]));
            if a == b {
                continue;
            }
            match branch {
                Branching::Impedance(ohms) => between(&mut steady, a, b, ohms.inv()),
                Branching::Capacitance(farads) => between(&mut per_radian, a, b, farads),
            }
        }
        for (at, winding) in laid.windings.iter().enumerate() {
            let current = laid.unknown.len() + at;
            let (a, b) = self.windings[*winding];
            for (node, way) in [(a, 1.0), (b, -1.0)] {
                if let Some(row) = laid.row(laid.merged[node]) {
                    steady[(row, current)] += Impedance::new(way, 0.0);
                    steady[(current, row)] += Impedance::new(way, 0.0);
                }
            }
        }
        for &(a, b, henries) in &self.mutual {
            if let (Some(a), Some(b)) = (laid.winding_row(a), laid.winding_row(b)) {
                per_radian[(a, b)] -= henries;
                if a != b {
                    per_radian[(b, a)] -= henries;
                }
            }
        }
        (laid.steady, laid.per_radian) = (steady, per_radian);
        Some(laid)
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

    /// Adds the nodes of parts that no path joins to these, but a winding that is coupled to one of theirs. One node of each such
    /// part is held at zero volts, so that it does not float.
    fn add_coupled(&self, unknown: &mut Vec<usize>, reached: &[usize], merged: &[usize]) {
        let mut here: Vec<usize> = reached.to_vec();
        let node = |winding: usize| merged[self.windings[winding].0];
        while let Some(beyond) = self.mutual.iter().find_map(|(a, b, _)| match [node(*a), node(*b)] {
            [a, b] if here.contains(&a) && !here.contains(&b) => Some(b),
            [a, b] if here.contains(&b) && !here.contains(&a) => Some(a),
            _ => None,
        }) {
            let part = self.reached(beyond, merged, true);
            unknown.extend(part.iter().filter(|node| **node != beyond));
            here.extend(part);
        }
    }

    /// The nodes that a path joins to this one; a capacitance is a path for an alternating current alone.
    fn reached(&self, from: usize, merged: &[usize], alternating: bool) -> Vec<usize> {
        let branches =
            self.branches.iter().filter(|(.., branch)| alternating || matches!(branch, Branching::Impedance(_)));
        let paths: Vec<(usize, usize)> = branches
            .map(|(a, b, _)| (merged[*a], merged[*b]))
            .chain(self.windings.iter().map(|(a, b)| (merged[*a], merged[*b])))
            .collect();
        let mut reached = vec![from];
        let mut looked = 0;
        while looked < reached.len() {
            let here = reached[looked];
            looked += 1;
            for &(a, b) in &paths {
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

/// Adds what lies between two rows, of which one may be the node at zero volts.
fn between<T: nalgebra::Scalar + std::ops::AddAssign + std::ops::SubAssign + Copy>(
    matrix: &mut DMatrix<T>,
    a: Option<usize>,
    b: Option<usize>,
    conducts: T,
) {
    for row in [a, b].into_iter().flatten() {
        matrix[(row, row)] += conducts;
    }
    if let (Some(a), Some(b)) = (a, b) {
        matrix[(a, b)] -= conducts;
        matrix[(b, a)] -= conducts;
    }
}

/// The equations of a network: `steady + j·ω·per_radian`, a row a node and then a row a winding.
#[derive(Debug, Clone)]
struct Laid {
    from: usize,
    to: usize,
    merged: Vec<usize>,
    reached: Vec<usize>,
    unknown: Vec<usize>,
    windings: Vec<usize>,
    steady: DMatrix<Impedance>,
    per_radian: DMatrix<f64>,
}

impl Laid {
    fn row(&self, node: usize) -> Option<usize> {
        self.unknown.iter().position(|other| *other == node)
    }

    fn winding_row(&self, winding: usize) -> Option<usize> {
        self.windings.iter().position(|other| *other == winding).map(|at| self.unknown.len() + at)
    }

    fn at(&self, hertz: f64) -> DMatrix<Impedance> {
        let radians = TAU * hertz;
        self.steady.zip_map(&self.per_radian, |steady, per_radian| steady + Impedance::new(0.0, radians * per_radian))
    }

    /// One ampere into the first node.
    fn current(&self) -> DVector<Impedance> {
        let mut current = DVector::zeros(self.steady.nrows());
        if let Some(source) = self.row(self.from) {
            current[source] = Impedance::new(1.0, 0.0);
        }
        current
    }
}

#[cfg(test)]
mod tests;
