//! The arithmetic of blind listening against SciPy: binomial tails, least numbers, power, and Bradley and Terry's strengths with
//! their intervals.

use serde_json::{Value, json};
use solderlast_core::takes::blind::{paired, ranking::ranking, triangle};
use solderlast_testkit::Chance;

use super::{near, scipy};

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// scipy.stats.binom for every number of trials up to 60 and every count of right answers.
#[test]
fn tails_least_numbers_and_power() {
    const SCRIPT: &str = "
import json, sys
from scipy.stats import binom
out = []
for n in range(1, 61):
    third = [float(binom.sf(k - 1, n, 1 / 3)) for k in range(n + 1)]
    half = [min(1.0, 2 * float(binom.sf(max(k, n - k) - 1, n, 0.5))) for k in range(n + 1)]
    right = next((k for k in range(n + 1) if third[k] <= 0.05), None)
    one = next((k for k in range((n + 1) // 2, n + 1) if half[k] <= 0.05), None)
    power = [0.0 if right is None else float(binom.sf(right - 1, n, h + (1 - h) / 3)) for h in (0.1, 0.3, 0.5, 0.9)]
    prefers = [0.0 if one is None else float(binom.sf(one - 1, n, p) + binom.cdf(n - one, n, p)) for p in (0.6, 0.75, 0.9)]
    out.append([third, half, right, one, power, prefers])
print(json.dumps(out))
";
    let all = scipy(SCRIPT, &json!(null));
    for (trials, theirs) in (1u32..).zip(all.as_array().unwrap()) {
        for count in 0..=trials {
            let what = format!("{count} of {trials}");
            near(triangle::by_guessing(count, trials), number(&theirs[0][count as usize]), 1e-10, &what);
            near(paired::by_chance(count, trials), number(&theirs[1][count as usize]), 1e-10, &what);
        }
        assert_eq!(json!(triangle::least_right(trials)), theirs[2], "{trials}");
        assert_eq!(json!(paired::least_for_one(trials)), theirs[3], "{trials}");
        for (place, hears) in [0.1, 0.3, 0.5, 0.9].into_iter().enumerate() {
            near(triangle::power(trials, hears), number(&theirs[4][place]), 1e-10, &format!("{trials}, {hears}"));
        }
        for (place, chooses) in [0.6, 0.75, 0.9].into_iter().enumerate() {
            near(paired::power(trials, chooses), number(&theirs[5][place]), 1e-10, &format!("{trials}, {chooses}"));
        }
    }
    // As many as it says have the power that was asked for, and one fewer does not.
    for hears in [0.3, 0.5, 0.8] {
        let trials = triangle::trials_for(0.8, hears).unwrap();
        assert!(triangle::power(trials, hears) >= 0.8 && triangle::power(trials - 1, hears) < 0.8, "{hears}: {trials}");
    }
    assert_eq!(triangle::trials_for(0.8, 0.01), None);
}

/// scipy.optimize maximises the same likelihood, and looks for the ends of each interval by its own roots.
#[test]
fn strengths_and_their_intervals() {
    const SCRIPT: &str = "
import json, sys
import numpy as np
from scipy.optimize import minimize, brentq
from scipy.stats import chi2
out = []
for wins in json.load(sys.stdin):
    wins = np.array(wins, float)
    n = len(wins)
    def loses(theta):
        return float(np.sum(wins * np.logaddexp(0, theta[None, :] - theta[:, None])))
    def least(held=None, at=0.0):
        others = [i for i in range(n) if i != held]
        def whole(x):
            theta = np.empty(n)
            if held is None:
                theta[:-1] = x
                theta[-1] = -np.sum(x)
            else:
                theta[held] = at
                theta[others[:-1]] = x
                theta[others[-1]] = -at - np.sum(x)
            return theta
        start = np.zeros(n - 1 if held is None else n - 2)
        if len(start) == 0:
            return loses(whole(start)), whole(start)
        found = minimize(lambda x: loses(whole(x)), start, method='BFGS', options={'gtol': 1e-9})
        return found.fun, whole(found.x)
    best, theta = least()
    half = chi2.ppf(0.95, 1) / 2
    ends = []
    for one in range(n):
        f = lambda at: least(one, at)[0] - best - half
        ends.append([brentq(f, theta[one] - 8, theta[one], xtol=1e-8), brentq(f, theta[one], theta[one] + 8, xtol=1e-8)])
    out.append([list(theta), ends])
print(json.dumps(out))
";
    let mut chance = Chance::seeded(1952);
    // Each is chosen at least once over each other, so that all strengths and intervals have an end.
    let cases: Vec<Vec<Vec<u32>>> = (0..30)
        .map(|case| {
            let count = 2 + case % 4;
            (0..count)
                .map(|one| (0..count).map(|other| if one == other { 0 } else { chance.whole(1, 12) }).collect())
                .collect()
        })
        .collect();
    let theirs = scipy(SCRIPT, &json!(cases));
    for (case, theirs) in cases.iter().zip(theirs.as_array().unwrap()) {
        for (one, stands) in ranking(case).iter().enumerate() {
            let what = format!("{case:?}, {one}: {stands:?}, SciPy {theirs}");
            near(stands.strength, number(&theirs[0][one]), 1e-4, &what);
            near(stands.low.unwrap(), number(&theirs[1][one][0]), 1e-3, &what);
            near(stands.high.unwrap(), number(&theirs[1][one][1]), 1e-3, &what);
        }
    }
    // One that was always chosen has no upper end, and one that never was no lower end.
    let stand = ranking(&[vec![0, 8], vec![0, 0]]);
    assert!(
        stand[0].high.is_none() && stand[0].low.is_some() && stand[1].low.is_none() && stand[1].high.is_some(),
        "{stand:?}"
    );
}
