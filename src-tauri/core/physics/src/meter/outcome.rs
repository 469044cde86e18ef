//! What a measurement would show under each cause, and how much it is expected to tell.

use std::cmp::Ordering;

/// Two predictions further apart than this many standard deviations are told apart.
const APART: f64 = 3.5;

/// What a measurement would show, as far as outcomes can be told apart.
#[derive(Clone, Copy)]
pub(crate) enum Outcome {
    Open,
    Short,
    /// The logarithm of the reading, and its uncertainty.
    Number(f64, f64),
}

/// Where an outcome comes among others: short, then numbers by size, then open.
fn order(a: &Outcome, b: &Outcome) -> Ordering {
    let key = |outcome: &Outcome| match outcome {
        Outcome::Short => (0, 0.0),
        Outcome::Number(log, _) => (1, *log),
        Outcome::Open => (2, 0.0),
    };
    let (a, b) = (key(a), key(b));
    a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
}

/// Whether an outcome can't be told apart from the one before it.
fn same(before: &Outcome, outcome: &Outcome) -> bool {
    match (before, outcome) {
        (Outcome::Open, Outcome::Open) | (Outcome::Short, Outcome::Short) => true,
        (Outcome::Number(a, one), Outcome::Number(b, other)) => (b - a).abs() <= APART * one.hypot(*other),
        (Outcome::Open | Outcome::Short | Outcome::Number(..), _) => false,
    }
}

/// The expected information of an outcome: the entropy of the groups that outcomes can be told apart into.
pub(crate) fn bits(outcomes: &mut [(Outcome, f64)]) -> f64 {
    outcomes.sort_by(|(a, _), (b, _)| order(a, b));
    let all: f64 = outcomes.iter().map(|(_, share)| share).sum();
    let (mut bits, mut group) = (0.0, 0.0);
    let mut before: Option<&Outcome> = None;
    let mut close = |group: f64| {
        let share = group / all;
        if share > 0.0 {
            bits -= share * share.log2();
        }
    };
    for (outcome, share) in outcomes.iter() {
        if before.is_some_and(|before| !same(before, outcome)) {
            close(group);
            group = 0.0;
        }
        group += share;
        before = Some(outcome);
    }
    close(group);
    bits
}

/// How likely one of the outcomes leaves one cause nearly alone: `sure` is the share that it must have. `includes` says whether
/// the cause of one outcome, by its place, holds that of another.
pub(crate) fn settles(outcomes: &[(Outcome, f64)], sure: f64, includes: impl Fn(usize, usize) -> bool) -> f64 {
    let mut places: Vec<usize> = (0..outcomes.len()).collect();
    places.sort_by(|a, b| order(&outcomes[*a].0, &outcomes[*b].0));
    let share = |place: &usize| outcomes[*place].1;
    let all: f64 = places.iter().map(share).sum();
    let groups = places.chunk_by(|a, b| same(&outcomes[*a].0, &outcomes[*b].0));
    let settled = groups.filter_map(|group| {
        let whole: f64 = group.iter().map(share).sum();
        let first = group.iter().max_by(|a, b| share(a).total_cmp(&share(b)))?;
        let with_first: f64 = group.iter().filter(|place| includes(**place, *first)).map(share).sum();
        (with_first >= sure * whole).then_some(whole)
    });
    if all > 0.0 { settled.sum::<f64>() / all } else { 0.0 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_measurement_settles_what_it_leaves_alone() {
        let number = |ohms: f64| Outcome::Number(ohms.ln(), 0.01);
        let same = |a: usize, b: usize| a == b;
        // Each its own outcome: whatever is read, one is left.
        let apart = [(Outcome::Open, 0.5), (number(6660.0), 0.3), (Outcome::Short, 0.2)];
        assert!((settles(&apart, 0.9, same) - 1.0).abs() < 1e-12);
        // Two that read alike stay two, unless one is the other with something added.
        let alike = [(Outcome::Open, 0.5), (number(6660.0), 0.3), (number(6670.0), 0.2)];
        assert!((settles(&alike, 0.9, same) - 0.5).abs() < 1e-12);
        assert!((settles(&alike, 0.9, |a, b| a == b || (a, b) == (2, 1)) - 1.0).abs() < 1e-12);
        assert!(settles(&[], 0.9, same).abs() < 1e-12);
    }
}
