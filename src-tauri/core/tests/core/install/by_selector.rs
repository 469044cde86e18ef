//! The guitar's selector wires the new pickup, and what that means for a later install.

use serde_json::{Value, json};
use solderlast_testkit::workbench::{self, AUDITION, GUITAR, OTHER_PICKUP, Workbench, guitar_form};

use super::{FIT, act, bench, fit, iron, light, pass, refused};

const LATER_AUDITION: &str = "019a3c5f-7e00-7000-8000-0000000000a2";
const LATER: &str = "019a3c5f-7e00-7000-8000-0000000000f2";

/// The same with a pickup at the bridge.
fn two_places() -> Workbench {
    let bench = bench();
    let mut form = guitar_form("Kitchen guitar");
    let mut bridge = form["places"][0].clone();
    bridge["name"] = json!("bridge");
    bridge["from_saddle"] = json!("40");
    bridge["fitted_words"] = json!("an old single coil");
    form["places"] = json!([form["places"][0], bridge]);
    form["places"][0]["fitted_words"] = json!("a wide one");
    form["selector"] = json!({"kind": "usual"});
    bench.write(json!({"ask": "write_guitar", "id": GUITAR, "form": form}));
    fit(&bench, json!({"ask": "begin_fit", "audition": AUDITION, "place": "neck"}));
    pass(&bench, "as_it_was");
    bench
}

/// Splits a coil in the position of both, and puts the new pickup on the other one there if so wished.
fn planned(offered: &Value, row: Value) -> Value {
    let positions = offered["positions"].as_array().expect("positions");
    let both = &offered["rows"][0]["row"]["position"];
    let modes: Vec<Value> = positions
        .iter()
        .map(|one| json!({"position": one, "mode": if one == both { "single" } else { "series" }}))
        .collect();
    json!({"kind": "selector", "pole": "four poles, a lug for each position", "modes": modes, "row": row, "turned": false})
}

#[test]
fn a_selector_that_splits_a_coil_is_laid_and_read() {
    let bench = two_places();
    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    let offered = view["plan"]["selector"].clone();
    let fixed = fit(&bench, json!({"ask": "plan_fit", "plan": {"kind": "fixed", "mode": "series", "turned": false}})).1;
    for row in [Value::Null, offered["rows"][0]["row"].clone(), offered["rows"][1]["row"].clone()] {
        let plan = planned(&offered, row.clone());
        let (_, view) = fit(&bench, json!({"ask": "plan_fit", "plan": plan.clone()}));
        assert_eq!(view["plan"]["form"], plan, "{row}");
        let hookup = view["hookup"].to_string();
        assert_eq!(hookup.contains("in a row"), !row.is_null(), "{hookup}");
        // Both at once reads other than with one mode for good, the new one alone the same.
        let at = |view: &Value, position: &Value| {
            let lines = view["jack"]["lines"].as_array().expect("lines");
            let full = |one: &&Value| one["at"]["selector"] == *position && one["at"]["volumes"]["at"] == "full";
            lines.iter().find(full).unwrap_or_else(|| panic!("{position}: {lines:#?}"))["shown"].clone()
        };
        let both = &offered["rows"][0]["row"]["position"];
        for position in offered["positions"].as_array().expect("positions") {
            let same = at(&view, position) == at(&fixed, position);
            assert!(same != (position == both) || at(&fixed, position).to_string().contains("not known"), "{position}");
        }
        let circuit = bench.ok(&json!({"ask": "fit_circuit", "id": FIT, "look": null}))["circuit"].clone();
        assert!(circuit["drawn"].is_object(), "{circuit}");
    }
}

/// The record of the guitar tells which places a position puts out. That they stand in a row there, the later install knows by the
/// earlier one, and does not compute them beside each other.
#[test]
fn a_later_install_does_not_take_a_row_for_two_beside_each_other() {
    let bench = two_places();
    let later_choice = || {
        let mut choice = workbench::choice();
        choice["pickup"] = json!(OTHER_PICKUP);
        choice["place"] = json!("bridge");
        choice["from_saddle"] = json!("40");
        choice
    };
    bench.write(json!({"ask": "choose", "audition": LATER_AUDITION, "choice": later_choice()}));
    let later = |bench: &Workbench, mut ask: Value| {
        ask["fit"] = json!(LATER);
        bench.write(ask).1["fit"].clone()
    };
    let plan = json!({"ask": "plan_fit", "plan": {"kind": "fixed", "mode": "series", "turned": false}});
    let begin = json!({"ask": "begin_fit", "audition": LATER_AUDITION, "place": "bridge"});
    later(&bench, begin);
    let plain = later(&bench, plan.clone());
    assert!(plain["jack"]["lines"].as_array().is_some_and(|lines| !lines.is_empty()), "{}", plain["jack"]);

    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    let offered = view["plan"]["selector"].clone();
    fit(&bench, json!({"ask": "plan_fit", "plan": planned(&offered, offered["rows"][0]["row"].clone())}));
    for step in ["way_round", "phase", "hookup", "room", "jack", "parts"] {
        pass(&bench, step);
    }
    light(&bench);
    for one in ["old_pictured", "old_out", "tinned", "set_in", "joined", "cooled", "tugged", "insulated"] {
        act(&bench, one);
    }
    iron(&bench, json!({"do": "iron_off"}));
    pass(&bench, "proof");
    for one in ["closed", "strung", "heights_set"] {
        act(&bench, one);
    }
    pass(&bench, "listen");
    let (done, own) = fit(&bench, json!({"ask": "finish_fit", "words": ""}));
    assert!(own["jack"]["lines"].as_array().is_some_and(|lines| !lines.is_empty()), "its own sheet stays");

    // Not a figure is left of what would have been computed wrongly, and the sheet says why.
    let view = bench.ok(&json!({"ask": "fit", "id": LATER}))["fit"].clone();
    let why = "By its fit sheet the selector does more for the neck pickup than choose places.";
    assert_eq!(view["jack"]["lines"], json!([]));
    for part in [&view["jack"]["notes"], &view["hookup"]["notes"], &view["phase"]["sentence"]] {
        assert!(part.to_string().contains(why), "{part}");
    }
    assert!(view["hookup"]["joints"].as_array().is_some_and(|joints| !joints.is_empty()));
    let circuit = bench.ok(&json!({"ask": "fit_circuit", "id": LATER, "look": null}))["circuit"].clone();
    assert!(circuit["drawn"].is_null() && circuit.to_string().contains(why), "{circuit}");
    // A plan is asked about once more.
    let mut again = json!({"ask": "plan_fit", "plan": {"kind": "fixed", "mode": "parallel", "turned": false}});
    again["fit"] = json!(LATER);
    again["entry"] = json!(bench.name());
    assert_eq!(bench.refused(&again)["field"], "anyway");
    again["anyway"] = json!(true);
    assert_eq!(bench.ok(&again)["fit"]["jack"]["lines"], json!([]));

    // Struck out, it is as before.
    fit(&bench, json!({"ask": "strike_fit", "struck": done, "why": ""}));
    let view = later(&bench, plan);
    assert_eq!(view["jack"], plain["jack"]);
}

#[test]
fn what_the_selector_can_not_do_is_refused_with_its_field() {
    let bench = two_places();
    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    let good = planned(&view["plan"]["selector"], Value::Null);
    for (field, value, named) in [
        ("pole", json!("a pole of another world"), "pole"),
        ("modes", json!([]), "modes"),
        ("row", json!({"position": "nowhere", "upper": "neck", "lower": "neck"}), "row"),
    ] {
        let mut plan = good.clone();
        plan[field] = value;
        let refused = refused(&bench, json!({"ask": "plan_fit", "plan": plan}));
        assert!(refused["field"].as_str().is_some_and(|field| field.contains(named)), "{refused}");
    }
}
