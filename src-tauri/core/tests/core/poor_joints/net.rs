//! Resistances between named points, worked out by elimination, and what is wrong among them.

#![allow(clippy::needless_range_loop, reason = "elimination reads best by its indices")]

use std::collections::HashMap;

/// What is wrong in the network.
#[derive(Debug, Clone, Default)]
pub struct Fault {
    /// A joint by its name in the network, with what it has of its own; infinite where it is open.
    pub joint: Option<(String, f64)>,
    /// Grounds that hang on the case of the shared pot, which has no wire to ground.
    pub on_case: Vec<&'static str>,
    /// What is plugged in.
    pub plugged: Option<f64>,
}

/// Resistances between named nodes.
#[derive(Default)]
pub struct Net {
    names: HashMap<String, usize>,
    parts: Vec<(usize, usize, f64)>,
}

impl Net {
    pub fn node(&mut self, name: &str) -> usize {
        let next = self.names.len();
        *self.names.entry(name.to_owned()).or_insert(next)
    }

    pub fn part(&mut self, a: &str, b: &str, ohms: f64) {
        let (a, b) = (self.node(a), self.node(b));
        self.parts.push((a, b, ohms));
    }

    /// A joint that is good unless it is the one that is not.
    pub fn joint(&mut self, name: &str, a: &str, b: &str, fault: &Fault) {
        let ohms = fault.joint.as_ref().filter(|(of, _)| of == name).map_or(0.0, |(_, ohms)| *ohms);
        if ohms.is_finite() {
            self.part(a, b, ohms);
        }
    }

    /// By Gauss: nodes that are joined are one, and one ampere goes in at `a` and out at `b`.
    pub fn between(&mut self, a: &str, b: &str) -> Option<f64> {
        let (a, b) = (self.node(a), self.node(b));
        let mut of: Vec<usize> = (0..self.names.len()).collect();
        for _ in 0..of.len() {
            for (from, to, ohms) in &self.parts {
                if *ohms == 0.0 {
                    let low = of[*from].min(of[*to]);
                    (of[*from], of[*to]) = (low, low);
                }
            }
        }
        let root = |node: usize| of[node];
        let mut near = vec![root(a)];
        for _ in 0..of.len() {
            for (from, to, _) in &self.parts {
                for (here, there) in [(root(*from), root(*to)), (root(*to), root(*from))] {
                    if near.contains(&here) && !near.contains(&there) {
                        near.push(there);
                    }
                }
            }
        }
        if !near.contains(&root(b)) {
            return None;
        }
        if root(a) == root(b) {
            return Some(0.0);
        }
        near.retain(|node| *node != root(b));
        let size = near.len();
        let row = |node: usize| near.iter().position(|other| *other == root(node));
        let mut m = vec![vec![0.0; size + 1]; size];
        for (from, to, ohms) in &self.parts {
            if *ohms == 0.0 || root(*from) == root(*to) {
                continue;
            }
            let (i, j) = (row(*from), row(*to));
            if i.is_none() && j.is_none() {
                continue;
            }
            for i in [i, j].into_iter().flatten() {
                m[i][i] += 1.0 / ohms;
            }
            if let (Some(i), Some(j)) = (i, j) {
                m[i][j] -= 1.0 / ohms;
                m[j][i] -= 1.0 / ohms;
            }
        }
        m[row(a).unwrap()][size] = 1.0;
        for at in 0..size {
            let best = (at..size).max_by(|x, y| m[*x][at].abs().total_cmp(&m[*y][at].abs())).unwrap();
            m.swap(at, best);
            for other in 0..size {
                if other != at {
                    let factor = m[other][at] / m[at][at];
                    for column in at..=size {
                        let take = factor * m[at][column];
                        m[other][column] -= take;
                    }
                }
            }
        }
        let at = row(a).unwrap();
        Some(m[at][size] / m[at][at])
    }
}
