//! Leads found out for every wiring there can be: always right, or honestly unsure.

use std::collections::HashMap;

use solderlast_core::physics::leads::{
    Facts, MOST_NODES, Nodes, PairReading, Relation, Search, Wiring, identify, wirings,
};
use solderlast_core::physics::network::Network;
use solderlast_core::record::claim::Meter;
use solderlast_core::record::leads::{Contact, LeadName};
use solderlast_core::record::quantity::{Ohms, Reading};

/// The coils of a pickup in a row, in ohms: no one is the sum of others, so a meter can tell them apart.
const COILS: [f64; 3] = [5200.0, 6900.0, 8600.0];

/// A pickup wired like this: the points of each part lie in a row, in the order of their numbers, a coil from each to the next.
struct OnTheBench {
    network: Network,
    nodes: Vec<usize>,
    /// Pairs of nodes with one coil between them.
    coils: Vec<(usize, usize)>,
}

impl OnTheBench {
    fn new(wiring: &Wiring, count: usize) -> Self {
        let mut network = Network::default();
        let nodes: Vec<usize> = (0..count).map(|_| network.node()).collect();
        let mut points: Vec<(u8, u8)> = (0..count).map(|at| (wiring.part[at], wiring.point[at])).collect();
        points.sort_unstable();
        points.dedup();
        let first = |point: (u8, u8)| (0..count).find(|at| (wiring.part[*at], wiring.point[*at]) == point).unwrap_or(0);
        for at in 0..count {
            let to = first((wiring.part[at], wiring.point[at]));
            if to != at {
                network.bond(nodes[to], nodes[at]);
            }
        }
        let mut coils = Vec::new();
        for pair in points.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
            network.resistance(nodes[first(pair[0])], nodes[first(pair[1])], COILS[coils.len() % COILS.len()]);
            coils.push((first(pair[0]), first(pair[1])));
        }
        Self { network, nodes, coils }
    }
}

/// What following the suggested pairs came to.
struct Found {
    /// Measurements until one wiring was left.
    until_one: usize,
    /// Measurements until it was called sure, or nothing was left to measure.
    measured: usize,
    /// What each pair that was measured is.
    read: Vec<Relation>,
    end: End,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum End {
    /// Sure, and it is so.
    Right,
    /// Sure, and it is not so.
    Wrong,
    /// Not sure.
    Open,
}

/// Follows its own next pair to the end. One reading, counted from 0, may show another relation than there is.
fn find_out_with(nodes: Nodes, wiring: &Wiring, wrong: Option<(usize, Relation)>) -> Found {
    let leads: Vec<LeadName> = (0..nodes.leads).map(|at| LeadName(format!("lead {at}"))).collect();
    let mut names: Vec<Contact> = leads.iter().map(Contact::from).collect();
    names.extend(nodes.shield.then_some(Contact::Shield));
    names.extend(nodes.frame.then_some(Contact::Frame));
    let at = |name: &Contact| names.iter().position(|other| other == name).unwrap();
    let bench = OnTheBench::new(wiring, nodes.count());
    let mut search =
        Search { leads, shield: nodes.shield, frame: nodes.frame, readings: Vec::new(), out_of_reach: Vec::new() };
    let pairs = names.len() * (names.len() - 1) / 2;
    let (mut until_one, mut read) = (None, Vec::new());
    loop {
        let found = identify(&search, &Meter::plain());
        let measured = search.readings.len();
        if wrong.is_none() {
            assert!(found.contradictions.is_empty(), "{nodes:?} {wiring:?}: {found:#?}");
        }
        if found.sure || found.checking {
            until_one = until_one.or(Some(measured));
        }
        if let Some(next) = found.next.as_ref().filter(|_| found.contradictions.is_empty()) {
            let [a, b] = [at(&next.between[0]), at(&next.between[1])];
            let reading = match wrong {
                Some((here, Relation::Joined)) if here == measured => Reading::Ohms(Ohms(0.2)),
                Some((here, Relation::Coil)) if here == measured => Reading::Ohms(Ohms(7700.0)),
                Some((here, Relation::Open)) if here == measured => Reading::OverLimit,
                _ => bench.network.reading(bench.nodes[a], bench.nodes[b], Ohms(4e7)),
            };
            search.readings.push(PairReading { between: next.between.clone(), reading });
            read.push(wiring.relation(a, b));
            // Each pair twice, and one of them a third time after one wrong reading.
            assert!(
                search.readings.len() <= 2 * pairs + 1,
                "{nodes:?} {wiring:?}: it does not come to an end: {search:?}"
            );
            continue;
        }
        let same = |a: usize, b: usize| wiring.relation(a, b) == Relation::Joined || a == b;
        let there = |coil: &[Contact; 2]| {
            let [a, b] = [at(&coil[0]), at(&coil[1])];
            bench.coils.iter().any(|(from, to)| (same(a, *from) && same(b, *to)) || (same(a, *to) && same(b, *from)))
        };
        let joined = found.touching.iter().all(|touching| same(at(&touching.between[0]), at(&touching.between[1])));
        let alone = |name: &Contact| {
            let node = at(name);
            (0..names.len()).all(|other| other == node || wiring.relation(node, other) == Relation::Open)
        };
        let loose = found.loose.iter().all(alone);
        let right = joined
            && loose
            && found.coils.iter().all(|coil| there(&coil.between))
            && found.coils.len() == bench.coils.len();
        if wrong.is_none() {
            // Whatever is said has to be so, sure or not.
            assert!(joined, "{nodes:?} {wiring:?}: {found:#?}");
            assert!(right || !found.sure, "{nodes:?} {wiring:?}: {found:#?}");
            assert!(found.sure || found.sentence.starts_with("Not sure"), "{nodes:?} {wiring:?}: {found:#?}");
        }
        let end = match (found.sure, right) {
            (true, true) => End::Right,
            (true, false) => End::Wrong,
            (false, _) => End::Open,
        };
        return Found { until_one: until_one.unwrap_or(measured), measured, read, end };
    }
}

/// Follows its own next pair to the end; answers how many measurements that took until one wiring was left.
fn find_out(nodes: Nodes, wiring: &Wiring) -> usize {
    find_out_with(nodes, wiring, None).until_one
}

/// One reading shows what is not there, whichever reading it is and whatever it shows: none of it ends in a wrong wiring that is
/// called sure.
#[test]
fn one_wrong_reading_never_ends_in_a_wrong_wiring_called_sure() {
    let all_of_them = std::env::var_os("SOLDERLAST_ALL_WIRINGS").is_some();
    for leads in 2..=5 {
        for (shield, frame) in [(false, false), (true, false), (true, true)] {
            let nodes = Nodes { leads, shield, frame };
            let few = nodes.count() <= 4 || (leads == 5 && !shield);
            if !few && (!all_of_them || nodes.count() > 6) {
                continue;
            }
            let (mut cases, mut wrong, mut open, mut checked, mut weight) = (0, 0, 0, 0.0, 0.0);
            for (wiring, common) in wirings(nodes, &Facts::default()) {
                let right = find_out_with(nodes, &wiring, None);
                checked += common * right.measured as f64;
                weight += common;
                for at in 0..right.measured {
                    for shown in Relation::ALL.into_iter().filter(|shown| *shown != right.read[at]) {
                        let end = find_out_with(nodes, &wiring, Some((at, shown))).end;
                        cases += 1;
                        wrong += usize::from(end == End::Wrong);
                        open += usize::from(end == End::Open);
                    }
                }
            }
            println!(
                "{nodes:?}: {:.3} measurements with checks; one wrong reading: {wrong} of {cases} wrong and sure, {open} left open",
                checked / weight
            );
            assert_eq!(wrong, 0, "{nodes:?}: of {cases}");
        }
    }
}

/// Every wiring of up to four leads with shield and frame, and of five leads alone.
#[test]
fn every_wiring_is_found_out_or_left_open() {
    let mut seen = 0;
    for leads in 2..=5 {
        for (shield, frame) in [(false, false), (true, false), (true, true)] {
            let nodes = Nodes { leads, shield, frame };
            if nodes.count() > 6 && std::env::var_os("SOLDERLAST_ALL_WIRINGS").is_none() {
                continue;
            }
            let all = wirings(nodes, &Facts::default());
            assert!(nodes.count() <= MOST_NODES && !all.is_empty());
            let (mut measured, mut weight) = (0.0, 0.0);
            for (wiring, common) in &all {
                measured += common * find_out(nodes, wiring) as f64;
                weight += common;
            }
            println!("{nodes:?}: {} wirings, {:.2} measurements on average", all.len(), measured / weight);
            seen += all.len();
        }
    }
    assert!(seen > 500, "{seen}");
}

/// The best order of measurements there is: the least that is expected to be measured from what is known, by trying every pair
/// that is not known yet, and every outcome that some wiring has, each weighed by how common it is.
///
/// Leads that are told apart by their names only are one case: what is known is looked up under the name of the first of all
/// orders of the leads. A pair is given up as soon as what it must cost at the least (see [`Laid::needed`]) is more than the best
/// one found, or more than matters where it is asked for.
struct BestOrder {
    nodes: Nodes,
    all: Vec<Laid>,
    orders: Vec<Vec<usize>>,
    least: HashMap<u64, Least>,
    canonical: HashMap<u64, u64>,
}

/// What is to be measured from somewhere on, times the weight of the wirings left.
#[derive(Clone, Copy)]
enum Least {
    /// By the best order.
    Known(f64),
    /// By any order, no less than this.
    NoLessThan(f64),
}

/// A wiring, its nodes as sets of bits.
struct Laid {
    wiring: Wiring,
    weight: f64,
    /// The points of each part.
    parts: Vec<Vec<u8>>,
}

impl Laid {
    fn new((wiring, weight): (Wiring, f64), count: usize) -> Self {
        let alike =
            |test: &dyn Fn(usize) -> bool| (0..count).filter(|at| test(*at)).fold(0_u8, |set, at| set | 1 << at);
        let last = (0..count).map(|at| wiring.part[at]).max().unwrap_or(0);
        let parts = (0..=last).map(|part| {
            let mut points: Vec<u8> =
                (0..count).filter(|at| wiring.part[*at] == part).map(|at| wiring.point[at]).collect();
            points.sort_unstable();
            points.dedup();
            points.into_iter().map(|point| alike(&|at| wiring.point[at] == point)).collect()
        });
        Self { parts: parts.collect(), wiring, weight }
    }

    /// The least that must still be measured to be sure of this wiring, by whatever order. `known` has the nodes to which each
    /// node is known to be joined, to have a coil, or to be open.
    ///
    /// Were no pair known between two of its parts, one point of each could be the same. Were none known between two points of a
    /// part, these could be one. Were the known pairs of a part not to connect it, it could be two.
    fn needed(&self, known: &[u8]) -> usize {
        let near = |set: u8| (0..known.len()).filter(|at| set >> at & 1 == 1).fold(0_u8, |near, at| near | known[at]);
        let apart = |sets: &[u8]| -> usize {
            let others = |at: usize, near: u8| sets[at + 1..].iter().filter(|other| near & **other == 0).count();
            sets.iter().enumerate().map(|(at, set)| others(at, near(*set))).sum()
        };
        let whole: Vec<u8> = self.parts.iter().map(|points| points.iter().fold(0, |set, point| set | point)).collect();
        let between = apart(&whole);
        let within = self.parts.iter().zip(&whole).map(|(points, whole)| {
            let (mut pieces, mut rest) = (0_usize, *whole);
            while rest != 0 {
                let mut piece = 1_u8 << rest.trailing_zeros();
                loop {
                    let wider = piece | near(piece) & whole;
                    if wider == piece {
                        break;
                    }
                    piece = wider;
                }
                pieces += 1;
                rest &= !piece;
            }
            apart(points).max(pieces.saturating_sub(1))
        });
        between + within.sum::<usize>()
    }
}

/// A pair to measure, and what is then left of each outcome.
struct Split {
    /// What it costs at the least, this measurement and those after it.
    bound: f64,
    outcomes: Vec<Outcome>,
}

struct Outcome {
    facts: Facts,
    left: Vec<u32>,
    bound: f64,
}

impl BestOrder {
    fn new(nodes: Nodes) -> Self {
        let orders = orders_of(nodes.leads);
        let all = wirings(nodes, &Facts::default()).into_iter().map(|one| Laid::new(one, nodes.count())).collect();
        Self { nodes, all, orders, least: HashMap::new(), canonical: HashMap::new() }
    }

    /// What is known as a number: the smallest over all orders of the leads, two bits a pair.
    fn name(&mut self, facts: &Facts) -> u64 {
        let count = self.nodes.count();
        let code = |a: usize, b: usize| facts.between(a, b).map_or(0, |relation| relation as u64 + 1);
        let as_it_is = pairs(count).fold(0, |key, (a, b)| key << 2 | code(a, b));
        if let Some(name) = self.canonical.get(&as_it_is) {
            return *name;
        }
        let leads = self.nodes.leads;
        let smallest = self.orders.iter().map(|order| {
            let at = |node: usize| if node < leads { order[node] } else { node };
            pairs(count).fold(0, |key, (a, b)| key << 2 | code(at(a), at(b)))
        });
        let name = smallest.min().unwrap_or(as_it_is);
        self.canonical.insert(as_it_is, name);
        name
    }

    /// What must be measured at the least until one of these is left, times their weight.
    fn bound(&self, facts: &Facts, left: &[u32]) -> f64 {
        let count = self.nodes.count();
        let known: Vec<u8> = (0..count)
            .map(|a| (0..count).filter(|b| facts.between(a, *b).is_some()).fold(0, |set, b| set | 1 << b))
            .collect();
        let laid = left.iter().map(|at| &self.all[*at as usize]);
        let needed: f64 = laid.clone().map(|laid| laid.weight * laid.needed(&known) as f64).sum();
        needed.max(at_least(laid.map(|laid| laid.weight)))
    }

    /// Every pair that tells something, the one that costs the least at the least first.
    fn splits(&self, facts: &Facts, left: &[u32]) -> Vec<Split> {
        let count = self.nodes.count();
        let weight: f64 = left.iter().map(|at| self.all[*at as usize].weight).sum();
        let mut splits: Vec<Split> = Vec::new();
        for (a, b) in pairs(count).filter(|(a, b)| facts.between(*a, *b).is_none()) {
            let mut sorted = [const { Vec::new() }; 3];
            for at in left {
                sorted[self.all[*at as usize].wiring.relation(a, b) as usize].push(*at);
            }
            // Where every wiring says the same, measuring tells nothing about which it is.
            if sorted.iter().filter(|left| !left.is_empty()).count() < 2 {
                continue;
            }
            let some = Relation::ALL.into_iter().zip(sorted).filter(|(_, left)| !left.is_empty());
            let outcomes: Vec<Outcome> = some
                .map(|(relation, left)| {
                    let mut facts = *facts;
                    facts.learn(a, b, relation);
                    follow(&mut facts, count);
                    Outcome { bound: self.bound(&facts, &left), facts, left }
                })
                .collect();
            splits.push(Split { bound: weight + outcomes.iter().map(|outcome| outcome.bound).sum::<f64>(), outcomes });
        }
        splits.sort_by(|one, other| one.bound.total_cmp(&other.bound));
        splits
    }

    /// The least that is expected to be measured, times the weight of the wirings that are left. Where that is not less than
    /// `matters`, only that it is not.
    fn from(&mut self, facts: &Facts, left: &[u32], matters: f64) -> Least {
        if let [_] = left {
            return Least::Known(self.bound(facts, left));
        }
        let name = self.name(facts);
        match self.least.get(&name) {
            Some(Least::Known(least)) => return Least::Known(*least),
            Some(Least::NoLessThan(least)) if *least >= matters => return Least::NoLessThan(*least),
            _ => {}
        }
        let (mut least, mut no_less) = (f64::INFINITY, f64::INFINITY);
        for split in self.splits(facts, left) {
            let limit = least.min(matters);
            let (mut sum, mut known) = (split.bound, true);
            for outcome in &split.outcomes {
                if sum >= limit {
                    known = false;
                    break;
                }
                let others = sum - outcome.bound;
                sum = others
                    + match self.from(&outcome.facts, &outcome.left, limit - others) {
                        Least::Known(least) => least,
                        Least::NoLessThan(least) => {
                            known = false;
                            least.max(outcome.bound)
                        }
                    };
            }
            if known {
                least = least.min(sum);
            }
            no_less = no_less.min(sum);
        }
        let found = if least < matters { Least::Known(least) } else { Least::NoLessThan(no_less) };
        self.least.insert(name, found);
        found
    }

    fn average(&mut self) -> f64 {
        let all: Vec<u32> = (0..).take(self.all.len()).collect();
        let weight: f64 = self.all.iter().map(|laid| laid.weight).sum();
        match self.from(&Facts::default(), &all, f64::INFINITY) {
            Least::Known(least) => least / weight,
            Least::NoLessThan(_) => panic!("everything mattered"),
        }
    }
}

/// What any order of measurements with three outcomes each takes at the least to tell these wirings apart, times their weight:
/// their entropy, counted in threes (Shannon's source coding theorem, Bell System Technical Journal 27, 1948).
fn at_least(weights: impl Iterator<Item = f64> + Clone) -> f64 {
    let all: f64 = weights.clone().sum();
    weights.filter(|weight| *weight > 0.0).map(|weight| -weight * (weight / all).log(3.0)).sum::<f64>().max(0.0)
}

fn orders_of(count: usize) -> Vec<Vec<usize>> {
    if count == 0 {
        return vec![Vec::new()];
    }
    let shorter = orders_of(count - 1);
    let into = |order: &Vec<usize>, place: usize| {
        let mut longer = order.clone();
        longer.insert(place, count - 1);
        longer
    };
    shorter.iter().flat_map(|order| (0..count).map(move |place| into(order, place))).collect()
}

fn pairs(count: usize) -> impl Iterator<Item = (usize, usize)> {
    (0..count).flat_map(move |a| (a + 1..count).map(move |b| (a, b)))
}

/// What is joined to the same is alike, and what has a path to one end of a gap has none to the other.
fn follow(facts: &mut Facts, count: usize) {
    use Relation::{Coil, Joined, Open};
    loop {
        let mut found = None;
        for (a, b) in pairs(count).filter(|(a, b)| facts.between(*a, *b).is_none()) {
            found = (0..count).find_map(|middle| match (facts.between(a, middle)?, facts.between(middle, b)?) {
                (Joined, other) | (other, Joined) => Some((a, b, other)),
                (Coil, Open) | (Open, Coil) => Some((a, b, Open)),
                (Coil, Coil) | (Open, Open) => None,
            });
            if found.is_some() {
                break;
            }
        }
        let Some((a, b, relation)) = found else { return };
        facts.learn(a, b, relation);
    }
}

/// The average over all wirings, each weighed by how common it is, of the measurements that `identify` asks for, beside that
/// of the best order there is. An order may look at what a pair is, joined, a coil or open, not at how many ohms it reads.
///
/// With seven nodes it takes two minutes in a release build, so they are tried with `SOLDERLAST_ALL_WIRINGS=1`.
#[test]
fn measurements_beside_the_best_possible_order() {
    let most = if std::env::var_os("SOLDERLAST_ALL_WIRINGS").is_some() { MOST_NODES } else { 6 };
    for leads in 2..=5 {
        for (shield, frame) in [(false, false), (true, false), (true, true)] {
            let nodes = Nodes { leads, shield, frame };
            let all = wirings(nodes, &Facts::default());
            let weight: f64 = all.iter().map(|(_, common)| common).sum();
            if nodes.count() > most {
                continue;
            }
            let asked =
                all.iter().map(|(wiring, common)| common * find_out(nodes, wiring) as f64).sum::<f64>() / weight;
            let bound = at_least(all.iter().map(|(_, common)| *common)) / weight;
            let mut order = BestOrder::new(nodes);
            let best = order.average();
            println!(
                "{nodes:?}: {asked:.3} measurements asked for, {best:.3} by the best order, {bound:.3} by entropy, {} cases",
                order.least.len()
            );
            assert!(asked >= best - 1e-9, "{nodes:?}: nothing is better than the best: {asked} {best}");
            assert!(best >= bound - 1e-9, "{nodes:?}: nothing is better than entropy allows: {best} {bound}");
            assert!(asked <= 1.05 * best, "{nodes:?}: {asked} {best}");
        }
    }
}
