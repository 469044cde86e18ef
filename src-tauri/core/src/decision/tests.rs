//! Bench cases of decisions, and what has to hold of all of them.

use proptest::prelude::*;

use super::{Bound, Must, Standing, Wish, candidates, decide};
use crate::audition::VerdictKind;
use crate::comparison::Compared;
use crate::comparison::bench::heard;
use crate::listening::Quality;
use crate::quantity::Millimetres;
use crate::rig::Mode;

fn wish(quality: Quality, want: i8) -> Wish {
    Wish { quality, want }
}

fn one(number: u128, pickup: u128, rated: &[(Quality, u8)]) -> Compared {
    heard(number, pickup, i64::try_from(number).unwrap_or(0), &["single"], rated, |_, _| {})
}

fn front(standing: &Standing) -> Vec<&str> {
    standing.groups.first().map(|group| group.candidates.iter().map(|c| c.label.as_str()).collect()).unwrap_or_default()
}

#[test]
fn a_clear_winner_stands_out_with_its_reasons() {
    use Quality::{Hum, Treble};
    let all =
        [one(1, 1, &[(Treble, 5), (Hum, 1)]), one(2, 2, &[(Treble, 2), (Hum, 4)]), one(3, 3, &[(Treble, 2), (Hum, 3)])];
    let standing = decide(&all, &[wish(Treble, 2), wish(Hum, -1)], &[]);
    assert_eq!(front(&standing), ["Pickup 1"]);
    let first = &standing.groups[0].candidates[0];
    assert_eq!(
        first.speaks_for,
        ["Brighter: 5, the others on average 2, which matters much", "Less hum: 1, the others on average 3.5"]
    );
    assert!(first.chance.is_some_and(|chance| chance > 0.95) && first.chance_shown.starts_with("best in"), "{first:?}");
    assert!(first.weak.contains(&"Heard once only.".to_owned()), "{:?}", first.weak);
    let verdict = standing.verdict.expect("there is one");
    assert_eq!((verdict.kind, verdict.word.as_str()), (VerdictKind::Good, "One stands out"));
    // One figure, above and on the card.
    let figure = first.chance_shown.trim_start_matches("best in ");
    assert!(verdict.sentence.contains(&format!("in {figure} cases")), "{} {}", verdict.sentence, first.chance_shown);
    // All were heard once: that makes none of them the least sure.
    let next = standing.next.expect("something would tell more");
    assert!(!next.sentence.contains("least sure"), "{}", next.sentence);
}

#[test]
fn half_a_step_apart_is_level_and_the_next_audition_is_named() {
    use Quality::Treble;
    let all = [one(1, 1, &[(Treble, 4)]), one(2, 2, &[(Treble, 4)]), one(3, 3, &[(Treble, 1)])];
    let standing = decide(&all, &[wish(Treble, 1)], &[]);
    assert_eq!(front(&standing).len(), 2);
    assert_eq!(standing.groups[0].title, "Level in front");
    assert!(standing.verdict.is_some_and(|verdict| verdict.sentence.contains("can't be told apart")));
    let next = standing.next.expect("something would tell more");
    assert!(next.sentence.contains("once more") && next.sentence.contains("That would tell most"), "{}", next.sentence);
    // Heard over and over, the same ratings count for more.
    let again: Vec<Compared> =
        (0..12).map(|n| one(10 + n, 1 + n % 2, &[(Treble, if n % 2 == 0 { 5 } else { 4 })])).collect();
    assert_eq!(front(&decide(&again, &[wish(Treble, 1)], &[])), ["Pickup 1"]);
}

#[test]
fn without_a_wish_there_is_no_order() {
    let standing = decide(&[one(1, 1, &[(Quality::Treble, 5)]), one(2, 2, &[(Quality::Treble, 1)])], &[], &[]);
    assert_eq!((standing.groups.len(), standing.groups[0].candidates.len()), (1, 2));
    assert!(standing.groups[0].candidates.iter().all(|one| one.chance.is_none()) && standing.next.is_none());
}

#[test]
fn what_must_be_so() {
    use Quality::{Hum, Treble};
    let all = [
        one(1, 1, &[(Treble, 5), (Hum, 5)]),
        one(2, 2, &[(Treble, 3), (Hum, 1)]),
        one(3, 3, &[(Treble, 3), (Hum, 3)]),
        one(4, 4, &[(Treble, 3)]),
    ];
    let must = Must { quality: Hum, bound: Bound::AtMost, value: 2 };
    let standing = decide(&all, &[wish(Treble, 1)], &[must]);
    let out: Vec<&str> = standing.out.iter().map(|one| one.label.as_str()).collect();
    assert_eq!(out, ["Pickup 1"]);
    let said = |label: &str| {
        let all = standing.groups.iter().flat_map(|group| &group.candidates);
        all.filter(|one| one.label == label).flat_map(|one| one.musts.clone()).collect::<Vec<_>>().join(" ")
    };
    assert_eq!(said("Pickup 2"), "");
    assert!(said("Pickup 3").contains("Too near the line"), "{}", said("Pickup 3"));
    assert!(said("Pickup 4").contains("Never rated"), "{}", said("Pickup 4"));
}

#[test]
fn what_weakens_the_evidence_is_told_and_widens_the_doubt() {
    let rated = [(Quality::Treble, 5)];
    let nearer = heard(1, 1, 0, &["single"], &rated, |h, _| {
        if let Some(gaps) = &mut h.gaps {
            (gaps.bass, gaps.treble) = (Millimetres(1.4), Millimetres(1.2));
        }
    });
    let mut led = one(2, 2, &rated);
    if let Some(rating) = led.audition.rated.get_mut(&(Mode::new("single"), Quality::Treble)) {
        rating.said.led = true;
    }
    let plain = one(3, 3, &rated);
    let found = candidates(&[nearer, led, plain]);
    let variance: Vec<f64> = found.iter().map(|one| one.estimate(Quality::Treble).variance).collect();
    assert!(variance[0] > variance[1] && variance[1] > variance[2], "{variance:?}");
    let weak: Vec<String> = found.iter().flat_map(|one| &one.evidence[0].weak).map(|weak| weak.in_words()).collect();
    for part in ["not heard as the others: gaps", "after looking at the reference", "no readings prove"] {
        assert!(weak.iter().any(|words| words.contains(part)), "{part}: {weak:?}");
    }
}

#[test]
fn one_candidate_is_said_to_be_the_only_one() {
    let standing = decide(&[one(1, 1, &[(Quality::Treble, 4)])], &[wish(Quality::Treble, 1)], &[]);
    assert!(standing.verdict.is_some_and(|verdict| verdict.word == "One candidate"));
    assert_eq!(decide(&[], &[wish(Quality::Treble, 1)], &[]).verdict, None);
}

fn bench() -> impl Strategy<Value = Vec<Compared>> {
    let rated = prop::collection::vec((0usize..8, 1u8..=5), 1..6);
    prop::collection::vec((1u128..4, rated, 0u8..3), 1..7).prop_map(|seeds| {
        (1u128..)
            .zip(seeds)
            .map(|(number, (pickup, rated, near))| {
                let rated: Vec<_> = rated.into_iter().map(|(quality, value)| (Quality::ALL[quality], value)).collect();
                let modes: &[&str] = if number % 2 == 0 { &["single"] } else { &["single", "series"] };
                heard(number, pickup, i64::try_from(number).unwrap_or(0), modes, &rated, |h, _| {
                    if let Some(gaps) = &mut h.gaps {
                        gaps.bass = Millimetres(4.4 - 0.6 * f64::from(near));
                    }
                })
            })
            .collect()
    })
}

fn wishes() -> impl Strategy<Value = Vec<Wish>> {
    prop::collection::vec(-2i8..=2, 8)
        .prop_map(|wants| Quality::ALL.into_iter().zip(wants).map(|(quality, want)| wish(quality, want)).collect())
}

/// How a candidate's mean stands: how many are ahead of it.
fn ahead_of(all: &[Compared], wishes: &[Wish], index: usize) -> usize {
    let stands: Vec<f64> = candidates(all)
        .iter()
        .map(|one| wishes.iter().map(|wish| f64::from(wish.want) * one.estimate(wish.quality).mean).sum())
        .collect();
    stands.iter().filter(|other| **other > stands[index] + 1e-9).count()
}

proptest! {
    /// The order in which auditions come in changes nothing that is said.
    #[test]
    fn any_order_of_auditions((all, order) in bench().prop_flat_map(|all| {
        let order: Vec<usize> = (0..all.len()).collect();
        (Just(all), Just(order).prop_shuffle())
    }), wishes in wishes()) {
        let moved: Vec<Compared> = order.iter().map(|index| all[*index].clone()).collect();
        prop_assert_eq!(decide(&all, &wishes, &[]), decide(&moved, &wishes, &[]));
    }

    /// Wanting more of a quality never puts the candidate that has most of it behind anybody it was ahead of.
    #[test]
    fn wanting_more_never_hurts_who_leads_in_it(all in bench(), wishes in wishes(), which in 0usize..8) {
        let found = candidates(&all);
        prop_assume!(wishes[which].want < 2 && !found.is_empty());
        let quality = wishes[which].quality;
        let most = found.iter().map(|one| one.estimate(quality).mean).fold(f64::NEG_INFINITY, f64::max);
        let mut more = wishes.clone();
        more[which].want += 1;
        for (index, one) in found.iter().enumerate() {
            if one.estimate(quality).mean >= most {
                prop_assert!(ahead_of(&all, &more, index) <= ahead_of(&all, &wishes, index));
            }
        }
    }

    /// The chances of all who may be chosen add up to one, and every candidate is shown once.
    #[test]
    fn everyone_is_shown_once(all in bench(), wishes in wishes(), value in 1u8..=5) {
        let must = Must { quality: Quality::Hum, bound: Bound::AtMost, value };
        let standing = decide(&all, &wishes, &[must]);
        let shown: Vec<_> = standing.groups.iter().flat_map(|group| &group.candidates).collect();
        prop_assert_eq!(shown.len() + standing.out.len(), candidates(&all).len());
        let sum: f64 = shown.iter().filter_map(|one| one.chance).sum();
        let any = wishes.iter().any(|wish| wish.want != 0) && !shown.is_empty();
        prop_assert!((sum - if any { 1.0 } else { 0.0 }).abs() < 1e-9, "{}", sum);
    }
}
