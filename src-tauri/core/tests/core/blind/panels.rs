//! Takes heard blind: simulated listeners go through whole tests by their entries, and what is told is held against what they hear.
//! `SOLDERLAST_PANELS=10000` simulates as many; `SOLDERLAST_SEED` others.

use chrono::{DateTime, TimeDelta};
use solderlast_core::blind::{BlindTest, order};
use solderlast_core::record::blind::{BlindPlan, BlindQuestion, BlindTake, Seed};
use solderlast_core::record::body::{BlindBody, Body};
use solderlast_core::record::entry::{About, Entry, Written, in_order};
use solderlast_core::record::guitar::GuitarId;
use solderlast_core::record::names::{BenchId, EntryId};
use solderlast_core::record::quantity::Decibels;
use solderlast_core::record::take::TakeName;
use solderlast_testkit::{Chance, number};
use uuid::Uuid;

fn name(number: u64) -> Uuid {
    Uuid::from_u128(0x0199_0000_0000_7000_8000_0000_0000_0000 | u128::from(number))
}

fn take(number: u8) -> BlindTake {
    BlindTake {
        take: TakeName::of(&[number]),
        pickup: None,
        label: format!("Pickup {number}"),
        mode: None,
        audition: None,
        start: 0.0,
        gain: Decibels(0.0),
    }
}

fn seed(chance: &mut Chance) -> Seed {
    let mut bytes = [0; 32];
    for eight in bytes.chunks_mut(8) {
        eight.copy_from_slice(&chance.next().to_le_bytes());
    }
    Seed::of(bytes)
}

fn plan(question: BlindQuestion, takes: u8, trials: u32, seed: &Seed) -> BlindPlan {
    BlindPlan {
        question,
        takes: (1..=takes).map(take).collect(),
        control: Box::new([take(1), take(9)]),
        trials,
        control_trials: trials.div_ceil(2).max(5),
        length: 4.0,
        from_saddle: None,
        unfair: Vec::new(),
        seal: seed.seal(),
    }
}

fn entry(number: u64, body: BlindBody) -> Entry {
    Entry {
        id: EntryId(name(number)),
        at: DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default() + TimeDelta::seconds(number as i64),
        bench: BenchId(name(99_999)),
        about: About::Guitar(GuitarId(name(88_888))),
        body: Written::Known(Body::Blind(body)),
    }
}

/// The entries of a whole test. A listener is told a trial's pair and sounds, and answers.
fn entries(plan: &BlindPlan, seed: &Seed, mut answer: impl FnMut(Option<[usize; 2]>, &[bool]) -> u8) -> Vec<Entry> {
    let test = EntryId(name(1));
    let pairs = plan.pairs();
    let mut all = vec![entry(1, BlindBody::BlindPlanned { plan: plan.clone() })];
    for (trial, what) in (1..).zip(order(plan, seed)) {
        let sound = answer(what.pair.map(|pair| pairs[pair]), &what.sounds);
        all.push(entry(1 + u64::from(trial), BlindBody::BlindAnswered { test, trial, sound }));
    }
    all.push(entry(5000, BlindBody::BlindUncovered { test, seed: seed.clone() }));
    all
}

fn folded(entries: Vec<Entry>) -> BlindTest {
    BlindTest::fold(&in_order(entries), EntryId(name(1))).expect("it was planned")
}

fn panels(usual: u64) -> u64 {
    number("SOLDERLAST_PANELS", usual)
}

/// Four standard deviations of a share of so many panels.
fn luck(share: f64, panels: u64) -> f64 {
    4.0 * (share * (1.0 - share) / panels as f64).sqrt()
}

/// Who hears nothing, whichever way they guess: nothing is told in at least 95 of 100 tests, with two takes or with four.
#[test]
fn who_hears_nothing_is_told_nothing() {
    let mut chance = Chance::seeded(4120);
    let guesses: [fn(&mut Chance, u8, u8) -> u8; 3] =
        [|chance, _, sounds| 1 + chance.below(sounds), |_, _, _| 1, |_, before, sounds| 1 + before % sounds];
    for question in BlindQuestion::ALL {
        for (takes, trials) in [(2, 18), (3, 12), (4, 10)] {
            for guess in guesses {
                let all = panels(300);
                let mut false_ones = 0.0;
                for _ in 0..all {
                    let seed = seed(&mut chance);
                    let plan = plan(question, takes, trials, &seed);
                    let mut before = 0;
                    let test = folded(entries(&plan, &seed, |_, sounds| {
                        before = guess(&mut chance, before, sounds.len() as u8);
                        before
                    }));
                    let result = test.result().expect("it is uncovered");
                    false_ones += f64::from(u8::from(result.pairs.iter().any(|pair| pair.outcome.told == Some(true))));
                }
                let share = false_ones / all as f64;
                assert!(share <= 0.05 + luck(0.05, all), "{question:?}, {takes} takes: {share}");
            }
        }
    }
}

/// Who hears every difference is told so, pair by pair, by its name, and the control is told from nothing.
#[test]
fn who_hears_all_is_told_all() {
    let mut chance = Chance::seeded(7);
    for takes in 2..=4_u8 {
        let one_seed = seed(&mut chance);
        let plan = plan(BlindQuestion::OddOneOut, takes, 14, &one_seed);
        let test = folded(entries(&plan, &one_seed, |pair, sounds| match pair {
            Some(_) => {
                1 + (0..3).find(|at| sounds.iter().filter(|one| **one == sounds[*at]).count() == 1).unwrap_or(0) as u8
            }
            None => 1 + chance.below(3_u8),
        }));
        let result = test.result().expect("it is uncovered");
        assert!(result.pairs.iter().all(|pair| pair.outcome.told == Some(true)), "{result:?}");
        assert!(result.pairs[0].sentence.starts_with("Pickup 1 and Pickup 2 can be told apart: 14 of 14 right."));
        assert_eq!(result.pairs.len(), plan.pairs().len());
    }
    // Pickup 3 is liked over 2, and 2 over 1.
    let one_seed = seed(&mut chance);
    let plan = plan(BlindQuestion::NearerToWish, 3, 12, &one_seed);
    let test = folded(entries(&plan, &one_seed, |pair, sounds| match pair {
        Some(_) => {
            if sounds[0] {
                1
            } else {
                2
            }
        }
        None => 1 + chance.below(2_u8),
    }));
    let result = test.result().expect("it is uncovered");
    let names: Vec<&str> = result.ranking.iter().map(|one| one.name.as_str()).collect();
    assert_eq!(names, ["Pickup 3", "Pickup 2", "Pickup 1"]);
    assert!(
        result.pairs[0].sentence.starts_with("Pickup 2 is nearer to what you want than Pickup 1: 12 to 0."),
        "{result:?}"
    );
    assert!(result.ranking.iter().all(|one| one.low <= one.share && one.share <= one.high));
}

/// A player who plays two takes of one pickup so differently that they are told apart hears that from the control.
#[test]
fn a_control_that_is_told_apart_weakens_the_rest() {
    let one_seed = seed(&mut Chance::seeded(8));
    let plan = plan(BlindQuestion::OddOneOut, 2, 12, &one_seed);
    let odd = |sounds: &[bool]| {
        1 + (0..3).find(|at| sounds.iter().filter(|one| **one == sounds[*at]).count() == 1).unwrap_or(0) as u8
    };
    let result = folded(entries(&plan, &one_seed, |_, sounds| odd(sounds))).result().expect("it is uncovered");
    assert_eq!(result.verdict.word, "Told apart, and so was the control");
    assert!(result.control.sentence.contains("the player's"), "{}", result.control.sentence);
}

#[test]
fn an_early_end_tells_nothing_and_says_so() {
    let one_seed = seed(&mut Chance::seeded(5));
    let plan = plan(BlindQuestion::OddOneOut, 2, 12, &one_seed);
    let odd = |sounds: &[bool]| {
        1 + (0..3).find(|at| sounds.iter().filter(|one| **one == sounds[*at]).count() == 1).unwrap_or(0) as u8
    };
    let mut all = entries(&plan, &one_seed, |_, sounds| odd(sounds));
    all.drain(9..all.len() - 1);
    let test = folded(all);
    assert!(test.ended_early());
    let result = test.result().expect("it is uncovered");
    assert!(result.pairs.iter().all(|pair| pair.outcome.told.is_none()));
    assert_eq!((result.verdict.word.as_str(), result.trials.len()), ("Ended early", 8));
    assert!(result.early.is_some_and(|early| early.contains("8 of 18")));
}

/// The first answer stands, none counts out of turn or after the uncovering, and no other seed uncovers anything.
#[test]
fn an_answer_is_in_ink() {
    let mut chance = Chance::seeded(6);
    let (one_seed, other) = (seed(&mut chance), seed(&mut chance));
    let plan = plan(BlindQuestion::NearerToWish, 2, 5, &one_seed);
    let test = EntryId(name(1));
    let answered = |number, trial, sound| entry(number, BlindBody::BlindAnswered { test, trial, sound });
    let all = vec![
        entry(1, BlindBody::BlindPlanned { plan }),
        answered(2, 1, 2),
        answered(3, 1, 1),
        answered(4, 3, 1),
        answered(5, 2, 3),
        answered(6, 2, 1),
        entry(7, BlindBody::BlindUncovered { test, seed: other }),
        answered(8, 3, 2),
        entry(9, BlindBody::BlindUncovered { test, seed: one_seed }),
        answered(10, 4, 2),
    ];
    for turned in 0..all.len() {
        let mut moved = all.clone();
        moved.rotate_left(turned);
        let folded = folded(moved);
        assert_eq!(folded.answers, [2, 1, 2]);
        assert!(folded.uncovered.is_some());
    }
}

/// Every way of a trial to sound is as likely as any other, and so is every place of a pair; held against a count by hand.
#[test]
fn every_order_is_as_likely_as_any_other() {
    let mut chance = Chance::seeded(2);
    let (tests, mut ways, mut control_first) = (600, std::collections::BTreeMap::new(), 0);
    for _ in 0..tests {
        let seed = seed(&mut chance);
        let plan = plan(BlindQuestion::OddOneOut, 2, 10, &seed);
        let order = order(&plan, &seed);
        assert_eq!(order.len(), 15);
        assert_eq!(order.iter().filter(|trial| trial.pair.is_none()).count(), 5);
        control_first += u32::from(order[0].pair.is_none());
        for trial in order {
            *ways.entry(trial.sounds).or_insert(0_u32) += 1;
        }
    }
    assert_eq!(ways.len(), 6, "{ways:?}");
    let each = f64::from(tests * 15) / 6.0;
    // Chi-squared with five degrees of freedom is under 25.7 in 9999 of 10,000 such counts; the seed is fixed.
    let apart: f64 = ways.values().map(|count| (f64::from(*count) - each).powi(2) / each).sum();
    assert!(apart < 25.7, "{ways:?}");
    assert!((f64::from(control_first) / f64::from(tests) - 1.0 / 3.0).abs() < luck(1.0 / 3.0, 600));
}
