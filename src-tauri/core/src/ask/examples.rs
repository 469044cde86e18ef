//! One worked ask and its reply for every question, made by asking them.

use std::path::Path;

use chrono::{DateTime, TimeDelta};
use serde_json::{Value, json};

use super::{Code, Refusal, TakePlace};
use crate::ask::bench::Bench;
use crate::clock::{SeededDice, SteppingClock};

/// Asks every kind of question once on a bench in `folder`, which must be empty, and answers each ask with its reply.
///
/// The asks are given as JSON text, so that what is shown is what a script would send; clock and dice are fixed, so the
/// answers are the same in every run.
///
/// # Errors
/// A [`Refusal`] when the folder can't be used.
pub fn examples(folder: &Path) -> Result<Vec<(Value, Value)>, Refusal> {
    let start = DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default();
    let clock = SteppingClock::new(start, TimeDelta::seconds(20));
    let bench = Bench::open(folder, Box::new(clock), &SeededDice::new(7))?;
    asks()
        .into_iter()
        .map(|ask| {
            if ask["ask"] == "takes" {
                let of_audition = json!({"thing": "audition", "id": name(4)});
                keep_take(&bench, &of_audition, 0x2020, 220.0)?;
                keep_take(&bench, &of_audition, 0x2022, 330.0)?;
            }
            if ask["ask"] == "hear_takes" {
                let of_pickup = json!({"thing": "pickup", "id": name(1)});
                keep_take(&bench, &of_pickup, 0x3001, 220.0)?;
                keep_take(&bench, &of_pickup, 0x3002, 330.0)?;
            }
            let reply = bench.answer(ask.to_string().as_bytes());
            let reply = serde_json::from_slice(&reply).unwrap_or(Value::Null);
            Ok((ask, reply))
        })
        .collect()
}

/// Keeps a take, which comes as a file and not by an ask: a second of a tone, as a WAV file.
fn keep_take(bench: &Bench, about: &Value, entry: u32, hertz: f64) -> Result<(), Refusal> {
    let samples = (0..8000).map(|at| (f64::from(at) * hertz / 8000.0 * std::f64::consts::TAU).sin() * 8000.0);
    let sound: Vec<u8> = samples.flat_map(|sample| (sample as i16).to_le_bytes()).collect();
    let head = b"RIFF\xa4\x3e\0\0WAVEfmt \x10\0\0\0\x01\0\x01\0\x40\x1f\0\0\x80\x3e\0\0\x02\0\x10\0data\x80\x3e\0\0";
    let place = json!({"about": about, "entry": name(entry), "recorded": {
        "played": "riff", "through": "instrument", "gain": "at 3", "load": "125k", "cable": "short", "device": "grey box",
    }});
    let place: TakePlace =
        serde_json::from_value(place).map_err(|error| Refusal::new(Code::Program, error.to_string()))?;
    let mut receiving = bench.receive_take()?;
    receiving.take(head)?;
    receiving.take(&sound)?;
    bench.keep_take(&place, receiving).map(drop)
}

fn name(number: u32) -> String {
    format!("019a3c5f-7e00-7000-8000-{number:012x}")
}

/// The asks of one short audition, in the order a person would come to them.
fn asks() -> Vec<Value> {
    let (pickup, guitar, rig, audition) = (name(1), name(2), name(3), name(4));
    let mut entry = 100;
    let mut next = || {
        entry += 1;
        name(entry)
    };
    let pickup_form = json!({
        "label": "Paper crane", "construction": "stacked",
        "coils": [{"stated": "6k66", "magnet_up": "north"}, {"stated": "6.66 kΩ", "magnet_up": "north"}],
        "leads": [
            {"name": "moss", "ends": [{"coil": "A", "end": "minus"}]}, {"name": "rust", "ends": [{"coil": "A", "end": "plus"}]},
            {"name": "slate", "ends": [{"coil": "B", "end": "minus"}]}, {"name": "chalk", "ends": [{"coil": "B", "end": "plus"}]},
        ],
        "joined_inside": [], "shield": {"kind": "bare_wire", "joined_to": null},
        "poles": "rods", "pole_count": "6", "pole_spacing": "52", "stagger": "flat", "heights": [], "coil_distance": "",
        "bass_end_mark": "notch", "width": "18", "length": "83", "depth": "21", "notes": "", "came_from": "a friend",
        "unit": "millimetre",
    });
    let place = json!({
        "name": "neck", "from_saddle": "162", "opening_length": "", "opening_width": "", "depth": "", "fitted": null, "fitted_words": "an old single coil",
    });
    let strings: Vec<Value> = ["E2", "A2", "D3", "G3", "B3", "E4"]
        .into_iter()
        .zip(["46", "36", "26", "17", "13", "10"])
        .map(|(note, gauge)| json!({"note": note, "gauge": gauge}))
        .collect();
    let guitar_form = json!({
        "label": "Kitchen guitar", "hand": "right", "strings": strings, "strings_age": "new", "scale": "648", "spread_nut": "35",
        "spread_saddle": "52.5", "places": [place], "volume": "250k", "tone": "250k", "capacitor": "22n", "controls": "",
        "finish": {"kind": "poly", "surface": "flat_gloss", "words": ""}, "notes": "", "unit": "millimetre",
    });
    let rig_form = json!({
        "label": "Shelf rig", "faces": "down", "terminals": ["1", "2", "3", "4"],
        "positions": [
            {"mode": "parallel", "bonds": [[0, 2], [1, 3]], "output": [0, 1]},
            {"mode": "single", "bonds": [], "output": [0, 1]}, {"mode": "series", "bonds": [[1, 2]], "output": [0, 3]},
        ],
        "thread_pitch": "0.7", "studs": 4, "stud_spread": "80", "stud_travel": "20", "feet": "suction", "stray": "30p", "notes": "",
        "unit": "millimetre",
    });
    let slip = name(99);
    let range = |top: &str, digit: &str| json!({"top": top, "digit": digit});
    let mut asks = vec![
        json!({"ask": "bench"}),
        json!({"ask": "meter"}),
        json!({"ask": "write_meter", "entry": next(), "form": {"label": "Yellow pocket meter", "percent": "0.8", "counts": "2",
            "ranges": [range("400", "0.1"), range("4k", "1"), range("40k", "10"), range("400k", "100"), range("4M", "1k")]}}),
        json!({"ask": "four_terminal_rig", "unit": "millimetre"}),
        json!({"ask": "rigs_to_begin_from", "unit": "millimetre"}),
        json!({"ask": "write_pickup", "entry": next(), "id": pickup, "form": pickup_form}),
        json!({"ask": "write_guitar", "entry": next(), "id": guitar, "form": guitar_form}),
        json!({"ask": "write_rig", "entry": next(), "id": rig, "form": rig_form}),
        json!({"ask": "drawer", "retired": false}),
        json!({"ask": "pickup", "id": pickup, "unit": "millimetre"}),
        json!({"ask": "guitars", "retired": false}),
        json!({"ask": "guitar", "id": guitar, "unit": "decimal_inch"}),
        json!({"ask": "rigs", "retired": false}),
        json!({"ask": "rig", "id": rig, "unit": "sixtyfourth"}),
        json!({"ask": "modes_of", "pickup": pickup, "rig": rig}),
        json!({"ask": "find_leads", "pickup": pickup, "rig": rig}),
        json!({"ask": "begin_leads", "entry": next(), "pickup": pickup, "leads": ["moss", "rust", "slate", "chalk"], "shield": true,
            "frame": false}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["moss", "shield"], "reading": "", "out_of_reach": true}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["moss", "rust"], "reading": "6.66k", "out_of_reach": false}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["slate", "chalk"], "reading": "6.68k", "out_of_reach": false}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["moss", "slate"], "reading": "OL", "out_of_reach": false}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["rust", "shield"], "reading": "OL", "out_of_reach": false}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["slate", "shield"], "reading": "OL", "out_of_reach": false}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["rust", "chalk"], "reading": "OL", "out_of_reach": false}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["chalk", "shield"], "reading": "OL", "out_of_reach": false}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["rust", "shield"], "reading": "OL", "out_of_reach": false}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["rust", "moss"], "reading": "6.66k", "out_of_reach": false}),
        json!({"ask": "measure_leads", "entry": next(), "pickup": pickup, "between": ["chalk", "slate"], "reading": "6.68k", "out_of_reach": false}),
        json!({"ask": "name_coil", "entry": next(), "pickup": pickup, "coil": {"coil": "A", "between": ["moss", "rust"]}}),
        json!({"ask": "tap_coil", "entry": next(), "pickup": pickup, "tap": {"plus": "rust", "minus": "moss", "swing": "up"}}),
        json!({"ask": "tap_coil", "entry": slip, "pickup": pickup, "tap": {"plus": "slate", "minus": "chalk", "swing": "up_small"}}),
        json!({"ask": "strike_leads", "entry": next(), "pickup": pickup, "struck": slip}),
        json!({"ask": "tap_coil", "entry": next(), "pickup": pickup, "tap": {"plus": "chalk", "minus": "slate", "swing": "up_small"}}),
        json!({"ask": "hold_compass", "entry": next(), "pickup": pickup, "coil": "A", "up": "north"}),
        json!({"ask": "settle_leads", "entry": next(), "pickup": pickup}),
        json!({"ask": "choose", "entry": next(), "audition": audition, "choice": {
            "pickup": pickup, "guitar": guitar, "rig": rig, "place": "neck", "from_saddle": "162 mm", "unit": "millimetre",
            "modes": ["parallel", "single", "series"], "question": "Is it bright enough?"}}),
        json!({"ask": "mount", "entry": next(), "audition": audition, "mounting": {"bass_end_over": "bass", "turn": "rolled"}}),
        json!({"ask": "facing", "audition": audition, "lie": {"poles": "up", "bass_end": "bass"}, "marked": true}),
        json!({"ask": "strings_over", "audition": audition, "shift": "0.5", "to_treble": true, "limit": "", "unit": "millimetre"}),
        json!({"ask": "tune", "entry": next(), "audition": audition, "notes": "D A D G B E"}),
        json!({"ask": "choose_final", "entry": next(), "audition": audition, "place": "bridge", "from_saddle": "41", "unit": "millimetre"}),
        json!({"ask": "hear_place", "form": {"pickup": pickup, "guitar": guitar, "rig": rig, "lie": null, "from_saddle": "162",
            "final_place": "41 mm", "unit": "millimetre", "coil": null, "apart": "", "aperture": "", "string": 0, "fret": 0, "tuning": ""}}),
    ];
    for (terminal, leads) in
        [json!(["moss", "shield"]), json!(["rust"]), json!(["chalk"]), json!(["slate"])].into_iter().enumerate()
    {
        asks.push(json!({"ask": "hook_up", "entry": next(), "audition": audition,
            "hooked": {"terminal": terminal, "leads": leads, "tugged": true}}));
    }
    asks.push(json!({"ask": "understand", "quantity": "reading", "text": "6k66", "unit": "millimetre"}));
    asks.push(json!({"ask": "keep_draft", "key": format!("{audition}/meter/series"), "text": "13.3"}));
    asks.push(json!({"ask": "drafts"}));
    asks.push(json!({"ask": "mend", "entry": next(), "audition": audition, "what": "slate clamped anew"}));
    for (mode, reading) in [("parallel", "3.334k"), ("single", "6.66k"), ("series", "6.66k")] {
        asks.push(json!({"ask": "take_reading", "entry": next(), "audition": audition, "mode": mode, "reading": reading, "room": "21"}));
    }
    let wrong = name(entry);
    let (raised, second, decided) = (name(999), name(5), name(998));
    let mut next = || {
        entry += 1;
        name(entry)
    };
    asks.extend([
        json!({"ask": "strike_out", "entry": next(), "audition": audition, "struck": wrong, "why": "switch stood in single"}),
        json!({"ask": "take_reading", "entry": next(), "audition": audition, "mode": "series", "reading": "13.34k", "room": "21"}),
        json!({"ask": "probe", "entry": next(), "audition": audition,
            "probe": {"at": "output", "mode": "series", "care": "hands_off"}, "reading": "13.34k"}),
        json!({"ask": "pickup_health", "id": pickup}),
        json!({"ask": "seat", "entry": next(), "audition": audition, "seating": {"feet": "suction", "steady": true}}),
        json!({"ask": "ask_finish", "entry": next(), "audition": audition, "answer": {"kind": "poly", "surface": "flat_gloss",
            "aged": false, "barrier": "none", "tried": true, "wiped": true, "before": "no marks"}}),
        json!({"ask": "acknowledge", "entry": next(), "audition": audition, "caution": "loud-sound", "cause": "always"}),
        json!({"ask": "seat", "entry": next(), "audition": audition, "seating": {"feet": "suction", "steady": true}}),
        json!({"ask": "measure_gaps", "entry": next(), "audition": audition, "bass": "11/64\"", "treble": "3.6", "unit": "millimetre",
            "pressed_at": null, "kept": true}),
        json!({"ask": "tell_heights", "entry": next(), "id": guitar,
            "heights": {"last_fret": "22", "bass": "2", "treble": "1.6", "unit": "millimetre"}}),
        json!({"ask": "earlier_gaps", "audition": audition}),
        json!({"ask": "last_time", "audition": null}),
        json!({"ask": "aim_gaps", "entry": next(), "audition": audition, "aim": {"aim": "typed", "bass": "4.6", "treble": "3.8",
            "unit": "millimetre", "pressed_at": null}}),
        json!({"ask": "read_level", "entry": next(), "audition": audition, "level": "-12.5", "gap": "", "unit": "millimetre"}),
        json!({"ask": "listener", "rule": "niosh", "minutes_ahead": 0, "zone": "Europe/Lisbon"}),
        json!({"ask": "tell", "entry": next(), "audition": audition, "told": {"fact": "amp", "is": "solid_state"}}),
        json!({"ask": "tick_off", "entry": next(), "audition": audition, "tick": "volume_at_zero", "words": ""}),
        json!({"ask": "tick_together", "entry": next(), "audition": audition, "ticks": ["standby", "plugged_in", "switched_on"]}),
        json!({"ask": "tick_off", "entry": raised, "audition": audition, "tick": "raised_slowly", "words": ""}),
        json!({"ask": "tell_level", "entry": next(), "audition": audition, "level": {"by": "words", "loudness": "talk_still"}}),
        json!({"ask": "describe_amp", "entry": next(), "audition": audition, "words": "small amp, volume 3"}),
        json!({"ask": "rate", "entry": next(), "audition": audition, "mode": "single", "quality": "treble", "value": 4}),
        json!({"ask": "note_down", "entry": next(), "audition": audition, "mode": "single", "words": "clear, some hum"}),
        json!({"ask": "tick_off", "entry": next(), "audition": audition, "tick": "volume_down", "words": ""}),
        json!({"ask": "correct_listening", "entry": next(), "audition": audition, "session": raised, "time": "25 min",
            "level": {"by": "meter", "typed": "88 dB(A)"}}),
        json!({"ask": "light_iron", "entry": next(), "audition": audition}),
        json!({"ask": "tick_off", "entry": next(), "audition": audition, "tick": "guitar_unplugged", "words": ""}),
        json!({"ask": "tell", "entry": next(), "audition": audition, "told": {"fact": "battery", "is": false}}),
        json!({"ask": "tick_off", "entry": next(), "audition": audition, "tick": "finish_covered", "words": "a towel"}),
        json!({"ask": "light_iron", "entry": next(), "audition": audition}),
        json!({"ask": "iron_off", "entry": next(), "audition": audition}),
        json!({"ask": "skip_step", "entry": next(), "audition": audition, "step": "listen", "why": "the neighbours sleep"}),
        json!({"ask": "take_up_step", "entry": next(), "audition": audition, "step": "listen"}),
        json!({"ask": "override_hold", "entry": next(), "audition": audition, "hold": "bare_feet_on_finish", "why": "tried it for a week on scrap"}),
        json!({"ask": "end_early", "entry": next(), "audition": audition, "why": "the amp broke"}),
    ]);
    asks.extend(permanent_install(&audition, &mut next));
    asks.extend([
        json!({"ask": "fits", "about": {"thing": "pickup", "id": pickup}}),
        json!({"ask": "audition", "id": audition}),
        json!({"ask": "logbook", "find": {"words": "crane bright"}}),
        json!({"ask": "pin_reference", "entry": next(), "audition": audition}),
        json!({"ask": "hear_again", "entry": next(), "audition": second, "again": audition, "like": audition}),
        json!({"ask": "look_at_reference", "entry": next(), "audition": second, "mode": "single"}),
        json!({"ask": "rate_against_fitted", "entry": next(), "audition": second, "mode": "single", "quality": "treble", "than": "more"}),
        json!({"ask": "compare", "auditions": [audition, second], "unit": "millimetre"}),
        json!({"ask": "unpin_reference", "entry": next(), "audition": audition}),
        json!({"ask": "decision", "guitar": guitar, "place": null, "wishes": [{"quality": "treble", "want": 2}, {"quality": "hum", "want": -1}],
            "musts": [{"quality": "hum", "bound": "at_most", "value": 3}]}),
        json!({"ask": "decide", "entry": decided, "guitar": guitar, "wishes": [{"quality": "treble", "want": 2}], "musts": [],
            "audition": audition, "mode": "single", "why": "bright, and it hums little"}),
        json!({"ask": "strike_decision", "entry": next(), "guitar": guitar, "struck": decided, "why": "not sure yet"}),
        json!({"ask": "struck"}),
        json!({"ask": "choosable"}),
        json!({"ask": "logbook", "find": {"place": "Neck", "mode": "series", "proof": "proven", "state": "ended_early",
            "overridden": true, "pickup": pickup}}),
        json!({"ask": "pickup_history", "id": pickup, "after": null}),
        json!({"ask": "guitar_history", "id": guitar, "after": null}),
        json!({"ask": "cautions"}),
        json!({"ask": "retire", "entry": next(), "thing": {"thing": "pickup", "id": pickup}, "why": "sold"}),
        json!({"ask": "bring_back", "entry": next(), "thing": {"thing": "pickup", "id": pickup}}),
        json!({"ask": "what_would_go", "things": [{"thing": "audition", "id": audition}]}),
        json!({"ask": "erase", "things": [{"thing": "audition", "id": audition}]}),
        json!({"ask": "load_demo"}),
        json!({"ask": "remove_demo"}),
        json!({"ask": "put_notice_away", "notice": 1}),
        json!({"ask": "check_log"}),
        json!({"ask": "bundle_of", "auditions": []}),
        json!({"ask": "carry"}),
        json!({"ask": "take_in", "carry": name(7000)}),
        json!({"ask": "call_off", "carry": name(7000)}),
        json!({"ask": "pack_bundle", "carry": name(7001), "auditions": []}),
    ]);
    asks.extend(heard_blind(&pickup));
    asks.extend(coils_measured(&pickup));
    asks.extend(taps_recorded(&pickup));
    asks
}

/// The asks of takes that are heard beside each other, and of a blind test that is ended early.
fn heard_blind(pickup: &str) -> Vec<Value> {
    let (about, takes, test) = (json!({"thing": "pickup", "id": pickup}), [name(0x3001), name(0x3002)], name(0x3003));
    vec![
        json!({"ask": "hear_takes", "takes": takes, "from": 0.0, "length": 0.9}),
        json!({"ask": "blind_offer", "question": "odd_one_out", "takes": takes, "trials": 12}),
        json!({"ask": "plan_blind", "entry": test, "about": about, "question": "odd_one_out", "takes": takes, "trials": 12}),
        json!({"ask": "answer_blind", "entry": name(0x3004), "about": about, "test": test, "trial": 1, "sound": 2}),
        json!({"ask": "blind", "test": test}),
        json!({"ask": "uncover_blind", "entry": name(0x3005), "about": about, "test": test}),
        json!({"ask": "blind_tests", "about": about}),
    ]
}

/// The asks of coils that are measured. The take that is kept before is no sweep and has no taps in it, and that is said.
fn coils_measured(pickup: &str) -> Vec<Value> {
    let inductance = json!({"coil": "A", "shows": "inductance", "value": "2.4 H", "at": "1 kHz", "within": "2"});
    let sweep = json!({
        "coil": "A", "exciter": false, "resistor": "100k", "resistor_within": "1", "added": "1n", "added_within": "1",
        "input": "1M", "cable": "300p", "cable_within": "20",
    });
    let tapped = json!({
        "coil": "A", "added": "1n", "added_within": "1", "input": "1M", "cable": "300p", "cable_within": "20",
    });
    vec![
        json!({"ask": "meter_component", "entry": name(0x4001), "pickup": pickup, "form": inductance}),
        json!({"ask": "keep_sweep", "entry": name(0x4002), "pickup": pickup, "take": name(0x3001), "form": sweep}),
        json!({"ask": "keep_ringing", "entry": name(0x4004), "pickup": pickup, "take": name(0x3001), "form": tapped}),
        json!({"ask": "coil_values", "pickup": pickup}),
        json!({"ask": "strike_measured", "entry": name(0x4003), "pickup": pickup, "struck": name(0x4001), "why": "the other coil"}),
    ]
}

/// The asks of recorded taps. The take that is kept before has none in it, and that is said.
fn taps_recorded(pickup: &str) -> Vec<Value> {
    vec![
        json!({"ask": "keep_taps", "entry": name(0x4004), "pickup": pickup, "take": name(0x3001), "tip": "rust", "sleeve": "moss",
            "input": "Left"}),
        json!({"ask": "calibrate_input", "entry": name(0x4005), "pickup": pickup, "take": name(0x3001), "input": "Left"}),
    ]
}

/// The asks of one permanent install, from its beginning to its end, taken back, and given up.
fn permanent_install(audition: &str, next: &mut dyn FnMut() -> String) -> Vec<Value> {
    let (fit, done) = (name(8), name(997));
    let mut asks = Vec::new();
    let mut add = |entry: String, mut ask: Value| {
        ask["entry"] = json!(entry);
        ask["fit"] = json!(fit);
        asks.push(ask);
    };
    add(next(), json!({"ask": "begin_fit", "audition": audition, "place": "neck"}));
    let neck = json!({"selector": "", "switch": "", "volumes": {"at": "full"}});
    add(next(), json!({"ask": "read_jack_before", "at": neck, "reading": "6.02k", "room": "21"}));
    add(next(), json!({"ask": "pass_fit_step", "step": "as_it_was", "why": "the photo is on another phone"}));
    add(next(), json!({"ask": "plan_fit", "plan": {"kind": "fixed", "mode": "series", "turned": false}}));
    let parts = json!({
        "volume": 500_000.0, "volume_taper": "audio10", "tone": 250_000.0, "tone_taper": "linear", "capacitor": 2.2e-8,
        "no_load": true, "bleed": {"capacitor": 1e-9, "in_row": 150_000.0, "across": null}, "blend": null,
        "cable": 4.7e-10, "input": 1e6,
    });
    add(name(0x2006), json!({"ask": "choose_fit_parts", "parts": parts}));
    for step in ["way_round", "phase", "hookup", "room", "jack", "parts"] {
        add(next(), json!({"ask": "pass_fit_step", "step": step, "why": "looked at on the bench"}));
    }
    for act in [
        json!({"do": "tick_off", "tick": "guitar_unplugged", "words": ""}),
        json!({"do": "tell", "told": {"fact": "battery", "is": false}}),
        json!({"do": "tick_off", "tick": "finish_covered", "words": "a towel"}),
        json!({"do": "tick_together", "ticks": ["glasses_on", "air_moving", "stand_ready"]}),
        json!({"do": "light_iron"}),
    ] {
        add(next(), json!({"ask": "at_fit_iron", "act": act}));
    }
    let acts = ["old_pictured", "old_out", "tinned", "set_in", "joined", "insulated", "cooled", "tugged"];
    for act in acts {
        add(next(), json!({"ask": "do_fit_act", "act": act, "words": ""}));
    }
    add(next(), json!({"ask": "at_fit_iron", "act": {"do": "iron_off"}}));
    let full = json!({"selector": "", "switch": "", "volumes": {"at": "full"}});
    add(next(), json!({"ask": "read_jack", "at": full, "reading": "12.7k", "room": "21"}));
    add(
        next(),
        json!({"ask": "probe_fit", "probe": {"at": "case_to_sleeve", "set": full, "place": ""}, "reading": "0.3"}),
    );
    // By a name of its own, so that those of the others stay.
    add(name(0x2005), json!({"ask": "cant_probe_fit", "probe": {"at": "bridge_to_sleeve", "set": full}}));
    let sound_up = [
        json!({"do": "tick_off", "tick": "dry_and_whole", "words": ""}),
        json!({"do": "tick_off", "tick": "volume_at_zero", "words": ""}),
        json!({"do": "tick_together", "ticks": ["standby", "plugged_in", "switched_on"]}),
        json!({"do": "tick_off", "tick": "raised_slowly", "words": ""}),
    ];
    let sound_down = [
        json!({"do": "tick_off", "tick": "volume_down", "words": ""}),
        json!({"do": "tick_together", "ticks": ["amp_quiet", "unplugged"]}),
    ];
    for act in &sound_up {
        add(next(), json!({"ask": "at_fit_iron", "act": act}));
    }
    add(next(), json!({"ask": "at_fit_sound", "act": {"do": "tell_level", "level": {"by": "meter", "typed": "82"}}}));
    add(next(), json!({"ask": "answer_fit", "answer": {"check": "tap", "place": "neck", "heard": "clear"}}));
    for act in &sound_down {
        add(next(), json!({"ask": "at_fit_iron", "act": act}));
    }
    add(next(), json!({"ask": "pass_fit_step", "step": "proof", "why": "the rest is measured tomorrow"}));
    for act in ["closed", "strung", "heights_set"] {
        add(next(), json!({"ask": "do_fit_act", "act": act, "words": ""}));
    }
    for act in &sound_up {
        add(next(), json!({"ask": "at_fit_iron", "act": act}));
    }
    let sound = json!({"check": "sound", "mode": "series", "heard": "as_heard", "words": "just as warm"});
    add(next(), json!({"ask": "answer_fit", "answer": sound}));
    add(next(), json!({"ask": "answer_fit", "answer": {"check": "hum", "mode": "series", "heard": "quiet"}}));
    for act in &sound_down {
        add(next(), json!({"ask": "at_fit_iron", "act": act}));
    }
    add(next(), json!({"ask": "pass_fit_step", "step": "listen", "why": ""}));
    add(done.clone(), json!({"ask": "finish_fit", "words": "new strings on it"}));
    add(next(), json!({"ask": "strike_fit", "struck": done, "why": "the other guitar was meant"}));
    add(next(), json!({"ask": "give_up_fit", "why": "the opening is too shallow"}));
    asks.push(json!({"ask": "fit", "id": fit}));
    asks.push(json!({"ask": "fit_circuit", "id": fit}));
    // What a page found missing is written down there.
    asks.push(json!({"ask": "tell_sizes", "entry": name(0x2001), "id": name(1),
        "sizes": {"bass_end_mark": "", "length": "83.5", "width": "", "depth": "", "unit": "millimetre"}}));
    asks.push(json!({"ask": "tell_opening", "entry": name(0x2002), "id": name(2),
        "opening": {"place": "neck", "length": "85", "width": "20", "depth": "25", "unit": "millimetre"}}));
    // A second sheet beside the first.
    asks.push(
        json!({"ask": "begin_fit", "entry": name(0x2004), "fit": name(0x2010), "audition": name(4), "place": "neck"}),
    );
    asks.push(json!({"ask": "compare_fits", "fits": [fit, name(0x2010)]}));
    let of_audition = json!({"thing": "audition", "id": name(4)});
    asks.push(json!({"ask": "takes", "about": of_audition}));
    asks.push(json!({"ask": "tell_take", "about": of_audition, "take": name(0x2020)}));
    asks.push(json!({"ask": "hear_as_installed", "entry": name(0x2023), "fit": fit, "take": name(0x2020)}));
    asks.push(json!({"ask": "fair_takes", "unit": "millimetre", "takes": [
        {"about": of_audition, "take": name(0x2020)}, {"about": of_audition, "take": name(0x2022)}]}));
    asks.push(json!({"ask": "strike_take", "entry": name(0x2021), "about": of_audition, "struck": name(0x2020),
        "why": "somebody talked"}));
    asks.push(json!({"ask": "tell_fitted", "entry": name(0x2003), "id": name(2), "place": "neck", "pickup": name(1)}));
    let earth = [[5.0, 20.0, -42.0]; 8];
    let comes =
        |most: f64| (0..8).map(|at| [5.0, 20.0 - most * (f64::from(at) / 7.0).powi(4), -42.0]).collect::<Vec<_>>();
    asks.push(json!({"ask": "pole_side", "earth": earth, "known_pole": "north", "known": comes(256.0), "here": comes(-128.0)}));
    asks.push(json!({"ask": "name_bench", "entry": name(0x2030), "name": "Window bench"}));
    asks.push(json!({"ask": "benches"}));
    asks
}
