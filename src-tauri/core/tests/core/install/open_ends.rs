//! Nothing ends in nothing: who can't tell can say so, what is missing can be written down where it is missed, and what comes out
//! of a guitar without a record gets one.

use serde_json::{Value, json};
use solderlast_testkit::workbench::{GUITAR, OTHER_PICKUP, PICKUP, Workbench, guitar_form, pickup_form};

use super::{FIT, begin, bench, fit, fitted, lives, pass, place_name, plan, refused, sound_up, up_to_done};

fn room(view: &Value) -> Value {
    let lines = view["room"].as_array().expect("lines");
    lines.iter().find(|line| line["name"] == "Opening and depth").expect("the opening").clone()
}

fn offers(checks: &Value) -> Vec<(Value, bool)> {
    let answers = checks.as_array().into_iter().flatten().filter_map(|check| check["answers"].as_array());
    let cant = |answer: &Value| answer["words"] == "can't tell";
    answers
        .map(|answers| (answers.iter().find(|one| cant(one)).cloned().unwrap_or_default(), answers.iter().any(cant)))
        .collect()
}

/// Every question of ear and compass takes it for an answer. It is written down, settles nothing, blames nothing and stops nothing.
#[test]
fn who_cant_tell_can_say_so() {
    let bench = bench();
    let mut form = guitar_form("Kitchen guitar");
    let mut bridge = form["places"][0].clone();
    bridge["name"] = json!("bridge");
    bridge["from_saddle"] = json!("40");
    bridge["fitted_words"] = json!("an old single coil");
    form["places"] = json!([form["places"][0], bridge]);
    form["places"][0]["fitted"] = json!(OTHER_PICKUP);
    form["selector"] = json!({"kind": "usual"});
    bench.write(json!({"ask": "write_guitar", "id": GUITAR, "form": form}));
    begin(&bench);
    let view = plan(&bench, "series");
    // A compass is asked for at the pickup that stays.
    let poles = offers(&view["phase"]["checks"]).into_iter().find(|(answer, _)| answer["answer"]["check"] == "poles");
    let (_, view) = fit(&bench, json!({"ask": "answer_fit", "answer": poles.expect("a compass").0["answer"]}));
    let phase = view["phase"].clone();
    assert!(phase.to_string().contains("Can't tell"), "{phase}");
    for step in ["way_round", "phase", "hookup", "room", "jack", "parts"] {
        pass(&bench, step);
    }
    super::light(&bench);
    for one in ["old_pictured", "old_out", "tinned", "set_in", "joined", "cooled", "tugged", "insulated"] {
        super::act(&bench, one);
    }
    super::iron(&bench, json!({"do": "iron_off"}));
    sound_up(&bench);
    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    let listened: Value = view["listen"].as_array().into_iter().flatten().map(|one| one["check"].clone()).collect();
    let all: Vec<_> = [&view["proof"]["checks"], &view["strung"], &listened].into_iter().flat_map(offers).collect();
    assert!(all.len() >= 4 && all.iter().all(|(_, is)| *is), "{all:?}");
    let mut view = view;
    for (answer, _) in &all {
        view = fit(&bench, json!({"ask": "answer_fit", "answer": answer["answer"]})).1;
    }
    for step in ["proof", "listen"] {
        let step =
            view["steps"].as_array().and_then(|steps| steps.iter().find(|one| one["step"] == step)).expect("a step");
        let open = step["open"].to_string();
        assert!(!open.contains("question") && !open.contains("Nobody has said"), "{open}");
        assert!(step["unsure"].to_string().contains("Can't tell."), "{step}");
    }
    assert_eq!(view["phase"]["pairs"], phase["pairs"], "nothing is settled by it");
    assert!(view["proof"]["mend"].is_null(), "nothing is blamed by it");
}

#[test]
fn sizes_that_are_missing_are_written_down_where_they_are_missed() {
    let bench = bench();
    begin(&bench);
    let view = plan(&bench, "series");
    let missing = room(&view)["missing"].clone();
    let of = |record: &str| missing.as_array().into_iter().flatten().filter(|one| one["of"] == record).count();
    assert!(of("guitar") > 0, "{missing}");
    let before = bench.ok(&json!({"ask": "pickup", "id": PICKUP, "unit": "millimetre"}))["pickup"]["pickup"].clone();
    let sizes = json!({"length": "70", "width": "20", "depth": "18", "unit": "millimetre"});
    bench.write(json!({"ask": "tell_sizes", "id": PICKUP, "sizes": sizes}));
    let after = bench.ok(&json!({"ask": "pickup", "id": PICKUP, "unit": "millimetre"}))["pickup"]["pickup"].clone();
    for (field, now) in after.as_object().expect("fields") {
        let told = match field.as_str() {
            "length" => &json!(70.0),
            "width" => &json!(20.0),
            "depth" => &json!(18.0),
            _ => &before[field],
        };
        assert_eq!(now, told, "{field}");
    }
    let opening = json!({"place": place_name(&bench), "length": "71", "width": "21", "unit": "millimetre"});
    bench.write(json!({"ask": "tell_opening", "id": GUITAR, "opening": opening}));
    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    assert_eq!(room(&view)["missing"], json!([{"of": "guitar", "size": "depth"}]));
    let opening = json!({"place": place_name(&bench), "depth": "25", "unit": "millimetre"});
    bench.write(json!({"ask": "tell_opening", "id": GUITAR, "opening": opening}));
    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    assert!(room(&view)["missing"].is_null(), "{}", room(&view));
    assert_eq!(room(&view)["verdict"]["kind"], "good");
    // What does not fit is told with the sizes; what is open names it.
    let opening = json!({"place": place_name(&bench), "length": "60", "unit": "millimetre"});
    bench.write(json!({"ask": "tell_opening", "id": GUITAR, "opening": opening}));
    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    let step = view["steps"].as_array().and_then(|steps| steps.iter().find(|one| one["step"] == "room").cloned());
    assert_eq!(step.expect("a step")["open"], json!(["Opening and depth: it does not fit."]));
    for (ask, field) in [
        (json!({"ask": "tell_sizes", "id": PICKUP, "sizes": {"unit": "millimetre"}}), "sizes"),
        (json!({"ask": "tell_sizes", "id": PICKUP, "sizes": {"depth": "deep", "unit": "millimetre"}}), "sizes.depth"),
        (
            json!({"ask": "tell_opening", "id": GUITAR, "opening": {"place": "attic", "depth": "9", "unit": "millimetre"}}),
            "opening.place",
        ),
        (json!({"ask": "tell_fitted", "id": GUITAR, "place": "attic", "pickup": PICKUP}), "place"),
    ] {
        let mut ask = ask;
        ask["entry"] = json!(bench.name());
        assert_eq!(bench.refused(&ask)["field"], field, "{ask}");
    }
}

/// Which end lay over the bass strings is known as long as it hangs in the rig, and no longer.
#[test]
fn an_unmarked_end_is_marked_before_it_is_taken_down() {
    let bench = Workbench::begun();
    let unmarked = || bench.audition()["which_way"]["unmarked"].clone();
    let mut form = pickup_form("Paper crane");
    form["bass_end_mark"] = json!("");
    bench.write(json!({"ask": "write_pickup", "id": PICKUP, "form": form}));
    assert!(unmarked().is_null(), "it is in no rig yet");
    let lies = |bass_end: &str, marked: bool| {
        let over = if marked { json!(bass_end) } else { Value::Null };
        let lie = json!({"poles": "down", "bass_end": bass_end});
        bench.note(json!({"ask": "mount", "mounting": {"bass_end_over": over, "turn": "rolled", "lie": lie}}));
        unmarked().as_str().unwrap_or_default().to_owned()
    };
    assert!(lies("bass", false).contains("over the bass strings now"));
    assert!(lies("bass", true).contains("does not say how"));
    assert!(lies("treble", true).contains("does not say how"));
    assert_eq!(lies("treble", false), "", "the mark would belie what was said of the lie");
    lies("bass", false);
    bench.write(
        json!({"ask": "tell_sizes", "id": PICKUP, "sizes": {"bass_end_mark": "a pencil cross", "unit": "millimetre"}}),
    );
    assert!(unmarked().is_null());
}

#[test]
fn what_comes_out_without_a_record_is_recorded_and_lies_in_the_drawer() {
    const OUT: &str = "019a3c5f-7e00-7000-8000-00000000abcd";
    let bench = bench();
    let mut form = guitar_form("Kitchen guitar");
    form["places"][0]["fitted_words"] = json!("an old single coil");
    form["selector"] = json!({"kind": "usual"});
    bench.write(json!({"ask": "write_guitar", "id": GUITAR, "form": form}));
    let view = up_to_done(&bench);
    let out = &view["unrecorded"];
    assert_eq!(out["label"], "an old single coil", "the record's words are its name");
    let mut form = pickup_form(out["label"].as_str().expect("a label"));
    form["came_from"] = out["came_from"].clone();
    form["notes"] = out["notes"].clone();
    bench.write(json!({"ask": "write_pickup", "id": OUT, "form": form}));
    bench.write(json!({"ask": "tell_fitted", "id": GUITAR, "place": place_name(&bench), "pickup": OUT}));
    assert_eq!(lives(&bench, OUT)["guitar"], GUITAR);
    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    assert!(view["unrecorded"].is_null());
    let (done, view) = fit(&bench, json!({"ask": "finish_fit", "words": ""}));
    assert_eq!(view["state"], "done");
    assert!(lives(&bench, OUT).is_null(), "it is loose, so it can be auditioned");
    assert_eq!(fitted(&bench), PICKUP);
    fit(&bench, json!({"ask": "strike_fit", "struck": done, "why": ""}));
    assert_eq!(fitted(&bench), OUT);
}

/// The search of the logbook finds an audition by its leads and readings; and leads that were found out, readings at the jack and
/// decisions, each with the page it stands on. What was struck out is not found.
#[test]
fn leads_readings_and_decisions_are_found() {
    let bench = bench();
    begin(&bench);
    let view = plan(&bench, "series");
    let at = view["before"]["readings"][0]["at"].clone();
    let (read, _) = fit(&bench, json!({"ask": "read_jack_before", "at": at, "reading": "7.61k", "room": ""}));
    bench.write(json!({"ask": "begin_leads", "pickup": OTHER_PICKUP, "leads": ["ochre", "violet"], "shield": false, "frame": false}));
    let (_, between) =
        bench.write(json!({"ask": "measure_leads", "pickup": OTHER_PICKUP, "between": ["ochre", "violet"], "reading": "5k83", "out_of_reach": false}));
    assert!(between.to_string().contains("5.83"));
    let found = |words: &str| {
        let page = bench.ok(&json!({"ask": "logbook", "find": {"words": words}}))["found"].clone();
        let beside = page["beside"].as_array().cloned().unwrap_or_default();
        let things: Vec<String> =
            beside.iter().map(|one| one["about"]["thing"].as_str().unwrap_or_default().to_owned()).collect();
        (page["lines"].as_array().map_or(0, Vec::len), things)
    };
    assert_eq!(
        found("7.61k"),
        (0, vec!["fit".to_owned()]),
        "{}",
        bench.ok(&json!({"ask": "logbook", "find": {"words": "7.61k"}}))
    );
    for (words, auditions, beside) in [
        ("moss", 1, &[][..]),
        ("chalk rust", 1, &[]),
        ("13.34k", 1, &[]),
        ("13,34 kΩ", 1, &[]),
        ("3.334k", 1, &[]),
        ("13.35k", 0, &[]),
        ("7.61k", 0, &["fit"]),
        ("7.61 paper", 0, &["fit"]),
        ("ochre", 0, &["pickup"]),
        ("violet ochre tin", 0, &["pickup"]),
        ("5.83k", 0, &["pickup"]),
        ("5k83", 0, &["pickup"]),
        ("nowhere", 0, &[]),
    ] {
        let (lines, things) = found(words);
        assert_eq!(
            (lines, things.as_slice()),
            (auditions, beside.iter().map(|one| (*one).to_owned()).collect::<Vec<_>>().as_slice()),
            "{words}"
        );
    }
    fit(&bench, json!({"ask": "strike_fit", "struck": read, "why": ""}));
    assert_eq!(found("7.61k"), (0, Vec::new()));
}

/// Sheets of two candidates, what differs first; what only one of them speaks of is a dash in the other.
#[test]
fn sheets_of_candidates_stand_side_by_side() {
    const SECOND: &str = "019a3c5f-7e00-7000-8000-0000000000f2";
    let bench = bench();
    begin(&bench);
    plan(&bench, "series");
    let place = place_name(&bench);
    for ask in [
        json!({"ask": "begin_fit", "fit": SECOND, "audition": super::AUDITION, "place": place}),
        json!({"ask": "plan_fit", "fit": SECOND, "plan": {"kind": "fixed", "mode": "parallel", "turned": false}}),
    ] {
        bench.write(ask);
    }
    let beside = |fits: Value| bench.ok(&json!({"ask": "compare_fits", "fits": fits}))["sheets"].clone();
    let view = beside(json!([FIT, SECOND]));
    let names: Vec<&str> =
        view["auditions"].as_array().into_iter().flatten().filter_map(|one| one["name"].as_str()).collect();
    assert!(names.len() == 2 && names[0] != names[1], "{names:?}");
    let rows: Vec<&Value> = view["sections"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|part| part["rows"].as_array())
        .flatten()
        .collect();
    let row = |name: &str| rows.iter().find(|row| row["name"] == name).unwrap_or_else(|| panic!("{name}"));
    assert_eq!(row("Wiring")["differs"], true);
    assert_eq!(row("Joints")["differs"], true);
    assert_eq!(row("How it lies")["differs"], false);
    let sheets = [FIT, SECOND].map(|id| bench.ok(&json!({"ask": "fit", "id": id}))["fit"].clone());
    for (at, sheet) in sheets.iter().enumerate() {
        assert_eq!(row("Wiring")["cells"][at]["words"], sheet["plan"]["words"]);
        let joints = sheet["hookup"]["joints"].as_array().map_or(0, Vec::len);
        assert_eq!(row("Joints")["cells"][at]["words"].as_str().unwrap_or_default().split("; ").count(), joints);
    }
    for part in view["sections"].as_array().into_iter().flatten() {
        let differ: Vec<bool> =
            part["rows"].as_array().into_iter().flatten().filter_map(|row| row["differs"].as_bool()).collect();
        assert!(differ.is_sorted_by(|one, other| one >= other), "what differs comes first: {part}");
    }
    let count = |differs: bool| rows.iter().filter(|row| row["differs"] == differs).count();
    assert_eq!((json!(count(true)), json!(count(false))), (view["differ"].clone(), view["same"].clone()));
    // With itself it can't be compared, nor with nothing.
    for fits in [json!([FIT]), json!([FIT, FIT]), json!([])] {
        assert_eq!(bench.refused(&json!({"ask": "compare_fits", "fits": fits}))["field"], "fits");
    }
}

/// Nothing is offered where a record tells what comes out, or that nothing sits there.
#[test]
fn only_what_no_record_tells_of_is_offered_for_one() {
    for (words, fitted, offered) in [
        ("", json!(OTHER_PICKUP), false),
        ("an old single coil", json!(OTHER_PICKUP), false),
        ("empty", Value::Null, false),
        ("", Value::Null, true),
        ("an old single coil", Value::Null, true),
    ] {
        let bench = bench();
        let mut form = guitar_form("Kitchen guitar");
        form["places"][0]["fitted_words"] = json!(words);
        form["places"][0]["fitted"] = fitted;
        bench.write(json!({"ask": "write_guitar", "id": GUITAR, "form": form}));
        let view = begin(&bench);
        assert_eq!(!view["unrecorded"].is_null(), offered, "{words} {}", view["unrecorded"]);
    }
}

/// What can't be told is as if nobody had been asked: what hangs on it is shown, and held.
#[test]
fn a_fact_that_nobody_can_tell_is_taken_for_the_worst() {
    let bench = bench();
    begin(&bench);
    plan(&bench, "series");
    let tell = |told: Value| super::iron(&bench, json!({"do": "tell", "told": told}));
    let held = |view: &Value| view["iron"]["holds"].to_string().contains("iron_battery_in");
    assert!(!held(&tell(json!({"fact": "battery", "is": false}))));
    let view = tell(json!({"fact": "cant_tell", "is": "battery"}));
    assert!(held(&view), "{}", view["iron"]["holds"]);
    assert!(view["iron"]["questions"].to_string().contains("Can't tell"));
    let no = refused(
        &bench,
        json!({"ask": "at_fit_iron", "act": {"do": "tell", "told": {"fact": "cant_tell", "is": "damp"}}}),
    );
    assert_eq!(no["field"], "told", "{no}");
}
