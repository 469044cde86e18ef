//! Which wire goes on which lug of a switch, so that each of its positions gives a wanted mode.
//!
//! What is always joined is chosen first, then lug after lug gets one of the groups or nothing. A branch is given up as soon
//! as a position joins what its mode must not join, or costs more than the best so far. Few poles are tried before many.

use super::partitions::{Coils, Does, GROUND, HOT, Partitions};
use crate::record::contacts::ModeSwitch;

/// So many lugs are put on before the search says that it found nothing.
const MOST_STEPS: u64 = 1_500_000;

/// Where everything goes.
#[derive(Debug, Clone, PartialEq)]
pub struct WaysFound {
    /// The way that things are joined whatever the switch does.
    pub always: u16,
    /// For each lug, the thing whose group it belongs to.
    pub lugs: Vec<Option<u8>>,
    /// For each position, the place of its mode in the list; nothing where any will do.
    pub modes: Vec<Option<usize>>,
    /// For each position, the way that things are joined in it.
    pub joined: Vec<u16>,
    cost: f64,
}

/// What a position of the switch has to do.
#[derive(Debug, Clone, Copy)]
pub struct Target {
    /// The way that its mode joins things on the rig; nothing where any will do.
    pub way: Option<u16>,
    /// A thing beside the leads, and how it stands to them.
    pub beside: Option<(usize, Beside)>,
    /// The pickup must not be heard.
    pub silent: bool,
}

/// How a thing beside the leads stands to them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beside {
    /// Joined to nothing.
    Alone,
    /// At ground.
    AtGround,
    /// At the pickup's hot.
    AtHot,
    /// Under the pickup, in the place of ground.
    Under,
}

impl Target {
    /// A mode by the way that it joins things.
    pub fn of(way: u16) -> Self {
        Self { way: Some(way), beside: None, silent: false }
    }
}

pub struct WaySearch<'a> {
    pub ways: &'a Partitions,
    does: Vec<Option<Does>>,
    /// For each mode: the ways that give it, and those that lead to one.
    gives: Vec<Vec<bool>>,
    leads: Vec<Vec<bool>>,
    /// For each position, the pairs of lugs it joins.
    contacts: Vec<Vec<(usize, usize)>>,
    /// The lugs of each pole.
    poles: Vec<Vec<usize>>,
    lugs: usize,
    steps: u64,
}

/// One try: which mode in which position.
struct Try {
    modes: Vec<Option<usize>>,
    order: Vec<usize>,
    /// For each position, the place in `order` after which all of its lugs have been put on.
    settled: Vec<usize>,
    /// The things that stand for the groups of what is always joined.
    labels: Vec<u8>,
    always: u16,
}

impl<'a> WaySearch<'a> {
    /// `targets` are what the modes ask for. Of the things in `bound`, those that are at ground there
    /// must be so here.
    pub fn new(ways: &'a Partitions, coils: &Coils, targets: &[Target], switch: &ModeSwitch, bound: &[usize]) -> Self {
        let does: Vec<Option<Does>> = (0..).take(ways.len()).map(|way| coils.solve(ways.groups(way))).collect();
        let gives: Vec<Vec<bool>> = targets
            .iter()
            .map(|target| (0..).take(ways.len()).map(|way| gives(ways, &does, target, bound, way)).collect())
            .collect();
        let leads = gives.iter().map(|marked| ways.leading_to(marked)).collect();
        let lugs = usize::from(switch.lugs);
        let contacts: Vec<Vec<(usize, usize)>> =
            switch.positions.iter().map(|position| pairs(&position.joined, lugs)).collect();
        let poles = poles(&contacts, lugs);
        Self { ways, does, gives, leads, contacts, poles, lugs, steps: 0 }
    }

    pub fn does(&self, way: u16) -> Option<&Does> {
        self.does.get(usize::from(way)).and_then(Option::as_ref)
    }

    /// The wiring with the fewest wires that gives these modes in these positions.
    pub fn find(&mut self, modes: &[Option<usize>]) -> Option<WaysFound> {
        let mut always: Vec<u16> =
            (0..).take(self.ways.len()).filter(|way| modes.iter().all(|mode| self.may_be(*mode, *way))).collect();
        // Much that is always joined needs few lugs, so good wirings are found early.
        always.sort_by_key(|way| self.ways.how_many(*way));
        for count in 1..=self.poles.len() {
            let mut best: Option<WaysFound> = None;
            for way in &always {
                let mut order: Vec<usize> = self.poles.iter().take(count).flatten().copied().collect();
                order.sort_by_key(|lug| self.rank(*lug));
                let settled = self
                    .contacts
                    .iter()
                    .map(|pairs| {
                        order
                            .iter()
                            .rposition(|lug| pairs.iter().any(|(a, b)| a == lug || b == lug))
                            .map_or(0, |last| last + 1)
                    })
                    .collect();
                let this = Try { modes: modes.to_vec(), order, settled, labels: self.labels(*way), always: *way };
                let joined = vec![*way; self.contacts.len()];
                let mut lugs = vec![None; self.lugs];
                self.put_on(&this, 0, &mut lugs, &joined, 0.0, &mut best);
            }
            if best.is_some() {
                return best;
            }
        }
        None
    }

    /// Lugs that are joined in most positions come first, then those of the first position, and so on.
    fn rank(&self, lug: usize) -> (std::cmp::Reverse<usize>, Option<usize>, usize) {
        let touches = |pairs: &Vec<(usize, usize)>| pairs.iter().any(|(a, b)| *a == lug || *b == lug);
        let many = self.contacts.iter().filter(|pairs| touches(pairs)).count();
        (std::cmp::Reverse(many), self.contacts.iter().position(touches), lug)
    }

    /// Whether a way may still become this mode.
    fn may_be(&self, mode: Option<usize>, way: u16) -> bool {
        match mode.and_then(|mode| self.leads.get(mode)) {
            Some(leads) => leads.get(usize::from(way)).copied().unwrap_or(false),
            None => self.does(way).is_some(),
        }
    }

    fn is(&self, mode: Option<usize>, way: u16) -> bool {
        match mode.and_then(|mode| self.gives.get(mode)) {
            Some(gives) => gives.get(usize::from(way)).copied().unwrap_or(false),
            None => self.does(way).is_some(),
        }
    }

    /// One thing of each group, ground and hot before leads.
    fn labels(&self, way: u16) -> Vec<u8> {
        let groups = self.ways.groups(way);
        (0..self.ways.how_many(way))
            .filter_map(|group| groups.iter().position(|of| usize::from(*of) == group))
            .filter_map(|thing| u8::try_from(thing).ok())
            .collect()
    }

    fn put_on(
        &mut self,
        this: &Try,
        at: usize,
        lugs: &mut Vec<Option<u8>>,
        joined: &[u16],
        cost: f64,
        best: &mut Option<WaysFound>,
    ) {
        self.steps += 1;
        if self.steps > MOST_STEPS || best.as_ref().is_some_and(|best| cost >= best.cost - 1e-9) {
            return;
        }
        for (position, way) in joined.iter().enumerate() {
            let mode = this.modes.get(position).copied().flatten();
            let settled = at >= this.settled.get(position).copied().unwrap_or(0);
            if !(if settled { self.is(mode, *way) } else { self.may_be(mode, *way) }) {
                return;
            }
        }
        let Some(lug) = this.order.get(at).copied() else {
            let hanging: f64 =
                joined.iter().filter_map(|way| self.does(*way)).map(|does| 0.3 * f64::from(does.hanging)).sum();
            let cost = cost + hanging;
            if best.as_ref().is_none_or(|best| cost < best.cost - 1e-9) {
                *best = Some(WaysFound {
                    always: this.always,
                    lugs: lugs.clone(),
                    modes: this.modes.clone(),
                    joined: joined.to_vec(),
                    cost,
                });
            }
            return;
        };
        self.put_on(this, at + 1, lugs, joined, cost, best);
        for label in &this.labels {
            let mut next = joined.to_vec();
            for (way, pairs) in next.iter_mut().zip(&self.contacts) {
                for (a, b) in pairs {
                    let other = if *a == lug {
                        *b
                    } else if *b == lug {
                        *a
                    } else {
                        continue;
                    };
                    if let Some(there) = lugs.get(other).copied().flatten() {
                        *way = self.ways.merge(*way, usize::from(*label), usize::from(there));
                    }
                }
            }
            let wire = match usize::from(*label) {
                // The ground side stays fixed where it can.
                GROUND => 1.1,
                HOT => 1.0,
                // A lead goes to its first lug by itself.
                _ if lugs.contains(&Some(*label)) => 1.0,
                _ => 0.0,
            };
            lugs[lug] = Some(*label);
            self.put_on(this, at + 1, lugs, &next, cost + wire + 0.01, best);
            lugs[lug] = None;
        }
    }
}

/// Whether a way does what is asked for, with things that belong at ground there as far as the mode has them there.
fn gives(ways: &Partitions, does: &[Option<Does>], target: &Target, bound: &[usize], way: u16) -> bool {
    let does = |way: u16| does.get(usize::from(way)).and_then(Option::as_ref);
    let joined = |way: u16, a: usize, b: usize| ways.groups(way).get(a) == ways.groups(way).get(b);
    let Some(here) = does(way) else { return false };
    if target.silent && here.ohms.is_finite() {
        return false;
    }
    let mut as_seen = way;
    if let Some((thing, beside)) = target.beside {
        let alone =
            || ways.groups(way).iter().take(ways.count()).filter(|of| **of == ways.groups(way)[thing]).count() == 1;
        let stands = match beside {
            Beside::Alone => alone(),
            Beside::AtGround => joined(way, thing, GROUND),
            Beside::AtHot => joined(way, thing, HOT),
            // No other way leads to ground.
            Beside::Under => !joined(way, thing, GROUND) && !joined(way, thing, HOT) && here.ohms.is_infinite(),
        };
        if !stands {
            return false;
        }
        if beside == Beside::Under {
            as_seen = ways.merge(way, GROUND, thing);
        }
    }
    let Some(wanted) = target.way else { return true };
    let same = does(wanted).zip(does(as_seen)).is_some_and(|(wanted, does)| wanted.same(does));
    same && bound.iter().filter(|thing| joined(wanted, **thing, GROUND)).all(|thing| joined(as_seen, *thing, GROUND))
}

/// Every pair of lugs that a position joins, by any way through its contacts; lugs counted from 0.
fn pairs(joined: &[Vec<u8>], lugs: usize) -> Vec<(usize, usize)> {
    let mut group: Vec<usize> = (0..lugs).collect();
    for set in joined {
        let here: Vec<usize> =
            set.iter().filter_map(|lug| usize::from(*lug).checked_sub(1)).filter(|lug| *lug < lugs).collect();
        let named: Vec<usize> = here.iter().map(|lug| group[*lug]).collect();
        let Some(least) = named.iter().copied().min() else { continue };
        for of in &mut group {
            if named.contains(of) {
                *of = least;
            }
        }
    }
    (0..lugs).flat_map(|a| (a + 1..lugs).map(move |b| (a, b))).filter(|(a, b)| group[*a] == group[*b]).collect()
}

/// The lugs that can be joined with each other in some position.
fn poles(contacts: &[Vec<(usize, usize)>], lugs: usize) -> Vec<Vec<usize>> {
    let mut group: Vec<usize> = (0..lugs).collect();
    for (a, b) in contacts.iter().flatten() {
        let (low, high) = (group[*a].min(group[*b]), group[*a].max(group[*b]));
        for of in &mut group {
            if *of == high {
                *of = low;
            }
        }
    }
    (0..lugs)
        .map(|first| (0..lugs).filter(|lug| group[*lug] == first).collect())
        .filter(|pole: &Vec<usize>| pole.len() > 1)
        .collect()
}
