//! A coil that is known, and what sweeps and meters would show of it, worked out in real numbers: nothing here is shared with the fit.

use std::f64::consts::TAU;

use solderlast_core::physics::measured::Told;
use solderlast_core::record::measured::{ComponentValue, Driven, KnownFarads, KnownOhms, Metered, Swept, SweptPoint};
use solderlast_core::record::pickup::CoilName;
use solderlast_core::record::quantity::{Decibels, Farads, Hertz, Ohms};
use solderlast_testkit::Chance;

/// 19 of 20 of a normal variable lie within so many standard deviations.
pub const SURE: f64 = 1.959_964;

/// A coil: resistance in a row with inductance, a loss across that, capacitance across both; and a loop of metal or turns that
/// are shorted, coupled to it.
#[derive(Debug, Clone, Copy)]
pub struct Coil {
    pub ohms: f64,
    pub henries: f64,
    pub farads: f64,
    pub loss: f64,
    /// The square of its coupling to a loop, and the frequency above which the loop's reactance is more than its resistance.
    pub shorted: Option<(f64, f64)>,
}

/// What stands beside the coil, as it really is.
#[derive(Debug, Clone, Copy)]
pub struct Parts {
    pub resistor: f64,
    pub input: f64,
    pub cable: f64,
    pub added: f64,
}

impl Coil {
    pub fn by_chance(chance: &mut Chance) -> Self {
        Self {
            ohms: chance.in_ratio(2500.0, 15_000.0),
            henries: chance.in_ratio(0.9, 8.0),
            farads: chance.in_ratio(40e-12, 220e-12),
            loss: chance.in_ratio(2.5e5, 3e6),
            shorted: None,
        }
    }

    /// Real and imaginary part of its impedance without its capacitance.
    fn winding(&self, w: f64) -> (f64, f64) {
        let (mut re, mut im) = (0.0, w * self.henries);
        if let Some((squared, hertz)) = self.shorted {
            let (own, turn) = (w, TAU * hertz);
            let size = own * own + turn * turn;
            // jωL·(1 − k²·jω / (turn + jω))
            let (part_re, part_im) = (squared * own * own / size, squared * own * turn / size);
            (re, im) = (im * part_im, im * (1.0 - part_re));
        }
        // A resistance across that.
        let (sum_re, sum_im) = (re + self.loss, im);
        let size = sum_re * sum_re + sum_im * sum_im;
        let (top_re, top_im) = (self.loss * re, self.loss * im);
        (self.ohms + (top_re * sum_re + top_im * sum_im) / size, (top_im * sum_re - top_re * sum_im) / size)
    }

    /// The size of what comes back through a resistor, against what is sent.
    pub fn answer(&self, parts: &Parts, hertz: f64) -> f64 {
        let w = TAU * hertz;
        let (re, im) = self.winding(w);
        let size = re * re + im * im;
        let conducts = re / size + 1.0 / parts.input;
        let susceptance = w * (self.farads + parts.cable + parts.added) - im / size;
        let both = conducts * conducts + susceptance * susceptance;
        let (re, im) = (conducts / both, -susceptance / both);
        re.hypot(im) / (re + parts.resistor).hypot(im)
    }

    /// Where it rings with the cable, and how sharply with the input.
    pub fn rings(&self, parts: &Parts) -> (f64, f64) {
        let w = 1.0 / (self.henries * (self.farads + parts.cable)).sqrt();
        let x = w * self.henries;
        (w / TAU, 1.0 / (self.ohms / x + x / self.loss + x / parts.input))
    }
}

/// A normal variable with a standard deviation of 1.
pub fn normal(chance: &mut Chance) -> f64 {
    let (one, two) = (chance.between(1e-12, 1.0), chance.between(0.0, 1.0));
    (-2.0 * one.ln()).sqrt() * (TAU * two).cos()
}

/// A part of this value, as it lies in the drawer.
pub fn drawn(chance: &mut Chance, value: f64, within: f64) -> f64 {
    value * (normal(chance) * within / SURE).exp()
}

pub const RESISTOR: (f64, f64) = (100e3, 0.01);
pub const ADDED: (f64, f64) = (1e-9, 0.01);
pub const INPUT: (f64, f64) = (1e6, 0.05);
pub const CABLE: (f64, f64) = (300e-12, 0.05);
pub const METER: f64 = 0.01;

/// Everything that is measured of a coil: without and with the capacitor, and its resistance.
pub struct Measurement {
    pub told: Vec<Told>,
    pub parts: Parts,
}

/// What a sweep says it was made with.
pub fn swept(coil: CoilName, added: bool, points: Vec<SweptPoint>) -> Swept {
    Swept {
        coil: Some(coil),
        driven: Driven::Resistor { resistor: KnownOhms { ohms: Ohms(RESISTOR.0), within: RESISTOR.1 } },
        added: added.then_some(KnownFarads { farads: Farads(ADDED.0), within: ADDED.1 }),
        input: KnownOhms { ohms: Ohms(INPUT.0), within: INPUT.1 },
        cable: KnownFarads { farads: Farads(CABLE.0), within: CABLE.1 },
        take: None,
        turned: None,
        points,
    }
}

pub fn ohms(coil: CoilName, ohms: f64) -> Told {
    let value = ComponentValue::Resistance { ohms: Ohms(ohms) };
    Told::Metered(Metered { coil, value, within: METER })
}

/// Parts out of the drawer.
pub fn parts(chance: &mut Chance) -> Parts {
    Parts {
        resistor: drawn(chance, RESISTOR.0, RESISTOR.1),
        input: drawn(chance, INPUT.0, INPUT.1),
        cable: drawn(chance, CABLE.0, CABLE.1),
        added: drawn(chance, ADDED.0, ADDED.1),
    }
}

/// Points of a sweep with noise in each, and how far they seem to spread: known by what eighteen of them differ.
pub fn points(coil: &Coil, parts: &Parts, noise: f64, chance: &mut Chance) -> Vec<SweptPoint> {
    let gain = chance.between(-30.0, 10.0);
    (0..118)
        .map(|at| {
            let hertz = 100.0 * 2_f64.powf(f64::from(at) / 16.0);
            let squares: f64 = (0..18).map(|_| normal(chance).powi(2)).sum();
            let level = 20.0 * coil.answer(parts, hertz).log10() + gain + noise * normal(chance);
            SweptPoint(Hertz(hertz), Decibels(level), Decibels(noise * (squares / 18.0).sqrt()))
        })
        .collect()
}

/// A coil, measured.
pub fn measurement(coil: &Coil, name: CoilName, noise: f64, chance: &mut Chance) -> Measurement {
    let parts = parts(chance);
    let bare = Parts { added: 0.0, ..parts };
    let told = vec![
        Told::Swept(swept(name, false, points(coil, &bare, noise, chance))),
        Told::Swept(swept(name, true, points(coil, &parts, noise, chance))),
        ohms(name, drawn(chance, coil.ohms, METER)),
    ];
    Measurement { told, parts: bare }
}
