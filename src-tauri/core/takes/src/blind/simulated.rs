//! Simulated listeners: how often a test tells what is not so, and whether intervals hold what they should.
//! `SOLDERLAST_PANELS=10000` simulates as many; `SOLDERLAST_SEED` others.

use solderlast_samples::{Chance, number};

use super::{paired, ranking, triangle};

fn panels(usual: u64) -> u64 {
    number("SOLDERLAST_PANELS", usual)
}

/// The share of panels of which this is so.
fn share(usual: u64, chance: &mut Chance, mut so: impl FnMut(&mut Chance) -> bool) -> f64 {
    let panels = panels(usual);
    (0..panels).filter(|_| so(chance)).count() as f64 / panels as f64
}

/// Four standard deviations of a share of so many panels.
fn luck(share: f64, usual: u64) -> f64 {
    4.0 * (share * (1.0 - share) / panels(usual) as f64).sqrt()
}

#[test]
fn who_guesses_is_told_apart_by_no_more_than_one_test_in_twenty() {
    let mut chance = Chance::seeded(4120);
    for trials in [6, 12, 18, 24, 30, 48] {
        let false_ones = share(2000, &mut chance, |chance| {
            let right = (0..trials).filter(|_| chance.below(3_u8) == 0).count() as u32;
            triangle::outcome(right, trials, trials).told == Some(true)
        });
        assert!(false_ones <= 0.05 + luck(0.05, 2000), "{trials} trials: {false_ones}");
        println!("{trials} trials, nobody hears anything: told apart in {:.2} %", 100.0 * false_ones);
        let hearing = share(2000, &mut chance, |chance| {
            let right = (0..trials).filter(|_| chance.flip() || chance.below(3_u8) == 0).count() as u32;
            triangle::outcome(right, trials, trials).told == Some(true)
        });
        let said = triangle::power(trials, 0.5);
        assert!((hearing - said).abs() <= luck(said, 2000) + 1e-9, "{trials} trials: {hearing}, said to be {said}");
    }
}

#[test]
fn who_stops_early_is_told_nothing() {
    for answered in 0..24 {
        assert_eq!(triangle::outcome(answered, answered, 24).told, None);
        assert_eq!(paired::outcome(answered, answered, 24).told, None);
    }
}

#[test]
fn a_preference_that_is_none_is_told_by_no_more_than_one_test_in_twenty() {
    let mut chance = Chance::seeded(5495);
    for trials in [8, 16, 24, 40] {
        let false_ones = share(2000, &mut chance, |chance| {
            let first = (0..trials).filter(|_| chance.flip()).count() as u32;
            paired::outcome(first, trials, trials).told == Some(true)
        });
        assert!(false_ones <= 0.05 + luck(0.05, 2000), "{trials} trials: {false_ones}");
    }
}

#[test]
fn intervals_hold_the_strengths_that_are_so() {
    let mut chance = Chance::seeded(1952);
    for (count, trials) in [(2, 24), (3, 12), (4, 10)] {
        let (mut held, mut all) = (0.0, 0.0);
        for _ in 0..panels(400) {
            let mut strengths: Vec<f64> = (0..count).map(|_| chance.between(-1.0, 1.0)).collect();
            let mean = strengths.iter().sum::<f64>() / f64::from(count);
            strengths.iter_mut().for_each(|strength| *strength -= mean);
            let mut chosen = vec![vec![0; strengths.len()]; strengths.len()];
            for one in 0..strengths.len() {
                for other in 0..one {
                    let wins = 1.0 / (1.0 + (strengths[other] - strengths[one]).exp());
                    for _ in 0..trials {
                        let (winner, loser) = if chance.between(0.0, 1.0) < wins { (one, other) } else { (other, one) };
                        chosen[winner][loser] += 1;
                    }
                }
            }
            for (stands, truth) in ranking::ranking(&chosen).iter().zip(&strengths) {
                all += 1.0;
                let inside =
                    stands.low.is_none_or(|low| low <= *truth) && stands.high.is_none_or(|high| high >= *truth);
                held += f64::from(u8::from(inside));
            }
        }
        let covers = held / all;
        println!("{count} candidates, {trials} trials a pair: intervals hold the truth in {:.2} %", 100.0 * covers);
        // Strengths of one panel hang together: luck is that of the panels.
        assert!(
            (covers - 0.95).abs() <= 0.02 + luck(0.05, 400),
            "{count} candidates, {trials} trials a pair: {covers}"
        );
    }
}
