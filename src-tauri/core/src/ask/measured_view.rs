//! What a pickup's coils measure, as a page shows it.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::forms::measured::SweepForm;
use crate::physics::drawing::Drawn;
use crate::physics::measured::{CoilMeasured, Estimate, Fault};
use crate::record::names::EntryId;
use crate::record::pickup::{CoilName, PickupId};
use crate::record::strike::Struck;
use crate::takes::Figure;

/// What a pickup's coils are by what was measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/measured.ts")]
pub struct CoilValuesView {
    /// The pickup.
    pub pickup: PickupId,
    /// What it is called.
    pub label: String,
    /// Its coils.
    pub coils: Vec<CoilName>,
    /// Those of which the inductance is known.
    pub found: Vec<CoilFound>,
    /// The coupling of any two coils, −1 to 1; nothing where they were not swept in a row.
    pub coupling: Option<Estimate>,
    /// The same with its range, for a person.
    pub coupling_shown: Option<String>,
    /// How far points lie off their curves, in a sentence; nothing without sweeps.
    pub residue: Option<String>,
    /// What is wrong.
    pub faults: Vec<FaultFound>,
    /// The curves.
    pub drawn: Option<Drawn>,
    /// The same as figures, a few points of each sweep.
    pub curves: Vec<CurveRows>,
    /// What to measure next, in sentences.
    pub next: Vec<String>,
    /// All that was measured, the newest first.
    pub lines: Vec<MeasuredLine>,
    /// The parts and the coil to begin a sweep with, as they were the last time.
    pub form: SweepForm,
}

/// What one coil is.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/measured.ts")]
pub struct CoilFound {
    /// The values, with the ranges they lie in 19 times of 20.
    pub values: CoilMeasured,
    /// The same for a person.
    pub figures: Vec<Figure>,
}

/// Something wrong.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/measured.ts")]
pub struct FaultFound {
    /// What.
    pub what: Fault,
    /// What it is and what to do.
    pub sentence: String,
}

/// One sweep as figures.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/measured.ts")]
pub struct CurveRows {
    /// How it was swept.
    pub words: String,
    /// Frequency, what came back, and the curve: each with its unit.
    pub rows: Vec<[String; 3]>,
}

/// Something that was measured.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/measured.ts")]
pub struct MeasuredLine {
    /// The entry.
    pub entry: EntryId,
    /// When it was written.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// What it says.
    pub words: String,
    /// The strike-out, where it no longer counts.
    pub struck: Option<Struck>,
}
