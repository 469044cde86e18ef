//! What is so at the moment of looking: the time, the person's day, and what was heard in it elsewhere.

use chrono::{DateTime, Offset, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::fold::Audition;
use super::sounding::Session;
use crate::audition::kit::Kit;
use crate::record::guitar::{FinishKind, Surface};
use crate::record::names::EntryId;
use crate::record::quantity::Decibels;
use crate::record::rig::Feet;
use crate::record::seat::Barrier;
use crate::record::sound::{LevelTold, level_shown};
use crate::record::words::capital;
use crate::safety::finish;
use crate::safety::finish::{Countdown, CountdownView};
use crate::safety::hearing::{
    Day, HearingRule, HearingState, HearingToday, Listened, LoudnessView, OwnClock, PEAKS, loudness_views, seconds_of,
    spend, time_shown,
};

/// The moment of looking, and what was heard today beside the audition that is looked at.
#[derive(Debug, Clone)]
pub struct Present {
    /// The present instant.
    pub now: DateTime<Utc>,
    /// The person's clock.
    pub clock: OwnClock,
    /// The rule that counts.
    pub rule: HearingRule,
    /// What was heard in other auditions lately.
    pub heard_elsewhere: Vec<Listened>,
    /// The level that was told last in another audition today, by who listens.
    pub level_elsewhere: Option<LevelTold>,
}

impl Present {
    /// This instant, by the careful rule, with nothing heard elsewhere, in UTC.
    #[must_use]
    pub fn at(now: DateTime<Utc>) -> Self {
        Self {
            now,
            clock: Utc.fix().into(),
            rule: HearingRule::default(),
            heard_elsewhere: Vec::new(),
            level_elsewhere: None,
        }
    }

    /// The person's day.
    #[must_use]
    pub fn day(&self) -> Day {
        Day::around(self.now, self.clock)
    }

    /// The level that counts for this audition, and whether somebody told it.
    #[must_use]
    pub fn level(&self, audition: &Audition) -> (LevelTold, bool) {
        let here = audition.sounding().and_then(Session::level).or(audition.level.as_ref().map(|saved| saved.said));
        match here.or(self.level_elsewhere) {
            Some(level) => (level, true),
            None => (LevelTold::ASSUMED, false),
        }
    }

    /// All that was heard lately, in this audition and elsewhere.
    fn heard(&self, audition: &Audition) -> Vec<Listened> {
        let before = self.level_elsewhere.unwrap_or(LevelTold::ASSUMED);
        let here = audition.sessions.iter().flat_map(|session| session.listened(self.now, before));
        here.chain(self.heard_elsewhere.iter().copied()).collect()
    }

    /// The share of today's allowance that is spent, without the words.
    pub(super) fn spent(&self, audition: &Audition) -> f64 {
        spend(self.rule, &self.heard(audition), self.day()).dose
    }

    /// Today's hearing, seen from this audition.
    #[must_use]
    pub fn today(&self, audition: &Audition) -> HearingToday {
        let (level, _) = self.level(audition);
        let sounding = audition.sounding().is_some();
        HearingToday::at(self.now, self.clock, self.rule, &self.heard(audition), Some(level.level()), sounding)
    }

    /// How the time on the finish stands, if the rig stands on one.
    #[must_use]
    pub fn on_finish(&self, audition: &Audition, kit: &Kit) -> Option<CountdownView> {
        let since = audition.stands_since?;
        let said = audition.finish.as_ref().map(|saved| &saved.said);
        let guitar = kit.guitar.as_ref().map(|guitar| &guitar.finish);
        let kind = said.map(|f| f.kind).or(guitar.map(|f| f.kind)).unwrap_or(FinishKind::Unknown);
        let surface = said.map(|f| f.surface).or(guitar.map(|f| f.surface)).unwrap_or(Surface::Unknown);
        let seated = audition.seating.as_ref().map(|saved| saved.said.feet);
        let feet = seated.or(kit.rig.as_ref().map(|rig| rig.feet)).unwrap_or(Feet::Suction);
        let barrier = said.map_or(Barrier::None, |f| f.barrier);
        let guard = finish::guard(kind, surface, said.is_some_and(|f| f.aged), feet, barrier);
        Some(Countdown::new(since, guard.limit()).at(self.now, audition.last))
    }

    /// Today's hearing as a page shows it.
    pub(super) fn hearing(&self, audition: &Audition) -> HearingView {
        let today = self.today(audition);
        let (level, told) = self.level(audition);
        let level_said = if told {
            level.in_words()
        } else {
            format!(
                "Nobody has said how loud it is, so it counts as {}: you can still talk over it.",
                level_shown(level.level())
            )
        };
        let day = self.day();
        let sessions = audition
            .sessions
            .iter()
            .filter(|session| session.end(self.now) >= day.from)
            .map(|session| {
                let parts = session.listened(self.now, self.level_elsewhere.unwrap_or(LevelTold::ASSUMED));
                let mut levels: Vec<(Decibels, f64)> = Vec::new();
                for part in parts {
                    let seconds = seconds_of(part.corrected.unwrap_or(part.to - part.from));
                    match levels.last_mut() {
                        Some((level, so_far)) if *level == part.level => *so_far += seconds,
                        _ => levels.push((part.level, seconds)),
                    }
                }
                let each = levels
                    .iter()
                    .map(|(level, seconds)| format!("{} at {}", time_shown(*seconds), level_shown(*level)));
                let levels: Vec<String> = each.collect();
                let by_hand = session.time_by_hand.is_some() || session.level_by_hand.is_some();
                let corrected = if by_hand { ", corrected by hand" } else { "" };
                SessionView {
                    session: session.entry,
                    from: session.from,
                    running: session.to.is_none(),
                    shown: format!("{}{corrected}", levels.join(", then ")),
                }
            })
            .collect();
        HearingView {
            short: short(&today, audition.sounding().is_some()),
            next_look: next_look(&today, self.now),
            today,
            sounding: audition.sounding().is_some(),
            level: told.then_some(level),
            level_said,
            loudness: loudness_views(self.rule),
            peaks: PEAKS.to_owned(),
            sessions,
        }
    }
}

/// Today's hearing in a line.
fn short(today: &HearingToday, sounding: bool) -> String {
    const ALL_DAY: f64 = 24.0 * 3600.0;
    let spent = capital(&today.spent_shown);
    match &today.left {
        // What is quiet enough to be heard all day asks no more of ears that had too much of other sound; these rest.
        Some(_) if sounding && today.state == HearingState::Spent => {
            format!("{spent} of today's hearing spent, no time left")
        }
        Some(left) if sounding && left.seconds.is_none_or(|seconds| seconds >= ALL_DAY) => {
            format!("{spent} of today's hearing spent, enough for all day at {}", level_shown(left.level))
        }
        Some(left) if sounding => format!("{spent} of today's hearing spent, {}", left.shown),
        _ => format!("{spent} of today's hearing spent"),
    }
}

/// When a page that stays open should look again, because a warning is due then.
fn next_look(today: &HearingToday, now: DateTime<Utc>) -> Option<DateTime<Utc>> {
    [today.forecast.half_at, today.forecast.spent_at].into_iter().flatten().filter(|at| *at > now).min()
}

/// Today's hearing and the level at the ear, as the pages of an audition show them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct HearingView {
    /// `46 % of today's hearing spent, 25 min left at 94 dB(A)`.
    pub short: String,
    /// Today, over all auditions.
    pub today: HearingToday,
    /// Whether the sound is up in this audition.
    pub sounding: bool,
    /// The level as somebody told it, if somebody did.
    pub level: Option<LevelTold>,
    /// The level that counts, in words, with what is assumed.
    pub level_said: String,
    /// Plain descriptions to pick from.
    pub loudness: Vec<LoudnessView>,
    /// What peaks are, and why the sum does not tell of them.
    pub peaks: String,
    /// Today's times with the sound up in this audition, to be corrected by hand.
    pub sessions: Vec<SessionView>,
    /// When a page that stays open should look again.
    #[ts(type = "string | null")]
    pub next_look: Option<DateTime<Utc>>,
}

/// One time with the sound up.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/audition.ts")]
pub struct SessionView {
    /// The entry with which the sound came up.
    pub session: EntryId,
    /// When that was.
    #[ts(type = "string")]
    pub from: DateTime<Utc>,
    /// Whether it goes on.
    pub running: bool,
    /// `25 min at 94 dB(A)`.
    pub shown: String,
}
