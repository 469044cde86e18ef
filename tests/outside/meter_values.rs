//! Readings against published values: copper (IEC 60028), written resistances (IEC 60062), and the triple known on benches.

use solderlast_core::physics::meter::{
    AgreementKind, COPPER_PER_DEGREE, Case, DiagnosisKind, Taken, agree, copper, diagnose, expected,
};
use solderlast_core::record::claim::Meter;
use solderlast_core::record::pickup::Construction;
use solderlast_core::record::quantity::{Celsius, Ohms, Reading, read_ohms};
use solderlast_core::record::rig::{Mode, Rig};
use solderlast_testkit::pickups::{hooked_up, pickup};

/// IEC 60028 and NBS Handbook 100: 0.00393 per °C at 20 °C.
#[test]
fn copper_by_iec_60028() {
    assert_eq!(COPPER_PER_DEGREE, 0.003_93);
    // NBS Handbook 100: resistance relative to 20 °C is 1 + 0.00393 (t − 20).
    for (celsius, relative) in [(20.0, 1.0), (0.0, 0.9214), (10.0, 0.9607), (30.0, 1.0393), (70.0, 1.1965)] {
        assert!((copper(Celsius(celsius)) - relative).abs() < 1e-12, "{celsius}");
    }
    // A coil of 6.66 kΩ at 20 °C in a garage of 5 °C.
    let (pickup, joined, rig) =
        (pickup(Construction::Stacked, &[Some(6660.0); 2]), hooked_up(), Rig::four_terminal("rig"));
    let cold = expected(&pickup, &joined, &rig, &Meter::plain(), Some(Celsius(5.0)));
    let nominal = cold[1].nominal.map_or(f64::NAN, |ohms| ohms.0);
    assert!((nominal - 6660.0 * (1.0 - 15.0 * 0.003_93)).abs() < 1e-9, "{nominal}");
}

/// IEC 60062: the letter stands for the point.
#[test]
fn written_resistances_by_iec_60062() {
    for (typed, ohms) in [
        ("R47", 0.47),
        ("4R7", 4.7),
        ("47R", 47.0),
        ("4K7", 4700.0),
        ("47K", 47_000.0),
        ("1M0", 1e6),
        ("1M5", 1.5e6),
        ("6k66", 6660.0),
    ] {
        let read = read_ohms(typed);
        let near = matches!(&read, Ok(Reading::Ohms(Ohms(found))) if (found - ohms).abs() <= ohms * 1e-12);
        assert!(near, "{typed}: {read:?}");
    }
}

/// 3.334, 6.66 and 13.34 kΩ (common practice, no source): agree, and imply coils of 6.66 and 6.68 kΩ.
#[test]
fn the_bench_triple() {
    let (joined, rig, meter) = (hooked_up(), Rig::four_terminal("rig"), Meter::plain());
    let readings: Vec<(Mode, Reading)> = [("parallel", "3.334k"), ("single", "6.66k"), ("series", "13.34k")]
        .map(|(mode, typed)| (Mode::new(mode), read_ohms(typed).expect("a bench case is readable")))
        .to_vec();
    for stated in [[Some(6660.0); 2], [None; 2]] {
        let pickup = pickup(Construction::Stacked, &stated);
        let found = agree(&readings, &pickup, &rig, &joined, &meter, None);
        assert_eq!(found.kind, AgreementKind::Agrees, "{found:?}");
        let coils: Vec<&str> = found.implied.iter().filter_map(|coil| coil.shown.split(" ±").next()).collect();
        assert_eq!(coils, ["6.66 kΩ", "6.68 kΩ"]);
        let taken: Vec<Taken> =
            readings.iter().map(|(mode, reading)| Taken::at_output(mode.clone(), *reading)).collect();
        let case = Case {
            pickup: &pickup,
            joined: &joined,
            rig: &rig,
            meter: &meter,
            room: None,
            measured: &[],
            modes: &[],
            taken: &taken,
        };
        assert_eq!(diagnose(&case).kind, DiagnosisKind::AllWell);
    }
}

/// A series reading of one coil, an open and a short never agree.
#[test]
fn what_never_agrees() {
    let (joined, rig, meter) = (hooked_up(), Rig::four_terminal("rig"), Meter::plain());
    for stated in [[Some(6660.0); 2], [None; 2]] {
        for wrong in ["6.66k", "OL", "0.2", "0"] {
            let readings: Vec<(Mode, Reading)> = [("parallel", "3.334k"), ("single", "6.66k"), ("series", wrong)]
                .map(|(mode, typed)| (Mode::new(mode), read_ohms(typed).expect("a bench case is readable")))
                .to_vec();
            let found = agree(&readings, &pickup(Construction::Stacked, &stated), &rig, &joined, &meter, None);
            assert_eq!(found.kind, AgreementKind::DoesNotAgree, "{wrong}: {found:?}");
        }
    }
}
