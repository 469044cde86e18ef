//! Coils that ring behind taps: what ngspice (Debian package) makes of one, and what is told of many, stepped through time here. What
//! is measured without and with a capacitor tells the coil, and how often the range that is told holds the truth is counted.

use std::fmt::Write as _;
use std::io::Cursor;

use solderlast_core::physics::measured::{Estimate, Told, measured};
use solderlast_core::record::measured::{KnownFarads, KnownOhms, Rung};
use solderlast_core::record::names::EntryId;
use solderlast_core::record::pickup::CoilName;
use solderlast_core::record::quantity::{Farads, Ohms};
use solderlast_core::takes::ring::{Bad, ringing};
use solderlast_testkit::sound::Samples;
use solderlast_testkit::{Chance, number, program};

use super::known::{ADDED, CABLE, Coil, INPUT, METER, Parts, drawn, ohms, parts};
use super::tapped::{Knock, LONG, RATE, recording};

/// One knock, and what comes before and after it, in seconds.
const MEETS: f64 = 0.02;
const ONE: f64 = 0.09;
/// Steps of time in a sample.
const FINER: usize = 12;

/// A knock on a coil alone: the voltage that it makes, as the steel takes a moment to stop, 5 to 150 µs (of small hard things, from memory).
#[derive(Debug, Clone, Copy)]
struct Stopping {
    knock: Knock,
    takes: f64,
}

impl Stopping {
    fn by_chance(chance: &mut Chance) -> Self {
        Self { knock: Knock::by_chance(MEETS, chance), takes: chance.in_ratio(5e-6, 1.5e-4) }
    }

    fn volts(&self, seconds: f64) -> f64 {
        let since = seconds - MEETS;
        if !(0.0..self.takes).contains(&since) {
            return self.knock.volts(seconds);
        }
        let (before, after) = (self.knock.volts(MEETS - 1e-9), self.knock.volts(MEETS + self.takes));
        before + (after - before) * since / self.takes
    }
}

/// The voltage at the input, a sample each (Runge and Kutta).
fn stepped(coil: &Coil, parts: &Parts, tap: &Stopping) -> Vec<f64> {
    let step = 1.0 / (RATE * FINER as f64);
    let across = coil.farads + parts.cable + parts.added;
    let slope = |[volts, current]: [f64; 2], drives: f64| {
        let winding = (drives - volts - coil.ohms * current) / (1.0 + coil.ohms / coil.loss);
        [(current + winding / coil.loss - volts / parts.input) / across, winding / coil.henries]
    };
    let moved = |at: [f64; 2], slope: [f64; 2], by: f64| [at[0] + by * slope[0], at[1] + by * slope[1]];
    // It has been like this for long.
    let steady = tap.volts(0.0) / (coil.ohms + parts.input);
    let mut at = [steady * parts.input, steady];
    let mut heard = Vec::new();
    for number in 0..(ONE * RATE) as usize * FINER {
        if number % FINER == 0 {
            heard.push(at[0]);
        }
        let seconds = number as f64 * step;
        let [begin, middle, end] = [0.0, 0.5, 1.0].map(|part| tap.volts(seconds + part * step));
        let a = slope(at, begin);
        let b = slope(moved(at, a, 0.5 * step), middle);
        let c = slope(moved(at, b, 0.5 * step), middle);
        let d = slope(moved(at, c, step), end);
        at = [0, 1].map(|which| at[which] + step / 6.0 * (a[which] + 2.0 * b[which] + 2.0 * c[which] + d[which]));
    }
    heard
}

/// The same by ngspice.
fn by_ngspice(coil: &Coil, parts: &Parts, tap: &Stopping) -> Vec<f64> {
    let folder = tempfile::tempdir().unwrap();
    let mut deck = "a tap\nVt t 0 pwl(".to_owned();
    let mut seconds = 0.0;
    let jump = |from: f64, to: f64| (tap.volts(to) - tap.volts(from)).abs();
    while seconds < ONE {
        writeln!(deck, "\n+ {seconds:.7} {:.9e}", tap.volts(seconds)).unwrap();
        // Where the steel meets the pole, also when it springs off and comes back, nothing lies between two points.
        let meets = jump(seconds, seconds + 1e-5) > 0.01 * jump(MEETS - 1e-9, MEETS + tap.takes);
        seconds += if meets { 1e-6 } else { 1e-5 };
    }
    writeln!(deck, ")\nRw t i {:e}\nLw i p {:e}\nRl i p {:e}", coil.ohms, coil.henries, coil.loss).unwrap();
    writeln!(deck, "Cw p 0 {:e}\nRi p 0 {:e}", coil.farads + parts.cable + parts.added, parts.input).unwrap();
    let file = folder.path().join("tap.txt");
    writeln!(
        deck,
        ".save v(p)\n.options reltol=1e-6\n.control\nset wr_singlescale\nset numdgt=9\ntran {:e} {ONE} 0 1u\nlinearize v(p)\nwrdata {} v(p)\nquit 0\n.endc\n.end",
        1.0 / RATE,
        file.display()
    )
    .unwrap();
    let _ = program::answer("ngspice", &["-b"], &deck, "ngspice (Debian)");
    let text = std::fs::read_to_string(&file).unwrap();
    text.lines().map(|line| line.split_whitespace().nth(1).unwrap().parse().unwrap()).collect()
}

/// What an input records of three such taps, as hard as they come, with noise and hum; what it tells with what was said to be across.
fn rung(one: &[f64], added: bool, chance: &mut Chance) -> Result<Rung, Bad> {
    let mut volts = vec![0.0; (LONG * RATE) as usize];
    for at in [0.8, 1.9, 2.9] {
        let begins = ((at + chance.between(0.0, 0.1)) * RATE) as usize;
        let hard = chance.in_ratio(0.7, 1.4);
        for (sample, one) in volts[begins..].iter_mut().zip(one) {
            *sample += hard * one;
        }
    }
    let turned = chance.flip();
    let sound = recording(&volts, turned, false, chance);
    let told = ringing(Cursor::new(sound.wav(Samples::Whole(24))))?;
    Ok(Rung {
        coil: CoilName::A,
        added: added.then_some(KnownFarads { farads: Farads(ADDED.0), within: ADDED.1 }),
        input: KnownOhms { ohms: Ohms(INPUT.0), within: INPUT.1 },
        cable: KnownFarads { farads: Farads(CABLE.0), within: CABLE.1 },
        take: EntryId(uuid::Uuid::from_u128(7)),
        swings: told.swings,
        swings_spread: told.swings_spread,
        decay: told.decay,
        decay_spread: told.decay_spread,
    })
}

/// How it swings by the eigenvalues of its state, which is stepped above: nothing is shared with the fit.
fn truly(coil: &Coil, parts: &Parts) -> [f64; 2] {
    // Without anything that drives it, from a volt on the capacitance.
    let across = coil.farads + parts.cable + parts.added;
    let a = [
        [
            -1.0 / parts.input / across - 1.0 / (coil.loss + coil.ohms) / across,
            1.0 / across - coil.ohms / (coil.loss + coil.ohms) / across,
        ],
        [
            -1.0 / (1.0 + coil.ohms / coil.loss) / coil.henries,
            -coil.ohms / (1.0 + coil.ohms / coil.loss) / coil.henries,
        ],
    ];
    let (sum, product) = (a[0][0] + a[1][1], a[0][0] * a[1][1] - a[0][1] * a[1][0]);
    let under = product - 0.25 * sum * sum;
    [under.max(0.0).sqrt() / std::f64::consts::TAU, -0.5 * sum]
}

#[test]
fn what_ngspice_makes_ring_is_told() {
    let mut chance = Chance::seeded(81);
    let mut told = 0;
    for _ in 0..number("SOLDERLAST_SWEPT", 2) {
        let (coil, parts, tap) = (Coil::by_chance(&mut chance), parts(&mut chance), Stopping::by_chance(&mut chance));
        for added in [false, true] {
            let parts = if added { parts } else { Parts { added: 0.0, ..parts } };
            let (theirs, ours) = (by_ngspice(&coil, &parts, &tap), stepped(&coil, &parts, &tap));
            let power = |all: &mut dyn Iterator<Item = f64>| all.map(|one| one * one).sum::<f64>().sqrt();
            let off = power(&mut theirs.iter().zip(&ours).map(|(one, other)| one - other))
                / power(&mut theirs.iter().copied());
            println!("what is stepped here is {:.2} % off", 100.0 * off);
            assert!(off < 0.01, "{off}");
            let [swings, decay] = truly(&coil, &parts);
            match rung(&theirs, added, &mut chance) {
                Ok(rung) => {
                    told += 1;
                    let (off, dies) = (rung.swings.0 / swings - 1.0, rung.decay / decay - 1.0);
                    assert!(off.abs() < 0.005 + 3.0 * rung.swings_spread, "{off}: {coil:?} {rung:?}");
                    assert!(dies.abs() < 0.05 + 3.0 * rung.decay_spread, "{dies}: {coil:?} {rung:?}");
                }
                Err(bad) => println!("{bad:?} {coil:?}"),
            }
        }
    }
    assert!(told > 1, "{told}");
}

/// `SOLDERLAST_COILS` says how many, 1,000 for the figure that is asked for.
#[test]
fn nineteen_of_twenty_ranges_of_ringing_hold_the_truth() {
    let mut chance = Chance::seeded(82);
    let count = number("SOLDERLAST_COILS", 60);
    let names = ["resonance", "inductance", "capacitance", "Q"];
    let (mut held, mut off, mut beyond) = ([0_u64; 4], vec![Vec::new(); 4], vec![Vec::new(); 4]);
    let (mut told, mut refused) = (0_u64, 0_u64);
    for _ in 0..count {
        let (coil, parts, tap) = (Coil::by_chance(&mut chance), parts(&mut chance), Stopping::by_chance(&mut chance));
        let bare = Parts { added: 0.0, ..parts };
        let (one, other) = (stepped(&coil, &bare, &tap), stepped(&coil, &parts, &tap));
        let (Ok(one), Ok(other)) = (rung(&one, false, &mut chance), rung(&other, true, &mut chance)) else {
            refused += 1;
            continue;
        };
        told += 1;
        let read = ohms(CoilName::A, drawn(&mut chance, coil.ohms, METER));
        let found = measured(&[CoilName::A], &[Told::Rung(one), Told::Rung(other), read]).unwrap();
        let found = found.coil(CoilName::A).unwrap();
        let (resonance, q) = coil.rings(&bare);
        let each: [(Option<Estimate>, f64); 4] = [
            (found.resonance, resonance),
            (Some(found.henries), coil.henries),
            (found.farads, coil.farads),
            (found.q, q),
        ];
        for (at, (estimate, truth)) in each.into_iter().enumerate() {
            let Some(estimate) = estimate else { continue };
            held[at] += u64::from((estimate.low..=estimate.high).contains(&truth));
            off[at].push((estimate.value / truth).ln().abs());
            beyond[at].push((estimate.value / truth).ln().abs() / (0.5 * (estimate.high / estimate.low).ln()));
        }
    }
    println!("{refused} of {count} refused");
    for at in 0..names.len() {
        off[at].sort_by(f64::total_cmp);
        beyond[at].sort_by(f64::total_cmp);
        let share = held[at] as f64 / off[at].len() as f64;
        let part = |part: f64| 100.0 * off[at][((off[at].len() - 1) as f64 * part) as usize];
        println!(
            "{}: {:.1} % of {} held; off {:.2} % in the middle, {:.2} % for 95 of 100, which is {:.2} of the range told",
            names[at],
            100.0 * share,
            off[at].len(),
            part(0.5),
            part(0.95),
            beyond[at][((beyond[at].len() - 1) as f64 * 0.95) as usize]
        );
        let allowed = 0.03 + if told < 1000 { 2.5 * (0.95 * 0.05 / told as f64).sqrt() } else { 0.0 };
        assert!((share - 0.95).abs() <= allowed, "{}: {share}", names[at]);
    }
    assert!(refused as f64 <= 0.2 * count as f64 + 1.0, "{refused} of {count} refused");
}
