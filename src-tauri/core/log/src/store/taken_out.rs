//! Entries taken out for good, of the log and of its copies.

use chrono::{DateTime, Utc};
use rusqlite::params;

use super::Log;
use crate::copies;
use crate::file::{KEPT_OF_CHANGES, keep_of_changes};
use crate::record::entry::About;
use crate::tally;
use crate::trouble::Trouble;

impl Log {
    /// Erases all entries about these things for good, from the log and from its copies.
    ///
    /// The copies are replaced by one made afterwards, so that nothing erased stays behind.
    ///
    /// # Errors
    /// [`Trouble`]; then it may be that not all of it is erased from the disk, and it has to be asked for again.
    pub fn erase(&mut self, things: &[About], now: DateTime<Utc>) -> Result<(), Trouble> {
        self.take_out(things)?;
        let copied = copies::replace_all(&self.conn, &self.folder, now)?;
        self.newest_copy = copied.then_some(now);
        self.copied_up_to = None;
        Ok(())
    }

    /// Erases all entries about these things from the log alone. Its copies keep them.
    ///
    /// # Errors
    /// As for [`Log::erase`].
    pub fn take_out(&mut self, things: &[About]) -> Result<(), Trouble> {
        let _alone = self.lock.alone_to_write()?;
        let mut totals = tally::read_recent(&self.folder).totals;
        keep_of_changes(&self.conn, 0)?;
        let stroke = self.conn.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate)?;
        for about in things {
            let id = about.uuid();
            if let Some(totals) = &mut totals {
                let mut select = stroke.prepare_cached(
                    "SELECT sum_of(id, at, bench, thing, about, kind, body) FROM entry WHERE about = ?1 AND thing = ?2",
                )?;
                let sums = select.query_map(params![id, about.word()], |row| row.get(0))?;
                for sum in sums {
                    totals.toggle(&sum?, false);
                }
            }
            stroke.execute("DELETE FROM entry WHERE about = ?1 AND thing = ?2", params![id, about.word()])?;
            stroke.execute("DELETE FROM draft WHERE instr(key, ?1) > 0", [id.to_string()])?;
            match about {
                About::Audition(_) => {
                    stroke.execute(
                        "DELETE FROM audition_words WHERE rowid IN (SELECT row FROM audition_line WHERE audition = ?1)",
                        [id],
                    )?;
                    stroke.execute("DELETE FROM audition_line WHERE audition = ?1", [id])?;
                }
                About::Meter(_) | About::Bench(_) => {}
                About::Fit(_) => {
                    stroke.execute("DELETE FROM fit_line WHERE fit = ?1", [id])?;
                }
                About::Pickup(_) | About::Guitar(_) | About::Rig(_) => {
                    stroke.execute("DELETE FROM thing_line WHERE id = ?1", [id])?;
                }
            }
        }
        // A word that is deleted from the full-text index is only marked there, until the index is written anew.
        stroke.execute("INSERT INTO audition_words (audition_words) VALUES ('optimize')", [])?;
        // Before it is gone from the log, or the next opening after a stop would put it back.
        tally::begin_without(&self.folder, self.bench, totals)?;
        stroke.commit()?;
        // What was erased must not live on in the write-ahead file either.
        let busy: bool = self.conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| row.get(0))?;
        if busy {
            return Err(Trouble::Busy);
        }
        keep_of_changes(&self.conn, KEPT_OF_CHANGES)
    }
}
