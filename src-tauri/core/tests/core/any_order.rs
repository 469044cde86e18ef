//! The same entries in any order of arrival, any number of times, give the same picture: the fold itself, and all that
//! a bench shows of a log they were merged into.

use std::collections::{BTreeMap, BTreeSet};
use std::io::Cursor;
use std::path::Path;
use std::sync::Arc;

use chrono::{DateTime, TimeDelta, Utc};
use proptest::prelude::*;
use serde_json::{Value, json};
use solderlast_core::audition::Audition;
use solderlast_core::clock::SteppingClock;
use solderlast_core::entry_lines::lines::entry_lines;
use solderlast_core::install::Install;
use solderlast_core::logbook::bundle::{Tray, Watch, Which, look, pack, take_in};
use solderlast_core::logbook::{Find, Lists, Log};
use solderlast_core::record::audition::{AuditionId, Choice, FinalPlace, HookedUp, PhotoKind, Step};
use solderlast_core::record::body::{
    AuditionBody, BenchBody, Body, ComparisonBody, InstallBody, ListeningBody, StayBody, StrikeBody, ThingBody,
};
use solderlast_core::record::decision::{Decision, Wish};
use solderlast_core::record::entry::{About, Entry, Written, in_order};
use solderlast_core::record::facts::BenchFact;
use solderlast_core::record::gaps::{GapAim, GapsMeasured, LevelReading};
use solderlast_core::record::guitar::{
    Controls, Finish, FinishKind, Guitar, GuitarId, GuitarString, Hand, Place, Surface,
};
use solderlast_core::record::install::{InstallAnswer, InstallBasis, InstallId, InstallStep, InstallTask, TapHeard};
use solderlast_core::record::leads::LeadName;
use solderlast_core::record::listening::{Quality, Than};
use solderlast_core::record::mounting::{Lie, Mounting, Side, Turn};
use solderlast_core::record::names::{BenchId, EntryId};
use solderlast_core::record::note::Note;
use solderlast_core::record::parts::CircuitParts;
use solderlast_core::record::photo::PhotoName;
use solderlast_core::record::pickup::{Coil, CoilName, Construction, Lead, Pickup, PickupId};
use solderlast_core::record::quantity::{Decibels, Farads, Millimetres, Ohms, Reading};
use solderlast_core::record::rig::{Feet, Mode, Rig, RigId};
use solderlast_core::record::rules;
use solderlast_core::record::seat::{Barrier, FinishAnswer, Seating};
use solderlast_core::record::sound::LevelTold;
use solderlast_core::record::tick::Tick;
use solderlast_core::record::wiring::{JackProbe, JackSet, Plan, Volumes};
use solderlast_testkit::workbench::open;
use uuid::Uuid;

/// Identifiers of a family, told apart by a number.
fn name(family: u16, number: u64) -> Uuid {
    Uuid::from_u128(0x019a_3c5f_7e00_7000_8000_0000_0000_0000 | u128::from(family) << 48 | u128::from(number))
}

fn start() -> DateTime<Utc> {
    DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default()
}

/// What one entry is made from: what it says, a few numbers to vary it, when, and about which of the things.
#[derive(Debug, Clone, Copy)]
struct Seed {
    says: u8,
    vary: u8,
    at: u8,
    about: u8,
    /// The entry it strikes out, when it is a strike-out.
    target: u8,
}

/// One audition that has come as far as its leads, which are done or not as its rig has three terminals or four.
const HOOKED_UP: [Seed; 6] = [
    Seed { says: 6, vary: 3, at: 0, about: 2, target: 0 },
    Seed { says: 8, vary: 1, at: 1, about: 2, target: 0 },
    Seed { says: 9, vary: 4, at: 2, about: 2, target: 0 },
    Seed { says: 9, vary: 1, at: 2, about: 2, target: 0 },
    Seed { says: 9, vary: 2, at: 2, about: 2, target: 0 },
    Seed { says: 2, vary: 3, at: 3, about: 0, target: 0 },
];

fn seed() -> impl Strategy<Value = Seed> {
    // Few instants, so that many entries share one.
    (0u8..41, any::<u8>(), 0u8..12, 0u8..3, any::<u8>()).prop_map(|(says, vary, at, about, target)| Seed {
        says,
        vary,
        at,
        about,
        target,
    })
}

/// The entries of a bench: three auditions of two pickups, guitars and rigs that are described, changed, put away, and
/// struck out, strike-outs included.
fn entries(seeds: &[Seed]) -> Vec<Entry> {
    seeds
        .iter()
        .enumerate()
        .map(|(number, seed)| {
            let number = u64::try_from(number).unwrap_or(0);
            let target = EntryId(name(9, u64::from(seed.target) % seeds.len().max(1) as u64));
            let (about, body) = body(*seed, target);
            Entry {
                id: EntryId(name(9, number)),
                at: start() + TimeDelta::microseconds(i64::from(seed.at)),
                bench: BenchId(name(8, u64::from(seed.vary % 2))),
                about,
                body,
            }
        })
        .collect()
}

fn mode(vary: u8) -> Mode {
    Mode(["parallel", "single", "series"][usize::from(vary % 3)].to_owned())
}

fn body(seed: Seed, target: EntryId) -> (About, Written) {
    let vary = seed.vary;
    let which = u64::from(seed.about % 2);
    let audition = About::Audition(AuditionId(name(4, u64::from(seed.about))));
    let mm = |length: u8| Millimetres(f64::from(length));
    let step = Step::ALL[usize::from(vary) % Step::ALL.len()];
    let tick = Tick::SOUND_UP.into_iter().chain(Tick::TAKE_DOWN).nth(usize::from(vary % 12)).unwrap_or(Tick::Standby);
    let words = format!("words {}", vary % 5);
    let known = |about, body| (about, Written::Known(body));
    match seed.says {
        0 => known(
            About::Pickup(PickupId(name(1, which))),
            Body::Thing(ThingBody::PickupDescribed { pickup: pickup(vary) }),
        ),
        1 => known(
            About::Guitar(GuitarId(name(2, which))),
            Body::Thing(ThingBody::GuitarDescribed { guitar: guitar(vary) }),
        ),
        2 => known(About::Rig(RigId(name(3, which))), Body::Thing(ThingBody::RigDescribed { rig: rig(vary) })),
        3 => known(About::Pickup(PickupId(name(1, which))), Body::Thing(ThingBody::Retired { why: words })),
        4 => known(About::Pickup(PickupId(name(1, which))), Body::Thing(ThingBody::BroughtBack {})),
        5 => {
            known(About::Rig(RigId(name(3, which))), Body::Strike(StrikeBody::StruckOut { entry: target, why: words }))
        }
        6 | 7 => known(audition, Body::Audition(AuditionBody::Chosen { choice: choice(vary) })),
        8 => known(audition, Body::Audition(AuditionBody::Mounted { mounting: mounting(vary) })),
        9 | 10 => {
            let leads = if vary.is_multiple_of(3) { Vec::new() } else { vec![format!("lead {}", vary % 4).into()] };
            known(
                audition,
                Body::Audition(AuditionBody::HookedUp {
                    hooked: HookedUp { terminal: vary % 4, leads, tugged: !vary.is_multiple_of(5) },
                }),
            )
        }
        11 | 12 => {
            let reading =
                if vary.is_multiple_of(5) { Reading::OverLimit } else { Reading::Ohms(Ohms(f64::from(vary) * 50.0)) };
            known(
                audition,
                Body::Audition(AuditionBody::ReadingTaken {
                    mode: mode(vary),
                    reading,
                    typed: vary.to_string(),
                    room: None,
                    sure: vary.is_multiple_of(2),
                }),
            )
        }
        13 => known(audition, Body::Audition(AuditionBody::FinishAsked { answer: finish(vary) })),
        14 => known(
            audition,
            Body::Audition(AuditionBody::Seated {
                seating: Seating { feet: Feet::Suction, steady: !vary.is_multiple_of(3) },
            }),
        ),
        15 => {
            let gaps = GapsMeasured {
                bass: mm(vary % 6),
                treble: mm(vary % 4),
                pressed_at: None,
                kept: !vary.is_multiple_of(2),
                between: vec![Some(mm(vary % 3)), None],
                studs_out: vary.is_multiple_of(3).then(|| [mm(1), mm(2)]),
            };
            known(audition, geometry(vary, gaps))
        }
        16 => known(audition, Body::Bench(BenchBody::Ticked { tick, words })),
        17 => {
            let quality = Quality::ALL[usize::from(vary % 8)];
            known(audition, Body::Listening(ListeningBody::Rated { mode: mode(vary), quality, value: vary % 5 + 1 }))
        }
        18 => known(audition, Body::Listening(ListeningBody::NoteWritten { mode: mode(vary), words })),
        19 if !vary.is_multiple_of(2) => {
            known(audition, Body::Audition(AuditionBody::StepSkipped { step, why: words }))
        }
        19 => known(audition, Body::Audition(AuditionBody::StepTakenUp { step })),
        20 if vary.is_multiple_of(4) => known(audition, Body::Audition(AuditionBody::EndedEarly { why: words })),
        20 => {
            known(audition, Body::Bench(BenchBody::HoldOverridden { hold: "finish_not_asked".to_owned(), why: words }))
        }
        24 if vary.is_multiple_of(3) => {
            known(audition, Body::Bench(BenchBody::TickedTogether { ticks: vec![Tick::Standby, Tick::PluggedIn] }))
        }
        24 => known(audition, Body::Bench(BenchBody::Told { told: BenchFact::Battery(!vary.is_multiple_of(2)) })),
        25 => known(
            audition,
            Body::Bench(BenchBody::LevelTold {
                level: LevelTold::Meter { level: Decibels(f64::from(80 + vary % 30)) },
            }),
        ),
        26 => {
            let minutes = [None, Some(f64::from(vary % 50)), Some(-1e300), Some(f64::MAX)][usize::from(vary % 4)];
            known(audition, Body::Bench(BenchBody::ListeningCorrected { session: target, minutes, level: None }))
        }
        27 => known(
            audition,
            Body::Bench(BenchBody::PhotoTaken { look: PhotoKind::Before, photo: PhotoName::of(&[vary % 3]) }),
        ),
        28 if vary.is_multiple_of(2) => known(audition, Body::Bench(BenchBody::IronLit {})),
        28 => known(audition, Body::Bench(BenchBody::IronOff {})),
        // Many of these, so that sound comes up and goes down.
        29 => {
            let tick = [Tick::RaisedSlowly, Tick::VolumeDown, Tick::Lifted][usize::from(vary % 3)];
            known(audition, Body::Bench(BenchBody::Ticked { tick, words: String::new() }))
        }
        30 => {
            let (quality, than) = (Quality::ALL[usize::from(vary % 8)], Than::ALL[usize::from(vary % 3)]);
            known(audition, Body::Listening(ListeningBody::RatedAgainstFitted { mode: mode(vary), quality, than }))
        }
        31 if vary.is_multiple_of(3) => known(audition, Body::Comparison(ComparisonBody::ReferenceUnpinned {})),
        31 if vary.is_multiple_of(2) => known(audition, Body::Comparison(ComparisonBody::ReferencePinned {})),
        31 => {
            let reference = AuditionId(name(4, u64::from(vary % 3)));
            known(audition, Body::Listening(ListeningBody::ReferenceLookedAt { reference, mode: mode(vary) }))
        }
        32 => known(
            About::Guitar(GuitarId(name(2, which))),
            Body::Comparison(ComparisonBody::Decided { decision: decision(vary) }),
        ),
        21 => {
            let text = format!(r#"{{"kind":"weather_noted","sky":{vary}}}"#);
            (audition, Written::Newer { kind: "weather_noted".to_owned(), text })
        }
        33..=37 => known(About::Fit(InstallId(name(5, which))), install(vary, target)),
        38 => known(About::Guitar(GuitarId(name(2, which))), moved(vary)),
        39 => known(
            About::Fit(InstallId(name(5, which))),
            Body::Strike(StrikeBody::StruckOut { entry: target, why: words }),
        ),
        // Strike-outs of anything, of each other, and of entries about other things.
        _ => known(audition, Body::Strike(StrikeBody::StruckOut { entry: target, why: words })),
    }
}

fn pickup(vary: u8) -> Pickup {
    let construction = if !vary.is_multiple_of(2) { Construction::Stacked } else { Construction::SideBySide };
    Pickup {
        coils: [CoilName::A, CoilName::B]
            .map(|name| Coil { name, stated: (!vary.is_multiple_of(4)).then_some(Ohms(6660.0)), magnet_up: None })
            .to_vec(),
        leads: (0..4).map(|lead| Lead { name: LeadName(format!("lead {lead}")), ends: Vec::new() }).collect(),
        notes: format!("note {vary}"),
        ..Pickup::new(format!("Pickup {}", vary % 3), construction)
    }
}

fn guitar(vary: u8) -> Guitar {
    Guitar {
        label: format!("Guitar {}", vary % 3),
        hand: Hand::Right,
        strung: None,
        strings: vec![GuitarString { note: "E2".to_owned(), gauge: None }; 6],
        in_pairs: false,
        strings_age: String::new(),
        scale: Millimetres(648.0),
        scale_treble: None,
        last_fret: None,
        height_bass: None,
        height_treble: None,
        spread_nut: None,
        spread_saddle: None,
        places: vec![Place {
            name: "neck".to_owned(),
            from_saddle: Millimetres(160.0),
            from_saddle_treble: None,
            opening_length: None,
            opening_width: None,
            depth: None,
            fitted: None,
            fitted_words: String::new(),
        }],
        controls: Controls::default(),
        finish: Finish { kind: FinishKind::Poly, surface: Surface::FlatGloss, words: String::new() },
        notes: String::new(),
    }
}

/// Rigs of three or four terminals: how many there are decides whether the leads are done.
fn rig(vary: u8) -> Rig {
    let mut rig = Rig::four_terminal(format!("Rig {}", vary % 3));
    if !vary.is_multiple_of(2) {
        rig.terminals.truncate(3);
        rig.positions.retain(|position| position.mode.0 == "single");
    }
    rig
}

fn choice(vary: u8) -> Choice {
    Choice {
        pickup: PickupId(name(1, u64::from(vary % 2))),
        guitar: GuitarId(name(2, u64::from(vary / 2 % 2))),
        rig: RigId(name(3, u64::from(vary / 4 % 2))),
        place: "neck".to_owned(),
        from_saddle: Millimetres(f64::from(100 + vary / 8 % 2)),
        from_saddle_treble: None,
        modes: (0..=vary % 3).map(mode).collect(),
        question: format!("question {}", vary % 4),
    }
}

fn decision(vary: u8) -> Decision {
    Decision {
        place: "neck".to_owned(),
        from_saddle: Millimetres(100.0),
        wishes: vec![Wish { quality: Quality::ALL[usize::from(vary % 8)], want: 1 }],
        musts: Vec::new(),
        contenders: Vec::new(),
        pickup: PickupId(name(1, u64::from(vary % 2))),
        label: "Pickup".to_owned(),
        mode: mode(vary),
        audition: AuditionId(name(4, u64::from(vary % 3))),
        why: format!("reason {}", vary % 4),
    }
}

/// The gaps, or what else is written about the geometry of an audition.
fn geometry(vary: u8, gaps: GapsMeasured) -> Body {
    let mm = |tenths: u8| Millimetres(f64::from(tenths) / 10.0 + 1.0);
    match vary / 8 % 6 {
        0 => Body::Audition(AuditionBody::GapsAimed { aim: None }),
        1 => {
            let aim = GapAim { bass: mm(vary % 5 + 1), treble: mm(2), pressed_at: None, from: None };
            Body::Audition(AuditionBody::GapsAimed { aim: Some(aim) })
        }
        2 => Body::Audition(AuditionBody::LevelRead {
            level: LevelReading { gap: mm(vary % 4 + 1), level: Decibels(-f64::from(vary % 20)), strings: None },
        }),
        3 => Body::Audition(AuditionBody::Tuned {
            notes: (0..vary % 3).map(|string| Note(i32::from(string) * 5)).collect(),
        }),
        4 => {
            let place = FinalPlace {
                place: format!("place {}", vary % 3),
                from_saddle: mm(vary % 50 + 30),
                from_saddle_treble: None,
            };
            Body::Audition(AuditionBody::FinalPlaceChosen { place })
        }
        _ => Body::Audition(AuditionBody::GapsMeasured { gaps }),
    }
}

/// What is written about a permanent install.
fn install(vary: u8, target: EntryId) -> Body {
    let set = JackSet {
        selector: ["", "neck"][usize::from(vary % 2)].to_owned(),
        switch: String::new(),
        volumes: if vary.is_multiple_of(3) { Volumes::Full {} } else { Volumes::Zero {} },
    };
    let acts = [&InstallTask::OPEN[..], &InstallTask::SOLDER].concat();
    let (step, act) =
        (InstallStep::ALL[usize::from(vary) % InstallStep::ALL.len()], acts[usize::from(vary) % acts.len()]);
    let why = if vary.is_multiple_of(4) { format!("reason {}", vary % 3) } else { String::new() };
    let reading = Reading::Ohms(Ohms(f64::from(vary) * 60.0));
    match vary / 2 % 10 {
        0 | 1 => Body::Install(InstallBody::FitBegun {
            on: InstallBasis {
                audition: AuditionId(name(4, u64::from(vary % 3))),
                pickup: PickupId(name(1, u64::from(vary % 2))),
                guitar: GuitarId(name(2, u64::from(vary / 4 % 2))),
                place: "neck".to_owned(),
            },
        }),
        2 => Body::Install(InstallBody::FitPlanned {
            plan: Plan { modes: vec![mode(vary)], switch: None, turned: vary.is_multiple_of(3), selector: None },
        }),
        3 if vary.is_multiple_of(4) => Body::Install(InstallBody::FitPartsChosen {
            parts: CircuitParts::straight(Farads(f64::from(vary) * 1e-12), Ohms(1e6)),
        }),
        3 => Body::Install(InstallBody::FitStepOver { step, why, cause: None }),
        4 => Body::Install(InstallBody::FitActDone { act, words: why }),
        5 => {
            Body::Install(InstallBody::JackRead { at: set, reading, typed: vary.to_string(), room: None, sure: false })
        }
        6 => Body::Install(InstallBody::FitProbed {
            probe: JackProbe::CaseToSleeve { set, place: String::new() },
            reading,
            typed: vary.to_string(),
        }),
        7 => Body::Install(InstallBody::FitAnswered {
            answer: InstallAnswer::Tap { place: "neck".to_owned(), heard: TapHeard::ALL[usize::from(vary % 4)] },
        }),
        8 if vary.is_multiple_of(3) => Body::Install(InstallBody::FitGivenUp { why }),
        8 => Body::Install(InstallBody::FitDone {
            words: why,
            came_out: vary.is_multiple_of(5).then(|| PickupId(name(1, 1))),
        }),
        _ => Body::Strike(StrikeBody::StruckOut { entry: target, why }),
    }
}

/// A place of a guitar that holds another pickup, or none.
fn moved(vary: u8) -> Body {
    Body::Stay(StayBody::Fitted {
        place: "neck".to_owned(),
        pickup: (!vary.is_multiple_of(3)).then(|| PickupId(name(1, u64::from(vary % 2)))),
        words: format!("words {}", vary % 3),
        came_out: None,
        came_out_words: String::new(),
        fit: InstallId(name(5, 0)),
    })
}

fn mounting(vary: u8) -> Mounting {
    let bass_end_over = [None, Some(Side::Bass), Some(Side::Treble)][usize::from(vary % 3)];
    let turn = if !vary.is_multiple_of(4) { Turn::Rolled } else { Turn::EndOverEnd };
    let lie = Lie::all().nth(usize::from(vary % 32));
    Mounting { bass_end_over, turn, lie }
}

fn finish(vary: u8) -> FinishAnswer {
    FinishAnswer {
        kind: if !vary.is_multiple_of(2) { FinishKind::Lacquer } else { FinishKind::Poly },
        surface: Surface::FlatGloss,
        aged: !vary.is_multiple_of(3),
        feet: (vary > 4).then_some(Feet::Loose),
        barrier: Barrier::Cloth,
        held_by: None,
        tried: true,
        wiped: true,
        before: String::new(),
    }
}

/// A set of entries, and an arrival: each of them at least once, some more often, in some order.
fn set_and_arrival(most: usize) -> impl Strategy<Value = (Vec<Seed>, Vec<usize>)> {
    prop::collection::vec(seed(), 1..most).prop_flat_map(|mut seeds| {
        seeds.extend(HOOKED_UP);
        let count = seeds.len();
        let twice = prop::collection::vec(0..count, 0..count);
        let arrival = twice.prop_flat_map(move |twice| {
            let mut all: Vec<usize> = (0..count).collect();
            all.extend(twice);
            Just(all).prop_shuffle()
        });
        (Just(seeds), arrival)
    })
}

/// Writes the entries into a log as they arrive, a few at a time, with a look at the lists in between.
fn merged(folder: &Path, arrival: &[Entry], at_a_time: usize) {
    let mut log = Log::open(folder, start(), BenchId(name(8, 7))).expect("a log opens in a scratch folder");
    for some in arrival.chunks(at_a_time.max(1)) {
        log.write(some).expect("entries are written");
        log.find(&Find::default()).expect("the logbook can be looked at");
    }
}

/// Carries the log in one folder to the log in another, as a bundle; answers how many entries were new there.
fn carried(from: &Path, to: &Path) -> u64 {
    let now = start() + TimeDelta::hours(1);
    let mut bundle = Cursor::new(Vec::new());
    pack(from, &Which::All, now, &mut bundle, &Watch::default()).expect("packed");
    let bundle = bundle.into_inner();
    let tray = Tray::put(to, name(7, 1)).expect("a tray");
    look(to, Cursor::new(&bundle), &tray, now, &Watch::default()).expect("whole");
    take_in(to, Cursor::new(&bundle), &tray, now, &Watch::default()).expect("taken in")
}

/// All that a bench shows of the log in `folder`.
fn all_shown(folder: &Path) -> Vec<Value> {
    let clock = Arc::new(SteppingClock::new(start() + TimeDelta::hours(1), TimeDelta::seconds(1)));
    let bench = open(folder, &clock);
    let mut asks = vec![json!({"ask": "bench"}), json!({"ask": "logbook", "find": {}})];
    for word in ["words", "question 2", "pickup 1", "guitar 0", "single"] {
        asks.push(json!({"ask": "logbook", "find": {"words": word}}));
    }
    for retired in [false, true] {
        asks.extend(["drawer", "guitars", "rigs"].map(|list| json!({"ask": list, "retired": retired})));
    }
    for number in 0..3 {
        asks.push(json!({"ask": "audition", "id": name(4, number)}));
    }
    for number in 0..2 {
        asks.push(json!({"ask": "fit", "id": name(5, number)}));
        asks.push(json!({"ask": "fits", "about": {"thing": "pickup", "id": name(1, number)}}));
        asks.push(json!({"ask": "pickup", "id": name(1, number), "unit": "millimetre"}));
        asks.push(json!({"ask": "guitar", "id": name(2, number), "unit": "millimetre"}));
        asks.push(json!({"ask": "rig", "id": name(3, number), "unit": "millimetre"}));
        asks.push(json!({"ask": "decision", "guitar": name(2, number), "place": null, "wishes": null, "musts": null}));
    }
    let all = [0, 1, 2].map(|number| name(4, number));
    asks.push(json!({"ask": "compare", "auditions": all, "unit": "millimetre"}));
    let answer = |ask: &Value| serde_json::from_slice(&bench.answer(ask.to_string().as_bytes()));
    asks.iter().map(|ask| json!({"ask": ask, "answer": answer(ask).unwrap_or(Value::Null)})).collect()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 512, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_fold_does_not_know_the_order_of_arrival((seeds, arrival) in set_and_arrival(60)) {
        let entries = entries(&seeds);
        let arrived: Vec<Entry> = arrival.iter().map(|index| entries[*index].clone()).collect();
        for number in 0..3 {
            let about = About::Audition(AuditionId(name(4, number)));
            let [once, again] = [&entries, &arrived].map(|all| {
                let ordered = in_order(all.iter().filter(|entry| entry.about == about).cloned());
                (Audition::fold(&ordered), entry_lines(&ordered), ordered)
            });
            prop_assert_eq!(once, again);
        }
        for number in 0..2 {
            let about = About::Fit(InstallId(name(5, number)));
            let [once, again] = [&entries, &arrived].map(|all| {
                let ordered = in_order(all.iter().filter(|entry| entry.about == about).cloned());
                (Install::fold(&ordered), entry_lines(&ordered))
            });
            prop_assert_eq!(once, again);
        }
    }

    /// What is struck out and what counts, said again by a rule that looks at one entry at a time.
    #[test]
    fn a_strike_out_counts_unless_a_later_one_strikes_it((seeds, arrival) in set_and_arrival(40)) {
        let entries = entries(&seeds);
        let ordered = in_order(arrival.iter().map(|index| entries[*index].clone()));
        fn counts(ordered: &[(Entry, bool)], index: usize) -> bool {
            let id = ordered[index].0.id;
            !(index + 1..ordered.len()).any(|later| {
                matches!(ordered[later].0.body.known(), Some(Body::Strike(StrikeBody::StruckOut { entry, .. })) if *entry == id)
                    && counts(ordered, later)
            })
        }
        for (index, (entry, struck)) in ordered.iter().enumerate() {
            prop_assert_eq!(*struck, !counts(&ordered, index), "{:?}", entry);
        }
    }
}

/// The same entries as asks could have written them, since no bundle may bring others: in place of what the rules don't let in,
/// and of a strike-out of what is about another thing or was looked at, stands a strike-out of an entry that is nowhere.
fn as_asks_write(mut entries: Vec<Entry>) -> Vec<Entry> {
    let about: BTreeMap<EntryId, About> = entries.iter().map(|entry| (entry.id, entry.about)).collect();
    let looks = entries
        .iter()
        .filter(|entry| matches!(entry.body.known(), Some(Body::Listening(ListeningBody::ReferenceLookedAt { .. }))));
    let looks: BTreeSet<EntryId> = looks.map(|entry| entry.id).collect();
    for entry in &mut entries {
        let Written::Known(body) = &mut entry.body else { continue };
        let can_not = match &*body {
            Body::Strike(StrikeBody::StruckOut { entry: target, .. }) => {
                looks.contains(target) || about.get(target).is_some_and(|other| *other != entry.about)
            }
            _ => false,
        };
        if can_not || rules::check(entry.about, body).is_err() {
            *body = Body::Strike(StrikeBody::StruckOut { entry: EntryId(name(9, 1_000_000)), why: String::new() });
        }
    }
    entries
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 48, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_bench_shows_the_same_whatever_came_first(
        (seeds, arrival) in set_and_arrival(40),
        at_a_time in 1usize..12,
    ) {
        let entries = entries(&seeds);
        let arrived: Vec<Entry> = arrival.iter().map(|index| entries[*index].clone()).collect();
        let [once, again] = [(&entries, entries.len()), (&arrived, at_a_time)].map(|(all, at_a_time)| {
            let folder = tempfile::tempdir().expect("a scratch folder");
            merged(folder.path(), all, at_a_time);
            all_shown(folder.path())
        });
        for (once, again) in once.iter().zip(&again) {
            prop_assert_eq!(once, again);
        }
    }

    /// A log carried to a fresh bench shows the same there; two logs carried to each other show the same, whichever went
    /// first; and carrying again changes nothing.
    #[test]
    fn a_log_carried_shows_the_same((seeds, arrival) in set_and_arrival(40), split in 0usize..60) {
        let entries = as_asks_write(entries(&seeds));
        let arrived: Vec<Entry> = arrival.iter().map(|index| entries[*index].clone()).collect();
        let [whole, fresh, one, other] = [(); 4].map(|()| tempfile::tempdir().expect("a scratch folder"));
        merged(whole.path(), &entries, entries.len());
        merged(fresh.path(), &[], 1);
        let shown = all_shown(whole.path());
        let all = carried(whole.path(), fresh.path());
        prop_assert_eq!(all, entries.len() as u64);
        prop_assert_eq!(&all_shown(fresh.path()), &shown);

        // Some entries are on both, and each bench has some of its own.
        let split = split.min(arrived.len());
        merged(one.path(), &arrived[..split], 3);
        merged(other.path(), &arrived[split / 2..], 5);
        carried(one.path(), other.path());
        carried(other.path(), one.path());
        prop_assert_eq!(&all_shown(other.path()), &shown);
        prop_assert_eq!(&all_shown(one.path()), &shown);
        prop_assert_eq!(carried(one.path(), other.path()), 0);
        prop_assert_eq!(&all_shown(other.path()), &shown);
    }

    /// The lists made anew from the entries are the lists kept up with them.
    #[test]
    fn lists_can_be_made_anew((seeds, arrival) in set_and_arrival(40), at_a_time in 1usize..12) {
        let entries = entries(&seeds);
        let arrived: Vec<Entry> = arrival.iter().map(|index| entries[*index].clone()).collect();
        let folder = tempfile::tempdir().expect("a scratch folder");
        merged(folder.path(), &arrived, at_a_time);
        let kept = all_shown(folder.path());
        let mut log = Log::open(folder.path(), start(), BenchId(name(8, 7))).expect("the log opens again");
        log.list_anew().expect("the lists are made anew");
        drop(log);
        prop_assert_eq!(kept, all_shown(folder.path()));
    }
}
