//! Bench cases: leads in any order, readings incomplete or contradictory.

use proptest::prelude::*;

use super::*;
use crate::record::quantity::read_ohms;

fn search(leads: &[&str], shield: bool, frame: bool, readings: &[(&str, &str, &str)]) -> Search {
    Search {
        leads: leads.iter().map(|&lead| lead.into()).collect(),
        shield,
        frame,
        readings: readings
            .iter()
            .map(|(a, b, typed)| PairReading {
                between: [(*a).into(), (*b).into()],
                reading: read_ohms(typed).expect("a bench case is readable"),
            })
            .collect(),
        out_of_reach: Vec::new(),
    }
}

fn found(leads: &[&str], shield: bool, frame: bool, readings: &[(&str, &str, &str)]) -> LeadsFound {
    identify(&search(leads, shield, frame, readings), &Meter::plain())
}

/// Goes on from these readings as it is asked to: a pair reads what it read before, and another is open.
fn in_the_end(leads: &[&str], shield: bool, frame: bool, readings: &[(&str, &str, &str)]) -> LeadsFound {
    let mut search = search(leads, shield, frame, readings);
    for _ in 0..40 {
        let found = identify(&search, &Meter::plain());
        let Some(next) = &found.next else { return found };
        let before = readings.iter().find(|(a, b, _)| next.between == [*a, *b] || next.between == [*b, *a]);
        let reading = read_ohms(before.map_or("OL", |(.., typed)| typed)).expect("a bench case is readable");
        search.readings.push(PairReading { between: next.between.clone(), reading });
    }
    unreachable!("it does not come to an end: {search:?}")
}

fn coils(found: &LeadsFound) -> Vec<[&str; 2]> {
    found.coils.iter().map(|coil| [coil.between[0].as_str(), coil.between[1].as_str()]).collect()
}

const FOUR: [&str; 4] = ["moss", "rust", "slate", "chalk"];

#[test]
fn four_leads_are_known_after_three_readings_and_those_that_check_them() {
    let three = [("moss", "slate", "6.66k"), ("chalk", "rust", "6.7k"), ("slate", "rust", "OL")];
    let looks_so = found(&FOUR, false, false, &three);
    assert!(looks_so.checking && !looks_so.sure && looks_so.sentence.contains("looks like this"), "{looks_so:?}");
    assert!(looks_so.next.is_some_and(|next| !three.iter().any(|(a, b, _)| next.between == [*a, *b])));
    let found = in_the_end(&FOUR, false, false, &three);
    assert!(found.sure, "{found:?}");
    assert_eq!(coils(&found), [["moss", "slate"], ["rust", "chalk"]]);
    assert_eq!(found.sentence, "Two coils: moss to slate 6.66 kΩ and rust to chalk 6.7 kΩ.");
    assert_eq!((found.next, found.measured), (None, 4));
}

/// Two leads of a coil that did not touch its probe read like two loose ones: the reading is asked for again.
#[test]
fn a_pair_read_twice_alike_is_believed() {
    let wrong = [("moss", "rust", "OL"), ("slate", "chalk", "6k"), ("moss", "slate", "OL"), ("rust", "slate", "OL")];
    let doubtful = found(&FOUR, false, false, &wrong);
    assert!(!doubtful.sure && doubtful.checking, "{doubtful:?}");
    assert_eq!(doubtful.next.map(|next| next.between), Some(["moss", "rust"].map(Contact::from)));
    let disputed = found(&FOUR, false, false, &[&wrong[..], &[("rust", "moss", "6.1k")]].concat());
    assert!(!disputed.sure && disputed.contradictions.is_empty(), "{disputed:?}");
    assert_eq!(disputed.next.map(|next| next.between), Some(["moss", "rust"].map(Contact::from)));
    let right =
        found(&FOUR, false, false, &[&wrong[..], &[("rust", "moss", "6.1k"), ("moss", "rust", "6.1k")]].concat());
    assert_eq!(coils(&right), [["moss", "rust"], ["slate", "chalk"]]);
    assert!(right.notes.iter().any(|note| note.contains("more than once, so that is believed")), "{right:?}");
}

/// Who is asked for a pair a second time is told so first, and why.
#[test]
fn a_pair_that_is_asked_for_again_says_why() {
    let once = [("moss", "rust", "OL"), ("slate", "chalk", "6k"), ("moss", "slate", "OL"), ("rust", "slate", "OL")];
    let twice = [&once[..], &[("rust", "moss", "6.1k")]].concat();
    for (readings, why) in
        [(&once[..], "Nothing else has checked that reading."), (&twice[..], "It did not read the same twice.")]
    {
        let sentence = found(&FOUR, false, false, readings).next.map(|next| next.sentence).unwrap_or_default();
        let begins = "Once more, to be sure: measure ohms between moss and rust. ";
        assert!(sentence.strip_prefix(begins).is_some_and(|rest| rest.starts_with(why)), "{sentence}");
    }
}

#[test]
fn nothing_measured_yet() {
    let found = found(&FOUR, true, true, &[]);
    assert!(!found.sure && found.next.is_some() && found.coils.is_empty(), "{found:?}");
    assert_eq!(found.sentence, "Not sure yet. Measure the next pair.");
}

#[test]
fn three_leads_join_where_the_readings_say() {
    let three = ["moss", "rust", "slate"];
    // The largest reading is the sum of the others, so the lead that is not in it is the join.
    let unequal =
        found(&three, false, false, &[("moss", "rust", "5k"), ("rust", "slate", "12.5k"), ("moss", "slate", "7.5k")]);
    assert!(unequal.sure, "{unequal:?}");
    assert_eq!(coils(&unequal), [["moss", "rust"], ["moss", "slate"]]);
    assert_eq!(unequal.joins, ["moss"]);
    // Two of them leave it open: the other two may be joined, or either may be the join.
    let open = found(&three, false, false, &[("moss", "rust", "5k"), ("rust", "slate", "12.5k")]);
    assert!(!open.sure && open.next.is_some_and(|next| next.between == ["moss", "slate"]));
    let equal =
        found(&three, false, false, &[("moss", "rust", "6.66k"), ("rust", "slate", "6.68k"), ("moss", "slate", "0.1")]);
    assert!(equal.checking, "{equal:?}");
    let equal = in_the_end(
        &three,
        false,
        false,
        &[("moss", "rust", "6.66k"), ("rust", "slate", "6.68k"), ("moss", "slate", "0.1")],
    );
    assert!(equal.sure && equal.coils.len() == 1 && equal.touching.len() == 1, "{equal:?}");
}

#[test]
fn three_coils_in_a_row() {
    let readings = [
        ("moss", "rust", "4k"),
        ("rust", "slate", "5k"),
        ("slate", "chalk", "6.5k"),
        ("moss", "slate", "9k"),
        ("rust", "chalk", "11.5k"),
        ("moss", "chalk", "15.5k"),
    ];
    let found = found(&FOUR, false, false, &readings);
    assert!(found.sure, "{found:?}");
    assert_eq!(coils(&found), [["moss", "rust"], ["rust", "slate"], ["slate", "chalk"]]);
    assert_eq!(found.joins, ["rust", "slate"]);
}

#[test]
fn a_braid_is_the_other_end_of_the_coil() {
    let found = in_the_end(
        &["moss"],
        true,
        true,
        &[("moss", "shield", "7.2k"), ("shield", "frame", "0.4"), ("moss", "frame", "7.2k")],
    );
    assert!(found.sure, "{found:?}");
    assert_eq!(coils(&found), [["moss", "shield"]]);
    assert!(found.sentence.contains("moss to the shield 7.2 kΩ"), "{}", found.sentence);
    assert_eq!(found.touching[0].sentence, "The shield is joined to the frame.");
}

#[test]
fn a_shield_that_its_maker_joined_to_a_lead() {
    let found = in_the_end(
        &["moss", "rust"],
        true,
        false,
        &[("moss", "rust", "6k"), ("shield", "rust", "0.2"), ("shield", "moss", "6k"), ("rust", "shield", "0.2")],
    );
    assert!(found.sure, "{found:?}");
    assert_eq!(found.touching[0].sentence, "The shield is joined to rust. Use it as the ground lead.");
}

#[test]
fn a_broken_coil_leaves_loose_leads() {
    let found = in_the_end(
        &FOUR,
        false,
        false,
        &[
            ("moss", "rust", "6k"),
            ("slate", "chalk", "OL"),
            ("moss", "slate", "OL"),
            ("moss", "chalk", "OL"),
            ("chalk", "slate", "OL"),
            ("rust", "slate", "OL"),
            ("rust", "chalk", "OL"),
        ],
    );
    assert!(found.sure, "{found:?}");
    assert_eq!(found.loose, ["slate", "chalk"]);
    assert!(found.sentence.contains("Slate and chalk have no path to anything"), "{}", found.sentence);
}

#[test]
fn readings_that_can_not_all_be_right() {
    for (what, readings, part) in [
        ("short and open", &[("moss", "rust", "0"), ("rust", "moss", "OL")][..], "moss and rust read 0 Ω and OL"),
        ("two values", &[("moss", "rust", "6k"), ("moss", "rust", "9k")], "read 6 kΩ and 9 kΩ"),
        (
            "open, though both have a path to the third",
            &[("moss", "rust", "6k"), ("rust", "slate", "6k"), ("moss", "slate", "OL")],
            "can't all be right",
        ),
        (
            "joined to the same, but not to each other",
            &[("moss", "rust", "0.1"), ("rust", "slate", "0.1"), ("moss", "slate", "6k")],
            "can't all be right",
        ),
        (
            "a sum that is none",
            &[("moss", "rust", "5k"), ("rust", "slate", "5k"), ("moss", "slate", "7k")],
            "add up to 10 kΩ",
        ),
    ] {
        let three = ["moss", "rust", "slate"];
        // Any of them may be wrong, so one is asked for again.
        let doubtful = found(&three, false, false, readings);
        assert!(!doubtful.sure && doubtful.contradictions.is_empty(), "{what}: {doubtful:?}");
        let next = doubtful.next.expect("a pair to measure again");
        assert!(
            readings.iter().any(|(a, b, _)| next.between == [*a, *b] || next.between == [*b, *a]),
            "{what}: {next:?}"
        );
        // Each read so twice: then it stays a contradiction, and is named.
        let twice = found(&three, false, false, &[readings, readings].concat());
        assert!(!twice.sure && twice.next.is_none(), "{what}: {twice:?}");
        assert!(twice.contradictions.iter().any(|said| said.contains(part)), "{what}: {twice:?}");
    }
}

#[test]
fn what_is_no_reading_is_left_out_and_said() {
    for (typed, part) in [("500k", "Fingers read like this"), ("300M", "Fingers read like this")] {
        let found = found(&["moss", "rust"], false, false, &[("moss", "rust", typed)]);
        assert!(!found.sure && found.notes[0].contains(part) && found.next.is_some(), "{found:?}");
    }
    let mut negative = search(&["moss", "rust"], false, false, &[]);
    for ohms in [-5.0, f64::NAN, f64::NEG_INFINITY] {
        negative.readings =
            vec![PairReading { between: ["moss".into(), "rust".into()], reading: Reading::Ohms(Ohms(ohms)) }];
        let found = identify(&negative, &Meter::plain());
        assert!(!found.sure && found.notes[0].contains("less than nothing"), "{found:?}");
    }
    let stranger = found(&["moss", "rust"], false, false, &[("moss", "azure", "5k"), ("moss", "moss", "0")]);
    assert!(stranger.notes.len() == 2 && stranger.measured == 0, "{stranger:?}");
}

#[test]
fn leads_that_can_not_be_told_apart_are_refused() {
    assert!(found(&["moss", "moss"], false, false, &[]).sentence.contains("same name"));
    assert!(found(&["moss", "shield"], false, false, &[]).sentence.contains("same name"));
    assert!(found(&[], true, false, &[]).sentence.contains("at least two"));
    let nine: Vec<String> = (0..9).map(|lead| lead.to_string()).collect();
    let nine: Vec<&str> = nine.iter().map(String::as_str).collect();
    assert!(found(&nine, false, false, &[]).sentence.contains("At most 8"));
}

#[test]
fn what_can_not_be_reached_is_gone_round_or_left_open() {
    let mut search = search(&["moss", "rust"], true, false, &[("moss", "rust", "6k")]);
    search.out_of_reach = vec![["shield".into(), "moss".into()]];
    let round = identify(&search, &Meter::plain());
    assert_eq!(round.next.map(|next| next.between), Some(["rust", "shield"].map(Contact::from)));
    search.out_of_reach.push(["rust".into(), "shield".into()]);
    let open = identify(&search, &Meter::plain());
    assert!(!open.sure && open.next.is_none() && open.sentence.contains("stays open"), "{open:?}");
}

#[test]
fn six_leads_of_three_coils() {
    let six = ["moss", "rust", "slate", "chalk", "plum", "sand"];
    let pairs = [("moss", "plum"), ("rust", "slate"), ("chalk", "sand")];
    let mut search = search(&six, true, true, &[]);
    for taken in 0..60 {
        let found = identify(&search, &Meter::plain());
        if found.sure {
            assert_eq!(coils(&found), [["moss", "plum"], ["rust", "slate"], ["chalk", "sand"]]);
            assert!(taken <= 45, "{taken}");
            return;
        }
        let Some(next) = found.next else { unreachable!("{found:?}") };
        let coil = pairs.iter().any(|(a, b)| next.between == [*a, *b] || next.between == [*b, *a]);
        let reading = if coil { Reading::Ohms(Ohms(5000.0)) } else { Reading::OverLimit };
        search.readings.push(PairReading { between: next.between, reading });
    }
    unreachable!("thirty readings are more than there are pairs");
}

proptest! {
    /// Other names in the same places, and the same answer under the other names.
    #[test]
    fn permuting_lead_names_permutes_the_answer(
        order in Just([0_usize, 1, 2, 3]).prop_shuffle(),
        shown in prop::collection::vec((0_usize..4, 0_usize..4, prop::sample::select(vec!["OL", "0.1", "5k", "6k", "11k"])), 0..7),
    ) {
        let names = order.map(|place| FOUR[place]);
        let readings = |names: [&'static str; 4]| -> Vec<_> {
            shown.iter().map(|(a, b, typed)| (names[*a], names[*b], *typed)).collect()
        };
        let plain = found(&FOUR, false, false, &readings(FOUR));
        let permuted = found(&names, false, false, &readings(names));
        let renamed = |pair: &[Contact; 2]| -> [Contact; 2] {
            pair.clone().map(|name| FOUR.iter().position(|n| name == *n).map_or(name.clone(), |at| names[at].into()))
        };
        prop_assert_eq!(plain.sure, permuted.sure);
        let expected: Vec<_> = plain.coils.iter().map(|coil| (renamed(&coil.between), coil.ohms)).collect();
        let got: Vec<_> = permuted.coils.iter().map(|coil| (coil.between.clone(), coil.ohms)).collect();
        prop_assert_eq!(expected, got);
        prop_assert_eq!(plain.next.map(|next| renamed(&next.between)), permuted.next.map(|next| next.between));
    }

    /// The order in which pairs were measured, and of the two probes, does not matter.
    #[test]
    fn any_order_of_readings(
        shown in prop::collection::vec((0_usize..4, 0_usize..4, prop::sample::select(vec!["OL", "0.1", "5k", "6k", "11k"])), 0..7)
            .prop_flat_map(|shown| (Just(shown.clone()), Just(shown).prop_shuffle())),
    ) {
        let (first, mut other) = shown;
        for reading in &mut other {
            (reading.0, reading.1) = (reading.1, reading.0);
        }
        let named = |shown: &[(usize, usize, &'static str)]| -> Vec<_> {
            shown.iter().map(|(a, b, typed)| (FOUR[*a], FOUR[*b], *typed)).collect()
        };
        let (one, other) = (found(&FOUR, false, false, &named(&first)), found(&FOUR, false, false, &named(&other)));
        prop_assert_eq!(one.sure, other.sure);
        prop_assert_eq!(one.contradictions.is_empty(), other.contradictions.is_empty());
        if one.contradictions.is_empty() {
            prop_assert_eq!(coils(&one), coils(&other));
        }
    }
}
