//! What coils are as sound sees them where nobody has measured that: ranges for each construction.

use super::{CoilValues, Values};
use crate::leads::known_ohms;
use crate::meter::ImpliedCoil;
use crate::record::pickup::{CoilName, Construction, Pickup};
use crate::record::quantity::{Farads, Henries, Ohms};

/// What a pickup of a kind may be: first what is most likely, then the corners of what can be, each in the same order.
#[derive(Debug, Clone, PartialEq)]
pub struct OfKind {
    /// Nine of them.
    pub all: Vec<Values>,
}

/// The range of a construction, for each coil (all from memory: what is found in shops and drawers).
struct Kind {
    /// Resistance where none is stated or measured, in ohms: least, likely, most.
    ohms: [f64; 3],
    /// Inductance against resistance, in henries an ohm: least, likely, most.
    henries_an_ohm: [f64; 3],
    /// Coupling of two coils.
    coupling: f64,
    /// What metal about the coil costs at most, as a resistance across the inductance, against the coil's resistance.
    loss: f64,
}

/// Capacitance of a coil's own, with its lead: least, likely, most, in farads (from memory).
const OWN: [f64; 3] = [50e-12, 110e-12, 220e-12];

fn kind(construction: Construction) -> Kind {
    let kind = |ohms, [least, likely, most]: [f64; 3], coupling, loss| Kind {
        ohms,
        henries_an_ohm: [least * 1e-3, likely * 1e-3, most * 1e-3],
        coupling,
        loss,
    };
    match construction {
        Construction::SingleCoil => kind([5000.0, 6500.0, 10_000.0], [0.28, 0.42, 0.70], 0.0, 60.0),
        Construction::Stacked => kind([3500.0, 6000.0, 9000.0], [0.25, 0.40, 0.70], 0.4, 50.0),
        Construction::SideBySide => kind([3500.0, 4100.0, 8000.0], [0.35, 0.52, 0.75], 0.15, 40.0),
        Construction::SoapBar => kind([6500.0, 8000.0, 11_000.0], [0.50, 0.80, 1.10], 0.0, 50.0),
        Construction::Rail => kind([3000.0, 4500.0, 9000.0], [0.25, 0.45, 0.80], 0.2, 40.0),
        Construction::Mini => kind([2800.0, 3500.0, 5000.0], [0.30, 0.45, 0.70], 0.15, 40.0),
        Construction::TappedCoil => kind([3000.0, 4500.0, 8000.0], [0.28, 0.42, 0.80], 0.7, 60.0),
    }
}

/// What the coils of a pickup may be, by its construction and what is known of their resistance. A measured resistance counts
/// before a stated one.
#[must_use]
pub fn of_kind(pickup: &Pickup, measured: &[ImpliedCoil]) -> OfKind {
    let names: Vec<CoilName> = pickup.coils.iter().map(|coil| coil.name).collect();
    of_coils(pickup.construction, &names, known_ohms(pickup, measured).as_deref())
}

/// The same for one winding that stands for a whole pickup, of which no more than a resistance is known.
pub(crate) fn of_one(construction: Construction, ohms: Option<f64>) -> OfKind {
    of_coils(construction, &[CoilName::A], ohms.as_ref().map(std::slice::from_ref))
}

fn of_coils(construction: Construction, names: &[CoilName], ohms: Option<&[f64]>) -> OfKind {
    const LIKELY: [usize; 3] = [1, 1, 1];
    let kind = kind(construction);
    let corners = (0..8_usize).map(|bits| [0, 1, 2].map(|bit| if bits >> bit & 1 == 1 { 2 } else { 0 }));
    let values = |[henries, farads, loss]: [usize; 3]| {
        let coil = |at: usize| {
            let known = ohms.and_then(|ohms| ohms.get(at).copied()).filter(|ohms| *ohms > 0.0 && ohms.is_finite());
            let ohms = known.unwrap_or(kind.ohms[henries]);
            CoilValues {
                ohms: Ohms(ohms),
                henries: Henries(ohms * kind.henries_an_ohm[henries]),
                farads: Farads(OWN[farads]),
                // From none at all to all that metal can cost.
                loss: [None, Some(3.0), Some(1.0)][loss].map(|times: f64| Ohms(times * kind.loss * ohms)),
            }
        };
        let coils = names.iter().enumerate().map(|(at, name)| (*name, coil(at))).collect();
        let coupling = if names.len() > 1 { kind.coupling } else { 0.0 };
        Values::new(coils, coupling).ok()
    };
    OfKind { all: std::iter::once(LIKELY).chain(corners).filter_map(values).collect() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_has_its_likely_values_amid_eight_corners() {
        for construction in [
            Construction::SingleCoil,
            Construction::Stacked,
            Construction::SideBySide,
            Construction::SoapBar,
            Construction::Rail,
            Construction::Mini,
            Construction::TappedCoil,
        ] {
            for ohms in [None, Some(7000.0), Some(f64::NAN)] {
                assert_eq!(of_one(construction, ohms).all.len(), 9, "{construction:?} {ohms:?}");
            }
            assert_eq!(of_kind(&Pickup::new("x", construction), &[]).all.len(), 9);
        }
    }
}
