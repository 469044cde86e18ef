//! What coils are as sound sees them.

use crate::network::{Network, Winding};
use crate::record::pickup::CoilName;
use crate::record::quantity::{Farads, Henries, Ohms};
use crate::record::words::Unclear;

/// One coil: resistance in a row with inductance, capacitance across both. Metal near it costs what a resistance across the
/// inductance and what the string induces in it would: a turn of metal close to the coil sees the same flux.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CoilValues {
    /// Resistance of its wire, in ohms, above zero.
    pub ohms: Ohms,
    /// Inductance, in henries, above zero.
    pub henries: Henries,
    /// Capacitance of its own, in farads, zero or more.
    pub farads: Farads,
    /// What its losses are across the inductance, in ohms, above zero; nothing for none.
    pub loss: Option<Ohms>,
}

/// The coils of a pickup, and how they are coupled.
#[derive(Debug, Clone, PartialEq)]
pub struct Values {
    coils: Vec<(CoilName, CoilValues)>,
    coupling: f64,
}

impl Values {
    /// From each coil and the coupling of any two, −1 to 1 and neither: above zero where the coils help each other when the
    /// plus end of one is joined to the minus end of the other.
    ///
    /// # Errors
    /// A sentence that names the value that can't be.
    pub fn new(coils: Vec<(CoilName, CoilValues)>, coupling: f64) -> Result<Self, Unclear> {
        let above = |value: f64| value > 0.0 && value.is_finite();
        for (at, (name, coil)) in coils.iter().enumerate() {
            let letter = name.letter();
            let CoilValues { ohms, henries, farads, loss } = coil;
            if coils.iter().take(at).any(|(other, _)| other == name) {
                return Err(Unclear::new(format!("Coil {letter} stands here twice.")));
            }
            if !above(ohms.0) || loss.is_some_and(|loss| !above(loss.0)) {
                return Err(Unclear::new(format!("A resistance of coil {letter} is above zero.")));
            }
            if !above(henries.0) {
                return Err(Unclear::new(format!("The inductance of coil {letter} is above zero.")));
            }
            if !(farads.0 >= 0.0 && farads.0.is_finite()) {
                return Err(Unclear::new(format!("The capacitance of coil {letter} is zero or more.")));
            }
        }
        // Beyond this the currents could give back more than was put in.
        let least = -1.0 / (coils.len().max(2) - 1) as f64;
        if !(coupling > least && coupling < 1.0) {
            let sentence =
                format!("The coupling of {} coils lies between {least:.1} and 1, and is neither.", coils.len().max(2));
            return Err(Unclear::new(sentence));
        }
        Ok(Self { coils, coupling })
    }

    /// The one coil there is, under another name; nothing where there are more.
    pub(crate) fn as_one(&self, name: CoilName) -> Option<Self> {
        match self.coils.as_slice() {
            [(_, only)] => Some(Self { coils: vec![(name, *only)], coupling: 0.0 }),
            _ => None,
        }
    }

    /// Puts these coils into a network, each from the node of its minus end to that of its plus end; nothing when one has no
    /// values.
    pub(crate) fn wind(&self, network: &mut Network, coils: &[(CoilName, usize, usize)]) -> Option<Vec<Winding>> {
        let mut windings = Vec::with_capacity(coils.len());
        for &(name, minus, plus) in coils {
            let (_, coil) = self.coils.iter().find(|(other, _)| *other == name)?;
            let inside = network.node();
            let winding = network.winding(inside, minus, coil.henries.0)?;
            for other in &windings {
                network.couple(winding, *other, self.coupling);
            }
            if let Some(loss) = coil.loss {
                network.resistance(inside, minus, loss.0);
            }
            network.resistance(inside, plus, coil.ohms.0);
            network.capacitance(minus, plus, coil.farads.0);
            windings.push(winding);
        }
        Some(windings)
    }
}
