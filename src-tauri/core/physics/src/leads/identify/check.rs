//! What would best contradict a wiring before it is called sure.

use super::Table;
use super::facts::Measured;
use crate::leads::wirings::{Facts, Wiring, wirings};

/// Something new tells more than the same again: a lead that does not touch its probe may do so twice.
const THE_SAME_AGAIN: f64 = 0.8;

/// A pair to measure.
pub(super) struct Check {
    pub pair: (usize, usize),
    /// Whether it was measured before.
    pub repeats: bool,
}

/// The pair that would show best that a reading was wrong which nothing else has checked; nothing where all are checked, so that
/// no one wrong reading could have hidden another wiring.
pub(super) fn best(table: &Table, measured: &Measured, one: &Wiring) -> Option<Check> {
    let mut others: Vec<((usize, usize), Wiring, f64)> = Vec::new();
    for taken in measured.taken.iter().filter(|taken| !taken.twice && !measured.adds_up(taken.pair)) {
        let mut facts = Facts::default();
        for other in measured.taken.iter().filter(|other| other.pair != taken.pair) {
            facts.learn(other.pair.0, other.pair.1, other.relation);
        }
        let hidden =
            wirings(table.nodes, &facts).into_iter().filter(|(other, _)| !alike(one, other, table.nodes.count()));
        others.extend(hidden.map(|(other, common)| (taken.pair, other, common)));
    }
    let count = table.nodes.count();
    let mut best: Option<(Check, f64)> = None;
    for (a, b) in (0..count).flat_map(|a| (a + 1..count).map(move |b| (a, b))).filter(|(a, b)| table.reachable(*a, *b))
    {
        let before = measured.taken.iter().find(|taken| taken.pair == (a, b));
        if before.is_some_and(|taken| taken.twice) {
            continue;
        }
        let shown = others.iter().filter(|(wrong, other, _)| match before {
            Some(_) => *wrong == (a, b),
            None => other.relation(a, b) != one.relation(a, b),
        });
        let shown: f64 = shown.map(|(.., common)| common).sum();
        let tells = if before.is_some() { THE_SAME_AGAIN * shown } else { shown };
        if tells > 0.0 && best.as_ref().is_none_or(|(_, most)| tells > most * (1.0 + 1e-9)) {
            best = Some((Check { pair: (a, b), repeats: before.is_some() }, tells));
        }
    }
    best.map(|(check, _)| check)
}

fn alike(one: &Wiring, other: &Wiring, count: usize) -> bool {
    (0..count).all(|b| (0..b).all(|a| one.relation(a, b) == other.relation(a, b)))
}
