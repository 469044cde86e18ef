//! Two to four auditions side by side, and whether it is fair to compare them.
//!
//! Nothing here hangs on the order in which the auditions are named: each is told by its own name, and where one of them has
//! to stand for how it should be, it is the pinned reference, or else the newest.

#[cfg(test)]
pub(crate) mod bench;
mod differences;
mod effect;
mod fairness;
mod reference;
mod rows;
#[cfg(test)]
mod tests;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use differences::{Difference, Explains, Heard, Subject, Toward, Weight, differences, mixed};
pub use fairness::{FairKind, FairnessView, FoundView, HeardDifference, PairView, RepeatView, standard};
pub use reference::{ReferenceMode, ReferenceRating, ReferenceView};
pub use rows::{Cell, Row, Section};

use crate::audition::{Audition, Kit, State};
use crate::listening::HeardIn;
use crate::record::audition::AuditionId;
use crate::record::quantity::LengthUnit;
use crate::record::rig::Mode;

/// The fewest auditions that can be put side by side.
pub const FEWEST: usize = 2;
/// The most.
pub const MOST: usize = 4;

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
    pub fn heard_in(&self, mode: &Mode) -> Option<&HeardIn> {
        self.audition.heard_in.get(mode)
    }

    /// When it was heard last, or written in last if nothing was.
    #[must_use]
    pub fn when(&self) -> Option<DateTime<Utc>> {
        self.audition.heard_in.values().map(|heard| heard.at).max().or(self.audition.last)
    }

    fn label(&self) -> String {
        self.kit.pickup.as_ref().map_or_else(|| "No pickup".to_owned(), |pickup| pickup.label.clone())
    }

    fn day(&self) -> String {
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

/// One of the auditions that are compared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ComparedAudition {
    /// Which audition.
    pub id: AuditionId,
    /// The name by which it is told from the others.
    pub name: String,
    /// "Pickup on guitar, place".
    pub title: String,
    /// When it was begun.
    #[ts(type = "string | null")]
    pub begun: Option<DateTime<Utc>>,
    /// Open, finished or ended early.
    pub state: State,
    /// Whether it belongs to the demo bench.
    pub demo: bool,
    /// Whether it is the reference.
    pub pinned: bool,
}

/// Auditions side by side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ComparisonView {
    /// The auditions, in the order they were named.
    pub auditions: Vec<ComparedAudition>,
    /// Whether it is fair, and what was not the same.
    pub fairness: FairnessView,
    /// Everything beside each other: first what is told once an audition, then mode by mode. Cells stand in the order of the
    /// auditions; in a section, what differs comes first.
    pub sections: Vec<Section>,
    /// How many rows differ, in the sections where there is something to hold against.
    pub differ: usize,
    /// How many do not.
    pub same: usize,
}

/// Puts auditions side by side. Lengths are shown in `unit`.
#[must_use]
pub fn compare(all: &[Compared], unit: LengthUnit) -> ComparisonView {
    let names = names(all);
    let sections = rows::sections(all, &names, unit);
    let count = |differs: bool| {
        let held = sections.iter().filter(|part| part.only.is_none());
        held.flat_map(|part| &part.rows).filter(|row| row.differs == differs).count()
    };
    ComparisonView {
        auditions: all
            .iter()
            .zip(&names)
            .map(|(one, name)| ComparedAudition {
                id: one.id,
                name: name.clone(),
                title: crate::audition::title(one.audition.choice.as_ref().map(|inked| &inked.said), &one.kit),
                begun: one.audition.begun,
                state: one.state,
                demo: one.audition.demo,
                pinned: one.pinned,
            })
            .collect(),
        fairness: fairness::fairness(all, &names, unit),
        differ: count(true),
        same: count(false),
        sections,
    }
}

/// The modes that were heard in any of the auditions, in the order of their names.
#[must_use]
pub fn modes_heard(all: &[Compared]) -> Vec<Mode> {
    let modes: std::collections::BTreeSet<&Mode> = all.iter().flat_map(|one| one.audition.heard_in.keys()).collect();
    modes.into_iter().cloned().collect()
}
