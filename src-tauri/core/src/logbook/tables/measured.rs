//! What was measured of coils, as a table: each value with the range it lies in 19 times of 20, and what it rests on.

use solderlast_log::Ordered;
use std::io::Write;

use super::{Rows, guarded, instant, number};
use crate::logbook::Trouble;
use crate::measured::{OfPickup, of, rests_on};
use crate::physics::measured::Estimate;
use crate::record::pickup::Pickup;
use crate::record::things::Thing;

pub(super) const HEADS: [&str; 9] = [
    "pickup",
    "coil",
    "what",
    "value",
    "unit",
    "least (19 of 20)",
    "most (19 of 20)",
    "rests on",
    "last measured (UTC)",
];

/// Writes the values of each of these pickups of which something was measured, from their entries.
pub(super) fn write<W: Write>(pickups: Vec<Ordered>, rows: &mut Rows<W>) -> Result<(), Trouble> {
    for ordered in pickups {
        let Some(pickup) = Thing::<Pickup>::fold(&ordered).map(|thing| thing.described) else { continue };
        let Some(found) = of(&ordered) else { continue };
        rows.measured(&pickup, &found)?;
    }
    Ok(())
}

impl<W: Write> Rows<W> {
    fn measured(&mut self, pickup: &Pickup, found: &OfPickup) -> Result<(), Trouble> {
        let mut row = |coil: &str, what: &str, unit: &str, estimate: Option<Estimate>, rests: &str| {
            let Some(Estimate { value, low, high }) = estimate else { return Ok(()) };
            let cells = [
                what.to_owned(),
                number(value),
                unit.to_owned(),
                number(low),
                number(high),
                rests.to_owned(),
                instant(found.at),
            ];
            self.row(&[guarded(&pickup.label), coil.to_owned()], &cells)
        };
        for coil in &found.measured.coils {
            let rests = rests_on(&found.told, Some(coil.coil), pickup.coils.len());
            for (what, unit, estimate) in [
                ("resistance", "ohm", coil.ohms),
                ("inductance", "henry", Some(coil.henries)),
                ("capacitance of its own", "farad", coil.farads),
                ("loss across the inductance", "ohm", coil.loss),
                ("resonance as it was measured", "hertz", coil.resonance),
                ("Q at that resonance", "", coil.q),
            ] {
                row(coil.coil.letter(), what, unit, estimate, &rests)?;
            }
        }
        let rests = rests_on(&found.told, None, pickup.coils.len());
        row("", "coupling of two coils", "", found.measured.coupling, &rests)
    }
}
