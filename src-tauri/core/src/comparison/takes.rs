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
    if unknown.iter().any(|not_told| not_told.subject == Subject::Gaps) {
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
mod tests;
