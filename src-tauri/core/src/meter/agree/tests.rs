//! Bench cases, and the promise that a good hookup is never called wrong.

use proptest::prelude::*;

use super::*;
use crate::pickup::{Coil, CoilEnd, Construction, End, Lead, Poles, Shield, ShieldKind, Stagger};
use crate::quantity::read_ohms;

fn pickup(coils: &[Option<f64>]) -> Pickup {
    Pickup {
        label: "under test".to_owned(),
        construction: Construction::Stacked,
        coils: coils
            .iter()
            .zip(CoilName::ALL)
            .map(|(stated, name)| Coil { name, stated: stated.map(Ohms), magnet_up: None })
            .collect(),
        leads: Vec::new(),
        joined_inside: Vec::new(),
        shield: Shield { kind: ShieldKind::None, joined_to: None },
        poles: Poles::Rods,
        pole_count: None,
        pole_spacing: None,
        stagger: Stagger::Unknown,
        coil_distance: None,
        bass_end_mark: String::new(),
        width: None,
        length: None,
        depth: None,
        notes: String::new(),
        came_from: String::new(),
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
        pickup.leads.push(Lead { name: name.to_owned(), ends: vec![end] });
    }
    let hook = |order: [&str; 4]| -> Vec<Joined> {
        (0..4).zip(order).map(|(terminal, lead)| Joined { terminal, leads: vec![lead.to_owned()] }).collect()
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

proptest! {
    #[test]
    fn a_good_hookup_is_never_called_wrong(
        coils in prop::array::uniform2(2000.0_f64..15000.0),
        noise in prop::array::uniform3(-1.0_f64..1.0),
        stated in any::<bool>(),
        winding in prop::array::uniform2(-0.09_f64..0.09),
    ) {
        let made = if stated { coils.map(Some) } else { [None, None] };
        let pickup = pickup(&made);
        let real: Vec<f64> = coils.iter().zip(winding).map(|(ohms, off)| ohms * (1.0 + off)).collect();
        let rig = Rig::four_terminal("rig");
        let hookup = Hookup::new(&pickup, &[], &rig);
        let meter = Meter::plain();
        let readings: Vec<_> = rig.positions.iter().zip(noise).map(|(position, noise)| {
            let ohms = hookup.reading(&pickup, position, &real).unwrap_or(f64::NAN);
            (position.mode.clone(), Reading::Ohms(Ohms(ohms + noise * 0.98 * meter.claim(Ohms(ohms)).0)))
        }).collect();
        let agreement = agree(&readings, &pickup, &rig, &[], &meter, None);
        prop_assert_eq!(agreement.kind, AgreementKind::Agrees, "{:?}", agreement);
        for (implied, real) in agreement.implied.iter().zip(real) {
            prop_assert!((implied.ohms.0 - real).abs() <= implied.within.0 * 1.1, "{:?} {}", implied, real);
        }
    }
}
