//! Permanent installs as lines of a list, by what they are about.

use chrono::{DateTime, Utc};
use rusqlite::{OptionalExtension, Transaction, params};
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use super::store::Log;
use super::sums;
use super::trouble::Trouble;
use crate::fit::{Fit, FitState};
use crate::record::audition::AuditionId;
use crate::record::entry::{About, Entry, in_order};
use crate::record::guitar::GuitarId;
use crate::record::install::{FitId, FitStep};
use crate::record::pickup::PickupId;

/// How many lines are shown at once.
const MOST: usize = 50;

/// One permanent install, as a line in a list.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/install.ts")]
pub struct FitLine {
    /// Which.
    pub fit: FitId,
    /// When it was begun.
    #[ts(type = "string")]
    pub begun: DateTime<Utc>,
    /// When it was written in last.
    #[ts(type = "string")]
    pub last: DateTime<Utc>,
    /// Open, done, given up or struck out.
    pub state: FitState,
    /// The step to go on with, while it is open.
    pub next: Option<FitStep>,
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

impl FitLine {
    /// Says in words what the line tells.
    fn say(&mut self) {
        let or = |label: &str, other: &str| if label.is_empty() { other.to_owned() } else { label.to_owned() };
        let (pickup, guitar) = (or(&self.pickup_label, "A pickup"), or(&self.guitar_label, "a guitar"));
        self.title = format!("{pickup} into {guitar}, {}", self.place);
        self.what = match (self.state, &self.next_name) {
            (FitState::Done, _) if self.came_out_label.is_empty() => "Installed".to_owned(),
            (FitState::Done, _) => format!("Installed in place of {}", self.came_out_label),
            (FitState::GivenUp, _) => "Given up".to_owned(),
            (FitState::StruckOut, _) => "Struck out".to_owned(),
            (FitState::Open, Some(next)) => format!("Next: {next}"),
            (FitState::Open, None) => "Open".to_owned(),
        };
    }
}

impl Log {
    /// Permanent installs that go on, the one written in last first.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn open_fits(&mut self) -> Result<Vec<FitLine>, Trouble> {
        self.lines("open = 1", None)
    }

    /// Permanent installs whose beginning was struck out, the one written in last first.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn struck_out_fits(&mut self) -> Result<Vec<FitLine>, Trouble> {
        self.lines("open = 2", None)
    }

    /// Permanent installs that a pickup went into or came out by, of a guitar, or that rest on an audition; the newest
    /// first, at most fifty; those that were struck out among them.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn fits_of(&mut self, about: About) -> Result<Vec<FitLine>, Trouble> {
        let which = match about {
            About::Pickup(_) => "(pickup = ?1 OR came_out = ?1)",
            About::Guitar(_) => "guitar = ?1",
            About::Audition(_) => "audition = ?1",
            About::Fit(_) => "fit = ?1",
            About::Rig(_) | About::Meter(_) => return Ok(Vec::new()),
        };
        self.lines(which, Some(about.uuid()))
    }

    fn lines(&mut self, which: &str, id: Option<Uuid>) -> Result<Vec<FitLine>, Trouble> {
        self.catch_up_to_look()?;
        let sql = format!(
            "SELECT fit, open, last, audition, pickup, guitar, came_out, line, sum FROM fit_line WHERE {which} ORDER BY last DESC, fit LIMIT {MOST}"
        );
        let mut select = self.conn.prepare_cached(&sql)?;
        let read = |row: &rusqlite::Row<'_>| {
            sums::check(row, 8, "a line of a list")?;
            row.get::<_, String>(7)
        };
        let texts: Vec<String> = match id {
            Some(id) => select.query_map([id], read)?.collect::<Result<_, _>>()?,
            None => select.query_map([], read)?.collect::<Result<_, _>>()?,
        };
        let mut lines: Vec<FitLine> = texts.iter().filter_map(|text| serde_json::from_str(text).ok()).collect();
        for line in &mut lines {
            line.pickup_label = self.label_of(line.pickup.0)?;
            line.guitar_label = self.label_of(line.guitar.0)?;
            line.came_out_label = line.came_out.map_or(Ok(String::new()), |pickup| self.label_of(pickup.0))?;
            line.say();
        }
        Ok(lines)
    }

    fn label_of(&self, id: Uuid) -> Result<String, Trouble> {
        let mut select = self.conn.prepare_cached("SELECT label FROM thing_line WHERE id = ?1")?;
        Ok(select.query_row([id], |row| row.get(0)).optional()?.unwrap_or_default())
    }
}

/// Writes the line of a permanent install.
pub(super) fn list(stroke: &Transaction<'_>, id: FitId, entries: Vec<Entry>) -> Result<(), Trouble> {
    stroke.prepare_cached("DELETE FROM fit_line WHERE fit = ?1")?.execute([id.0])?;
    let fit = Fit::fold(&in_order(entries));
    let (Some(on), Some(begun), Some(last)) = (fit.on.as_ref().map(|inked| &inked.said), fit.begun, fit.last) else {
        return Ok(());
    };
    let (state, next) = (fit.state(), fit.next());
    let line = FitLine {
        fit: id,
        begun,
        last,
        state,
        next,
        next_name: next.map(|step| step.name().to_owned()),
        steps_over: FitStep::ALL.into_iter().filter(|step| fit.is_over(*step)).count(),
        demo: fit.demo,
        audition: on.audition,
        pickup: on.pickup,
        pickup_label: String::new(),
        guitar: on.guitar,
        guitar_label: String::new(),
        place: on.place.clone(),
        title: String::new(),
        what: String::new(),
        came_out: fit.done.as_ref().and_then(|inked| inked.said.came_out),
        came_out_label: String::new(),
    };
    let text = serde_json::to_string(&line).map_err(|error| Trouble::Program(error.to_string()))?;
    // 1 goes on, 0 is over, 2 was struck out.
    let open = match state {
        FitState::Open => 1,
        FitState::Done | FitState::GivenUp => 0,
        FitState::StruckOut => 2,
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
