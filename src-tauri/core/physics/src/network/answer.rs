//! What a network answers at many frequencies: voltages that are induced in its windings, and how it looks from outside.

use nalgebra::DVector;

use super::{Impedance, Laid, Network, Winding};

/// Equations that were laid out once, to be solved at any frequency.
#[derive(Debug, Clone)]
pub struct Answer {
    laid: Laid,
    /// What drives it: amperes for the rows of nodes, volts for those of windings.
    driven: DVector<Impedance>,
    /// The row that is read.
    read: usize,
}

impl Answer {
    /// What is read at so many hertz, above zero: in volts, or in ohms when it was driven by one ampere. Nothing where the
    /// equations have no solution.
    #[must_use]
    pub fn at(&self, hertz: f64) -> Option<Impedance> {
        let solved = self.laid.at(hertz).lu().solve(&self.driven)?;
        let read = solved[self.read];
        (read.re.is_finite() && read.im.is_finite()).then_some(read)
    }
}

impl Network {
    /// The voltage between `hot` and `ground` for voltages induced in windings, in volts; nothing when no path joins the two,
    /// or when they are one node.
    ///
    /// ```
    /// use solderlast_physics::network::Network;
    ///
    /// // A coil of 2.5 H with 8 kΩ and 120 pF of its own on a cable of 500 pF and an input of 1 MΩ.
    /// let mut rig = Network::default();
    /// let [ground, inside, hot] = [rig.node(), rig.node(), rig.node()];
    /// let coil = rig.winding(inside, ground, 2.5).unwrap();
    /// rig.resistance(inside, hot, 8000.0);
    /// rig.capacitance(hot, ground, 620e-12);
    /// rig.resistance(hot, ground, 1e6);
    /// let answer = rig.answer((hot, ground), &[(coil, 1.0)]).unwrap();
    /// // Far below the resonance all arrives, less what 8 kΩ take of 1 MΩ; at 1 / (2π√(LC)) = 4043 Hz it is larger.
    /// assert!((answer.at(20.0).unwrap().norm() - 1.0 / 1.008).abs() < 1e-3);
    /// assert!(answer.at(4043.0).unwrap().norm() > 5.0);
    /// ```
    #[must_use]
    pub fn answer(&self, (hot, ground): (usize, usize), induced: &[(Winding, f64)]) -> Option<Answer> {
        let laid = self.laid(hot, ground, 1.0)?;
        let mut driven = DVector::zeros(laid.steady.nrows());
        for (winding, volts) in induced {
            if let Some(row) = laid.winding_row(winding.0) {
                driven[row] += Impedance::new(*volts, 0.0);
            }
        }
        Some(Answer { read: laid.row(laid.from)?, driven, laid })
    }

    /// The impedance between two nodes, in ohms; nothing when no path joins them, or when they are one node.
    #[must_use]
    pub fn seen_from(&self, hot: usize, ground: usize) -> Option<Answer> {
        let laid = self.laid(hot, ground, 1.0)?;
        Some(Answer { read: laid.row(laid.from)?, driven: laid.current(), laid })
    }
}
