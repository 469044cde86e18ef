//! Coils that are known, measured by sums that share nothing with the model under test: a coil is the closed form of its impedance
//! as real and imaginary parts, and chance adds noise.

use proptest::prelude::*;

use super::*;
use crate::record::measured::{Driven, KnownFarads, KnownOhms, SweptPoint};
use crate::record::quantity::{Decibels, Hertz};
use solderlast_samples::Chance;

#[derive(Debug, Clone, Copy)]
struct Truth {
    ohms: f64,
    henries: f64,
    farads: f64,
    loss: f64,
}

/// The size of what comes back through a resistor, worked out in real numbers.
fn comes_back(truth: Truth, across: f64, input: f64, resistor: f64, hertz: f64) -> f64 {
    let w = TAU * hertz;
    let x = w * truth.henries;
    // A resistance across a reactance.
    let shared = truth.loss * x / (truth.loss * truth.loss + x * x);
    let (re, im) = (truth.ohms + shared * x, shared * truth.loss);
    let size = re * re + im * im;
    let (g, b) = (re / size + 1.0 / input, -im / size + w * (truth.farads + across));
    let z = g * g + b * b;
    let (zr, zi) = (g / z, -b / z);
    (zr.hypot(zi)) / ((zr + resistor).hypot(zi))
}

fn sweep(truth: Truth, added: Option<f64>, noise: f64, chance: &mut Chance) -> Swept {
    let resistor = 100e3;
    let cable = 400e-12;
    let points = (0..120)
        .map(|at| {
            let hertz = 100.0 * 180_f64.powf(f64::from(at) / 119.0);
            let size = comes_back(truth, cable + added.unwrap_or(0.0), 1e6, resistor, hertz);
            // Twelve even numbers make a normal one.
            let normal = (0..12).map(|_| chance.between(-0.5, 0.5)).sum::<f64>();
            SweptPoint(Hertz(hertz), Decibels(20.0 * size.log10() - 7.0 + noise * normal), Decibels(noise))
        })
        .collect();
    Swept {
        coil: Some(CoilName::A),
        driven: Driven::Resistor { resistor: KnownOhms { ohms: Ohms(resistor), within: 0.01 } },
        added: added.map(|farads| KnownFarads { farads: Farads(farads), within: 0.01 }),
        input: KnownOhms { ohms: Ohms(1e6), within: 0.02 },
        cable: KnownFarads { farads: Farads(cable), within: 0.02 },
        take: None,
        turned: None,
        points,
    }
}

fn ohms(truth: Truth) -> Told {
    let value = ComponentValue::Resistance { ohms: Ohms(truth.ohms) };
    Told::Metered(Metered { coil: CoilName::A, value, within: 0.01 })
}

fn both(truth: Truth, noise: f64, chance: &mut Chance) -> Vec<Told> {
    let mut told: Vec<Told> =
        [None, Some(1e-9)].into_iter().map(|added| Told::Swept(sweep(truth, added, noise, chance))).collect();
    told.push(ohms(truth));
    told
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(24))]
    #[test]
    fn two_sweeps_tell_a_coil(
        ohms in 2e3..16e3_f64, henries in 0.8..9.0_f64, farads in 30e-12..250e-12_f64, loss in 1.5e5..3e6_f64, seed in any::<u64>(),
    ) {
        let truth = Truth { ohms, henries, farads, loss };
        let told = both(truth, 0.02, &mut Chance(seed));
        let found = measured(&[CoilName::A], &told).expect("it is measured");
        let coil = found.coil(CoilName::A).expect("it is known");
        prop_assert!((coil.henries.value / henries).ln().abs() < 0.02, "{coil:?}");
        prop_assert!(found.residue.unwrap() < 0.04 && found.faults.is_empty(), "{:?} {:?}", found.residue, found.faults);
        let all = 400e-12 + farads;
        let hertz = 1.0 / (TAU * (henries * all).sqrt());
        prop_assert!((coil.resonance.unwrap().value / hertz).ln().abs() < 0.005, "{coil:?}");
    }
}

const COIL: Truth = Truth { ohms: 7200.0, henries: 2.6, farads: 90e-12, loss: 600e3 };

#[test]
fn a_wrong_capacitor_and_a_bad_contact_are_named() {
    let mut chance = Chance(5);
    for real in [220e-12, 2.2e-9, 10e-9] {
        let mut wrong = sweep(COIL, Some(real), 0.02, &mut chance);
        wrong.added = Some(KnownFarads { farads: Farads(1e-9), within: 0.01 });
        let told = [Told::Swept(sweep(COIL, None, 0.02, &mut chance)), Told::Swept(wrong), ohms(COIL)];
        let found = measured(&[CoilName::A], &told).expect("it is measured");
        let Some(Fault::WrongCapacitor { looks_like, .. }) = found.faults.first() else {
            unreachable!("{real}: {:?}", found.faults)
        };
        assert!((looks_like.0 / real).ln().abs() < 0.1, "{looks_like:?} for {real}");
    }
    let mut told = both(Truth { ohms: COIL.ohms + 9000.0, ..COIL }, 0.02, &mut chance);
    told.pop();
    told.push(ohms(COIL));
    let found = measured(&[CoilName::A], &told).expect("it is measured");
    assert!(matches!(found.faults[..], [Fault::BadConnection { .. }]), "{:?}", found.faults);
}

#[test]
fn a_sweep_through_nothing_is_no_coil() {
    let mut chance = Chance(6);
    assert!(coil_answers(&sweep(COIL, None, 0.02, &mut chance)));
    for dead in [
        Truth { henries: 1e-6, ohms: 1.0, farads: 1e-12, loss: 1e6 },
        Truth { ohms: 1e9, henries: 1e-6, farads: 1e-12, loss: 1e6 },
    ] {
        assert!(!coil_answers(&sweep(dead, None, 0.02, &mut chance)), "{dead:?}");
    }
}

#[test]
fn nothing_is_said_that_nothing_tells() {
    assert!(measured(&[], &[]).is_none());
    assert!(measured(&[CoilName::A], &[Told::Stated(CoilName::A, Ohms(7000.0))]).is_none());
    let told = [Told::Swept(sweep(COIL, None, 0.02, &mut Chance(7)))];
    // A sweep through a coil that the pickup does not have.
    assert!(measured(&[CoilName::B, CoilName::C], &told).is_none());
}
