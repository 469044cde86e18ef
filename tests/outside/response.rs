//! What arrives at an amplifier's input, against ngspice (Debian package): its alternating-current analysis, in the same run.
//!
//! The netlists are written from what a rig and a guitar's pots do, not from the circuit under test: a bond is a milliohm, and
//! every node has 100 GΩ to ground, so that nothing floats.

use std::fmt::Write;

use solderlast_core::physics::response::{Bleed, CoilValues, Load, Pot, Pots, Response, Values};
use solderlast_core::record::pickup::{CoilName, Construction};
use solderlast_core::record::quantity::{Farads, Henries, Hertz, Ohms};
use solderlast_core::record::rig::{Mode, Rig};
use solderlast_testkit::pickups::{hooked_up, pickup};
use solderlast_testkit::{Chance, number, program};

/// How far it may be from ngspice, in decibels and in degrees.
pub(super) const WITHIN: (f64, f64) = (0.01, 0.1);
pub(super) const BOND: f64 = 1e-3;
pub(super) const LEAK: f64 = 1e11;
/// From 20 Hz to 20 kHz.
pub(super) const FREQUENCIES: [f64; 11] =
    [20.0, 82.41, 329.63, 900.0, 1800.0, 2700.0, 3600.0, 5000.0, 7700.0, 12_000.0, 20_000.0];

/// Any coil of a pickup.
pub(super) fn any_coil(chance: &mut Chance) -> CoilValues {
    CoilValues {
        ohms: Ohms(chance.in_ratio(1500.0, 15_000.0)),
        henries: Henries(chance.in_ratio(0.4, 8.0)),
        farads: Farads(chance.in_ratio(10e-12, 250e-12)),
        loss: chance.flip().then(|| Ohms(chance.in_ratio(5e4, 3e6))),
    }
}

/// Any treble bleed, or none.
pub(super) fn any_bleed(chance: &mut Chance) -> Option<Bleed> {
    chance.flip().then(|| Bleed {
        farads: Farads(chance.of(&[680e-12, 1e-9, 1.2e-9])),
        in_row: chance.flip().then_some(Ohms(130e3)),
        across: chance.flip().then_some(Ohms(150e3)),
    })
}

/// A circuit on the bench.
#[derive(Debug)]
struct Case {
    mode: &'static str,
    coils: [CoilValues; 2],
    coupling: f64,
    pots: Pots,
    load: Load,
}

impl Case {
    fn by_chance(chance: &mut Chance) -> Self {
        let coils = [any_coil(chance), any_coil(chance)];
        let mut pot =
            || Pot { ohms: Ohms(chance.of(&[250e3, 500e3, 1e6])), part: chance.of(&[0.0, 0.02, 0.1, 0.5, 0.9, 1.0]) };
        let (volume, tone) = (pot(), pot());
        Self {
            mode: chance.of(&["series", "parallel", "single"]),
            coils,
            coupling: chance.between(-0.4, 0.6),
            pots: Pots {
                // A wiper at ground puts out nothing.
                volume: chance.flip().then_some(Pot { part: volume.part.max(0.02), ..volume }),
                tone: chance.flip().then_some((tone, Farads(chance.of(&[10e-9, 22e-9, 47e-9])))),
                tone_after: chance.flip(),
                bleed: any_bleed(chance),
            },
            load: Load {
                cable: Farads(chance.in_ratio(100e-12, 1.5e-9)),
                input: Ohms(chance.of(&[100e3, 470e3, 1e6, 10e6])),
                across: chance.flip().then_some(Ohms(125e3)),
                stray: Farads(chance.between(0.0, 60e-12)),
            },
        }
    }

    /// The netlist of this circuit, its nodes named apart from those of the others; its output is `o{number}`.
    fn netlist(&self, number: usize) -> String {
        let mut parts = String::new();
        let mut nodes: Vec<String> = Vec::new();
        let mut count = 0;
        let mut part = |kind: char, a: &str, b: &str, value: f64| {
            count += 1;
            let named = [a, b].map(|node| if node == "0" { node.to_owned() } else { format!("{node}{number}") });
            writeln!(parts, "{kind}{number}_{count} {} {} {value:e}", named[0], named[1]).unwrap();
            nodes.extend(named.into_iter().filter(|node| node != "0"));
        };
        for (letter, coil) in ["a", "b"].into_iter().zip(&self.coils) {
            let [minus, plus, inside] = ["m", "p", "i"].map(|end| format!("{letter}{end}"));
            part('R', &inside, &plus, coil.ohms.0);
            if let Some(loss) = coil.loss {
                part('R', &inside, &minus, loss.0);
            }
            part('C', &minus, &plus, coil.farads.0);
        }
        // Series: 2 on 3, out of 1 and 4. Parallel: 1 on 3, 2 on 4, out of 1 and 2. Single: out of 1 and 2.
        let bonds: &[(&str, &str)] = match self.mode {
            "series" => &[("ap", "bm"), ("am", "0"), ("bp", "h")],
            "parallel" => &[("am", "bm"), ("ap", "bp"), ("am", "0"), ("ap", "h")],
            _ => &[("am", "0"), ("ap", "h")],
        };
        for (a, b) in bonds {
            part('R', a, b, BOND);
        }
        let Pots { volume, tone, tone_after, bleed } = self.pots;
        match volume {
            None => part('R', "h", "o", BOND),
            Some(volume) => {
                let below = volume.ohms.0 * volume.part;
                part('R', "h", "o", (volume.ohms.0 - below).max(BOND));
                part('R', "o", "0", below);
                if let Some(bleed) = bleed {
                    part('R', "e", "o", bleed.in_row.map_or(BOND, |ohms| ohms.0));
                    part('C', "h", "e", bleed.farads.0);
                    if let Some(across) = bleed.across {
                        part('R', "h", "e", across.0);
                    }
                }
            }
        }
        if let Some((tone, farads)) = tone {
            part('R', if tone_after { "o" } else { "h" }, "t", (tone.ohms.0 * tone.part).max(BOND));
            part('C', "t", "0", farads.0);
        }
        part('C', "o", "0", self.load.cable.0 + self.load.stray.0);
        for ohms in [Some(self.load.input), self.load.across].into_iter().flatten() {
            part('R', "o", "0", ohms.0);
        }
        // A volt in each coil, in a row with its inductance; both coupled.
        for (letter, coil) in ["a", "b"].into_iter().zip(&self.coils) {
            writeln!(parts, "L{letter}{number} {letter}i{number} {letter}v{number} {:e}", coil.henries.0).unwrap();
            writeln!(parts, "V{letter}{number} {letter}v{number} {letter}m{number} dc 0 ac 1").unwrap();
        }
        writeln!(parts, "K{number} La{number} Lb{number} {:e}", self.coupling).unwrap();
        nodes.sort();
        nodes.dedup();
        for (at, node) in nodes.iter().enumerate() {
            writeln!(parts, "Rleak{number}_{at} {node} 0 {LEAK:e}").unwrap();
        }
        parts
    }
}

/// The voltages at all outputs by ngspice: a list a frequency, of each circuit's real and imaginary part.
pub(super) fn by_ngspice(cases: &[String]) -> Vec<Vec<(f64, f64)>> {
    let mut deck = "loads\n".to_owned();
    cases.iter().for_each(|case| deck.push_str(case));
    deck.push_str(".control\nset numdgt=12\n");
    for hertz in FREQUENCIES {
        writeln!(deck, "ac lin 1 {hertz} {hertz}").unwrap();
        for number in 0..cases.len() {
            writeln!(deck, "print v(o{number})").unwrap();
        }
    }
    deck.push_str("quit 0\n.endc\n.end\n");
    let answer = program::answer("ngspice", &["-b"], &deck, "ngspice (Debian)");
    let volts: Vec<(f64, f64)> = answer
        .lines()
        .filter_map(|line| line.strip_prefix("v(o")?.split_once(" = "))
        .filter_map(|(_, both)| both.trim().split_once(','))
        .map(|(re, im)| (re.trim().parse().unwrap(), im.trim().parse().unwrap()))
        .collect();
    assert_eq!(volts.len(), FREQUENCIES.len() * cases.len(), "ngspice answers for every circuit");
    volts.chunks(cases.len()).map(<[_]>::to_vec).collect()
}

/// Holds each against its netlist; answers how far the worst is off, in decibels and degrees.
pub(super) fn held_against<T: std::fmt::Debug>(cases: &[T], ours: &[Response], netlists: &[String]) -> (f64, f64) {
    let mut worst = (0.0_f64, 0.0_f64);
    for (hertz, volts) in FREQUENCIES.into_iter().zip(by_ngspice(netlists)) {
        for ((case, ours), (re, im)) in cases.iter().zip(ours).zip(volts) {
            let here = ours.at(Hertz(hertz)).unwrap();
            // Where voltages all but cancel, the milliohms and leaks of the netlist are what is left.
            if re.hypot(im) < 1e-3 && (here.re - re).hypot(here.im - im) < 3e-6 {
                continue;
            }
            let level = (20.0 * (here.norm() / re.hypot(im)).log10()).abs();
            let turned = (here.arg() - im.atan2(re)).to_degrees();
            let turned = (turned - 360.0 * (turned / 360.0).round()).abs();
            worst = (worst.0.max(level), worst.1.max(turned));
            assert!(level < WITHIN.0 && turned < WITHIN.1, "{hertz} Hz, {level} dB, {turned}°: {case:?}");
        }
    }
    worst
}

#[test]
fn every_mode_load_and_pot_as_ngspice_has_it() {
    let mut chance = Chance::seeded(20);
    let cases: Vec<Case> = (0..number("SOLDERLAST_CIRCUITS", 200)).map(|_| Case::by_chance(&mut chance)).collect();
    let (pickup, joined, rig) =
        (pickup(Construction::SideBySide, &[None, None]), hooked_up(), Rig::four_terminal("rig"));
    let ours: Vec<Response> = cases
        .iter()
        .map(|case| {
            let coils = [CoilName::A, CoilName::B].into_iter().zip(case.coils).collect();
            let values = Values::new(coils, case.coupling).unwrap();
            let at = (&rig, &Mode(case.mode.to_owned()));
            Response::on_rig((&pickup, &joined), at, &values, (&case.pots, &case.load)).unwrap()
        })
        .collect();
    let netlists: Vec<String> = cases.iter().enumerate().map(|(number, case)| case.netlist(number)).collect();
    let worst = held_against(&cases, &ours, &netlists);
    println!(
        "{} circuits at {} frequencies within {:.1e} dB, {:.1e}°",
        cases.len(),
        FREQUENCIES.len(),
        worst.0,
        worst.1
    );
    assert!(worst.0 > 0.0, "nothing was compared");
}
