//! The audition that others are held against, and what other entries than its own say of an audition.

use super::Refusal;
use crate::ask::load::{audition_of, newest};
use crate::audition::{Audition, AuditionView, FITTED_NOW, Kit, State, title};
use crate::decision::{SAME_PLACE, decided_lines};
use crate::listening::{Reference, pinned};
use crate::logbook::Log;
use crate::record::audition::AuditionId;
use crate::record::entry::{About, Entry};
use crate::record::guitar::{Guitar, Place};
use crate::record::pickup::Pickup;
use crate::record::quantity::Millimetres;
use crate::record::things::Thing;

/// "Pickup on guitar, place". Of an audition's things no more is read than their labels need: every reply about an audition
/// names the reference.
pub(crate) fn title_of(log: &Log, audition: &Audition) -> Result<String, Refusal> {
    let choice = audition.choice.as_ref().map(|saved| &saved.said);
    let kit = match choice {
        Some(choice) => Kit {
            pickup: Thing::fold(&log.about(About::Pickup(choice.pickup))?).map(|thing| thing.described),
            guitar: Thing::fold(&log.about(About::Guitar(choice.guitar))?).map(|thing| thing.described),
            ..Kit::default()
        },
        None => Kit::default(),
    };
    Ok(title(choice, &kit))
}

/// The audition that is pinned as the reference, if one is.
pub(crate) fn reference(log: &Log) -> Result<Option<AuditionId>, Refusal> {
    let stands = |pin: Entry| -> Result<Option<Entry>, Refusal> {
        let struck = log.about(pin.about)?.iter().any(|(entry, struck)| entry.id == pin.id && *struck);
        Ok((!struck).then_some(pin))
    };
    pinned(log.pins()?.into_iter().filter_map(|pin| stands(pin).transpose()))
}

/// Tells in an audition's view what other entries than its own say: the reference, what is fitted at its place, and whether
/// it was decided by it.
pub(crate) fn tell(log: &Log, audition: &Audition, view: &mut AuditionView) -> Result<(), Refusal> {
    if let Some(pinned) = reference(log)? {
        let this_one = pinned == view.id;
        let title = if this_one { view.title.clone() } else { title_of(log, &audition_of(log, pinned)?)? };
        view.listen.reference = Some(Reference { audition: pinned, title, this_one });
    }
    let Some(choice) = audition.choice.as_ref().map(|saved| &saved.said) else { return Ok(()) };
    if let Some(place) = view.guitar.as_ref().and_then(|guitar| place_at(guitar, choice.from_saddle)) {
        let fitted = place.fitted.and_then(|id| newest::<Pickup>(log, About::Pickup(id), "pickup").ok());
        let words = fitted.map(|pickup| pickup.label).or_else(|| Some(place.fitted_words.trim().to_owned()));
        view.listen.fitted = words.filter(|words| !words.is_empty()).unwrap_or_else(|| FITTED_NOW.to_owned());
    }
    if view.state != State::Open {
        let lines = decided_lines(&log.about(About::Guitar(choice.guitar))?);
        let by_this = lines.into_iter().find(|line| line.stands && line.audition == view.id);
        (view.decided, view.decided_in_inches) =
            by_this.map_or((None, None), |line| (Some(line.words), line.in_inches));
    }
    Ok(())
}

/// The place of a guitar's record at this distance from the saddle.
fn place_at(guitar: &Guitar, from_saddle: Millimetres) -> Option<&Place> {
    let apart = |place: &&Place| (place.from_saddle.0 - from_saddle.0).abs();
    guitar.places.iter().filter(|place| apart(place) <= SAME_PLACE.0).min_by(|a, b| apart(a).total_cmp(&apart(b)))
}
