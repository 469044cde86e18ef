//! A thousand coils: how often the range that is told holds the truth; and SciPy's least squares over the same measurements.

use serde_json::{Value, json};
use solderlast_core::physics::measured::{Estimate, Fault, Measured, Told, measured};
use solderlast_core::record::pickup::CoilName;
use solderlast_core::record::quantity::Ohms;
use solderlast_testkit::{Chance, number, program};

use super::known::{Coil, measurement};

/// `SOLDERLAST_COILS` says how many, 1,000 for the figure that is asked for.
#[test]
fn nineteen_of_twenty_ranges_hold_the_truth() {
    let mut chance = Chance::seeded(41);
    let count = number("SOLDERLAST_COILS", 60);
    let names = ["resonance", "inductance", "capacitance", "Q", "resistance"];
    let (mut held, mut worst) = ([0_u64; 5], [0.0_f64; 5]);
    let mut named = 0_u64;
    for _ in 0..count {
        let coil = Coil::by_chance(&mut chance);
        let noise = chance.in_ratio(0.01, 0.1);
        let measurement = measurement(&coil, CoilName::A, noise, &mut chance);
        let found = measured(&[CoilName::A], &measurement.told).unwrap();
        named += u64::from(!found.faults.is_empty());
        let one = found.coil(CoilName::A).unwrap();
        let (resonance, q) = coil.rings(&measurement.parts);
        let told: [(Option<Estimate>, f64); 5] = [
            (one.resonance, resonance),
            (Some(one.henries), coil.henries),
            (one.farads, coil.farads),
            (one.q, q),
            (one.ohms, coil.ohms),
        ];
        for (at, (estimate, truth)) in told.into_iter().enumerate() {
            let estimate = estimate.unwrap_or_else(|| panic!("{}: {coil:?} {one:?}", names[at]));
            held[at] += u64::from((estimate.low..=estimate.high).contains(&truth));
            worst[at] = worst[at].max((estimate.value / truth).ln().abs());
        }
    }
    for at in 0..names.len() {
        let share = held[at] as f64 / count as f64;
        println!("{}: {:.1} % of {count} held, at most {:.2} % off", names[at], 100.0 * share, 100.0 * worst[at]);
        // Three per cent for a thousand; by chance as many standard deviations more for fewer.
        let allowed = 0.03 + if count < 1000 { 2.5 * (0.95 * 0.05 / count as f64).sqrt() } else { 0.0 };
        assert!((share - 0.95).abs() <= allowed, "{}: {share}", names[at]);
    }
    assert!(named as f64 <= 0.005 * count as f64, "{named} faults in sound measurements");
}

/// A resistance that is stated and can't be is left out: it moves nothing, and no contact is called bad for it.
#[test]
fn a_stated_resistance_that_can_not_be_moves_nothing() {
    let mut chance = Chance::seeded(45);
    for _ in 0..number("SOLDERLAST_COILS", 12).min(200) {
        let coil = Coil::by_chance(&mut chance);
        let measurement = measurement(&coil, CoilName::A, 0.02, &mut chance);
        let sweeps = measurement.told[..2].to_vec();
        let with = |stated: f64| {
            let stated = Told::Stated(CoilName::A, Ohms(coil.ohms * stated));
            measured(&[CoilName::A], &[sweeps.clone(), vec![stated]].concat()).unwrap()
        };
        let (resonance, _) = coil.rings(&measurement.parts);
        let alone = measured(&[CoilName::A], &sweeps).unwrap();
        let told = |found: &Measured| found.coil(CoilName::A).unwrap().ohms;
        // Half of it, as of one coil of two; and double.
        for stated in [0.5, 2.0] {
            let found = with(stated);
            if told(&alone).is_some_and(|ohms| ohms.deviation() < 0.1) {
                assert_eq!(found, alone, "{coil:?} {stated}");
            }
        }
        for stated in [0.6, 1.0, 1.5] {
            let found = with(stated);
            let rings = found.coil(CoilName::A).unwrap().resonance.unwrap().value;
            assert!((rings / resonance - 1.0).abs() < 0.005, "{rings} {resonance}: {coil:?} {stated}");
            assert!(
                !found.faults.iter().any(|fault| matches!(fault, Fault::BadConnection { .. })),
                "{:?}",
                found.faults
            );
        }
    }
}

/// The same sum of squares, written in Python and given to scipy.optimize.least_squares: the values, and how far they may be off.
#[test]
fn as_scipy_has_it() {
    const SCRIPT: &str = "
import json, sys
import numpy as np
from scipy.optimize import least_squares

SURE = 1.959964
out = []
for case in json.load(sys.stdin):
    bare, loaded, ohms = (np.array(case[k]) for k in ('bare', 'loaded', 'ohms'))
    def level(p, points, added):
        R, L, C, P = np.exp(p[:4])
        s = 2j * np.pi * points[:, 0]
        z = 1 / (1 / (R + 1 / (1 / (s * L) + 1 / P)) + s * (C + 300e-12 * np.exp(p[8]) + added) + 1 / (1e6 * np.exp(p[7])))
        return 20 * np.log10(abs(z / (z + 100e3 * np.exp(p[6]))))
    def off(p):
        one = (level(p, bare, 0) + p[4] - bare[:, 1]) / bare[:, 2]
        two = (level(p, loaded, 1e-9 * np.exp(p[9])) + p[5] - loaded[:, 1]) / loaded[:, 2]
        known = [(p[0] - np.log(ohms)) * SURE / 0.01, p[6] * SURE / 0.01, p[7] * SURE / 0.05, p[8] * SURE / 0.05, p[9] * SURE / 0.01]
        before = [(p[0] - 8.6) / 1.0, (p[1] - 1.0) / 1.2, (p[2] + 23.0) / 1.0, (p[3] - 13.0) / 2.0, p[4] / 60, p[5] / 60]
        return np.concatenate([one, two, known, before])
    start = np.array([np.log(ohms), np.log(case['henries']), np.log(case['farads']), 13, 0, 0, 0, 0, 0, 0])
    start[4] = np.mean(bare[:, 1] - level(start, bare, 0))
    start[5] = np.mean(loaded[:, 1] - level(start, loaded, 1e-9))
    fit = least_squares(off, start, x_scale='jac', xtol=1e-14, ftol=1e-14, gtol=1e-14)
    width = SURE * np.sqrt(np.diag(np.linalg.inv(fit.jac.T @ fit.jac)))
    out.append([[float(np.exp(v)), float(w)] for v, w in zip(fit.x[:4], width[:4])])
print(json.dumps(out))
";
    let mut chance = Chance::seeded(42);
    let mut cases = Vec::new();
    let mut ours = Vec::new();
    for _ in 0..8 {
        let coil = Coil::by_chance(&mut chance);
        let told = measurement(&coil, CoilName::A, 0.05, &mut chance).told;
        let points = |told: &Told| -> Value {
            let Told::Swept(swept) = told else { panic!("a sweep") };
            swept.points.iter().map(|point| json!([point.0.0, point.1.0, point.2.0])).collect()
        };
        let Told::Metered(metered) = &told[2] else { panic!("a reading") };
        let solderlast_core::record::measured::ComponentValue::Resistance { ohms } = metered.value else {
            panic!("a resistance")
        };
        cases.push(json!({
            "bare": points(&told[0]), "loaded": points(&told[1]), "ohms": ohms.0,
            "henries": coil.henries, "farads": coil.farads,
        }));
        ours.push(measured(&[CoilName::A], &told).unwrap());
    }
    let theirs =
        program::answer("/usr/bin/python3", &["-c", SCRIPT], &json!(cases).to_string(), "python3-scipy (Debian)");
    let theirs: Vec<Vec<[f64; 2]>> = serde_json::from_str(&theirs).unwrap();
    for (ours, theirs) in ours.iter().zip(&theirs) {
        let coil = &ours.coils[0];
        let each = [coil.ohms, Some(coil.henries), coil.farads, coil.loss];
        for (ours, [value, width]) in each.into_iter().zip(theirs) {
            let Some(ours) = ours else { continue };
            // Beyond some strain, ours widens what the points spread.
            let wide = (ours.high / ours.low).ln() / 2.0;
            assert!((ours.value / value).ln().abs() < 0.05 * width + 1e-4, "{ours:?} {value}");
            assert!((wide / width).ln().abs() < 0.1, "{ours:?} {value} within {width}");
        }
    }
}
