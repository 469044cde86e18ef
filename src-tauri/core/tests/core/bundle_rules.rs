//! What a bundle brings is held to the rules by which the pages write: whatever asks can write comes in, and what no ask could
//! have written is named by its line and refused, with a log that is as it was.

use chrono::{DateTime, TimeDelta};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::ask::examples;
use solderlast_core::clock::{SeededDice, SteppingClock};
use solderlast_core::logbook::bundle::NotCarried;
use solderlast_core::record::names::EntryId;
use solderlast_testkit::Chance;
use solderlast_testkit::parcel::{Parcel, content, log, looked_into, name, packed, stocked, taken};
use solderlast_testkit::workbench::{AUDITION, GUITAR, Workbench};

fn scratch() -> tempfile::TempDir {
    tempfile::tempdir().expect("a scratch folder")
}

/// Brings the log in this folder to a fresh bench; answers why that could not be, if it could not.
fn brought(from: &std::path::Path) -> Result<(), NotCarried> {
    let there = scratch();
    drop(log(there.path()));
    let bundle = packed(from);
    looked_into(there.path(), &bundle)?;
    taken(there.path(), &bundle)?;
    assert_eq!(content(there.path()).0, content(from).0);
    Ok(())
}

#[test]
fn what_every_worked_ask_wrote_comes_in() {
    let here = scratch();
    examples(here.path()).expect("a bench can be opened in a scratch folder");
    brought(here.path()).expect("whatever asks wrote");
    let demo = scratch();
    stocked(demo.path());
    brought(demo.path()).expect("the demo bench");
}

/// A text that somebody may type, often a number, sometimes at the end of what is taken, sometimes beyond.
fn typed(chance: &mut Chance) -> String {
    const NUMBERS: [&str; 34] = [
        "0",
        "1",
        "5",
        "6.66k",
        "6k66",
        "OL",
        "1G",
        "1000M",
        "0.0001",
        "999999999",
        "-12.5",
        "140",
        "-120",
        "20",
        "85",
        "60",
        "-40",
        "36",
        "37",
        "24",
        "0.1",
        "4",
        "5 mm",
        "3000",
        "3000 mm",
        "249",
        "250",
        "899.9",
        "900 mm",
        "19.99",
        "20.01",
        "12 pF",
        "10u",
        "1440",
    ];
    const WORDS: [&str; 12] = [
        "warm",
        "  warm and clear \n",
        "é中👩\u{200D}🔧",
        "'=1+1",
        "a\tb",
        "x",
        "neck",
        "series",
        "because of that",
        "shield",
        "frame",
        "ab",
    ];
    match chance.below(5) {
        0 => String::new(),
        1 => "w".repeat([79, 80, 81, 200, 4000, 4001][chance.below(6)]),
        2 => chance.of(&WORDS).to_owned(),
        _ => chance.of(&NUMBERS).to_owned(),
    }
}

/// Changes some of what was typed and picked in an ask.
fn changed(value: &mut Value, chance: &mut Chance) {
    match value {
        Value::Object(fields) => {
            let kept = ["ask", "entry", "id", "audition", "pickup", "guitar", "rig", "fit", "carry"];
            fields
                .iter_mut()
                .filter(|(name, _)| !kept.contains(&name.as_str()))
                .for_each(|(_, inner)| changed(inner, chance));
        }
        Value::Array(list) => {
            match chance.below(12) {
                0 => _ = list.pop(),
                1 => list.extend(list.last().cloned()),
                _ => {}
            }
            list.iter_mut().for_each(|inner| changed(inner, chance));
        }
        Value::String(text) if chance.below(6) == 0 => *text = typed(chance),
        Value::Number(number) if chance.below(4) == 0 => {
            let other: [i64; 12] = [0, 1, 2, 3, 4, 5, 6, 8, 24, 36, 37, -2];
            *number = other[chance.below(other.len())].into();
        }
        Value::Bool(said) if chance.below(4) == 0 => *said = !*said,
        Value::Null if chance.below(10) == 0 => *value = json!(3),
        _ => {}
    }
}

/// Whatever asks wrote, taken in this way or that, a bundle brings it: the rules of a bundle refuse nothing that an ask takes.
#[test]
fn whatever_asks_can_write_comes_in() {
    let rounds = std::env::var("SOLDERLAST_RULES").ok().and_then(|rounds| rounds.parse().ok()).unwrap_or(6);
    let seed: u64 = std::env::var("SOLDERLAST_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(2026);
    let worked: Vec<Value> = {
        let scratch = scratch();
        let pairs = examples(scratch.path()).expect("a bench can be opened in a scratch folder");
        pairs.into_iter().map(|(ask, _)| ask).filter(|ask| ask.get("entry").is_some()).collect()
    };
    let (mut written, mut refused) = (0, 0);
    for round in 0..rounds {
        let mut chance = Chance(seed + round);
        let here = scratch();
        let start = DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default();
        let clock = SteppingClock::new(start, TimeDelta::seconds(20));
        let bench = Bench::open(here.path(), Box::new(clock), &SeededDice::new(seed + round)).expect("a bench");
        let mut number = 0;
        for ask in &worked {
            // As it is, so that the next one has something to be about, and then some ways that it may be changed.
            for change in 0..5 {
                let mut ask = ask.clone();
                if change > 0 {
                    number += 1;
                    // Far from the names that follow from others.
                    ask["entry"] = json!(name(0, 1_000_000 + number));
                    changed(&mut ask, &mut chance);
                }
                let answer: Value =
                    serde_json::from_slice(&bench.answer(ask.to_string().as_bytes())).expect("an answer is JSON");
                if answer.get("ok").is_some() {
                    written += 1
                } else {
                    refused += 1
                }
                assert_ne!(answer["refused"]["code"], "program", "{ask} {answer}");
            }
        }
        drop(bench);
        brought(here.path()).unwrap_or_else(|why| unreachable!("seed {}: {}", seed + round, why.sentence()));
    }
    println!("{written} asks were taken, {refused} were not");
    assert!(written > rounds * 60 && refused > rounds * 60, "{written} {refused}");
}

/// One line of the demo bench's bundle is changed into something that no page could have written.
#[test]
fn what_no_ask_could_have_written_is_named_by_its_line() {
    let here = scratch();
    stocked(here.path());
    let parcel = Parcel::of(&packed(here.path()));
    let lines = parcel.lines();
    // Kind, where in the body, what stands there instead, and a part of the sentence.
    let long = "w".repeat(81);
    let cases = [
        ("pickup_described", "/pickup/label", json!(long), "too long"),
        ("pickup_described", "/pickup/label", json!(" blank"), "no blanks"),
        ("pickup_described", "/pickup/label", json!("\u{202E}drawkcab"), "can't be seen"),
        ("pickup_described", "/pickup/notes", json!("w".repeat(4001)), "too long"),
        ("pickup_described", "/pickup/notes", json!("a\u{0}b"), "can't be seen"),
        ("pickup_described", "/pickup/coils", json!([]), "one to three coils"),
        ("pickup_described", "/pickup/pole_count", json!(200), "1 to 24 poles"),
        ("pickup_described", "/pickup/width", json!(-1.0), "between 0 and 3000"),
        ("pickup_described", "/pickup/depth", json!(1e300), "between 0 and 3000"),
        ("guitar_described", "/guitar/strings", json!([]), "strings"),
        ("guitar_described", "/guitar/scale", json!(1.0), "between 250 and 1000"),
        ("guitar_described", "/guitar/places", json!([]), "at least one place"),
        ("guitar_described", "/guitar/places/0/from_saddle", json!(899.0), "between the saddle and the nut"),
        ("guitar_described", "/guitar/controls/volume", json!(0.0), "No such resistance"),
        ("rig_described", "/rig/terminals", json!(["1"]), "two to eight terminals"),
        ("rig_described", "/rig/positions/0/output", json!([0, 9]), "terminal"),
        ("rig_described", "/rig/studs", json!(200), "two to four studs"),
        ("rig_described", "/rig/thread_pitch", json!(90.0), "between 0.1 and 5"),
        ("chosen", "/choice/pickup", json!("019a3c5f-7e00-4000-8000-000000000001"), "version-7"),
        ("chosen", "/choice/modes", json!([]), "modes to hear"),
        ("chosen", "/choice/modes/0", json!("\u{200B}"), "can't be seen"),
        ("chosen", "/choice/from_saddle", json!(5000.0), "between the saddle and the nut"),
        ("hooked_up", "/hooked/terminal", json!(99), "has such a terminal"),
        ("reading_taken", "/reading", json!({"ohms": -5.0}), "between 0 and"),
        ("reading_taken", "/reading", json!({"ohms": 1e12}), "between 0 and"),
        ("reading_taken", "/typed", json!("9".repeat(5000)), "typed"),
        ("reading_taken", "/room", json!(900.0), "between -40 and 60"),
        ("gaps_measured", "/gaps/bass", json!(0.0), "touches the string"),
        ("gaps_measured", "/gaps/treble", json!(99.0), "hardly anything"),
        ("gaps_measured", "/gaps/pressed_at", json!(99), "1 to 36"),
        ("rated", "/value", json!(6), "1 to 5"),
        ("note_written", "/words", json!("w".repeat(5000)), "too long"),
    ];
    for (kind, at, instead, part) in cases {
        let of_kind = format!(r#""kind":"{kind}""#);
        let number = lines.iter().position(|line| line.contains(&of_kind));
        let number = number.unwrap_or_else(|| unreachable!("the demo bench has a {kind}"));
        let mut line: Value = serde_json::from_str(&lines[number]).expect("a line is JSON");
        let place = line["body"].pointer_mut(at).unwrap_or_else(|| unreachable!("{kind} has {at}"));
        *place = instead.clone();
        let mut changed = lines.clone();
        changed[number] = line.to_string();
        refused(
            &parcel.clone().with_lines(&changed).packed(),
            "bundle_unsound",
            &[part, &format!("Entry {} of", number + 1)],
        );
    }
}

/// Looks into a bundle that must be refused with this code and these words, and changes nothing.
fn refused(bundle: &[u8], code: &str, parts: &[&str]) {
    let there = scratch();
    drop(log(there.path()));
    match looked_into(there.path(), bundle) {
        Err(NotCarried::Flaw(flaw)) => {
            assert_eq!(flaw.code(), code, "{flaw}");
            for part in parts {
                assert!(flaw.sentence().to_lowercase().contains(&part.to_lowercase()), "{part}: {flaw}");
            }
        }
        other => unreachable!("{parts:?}: {other:?}"),
    }
    assert_eq!(content(there.path()).0.len(), 0, "looking changes nothing");
}

/// A line about this, dated after all of the demo bench.
fn line(number: u64, thing: &str, id: &str, body: Value) -> String {
    let at = format!("2026-11-20T10:00:{:02}.000000Z", number % 60);
    json!({"id": name(9, 7000 + number), "at": at, "bench": name(8, 7), "about": {"thing": thing, "id": id}, "body": body})
        .to_string()
}

fn with_more(lines: &[String]) -> Vec<u8> {
    let here = scratch();
    stocked(here.path());
    let parcel = Parcel::of(&packed(here.path()));
    let lines = [parcel.lines(), lines.to_vec()].concat();
    parcel.with_lines(&lines).packed()
}

#[test]
fn an_entry_is_about_what_its_kind_can_be_about() {
    let body = json!({"kind": "rated", "mode": "single", "quality": "treble", "value": 3});
    refused(
        &with_more(&[line(1, "pickup", &name(6, 1).to_string(), body.clone())]),
        "bundle_unsound",
        &["about something else"],
    );
    let there = scratch();
    drop(log(there.path()));
    assert!(looked_into(there.path(), &with_more(&[line(1, "audition", &name(6, 1).to_string(), body)])).is_ok());
}

#[test]
fn what_an_entry_says_of_others_is_held_against_them() {
    let (audition, other) = (name(6, 1).to_string(), name(6, 2).to_string());
    let struck = |number: u64, id: &str, entry: Value| {
        line(number, "audition", id, json!({"kind": "struck_out", "entry": entry, "why": ""}))
    };
    let note = |number: u64, id: &str| line(number, "audition", id, json!({"kind": "amp_described", "words": "small"}));
    let named = |number: u64| json!(name(9, 7000 + number));
    // Struck out from another thing, whichever comes first.
    refused(&with_more(&[note(1, &audition), struck(2, &other, named(1))]), "bundle_strike", &["strikes out"]);
    refused(&with_more(&[struck(2, &other, named(1)), note(1, &audition)]), "bundle_strike", &["strikes out"]);
    let looked =
        line(1, "audition", &audition, json!({"kind": "reference_looked_at", "reference": other, "mode": "single"}));
    refused(&with_more(&[looked, struck(2, &audition, named(1))]), "bundle_strike", &["strikes out"]);
    // An audition taken for a pickup.
    let chosen = json!({"kind": "chosen", "choice": {"pickup": audition, "guitar": name(6, 3), "rig": name(6, 4), "place": "neck",
        "from_saddle": 162.0, "modes": ["single"], "question": ""}});
    refused(
        &with_more(&[note(1, &audition), line(2, "audition", &other, chosen)]),
        "bundle_reference",
        &["another thing"],
    );
    // The name of an entry that belongs to the act of another.
    let first = EntryId(name(9, 7001));
    let done = line(1, "fit", &name(6, 5).to_string(), json!({"kind": "fit_done", "words": "", "came_out": null}));
    let taken_name: Value = {
        let mut other: Value = serde_json::from_str(&note(2, &audition)).expect("JSON");
        other["id"] = json!(first.beside(3));
        other
    };
    refused(&with_more(&[done, taken_name.to_string()]), "bundle_follower", &["written with others"]);
    // What is in neither is no reason: a bundle may hold a part of a log.
    let there = scratch();
    drop(log(there.path()));
    assert!(looked_into(there.path(), &with_more(&[struck(2, &other, named(999))])).is_ok());
}

/// A bundle that holds a wish out of range is refused, so that the decision it would bring can't make the page of its guitar
/// unreadable; the same wish is refused from a page.
#[test]
fn a_wish_out_of_range_comes_in_neither_way() {
    let bench = Workbench::begun();
    let wishes = |want: i64| json!([{"quality": "treble", "want": want}]);
    for want in [-3, 3, 100] {
        let ask = json!({"ask": "decide", "entry": bench.name(), "guitar": GUITAR, "wishes": wishes(want), "musts": [],
            "audition": AUDITION, "mode": "single", "why": "because of the treble"});
        let refusal = bench.refused(&ask);
        assert!(refusal["sentence"].as_str().is_some_and(|sentence| sentence.ends_with('.')), "{refusal}");
    }
    let decided = |want: i64, musts: Value| {
        let decision = json!({"place": "neck", "from_saddle": 162.0, "wishes": wishes(want), "musts": musts, "contenders": [],
            "pickup": name(6, 8), "label": "Paper crane", "mode": "single", "audition": name(6, 9), "why": "because"});
        line(1, "guitar", &name(6, 7).to_string(), json!({"kind": "decided", "decision": decision}))
    };
    for want in [-3, 3, 100] {
        refused(&with_more(&[decided(want, json!([]))]), "bundle_unsound", &["from −2 to 2"]);
    }
    let must = json!([{"quality": "hum", "bound": "at_most", "value": 6}]);
    refused(&with_more(&[decided(1, must)]), "bundle_unsound", &["1 to 5"]);
    let there = scratch();
    drop(log(there.path()));
    assert!(looked_into(there.path(), &with_more(&[decided(2, json!([]))])).is_ok());
}
