//! What looks at one thing find, remembered until something is written that it rests on, or anything else than entries is.

use super::store::Log;
use super::trouble::Trouble;
use crate::record::entry::About;

/// What a look finds about one thing, remembered until something is written about any of the things it read of, or anything but an
/// entry is: a draft, a list that is brought up to date, whatever another program writes.
pub trait Found: Clone + Send + 'static {
    /// What is said where there is nothing to be found.
    type Refused: From<Trouble>;

    /// Looks. It reads by [`Log::about`] and [`Log::found`] alone, and the same is found at any time.
    ///
    /// # Errors
    /// Those of the look itself, and [`Trouble`] when the disk can't be read.
    fn look(log: &Log, about: About) -> Result<Self, Self::Refused>;
}

impl Log {
    /// What a look finds about this: looked for once, and again after something was written that it rests on.
    ///
    /// # Errors
    /// Those of the look; they are not remembered.
    pub fn found<T: Found>(&self, about: About) -> Result<T, T::Refused> {
        let now = self.stamp()?;
        if let Some(found) = self.remembered.borrow_mut().found(now, about) {
            return Ok(found);
        }
        self.remembered.borrow_mut().begin();
        let found = T::look(self, about);
        self.remembered.borrow_mut().end(now, about, found.as_ref().ok());
        found
    }
}

#[cfg(test)]
mod tests {
    use std::sync::atomic::{AtomicUsize, Ordering};

    use chrono::DateTime;
    use solderlast_core::demo;
    use uuid::Uuid;

    use super::*;
    use crate::record::audition::AuditionId;
    use crate::record::entry::Entry;
    use crate::record::names::{BenchId, EntryId};

    /// How often a look was taken at a bench of two things, and how many entries are about them.
    #[derive(Debug, Clone, Copy, PartialEq)]
    struct Both {
        look: usize,
        entries: usize,
    }

    static LOOKS: AtomicUsize = AtomicUsize::new(0);

    const FIRST: About = About::Audition(AuditionId(Uuid::from_u128(1)));
    const SECOND: About = About::Audition(AuditionId(Uuid::from_u128(2)));
    const THIRD: About = About::Audition(AuditionId(Uuid::from_u128(3)));

    impl Found for Both {
        type Refused = Trouble;

        fn look(log: &Log, about: About) -> Result<Self, Trouble> {
            let look = LOOKS.fetch_add(1, Ordering::Relaxed);
            Ok(Self { look, entries: log.about(about)?.len() + log.found::<Second>(about)?.0 })
        }
    }

    #[derive(Debug, Clone)]
    struct Second(usize);

    impl Found for Second {
        type Refused = Trouble;

        fn look(log: &Log, _: About) -> Result<Self, Trouble> {
            Ok(Self(log.about(SECOND)?.len()))
        }
    }

    #[test]
    fn what_was_found_is_looked_for_again_once_something_it_rests_on_is_written() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let bench = BenchId(Uuid::from_u128(7));
        let mut log = Log::open(folder.path(), DateTime::UNIX_EPOCH, bench).expect("a new log");
        let one = demo::entries().remove(0);
        let about = |number: u128, about: About| Entry { id: EntryId(Uuid::from_u128(number)), about, ..one.clone() };
        let mut seen: Vec<Both> = Vec::new();
        let mut looked = |log: &Log, entries: usize, anew: bool, when: &str| {
            let found: Both = log.found(FIRST).expect("looked");
            assert_eq!(found.entries, entries, "{when}");
            assert_eq!(seen.last().is_none_or(|before| before.look != found.look), anew, "{when}");
            seen.push(found);
        };
        log.write(&[about(1, FIRST)]).expect("written");
        looked(&log, 1, true, "for the first time");
        looked(&log, 1, false, "once more");
        log.write(&[about(2, THIRD)]).expect("written");
        looked(&log, 1, false, "something else was written about");
        log.write(&[about(3, SECOND)]).expect("written");
        looked(&log, 2, true, "what a look within it reads of was written about");
        log.write(&[about(4, SECOND), about(5, FIRST)]).expect("written");
        looked(&log, 4, true, "both were written about");
        // What was found by a look within another one is had from memory; what it rests on counts all the same.
        log.found::<Second>(FIRST).expect("looked");
        log.write(&[about(6, FIRST)]).expect("written");
        looked(&log, 5, true, "only the outer one has to look again");
        log.write(&[about(7, SECOND)]).expect("written");
        looked(&log, 6, true, "what the inner one had from memory was written about");
        Log::beside(folder.path(), bench).expect("another connection").write(&[about(8, FIRST)]).expect("written");
        looked(&log, 7, true, "another program wrote");
        log.erase(&[SECOND], DateTime::UNIX_EPOCH).expect("erased");
        looked(&log, 4, true, "erased");
        log.at_one_moment(|log| {
            looked(log, 4, false, "at one moment");
            Ok::<_, Trouble>(())
        })
        .expect("looked");
    }
}
