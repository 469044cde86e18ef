//! Who has an earlier answer about an audition is told what changed since, and comes to the very same page as who is told all
//! of it: over the worked examples in their order, and over acts by chance, with any answer still held, an old one, or none.

use std::collections::BTreeMap;
use std::sync::Arc;

use chrono::{DateTime, TimeDelta};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::clock::SteppingClock;
use solderlast_testkit::Chance;
use solderlast_testkit::workbench::{
    AUDITION, GUITAR, PICKUP, RIG, SOUND_UP, TAKE_DOWN, Workbench, choice, guitar_form, open, pickup_form, rig_form,
};
use tempfile::TempDir;

/// Two benches that are asked the same at the same times: one in full, the other of what changed.
struct Twins {
    full: Bench,
    since: Bench,
    held: Vec<(String, Value)>,
    /// Bytes of all that was told in full, and of all that changed.
    bytes: [usize; 2],
    _folders: [TempDir; 2],
}

fn bench() -> (Bench, TempDir) {
    let folder = tempfile::tempdir().unwrap();
    let start = DateTime::from_timestamp(1_793_700_000, 0).unwrap();
    let clock = Arc::new(SteppingClock::new(start, TimeDelta::seconds(20)));
    (open(folder.path(), &clock), folder)
}

impl Twins {
    fn new() -> Self {
        let ((full, one), (since, other)) = (bench(), bench());
        Self { full, since, held: Vec::new(), bytes: [0, 0], _folders: [one, other] }
    }

    /// Asks both; `back` says how many answers ago the one is that is still held, beyond all of them for none.
    fn ask(&mut self, ask: &Value, back: usize) -> Value {
        let ask = ask.to_string();
        let full = self.full.answer(ask.as_bytes());
        let has = self.held.iter().rev().nth(back).map_or("", |(name, _)| name.as_str()).to_owned();
        let told = self.since.answer_since(ask.as_bytes(), Some(&has));
        let wanted: Value = serde_json::from_slice(&full).unwrap();
        let mut answer: Value = serde_json::from_slice(&told).unwrap();
        if let Some(since) = answer.get("since").and_then(Value::as_str) {
            assert_eq!(since, has, "it is told since what is held");
            self.bytes[0] += full.len();
            self.bytes[1] += told.len();
            let (_, was) = self.held.iter().find(|(name, _)| name == since).unwrap();
            let audition = merged(was.clone(), answer["changed"].clone());
            answer = json!({"ok": {"reply": "audition", "audition": audition}, "as_of": answer["as_of"]});
        }
        if let Some(name) = answer.as_object_mut().unwrap().remove("as_of") {
            let name = name.as_str().unwrap().to_owned();
            assert!(self.held.iter().all(|(other, _)| *other != name), "no name is given twice");
            self.held.push((name, answer["ok"]["audition"].clone()));
        }
        assert_eq!(answer, wanted, "{ask}");
        answer
    }
}

/// The changes brought into what they are different from.
fn merged(mut was: Value, changed: Value) -> Value {
    for (field, value) in changed.as_object().unwrap().clone() {
        match field.as_str() {
            "some_steps" => {
                for step in value.as_array().unwrap() {
                    let of = was["steps"].as_array_mut().unwrap().iter_mut().find(|of| of["step"] == step["step"]);
                    *of.unwrap() = step.clone();
                }
            }
            "some_written" => {
                for line in value.as_array().unwrap() {
                    let index = usize::try_from(line[0].as_u64().unwrap()).unwrap();
                    was["written"][index] = line[1].clone();
                }
            }
            "more_written" => {
                let more = value.as_array().unwrap().clone();
                was["written"].as_array_mut().unwrap().extend(more);
            }
            _ => {
                assert!(was.get(&field).is_some(), "{field} is a field of an audition");
                was[field] = value;
            }
        }
    }
    was
}

#[test]
fn the_worked_examples_come_to_the_same_page() {
    let mut twins = Twins::new();
    let scratch = tempfile::tempdir().unwrap();
    let asks = solderlast_core::ask::examples(scratch.path()).unwrap();
    for (ask, _) in asks.iter().take_while(|(ask, _)| ask["ask"] != "erase") {
        twins.ask(ask, 0);
    }
    assert!(twins.held.len() > 40, "{} answers about an audition", twins.held.len());
    let [full, changed] = twins.bytes;
    assert!(changed * 3 < full, "{changed} of {full} bytes");
}

#[test]
fn acts_by_chance_come_to_the_same_page_whatever_is_still_held() {
    let mut chance = Chance::seeded(20);
    for _ in 0..2 {
        let mut twins = Twins::new();
        for ask in begun() {
            twins.ask(&ask, 0);
        }
        let mut names = Vec::new();
        for number in 0..120_u32 {
            let mut ask = act(&mut chance, &names);
            if ask["ask"] != "audition" {
                let name = format!("019a3c5f-7e00-7000-8000-{:012x}", 5000 + number);
                ask["entry"] = json!(name);
                ask["audition"] = json!(AUDITION);
                names.push(name);
            }
            let back = [0, 0, 0, 1, 5, 30, usize::MAX][chance.below(7_usize)];
            twins.ask(&ask, back);
        }
    }
}

/// What a stocked bench with an audition was asked.
fn begun() -> [Value; 4] {
    let mut asks = [
        json!({"ask": "write_pickup", "id": PICKUP, "form": pickup_form("Paper crane")}),
        json!({"ask": "write_guitar", "id": GUITAR, "form": guitar_form("Kitchen guitar")}),
        json!({"ask": "write_rig", "id": RIG, "form": rig_form()}),
        json!({"ask": "choose", "audition": AUDITION, "choice": choice()}),
    ];
    for (number, ask) in asks.iter_mut().enumerate() {
        ask["entry"] = json!(format!("019a3c5f-7e00-7000-8000-{:012x}", 900 + number));
    }
    asks
}

fn act(chance: &mut Chance, names: &[String]) -> Value {
    let mode = ["parallel", "single", "series"][chance.below(3_usize)];
    let step = ["leads", "meter", "gaps", "listen"][chance.below(4_usize)];
    let lead = ["moss", "rust", "slate", "chalk"][chance.below(4_usize)];
    match chance.below(14_u32) {
        0 | 1 => json!({"ask": "audition", "id": AUDITION}),
        2 => json!({"ask": "rate", "mode": mode, "quality": "treble", "value": chance.below(5_u32) + 1}),
        3 => json!({"ask": "note_down", "mode": mode, "words": format!("round {}", chance.below(9_u32))}),
        4 => {
            json!({"ask": "take_reading", "mode": mode, "reading": format!("{}.{}k", 3 + chance.below(11_u32), chance.below(9_u32)), "room": ""})
        }
        5 => json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "rolled"}}),
        6 => json!({"ask": "hook_up", "hooked": {"terminal": chance.below(4_u32), "leads": [lead],
            "tugged": chance.flip()}}),
        7 => json!({"ask": "tick_off", "tick": SOUND_UP[chance.below(SOUND_UP.len())], "words": ""}),
        8 => json!({"ask": "tick_off", "tick": TAKE_DOWN[chance.below(TAKE_DOWN.len())], "words": ""}),
        9 => {
            json!({"ask": "measure_gaps", "bass": "3.2", "treble": "2.8", "unit": "millimetre", "pressed_at": null, "kept": chance.flip()})
        }
        10 => json!({"ask": "skip_step", "step": step, "why": "not today"}),
        11 => json!({"ask": "take_up_step", "step": step}),
        12 => json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}}),
        _ => match names.get(chance.below(names.len())) {
            Some(name) => json!({"ask": "strike_out", "struck": name, "why": "a slip"}),
            None => json!({"ask": "audition", "id": AUDITION}),
        },
    }
}

#[test]
fn an_answer_of_another_bench_or_of_another_audition_is_none() {
    let bench = Workbench::begun();
    let look = json!({"ask": "audition", "id": AUDITION}).to_string();
    let told = |has: &str| -> BTreeMap<String, Value> {
        serde_json::from_slice(&bench.bench.answer_since(look.as_bytes(), Some(has))).unwrap()
    };
    let first = told("");
    let name = first["as_of"].as_str().unwrap();
    assert!(told(name).contains_key("changed"));
    for other in ["", "0.1", "x", "1.", &format!("{name}0"), &"9".repeat(4000)] {
        assert!(told(other).contains_key("ok"), "{other}");
    }
    let other = "019a3c5f-7e00-7000-8000-00000000000b";
    bench.write(json!({"ask": "choose", "audition": other, "choice": choice()}));
    let look = json!({"ask": "audition", "id": other}).to_string();
    let answer: Value = serde_json::from_slice(&bench.bench.answer_since(look.as_bytes(), Some(name))).unwrap();
    assert_eq!(answer["ok"]["audition"]["id"], other);
    // What is no audition, and what is refused, is answered as ever.
    for ask in [
        r#"{"ask": "bench"}"#,
        r#"{"ask": "nothing"}"#,
        "",
        r#"{"ask": "audition", "id": "019a3c5f-7e00-7000-8000-00000000000c"}"#,
    ] {
        let plain: Value = serde_json::from_slice(&bench.bench.answer(ask.as_bytes())).unwrap();
        let since: Value = serde_json::from_slice(&bench.bench.answer_since(ask.as_bytes(), Some(name))).unwrap();
        assert_eq!(plain.get("refused"), since.get("refused"));
        assert!(since.get("as_of").is_none());
    }
}
