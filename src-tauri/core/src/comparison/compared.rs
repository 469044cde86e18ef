//! An audition that is held against others.

use chrono::{DateTime, Utc};

use crate::audition::Kit;
use crate::audition::{Audition, State};
use crate::listening::Conditions;
use crate::record::audition::AuditionId;
use crate::record::rig::Mode;

/// One audition to be compared, with its things as they were when it was heard.
#[derive(Debug, Clone, PartialEq)]
pub struct Compared {
    /// Which audition.
    pub id: AuditionId,
    /// The audition as it stands.
    pub audition: Audition,
    /// Its things as they were described then.
    pub kit: Kit,
    /// Open, finished or ended early.
    pub state: State,
    /// Whether it is the reference.
    pub pinned: bool,
}

impl Compared {
    /// What a mode was heard in; nothing when it was not heard.
    #[must_use]
    pub fn conditions(&self, mode: &Mode) -> Option<&Conditions> {
        self.audition.conditions.get(mode)
    }

    /// The same, or what it was heard in last where that was another mode.
    #[must_use]
    pub fn conditions_near(&self, mode: &Mode) -> Option<&Conditions> {
        self.conditions(mode).or_else(|| self.audition.conditions.values().max_by_key(|heard| heard.at))
    }

    /// When it was heard last, or written in last if nothing was.
    #[must_use]
    pub fn when(&self) -> Option<DateTime<Utc>> {
        self.audition.conditions.values().map(|heard| heard.at).max().or(self.audition.last)
    }

    pub(crate) fn label(&self) -> String {
        self.kit.pickup.as_ref().map_or_else(|| "No pickup".to_owned(), |pickup| pickup.label.clone())
    }

    pub(crate) fn day(&self) -> String {
        self.audition.begun.map(|begun| begun.format("%-d %b %Y").to_string()).unwrap_or_default()
    }
}

/// Names by which the auditions are told apart: the pickup's label; with the day, the hour or a number where that is not
/// enough.
#[must_use]
pub fn names(all: &[Compared]) -> Vec<String> {
    let hour = |one: &Compared| one.audition.begun.map(|at| at.format("%H:%M UTC").to_string()).unwrap_or_default();
    let ways: [&dyn Fn(&Compared) -> String; 3] =
        [&Compared::label, &|one| format!("{} of {}", one.label(), one.day()), &|one| {
            format!("{} of {}, {}", one.label(), one.day(), hour(one))
        }];
    all.iter()
        .map(|one| {
            let others: Vec<&Compared> = all.iter().filter(|other| other.id != one.id).collect();
            let apart = |way: &&&dyn Fn(&Compared) -> String| others.iter().all(|other| way(other) != way(one));
            match ways.iter().find(apart) {
                Some(way) => way(one),
                None => {
                    let before = others.iter().filter(|other| other.id < one.id).count();
                    format!("{}, {}", ways[2](one), before + 1)
                }
            }
        })
        .collect()
}

/// The modes that were heard in any of the auditions, in the order of their names.
#[must_use]
pub fn modes_heard(all: &[Compared]) -> Vec<Mode> {
    let modes: std::collections::BTreeSet<&Mode> = all.iter().flat_map(|one| one.audition.conditions.keys()).collect();
    modes.into_iter().cloned().collect()
}
