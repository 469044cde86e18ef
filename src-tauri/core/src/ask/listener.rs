//! Who listens: one person, with one pair of ears, one day and one rule, over all auditions.

use chrono::{DateTime, FixedOffset, Offset as _, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Refusal;
use super::contract::Reply;
use crate::audition::{Audition, LevelTold, Present};
use crate::hearing::{Day, HearingRule, HearingToday};
use crate::logbook::{About, Log, in_order};

/// How far back a time with the sound up may have begun to reach into today.
const REACHES: TimeDelta = TimeDelta::days(1);

/// Who listens, as a page shows it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ListenerView {
    /// The rule that counts.
    pub rule: HearingRule,
    /// The rules to choose from, the most careful first.
    pub rules: Vec<RuleView>,
    /// How many minutes the person's clock is ahead of UTC: it says when their day begins.
    pub minutes_ahead: i32,
    /// Today's hearing, over all auditions.
    pub today: HearingToday,
}

/// One rule to choose.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct RuleView {
    /// Which.
    pub rule: HearingRule,
    /// What it says, in a sentence.
    pub words: String,
    /// The document it is from.
    pub source: String,
}

/// What one person heard lately, in auditions and at installs, and by which rule and clock it counts.
pub(super) struct Diary {
    now: DateTime<Utc>,
    offset: FixedOffset,
    rule: HearingRule,
    heard: Vec<(About, Audition)>,
}

/// Reads what was heard lately.
///
/// # Errors
/// A [`Refusal`] when the log can't be read.
pub(super) fn diary(log: &Log, now: DateTime<Utc>) -> Result<Diary, Refusal> {
    let (rule, minutes_ahead) = log.listener()?;
    let offset = FixedOffset::east_opt(minutes_ahead.saturating_mul(60)).unwrap_or_else(|| Utc.fix());
    let day = Day::around(now, offset);
    let from = day.from.checked_sub_signed(REACHES).unwrap_or(day.from);
    let mut heard = Vec::new();
    for about in log.sound_up_between(from, day.to)? {
        let audition = Audition::fold(&in_order(log.about(about)?));
        // Nobody's ears heard what the demo bench tells of.
        if !audition.demo {
            heard.push((about, audition));
        }
    }
    Ok(Diary { now, offset, rule, heard })
}

impl Diary {
    /// The moment of looking at one audition, `of`, or at the bench.
    pub(super) fn seen_from(&self, of: Option<About>) -> Present {
        let mut present = Present { offset: self.offset, rule: self.rule, ..Present::at(self.now) };
        let today = present.day().from;
        let elsewhere = || self.heard.iter().filter(|(about, _)| Some(*about) != of).map(|(_, audition)| audition);
        let sessions = elsewhere().flat_map(|audition| &audition.sessions);
        present.heard_elsewhere = sessions.flat_map(|one| one.listened(self.now, LevelTold::ASSUMED)).collect();
        let told = elsewhere().filter_map(|audition| audition.level.as_ref()).filter(|told| told.at >= today);
        present.level_elsewhere = told.max_by_key(|told| (told.at, told.entry)).map(|told| told.said);
        present
    }
}

/// The moment of looking at one audition, `of`, or at the bench.
///
/// # Errors
/// A [`Refusal`] when the log can't be read.
pub(super) fn present(log: &Log, now: DateTime<Utc>, of: Option<About>) -> Result<Present, Refusal> {
    Ok(diary(log, now)?.seen_from(of))
}

pub(super) fn listener_reply(log: &Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
    let (rule, minutes_ahead) = log.listener()?;
    let present = present(log, now, None)?;
    let rules = HearingRule::ALL
        .into_iter()
        .map(|rule| RuleView { rule, words: rule.in_words().to_owned(), source: rule.source().to_owned() })
        .collect();
    let today = present.today(&Audition::default());
    Ok(Reply::Listener { listener: ListenerView { rule, rules, minutes_ahead, today } })
}
