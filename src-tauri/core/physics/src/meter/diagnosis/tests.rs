//! Bench cases: what was done wrong, and what is found.

use proptest::prelude::*;

use super::*;
use crate::record::claim::MeterRange;
use crate::record::leads::Contact;
use crate::record::meter::Care;
use crate::record::pickup::{Coil, CoilEnd, CoilName, Construction, End, Lead, Shield, ShieldKind};
use crate::record::quantity::{Ohms, Reading, read_ohms};

fn pickup(stated: [Option<f64>; 2]) -> Pickup {
    let end = |coil, end| vec![CoilEnd { coil, end }];
    let leads = [
        ("moss", end(CoilName::A, End::Minus)),
        ("rust", end(CoilName::A, End::Plus)),
        ("slate", end(CoilName::B, End::Minus)),
        ("chalk", end(CoilName::B, End::Plus)),
    ];
    Pickup {
        coils: stated
            .into_iter()
            .zip(CoilName::ALL)
            .map(|(stated, name)| Coil { name, stated: stated.map(Ohms), magnet_up: None })
            .collect(),
        leads: leads.into_iter().map(|(name, ends)| Lead { name: name.into(), ends }).collect(),
        shield: Shield { kind: ShieldKind::BareWire, joined_to: None },
        ..Pickup::new("under test", Construction::Stacked)
    }
}

fn hooked_up() -> Vec<Joined> {
    [(0, vec!["moss", "shield"]), (1, vec!["rust"]), (2, vec!["slate"]), (3, vec!["chalk"])]
        .map(|(terminal, leads)| Joined { terminal, leads: leads.into_iter().map(Contact::from).collect() })
        .to_vec()
}

/// A bench with no thermometer, on which nothing was measured before.
fn case<'a>(pickup: &'a Pickup, joined: &'a [Joined], rig: &'a Rig, meter: &'a Meter, taken: &'a [Taken]) -> Case<'a> {
    Case { pickup, joined, rig, meter, room: None, measured: &[], modes: &[], taken }
}

fn of(pickup: &Pickup, taken: &[Taken]) -> Diagnosis {
    diagnose(&case(pickup, &hooked_up(), &Rig::four_terminal("rig"), &Meter::plain(), taken))
}

fn modes(readings: [&str; 3]) -> Vec<Taken> {
    ["parallel", "single", "series"]
        .into_iter()
        .zip(readings)
        .filter(|(_, typed)| !typed.is_empty())
        .map(|(mode, typed)| {
            Taken::at_output(Mode::new(mode), read_ohms(typed).expect("a bench case is readable")).typed(typed)
        })
        .collect()
}

/// Every cause that the first suspect stands for, in words.
fn first(found: &Diagnosis) -> Vec<String> {
    found.ranked.first().map_or_else(Vec::new, |first| {
        std::iter::once(first.sentence.to_lowercase().trim_end_matches('.').to_owned())
            .chain(first.alike.iter().map(|alike| alike.to_lowercase()))
            .collect()
    })
}

const STATED: [Option<f64>; 2] = [Some(6660.0), Some(7400.0)];

#[test]
fn bench_cases() {
    use DiagnosisKind::{AllWell, CantTellApart, Found, NotEnough, NothingYet};
    for (what, readings, kind, among) in [
        ("nothing yet", ["", "", ""], NothingYet, None),
        ("as it should be", ["3.5k", "6.66k", "14.06k"], AllWell, Some("nothing is wrong that these readings show")),
        ("well so far", ["", "6.66k", ""], NotEnough, Some("nothing is wrong that these readings show")),
        (
            "inner leads swapped",
            ["OL", "OL", "14.06k"],
            CantTellApart,
            Some("slate and rust are in each other's place"),
        ),
        ("a lead not clamped", ["7.4k", "OL", "OL"], CantTellApart, Some("rust is not clamped on its bare wire")),
        ("a broken coil", ["7.4k", "OL", "OL"], CantTellApart, Some("coil a is broken inside")),
        ("a hair across the middle", ["0.2", "6.66k", "14.06k"], Found, Some("a hair of wire joins terminals 2 and 3")),
        (
            "both ends on one terminal",
            ["7.4k", "OL", "OL"],
            CantTellApart,
            Some("both ends of coil a are in terminal 1"),
        ),
        (
            "the switch in series for single",
            ["3.5k", "14.06k", "14.06k"],
            Found,
            Some("the switch stood in series for the single reading"),
        ),
        (
            "the switch in single for series",
            ["3.5k", "6.66k", "6.66k"],
            Found,
            Some("the switch stood in single for the series reading"),
        ),
        (
            "a range too low",
            ["3.5k", "6.66k", "OL"],
            Found,
            Some("the meter's range was too low for the series reading"),
        ),
        (
            "k left out",
            ["3.5k", "6.66", "14.06k"],
            CantTellApart,
            Some("the single reading is 1000 times too small by its range"),
        ),
        (
            "a range too low for all",
            ["OL", "OL", "OL"],
            CantTellApart,
            Some("the meter's range was too low for every reading"),
        ),
        ("another pickup", ["2k", "3.9k", "8k"], Found, Some("the coils are not what is stated for them")),
    ] {
        let found = of(&pickup(STATED), &modes(readings));
        assert_eq!(found.kind, kind, "{what}: {found:#?}");
        if let Some(among) = among {
            assert!(first(&found).iter().any(|said| said == among), "{what}: {:?}", first(&found));
        }
        assert_eq!(found.cannot_show, CANNOT_SHOW);
    }
}

/// A hair of wire, as the person reads it.
#[test]
fn the_diagnosis_reads_like_a_colleague() {
    let found = of(&pickup(STATED), &modes(["0.2", "6.66k", "14.06k"]));
    assert_eq!(found.sentence, "A hair of wire joins terminals 2 and 3. That is almost sure.");
    assert_eq!(
        found.ranked[0].what_to_do,
        ["Look between terminals 2 and 3 with a magnifier, and take the stray strand away. Then measure again."]
    );
    assert_eq!(
        found.ranked[0].why,
        "Then parallel reads next to nothing, and read 0.2 Ω. Single reads about 6.66 kΩ through coil A, and read 6.66 kΩ. Series \
         reads about 14.1 kΩ through coil A and coil B in series, and read 14.06 kΩ."
    );
}

/// A slip of the pen is asked about before any fault, and nothing is almost sure while it is open.
#[test]
fn a_slip_of_the_pen_is_asked_about_first() {
    for (what, readings, mode, instead) in [
        ("k left out", ["3.5k", "6.66", "14.06k"], "single", "6.66k"),
        ("a comma for the point, and no k", ["3.5k", "6,66", "14.06k"], "single", "6,66k"),
        ("M for k", ["3.5k", "6.66M", "14.06k"], "single", "6.66k"),
        ("the point left out", ["3.5k", "666k", "14.06k"], "single", "6.66k"),
        ("the point too far right", ["35.0k", "6.66k", "14.06k"], "parallel", "3.5k"),
        ("a digit typed twice", ["3.5k", "6.66k", "114.06k"], "series", "14.06k"),
        ("one reading alone", ["", "6.66", ""], "single", "6.66k"),
    ] {
        let taken = modes(readings);
        let found = of(&pickup(STATED), &taken);
        assert_eq!(found.kind, DiagnosisKind::CantTellApart, "{what}: {found:#?}");
        let asked = found.slip.as_ref().expect("a slip is asked about");
        assert_eq!(
            (asked.instead.as_str(), asked.sentence.starts_with(&format!("In {mode}"))),
            (instead, true),
            "{what}"
        );
        assert_eq!(found.sentence, asked.sentence);
        assert!(
            found.ranked.iter().all(|suspect| suspect.how_sure != "almost sure" && suspect.how_sure != "very likely")
        );
        // Measured again with a look at the display, it is what the meter shows, and is asked about no more.
        let next = found.next.expect("a second look");
        let again = taken.iter().find(|one| Some(&one.probe) == asked.probe.as_ref()).expect("it was read").clone();
        let looked = Taken { probe: next.probe, ..again };
        let found = of(&pickup(STATED), &[taken, vec![looked]].concat());
        assert_eq!(found.slip, None, "{what}: {found:#?}");
    }
    // Where nothing is stated, the other readings say what could be here.
    let found = of(&pickup([None, None]), &modes(["3.5k", "6.66k", "14.06"]));
    assert_eq!(found.slip.map(|slip| slip.instead), Some("14.06k".to_owned()));
    // A hair of wire is no slip: 0.2 k would fit no better.
    assert_eq!(of(&pickup(STATED), &modes(["0.2", "6.66k", "14.06k"])).slip, None);
}

#[test]
fn nothing_is_almost_sure_from_one_reading() {
    for typed in ["OL", "0.2", "14.06k", "3.5k", "7.4k", "30k"] {
        for stated in [STATED, [None, None]] {
            for mode in 0..3 {
                let mut readings = [""; 3];
                readings[mode] = typed;
                let found = of(&pickup(stated), &modes(readings));
                assert_ne!(found.kind, DiagnosisKind::Found, "{readings:?} {found:#?}");
                let sure =
                    |suspect: &Suspect<Cause>| ["almost sure", "very likely"].contains(&suspect.how_sure.as_str());
                assert!(!found.ranked.iter().any(sure), "{readings:?} {found:#?}");
            }
        }
    }
}

#[test]
fn a_stated_value_three_powers_of_ten_away_is_asked_about() {
    for (stated, part) in
        [([Some(6.66), Some(7.4)], "6.66 Ω for coil A"), ([Some(6.66e6), Some(7.4e6)], "6.66 MΩ for coil A")]
    {
        let found = of(&pickup(stated), &modes(["3.5k", "6.66k", "14.06k"]));
        assert!(found.slip.is_some() && found.sentence.contains(part), "{}", found.sentence);
    }
}

/// Over limit everywhere: the range comes first where the meter has one that is too low, with its own ranges named.
#[test]
fn over_limit_everywhere_with_the_meters_own_ranges() {
    let (joined, rig, pickup, taken) =
        (hooked_up(), Rig::four_terminal("rig"), pickup(STATED), modes(["OL", "OL", "OL"]));
    let with = |meter: &Meter| diagnose(&case(&pickup, &joined, &rig, meter, &taken));
    let found = with(&Meter::plain());
    assert_eq!(found.ranked[0].causes, [Cause::RangeTooLow { mode: None }], "{found:#?}");
    assert_eq!(
        found.ranked[0].what_to_do,
        [
            "Turn the meter to 40 kΩ or more, and measure again. On its ranges up to 400 Ω and 4 kΩ a pickup can read OL."
        ]
    );
    let mut one_range = Meter::plain();
    one_range.ranges = vec![MeterRange { top: Ohms(2e6), digit: Ohms(100.0) }];
    let found = with(&one_range);
    let low = |suspect: &Suspect<Cause>| suspect.causes.iter().any(|cause| matches!(cause, Cause::RangeTooLow { .. }));
    assert!(!found.ranked.iter().any(low), "{found:#?}");
}

/// What is promised of one more measurement is what it is computed to do.
#[test]
fn a_measurement_is_promised_no_more_than_it_can_do() {
    for readings in [["OL", "OL", "OL"], ["OL", "OL", "14.06k"], ["7.4k", "OL", "OL"], ["3.5k", "OL", "14.06k"]] {
        let found = of(&pickup(STATED), &modes(readings));
        let Some(next) = &found.next else {
            assert!(found.kind == DiagnosisKind::Found || found.sentence.contains("No further reading"), "{found:#?}");
            continue;
        };
        assert!(next.bits > 0.0 && (0.0..=1.0 + 1e-9).contains(&next.settles), "{found:#?}");
        let promised = found.sentence.contains("One more measurement tells.");
        assert_eq!(promised, next.settles >= 0.95, "{found:#?}");
    }
}

/// A clamp that is neither good nor open.
#[test]
fn a_bad_contact_is_a_cause() {
    let pickup = pickup(STATED);
    let (joined, rig) = (hooked_up(), Rig::four_terminal("rig"));
    let wrong = [Cause::BadContact { lead: "rust".into() }];
    for contact in [2000.0, 9000.0, 60_000.0] {
        let given =
            Given { coils: vec![Ohms(6660.0), Ohms(7400.0)], body: Ohms(3e5), load: Ohms(5e5), contact: Ohms(contact) };
        let read = |probe: &Probe| {
            let ohms = would_read(&pickup, &joined, &rig, &wrong, &given, probe);
            Taken::new(probe.clone(), ohms.map_or(Reading::OverLimit, Reading::Ohms))
        };
        let usual = |mode: &Mode| read(&Probe::Output { mode: mode.clone(), care: Care::AsUsual });
        let mut taken: Vec<Taken> = rig.positions.iter().map(|position| usual(&position.mode)).collect();
        let mut found = of(&pickup, &taken);
        assert!(!matches!(found.kind, DiagnosisKind::AllWell | DiagnosisKind::NotEnough), "{contact}: {found:#?}");
        while let Some(next) = &found.next {
            assert!(taken.len() < 10, "{contact} {found:#?}");
            taken.push(read(&next.probe));
            found = of(&pickup, &taken);
        }
        assert_eq!(found.ranked[0].causes, wrong, "{contact}: {found:#?}");
    }
}

#[test]
fn fingers_show_where_they_change_a_reading_beyond_the_band() {
    // 12 kΩ beside 100 kΩ reads 10.71 kΩ; the other two modes then say that the coils are not 10.71 and 13.29 kΩ.
    let found = of(&pickup([Some(12_000.0); 2]), &modes(["6k", "9.6k", "24k"]));
    assert!(first(&found).contains(&"fingers lay on the probes for the single reading".to_owned()), "{found:#?}");
}

/// Two that read the same in every mode are told apart by the measurement that is asked for.
#[test]
fn the_next_measurement_settles_it() {
    let pickup = pickup(STATED);
    let (joined, rig) = (hooked_up(), Rig::four_terminal("rig"));
    let given = Given {
        coils: vec![Ohms(6660.0), Ohms(7400.0)],
        body: Ohms(300_000.0),
        load: Ohms(500_000.0),
        contact: Ohms(20_000.0),
    };
    for cause in [
        Cause::NotClamped { lead: "moss".into() },
        Cause::NotClamped { lead: "rust".into() },
        Cause::Broken { coil: CoilName::A },
        Cause::Broken { coil: CoilName::B },
        Cause::NotClamped { lead: "chalk".into() },
    ] {
        let wrong = [cause];
        let read = |probe: &Probe| {
            let ohms = would_read(&pickup, &joined, &rig, &wrong, &given, probe);
            Taken::new(probe.clone(), ohms.map_or(Reading::OverLimit, Reading::Ohms))
        };
        let mut taken: Vec<Taken> = rig
            .positions
            .iter()
            .map(|position| read(&Probe::Output { mode: position.mode.clone(), care: Care::AsUsual }))
            .collect();
        let mut found = of(&pickup, &taken);
        while let Some(next) = &found.next {
            assert!(taken.len() < 9, "{wrong:?} {found:#?}");
            taken.push(read(&next.probe));
            found = of(&pickup, &taken);
        }
        assert_eq!(found.kind, DiagnosisKind::Found, "{wrong:?} {found:#?}");
        assert_eq!(found.ranked[0].causes, wrong, "{found:#?}");
    }
}

#[test]
fn readings_that_nothing_explains() {
    let found = of(&pickup(STATED), &modes(["80k", "0.3", "55k"]));
    assert_eq!(found.kind, DiagnosisKind::Unexplained, "{found:#?}");
    for ohms in [-5.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, 0.0] {
        let taken: Vec<Taken> = ["parallel", "single", "series"]
            .map(|mode| Taken::at_output(Mode::new(mode), Reading::Ohms(Ohms(ohms))))
            .to_vec();
        let found = of(&pickup(STATED), &taken);
        assert!(!matches!(found.kind, DiagnosisKind::AllWell | DiagnosisKind::NotEnough), "{ohms}: {found:#?}");
        assert!(found.sentence.len() > 20 && found.sentence.is_ascii() | found.sentence.contains('“'), "{found:#?}");
    }
}

#[test]
fn strange_benches_are_answered_too() {
    let (rig, meter) = (Rig::four_terminal("rig"), Meter::plain());
    let mut none = pickup(STATED);
    none.coils.clear();
    none.leads.clear();
    let mut many = pickup(STATED);
    many.coils = vec![many.coils[0]; 40];
    let mut wide = rig.clone();
    wide.terminals = (0..60).map(|name| name.to_string()).collect();
    wide.positions[0].output = [0, 200];
    let no_modes = Meter { share: 0.0, counts: 0.0, ranges: Vec::new() };
    for (pickup, rig, meter) in [(&none, &rig, &meter), (&many, &wide, &meter), (&many, &rig, &no_modes)] {
        for joined in [&[][..], &hooked_up()] {
            let taken = modes(["3.5k", "6.66k", "OL"]);
            assert!(!diagnose(&case(pickup, joined, rig, meter, &taken)).sentence.is_empty());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// What each class predicts by series and parallel is what the solver finds: the same readings for every cause.
    #[test]
    fn classes_predict_what_the_solver_finds(
        at in any::<prop::sample::Index>(),
        coils in prop::array::uniform2(2000.0_f64..15000.0),
        body in 100e3_f64..1e6,
        load in 200e3_f64..1e6,
    ) {
        let pickup = pickup(coils.map(Some));
        let (joined, rig) = (hooked_up(), Rig::four_terminal("rig"));
        let pairs = pairs_of_causes(&pickup, &joined, &rig);
        let pair = pairs[at.index(pairs.len())].clone();
        let given = Given { coils: coils.map(Ohms).to_vec(), body: Ohms(body), load: Ohms(load), contact: Ohms(load / 50.0) };
        let exact: Vec<Taken> = rig
            .positions
            .iter()
            .map(|position| {
                let probe = Probe::Output { mode: position.mode.clone(), care: Care::AsUsual };
                let ohms = would_read(&pickup, &joined, &rig, &pair, &given, &probe);
                Taken::new(probe, ohms.map_or(Reading::OverLimit, Reading::Ohms))
            })
            .collect();
        let circuit = RigCircuit::new(&pickup, &joined, &rig);
        let mut forms = Forms::new(&circuit);
        let meter = Meter::plain();
        let case = case(&pickup, &joined, &rig, &meter, &exact);
        let worked = work_out(&case, &circuit, &agreement(&case), &mut forms);
        let values = vec![coils[0], coils[1], f64::INFINITY, body, load, load / 50.0];
        let place = (0..worked.hypotheses.len()).find(|place| words::causes_of(&worked, *place) == pair);
        let class = worked.ranking.explanations.iter().find(|class| place.is_some_and(|place| class.members.contains(&place)));
        prop_assert!(class.is_some(), "{:?}", pair);
        for ((form, adjusted), taken) in class.map_or(&[][..], |class| &class.forms).iter().zip(&exact) {
            let ohms = forms.get(*form).ohms(&values) * 10_f64.powi(i32::from(adjusted.power));
            match taken.reading {
                Reading::OverLimit => prop_assert!(ohms.is_infinite() || adjusted.range_low),
                Reading::Ohms(Ohms(read)) => prop_assert!((ohms - read).abs() <= read * 1e-9, "{} {}", ohms, read),
            }
        }
    }
}

/// Four leads of which nobody knows what they are, by terminal.
const NAMES: [&str; 4] = ["blue", "grey", "orange", "pink"];

fn nobody_knows() -> Pickup {
    let leads = NAMES.map(|name| Lead { name: name.into(), ends: Vec::new() }).to_vec();
    let shield = Shield { kind: ShieldKind::None, joined_to: None };
    Pickup { leads, shield, ..pickup([None, None]) }
}

fn named_rig() -> Rig {
    let terminals = ["A ground side", "A hot side", "B ground side", "B hot side"].map(str::to_owned).to_vec();
    Rig { terminals, ..Rig::four_terminal("rig") }
}

fn lying(leads: [&str; 4]) -> Vec<Joined> {
    (0..).zip(leads).map(|(terminal, lead)| Joined { terminal, leads: vec![lead.into()] }).collect()
}

fn where_is<'a>(rig: &'a Rig, joined: &[Joined], lead: &Contact) -> Option<&'a str> {
    let at = joined.iter().find(|here| here.leads.contains(lead))?;
    rig.terminals.get(usize::from(at.terminal)).map(String::as_str)
}

/// What is recorded once each lead is where it belongs.
fn mended(rig: &Rig, joined: &[Joined], leads: &[LeadIn]) -> Vec<Joined> {
    let mut after = joined.to_vec();
    for here in &mut after {
        here.leads.retain(|lead| leads.iter().all(|moved| moved.lead != *lead));
        let name = &rig.terminals[usize::from(here.terminal)];
        here.leads.extend(leads.iter().filter(|moved| moved.belongs == *name).map(|moved| moved.lead.clone()));
    }
    after
}

#[test]
fn leads_that_nobody_knows_are_exchanged_where_they_are_recorded() {
    let (pickup, rig, joined) = (nobody_knows(), named_rig(), lying(NAMES));
    let found = diagnose(&case(&pickup, &joined, &rig, &Meter::plain(), &modes(["OL", "OL", "8.1k"])));
    let first = found.ranked.first().expect("something is wrong");
    assert_eq!(first.sentence, "Grey and orange are in each other's place.");
    assert_eq!(first.what_to_do, ["Swap the leads on terminals A hot side and B ground side. Then measure again."]);
    let [Cause::InEachOthersPlace { leads }] = first.causes.as_slice() else { panic!("{first:?}") };
    assert!(leads.iter().all(|lead| where_is(&rig, &joined, &lead.lead) == Some(lead.terminal.as_str())), "{leads:?}");
    assert_eq!(mended(&rig, &joined, leads), lying(["blue", "orange", "grey", "pink"]));
}

#[test]
fn leads_that_are_written_elsewhere_than_they_lie_are_put_where_it_is_written_or_left_where_that_is_worse() {
    let (pickup, rig) = (pickup(STATED), named_rig());
    let of = |joined: &[Joined], readings: [&str; 3]| {
        let found = diagnose(&case(&pickup, joined, &rig, &Meter::plain(), &modes(readings)));
        found.ranked.into_iter().next().expect("something is wrong")
    };
    let right = lying(["moss", "rust", "slate", "chalk"]);
    let swapped = of(&right, ["OL", "OL", "14.06k"]);
    let [Cause::InEachOthersPlace { leads }] = swapped.causes.as_slice() else { panic!("{swapped:?}") };
    assert_eq!(mended(&rig, &right, leads), right);
    assert!(swapped.what_to_do[0].contains("Swap the leads"), "{swapped:?}");
    // Written the wrong way round, and lying as they should.
    let wrong = lying(["moss", "slate", "rust", "chalk"]);
    let well = of(&wrong, ["3.5k", "6.66k", "14.06k"]);
    let [Cause::InEachOthersPlace { leads }] = well.causes.as_slice() else { panic!("{well:?}") };
    assert_eq!(mended(&rig, &wrong, leads), right);
    assert!(well.what_to_do[0].contains("leave it"), "{well:?}");
}

proptest! {
    /// However they lie: a mend of two leads changes the record by these two, and names the terminals they are recorded in.
    #[test]
    fn a_mend_exchanges_two_in_the_record(names in Just(NAMES).prop_shuffle()) {
        let (pickup, rig, joined) = (nobody_knows(), named_rig(), lying(names));
        let given = Given { coils: vec![Ohms(4000.0), Ohms(4100.0)], body: Ohms(3e5), load: Ohms(4e5), contact: Ohms(2e3) };
        let mut pairs = 0;
        for cause in causes(&pickup, &joined, &rig) {
            let Cause::InEachOthersPlace { leads } = &cause else { continue };
            for moved in leads {
                prop_assert_eq!(where_is(&rig, &joined, &moved.lead), Some(moved.terminal.as_str()));
                // A lead is probed where it is recorded, whatever it turns out to be.
                let terminal = rig.terminals.iter().position(|name| *name == moved.terminal).unwrap_or_default() as u8;
                let probe = Probe::LeadAt { mode: Mode::new("single"), lead: moved.lead.clone(), terminal };
                let read = would_read(&pickup, &joined, &rig, std::slice::from_ref(&cause), &given, &probe);
                prop_assert!(read.is_some_and(|ohms| ohms.0 < 1e-6), "{cause:?} {probe:?} {read:?}");
            }
            if let [one, other] = leads.as_slice() {
                pairs += 1;
                let exchanged = names.map(|name| {
                    match name {
                        name if name == one.lead.as_str() => other.lead.as_str(),
                        name if name == other.lead.as_str() => one.lead.as_str(),
                        name => name,
                    }
                });
                prop_assert_eq!(mended(&rig, &joined, leads), lying(exchanged));
                let told = format!("Swap the leads on terminals {} and {}.", one.terminal, other.terminal);
                prop_assert!(cause.what_to_do().starts_with(&told), "{}", cause.what_to_do());
            }
        }
        prop_assert_eq!(pairs, 6);
    }
}

fn one_coil(stated: f64) -> (Pickup, Vec<Joined>) {
    let mut one = pickup([Some(stated), None]);
    one.coils.truncate(1);
    one.leads.truncate(2);
    one.construction = Construction::SingleCoil;
    one.shield.kind = ShieldKind::None;
    (one, lying(["moss", "rust", "", ""]).into_iter().take(2).collect())
}

#[test]
fn a_record_that_can_hardly_be_is_doubted_before_a_reading_that_can() {
    let (one, joined) = one_coil(59_000.0);
    for readings in [["", "5.9k", ""], ["5.9k", "5.9k", ""]] {
        let taken = modes(readings);
        let (rig, meter) = (Rig::four_terminal("rig"), Meter::plain());
        let case = case(&one, &joined, &rig, &meter, &taken);
        let slip = diagnose(&case).slip.expect("the record is asked about");
        assert_eq!((slip.probe, slip.instead.as_str()), (None, ""), "{}", slip.sentence);
        assert_eq!(
            slip.sentence,
            "The pickup's record says 59 kΩ, and the readings are those of about 5.9 kΩ. Look at the point in the record."
        );
        assert_eq!(agreement(&case).kind, AgreementKind::DoesNotAgree);
        assert!(!agreement(&case).sentence.contains("other coil"), "{}", agreement(&case).sentence);
    }
}

#[test]
fn a_mode_that_a_pickup_has_not_is_not_asked_for() {
    let (one, joined) = one_coil(5900.0);
    let taken = modes(["", "OL", ""]);
    let (rig, meter) = (Rig::four_terminal("rig"), Meter::plain());
    let case = case(&one, &joined, &rig, &meter, &taken);
    let others = |probe: &Probe| matches!(probe, Probe::Output { mode, .. } if mode.0 != "single");
    assert!(!candidate_probes(&case).iter().any(others));
    let well = modes(["", "5.9k", ""]);
    assert_eq!(diagnose(&Case { taken: &well, ..case }).kind, DiagnosisKind::AllWell);
}

#[test]
fn a_figure_for_one_coil_that_both_read_in_series_is_of_the_whole() {
    let whole = pickup([Some(8100.0), None]);
    let slip = of(&whole, &modes(["OL", "OL", "8.1k"])).slip.expect("the record is asked about");
    assert!(slip.probe.is_none() && slip.sentence.contains("each has about 4.05 kΩ"), "{}", slip.sentence);
    // One coil reads as much as well: then it is no figure of both.
    let one = of(&whole, &modes(["OL", "8.1k", "8.1k"])).slip;
    assert!(one.is_none_or(|slip| !slip.sentence.contains("in series")));
}
