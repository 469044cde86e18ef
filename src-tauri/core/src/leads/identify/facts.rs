//! What readings say about pairs of nodes, and which of them can't be true together.

use super::{Facts, LeadsFound, Relation, Search, Table};
use crate::meter::{Meter, NO_COIL_ABOVE, SHORT_BELOW};
use crate::quantity::{Ohms, Reading};

/// What was measured, by nodes.
pub(super) struct Measured {
    pub facts: Facts,
    /// Coil readings, in ohms, the lower node first.
    pub coils: Vec<(usize, usize, f64)>,
}

impl Measured {
    /// The reading on the coils between two nodes themselves.
    pub fn between(&self, a: usize, b: usize) -> Option<f64> {
        self.coils.iter().find(|(from, to, _)| (*from, *to) == (a.min(b), a.max(b))).map(|(.., ohms)| *ohms)
    }
}

/// Reads the relations off the readings. What can't be is named in `found` and left out.
pub(super) fn of(table: &Table, search: &Search, meter: &Meter, found: &mut LeadsFound) -> Measured {
    let mut measured = Measured { facts: Facts::default(), coils: Vec::new() };
    let mut shown: Vec<((usize, usize), Reading)> = Vec::new();
    for taken in &search.readings {
        let [one, other] = &taken.between;
        let Some((a, b)) = table.pair(&taken.between) else {
            found
                .notes
                .push(format!("The reading between {one} and {other} is left out: there are no such two leads."));
            continue;
        };
        let Some(relation) = relation(taken.reading) else {
            let why = match taken.reading {
                Reading::Ohms(Ohms(ohms)) if ohms > NO_COIL_ABOVE => "no coil has so much. Fingers read like this",
                _ => "a resistance can't be less than nothing",
            };
            found.notes.push(format!(
                "{} between {one} and {other} is left out: {why}. Measure it again, hands off the bare metal.",
                taken.reading.shown()
            ));
            continue;
        };
        if let Some((_, before)) =
            shown.iter().find(|(pair, before)| *pair == (a, b) && !same(*before, taken.reading, meter))
        {
            found.contradictions.push(format!(
                "{one} and {other} read {} once and {} another time. Measure that pair again.",
                before.shown(),
                taken.reading.shown()
            ));
            continue;
        }
        shown.push(((a, b), taken.reading));
        if measured.facts.between(a, b).is_none() {
            found.measured = found.measured.saturating_add(1);
            measured.facts.learn(a, b, relation);
            if let (Relation::Coil, Some(ohms)) = (relation, taken.reading.ohms()) {
                measured.coils.push((a, b, ohms.0));
            }
        }
    }
    follow(table, &mut measured.facts, found);
    measured
}

/// What one reading says of two nodes; nothing when it can't be a reading on a pickup.
fn relation(reading: Reading) -> Option<Relation> {
    match reading {
        Reading::OverLimit => Some(Relation::Open),
        Reading::Ohms(Ohms(ohms)) if (0.0..SHORT_BELOW).contains(&ohms) => Some(Relation::Joined),
        Reading::Ohms(Ohms(ohms)) if (SHORT_BELOW..=NO_COIL_ABOVE).contains(&ohms) => Some(Relation::Coil),
        Reading::Ohms(_) => None,
    }
}

/// Whether two readings of one pair can both be right.
fn same(a: Reading, b: Reading, meter: &Meter) -> bool {
    match (a, b) {
        (Reading::Ohms(a), Reading::Ohms(b)) => {
            relation(Reading::Ohms(a)) == relation(Reading::Ohms(b))
                && (a.0 - b.0).abs() <= (meter.claim(a).0 + meter.claim(b).0).max(SHORT_BELOW / 10.0)
        }
        (a, b) => relation(a) == relation(b),
    }
}

/// Draws what follows: what is joined to the same is alike, and a path to a path is a path. Names what can't be.
fn follow(table: &Table, facts: &mut Facts, found: &mut LeadsFound) {
    use Relation::{Coil, Joined, Open};
    let count = table.nodes.count();
    let mut changed = true;
    while changed {
        changed = false;
        for middle in 0..count {
            for a in 0..count {
                for b in a + 1..count {
                    if a == middle || b == middle {
                        continue;
                    }
                    let follows = match (facts.between(a, middle), facts.between(middle, b)) {
                        (Some(Joined), Some(other)) | (Some(other), Some(Joined)) => Some(other),
                        (Some(Coil), Some(Open)) | (Some(Open), Some(Coil)) => Some(Open),
                        _ => None,
                    };
                    let Some(follows) = follows else { continue };
                    match facts.between(a, b) {
                        None => {
                            facts.learn(a, b, follows);
                            changed = true;
                        }
                        Some(known) if known == follows => {}
                        Some(_) => {
                            let [a, b, middle] = [a, b, middle].map(|node| table.said(node));
                            found.contradictions.push(format!(
                                "The readings between {a}, {middle} and {b} can't all be right: what {middle} is to each of them \
                                 does not fit what they are to each other. Measure these three pairs again."
                            ));
                            return;
                        }
                    }
                }
            }
        }
    }
}
