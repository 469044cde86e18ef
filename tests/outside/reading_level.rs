//! How hard the texts are to read, measured by GNU style (Debian package diction): the Flesch-Kincaid grade, which
//! is the year of US school that a reader needs. Grade 8 is the limit for safety texts and for whatever a bench replies; one text is
//! short, so the sum of each part of the catalogue is kept well below it too.

use std::collections::BTreeSet;

use chrono::{DateTime, TimeDelta};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::ask::examples;
use solderlast_core::clock::{SeededDice, SteppingClock};
use solderlast_core::record::facts::Question;
use solderlast_core::record::sound::LOUDNESS;
use solderlast_core::safety::cautions::catalogue::CATALOGUE;
use solderlast_core::safety::cautions::{SignalWord, WHO_DECIDES};
use solderlast_core::safety::finish::{HOW_TO_LOOK, WHERE_TO_TRY};
use solderlast_core::safety::hearing::PEAKS;
use solderlast_core::safety::holds::SafetyHold;
use solderlast_core::safety::stop_lists::StopList;
use solderlast_testkit::program;

const MOST: f64 = 8.0;
const MOST_OF_A_PART: f64 = 6.0;

fn grade(text: &str) -> f64 {
    // What begins with a figure or a small letter is no sentence to it: a list, as that of the leads in one mode, which is read
    // item by item.
    let begun = if text.starts_with(char::is_uppercase) {
        text.to_owned()
    } else {
        format!("So {}", text.split("; ").map(capital).collect::<Vec<_>>().join(". "))
    };
    let answer = program::answer("style", &[], &begun, "diction (Debian), which has GNU style");
    answer
        .lines()
        .find_map(|line| line.trim().strip_prefix("Kincaid:"))
        .and_then(|number| number.trim().parse().ok())
        .unwrap_or_else(|| unreachable!("no grade for {text:?} in {answer}"))
}

fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[test]
fn the_measure_itself() {
    assert!(grade("The cat sat on the mat. It was a good mat.") < 2.0);
    let hard = "Notwithstanding the aforementioned considerations, electromagnetic transducers necessitate \
                extraordinarily conscientious preliminary investigation prior to permanent installation.";
    assert!(grade(hard) > 15.0);
}

#[test]
fn every_caution() {
    let (mut worst, mut hardest) = (f64::MIN, "");
    for (title, cautions) in CATALOGUE {
        let mut part = String::new();
        for caution in cautions {
            let text = format!("{} {} {}", caution.hazard, caution.harm, caution.avoid);
            let grade = grade(&text);
            assert!(grade <= MOST, "{}: grade {grade}: {text}", caution.id);
            if grade > worst {
                (worst, hardest) = (grade, caution.id);
            }
            part.push_str(&text);
            part.push('\n');
        }
        let of_part = grade(&part);
        println!("{title}: grade {of_part}");
        assert!(of_part <= MOST_OF_A_PART, "{title}: grade {of_part}");
    }
    println!("hardest caution: {hardest}, grade {worst}");
}

#[test]
fn holds_lists_and_the_rest() {
    let mut texts = vec![
        ("who decides", WHO_DECIDES.to_owned()),
        ("peaks", PEAKS.to_owned()),
        ("where to try", WHERE_TO_TRY.to_owned()),
        ("how to look", HOW_TO_LOOK.join(" ")),
        ("signal words", SignalWord::ALL.map(SignalWord::meaning).join(" ")),
        ("questions about the bench", Question::ALL.map(Question::asked).join(" ")),
        ("loudness", LOUDNESS.map(|(loudness, ..)| format!("{}.", loudness.in_words())).join(" ")),
    ];
    texts.extend(SafetyHold::ALL.map(|hold| (hold.id(), format!("{} {}", hold.reason(), hold.clears()))));
    for list in StopList::ALL {
        let items = list.items().iter().map(|item| format!("{} {}", item.say, item.why));
        texts.push((list.title(), items.collect::<Vec<_>>().join(" ")));
    }
    for (what, text) in texts {
        let grade = grade(&text);
        println!("{what}: grade {grade}");
        assert!(grade <= MOST, "{what}: grade {grade}: {text}");
    }
}

/// Whoever reads a line of ink reads a list, not a sentence: shorter texts are not measured, in words.
const LEAST_WORDS: usize = 12;

/// What a bench says: the worked examples of every question, and the demo bench with all its auditions, installs, pickups and
/// guitars, compared and decided on by wishes of every kind.
fn replies() -> Vec<Value> {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let mut replies: Vec<Value> = examples(folder.path())
        .expect("a bench opens in a scratch folder")
        .into_iter()
        .map(|(_, reply)| reply)
        .collect();
    let folder = tempfile::tempdir().expect("a scratch folder");
    let start = DateTime::from_timestamp(1_793_700_000, 0).expect("an instant");
    let clock = Box::new(SteppingClock::new(start, TimeDelta::seconds(1)));
    let bench = Bench::open(folder.path(), clock, &SeededDice::new(7)).expect("a bench opens in a scratch folder");
    let asked = |ask: Value| -> Value {
        serde_json::from_slice(&bench.answer(ask.to_string().as_bytes())).expect("an answer is JSON")
    };
    asked(json!({"ask": "load_demo"}));
    // Things are named by whatever lists them, and are asked for by every question that takes a name.
    let lists: Vec<Value> = [
        json!({"ask": "bench"}),
        json!({"ask": "cautions"}),
        json!({"ask": "meter"}),
        json!({"ask": "drawer", "retired": false}),
        json!({"ask": "guitars", "retired": false}),
        json!({"ask": "rigs", "retired": false}),
        json!({"ask": "logbook", "find": {}}),
    ]
    .map(&asked)
    .into();
    let names = |list: &Value| -> Vec<String> {
        let mut names = BTreeSet::new();
        named(list, &mut names);
        names.into_iter().collect()
    };
    let auditions = names(&lists[6]);
    let wishes: Vec<Value> = ["treble", "bass", "hum", "output"]
        .iter()
        .zip([1, -1, -2, 2])
        .map(|(quality, want)| json!({"quality": quality, "want": want}))
        .collect();
    let musts = json!([{"quality": "hum", "bound": "at_most", "value": 2}, {"quality": "treble", "bound": "at_least", "value": 4}]);
    let mut asks = Vec::new();
    for name in lists.iter().flat_map(names).collect::<BTreeSet<_>>() {
        for ask in ["audition", "fit", "pickup_health"] {
            asks.push(json!({"ask": ask, "id": name}));
        }
        asks.push(json!({"ask": "find_leads", "pickup": name, "rig": null}));
        for ask in ["pickup", "guitar", "rig"] {
            asks.push(json!({"ask": ask, "id": name, "unit": "millimetre"}));
        }
        for ask in ["pickup_history", "guitar_history"] {
            asks.push(json!({"ask": ask, "id": name, "after": null}));
        }
        for wishes in std::iter::once(json!([])).chain((1..=4).map(|count| json!(wishes[..count]))) {
            asks.push(json!({"ask": "decision", "guitar": name, "place": null, "wishes": wishes, "musts": musts}));
        }
    }
    for (at, one) in auditions.iter().enumerate() {
        for other in &auditions[at + 1..] {
            asks.push(json!({"ask": "compare", "auditions": [one, other], "unit": "millimetre"}));
        }
    }
    replies.extend(lists);
    replies.extend(asks.into_iter().map(asked).filter(|reply| reply.get("ok").is_some()));
    replies
}

/// Every name in a reply.
fn named(value: &Value, names: &mut BTreeSet<String>) {
    match value {
        Value::String(text) if text.len() == 36 && text.matches('-').count() == 4 => {
            names.insert(text.clone());
        }
        Value::Array(all) => all.iter().for_each(|one| named(one, names)),
        Value::Object(fields) => fields.values().for_each(|one| named(one, names)),
        _ => {}
    }
}

/// Every text of a reply that is made of sentences. What somebody wrote stands between quotation marks and is not ours.
fn texts(value: &Value, found: &mut BTreeSet<String>) {
    match value {
        Value::String(text) if text.ends_with(['.', '?', '!']) => {
            let mut parts = text.split(['“', '”']);
            let mut ours = parts.next().unwrap_or_default().to_owned();
            while let Some(_quoted) = parts.next() {
                ours.push_str("“this”");
                ours.push_str(parts.next().unwrap_or_default());
            }
            found.insert(ours);
        }
        Value::Array(all) => all.iter().for_each(|one| texts(one, found)),
        Value::Object(fields) => {
            // Read aloud, the same texts are strung together.
            fields.iter().filter(|(name, _)| *name != "spoken").for_each(|(_, one)| texts(one, found));
        }
        _ => {}
    }
}

/// Everything that a bench replies, text by text, listed with its grade, the hardest first.
#[test]
fn whatever_is_replied() {
    let mut found = BTreeSet::new();
    replies().iter().for_each(|reply| texts(reply, &mut found));
    let long = found.iter().filter(|text| text.split_whitespace().count() >= LEAST_WORDS);
    let mut graded: Vec<(f64, &String)> = long.map(|text| (grade(text), text)).collect();
    graded.sort_by(|(one, _), (other, _)| other.total_cmp(one));
    graded.iter().for_each(|(grade, text)| println!("{grade:5.1}  {text}"));
    assert!(graded.len() > 300, "{} texts", graded.len());
    let hard: Vec<_> = graded.iter().filter(|(grade, _)| *grade > MOST).collect();
    assert!(hard.is_empty(), "{} texts are too hard: {hard:#?}", hard.len());
}
