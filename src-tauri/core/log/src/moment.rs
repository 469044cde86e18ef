//! A look at the log as it is at one moment, whatever others write meanwhile.

use super::remembered::Stamp;
use super::store::Log;
use super::trouble::Trouble;

/// Ends a look at one moment, however that ends. Nothing was written, so there is nothing to be lost.
struct Moment<'a>(&'a mut Log);

impl Drop for Moment<'_> {
    fn drop(&mut self) {
        self.0.moment = None;
        // What SQLite could not read, it let go of itself.
        if !self.0.conn.is_autocommit() {
            let _ = self.0.run("ROLLBACK");
        }
    }
}

impl Log {
    /// Whether somebody looks at it as it is at one moment.
    #[must_use]
    pub fn is_at_one_moment(&self) -> bool {
        self.moment.is_some()
    }

    /// Looks at the log as it is at one moment: what others write meanwhile is not seen. Nothing is written in a look. Each file
    /// is locked and looked at once, which is most of what a question of SQLite costs.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be read, and those of the look itself.
    pub fn at_one_moment<T, E: From<Trouble>>(&mut self, look: impl FnOnce(&mut Self) -> Result<T, E>) -> Result<T, E> {
        if self.is_at_one_moment() {
            return look(self);
        }
        self.run("BEGIN")?;
        let held = Moment(self);
        held.0.moment = Some(Stamp::of(&held.0.conn)?);
        look(held.0)
    }

    /// Does what writes in the middle of such a look, which then goes on with what the log holds.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used, and those of the act itself.
    pub fn between_moments<T>(&mut self, act: impl FnOnce(&mut Self) -> Result<T, Trouble>) -> Result<T, Trouble> {
        if self.moment.take().is_none() {
            return act(self);
        }
        self.run("ROLLBACK")?;
        let done = act(self);
        self.run("BEGIN")?;
        self.moment = Some(Stamp::of(&self.conn)?);
        done
    }

    fn run(&self, sql: &str) -> Result<(), Trouble> {
        self.conn.prepare_cached(sql)?.execute([])?;
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use chrono::DateTime;
    use uuid::Uuid;

    use super::*;
    use crate::record::entry::Entry;
    use crate::record::names::BenchId;

    #[test]
    fn what_others_write_in_the_middle_of_a_look_is_not_seen_in_it() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let bench = BenchId(Uuid::from_u128(7));
        let mut log = Log::open(folder.path(), DateTime::UNIX_EPOCH, bench).expect("a new log");
        let mut other = Log::beside(folder.path(), bench).expect("another connection");
        let entries = solderlast_core::demo::entries();
        let about = entries.last().expect("there is one").about;
        let of_it: Vec<Entry> = entries.into_iter().filter(|entry| entry.about == about).collect();
        let [first, second, third] = &of_it[..3] else { panic!("three entries about one thing") };
        log.write(std::slice::from_ref(first)).expect("written");
        let seen: Vec<usize> = log
            .at_one_moment(|log| {
                let before = log.about(about)?.len();
                other.write(std::slice::from_ref(second))?;
                let during = log.about(about)?.len();
                let nested = log.at_one_moment(|log| log.about(about))?.len();
                // The other may write again: nothing of this look is in its way.
                log.between_moments(|_| other.write(std::slice::from_ref(third)))?;
                Ok::<_, Trouble>(vec![before, during, nested, log.about(about)?.len()])
            })
            .expect("looked at");
        assert_eq!(seen, [1, 1, 1, 3]);
        // A look that fails is over as well.
        let failed: Result<(), Trouble> = log.at_one_moment(|_| Err(Trouble::Busy));
        assert!(matches!(failed, Err(Trouble::Busy)) && !log.is_at_one_moment() && log.conn.is_autocommit());
        let failed: Result<(), Trouble> = log.at_one_moment(|log| log.between_moments(|_| Err(Trouble::Full)));
        assert!(matches!(failed, Err(Trouble::Full)) && !log.is_at_one_moment() && log.conn.is_autocommit());
        let died = std::panic::catch_unwind(std::panic::AssertUnwindSafe(|| {
            log.at_one_moment(|_| -> Result<(), Trouble> { panic!("a look that dies") })
        }));
        assert!(died.is_err() && !log.is_at_one_moment() && log.conn.is_autocommit());
        log.keep_draft("draft", "half a word", DateTime::UNIX_EPOCH).expect("kept");
    }
}
