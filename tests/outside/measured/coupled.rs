//! Coils in a row that are coupled, and a small coil over the poles in the place of the resistor: what comes back is worked out by
//! ngspice's `.ac` (Debian package), which knows coupled inductances and sources in a winding by itself, and the fit has to find the
//! coils and their coupling again.

use std::fmt::Write as _;

use solderlast_core::physics::measured::{Measured, Told, measured};
use solderlast_core::record::measured::{Driven, KnownFarads, KnownOhms, Swept, SweptPoint};
use solderlast_core::record::pickup::CoilName;
use solderlast_core::record::quantity::{Decibels, Farads, Hertz, Ohms};
use solderlast_testkit::{Chance, number, program};

use super::known::{ADDED, CABLE, Coil, INPUT, METER, Parts, RESISTOR, drawn, normal, ohms, parts};

/// Points of each sweep: sixteen an octave from 100 Hz.
const OCTAVE: u32 = 16;
const POINTS: usize = 118;
/// How far a point lies off, in decibels.
const NOISE: f64 = 0.03;

/// Coils in a row with what stands beside them, driven by the resistor or by a voltage in each winding.
#[derive(Debug, Clone)]
struct Circuit {
    coils: Vec<Coil>,
    coupling: f64,
    exciter: bool,
    parts: Parts,
}

impl Circuit {
    fn netlist(&self, at: usize, deck: &mut String) {
        let mut wire = |text: String| writeln!(deck, "{text}").unwrap();
        let drive = u8::from(!self.exciter);
        wire(format!("Vs{at} s{at} 0 dc 0 ac {drive}"));
        if self.exciter {
            wire(format!("Rn{at} s{at} 0 1"));
        } else {
            wire(format!("Rs{at} s{at} n{at}_0 {:e}", self.parts.resistor));
        }
        for (number, coil) in self.coils.iter().enumerate() {
            // From its plus end at node `number` to its minus end at the next; the last lies at ground.
            let [plus, minus] = [number, number + 1]
                .map(|end| if end == self.coils.len() { "0".to_owned() } else { format!("n{at}_{end}") });
            wire(format!("Rw{at}_{number} {plus} i{at}_{number} {:e}", coil.ohms));
            wire(format!("Lw{at}_{number} i{at}_{number} v{at}_{number} {:e}", coil.henries));
            let volts = u8::from(self.exciter);
            wire(format!("Vw{at}_{number} v{at}_{number} {minus} dc 0 ac {volts}"));
            wire(format!("Rl{at}_{number} i{at}_{number} {minus} {:e}", coil.loss));
            wire(format!("Cw{at}_{number} {plus} {minus} {:e}", coil.farads));
        }
        if self.coils.len() == 2 {
            wire(format!("K{at} Lw{at}_0 Lw{at}_1 {:e}", self.coupling));
        }
        wire(format!("Cc{at} n{at}_0 0 {:e}", self.parts.cable + self.parts.added));
        wire(format!("Ri{at} n{at}_0 0 {:e}", self.parts.input));
    }
}

/// The level of each circuit at each point, in decibels.
fn by_ngspice(circuits: &[Circuit]) -> Vec<Vec<(f64, f64)>> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("levels.txt");
    let mut deck = "rows\n".to_owned();
    circuits.iter().enumerate().for_each(|(at, circuit)| circuit.netlist(at, &mut deck));
    let outputs: Vec<String> = (0..circuits.len()).map(|at| format!("vdb(n{at}_0)")).collect();
    let top = 100.0 * 2_f64.powf((POINTS - 1) as f64 / f64::from(OCTAVE)) * 1.0001;
    writeln!(
        deck,
        ".control\nset wr_singlescale\nset numdgt=12\nac oct {OCTAVE} 100 {top}\nwrdata {} {}\nquit 0\n.endc\n.end",
        file.display(),
        outputs.join(" ")
    )
    .unwrap();
    let _ = program::answer("ngspice", &["-b"], &deck, "ngspice (Debian)");
    let mut all = vec![Vec::new(); circuits.len()];
    for line in std::fs::read_to_string(&file).unwrap().lines() {
        let numbers: Vec<f64> = line.split_whitespace().map(|word| word.parse().unwrap()).collect();
        for (levels, level) in all.iter_mut().zip(&numbers[1..]) {
            levels.push((numbers[0], *level));
        }
    }
    assert!(all.iter().all(|levels| levels.len() >= POINTS), "ngspice answers at every point");
    all
}

/// What a sweep tells of such a circuit, through an input with a gain of its own.
fn swept(circuit: &Circuit, coil: Option<CoilName>, levels: &[(f64, f64)], chance: &mut Chance) -> Told {
    let gain = chance.between(-30.0, 10.0);
    let points = levels
        .iter()
        .take(POINTS)
        .map(|(hertz, level)| {
            // A coil over the poles induces more the quicker its field changes.
            let induced = if circuit.exciter { 20.0 * (hertz / 1000.0).log10() } else { 0.0 };
            let spread: f64 = (0..18).map(|_| normal(chance).powi(2)).sum();
            let level = level + induced + gain + NOISE * normal(chance);
            SweptPoint(Hertz(*hertz), Decibels(level), Decibels(NOISE * (spread / 18.0).sqrt()))
        })
        .collect();
    let resistor = KnownOhms { ohms: Ohms(RESISTOR.0), within: RESISTOR.1 };
    Told::Swept(Swept {
        coil,
        driven: if circuit.exciter { Driven::Exciter {} } else { Driven::Resistor { resistor } },
        added: (circuit.parts.added > 0.0).then_some(KnownFarads { farads: Farads(ADDED.0), within: ADDED.1 }),
        input: KnownOhms { ohms: Ohms(INPUT.0), within: INPUT.1 },
        cable: KnownFarads { farads: Farads(CABLE.0), within: CABLE.1 },
        take: None,
        turned: None,
        points,
    })
}

fn near(off: &mut f64, value: f64, truth: f64, within: f64, what: &str) {
    let by = (value / truth).ln().abs();
    *off = off.max(by);
    assert!(by < within, "{what}: {value}, really {truth}");
}

/// `SOLDERLAST_COUPLED` says how many pickups.
#[test]
fn coupled_coils_in_a_row_tell_their_coupling() {
    let mut chance = Chance::seeded(61);
    let count = number("SOLDERLAST_COUPLED", 12);
    let mut circuits: Vec<(Circuit, Option<CoilName>)> = Vec::new();
    for _ in 0..count {
        let one = Coil::by_chance(&mut chance);
        // Its twin, as alike as windings are.
        let like = |chance: &mut Chance, value: f64| value * chance.between(0.9, 1.1);
        let two = Coil {
            ohms: like(&mut chance, one.ohms),
            henries: like(&mut chance, one.henries),
            farads: like(&mut chance, one.farads),
            loss: like(&mut chance, one.loss),
            shorted: None,
        };
        let (coupling, parts) = (chance.between(-0.35, 0.7), parts(&mut chance));
        for (coils, name) in [(vec![one], Some(CoilName::A)), (vec![two], Some(CoilName::B)), (vec![one, two], None)] {
            for added in [0.0, parts.added] {
                let circuit =
                    Circuit { coils: coils.clone(), coupling, exciter: false, parts: Parts { added, ..parts } };
                circuits.push((circuit, name));
            }
        }
    }
    let answers = by_ngspice(&circuits.iter().map(|(circuit, _)| circuit.clone()).collect::<Vec<_>>());
    let (mut held, mut worst, mut farthest) = (0, [0.0_f64; 2], 0.0_f64);
    for (all, levels) in circuits.chunks(6).zip(answers.chunks(6)) {
        let mut told: Vec<Told> = all
            .iter()
            .zip(levels)
            .map(|((circuit, name), levels)| swept(circuit, *name, levels, &mut chance))
            .collect();
        let both = &all[4].0;
        for (name, coil) in [CoilName::A, CoilName::B].into_iter().zip(&both.coils) {
            told.push(ohms(name, drawn(&mut chance, coil.ohms, METER)));
        }
        let found = measured(&[CoilName::A, CoilName::B], &told).unwrap();
        assert!(found.faults.is_empty(), "{:?}", found.faults);
        let coupling = found.coupling.unwrap();
        farthest = farthest.max((coupling.value - both.coupling).abs());
        held += u64::from((coupling.low..=coupling.high).contains(&both.coupling));
        for (name, coil) in [CoilName::A, CoilName::B].into_iter().zip(&both.coils) {
            let one = found.coil(name).unwrap();
            near(&mut worst[0], one.henries.value, coil.henries, 0.02, "inductance");
            let (resonance, _) = coil.rings(&Parts { added: 0.0, ..both.parts });
            near(&mut worst[1], one.resonance.unwrap().value, resonance, 0.005, "resonance");
        }
    }
    let [henries, resonance] = worst.map(|off| 100.0 * off);
    println!(
        "{count} pickups: coupling at most {farthest:.4} off, {held} within its range; L {henries:.2} %, resonance {resonance:.3} %"
    );
    assert!(farthest < 0.03, "{farthest}");
    assert!(held as f64 >= 0.95 * count as f64 - 2.5 * (0.05 * 0.95 * count as f64).sqrt() - 1.0, "{held} of {count}");
}

/// The path of a coil over the poles: one coil, and two in a row.
#[test]
fn a_coil_over_the_poles_tells_the_same_coil() {
    let mut chance = Chance::seeded(62);
    let count = number("SOLDERLAST_COUPLED", 12);
    let mut circuits = Vec::new();
    for _ in 0..count {
        let (coil, parts) = (Coil::by_chance(&mut chance), parts(&mut chance));
        for added in [0.0, parts.added] {
            circuits.push(Circuit { coils: vec![coil], coupling: 0.0, exciter: true, parts: Parts { added, ..parts } });
        }
    }
    let answers = by_ngspice(&circuits);
    let mut worst = [0.0_f64; 3];
    for (both, levels) in circuits.chunks(2).zip(answers.chunks(2)) {
        let coil = both[0].coils[0];
        let mut told: Vec<Told> = both
            .iter()
            .zip(levels)
            .map(|(circuit, levels)| swept(circuit, Some(CoilName::A), levels, &mut chance))
            .collect();
        told.push(ohms(CoilName::A, drawn(&mut chance, coil.ohms, METER)));
        let found: Measured = measured(&[CoilName::A], &told).unwrap();
        assert!(found.faults.is_empty(), "{:?}", found.faults);
        let one = found.coil(CoilName::A).unwrap();
        let (resonance, q) = coil.rings(&both[0].parts);
        near(&mut worst[0], one.resonance.unwrap().value, resonance, 0.005, "resonance");
        near(&mut worst[1], one.henries.value, coil.henries, 0.02, "inductance");
        near(&mut worst[2], one.q.unwrap().value, q, 0.05, "Q");
    }
    let [resonance, henries, q] = worst.map(|off| 100.0 * off);
    println!("{count} coils: resonance within {resonance:.3} %, L {henries:.2} %, Q {q:.2} %");
}
