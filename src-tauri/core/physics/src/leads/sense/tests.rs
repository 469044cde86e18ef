//! Bench cases: what taps and a compass tell.

use super::*;
use crate::record::leads::Swing;

fn marks(construction: Construction, taps: &[(&str, &str, Swing)], compass: &[(CoilName, Polarity)]) -> Marks {
    let coil = |coil, a: &str, b: &str| CoilLeads { coil, between: [a.into(), b.into()] };
    Marks {
        construction,
        coils: vec![coil(CoilName::A, "moss", "rust"), coil(CoilName::B, "slate", "chalk")],
        taps: taps
            .iter()
            .map(|(plus, minus, swing)| Tap { plus: (*plus).into(), minus: (*minus).into(), swing: *swing })
            .collect(),
        compass: compass.iter().map(|(coil, up)| CompassMark { coil: *coil, up: *up }).collect(),
        ohms: Vec::new(),
    }
}

const OPPOSITE: [(CoilName, Polarity); 2] = [(CoilName::A, Polarity::North), (CoilName::B, Polarity::South)];
const ALIKE: [(CoilName, Polarity); 2] = [(CoilName::A, Polarity::North), (CoilName::B, Polarity::North)];

#[test]
fn the_first_swing_tells_plus_whichever_way_the_probes_were() {
    for (taps, plus) in [
        ([("moss", "rust", Swing::Up), ("slate", "chalk", Swing::Down)], ["moss", "chalk"]),
        ([("rust", "moss", Swing::Down), ("chalk", "slate", Swing::Up)], ["moss", "chalk"]),
        ([("moss", "rust", Swing::DownSmall), ("slate", "chalk", Swing::UpSmall)], ["rust", "slate"]),
    ] {
        let found = senses(&marks(Construction::SideBySide, &taps, &OPPOSITE));
        assert!(found.sure && found.missing.is_empty(), "{found:?}");
        let got: Vec<_> = found.coils.iter().filter_map(|coil| coil.plus.clone()).collect();
        assert_eq!(got, plus);
        assert_eq!(found.leads.len(), 4);
        assert_eq!(found.cancels_hum, Some(true));
    }
}

#[test]
fn hum_is_cancelled_by_opposite_magnets_or_by_a_stack() {
    let taps = [("moss", "rust", Swing::Up), ("slate", "chalk", Swing::UpSmall)];
    for (construction, compass, cancels, part) in [
        (Construction::SideBySide, &OPPOSITE[..], Some(true), "cancel hum too"),
        (Construction::SideBySide, &ALIKE, Some(false), "do not cancel hum"),
        (Construction::Rail, &[], None, "the compass will tell"),
        (Construction::Stacked, &ALIKE, Some(true), "other way round"),
        (Construction::Stacked, &[], Some(true), "other way round"),
    ] {
        let found = senses(&marks(construction, &taps, compass));
        assert_eq!(found.cancels_hum, cancels, "{found:?}");
        assert!(found.rule.contains(part), "{found:?}");
    }
}

#[test]
fn answers_that_can_not_all_be_true() {
    use Swing::{Down, Up, UpSmall};
    for (what, marks, part) in [
        (
            "both ways",
            marks(Construction::SideBySide, &[("moss", "rust", Up), ("moss", "rust", Down)], &[]),
            "opposite ways",
        ),
        (
            "probes turned, same swing",
            marks(Construction::SideBySide, &[("moss", "rust", Up), ("rust", "moss", Up)], &[]),
            "opposite ways",
        ),
        (
            "both poles",
            marks(Construction::SideBySide, &[], &[(CoilName::A, Polarity::North), (CoilName::A, Polarity::South)]),
            "both north and south",
        ),
        ("a stack with two magnets", marks(Construction::Stacked, &[], &OPPOSITE), "share their magnets"),
        (
            "the lower coil louder",
            marks(Construction::Stacked, &[("moss", "rust", UpSmall), ("slate", "chalk", Up)], &ALIKE),
            "exchange their names",
        ),
    ] {
        let found = senses(&marks);
        assert!(found.contradictions.iter().any(|said| said.contains(part)), "{what}: {found:?}");
        assert!(!found.sure && found.leads.is_empty() && found.cancels_hum.is_none(), "{what}: {found:?}");
    }
}

#[test]
fn a_tap_across_two_coils_must_agree_with_each() {
    let mut marks = marks(
        Construction::SideBySide,
        &[("moss", "rust", Swing::Up), ("rust", "slate", Swing::Up), ("moss", "slate", Swing::Up)],
        &OPPOSITE,
    );
    marks.coils[1].between = ["rust".into(), "slate".into()];
    let found = senses(&marks);
    assert!(found.sure, "{found:?}");
    let join = found.leads.iter().find(|lead| lead.name == "rust").map(|lead| lead.ends.len());
    assert_eq!(join, Some(2));
    marks.taps[2].swing = Swing::Down;
    assert!(senses(&marks).contradictions[0].contains("both together"));
}

#[test]
fn a_braid_is_a_lead_of_its_own() {
    let mut marks = marks(Construction::SingleCoil, &[("moss", "shield", Swing::Down)], &[]);
    marks.coils = vec![CoilLeads { coil: CoilName::A, between: [Contact::Shield, "moss".into()] }];
    let found = senses(&marks);
    assert_eq!(found.leads.iter().map(|lead| lead.name.as_str()).collect::<Vec<_>>(), ["moss", "braid"]);
    assert_eq!(found.leads[1].ends, [CoilEnd { coil: CoilName::A, end: End::Plus }]);
    assert_eq!(found.cancels_hum, Some(false));
}

#[test]
fn what_is_missing_is_named() {
    let found = senses(&marks(Construction::SideBySide, &[("moss", "rust", Swing::Nothing)], &[]));
    assert!(!found.sure && found.missing.len() == 4, "{found:?}");
    assert!(found.missing[0].contains("Tap coil A"));
    assert!(found.in_words().contains("which is plus is not known yet"));
}

#[test]
fn three_coils_are_weighed_all() {
    let three = [("moss", "rust", Swing::Up), ("slate", "chalk", Swing::Up), ("plum", "sand", Swing::Up)];
    for (poles, ohms, left) in [
        ([Polarity::North, Polarity::South, Polarity::North], [0.0; 3], 1.0 / 3.0),
        ([Polarity::North, Polarity::South, Polarity::South], [8000.0, 4000.0, 4000.0], 1.0 / 3.0),
        ([Polarity::North, Polarity::North, Polarity::North], [5000.0; 3], 1.0),
    ] {
        let up: Vec<_> = CoilName::ALL.into_iter().zip(poles).collect();
        let mut marks = marks(Construction::SideBySide, &three, &up);
        let between = ["plum", "sand"].map(Contact::from);
        marks.coils.push(CoilLeads { coil: CoilName::C, between });
        marks.ohms = if ohms[0] > 0.0 { ohms.map(Ohms).to_vec() } else { Vec::new() };
        let found = senses(&marks);
        assert_eq!(found.cancels_hum, Some(left <= CANCELLED), "{found:?}");
        let said = format!("{:.0} %", (100.0 * left - 1e-6_f64).ceil());
        assert_eq!(found.rule.contains(&said), left < 0.9, "{found:?}");
    }
}

#[test]
fn a_tapped_winding_goes_on_from_its_tap() {
    let mut marks =
        marks(Construction::TappedCoil, &[("moss", "rust", Swing::Down)], &[(CoilName::A, Polarity::South)]);
    marks.coils[1].between = ["rust".into(), "slate".into()];
    let found = senses(&marks);
    assert!(found.sure && found.missing.is_empty() && found.cancels_hum == Some(false), "{found:?}");
    let end = |coil, end| CoilEnd { coil, end };
    let tap = found.leads.iter().find(|lead| lead.name == "rust").map(|lead| lead.ends.clone());
    assert_eq!(tap, Some(vec![end(CoilName::A, End::Plus), end(CoilName::B, End::Minus)]));
    assert!(found.rule.starts_with("One winding"), "{}", found.rule);
    marks.taps.push(Tap { plus: "rust".into(), minus: "slate".into(), swing: Swing::Up });
    assert!(senses(&marks).contradictions.iter().any(|said| said.contains("one winding")), "{:?}", senses(&marks));
}
