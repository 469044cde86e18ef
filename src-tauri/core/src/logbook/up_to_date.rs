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
    if !is_behind(log)? {
        return Ok(());
    }
    match log.between_moments(catch_up) {
        Err(Trouble::Full) => Ok(()),
        other => other,
    }
}

fn is_behind(log: &Log) -> Result<bool, Trouble> {
    let mut select = log.tables().prepare_cached("SELECT (SELECT max(seq) FROM entry) > (SELECT up_to FROM listed)")?;
    Ok(select.query_row([], |row| row.get::<_, Option<bool>>(0))?.unwrap_or(false))
}

/// Brings some of the lists up to date; answers whether there is more to do.
///
/// # Errors
/// [`Trouble`] when the disk can't be used.
pub(super) fn catch_up_some(log: &mut Log) -> Result<bool, Trouble> {
    if !is_behind(log)? {
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

#[cfg(test)]
mod tests {
    use chrono::DateTime;
    use uuid::Uuid;

    use crate::demo;
    use crate::logbook::{Find, Lists as _, Log, Trouble};
    use crate::record::names::BenchId;

    #[test]
    fn a_look_at_one_moment_lists_what_was_written_before_it() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let mut log = Log::open(folder.path(), DateTime::UNIX_EPOCH, BenchId(Uuid::from_u128(7))).expect("a new log");
        log.write(&demo::entries()).expect("written");
        let pages: [usize; 2] = log
            .at_one_moment(|log| Ok::<_, Trouble>([log.find(&Find::default())?.lines.len(), log.count_of("pickup")?]))
            .expect("looked at");
        assert!(pages[0] > 0 && pages[1] > 0, "{pages:?}");
        assert!(!log.is_at_one_moment());
    }
}
