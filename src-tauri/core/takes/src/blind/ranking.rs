//! How several takes stand after they were compared in pairs (Bradley and Terry, Biometrika 39, 1952).
//!
//! Each has a strength; one is chosen over another with the chance 1 / (1 + e^(other − one)). The strengths that make the answers
//! likeliest are told, each with the interval in which no strength makes them much less likely (likelihood ratio, 95 %).

use nalgebra::{DMatrix, DVector};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// Half the 95 % point of chi-squared with one degree of freedom: what the logarithm of the likelihood may lose.
const MAY_LOSE: f64 = 1.920_729_410_347_062;
/// A strength beyond this is as good as never beaten; an interval that reaches it has no end.
const FURTHEST: f64 = 12.0;
/// What keeps strengths finite where one was never beaten. Too weak to be seen anywhere else.
const HOLD: f64 = 1e-7;

/// How one take stands.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Stands {
    /// Its strength, in logits against the mean of all; large where it was never beaten.
    pub strength: f64,
    /// The low end of its interval; nothing where it has none.
    pub low: Option<f64>,
    /// The high end of its interval; nothing where it has none.
    pub high: Option<f64>,
}

/// How all stand. `chosen[one][other]` is how often one was chosen over another.
///
/// ```
/// use solderlast_takes::blind::ranking::ranking;
///
/// let stand = ranking(&[vec![0, 9, 8], vec![3, 0, 6], vec![4, 6, 0]]);
/// assert!(stand[0].strength > stand[1].strength && (stand[1].strength - stand[2].strength).abs() < 0.2);
/// assert!(stand[0].low.is_some_and(|low| low < stand[0].strength));
/// ```
#[must_use]
pub fn ranking(chosen: &[Vec<u32>]) -> Vec<Stands> {
    let answers = Answers { chosen };
    let best = answers.likeliest(None);
    let most = answers.likelihood(&best);
    let stands = |one: usize| {
        let end = |way: f64| answers.end(one, way, &best, most);
        Stands { strength: best[one], low: end(-1.0), high: end(1.0) }
    };
    (0..answers.count()).map(stands).collect()
}

struct Answers<'a> {
    chosen: &'a [Vec<u32>],
}

impl Answers<'_> {
    fn count(&self) -> usize {
        self.chosen.len()
    }

    /// How often one was chosen over another.
    fn over(&self, one: usize, other: usize) -> f64 {
        self.chosen.get(one).and_then(|row| row.get(other)).copied().map_or(0.0, f64::from)
    }

    /// The logarithm of the likelihood of these strengths.
    fn likelihood(&self, strengths: &DVector<f64>) -> f64 {
        let mut sum = -HOLD * strengths.norm_squared();
        for one in 0..self.count() {
            for other in (0..self.count()).filter(|other| *other != one) {
                sum -= self.over(one, other) * (strengths[other] - strengths[one]).exp().ln_1p();
            }
        }
        sum
    }

    /// The likeliest strengths, whose sum is zero; with one of them held where it is, if that is wanted.
    fn likeliest(&self, held: Option<(usize, f64)>) -> DVector<f64> {
        let count = self.count();
        // The sum is zero, and the held one is itself: what is left is free along these directions.
        let free: Vec<usize> = (0..count).filter(|one| held.is_none_or(|(held, _)| held != *one)).collect();
        let mut strengths = DVector::zeros(count);
        if let Some((one, strength)) = held {
            strengths.fill(-strength / free.len().max(1) as f64);
            strengths[one] = strength;
        }
        let Some((last, others)) = free.split_last().filter(|(_, others)| !others.is_empty()) else { return strengths };
        let directions = DMatrix::from_fn(count, others.len(), |row, column| {
            if row == others[column] {
                1.0
            } else if row == *last {
                -1.0
            } else {
                0.0
            }
        });
        let mut here = self.likelihood(&strengths);
        for _ in 0..100 {
            let (slope, bend) = self.slopes(&strengths);
            let (slope, bend) = (directions.transpose() * slope, directions.transpose() * bend * &directions);
            let Some(step) = bend.lu().solve(&slope) else { break };
            // A step that leads down is halved.
            let mut step = &directions * step;
            let mut next = &strengths + &step;
            let mut there = self.likelihood(&next);
            while there < here && step.norm() > 1e-12 {
                step *= 0.5;
                next = &strengths + &step;
                there = self.likelihood(&next);
            }
            let ended = there - here < 1e-13 * (1.0 + here.abs()) && step.norm() < 1e-9;
            (strengths, here) = (next, there);
            if ended {
                break;
            }
        }
        strengths
    }

    /// How the likelihood changes with the strengths, and how that change bends (turned, so that it is positive).
    fn slopes(&self, strengths: &DVector<f64>) -> (DVector<f64>, DMatrix<f64>) {
        let count = self.count();
        let mut slope = strengths * (-2.0 * HOLD);
        let mut bend = DMatrix::identity(count, count) * (2.0 * HOLD);
        for one in 0..count {
            for other in 0..one {
                let chance = 1.0 / (1.0 + (strengths[other] - strengths[one]).exp());
                let (won, lost) = (self.over(one, other), self.over(other, one));
                let more = won - (won + lost) * chance;
                slope[one] += more;
                slope[other] -= more;
                let bends = (won + lost) * chance * (1.0 - chance);
                bend[(one, one)] += bends;
                bend[(other, other)] += bends;
                bend[(one, other)] -= bends;
                bend[(other, one)] -= bends;
            }
        }
        (slope, bend)
    }

    /// Where the interval of one ends that way; nothing where it does not.
    fn end(&self, one: usize, way: f64, best: &DVector<f64>, most: f64) -> Option<f64> {
        let loses = |strength: f64| most - self.likelihood(&self.likeliest(Some((one, strength)))) - MAY_LOSE;
        let (mut inside, mut outside) = (best[one], way * FURTHEST);
        if (outside - inside) * way <= 0.0 || loses(outside) < 0.0 {
            return None;
        }
        for _ in 0..60 {
            let middle = 0.5 * (inside + outside);
            if loses(middle) < 0.0 {
                inside = middle
            } else {
                outside = middle
            }
            if (outside - inside).abs() < 1e-7 {
                break;
            }
        }
        Some(0.5 * (inside + outside))
    }
}
