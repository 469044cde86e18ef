//! Bench cases: where pickups lived as a guitar's record tells, and what became of a record.

use chrono::TimeDelta;
use uuid::Uuid;

use super::*;
use crate::record::body::{StayBody, StrikeBody, ThingBody};
use crate::record::entry::{About, in_order};
use crate::record::guitar::Guitar;
use crate::record::install::InstallId;
use crate::record::names::{BenchId, EntryId};
use crate::record::pickup::Pickup;

fn day(number: i64) -> DateTime<Utc> {
    DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default() + TimeDelta::days(number)
}

fn pickup(number: u128) -> PickupId {
    PickupId(Uuid::from_u128(100 + number))
}

const GUITAR: GuitarId = GuitarId(Uuid::from_u128(7));

/// A guitar of the demo bench with these pickups at its places, by the place's name.
fn guitar(fitted: &[(&str, Option<u128>)]) -> Guitar {
    let demo = crate::demo::entries().into_iter().find_map(|entry| match entry.body {
        Written::Known(Body::Thing(ThingBody::GuitarDescribed { guitar })) => Some(guitar),
        _ => None,
    });
    let mut guitar = demo.expect("the demo bench has a guitar");
    let place = guitar.places.first().cloned().expect("its guitar has a place");
    guitar.places = fitted
        .iter()
        .map(|(name, number)| {
            let mut place = place.clone();
            (*name).clone_into(&mut place.name);
            place.fitted = number.map(pickup);
            place
        })
        .collect();
    guitar
}

fn written(bodies: Vec<(i64, Body)>, about: About) -> Vec<(Entry, bool)> {
    let entries = bodies.into_iter().enumerate().map(|(number, (at, body))| Entry {
        id: EntryId(Uuid::from_u128(number as u128 + 1)),
        at: day(at),
        bench: BenchId(Uuid::nil()),
        about,
        body: Written::Known(body),
    });
    in_order(entries)
}

#[test]
fn a_pickup_lives_where_the_records_say_until_they_say_otherwise() {
    type Places<'a> = &'a [(&'a str, Option<u128>)];
    let told = |days: &[(i64, Places)]| {
        let bodies = days
            .iter()
            .map(|(at, fitted)| (*at, Body::Thing(ThingBody::GuitarDescribed { guitar: guitar(fitted) })))
            .collect();
        stays_in(GUITAR, &written(bodies, About::Guitar(GUITAR)))
            .into_iter()
            .map(|stay| (stay.pickup.0.as_u128() - 100, stay.place, stay.from, stay.until))
            .collect::<Vec<_>>()
    };
    let neck = || "neck".to_owned();
    // Fitted once and still there, whatever else of the record changes.
    assert_eq!(
        told(&[(0, &[("neck", None)]), (3, &[("neck", Some(1))]), (9, &[("neck", Some(1)), ("bridge", None)])]),
        [(1, neck(), day(3), None)]
    );
    // Exchanged for another one, and back.
    assert_eq!(
        told(&[(0, &[("neck", Some(1))]), (4, &[("neck", Some(2))]), (6, &[("neck", Some(1))])]),
        [(1, neck(), day(0), Some(day(4))), (2, neck(), day(4), Some(day(6))), (1, neck(), day(6), None),]
    );
    // From one place to another, and a place that is gone from the record.
    assert_eq!(
        told(&[(0, &[("neck", Some(1)), ("bridge", None)]), (2, &[("neck", None), ("bridge", Some(1))]), (5, &[])]),
        [(1, neck(), day(0), Some(day(2))), (1, "bridge".to_owned(), day(2), Some(day(5))),]
    );
}

#[test]
fn a_permanent_install_counts_as_the_record_does() {
    let fit = InstallId(Uuid::from_u128(50));
    let fitted = |now: Option<u128>, before: Option<u128>| {
        Body::Stay(StayBody::Fitted {
            place: "neck".to_owned(),
            pickup: now.map(pickup),
            words: String::new(),
            came_out: before.map(pickup),
            came_out_words: String::new(),
            fit,
        })
    };
    let bodies = vec![
        (0, Body::Thing(ThingBody::GuitarDescribed { guitar: guitar(&[("neck", Some(1)), ("bridge", None)]) })),
        (4, fitted(Some(2), Some(1))),
        // Saved again as it stands.
        (5, Body::Thing(ThingBody::GuitarDescribed { guitar: guitar(&[("neck", Some(2)), ("bridge", None)]) })),
        (8, fitted(None, Some(2))),
    ];
    let ordered = written(bodies, About::Guitar(GUITAR));
    let told: Vec<_> =
        stays_in(GUITAR, &ordered).into_iter().map(|stay| (stay.pickup, stay.from, stay.until)).collect();
    assert_eq!(told, [(pickup(1), day(0), Some(day(4))), (pickup(2), day(4), Some(day(8)))]);
    let said: Vec<String> = record::<Guitar>(&ordered).into_iter().map(|line| line.sentence).collect();
    let another = "Another pickup at neck, by a permanent install.";
    assert_eq!(said[0], another);
    assert_eq!(said[said.len() - 2..], [another, "Written down."]);
    let bodies = vec![
        (1, Body::Stay(StayBody::Installed { guitar: GUITAR, place: "neck".to_owned(), fit })),
        (2, Body::Stay(StayBody::TakenOut { guitar: GUITAR, place: "neck".to_owned(), fit })),
    ];
    let said = record::<Pickup>(&written(bodies, About::Pickup(pickup(2))));
    let said: Vec<String> = said.into_iter().map(|line| line.sentence).collect();
    assert_eq!(said, ["Taken out: neck.", "Installed for good: neck."]);
}

#[test]
fn a_description_that_was_struck_out_fitted_nothing() {
    let bodies = vec![
        (0, Body::Thing(ThingBody::GuitarDescribed { guitar: guitar(&[("neck", Some(1))]) })),
        (1, Body::Strike(StrikeBody::StruckOut { entry: EntryId(Uuid::from_u128(1)), why: String::new() })),
    ];
    assert!(stays_in(GUITAR, &written(bodies, About::Guitar(GUITAR))).is_empty());
}

/// Beside an audition and over all of them, a coil is told by one figure.
#[test]
fn one_coil_has_one_figure_on_a_page() {
    use crate::physics::meter::{Agreement, AgreementKind, ImpliedCoil, Visit, health};
    use crate::record::audition::AuditionId;
    use crate::record::pickup::CoilName;
    use crate::record::quantity::Ohms;
    let line = |id| Line {
        audition: id,
        begun: day(0),
        last: day(0),
        state: crate::audition::State::Finished,
        next: None,
        next_name: None,
        demo: false,
        pickup: None,
        pickup_label: String::new(),
        guitar: None,
        guitar_label: String::new(),
        place: String::new(),
        question: String::new(),
        overrides: 0,
        proof: crate::audition::CameTo::Proven,
        proof_shown: String::new(),
    };
    for at_20 in [false, true] {
        let shown = "4.04 kΩ ± 77 Ω".to_owned();
        let coil = ImpliedCoil { coil: CoilName::A, ohms: Ohms(4040.0), within: Ohms(77.0), at_20, shown };
        let agreement = Agreement {
            kind: AgreementKind::Agrees,
            sentence: String::new(),
            per_mode: Vec::new(),
            implied: vec![coil],
            times_the_band: None,
            explained: true,
        };
        let audition = AuditionId(Uuid::from_u128(1));
        let beside = visited(line(audition), &Audition::default(), Some(&agreement)).coils;
        let over = health(&[Visit { at: day(0), agreement }]);
        let at = if at_20 { " at 20 °C" } else { "" };
        assert_eq!(beside, [format!("coil A {}{at}", over.coils[0].points[0].shown)]);
    }
}

#[test]
fn what_became_of_a_record() {
    let demo = crate::demo::entries().into_iter().find_map(|entry| match entry.body {
        Written::Known(Body::Thing(ThingBody::PickupDescribed { pickup })) => Some(pickup),
        _ => None,
    });
    let first = demo.expect("the demo bench has a pickup");
    let described = |label: &str, notes: &str| {
        let pickup = Pickup { label: label.to_owned(), notes: notes.to_owned(), ..first.clone() };
        Body::Thing(ThingBody::PickupDescribed { pickup })
    };
    let bodies = vec![
        (0, described("Tin hat", "")),
        (1, described("Tin hat", "")),
        (2, described("Tin hat", "hums")),
        (3, described("Tin crown", "hums")),
        (4, Body::Thing(ThingBody::Retired { why: "sold".to_owned() })),
        (5, Body::Thing(ThingBody::BroughtBack {})),
        (6, Body::Thing(ThingBody::Retired { why: String::new() })),
    ];
    let lines = record::<Pickup>(&written(bodies, About::Pickup(pickup(1))));
    let said: Vec<(DateTime<Utc>, &str)> = lines.iter().map(|line| (line.at, line.sentence.as_str())).collect();
    assert_eq!(
        said,
        [
            (day(6), "Put away."),
            (day(5), "Brought back into use."),
            (day(4), "Put away: sold."),
            (day(3), "Record changed: called Tin crown from then on, Tin hat before."),
            (day(2), "Record changed."),
            (day(0), "Written down."),
        ]
    );
}
