//! How sure a ranking is, against SciPy: the normal distribution, weighed means, and the chance to be the best of all by
//! adaptive quadrature and by a large draw of random numbers.

use serde_json::{Value, json};
use solderlast_core::decision::{Estimate, chances_to_lead, groups, normal_below};
use solderlast_testkit::{Chance, program};

fn scipy(script: &str, input: &Value) -> Value {
    // Debian's own Python, as Debian's SciPy belongs to that one.
    let text = program::answer("/usr/bin/python3", &["-c", script], &input.to_string(), "python3-scipy (Debian)");
    serde_json::from_str(&text).expect("an answer in JSON")
}

fn numbers(value: &Value) -> Vec<f64> {
    value.as_array().expect("a list").iter().map(|one| one.as_f64().expect("a number")).collect()
}

/// scipy.stats.norm.cdf, out to where nothing is left.
#[test]
fn the_normal_distribution() {
    const SCRIPT: &str = "
import json, sys
from scipy.stats import norm
print(json.dumps([float(x) for x in norm.cdf(json.load(sys.stdin))]))
";
    let points: Vec<f64> = (-800..=800).map(|hundredth| f64::from(hundredth) / 100.0).collect();
    for (z, theirs) in points.iter().zip(numbers(&scipy(SCRIPT, &json!(points)))) {
        let ours = normal_below(*z);
        assert!((ours - theirs).abs() <= 1e-14 + 1e-11 * theirs, "{z}: {ours}, SciPy {theirs}");
    }
}

/// Several notes together against numpy.average with weights; one above another against scipy.stats.norm.sf.
#[test]
fn notes_together_and_one_above_another() {
    const SCRIPT: &str = "
import json, sys
import numpy as np
from scipy.stats import norm
out = []
for one, other in json.load(sys.stdin):
    sums = []
    for notes in (one, other):
        mean, variance = np.array(notes).T
        sums.append((np.average(mean, weights=1 / variance), 1 / np.sum(1 / variance)))
    (m, v), (n, w) = sums
    out.append([m, v, float(norm.sf(0, loc=m - n, scale=np.sqrt(v + w)))])
print(json.dumps(out))
";
    let mut chance = Chance(5);
    let mut notes = || -> Vec<Estimate> {
        let count = 1 + (chance.between(0.0, 5.0)) as usize;
        (0..count)
            .map(|_| Estimate { mean: 1.0 + chance.between(0.0, 5.0).floor(), variance: chance.between(0.25, 2.25) })
            .collect()
    };
    let pairs: Vec<[Vec<Estimate>; 2]> = (0..300).map(|_| [notes(), notes()]).collect();
    let plain = |notes: &Vec<Estimate>| notes.iter().map(|note| [note.mean, note.variance]).collect::<Vec<_>>();
    let input: Vec<_> = pairs.iter().map(|[one, other]| [plain(one), plain(other)]).collect();
    let theirs = scipy(SCRIPT, &json!(input));
    for ([one, other], theirs) in pairs.iter().zip(theirs.as_array().expect("a list")) {
        let (one, other) = (Estimate::of(one), Estimate::of(other));
        for (ours, theirs) in [one.mean, one.variance, one.above(&other)].into_iter().zip(numbers(theirs)) {
            assert!((ours - theirs).abs() < 1e-10, "{one:?} {other:?}: {ours}, SciPy {theirs}");
        }
    }
}

/// The chance to be the best of two to six, against scipy.integrate.quad, and against 400,000 draws of numpy, whose share
/// may be off by four of its standard deviations.
#[test]
fn chances_to_be_the_best() {
    const SCRIPT: &str = "
import json, sys
import numpy as np
from scipy.integrate import quad
from scipy.stats import norm
rng = np.random.default_rng(7)
out = []
for case in json.load(sys.stdin):
    mean, sd = np.array([m for m, v in case]), np.sqrt([v for m, v in case])
    exact = []
    for i in range(len(mean)):
        def f(x):
            return norm.pdf(x, mean[i], sd[i]) * np.prod([norm.cdf(x, mean[j], sd[j]) for j in range(len(mean)) if j != i])
        exact.append(quad(f, mean[i] - 10 * sd[i], mean[i] + 10 * sd[i], epsabs=1e-11, limit=400)[0])
    best = np.argmax(rng.normal(mean, sd, (400000, len(mean))), axis=1)
    out.append([exact, list(np.bincount(best, minlength=len(mean)) / 400000)])
print(json.dumps(out))
";
    let mut chance = Chance(11);
    let cases: Vec<Vec<Estimate>> = (0..25)
        .map(|case| {
            let spread = chance.between(1.0, 7.0);
            (0..2 + case % 5)
                .map(|_| Estimate {
                    mean: spread * chance.between(-0.5, 0.5),
                    variance: 0.1 + 4.0 * chance.between(0.0, 1.0).powi(2),
                })
                .collect()
        })
        .collect();
    let input: Vec<Vec<[f64; 2]>> =
        cases.iter().map(|case| case.iter().map(|one| [one.mean, one.variance]).collect()).collect();
    let theirs = scipy(SCRIPT, &json!(input));
    for (case, theirs) in cases.iter().zip(theirs.as_array().expect("a list")) {
        let ours = chances_to_lead(case);
        let (exact, drawn) = (numbers(&theirs[0]), numbers(&theirs[1]));
        for ((ours, exact), drawn) in ours.iter().zip(exact).zip(drawn) {
            assert!((ours - exact).abs() < 1e-7, "{case:?}: {ours}, quad {exact}");
            let deviation = (exact * (1.0 - exact) / 400_000.0).sqrt();
            assert!((ours - drawn).abs() < 4.0 * deviation + 1e-5, "{case:?}: {ours}, drawn {drawn}");
        }
    }
}

/// The groups by their rule in exact fractions, with scipy.stats.norm: means on a coarse grid, so that many stand alike, and each
/// case in several orders.
#[test]
fn groups_in_any_order() {
    const SCRIPT: &str = "
import json, sys
from fractions import Fraction
from scipy.stats import norm
def told(leader, other):
    (m, v), (n, w) = leader, other
    chance = norm.cdf(float(m - n) / float(v + w) ** 0.5)
    assert abs(chance - 0.9) > 1e-9
    return chance >= 0.9
out = []
for case in json.load(sys.stdin):
    stands = [(Fraction(m, 6), Fraction(v, 8)) for m, v in case]
    left, group_of, number = set(range(len(case))), [0] * len(case), 0
    while left:
        leader = max(left, key=lambda at: (stands[at][0], -stands[at][1]))
        group = {at for at in left if at == leader or not told(stands[leader], stands[at])}
        for at in group:
            group_of[at] = number
        left -= group
        number += 1
    out.append(group_of)
print(json.dumps(out))
";
    let mut chance = Chance(26);
    let mut below = |end: usize| chance.below(end);
    let cases: Vec<Vec<[usize; 2]>> =
        (0..600).map(|_| (0..1 + below(8)).map(|_| [below(30), 1 + below(24)]).collect()).collect();
    let theirs = scipy(SCRIPT, &json!(cases));
    for (case, theirs) in cases.iter().zip(theirs.as_array().expect("a list")) {
        let mut order: Vec<usize> = (0..case.len()).collect();
        for _ in 0..4 {
            let moved: Vec<Estimate> = order
                .iter()
                .map(|at| Estimate { mean: case[*at][0] as f64 / 6.0, variance: case[*at][1] as f64 / 8.0 })
                .collect();
            let mut group_of = vec![0.0; case.len()];
            for (number, group) in groups(&moved, 0.9).into_iter().enumerate() {
                group.into_iter().for_each(|at| group_of[order[at]] = number as f64);
            }
            assert_eq!(group_of, numbers(theirs), "{case:?} in the order {order:?}");
            order.sort_by_cached_key(|_| below(1000));
        }
    }
}
