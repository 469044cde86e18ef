//! One audition as a line of a list.

use chrono::{DateTime, Utc};
use rusqlite::Row;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::{CameTo, State};
use crate::record::audition::{AuditionId, Step};
use crate::record::entry::About;
use crate::record::guitar::GuitarId;
use crate::record::pickup::PickupId;
use solderlast_log::sums;

/// One audition, as a line in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct Line {
    /// The audition.
    pub audition: AuditionId,
    /// When it was begun.
    #[ts(type = "string")]
    pub begun: DateTime<Utc>,
    /// When it was written in last.
    #[ts(type = "string")]
    pub last: DateTime<Utc>,
    /// Open, finished, or ended early.
    pub state: State,
    /// The step to go on with, while it is open.
    pub next: Option<Step>,
    /// The name of that step.
    pub next_name: Option<String>,
    /// Whether it belongs to the demo bench.
    pub demo: bool,
    /// The pickup, if one was chosen.
    pub pickup: Option<PickupId>,
    /// What the pickup is called.
    pub pickup_label: String,
    /// The guitar, if one was chosen.
    pub guitar: Option<GuitarId>,
    /// What the guitar is called.
    pub guitar_label: String,
    /// What the place is called.
    pub place: String,
    /// What the person wants to find out.
    pub question: String,
    /// How many holds were passed on somebody's own responsibility.
    pub overrides: usize,
    /// What its readings came to.
    pub proof: CameTo,
    /// The same in words.
    pub proof_shown: String,
}

/// Reads the line of a row with all its columns, and checks it.
pub(super) fn read_line(row: &Row<'_>) -> rusqlite::Result<String> {
    sums::check(row, 10, "a line of a list")?;
    row.get(7)
}

/// The column of a line that names this kind of thing; no line names a meter or an install.
pub(super) fn column_of(about: About) -> Option<&'static str> {
    match about {
        About::Pickup(_) => Some("pickup"),
        About::Guitar(_) => Some("guitar"),
        About::Rig(_) => Some("rig"),
        About::Audition(_) => Some("audition"),
        About::Meter(_) | About::Fit(_) | About::Bench(_) => None,
    }
}
