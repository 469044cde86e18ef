use super::*;
use chrono::DateTime;
use uuid::Uuid;

use crate::network::Network;
use crate::record::body::{Body, LeadsBody, StrikeBody};
use crate::record::entry::{About, Entry, Written, in_order};
use crate::record::leads::LeadName;
use crate::record::names::BenchId;
use crate::record::pickup::{CoilEnd, End, Lead, Shield};
use crate::record::quantity::{Ohms, Reading};

fn pickup(construction: Construction, coils: usize, shield: ShieldKind) -> Pickup {
    Pickup {
        coils: CoilName::ALL[..coils].iter().map(|name| Coil { name: *name, stated: None, magnet_up: None }).collect(),
        shield: Shield { kind: shield, joined_to: None },
        ..Pickup::new("Loose one", construction)
    }
}

/// What was found out and not struck out.
fn folded(ordered: &[(Entry, bool)]) -> LeadSearch {
    let mut search = LeadSearch::default();
    for (entry, struck) in ordered {
        if let (Some(Body::Leads(body)), false) = (entry.body.known(), struck) {
            search.take(entry.id, body);
        }
    }
    search
}

/// A pickup on the bench: what a meter would show between its ends.
struct OnTheBench {
    /// Coils: minus lead, plus lead, ohms.
    coils: Vec<(&'static str, &'static str, f64)>,
    /// Pairs that are joined without a coil.
    bonds: Vec<(&'static str, &'static str)>,
}

impl OnTheBench {
    fn reads(&self, between: &[Contact; 2]) -> Reading {
        let mut network = Network::default();
        let names: Vec<&str> = self
            .coils
            .iter()
            .flat_map(|(a, b, _)| [*a, *b])
            .chain(self.bonds.iter().flat_map(|(a, b)| [*a, *b]))
            .chain(between.iter().map(Contact::as_str))
            .collect();
        let mut nodes: Vec<(&str, usize)> = Vec::new();
        for name in names {
            if !nodes.iter().any(|(other, _)| *other == name) {
                let node = network.node();
                nodes.push((name, node));
            }
        }
        let at = |name: &str| nodes.iter().find(|(other, _)| *other == name).map_or(0, |(_, node)| *node);
        for (a, b, ohms) in &self.coils {
            network.resistance(at(a), at(b), *ohms);
        }
        for (a, b) in &self.bonds {
            network.bond(at(a), at(b));
        }
        network.reading(at(between[0].as_str()), at(between[1].as_str()), Ohms(4e7))
    }

    /// The swing with the plus probe on this lead.
    fn swings(&self, plus: &str) -> Swing {
        if self.coils.iter().any(|(_, end, _)| *end == plus) { Swing::Up } else { Swing::Down }
    }
}

/// Does what is asked until the search comes to an end; answers the entries it took and the last task.
fn follow(pickup: &Pickup, truth: &OnTheBench, leads: &[&str], shield: bool) -> (Vec<Entry>, LeadTask) {
    let mut entries = Vec::new();
    let write = |entries: &mut Vec<Entry>, body: Body| {
        let number = entries.len() as i64;
        entries.push(Entry {
            id: EntryId(Uuid::from_u128(number as u128 + 1)),
            at: DateTime::from_timestamp(number, 0).unwrap_or_default(),
            bench: BenchId(Uuid::from_u128(9)),
            about: About::Pickup(PickupId(Uuid::from_u128(5))),
            body: Written::Known(body),
        });
    };
    let leads = leads.iter().map(|lead| (*lead).into()).collect();
    write(&mut entries, Body::Leads(LeadsBody::LeadsBegun { leads, shield, frame: false, as_recorded: Vec::new() }));
    for _ in 0..40 {
        let search = folded(&in_order(entries.iter().cloned()));
        let view = search.view(PickupId(Uuid::nil()), pickup, &Rig::four_terminal("rig"), &Meter::plain());
        let body = match view.next {
            LeadTask::Measure { between, .. } => {
                let reading = Some(truth.reads(&between));
                Body::Leads(LeadsBody::LeadsMeasured { between, reading, typed: "as shown".to_owned(), sure: false })
            }
            LeadTask::Name { coil, choices, .. } => {
                // The coils of the truth stand in their order.
                let right = |pair: &&[Contact; 2]| {
                    let place = CoilName::ALL.iter().position(|name| *name == coil).unwrap_or(0);
                    let (minus, plus, _) = truth.coils[place];
                    same(pair, &[minus.into(), plus.into()])
                };
                let between = choices.iter().find(right).unwrap_or(&choices[0]).clone();
                Body::Leads(LeadsBody::CoilNamed { coil: CoilLeads { coil, between } })
            }
            LeadTask::Tap { plus, minus, .. } => {
                let swing = truth.swings(plus.as_str());
                Body::Leads(LeadsBody::Tapped { tap: Tap { plus, minus, swing } })
            }
            LeadTask::Compass { coil, .. } => Body::Leads(LeadsBody::CompassHeld { coil, up: Some(Polarity::South) }),
            end => return (entries, end),
        };
        write(&mut entries, body);
    }
    panic!("the search does not come to an end");
}

fn ends(pickup: &Pickup) -> Vec<String> {
    let mut ends: Vec<String> = pickup
        .leads
        .iter()
        .map(|lead| {
            let ends: Vec<String> = lead.ends.iter().map(|end| end.in_words()).collect();
            format!("{} {}", lead.name, ends.join("+"))
        })
        .collect();
    ends.sort();
    ends
}

#[test]
fn what_is_found_is_what_lies_on_the_bench() {
    let two = vec![("moss", "rust", 6660.0), ("slate", "chalk", 6680.0)];
    let cases = [
        (
            "four leads and a bare shield",
            pickup(Construction::SideBySide, 2, ShieldKind::BareWire),
            OnTheBench { coils: two.clone(), bonds: vec![] },
            vec!["chalk", "moss", "rust", "slate"],
            true,
            vec!["chalk coil B plus", "moss coil A minus", "rust coil A plus", "slate coil B minus"],
            None,
        ),
        (
            "the shield joined to a lead",
            pickup(Construction::SideBySide, 2, ShieldKind::BareWire),
            OnTheBench { coils: two, bonds: vec![("moss", "shield")] },
            vec!["rust", "moss", "slate", "chalk"],
            true,
            vec!["chalk coil B plus", "moss coil A minus", "rust coil A plus", "slate coil B minus"],
            Some("moss"),
        ),
        (
            "three leads in a row",
            pickup(Construction::SideBySide, 2, ShieldKind::None),
            OnTheBench { coils: vec![("a", "b", 7000.0), ("b", "c", 8000.0)], bonds: vec![] },
            vec!["c", "a", "b"],
            false,
            vec!["a coil A minus", "b coil A plus+coil B minus", "c coil B plus"],
            None,
        ),
        (
            "one coil, two leads",
            pickup(Construction::SingleCoil, 1, ShieldKind::None),
            OnTheBench { coils: vec![("in", "out", 5800.0)], bonds: vec![] },
            vec!["out", "in"],
            false,
            vec!["in coil A minus", "out coil A plus"],
            None,
        ),
        (
            "two coils in a row inside, two leads",
            pickup(Construction::SideBySide, 2, ShieldKind::None),
            OnTheBench { coils: vec![("in", "out", 15_000.0)], bonds: vec![] },
            vec!["in", "out"],
            false,
            vec!["in coil A minus", "out coil B plus"],
            None,
        ),
    ];
    for (what, pickup, truth, leads, shield, expected, joined_to) in cases {
        let (entries, end) = follow(&pickup, &truth, &leads, shield);
        assert!(matches!(end, LeadTask::Settle { .. }), "{what}: {end:?}");
        let search = folded(&in_order(entries.iter().cloned()));
        let written =
            search.written_into(&pickup, &Meter::plain()).unwrap_or_else(|| panic!("{what}: nothing to write"));
        assert_eq!(ends(&written), expected, "{what}");
        assert_eq!(written.shield.joined_to.as_ref().map(LeadName::as_str), joined_to, "{what}");
        assert!(
            written.coils.iter().all(|coil| coil.magnet_up.is_some() || written.coils.len() > truth.coils.len()),
            "{what}"
        );
        // Written, there is nothing left to do, and the hookup is known.
        let view = search.view(PickupId(Uuid::nil()), &written, &Rig::four_terminal("rig"), &Meter::plain());
        assert_eq!(view.next, LeadTask::Done {}, "{what}");
        assert!(view.hookup.is_some(), "{what}");
        // The entries say the same in any order of arrival.
        let turned = folded(&in_order(entries.into_iter().rev()));
        assert_eq!(turned, search, "{what}");
    }
}

#[test]
fn two_coils_joined_inside_are_written_as_joined() {
    let pickup = pickup(Construction::SideBySide, 2, ShieldKind::None);
    let truth = OnTheBench { coils: vec![("in", "out", 15_000.0)], bonds: vec![] };
    let (entries, _) = follow(&pickup, &truth, &["in", "out"], false);
    let written = folded(&in_order(entries)).written_into(&pickup, &Meter::plain());
    let inside = written.map(|written| written.joined_inside).unwrap_or_default();
    let end = |coil, end| CoilEnd { coil, end };
    assert_eq!(inside, [vec![end(CoilName::A, End::Plus), end(CoilName::B, End::Minus)]]);
}

#[test]
fn a_reading_that_does_not_fit_is_overruled_named_and_struck_out() {
    let pickup = pickup(Construction::SideBySide, 2, ShieldKind::None);
    let truth = OnTheBench { coils: vec![("moss", "rust", 6660.0), ("slate", "chalk", 6680.0)], bonds: vec![] };
    let (mut entries, _) = follow(&pickup, &truth, &["moss", "rust", "slate", "chalk"], false);
    let last = entries.last().map(|entry| entry.at.timestamp()).unwrap_or_default() + 1;
    let write = |number: i64, body: Body| Entry {
        id: EntryId(Uuid::from_u128(1000 + number as u128)),
        at: DateTime::from_timestamp(last + number, 0).unwrap_or_default(),
        bench: BenchId(Uuid::from_u128(9)),
        about: About::Pickup(PickupId(Uuid::from_u128(5))),
        body: Written::Known(body),
    };
    let wrong = write(
        0,
        Body::Leads(LeadsBody::LeadsMeasured {
            between: ["moss".into(), "rust".into()],
            reading: Some(Reading::OverLimit),
            typed: "OL".to_owned(),
            sure: false,
        }),
    );
    entries.push(wrong.clone());
    let view = |entries: &[Entry]| {
        folded(&in_order(entries.iter().cloned())).view(
            PickupId(Uuid::nil()),
            &pickup,
            &Rig::four_terminal("rig"),
            &Meter::plain(),
        )
    };
    let seen = view(&entries);
    // It was read twice otherwise, so that is believed.
    assert!(matches!(seen.next, LeadTask::Settle { .. }), "{seen:?}");
    assert!(
        seen.remarks.iter().any(|remark| remark.contains("moss and rust read 6.66 kΩ more than once")),
        "{:?}",
        seen.remarks
    );
    entries.push(write(1, Body::Strike(StrikeBody::StruckOut { entry: wrong.id, why: String::new() })));
    assert!(view(&entries).remarks.is_empty(), "{:?}", view(&entries).remarks);
    // Begun anew, nothing of it counts.
    entries.push(write(
        2,
        Body::Leads(LeadsBody::LeadsBegun {
            leads: vec!["one".into(), "two".into()],
            shield: false,
            frame: false,
            as_recorded: Vec::new(),
        }),
    ));
    let anew = view(&entries);
    assert_eq!(anew.names.len(), 2);
}

#[test]
fn a_coil_that_is_broken_leaves_the_search_without_an_end_to_write() {
    let pickup = pickup(Construction::SingleCoil, 1, ShieldKind::None);
    let truth = OnTheBench { coils: vec![], bonds: vec![] };
    let (_, end) = follow(&pickup, &truth, &["in", "out"], false);
    assert_eq!(end, LeadTask::Stuck {});
}

/// One coil in the record and two in a row at its leads: a tapped winding, never a second coil.
#[test]
fn a_lead_part_of_the_way_makes_it_a_tapped_coil() {
    let record = pickup(Construction::SingleCoil, 1, ShieldKind::None);
    let truth = OnTheBench { coils: vec![("start", "tap", 6100.0), ("tap", "end", 2050.0)], bonds: vec![] };
    let (entries, end) = follow(&record, &truth, &["end", "tap", "start"], false);
    let LeadTask::Settle { sentences } = end else { panic!("{end:?}") };
    assert!(sentences.iter().any(|said| said.contains("tapped coil")), "{sentences:?}");
    let search = folded(&in_order(entries));
    let written = search.written_into(&record, &Meter::plain()).unwrap_or_else(|| panic!("nothing to write"));
    assert_eq!((written.construction, written.coils.len()), (Construction::TappedCoil, 2));
    assert_eq!(ends(&written), ["end coil B plus", "start coil A minus", "tap coil A plus+coil B minus"]);
    let rig = Rig::four_terminal("rig");
    let view = search.view(PickupId(Uuid::nil()), &written, &rig, &Meter::plain());
    assert_eq!(view.next, LeadTask::Done {});
    let said: Vec<String> = view.hookup.iter().flat_map(|map| &map.modes).map(|mode| mode.sentence.clone()).collect();
    assert!(said[2].starts_with("series: the whole winding, all its turns, hum not cancelled"), "{said:?}");
    assert!(said[1].starts_with("single: the winding up to its tap, fewer turns"), "{said:?}");
    assert!(said[0].contains("leave this mode out") || said[0].contains("no sound"), "{said:?}");
    // The whole of it is what series is to read.
    let measured = search.measured(&written, &Meter::plain());
    let joined = hookup(&written, &rig).joined();
    let modes = crate::meter::expected_from(&written, &joined, &rig, &Meter::plain(), None, &measured);
    let series = modes.iter().find(|mode| mode.mode.0 == "series").and_then(|mode| mode.nominal);
    assert!(series.is_some_and(|ohms| (ohms.0 - 8150.0).abs() < 1.0), "{modes:?}");
    let single = modes.iter().find(|mode| mode.mode.0 == "single").and_then(|mode| mode.nominal);
    assert!(single.is_some_and(|ohms| (ohms.0 - 6100.0).abs() < 1.0), "{modes:?}");
}

/// Entries that say these, one after the other.
fn entries_of(bodies: impl IntoIterator<Item = Body>) -> impl Iterator<Item = Entry> {
    (1_u32..).zip(bodies).map(|(number, body)| Entry {
        id: EntryId(Uuid::from_u128(u128::from(number))),
        at: DateTime::from_timestamp(i64::from(number), 0).unwrap_or_default(),
        bench: BenchId(Uuid::from_u128(9)),
        about: About::Pickup(PickupId(Uuid::from_u128(5))),
        body: Written::Known(body),
    })
}

/// What a meter finds joined stays joined in the record: two leads on one end, a frame on a lead or on the shield.
#[test]
fn joins_that_are_found_are_kept() {
    let record = pickup(Construction::SingleCoil, 1, ShieldKind::None);
    let truth = OnTheBench { coils: vec![("moss", "rust", 6100.0)], bonds: vec![("rust", "slate")] };
    let (entries, _) = follow(&record, &truth, &["moss", "rust", "slate"], false);
    let written = folded(&in_order(entries)).written_into(&record, &Meter::plain());
    let written = written.unwrap_or_else(|| panic!("nothing to write"));
    assert_eq!(ends(&written), ["moss coil A minus", "rust coil A plus", "slate coil A plus"]);
    let begun = Body::Leads(LeadsBody::LeadsBegun {
        leads: vec!["moss".into(), "rust".into()],
        shield: false,
        frame: true,
        as_recorded: Vec::new(),
    });
    let read = |a: &str, b: &str, ohms: f64| {
        Body::Leads(LeadsBody::LeadsMeasured {
            between: [a.into(), b.into()],
            reading: Some(Reading::Ohms(Ohms(ohms))),
            typed: String::new(),
            sure: false,
        })
    };
    let tapped =
        Body::Leads(LeadsBody::Tapped { tap: Tap { plus: "moss".into(), minus: "rust".into(), swing: Swing::Up } });
    let compass = Body::Leads(LeadsBody::CompassHeld { coil: CoilName::A, up: None });
    let bodies = [
        begun,
        read("moss", "rust", 6100.0),
        read("rust", "frame", 0.2),
        read("frame", "rust", 0.2),
        read("moss", "frame", 6100.0),
        tapped,
        compass,
    ];
    let written = folded(&in_order(entries_of(bodies))).written_into(&record, &Meter::plain());
    assert_eq!(written.and_then(|written| written.frame_joined_to), Some("rust".into()));

    // A frame on a shield that is on no lead.
    let begun = Body::Leads(LeadsBody::LeadsBegun {
        leads: vec!["moss".into(), "rust".into()],
        shield: true,
        frame: true,
        as_recorded: Vec::new(),
    });
    let over = |a: &str, b: &str| {
        let (between, reading) = ([a.into(), b.into()], Some(Reading::OverLimit));
        Body::Leads(LeadsBody::LeadsMeasured { between, reading, typed: String::new(), sure: false })
    };
    let tapped =
        Body::Leads(LeadsBody::Tapped { tap: Tap { plus: "moss".into(), minus: "rust".into(), swing: Swing::Up } });
    let bodies = [
        begun,
        read("moss", "rust", 6100.0),
        read("rust", "moss", 6100.0),
        read("shield", "frame", 0.2),
        read("frame", "shield", 0.2),
        over("moss", "shield"),
        over("rust", "shield"),
        over("moss", "frame"),
        over("rust", "frame"),
        tapped,
        Body::Leads(LeadsBody::CompassHeld { coil: CoilName::A, up: None }),
    ];
    let written = folded(&in_order(entries_of(bodies))).written_into(&record, &Meter::plain());
    let written = written.unwrap_or_else(|| panic!("nothing to write"));
    assert_eq!(written.frame_joined_to, Some(Contact::Shield));
    assert_eq!(written.shield.joined_to, None);
}

/// What was typed for each pair, in order, and what is to be done next.
fn typed(record: &Pickup, leads: &[&str], readings: &[(&str, &str, &str)]) -> (Vec<Entry>, LeadTask) {
    let names = leads.iter().map(|lead| (*lead).into()).collect();
    let begun =
        Body::Leads(LeadsBody::LeadsBegun { leads: names, shield: false, frame: false, as_recorded: Vec::new() });
    let read = readings.iter().map(|(a, b, text)| {
        Body::Leads(LeadsBody::LeadsMeasured {
            between: [(*a).into(), (*b).into()],
            reading: Some(crate::record::quantity::read_ohms(text).unwrap_or_else(|_| panic!("{text}"))),
            typed: (*text).to_owned(),
            sure: false,
        })
    });
    let entries: Vec<Entry> = std::iter::once(begun)
        .chain(read)
        .zip(1_u8..)
        .map(|(body, number)| Entry {
            id: EntryId(Uuid::from_u128(u128::from(number))),
            at: DateTime::from_timestamp(i64::from(number), 0).unwrap_or_default(),
            bench: BenchId(Uuid::from_u128(9)),
            about: About::Pickup(PickupId(Uuid::from_u128(5))),
            body: Written::Known(body),
        })
        .collect();
    let search = folded(&in_order(entries.iter().cloned()));
    let view = search.view(PickupId(Uuid::nil()), record, &Rig::four_terminal("rig"), &Meter::plain());
    (entries, view.next)
}

const FOUR: [&str; 4] = ["moss", "rust", "slate", "chalk"];

/// A slip that was written down and looked plausible is asked about as soon as another reading makes it doubtful.
#[test]
fn a_reading_that_a_later_one_makes_doubtful_is_asked_about() {
    let record = pickup(Construction::SideBySide, 2, ShieldKind::None);
    let rest = [("moss", "slate", "OL"), ("slate", "chalk", "6.72k")];
    for (wrong, instead) in [
        ("6.66", "6.66k"),
        ("6,66", "6,66k"),
        ("66.6k", "6.66k"),
        ("66.66k", "6.666k"),
        ("6.66M", "6.66k"),
        ("666k", "6.66k"),
    ] {
        let slipped = ("moss", "rust", wrong);
        assert!(!matches!(typed(&record, &FOUR, &[slipped]).1, LeadTask::Slip { .. }), "{wrong}: nothing beside it");
        let (mut entries, next) = typed(&record, &FOUR, &[slipped, rest[0], rest[1]]);
        let LeadTask::Slip { entry, instead: asked, between, typed: as_typed, .. } = next else {
            panic!("{wrong}: {next:?}")
        };
        assert_eq!((asked.as_str(), as_typed.as_str(), entry), (instead, wrong, Some(entries[1].id)));
        assert_eq!(between, ["moss", "rust"]);
        let search = folded(&in_order(entries.clone()));
        assert_eq!(search.written_into(&record, &Meter::plain()), None, "nothing is written before it is answered");
        // Asked about while they were typed, and said to be so, none is asked about once more.
        for entry in &mut entries {
            if let Written::Known(Body::Leads(LeadsBody::LeadsMeasured { sure, .. })) = &mut entry.body {
                *sure = true;
            }
        }
        let search = folded(&in_order(entries));
        let next = search.view(PickupId(Uuid::nil()), &record, &Rig::four_terminal("rig"), &Meter::plain()).next;
        assert!(!matches!(next, LeadTask::Slip { .. }), "{wrong}: {next:?}");
        // Looked at again, it is believed, and the other one may be the slip; put right, there is nothing to ask.
        let again = typed(&record, &FOUR, &[slipped, rest[0], rest[1], slipped]).1;
        assert!(!matches!(&again, LeadTask::Slip { between, .. } if between[0] == "moss"), "{wrong}: {again:?}");
        let twice = typed(&record, &FOUR, &[slipped, rest[0], rest[1], slipped, rest[1]]).1;
        let right = typed(&record, &FOUR, &[("moss", "rust", instead), rest[0], rest[1]]).1;
        assert!(![twice, right].iter().any(|next| matches!(next, LeadTask::Slip { .. })), "{wrong}");
    }
}

/// Coils that lie within a factor of four of each other, alone and in a row, are never asked about.
#[test]
fn readings_that_can_be_are_not_asked_about() {
    let record = pickup(Construction::SideBySide, 2, ShieldKind::None);
    for one in [2000.0, 2222.0, 3340.0, 4400.0, 6660.0, 7700.0, 11_100.0, 14_400.0] {
        for part in [0.26, 0.5, 0.9, 1.0, 1.11, 2.0, 3.9] {
            let text = |ohms: f64| format!("{:.2}k", ohms / 1000.0);
            let (a, b, both) = (text(one), text(one * part), text(one * (1.0 + part)));
            let apart = typed(&record, &FOUR, &[("moss", "rust", &a), ("moss", "slate", "OL"), ("slate", "chalk", &b)]);
            let joined = typed(
                &record,
                &["start", "join", "end"],
                &[("start", "end", &both), ("start", "join", &a), ("join", "end", &b)],
            );
            for (entries, next) in [apart, joined] {
                assert!(!matches!(next, LeadTask::Slip { .. }), "{a} {b}: {next:?} {}", entries.len());
            }
        }
    }
}

/// A stated value three powers of ten away from what was read is asked about, before it is written beside it.
#[test]
fn a_stated_value_three_powers_of_ten_away_is_asked_about() {
    let mut record = pickup(Construction::SideBySide, 2, ShieldKind::None);
    let readings = [("moss", "rust", "6.66k"), ("moss", "slate", "OL"), ("slate", "chalk", "6.72k")];
    for (stated, asked) in [(6.66, true), (6.66e6, true), (6660.0, false), (9000.0, false), (700.0, false)] {
        for coil in &mut record.coils {
            coil.stated = Some(Ohms(stated));
        }
        match typed(&record, &FOUR, &readings).1 {
            LeadTask::Slip { entry, sentence, .. } => {
                assert!(
                    asked && entry.is_none() && sentence.contains("Look at the letter in the record"),
                    "{sentence}"
                );
            }
            next => assert!(!asked, "{stated}: {next:?}"),
        }
    }
}

/// A record that names a lead of one coil: nobody is asked for that coil again, unless the readings speak against it. Where it is asked
/// for, each pair is tapped, as both may swing.
#[test]
fn a_coil_that_a_record_names_by_a_lead_is_not_asked_for() {
    let truth = OnTheBench { coils: vec![("moss", "lilac", 6660.0), ("slate", "chalk", 6680.0)], bonds: vec![] };
    let leads = ["slate", "lilac", "chalk", "moss"];
    let told = |ends: &[(&str, CoilName, End)]| {
        let mut record = pickup(Construction::SideBySide, 2, ShieldKind::None);
        for (name, coil, end) in ends {
            record.leads.push(Lead { name: (*name).into(), ends: vec![CoilEnd { coil: *coil, end: *end }] });
        }
        record
    };
    let was_named = |entries: &[Entry]| {
        entries.iter().any(|entry| matches!(entry.body.known(), Some(Body::Leads(LeadsBody::CoilNamed { .. }))))
    };

    let record = told(&[("lilac", CoilName::A, End::Plus)]);
    let (entries, end) = follow(&record, &truth, &leads, false);
    assert!(!was_named(&entries) && matches!(end, LeadTask::Settle { .. }), "{end:?}");
    let search = folded(&in_order(entries));
    let written = search.written_into(&record, &Meter::plain()).unwrap_or_else(|| panic!("nothing to write"));
    assert_eq!(ends(&written), ["chalk coil B plus", "lilac coil A plus", "moss coil A minus", "slate coil B minus"]);
    let view = search.view(PickupId(Uuid::nil()), &record, &Rig::four_terminal("rig"), &Meter::plain());
    assert!(view.remarks.iter().any(|remark| remark.contains("lilac belongs to coil A")), "{:?}", view.remarks);

    // By this record the two lie on different coils, and they read as one.
    let record = told(&[("lilac", CoilName::A, End::Plus), ("moss", CoilName::B, End::Minus)]);
    let (entries, _) = follow(&record, &truth, &leads, false);
    assert!(was_named(&entries));
    for coil in [CoilName::A, CoilName::B] {
        let sentence = words::which_coil(&record, coil);
        assert!(sentence.contains("each other pair") && sentence.contains("swings most"), "{sentence}");
    }
}

/// A pickup whose leads are in its record: it is tapped at once, nothing is measured, and what no tap tells stays as it was.
#[test]
fn leads_that_a_record_knows_are_tapped_at_once() {
    let mut known = pickup(Construction::SideBySide, 2, ShieldKind::BareWire);
    for (name, coil, end) in [
        ("moss", CoilName::A, End::Minus),
        ("rust", CoilName::A, End::Plus),
        ("slate", CoilName::B, End::Minus),
        ("chalk", CoilName::B, End::Plus),
    ] {
        known.leads.push(Lead { name: name.into(), ends: vec![CoilEnd { coil, end }] });
    }
    known.shield.joined_to = Some("moss".into());
    assert_eq!(recorded_coils(&known), None, "what its coils have is not stated");
    for coil in &mut known.coils {
        coil.stated = Some(Ohms(4000.0));
    }
    let coils = recorded_coils(&known).expect("all is in its record");
    let leads = known.leads.iter().map(|lead| lead.name.clone()).collect();
    let mut search = LeadSearch::default();
    let entry = EntryId(Uuid::from_u128(1));
    search.take(entry, &LeadsBody::LeadsBegun { leads, shield: true, frame: false, as_recorded: coils });
    let rig = Rig::four_terminal("rig");
    let view = |search: &LeadSearch| search.view(PickupId(Uuid::from_u128(2)), &known, &rig, &Meter::plain());
    assert!(view(&LeadSearch::default()).can_be_as_recorded);
    let swings = [Swing::Up, Swing::Nothing];
    for (number, swing) in swings.into_iter().enumerate() {
        let LeadTask::Tap { plus, minus, which, sentence, .. } = view(&search).next else {
            panic!("{:?}", view(&search).next)
        };
        assert_eq!(which.as_deref(), Some(["Coil A, 1 of 2", "Coil B, 2 of 2"][number]));
        assert!(!sentence.contains(" of 2"), "{sentence}");
        // The plus probe lies where the record's plus end is not: its first swing to plus turns the coil about.
        assert_eq!(minus.as_str(), if number == 0 { "rust" } else { "chalk" });
        search.take(entry, &LeadsBody::Tapped { tap: Tap { plus, minus, swing } });
    }
    for coil in [CoilName::A, CoilName::B] {
        search.take(entry, &LeadsBody::CompassHeld { coil, up: None });
    }
    let LeadTask::Settle { .. } = view(&search).next else { panic!("{:?}", view(&search).next) };
    let written = search.written_into(&known, &Meter::plain()).expect("it is known");
    let ends = |name: &str| written.lead(&Contact::from(&LeadName(name.to_owned()))).map(|lead| lead.ends.clone());
    let end = |coil, end| Some(vec![CoilEnd { coil, end }]);
    assert_eq!(ends("moss"), end(CoilName::A, End::Plus), "as it swung");
    assert_eq!(ends("rust"), end(CoilName::A, End::Minus));
    assert_eq!(ends("slate"), end(CoilName::B, End::Minus), "no swing tells nothing");
    assert_eq!(ends("chalk"), end(CoilName::B, End::Plus));
    assert_eq!(written.shield, known.shield);
    assert!(search.measured(&known, &Meter::plain()).is_empty(), "nothing was measured");
}
