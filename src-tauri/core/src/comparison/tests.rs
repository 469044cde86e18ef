//! Bench cases of unfair comparisons, and what has to hold of all of them.

use std::collections::BTreeSet;

use proptest::prelude::*;

use super::invented::{heard, name};
use super::{FairKind, Subject, Weight, compare};
use crate::audition::{Kit, Saved};
use crate::comparison::compared::{Compared, names};
use crate::listening::Conditions;
use crate::record::facts::{AmpKind, Cable, InputLoad, Installed, LoadResistor};
use crate::record::gaps::LevelReading;
use crate::record::guitar::GuitarId;
use crate::record::listening::Quality;
use crate::record::mounting::{Mounting, Side, Turn};
use crate::record::names::{BenchId, EntryId};
use crate::record::note::Note;
use crate::record::pickup::{Construction, Poles, Stagger};
use crate::record::quantity::{Celsius, Decibels, Farads, LengthUnit, Millimetres};
use crate::record::rig::{Mode, RigId};
use crate::record::sound::LevelTold;

type Change = fn(&mut Conditions, &mut Kit);

fn pair(change: impl Fn(&mut Conditions, &mut Kit)) -> [Compared; 2] {
    let rated = [(Quality::Treble, 3), (Quality::Hum, 2)];
    let brighter = [(Quality::Treble, 5), (Quality::Hum, 2)];
    [heard(1, 1, 0, &["series", "single"], &rated, |_, _| {}), heard(2, 2, 1, &["series", "single"], &brighter, change)]
}

fn view(all: &[Compared]) -> super::ComparisonView {
    compare(all, LengthUnit::Millimetre)
}

/// What is changed in the second of two auditions, how fair that leaves them, what is named, and words that say what it does.
#[test]
fn what_was_not_the_same_is_named_with_what_it_does() {
    let cases: [(&str, Change, FairKind, Option<Subject>, &str); 27] = [
        ("nothing", |_, _| {}, FairKind::Fair, None, ""),
        ("a tenth of a gap", |h, _| gap(h, 4.5, 3.7), FairKind::Fair, None, ""),
        ("gaps", |h, _| gap(h, 3.8, 3.1), FairKind::NotFair, Some(Subject::Gaps), "dB louder, give or take"),
        ("gaps much nearer", |h, _| gap(h, 3.6, 2.9), FairKind::NotFair, Some(Subject::Gaps), "pull the strings more"),
        ("gaps tilted", |h, _| gap(h, 3.3, 4.5), FairKind::NotFair, Some(Subject::Gaps), "bass strings gain"),
        (
            "pressed strings",
            |h, _| pressed(h, Some(22)),
            FairKind::NotFair,
            Some(Subject::Gaps),
            "with the strings open",
        ),
        ("gaps not measured", |h, _| h.gaps = None, FairKind::FairBut, Some(Subject::Gaps), "Nobody measured"),
        ("another place", |h, _| place(h, 41.0), FairKind::NotFair, Some(Subject::Place), "121 mm nearer the bridge"),
        ("a place beside it", |h, _| place(h, 163.5), FairKind::Fair, None, ""),
        (
            "another amp",
            |h, _| h.amp = Some("big amp".into()),
            FairKind::NotFair,
            Some(Subject::Amplifier),
            "“big amp”",
        ),
        ("the same amp in other letters", |h, _| h.amp = Some("Small  amp, volume 3".into()), FairKind::Fair, None, ""),
        ("no amp told", |h, _| h.amp = None, FairKind::FairBut, Some(Subject::Amplifier), "is not recorded"),
        ("louder", |h, _| level(h, 84.0), FairKind::NotFair, Some(Subject::Level), "4 dB louder at the ear"),
        ("old strings", |_, k| age(k, "two years"), FairKind::NotFair, Some(Subject::StringsAge), "lose treble"),
        (
            "tuned down",
            |h, _| h.tuned = Some(vec![Note(38)]),
            FairKind::NotFair,
            Some(Subject::Tuning),
            "Slacker strings",
        ),
        ("another guitar", |h, _| guitar(h, 2), FairKind::NotFair, Some(Subject::Guitar), "another instrument"),
        ("a warm room", |h, _| h.room = Some(Celsius(30.0)), FairKind::Fair, Some(Subject::Room), "nobody hears"),
        ("ends reversed", |h, _| ends(h), FairKind::NotFair, Some(Subject::Lie), "strings balance differently"),
        ("another rig", |h, _| rig(h, 2), FairKind::Fair, Some(Subject::Rig), "nothing that can be heard"),
        (
            "a long cable",
            |h, _| h.cable = Some(Cable::Long),
            FairKind::NotFair,
            Some(Subject::Cable),
            "pulls its resonance down by about 47 %",
        ),
        (
            "a cable of known capacitance",
            |h, _| h.picofarads = Some(1000),
            FairKind::NotFair,
            Some(Subject::Cable),
            "pulls its resonance down",
        ),
        (
            "a line input, the other not told",
            |h, _| h.input = Some(InputLoad::Ohms20k),
            FairKind::FairBut,
            Some(Subject::Input),
            "is not recorded",
        ),
        ("an ordinary input, the other not told", |h, _| h.input = Some(InputLoad::Ohms1M), FairKind::Fair, None, ""),
        (
            "a resistor across the output",
            |h, _| h.load = Some(LoadResistor::Ohms125k),
            FairKind::FairBut,
            Some(Subject::Load),
            "under the other is not recorded",
        ),
        ("said to have no resistor", |h, _| h.load = Some(LoadResistor::None), FairKind::Fair, None, ""),
        (
            "the fitted pickup left",
            |h, _| h.installed = Some(Installed::Left),
            FairKind::NotFair,
            Some(Subject::Fitted),
            "left as it is",
        ),
        ("somebody else", |h, _| h.by = BenchId(name(8, 2)), FairKind::FairBut, Some(Subject::By), "two people"),
    ];
    for (what, change, kind, subject, part) in cases {
        let view = view(&pair(change));
        assert_eq!(view.fairness.kind, kind, "{what}: {:?}", view.fairness.found);
        let found: BTreeSet<Subject> = view.fairness.found.iter().map(|found| found.subject).collect();
        assert_eq!(found, subject.into_iter().collect(), "{what}: {:?}", view.fairness.found);
        if !part.is_empty() {
            assert!(view.fairness.found[0].sentence.contains(part), "{what}: {}", view.fairness.found[0].sentence);
        }
        assert_eq!(view.fairness.repeats.is_empty(), kind == FairKind::Fair, "{what}");
    }
}

fn gap(heard: &mut Conditions, bass: f64, treble: f64) {
    if let Some(gaps) = &mut heard.gaps {
        (gaps.bass, gaps.treble) = (Millimetres(bass), Millimetres(treble));
    }
}

fn pressed(heard: &mut Conditions, fret: Option<u8>) {
    if let Some(gaps) = &mut heard.gaps {
        gaps.pressed_at = fret;
    }
}

fn place(heard: &mut Conditions, from_saddle: f64) {
    if let Some(choice) = &mut heard.choice {
        choice.from_saddle = Millimetres(from_saddle);
    }
}

fn guitar(heard: &mut Conditions, number: u128) {
    if let Some(choice) = &mut heard.choice {
        choice.guitar = GuitarId(name(2, number));
    }
}

fn rig(heard: &mut Conditions, number: u128) {
    if let Some(choice) = &mut heard.choice {
        choice.rig = RigId(name(3, number));
    }
}

fn level(heard: &mut Conditions, level: f64) {
    heard.level = Some(LevelTold::Meter { level: Decibels(level) });
}

fn age(kit: &mut Kit, words: &str) {
    if let Some(guitar) = &mut kit.guitar {
        guitar.strings_age = words.to_owned();
    }
}

fn ends(heard: &mut Conditions) {
    heard.mounting = Some(Mounting { bass_end_over: Some(Side::Treble), turn: Turn::EndOverEnd, lie: None });
}

/// Whatever the pickup is: heights that nobody wrote down are asked for, those that are alike are no difference, and only a record
/// of different ones makes the comparison unfair.
#[test]
fn no_pole_heights_are_made_up() {
    let flat = || Stagger::Staggered { heights: vec![Millimetres(0.4); 6] };
    for construction in [
        Construction::SingleCoil,
        Construction::Stacked,
        Construction::SideBySide,
        Construction::SoapBar,
        Construction::Rail,
        Construction::Mini,
    ] {
        for (poles, stagger, said, weight) in [
            (Poles::Blade, Stagger::Unknown, "two ends are alike", Weight::Doubt),
            (Poles::Blade, Stagger::Flat, "two ends are alike", Weight::Doubt),
            (Poles::Rods, Stagger::Flat, "two ends are alike", Weight::Doubt),
            (Poles::Screws, flat(), "two ends are alike", Weight::Doubt),
            (Poles::Rods, Stagger::Unknown, "Not recorded yet: whether its poles", Weight::Doubt),
            (Poles::Screws, Stagger::Unknown, "Not recorded yet: whether its poles", Weight::Doubt),
            (Poles::Hidden, Stagger::Unknown, "Not recorded yet: whether its poles", Weight::Doubt),
            (Poles::Rods, Stagger::Staggered { heights: Vec::new() }, "poles of other heights meet", Weight::Unfair),
            (
                Poles::Rods,
                Stagger::Staggered { heights: [0.9, 0.5, 1.2, 1.2, 0.2, 0.0].map(Millimetres).to_vec() },
                "poles of other heights meet",
                Weight::Unfair,
            ),
        ] {
            // All coils together, so that which edge is where hardly matters.
            let all: [Compared; 2] = [false, true].map(|turned| {
                heard(1 + u128::from(turned), 1, i64::from(turned), &["series"], &[(Quality::Treble, 3)], |h, kit| {
                    if turned {
                        ends(h);
                    }
                    if let Some(pickup) = &mut kit.pickup {
                        pickup.construction = construction;
                        (pickup.poles, pickup.stagger) = (poles, stagger.clone());
                    }
                })
            });
            let found = view(&all).fairness.found;
            let lie = found.iter().find(|found| found.subject == Subject::Lie).expect("they lay in two ways");
            assert!(lie.sentence.contains(said), "{construction:?} {poles:?} {stagger:?}: {}", lie.sentence);
            assert_eq!(lie.weight, weight, "{construction:?} {poles:?} {stagger:?}: {}", lie.sentence);
        }
    }
}

/// What was read of cautions is told and is no difference.
#[test]
fn cautions_that_were_read_are_no_difference() {
    let [one, mut other] = pair(|_, _| {});
    let read = Saved { entry: EntryId(name(9, 88)), at: super::invented::day(0), said: "always".to_owned() };
    other.audition.acknowledged.insert("loud-sound".to_owned(), read);
    let sections = view(&[one, other]).sections;
    let row = sections.iter().flat_map(|part| &part.rows).find(|row| row.name == "Cautions read").expect("it is told");
    assert_eq!((row.cells[0].words.as_str(), row.differs), ("none", false));
    assert!(row.cells[1].words.contains("Loud sound"), "{row:?}");
}

/// A clip from the sleeve to the bridge: named where one had it and the other not, asked for where hum was rated and nobody told,
/// and no reason for anything but hum.
#[test]
fn a_load_resistor_is_told_by_what_it_takes_off_the_resonance() {
    use LoadResistor::{None, Ohms125k, Ohms250k};
    let fair = |loads: [Option<LoadResistor>; 2]| {
        let rated = [(Quality::Treble, 3)];
        let all: Vec<Compared> = (0_u8..)
            .zip(loads)
            .map(|(at, load)| {
                let number = 1 + u128::from(at);
                heard(number, number, i64::from(at), &["single"], &rated, |h, _| h.load = load)
            })
            .collect();
        view(&all).fairness
    };
    let unlike = fair([Some(Ohms125k), Some(None)]);
    assert_eq!((unlike.kind, unlike.found[0].subject), (FairKind::NotFair, Subject::Load));
    assert!(unlike.found[0].sentence.contains("dB off a resonance"), "{:?}", unlike.found);
    assert_eq!(fair([Some(Ohms250k), Some(Ohms125k)]).kind, FairKind::NotFair);
    for alike in [[Option::None, Option::None], [Some(None), Option::None], [Some(Ohms250k), Some(Ohms250k)]] {
        assert_eq!(fair(alike).kind, FairKind::Fair, "{alike:?}");
    }
}

#[test]
fn hum_hangs_on_the_string_ground() {
    let hums = |grounds: [Option<bool>; 2]| {
        let all: [Compared; 2] = [0, 1].map(|at: usize| {
            let rated = [(Quality::Hum, 2 + 2 * at as u8), (Quality::Treble, 3 + at as u8)];
            heard(1 + at as u128, 1 + at as u128, at as i64, &["single"], &rated, |h, _| h.string_ground = grounds[at])
        });
        view(&all).fairness
    };
    let explained = |grounds: [Option<bool>; 2], quality: Quality| {
        hums(grounds).heard.into_iter().find(|one| one.quality == quality).and_then(|one| one.explained)
    };
    let unlike = hums([Some(true), Some(false)]);
    assert_eq!((unlike.kind, unlike.found[0].subject), (FairKind::NotFair, Subject::StringGround));
    assert!(unlike.found[0].sentence.contains("Under Pickup 1 the strings were grounded by a clip"), "{unlike:?}");
    let could = |what: &str| Some(format!("Could come from something else: {what}."));
    assert_eq!(explained([Some(true), Some(false)], Quality::Hum), could("string ground"));
    assert_eq!(explained([Some(false), Some(true)], Quality::Hum), None, "the grounded one hummed more");
    assert_eq!(explained([Some(false), Some(false)], Quality::Hum), could("no string ground"));
    assert_eq!(explained([Some(true), Some(true)], Quality::Hum), None);
    for grounds in [[Some(true), Some(false)], [Some(false), Some(false)]] {
        assert_eq!(explained(grounds, Quality::Treble), None);
    }
    assert_eq!(hums([Some(true), None]).known_of_some, ["string ground"]);
    assert!(hums([Some(true), None]).unknown.is_empty());
    assert_eq!(hums([None, None]).unknown, ["string ground"]);
    assert!(hums([None, None]).known_of_some.is_empty());
    assert!(hums([Some(false), Some(false)]).known_of_some.is_empty());
    assert!(hums([Some(false), Some(false)]).unknown.is_empty());
    // Where no hum was rated nothing is missing.
    let [mut one, mut other] = pair(|_, _| {});
    for all in [&mut one, &mut other] {
        all.audition.rated.retain(|(_, quality), _| *quality != Quality::Hum);
        all.audition.conditions.values_mut().for_each(|h| h.string_ground = None);
    }
    assert!(view(&[one, other]).fairness.unknown.is_empty());
}

#[test]
fn written_down_of_none_is_so_of_every_one() {
    let rated = [(Quality::Treble, 3)];
    let aged = |ages: [&str; 3]| {
        let all: Vec<Compared> = (0_u8..)
            .zip(ages)
            .map(|(at, age)| {
                let mut of =
                    heard(1 + u128::from(at), 1 + u128::from(at), i64::from(at), &["single"], &rated, |_, _| {});
                of.kit.guitar.as_mut().unwrap().strings_age = age.to_owned();
                of
            })
            .collect();
        let fairness = view(&all).fairness;
        let among = |names: Vec<String>| names.iter().any(|name| name == "age of the strings");
        (among(fairness.unknown), among(fairness.known_of_some))
    };
    assert_eq!(aged(["", "", ""]), (true, false));
    assert_eq!(aged(["new", "new", "new"]), (false, false));
    for some in [["new", "", ""], ["", "new", ""], ["", "", "new"], ["new", "new", ""], ["", "new", "new"]] {
        assert_eq!(aged(some), (false, true), "{some:?}");
    }
}

#[test]
fn more_treble_is_explained_by_a_place_nearer_the_bridge_and_not_by_one_nearer_the_neck() {
    let [one, other] = pair(|h, _| place(h, 120.0));
    let brighter = view(&[one, other]).fairness.heard;
    assert_eq!(brighter.len(), 2, "treble in both modes; hum is the same: {brighter:?}");
    assert!(brighter[0].sentence.contains("Pickup 2 was brighter than Pickup 1: 5 against 3"), "{brighter:?}");
    assert_eq!(brighter[0].explained.as_deref(), Some("Could come from something else: place."));
    let [one, other] = pair(|h, _| place(h, 200.0));
    let brighter = view(&[one, other]).fairness.heard;
    assert_eq!(brighter[0].explained, None, "{brighter:?}");
}

#[test]
fn a_level_law_of_the_bench_is_told_as_such() {
    let [mut one, other] = pair(|h, _| gap(h, 2.2, 1.8));
    let read = |gap: f64, level: f64| Saved {
        entry: EntryId(name(9, 77)),
        at: super::invented::day(0),
        said: LevelReading { gap: Millimetres(gap), level: Decibels(level), strings: None },
    };
    one.audition.levels = vec![read(1.0, -8.0), read(2.0, -16.0)];
    let found = view(&[one, other]).fairness.found;
    assert!(
        found[0].sentence.contains("about 8 dB louder") && found[0].sentence.contains("2 levels read"),
        "{found:?}"
    );
}

#[test]
fn rolled_and_not_rolled_one_coil_alone_is_heard_one_coil_spacing_away() {
    let view = view(&pair(|h, _| {
        h.mounting = Some(Mounting { bass_end_over: Some(Side::Bass), turn: Turn::NotTurned, lie: None })
    }));
    let single = view.fairness.found.iter().find(|found| found.sentence.contains("one coil spacing"));
    assert!(
        single.is_some_and(|found| found.modes == "in single" && found.sentence.contains("18 mm")),
        "{:?}",
        view.fairness
    );
}

#[test]
fn no_mode_in_common() {
    let all = [
        heard(1, 1, 0, &["series"], &[(Quality::Treble, 3)], |_, _| {}),
        heard(2, 2, 1, &["single"], &[(Quality::Treble, 3)], |_, _| {}),
    ];
    let view = view(&all);
    assert_eq!(view.fairness.kind, FairKind::NotFair);
    assert_eq!(view.fairness.found[0].subject, Subject::Mode);
}

#[test]
fn the_pinned_one_says_how_it_should_have_been() {
    let mut all = pair(|h, _| gap(h, 3.4, 2.8));
    assert_eq!(view(&all).fairness.repeats[0].again, all[0].id, "else the newest does");
    all[0].pinned = true;
    let repeat = &view(&all).fairness.repeats[0];
    assert_eq!((repeat.again, repeat.like), (all[1].id, all[0].id));
    assert!(repeat.sentence.contains("See to: gaps"), "{}", repeat.sentence);
}

#[test]
fn nothing_is_heard_again_like_something_that_is_not_recorded() {
    let unplugged = |one: &mut Compared| {
        one.audition.amp = None;
        for heard in one.audition.conditions.values_mut() {
            heard.amp = None;
        }
    };
    for pinned in [None, Some(0), Some(1)] {
        for (without, part) in [
            (&[0][..], "Hear Pickup 1 again as Pickup 2 was heard. Write down this time: amplifier. Play it"),
            (&[1], "Hear Pickup 2 again as Pickup 1 was heard. Write down this time: amplifier. Play it"),
            (&[0, 1], "again, and write down for both: amplifier."),
        ] {
            let mut all = pair(|_, _| {});
            without.iter().for_each(|index: &usize| unplugged(&mut all[*index]));
            pinned.into_iter().for_each(|index: usize| all[index].pinned = true);
            let repeats = view(&all).fairness.repeats;
            let [repeat] = &repeats[..] else { panic!("{without:?}: {repeats:?}") };
            assert!(repeat.sentence.contains(part), "{without:?}: {}", repeat.sentence);
            assert!(without.len() == 2 || repeat.again == all[without[0]].id, "{without:?}");
        }
    }
    // The level of one, the amplifier of the other: what is known is taken over, what is known of neither is written down.
    let mut all = pair(|h, _| level(h, 90.0));
    unplugged(&mut all[1]);
    let said = &view(&all).fairness.repeats[0].sentence;
    assert!(said.starts_with("Hear Pickup 2 again as Pickup 1 was heard. See to: level at the ear."), "{said}");
}

/// Every two amplifiers as somebody wrote them down, with other letters or not at all: another one is unfair, and one that nobody
/// wrote down leaves a doubt, named with whose it is.
#[test]
fn an_amplifier_is_named_where_it_is_another_or_nobody_wrote_it_down() {
    let words = [(None, 0), (Some("Small amp"), 1), (Some("small  AMP "), 1), (Some("Big amp"), 2)];
    let kinds = [None, Some(AmpKind::Valve), Some(AmpKind::Desk)];
    let through = |number: u128, amp: Option<&str>, kind: Option<AmpKind>| {
        heard(number, number, 0, &["series"], &[(Quality::Treble, 3)], |heard, _| {
            heard.amp = amp.map(str::to_owned);
            heard.amp_kind = kind;
        })
    };
    for case in 0..144 {
        let [one, other] = [words[case % 4], words[case / 4 % 4]];
        let [kind, other_kind] = [kinds[case / 16 % 3], kinds[case / 48]];
        let found = view(&[through(1, one.0, kind), through(2, other.0, other_kind)]).fairness.found;
        let found: Vec<_> = found.iter().filter(|found| found.subject == Subject::Amplifier).collect();
        let said = format!("{one:?} {kind:?}, {other:?} {other_kind:?}: {found:?}");
        let another = (one.1 > 0 && other.1 > 0 && one.1 != other.1)
            || (kind.is_some() && other_kind.is_some() && kind != other_kind);
        let missing = [one.1 == 0, other.1 == 0];
        let weights: Vec<Weight> = found.iter().map(|found| found.weight).collect();
        let expected = match (another, missing) {
            (true, _) => vec![Weight::Unfair],
            (false, [false, false]) => Vec::new(),
            (false, _) => vec![Weight::Doubt],
        };
        assert_eq!(weights, expected, "{said}");
        if weights == [Weight::Doubt] && missing != [true; 2] {
            let names = ["Pickup 1", "Pickup 2"].map(|name| found[0].sentence.contains(name));
            assert_eq!(names, missing, "{said}");
        }
    }
}

#[test]
fn gaps_changed_between_ratings_are_noticed() {
    let mut all = pair(|_, _| {});
    let mut later = all[1].audition.contexts[0].clone();
    gap(&mut later, 3.2, 2.8);
    all[1].audition.contexts.push(later.clone());
    all[1].audition.conditions.insert(Mode::new("series"), later);
    if let Some(rating) = all[1].audition.rated.get_mut(&(Mode::new("series"), Quality::Hum)) {
        rating.said.context = 1;
    }
    let found = view(&all).fairness.found;
    assert!(
        found.iter().any(|one| one.subject == Subject::Mixed && one.sentence.contains("the gaps changed")),
        "{found:?}"
    );
}

#[test]
fn names_tell_auditions_apart() {
    let rated = [(Quality::Treble, 3)];
    let one = |number, pickup, days| heard(number, pickup, days, &["series"], &rated, |_, _| {});
    assert_eq!(names(&[one(1, 1, 0), one(2, 2, 0)]), ["Pickup 1", "Pickup 2"]);
    let same = names(&[one(1, 1, 0), one(2, 1, 3), one(3, 2, 0)]);
    assert!(
        same[0].contains(" of ") && same[1].contains(" of ") && same[0] != same[1] && same[2] == "Pickup 2",
        "{same:?}"
    );
    let twins = names(&[one(1, 1, 0), one(2, 1, 0)]);
    assert_ne!(twins[0], twins[1]);
}

/// One way in which an audition may be out of the way.
fn change(which: u8, much: u8) -> impl Fn(&mut Conditions, &mut Kit) {
    move |heard, kit| {
        let tenths = f64::from(much) / 10.0;
        match which {
            0 => gap(heard, 1.0 + tenths, 1.0 + tenths / 2.0),
            1 => place(heard, 40.0 + f64::from(much)),
            2 => level(heard, 70.0 + tenths),
            3 => heard.amp = (!much.is_multiple_of(3)).then(|| format!("amp {}", much % 4)),
            4 => heard.room = Some(Celsius(10.0 + tenths)),
            5 => age(kit, ["new", "old", ""][usize::from(much % 3)]),
            6 => ends(heard),
            7 => heard.cable = [None, Some(Cable::Short), Some(Cable::Long)][usize::from(much % 3)],
            8 => guitar(heard, u128::from(much % 2) + 1),
            9 => heard.by = BenchId(name(8, u128::from(much % 2) + 1)),
            10 => {
                if let Some(rig) = &mut kit.rig {
                    rig.stray = Some(Farads(f64::from(much) * 1e-12));
                }
            }
            11 => heard.load = [None, Some(LoadResistor::None), Some(LoadResistor::Ohms125k)][usize::from(much % 3)],
            _ => {}
        }
    }
}

fn auditions(least: usize) -> impl Strategy<Value = Vec<Compared>> {
    let one = (0u8..13, any::<u8>(), 1u8..=5, 0i64..40, 1u128..3);
    prop::collection::vec(one, least..=4).prop_map(|seeds| {
        (1u128..)
            .zip(seeds)
            .map(|(number, (which, much, value, days, pickup))| {
                let rated = [(Quality::Treble, value), (Quality::Output, 6 - value)];
                heard(number, pickup, days, &["series", "single"], &rated, change(which, much))
            })
            .collect()
    })
}

proptest! {
    /// In whatever order auditions are named, the same is said of them; only their columns change places.
    #[test]
    fn naming_them_in_another_order_mirrors_it((all, order) in auditions(2).prop_flat_map(|all| {
        let order: Vec<usize> = (0..all.len()).collect();
        (Just(all), Just(order).prop_shuffle())
    })) {
        let plain = view(&all);
        let moved: Vec<Compared> = order.iter().map(|index| all[*index].clone()).collect();
        let mirrored = view(&moved);
        prop_assert_eq!(&plain.fairness, &mirrored.fairness);
        prop_assert_eq!((plain.differ, plain.same), (mirrored.differ, mirrored.same));
        for (part, other) in plain.sections.iter().zip(&mirrored.sections) {
            prop_assert_eq!(&part.title, &other.title);
            for (row, turned) in part.rows.iter().zip(&other.rows) {
                prop_assert_eq!((&row.name, row.differs), (&turned.name, turned.differs));
                let cells: Vec<_> = order.iter().map(|index| &row.cells[*index]).collect();
                prop_assert_eq!(cells, turned.cells.iter().collect::<Vec<_>>());
            }
        }
    }

    /// An audition held against itself is the same in everything, and nothing speaks against that.
    #[test]
    fn held_against_itself(all in auditions(2)) {
        for one in all {
            let view = view(&[one.clone(), one.clone()]);
            prop_assert_eq!(view.differ, 0);
            prop_assert!(view.fairness.heard.is_empty());
            let harmless = view.fairness.found.iter().all(|found| {
                // What is not recorded of it stays a doubt.
                found.sentence.starts_with("Nobody") || found.sentence.to_lowercase().contains("not recorded")
            });
            prop_assert!(harmless, "{:?}", view.fairness.found);
            prop_assert!(view.fairness.kind != FairKind::NotFair);
        }
    }
}

#[test]
fn what_was_repeated_already_is_not_proposed_again() {
    let single = ["single"];
    let rated = [(Quality::Treble, 4)];
    let near = heard(1, 1, 0, &single, &rated, |h, _| gap(h, 3.4, 2.8));
    let repeat = heard(2, 1, 6, &single, &rated, |_, _| {});
    let other = heard(3, 2, 7, &single, &rated, |_, _| {});
    let again = |all: &[Compared]| -> Vec<_> { view(all).fairness.repeats.into_iter().map(|one| one.again).collect() };
    assert_eq!(again(&[near.clone(), other.clone()]), [near.id]);
    assert_eq!(again(&[near.clone(), repeat, other.clone()]), []);
    // Heard later but no nearer to how it should be, only the later one is to be heard again.
    let still_near = heard(2, 1, 6, &single, &rated, |h, _| gap(h, 3.4, 2.8));
    assert_eq!(again(&[near, still_near.clone(), other]), [still_near.id]);
}

#[test]
fn what_holds_is_told_before_what_may_come_from_something_else() {
    let rated = |treble, hum| [(Quality::Treble, treble), (Quality::Hum, hum)];
    let one = heard(1, 1, 0, &["single"], &rated(3, 2), |_, _| {});
    let other = heard(2, 2, 1, &["single"], &rated(5, 4), |h, _| place(h, 120.0));
    let heard = view(&[one, other]).fairness.heard;
    let told: Vec<_> = heard.iter().map(|one| (one.sentence.as_str(), one.explained.is_some())).collect();
    assert_eq!(
        told,
        [
            ("In single, Pickup 2 hummed more than Pickup 1: 4 against 2.", false),
            ("In single, Pickup 2 was brighter than Pickup 1: 5 against 3.", true),
        ]
    );
}

#[test]
fn old_strings_on_another_guitar_are_named_beside_the_guitar() {
    let all = pair(|h, kit| {
        guitar(h, 2);
        age(kit, "two months");
    });
    let found: BTreeSet<Subject> = view(&all).fairness.found.into_iter().map(|one| one.subject).collect();
    assert_eq!(found, BTreeSet::from([Subject::Guitar, Subject::StringsAge]));
}
