//! Entries that are written in one stroke.

use chrono::{DateTime, TimeDelta, Utc};

use crate::ask::Refusal;
use crate::ask::stroke::came;
use crate::logbook::{Log, Stamp};
use crate::record::body::Body;
use crate::record::entry::{About, Entry, Written};
use crate::record::names::EntryId;
use crate::record::rules;

/// Entries that are written in one stroke, under names that follow from the first.
pub(super) struct Stroke<'a> {
    pub(super) log: &'a mut Log,
    pub(super) entry: EntryId,
    pub(super) now: DateTime<Utc>,
    pub(super) entries: Vec<Entry>,
}

impl Stroke<'_> {
    pub(super) fn first(&mut self, about: About, body: Body) -> Result<(), Refusal> {
        self.add(self.entry, about, body)
    }

    pub(super) fn further(&mut self, number: u8, about: About, body: Body) -> Result<(), Refusal> {
        self.add(self.entry.beside(number), about, body)
    }

    /// Whether it is written; otherwise it has to be decided anew.
    pub(super) fn write(self, decided: Stamp) -> Result<bool, Refusal> {
        came(self.log.write_if_still(&self.entries, decided)?)
    }

    fn add(&mut self, id: EntryId, about: About, body: Body) -> Result<(), Refusal> {
        rules::check(about, &body)?;
        // Clocks are set back now and then; what is written later must still be read later.
        let there = self.log.about(about)?;
        let mine = self.entries.iter().filter(|entry| entry.about == about);
        let last = there.entries().chain(mine).map(|entry| entry.at);
        let at = last.max().filter(|last| *last >= self.now).map_or(self.now, |last| last + TimeDelta::microseconds(1));
        let bench = self.log.bench();
        self.entries.push(Entry { id, at, bench, about, body: Written::Known(body) });
        Ok(())
    }
}
