//! Takes beside each other: what was not the same when they were made, and what that does to the sound. A blind test over such takes
//! is allowed, and marked by it.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::differences::{Heard, LOUDER_WINS, Subject, Weight, differences};
use super::effect::resonance_moves;
use super::fairness::FairKind;
use crate::comparison::compared::Compared;
use crate::listening::Conditions;
use crate::record::quantity::{LengthUnit, Ohms};
use crate::record::rig::Mode;
use crate::record::take::{KeptSound, Recorded, Through};

/// Loads that differ by less than this share are the same: two resistors of 5 %.
const SAME_LOAD: f64 = 0.1;
/// Treble is heard up to about here, in hertz: a take with fewer than two samples for each of its swings lacks some of it.
const TREBLE: f64 = 16_000.0;
/// What a difference in level does to takes, which are turned down to the quietest of them wherever they are heard here.
const MATCHED: &str =
    " Takes are heard here as loud as each other, so that is no matter; what else it does to the sound stays.";
/// A resonance that moves by less than this share is not heard as another one (common practice).
const HEARD: f64 = 0.03;

/// A take, as it was made.
#[derive(Debug, Clone, Copy)]
pub struct Made<'a> {
    /// The name by which it is told from the other one.
    pub name: &'a str,
    /// The audition it was made in, with its things as they were then; nothing where it was made elsewhere.
    pub of: Option<&'a Compared>,
    /// How it was made, as somebody said.
    pub recorded: &'a Recorded,
    /// Its kept file.
    pub sound: &'a KeptSound,
    /// What it was made in.
    pub conditions: &'a Conditions,
}

/// Something that was not the same in two takes.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct TakesUnlike {
    /// What it is about.
    pub name: String,
    /// How much it matters.
    pub weight: Weight,
    /// What it is and what it does, in sentences that name both.
    pub sentence: String,
}

/// Whether takes may be held against each other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct TakesFairness {
    /// How fair it is, all taken together.
    pub kind: FairKind,
    /// In a sentence.
    pub sentence: String,
    /// What was not the same, what matters most first.
    pub found: Vec<TakesUnlike>,
}

/// Whether these takes may be held against each other.
#[must_use]
pub fn takes_fair(all: &[Made<'_>], unit: LengthUnit) -> TakesFairness {
    let mut found: Vec<TakesUnlike> = Vec::new();
    for (at, one) in all.iter().enumerate() {
        for other in &all[at + 1..] {
            found.extend(unlike(one, other, unit));
        }
    }
    found.sort_by(|one, other| other.weight.cmp(&one.weight).then_with(|| one.name.cmp(&other.name)));
    found.dedup();
    let kind = FairKind::of(found.iter().map(|one| one.weight).max());
    let sentence = match kind {
        FairKind::Fair => "Nothing that can be heard was different but the pickup.",
        FairKind::FairBut => {
            "Something may have been different beside the pickup. Look at it before you trust the result."
        }
        FairKind::NotFair => {
            "More than the pickup was different. What is heard may come from that; a blind test over these takes is marked."
        }
    };
    TakesFairness { kind, sentence: sentence.to_owned(), found }
}

/// What was not the same in two takes.
#[must_use]
pub fn unlike(one: &Made<'_>, other: &Made<'_>, unit: LengthUnit) -> Vec<TakesUnlike> {
    let (names, made) = ([one.name, other.name], [one.recorded, other.recorded]);
    let each = [
        computed(names, made),
        playing(names, made),
        input(names, made),
        gain(names, made),
        load(names, made),
        cable(names, made),
        mode(names, made),
    ];
    let mut found: Vec<TakesUnlike> = each.into_iter().flatten().collect();
    found.extend(files(one, other));
    setting(one, other, unit, &mut found);
    found
}

fn found(name: &str, weight: Weight, sentence: String) -> TakesUnlike {
    TakesUnlike { name: name.to_owned(), weight, sentence }
}

fn computed(names: [&str; 2], [a, b]: [&Recorded; 2]) -> Option<TakesUnlike> {
    let who = who_lacks(names, a.computed.is_some(), b.computed.is_some())?;
    let within: Vec<&str> = [a, b].iter().filter_map(|of| Some(of.computed.as_ref()?.within.as_str())).collect();
    let sentence = format!("{who}: computed, not recorded. {}", within.join(" "));
    Some(found("Computed", Weight::Doubt, sentence))
}

fn playing(names: [&str; 2], [a, b]: [&Recorded; 2]) -> Option<TakesUnlike> {
    let [x, y] = [a.played, b.played].map(|played| played.in_words());
    let sentence = format!("{}: {x}; {}: {y}. Only the same playing can be compared.", names[0], names[1]);
    (a.played != b.played).then(|| found("Playing", Weight::Unfair, sentence))
}

fn input(names: [&str; 2], [a, b]: [&Recorded; 2]) -> Option<TakesUnlike> {
    match (a.through, b.through) {
        (Some(x), Some(y)) => (x != y).then(|| found("Input", Weight::Unfair, through(names, x, y))),
        (x, y) => {
            let who = who_lacks(names, x.is_none(), y.is_none())?;
            let sentence =
                format!("Nobody said what {who} went through. A line input or a microphone changes treble and level.");
            Some(found("Input", Weight::Doubt, sentence))
        }
    }
}

fn gain(names: [&str; 2], [a, b]: [&Recorded; 2]) -> Option<TakesUnlike> {
    let sentence = match [&a.gain, &b.gain].map(|gain| gain.trim().to_lowercase()) {
        [x, y] if x == y => return None,
        [x, y] if x.is_empty() || y.is_empty() => {
            let who = who_lacks(names, x.is_empty(), y.is_empty()).unwrap_or_default();
            format!(
                "Nobody wrote down where the gain stood for {who}, so their levels say little. Loudness is matched for listening."
            )
        }
        [..] => format!(
            "The gain stood {} for {} and {} for {}, so their levels can't be compared. Loudness is matched for listening.",
            stood(&a.gain),
            names[0],
            stood(&b.gain),
            names[1]
        ),
    };
    Some(found("Gain", Weight::Doubt, sentence))
}

/// `at 3`, also where somebody wrote that word.
fn stood(gain: &str) -> String {
    let gain = gain.trim();
    let begins = gain.get(..3).is_some_and(|first| first.eq_ignore_ascii_case("at "));
    if begins { gain.to_owned() } else { format!("at {gain}") }
}

fn load(names: [&str; 2], [a, b]: [&Recorded; 2]) -> Option<TakesUnlike> {
    match (a.load, b.load) {
        (None, None) => return None,
        (Some(x), Some(y)) if (x.0 / y.0).ln().abs() <= (1.0 + SAME_LOAD).ln() => return None,
        _ => {}
    }
    let ohms = |load: Option<Ohms>| load.map_or(f64::INFINITY, |load| load.0);
    let bright = names[usize::from(ohms(a.load) < ohms(b.load))];
    let said = |load: Option<Ohms>| load.map_or_else(|| "nothing".to_owned(), |load| load.shown());
    let sentence = format!(
        "{} had {} across the output and {} {}: the less a pickup is loaded, the higher its resonant peak, so {bright} is the \
         brighter by that alone.",
        names[0],
        said(a.load),
        names[1],
        said(b.load)
    );
    Some(found("Load", Weight::Unfair, sentence))
}

fn cable(names: [&str; 2], [a, b]: [&Recorded; 2]) -> Option<TakesUnlike> {
    let (x, y) = a.cable.zip(b.cable).filter(|(x, y)| x != y)?;
    let (long, short) = if x.picofarads() > y.picofarads() { (0, 1) } else { (1, 0) };
    let moved = 1.0 - resonance_moves(x.picofarads().min(y.picofarads()), x.picofarads().max(y.picofarads()));
    let weight = if moved > HEARD { Weight::Unfair } else { Weight::Harmless };
    let sentence = format!(
        "{} had the longer cable: its resonant peak lies up to {:.0} % lower than with that of {}, so it is the duller by that alone.",
        names[long],
        moved * 100.0,
        names[short]
    );
    Some(found("Cable", weight, sentence))
}

fn mode(names: [&str; 2], [a, b]: [&Recorded; 2]) -> Option<TakesUnlike> {
    let (x, y) = a.mode.as_ref().zip(b.mode.as_ref()).filter(|(x, y)| x != y)?;
    let sentence =
        format!("{} was played in {}, {} in {}. Another mode is another sound.", names[0], x.0, names[1], y.0);
    Some(found("Mode", Weight::Doubt, sentence))
}

/// What the files that came in had already lost.
fn files(one: &Made<'_>, other: &Made<'_>) -> Vec<TakesUnlike> {
    let mut lost = Vec::new();
    for made in [one, other] {
        if one.sound.came_as.is_lossless() != other.sound.came_as.is_lossless() && !made.sound.came_as.is_lossless() {
            let coding = made.sound.came_as.in_words();
            let sentence =
                format!("{} came as {coding}, which throws away what is hard to hear, most of all treble.", made.name);
            lost.push(found("File", Weight::Doubt, sentence));
        }
        let reach = f64::from(made.sound.rate) / 2.0;
        if one.sound.rate != other.sound.rate && reach < TREBLE {
            let (name, rate) = (made.name, made.sound.rate);
            let sentence = format!("{name} has {rate} samples a second and so no treble over {reach:.0} Hz.");
            lost.push(found("File", Weight::Unfair, sentence));
        }
    }
    lost
}

fn through(names: [&str; 2], x: Through, y: Through) -> String {
    let mut does = Vec::new();
    if [x, y].contains(&Through::Line) {
        does.push("a line input loads a pickup and takes treble and level from it");
    }
    if [x, y].contains(&Through::Microphone) {
        does.push("a microphone hears amplifier, loudspeaker and room as well");
    }
    format!("{} went through {}, {} through {}: {}.", names[0], article(x), names[1], article(y), does.join(", and "))
}

fn article(through: Through) -> String {
    let words = through.in_words();
    format!("{} {words}", if words.starts_with('i') { "an" } else { "a" })
}

fn who_lacks(names: [&str; 2], one: bool, other: bool) -> Option<String> {
    match (one, other) {
        (true, true) => Some(format!("{} and {}", names[0], names[1])),
        (true, false) => Some(names[0].to_owned()),
        (false, true) => Some(names[1].to_owned()),
        (false, false) => None,
    }
}

/// What was not the same in the setting: gaps, place, strings and the like, as it is told of notes.
fn setting(one: &Made<'_>, other: &Made<'_>, unit: LengthUnit, found: &mut Vec<TakesUnlike>) {
    let (Some(of_one), Some(of_other)) = (one.of, other.of) else {
        if let Some(who) = who_lacks([one.name, other.name], one.of.is_none(), other.of.is_none()) {
            found.push(TakesUnlike {
                name: "Setting".to_owned(),
                weight: Weight::Doubt,
                sentence: format!("{who}: not made in an audition, so nobody knows gaps, place and strings."),
            });
        }
        return;
    };
    let none = Mode(String::new());
    let heard = |made: &Made<'_>| made.recorded.mode.clone().unwrap_or_else(|| none.clone());
    let (mode_one, mode_other) = (heard(one), heard(other));
    let (all, unknown) = differences(
        Heard { name: one.name, of: of_one, mode: &mode_one, conditions: one.conditions },
        Heard { name: other.name, of: of_other, mode: &mode_other, conditions: other.conditions },
        unit,
    );
    let by_microphone = [one, other].iter().any(|made| made.recorded.through == Some(Through::Microphone));
    // An input that is plugged in hears neither the amplifier nor the ear; who recorded is no ear either.
    let counts = |subject: Subject| match subject {
        Subject::Level | Subject::By => false,
        Subject::Amplifier => by_microphone,
        Subject::Cable => one.recorded.cable.is_none() || other.recorded.cable.is_none(),
        // What was said of the take itself goes before what was told in its audition, and is told above.
        Subject::Load => one.recorded.load.is_none() && other.recorded.load.is_none(),
        Subject::Input => one.recorded.through.is_none() && other.recorded.through.is_none(),
        _ => true,
    };
    for difference in all.into_iter().filter(|one| counts(one.subject)) {
        found.push(TakesUnlike {
            name: difference.subject.name().to_owned(),
            weight: difference.weight,
            sentence: difference.sentence.replace(LOUDER_WINS, MATCHED),
        });
    }
    if unknown.contains(&Subject::Gaps) {
        found.push(TakesUnlike {
            name: Subject::Gaps.name().to_owned(),
            weight: Weight::Doubt,
            sentence: format!(
                "The gaps of {} or {} were not measured. A nearer pickup is louder.{MATCHED}",
                one.name, other.name
            ),
        });
    }
}

#[cfg(test)]
mod tests {
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
        let one =
            Made { name: "A", of: Some(&compared), recorded: &recorded(), sound: &sound(), conditions: &conditions };
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
            (
                |r, _, _| r.mode = Some(Mode("series".to_owned())),
                "Mode",
                Weight::Doubt,
                "Another mode is another sound",
            ),
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
            made.through = [None, Some(Through::Instrument), Some(Through::Line), Some(Through::Microphone)]
                [one_of(&mut chance, 4)];
            made.gain = ["", "3", "at 3", "4"][one_of(&mut chance, 4)].to_owned();
            made.load = [None, Some(125e3), Some(130e3), Some(250e3)][one_of(&mut chance, 4)].map(Ohms);
            made.cable = [None, Some(Cable::Short), Some(Cable::Middle), Some(Cable::Long)][one_of(&mut chance, 4)];
            made.mode =
                [None, Some("single"), Some("series")][one_of(&mut chance, 3)].map(|mode| Mode(mode.to_owned()));
            let mut file = sound();
            file.came_as = [Coding::Pcm, Coding::Flac, Coding::Mp3][one_of(&mut chance, 3)];
            file.rate = [22_050, 44_100, 48_000][one_of(&mut chance, 3)];
            (made, file)
        };
        for _ in 0..2000 {
            let ((a, x), (b, y)) = (any(), any());
            let made =
                |name, recorded, sound| Made { name, of: Some(&compared), recorded, sound, conditions: &conditions };
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
}
