//! A permanent install as the log tells it.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, Utc};

use crate::ask::Refusal;
use crate::ask::benches::sign;
use crate::ask::listener::present;
use crate::ask::load::{kit_then, meter_in_use, things};
use crate::ask::reply::Reply;
use crate::audition::{Audition, Kit, agreement, hookup_by_record};
use crate::decision::decided_lines;
use crate::install::{
    CircuitLook, Install, InstallKit, InstallState, InstallView, LaidBefore, LivesIn, PickupThatStays, circuit_of,
    side_by_side, view,
};
use crate::leads::lead_search;
use crate::logbook::{Found, InstallLine, Lists, Log, Ordered};
use crate::measured;
use crate::physics::measured::Measured;
use crate::physics::meter::{AgreementKind, Joined};
use crate::physics::wiring::{ModeWiring, mode_wirings};
use crate::record::body::{Body, StayBody};
use crate::record::claim::Meter;
use crate::record::entry::{About, Entry};
use crate::record::guitar::{Guitar, GuitarId};
use crate::record::install::{InstallAnswer, InstallId};
use crate::record::pickup::{Pickup, PickupId};
use crate::record::quantity::LengthUnit;
use crate::record::things::Thing;

/// One permanent install as it stands now.
pub(crate) fn install_reply(log: &mut Log, id: InstallId, now: DateTime<Utc>) -> Result<Reply, Refusal> {
    log.at_one_moment(|log| {
        let mut fit = Box::new(install_view(log, id, now)?);
        let ordered = log.about(About::Fit(id))?;
        sign(log, &ordered, &mut fit.written)?;
        Ok(Reply::Fit { fit })
    })
}

/// An install as its page shows it: a step that says something else than when it was looked at is open again. What it rests on
/// is read only where a step can be.
#[derive(Clone)]
struct AsShown(Arc<Install>);

impl Found for AsShown {
    type Refused = Refusal;

    fn look(log: &Log, about: About) -> Result<Self, Refusal> {
        let install = Install::fold(&log.about(about)?);
        if !install.hangs_on_what_is_shown() {
            return Ok(Self(Arc::new(install)));
        }
        let kit = kit(log, &install)?;
        Ok(Self(Arc::new(install.as_shown(&kit))))
    }
}

/// The install of this line, which tells how far it got as the page shows it.
pub(in crate::ask) fn as_shown(log: &Log, line: &mut InstallLine) -> Result<Arc<Install>, Refusal> {
    let AsShown(install) = log.found(About::Fit(line.fit))?;
    line.tell(&install);
    Ok(install)
}

/// What reaches the amplifier from an install.
pub(super) fn circuit_reply(log: &Log, id: InstallId, look: Option<CircuitLook>) -> Result<Reply, Refusal> {
    if let Some(look) = &look {
        if let Some((field, sentence)) = look.parts.wrong() {
            return Err(Refusal::unclear(&format!("parts.{field}"), sentence));
        }
        for (field, knob) in [("volume", look.volume), ("tone", look.tone), ("blend", look.blend)] {
            if !(0.0..=10.0).contains(&knob) {
                return Err(Refusal::unclear(field, "A knob stands between 0 and 10."));
            }
        }
    }
    let install = Install::fold(&log.about(About::Fit(id))?);
    let kit = kit(log, &install)?;
    Ok(Reply::Circuit { circuit: Box::new(circuit_of(&install, &kit, look)) })
}

pub(super) fn install_view(log: &Log, id: InstallId, now: DateTime<Utc>) -> Result<InstallView, Refusal> {
    let about = About::Fit(id);
    let ordered = log.about(about)?;
    let install = Install::fold(&ordered);
    let kit = kit(log, &install)?;
    let present = present(log, now, Some(about))?;
    Ok(view(id, &ordered, &kit, &present))
}

/// What an install rests on, as it stands now; once it is done, as it stood then.
pub(in crate::ask) fn kit(log: &Log, install: &Install) -> Result<InstallKit, Refusal> {
    let on = install.on.as_ref().ok_or_else(|| Refusal::not_found("fit sheet"))?.said.clone();
    let until = install.done.as_ref().map(|saved| saved.at);
    // The act that makes it done changes the guitar as well; the sheet shows the guitar as it was before.
    let then = |entries: &Ordered| entries.only(|entry| until.is_none_or(|until| entry.at < until));
    let audition = Audition::fold(&log.about(About::Audition(on.audition))?);
    let heard = kit_then(log, &audition)?;
    let about_pickup = then(&log.about(About::Pickup(on.pickup))?);
    let meter = meter_in_use(log, until)?;
    // What the audition's readings imply is the newest that is known of its coils; else what was measured at the leads.
    let implied = agreement(&audition, &heard).filter(|found| found.kind == AgreementKind::Agrees);
    let leads = lead_search(&about_pickup);
    let pickup = Thing::<Pickup>::fold(&about_pickup).map(|thing| thing.described);
    let measured = match implied.map(|found| found.implied).filter(|implied| !implied.is_empty()) {
        Some(implied) => implied,
        None => pickup.as_ref().map(|pickup| leads.measured(pickup, &meter.claim)).unwrap_or_default(),
    };
    let about_guitar = then(&log.about(About::Guitar(on.guitar))?);
    let lines = decided_lines(&about_guitar);
    let mut decided = lines.iter().filter(|line| line.stands && line.pickup == on.pickup);
    // What was decided for this place; else what was decided by this audition.
    let decided = decided
        .clone()
        .find(|line| line.place.eq_ignore_ascii_case(&on.place))
        .or_else(|| decided.find(|line| line.audition == on.audition))
        .map(|line| line.mode.clone());
    let guitar = Thing::<Guitar>::fold(&about_guitar).map(|thing| thing.described);
    let (mut staying, mut laid) = (BTreeMap::new(), Vec::new());
    for place in guitar.iter().flat_map(|guitar| &guitar.places).filter(|place| place.name != on.place) {
        if let Some(pickup) = place.fitted {
            let ordered = then(&log.about(About::Pickup(pickup))?);
            let installed = installed_there(&ordered, on.guitar, &place.name);
            laid.extend(laid_by(log, installed, &place.name)?);
            staying.extend(stays(log, &ordered, installed, &meter.claim)?.map(|known| (place.name.clone(), known)));
        }
    }
    let out = guitar.iter().flat_map(|guitar| &guitar.places).find(|place| place.name == on.place);
    let coming_out = match out.and_then(|place| place.fitted).filter(|pickup| *pickup != on.pickup) {
        Some(pickup) => {
            let entries = log.about(About::Pickup(pickup))?;
            let installed = installed_there(&then(&entries), on.guitar, &on.place);
            laid.extend(laid_by(log, installed, &on.place)?);
            Thing::<Pickup>::fold(&entries).map(|thing| thing.described)
        }
        None => None,
    };
    Ok(InstallKit {
        joined: leads_joined(&audition, &heard, &about_pickup, pickup.as_ref()),
        on,
        audition,
        heard,
        guitar,
        staying,
        coming_out,
        laid,
        sounding: pickup.as_ref().and_then(|pickup| sounding_of(&about_pickup, pickup)),
        pickup,
        measured,
        tapped: leads.tapped(),
        meter,
        decided,
        sits: install
            .tested
            .values()
            .filter_map(|saved| match &saved.said {
                InstallAnswer::Sits { place, sits } => Some((place.clone(), Some(*sits))),
                InstallAnswer::SitsUnknown { place } => Some((place.clone(), None)),
                _ => None,
            })
            .collect(),
    })
}

/// What is known of a pickup that stays, told of by these entries and put in by this install; nothing of one that is not in the drawer.
fn stays(
    log: &Log,
    ordered: &Ordered,
    installed: Option<InstallId>,
    meter: &Meter,
) -> Result<Option<PickupThatStays>, Refusal> {
    let Some(thing) = Thing::<Pickup>::fold(ordered) else { return Ok(None) };
    let pickup = thing.described;
    let wired = match installed {
        Some(fit) => wired_by(log, fit, &pickup, ordered)?,
        None => None,
    };
    let leads = lead_search(ordered);
    let sounding = sounding_of(ordered, &pickup);
    let at_leads = leads.measured(&pickup, meter);
    let measured = match &sounding {
        Some(found) if at_leads.is_empty() => measured::ohms_of(found),
        _ => at_leads,
    };
    Ok(Some(PickupThatStays { measured, sounding, tapped: leads.tapped(), wired, pickup }))
}

/// The leads in the rig's terminals for an install of a pickup with these entries.
fn leads_joined(audition: &Audition, heard: &Kit, about: &Ordered, pickup: Option<&Pickup>) -> Vec<Joined> {
    let hooked = audition.hooked.values().map(|saved| saved.at).max();
    let then = hooked.and_then(|at| Thing::<Pickup>::fold(&about.until(Some(at)))).map(|thing| thing.described);
    hookup_by_record(audition, heard.rig.as_ref(), [then.as_ref(), pickup])
}

/// What a pickup's coils are to sound by what was measured; nothing where not all of them were.
fn sounding_of(ordered: &[(Entry, bool)], pickup: &Pickup) -> Option<Measured> {
    let found = measured::of(ordered)?.measured;
    pickup.coils.iter().all(|coil| found.coil(coil.name).is_some()).then_some(found)
}

/// The install that put a pickup where it sits.
fn installed_there(ordered: &[(Entry, bool)], guitar: GuitarId, place: &str) -> Option<InstallId> {
    let last = ordered.iter().rev().filter(|(_, struck)| !struck).find_map(|(entry, _)| {
        let Body::Stay(body) = entry.body.known()? else { return None };
        match body {
            StayBody::Installed { guitar: into, place: at, fit } => {
                Some((*into == guitar && at == place).then_some(*fit))
            }
            StayBody::TakenOut { .. } => Some(None),
            StayBody::Fitted { .. } => None,
        }
    });
    last.flatten()
}

/// What the install of a pickup had the selector do for it; nothing where it chooses places only.
fn laid_by(log: &Log, installed: Option<InstallId>, place: &str) -> Result<Option<LaidBefore>, Refusal> {
    let Some(fit) = installed else { return Ok(None) };
    let plan = Install::fold(&log.about(About::Fit(fit))?).plan.map(|saved| saved.said);
    let plan = plan.filter(|plan| plan.selector.is_some());
    Ok(plan.map(|plan| LaidBefore { place: place.to_owned(), plan }))
}

/// How an install soldered a pickup; nothing where a switch changes it.
fn wired_by(log: &Log, fit: InstallId, pickup: &Pickup, about: &Ordered) -> Result<Option<ModeWiring>, Refusal> {
    let install = Install::fold(&log.about(About::Fit(fit))?);
    let (Some(on), Some(plan)) = (&install.on, &install.plan) else { return Ok(None) };
    let (audition, plan) = (on.said.audition, &plan.said);
    if plan.switch.is_some() {
        return Ok(None);
    }
    let audition = Audition::fold(&log.about(About::Audition(audition))?);
    let heard = kit_then(log, &audition)?;
    let Some(rig) = &heard.rig else { return Ok(None) };
    // It was soldered by what its record told then.
    let done = install.done.as_ref().map(|saved| saved.at);
    let soldered = about.only(|entry| done.is_none_or(|done| entry.at < done));
    let told = Thing::<Pickup>::fold(&soldered).map(|thing| thing.described);
    let joined = leads_joined(&audition, &heard, &soldered, told.as_ref());
    let wirings = mode_wirings(pickup, rig, &joined);
    let mut wired = wirings.into_iter().find(|wiring| plan.modes.first() == Some(&wiring.mode));
    if let Some(wired) = wired.as_mut().filter(|_| plan.turned) {
        std::mem::swap(&mut wired.ground, &mut wired.hot);
    }
    Ok(wired)
}

/// Fit sheets side by side.
pub(super) fn sheets_reply(
    log: &Log,
    fits: &[InstallId],
    unit: LengthUnit,
    now: DateTime<Utc>,
) -> Result<Reply, Refusal> {
    let differ = fits.iter().enumerate().all(|(at, one)| !fits[..at].contains(one));
    if !(2..=4).contains(&fits.len()) || !differ {
        return Err(Refusal::unclear("fits", "Name two to four different fit sheets."));
    }
    let views = fits.iter().map(|id| install_view(log, *id, now)).collect::<Result<Vec<_>, _>>()?;
    Ok(Reply::Sheets { sheets: Box::new(side_by_side(&views, unit)) })
}

/// Installs of a thing, and where a pickup lives.
pub(crate) fn installs_reply(log: &mut Log, about: About) -> Result<Reply, Refusal> {
    let mut fits: Vec<InstallLine> =
        log.installs_of(about)?.into_iter().filter(|line| line.state != InstallState::StruckOut).collect();
    for line in fits.iter_mut().filter(|line| line.state == InstallState::Open) {
        as_shown(log, line)?;
    }
    let lives_in = match about {
        About::Pickup(pickup) => living(log)?.remove(&pickup),
        About::Guitar(_) | About::Rig(_) | About::Audition(_) | About::Meter(_) | About::Fit(_) | About::Bench(_) => {
            None
        }
    };
    Ok(Reply::Fits { fits, lives_in })
}

/// Where each pickup lives that sits in a guitar. Guitars tell it; one that is in use counts before one put away.
pub(crate) fn living(log: &mut Log) -> Result<BTreeMap<PickupId, LivesIn>, Refusal> {
    let mut living = BTreeMap::new();
    for retired in [false, true] {
        for (id, thing) in things::<Guitar>(log, "guitar", retired)? {
            for place in &thing.described.places {
                if let Some(pickup) = place.fitted {
                    let guitar = GuitarId(id);
                    let words = format!("in {}, {}", thing.described.label, place.name);
                    living.entry(pickup).or_insert(LivesIn { guitar, place: place.name.clone(), words });
                }
            }
        }
    }
    Ok(living)
}
