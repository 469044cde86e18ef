//! Nothing in the order of the work needs a third hand, and a rig that slides is held by something before it is played.

use serde_json::{Value, json};
use solderlast_testkit::workbench::Workbench;

/// What is read at any step or in any caution, as one text.
fn all_words(value: &Value, words: &mut Vec<String>) {
    match value {
        Value::String(text) => words.push(text.to_lowercase()),
        Value::Array(list) => list.iter().for_each(|one| all_words(one, words)),
        Value::Object(fields) => fields.values().for_each(|one| all_words(one, words)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

#[test]
fn no_words_ask_for_a_third_hand() {
    let bench = Workbench::begun();
    let mut words = Vec::new();
    all_words(&bench.audition(), &mut words);
    all_words(&bench.ok(&json!({"ask": "cautions"})), &mut words);
    assert!(words.iter().any(|text| text.contains("flat on its back")), "how the guitar lies is said");
    for text in words {
        for held in ["hand near", "one hand on it", "hold the rig by hand", "hold it by hand", "keep a hand"] {
            assert!(!text.contains(held), "{text}");
        }
    }
}

fn finish(barrier: &str, feet: &str, held_by: Value) -> Value {
    let mut answer = json!({"kind": "poly", "surface": "flat_gloss", "aged": false, "feet": feet, "barrier": barrier,
        "tried": true, "wiped": true, "before": ""});
    if !held_by.is_null() {
        answer["held_by"] = held_by;
    }
    json!({"ask": "ask_finish", "answer": answer})
}

#[test]
fn a_rig_on_cloth_is_not_played_before_something_holds_it() {
    for (barrier, feet, slides) in [
        ("cloth", "suction", true),
        ("paper", "pads", true),
        ("cloth", "tape", true),
        ("none", "loose", true),
        ("none", "suction", false),
        ("none", "pads", false),
    ] {
        let bench = Workbench::begun();
        bench.hook_up();
        bench.measure();
        bench.note(finish(barrier, feet, Value::Null));
        let has = |step: &str, what: &str, name: &str| {
            let step = bench.step(step);
            let id = if what == "holds" { "hold" } else { "id" };
            step[what].as_array().into_iter().flatten().any(|one| one[id] == name)
        };
        assert_eq!(has("seat", "cautions", "rig-slides"), slides, "{barrier} {feet}");
        assert_eq!(has("sound_up", "holds", "rig_not_held"), slides, "{barrier} {feet}");
        let zero = json!({"ask": "tick_off", "tick": "dry_and_whole", "words": ""});
        if slides {
            assert_eq!(bench.note_refused(zero.clone())["field"], "rig_not_held", "{barrier} {feet}");
            bench.note(finish(barrier, feet, json!("nothing")));
            assert_eq!(bench.note_refused(zero.clone())["field"], "rig_not_held", "{barrier} {feet}");
            bench.note(finish(barrier, feet, json!("strap")));
        }
        assert!(!has("sound_up", "holds", "rig_not_held"), "{barrier} {feet}");
        bench.note(zero);
        let seat = bench.audition()["seat"].clone();
        let listed = seat["slides"]
            .as_array()
            .into_iter()
            .flatten()
            .any(|one| *one == json!({"feet": feet, "barrier": barrier}));
        assert_eq!(listed, slides, "the page knows it where the barrier is chosen");
    }
}

/// The texts between quotes in sources, with the place of each.
fn written_texts(folder: &std::path::Path, texts: &mut Vec<(String, String)>) {
    for entry in std::fs::read_dir(folder).expect("a folder of sources").filter_map(Result::ok) {
        let path = entry.path();
        if path.is_dir() {
            written_texts(&path, texts);
        } else if path.extension().is_some_and(|ending| ending == "rs") {
            let source = std::fs::read_to_string(&path).expect("a source");
            let lines: Vec<&str> = source.lines().filter(|line| !line.trim_start().starts_with("//")).collect();
            let quoted = lines.join("\n");
            for text in quoted.split('"').skip(1).step_by(2) {
                let plain = text.replace("\\\n", " ").split_whitespace().collect::<Vec<_>>().join(" ");
                texts.push((path.display().to_string(), plain.to_lowercase()));
            }
        }
    }
}

/// A tap or a reading on loose leads takes a hand for the steel, or for each lead: the meter's probes are clipped on.
#[test]
fn a_meter_beside_a_piece_of_steel_or_on_loose_leads_is_clipped_on() {
    let mut texts = Vec::new();
    let core = std::path::Path::new(env!("CARGO_MANIFEST_DIR"));
    for room in ["src", "record/src", "physics/src", "safety/src", "log/src"] {
        written_texts(&core.join(room), &mut texts);
    }
    let mut found = 0;
    for (place, text) in texts {
        let taps = text.contains("dc millivolts") || (text.contains("poles") && text.contains("meter on"));
        let loose = text.starts_with("measure ohms between");
        if taps || loose {
            found += 1;
            // A part of a sentence that says how stands in its own text.
            assert!(text.contains("clip"), "{place}: {text}");
        }
        for third in ["put the meter on", "with one hand and", "while you hold", "with your other hand", "hold both"] {
            assert!(!text.contains(third), "{place}: {text}");
        }
    }
    assert!(found >= 7, "{found} taps and loose leads");
}
