//! Derived tables for lists and search, brought up to date with the entries.
//!
//! A write touches the entries only; the lists catch up when somebody looks at them, so that recording a reading costs
//! one row and one sync.

use std::collections::BTreeMap;

use rusqlite::TransactionBehavior;

use super::lines::Lines;
use super::{Log, Trouble};
use crate::record::entry::About;

/// How many things are brought up to date in one stroke.
const AT_ONCE: usize = 2000;

/// Brings the lists up to date with the entries.
///
/// # Errors
/// [`Trouble`] when the disk can't be used.
pub(super) fn catch_up(log: &mut Log) -> Result<(), Trouble> {
    while catch_up_some(log)? {}
    Ok(())
}

/// Brings the lists up to date for somebody who only looks. On a full disk they show what they showed before.
pub(super) fn catch_up_to_look(log: &mut Log) -> Result<(), Trouble> {
    match catch_up(log) {
        Err(Trouble::Full) => Ok(()),
        other => other,
    }
}

/// Brings some of the lists up to date; answers whether there is more to do.
///
/// # Errors
/// [`Trouble`] when the disk can't be used.
pub(super) fn catch_up_some(log: &mut Log) -> Result<bool, Trouble> {
    let up_to: i64 = log.tables().query_row("SELECT up_to FROM listed", [], |row| row.get(0))?;
    let newest: i64 = log.tables().query_row("SELECT coalesce(max(seq), 0) FROM entry", [], |row| row.get(0))?;
    if newest <= up_to {
        return Ok(false);
    }
    let stroke = log.tables_mut().transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Read again inside the stroke: another program may have caught up in the meantime.
    let up_to: i64 = stroke.query_row("SELECT up_to FROM listed", [], |row| row.get(0))?;
    // What was written about, and when the earliest was that may describe it otherwise.
    let mut touched: BTreeMap<About, Option<i64>> = BTreeMap::new();
    let mut reached = up_to;
    {
        let mut select =
            stroke.prepare_cached("SELECT seq, thing, about, at, kind FROM entry WHERE seq > ?1 ORDER BY seq")?;
        let mut rows = select.query([up_to])?;
        while let Some(row) = rows.next()? {
            if touched.len() >= AT_ONCE {
                break;
            }
            reached = row.get(0)?;
            let thing: String = row.get(1)?;
            let Some(about) = About::from_parts(&thing, row.get(2)?) else { continue };
            let earliest = touched.entry(about).or_default();
            let (at, kind): (i64, String) = (row.get(3)?, row.get(4)?);
            if kind.ends_with("_described") || kind == "struck_out" {
                *earliest = Some(earliest.map_or(at, |earliest| earliest.min(at)));
            }
        }
    }
    Lines::new(&stroke).bring_up_to_date(&touched)?;
    stroke.execute("UPDATE listed SET up_to = ?1", [reached])?;
    stroke.commit()?;
    Ok(true)
}
