//! Asks for what there is to look for in the logbook, and for the history of a pickup or a guitar.

use std::collections::BTreeMap;

use uuid::Uuid;

use crate::ask::Refusal;
use crate::ask::benches::named_benches;
use crate::ask::coils::{visits_of, visits_of_pickup};
use crate::ask::load::{kit_then, things};
use crate::ask::reply::Reply;
use crate::ask::views::{Choosable, NamedProof, NamedState};
use crate::audition::{Audition, CameTo, State, agreement};
use crate::history::{History, ReadingsOver, Stay, VISITS_A_PAGE, record, stays_in, visited};
use crate::logbook::{Find, Lists, Log};
use crate::physics::meter::{Visit, health};
use crate::record::entry::About;
use crate::record::guitar::{Guitar, GuitarId};
use crate::record::names::BenchId;
use crate::record::pickup::{Pickup, PickupId};
use crate::record::rig::Rig;
use crate::record::things::Thing;

/// How many places are offered to choose from.
const MOST_PLACES: usize = 200;

/// What can be chosen to look for.
pub(super) fn choosable_reply(log: &mut Log, this: BenchId) -> Result<Reply, Refusal> {
    let mut places: Vec<String> = Vec::new();
    for place in log.places(MOST_PLACES)? {
        if !places.iter().any(|other| other.to_lowercase() == place.to_lowercase()) {
            places.push(place);
        }
    }
    let mut modes: Vec<String> = Vec::new();
    for retired in [false, true] {
        for (_, rig) in things::<Rig>(log, "rig", retired)? {
            for position in rig.described.positions {
                if !modes.contains(&position.mode.0) {
                    modes.push(position.mode.0);
                }
            }
        }
    }
    let proofs = CameTo::ALL.map(|proof| NamedProof { proof, name: proof.in_words().to_owned() }).to_vec();
    let states = [(State::Open, "Open"), (State::Finished, "Finished"), (State::EndedEarly, "Ended early")]
        .map(|(state, name)| NamedState { state, name: name.to_owned() })
        .to_vec();
    let wrote = log.benches()?;
    let mut benches = Vec::new();
    // One alone is nothing to choose from.
    if wrote.len() > 1 {
        benches = named_benches(log, this)?;
        benches.retain(|one| wrote.contains(&one.bench));
    }
    Ok(Reply::Choosable { choosable: Choosable { places, modes, proofs, states, benches } })
}

/// A pickup's history from one page to the next.
pub(super) fn of_pickup(log: &mut Log, id: PickupId, after: Option<i64>) -> Result<Reply, Refusal> {
    let about = About::Pickup(id);
    let entries = log.about(about)?;
    let thing = Thing::<Pickup>::fold(&entries).ok_or_else(|| Refusal::not_found("pickup"))?;
    let find = Find { pickup: Some(id), after, ..Find::default() };
    let mut history = page(log, about, thing.described.label, &find)?;
    if after.is_none() {
        history.record = record::<Pickup>(&entries);
        history.stays = stays(log)?
            .into_iter()
            .filter(|(stay, _)| stay.pickup == id)
            .map(|(stay, guitar)| Stay { other: guitar, ..stay })
            .collect();
        let over = health(&visits_of_pickup(log, id)?);
        history.readings.push(ReadingsOver { pickup: id, label: history.label.clone(), health: over });
    }
    Ok(Reply::History { history: Box::new(history) })
}

/// A guitar's history from one page to the next.
pub(super) fn of_guitar(log: &mut Log, id: GuitarId, after: Option<i64>) -> Result<Reply, Refusal> {
    let about = About::Guitar(id);
    let entries = log.about(about)?;
    let thing = Thing::<Guitar>::fold(&entries).ok_or_else(|| Refusal::not_found("guitar"))?;
    let find = Find { guitar: Some(id), after, ..Find::default() };
    let mut history = page(log, about, thing.described.label, &find)?;
    if after.is_none() {
        history.record = record::<Guitar>(&entries);
        let mut stays = stays_in(id, &entries);
        for stay in &mut stays {
            stay.other = label_of(log, stay.pickup)?;
        }
        history.stays = newest_first(stays);
        let mut by_pickup: BTreeMap<PickupId, Vec<Visit>> = BTreeMap::new();
        for (pickup, visit) in visits_of(log, about)? {
            by_pickup.entry(pickup).or_default().push(visit);
        }
        for (pickup, visits) in by_pickup {
            let over = health(&visits);
            if !over.coils.is_empty() {
                history.readings.push(ReadingsOver { pickup, label: label_of(log, pickup)?, health: over });
            }
        }
        history.readings.sort_by(|one, other| one.label.cmp(&other.label).then(one.pickup.cmp(&other.pickup)));
    }
    Ok(Reply::History { history: Box::new(history) })
}

/// One page of the auditions of a thing, and nothing yet of the rest.
fn page(log: &mut Log, about: About, label: String, find: &Find) -> Result<History, Refusal> {
    let found = log.find_some(find, VISITS_A_PAGE)?;
    let mut visits = Vec::with_capacity(found.lines.len());
    for line in found.lines {
        let audition = Audition::fold(&log.about(About::Audition(line.audition))?);
        let agreement = agreement(&audition, &kit_then(log, &audition)?);
        visits.push(visited(line, &audition, agreement.as_ref()));
    }
    Ok(History {
        label,
        count: log.count_auditions_of(about)?,
        visits,
        after: found.after,
        readings: Vec::new(),
        stays: Vec::new(),
        record: Vec::new(),
    })
}

/// Every stay in every guitar with the guitar's label, the newest first.
fn stays(log: &mut Log) -> Result<Vec<(Stay, String)>, Refusal> {
    let mut guitars: Vec<(Uuid, String)> = Vec::new();
    for retired in [false, true] {
        guitars.extend(
            things::<Guitar>(log, "guitar", retired)?.into_iter().map(|(id, thing)| (id, thing.described.label)),
        );
    }
    let mut all = Vec::new();
    for (id, label) in guitars {
        let ordered = log.about(About::Guitar(GuitarId(id)))?;
        all.extend(stays_in(GuitarId(id), &ordered).into_iter().map(|stay| (stay, label.clone())));
    }
    all.sort_by(|(one, _), (other, _)| newer(one, other));
    Ok(all)
}

fn newest_first(mut stays: Vec<Stay>) -> Vec<Stay> {
    stays.sort_by(newer);
    stays
}

fn newer(one: &Stay, other: &Stay) -> std::cmp::Ordering {
    let key = |stay: &Stay| (stay.until.is_some(), std::cmp::Reverse(stay.from), stay.guitar, stay.place.clone());
    key(one).cmp(&key(other))
}

fn label_of(log: &Log, pickup: PickupId) -> Result<String, Refusal> {
    let thing = Thing::<Pickup>::fold(&log.about(About::Pickup(pickup))?);
    Ok(thing.map_or_else(|| "A pickup no longer in the log".to_owned(), |thing| thing.described.label))
}
