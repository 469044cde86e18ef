//! What a measurement would show under each cause, and how much it is expected to tell.

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

/// The expected information of an outcome: the entropy of the groups that outcomes can be told apart into.
pub(crate) fn bits(outcomes: &mut [(Outcome, f64)]) -> f64 {
    let key = |outcome: &Outcome| match outcome {
        Outcome::Short => (0, 0.0),
        Outcome::Number(log, _) => (1, *log),
        Outcome::Open => (2, 0.0),
    };
    outcomes.sort_by(|(a, _), (b, _)| {
        let (a, b) = (key(a), key(b));
        a.0.cmp(&b.0).then(a.1.total_cmp(&b.1))
    });
    let all: f64 = outcomes.iter().map(|(_, share)| share).sum();
    let (mut bits, mut group) = (0.0, 0.0);
    let mut before: Option<Outcome> = None;
    let mut close = |group: f64| {
        let share = group / all;
        if share > 0.0 {
            bits -= share * share.log2();
        }
    };
    for (outcome, share) in outcomes.iter() {
        let same = match (before, outcome) {
            (None, _) | (Some(Outcome::Open), Outcome::Open) | (Some(Outcome::Short), Outcome::Short) => true,
            (Some(Outcome::Number(a, one)), Outcome::Number(b, other)) => (b - a).abs() <= APART * one.hypot(*other),
            (Some(Outcome::Open | Outcome::Short | Outcome::Number(..)), _) => false,
        };
        if !same {
            close(group);
            group = 0.0;
        }
        group += share;
        before = Some(*outcome);
    }
    close(group);
    bits
}
