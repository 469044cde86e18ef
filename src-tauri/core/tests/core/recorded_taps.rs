//! Three recorded taps in the place of a needle's swing: kept as takes, told against the other coil, told for good once the input is
//! known, counted before a needle, struck out and put back.

use serde_json::{Value, json};
use solderlast_core::ask::{TakePlace, in_json};
use solderlast_testkit::Chance;
use solderlast_testkit::sound::{Samples, Sound};
use solderlast_testkit::workbench::{OTHER_PICKUP, PICKUP, Workbench};

const RATE: u32 = 48_000;

/// Three pulses that grow until the steel meets the pole, each of this height.
fn knocked(heights: [f64; 3]) -> Vec<u8> {
    let mut sound = Sound::silence(RATE, 1, 4.0).noise(1e-9, &mut Chance(3)).sine(60.0, 0.01);
    for (number, height) in heights.into_iter().enumerate() {
        for (place, sample) in sound.channels[0].iter_mut().enumerate() {
            let since = place as f64 / f64::from(RATE) - 0.8 - number as f64;
            *sample +=
                if since < 0.0 { height * (since / 0.004).exp() } else { -0.4 * height * (-since / 0.006).exp() };
        }
    }
    sound.wav(Samples::Whole(24))
}

fn kept(bench: &Workbench, pickup: &str, file: &[u8]) -> String {
    let entry = bench.name();
    let place = json!({"about": {"thing": "pickup", "id": pickup}, "entry": entry, "recorded": {"played": "tap"}});
    let place: TakePlace = serde_json::from_value(place).expect("a place");
    let mut receiving = bench.bench.receive_take().expect("room");
    receiving.take(file).expect("room");
    let reply = bench.bench.keep_take(&place, receiving).expect("it is kept");
    assert!(serde_json::from_slice::<Value>(&in_json(&Ok(reply))).is_ok());
    entry
}

fn search(bench: &Workbench, pickup: &str) -> Value {
    bench.ok(&json!({"ask": "find_leads", "pickup": pickup, "rig": null}))["search"].clone()
}

/// Two coils, moss to rust and slate to chalk, measured and named.
fn measured(bench: &Workbench, pickup: &str) {
    bench.write(json!({"ask": "begin_leads", "pickup": pickup, "leads": ["moss", "rust", "slate", "chalk"], "shield": false, "frame": false}));
    for _ in 0..30 {
        let next = search(bench, pickup)["next"].clone();
        if next["task"] == "measure" {
            let names: Vec<&str> = next["between"].as_array().expect("two").iter().filter_map(Value::as_str).collect();
            let of = |coil: [&str; 2]| names.iter().all(|name| coil.contains(name));
            let reading = if of(["moss", "rust"]) {
                "6.66k"
            } else if of(["slate", "chalk"]) {
                "6.68k"
            } else {
                "OL"
            };
            bench.write(json!({"ask": "measure_leads", "pickup": pickup, "between": next["between"], "reading": reading, "out_of_reach": false}));
        } else if next["task"] == "name" {
            bench.write(
                json!({"ask": "name_coil", "pickup": pickup, "coil": {"coil": "A", "between": ["moss", "rust"]}}),
            );
        } else {
            assert_eq!(next["task"], "tap", "{next}");
            return;
        }
    }
    panic!("it is never measured");
}

fn tapped(bench: &Workbench, pickup: &str, tip: &str, sleeve: &str, heights: [f64; 3]) -> (String, Value) {
    let take = kept(bench, pickup, &knocked(heights));
    let (entry, reply) = bench.write(
        json!({"ask": "keep_taps", "pickup": pickup, "take": take, "tip": tip, "sleeve": sleeve, "input": "Left"}),
    );
    (entry, reply["search"].clone())
}

fn says(search: &Value, part: &str) -> bool {
    search["remarks"]
        .as_array()
        .is_some_and(|all| all.iter().any(|one| one.as_str().is_some_and(|one| one.contains(part))))
}

fn plus_ends(search: &Value) -> Vec<Value> {
    search["coils"]
        .as_array()
        .expect("coils")
        .iter()
        .filter(|coil| coil["ends_known"] == true)
        .map(|coil| coil["between"][1].clone())
        .collect()
}

#[test]
fn taps_tell_coils_against_each_other_and_a_cell_tells_them_for_good() {
    let bench = Workbench::stocked();
    measured(&bench, PICKUP);
    let (_, after) = tapped(&bench, PICKUP, "rust", "moss", [0.2, 0.25, 0.2]);
    assert!(says(&after, "not known yet") && plus_ends(&after).is_empty(), "{after}");
    assert_eq!((&after["next"]["task"], &after["next"]["coil"]), (&json!("tap"), &json!("B")));
    let (second, after) = tapped(&bench, PICKUP, "slate", "chalk", [-0.2, -0.25, -0.2]);
    assert!(says(&after, "swings opposite to coil A, tip on rust") && plus_ends(&after).is_empty(), "{after}");
    assert_eq!((&after["next"]["task"], &after["input"]), (&json!("tap"), &json!("Left")));
    // The cell says that plus is recorded as plus; so steel that comes down on coil A drives rust to plus, and pulled off, to minus.
    let cell = kept(&bench, PICKUP, &knocked([0.3; 3]));
    let calibrate = json!({"ask": "calibrate_input", "pickup": PICKUP, "take": cell, "input": "Left"});
    let (calibrated, reply) = bench.write(calibrate);
    let known = reply["search"].clone();
    assert_eq!(plus_ends(&known), [json!("moss"), json!("slate")], "{known}");
    assert!(known["next"]["task"] == "compass" && known["input_known"] == true, "{known}");
    // Another pickup on the same input needs no cell.
    measured(&bench, OTHER_PICKUP);
    let (_, other) = tapped(&bench, OTHER_PICKUP, "rust", "moss", [-0.2; 3]);
    assert_eq!(plus_ends(&other), [json!("rust")], "{other}");
    // Taps outrank a needle, and say so.
    bench.write(json!({"ask": "tap_coil", "pickup": PICKUP, "tap": {"plus": "rust", "minus": "moss", "swing": "up"}}));
    let against = search(&bench, PICKUP);
    assert_eq!(plus_ends(&against), [json!("moss"), json!("slate")]);
    assert!(says(&against, "The taps count"), "{against}");
    // Struck out, each is as it was; put back, it counts again.
    for (entry, left) in [(&calibrated, 2), (&second, 1)] {
        let (strike, reply) = bench.write(json!({"ask": "strike_leads", "pickup": PICKUP, "struck": entry}));
        assert_eq!(plus_ends(&reply["search"]).len(), left, "{reply}");
        bench.write(json!({"ask": "strike_leads", "pickup": PICKUP, "struck": strike}));
        assert_eq!(search(&bench, PICKUP), against);
    }
    for coil in ["A", "B"] {
        bench.write(json!({"ask": "hold_compass", "pickup": PICKUP, "coil": coil, "up": null}));
    }
    bench.write(json!({"ask": "settle_leads", "pickup": PICKUP}));
    assert_eq!(search(&bench, PICKUP)["next"]["task"], "done");
}

/// Without a cell, one needle swing tells every coil that was tapped on the same input; swings that don't fit to the taps are named.
#[test]
fn one_needle_swing_tells_all_coils_on_an_input() {
    for (swing, plus) in [("up", ["rust", "chalk"]), ("down_small", ["moss", "slate"])] {
        let bench = Workbench::stocked();
        measured(&bench, PICKUP);
        tapped(&bench, PICKUP, "rust", "moss", [0.2; 3]);
        tapped(&bench, PICKUP, "chalk", "slate", [0.2; 3]);
        bench.write(
            json!({"ask": "tap_coil", "pickup": PICKUP, "tap": {"plus": "rust", "minus": "moss", "swing": swing}}),
        );
        let known = search(&bench, PICKUP);
        assert_eq!(plus_ends(&known), plus, "{known}");
        let other = if swing == "up" { "down" } else { "up" };
        bench.write(
            json!({"ask": "tap_coil", "pickup": PICKUP, "tap": {"plus": "chalk", "minus": "slate", "swing": other}}),
        );
        let against = search(&bench, PICKUP);
        assert!(says(&against, "can’t all be right") && against["next"]["task"] == "check", "{against}");
    }
}

#[test]
fn taps_that_tell_nothing_are_refused_by_name() {
    let bench = Workbench::stocked();
    measured(&bench, PICKUP);
    let before = search(&bench, PICKUP);
    for (heights, code) in [
        ([0.2, -0.2, 0.2], "taps_differ"),
        ([0.2, 0.2, 0.0], "taps_count"),
        ([0.0; 3], "taps_count"),
        ([1.5; 3], "taps_clipped"),
    ] {
        let take = kept(&bench, PICKUP, &knocked(heights));
        let ask = json!({"ask": "keep_taps", "entry": bench.name(), "pickup": PICKUP, "take": take, "tip": "rust", "sleeve": "moss", "input": "Left"});
        let refused = bench.refused(&ask);
        assert_eq!((&refused["code"], &refused["field"]), (&json!("take"), &json!(code)), "{refused}");
        // In the list it stands as refused, with its reason.
        let listed = bench.ok(&json!({"ask": "takes", "about": {"thing": "pickup", "id": PICKUP}}))["takes"].clone();
        let line = listed["takes"].as_array().expect("takes").iter().find(|line| line["entry"] == json!(take)).cloned();
        let follows = line.expect("it is listed")["follows"].clone();
        assert!(
            follows.as_array().is_some_and(|all| all.len() == 1 && all[0]["from"]["why"] == "refused"),
            "{follows}"
        );
        let reason = follows[0]["from"]["reason"].as_str().expect("a reason");
        assert!(refused["sentence"].as_str().is_some_and(|said| said.starts_with(reason)), "{reason}: {refused}");
        assert_eq!(listed["together"], json!([]), "more of the same would be refused as well");
    }
    let take = kept(&bench, PICKUP, &knocked([0.2; 3]));
    for (field, value) in
        [("tip", "plum"), ("tip", "moss"), ("input", " "), ("take", "019a3c5f-7e00-7000-8000-0000000fffff")]
    {
        let mut ask = json!({"ask": "keep_taps", "entry": bench.name(), "pickup": PICKUP, "take": take, "tip": "rust", "sleeve": "moss", "input": "Left"});
        ask[field] = json!(value);
        let refused = bench.refused(&ask);
        assert!(refused["field"] == field || refused["code"] == "not_found", "{field} {value}: {refused}");
    }
    assert_eq!(search(&bench, PICKUP), before);
}
