//! The takes that somebody chose to hear beside each other, with what is known of them.

use crate::ask::Refusal;
use crate::ask::comparison::compared;
use crate::ask::load::newest;
use crate::audition::{Audition, Take};
use crate::comparison::{Compared, Made, Weight, unlike};
use crate::install::Install;
use crate::logbook::Log;
use crate::record::audition::AuditionId;
use crate::record::blind::{MOST_UNFAIR, TAKES};
use crate::record::entry::About;
use crate::record::guitar::{Guitar, GuitarId};
use crate::record::names::EntryId;
use crate::record::pickup::{Pickup, PickupId};
use crate::record::quantity::{InInches, Millimetres};
use crate::record::rig::Mode;

/// A take that was chosen.
#[derive(Debug, Clone)]
pub(super) struct Chosen {
    pub entry: EntryId,
    pub take: Take,
    pub pickup: Option<PickupId>,
    pub label: String,
    pub audition: Option<AuditionId>,
    pub guitar: Option<GuitarId>,
    pub from_saddle: Option<Millimetres>,
    /// The audition, to hold its conditions against another's.
    pub compared: Option<Compared>,
    /// Another take of the same, made and played alike, that was not chosen.
    pub again: Option<Take>,
}

impl Chosen {
    /// The mode it was recorded in.
    pub fn mode(&self) -> Option<&Mode> {
        self.take.recorded.mode.as_ref()
    }
}

/// The takes of these names.
pub(super) fn chosen(log: &Log, takes: &[EntryId]) -> Result<Vec<Chosen>, Refusal> {
    if !TAKES.contains(&takes.len()) {
        return Err(Refusal::unclear("takes", "Choose two to four takes to hear beside each other."));
    }
    let all: Vec<Chosen> = takes.iter().map(|take| one(log, *take, takes)).collect::<Result<_, _>>()?;
    let twice =
        |(at, one): (usize, &Chosen)| all[..at].iter().any(|other| other.take.sound.take == one.take.sound.take);
    if all.iter().enumerate().any(twice) {
        return Err(Refusal::unclear("takes", "One take is chosen twice. Choose another one beside it."));
    }
    Ok(all)
}

fn one(log: &Log, entry: EntryId, beside: &[EntryId]) -> Result<Chosen, Refusal> {
    let about = log.entry(entry)?.ok_or_else(|| Refusal::not_found("take"))?.about;
    let ordered = log.about(about)?;
    let audition = Audition::fold(&ordered);
    let found = audition.takes.iter().find(|saved| saved.entry == entry);
    let take = found.ok_or_else(|| Refusal::not_found("take"))?.said.clone();
    // Computed through other parts it is another sound, and a recording is no copy of what was computed.
    fn through(take: &Take) -> Option<&String> {
        take.recorded.computed.as_ref().map(|computed| &computed.through)
    }
    let alike = |other: &Take| {
        other.recorded.played == take.recorded.played
            && other.recorded.mode == take.recorded.mode
            && through(other) == through(&take)
            && other.sound.take != take.sound.take
    };
    // One that is a candidate of its own is no control: what is heard between these two is asked already.
    let others = audition.takes.iter().rev().filter(|saved| !beside.contains(&saved.entry));
    let again = others.map(|saved| &saved.said).find(|other| alike(other)).cloned();
    let label = |id: PickupId| newest::<Pickup>(log, About::Pickup(id), "pickup").map(|pickup| pickup.label);
    let mut chosen = Chosen {
        entry,
        take,
        again,
        pickup: None,
        label: "A pickup".to_owned(),
        audition: None,
        guitar: None,
        from_saddle: None,
        compared: None,
    };
    match about {
        About::Audition(id) => {
            chosen.audition = Some(id);
            let choice = chosen.take.conditions.choice.clone();
            if let Some(choice) = choice.or_else(|| audition.choice.as_ref().map(|saved| saved.said.clone())) {
                chosen.pickup = Some(choice.pickup);
                chosen.guitar = Some(choice.guitar);
                chosen.from_saddle = Some(choice.from_saddle);
            }
            chosen.compared = compared(log, id, None).ok();
        }
        About::Fit(_) => {
            if let Some(on) = Install::fold(&ordered).on.map(|saved| saved.said) {
                chosen.from_saddle = newest::<Guitar>(log, About::Guitar(on.guitar), "guitar")
                    .ok()
                    .and_then(|guitar| Some(guitar.places.iter().find(|place| place.name == on.place)?.from_saddle));
                chosen.pickup = Some(on.pickup);
                chosen.guitar = Some(on.guitar);
            }
        }
        About::Pickup(id) => chosen.pickup = Some(id),
        About::Guitar(_) | About::Rig(_) | About::Meter(_) | About::Bench(_) => {}
    }
    if let Some(known) = chosen.pickup.and_then(|id| label(id).ok()) {
        chosen.label = known;
    }
    // Wherever its name stands, it says that nobody played this.
    if chosen.take.recorded.computed.is_some() {
        chosen.label.push_str(" as installed (computed)");
    }
    Ok(chosen)
}

/// What was not the same for all of them and can be heard, in sentences; each is held against the first; beside them the
/// same in inches.
pub(super) fn unfair(all: &[Chosen], names: &[String]) -> (Vec<String>, Vec<Option<InInches>>) {
    let made: Vec<Made> = all
        .iter()
        .zip(names)
        .map(|(one, name)| Made {
            name,
            of: one.compared.as_ref(),
            recorded: &one.take.recorded,
            sound: &one.take.sound,
            conditions: &one.take.conditions,
        })
        .collect();
    let Some((first, others)) = made.split_first() else { return (Vec::new(), Vec::new()) };
    let mut found: Vec<(String, Option<InInches>)> = Vec::new();
    for other in others {
        let (sentences, beside) = InInches::told_each(|unit| {
            let heard = unlike(first, other, unit).into_iter().filter(|unlike| unlike.weight != Weight::Harmless);
            heard.map(|unlike| unlike.sentence).collect()
        });
        for (at, sentence) in sentences.into_iter().enumerate() {
            if found.iter().all(|(known, _)| *known != sentence) {
                found.push((sentence, beside.get(at).cloned().flatten()));
            }
        }
    }
    found.truncate(MOST_UNFAIR);
    let (sentences, beside): (Vec<String>, Vec<Option<InInches>>) = found.into_iter().unzip();
    (sentences, InInches::where_told(beside))
}
