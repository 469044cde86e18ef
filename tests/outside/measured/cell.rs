//! Three touches of a cell, which tell which way round an input is: a cell of 1.5 V behind 1 MΩ, a cable, an input with its
//! resistor at the jack, coupled by a capacitor to what is behind, a wire's end that bounces on the tip. By ngspice (Debian package), and for many in closed form.

use std::fmt::Write as _;

use solderlast_core::takes::tap::{Bad, By, Taps};
use solderlast_testkit::sound::Sound;
use solderlast_testkit::{Chance, number, program};

use super::tapped::{LONG, RATE, recording, told_by};

fn told(sound: &Sound) -> Result<Taps, Bad> {
    told_by(sound, By::Cell)
}

/// What the cell stands behind, the input's resistor, what couples it, and the resistor behind that.
#[derive(Debug, Clone)]
struct Bench {
    volts: f64,
    resistor: f64,
    cable: f64,
    coupling: f64,
    input: f64,
    behind: f64,
    /// Whether the wire's end lies on the tip, from each of these moments on by turns.
    changes: Vec<f64>,
}

impl Bench {
    fn by_chance(chance: &mut Chance) -> Self {
        let mut changes = Vec::new();
        let mut at = chance.between(0.8, 1.0);
        for _ in 0..3 {
            changes.push(at);
            // It bounces for a millisecond or two, and slides off as roughly.
            let mut bounced = at;
            for _ in 0..chance.below(4) {
                let (off, on) = (chance.between(1e-4, 6e-4), chance.between(5e-5, 4e-4));
                changes.extend([bounced + off, bounced + off + on]);
                bounced += off + on;
            }
            changes.push(bounced + chance.between(0.06, 0.35));
            at += chance.between(0.9, 1.1);
        }
        Self {
            volts: chance.between(1.2, 1.6),
            resistor: chance.between(0.95e6, 1.05e6),
            cable: chance.in_ratio(200e-12, 1.5e-9),
            coupling: chance.in_ratio(10e-9, 2.2e-6),
            input: chance.of(&[470e3, 1e6, 2.2e6]),
            behind: chance.of(&[470e3, 1e6, 4.7e6]),
            changes,
        }
    }

    fn lies(&self, seconds: f64) -> bool {
        self.changes.iter().take_while(|at| **at <= seconds).count() % 2 == 1
    }

    /// The voltage at the input by steps of an eighth of a sample, each solved exactly for the cable alone.
    fn heard(&self) -> Vec<f64> {
        let step = 1.0 / RATE / 8.0;
        let (mut tip, mut blocked) = (0.0_f64, 0.0_f64);
        let mut heard = Vec::new();
        for at in 0..(LONG * RATE * 8.0) as usize {
            if at % 8 == 0 {
                heard.push(tip - blocked);
            }
            let (cell, drives) = if self.lies(at as f64 * step) {
                (1.0 / self.resistor, self.volts / self.resistor)
            } else {
                (0.0, 0.0)
            };
            let conducts = 1.0 / self.input + 1.0 / self.behind + cell;
            let drives = drives + blocked / self.behind;
            let rests = drives / conducts;
            tip = rests + (tip - rests) * (-step * conducts / self.cable).exp();
            blocked += step * (tip - blocked) / self.behind / self.coupling;
        }
        heard
    }
}

fn by_ngspice(bench: &Bench) -> Vec<f64> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("touches.txt");
    let mut deck = "touches\n".to_owned();
    write!(deck, "Vg g 0 pwl(0 0").unwrap();
    for (number, at) in bench.changes.iter().enumerate() {
        let (before, after) = if number % 2 == 0 { (0, 1) } else { (1, 0) };
        write!(deck, "\n+ {:.9} {before} {:.9} {after}", at, at + 1e-6).unwrap();
    }
    writeln!(deck, ")\n.model touch sw(vt=0.5 vh=0.1 ron=1 roff=1e12)").unwrap();
    writeln!(deck, "Vc c 0 {}\nRc c e {:e}\nS1 e t g 0 touch", bench.volts, bench.resistor).unwrap();
    writeln!(deck, "Ct t 0 {:e}\nRi t 0 {:e}", bench.cable, bench.input).unwrap();
    writeln!(deck, "Cb t o {:e}\nRb o 0 {:e}", bench.coupling, bench.behind).unwrap();
    writeln!(
        deck,
        ".save v(o)\n.control\nset wr_singlescale\nset numdgt=9\ntran {:e} {LONG} 0 2e-5\nlinearize v(o)\nwrdata {} v(o)\nquit 0\n.endc\n.end",
        1.0 / RATE,
        file.display()
    )
    .unwrap();
    let _ = program::answer("ngspice", &["-b"], &deck, "ngspice (Debian)");
    let text = std::fs::read_to_string(&file).unwrap();
    text.lines().filter_map(|line| line.split_whitespace().nth(1)?.parse().ok()).collect()
}

#[test]
fn touches_that_ngspice_makes_tell_the_input() {
    let mut chance = Chance::seeded(75);
    let (count, mut refused) = (number("SOLDERLAST_SWEPT", 2), 0_u64);
    for _ in 0..count {
        let bench = Bench::by_chance(&mut chance);
        let (volts, own) = (by_ngspice(&bench), bench.heard());
        let top = volts.iter().fold(0.0_f64, |top, one| top.max(one.abs()));
        let off = volts.iter().zip(&own).map(|(one, other)| (one - other).abs()).sum::<f64>() / own.len() as f64;
        println!("what is stepped here is {:.2} % off", 100.0 * off / top);
        assert!(off < 0.01 * top, "{off} {top}: {bench:?}");
        for turned in [false, true] {
            match told(&recording(&volts, turned, false, &mut chance)) {
                Ok(taps) => assert_eq!(taps.up, !turned, "{bench:?}"),
                Err(Bad::Unreadable { .. }) => panic!("it is a file"),
                // Whoever is told so touches it again.
                Err(_) => refused += 1,
            }
        }
    }
    println!("{refused} of {} refused", 2 * count);
    assert!(refused as f64 <= 0.05 * 2.0 * count as f64, "{refused} of {} refused", 2 * count);
}

/// `SOLDERLAST_TAPS` says how many recordings.
#[test]
fn no_input_is_told_the_wrong_way_round() {
    let mut chance = Chance::seeded(76);
    let count = number("SOLDERLAST_TAPS", 40);
    let (mut refused, mut wrong, mut handled) = (0_u64, 0_u64, 0_u64);
    let mut why: Vec<String> = Vec::new();
    for _ in 0..count {
        let bench = Bench::by_chance(&mut chance);
        let (volts, turned) = (bench.heard(), chance.flip());
        match told(&recording(&volts, turned, false, &mut chance)) {
            Ok(taps) => wrong += u64::from(taps.up == turned),
            Err(bad) => {
                refused += 1;
                why.push(format!("{bad:?} {bench:?}"));
            }
        }
        match told(&recording(&volts, turned, true, &mut chance)) {
            Ok(taps) => wrong += u64::from(taps.up == turned),
            Err(Bad::Unreadable { .. }) => panic!("it is a file"),
            Err(_) => handled += 1,
        }
    }
    println!(
        "{count} recordings: {refused} refused, {wrong} told wrong; handled: {handled} refused\n{}",
        why.join("\n")
    );
    assert_eq!(wrong, 0);
    assert!(refused as f64 <= 0.05 * count as f64 + 1.0, "{refused} of {count} refused");
}
