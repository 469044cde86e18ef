//! What was written down, and what is computed, is told in the unit of length that is set: every page of the demo bench,
//! read as a page reads it.

use std::collections::BTreeSet;

use serde_json::{Value, json};
use solderlast_core::record::entry::About;
use solderlast_testkit::workbench::{AUDITION, Workbench};

/// Whether a length is told in this unit: `2.4 mm`, `3/32 in`. Gauges of strings go by inches on every bench.
fn tells(words: &str, unit: &str) -> bool {
    let words: Vec<&str> = words.split([' ', ',', ';', '.', ':', ')']).collect();
    words
        .windows(2)
        .any(|pair| pair[1] == unit && !pair[0].is_empty() && pair[0].chars().all(|c| c.is_ascii_digit() || c == '/'))
}

/// Every sentence with what a page shows in its place where inches are set, and where it stands. A length in all units is
/// no sentence.
fn sentences(value: &Value, at: &str, told: &mut Vec<(String, String, String)>) {
    let in_inches = |beside: &Value, words: &str| beside["decimal_inch"].as_str().unwrap_or(words).to_owned();
    match value {
        Value::Object(fields) if fields.contains_key("sixtyfourth") => {}
        Value::Object(fields) => {
            for (name, value) in fields.iter().filter(|(name, _)| !name.ends_with("in_inches")) {
                let below = format!("{at}.{name}");
                let beside = match name.as_str() {
                    "words" | "verdict" => "in_inches".to_owned(),
                    "heard_in" => "heard_in_inches".to_owned(),
                    other => format!("{other}_in_inches"),
                };
                let beside = fields.get(&beside).unwrap_or(&Value::Null);
                match value {
                    Value::String(words) => told.push((below, words.clone(), in_inches(beside, words))),
                    Value::Array(values) => {
                        for (index, value) in values.iter().enumerate() {
                            match value {
                                Value::String(words) => {
                                    told.push((below.clone(), words.clone(), in_inches(&beside[index], words)));
                                }
                                other => sentences(other, &below, told),
                            }
                        }
                    }
                    Value::Object(verdict) if name == "verdict" && beside.is_object() => {
                        let mut verdict = verdict.clone();
                        verdict.insert("sentence_in_inches".to_owned(), beside.clone());
                        sentences(&Value::Object(verdict), &below, told);
                    }
                    other => sentences(other, &below, told),
                }
            }
        }
        Value::Array(values) => values.iter().for_each(|value| sentences(value, at, told)),
        Value::String(words) => told.push((at.to_owned(), words.clone(), words.clone())),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

#[test]
fn what_was_written_down_is_told_in_the_unit_that_is_set() {
    let bench = Workbench::empty();
    bench.ok(&json!({"ask": "load_demo"}));
    let abouts: BTreeSet<About> = solderlast_core::demo::entries().iter().map(|entry| entry.about).collect();
    let mut told = Vec::new();
    let mut with_lengths = 0;
    for about in abouts {
        let written = |reply: &Value, parts: &[&str]| -> Vec<Value> {
            parts.iter().map(|part| json!({*part: reply.get(*part).cloned().unwrap_or_default()})).collect()
        };
        let parts = match about {
            About::Audition(id) => {
                let audition = bench.ok(&json!({"ask": "audition", "id": id}))["audition"].clone();
                let decided =
                    json!({"decided": audition["decided"], "decided_in_inches": audition["decided_in_inches"]});
                [written(&audition, &["written", "listen"]), vec![decided]].concat()
            }
            About::Fit(id) => written(&bench.ok(&json!({"ask": "fit", "id": id}))["fit"], &["written"]),
            About::Pickup(id) => {
                let history = bench.ok(&json!({"ask": "pickup_history", "id": id, "after": null}));
                written(&history["history"], &["visits", "record"])
            }
            About::Guitar(id) => {
                let history = bench.ok(&json!({"ask": "guitar_history", "id": id, "after": null}));
                let page = bench.ok(&json!({"ask": "guitar", "id": id, "unit": "decimal_inch"}));
                let summary =
                    |line: &Value| json!({"summary": line["summary"], "summary_in_inches": line["summary_in_inches"]});
                let listed = bench.ok(&json!({"ask": "guitars", "retired": false}))["guitars"].clone();
                let mut summaries: Vec<Value> = listed.as_array().into_iter().flatten().map(summary).collect();
                summaries.push(summary(&page["guitar"]));
                let decided = written(&page["guitar"], &["decided"]);
                [written(&history["history"], &["visits", "record"]), decided, summaries].concat()
            }
            About::Rig(_) | About::Meter(_) | About::Bench(_) => Vec::new(),
        };
        let from = told.len();
        parts.iter().for_each(|part| sentences(part, "", &mut told));
        with_lengths += told[from..].iter().filter(|(_, millimetres, _)| tells(millimetres, "mm")).count();
    }
    assert!(with_lengths > 10, "the demo bench tells lengths: {with_lengths}");
    for (at, millimetres, inches) in &told {
        assert!(!tells(inches, "mm"), "{at}, inches set: {inches}");
        assert!(!tells(millimetres, "in") || at.contains("heard_in"), "{at}, millimetres set: {millimetres}");
    }
}

/// Pages whole, as they are computed. What stands in a field to be typed over carries its unit, and is left out.
#[test]
fn what_is_computed_is_told_in_the_unit_that_is_set() {
    const TYPED: [&str; 1] = [".gaps.between_typed"];
    let bench = Workbench::empty();
    bench.ok(&json!({"ask": "load_demo"}));
    let abouts: BTreeSet<About> = solderlast_core::demo::entries().iter().map(|entry| entry.about).collect();
    let mut told = Vec::new();
    let mut fits = Vec::new();
    for about in abouts {
        match about {
            About::Audition(id) => {
                let page = bench.ok(&json!({"ask": "audition", "id": id}));
                sentences(&page["audition"], "", &mut told);
                let over = json!({"ask": "strings_over", "audition": id, "shift": "2", "to_treble": true, "limit": "",
                    "unit": "decimal_inch"});
                sentences(&bench.asked(&over), "strings_over", &mut told);
                let lie = json!({"poles": "down", "bass_end": "treble"});
                let facing = json!({"ask": "facing", "audition": id, "lie": lie, "marked": true});
                sentences(&bench.asked(&facing), "facing", &mut told);
            }
            About::Fit(id) => {
                sentences(&bench.ok(&json!({"ask": "fit", "id": id}))["fit"], "", &mut told);
                fits.push(id);
            }
            About::Pickup(_) | About::Guitar(_) | About::Rig(_) | About::Meter(_) | About::Bench(_) => {}
        }
    }
    if let [one, other, ..] = fits[..] {
        let sheets = json!({"ask": "compare_fits", "fits": [one, other], "unit": "decimal_inch"});
        sentences(&bench.ok(&sheets)["sheets"], "sheets", &mut told);
    }
    let computed = |at: &str| !TYPED.contains(&at);
    let lengths = told.iter().filter(|(at, words, _)| computed(at) && tells(words, "mm"));
    let where_: BTreeSet<&str> = lengths.map(|(at, ..)| at.as_str()).collect();
    for part in [".gaps.", ".room.verdict.sentence", "strings_over", "facing"] {
        assert!(where_.iter().any(|at| at.starts_with(part)), "the demo bench tells lengths in {part}: {where_:?}");
    }
    for (at, _, inches) in told.iter().filter(|(at, ..)| computed(at)) {
        assert!(!tells(inches, "mm"), "{at}, inches set: {inches}");
    }
}

#[test]
fn turns_and_matching_are_told_in_inches() {
    let bench = Workbench::begun();
    let measured = json!({"ask": "measure_gaps", "audition": AUDITION, "bass": "3.4", "treble": "2.9",
        "unit": "millimetre", "pressed_at": null, "kept": false});
    bench.write(measured);
    bench.write(json!({"ask": "aim_gaps", "audition": AUDITION,
        "aim": {"aim": "typed", "bass": "2.4", "treble": "2", "unit": "millimetre", "pressed_at": null}}));
    let gaps = bench.audition()["gaps"].clone();
    let fairness = &gaps["aim"]["fairness"];
    assert_eq!(fairness["fair"], false, "{fairness}");
    let matched = fairness["sentence_in_inches"]["decimal_inch"].as_str().unwrap_or_default();
    assert!(matched.starts_with("0.039 in farther at the bass side, 0.035 in farther at the treble side"), "{matched}");
    let turns = gaps["moves"]["sentence_in_inches"]["decimal_inch"].as_str().unwrap_or_default();
    assert!(turns.contains(" in stays left over") || turns.contains("thousandths of an inch"), "{turns}");
}

#[test]
fn what_is_refused_is_told_in_the_unit_it_was_typed_in() {
    let bench = Workbench::begun();
    for (unit, part) in [
        ("millimetre", "At more than 20 mm hardly"),
        ("decimal_inch", "At more than 0.787 in hardly"),
        ("sixtyfourth", "At more than ≈ 25/32 in hardly"),
    ] {
        let refusal = bench.note_refused(json!({"ask": "read_level", "level": "-12", "gap": "30 mm", "unit": unit}));
        let sentence = refusal["sentence"].as_str().unwrap_or_default();
        assert!(sentence.contains(part), "{unit}: {sentence}");
    }
}

#[test]
fn a_gap_typed_in_inches_comes_back_as_typed() {
    let bench = Workbench::begun();
    for (unit, bass, treble, field) in
        [("decimal_inch", "0.094", "0.078", "decimal_inch"), ("sixtyfourth", "3/32", "5/64", "sixtyfourth")]
    {
        bench.write(json!({"ask": "read_level", "audition": AUDITION, "level": "-12", "gap": bass, "unit": unit}));
        bench.write(json!({"ask": "read_level", "audition": AUDITION, "level": "-14", "gap": treble, "unit": unit}));
        let audition = bench.audition();
        let lines: Vec<&str> = audition["written"]
            .as_array()
            .into_iter()
            .flatten()
            .filter_map(|line| line["in_inches"][field].as_str())
            .collect();
        for typed in [bass, treble] {
            let wanted = format!("a gap of {typed} in");
            assert!(lines.iter().any(|line| line.ends_with(&wanted)), "{wanted}: {lines:?}");
        }
    }
}
