//! How candidates stand, and how sure that is.
//!
//! Every rating is taken as a normal variable about what was tapped. What a person wants is a sum over qualities, so a
//! candidate's standing is normal too, and the chance that it is the best of all is one integral, computed by Simpson's rule:
//! no dice are thrown, and the same notes give the same answer.

use std::f64::consts::{PI, SQRT_2};

/// Where a quality was never rated, anything from 1 to 5 is as likely: the mean of that, and its variance.
pub const NEVER_RATED: Estimate = Estimate { mean: 3.0, variance: 2.0 };

/// A value with how far it may be off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Estimate {
    /// The likeliest value, in steps of the scale.
    pub mean: f64,
    /// Its variance, in squared steps.
    pub variance: f64,
}

impl Estimate {
    /// What several notes come to together, each weighed by how sure it is; [`NEVER_RATED`] for none.
    #[must_use]
    pub fn of(notes: &[Self]) -> Self {
        // Always summed in one order, so that the same notes come to the same to the last bit whoever wrote which first.
        let mut notes = notes.to_vec();
        notes.sort_by(|a, b| a.variance.total_cmp(&b.variance).then(a.mean.total_cmp(&b.mean)));
        let sure: f64 = notes.iter().map(|note| 1.0 / note.variance.max(1e-9)).sum();
        if notes.is_empty() || sure <= 0.0 {
            return NEVER_RATED;
        }
        let mean = notes.iter().map(|note| note.mean / note.variance.max(1e-9)).sum::<f64>() / sure;
        Self { mean, variance: 1.0 / sure }
    }

    /// The sum of estimates, each times its weight. They are taken as independent.
    #[must_use]
    pub fn sum(parts: impl IntoIterator<Item = (f64, Self)>) -> Self {
        parts.into_iter().fold(Self { mean: 0.0, variance: 0.0 }, |sum, (weight, part)| Self {
            mean: sum.mean + weight * part.mean,
            variance: sum.variance + weight * weight * part.variance,
        })
    }

    /// The chance that it lies below `limit`.
    #[must_use]
    pub fn below(&self, limit: f64) -> f64 {
        if self.variance <= 0.0 {
            return if self.mean < limit { 1.0 } else { 0.0 };
        }
        normal_below((limit - self.mean) / self.variance.sqrt())
    }

    /// The chance that it lies above the other one; an even one for two that are alike.
    #[must_use]
    pub fn above(&self, other: &Self) -> f64 {
        let apart = Self { mean: other.mean - self.mean, variance: self.variance + other.variance };
        if apart.variance <= 0.0 && apart.mean == 0.0 { 0.5 } else { apart.below(0.0) }
    }
}

/// The standard normal distribution: the chance of a value below `z`.
#[must_use]
pub fn normal_below(z: f64) -> f64 {
    0.5 * libm::erfc(-z / SQRT_2)
}

/// The chance of each to be the highest of all. They add up to one.
#[must_use]
pub fn chances_to_lead(all: &[Estimate]) -> Vec<f64> {
    match all {
        [] => return Vec::new(),
        [_] => return vec![1.0],
        _ => {}
    }
    // So narrow that no wider one is disturbed, and never nothing.
    let widest = all.iter().map(|one| one.variance.sqrt()).fold(0.0, f64::max);
    let deviation = |one: &Estimate| one.variance.sqrt().max(widest * 0.02).max(1e-3);
    let narrowest = all.iter().map(deviation).fold(f64::INFINITY, f64::min);
    let from = all.iter().map(|one| one.mean - 8.0 * deviation(one)).fold(f64::INFINITY, f64::min);
    let to = all.iter().map(|one| one.mean + 8.0 * deviation(one)).fold(f64::NEG_INFINITY, f64::max);
    let steps = (((to - from) / (narrowest / 6.0)).ceil().clamp(64.0, 6000.0) as usize).next_multiple_of(2);
    let step = (to - from) / steps as f64;
    let mut chances = vec![0.0; all.len()];
    let mut below = vec![0.0; all.len()];
    for index in 0..=steps {
        let x = from + step * index as f64;
        let share = step / 3.0
            * match index {
                _ if index == 0 || index == steps => 1.0,
                _ if index % 2 == 1 => 4.0,
                _ => 2.0,
            };
        for (below, one) in below.iter_mut().zip(all) {
            *below = normal_below((x - one.mean) / deviation(one));
        }
        for (at, (chance, one)) in chances.iter_mut().zip(all).enumerate() {
            let others: f64 =
                below.iter().enumerate().filter(|(other, _)| *other != at).map(|(_, below)| below).product();
            let z = (x - one.mean) / deviation(one);
            *chance += share * (-0.5 * z * z).exp() / (deviation(one) * (2.0 * PI).sqrt()) * others;
        }
    }
    // Simpson's error is far below what is shown; the sum is made one all the same.
    let sum: f64 = chances.iter().sum();
    chances.iter().map(|chance| if sum > 0.0 { chance / sum } else { 1.0 / all.len() as f64 }).collect()
}

/// Sorts candidates into groups: the leader of a group is the best of all that are left, and with it are all of these from which
/// it can't be told with at least the chance `sure`, however they stand among themselves. Of those that stand alike the surest
/// leads. Answers indices into `all`, the leader first; which group somebody is in does not hang on the order of `all`.
#[must_use]
pub fn groups(all: &[Estimate], sure: f64) -> Vec<Vec<usize>> {
    let mut left: Vec<usize> = (0..all.len()).collect();
    left.sort_by_key(|index| (std::cmp::Reverse(alike(all[*index].mean)), alike(all[*index].variance)));
    let mut groups: Vec<Vec<usize>> = Vec::new();
    while let Some(leader) = left.first().copied() {
        let level = |index: &usize| *index == leader || all[leader].above(&all[*index]) < sure;
        let (group, rest) = left.into_iter().partition(level);
        groups.push(group);
        left = rest;
    }
    groups
}

/// Equal for numbers that differ by no more than how they were rounded.
fn alike(number: f64) -> i64 {
    const FINE: f64 = 1_073_741_824.0;
    (number * FINE).round() as i64
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn at(mean: f64, variance: f64) -> Estimate {
        Estimate { mean, variance }
    }

    #[test]
    fn notes_together() {
        assert_eq!(Estimate::of(&[]), NEVER_RATED);
        let two = Estimate::of(&[at(3.0, 0.25), at(4.0, 0.25)]);
        assert!((two.mean - 3.5).abs() < 1e-12 && (two.variance - 0.125).abs() < 1e-12);
        // A doubtful note counts less.
        assert!(Estimate::of(&[at(3.0, 0.25), at(5.0, 1.25)]).mean < 3.5);
    }

    #[test]
    fn chances_of_plain_cases() {
        let even = chances_to_lead(&[at(3.0, 0.25); 4]);
        assert!(even.iter().all(|chance| (chance - 0.25).abs() < 1e-9), "{even:?}");
        let clear = chances_to_lead(&[at(9.0, 0.25), at(3.0, 0.25)]);
        assert!(clear[0] > 0.999_999);
        let two = [at(3.6, 0.5), at(3.0, 0.7)];
        assert!((chances_to_lead(&two)[0] - two[0].above(&two[1])).abs() < 1e-9);
    }

    #[test]
    fn who_cannot_be_told_from_the_leader_stands_level() {
        let all = [at(3.0, 0.25), at(8.0, 0.25), at(7.8, 0.25), at(2.9, 0.25)];
        assert_eq!(groups(&all, 0.9), [vec![1, 2], vec![0, 3]]);
    }

    /// The third can't be told from the first, although the second, which stands between them, can.
    #[test]
    fn everyone_is_held_against_the_leader_of_all_that_are_left() {
        let all = [at(5.0, 0.25), at(3.0, 0.25), at(2.9, 6.0)];
        assert_eq!(groups(&all, 0.9), [vec![0, 2], vec![1]]);
    }

    /// The surest of those that stand alike leads: from it the last can be told, from the other not.
    #[test]
    fn who_leads_of_those_alike_is_not_who_was_written_first() {
        let (wide, sure, last) = (at(5.0, 6.0), at(5.0, 0.1), at(3.5, 0.2));
        assert_eq!(groups(&[wide, sure, last], 0.9), [vec![1, 0], vec![2]]);
        assert_eq!(groups(&[sure, wide, last], 0.9), [vec![0, 1], vec![2]]);
    }

    fn estimates() -> impl Strategy<Value = Vec<Estimate>> {
        prop::collection::vec((-8.0_f64..8.0, 0.05_f64..6.0).prop_map(|(mean, variance)| at(mean, variance)), 1..7)
    }

    proptest! {
        #[test]
        fn chances_add_up_and_follow_their_candidates((all, order) in estimates().prop_flat_map(|all| {
            let order: Vec<usize> = (0..all.len()).collect();
            (Just(all), Just(order).prop_shuffle())
        })) {
            let chances = chances_to_lead(&all);
            prop_assert!((chances.iter().sum::<f64>() - 1.0).abs() < 1e-9);
            let moved: Vec<Estimate> = order.iter().map(|index| all[*index]).collect();
            for (chance, index) in chances_to_lead(&moved).iter().zip(&order) {
                prop_assert!((chance - chances[*index]).abs() < 1e-9);
            }
            let back = |groups: Vec<Vec<usize>>| -> Vec<std::collections::BTreeSet<usize>> {
                groups.into_iter().map(|group| group.into_iter().map(|index| order[index]).collect()).collect()
            };
            let plain = groups(&all, 0.9).into_iter().map(|group| group.into_iter().collect());
            prop_assert_eq!(back(groups(&moved, 0.9)), plain.collect::<Vec<_>>());
        }

        #[test]
        fn better_is_never_less_likely_to_lead(all in estimates(), by in 0.0_f64..3.0) {
            let mut raised = all.clone();
            raised[0].mean += by;
            prop_assert!(chances_to_lead(&raised)[0] >= chances_to_lead(&all)[0] - 1e-9);
        }
    }
}
