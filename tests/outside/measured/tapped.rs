//! Taps of steel on the poles: the voltage that a moving piece of steel makes (Faraday's law), through coils that are known, by ngspice
//! (Debian package) and, for many, by a circuit stepped through time here; on inputs with gain, noise, hum, and hands that handle.

use std::f64::consts::TAU;
use std::fmt::Write as _;
use std::io::Cursor;

use solderlast_core::takes::tap::{Bad, By, Taps, taps};
use solderlast_testkit::sound::{Samples, Sound};
use solderlast_testkit::{Chance, number, program};

use super::known::{Coil, Parts, normal, parts};

pub(super) const RATE: f64 = 48_000.0;
/// The length of a recording, in seconds.
pub(super) const LONG: f64 = 4.2;

/// One knock: when the steel meets the pole, how fast, how far the pole's field reaches, and how much of its speed it has after that.
#[derive(Debug, Clone, Copy)]
pub(super) struct Knock {
    at: f64,
    speed: f64,
    reach: f64,
    springs: f64,
    held: f64,
    lifted: f64,
    sign: f64,
}

impl Knock {
    pub fn by_chance(at: f64, chance: &mut Chance) -> Self {
        Self {
            at,
            speed: chance.in_ratio(0.15, 1.2),
            reach: chance.between(0.002, 0.006),
            springs: chance.between(0.0, 0.5),
            held: chance.between(0.02, 0.4),
            lifted: chance.between(0.03, 0.2),
            sign: 1.0,
        }
    }

    /// Distance and speed of the steel from the pole.
    fn moves(&self, seconds: f64) -> (f64, f64) {
        let after = seconds - self.at;
        if after < 0.0 {
            return (-self.speed * after, -self.speed);
        }
        // It springs off and is pushed back, less each time.
        let (pushed, mut speed, mut since) = (30.0, self.springs * self.speed, after);
        while speed > 0.01 {
            let aloft = 2.0 * speed / pushed;
            if since < aloft {
                return (speed * since - 0.5 * pushed * since * since, speed - pushed * since);
            }
            since -= aloft;
            speed *= self.springs;
        }
        let lifting = after - self.held;
        if lifting < 0.0 {
            return (0.0, 0.0);
        }
        // The hand speeds up in 30 ms.
        let full = 0.03;
        if lifting < full {
            (0.5 * self.lifted / full * lifting * lifting, self.lifted / full * lifting)
        } else {
            (self.lifted * (lifting - 0.5 * full), self.lifted)
        }
    }

    /// The voltage in the coil, 1 for steel at 1 m/s at a pole that reaches 4 mm.
    pub fn volts(&self, seconds: f64) -> f64 {
        let (distance, speed) = self.moves(seconds);
        let away = 1.0 + distance / self.reach;
        self.sign * -speed * 0.004 / self.reach / (away * away * away)
    }
}

/// Three knocks, about a second apart.
fn knocks(chance: &mut Chance) -> [Knock; 3] {
    let like = Knock::by_chance(0.0, chance);
    let mut at = chance.between(0.7, 1.0);
    [(); 3].map(|()| {
        let knock = Knock { at, speed: like.speed * chance.in_ratio(0.7, 1.4), ..like };
        at += chance.between(0.9, 1.1);
        knock
    })
}

/// What an input makes of it: turned about or not, with gain, noise, hum and, if somebody handles it, bumps.
pub(super) fn recording(volts: &[f64], turned: bool, handled: bool, chance: &mut Chance) -> Sound {
    let top = volts.iter().fold(0.0_f64, |top, one| top.max(one.abs()));
    let gain = chance.in_ratio(0.02, 0.7) / top * if turned { -1.0 } else { 1.0 };
    let (mains, hum) = (chance.of(&[50.0, 60.0]) * chance.between(0.9995, 1.0005), chance.in_ratio(0.003, 0.3));
    let noise = chance.in_ratio(1e-5, 2e-3);
    let phase = chance.between(0.0, TAU);
    let mut sound = Sound::silence(RATE as u32, 1, 0.0);
    let bumps: Vec<(u8, f64, f64)> = (0..u8::from(handled))
        .map(|_| {
            (chance.of(&[0, 1, 2]), chance.between(0.2, LONG), chance.in_ratio(0.1, 1.5) * chance.of(&[1.0, -1.0]))
        })
        .collect();
    sound.channels[0] = (0..volts.len())
        .map(|at| {
            let seconds = at as f64 / RATE;
            let turn = TAU * mains * seconds + phase;
            let humming = hum * top * (turn.sin() + 0.5 * (3.0 * turn + 1.0).sin() + 0.2 * (5.0 * turn).sin());
            let bump: f64 = bumps
                .iter()
                .map(|(kind, when, height)| {
                    let since = seconds - when;
                    height
                        * top
                        * match kind {
                            // A thump of the table, a crackle of a clip, a hand on the strings.
                            0 => (-(since / 0.02).powi(2)).exp(),
                            1 => f64::from(u8::from((0.0..0.000_3).contains(&since))),
                            _ => f64::from(u8::from((0.0..0.6).contains(&since))) * (TAU * mains * since).sin(),
                        }
                })
                .sum();
            gain * (volts[at] + humming + bump + noise * top * normal(chance))
        })
        .collect();
    sound
}

pub(super) fn told_by(sound: &Sound, by: By) -> Result<Taps, Bad> {
    taps(Cursor::new(sound.wav(Samples::Whole(24))), by)
}

fn told(sound: &Sound) -> Result<Taps, Bad> {
    told_by(sound, By::Steel)
}

/// The voltages at the inputs by ngspice.
fn by_ngspice(cases: &[(Coil, Parts, [Knock; 3])]) -> Vec<Vec<f64>> {
    let folder = tempfile::tempdir().unwrap();
    let mut deck = "taps\n".to_owned();
    for (at, (coil, parts, knocks)) in cases.iter().enumerate() {
        write!(deck, "Vt{at} t{at} 0 pwl(").unwrap();
        // Finely where the steel is near.
        let mut seconds = 0.0;
        while seconds < LONG {
            let all: f64 = knocks.iter().map(|knock| knock.volts(seconds)).sum();
            writeln!(deck, "\n+ {seconds:.6} {all:.9e}").unwrap();
            let near =
                |before: f64, after: f64| knocks.iter().any(|knock| (-before..after).contains(&(seconds - knock.at)));
            seconds += if near(0.004, 0.004) {
                2e-5
            } else if near(0.05, 0.12) {
                1e-4
            } else {
                4e-3
            };
        }
        writeln!(deck, ")").unwrap();
        writeln!(deck, "Rw{at} t{at} i{at} {:e}\nLw{at} i{at} p{at} {:e}", coil.ohms, coil.henries).unwrap();
        writeln!(deck, "Rl{at} i{at} p{at} {:e}\nCw{at} p{at} 0 {:e}", coil.loss, coil.farads + parts.cable).unwrap();
        writeln!(deck, "Cc{at} p{at} o{at} 22n\nRi{at} o{at} 0 {:e}", parts.input).unwrap();
    }
    let outputs: Vec<String> = (0..cases.len()).map(|at| format!("v(o{at})")).collect();
    let (outputs, file) = (outputs.join(" "), folder.path().join("taps.txt"));
    writeln!(
        deck,
        ".save {outputs}\n.control\nset wr_singlescale\nset numdgt=9\ntran {:e} {LONG} 0 2e-5\nlinearize {outputs}\nwrdata {} {outputs}\nquit 0\n.endc\n.end",
        1.0 / RATE,
        file.display()
    )
    .unwrap();
    let _ = program::answer("ngspice", &["-b"], &deck, "ngspice (Debian)");
    let text = std::fs::read_to_string(&file).unwrap();
    let mut all = vec![Vec::new(); cases.len()];
    for line in text.lines() {
        let numbers: Vec<f64> = line.split_whitespace().map(|word| word.parse().unwrap()).collect();
        for (heard, number) in all.iter_mut().zip(&numbers[1..]) {
            heard.push(*number);
        }
    }
    assert!(all.iter().all(|heard| heard.len() as f64 > 0.99 * LONG * RATE), "ngspice ends early");
    all
}

/// The same by steps of time, four a sample.
fn stepped(coil: &Coil, parts: &Parts, knocks: &[Knock; 3]) -> Vec<f64> {
    let step = 0.25 / RATE;
    let across = coil.farads + parts.cable;
    let (mut volts, mut current, mut blocked) = (0.0, 0.0, 0.0);
    let mut heard = Vec::new();
    let mut drives = 0.0;
    for at in 0..(LONG * RATE * 4.0) as usize {
        if at % 2 == 0 {
            drives = knocks.iter().map(|knock| knock.volts(at as f64 * step)).sum();
        }
        if at % 4 == 0 {
            heard.push(volts - blocked);
        }
        // Current in the inductance first, then voltage: so it neither grows nor dies by itself.
        let winding = (drives - volts - coil.ohms * current) / (1.0 + coil.ohms / coil.loss);
        current += step * winding / coil.henries;
        let through = current + winding / coil.loss;
        volts += step * (through - (volts - blocked) / parts.input) / across;
        blocked += step * (volts - blocked) / parts.input / 22e-9;
    }
    heard
}

/// `SOLDERLAST_SWEPT` says how many coils.
#[test]
fn taps_that_ngspice_makes_tell_the_sign() {
    let (mut chance, mut refused) = (Chance::seeded(71), 0_u32);
    let cases: Vec<(Coil, Parts, [Knock; 3])> = (0..number("SOLDERLAST_SWEPT", 1))
        .map(|_| (Coil::by_chance(&mut chance), parts(&mut chance), knocks(&mut chance)))
        .collect();
    for ((coil, parts, knocks), volts) in cases.iter().zip(by_ngspice(&cases)) {
        let own = stepped(coil, parts, knocks);
        let power = |all: &mut dyn Iterator<Item = f64>| all.map(|one| one * one).sum::<f64>().sqrt();
        let off =
            power(&mut volts.iter().zip(&own).map(|(one, other)| one - other)) / power(&mut volts.iter().copied());
        println!("what is stepped here is {:.1} % off", 100.0 * off);
        // Steps of 5 µs turn a quick coil's ringing a little; the first swing, which tells the sign, is the same.
        assert!(off < 0.25, "{off}");
        for turned in [false, true] {
            match told(&recording(&volts, turned, false, &mut chance)) {
                Ok(taps) => assert_eq!(taps.up, !turned, "{knocks:?}"),
                Err(Bad::Unreadable { .. }) => panic!("it is a file"),
                // Whoever is told so taps it again.
                Err(_) => refused += 1,
            }
        }
    }
    println!("{refused} of {} refused", 2 * cases.len());
    assert!(f64::from(refused) <= 0.1 * 2.0 * cases.len() as f64, "{refused} of {} refused", 2 * cases.len());
}

/// `SOLDERLAST_TAPS` says how many recordings, 1,000 for the figures that are asked for.
#[test]
fn no_sign_is_told_wrong() {
    let mut chance = Chance::seeded(72);
    let count = number("SOLDERLAST_TAPS", 30);
    let (mut refused, mut wrong, mut handled_told, mut mixed_told, mut clipped) = (0_u64, 0_u64, 0_u64, 0_u64, 0_u64);
    for _ in 0..count {
        let (coil, parts, knocks) = (Coil::by_chance(&mut chance), parts(&mut chance), knocks(&mut chance));
        let volts = stepped(&coil, &parts, &knocks);
        let turned = chance.of(&[false, true]);
        let sound = recording(&volts, turned, false, &mut chance);
        match told(&sound) {
            Ok(taps) => wrong += u64::from(taps.up == turned),
            Err(bad) => {
                refused += 1;
                if count < 100 {
                    println!("{bad:?} {knocks:?}");
                }
            }
        }
        // Cut flat, it is never told.
        let top = sound.channels[0].iter().fold(0.0_f64, |top, one| top.max(one.abs()));
        clipped += u64::from(told(&sound.clone().clipped(0.4 * top)) == Err(Bad::Clipped));
        // Somebody handles it.
        if let Ok(taps) = told(&recording(&volts, turned, true, &mut chance)) {
            handled_told += 1;
            wrong += u64::from(taps.up == turned);
        }
        // One of the three is no tap like the others.
        let mut mixed = knocks;
        mixed[chance.of(&[0, 1, 2])].sign = -1.0;
        mixed_told += u64::from(told(&recording(&stepped(&coil, &parts, &mixed), turned, false, &mut chance)).is_ok());
    }
    println!(
        "{count} recordings: {refused} refused, {wrong} told wrong; handled: {handled_told} told; one of three turned: {mixed_told} told; \
         {clipped} clipped named"
    );
    assert_eq!((wrong, mixed_told), (0, 0));
    assert!(refused as f64 <= 0.05 * count as f64 + 1.0, "{refused} of {count} refused");
    assert!(handled_told > 0 && clipped as f64 >= 0.9 * count as f64, "{handled_told} {clipped}");
}
