//! Bench cases of decisions, and what has to hold of all of them.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::{Standing, Weakness, candidates, decide};
use crate::comparison::invented::heard;
use crate::comparison::{Compared, Subject, compare};
use crate::record::decision::{Bound, Must, Wanted, Wish};
use crate::record::facts::{InputLoad, LoadResistor};
use crate::record::listening::Quality;
use crate::record::quantity::{LengthUnit, Millimetres};
use crate::record::rig::Mode;
use crate::record::verdict::VerdictKind;

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
fn what_was_never_rated_is_not_quoted() {
    use Quality::{Hum, Treble};
    let said = |all: &[Compared]| {
        let standing = decide(all, &[wish(Hum, -1)], &[]);
        let of = |group: &super::GroupView| group.candidates.clone();
        let one = standing.groups.iter().flat_map(of).find(|one| one.label == "Pickup 1").expect("it is a candidate");
        one.speaks_for.join(" ")
    };
    let (rated, never) = (one(1, 1, &[(Hum, 2)]), |number| one(number, number, &[(Treble, 4)]));
    assert_eq!(said(&[rated.clone(), never(2)]), "Less hum: 2, the middle of the scale 3");
    assert_eq!(said(&[rated.clone(), never(2), never(3)]), "Less hum: 2, the middle of the scale 3");
    let other = |number, value| one(number, number, &[(Hum, value)]);
    assert_eq!(said(&[rated.clone(), other(2, 3)]), "Less hum: 2, the other 3");
    assert_eq!(said(&[rated.clone(), other(2, 5), never(3)]), "Less hum: 2, the only other that was rated 5");
    assert_eq!(
        said(&[rated, other(2, 5), other(4, 4), never(3)]),
        "Less hum: 2, the others that were rated, on average 4.5"
    );
}

#[test]
fn what_was_rated_beside_the_fitted_pickup_alone_is_said_and_is_no_candidate() {
    use crate::record::listening::Than;
    let mut quick = one(1, 1, &[]);
    let key = (Mode::new("single"), Quality::Treble);
    let saved = quick.audition.choice.as_ref().expect("it was chosen").clone();
    let said = crate::audition::Saved { entry: saved.entry, at: saved.at, said: Than::More };
    quick.audition.against.insert(key.clone(), said.clone());
    assert_eq!(
        super::beside_fitted_alone(&[quick.clone()]),
        [
            "Pickup 1 in single was rated beside what was fitted: brighter. No step on a scale was given, so it is no candidate here."
        ]
    );
    assert!(candidates(&[quick.clone()]).is_empty());
    // Rated in steps as well, it is one.
    let mut full = one(2, 1, &[(Quality::Hum, 2)]);
    full.audition.against.insert(key, said);
    assert!(super::beside_fitted_alone(&[quick, full]).is_empty());
}

#[test]
fn half_a_step_apart_is_level_and_the_next_audition_is_named() {
    use Quality::Treble;
    let all = [one(1, 1, &[(Treble, 4)]), one(2, 2, &[(Treble, 4)]), one(3, 3, &[(Treble, 1)])];
    let standing = decide(&all, &[wish(Treble, 1)], &[]);
    assert_eq!(front(&standing).len(), 2);
    assert_eq!(standing.groups[0].title, "Tied for first");
    let said = standing.verdict.map(|verdict| verdict.sentence).unwrap_or_default();
    assert!(said.contains("can't be told from") && said.contains("fewer than 90 of 100"), "{said}");
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

/// Without a string ground hum says little, and nothing else is the worse for it.
#[test]
fn hum_without_a_string_ground_is_doubtful() {
    let rated = [(Quality::Hum, 2), (Quality::Treble, 4)];
    let all: Vec<Compared> = [Some(true), Some(false), None]
        .into_iter()
        .zip(1u128..)
        .map(|(ground, number)| heard(number, number, 0, &["single"], &rated, |h, _| h.string_ground = ground))
        .collect();
    let found = candidates(&all);
    let variance = |quality: Quality| found.iter().map(|one| one.estimate(quality).variance).collect::<Vec<_>>();
    let hum = variance(Quality::Hum);
    assert!(hum[1] >= hum[0] + 1.0, "{hum:?}");
    assert_eq!(variance(Quality::Treble)[0], variance(Quality::Treble)[1]);
    let standing = decide(&all, &[wish(Quality::Treble, 1)], &[]);
    let weak = standing.groups[0]
        .candidates
        .iter()
        .filter(|one| one.weak.contains(&"Hum was rated without a string ground.".to_owned()));
    assert_eq!(weak.map(|one| one.label.as_str()).collect::<Vec<_>>(), ["Pickup 2"]);
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

#[test]
fn what_is_off_the_scale_is_left_out_and_said() {
    use Quality::{Bass, Hum, Treble};
    let must = |value| Must { quality: Hum, bound: Bound::AtMost, value };
    let stored = [wish(Treble, 100), wish(Bass, 1), wish(Hum, -3), wish(Bass, 2)];
    let wanted = Wanted::of(&stored, &[must(0), must(2), must(6)]);
    assert_eq!((wanted.wishes, wanted.musts), (vec![wish(Bass, 1)], vec![must(2)]));
    assert_eq!(
        wanted.left_out,
        [
            "A wish of 100 for treble is off the scale. It is left out.",
            "A wish of -3 for hum is off the scale. It is left out.",
            "A second wish for bass is left out.",
            "Step 0 of hum is off the scale. It is left out.",
            "Step 6 of hum is off the scale. It is left out.",
        ]
    );
    assert_eq!(Wanted::of(&[], &[must(1); 20]).left_out.len(), 4);
    let fine = Wanted::of(&[wish(Treble, -2), wish(Bass, 2)], &[must(1), must(5)]);
    assert_eq!((fine.wishes.len(), fine.musts.len(), fine.left_out), (2, 2, Vec::new()));
}

/// A pickup with what it was rated in its auditions.
type Heard = Vec<Vec<(usize, u8)>>;

/// The rule of groups by another road: whole numbers, and the quantile of the normal distribution in place of its integral.
/// Every note is one of half a step and half a step of doubt, since no readings prove it: a variance of a half.
fn groups_by_hand(all: &[Heard], wishes: &[Wish]) -> Vec<BTreeSet<usize>> {
    const PARTS: i64 = 12;
    let stands: Vec<(i64, i64)> = all
        .iter()
        .map(|auditions| {
            wishes.iter().fold((0, 0), |(mean, variance), wish| {
                let want = i64::from(wish.want);
                // A quality that was rated twice in one audition counts as it was rated last.
                let last = |rated: &Vec<(usize, u8)>| {
                    rated
                        .iter()
                        .rev()
                        .find(|(at, _)| Quality::ALL[*at] == wish.quality)
                        .map(|(_, value)| i64::from(*value))
                };
                let notes: Vec<i64> = auditions.iter().filter_map(last).collect();
                let count = i64::try_from(notes.len()).unwrap_or(0);
                let (middle, spread) = if count == 0 {
                    (3 * PARTS, 2 * PARTS)
                } else {
                    (notes.iter().sum::<i64>() * PARTS / count, PARTS / 2 / count)
                };
                (mean + want * middle, variance + want * want * spread)
            })
        })
        .collect();
    let mut left: BTreeSet<usize> = (0..all.len()).collect();
    let mut groups = Vec::new();
    while let Some(leader) = left.iter().copied().max_by_key(|one| (stands[*one].0, -stands[*one].1)) {
        let told = |other: usize| {
            let apart = (stands[leader].0 - stands[other].0) as f64 / PARTS as f64;
            let variance = (stands[leader].1 + stands[other].1) as f64 / PARTS as f64;
            apart >= 1.281_551_565_544_6 * variance.sqrt()
        };
        let group: BTreeSet<usize> = left.iter().copied().filter(|other| *other == leader || !told(*other)).collect();
        left = left.difference(&group).copied().collect();
        groups.push(group);
    }
    groups
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
    #![proptest_config(ProptestConfig::with_cases(512))]

    /// Whatever was written first: pickups and auditions in any order, and notes of any kind.
    #[test]
    fn groups_follow_their_rule((all, pickups, auditions) in prop::collection::vec(
        prop::collection::vec(prop::collection::vec((0usize..4, 1u8..=5), 1..4), 1..3), 1..7,
    ).prop_flat_map(|all: Vec<Heard>| {
        let pickups: Vec<usize> = (0..all.len()).collect();
        let auditions: Vec<usize> = (0..all.iter().map(Vec::len).sum()).collect();
        (Just(all), Just(pickups).prop_shuffle(), Just(auditions).prop_shuffle())
    }), wants in prop::collection::vec(-2i8..=2, 4), turned in any::<bool>()) {
        let mut wishes: Vec<Wish> = Quality::ALL.into_iter().zip(wants).map(|(quality, want)| wish(quality, want)).collect();
        prop_assume!(wishes.iter().any(|wish| wish.want != 0));
        let by_hand = groups_by_hand(&all, &wishes);
        if turned {
            wishes.reverse();
        }
        let each = all.iter().enumerate().flat_map(|(at, heard)| heard.iter().map(move |rated| (at, rated)));
        let written: Vec<Compared> = each
            .zip(&auditions)
            .map(|((at, rated), when)| {
                let rated: Vec<_> = rated.iter().map(|(quality, value)| (Quality::ALL[*quality], *value)).collect();
                one(1 + *when as u128, 1 + pickups[at] as u128, &rated)
            })
            .collect();
        let name = |label: &str| pickups.iter().position(|number| label == format!("Pickup {}", number + 1));
        let groups: Vec<BTreeSet<usize>> = decide(&written, &wishes, &[])
            .groups
            .iter()
            .map(|group| group.candidates.iter().filter_map(|one| name(&one.label)).collect())
            .collect();
        prop_assert_eq!(groups, by_hand);
    }

    /// Decide and side by side blame the auditions of which something is not recorded, and no others; the advice is about one of
    /// these, under the conditions that side by side would take.
    #[test]
    fn what_is_not_recorded_is_wanting_where_it_was_not_recorded(
        recorded in prop::collection::vec(prop::array::uniform6(any::<bool>()), 2..5), pinned in 0usize..8,
    ) {
        let mut all: Vec<Compared> = (1u128..)
            .zip(&recorded)
            .map(|(number, [gaps, amp, load, input, level, cable])| {
                let days = i64::try_from(number).unwrap_or(0);
                heard(number, number, days, &["single"], &[(Quality::Treble, 3)], |h, _| {
                    h.gaps = h.gaps.take().filter(|_| *gaps);
                    h.amp = h.amp.take().filter(|_| *amp);
                    h.load = load.then_some(LoadResistor::Ohms125k);
                    h.input = input.then_some(InputLoad::Ohms20k);
                    h.level = h.level.filter(|_| *level);
                    h.cable = h.cable.filter(|_| *cable);
                })
            })
            .collect();
        if let Some(one) = all.get_mut(pinned) {
            one.pinned = true;
        }
        // No pickup sounds without gaps and an amplifier. A resistor or a small input is missed where another one had it.
        let others = |index: usize, which: usize| (0..all.len()).any(|other| other != index && recorded[other][which]);
        let by_hand: Vec<BTreeSet<Subject>> = (0..all.len())
            .map(|index| {
                let subjects = [Subject::Gaps, Subject::Amplifier, Subject::Load, Subject::Input];
                let missed = |which: usize| !recorded[index][which] && (which < 2 || others(index, which));
                subjects.into_iter().enumerate().filter(|(which, _)| missed(*which)).map(|(_, subject)| subject).collect()
            })
            .collect();
        let found = candidates(&all);
        for (one, by_hand) in found.iter().zip(&by_hand) {
            let doubtful = one.evidence[0].weak.iter().find_map(|weak| match weak {
                Weakness::Doubtful(subjects) => Some(subjects.iter().copied().collect::<BTreeSet<_>>()),
                _ => None,
            });
            prop_assert_eq!(&doubtful.unwrap_or_default(), by_hand, "{}", one.label);
        }
        let fairness = compare(&all, LengthUnit::Millimetre).fairness;
        let named = |subject: Subject, before: &str, after: &str| -> BTreeSet<String> {
            let of = fairness.found.iter().filter(|found| found.subject == subject);
            let names = of.filter_map(|found| Some(found.sentence.split_once(before)?.1.split_once(after)?.0));
            names.flat_map(|names| names.split(" and ")).map(str::to_owned).collect()
        };
        for (subject, before, after) in
            [(Subject::Gaps, "the gaps of ", "."), (Subject::Amplifier, "What ", " went through")]
        {
            let by_hand = found.iter().zip(&by_hand).filter(|(_, missed)| missed.contains(&subject));
            let by_hand: BTreeSet<String> = by_hand.map(|(one, _)| one.label.clone()).collect();
            prop_assert_eq!(named(subject, before, after), by_hand);
        }
        // All were rated the same, so the one that is in doubt would tell most.
        let next = decide(&all, &[wish(Quality::Treble, 1)], &[]).next.expect("something would tell more");
        let at = all.iter().position(|one| one.id == next.again).expect("it is one of them");
        prop_assert_eq!(by_hand[at].is_empty(), by_hand.iter().all(BTreeSet::is_empty), "{}", next.sentence);
        prop_assert_eq!(next.sentence.contains("Write down this time"), !by_hand[at].is_empty(), "{}", next.sentence);
        prop_assert!(fairness.repeats.iter().all(|repeat| repeat.like == next.like), "{:?}", fairness.repeats);
    }

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
        let chances = standing.groups.iter().map(|group| group.candidates.iter().map(|one| one.chance));
        prop_assert!(chances.into_iter().all(|group| group.is_sorted_by(|one, other| one >= other)), "the likeliest first");
        let any = wishes.iter().any(|wish| wish.want != 0) && !shown.is_empty();
        prop_assert!((sum - if any { 1.0 } else { 0.0 }).abs() < 1e-9, "{}", sum);
    }
}
