//! Pickups, guitars and rigs: a line of each in a list, and its page.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::forms::guitar::GuitarForm;
use crate::ask::forms::pickup::PickupForm;
use crate::ask::forms::rig::RigForm;
use crate::decision::DecidedLine;
use crate::install::LivesIn;
use crate::logbook::Line;
use crate::physics::sides::Sides;
use crate::record::guitar::{Guitar, GuitarId};
use crate::record::pickup::{CoilName, Pickup, PickupId};
use crate::record::quantity::{InInches, Length, Ohms};
use crate::record::rig::{Rig, RigId};

/// A pickup in the Drawer.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/pickup.ts")]
pub struct PickupLine {
    /// Which.
    pub id: PickupId,
    /// The record.
    pub pickup: Pickup,
    /// Construction and coils in a line.
    pub summary: String,
    /// Why a pickup like this is not covered, in sentences; nothing for one that is.
    pub not_covered: Option<String>,
    /// Where it lives; nothing while it is loose.
    pub lives_in: Option<LivesIn>,
    /// Whether it is put away.
    pub retired: bool,
    /// Whether the demo bench wrote it.
    pub demo: bool,
}

/// A pickup, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/pickup.ts")]
pub struct PickupPage {
    /// Which.
    pub id: PickupId,
    /// The record.
    pub pickup: Pickup,
    /// The record as a form.
    pub form: PickupForm,
    /// The same to be read: lengths as they are shown elsewhere.
    pub shown: PickupForm,
    /// Construction and coils in a line.
    pub summary: String,
    /// Why a pickup like this is not covered, in sentences; nothing for one that is.
    pub not_covered: Option<String>,
    /// Whether it is put away.
    pub retired: bool,
    /// Whether the demo bench wrote it.
    pub demo: bool,
    /// When it was written down first.
    #[ts(type = "string")]
    pub first: DateTime<Utc>,
    /// How many entries a newer version wrote about it.
    pub newer: usize,
    /// Its newest auditions.
    pub auditions: Vec<Line>,
    /// Its coils as they were measured last.
    pub measured: Vec<MeasuredCoil>,
}

/// A coil as it was measured last.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/pickup.ts")]
pub struct MeasuredCoil {
    /// Which.
    pub coil: CoilName,
    /// What it read, with how far that may lie off: `6.66 kΩ ± 0.1 kΩ`.
    pub shown: String,
    /// The same, in ohms.
    pub ohms: Ohms,
}

/// A guitar in the list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/guitar.ts")]
pub struct GuitarLine {
    /// Which.
    pub id: GuitarId,
    /// The record.
    pub guitar: Guitar,
    /// Where its bass strings are on a picture.
    pub sides: Sides,
    /// Its places with their distances shown, in the order of the record.
    pub places: Vec<PlaceShown>,
    /// Scale, hand and finish in a line.
    pub summary: String,
    /// The same in inches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub summary_in_inches: Option<InInches>,
    /// Whether it is put away.
    pub retired: bool,
    /// Whether the demo bench wrote it.
    pub demo: bool,
}

/// A place of a guitar, ready to be chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/guitar.ts")]
pub struct PlaceShown {
    /// What it is called.
    pub name: String,
    /// From the saddle to the pole line; at the bass side where the two sides differ.
    pub from_saddle: Length,
    /// The same at the treble side, where it differs.
    pub from_saddle_treble: Option<Length>,
}

/// A guitar, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/guitar.ts")]
pub struct GuitarPage {
    /// Which.
    pub id: GuitarId,
    /// The record.
    pub guitar: Guitar,
    /// Where its bass strings are on a picture.
    pub sides: Sides,
    /// Its places with their distances shown.
    pub places: Vec<PlaceShown>,
    /// The record as a form.
    pub form: GuitarForm,
    /// The same to be read: lengths as they are shown elsewhere.
    pub shown: GuitarForm,
    /// Scale, hand and finish in a line.
    pub summary: String,
    /// The same in inches.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub summary_in_inches: Option<InInches>,
    /// Whether it is put away.
    pub retired: bool,
    /// Whether the demo bench wrote it.
    pub demo: bool,
    /// When it was written down first.
    #[ts(type = "string")]
    pub first: DateTime<Utc>,
    /// How many entries a newer version wrote about it.
    pub newer: usize,
    /// Its newest auditions.
    pub auditions: Vec<Line>,
    /// What was decided for it, the newest first.
    pub decided: Vec<DecidedLine>,
}

/// A rig in the list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/rig.ts")]
pub struct RigLine {
    /// Which.
    pub id: RigId,
    /// The record.
    pub rig: Rig,
    /// Terminals, modes and feet in a line.
    pub summary: String,
    /// Whether it is put away.
    pub retired: bool,
    /// Whether the demo bench wrote it.
    pub demo: bool,
}

/// A rig, whole.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/rig.ts")]
pub struct RigPage {
    /// Which.
    pub id: RigId,
    /// The record.
    pub rig: Rig,
    /// The record as a form.
    pub form: RigForm,
    /// The same to be read: lengths as they are shown elsewhere.
    pub shown: RigForm,
    /// Terminals, modes and feet in a line.
    pub summary: String,
    /// Whether it is put away.
    pub retired: bool,
    /// Whether the demo bench wrote it.
    pub demo: bool,
    /// When it was written down first.
    #[ts(type = "string")]
    pub first: DateTime<Utc>,
    /// How many entries a newer version wrote about it.
    pub newer: usize,
}
