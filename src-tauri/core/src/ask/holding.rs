//! Holds that stop an ask.

use chrono::{DateTime, Utc};

use crate::ask::listener::present;
use crate::ask::load::kit;
use crate::ask::{Code, Refusal};
use crate::audition::Kit;
use crate::audition::{Audition, holding};
use crate::logbook::Log;
use crate::record::entry::Entry;
use crate::record::rig::Feet;
use crate::record::tick::Tick;
use crate::safety::cautions::Moment;
use crate::safety::holds::SafetyHold;

pub(crate) fn refuse_while_held(
    log: &Log,
    before: &[(Entry, bool)],
    moment: Moment,
    now: DateTime<Utc>,
) -> Result<(), Refusal> {
    let audition = Audition::fold(before);
    let kit = kit(log, &audition, None)?;
    let about = before.first().map(|(entry, _)| entry.about);
    let present = present(log, now, about)?;
    match holding(&audition, &kit, &present, moment).first() {
        Some(hold) => Err(held(hold.hold, &hold.reason)),
        None => Ok(()),
    }
}

/// The rig is not seated on other feet than those that were asked about, where these can mark the finish.
pub(crate) fn refuse_bare_feet(
    log: &Log,
    before: &[(Entry, bool)],
    feet: Feet,
    now: DateTime<Utc>,
) -> Result<(), Refusal> {
    let mut audition = Audition::fold(before);
    let mut kit = kit(log, &audition, None)?;
    if let Some(finish) = &mut audition.finish {
        finish.said.feet = None;
    }
    audition.seating = None;
    if let Some(rig) = &mut kit.rig {
        rig.feet = feet;
    }
    let present = present(log, now, before.first().map(|(entry, _)| entry.about))?;
    match holding(&audition, &kit, &present, Moment::Seat).first() {
        Some(hold) => Err(held(hold.hold, &hold.reason)),
        None => Ok(()),
    }
}

/// While the sound is up, nothing more is written about it once today's hearing is spent. Only the ears decide, so nothing
/// else is read.
pub(crate) fn refuse_while_too_loud(log: &Log, before: &[(Entry, bool)], now: DateTime<Utc>) -> Result<(), Refusal> {
    let audition = Audition::fold(before);
    if audition.sounding().is_none() {
        return Ok(());
    }
    let present = present(log, now, before.first().map(|(entry, _)| entry.about))?;
    match holding(&audition, &Kit::default(), &present, Moment::Listen).first() {
        Some(hold) => Err(held(hold.hold, &hold.reason)),
        None => Ok(()),
    }
}

pub(crate) fn held(hold: SafetyHold, reason: &str) -> Refusal {
    let sentence = format!("{reason} {}", hold.clears());
    Refusal { code: Code::Held, sentence, field: Some(hold.id().to_owned()) }
}

/// No item of sound up is ticked over a hold, and nothing is plugged in or raised before the volume is at zero.
pub(crate) fn refuse_ticks(
    log: &Log,
    before: &[(Entry, bool)],
    ticks: &[Tick],
    now: DateTime<Utc>,
) -> Result<(), Refusal> {
    if ticks.iter().any(|tick| Tick::SOUND_UP.contains(tick)) {
        refuse_while_held(log, before, Moment::SoundUp, now)?;
    }
    refuse_before_zero(&Audition::fold(before), ticks)
}

/// Nothing is plugged in, switched on or raised before the volume is at zero.
pub(crate) fn refuse_before_zero(audition: &Audition, ticks: &[Tick]) -> Result<(), Refusal> {
    let needs_zero = |tick: &Tick| matches!(tick, Tick::PluggedIn | Tick::SwitchedOn | Tick::RaisedSlowly);
    let hold = SafetyHold::AmpNotAtZero;
    let at_zero = audition.ticks.contains_key(&Tick::VolumeAtZero) || audition.has_overridden(hold.id());
    if ticks.iter().any(needs_zero) && !at_zero { Err(held(hold, hold.reason())) } else { Ok(()) }
}
