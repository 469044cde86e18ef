//! Readings that tell of how it was: retired when a lead is moved or something is mended, shown, and never used again; and what
//! is asked while a reading is typed.

use serde_json::{Value, json};
use solderlast_testkit::workbench::{PICKUP, Workbench};

fn begun() -> Workbench {
    let bench = Workbench::begun();
    bench.note(json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "rolled"}}));
    bench.hook_up();
    bench
}

fn read(bench: &Workbench, mode: &str, reading: &str) -> Value {
    bench.note(json!({"ask": "take_reading", "mode": mode, "reading": reading, "room": ""})).1["meter"].clone()
}

fn shown(meter: &Value) -> Vec<(String, String)> {
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let modes = meter["modes"].as_array().expect("a meter has modes");
    modes
        .iter()
        .map(|one| (text(&one["mode"]), text(&one["reading"])))
        .filter(|(_, reading)| !reading.is_empty())
        .collect()
}

fn before(meter: &Value) -> Vec<String> {
    let lines = meter["before"].as_array().expect("what was before is a list");
    lines
        .iter()
        .map(|line| format!("{}: {}", line["words"].as_str().unwrap_or(""), line["reading"].as_str().unwrap_or("")))
        .collect()
}

#[test]
fn what_was_read_before_a_repair_is_shown_and_not_used() {
    let bench = begun();
    for (mode, reading) in [("parallel", "6.7k"), ("single", "OL"), ("series", "OL")] {
        read(&bench, mode, reading);
    }
    let (_, audition) = bench.note(json!({"ask": "mend", "what": "rust clamped anew"}));
    assert_eq!(shown(&audition["meter"]), [], "nothing is left of them");
    assert_eq!(audition["meter"]["diagnosis"], Value::Null);
    assert_eq!(audition["meter"]["verdict"], Value::Null);
    let was = before(&audition["meter"]);
    assert_eq!(
        was,
        [
            "in parallel, at the output, before something was mended: 6.7 kΩ",
            "in single, at the output, before something was mended: OL",
            "in series, at the output, before something was mended: OL",
        ]
    );
    let lines = audition["written"].to_string();
    assert!(lines.contains("Mended: rust clamped anew") && lines.contains("Reading in single: OL"), "{lines}");
    // What is read now is judged alone, and proves it alone.
    let meter = read(&bench, "single", "6.66k");
    assert_eq!(shown(&meter), [("single".to_owned(), "6.66 kΩ".to_owned())]);
    assert_ne!(meter["verdict"]["kind"], "bad", "{meter}");
    read(&bench, "parallel", "3.334k");
    let meter = read(&bench, "series", "13.34k");
    assert_eq!((&meter["verdict"]["kind"], &meter["diagnosis"]), (&json!("good"), &Value::Null), "{meter}");
    assert_eq!(before(&meter).len(), 3);
}

#[test]
fn a_lead_that_is_clamped_anew_retires_what_was_read() {
    let bench = begun();
    read(&bench, "single", "OL");
    // The same leads in the same terminal: taken out and clamped once more.
    bench.hook_up();
    let audition = bench.audition();
    assert_eq!(shown(&audition["meter"]), []);
    assert_eq!(before(&audition["meter"]), ["in single, at the output, before a lead was clamped anew: OL"]);
    assert_eq!(bench.step("meter")["invalidated"], "A lead was clamped anew after the readings. Measure again.");
}

#[test]
fn a_mode_that_reads_otherwise_now_asks_whether_something_was_mended() {
    let bench = begun();
    read(&bench, "parallel", "6.7k");
    read(&bench, "single", "OL");
    let meter = read(&bench, "single", "6.66k");
    let asked = meter["mended"].as_str().unwrap_or_default();
    assert!(asked.starts_with("Single read OL before, and reads 6.66 kΩ now."), "{meter}");
    assert_eq!(before(&meter), ["in single, at the output, before it was measured again: OL"]);
    // A k that was left out is no repair; nor is what lies within the meter's claim.
    for (first, again) in [("6.66", "6.66k"), ("6.66k", "6.67k")] {
        let bench = begun();
        read(&bench, "parallel", "3.334k");
        read(&bench, "single", first);
        assert_eq!(read(&bench, "single", again)["mended"], Value::Null, "{first} {again}");
    }
}

#[test]
fn a_slip_is_asked_about_at_any_size_wherever_a_resistance_is_typed() {
    let bench = Workbench::empty();
    let understood = |quantity: &str, text: &str, plausible: Value| {
        let ask = json!({"ask": "understand", "quantity": quantity, "text": text, "unit": "millimetre", "plausible": plausible});
        bench.ok(&ask)["query"].as_str().unwrap_or_default().to_owned()
    };
    for (quantity, text, plausible, part) in [
        ("coil", "6.66M", Value::Null, "is it 6.66k?"),
        ("coil", "666k", Value::Null, "is it 6.66k?"),
        ("coil", "66.6k", json!([6000, 7400]), "is it 6.66k?"),
        ("coil", "113.4k", json!([12_500, 14_200]), "Then type 13.4k"),
        ("coil", "6.66k", json!([6000, 7400]), ""),
        // Too little for two in series and no slip: that is for the diagnosis.
        ("coil", "6.66k", json!([12_000, 15_000]), ""),
        ("leads", "6.66", Value::Null, "6.66 Ω or 6.66 kΩ?"),
        ("leads", "6.66M", Value::Null, "is it 6.66k?"),
        ("leads", "0.4", Value::Null, ""),
        ("leads", "OL", Value::Null, ""),
        ("reading", "7.75", json!([7000, 8600]), "7.75 Ω or 7.75 kΩ?"),
        ("reading", "7.75k", json!([7000, 8600]), ""),
        ("reading", "7.75", Value::Null, ""),
    ] {
        let said = understood(quantity, text, plausible);
        assert!(if part.is_empty() { said.is_empty() } else { said.contains(part) }, "{quantity} {text}: {said}");
    }
    // A lone 1 is over limit on a meter of 1999 counts, and an ohm on others.
    bench.write(json!({"ask": "write_meter", "form": {"label": "Yellow one", "percent": "0.8", "counts": "2",
        "ranges": [{"top": "2k", "digit": "1"}, {"top": "20k", "digit": "10"}]}}));
    for quantity in ["coil", "leads"] {
        assert!(understood(quantity, "1", Value::Null).contains("write OL"), "{quantity}");
    }
}

#[test]
fn a_coil_of_which_nothing_is_stated_is_expected_and_shown_as_measured() {
    let bench = begun();
    let page =
        |bench: &Workbench| bench.ok(&json!({"ask": "pickup", "id": PICKUP, "unit": "millimetre"}))["pickup"].clone();
    let mut form = page(&bench)["form"].clone();
    for coil in form["coils"].as_array_mut().expect("a pickup has coils") {
        coil["stated"] = json!("");
    }
    bench.write(json!({"ask": "write_pickup", "id": PICKUP, "form": form}));
    assert!(page(&bench)["summary"].as_str().is_some_and(|summary| summary.contains("resistance not known")));
    let of = |meter: &Value, mode: &str| {
        meter["modes"]
            .as_array()
            .and_then(|modes| modes.iter().find(|one| one["mode"] == mode).cloned())
            .unwrap_or_default()
    };
    let meter = read(&bench, "single", "6.66k");
    assert_eq!(of(&meter, "parallel")["expected"]["shown"], Value::Null, "one coil alone says nothing of two");
    // Single and series say what parallel must be.
    let meter = read(&bench, "series", "13.34k");
    let parallel = of(&meter, "parallel");
    assert_eq!(parallel["expected"]["shown"], "3.33 kΩ", "{parallel}");
    assert!(
        parallel["expected"]["sentence"].as_str().is_some_and(|said| said.contains("by the other readings")),
        "{parallel}"
    );
    let typed = |text: &str| {
        bench.ok(&json!({"ask": "understand", "quantity": "coil", "text": text, "unit": "millimetre", "plausible": parallel["plausible"]}))["query"].clone()
    };
    assert_eq!(typed("3.334k"), Value::Null);
    assert!(typed("33.34k").as_str().is_some_and(|asked| asked.contains("3.334k")), "{}", typed("33.34k"));
    // What does not fit is told with what the others make it.
    let wrong = of(&read(&bench, "parallel", "2.5k"), "parallel");
    let said = wrong["verdict"]["sentence"].as_str().unwrap_or_default();
    assert!(said.starts_with("2.5 kΩ does not fit the others, which make it 3."), "{said}");
    read(&bench, "parallel", "3.334k");
    let page = page(&bench);
    assert!(
        page["summary"].as_str().is_some_and(|summary| summary.contains("6.66 kΩ") && summary.contains("measured")),
        "{page}"
    );
    assert_eq!(page["measured"][0]["coil"], "A");
    assert_eq!(page["pickup"]["coils"][0]["stated"], Value::Null, "nobody stated it");
    // A stated value three powers of ten from that is asked about; one that differs as records do is taken.
    let mut form = page["form"].clone();
    for (stated, taken) in [("6.66", false), ("6.5M", false), ("7.4k", true), ("", true)] {
        form["coils"][0]["stated"] = json!(stated);
        let said = bench.asked(&json!({"ask": "write_pickup", "entry": bench.name(), "id": PICKUP, "form": form}));
        assert_eq!(said["ok"].is_object(), taken, "{stated}: {said}");
        if !taken {
            assert_eq!(said["refused"]["field"], "coils.0.stated", "{said}");
        }
    }
}
