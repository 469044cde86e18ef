//! How a port sees a few resistances: which lie in series, which in parallel.

use std::cmp::Ordering;

/// Which of a few nodes are bonded to each other, of `N` nodes at most.
#[derive(Debug, Clone, Copy)]
pub struct Joints<const N: usize = 48> {
    parent: [u8; N],
}

impl<const N: usize> Default for Joints<N> {
    fn default() -> Self {
        Self { parent: std::array::from_fn(|node| node as u8) }
    }
}

impl<const N: usize> Joints<N> {
    /// Bonds two nodes, numbered from 0 to below `N`; others are left out.
    pub fn bond(&mut self, a: u8, b: u8) {
        let (a, b) = (self.of(a), self.of(b));
        if usize::from(a) < N && usize::from(b) < N {
            self.parent[usize::from(a.max(b))] = a.min(b);
        }
    }

    /// The lowest node that this one is bonded to, itself included.
    #[must_use]
    pub fn of(&self, node: u8) -> u8 {
        let mut node = node;
        // A parent is never above its child, so this ends.
        while let Some(&parent) = self.parent.get(usize::from(node)) {
            if parent == node {
                break;
            }
            node = parent;
        }
        node
    }
}

/// A resistance between two nodes, by its place in a list of values.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Branch {
    /// One node.
    pub from: u8,
    /// The other node.
    pub to: u8,
    /// Its place in the list of values.
    pub value: u8,
}

/// What a port sees, with the same form for the same function: parts are sorted, and no series lies in a series.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Seen {
    /// No path.
    Open,
    /// A path without resistance.
    Short,
    /// One resistance, by its place in the list of values.
    One(u8),
    /// Parts one after the other.
    Series(Vec<Seen>),
    /// Parts beside each other.
    Parallel(Vec<Seen>),
}

impl PartialOrd for Seen {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Ord for Seen {
    fn cmp(&self, other: &Self) -> Ordering {
        let rank = |seen: &Self| match seen {
            Self::Open => 0,
            Self::Short => 1,
            Self::One(_) => 2,
            Self::Series(_) => 3,
            Self::Parallel(_) => 4,
        };
        match (self, other) {
            (Self::One(a), Self::One(b)) => a.cmp(b),
            (Self::Series(a), Self::Series(b)) | (Self::Parallel(a), Self::Parallel(b)) => a.cmp(b),
            _ => rank(self).cmp(&rank(other)),
        }
    }
}

impl Seen {
    /// What the port between `a` and `b` sees of these branches, after bonds; nothing for a bridge, which is neither
    /// series nor parallel and needs [`super::Network`].
    ///
    /// Dead ends are cut off, then resistances that share both nodes, and those that share a node no other touches, are
    /// taken together until one is left.
    #[must_use]
    pub fn of<const N: usize>(branches: &[Branch], joints: &Joints<N>, a: u8, b: u8) -> Option<Self> {
        let (a, b) = (joints.of(a), joints.of(b));
        if a == b {
            return Some(Self::Short);
        }
        let mut left: Vec<(u8, u8, Self)> = branches
            .iter()
            .map(|branch| (joints.of(branch.from), joints.of(branch.to), Self::One(branch.value)))
            .filter(|(from, to, _)| from != to)
            .collect();
        loop {
            if let Some(dead) = dead_end(&left, a, b) {
                left.swap_remove(dead);
            } else if let Some((first, second)) = beside(&left) {
                let (_, _, second) = left.swap_remove(second);
                let first = &mut left[first];
                first.2 = Self::parallel(std::mem::replace(&mut first.2, Self::Open), second);
            } else if let Some((node, first, second)) = in_a_row(&left, a, b) {
                let (from, to, part) = left.swap_remove(second);
                let far = if from == node { to } else { from };
                let first = &mut left[first];
                if first.0 == node {
                    first.0 = far;
                } else {
                    first.1 = far;
                }
                first.2 = Self::series(std::mem::replace(&mut first.2, Self::Open), part);
                left.retain(|(from, to, _)| from != to);
            } else {
                break;
            }
        }
        let at_port = |(from, to): (u8, u8)| (from, to) == (a, b) || (from, to) == (b, a);
        match left.as_slice() {
            [(from, to, seen)] if at_port((*from, *to)) => Some(seen.clone()),
            _ if !left.iter().any(|(from, to, _)| [*from, *to].contains(&a)) => Some(Self::Open),
            _ if !reaches(&left, a, b) => Some(Self::Open),
            // A loop that hangs off the port by one node carries no current; only a true bridge is left.
            _ => None,
        }
    }

    fn series(a: Self, b: Self) -> Self {
        let mut parts = Vec::with_capacity(3);
        for part in [a, b] {
            match part {
                Self::Series(inner) => parts.extend(inner),
                other => parts.push(other),
            }
        }
        parts.sort_unstable();
        Self::Series(parts)
    }

    fn parallel(a: Self, b: Self) -> Self {
        let mut parts = Vec::with_capacity(3);
        for part in [a, b] {
            match part {
                Self::Parallel(inner) => parts.extend(inner),
                other => parts.push(other),
            }
        }
        parts.sort_unstable();
        Self::Parallel(parts)
    }

    /// Its resistance with these values, in ohms: infinite when open. A value that is not in the list is open.
    #[must_use]
    pub fn ohms(&self, values: &[f64]) -> f64 {
        match self {
            Self::Open => f64::INFINITY,
            Self::Short => 0.0,
            Self::One(value) => values.get(usize::from(*value)).copied().unwrap_or(f64::INFINITY),
            Self::Series(parts) => parts.iter().map(|part| part.ohms(values)).sum(),
            Self::Parallel(parts) => 1.0 / parts.iter().map(|part| 1.0 / part.ohms(values)).sum::<f64>(),
        }
    }

    /// Adds to `slopes` how much its resistance changes with each value, times `share`.
    pub fn add_slopes(&self, values: &[f64], share: f64, slopes: &mut [f64]) {
        match self {
            Self::Open | Self::Short => {}
            Self::One(value) => {
                if let Some(slope) = slopes.get_mut(usize::from(*value)) {
                    *slope += share;
                }
            }
            Self::Series(parts) => parts.iter().for_each(|part| part.add_slopes(values, share, slopes)),
            Self::Parallel(parts) => {
                let whole = self.ohms(values);
                for part in parts {
                    let of_part = whole / part.ohms(values);
                    part.add_slopes(values, share * of_part * of_part, slopes);
                }
            }
        }
    }

    /// Whether its resistance depends on this value.
    #[must_use]
    pub fn has(&self, value: u8) -> bool {
        match self {
            Self::Open | Self::Short => false,
            Self::One(own) => *own == value,
            Self::Series(parts) | Self::Parallel(parts) => parts.iter().any(|part| part.has(value)),
        }
    }
}

/// A branch with a node that is no port and that no other branch touches.
fn dead_end(left: &[(u8, u8, Seen)], a: u8, b: u8) -> Option<usize> {
    let touches = |node: u8| left.iter().filter(|(from, to, _)| *from == node || *to == node).count();
    left.iter().position(|(from, to, _)| [*from, *to].into_iter().any(|n| n != a && n != b && touches(n) == 1))
}

/// Two branches that share both nodes.
fn beside(left: &[(u8, u8, Seen)]) -> Option<(usize, usize)> {
    let ends = |i: usize| (left[i].0.min(left[i].1), left[i].0.max(left[i].1));
    (0..left.len()).find_map(|i| (i + 1..left.len()).find(|j| ends(i) == ends(*j)).map(|j| (i, j)))
}

/// Two branches that meet at a node that is no port and that no third one touches.
fn in_a_row(left: &[(u8, u8, Seen)], a: u8, b: u8) -> Option<(u8, usize, usize)> {
    left.iter().flat_map(|(from, to, _)| [*from, *to]).filter(|node| *node != a && *node != b).find_map(|node| {
        let mut here = (0..left.len()).filter(|i| left[*i].0 == node || left[*i].1 == node);
        match (here.next(), here.next(), here.next()) {
            (Some(first), Some(second), None) => Some((node, first, second)),
            _ => None,
        }
    })
}

fn reaches(left: &[(u8, u8, Seen)], a: u8, b: u8) -> bool {
    let mut reached = vec![a];
    let mut looked = 0;
    while let Some(&here) = reached.get(looked) {
        looked += 1;
        for (from, to, _) in left {
            for (near, far) in [(*from, *to), (*to, *from)] {
                if near == here && !reached.contains(&far) {
                    reached.push(far);
                }
            }
        }
    }
    reached.contains(&b)
}
