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
