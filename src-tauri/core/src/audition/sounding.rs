//! Times with the sound up: from "raised slowly" to "volume down", with the level at the ear, or as corrected by hand.

use chrono::{DateTime, TimeDelta, Utc};

use crate::audition::saved::Saved;
use crate::record::names::EntryId;
use crate::record::sound::LevelTold;
use crate::safety::hearing::Listened;

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
    /// How long a person says it really was, up to when that was said.
    pub time_by_hand: Option<Saved<TimeDelta>>,
    /// How loud a person says it really was, up to when that was said.
    pub level_by_hand: Option<Saved<LevelTold>>,
}

impl Session {
    /// A time that begins now, at the level told before, if one was.
    pub(super) fn begin(entry: EntryId, from: DateTime<Utc>, level: Option<LevelTold>) -> Self {
        let levels = level.map(|level| (from, level)).into_iter().collect();
        Self { entry, from, to: None, levels, time_by_hand: None, level_by_hand: None }
    }

    /// What a person says it really was; of what is not said now, what was said before stays.
    pub(super) fn correct(&mut self, said: Saved<()>, time: Option<TimeDelta>, level: Option<LevelTold>) {
        let Saved { entry, at, said: () } = said;
        self.time_by_hand = time.map(|said| Saved { entry, at, said }).or(self.time_by_hand.take());
        self.level_by_hand = level.map(|said| Saved { entry, at, said }).or(self.level_by_hand.take());
    }

    /// A level told while the sound is up: the first one counts from the beginning, a later one, or one after a level said by hand,
    /// from now on.
    pub(super) fn tell(&mut self, at: DateTime<Utc>, level: LevelTold) {
        let first = self.levels.is_empty() && self.by_hand().is_none();
        let from = if first { self.from } else { at };
        self.levels.push((from, level));
    }

    /// When it ended, or `now` while it goes on. A clock that was set back makes that earlier than the beginning.
    #[must_use]
    pub fn end(&self, now: DateTime<Utc>) -> DateTime<Utc> {
        self.to.unwrap_or(now)
    }

    /// As the sums of a day take it, level after level; `before` is the level where none was told. What a person says by hand
    /// is of the time up to the moment it was said; what is heard after it adds as it comes.
    #[must_use]
    pub fn listened(&self, now: DateTime<Utc>, before: LevelTold) -> Vec<Listened> {
        let end = self.end(now);
        // A clock that was set back may make it earlier than the beginning.
        let said_at = self.time_by_hand.as_ref().map_or(end, |saved| saved.at.max(self.from).min(end));
        let levels = self.levels_by_hand(before);
        let time = self.time_by_hand.as_ref().map(|saved| saved.said);
        let whole = (said_at - self.from).num_milliseconds();
        let mut parts = Vec::new();
        for (index, (from, level)) in levels.iter().enumerate() {
            let to = levels.get(index + 1).map_or(end, |(next, _)| *next);
            let (from, level) = (*from, level.level());
            let Some(time) = time else {
                parts.push(Listened { from, to, corrected: None, level });
                continue;
            };
            if index == 0 || from < said_at {
                // Spread over the levels as the ticks would have it.
                let to = to.min(said_at);
                let share = match whole {
                    ..=0 => f64::from(u8::from(index == 0)),
                    whole => (to - from).num_milliseconds() as f64 / whole as f64,
                };
                let time = TimeDelta::milliseconds((time.num_milliseconds() as f64 * share).round() as i64);
                parts.push(Listened { from, to, corrected: Some(time), level });
            }
            if to > said_at {
                parts.push(Listened { from: from.max(said_at), to, corrected: None, level });
            }
        }
        parts
    }

    /// The levels, each with the instant from which it counts: one said by hand in place of all that were told before it.
    fn levels_by_hand(&self, before: LevelTold) -> Vec<(DateTime<Utc>, LevelTold)> {
        let mut levels = self.levels.clone();
        if let Some((at, level)) = self.by_hand() {
            levels.retain(|(told, _)| *told > at);
            levels.insert(0, (self.from, level));
        }
        match levels.first_mut() {
            Some(first) => first.0 = self.from,
            None => levels.push((self.from, before)),
        }
        levels
    }

    /// A level said by hand, and when.
    fn by_hand(&self) -> Option<(DateTime<Utc>, LevelTold)> {
        self.level_by_hand.as_ref().map(|saved| (saved.at.max(self.from), saved.said))
    }

    /// The level it is at now.
    #[must_use]
    pub fn level(&self) -> Option<LevelTold> {
        let told = self.levels.last().copied();
        let by_hand = self.by_hand().filter(|(at, _)| told.is_none_or(|(told, _)| told <= *at));
        by_hand.or(told).map(|(_, level)| level)
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::record::quantity::Decibels;
    use solderlast_testkit::Chance;

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
        let correct = |session: &mut Session, time: Option<i64>, level: Option<f64>| {
            (session.time_by_hand, session.level_by_hand) = (None, None);
            session.correct(Saved { entry, at: at(50), said: () }, time.map(TimeDelta::minutes), level.map(metered));
        };
        correct(&mut session, Some(20), None);
        assert_eq!(parts(&session, at(60)), [(0, 30, Some(15), 91.0), (30, 40, Some(5), 97.0)]);
        correct(&mut session, Some(20), Some(82.0));
        assert_eq!(parts(&session, at(60)), [(0, 40, Some(20), 82.0)]);
        correct(&mut session, None, Some(82.0));
        assert_eq!(parts(&session, at(60)), [(0, 40, None, 82.0)]);

        // Up and down in one instant, or with a clock that was set back: all of it goes to the first level.
        let mut none = Session::begin(entry, at(0), Some(metered(91.0)));
        none.to = Some(at(-5));
        correct(&mut none, Some(20), None);
        assert_eq!(parts(&none, at(60)), [(0, -5, Some(20), 91.0)]);
    }

    /// Said while the sound is up, it is of what was heard until then: it stays, and what comes later adds to it.
    #[test]
    fn what_is_said_by_hand_stays_while_the_sound_goes_on() {
        let entry = EntryId(Uuid::nil());
        let mut session = Session::begin(entry, at(0), Some(metered(98.5)));
        session.tell(at(8), metered(118.0));
        session.correct(Saved { entry, at: at(9), said: () }, Some(TimeDelta::minutes(45)), None);
        let by_hand = [(0, 8, Some(40), 98.5), (8, 9, Some(5), 118.0)];
        assert_eq!(parts(&session, at(9)), by_hand);
        assert_eq!(parts(&session, at(12)), [by_hand[0], by_hand[1], (9, 12, None, 118.0)]);
        session.tell(at(12), metered(75.0));
        let loud = (9, 12, None, 118.0);
        assert_eq!(parts(&session, at(30)), [by_hand[0], by_hand[1], loud, (12, 30, None, 75.0)]);
        assert_eq!(session.level(), Some(metered(75.0)));
        session.to = Some(at(40));
        assert_eq!(parts(&session, at(90)), [by_hand[0], by_hand[1], loud, (12, 40, None, 75.0)]);

        // A level said by hand is that of all before it, and of what comes until another is told.
        let mut session = Session::begin(entry, at(0), Some(metered(118.0)));
        session.correct(Saved { entry, at: at(10), said: () }, Some(TimeDelta::minutes(5)), Some(metered(82.0)));
        assert_eq!(parts(&session, at(15)), [(0, 10, Some(5), 82.0), (10, 15, None, 82.0)]);
        assert_eq!(session.level(), Some(metered(82.0)));
        session.tell(at(15), metered(91.0));
        assert_eq!(parts(&session, at(20)), [(0, 10, Some(5), 82.0), (10, 15, None, 82.0), (15, 20, None, 91.0)]);
        assert_eq!(session.level(), Some(metered(91.0)));
        // A time said later leaves the level as it was said, and a level said later the time.
        session.correct(Saved { entry, at: at(20), said: () }, Some(TimeDelta::minutes(10)), None);
        let by_hand = [(0, 15, Some(7), 82.0), (15, 20, Some(2), 91.0)];
        assert_eq!(parts(&session, at(20)), by_hand);
        session.correct(Saved { entry, at: at(25), said: () }, None, Some(metered(70.0)));
        assert_eq!(parts(&session, at(30)), [(0, 20, Some(10), 70.0), (20, 30, None, 70.0)]);
    }

    /// Second after second: what each level gets, whenever it is asked, whatever was told when and corrected when.
    #[test]
    fn each_level_gets_the_seconds_that_were_heard_at_it() {
        let mut chance = Chance::seeded(45);
        let second = |second: i64| at(0) + TimeDelta::seconds(second);
        for round in 0..400 {
            let entry = EntryId(Uuid::nil());
            let mut session = Session::begin(entry, second(0), None);
            let ends = 60 + chance.below(600);
            let mut told: Vec<i64> = (0..chance.below(4)).map(|_| chance.below(ends)).collect();
            told.sort_unstable();
            told.dedup();
            let said_at = 1 + chance.below(ends);
            let (time, level) = (chance.below(4) > 0, chance.below(3) == 0);
            let minutes = 1 + chance.below(90);
            let mut waits = time || level;
            let mut correct = |session: &mut Session| {
                if std::mem::take(&mut waits) {
                    let by_hand = level.then(|| metered(70.0));
                    let saved = Saved { entry, at: second(said_at), said: () };
                    session.correct(saved, time.then(|| TimeDelta::minutes(minutes)), by_hand);
                }
            };
            for (index, from) in told.iter().enumerate() {
                if *from > said_at {
                    correct(&mut session);
                }
                session.tell(second(*from), metered(81.0 + index as f64));
            }
            correct(&mut session);
            let asked = ends + chance.below(400);
            // By the clock of each second.
            let at_level = |now: i64| match told.iter().rposition(|from| *from <= now) {
                _ if level && !told.iter().any(|from| *from > said_at && *from <= now) => 70.0,
                Some(index) => 81.0 + index as f64,
                None if told.is_empty() => LevelTold::ASSUMED.level().get(),
                None => 81.0,
            };
            let mut heard = std::collections::BTreeMap::<i64, f64>::new();
            for now in 0..asked {
                let weight = if time && now < said_at { minutes as f64 * 60.0 / said_at as f64 } else { 1.0 };
                *heard.entry((at_level(now) * 10.0) as i64).or_default() += weight;
            }
            let mut found = std::collections::BTreeMap::<i64, f64>::new();
            for part in session.listened(second(asked), LevelTold::ASSUMED) {
                let time = part.corrected.unwrap_or(part.to - part.from).num_milliseconds() as f64 / 1e3;
                *found.entry((part.level.get() * 10.0) as i64).or_default() += time;
            }
            found.retain(|_, seconds| *seconds > 0.0);
            let same = heard.len() == found.len()
                && heard.iter().zip(&found).all(|(one, other)| one.0 == other.0 && (one.1 - other.1).abs() < 0.01);
            assert!(same, "{round}: {heard:?} {found:?} {said_at} {asked} {session:?}");
        }
    }
}
