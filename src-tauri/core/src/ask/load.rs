//! Things and auditions as the log tells them, read for an ask.

use std::collections::BTreeSet;
use std::sync::Arc;

use chrono::{DateTime, Utc};
use uuid::Uuid;

use crate::ask::Refusal;
use crate::audition::Kit;
use crate::audition::{Audition, State};
use crate::leads::lead_search;
use crate::logbook::{Found, Lists, Log, Ordered};
use crate::record::audition::AuditionId;
use crate::record::entry::{About, Entry};
use crate::record::guitar::Guitar;
use crate::record::meter::{MeterId, OwnMeter};
use crate::record::pickup::Pickup;
use crate::record::rig::Mode;
use crate::record::things::{Described, Thing};

/// How many things can be erased at once.
pub(crate) const AT_ONCE: usize = 1000;

/// What the demo bench wrote, split into what can go and what somebody's own auditions still need.
pub(crate) fn demo_things(log: &mut Log) -> Result<(Vec<About>, Vec<About>), Refusal> {
    let written = log.demo_things()?;
    let demo: BTreeSet<About> = written.iter().copied().collect();
    let (mut goes, mut stays) = (Vec::new(), Vec::new());
    for about in written {
        let mut heard = || -> Result<bool, Refusal> {
            let auditions = log.auditions_of(about)?;
            Ok(auditions.into_iter().any(|audition| !demo.contains(&About::Audition(AuditionId(audition)))))
        };
        let needed = match about {
            About::Fit(_) => false,
            About::Audition(_) => fitted_by_others(log, about, &demo)?,
            _ => heard()? || fitted_by_others(log, about, &demo)?,
        };
        if needed { stays.push(about) } else { goes.push(about) }
    }
    Ok((goes, stays))
}

/// Whether a permanent install that is not the demo bench's rests on this.
pub(crate) fn fitted_by_others(log: &mut Log, about: About, demo: &BTreeSet<About>) -> Result<bool, Refusal> {
    Ok(log.installs_of(about)?.into_iter().any(|line| !demo.contains(&About::Fit(line.fit))))
}

/// The things themselves, the auditions they were in, and the permanent installs that rest on any of them.
pub(crate) fn with_their_auditions(log: &mut Log, things: &[About]) -> Result<BTreeSet<About>, Refusal> {
    if things.len() > AT_ONCE {
        let sentence = format!("At most {AT_ONCE} things can go at once. Nothing was erased; ask for fewer.");
        return Err(Refusal::unclear("things", sentence));
    }
    let mut all = BTreeSet::new();
    for about in things {
        all.insert(*about);
        if !matches!(about, About::Audition(_)) {
            all.extend(log.auditions_of(*about)?.into_iter().map(|id| About::Audition(AuditionId(id))));
        }
    }
    for about in all.clone() {
        all.extend(log.installs_of(about)?.into_iter().map(|line| About::Fit(line.fit)));
    }
    Ok(all)
}

/// The newest description of a thing.
pub(crate) fn newest<T: Described>(log: &Log, about: About, what: &str) -> Result<T, Refusal> {
    let thing = Thing::<T>::fold(&log.about(about)?).ok_or_else(|| Refusal::not_found(what))?;
    Ok(thing.described)
}

/// The things of an audition as they were described at `until`, or as they are now.
pub(crate) fn kit(log: &Log, audition: &Audition, until: Option<DateTime<Utc>>) -> Result<Kit, Refusal> {
    let Some(choice) = audition.choice.as_ref().map(|saved| &saved.said) else { return Ok(Kit::default()) };
    // A thing that was merged in later than the audition is better told as it is now than not at all.
    fn described<T: Described>(entries: &Ordered, until: Option<DateTime<Utc>>) -> Option<T> {
        let then = until.and_then(|_| Thing::<T>::fold(&entries.until(until)));
        then.or_else(|| Thing::<T>::fold(entries)).map(|thing| thing.described)
    }
    let meter = meter_in_use(log, until)?;
    let about_pickup = log.about(About::Pickup(choice.pickup))?;
    let leads = lead_search(&about_pickup.until(until));
    let pickup: Option<Pickup> = described(&about_pickup, until);
    let about_guitar = log.about(About::Guitar(choice.guitar))?;
    let mut guitar: Option<Guitar> = described(&about_guitar, until);
    // How high the strings stand is often asked later than the first audition; it is better than a usual height.
    if let Some(guitar) = &mut guitar
        && until.is_some()
        && let Some(now) = described::<Guitar>(&about_guitar, None)
    {
        guitar.last_fret = guitar.last_fret.or(now.last_fret);
        guitar.height_bass = guitar.height_bass.or(now.height_bass);
        guitar.height_treble = guitar.height_treble.or(now.height_treble);
    }
    Ok(Kit {
        measured: pickup.as_ref().map(|pickup| leads.measured(pickup, &meter.claim)).unwrap_or_default(),
        meter,
        pickup,
        guitar,
        rig: described(&log.about(About::Rig(choice.rig))?, until),
    })
}

/// An audition, or the safety of an install, as it stands.
#[derive(Clone)]
pub(crate) struct AsItStands(pub(crate) Arc<Audition>);

impl Found for AsItStands {
    type Refused = Refusal;

    fn look(log: &Log, about: About) -> Result<Self, Refusal> {
        Ok(Self(Arc::new(Audition::fold(&log.about(about)?))))
    }
}

/// The things of an audition as they are described now.
#[derive(Clone)]
pub(crate) struct KitNow(pub(crate) Arc<Kit>);

impl Found for KitNow {
    type Refused = Refusal;

    fn look(log: &Log, about: About) -> Result<Self, Refusal> {
        let AsItStands(audition) = log.found(about)?;
        Ok(Self(Arc::new(kit(log, &audition, None)?)))
    }
}

pub(crate) fn chosen_mode(before: &[(Entry, bool)], mode: &Mode) -> Result<(), Refusal> {
    let audition = Audition::fold(before);
    if audition.choice.as_ref().is_some_and(|choice| choice.said.modes.contains(mode)) {
        Ok(())
    } else {
        Err(Refusal::unclear("mode", "This mode was not chosen for the audition. Add it under Choose first."))
    }
}

/// One audition as it stands.
pub(crate) fn audition_of(log: &Log, id: AuditionId) -> Result<Audition, Refusal> {
    let ordered = log.about(About::Audition(id))?;
    if ordered.is_empty() { Err(Refusal::not_found("audition")) } else { Ok(Audition::fold(&ordered)) }
}

/// The things of an audition as they were described while it went on.
pub(crate) fn kit_then(log: &Log, audition: &Audition) -> Result<Kit, Refusal> {
    let now = kit(log, audition, None)?;
    let (state, _) = crate::audition::state(audition, now.rig.as_ref().map(|rig| rig.terminals.len()));
    if state == State::Open { Ok(now) } else { kit(log, audition, audition.last) }
}

pub(crate) fn things<T: Described>(log: &mut Log, kind: &str, retired: bool) -> Result<Vec<(Uuid, Thing<T>)>, Refusal> {
    let things = log.things(kind, retired)?;
    Ok(things.into_iter().filter_map(|(id, entries)| Thing::fold(&entries).map(|thing| (id, thing))).collect())
}

pub(crate) fn thing<T: Described>(log: &Log, about: About, what: &str) -> Result<Thing<T>, Refusal> {
    Thing::fold(&log.about(about)?).ok_or_else(|| Refusal::not_found(what))
}

/// The meter in use, as it was described at `until` or is now.
pub(crate) fn meter_in_use(log: &Log, until: Option<chrono::DateTime<chrono::Utc>>) -> Result<OwnMeter, Refusal> {
    let entries = log.about(About::Meter(MeterId::IN_USE))?;
    let thing = Thing::<OwnMeter>::fold(&entries.until(until));
    Ok(thing.map(|thing| thing.described).unwrap_or_default())
}
