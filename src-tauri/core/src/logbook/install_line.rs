//! One permanent install as a line of a list.

use chrono::{DateTime, Utc};
use rusqlite::{Transaction, params};
use serde::{Deserialize, Serialize};
use solderlast_log::Ordered;
use ts_rs::TS;

use super::Trouble;
use crate::install::{Install, InstallState};
use crate::record::audition::AuditionId;
use crate::record::guitar::GuitarId;
use crate::record::install::{InstallId, InstallStep};
use crate::record::pickup::PickupId;

/// One permanent install, as a line in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct InstallLine {
    /// Which.
    pub fit: InstallId,
    /// When it was begun.
    #[ts(type = "string")]
    pub begun: DateTime<Utc>,
    /// When it was written in last.
    #[ts(type = "string")]
    pub last: DateTime<Utc>,
    /// Open, done, given up or struck out.
    pub state: InstallState,
    /// The step to go on with, while it is open.
    pub next: Option<InstallStep>,
    /// The name of that step.
    pub next_name: Option<String>,
    /// How many of its steps are behind it, of thirteen.
    pub steps_over: usize,
    /// Whether it belongs to the demo bench.
    pub demo: bool,
    /// The audition it rests on.
    pub audition: AuditionId,
    /// The pickup that goes in.
    pub pickup: PickupId,
    /// What that is called; empty when its record is gone.
    pub pickup_label: String,
    /// The guitar it goes into.
    pub guitar: GuitarId,
    /// What that is called; empty when its record is gone.
    pub guitar_label: String,
    /// The place.
    pub place: String,
    /// "Lantern stack into Wren, bridge".
    pub title: String,
    /// What came of it, or what it waits for.
    pub what: String,
    /// The pickup that came out, once it is done and if that was one of the records.
    pub came_out: Option<PickupId>,
    /// What that is called; empty when there is none.
    pub came_out_label: String,
}

impl InstallLine {
    /// Tells how far this install got, as its page shows it now.
    pub fn tell(&mut self, install: &Install) {
        self.count(install);
        self.say();
    }

    /// The step to go on with, and how many are behind it.
    fn count(&mut self, install: &Install) {
        self.next = install.next();
        self.next_name = self.next.map(|step| step.name().to_owned());
        self.steps_over = InstallStep::ALL.into_iter().filter(|step| install.is_over(*step)).count();
    }

    /// Says in words what the line tells.
    pub(super) fn say(&mut self) {
        let or = |label: &str, other: &str| if label.is_empty() { other.to_owned() } else { label.to_owned() };
        let (pickup, guitar) = (or(&self.pickup_label, "A pickup"), or(&self.guitar_label, "a guitar"));
        self.title = format!("{pickup} into {guitar}, {}", self.place);
        self.what = match (self.state, &self.next_name) {
            (InstallState::Done, _) if self.came_out_label.is_empty() => "Installed".to_owned(),
            (InstallState::Done, _) => format!("Installed in place of {}", self.came_out_label),
            (InstallState::GivenUp, _) => "Given up".to_owned(),
            (InstallState::StruckOut, _) => "Struck out".to_owned(),
            (InstallState::Open, Some(next)) => format!("Next: {next}"),
            (InstallState::Open, None) => "Open".to_owned(),
        };
    }
}

/// Writes the line of a permanent install.
pub(super) fn list(stroke: &Transaction<'_>, id: InstallId, entries: &Ordered) -> Result<(), Trouble> {
    stroke.prepare_cached("DELETE FROM fit_line WHERE fit = ?1")?.execute([id.0])?;
    let install = Install::fold(entries);
    let (Some(on), Some(begun), Some(last)) =
        (install.on.as_ref().map(|saved| &saved.said), install.begun, install.last)
    else {
        return Ok(());
    };
    let state = install.state();
    let mut line = InstallLine {
        fit: id,
        begun,
        last,
        state,
        next: None,
        next_name: None,
        steps_over: 0,
        demo: install.demo,
        audition: on.audition,
        pickup: on.pickup,
        pickup_label: String::new(),
        guitar: on.guitar,
        guitar_label: String::new(),
        place: on.place.clone(),
        title: String::new(),
        what: String::new(),
        came_out: install.done.as_ref().and_then(|saved| saved.said.came_out),
        came_out_label: String::new(),
    };
    line.count(&install);
    let text = serde_json::to_string(&line).map_err(|error| Trouble::Program(error.to_string()))?;
    // 1 goes on, 0 is over, 2 was struck out.
    let open = match state {
        InstallState::Open => 1,
        InstallState::Done | InstallState::GivenUp => 0,
        InstallState::StruckOut => 2,
    };
    stroke
        .prepare_cached(
            "INSERT INTO fit_line VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, sum_of(?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8))",
        )?
        .execute(params![
            id.0,
            open,
            last.timestamp_micros(),
            on.audition.0,
            on.pickup.0,
            on.guitar.0,
            line.came_out.map(|pickup| pickup.0),
            text
        ])?;
    Ok(())
}
