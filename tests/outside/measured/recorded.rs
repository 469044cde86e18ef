//! Recordings that ngspice makes (Debian package): its transient analysis of a sweep through a coil that is known, on an interface
//! with gain, noise and hum. What is told of them is held against the coil.

use std::fmt::Write as _;
use std::io::Cursor;

use solderlast_core::physics::measured::{Told, measured};
use solderlast_core::record::pickup::CoilName;
use solderlast_core::takes::sweep::{LONG, PERIOD, answer};
use solderlast_testkit::{Chance, number, program};

use super::known::{Coil, METER, Parts, drawn, normal, ohms, parts, swept};

const RATE: f64 = 48_000.0;
/// What ngspice is given to answer: one sweep, and what rings after it.
const ANSWER: f64 = 2.8;

/// The answers of all circuits to one sweep at half of full scale, a sample each at 48 kHz, by ngspice.
fn by_ngspice(circuits: &[(Coil, Parts)]) -> Vec<Vec<f64>> {
    let folder = tempfile::tempdir().unwrap();
    let growth = LONG / (20_000.0_f64 / 40.0).ln();
    let mut deck = "sweeps\n".to_owned();
    writeln!(deck, "Ve e 0 pwl(0 0 0.01 1 {} 1 {LONG} 0 10 0)", LONG - 0.01).unwrap();
    writeln!(
        deck,
        "Bs s 0 v=0.25*(1-cos(3.14159265358979*v(e)))*sin(6.28318530717959*40*{growth:.15}*(exp(min(time,{LONG})/{growth:.15})-1))"
    )
    .unwrap();
    for (at, (coil, parts)) in circuits.iter().enumerate() {
        writeln!(deck, "Rs{at} s p{at} {:e}", parts.resistor).unwrap();
        writeln!(
            deck,
            "Rw{at} p{at} i{at} {:e}\nLw{at} i{at} 0 {:e}\nRl{at} i{at} 0 {:e}",
            coil.ohms, coil.henries, coil.loss
        )
        .unwrap();
        writeln!(deck, "Cw{at} p{at} 0 {:e}", coil.farads + parts.cable + parts.added).unwrap();
        // The input is coupled by a capacitor: 7 Hz.
        writeln!(deck, "Cc{at} p{at} o{at} 22n\nRi{at} o{at} 0 {:e}", parts.input).unwrap();
    }
    let outputs: Vec<String> = (0..circuits.len()).map(|at| format!("v(o{at})")).collect();
    let file = folder.path().join("answers.txt");
    writeln!(deck, ".save {}", outputs.join(" ")).unwrap();
    writeln!(
        deck,
        ".options reltol=1e-5\n.control\nset wr_singlescale\nset numdgt=9\ntran {:e} {ANSWER} 0 2.5u\nlinearize {}\nwrdata {} {}\nquit 0\n.endc\n.end",
        1.0 / RATE,
        outputs.join(" "),
        file.display(),
        outputs.join(" ")
    )
    .unwrap();
    let _ = program::answer("ngspice", &["-b"], &deck, "ngspice (Debian)");
    let text = std::fs::read_to_string(&file).unwrap();
    let mut all = vec![Vec::new(); circuits.len()];
    for line in text.lines() {
        let numbers: Vec<f64> = line.split_whitespace().map(|word| word.parse().unwrap()).collect();
        for (answers, number) in all.iter_mut().zip(&numbers[1..]) {
            answers.push(*number);
        }
    }
    assert!(all.iter().all(|answers| answers.len() as f64 > 0.99 * ANSWER * RATE), "ngspice ends early");
    all
}

/// Three answers, the second half as high as a circuit without sources makes it, with the interface's gain, noise and hum.
fn recording(answer: &[f64], gain: f64, chance: &mut Chance) -> Vec<u8> {
    let before = chance.between(0.2, 1.5);
    let length = ((before + 3.0 * PERIOD + 1.0) * RATE) as usize;
    let mains = chance.of(&[50.0, 60.0]);
    let (phase, height) = (chance.between(0.0, 6.0), 0.003);
    let mut samples: Vec<f64> = (0..length)
        .map(|at| {
            let turn = std::f64::consts::TAU * mains * at as f64 / RATE + phase;
            height * (turn.sin() + 0.4 * (3.0 * turn).sin()) + 2e-5 * normal(chance)
        })
        .collect();
    for (number, high) in [1.0, 0.5, 1.0].into_iter().enumerate() {
        let first = ((before + number as f64 * PERIOD) * RATE).round() as usize;
        for (place, sample) in samples[first..].iter_mut().zip(answer) {
            *place += gain * high * sample;
        }
    }
    let data: Vec<u8> = samples
        .iter()
        .flat_map(|sample| ((sample.clamp(-1.0, 1.0) * 8_388_607.0).round() as i32).to_le_bytes().into_iter().take(3))
        .collect();
    solderlast_testkit::sound::wav_of(
        solderlast_testkit::sound::Samples::Whole(24),
        1,
        RATE as u32,
        &data,
        data.len() as u32,
    )
}

/// `SOLDERLAST_SWEPT` says how many coils.
#[test]
fn recorded_sweeps_tell_the_coil() {
    let mut chance = Chance::seeded(44);
    let count = number("SOLDERLAST_SWEPT", 2);
    let mut circuits = Vec::new();
    for _ in 0..count {
        let (coil, parts) = (Coil::by_chance(&mut chance), parts(&mut chance));
        circuits.push((coil, Parts { added: 0.0, ..parts }));
        circuits.push((coil, parts));
    }
    let answers = by_ngspice(&circuits);
    let mut worst = [0.0_f64; 4];
    for (both, heard) in circuits.chunks(2).zip(answers.chunks(2)) {
        let (coil, bare) = both[0];
        let loudest = heard[0].iter().chain(&heard[1]).fold(0.0_f64, |most, sample| most.max(sample.abs()));
        let gain = chance.between(0.3, 0.8) / loudest;
        let mut told: Vec<Told> = [false, true]
            .into_iter()
            .zip(heard)
            .map(|(added, heard)| {
                let file = recording(heard, gain, &mut chance);
                let answer = answer(Cursor::new(file)).unwrap_or_else(|bad| panic!("{}", bad.sentence()));
                assert!(!answer.turned);
                Told::Swept(swept(CoilName::A, added, answer.points))
            })
            .collect();
        told.push(ohms(CoilName::A, drawn(&mut chance, coil.ohms, METER)));
        let found = measured(&[CoilName::A], &told).unwrap();
        assert!(found.faults.is_empty(), "{:?} {:?}", found.faults, found.residue);
        let one = found.coil(CoilName::A).unwrap();
        let (resonance, q) = coil.rings(&bare);
        let all =
            [(one.resonance.unwrap(), resonance, 0.005), (one.henries, coil.henries, 0.02), (one.q.unwrap(), q, 0.05)];
        // All that rings with it: its own and the cable's.
        let all_farads = 1.0 / ((std::f64::consts::TAU * one.resonance.unwrap().value).powi(2) * one.henries.value);
        let off = (all_farads / (coil.farads + bare.cable)).ln().abs();
        worst[3] = worst[3].max(off);
        assert!(off < 0.03, "{all_farads}: {coil:?} {bare:?}");
        for (at, (estimate, truth, within)) in all.into_iter().enumerate() {
            let off = (estimate.value / truth).ln().abs();
            worst[at] = worst[at].max(off);
            assert!(off < within, "{at}: {estimate:?}, {truth}: {coil:?}");
        }
    }
    let [resonance, henries, q, farads] = worst.map(|off| 100.0 * off);
    println!("{count} coils: resonance within {resonance:.3} %, L {henries:.2} %, C {farads:.2} %, Q {q:.2} %");
}
