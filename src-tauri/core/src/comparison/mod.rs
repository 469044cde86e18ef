//! Two to four auditions side by side, and whether it is fair to compare them.
//!
//! Nothing here hangs on the order in which the auditions are named: each is told by its own name, and where one of them has
//! to stand for how it should be, it is the pinned reference, or else the newest.

mod compared;
mod differences;
mod effect;
mod fairness;
#[cfg(test)]
pub(crate) mod invented;
mod reference;
mod rows;
mod takes;
#[cfg(test)]
mod tests;

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use compared::{Compared, modes_heard, names};
pub use differences::{Difference, Explains, Heard, NotTold, Subject, Toward, Weight, differences, mixed};
pub use fairness::{
    FairKind, FairnessView, FoundView, HeardDifference, PairView, RepeatView, missing_in_mode, standard, to_be_like,
};
pub use reference::{ReferenceMode, ReferenceRating, ReferenceView};
pub use rows::{Cell, Row, Section};
pub use takes::{Made, TakesFairness, TakesUnlike, takes_fair, unlike};

use crate::audition::State;
use crate::record::audition::AuditionId;
use crate::record::quantity::LengthUnit;

/// The fewest auditions that can be put side by side.
pub const FEWEST: usize = 2;
/// The most.
pub const MOST: usize = 4;

/// One of the auditions that are compared.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
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
#[ts(export_to = "contract/comparison.ts")]
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
                title: crate::audition::title(one.audition.choice.as_ref().map(|saved| &saved.said), &one.kit),
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
