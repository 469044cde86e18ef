//! Takes that differ in one thing, and what is told of it.

use super::*;
use crate::comparison::invented;
use crate::record::facts::{Cable, LoadResistor};
use crate::record::quantity::Ohms;
use crate::record::take::{Coding, Played, TakeName};

fn sound() -> KeptSound {
    KeptSound {
        take: TakeName::of(b"x"),
        seconds: 10.0,
        rate: 48_000,
        channels: 1,
        bytes: 1000,
        came_as: Coding::Pcm,
        flaws: Vec::new(),
    }
}

fn recorded() -> Recorded {
    Recorded {
        mode: Some(Mode("single".to_owned())),
        through: Some(Through::Instrument),
        gain: "at 3".to_owned(),
        load: Some(Ohms(125_000.0)),
        cable: Some(Cable::Short),
        ..Recorded::of(Played::Riff)
    }
}

/// What is told of two takes, the second changed like this.
fn told(change: impl Fn(&mut Recorded, &mut KeptSound, &mut Conditions)) -> Vec<TakesUnlike> {
    let compared = invented::heard(1, 1, 0, &["single"], &[], |_, _| ());
    let conditions = compared.audition.conditions.values().next().expect("it was heard").clone();
    let (mut other, mut file, mut there) = (recorded(), sound(), conditions.clone());
    change(&mut other, &mut file, &mut there);
    let one = Made { name: "A", of: Some(&compared), recorded: &recorded(), sound: &sound(), conditions: &conditions };
    let two = Made { name: "B", of: Some(&compared), recorded: &other, sound: &file, conditions: &there };
    let there = unlike(&one, &two, LengthUnit::Millimetre);
    // Who comes first changes no weight.
    let back = unlike(&two, &one, LengthUnit::Millimetre);
    let weights = |found: &[TakesUnlike]| {
        let mut all: Vec<(String, Weight)> = found.iter().map(|one| (one.name.clone(), one.weight)).collect();
        all.sort();
        all
    };
    assert_eq!(weights(&there), weights(&back));
    there
}

#[test]
fn takes_made_alike_are_fair_and_what_differs_is_named() {
    assert_eq!(told(|_, _, _| ()), []);
    type Change = fn(&mut Recorded, &mut KeptSound, &mut Conditions);
    let cases: [(Change, &str, Weight, &str); 12] = [
        (|r, _, _| r.played = Played::Chords, "Playing", Weight::Unfair, "Only the same playing"),
        (|r, _, _| r.through = Some(Through::Line), "Input", Weight::Unfair, "takes treble and level"),
        (|r, _, _| r.through = Some(Through::Microphone), "Input", Weight::Unfair, "loudspeaker and room"),
        (|r, _, _| r.through = None, "Input", Weight::Doubt, "Nobody said what B went through"),
        (|r, _, _| r.gain = "at 5".to_owned(), "Gain", Weight::Doubt, "stood at 3 for A and at 5 for B"),
        (|r, _, _| r.gain = String::new(), "Gain", Weight::Doubt, "stood for B"),
        (|r, _, _| r.load = None, "Load", Weight::Unfair, "so B is the brighter"),
        (|r, _, _| r.load = Some(Ohms(50_000.0)), "Load", Weight::Unfair, "so A is the brighter"),
        (|r, _, _| r.cable = Some(Cable::Long), "Cable", Weight::Unfair, "B had the longer cable"),
        (|r, _, _| r.mode = Some(Mode("series".to_owned())), "Mode", Weight::Doubt, "Another mode is another sound"),
        (|_, s, _| s.came_as = Coding::Mp3, "File", Weight::Doubt, "B came as MP3"),
        (|_, s, _| s.rate = 22_050, "File", Weight::Unfair, "no treble over 11025 Hz"),
    ];
    for (change, name, weight, said) in cases {
        let found = told(change);
        let one = found.iter().find(|one| one.name == name);
        let fits = one.is_some_and(|one| one.weight == weight && one.sentence.contains(said));
        assert!(fits && found.len() == 1, "{name} {said}: {found:?}");
    }
    // Two resistors of 5 % are one value; a gain in other letters is the same.
    assert_eq!(told(|r, _, _| r.load = Some(Ohms(131_000.0))), []);
    assert_eq!(told(|r, _, _| r.gain = " AT 3 ".to_owned()), []);
    // What lay across the output is said of these takes themselves, so it is not told again of their audition.
    assert_eq!(told(|_, _, c| c.load = Some(LoadResistor::Ohms250k)), []);
}

/// A nearer gap is told with what it does; the amplifier counts for a microphone alone.
#[test]
fn the_setting_counts_as_it_does_for_notes() {
    let nearer = told(|_, _, c| {
        if let Some(gaps) = &mut c.gaps {
            gaps.bass.0 -= 0.7;
            gaps.treble.0 -= 0.7;
        }
    });
    let gaps = nearer.iter().find(|one| one.name == "Gaps" && one.weight == Weight::Unfair).expect("they differ");
    assert!(gaps.sentence.contains("dB"), "{gaps:?}");
    // What is heard here is matched, so louder wins nothing.
    assert!(gaps.sentence.contains("as loud as each other") && !gaps.sentence.contains("wins"), "{gaps:?}");
    let unmeasured = told(|_, _, c| c.gaps = None);
    assert!(unmeasured.iter().all(|one| !one.sentence.contains("wins")), "{unmeasured:?}");
    let place = told(|_, _, c| {
        if let Some(choice) = &mut c.choice {
            choice.from_saddle.0 -= 40.0;
        }
    });
    assert!(place.iter().any(|one| one.name == "Place" && one.weight == Weight::Unfair), "{place:?}");
    assert_eq!(told(|_, _, c| c.amp = Some("another amplifier".to_owned())), []);
    let by_microphone = told(|r, _, c| {
        r.through = Some(Through::Microphone);
        c.amp = Some("another amplifier".to_owned());
    });
    assert!(by_microphone.iter().any(|one| one.name == "Amplifier"), "{by_microphone:?}");
    assert_eq!(told(|_, _, c| c.gaps = None).iter().map(|one| one.weight).max(), Some(Weight::Doubt));
}

#[test]
fn a_loose_take_is_told_as_not_known() {
    let compared = invented::heard(1, 1, 0, &["single"], &[], |_, _| ());
    let conditions = compared.audition.conditions.values().next().expect("it was heard").clone();
    let (recorded, sound) = (recorded(), sound());
    let one = Made { name: "A", of: Some(&compared), recorded: &recorded, sound: &sound, conditions: &conditions };
    let fair = takes_fair(&[one, Made { name: "B", of: None, ..one }], LengthUnit::Millimetre);
    assert_eq!((fair.kind, fair.found.len()), (FairKind::FairBut, 1), "{fair:?}");
    assert_eq!(takes_fair(&[one, Made { name: "B", ..one }], LengthUnit::Millimetre).kind, FairKind::Fair);
}

/// Recordings by chance: what is named is what differs, by a second look at the two that knows no sentence; who comes first
/// changes nothing; a take beside itself is fair.
#[test]
fn recordings_by_chance_are_told_apart_as_they_differ() {
    let compared = invented::heard(1, 1, 0, &["single"], &[], |_, _| ());
    let conditions = compared.audition.conditions.values().next().expect("it was heard").clone();
    let mut chance = solderlast_testkit::Chance::seeded(16);
    let mut any = || {
        let one_of = |chance: &mut solderlast_testkit::Chance, count: usize| chance.below(count);
        let mut made = recorded();
        made.played = Played::ALL[one_of(&mut chance, 6)];
        made.through =
            [None, Some(Through::Instrument), Some(Through::Line), Some(Through::Microphone)][one_of(&mut chance, 4)];
        made.gain = ["", "3", "at 3", "4"][one_of(&mut chance, 4)].to_owned();
        made.load = [None, Some(125e3), Some(130e3), Some(250e3)][one_of(&mut chance, 4)].map(Ohms);
        made.cable = [None, Some(Cable::Short), Some(Cable::Middle), Some(Cable::Long)][one_of(&mut chance, 4)];
        made.mode = [None, Some("single"), Some("series")][one_of(&mut chance, 3)].map(|mode| Mode(mode.to_owned()));
        let mut file = sound();
        file.came_as = [Coding::Pcm, Coding::Flac, Coding::Mp3][one_of(&mut chance, 3)];
        file.rate = [22_050, 44_100, 48_000][one_of(&mut chance, 3)];
        (made, file)
    };
    for _ in 0..2000 {
        let ((a, x), (b, y)) = (any(), any());
        let made = |name, recorded, sound| Made { name, of: Some(&compared), recorded, sound, conditions: &conditions };
        let (one, two) = (made("A", &a, &x), made("B", &b, &y));
        assert_eq!(
            unlike(&one, &Made { name: "B", ..one }, LengthUnit::Millimetre)
                .iter()
                .filter(|one| one.name != "Input")
                .count(),
            0
        );
        let named = |found: Vec<TakesUnlike>| -> std::collections::BTreeSet<String> {
            found.into_iter().map(|one| one.name).collect()
        };
        let told = named(unlike(&one, &two, LengthUnit::Millimetre));
        assert_eq!(told, named(unlike(&two, &one, LengthUnit::Millimetre)), "{a:?} {b:?}");
        let mut expected = std::collections::BTreeSet::new();
        let mut note = |name: &str, differs: bool| {
            if differs {
                expected.insert(name.to_owned());
            }
        };
        note("Playing", a.played != b.played);
        note("Input", a.through.is_none() || b.through.is_none() || a.through != b.through);
        note("Gain", a.gain != b.gain);
        note(
            "Load",
            match (a.load, b.load) {
                (None, None) => false,
                (Some(p), Some(q)) => p.0.max(q.0) > 1.1 * p.0.min(q.0),
                _ => true,
            },
        );
        note("Cable", a.cable.is_some() && b.cable.is_some() && a.cable != b.cable);
        note("Mode", a.mode.is_some() && b.mode.is_some() && a.mode != b.mode);
        let lossy = |file: &KeptSound| file.came_as == Coding::Mp3;
        let slow = |file: &KeptSound| file.rate == 22_050;
        note("File", lossy(&x) != lossy(&y) || slow(&x) != slow(&y));
        assert_eq!(told, expected, "{a:?} {b:?} {x:?} {y:?}");
    }
}
