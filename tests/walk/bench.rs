//! A bench with a pickup, a guitar, a rig and an audition on it, written through the contract as a script would.

use std::path::Path;

use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::clock::SeededDice;
use solderlast_serve::machine::SystemClock;
use solderlast_testkit::sound::{Samples, Sound};

/// The name of a thing on the seeded bench.
pub fn name(thing: &str) -> &'static str {
    match thing {
        "pickup" => "019a3c5f-7e00-7000-8000-000000000001",
        "guitar" => "019a3c5f-7e00-7000-8000-000000000002",
        "rig" => "019a3c5f-7e00-7000-8000-000000000003",
        "audition" => "019a3c5f-7e00-7000-8000-000000000004",
        "fit" => "019a3c5f-7e00-7000-8000-000000000008",
        other => panic!("nothing on the bench is called {other}"),
    }
}

/// Writes the bench into this log, by the asks of the worked examples: things, and an audition up to its notes.
pub fn seeded(log: &Path) {
    let scratch = tempfile::tempdir().expect("a scratch folder");
    let examples = solderlast_core::ask::examples(scratch.path()).expect("the examples run");
    let wanted = [
        "write_pickup",
        "write_guitar",
        "write_rig",
        "choose",
        "mount",
        "hook_up",
        "take_reading",
        "strike_out",
        "ask_finish",
        "seat",
        "measure_gaps",
        "rate",
        "note_down",
        "describe_amp",
        "begin_fit",
        "plan_fit",
    ];
    let asks = examples.into_iter().map(|(ask, _)| ask).filter(|ask| wanted.iter().any(|name| ask["ask"] == *name));
    // One install is enough.
    put(log, asks.filter(|ask| ask["fit"].is_null() || ask["fit"] == name("fit")));
}

/// Asks all of these on this log; each must be answered, but a seating that comes before the finish was asked about.
pub fn put(log: &Path, asks: impl IntoIterator<Item = Value>) {
    let bench = Bench::open(log, Box::new(SystemClock), &SeededDice::new(3)).expect("a log that opens");
    for ask in asks {
        let answer: Value =
            serde_json::from_slice(&bench.answer(ask.to_string().as_bytes())).expect("an answer in JSON");
        assert!(answer.get("ok").is_some() || answer["refused"]["code"] == "held", "{ask}: {answer}");
    }
}

/// Auditions of the demo bench to put side by side, unlike and alike.
pub const COMPARED: [&str; 3] = [
    "01a0e8be-9800-7005-8001-de3000000001",
    "01a0e8be-9800-7005-8003-de3000000003",
    "01a0e8be-9800-7005-8004-de3000000004",
];
/// A permanent install of the demo bench.
pub const INSTALLED: &str = "01a1769e-1a80-7006-8001-de3000000001";
/// The guitar they were heard on.
pub const DECIDED: &str = "01a0e8be-9800-7003-8001-de3000000001";

/// Two takes of the seeded bench's pickup, and a blind test of them that has begun.
pub const TAKES: [&str; 2] = ["019a3c5f-7e00-7000-8000-000000004001", "019a3c5f-7e00-7000-8000-000000004002"];
/// The blind test.
pub const BLIND: &str = "019a3c5f-7e00-7000-8000-000000004003";

/// Keeps two takes beside the seeded bench: tones that never rest, one an octave and a half over the other, and louder.
pub fn recorded(log: &Path) {
    let bench = Bench::open(log, Box::new(SystemClock), &SeededDice::new(5)).expect("a log that opens");
    let about = json!({"thing": "pickup", "id": name("pickup")});
    for (entry, hertz, height) in [(TAKES[0], 220.0, 0.3), (TAKES[1], 660.0, 0.45)] {
        let sound = Sound::silence(44_100, 1, 6.0).sine(hertz, height);
        let place = json!({"about": about, "entry": entry, "recorded": {"played": "riff", "through": "instrument"}});
        let place = serde_json::from_value(place).expect("a place for a take");
        let mut receiving = bench.receive_take().expect("room");
        receiving.take(&sound.wav(Samples::Whole(24))).expect("room");
        bench.keep_take(&place, receiving).expect("it is kept");
    }
    let plan = json!({"ask": "plan_blind", "entry": BLIND, "about": about, "question": "odd_one_out", "takes": TAKES, "trials": 5});
    let answer: Value = serde_json::from_slice(&bench.answer(plan.to_string().as_bytes())).expect("an answer in JSON");
    assert!(answer.get("ok").is_some(), "{answer}");
}

/// The demo bench.
pub fn demo(log: &Path) {
    put(log, [json!({"ask": "load_demo"})]);
}
