//! Bench cases, and the promise that a good hookup is never called wrong.

use proptest::prelude::*;

use super::*;
use crate::meter::expected_from;
use crate::record::pickup::{Coil, CoilEnd, Construction, End, Lead};
use crate::record::quantity::read_ohms;

pub(super) fn pickup(coils: &[Option<f64>]) -> Pickup {
    Pickup {
        coils: coils
            .iter()
            .zip(CoilName::ALL)
            .map(|(stated, name)| Coil { name, stated: stated.map(Ohms), magnet_up: None })
            .collect(),
        ..Pickup::new("under test", Construction::Stacked)
    }
}

fn judge(readings: &[(&str, &str)], pickup: &Pickup) -> Agreement {
    let readings: Vec<_> = readings
        .iter()
        .map(|(mode, typed)| (Mode::new(*mode), read_ohms(typed).expect("a bench case is readable")))
        .collect();
    agree(&readings, pickup, &Rig::four_terminal("rig"), &[], &Meter::plain(), None)
}

#[test]
fn what_agrees_is_told_without_a_difference_of_nothing() {
    let stated = pickup(&[Some(6660.0), Some(6660.0)]);
    let said = |reading: &str| judge(&[("single", reading)], &stated).per_mode[0].sentence.clone();
    assert_eq!(said("6.66k"), "Just what was to be expected: 6.66 kΩ.");
    assert_eq!(said("6.5k"), "2.4 % below the 6.66 kΩ to be expected. Meter and winding allow 15 %.");
    assert_eq!(said("6.7k"), "0.6 % above the 6.66 kΩ to be expected. Meter and winding allow 16 %.");
}

#[test]
fn readings_agree_so_far_while_a_mode_is_left() {
    let stated = pickup(&[Some(6660.0), Some(6660.0)]);
    let left = [Mode::new("series"), Mode::new("parallel")];
    let one = judge(&[("single", "6.66k")], &stated);
    let said = one.so_far(&left);
    assert_eq!(said.word, "Agree so far");
    assert!(said.sentence.starts_with("The readings agree so far."), "{}", said.sentence);
    assert!(said.sentence.ends_with("Not measured yet: series and parallel."), "{}", said.sentence);
    assert!(!said.sentence.contains("should be"), "{}", said.sentence);
    assert_eq!(one.so_far(&[]), Verdict::from(&one));
    assert_eq!(one.so_far(&[]).word, "Agree");
    let wrong = judge(&[("series", "6.66k"), ("single", "6.66k")], &stated);
    assert_eq!(wrong.so_far(&left[1..]), Verdict::from(&wrong), "what is wrong is said at once");
}

#[test]
fn bench_cases() {
    use AgreementKind::{Agrees, CantSay, DoesNotAgree, NothingYet};
    let stated = pickup(&[Some(6660.0), Some(6660.0)]);
    let unknown = pickup(&[None, None]);
    let one_coil = pickup(&[Some(5800.0)]);
    for (what, readings, pickup, kind) in [
        ("nothing yet", &[][..], &stated, NothingYet),
        ("the usual triple", &[("parallel", "3.334k"), ("single", "6.66k"), ("series", "13.34k")], &stated, Agrees),
        (
            "the usual triple, nothing stated",
            &[("parallel", "3.334k"), ("single", "6.66k"), ("series", "13.34k")],
            &unknown,
            Agrees,
        ),
        ("one reading, nothing stated", &[("single", "6.66k")], &unknown, CantSay),
        ("two readings, nothing stated", &[("single", "6.66k"), ("series", "13.34k")], &unknown, CantSay),
        ("one reading, stated", &[("single", "6.66k")], &stated, Agrees),
        (
            "series like one coil",
            &[("parallel", "3.334k"), ("single", "6.66k"), ("series", "6.66k")],
            &stated,
            DoesNotAgree,
        ),
        (
            "series like one coil, nothing stated",
            &[("parallel", "3.334k"), ("single", "6.66k"), ("series", "6.66k")],
            &unknown,
            DoesNotAgree,
        ),
        (
            "unequal coils, nothing stated",
            &[("parallel", "3k"), ("single", "5k"), ("series", "12.5k")],
            &unknown,
            Agrees,
        ),
        ("open", &[("single", "OL")], &stated, DoesNotAgree),
        ("short", &[("parallel", "0.3")], &stated, DoesNotAgree),
        ("one coil", &[("single", "5.7k")], &one_coil, Agrees),
        ("one coil, series is open", &[("single", "5.7k"), ("series", "OL")], &one_coil, Agrees),
        ("a thumb on the probes of ten megohms", &[("single", "66.6")], &stated, DoesNotAgree),
        ("a cold garage", &[("single", "6.2k"), ("series", "12.4k"), ("parallel", "3.1k")], &stated, Agrees),
    ] {
        assert_eq!(judge(readings, pickup).kind, kind, "{what}: {:?}", judge(readings, pickup));
    }
}

#[test]
fn the_usual_triple_implies_its_coils() {
    let agreement = judge(
        &[("parallel", "3.334k"), ("single", "6.66k"), ("series", "13.34k")],
        &pickup(&[Some(6660.0), Some(6660.0)]),
    );
    let shown: Vec<_> = agreement.implied.iter().map(|coil| coil.shown.split(" ±").next().unwrap_or("")).collect();
    assert_eq!(shown, ["6.66 kΩ", "6.68 kΩ"], "{agreement:?}");
}

#[test]
fn a_series_reading_of_one_coil_is_explained() {
    let agreement = judge(&[("single", "6.66k"), ("series", "6.66k")], &pickup(&[Some(6660.0), Some(6660.0)]));
    assert!(agreement.sentence.contains("like one coil"), "{}", agreement.sentence);
    assert!(agreement.explained, "neither a short nor an open");
    assert!(!judge(&[("single", "OL")], &pickup(&[Some(6660.0); 2])).explained);
}

#[test]
fn leads_in_each_others_place_change_what_is_expected() {
    let mut pickup = pickup(&[Some(6000.0), Some(7000.0)]);
    let end = |coil, end| CoilEnd { coil, end };
    let ends = [
        end(CoilName::A, End::Minus),
        end(CoilName::A, End::Plus),
        end(CoilName::B, End::Minus),
        end(CoilName::B, End::Plus),
    ];
    for (name, end) in ["moss", "rust", "slate", "chalk"].into_iter().zip(ends) {
        pickup.leads.push(Lead { name: name.into(), ends: vec![end] });
    }
    let hook = |order: [&str; 4]| -> Vec<Joined> {
        (0..4).zip(order).map(|(terminal, lead)| Joined { terminal, leads: vec![lead.into()] }).collect()
    };
    let rig = Rig::four_terminal("rig");
    let nominal = |order| -> Vec<Option<f64>> {
        expected(&pickup, &hook(order), &rig, &Meter::plain(), None)
            .iter()
            .map(|e| e.nominal.map(|o| o.0.round()))
            .collect()
    };
    assert_eq!(nominal(["moss", "rust", "slate", "chalk"]), [Some(3231.0), Some(6000.0), Some(13000.0)]);
    // Inner leads swapped: single finds no coil between 1 and 2, and series goes through neither.
    assert_eq!(nominal(["moss", "slate", "rust", "chalk"])[1], None);
    // Coils in each other's place: single auditions coil B.
    assert_eq!(nominal(["slate", "chalk", "moss", "rust"])[1], Some(7000.0));
}

#[test]
fn what_can_not_be_is_answered_in_words() {
    let stated = pickup(&[Some(6660.0), Some(6660.0)]);
    let unknown = pickup(&[None, None]);
    let rig = Rig::four_terminal("rig");
    for ohms in [-6660.0, -1e12, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 9e8, 1e300, 0.0] {
        for pickup in [&stated, &unknown] {
            for other in [None, Some(6660.0)] {
                let mut readings = vec![(Mode::new("series"), Reading::Ohms(Ohms(ohms)))];
                readings.extend(other.map(|ohms| (Mode::new("single"), Reading::Ohms(Ohms(ohms)))));
                let agreement = agree(&readings, pickup, &rig, &[], &Meter::plain(), None);
                assert_eq!(agreement.kind, AgreementKind::DoesNotAgree, "{ohms}: {agreement:?}");
                assert!(agreement.per_mode[0].sentence.len() > 20, "{agreement:?}");
            }
        }
    }
    let readings = [(Mode::new("upside down"), Reading::Ohms(Ohms(5.0)))];
    assert_eq!(agree(&readings, &stated, &rig, &[], &Meter::plain(), None).kind, AgreementKind::CantSay);
    let none = pickup(&[]);
    let readings = [(Mode::new("single"), Reading::Ohms(Ohms(5000.0)))];
    assert_eq!(agree(&readings, &none, &rig, &[], &Meter::plain(), None).kind, AgreementKind::DoesNotAgree);
}

#[test]
fn series_and_parallel_alone_tell_unequal_coils_apart() {
    let agreement = judge(&[("parallel", "3k"), ("series", "12.5k")], &pickup(&[None, None]));
    assert_ne!(agreement.kind, AgreementKind::DoesNotAgree, "{agreement:?}");
    let mut coils: Vec<f64> = agreement.implied.iter().map(|coil| coil.ohms.0).collect();
    coils.sort_by(f64::total_cmp);
    assert!(coils.len() == 2 && (coils[0] - 5000.0).abs() < 1.0 && (coils[1] - 7500.0).abs() < 1.0, "{coils:?}");
}

#[test]
fn how_far_off_is_told_in_times_of_the_band() {
    let stated = pickup(&[Some(6660.0), Some(6660.0)]);
    // 10 % of 13.32 k, 3.93 % of that for a room of up to 30 °C, then 1 % and 3 counts of ten ohms.
    let high = 13_320.0 * 1.1 * 1.0393;
    let band = high + high * 0.01 + 30.0 - 13_320.0;
    let off = judge(&[("series", "20k")], &stated);
    let times = off.per_mode[0].times_the_band.unwrap_or(f64::NAN);
    assert!((times - (20_000.0 - 13_320.0) / band).abs() < 1e-9, "{off:?}");
    let unknown = judge(&[("parallel", "3.334k"), ("single", "6.66k"), ("series", "6.66k")], &pickup(&[None, None]));
    assert!(unknown.times_the_band.is_some_and(|times| times > 5.0), "{unknown:?}");
    assert!(unknown.per_mode.iter().all(|verdict| verdict.times_the_band.is_some_and(|times| times > 5.0)));
}

#[test]
fn a_cold_garage_is_brought_to_20_degrees() {
    let rig = Rig::four_terminal("rig");
    let readings = [(Mode::new("single"), Reading::Ohms(Ohms(6398.0)))];
    let agreement = agree(&readings, &pickup(&[Some(6660.0), None]), &rig, &[], &Meter::plain(), Some(Celsius(10.0)));
    // 6398 / (1 − 0.0393) = 6659.7
    assert!((agreement.implied[0].ohms.0 - 6659.7).abs() < 0.1 && agreement.implied[0].at_20, "{agreement:?}");
}

#[test]
fn three_leads_and_what_the_switch_makes_of_them() {
    let mut pickup = pickup(&[Some(6000.0), Some(7000.0)]);
    let end = |coil, end| CoilEnd { coil, end };
    for (name, ends) in [
        ("moss", vec![end(CoilName::A, End::Minus)]),
        ("rust", vec![end(CoilName::A, End::Plus), end(CoilName::B, End::Minus)]),
        ("chalk", vec![end(CoilName::B, End::Plus)]),
    ] {
        pickup.leads.push(Lead { name: name.into(), ends });
    }
    let rig = Rig::four_terminal("rig");
    for joined in [
        vec![],
        [(0, "moss"), (1, "rust"), (3, "chalk")]
            .map(|(terminal, lead)| Joined { terminal, leads: vec![lead.into()] })
            .to_vec(),
    ] {
        let found: Vec<_> = expected(&pickup, &joined, &rig, &Meter::plain(), None)
            .into_iter()
            .map(|e| (e.mode.0, e.nominal.map(|ohms| ohms.0.round()), e.hears))
            .collect();
        // In parallel the switch joins the ends of coil B to each other.
        let [a, both] = [vec![CoilName::A], vec![CoilName::A, CoilName::B]];
        let parallel = ("parallel".to_owned(), Some(6000.0), a.clone());
        assert_eq!(
            found,
            [parallel, ("single".to_owned(), Some(6000.0), a), ("series".to_owned(), Some(13_000.0), both)]
        );
    }
}

/// Of one coil, one mode tells all; of two, a mode that reads like another may sound otherwise.
#[test]
fn modes_that_are_the_same_with_one_coil_are_named() {
    let rig = Rig::four_terminal("rig");
    let same = |pickup: &Pickup, joined: &[Joined]| {
        expected(pickup, joined, &rig, &Meter::plain(), None)
            .into_iter()
            .map(|one| (one.mode.0, one.silent.is_some(), one.same_as.map(|mode| mode.0)))
            .collect::<Vec<_>>()
    };
    let mut one = pickup(&[Some(6660.0)]);
    for (name, which) in [("moss", End::Minus), ("rust", End::Plus)] {
        one.leads.push(Lead { name: name.into(), ends: vec![CoilEnd { coil: CoilName::A, end: which }] });
    }
    let joined =
        [(0, "moss"), (1, "rust")].map(|(terminal, lead)| Joined { terminal, leads: vec![lead.into()] }).to_vec();
    assert_eq!(
        same(&one, &joined),
        [
            ("parallel".to_owned(), false, Some("single".to_owned())),
            ("single".to_owned(), false, None),
            ("series".to_owned(), true, None)
        ]
    );
    assert!(same(&pickup(&[Some(6660.0), Some(6660.0)]), &[]).iter().all(|(.., same)| same.is_none()));
}

#[test]
fn a_coil_measured_before_weighs_more_than_what_is_stated() {
    let pickup = pickup(&[Some(6660.0), Some(6660.0)]);
    let measured =
        ImpliedCoil { coil: CoilName::A, ohms: Ohms(6900.0), within: Ohms(69.0), at_20: true, shown: String::new() };
    let rig = Rig::four_terminal("rig");
    let expected = expected_from(&pickup, &[], &rig, &Meter::plain(), Some(Celsius(20.0)), &[measured]);
    let single = &expected[1];
    assert_eq!(single.nominal, Some(Ohms(6900.0)));
    assert!(single.sentence.contains("A 6.9 kΩ measured"), "{single:?}");
    assert!(single.high.is_some_and(|high| high.0 < 7200.0), "{single:?}");
}

proptest! {
    #[test]
    fn a_good_hookup_is_never_called_wrong(
        coils in prop::array::uniform2(2000.0_f64..15000.0),
        noise in prop::array::uniform3(-1.0_f64..1.0),
        stated in any::<bool>(),
        winding in prop::array::uniform2(-0.1_f64..0.1),
        degrees in 10.0_f64..30.0,
    ) {
        let made = if stated { coils.map(Some) } else { [None, None] };
        let pickup = pickup(&made);
        let warm = copper(Celsius(degrees));
        let real: Vec<f64> = coils.iter().zip(winding).map(|(ohms, off)| ohms * (1.0 + off) * warm).collect();
        let rig = Rig::four_terminal("rig");
        let circuit = RigCircuit::new(&pickup, &[], &rig);
        let meter = Meter::plain();
        let readings: Vec<_> = rig.positions.iter().zip(noise).enumerate().map(|(at, (position, noise))| {
            let seen = circuit.seen(&circuit.meant, &RigLook::output(at)).unwrap_or(Seen::Open);
            let ohms = seen.ohms(&real);
            // The meter chooses its range by what is there, not by what it then shows.
            let range = meter.ranges.iter().find(|range| ohms <= range.top.0).expect("a range that reaches so far");
            let claim = ohms * meter.share + meter.counts * range.digit.0;
            (position.mode.clone(), Reading::Ohms(Ohms(ohms + noise * 0.97 * claim)))
        }).collect();
        let agreement = agree(&readings, &pickup, &rig, &[], &meter, None);
        prop_assert_eq!(agreement.kind, AgreementKind::Agrees, "{:?}", agreement);
        for (implied, real) in agreement.implied.iter().zip(real) {
            prop_assert!((implied.ohms.0 - real).abs() <= implied.within.0 * 1.1, "{:?} {}", implied, real);
        }
    }
}

/// Both leads in one clip of a rig with one mode, and one clip left empty: no sentence speaks of a switch.
#[test]
fn a_rig_of_one_mode_has_no_switch_to_check() {
    let clips = Rig::to_begin_from().into_iter().map(|(_, _, rig)| rig).next().expect("there are rigs to begin from");
    let mode = clips.positions[0].mode.clone();
    let mut one = pickup(&[Some(6200.0)]);
    one.construction = Construction::SingleCoil;
    one.leads = [("yellow", End::Plus), ("blue", End::Minus)]
        .map(|(name, end)| Lead { name: name.into(), ends: vec![CoilEnd { coil: CoilName::A, end }] })
        .to_vec();
    for leads in [[vec!["yellow", "blue"], vec![]], [vec!["blue"], vec![]], [vec!["blue"], vec!["yellow"]]] {
        let joined: Vec<Joined> = (0..)
            .zip(leads)
            .map(|(terminal, leads)| Joined { terminal, leads: leads.into_iter().map(Into::into).collect() })
            .collect();
        for reading in
            [Reading::OverLimit, Reading::Ohms(Ohms(0.2)), Reading::Ohms(Ohms(6200.0)), Reading::Ohms(Ohms(62_000.0))]
        {
            let agreement = agree(&[(mode.clone(), reading)], &one, &clips, &joined, &Meter::plain(), None);
            let expected = expected(&one, &joined, &clips, &Meter::plain(), None);
            let said = format!("{} {} {}", agreement.sentence, agreement.per_mode[0].sentence, expected[0].sentence);
            assert!(!said.contains("switch"), "{joined:?} {reading:?}: {said}");
        }
    }
}
