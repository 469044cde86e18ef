//! Circuits whose response is known in closed form.

use std::f64::consts::TAU;

use proptest::prelude::*;

use super::*;
use crate::record::quantity::{Farads, Henries, Ohms};

fn values(ohms: f64, henries: f64, farads: f64) -> CoilValues {
    CoilValues { ohms: Ohms(ohms), henries: Henries(henries), farads: Farads(farads), loss: None }
}

fn cable(farads: f64, input: f64) -> Load {
    Load { cable: Farads(farads), input: Ohms(input), across: None, stray: Farads(0.0) }
}

fn alone(coil: CoilValues, pots: &Pots, load: &Load) -> Response {
    let values = Values::new(vec![(CoilName::A, coil)], 0.0).expect("sound values");
    Response::of_coil(&values, CoilName::A, pots, load).expect("a coil")
}

/// A coil on a capacitance and a resistance: H = 1 / ((1 + R/P) − ω²LC + jω(L/P + RC)).
fn by_hand(coil: CoilValues, load: &Load, hertz: f64) -> Impedance {
    let (w, c) = (TAU * hertz, coil.farads.0 + load.cable.0);
    let real = 1.0 + coil.ohms.0 / load.input.0 - w * w * coil.henries.0 * c;
    Impedance::new(real, w * (coil.henries.0 / load.input.0 + coil.ohms.0 * c)).inv()
}

/// The same behind a volume and a tone pot, each where it stands: the coil on its capacitance, the track, and the tone's track in a row with
/// its capacitor; from the wiper down the cable and the input. Its level in decibels.
fn behind_by_hand(coil: CoilValues, pots: &Pots, load: &Load, hertz: f64) -> f64 {
    let w = TAU * hertz;
    let beside = |one: Impedance, other: Impedance| (one.inv() + other.inv()).inv();
    let held_by = |farads: f64| Impedance::new(0.0, -1.0 / (w * farads));
    let input = beside(Impedance::new(load.input.0, 0.0), held_by(load.cable.0));
    let (above, below) =
        pots.volume.map_or((0.0, f64::INFINITY), |pot| (pot.ohms.0 * (1.0 - pot.part), pot.ohms.0 * pot.part));
    let below = if below.is_finite() { beside(Impedance::new(below, 0.0), input) } else { input };
    let track = below + above;
    let mut seen = beside(track, held_by(coil.farads.0));
    if let Some((pot, capacitor)) = pots.tone {
        seen = beside(seen, held_by(capacitor.0) + pot.ohms.0 * pot.part);
    }
    let winding = Impedance::new(coil.ohms.0, w * coil.henries.0);
    20.0 * (seen / (seen + winding) * below / track).norm().log10()
}

/// `1.0 to 1.5 dB` and the like: the figures at the start, and how far they are rounded.
fn figures_of(words: &str, unit: &str) -> Option<([f64; 2], f64)> {
    let said = words.split_once(unit)?.0.trim();
    let (low, high) = said.split_once(" to ").unwrap_or((said, said));
    let last = |text: &str| text.rsplit(' ').next().map(str::to_owned);
    let (low, high) = (last(low)?, last(high)?);
    let rounded = if high.contains('.') { 0.051 } else { 0.51 };
    Some(([low.parse().ok()?, high.parse().ok()?], rounded))
}

proptest! {
    /// What is said to change is what the curves do, wherever the knobs stand; treble that goes is told.
    #[test]
    fn what_changes_is_what_the_curves_do(
        ohms in 3e3..1.5e4_f64, henries in 1.0..6.0_f64, run in 200e-12..1e-9_f64, pot in 2e5..1e6_f64,
        part in 0.02..=1.0_f64, tone in 0.0..=1.0_f64, capacitor in 2e-9..1e-7_f64,
    ) {
        let pots = Pots {
            volume: Some(Pot { ohms: Ohms(pot), part }),
            tone: Some((Pot { ohms: Ohms(pot), part: tone }, Farads(capacitor))),
            ..Pots::none()
        };
        let load = cable(run, 1e6);
        let coils = [1.0, 0.8, 1.3].map(|times| values(ohms, henries * times, 120e-12));
        let circuits = [Pots::none(), pots];
        let told = |pots: &Pots| coils.map(|coil| alone(coil, pots, &load).told());
        let said = changes(&told(&circuits[0]), &told(&circuits[1]));
        let level = |coil: CoilValues, pots: &Pots, hertz: f64| behind_by_hand(coil, pots, &load, hertz);
        let change = |hertz: f64| coils.map(|coil| level(coil, &pots, hertz) - level(coil, &circuits[0], hertz));
        for words in said.split(", ") {
            let at = if words.ends_with(" at 200 Hz") { 200.0 } else { 4000.0 };
            if words.contains("louder") || words.contains("quieter") {
                let ([low, high], rounded) = figures_of(words, " dB").expect("two figures");
                prop_assert!(words.ends_with(" Hz") || words.ends_with(" kHz"), "{words}: over which band?");
                for off in change(at) {
                    let fits = (low - rounded..=high + rounded).contains(&off.abs());
                    prop_assert!(fits && (off > 0.0) == words.contains("louder"), "{words}: {off} dB");
                }
            } else if words.contains(" in pitch") {
                let top = |coil: CoilValues, pots: &Pots| {
                    let all = (0..1500).map(|step| 200.0 * 100_f64.powf(f64::from(step) / 1500.0));
                    all.max_by(|a, b| level(coil, pots, *a).total_cmp(&level(coil, pots, *b))).expect("a top")
                };
                for coil in coils {
                    let octaves = (top(coil, &pots) / top(coil, &circuits[0])).log2();
                    prop_assert!((octaves > 0.0) == words.contains("higher"), "{words}: {octaves}");
                    if let Some(([low, high], _)) = figures_of(words, " semitone") {
                        prop_assert!((low - 0.6..=high + 0.6).contains(&(12.0 * octaves.abs())), "{words}: {octaves}");
                    } else {
                        prop_assert!(words.contains("octave") && octaves.abs() > 0.85, "{words}: {octaves}");
                    }
                }
            } else if words.ends_with("brighter") {
                prop_assert!(change(4000.0).iter().all(|off| *off > 0.0), "{said}");
            }
        }
        let lost = change(4000.0).iter().zip(change(200.0)).all(|(high, low)| *high < -6.1 && high - low < -3.1);
        prop_assert!(!lost || said.contains(" quieter at 4 kHz"), "{said}");
    }

    #[test]
    fn one_coil_is_as_by_hand(
        ohms in 1e3..3e4_f64, henries in 0.3..12.0_f64, own in 10e-12..300e-12_f64, run in 0.0..2e-9_f64,
        input in 2e4..5e6_f64, hertz in 20.0..20e3_f64,
    ) {
        let (coil, load) = (values(ohms, henries, own), cable(run, input));
        let response = alone(coil, &Pots::none(), &load);
        let (found, truth) = (response.at(Hertz(hertz)).expect("a path"), by_hand(coil, &load, hertz));
        prop_assert!((found - truth).norm() <= 1e-9 * truth.norm(), "{found} {truth}");
    }

    /// The peak is where nothing near it is higher, and the fall is at 3 dB below 200 Hz.
    #[test]
    fn what_is_told_is_what_the_curve_does(
        ohms in 1e3..3e4_f64, henries in 0.3..12.0_f64, run in 100e-12..2e-9_f64, pot in 1e5..1e6_f64, part in 0.02..1.0_f64,
    ) {
        let pots = Pots { volume: Some(Pot { ohms: Ohms(pot), part }), ..Pots::none() };
        let response = alone(values(ohms, henries, 100e-12), &pots, &cable(run, 1e6));
        let told = response.told();
        let level = |hertz: f64| 20.0 * response.at(Hertz(hertz)).expect("a path").norm().log10();
        if let Some(peak) = told.peak {
            for near in [0.5, 0.9, 0.999, 1.001, 1.1, 2.0] {
                prop_assert!(level(peak.hertz.0 * near) <= level(peak.hertz.0) + 1e-9);
            }
        }
        if let Some(falls) = told.falls_at {
            prop_assert!((level(falls.0) - told.level.0 + 3.0).abs() < 1e-6);
        }
    }

    /// Whatever hangs on it, a circuit without sources gives nothing back and answers in finite numbers.
    #[test]
    fn what_it_looks_like_from_outside_takes_power(
        coupling in -0.49..0.99_f64, hertz in 20.0..20e3_f64, part in 0.0..=1.0_f64, after in any::<bool>(),
    ) {
        let all = CoilName::ALL.map(|name| (name, values(6000.0, 3.0, 80e-12))).to_vec();
        let values = Values::new(all, coupling).expect("sound values");
        let pots = Pots {
            volume: Some(Pot { ohms: Ohms(5e5), part }),
            tone: Some((Pot { ohms: Ohms(5e5), part: 1.0 - part }, Farads(22e-9))),
            tone_after: after,
            bleed: Some(Bleed { farads: Farads(1e-9), in_row: Some(Ohms(1.3e5)), across: None }),
        };
        let response = Response::of_coil(&values, CoilName::B, &pots, &cable(5e-10, 1e6)).expect("a coil");
        // With the volume at zero the jack is at ground: nothing to see there.
        let seen = response.seen_at(Hertz(hertz));
        prop_assert!(seen.is_none_or(|seen| seen.re >= -1e-9 && seen.norm().is_finite()), "{seen:?}");
    }
}

/// Nyquist: what resists has sqrt(4kTRB) of noise. 10 kΩ, 20 kHz, 20 °C: 1.80 µV (Johnson and Nyquist, 1928).
#[test]
fn noise_of_ten_kilohms() {
    // So little inductance and capacitance that the resistance alone is left.
    let response = alone(values(1e4, 1e-6, 0.0), &Pots::none(), &cable(0.0, 1e12));
    let noise = response.noise();
    assert!((noise * 1e6 - 1.80).abs() < 0.01, "{noise}");
}

/// Two equal coils that do not act on each other: in a row twice the voltage, twice the inductance and resistance, half the
/// capacitance; beside each other the voltage of one, half of both and twice the capacitance.
#[test]
fn coupled_coils_in_a_row_are_one_coil_with_the_sum() {
    for coupling in [-0.3, 0.0, 0.2, 0.6] {
        let mut network = Network::default();
        let [ground, middle, hot] = [network.node(), network.node(), network.node()];
        let both = Values::new(
            vec![(CoilName::A, values(4000.0, 2.0, 0.0)), (CoilName::B, values(4000.0, 2.0, 0.0))],
            coupling,
        );
        let coils = [(CoilName::A, ground, middle), (CoilName::B, middle, hot)];
        let windings = both.expect("sound values").wind(&mut network, &coils).expect("both have values");
        let row = Response::from(Sounding { network, windings, hot, ground }, &Pots::none(), &cable(5e-10, 1e6))
            .expect("a path");
        let sum = alone(values(8000.0, 4.0 * (1.0 + coupling), 0.0), &Pots::none(), &cable(5e-10, 1e6));
        for hertz in [30.0, 900.0, 3000.0, 9000.0].map(Hertz) {
            let (row, sum) = (row.at(hertz).expect("a path"), sum.at(hertz).expect("a path") * 2.0);
            assert!((row - sum).norm() < 1e-9 * sum.norm(), "{coupling} {hertz:?}: {row} {sum}");
        }
    }
}

#[test]
fn what_can_not_be_is_refused_in_words() {
    let coil = values(8000.0, 2.5, 1e-10);
    let one = |coil| Values::new(vec![(CoilName::A, coil)], 0.0).map_err(|unclear| unclear.sentence);
    for (bad, word) in [
        (CoilValues { ohms: Ohms(0.0), ..coil }, "resistance"),
        (CoilValues { ohms: Ohms(f64::NAN), ..coil }, "resistance"),
        (CoilValues { loss: Some(Ohms(-1.0)), ..coil }, "resistance"),
        (CoilValues { henries: Henries(0.0), ..coil }, "inductance"),
        (CoilValues { henries: Henries(-2.0), ..coil }, "inductance"),
        (CoilValues { farads: Farads(-1e-12), ..coil }, "capacitance"),
    ] {
        assert!(one(bad).is_err_and(|sentence| sentence.contains(word)), "{bad:?}");
    }
    assert!(one(coil).is_ok());
    for k in [1.0, 1.5, -1.0, f64::NAN] {
        let both = vec![(CoilName::A, coil), (CoilName::B, coil)];
        assert!(Values::new(both, k).is_err(), "{k}");
    }
    assert!(Values::new(vec![(CoilName::A, coil), (CoilName::A, coil)], 0.0).is_err());
}
