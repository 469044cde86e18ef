//! Shorted turns: a loop of low resistance, coupled to a coil, is found against its twin and against what the coil was, and nothing is
//! found in sound coils.

use solderlast_core::physics::measured::{Against, CoilMeasured, Measured, measured, shorted_turn};
use solderlast_core::record::pickup::CoilName;
use solderlast_testkit::{Chance, number};

use super::known::{Coil, measurement, normal};

const NOISE: f64 = 0.03;

fn told(coil: &Coil, name: CoilName, chance: &mut Chance) -> CoilMeasured {
    let found: Measured = measured(&[name], &measurement(coil, name, NOISE, chance).told).unwrap();
    found.coils[0].clone()
}

/// A coil that was wound as this one: some turns more or less, and a little else.
fn twin(coil: &Coil, chance: &mut Chance) -> Coil {
    let turns = chance.between(-0.03, 0.03).exp();
    Coil {
        ohms: coil.ohms * turns,
        henries: coil.henries * turns * turns * (0.006 * normal(chance)).exp(),
        farads: coil.farads * (0.05 * normal(chance)).exp(),
        loss: coil.loss * (0.1 * normal(chance)).exp(),
        shorted: None,
    }
}

/// The same coil on another day.
fn later(coil: &Coil, chance: &mut Chance) -> Coil {
    let mut coil = *coil;
    coil.henries *= (0.004 * normal(chance)).exp();
    coil.loss *= (0.05 * normal(chance)).exp();
    coil.ohms *= (0.008 * normal(chance)).exp();
    coil
}

/// How much of its inductance a loop takes where the coil rings, as a share.
fn moves(coil: &Coil, (squared, hertz): (f64, f64)) -> f64 {
    let rings = 1.0 / (std::f64::consts::TAU * (coil.henries * (coil.farads + 300e-12)).sqrt());
    squared * rings * rings / (rings * rings + hertz * hertz)
}

/// `SOLDERLAST_COILS` says how many, 1,000 for the figures that are asked for.
#[test]
fn shorted_turns_are_found_and_nothing_else_is() {
    let mut chance = Chance::seeded(43);
    let count = number("SOLDERLAST_COILS", 60);
    let (mut found, mut alarms) = ([0_u64; 2], 0_u64);
    for _ in 0..count {
        let coil = Coil::by_chance(&mut chance);
        let shorted = loop {
            let shorted = (chance.in_ratio(0.05, 0.4), chance.in_ratio(20.0, 1500.0));
            if moves(&coil, shorted) >= 0.05 {
                break shorted;
            }
        };
        let before = told(&coil, CoilName::A, &mut chance);
        let other = twin(&coil, &mut chance);
        let beside = told(&other, CoilName::B, &mut chance);
        let sound = told(&later(&coil, &mut chance), CoilName::A, &mut chance);
        let broken = told(&Coil { shorted: Some(shorted), ..later(&coil, &mut chance) }, CoilName::A, &mut chance);
        found[0] += u64::from(shorted_turn(&broken, &before, Against::Earlier).is_some());
        found[1] += u64::from(shorted_turn(&broken, &beside, Against::Twin).is_some());
        alarms += [
            shorted_turn(&sound, &before, Against::Earlier),
            shorted_turn(&before, &sound, Against::Earlier),
            shorted_turn(&before, &beside, Against::Twin),
            shorted_turn(&beside, &before, Against::Twin),
        ]
        .into_iter()
        .flatten()
        .count() as u64;
    }
    let share = found.map(|found| found as f64 / count as f64);
    println!(
        "found against what it was {:.1} %, against its twin {:.1} %, false alarms {alarms} of {count}",
        100.0 * share[0],
        100.0 * share[1]
    );
    let least = if count < 1000 { 0.95 - 0.03 } else { 0.95 };
    assert!(share[0] >= least && share[1] >= least, "{share:?}");
    assert_eq!(alarms, 0);
}
