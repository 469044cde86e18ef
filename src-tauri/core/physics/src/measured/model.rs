//! What a sweep and a component meter would show of coils.

use std::f64::consts::TAU;

use nalgebra::{DMatrix, DVector};

use crate::network::Impedance;
use crate::record::measured::ComponentValue;

/// Numbers of one coil, as in [`crate::response::CoilValues`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Numbers {
    pub ohms: f64,
    pub henries: f64,
    pub farads: f64,
    pub loss: f64,
}

impl Numbers {
    /// Its impedance at so many radians a second, without its capacitance.
    fn winding(&self, radians: f64) -> Impedance {
        let reactance = Impedance::new(0.0, radians * self.henries);
        self.ohms + reactance * self.loss / (reactance + self.loss)
    }

    /// Its impedance.
    pub fn impedance(&self, radians: f64) -> Impedance {
        (self.winding(radians).inv() + Impedance::new(0.0, radians * self.farads)).inv()
    }

    /// What it puts out into nothing for a voltage of one volt in its winding.
    fn open(&self, radians: f64) -> Impedance {
        let reactance = Impedance::new(0.0, radians * self.henries);
        let induced = self.loss / (reactance + self.loss);
        induced / (1.0 + Impedance::new(0.0, radians * self.farads) * self.winding(radians))
    }

    /// What a component meter shows.
    pub fn shown(&self, value: ComponentValue) -> f64 {
        match value {
            ComponentValue::Resistance { .. } => self.ohms,
            ComponentValue::Inductance { at, .. } => {
                let radians = TAU * at.0;
                self.impedance(radians).im / radians
            }
            ComponentValue::Quality { at, .. } => {
                let seen = self.impedance(TAU * at.0);
                seen.im / seen.re
            }
        }
    }
}

/// Coils in a row, coupled by `coupling`: their impedance, and what they put out into nothing for a volt in each winding.
pub(super) fn in_a_row(coils: &[Numbers], coupling: f64, radians: f64) -> Option<(Impedance, Impedance)> {
    if let [coil] = coils {
        return Some((coil.impedance(radians), coil.open(radians)));
    }
    // A coil's terminal current is a·i + b·v and its voltage R·i + c·v, of the current i and the voltage v of its winding.
    let parts: Vec<[Impedance; 3]> = coils
        .iter()
        .map(|coil| {
            let across = Impedance::new(0.0, radians * coil.farads);
            let c = Impedance::new(1.0 + coil.ohms / coil.loss, 0.0);
            [1.0 + across * coil.ohms, 1.0 / coil.loss + across * c, c]
        })
        .collect();
    let count = coils.len();
    let mutual = |one: usize, other: usize| {
        let k = if one == other { 1.0 } else { coupling };
        Impedance::new(0.0, radians * k * (coils[one].henries * coils[other].henries).sqrt())
    };
    let matrix = DMatrix::from_fn(count, count, |row, column| {
        let own = if row == column { parts[row][0] } else { Impedance::new(0.0, 0.0) };
        own + parts[row][1] * mutual(row, column)
    });
    let solved = matrix.lu();
    let across = |drive: &dyn Fn(usize) -> Impedance, induced: f64| {
        let currents = solved.solve(&DVector::from_fn(count, |row, _| drive(row)))?;
        Some(
            (0..count)
                .map(|at| {
                    let volts: Impedance = (0..count).map(|other| mutual(at, other) * currents[other]).sum();
                    currents[at] * coils[at].ohms + parts[at][2] * (volts + induced)
                })
                .sum::<Impedance>(),
        )
    };
    let seen = across(&|_| Impedance::new(1.0, 0.0), 0.0)?;
    let open = across(&|row| -parts[row][1], 1.0)?;
    Some((seen, open))
}

/// Where a sweep goes through.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Bench {
    /// The resistor in a row; nothing for a coil over the poles.
    pub resistor: Option<f64>,
    /// All capacitance across the terminals, in farads.
    pub across: f64,
    /// The input, in ohms.
    pub input: f64,
}

impl Bench {
    /// How often a coil swings in a second once it is left alone, and how quickly that dies away; nothing where it does not swing.
    ///
    /// With a loss P across L, in a row with R, and C and the conductance G across all of it, what dies away goes as exp(st) with
    /// (R + sLP / (sL + P)) (G + sC) + 1 = 0, which is of second order.
    pub fn rings(&self, coil: &Numbers) -> Option<[f64; 2]> {
        let Numbers { ohms, henries, loss, .. } = *coil;
        let (across, through) = (coil.farads + self.across, 1.0 / self.input);
        let second = henries * across * (ohms + loss);
        let first = ohms * loss * across + henries * (1.0 + through * (ohms + loss));
        let none = loss * (1.0 + through * ohms);
        let decay = first / (2.0 * second);
        let swings = none / second - decay * decay;
        (swings > 0.0).then(|| [swings.sqrt() / TAU, decay])
    }

    /// What comes back, against what is sent; of a coil over the poles against its level at 1 kHz.
    pub fn answer(&self, coils: &[Numbers], coupling: f64, radians: f64) -> Option<Impedance> {
        let (seen, open) = in_a_row(coils, coupling, radians)?;
        let load = Impedance::new(1.0 / self.input, radians * self.across);
        Some(match self.resistor {
            Some(ohms) => (seen.inv() + load).inv() / ((seen.inv() + load).inv() + ohms),
            None => Impedance::new(0.0, radians / (TAU * 1000.0)) * open / (1.0 + load * seen),
        })
    }
}
