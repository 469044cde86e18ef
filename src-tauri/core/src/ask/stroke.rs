//! Entries written in one stroke.

use chrono::{DateTime, TimeDelta, Utc};

use crate::ask::Refusal;
use crate::logbook::{Came, Log, Stamp};
use crate::record::body::Body;
use crate::record::entry::{About, Entry, Written};
use crate::record::names::EntryId;
use crate::record::rules;

/// Whether this entry is written already, as when it is asked again after a dropped connection.
pub(crate) fn is_written(log: &Log, entry: EntryId, about: About) -> Result<bool, Refusal> {
    match log.entry(entry)? {
        Some(there) if there.about == about => Ok(true),
        Some(_) => Err(Refusal::unclear(
            "entry",
            "Another entry has this name already. Nothing was written; ask with a new name.",
        )),
        None => Ok(false),
    }
}

/// Writes bodies after what was written before about the same thing, in one stroke: the first goes by the name `entry`, the
/// others by names that follow from it. Says whether they are written; otherwise it has to be decided anew.
pub(crate) fn write_bodies(
    log: &mut Log,
    entry: EntryId,
    about: About,
    bodies: Vec<Body>,
    before: &[(Entry, bool)],
    now: DateTime<Utc>,
    decided: Stamp,
) -> Result<bool, Refusal> {
    // Clocks are set back now and then; what is written later must still be read later.
    let last = before.last().map(|(entry, _)| entry.at);
    let at = last.filter(|last| *last >= now).map_or(now, |last| last + TimeDelta::microseconds(1));
    let (bench, mut written) = (log.bench(), Vec::with_capacity(bodies.len()));
    for (number, body) in (0u8..).zip(bodies) {
        let (id, at) = (entry.beside(number), at + TimeDelta::microseconds(i64::from(number)));
        rules::check(about, &body)?;
        written.push(Entry { id, at, bench, about, body: Written::Known(body) });
    }
    came(log.write_if_still(&written, decided)?)
}

/// Whether a stroke was written; otherwise it has to be decided anew.
pub(crate) fn came(came: Came) -> Result<bool, Refusal> {
    match came {
        Came::Written => Ok(true),
        Came::Moved => Ok(false),
        Came::Taken => Err(Refusal::unclear(
            "entry",
            "A name that this act needs is taken by another entry. Nothing was written; ask with a new name.",
        )),
    }
}
