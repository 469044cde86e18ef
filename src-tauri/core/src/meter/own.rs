//! The meter on the bench, as its owner describes it.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use super::Meter;
use crate::logbook::Body;
use crate::things::Described;

/// Names a meter for good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract.ts")]
pub struct MeterId(pub Uuid);

impl MeterId {
    /// The meter that readings are taken with. A bench has one at a time, so its name is the same on every bench, and the
    /// newest description counts.
    pub const IN_USE: Self = Self(Uuid::from_u128(0x0198_0000_0000_7000_8000_0000_0000_0e7e));
}

/// A meter and what it claims.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct OwnMeter {
    /// What its owner calls it; never empty.
    pub label: String,
    /// What it claims of its readings.
    pub claim: Meter,
}

impl Default for OwnMeter {
    fn default() -> Self {
        Self { label: "A plain pocket meter".to_owned(), claim: Meter::plain() }
    }
}

impl Described for OwnMeter {
    fn from_body(body: &Body) -> Option<&Self> {
        if let Body::MeterDescribed { meter } = body { Some(meter) } else { None }
    }

    fn label(&self) -> &str {
        &self.label
    }
}
