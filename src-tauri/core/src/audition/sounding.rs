//! Times with the sound up: from "raised slowly" to "volume down", with the level at the ear, or as corrected by hand.

use chrono::{DateTime, TimeDelta, Utc};

use crate::audition::saved::Saved;
use crate::record::names::EntryId;
use crate::record::sound::LevelTold;
use crate::safety::hearing::Listened;

/// A time as a person says it was, in place of what the ticks say.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Corrected {
    /// How long it really was, if that was wrong.
    pub time: Option<TimeDelta>,
    /// How loud it really was, if that was wrong.
    pub level: Option<LevelTold>,
}

/// One time with the sound up.
#[derive(Debug, Clone, PartialEq)]
pub struct Session {
    /// The entry with which the sound came up.
    pub entry: EntryId,
    /// When it came up.
    pub from: DateTime<Utc>,
    /// When it went down; nothing while it is up.
    pub to: Option<DateTime<Utc>>,
    /// Levels told for it, each with the instant from which it counts, in order.
    pub levels: Vec<(DateTime<Utc>, LevelTold)>,
    /// What a person says it really was.
    pub corrected: Option<Saved<Corrected>>,
}

impl Session {
    /// A time that begins now, at the level told before, if one was.
    pub(super) fn begin(entry: EntryId, from: DateTime<Utc>, level: Option<LevelTold>) -> Self {
        Self { entry, from, to: None, levels: level.map(|level| (from, level)).into_iter().collect(), corrected: None }
    }

    /// A level told while the sound is up: the first one counts from the beginning, a later one from now on.
    pub(super) fn tell(&mut self, at: DateTime<Utc>, level: LevelTold) {
        let from = if self.levels.is_empty() { self.from } else { at };
        self.levels.push((from, level));
    }

    /// When it ended, or `now` while it goes on. A clock that was set back makes that earlier than the beginning.
    #[must_use]
    pub fn end(&self, now: DateTime<Utc>) -> DateTime<Utc> {
        self.to.unwrap_or(now)
    }

    /// As the sums of a day take it, level after level; `before` is the level where none was told.
    #[must_use]
    pub fn listened(&self, now: DateTime<Utc>, before: LevelTold) -> Vec<Listened> {
        let end = self.end(now);
        let corrected = self.corrected.as_ref().map(|saved| saved.said);
        let told = corrected.and_then(|corrected| corrected.level);
        let levels: Vec<(DateTime<Utc>, LevelTold)> = match told {
            Some(level) => vec![(self.from, level)],
            None if self.levels.is_empty() => vec![(self.from, before)],
            None => self.levels.clone(),
        };
        let whole = (end - self.from).num_milliseconds();
        levels
            .iter()
            .enumerate()
            .map(|(index, (from, level))| {
                let to = levels.get(index + 1).map_or(end, |(next, _)| *next);
                // A time said by hand is spread over the levels as the ticks would have it.
                let time = corrected.and_then(|corrected| corrected.time).map(|time| {
                    let part = (to - *from).num_milliseconds();
                    if whole <= 0 {
                        if index == 0 { time } else { TimeDelta::zero() }
                    } else {
                        let share = part as f64 / whole as f64;
                        TimeDelta::milliseconds((time.num_milliseconds() as f64 * share).round() as i64)
                    }
                });
                Listened { from: *from, to, corrected: time, level: level.level() }
            })
            .collect()
    }

    /// The level it is at now.
    #[must_use]
    pub fn level(&self) -> Option<LevelTold> {
        self.levels.last().map(|(_, level)| *level)
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::record::quantity::Decibels;

    fn at(minute: i64) -> DateTime<Utc> {
        DateTime::from_timestamp(1_793_700_000 + minute * 60, 0).unwrap_or_default()
    }

    fn metered(level: f64) -> LevelTold {
        LevelTold::Meter { level: Decibels(level) }
    }

    fn parts(session: &Session, now: DateTime<Utc>) -> Vec<(i64, i64, Option<i64>, f64)> {
        let minutes = |at: DateTime<Utc>| (at.timestamp() - 1_793_700_000) / 60;
        session
            .listened(now, LevelTold::ASSUMED)
            .into_iter()
            .map(|part| {
                (minutes(part.from), minutes(part.to), part.corrected.map(|t| t.num_minutes()), part.level.get())
            })
            .collect()
    }

    #[test]
    fn levels_count_from_where_they_were_told() {
        let entry = EntryId(Uuid::nil());
        let mut session = Session::begin(entry, at(0), None);
        assert_eq!(parts(&session, at(10)), [(0, 10, None, 80.0)], "nobody told, so one can still talk over it");
        session.tell(at(5), metered(91.0));
        assert_eq!(parts(&session, at(10)), [(0, 10, None, 91.0)], "the first level is that of the whole time");
        session.tell(at(20), metered(97.0));
        assert_eq!(parts(&session, at(30)), [(0, 20, None, 91.0), (20, 30, None, 97.0)]);
        session.to = Some(at(40));
        assert_eq!(parts(&session, at(90)), [(0, 20, None, 91.0), (20, 40, None, 97.0)]);

        let told_before = Session::begin(entry, at(0), Some(metered(85.0)));
        assert_eq!(parts(&told_before, at(3)), [(0, 3, None, 85.0)]);
    }

    #[test]
    fn a_time_said_by_hand_is_spread_over_its_levels() {
        let entry = EntryId(Uuid::nil());
        let mut session = Session::begin(entry, at(0), Some(metered(91.0)));
        session.tell(at(30), metered(97.0));
        session.to = Some(at(40));
        let correct = |time: Option<i64>, level: Option<f64>| {
            let said = Corrected { time: time.map(TimeDelta::minutes), level: level.map(metered) };
            Some(Saved { entry, at: at(50), said })
        };
        session.corrected = correct(Some(20), None);
        assert_eq!(parts(&session, at(60)), [(0, 30, Some(15), 91.0), (30, 40, Some(5), 97.0)]);
        session.corrected = correct(Some(20), Some(82.0));
        assert_eq!(parts(&session, at(60)), [(0, 40, Some(20), 82.0)]);
        session.corrected = correct(None, Some(82.0));
        assert_eq!(parts(&session, at(60)), [(0, 40, None, 82.0)]);

        // Up and down in one instant, or with a clock that was set back: all of it goes to the first level.
        let mut none = Session::begin(entry, at(0), Some(metered(91.0)));
        (none.to, none.corrected) = (Some(at(-5)), correct(Some(20), None));
        assert_eq!(parts(&none, at(60)), [(0, -5, Some(20), 91.0)]);
    }
}
