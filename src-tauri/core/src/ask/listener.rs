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

/// The moment of looking at one audition, `of`, or at the bench.
///
/// # Errors
/// A [`Refusal`] when the log can't be read.
pub(super) fn present(log: &Log, now: DateTime<Utc>, of: Option<About>) -> Result<Present, Refusal> {
    let (rule, minutes_ahead) = log.listener()?;
    let offset = FixedOffset::east_opt(minutes_ahead.saturating_mul(60)).unwrap_or_else(|| Utc.fix());
    let mut present = Present { offset, rule, ..Present::at(now) };
    let day = Day::around(now, offset);
    let from = day.from.checked_sub_signed(REACHES).unwrap_or(day.from);
    let mut newest: Option<(DateTime<Utc>, LevelTold)> = None;
    let mut others = Vec::new();
    for id in log.sound_up_between(from, day.to)? {
        let about = About::Audition(id);
        if Some(about) != of {
            others.push(Audition::fold(&in_order(log.about(about)?)));
        }
    }
    for other in &others {
        if let Some(told) = other.level.as_ref().filter(|told| told.at >= day.from && !other.demo)
            && newest.is_none_or(|(at, _)| at < told.at)
        {
            newest = Some((told.at, told.said));
        }
    }
    for other in others.iter().filter(|other| !other.demo) {
        present
            .heard_elsewhere
            .extend(other.sessions.iter().flat_map(|session| session.listened(now, LevelTold::ASSUMED)));
    }
    present.level_elsewhere = newest.map(|(_, level)| level);
    Ok(present)
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
