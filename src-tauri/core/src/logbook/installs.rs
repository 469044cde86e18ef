//! Permanent installs as lines of a list, by what they are about.

use rusqlite::OptionalExtension;
use solderlast_log::sums;
use uuid::Uuid;

use super::install_line::InstallLine;
use super::up_to_date::catch_up_to_look;
use super::{Log, Trouble};
use crate::record::entry::About;

/// How many lines are shown at once.
const MOST: usize = 50;

/// Permanent installs that go on, the one written in last first.
pub(super) fn open_installs(log: &mut Log) -> Result<Vec<InstallLine>, Trouble> {
    lines(log, "open = 1", None)
}

/// Permanent installs whose beginning was struck out, the one written in last first.
pub(super) fn struck_out_installs(log: &mut Log) -> Result<Vec<InstallLine>, Trouble> {
    lines(log, "open = 2", None)
}

/// Permanent installs that a pickup went into or came out by, of a guitar, or that rest on an audition; the newest
/// first, at most fifty; those that were struck out among them.
pub(super) fn installs_of(log: &mut Log, about: About) -> Result<Vec<InstallLine>, Trouble> {
    let which = match about {
        About::Pickup(_) => "(pickup = ?1 OR came_out = ?1)",
        About::Guitar(_) => "guitar = ?1",
        About::Audition(_) => "audition = ?1",
        About::Fit(_) => "fit = ?1",
        About::Rig(_) | About::Meter(_) | About::Bench(_) => return Ok(Vec::new()),
    };
    lines(log, which, Some(about.uuid()))
}

fn lines(log: &mut Log, which: &str, id: Option<Uuid>) -> Result<Vec<InstallLine>, Trouble> {
    catch_up_to_look(log)?;
    let sql = format!(
        "SELECT fit, open, last, audition, pickup, guitar, came_out, line, sum FROM fit_line WHERE {which} ORDER BY last DESC, fit LIMIT {MOST}"
    );
    let mut select = log.tables().prepare_cached(&sql)?;
    let read = |row: &rusqlite::Row<'_>| {
        sums::check(row, 8, "a line of a list")?;
        row.get::<_, String>(7)
    };
    let texts: Vec<String> = match id {
        Some(id) => select.query_map([id], read)?.collect::<Result<_, _>>()?,
        None => select.query_map([], read)?.collect::<Result<_, _>>()?,
    };
    let mut lines: Vec<InstallLine> = texts.iter().filter_map(|text| serde_json::from_str(text).ok()).collect();
    for line in &mut lines {
        line.pickup_label = label_of(log, line.pickup.0)?;
        line.guitar_label = label_of(log, line.guitar.0)?;
        line.came_out_label = line.came_out.map_or(Ok(String::new()), |pickup| label_of(log, pickup.0))?;
        line.say();
    }
    Ok(lines)
}

fn label_of(log: &Log, id: Uuid) -> Result<String, Trouble> {
    let mut select = log.tables().prepare_cached("SELECT label FROM thing_line WHERE id = ?1")?;
    Ok(select.query_row([id], |row| row.get(0)).optional()?.unwrap_or_default())
}
