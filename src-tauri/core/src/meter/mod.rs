//! What a meter should show in each mode, and whether what it showed agrees.

mod agree;
mod circuit;
mod expect;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use agree::{Agreement, AgreementKind, ImpliedCoil, ModeAgreement, agree};
pub use expect::{ModeExpectation, expected};

use crate::quantity::Ohms;

/// Resistance of copper rises by this share for each degree above 20 °C (IEC 60028).
pub const COPPER_PER_DEGREE: f64 = 0.003_93;
/// How far windings lie from what is stated, commonly (common practice: 5 to 10 %).
pub const WINDING: f64 = 0.10;
/// Where nobody measured the room, it is taken to be within this of 20 °C, in degrees (common practice).
const ROOM_WITHIN: f64 = 10.0;

/// The leads that share a terminal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joined {
    /// The terminal, by its place on the block, counted from 0.
    pub terminal: u8,
    /// Names of the leads in it; [`crate::audition::SHIELD`] for the shield.
    pub leads: Vec<String>,
}

/// What a meter claims: ±(share of the reading + counts of the last digit), by range.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct Meter {
    /// Share of the reading: 0.01 is one per cent.
    pub share: f64,
    /// Counts of the last digit.
    pub counts: f64,
    /// Top of each ohms range with the size of its last digit, in ohms, rising.
    pub ranges: Vec<[Ohms; 2]>,
}

impl Meter {
    /// A plain pocket meter: ±(1 % + 3 counts), 4000 counts, up to 40 MΩ (common practice, no source).
    #[must_use]
    pub fn plain() -> Self {
        let ranges = [4e2, 4e3, 4e4, 4e5, 4e6, 4e7].map(|top| [Ohms(top), Ohms(top / 4000.0)]).to_vec();
        Self { share: 0.01, counts: 3.0, ranges }
    }

    /// How far a reading of this size may lie from the truth, in ohms.
    #[must_use]
    pub fn claim(&self, ohms: Ohms) -> Ohms {
        let digit = self
            .ranges
            .iter()
            .find(|[top, _]| ohms.0 <= top.0)
            .or(self.ranges.last())
            .map_or(0.0, |[_, digit]| digit.0);
        Ohms(ohms.0.abs() * self.share + self.counts * digit)
    }
}
