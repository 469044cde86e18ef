//! What is written about something, in the order it is read in.

use std::ops::Deref;
use std::sync::Arc;

use chrono::{DateTime, Utc};

use crate::record::body::{Body, StrikeBody};
use crate::record::entry::{Entry, in_order};

/// Entries in the order they are read in, each with whether it is struck out, as [`in_order`] gives them. It is shared: a look
/// copies none of them.
#[derive(Debug, Clone, PartialEq)]
pub struct Ordered(Arc<Vec<(Entry, bool)>>);

impl Ordered {
    /// These entries, in whatever order they come.
    #[must_use]
    pub fn of(entries: impl IntoIterator<Item = Entry>) -> Self {
        Self(Arc::new(in_order(entries)))
    }

    /// The entries, without what is struck out being told.
    pub fn entries(&self) -> impl DoubleEndedIterator<Item = &Entry> {
        self.0.iter().map(|(entry, _)| entry)
    }

    /// What was written up to this time, where one is given: what was struck out later is not, then.
    #[must_use]
    pub fn until(&self, until: Option<DateTime<Utc>>) -> Self {
        self.only(|entry| until.is_none_or(|until| entry.at <= until))
    }

    /// Only these of them, as if the others had not been written.
    #[must_use]
    pub fn only(&self, wanted: impl Fn(&Entry) -> bool) -> Self {
        if self.entries().all(&wanted) {
            self.clone()
        } else {
            Self::of(self.entries().filter(|entry| wanted(entry)).cloned())
        }
    }

    /// Adds an entry that is not among these.
    pub(crate) fn add(&mut self, entry: Entry) {
        let is_last = self.0.last().is_none_or(|(last, _)| (last.at, last.id) < (entry.at, entry.id));
        let strikes = matches!(entry.body.known(), Some(Body::Strike(StrikeBody::StruckOut { .. })));
        if is_last && !strikes {
            Arc::make_mut(&mut self.0).push((entry, false));
        } else {
            *self = Self::of(self.entries().cloned().chain([entry]));
        }
    }
}

impl Deref for Ordered {
    type Target = [(Entry, bool)];

    fn deref(&self) -> &Self::Target {
        &self.0
    }
}

impl<'a> IntoIterator for &'a Ordered {
    type Item = &'a (Entry, bool);
    type IntoIter = std::slice::Iter<'a, (Entry, bool)>;

    fn into_iter(self) -> Self::IntoIter {
        self.0.iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::audition::AuditionId;
    use crate::record::body::ListeningBody;
    use crate::record::entry::{About, Written};
    use crate::record::names::{BenchId, EntryId};
    use crate::record::rig::Mode;
    use uuid::Uuid;

    fn entry(name: u128, second: i64, body: Body) -> Entry {
        Entry {
            id: EntryId(Uuid::from_u128(name)),
            at: DateTime::from_timestamp(second, 0).unwrap_or_default(),
            bench: BenchId(Uuid::nil()),
            about: About::Audition(AuditionId(Uuid::nil())),
            body: Written::Known(body),
        }
    }

    fn note(name: u128, second: i64) -> Entry {
        entry(
            name,
            second,
            Body::Listening(ListeningBody::NoteWritten { mode: Mode::new("series"), words: String::new() }),
        )
    }

    fn strike(name: u128, second: i64, of: u128) -> Entry {
        let body = StrikeBody::StruckOut { entry: EntryId(Uuid::from_u128(of)), why: String::new() };
        entry(name, second, Body::Strike(body))
    }

    /// Whatever comes first, and whether a strike-out comes before what it strikes out: as if all had been there at once.
    #[test]
    fn added_in_any_order_they_are_as_if_sorted_together() {
        let all = [note(1, 10), note(2, 20), strike(3, 30, 1), strike(4, 40, 3), strike(5, 50, 2), note(6, 20)];
        let struck = [false, true, false, true, false, false];
        let expected = Ordered::of(all.clone());
        assert_eq!(expected.iter().map(|(_, struck)| *struck).collect::<Vec<_>>(), struck);
        for mut number in 0..720_usize {
            let (mut left, mut ordered) = (all.to_vec(), Ordered::of([]));
            while !left.is_empty() {
                let next = left.remove(number % left.len());
                number /= left.len() + 1;
                let seen = ordered.clone();
                let before = seen.to_vec();
                ordered.add(next);
                assert_eq!(seen[..], before[..], "what somebody looks at stays as it was");
            }
            assert_eq!(ordered, expected);
        }
    }

    #[test]
    fn what_was_written_later_does_not_count_before() {
        let all = Ordered::of([note(1, 10), strike(2, 30, 1), note(3, 20)]);
        let at = |second| DateTime::from_timestamp(second, 0);
        assert_eq!(all.until(at(20)), Ordered::of([note(1, 10), note(3, 20)]));
        assert_eq!(all.until(at(30)), all);
        assert_eq!(all.until(None), all);
        assert!(all.until(at(9)).is_empty());
    }
}
