//! A pickup's coils measured: sweeps that are kept as takes, a meter's values, what follows from them, struck out and put back.

use serde_json::{Value, json};
use solderlast_core::ask::{TakePlace, in_json};
use solderlast_core::logbook::{Find, Table};
use solderlast_core::takes::sweep::sent;
use solderlast_testkit::Chance;
use solderlast_testkit::sound::{Samples, Sound};
use solderlast_testkit::workbench::{PICKUP, Workbench};

const RATE: u32 = 48_000;
/// So many steps a sample.
const FINER: u32 = 6;

/// A coil of 7 kΩ, 2.6 H and 90 pF with a loss of 600 kΩ, on 300 pF and 1 MΩ, behind 100 kΩ.
const OHMS: f64 = 7000.0;
const HENRIES: f64 = 2.6;
const FARADS: f64 = 90e-12;
const LOSS: f64 = 600e3;

/// What an interface records of it, stepped through time (Runge and Kutta).
fn recorded(added: f64, gain: f64) -> Vec<u8> {
    let source = sent(RATE * FINER);
    let step = 1.0 / f64::from(RATE * FINER);
    let across = FARADS + 300e-12 + added;
    let slope = |volts: f64, current: f64, sent: f64| {
        let winding = (volts - OHMS * current) / (1.0 + OHMS / LOSS);
        let coil = current + winding / LOSS;
        (((sent - volts) / 100e3 - volts / 1e6 - coil) / across, winding / HENRIES)
    };
    let (mut volts, mut current) = (0.0, 0.0);
    let mut chance = Chance(8);
    let mut sound = Sound::silence(RATE, 1, 0.5);
    for (at, pair) in source.windows(2).enumerate() {
        if at % FINER as usize == 0 {
            sound.channels[0].push(gain * volts + 1e-5 * chance.between(-1.0, 1.0));
        }
        let middle = 0.5 * (pair[0] + pair[1]);
        let (a, b) = slope(volts, current, pair[0]);
        let (c, d) = slope(volts + 0.5 * step * a, current + 0.5 * step * b, middle);
        let (e, f) = slope(volts + 0.5 * step * c, current + 0.5 * step * d, middle);
        let (g, h) = slope(volts + step * e, current + step * f, pair[1]);
        volts += step / 6.0 * (a + 2.0 * c + 2.0 * e + g);
        current += step / 6.0 * (b + 2.0 * d + 2.0 * f + h);
    }
    sound.wav(Samples::Whole(24))
}

/// Keeps a take of the pickup; its entry.
fn kept(bench: &Workbench, played: &str, file: &[u8]) -> String {
    let entry = bench.name();
    let about = json!({"thing": "pickup", "id": PICKUP});
    let place: TakePlace =
        serde_json::from_value(json!({"about": about, "entry": entry, "recorded": {"played": played}}))
            .expect("a place");
    let mut receiving = bench.bench.receive_take().expect("room");
    receiving.take(file).expect("room");
    let reply = bench.bench.keep_take(&place, receiving).expect("it is kept");
    assert!(serde_json::from_slice::<Value>(&in_json(&Ok(reply))).is_ok());
    entry
}

fn form(added: &str) -> Value {
    json!({
        "coil": "A", "exciter": false, "resistor": "100k", "resistor_within": "1", "added": added, "added_within": "1",
        "input": "1M", "cable": "300p", "cable_within": "2",
    })
}

fn swept(bench: &Workbench, take: &str, added: &str) -> Value {
    json!({"ask": "keep_sweep", "entry": bench.name(), "pickup": PICKUP, "take": take, "form": form(added)})
}

#[test]
fn two_sweeps_and_a_reading_tell_a_coil() {
    let bench = Workbench::stocked();
    let look = json!({"ask": "coil_values", "pickup": PICKUP});
    let before = bench.ok(&look);
    assert!(before["values"]["found"].as_array().is_some_and(Vec::is_empty), "{before}");
    assert!(before["values"]["drawn"].is_null() && before["values"]["form"]["resistor"] == "100k", "{before}");

    let bare = kept(&bench, "sweep", &recorded(0.0, 0.8));
    let loaded = kept(&bench, "sweep", &recorded(1e-9, 0.8));
    let first = swept(&bench, &bare, "");
    bench.ok(&first);
    let once = bench.ok(&look);
    // Asked again after a dropped connection, nothing more is written.
    bench.ok(&first);
    assert_eq!(bench.ok(&look), once);
    bench.ok(&swept(&bench, &loaded, "1n"));
    let resistance = json!({"coil": "A", "shows": "resistance", "value": "7.00k", "at": "", "within": "0.5"});
    bench.write(json!({"ask": "meter_component", "pickup": PICKUP, "form": resistance}));

    let values = bench.ok(&look)["values"].clone();
    let coil = &values["found"][0]["values"];
    let near = |estimate: &Value, truth: f64, within: f64| {
        let value = estimate["value"].as_f64().expect("a value");
        assert!((value / truth - 1.0).abs() < within, "{estimate}, {truth}");
    };
    near(&coil["henries"], HENRIES, 0.01);
    near(&coil["farads"], FARADS, 0.08);
    near(&coil["ohms"], OHMS, 0.01);
    near(&coil["resonance"], 1.0 / (std::f64::consts::TAU * (HENRIES * (FARADS + 300e-12)).sqrt()), 0.005);
    assert_eq!(values["faults"], json!([]), "{}", values["faults"]);
    assert_eq!(values["curves"].as_array().map(Vec::len), Some(2));
    assert!(values["drawn"]["marks"].as_array().is_some_and(|marks| marks.len() > 300));
    assert!(
        values["found"][0]["figures"][0]["shown"].as_str().is_some_and(|shown| shown.starts_with("2.6 H (2.")),
        "{values}"
    );
    // As a table: each value with its range, and what it rests on.
    let mut table = Vec::new();
    let rows = bench.bench.write_table(Table::Measured, &Find::default(), &mut table).expect("a table");
    let text = String::from_utf8(table).expect("UTF-8");
    let row = text.lines().find(|line| line.contains(",inductance,")).expect("a row").to_owned();
    let cells: Vec<&str> = row.split(',').collect();
    let number = |at: usize| cells[at].parse::<f64>().expect("a number");
    for (at, what) in [(3, "value"), (5, "low"), (6, "high")] {
        let henries = coil["henries"][what].as_f64().expect("a value");
        assert!((number(at) / henries - 1.0).abs() < 1e-8, "{row}: {henries}");
    }
    assert_eq!((cells[1], cells[4], rows as usize + 1), ("A", "henry", text.lines().count()));
    assert!(row.contains("\"2 sweeps, 1 of them with a capacitor; 1 value of a component meter\""), "{row}");
    // A take is told as what it is, and asks for no repeats.
    let takes = bench.ok(&json!({"ask": "takes", "about": {"thing": "pickup", "id": PICKUP}}));
    assert!(takes["takes"]["takes"][0]["words"] == "a sweep" && takes["takes"]["together"] == json!([]), "{takes}");

    // Struck out and put back, line by line.
    for line in values["lines"].as_array().expect("lines") {
        let strike = |entry: &Value| json!({"ask": "strike_measured", "pickup": PICKUP, "struck": entry, "why": ""});
        let (_, reply) = bench.write(strike(&line["entry"]));
        let lines = reply["values"]["lines"].as_array().expect("lines").clone();
        let now = lines.iter().find(|one| one["entry"] == line["entry"]).expect("it stays readable");
        assert_ne!(reply["values"]["found"], values["found"]);
        let (_, reply) = bench.write(strike(&now["struck"]["by"]));
        assert_eq!(reply["values"], values, "{}", line["words"]);
    }
}

/// What an interface records of three taps on it: each a voltage that grows until the steel stops, stepped through time.
fn tapped(added: f64) -> Vec<u8> {
    let (step, across) = (1.0 / f64::from(RATE * FINER), FARADS + 300e-12 + added);
    let drives = |seconds: f64| -> f64 {
        let one = |meets: f64| match seconds - meets {
            before if before < 0.0 => (before / 0.003).exp(),
            after => -0.3 * (-after / 0.03).exp(),
        };
        [1.0, 2.1, 3.2].into_iter().map(one).sum()
    };
    let slope = |[volts, current]: [f64; 2], seconds: f64| {
        let winding = (drives(seconds) - volts - OHMS * current) / (1.0 + OHMS / LOSS);
        [(current + winding / LOSS - volts / 1e6) / across, winding / HENRIES]
    };
    let moved = |at: [f64; 2], slope: [f64; 2], by: f64| [at[0] + by * slope[0], at[1] + by * slope[1]];
    let mut chance = Chance(9);
    let mut sound = Sound::silence(RATE, 1, 0.0);
    let mut at = [0.0, 0.0];
    for number in 0..(4.2 * f64::from(RATE * FINER)) as u64 {
        if number % u64::from(FINER) == 0 {
            sound.channels[0].push(0.4 * at[0] + 2e-5 * chance.between(-1.0, 1.0));
        }
        let seconds = number as f64 * step;
        let a = slope(at, seconds);
        let b = slope(moved(at, a, 0.5 * step), seconds + 0.5 * step);
        let c = slope(moved(at, b, 0.5 * step), seconds + 0.5 * step);
        let d = slope(moved(at, c, step), seconds + step);
        at = [0, 1].map(|which| at[which] + step / 6.0 * (a[which] + 2.0 * b[which] + 2.0 * c[which] + d[which]));
    }
    sound.wav(Samples::Whole(24))
}

#[test]
fn two_ringings_and_a_reading_tell_a_coil() {
    let bench = Workbench::stocked();
    let look = json!({"ask": "coil_values", "pickup": PICKUP});
    for (added, typed) in [(0.0, ""), (1e-9, "1n")] {
        let take = kept(&bench, "tap", &tapped(added));
        let form = json!({"coil": "A", "added": typed, "added_within": "1", "input": "1M", "cable": "300p", "cable_within": "2"});
        let keep = json!({"ask": "keep_ringing", "entry": bench.name(), "pickup": PICKUP, "take": take, "form": form});
        bench.ok(&keep);
        let once = bench.ok(&look);
        // Asked again after a dropped connection, nothing more is written.
        bench.ok(&keep);
        assert_eq!(bench.ok(&look), once);
        let none = json!({"ask": "keep_ringing", "entry": bench.name(), "pickup": PICKUP, "take": take, "form": {
            "coil": "A", "added": typed, "added_within": "1", "input": "1M", "cable": "", "cable_within": "2"}});
        assert_eq!(bench.refused(&none)["field"], "cable");
    }
    let resistance = json!({"coil": "A", "shows": "resistance", "value": "7.00k", "at": "", "within": "0.5"});
    bench.write(json!({"ask": "meter_component", "pickup": PICKUP, "form": resistance}));
    let values = bench.ok(&look)["values"].clone();
    let coil = &values["found"][0]["values"];
    for (estimate, truth, within) in [
        (&coil["henries"], HENRIES, 0.02),
        (&coil["farads"], FARADS, 0.15),
        (&coil["resonance"], 1.0 / (std::f64::consts::TAU * (HENRIES * (FARADS + 300e-12)).sqrt()), 0.005),
    ] {
        let value = estimate["value"].as_f64().expect("a value");
        assert!((value / truth - 1.0).abs() < within, "{estimate}, {truth}");
    }
    let words = values["lines"][1]["words"].as_str().expect("words");
    assert!(words.starts_with("Tapped, coil A rang at ") && words.ends_with(" Hz, 1 nF across it"), "{words}");
    // Nothing more of coil A; B was not measured.
    assert!(!values["next"].to_string().contains("coil A"), "{}", values["next"]);
    // A riff has no taps in it.
    let riff = kept(&bench, "riff", &Sound::silence(RATE, 1, 3.0).sine(220.0, 0.3).wav(Samples::Whole(24)));
    let form =
        json!({"coil": "A", "added": "", "added_within": "1", "input": "1M", "cable": "300p", "cable_within": "2"});
    let refused = bench
        .refused(&json!({"ask": "keep_ringing", "entry": bench.name(), "pickup": PICKUP, "take": riff, "form": form}));
    assert_eq!((&refused["code"], &refused["field"]), (&json!("take"), &json!("taps_count")), "{refused}");
}

#[test]
fn what_can_not_be_is_named() {
    let bench = Workbench::stocked();
    let riff = kept(&bench, "riff", &Sound::silence(RATE, 1, 11.0).sine(220.0, 0.3).wav(Samples::Whole(24)));
    let refused = bench.refused(&swept(&bench, &riff, ""));
    assert_eq!((&refused["code"], refused["field"].as_str().map(|code| &code[..6])), (&json!("take"), Some("sweep_")));
    let nowhere = bench.refused(&swept(&bench, &bench.name(), ""));
    assert_eq!(nowhere["code"], "not_found");
    for (field, typed) in [
        ("resistor", "0"),
        ("resistor", ""),
        ("resistor_within", "0"),
        ("resistor_within", "80 %"),
        ("added", "0p"),
        ("added", "some"),
        ("input", "OL"),
        ("cable", ""),
        ("cable", "-3p"),
        ("cable_within", "x"),
    ] {
        let mut ask = swept(&bench, &riff, "1n");
        ask["form"][field] = json!(typed);
        assert_eq!(bench.refused(&ask)["field"], field, "{typed}");
    }
    for (shows, field, value) in [
        ("resistance", "value", "0"),
        ("inductance", "value", "-1 H"),
        ("inductance", "value", "500 H"),
        ("inductance", "value", ""),
        ("quality", "value", "0"),
        ("inductance", "at", "1 Hz"),
        ("inductance", "within", "90"),
        ("inductance", "coil", "2.4 H"),
    ] {
        let mut form = json!({"coil": "A", "shows": shows, "value": "2.4", "at": "1k", "within": "1"});
        form[field] = json!(if field == "coil" { "C" } else { value });
        let ask = json!({"ask": "meter_component", "entry": bench.name(), "pickup": PICKUP, "form": form});
        assert_eq!(bench.refused(&ask)["field"], field, "{form}");
    }
    assert_eq!(bench.ok(&json!({"ask": "coil_values", "pickup": PICKUP}))["values"]["lines"], json!([]));
}
