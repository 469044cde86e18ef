//! What a circuit makes of a pickup's voltage at every frequency: the raw rig, or the pots, capacitor and cable of a guitar.
//!
//! ```
//! use solderlast_physics::response::{CoilValues, Load, Pots, Response, Values};
//! use solderlast_record::pickup::{CoilName, Construction, Pickup};
//! use solderlast_record::quantity::{Farads, Henries, Ohms};
//!
//! let pickup = Pickup::new("Loose one", Construction::SingleCoil);
//! let coil = CoilValues { ohms: Ohms(8000.0), henries: Henries(2.5), farads: Farads(120e-12), loss: None };
//! let values = Values::new(vec![(CoilName::A, coil)], 0.0).unwrap();
//! let cable = Load { cable: Farads(500e-12), input: Ohms(1e6), across: None, stray: Farads(0.0) };
//!
//! // Raw on a rig it rings high; a volume and a tone pot of 250 kΩ take most of that away.
//! let raw = Response::of_coil(&values, CoilName::A, &Pots::none(), &cable).unwrap().told();
//! let pots = Pots { volume: Some(Ohms(250e3).into()), tone: Some((Ohms(250e3).into(), Farads(22e-9))), ..Pots::none() };
//! let behind = Response::of_coil(&values, CoilName::A, &pots, &cable).unwrap().told();
//! let [high, low] = [raw, behind].map(|told| told.peak.unwrap().over_low.0);
//! assert!(high > 14.0 && low < 8.0, "{high} dB, {low} dB");
//! # let _ = pickup;
//! ```

mod changes;
mod drawn;
mod kinds;
mod load;
mod series;
#[cfg(test)]
mod tests;
mod told;
mod values;

pub use changes::{Spread, changes};
pub use drawn::{Curve, curves_drawn};
pub(crate) use kinds::of_one;
pub use kinds::{OfKind, of_kind};
pub use load::{Bleed, Load, Pot, Pots, Taper};
pub use series::{Series, preferred};
pub use told::{Peak, Point, Told};
pub use values::{CoilValues, Values};

use crate::meter::Joined;
use crate::meter::circuit::RigCircuit;
use crate::network::{Answer, Impedance, Network, Winding};
use crate::record::pickup::{CoilName, Construction, Pickup};
use crate::record::quantity::Hertz;
use crate::record::rig::{Mode, Rig};

/// Boltzmann's constant, in joules a kelvin (exact, SI 2019).
const BOLTZMANN: f64 = 1.380_649e-23;
/// 20 °C, in kelvins.
const ROOM: f64 = 293.15;

/// A circuit from its coils to an amplifier's input, laid out once for every frequency.
#[derive(Debug, Clone)]
pub struct Response {
    voltage: Answer,
    seen: Answer,
}

/// A pickup's windings in a network, between the two nodes that it puts out.
struct Sounding {
    network: Network,
    windings: Vec<Winding>,
    hot: usize,
    ground: usize,
}

impl Response {
    /// One coil alone: nothing when its values are not among these.
    #[must_use]
    pub fn of_coil(values: &Values, coil: CoilName, pots: &Pots, load: &Load) -> Option<Self> {
        let mut network = Network::default();
        let (ground, hot) = (network.node(), network.node());
        let windings = values.wind(&mut network, &[(coil, ground, hot)])?;
        Self::from(Sounding { network, windings, hot, ground }, pots, load)
    }

    /// A pickup in a mode of a rig, as it was meant to be hooked up, through pots, if there are any, into a load. Each coil's
    /// voltage counts the same, from its minus to its plus end, but in a stack. Nothing when the mode puts out no coil, or a coil's values are
    /// not among these.
    #[must_use]
    pub fn on_rig(
        (pickup, joined): (&Pickup, &[Joined]),
        (rig, mode): (&Rig, &Mode),
        values: &Values,
        (pots, load): (&Pots, &Load),
    ) -> Option<Self> {
        let circuit = RigCircuit::new(pickup, joined, rig);
        let (mut network, coils, (ground, hot)) = circuit.without_coils(&circuit.meant, circuit.position(mode)?)?;
        let windings = values.wind(&mut network, &coils)?;
        let mut sounding = Sounding { network, windings, hot, ground };
        let tip = pots.behind(&mut sounding.network, hot, ground);
        let induced = coils.iter().zip(sounding.windings).map(|((name, ..), winding)| (winding, heard(pickup, *name)));
        Self::at_jack(sounding.network, &induced.collect::<Vec<_>>(), (tip, ground), load)
    }

    fn from(sounding: Sounding, pots: &Pots, load: &Load) -> Option<Self> {
        let Sounding { mut network, windings, hot, ground } = sounding;
        let tip = pots.behind(&mut network, hot, ground);
        let induced: Vec<(Winding, f64)> = windings.into_iter().map(|winding| (winding, 1.0)).collect();
        Self::at_jack(network, &induced, (tip, ground), load)
    }

    /// A network whose windings have these voltages induced in them, from its jack into a load.
    pub(crate) fn at_jack(
        mut network: Network,
        induced: &[(Winding, f64)],
        (tip, ground): (usize, usize),
        load: &Load,
    ) -> Option<Self> {
        load.across(&mut network, tip, ground);
        Some(Self { voltage: network.answer((tip, ground), induced)?, seen: network.seen_from(tip, ground)? })
    }

    /// What arrives for one volt in each coil; nothing at a frequency that is not above zero.
    #[must_use]
    pub fn at(&self, hertz: Hertz) -> Option<Impedance> {
        self.voltage.at(above_zero(hertz)?)
    }

    /// The impedance that the amplifier's input sees, its own and all of the load beside it, in ohms.
    #[must_use]
    pub fn seen_at(&self, hertz: Hertz) -> Option<Impedance> {
        self.seen.at(above_zero(hertz)?)
    }

    /// The noise of everything that resists in it at 20 °C, from 20 Hz to 20 kHz, in volts: a floor that no amplifier is
    /// below. Johnson and Nyquist, 1928: 4·k·T times the real part, summed over the frequencies.
    #[must_use]
    pub fn noise(&self) -> f64 {
        let points = told::frequencies(200);
        let density = |hertz: f64| 4.0 * BOLTZMANN * ROOM * self.seen.at(hertz).map_or(0.0, |seen| seen.re.max(0.0));
        let each: Vec<(f64, f64)> = points.iter().map(|hertz| (*hertz, density(*hertz))).collect();
        let power: f64 = each.windows(2).map(|pair| 0.5 * (pair[0].1 + pair[1].1) * (pair[1].0 - pair[0].0)).sum();
        power.sqrt()
    }
}

/// What the lower coil of a stack hears of what the upper one does (from memory: its tap swing is small).
const LOWER_COIL: f64 = 0.1;

/// What a coil hears of the strings, against the others of its pickup.
pub(crate) fn heard(pickup: &Pickup, coil: CoilName) -> f64 {
    if pickup.construction == Construction::Stacked && coil != CoilName::A { LOWER_COIL } else { 1.0 }
}

fn above_zero(hertz: Hertz) -> Option<f64> {
    (hertz.0 > 0.0 && hertz.0.is_finite()).then_some(hertz.0)
}
