//! Names of entries and benches.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

/// Names one entry; a version-7 UUID.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/entry.ts")]
pub struct EntryId(pub Uuid);

impl EntryId {
    /// The name of the `number`th further entry that one act writes beside this one. It follows from this one, so that an
    /// act that is asked for again writes the same.
    #[must_use]
    pub fn beside(self, number: u8) -> Self {
        // The last 62 bits of a version-7 UUID are chance; above them stand its time, version and variant.
        const CHANCE: u128 = (1 << 62) - 1;
        let name = self.0.as_u128();
        // Far apart, for asks of scripts and tests that count their names up by one.
        Self(Uuid::from_u128((name & !CHANCE) | (name.wrapping_add(u128::from(number) << 48) & CHANCE)))
    }
}

/// Names the bench (the device) that wrote an entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/entry.ts")]
pub struct BenchId(pub Uuid);

/// The invented bench that wrote the demo entries; what it wrote is marked as demo.
pub const DEMO_BENCH: BenchId = BenchId(Uuid::from_u128(0x0198_0000_0000_7000_8000_0000_0000_de30));
