//! The takes that somebody chose to hear beside each other, with what is known of them.

use crate::ask::Refusal;
use crate::ask::comparison::compared;
use crate::ask::load::newest;
use crate::audition::{Audition, Take};
use crate::comparison::{Compared, Heard, Weight, differences};
use crate::install::Install;
use crate::logbook::Log;
use crate::record::audition::AuditionId;
use crate::record::blind::{MOST_UNFAIR, TAKES};
use crate::record::entry::{About, in_order};
use crate::record::guitar::GuitarId;
use crate::record::names::EntryId;
use crate::record::pickup::{Pickup, PickupId};
use crate::record::quantity::{LengthUnit, Millimetres};
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
    /// Another take of the same, made and played alike.
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
    let all: Vec<Chosen> = takes.iter().map(|take| one(log, *take)).collect::<Result<_, _>>()?;
    let twice =
        |(at, one): (usize, &Chosen)| all[..at].iter().any(|other| other.take.sound.take == one.take.sound.take);
    if all.iter().enumerate().any(twice) {
        return Err(Refusal::unclear("takes", "One take is chosen twice. Choose another one beside it."));
    }
    Ok(all)
}

fn one(log: &Log, entry: EntryId) -> Result<Chosen, Refusal> {
    let about = log.entry(entry)?.ok_or_else(|| Refusal::not_found("take"))?.about;
    let ordered = in_order(log.about(about)?);
    let audition = Audition::fold(&ordered);
    let found = audition.takes.iter().find(|saved| saved.entry == entry);
    let take = found.ok_or_else(|| Refusal::not_found("take"))?.said.clone();
    let alike = |other: &Take| {
        other.recorded.played == take.recorded.played
            && other.recorded.mode == take.recorded.mode
            && other.sound.take != take.sound.take
    };
    let again = audition.takes.iter().rev().map(|saved| &saved.said).find(|other| alike(other)).cloned();
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
                chosen.pickup = Some(on.pickup);
                chosen.guitar = Some(on.guitar);
            }
        }
        About::Pickup(id) => chosen.pickup = Some(id),
        About::Guitar(_) | About::Rig(_) | About::Meter(_) => {}
    }
    if let Some(known) = chosen.pickup.and_then(|id| label(id).ok()) {
        chosen.label = known;
    }
    Ok(chosen)
}

/// What was not the same for all of them, in sentences; each is held against the first.
pub(super) fn unfair(all: &[Chosen], names: &[String]) -> Vec<String> {
    let mut found = Vec::new();
    let Some((first, others)) = all.split_first() else { return found };
    for (other, name) in others.iter().zip(names.iter().skip(1)) {
        let first_name = names.first().map_or("", String::as_str);
        found.extend(recorded_differently(first, other, [first_name, name]));
        found.extend(heard_differently(first, other, [first_name, name]));
    }
    found.truncate(MOST_UNFAIR);
    found
}

fn recorded_differently(one: &Chosen, other: &Chosen, [first, second]: [&str; 2]) -> Vec<String> {
    let told = |text: &str| if text.is_empty() { None } else { Some(text.to_owned()) };
    let (one, other) = (&one.take.recorded, &other.take.recorded);
    let each = [
        ("What was played", Some(one.played.in_words().to_owned()), Some(other.played.in_words().to_owned())),
        (
            "What it went through",
            one.through.map(|through| through.in_words().to_owned()),
            other.through.map(|through| through.in_words().to_owned()),
        ),
        ("The gain", told(&one.gain), told(&other.gain)),
        ("The load", one.load.map(|load| load.shown()), other.load.map(|load| load.shown())),
        (
            "The cable",
            one.cable.map(|cable| cable.in_words().to_owned()),
            other.cable.map(|cable| cable.in_words().to_owned()),
        ),
        ("The device", told(&one.device), told(&other.device)),
    ];
    let differs = |(what, one, other): (&str, Option<String>, Option<String>)| {
        let said = |text: Option<String>| text.unwrap_or_else(|| "not told".to_owned());
        (one != other).then(|| format!("{what} was not the same: {first} {}, {second} {}.", said(one), said(other)))
    };
    each.into_iter().filter_map(differs).collect()
}

fn heard_differently(one: &Chosen, other: &Chosen, [first, second]: [&str; 2]) -> Vec<String> {
    let (Some(of), Some(of_other)) = (&one.compared, &other.compared) else {
        return vec![format!("Where {first} and {second} were recorded is not known of both.")];
    };
    let unknown = Mode::new("");
    let heard = Heard { name: first, of, mode: one.mode().unwrap_or(&unknown), conditions: &one.take.conditions };
    let beside = Heard {
        name: second,
        of: of_other,
        mode: other.mode().unwrap_or(&unknown),
        conditions: &other.take.conditions,
    };
    let (found, _) = differences(heard, beside, LengthUnit::Millimetre);
    found.into_iter().filter(|one| one.weight != Weight::Harmless).map(|one| one.sentence).collect()
}
