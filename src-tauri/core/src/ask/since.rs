//! The page of an audition as what changed since an answer that somebody still has: a tap changes little of it, and most of what
//! an answer costs is writing it out, sending it and drawing it.
//!
//! Each audition that is told carries a name of its own, `as_of`. Who has that answer still says so with the next ask, and is
//! told only what is different from it now. Who has none, or one that is forgotten here, is told everything.

use std::collections::VecDeque;

use chrono::{DateTime, Utc};
use serde::Serialize;
use serde::ser::SerializeMap;

use super::refusal::Refusal;
use super::reply::{Reply, in_json};
use crate::audition::{AuditionView, StepView};
use crate::entry_lines::lines::EntryLine;

/// How many answers are remembered, over all who ask.
const REMEMBERED: usize = 12;

/// Room for what an ordinary act changes, in bytes.
const ROOM: usize = 16 * 1024;

/// The auditions that were told last.
#[derive(Debug)]
pub(super) struct LastTold {
    /// When this bench was opened, in microseconds: another bench's names are not this one's.
    opened: i64,
    count: u64,
    last: VecDeque<(u64, Box<AuditionView>)>,
}

/// An audition in full, under a name.
#[derive(Serialize)]
struct InFull<'a> {
    ok: &'a Reply,
    as_of: String,
}

/// What is different now from an answer that was given before.
#[derive(Serialize)]
struct Different<'a> {
    since: &'a str,
    as_of: String,
    changed: Changes<'a>,
}

/// The fields of an audition that are not as they were.
struct Changes<'a> {
    was: &'a AuditionView,
    is: &'a AuditionView,
}

impl LastTold {
    pub fn of(opened: DateTime<Utc>) -> Self {
        Self { opened: opened.timestamp_micros(), count: 0, last: VecDeque::new() }
    }

    fn named(&self, count: u64) -> String {
        format!("{:x}.{count:x}", self.opened)
    }

    /// Writes an answer for somebody who has the one of the name `has`, or none where that is empty.
    pub fn tell(&mut self, answer: Result<Reply, Refusal>, has: &str) -> Vec<u8> {
        let Ok(reply @ Reply::Audition { audition }) = &answer else { return in_json(&answer) };
        self.count += 1;
        let as_of = self.named(self.count);
        let held = self.last.iter().find(|(count, view)| view.id == audition.id && self.named(*count) == has);
        let mut json = Vec::with_capacity(ROOM);
        let written = match held {
            Some((_, was)) => {
                let changed = Changes { was, is: audition };
                serde_json::to_writer(&mut json, &Different { since: has, as_of, changed })
            }
            None => serde_json::to_writer(&mut json, &InFull { ok: reply, as_of }),
        };
        if written.is_err() {
            return in_json(&answer);
        }
        if let Ok(Reply::Audition { audition }) = answer {
            self.last.truncate(REMEMBERED - 1);
            self.last.push_front((self.count, audition));
        }
        json
    }
}

/// Writes each field that is not as it was. The pattern has every field of the page, so that none can be left out.
macro_rules! changed {
    ($map:ident, $was:expr, $is:expr; $($field:ident),+; $($other:ident),+) => {
        let AuditionView { $($field,)+ $($other: _),+ } = $is;
        $(if *$field != $was.$field {
            $map.serialize_entry(stringify!($field), $field)?;
        })+
    };
}

impl Serialize for Changes<'_> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let Self { was, is } = *self;
        let mut map = serializer.serialize_map(None)?;
        changed! { map, was, is;
            id, title, begun, last, state, ended_because, next, demo, choice, from_saddle, final_place, tuning, pickup, guitar,
            rig, switched, sides, which_way, leads, meter, seat, gaps, sound_up, listen, take_down, hearing, on_finish, photos, overrides,
            iron, cautions_read, newer, decided, decided_in_inches;
            steps, written
        }
        // One step changes, seldom two: each is told by itself.
        let steps = |view: &AuditionView| view.steps.iter().map(|step| step.step).collect::<Vec<_>>();
        if steps(was) == steps(is) {
            let some: Vec<&StepView> =
                was.steps.iter().zip(&is.steps).filter(|(was, is)| was != is).map(|(_, is)| is).collect();
            if !some.is_empty() {
                map.serialize_entry("some_steps", &some)?;
            }
        } else {
            map.serialize_entry("steps", &is.steps)?;
        }
        // What is written is added to at its end, and lines before may be retired by it.
        if is.written.len() < was.written.len() {
            map.serialize_entry("written", &is.written)?;
        } else {
            let (still, more) = is.written.split_at(was.written.len());
            let some: Vec<(usize, &EntryLine)> =
                still.iter().enumerate().filter(|(index, line)| was.written.get(*index) != Some(line)).collect();
            if !some.is_empty() {
                map.serialize_entry("some_written", &some)?;
            }
            if !more.is_empty() {
                map.serialize_entry("more_written", more)?;
            }
        }
        map.end()
    }
}
