//! Who listens: one person, with one pair of ears, one day and one rule, over all auditions.

use std::sync::Arc;

use chrono::{DateTime, TimeDelta, Utc};

use super::Refusal;
use crate::ask::forms::LevelForm;
use crate::ask::forms::typed::at;
use crate::ask::load::AsItStands;
use crate::ask::reply::Reply;
use crate::ask::views::{ListenerView, RuleView};
use crate::audition::{Audition, Present};
use crate::logbook::{Listener, Log, Trouble};
use crate::record::body::{BenchBody, Body};
use crate::record::entry::About;
use crate::record::names::EntryId;
use crate::record::sound::LevelTold;
use crate::safety::hearing::{Day, HearingRule, OwnClock, read_level, read_time};

/// How far back a time with the sound up may have begun to reach into today.
const REACHES: TimeDelta = TimeDelta::days(1);
/// The farthest a clock can be from UTC, in minutes; the widest offset in use is 14 hours.
const FARTHEST_CLOCK: i32 = 18 * 60;
/// The most letters a zone's name may have; the longest in use has 32.
const LONGEST_ZONE: usize = 64;

/// What one person heard lately, in auditions and at installs, and by which rule and clock it counts.
pub(super) struct Diary {
    now: DateTime<Utc>,
    clock: OwnClock,
    rule: HearingRule,
    heard: Vec<(About, Arc<Audition>)>,
}

/// Reads what was heard lately.
///
/// # Errors
/// A [`Refusal`] when the log can't be read.
pub(super) fn diary(log: &Log, now: DateTime<Utc>) -> Result<Diary, Refusal> {
    let Listener { rule, minutes_ahead, zone } = log.listener()?;
    let rule = rule_named(&rule);
    let clock = OwnClock::told(zone.as_deref(), minutes_ahead);
    let day = Day::around(now, clock);
    let from = day.from.checked_sub_signed(REACHES).unwrap_or(day.from);
    let mut heard = Vec::new();
    for about in log.sound_up_between(from, day.to)? {
        let AsItStands(audition) = log.found(about)?;
        // Nobody's ears heard what the demo bench tells of.
        if !audition.demo {
            heard.push((about, audition));
        }
    }
    Ok(Diary { now, clock, rule, heard })
}

impl Diary {
    /// The moment of looking at one audition, `of`, or at the bench.
    pub(super) fn seen_from(&self, of: Option<About>) -> Present {
        let mut present = Present { clock: self.clock, rule: self.rule, ..Present::at(self.now) };
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

/// Keeps what is told of who listens.
///
/// # Errors
/// A [`Refusal`] for a clock that no person has, and when the log can't be written.
pub(super) fn keep_listener(
    log: &mut Log,
    rule: Option<HearingRule>,
    minutes_ahead: Option<i32>,
    zone: Option<String>,
    now: DateTime<Utc>,
) -> Result<(), Refusal> {
    if minutes_ahead.is_some_and(|ahead| !(-FARTHEST_CLOCK..=FARTHEST_CLOCK).contains(&ahead)) {
        let sentence = "A clock is at most 18 hours ahead of UTC, or behind it.";
        return Err(Refusal::unclear("minutes_ahead", sentence));
    }
    if zone.as_ref().is_some_and(|zone| !could_be_a_zone(zone)) {
        return Err(Refusal::unclear("zone", "A time zone has a name like Europe/Lisbon."));
    }
    let before = log.listener()?;
    let counted = rule_named(&before.rule);
    let mut after = before.clone();
    if let Some(rule) = rule.filter(|rule| *rule != counted) {
        after.rule = name_of(rule)?;
    }
    after.minutes_ahead = minutes_ahead.unwrap_or(before.minutes_ahead);
    if zone.is_some() {
        after.zone = zone;
    } else if let Some(ahead) = minutes_ahead {
        // BenchFact by a page that knows no zones: the one that is kept counts as long as its clock says the same.
        after.zone = before.zone.clone().filter(|zone| OwnClock::told(Some(zone), ahead).minutes_ahead(now) == ahead);
    }
    if after != before {
        log.set_listener(&after)?;
    }
    Ok(())
}

/// The rule of this name, as it stands in the log; the careful one for a name that no rule has.
fn rule_named(name: &str) -> HearingRule {
    serde_json::from_value(name.into()).unwrap_or_default()
}

/// The name of a rule, as it stands in the log.
fn name_of(rule: HearingRule) -> Result<String, Refusal> {
    match serde_json::to_value(rule) {
        Ok(serde_json::Value::String(name)) => Ok(name),
        _ => Err(Trouble::Program("a rule has no name".to_owned()).into()),
    }
}

/// Whether this may be the IANA name of a time zone: `Europe/Lisbon`, `Etc/GMT+5`.
fn could_be_a_zone(name: &str) -> bool {
    (1..=LONGEST_ZONE).contains(&name.len())
        && name.bytes().all(|byte| byte.is_ascii_alphanumeric() || matches!(byte, b'/' | b'_' | b'-' | b'+'))
}

pub(super) fn listener_reply(log: &Log, now: DateTime<Utc>) -> Result<Reply, Refusal> {
    let Listener { rule, minutes_ahead, zone } = log.listener()?;
    let rule = rule_named(&rule);
    let minutes_ahead = OwnClock::told(zone.as_deref(), minutes_ahead).minutes_ahead(now);
    let present = present(log, now, None)?;
    let rules = HearingRule::ALL
        .into_iter()
        .map(|rule| RuleView { rule, words: rule.in_words().to_owned(), source: rule.source().to_owned() })
        .collect();
    let today = present.today(&Audition::default());
    Ok(Reply::Listener { listener: ListenerView { rule, rules, minutes_ahead, zone, today } })
}

/// A time with the sound up, said anew by hand.
pub(crate) fn corrected(
    bench: &Audition,
    session: EntryId,
    time: &str,
    level: Option<LevelForm>,
) -> Result<Body, Refusal> {
    if !bench.sessions.iter().any(|one| one.entry == session) {
        return Err(Refusal::unclear("session", "There is no such time with the sound up here."));
    }
    let minutes = if time.trim().is_empty() {
        None
    } else {
        Some(read_time(time).map_err(at("time"))?.num_milliseconds() as f64 / 60_000.0)
    };
    let level = level.map(told_level).transpose()?;
    if minutes.is_none() && level.is_none() {
        return Err(Refusal::unclear("time", "Write how long it was, like 25 min, or say how loud it was."));
    }
    Ok(Body::Bench(BenchBody::ListeningCorrected { session, minutes, level }))
}

pub(crate) fn told_level(form: LevelForm) -> Result<LevelTold, Refusal> {
    Ok(match form {
        LevelForm::Meter { typed } => LevelTold::Meter { level: read_level(&typed).map_err(at("typed"))? },
        LevelForm::Words { loudness } => LevelTold::Words { loudness },
    })
}
