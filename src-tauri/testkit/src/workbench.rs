//! A bench under test, asked in JSON as a page or a script would, with a clock that the test moves.

use std::cell::Cell;
use std::path::Path;
use std::sync::Arc;

use chrono::{DateTime, TimeDelta};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::clock::{SeededDice, SteppingClock};
use tempfile::TempDir;

/// The stacked pickup.
pub const PICKUP: &str = "019a3c5f-7e00-7000-8000-000000000001";
/// The guitar.
pub const GUITAR: &str = "019a3c5f-7e00-7000-8000-000000000002";
/// The rig.
pub const RIG: &str = "019a3c5f-7e00-7000-8000-000000000003";
/// Another pickup.
pub const OTHER_PICKUP: &str = "019a3c5f-7e00-7000-8000-000000000004";
/// Another guitar.
pub const OTHER_GUITAR: &str = "019a3c5f-7e00-7000-8000-000000000005";
/// The audition.
pub const AUDITION: &str = "019a3c5f-7e00-7000-8000-00000000000a";

/// A bench in a scratch folder.
pub struct Workbench {
    /// The handle that answers asks.
    pub bench: Bench,
    /// Its clock, which moves on by a second at each look.
    pub clock: Arc<SteppingClock>,
    /// Where its log lies.
    pub folder: TempDir,
    names: Cell<u32>,
}

impl Workbench {
    /// An empty bench.
    pub fn empty() -> Self {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let start = DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default();
        let clock = Arc::new(SteppingClock::new(start, TimeDelta::seconds(1)));
        let bench = open(folder.path(), &clock);
        Self { bench, clock, folder, names: Cell::new(1000) }
    }

    /// The bench in a folder that has a log already, or the remains of one.
    pub fn around(folder: TempDir, clock: Arc<SteppingClock>) -> Self {
        let bench = open(folder.path(), &clock);
        Self { bench, clock, folder, names: Cell::new(1_000_000) }
    }

    /// A bench with a stacked pickup, another pickup, two guitars and a rig.
    pub fn stocked() -> Self {
        let bench = Self::empty();
        bench.write(json!({"ask": "write_pickup", "id": PICKUP, "form": pickup_form("Paper crane")}));
        bench.write(json!({"ask": "write_pickup", "id": OTHER_PICKUP, "form": pickup_form("Tin whistle")}));
        bench.write(json!({"ask": "write_guitar", "id": GUITAR, "form": guitar_form("Kitchen guitar")}));
        bench.write(json!({"ask": "write_guitar", "id": OTHER_GUITAR, "form": guitar_form("Attic guitar")}));
        bench.write(json!({"ask": "write_rig", "id": RIG, "form": rig_form()}));
        bench
    }

    /// The same, with an audition begun.
    pub fn begun() -> Self {
        let bench = Self::stocked();
        bench.write(json!({"ask": "choose", "audition": AUDITION, "choice": choice()}));
        bench
    }

    /// Closes the bench and opens it again, as after a restart of the program.
    pub fn reopened(self) -> Self {
        let Self { bench, clock, folder, names } = self;
        drop(bench);
        let bench = open(folder.path(), &clock);
        Self { bench, clock, folder, names }
    }

    /// A name that nothing has yet.
    pub fn name(&self) -> String {
        self.names.set(self.names.get() + 1);
        format!("019a3c5f-7e00-7000-8000-{:012x}", self.names.get())
    }

    /// What the bench answers, whatever that is.
    pub fn asked(&self, ask: &Value) -> Value {
        serde_json::from_slice(&self.bench.answer(ask.to_string().as_bytes())).expect("an answer is JSON")
    }

    /// The reply to an ask that must not be refused.
    pub fn ok(&self, ask: &Value) -> Value {
        let answer = self.asked(ask);
        assert!(answer.get("ok").is_some(), "{} was refused: {}", short(ask), short(&answer));
        answer["ok"].clone()
    }

    /// The refusal of an ask that must be refused.
    pub fn refused(&self, ask: &Value) -> Value {
        let answer = self.asked(ask);
        assert!(answer.get("refused").is_some(), "{} was not refused: {}", short(ask), short(&answer));
        answer["refused"].clone()
    }

    /// Asks to write something down under a new name; answers the name and the reply.
    pub fn write(&self, mut ask: Value) -> (String, Value) {
        let name = self.name();
        ask["entry"] = json!(name);
        let reply = self.ok(&ask);
        (name, reply)
    }

    /// Asks to write something about the audition.
    pub fn note(&self, mut ask: Value) -> (String, Value) {
        ask["audition"] = json!(AUDITION);
        let (name, reply) = self.write(ask);
        (name, reply["audition"].clone())
    }

    /// Asks to write something about the audition that must be refused.
    pub fn note_refused(&self, mut ask: Value) -> Value {
        ask["audition"] = json!(AUDITION);
        ask["entry"] = json!(self.name());
        self.refused(&ask)
    }

    /// The audition as it stands.
    pub fn audition(&self) -> Value {
        self.ok(&json!({"ask": "audition", "id": AUDITION}))["audition"].clone()
    }

    /// One step of the audition as it stands.
    pub fn step(&self, step: &str) -> Value {
        step_of(&self.audition(), step)
    }

    /// Hooks the pickup's leads up as its record says.
    pub fn hook_up(&self) {
        for (terminal, leads) in
            [json!(["moss", "shield"]), json!(["rust"]), json!(["slate"]), json!(["chalk"])].into_iter().enumerate()
        {
            self.note(json!({"ask": "hook_up", "hooked": {"terminal": terminal, "leads": leads, "tugged": true}}));
        }
    }

    /// Takes the three readings that agree with stacked coils of 6.66 kΩ.
    pub fn measure(&self) {
        for (mode, reading) in [("parallel", "3.334k"), ("single", "6.66k"), ("series", "13.34k")] {
            self.read_meter(mode, reading);
        }
    }

    /// Takes one reading.
    pub fn read_meter(&self, mode: &str, reading: &str) -> (String, Value) {
        self.note(json!({"ask": "take_reading", "mode": mode, "reading": reading, "room": ""}))
    }

    /// Goes through a spoken order.
    pub fn tick_off(&self, ticks: &[&str]) {
        for tick in ticks {
            self.note(json!({"ask": "tick_off", "tick": tick, "words": ""}));
        }
    }
}

/// The beginning of what was asked or answered, enough to know it by.
fn short(json: &Value) -> String {
    json.to_string().chars().take(300).collect()
}

/// Opens the bench in `folder`.
pub fn open(folder: &Path, clock: &Arc<SteppingClock>) -> Bench {
    Bench::open(folder, Box::new(Arc::clone(clock)), &SeededDice::new(7)).expect("a bench opens in a scratch folder")
}

/// One step of an audition's view.
pub fn step_of(audition: &Value, step: &str) -> Value {
    let steps = audition["steps"].as_array().expect("an audition has steps");
    steps.iter().find(|view| view["step"] == step).cloned().expect("the step is there")
}

/// The spoken order for the sound up.
pub const SOUND_UP: [&str; 6] =
    ["dry_and_whole", "volume_at_zero", "standby", "plugged_in", "switched_on", "raised_slowly"];
/// The spoken order for taking down.
pub const TAKE_DOWN: [&str; 6] = ["volume_down", "amp_quiet", "unplugged", "leads_free", "lifted", "finish_looked"];

/// A stacked pickup with two coils of 6.66 kΩ.
pub fn pickup_form(label: &str) -> Value {
    json!({
        "label": label, "construction": "stacked",
        "coils": [{"stated": "6k66", "magnet_up": "north"}, {"stated": "6.66 kΩ", "magnet_up": "north"}],
        "leads": [
            {"name": "moss", "ends": [{"coil": "A", "end": "minus"}]}, {"name": "rust", "ends": [{"coil": "A", "end": "plus"}]},
            {"name": "slate", "ends": [{"coil": "B", "end": "minus"}]}, {"name": "chalk", "ends": [{"coil": "B", "end": "plus"}]},
        ],
        "joined_inside": [], "shield": {"kind": "bare_wire", "joined_to": null},
        "poles": "rods", "pole_count": "6", "pole_spacing": "52", "stagger": "flat", "heights": [], "coil_distance": "",
        "bass_end_mark": "notch", "width": "18", "length": "83", "depth": "21", "notes": "", "came_from": "a friend",
        "unit": "millimetre",
    })
}

/// A guitar with six strings and one place, finished in polyester.
pub fn guitar_form(label: &str) -> Value {
    let strings: Vec<Value> = ["E2", "A2", "D3", "G3", "B3", "E4"]
        .into_iter()
        .zip(["46", "36", "26", "17", "13", "10"])
        .map(|(note, gauge)| json!({"note": note, "gauge": gauge}))
        .collect();
    json!({
        "label": label, "hand": "right", "strings": strings, "strings_age": "new", "scale": "648", "spread_nut": "35",
        "spread_saddle": "52.5",
        "places": [{"name": "neck", "from_saddle": "162", "opening_length": "", "opening_width": "", "depth": "",
            "fitted": null, "fitted_words": ""}],
        "volume": "250k", "tone": "250k", "capacitor": "22n", "controls": "",
        "finish": {"kind": "poly", "surface": "flat_gloss", "words": ""}, "notes": "", "unit": "millimetre",
    })
}

/// A rig with four terminals and three modes.
pub fn rig_form() -> Value {
    json!({
        "label": "Shelf rig", "faces": "down", "terminals": ["1", "2", "3", "4"],
        "positions": [
            {"mode": "parallel", "bonds": [[0, 2], [1, 3]], "output": [0, 1]},
            {"mode": "single", "bonds": [], "output": [0, 1]}, {"mode": "series", "bonds": [[1, 2]], "output": [0, 3]},
        ],
        "thread_pitch": "0.7", "studs": 4, "stud_spread": "80", "stud_travel": "20", "feet": "suction", "stray": "30p",
        "notes": "", "unit": "millimetre",
    })
}

/// What is auditioned: the stacked pickup on the first guitar, in all three modes.
pub fn choice() -> Value {
    json!({"pickup": PICKUP, "guitar": GUITAR, "rig": RIG, "place": "neck", "from_saddle": "162", "unit": "millimetre",
        "modes": ["parallel", "single", "series"], "question": "Is it bright enough?"})
}

/// The finish, asked about, tried and wiped, with the feet bare on it.
pub fn finish_answer() -> Value {
    json!({"kind": "poly", "surface": "flat_gloss", "aged": false, "barrier": "none", "tried": true, "wiped": true,
        "before": "no marks"})
}
