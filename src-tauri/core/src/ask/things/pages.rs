//! The pages of pickups, guitars and rigs, and their lists.

use chrono::{DateTime, Utc};

use super::meter::meter_reply;
use crate::ask::Refusal;
use crate::ask::audition::view::audition_reply;
use crate::ask::benches::benches_reply;
use crate::ask::coils::measured_last;
use crate::ask::forms::guitar::GuitarForm;
use crate::ask::forms::pickup::PickupForm;
use crate::ask::forms::rig::RigForm;
use crate::ask::install::load::{install_reply, living};
use crate::ask::load::{thing, things};
use crate::ask::reply::Reply;
use crate::ask::views::{GuitarLine, GuitarPage, PickupLine, PickupPage, PlaceShown, RigLine, RigPage};
use crate::decision::decided_lines;
use crate::install::LivesIn;
use crate::logbook::{Find, Lists, Log};
use crate::physics::meter;
use crate::record::entry::About;
use crate::record::guitar::{Guitar, GuitarId, Hand};
use crate::record::pickup::{Pickup, PickupId};
use crate::record::quantity::{InInches, Length, LengthUnit, Ohms};
use crate::record::rig::{Rig, RigId};
use crate::record::things::Thing;

/// What a write answers: the thing it was about, as it stands now.
pub(crate) fn show(log: &mut Log, about: About, now: DateTime<Utc>) -> Result<Reply, Refusal> {
    match about {
        About::Pickup(id) => pickup_page(log, id, LengthUnit::Millimetre),
        About::Guitar(id) => guitar_page(log, id, LengthUnit::Millimetre),
        About::Rig(id) => rig_page(log, id, LengthUnit::Millimetre),
        About::Audition(id) => audition_reply(log, id, now),
        About::Meter(_) => meter_reply(log),
        About::Fit(id) => install_reply(log, id, now),
        About::Bench(id) => benches_reply(log, id),
    }
}

pub(super) fn drawer(log: &mut Log, retired: bool) -> Result<Reply, Refusal> {
    let mut living = living(log)?;
    let mut pickups: Vec<PickupLine> = things(log, "pickup", retired)?
        .into_iter()
        .map(|(id, thing)| pickup_line(PickupId(id), thing, living.remove(&PickupId(id))))
        .collect();
    // Loose ones first: they can be laid into a rig as they are.
    pickups.sort_by_key(|line| line.lives_in.is_some());
    Ok(Reply::Drawer { pickups })
}

pub(super) fn guitars(log: &mut Log, retired: bool) -> Result<Reply, Refusal> {
    let guitars = things(log, "guitar", retired)?;
    Ok(Reply::Guitars { guitars: guitars.into_iter().map(|(id, thing)| guitar_line(GuitarId(id), thing)).collect() })
}

pub(super) fn rigs(log: &mut Log, retired: bool) -> Result<Reply, Refusal> {
    let rigs = things(log, "rig", retired)?;
    Ok(Reply::Rigs { rigs: rigs.into_iter().map(|(id, thing)| rig_line(RigId(id), thing)).collect() })
}

fn pickup_line(id: PickupId, thing: Thing<Pickup>, lives_in: Option<LivesIn>) -> PickupLine {
    let summary = pickup_summary(&thing.described);
    PickupLine {
        id,
        summary: lives_in.as_ref().map_or(summary.clone(), |at| format!("{summary}; lives {}", at.words)),
        lives_in,
        not_covered: not_covered(&thing.described),
        pickup: thing.described,
        retired: thing.retired,
        demo: thing.demo,
    }
}

/// Stands where no coil is stated.
const NOT_KNOWN: &str = "resistance not known";

fn not_covered(pickup: &Pickup) -> Option<String> {
    meter::not_covered(pickup, None).map(|why| why.sentence().to_owned())
}

fn pickup_summary(pickup: &Pickup) -> String {
    let coils: Vec<String> =
        pickup.coils.iter().map(|coil| coil.stated.map_or_else(|| "?".to_owned(), Ohms::shown)).collect();
    let leads = match pickup.leads.len() {
        0 => "leads not written down".to_owned(),
        1 => "1 lead".to_owned(),
        count => format!("{count} leads"),
    };
    let stated =
        if pickup.coils.iter().any(|coil| coil.stated.is_some()) { coils.join(" and ") } else { NOT_KNOWN.to_owned() };
    format!("{}, {stated}, {leads}", pickup.construction.in_words())
}

fn guitar_line(id: GuitarId, thing: Thing<Guitar>) -> GuitarLine {
    let (summary, summary_in_inches) = InInches::told(|unit| guitar_summary(&thing.described, unit));
    GuitarLine {
        id,
        summary,
        summary_in_inches,
        sides: crate::physics::sides::sides(Some(&thing.described)),
        places: places(&thing.described),
        guitar: thing.described,
        retired: thing.retired,
        demo: thing.demo,
    }
}

fn places(guitar: &Guitar) -> Vec<PlaceShown> {
    guitar
        .places
        .iter()
        .map(|place| PlaceShown {
            name: place.name.clone(),
            from_saddle: place.from_saddle.into(),
            from_saddle_treble: place.from_saddle_treble.map(Length::from),
        })
        .collect()
}

fn guitar_summary(guitar: &Guitar, unit: LengthUnit) -> String {
    let hand = match guitar.hand {
        Hand::Right => "right-handed",
        Hand::Left => "left-handed",
    };
    let strung = match guitar.strung.filter(|strung| *strung != guitar.hand) {
        Some(Hand::Right) => ", strung for the right hand",
        Some(Hand::Left) => ", strung for the left hand",
        None => "",
    };
    format!(
        "{} strings, {hand}{strung}, scale {}, {}",
        guitar.strings.len(),
        guitar.scale.shown(unit),
        guitar.finish.kind.in_words()
    )
}

fn rig_line(id: RigId, thing: Thing<Rig>) -> RigLine {
    RigLine {
        id,
        summary: rig_summary(&thing.described),
        rig: thing.described,
        retired: thing.retired,
        demo: thing.demo,
    }
}

fn rig_summary(rig: &Rig) -> String {
    let modes: Vec<_> = rig.positions.iter().map(|position| position.mode.0.as_str()).collect();
    format!("{} terminals, {}, {}", rig.terminals.len(), modes.join(", "), rig.feet.in_words())
}

pub(super) fn pickup_page(log: &mut Log, id: PickupId, unit: LengthUnit) -> Result<Reply, Refusal> {
    let thing: Thing<Pickup> = thing(log, About::Pickup(id), "pickup")?;
    let auditions = log.find(&Find { pickup: Some(id), ..Find::default() })?.lines;
    let measured = measured_last(log, id)?;
    let mut summary = pickup_summary(&thing.described);
    if thing.described.coils.iter().all(|coil| coil.stated.is_none()) && !measured.is_empty() {
        let coils: Vec<&str> = measured.iter().map(|coil| coil.shown.as_str()).collect();
        summary = summary.replace(NOT_KNOWN, &format!("{} measured", coils.join(" and ")));
    }
    Ok(Reply::Pickup {
        pickup: Box::new(PickupPage {
            id,
            form: PickupForm::from_record(&thing.described, unit),
            shown: PickupForm::to_read(&thing.described, unit),
            summary,
            not_covered: not_covered(&thing.described),
            pickup: thing.described,
            retired: thing.retired,
            demo: thing.demo,
            first: thing.first,
            newer: thing.newer,
            auditions,
            measured,
        }),
    })
}

pub(super) fn guitar_page(log: &mut Log, id: GuitarId, unit: LengthUnit) -> Result<Reply, Refusal> {
    let entries = log.about(About::Guitar(id))?;
    let decided = decided_lines(&entries);
    let thing: Thing<Guitar> = Thing::fold(&entries).ok_or_else(|| Refusal::not_found("guitar"))?;
    let auditions = log.find(&Find { guitar: Some(id), ..Find::default() })?.lines;
    let (summary, summary_in_inches) = InInches::told(|unit| guitar_summary(&thing.described, unit));
    Ok(Reply::Guitar {
        guitar: Box::new(GuitarPage {
            id,
            form: GuitarForm::from_record(&thing.described, unit),
            shown: GuitarForm::to_read(&thing.described, unit),
            summary,
            summary_in_inches,
            sides: crate::physics::sides::sides(Some(&thing.described)),
            places: places(&thing.described),
            guitar: thing.described,
            retired: thing.retired,
            demo: thing.demo,
            first: thing.first,
            newer: thing.newer,
            auditions,
            decided,
        }),
    })
}

pub(super) fn rig_page(log: &mut Log, id: RigId, unit: LengthUnit) -> Result<Reply, Refusal> {
    let thing: Thing<Rig> = thing(log, About::Rig(id), "rig")?;
    Ok(Reply::Rig {
        rig: Box::new(RigPage {
            id,
            form: RigForm::from_record(&thing.described, unit),
            shown: RigForm::to_read(&thing.described, unit),
            summary: rig_summary(&thing.described),
            rig: thing.described,
            retired: thing.retired,
            demo: thing.demo,
            first: thing.first,
            newer: thing.newer,
        }),
    })
}
