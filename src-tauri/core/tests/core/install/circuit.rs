//! What reaches the amplifier from an install, asked through the contract.

use std::f64::consts::TAU;

use serde_json::{Value, json};
use solderlast_testkit::sound::{Samples, Sound};
use solderlast_testkit::workbench::{AUDITION, GUITAR, OTHER_PICKUP, Workbench, guitar_form, pickup_form};

use super::{FIT, begin, bench, fit, plan, refused};

fn circuit(bench: &Workbench, look: &Value) -> Value {
    bench.ok(&json!({"ask": "fit_circuit", "id": FIT, "look": look}))["circuit"].clone()
}

fn figure<'a>(circuit: &'a Value, curve: usize, name: &str) -> &'a str {
    let figures = circuit["curves"][curve]["figures"].as_array().expect("figures");
    figures.iter().find(|one| one[0] == name).and_then(|one| one[1].as_str()).unwrap_or_default()
}

#[test]
fn pots_are_tried_chosen_and_stand_on_the_sheet() {
    let bench = bench();
    begin(&bench);
    plan(&bench, "series");
    let first = circuit(&bench, &Value::Null);
    assert_eq!((&first["chosen"], &first["measured"]), (&json!(false), &json!(false)));
    assert!(first["drawn"]["marks"].as_array().is_some_and(|marks| marks.len() > 20));
    assert_eq!(first["rows"].as_array().map(Vec::len), Some(10));
    // What is not measured is a range, and said to be.
    assert!(figure(&first, 0, "Resonance").contains(" to "), "{first}");
    assert!(first["notes"][0].as_str().is_some_and(|note| note.starts_with("Not measured")));
    assert!(first["notes"].to_string().contains("Not written down, so a usual one is taken"), "{first}");

    // Turned down half way an audio pot takes 20 dB and more, whatever the pickup is.
    let mut look = first["look"].clone();
    look["volume"] = json!(5.0);
    let half = circuit(&bench, &look);
    let changes = half["changes"].as_array().expect("sentences").clone();
    assert!(changes.iter().any(|one| one.as_str().is_some_and(|one| one.contains("quieter"))), "{changes:?}");

    // Larger pots ring higher for every pickup of the kind.
    look["volume"] = json!(10.0);
    for part in ["volume", "tone"] {
        look["parts"][part] = json!(100_000.0);
    }
    look["parts"]["capacitor"] = json!(2.2e-8);
    let small = circuit(&bench, &look);
    fit(&bench, json!({"ask": "choose_fit_parts", "parts": look["parts"]}));
    look["parts"]["volume"] = json!(1e6);
    look["parts"]["tone"] = json!(1e6);
    let large = circuit(&bench, &look);
    let against = large["changes"].as_array().and_then(|all| all.last()?.as_str().map(str::to_owned)).expect("one");
    assert!(against.contains("As chosen, at full") && against.contains("higher, so brighter"), "{against}");
    let taken = circuit(&bench, &Value::Null);
    assert_eq!(taken["look"]["parts"], small["look"]["parts"]);
    // What the record lacked counts no more, whatever is looked at.
    for shown in [&taken, &large] {
        assert!(!shown["notes"].to_string().contains("Not written down"), "{shown}");
    }
    // A knob that is turned brings one curve more, and the drawing stays as high.
    look = taken["look"].clone();
    look["volume"] = json!(7.0);
    let turned = circuit(&bench, &look);
    assert_eq!(turned["curves"].as_array().map(Vec::len), Some(3), "{turned}");
    assert_eq!(turned["drawn"]["height"], taken["drawn"]["height"]);
    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    assert!(view["circuit"].as_str().is_some_and(|words| words.contains("volume 100 kΩ")), "{}", view["circuit"]);
    let line = view["written"].as_array().and_then(|lines| lines.last()?["words"].as_str().map(str::to_owned));
    assert!(line.as_deref().is_some_and(|line| line.starts_with("Parts: volume 100 kΩ")), "{line:?}");
}

#[test]
fn parts_that_can_not_be_are_refused_and_no_position_makes_it_fail() {
    let bench = bench();
    begin(&bench);
    plan(&bench, "series");
    let look = circuit(&bench, &Value::Null)["look"].clone();
    for (part, bad) in [
        ("volume", json!(0.0)),
        ("tone", json!(-5e5)),
        ("capacitor", json!(0.0)),
        ("cable", json!(-1e-12)),
        ("input", json!(0.0)),
    ] {
        let mut wrong = look.clone();
        wrong["parts"][part] = bad;
        let refusal = bench.refused(&json!({"ask": "fit_circuit", "id": FIT, "look": wrong}));
        assert_eq!(refusal["field"], format!("parts.{part}"), "{refusal}");
        let refusal = refused(&bench, json!({"ask": "choose_fit_parts", "parts": wrong["parts"]}));
        assert_eq!(refusal["field"], format!("parts.{part}"), "{refusal}");
    }
    for (field, bad) in [("volume", json!(11.0)), ("tone", json!(-1.0))] {
        let mut wrong = look.clone();
        wrong[field] = bad;
        assert_eq!(bench.refused(&json!({"ask": "fit_circuit", "id": FIT, "look": wrong}))["field"], field);
    }
    // With the volume at zero, in no position at all, in a row with nothing: an answer, or why there is none.
    for (field, value) in [
        ("volume", json!(0.0)),
        ("tone", json!(0.0)),
        ("selector", json!("nowhere")),
        ("switch", json!("up")),
        ("in_row_with", json!("nowhere")),
    ] {
        let mut odd = look.clone();
        odd[field] = value;
        let view = circuit(&bench, &odd);
        assert!(view["why_not"].is_string() || view["drawn"].is_object(), "{field}: {view}");
    }
}

/// What a number with its unit is, of both ends of a range.
fn ends(words: &str) -> [f64; 2] {
    let (low, high) = words.split_once(" to ").unwrap_or((words, words));
    let factor = |end: &str| if end.contains("kHz") { 1e3 } else { 1.0 };
    let unit = if low.contains("Hz") { factor(low) } else { factor(high) };
    let number = |end: &str| end.split_whitespace().next().and_then(|number| number.parse::<f64>().ok());
    [(low, unit), (high, factor(high))].map(|(end, unit)| unit * number(end).unwrap_or_else(|| panic!("{words}")))
}

#[test]
fn a_measured_pickup_that_stays_counts_as_it_was_measured() {
    let bench = bench();
    let mut single = pickup_form("Tin whistle");
    single["construction"] = json!("single_coil");
    single["coils"] = json!([single["coils"][0]]);
    single["leads"] = json!([single["leads"][0], single["leads"][1]]);
    bench.write(json!({"ask": "write_pickup", "id": OTHER_PICKUP, "form": single}));
    let mut form = guitar_form("Kitchen guitar");
    let mut bridge = form["places"][0].clone();
    bridge["name"] = json!("bridge");
    bridge["from_saddle"] = json!("40");
    bridge["fitted"] = json!(OTHER_PICKUP);
    form["places"] = json!([form["places"][0], bridge]);
    form["places"][0]["fitted_words"] = json!("a wide one");
    form["selector"] = json!({"kind": "usual"});
    bench.write(json!({"ask": "write_guitar", "id": GUITAR, "form": form}));
    begin(&bench);
    plan(&bench, "series");
    let mut look = circuit(&bench, &Value::Null)["look"].clone();
    look["selector"] = json!("bridge");
    let before = circuit(&bench, &look);
    assert!(before["notes"].to_string().contains("Not measured: the inductance"), "{}", before["notes"]);
    let by_kind = ends(figure(&before, 0, "Resonance"));
    for (shows, value, at) in [("resistance", "6.66k", ""), ("inductance", "2.4 H", "1k")] {
        let form = json!({"coil": "A", "shows": shows, "value": value, "at": at, "within": "0.5"});
        bench.write(json!({"ask": "meter_component", "pickup": OTHER_PICKUP, "form": form}));
    }
    let after = circuit(&bench, &look);
    let notes = after["notes"].to_string();
    assert!(notes.contains("By what was measured of the one at bridge. Not measured: the new pickup,"), "{notes}");
    let measured = ends(figure(&after, 0, "Resonance"));
    assert!(measured[1] / measured[0] < by_kind[1] / by_kind[0], "{measured:?}, before {by_kind:?}");
    // Alone, the new pickup sounds as before.
    look["selector"] = json!("neck");
    assert!(circuit(&bench, &look)["notes"].to_string().contains("Not measured: the new pickup"));
}

/// Keeps a take of the audition: tones of these heights.
fn take(bench: &Workbench, tones: &[(f64, f64)], through: &str) -> String {
    take_of(bench, json!({"thing": "audition", "id": AUDITION}), tones, through)
}

fn take_of(bench: &Workbench, about: Value, tones: &[(f64, f64)], through: &str) -> String {
    let entry = bench.name();
    let recorded = json!({"played": "riff", "mode": "series", "through": through, "cable": "short"});
    let place = json!({"about": about, "entry": entry, "recorded": recorded});
    let place = serde_json::from_value(place).expect("a place for a take");
    let silence = Sound::silence(48_000, 1, 2.0);
    let sound = tones.iter().fold(silence, |sound, (hertz, height)| sound.sine(*hertz, *height));
    let mut receiving = bench.bench.receive_take().expect("room");
    receiving.take(&sound.wav(Samples::Whole(24))).expect("room");
    bench.bench.keep_take(&place, receiving).expect("it is kept");
    entry
}

/// The samples of a kept take, its ends left out.
fn samples(bench: &Workbench, line: &Value) -> Vec<f64> {
    let file = bench.bench.stretch(line["sound"]["take"].as_str().expect("a name"), 0.25, 1.5).expect("a stretch");
    let whole = |bytes: &[u8]| f64::from(i32::from_le_bytes([0, bytes[0], bytes[1], bytes[2]]) >> 8) / 8_388_608.0;
    file[44..].chunks_exact(3).map(whole).collect()
}

/// How high a tone stands in them.
fn height(samples: &[f64], hertz: f64) -> f64 {
    let inside = &samples[9600..samples.len() - 9600];
    let part = |wave: fn(f64) -> f64| -> f64 {
        let at = |frame: usize| wave(TAU * hertz * frame as f64 / 48_000.0);
        2.0 * inside.iter().enumerate().map(|(frame, one)| one * at(frame)).sum::<f64>() / inside.len() as f64
    };
    part(f64::sin).hypot(part(f64::cos))
}

#[test]
fn a_take_is_heard_as_installed_with_its_level_and_says_that_it_was_computed() {
    let bench = bench();
    begin(&bench);
    plan(&bench, "series");
    let dry = take(&bench, &[(110.0, 0.2), (4000.0, 0.2)], "instrument");
    let early = refused(&bench, json!({"ask": "hear_as_installed", "take": dry}));
    assert_eq!(early["field"], "fit", "{early}");
    let parts = |volume: Value, cable: f64| json!({"volume": volume, "tone": null, "capacitor": null, "cable": cable, "input": 1e6});
    let compute = |parts: Value| {
        fit(&bench, json!({"ask": "choose_fit_parts", "parts": parts}));
        let (_, reply) = bench.write(json!({"ask": "hear_as_installed", "fit": FIT, "take": dry}));
        let line = reply["takes"]["takes"][0].clone();
        let words = line["words"].as_str().unwrap_or_default().to_owned();
        assert!(words.contains("computed, not recorded: as installed"), "{words}");
        assert_eq!(line["recorded"]["computed"]["from"], json!(dry));
        assert!(line["recorded"]["computed"]["within"].as_str().is_some_and(|said| said.contains("not measured")));
        let heard = samples(&bench, &line);
        [110.0, 4000.0].map(|hertz| 20.0 * (height(&heard, hertz) / 0.2).log10())
    };
    // Straight to the same cable, as on the rig but for its own few picofarads: nothing changes in the lows.
    let [low, _] = compute(parts(Value::Null, 200e-12));
    assert!(low.abs() < 0.03, "{low}");
    // Coils of 13.3 kΩ together on 100 kΩ beside 1 MΩ, where the rig had 1 MΩ alone: by resistance, 1.07 dB less.
    let by_hand = 20.0 * f64::log10((90_909.0 / (90_909.0 + 13_270.0)) / (1e6 / 1_013_270.0));
    let [low, high] = compute(parts(json!(100_000.0), 200e-12));
    assert!((low - by_hand).abs() < 0.05, "{low} {by_hand}");
    assert!(high < low - 1.0, "its resonance is flattened: {high}");
    // A take through a microphone holds the room as well.
    let room = take(&bench, &[(110.0, 0.2)], "microphone");
    assert_eq!(refused(&bench, json!({"ask": "hear_as_installed", "take": room}))["field"], "take");
    assert_eq!(refused(&bench, json!({"ask": "hear_as_installed", "take": FIT}))["field"], "take");
}

/// What was computed is heard blind beside what was played: marked wherever its name stands, and neither a recording of the install
/// nor what was computed through other parts is a copy of it.
#[test]
fn what_was_computed_is_heard_blind() {
    let bench = bench();
    begin(&bench);
    plan(&bench, "series");
    let dry = take(&bench, &[(110.0, 0.2), (4000.0, 0.2)], "instrument");
    let through = |volume: f64| {
        let parts = json!({"volume": volume, "tone": null, "capacitor": null, "cable": 500e-12, "input": 1e6});
        fit(&bench, json!({"ask": "choose_fit_parts", "parts": parts}));
        bench.write(json!({"ask": "hear_as_installed", "fit": FIT, "take": dry})).0
    };
    let (small, large) = (through(100_000.0), through(1e6));
    let played = take_of(&bench, json!({"thing": "fit", "id": FIT}), &[(110.0, 0.25), (3000.0, 0.1)], "instrument");
    let offer = |takes: Value| {
        bench.ok(&json!({"ask": "blind_offer", "question": "odd_one_out", "takes": takes, "trials": 8}))["offer"]
            .clone()
    };
    for takes in [json!([small, dry]), json!([played, dry])] {
        assert!(
            offer(takes.clone())["control"].as_str().is_some_and(|said| said.contains("against itself")),
            "{takes}"
        );
    }
    assert!(offer(json!([dry, small]))["unfair"].to_string().contains("computed, not recorded"));
    let about = json!({"thing": "guitar", "id": GUITAR});
    let takes = json!([dry, small, large]);
    let (test, reply) = bench
        .write(json!({"ask": "plan_blind", "about": about, "question": "nearer_to_wish", "takes": takes, "trials": 5}));
    for trial in 1..=reply["blind"]["trials"].as_u64().expect("trials") {
        assert!(!reply["blind"].to_string().contains("computed)"), "{reply}");
        bench.write(json!({"ask": "answer_blind", "about": about, "test": test, "trial": trial, "sound": 1}));
    }
    let (_, reply) = bench.write(json!({"ask": "uncover_blind", "about": about, "test": test}));
    let result = reply["blind"]["result"].to_string();
    assert!(result.contains("as installed (computed)"), "{result}");
}

/// What was chosen for the sound is soldered with the leads: in the hookup list, in its drawing and in the count, which is the same
/// wherever it stands.
#[test]
fn chosen_parts_are_joints_of_the_hookup() {
    let bench = bench();
    begin(&bench);
    let joints = |view: &Value| -> Vec<String> {
        let all = view["hookup"]["joints"].as_array().expect("joints");
        all.iter().map(|one| format!("{} to {}", one["what"].as_str().unwrap(), one["at"].as_str().unwrap())).collect()
    };
    let counted = |view: &Value| {
        let all = joints(view);
        let solder = format!("rosin-core solder for {} joints", all.len());
        assert!(
            view["parts"]["tools"].as_array().is_some_and(|tools| tools.contains(&json!(solder))),
            "{all:?} {}",
            view["parts"]
        );
        all
    };
    // Each end of a jumper is a joint.
    for modes in [["series", "parallel"], ["parallel", "series"]] {
        let form = json!({"kind": "ready", "switch": "DPDT on-on", "modes": modes, "turned": false});
        let (_, view) = fit(&bench, json!({"ask": "plan_fit", "plan": form, "anyway": true}));
        let all = counted(&view);
        let ends = all.iter().map(|one| one.matches("jumper to").count()).sum::<usize>();
        assert_eq!(ends as u64, 2 * view["hookup"]["jumpers"].as_u64().expect("a count"), "{all:?}");
    }
    let view = plan(&bench, "series");
    let plain = counted(&view);
    let high = view["hookup"]["drawn"]["height"].as_f64().expect("a drawing");
    let bleed = json!({"capacitor": 1e-9, "in_row": null, "across": 150_000.0});
    let parts =
        json!({"volume": 500_000.0, "tone": null, "capacitor": null, "cable": 5e-10, "input": 1e6, "bleed": bleed});
    let (_, view) = fit(&bench, json!({"ask": "choose_fit_parts", "parts": parts}));
    let all = counted(&view);
    assert_eq!(all.len(), plain.len() + 2, "{all:?}");
    assert!(all.iter().any(|one| one.contains("treble bleed 1 nF with 150 kΩ across it to the outer lug")), "{all:?}");
    let drawn = &view["hookup"]["drawn"];
    assert!(drawn["height"].as_f64().is_some_and(|now| now > high), "{drawn}");
    assert!(drawn["desc"].as_str().is_some_and(|desc| desc.contains("treble bleed")), "{drawn}");
    // What is soldered is read aloud, and stands with the act.
    let act = view["acts"].as_array().and_then(|acts| acts.iter().find(|one| one["act"] == "joined")).expect("an act");
    assert!(act["here"].to_string().contains("treble bleed"), "{act}");
}

#[test]
fn what_grows_louder_is_turned_down_and_never_clips() {
    let bench = bench();
    begin(&bench);
    plan(&bench, "series");
    // A line input of 10 kΩ takes more than half; without it the same playing would be far over full scale.
    let loud = take(&bench, &[(110.0, 0.9)], "line");
    let parts = json!({"volume": null, "tone": null, "capacitor": null, "cable": 200e-12, "input": 1e6});
    fit(&bench, json!({"ask": "choose_fit_parts", "parts": parts}));
    let (_, reply) = bench.write(json!({"ask": "hear_as_installed", "fit": FIT, "take": loud}));
    let line = &reply["takes"]["takes"][0];
    let down = line["recorded"]["computed"]["turned_down"].as_f64().expect("a figure");
    // 10 / 23.3 to 1000 / 1013: 7.2 dB more, from 0.9 of full scale; where the tone sets in it swings a little higher.
    assert!((6.4..7.2).contains(&down), "{line}");
    let peak = samples(&bench, line).iter().fold(0.0_f64, |peak, one| peak.max(one.abs()));
    assert!((0.9..=0.985).contains(&peak), "{peak}");
    // It stands beside the real one, marked; whether they may be held against each other says so too.
    let hearing = bench.ok(&json!({"ask": "hear_takes", "takes": [loud, line["entry"]], "from": 0.0, "length": 1.0}));
    let names = [0, 1].map(|at: usize| hearing["hearing"]["takes"][at]["name"].as_str().unwrap_or_default().to_owned());
    assert!(!names[0].contains("computed") && names[1].contains("computed"), "{names:?}");
    let unfair = hearing["hearing"]["unfair"].to_string();
    assert!(unfair.contains("computed, not recorded"), "{unfair}");
}
