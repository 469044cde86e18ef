//! Every answer about the geometry of an audition: how long it takes.

use std::path::Path;

use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::record::mounting::Lie;
use solderlast_serve::machine::{SystemClock, SystemDice};

use crate::timing::{Report, Timings};

/// How often each is asked.
const TIMES: usize = 400;
/// The budget for any ask without disk, in milliseconds.
const MOST: f64 = 1.0;

pub fn measure(folder: &Path, report: &mut Report) {
    let bench = Bench::open(&folder.join("geometry"), Box::new(SystemClock), &SystemDice).unwrap();
    answer(&bench, &json!({"ask": "load_demo"}));
    let lines = answer(&bench, &json!({"ask": "logbook", "find": {}}))["ok"]["found"]["lines"].clone();
    let audition = &lines[0];
    let [id, pickup, guitar] = ["audition", "pickup", "guitar"].map(|name| audition[name].clone());
    let rig = answer(&bench, &json!({"ask": "rigs", "retired": false}))["ok"]["rigs"][0]["id"].clone();
    report.title("Asks about geometry, JSON to JSON");
    let lies: Vec<Value> =
        Lie::all().map(|lie| json!({"ask": "facing", "audition": id, "lie": lie, "marked": true})).collect();
    let strings = |shift: usize| json!({"ask": "strings_over", "audition": id, "shift": format!("0.{shift}"), "to_treble": true, "limit": "", "unit": "millimetre"});
    let place = |fret: usize| {
        json!({"ask": "hear_place", "form": {"pickup": pickup, "guitar": guitar, "rig": rig, "lie": null, "from_saddle": "162",
            "final_place": "41", "unit": "millimetre", "coil": null, "apart": "", "aperture": "", "string": fret % 6, "fret": fret,
            "tuning": "D A D G A D"}})
    };
    let asks: [(&str, Vec<Value>); 4] = [
        ("which way round, all 24 lies in turn", lies),
        ("strings over poles", (0..10).map(strings).collect()),
        ("two places, frets 0 to 20", (0..=20).map(place).collect()),
        ("gaps of earlier auditions", vec![json!({"ask": "earlier_gaps", "audition": id})]),
    ];
    for (what, asks) in &asks {
        let texts: Vec<Vec<u8>> = asks.iter().map(|ask| ask.to_string().into_bytes()).collect();
        for ask in asks {
            assert!(answer(&bench, ask).get("ok").is_some(), "{ask}");
        }
        let longest = texts.iter().map(|text| bench.answer(text).len()).max().unwrap_or(0);
        let timings = Timings::of(TIMES, |turn| bench.answer(&texts[turn % texts.len()]));
        report.timings(&format!("{what} ({} kB)", longest.div_ceil(1000)), &timings, MOST, f64::INFINITY);
    }
}

fn answer(bench: &Bench, ask: &Value) -> Value {
    serde_json::from_slice(&bench.answer(ask.to_string().as_bytes())).unwrap()
}
