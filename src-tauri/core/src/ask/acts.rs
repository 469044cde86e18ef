//! Asks at the log: those that look, and those that write, which are decided by what is in the log, written in one stroke, and
//! decided anew where another program wrote in between.

use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::Refusal;
use crate::ask::bench::Bench;
use crate::ask::reply::Reply;
use crate::ask::stroke::{is_written, write_bodies};
use crate::logbook::{Log, Stamp, Trouble};
use crate::record::body::Body;
use crate::record::entry::{About, Entry};
use crate::record::names::EntryId;

/// How often an act is decided anew because another program keeps writing in between.
pub(crate) const MOST_ANEW: usize = 200;

/// What an ask does at the log.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Does {
    /// It looks at the log as it is at one moment.
    Look,
    /// It writes an entry, and looks itself at what lies there after that.
    Write,
    /// It changes the log otherwise: drafts, notices, what is erased, the demo bench, the name of this one.
    Change,
}

/// A topic's asks that are answered with the log in hand.
pub(crate) trait Asked: Clone {
    /// What it does there.
    fn does(&self) -> Does;

    fn answer(self, bench: &Bench, log: &mut Log, now: DateTime<Utc>) -> Result<Reply, Refusal>;

    /// Whether somebody may put the computer away after this.
    fn ends_work(&self) -> bool {
        false
    }

    /// What is answered in place of asking once more, after a damaged log was made good.
    fn once_made_good(&self) -> Option<Reply> {
        None
    }
}

/// A topic's asks that write.
pub(crate) trait Act: Clone {
    /// What the thing it is about is called in it.
    const THING: &str;

    /// The new entry, and the thing it is about.
    fn writes(&self) -> (EntryId, About);

    /// Decides what is written, given what was written before about the same thing, and writes it as if nobody else used the
    /// log. Says whether it is written; otherwise it has to be decided anew, as another program wrote meanwhile.
    fn write_down(
        self,
        log: &mut Log,
        before: &[(Entry, bool)],
        now: DateTime<Utc>,
        decided: Stamp,
    ) -> Result<bool, Refusal>;
}

/// A topic's asks that write about one thing alone: what they come to is composed first, and then written in one stroke.
pub(crate) trait Composed: Clone {
    /// The new entry, and the thing it is about.
    fn writes(&self) -> (EntryId, About);

    /// What is written, given what was written before about the same thing.
    fn compose(self, log: &mut Log, before: &[(Entry, bool)], now: DateTime<Utc>) -> Result<Vec<Body>, Refusal>;
}

impl<A: Composed> Act for A {
    const THING: &str = "id";

    fn writes(&self) -> (EntryId, About) {
        Composed::writes(self)
    }

    fn write_down(
        self,
        log: &mut Log,
        before: &[(Entry, bool)],
        now: DateTime<Utc>,
        decided: Stamp,
    ) -> Result<bool, Refusal> {
        let (entry, about) = Composed::writes(&self);
        let bodies = self.compose(log, before, now)?;
        write_bodies(log, entry, about, bodies, before, now, decided)
    }
}

/// Writes what is asked, once: decided by what is in the log, and anew where another program wrote in between.
pub(crate) fn write<A: Act>(log: &mut Log, act: &A, now: DateTime<Utc>) -> Result<(), Refusal> {
    let (entry, about) = act.writes();
    if !is_version_7(entry.0) {
        return Err(Refusal::unclear("entry", "The name of an entry is a version-7 UUID."));
    }
    if !is_version_7(about.uuid()) {
        return Err(Refusal::unclear("id", "The name of a thing is a version-7 UUID."));
    }
    for _ in 0..MOST_ANEW {
        let decided = log.stamp()?;
        if is_written(log, entry, about)? {
            return Ok(());
        }
        let before = log.about(about)?;
        if before.is_empty() && log.is_taken(about)? {
            let sentence =
                "Something else on this bench has this name already. Nothing was written; ask with a new name.";
            return Err(Refusal::unclear(A::THING, sentence));
        }
        if act.clone().write_down(log, &before, now, decided)? {
            return Ok(());
        }
    }
    Err(Trouble::Busy.into())
}

/// Whether an identifier is a version-7 UUID, as all names in the log are.
pub(crate) fn is_version_7(id: Uuid) -> bool {
    id.get_version_num() == 7
}
