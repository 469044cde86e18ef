//! What readings say about pairs of nodes, and which of them can't be true together.

use super::{Facts, LeadsFound, Relation, Search, Table};
use crate::meter::{NO_COIL_ABOVE, SHORT_BELOW};
use crate::record::claim::Meter;
use crate::record::quantity::{Ohms, Reading};
use crate::record::words::listed;

/// What was measured, by nodes.
pub(super) struct Measured {
    /// Every pair that was measured, in the order it was first, with what is believed of it.
    pub taken: Vec<PairTaken>,
    /// Coil readings, in ohms, the lower node first.
    pub coils: Vec<(usize, usize, f64)>,
    /// A pair of which nothing can be believed yet: it never read twice alike.
    pub disputed: Option<(usize, usize)>,
    /// Coil readings that are the sum of others, or a part of one: they check each other.
    sums: Vec<(usize, usize)>,
}

/// What is believed of a pair.
#[derive(Clone, Copy)]
pub(super) struct PairTaken {
    pub pair: (usize, usize),
    pub relation: Relation,
    /// Whether it read so twice or more.
    pub twice: bool,
}

impl Measured {
    /// The reading on the coils between two nodes themselves.
    pub fn between(&self, a: usize, b: usize) -> Option<f64> {
        self.coils.iter().find(|(from, to, _)| (*from, *to) == (a.min(b), a.max(b))).map(|(.., ohms)| *ohms)
    }

    /// A coil that was read once only.
    pub fn single_coil(&self) -> Option<(usize, usize)> {
        self.taken.iter().find(|taken| taken.relation == Relation::Coil && !taken.twice).map(|taken| taken.pair)
    }

    /// Whether a reading is checked by a sum it is in.
    pub fn adds_up(&self, pair: (usize, usize)) -> bool {
        self.sums.contains(&pair)
    }

    /// All that follows from the readings, without that of one pair.
    ///
    /// # Errors
    /// What can't be true together, in a sentence.
    pub fn facts(&self, table: &Table, without: Option<(usize, usize)>) -> Result<Facts, String> {
        let mut facts = Facts::default();
        for taken in self.taken.iter().filter(|taken| Some(taken.pair) != without) {
            facts.learn(taken.pair.0, taken.pair.1, taken.relation);
        }
        follow(table, &mut facts)?;
        Ok(facts)
    }
}

/// A pair with its readings, those that are alike together.
type Shown = ((usize, usize), Vec<Vec<Reading>>);

/// Reads the relations off the readings. What can't be is named in `found` and left out.
pub(super) fn of(table: &Table, search: &Search, meter: &Meter, found: &mut LeadsFound) -> Measured {
    let mut shown: Vec<Shown> = Vec::new();
    for taken in &search.readings {
        let [one, other] = &taken.between;
        let Some(pair) = table.pair(&taken.between) else {
            found
                .notes
                .push(format!("The reading between {one} and {other} is left out: there are no such two leads."));
            continue;
        };
        if relation(taken.reading).is_none() {
            let why = match taken.reading {
                Reading::Ohms(Ohms(ohms)) if ohms > NO_COIL_ABOVE => "no coil has so much. Fingers read like this",
                _ => "a resistance can't be less than nothing",
            };
            found.notes.push(format!(
                "{} between {one} and {other} is left out: {why}. Measure it again, hands off the bare metal.",
                taken.reading.shown()
            ));
            continue;
        }
        let at = shown.iter().position(|(other, _)| *other == pair).unwrap_or_else(|| {
            shown.push((pair, Vec::new()));
            shown.len() - 1
        });
        match shown[at].1.iter_mut().find(|alike| alike.iter().all(|before| same(*before, taken.reading, meter))) {
            Some(alike) => alike.push(taken.reading),
            None => shown[at].1.push(vec![taken.reading]),
        }
    }
    let mut measured = Measured { taken: Vec::new(), coils: Vec::new(), disputed: None, sums: Vec::new() };
    for (pair, readings) in &shown {
        found.measured = found.measured.saturating_add(1);
        let most = readings.iter().map(Vec::len).max().unwrap_or(0);
        let mut believed = readings.iter().filter(|alike| alike.len() == most);
        let (Some(alike), None) = (believed.next(), believed.next()) else {
            let [one, other] = [pair.0, pair.1].map(|node| table.said(node));
            let each: Vec<String> = readings.iter().filter_map(|alike| Some(alike.first()?.shown())).collect();
            if most > 1 {
                found.contradictions.push(format!(
                    "{one} and {other} read {} equally often. Strike out what was read wrong.",
                    listed(&each)
                ));
            } else {
                found.notes.push(format!("{one} and {other} read {}.", listed(&each)));
                measured.disputed = measured.disputed.or(Some(*pair));
            }
            continue;
        };
        let Some(first) = alike.first() else { continue };
        if readings.len() > 1 {
            let [one, other] = [pair.0, pair.1].map(|node| table.said(node));
            found.notes.push(format!(
                "{one} and {other} read {} more than once, so that is believed and not the other reading.",
                first.shown()
            ));
        }
        let Some(relation) = relation(*first) else { continue };
        measured.taken.push(PairTaken { pair: *pair, relation, twice: most > 1 });
        if let (Relation::Coil, Some(ohms)) = (relation, first.ohms()) {
            measured.coils.push((pair.0, pair.1, ohms.0));
        }
    }
    measured.sums = sums(&measured.coils, meter);
    measured
}

/// Readings of which one is the sum of the two others, within the meter's claims.
fn sums(coils: &[(usize, usize, f64)], meter: &Meter) -> Vec<(usize, usize)> {
    let mut sums = Vec::new();
    for (at, one) in coils.iter().enumerate() {
        for (next, two) in coils.iter().enumerate().skip(at + 1) {
            for three in coils.iter().skip(next + 1) {
                let mut nodes = [one.0, one.1, two.0, two.1, three.0, three.1];
                nodes.sort_unstable();
                let triangle = nodes[0] == nodes[1] && nodes[2] == nodes[3] && nodes[4] == nodes[5];
                let mut ohms = [one.2, two.2, three.2];
                ohms.sort_by(f64::total_cmp);
                let allowed: f64 = ohms.iter().map(|ohms| meter.claim(Ohms(*ohms)).0).sum();
                if triangle && (ohms[0] + ohms[1] - ohms[2]).abs() <= allowed.max(SHORT_BELOW / 10.0) {
                    sums.extend([one, two, three].map(|(a, b, _)| (*a, *b)));
                }
            }
        }
    }
    sums
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
fn follow(table: &Table, facts: &mut Facts) -> Result<(), String> {
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
                            return Err(format!(
                                "The readings between {a}, {middle} and {b} can't all be right: what {middle} is to each of them \
                                 does not fit what they are to each other. Measure these three pairs again."
                            ));
                        }
                    }
                }
            }
        }
    }
    Ok(())
}
