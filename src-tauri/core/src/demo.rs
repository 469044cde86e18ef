//! The demo bench: an invented community workshop, loaded on request and removed in one act.
//!
//! Its entries lie in `demo-data/bench.jsonl`, one a line, written by [`crate::record::names::DEMO_BENCH`]; its recordings in
//! `demo-data/takes`. Nobody played them: `tests/core/demo_takes.rs` computes them.

use chrono::{DateTime, Utc};
use serde::Deserialize;

use crate::record::body::Body;
use crate::record::entry::{About, Entry, Written};
use crate::record::names::{DEMO_BENCH, EntryId};
use crate::record::take::TakeName;

const LINES: &str = include_str!("../../../demo-data/bench.jsonl");

/// The recordings, as FLAC.
const TAKES: [&[u8]; 4] = [
    include_bytes!("../../../demo-data/takes/lantern-stack.flac"),
    include_bytes!("../../../demo-data/takes/lantern-stack-again.flac"),
    include_bytes!("../../../demo-data/takes/tin-whistle.flac"),
    include_bytes!("../../../demo-data/takes/tin-whistle-nearer.flac"),
];

#[derive(Deserialize)]
struct Line {
    id: EntryId,
    at: DateTime<Utc>,
    about: About,
    body: Body,
}

/// All entries of the demo bench, in the order they were written. A line that can't be read is left out; a test makes
/// sure that there is none.
#[must_use]
pub fn entries() -> Vec<Entry> {
    LINES.lines().filter_map(|line| serde_json::from_str::<Line>(line).ok()).map(entry).collect()
}

/// The recordings of the demo bench, each by its content.
pub fn takes() -> impl Iterator<Item = (TakeName, &'static [u8])> {
    TAKES.into_iter().map(|bytes| (TakeName::of(bytes), bytes))
}

fn entry(line: Line) -> Entry {
    Entry { id: line.id, at: line.at, bench: DEMO_BENCH, about: line.about, body: Written::Known(line.body) }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::audition::{Audition, State, state};
    use crate::record::body::{BenchBody, ListeningBody};
    use crate::record::entry::in_order;

    #[test]
    fn every_line_is_an_entry_of_its_own() {
        for (number, line) in LINES.lines().enumerate() {
            let read = serde_json::from_str::<Line>(line);
            assert!(read.is_ok(), "line {}: {:?}", number + 1, read.err());
        }
        let ids: BTreeSet<_> = entries().into_iter().map(|entry| entry.id).collect();
        assert_eq!(ids.len(), LINES.lines().count());
    }

    #[test]
    fn two_guitars_one_rig_six_pickups_and_four_finished_auditions() {
        let abouts: BTreeSet<_> = entries().into_iter().map(|entry| entry.about).collect();
        let count = |test: fn(&About) -> bool| abouts.iter().filter(|about| test(about)).count();
        assert_eq!(count(|about| matches!(about, About::Pickup(_))), 6);
        assert_eq!(count(|about| matches!(about, About::Guitar(_))), 2);
        assert_eq!(count(|about| matches!(about, About::Rig(_))), 1);
        let auditions: Vec<_> = abouts.iter().filter(|about| matches!(about, About::Audition(_))).collect();
        assert_eq!(auditions.len(), 4);
        for about in auditions {
            let ordered = in_order(entries().into_iter().filter(|entry| entry.about == *about));
            assert_eq!(state(&Audition::fold(&ordered), Some(4)), (State::Finished, None), "{about:?}");
        }
    }

    /// Hum that was rated without it says little: the demo shows how it is told.
    #[test]
    fn each_demo_audition_tells_of_its_string_ground() {
        use crate::record::facts::BenchFact;
        let auditions = |test: fn(&Body) -> bool| -> BTreeSet<String> {
            let all = entries().into_iter().filter(|entry| matches!(&entry.body, Written::Known(body) if test(body)));
            all.map(|entry| format!("{:?}", entry.about)).collect()
        };
        let rated = auditions(|body| matches!(body, Body::Listening(ListeningBody::Rated { .. })));
        let told =
            auditions(|body| matches!(body, Body::Bench(BenchBody::Told { told: BenchFact::StringGround(true) })));
        assert_eq!((rated.len(), &rated), (4, &told));
    }
}
