//! Asks that need no disk: how long each takes, and how many a second.

use std::path::Path;
use std::time::Instant;

use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::logbook::{Lists, Log};
use solderlast_core::record::names::BenchId;
use solderlast_serve::machine::{SystemClock, SystemDice};

use crate::generated::{an_audition, begun, guitar, name, pickup, write};
use crate::timing::{Report, Timings};

/// A drawer's worth of auditions: enough that nothing is special, few enough to be in memory.
const AUDITIONS: u64 = 300;
/// How often each is asked.
const TIMES: usize = 400;
/// The budget for any ask without disk, in milliseconds.
const MOST: f64 = 1.0;
/// The budget for a search, which a list of all there is has to keep as well, in milliseconds.
const A_LIST: f64 = 16.0;

/// The budget for four auditions side by side, in milliseconds.
const SIDE_BY_SIDE: f64 = 5.0;

pub fn measure(folder: &Path, report: &mut Report) {
    let log = folder.join("asks");
    {
        let mut log = Log::open(&log, begun(0), BenchId(name(7, 2))).unwrap();
        write(&mut log, AUDITIONS);
        log.catch_up().unwrap();
    }
    let bench = Bench::open(&log, Box::new(SystemClock), &SystemDice).unwrap();
    report.title(&format!(
        "Asks that only look, JSON to JSON, {AUDITIONS} auditions of 29 entries and 500 pickups in the log"
    ));
    let asks = [
        ("understand", json!({"ask": "understand", "quantity": "reading", "text": "6k66", "unit": "millimetre"})),
        ("a form for a rig", json!({"ask": "four_terminal_rig", "unit": "millimetre"})),
        ("cautions", json!({"ask": "cautions"})),
        ("one audition, over", json!({"ask": "audition", "id": an_audition(AUDITIONS)})),
        ("one audition, going on", json!({"ask": "audition", "id": name(4, AUDITIONS - 1)})),
        ("a pickup", json!({"ask": "pickup", "id": pickup(7), "unit": "millimetre"})),
        ("a guitar", json!({"ask": "guitar", "id": guitar(7), "unit": "sixtyfourth"})),
        ("a rig", json!({"ask": "rig", "id": name(3, 1), "unit": "decimal_inch"})),
        ("rigs", json!({"ask": "rigs", "retired": false})),
        ("guitars, 60 of them", json!({"ask": "guitars", "retired": false})),
        ("a page of the logbook", json!({"ask": "logbook", "find": {}})),
        ("drafts", json!({"ask": "drafts"})),
        ("the Bench page, 12 auditions going on", json!({"ask": "bench"})),
    ];
    let mut quick = Vec::new();
    for (what, ask) in &asks {
        let text = ask.to_string().into_bytes();
        let answer = bench.answer(&text);
        assert!(answer.starts_with(b"{\"ok\""), "{ask}: {}", String::from_utf8_lossy(&answer));
        let timings = Timings::of(TIMES, |_| bench.answer(&text));
        report.timings(&format!("{what} ({} kB)", answer.len().div_ceil(1000)), &timings, MOST, f64::INFINITY);
        if timings.median() < MOST {
            quick.push(text);
        }
    }
    // A list of everything is read from the log, as a search is.
    let drawer = json!({"ask": "drawer", "retired": false}).to_string().into_bytes();
    let timings = Timings::of(TIMES, |_| bench.answer(&drawer));
    report.timings("the drawer, 500 pickups (a list: 16 ms)", &timings, A_LIST, f64::INFINITY);
    // Reading the auditions takes the most of these two.
    let four: Vec<_> = (100..104).map(|number| name(4, number)).collect();
    let beside = json!({"ask": "compare", "auditions": four, "unit": "millimetre"}).to_string().into_bytes();
    let timings = Timings::of(TIMES, |_| bench.answer(&beside));
    report.timings("four auditions side by side (5 ms)", &timings, SIDE_BY_SIDE, f64::INFINITY);
    let decide = json!({"ask": "decision", "guitar": guitar(7), "place": null, "musts": [],
        "wishes": [{"quality": "treble", "want": 2}, {"quality": "hum", "want": -1}]});
    let decide = decide.to_string().into_bytes();
    let timings = Timings::of(TIMES, |_| bench.answer(&decide));
    report.timings("a decision, all auditions of a guitar (a list: 16 ms)", &timings, A_LIST, f64::INFINITY);
    per_second(&bench, &asks[3].1, "the view of an audition", report);
    let began = Instant::now();
    let mut count = 0_u32;
    while began.elapsed().as_secs_f64() < 2.0 {
        std::hint::black_box(bench.answer(&quick[count as usize % quick.len()]));
        count += 1;
    }
    report.note(
        "all of the above under 1 ms, in turn",
        &format!("{:.0} a second", f64::from(count) / began.elapsed().as_secs_f64()),
    );
}

fn per_second(bench: &Bench, ask: &Value, what: &str, report: &Report) {
    let text = ask.to_string().into_bytes();
    let began = Instant::now();
    let mut count = 0_u32;
    while began.elapsed().as_secs_f64() < 2.0 {
        std::hint::black_box(bench.answer(&text));
        count += 1;
    }
    report.note(what, &format!("{:.0} a second", f64::from(count) / began.elapsed().as_secs_f64()));
}
