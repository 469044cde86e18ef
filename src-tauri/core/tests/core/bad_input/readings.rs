//! Readings that can't be, through an audition's diagnosis, and meters that can't be: each is answered in words.

use serde_json::{Value, json};

use super::whole_log;
use solderlast_testkit::workbench::Workbench;

fn ends_as_a_sentence(words: &Value, what: &str) {
    let words = words.as_str().unwrap_or_default();
    assert!(words.len() > 10 && words.ends_with('.'), "{what}: {words:?}");
}

/// Nothing that only a computer would say.
fn is_for_people(words: &Value, what: &str) {
    ends_as_a_sentence(words, what);
    let words = words.as_str().unwrap_or_default();
    for never in ["NaN", "inf", "-0"] {
        assert!(!words.contains(never), "{what}: {words}");
    }
}

/// What was read, in order, by mode; what the diagnosis comes to; a part of its words or of the verdict's.
#[test]
fn readings_at_the_output_that_can_not_be() {
    type Case = (&'static str, &'static [(&'static str, &'static str)], Option<&'static str>, &'static str);
    let cases: [Case; 9] = [
        ("one reading only", &[("series", "13.34k")], None, "agree so far"),
        ("one reading only, and that one open", &[("single", "OL")], Some("cant_tell_apart"), "Moss is not clamped"),
        (
            "all over limit",
            &[("parallel", "OL"), ("single", "OL"), ("series", "OL")],
            Some("cant_tell_apart"),
            "range was too low",
        ),
        (
            "no resistance anywhere",
            &[("parallel", "0"), ("single", "0"), ("series", "0")],
            Some("cant_tell_apart"),
            "joins terminals",
        ),
        (
            "absurdly large everywhere",
            &[("parallel", "900M"), ("single", "900M"), ("series", "900M")],
            Some("unexplained"),
            "",
        ),
        (
            "less than a wire",
            &[("parallel", "0.0001"), ("single", "0.0001"), ("series", "0.0001")],
            Some("cant_tell_apart"),
            "short",
        ),
        (
            "three numbers that have nothing to do with each other",
            &[("parallel", "88"), ("single", "3.3M"), ("series", "17")],
            Some("unexplained"),
            "",
        ),
        (
            "parallel above single and series below both",
            &[("parallel", "9k"), ("single", "6.66k"), ("series", "4k")],
            Some("unexplained"),
            "clamp each lead anew",
        ),
        (
            "the same again and again",
            &[("series", "0"), ("series", "OL"), ("series", "0"), ("series", "OL")],
            Some("cant_tell_apart"),
            "",
        ),
    ];
    let mut otherwise = Vec::new();
    for (what, readings, kind, part) in cases {
        let bench = Workbench::begun();
        bench.hook_up();
        for (mode, reading) in readings {
            bench.read_meter(mode, reading);
        }
        let audition = bench.audition();
        let meter = &audition["meter"];
        is_for_people(&meter["verdict"]["sentence"], what);
        let diagnosis = &meter["diagnosis"];
        if !diagnosis.is_null() {
            is_for_people(&diagnosis["sentence"], what);
            for suspect in diagnosis["ranked"].as_array().into_iter().flatten() {
                for words in [&suspect["sentence"], &suspect["what_to_do"][0]] {
                    is_for_people(words, what);
                }
                let share = suspect["share"].as_f64().unwrap_or(-1.0);
                assert!((0.0..=1.0).contains(&share), "{what}: {suspect}");
            }
        }
        let said = format!("{} {} {}", meter["verdict"]["sentence"], diagnosis["sentence"], diagnosis["ranked"]);
        if diagnosis["kind"].as_str() != kind || !said.contains(part) {
            otherwise.push(format!("{what}: {} {said}", diagnosis["kind"]));
        }
        assert_ne!(audition["steps"][3]["status"], "done", "{what}: nothing of this is proven");
    }
    assert!(otherwise.is_empty(), "{}", otherwise.join("\n"));
}

/// 0 Ω and open for one pair, both written down: the later one counts, what was probed before no longer does, and where both
/// are probes at the same place, no cause explains them.
#[test]
fn nothing_and_open_between_the_same_two() {
    let bench = Workbench::begun();
    bench.hook_up();
    for (mode, reading) in [("parallel", "3.334k"), ("single", "6.66k"), ("series", "OL")] {
        bench.read_meter(mode, reading);
    }
    for reading in ["0", "OL", "0"] {
        let probe = json!({"at": "terminals", "mode": "series", "between": [1, 2]});
        bench.note(json!({"ask": "probe", "probe": probe, "reading": reading}));
    }
    let diagnosis = bench.audition()["meter"]["diagnosis"].clone();
    assert_eq!(diagnosis["kind"], "unexplained", "{diagnosis:#}");
    ends_as_a_sentence(&diagnosis["sentence"], "nothing and open");
    // Measured again at the output, the modes are right, and nothing of that is held against them.
    bench.read_meter("series", "13.34k");
    let audition = bench.audition();
    assert_eq!(audition["meter"]["verdict"]["kind"], "good", "{:#}", audition["meter"]);
}

/// More probes than are looked at, each at the same place with another reading.
#[test]
fn a_hundred_readings_at_one_place() {
    let bench = Workbench::begun();
    bench.hook_up();
    bench.measure();
    for number in 0..100 {
        let probe = json!({"at": "output", "mode": "series", "care": "hands_off"});
        bench.note(json!({"ask": "probe", "probe": probe, "reading": format!("{}k", 5 + number)}));
    }
    ends_as_a_sentence(&bench.audition()["meter"]["diagnosis"]["sentence"], "a hundred readings");
}

#[test]
fn readings_that_are_no_readings_are_refused() {
    let bench = Workbench::begun();
    bench.hook_up();
    let before = whole_log(&bench);
    for reading in ["-6.66k", "-0.1", "1e400", "1e-400k", "NaN", "six", "6.66 V", "6..66k", "∞", "", "6.66k 13.34k"] {
        let series = json!({"ask": "take_reading", "mode": "series", "reading": reading, "room": ""});
        let probe = json!({"ask": "probe", "reading": reading,
            "probe": {"at": "terminals", "mode": "series", "between": [0, 1]}});
        for ask in [series, probe] {
            let refusal = bench.note_refused(ask);
            assert_eq!(refusal["field"], "reading", "{reading}: {refusal}");
            ends_as_a_sentence(&refusal["sentence"], reading);
        }
    }
    for probe in [
        json!({"at": "terminals", "mode": "series", "between": [0, 9]}),
        json!({"at": "terminals", "mode": "sideways", "between": [0, 1]}),
        json!({"at": "leads", "mode": "series", "between": ["moss", "azure"]}),
        json!({"at": "lead_at", "mode": "series", "lead": "moss", "terminal": 200}),
        json!({"at": "output", "mode": "", "care": "as_usual"}),
    ] {
        let refusal = bench.note_refused(json!({"ask": "probe", "probe": probe, "reading": "6.66k"}));
        ends_as_a_sentence(&refusal["sentence"], &probe.to_string());
    }
    assert_eq!(whole_log(&bench), before, "nothing was written");
}

/// Meters that nobody has, one fault each.
#[test]
fn meters_that_can_not_be_are_refused() {
    let bench = Workbench::begun();
    let range = |top: &str, digit: &str| json!({"top": top, "digit": digit});
    let good = json!({"label": "Yellow meter", "percent": "1", "counts": "3",
        "ranges": [range("4k", "1"), range("40k", "10")]});
    bench.write(json!({"ask": "write_meter", "form": good}));
    let before = whole_log(&bench);
    let many: Vec<Value> = (0..13).map(|place| range(&format!("{}k", place + 1), "1")).collect();
    for (field, value) in [
        ("label", json!("")),
        ("label", json!("x".repeat(5000))),
        ("percent", json!("")),
        ("percent", json!("-1")),
        ("percent", json!("100")),
        ("percent", json!("NaN")),
        ("percent", json!("1e400")),
        ("counts", json!("-3")),
        ("counts", json!("inf")),
        ("counts", json!("1e9")),
        ("ranges", json!([])),
        ("ranges", json!(many)),
        ("ranges", json!([range("40k", "10"), range("4k", "1")])),
        ("ranges", json!([range("4k", "1"), range("4k", "1")])),
        ("ranges", json!([range("OL", "1")])),
        ("ranges", json!([range("0", "0")])),
        ("ranges", json!([range("4k", "OL")])),
        ("ranges", json!([range("4k", "4k")])),
        ("ranges", json!([range("900T", "1")])),
        ("ranges", json!([range("-4k", "1")])),
    ] {
        let mut form = good.clone();
        form[field] = value.clone();
        let refusal = bench.refused(&json!({"ask": "write_meter", "entry": bench.name(), "form": form}));
        assert_eq!(refusal["field"], format!("form.{field}"), "{value}: {refusal}");
        ends_as_a_sentence(&refusal["sentence"], &value.to_string());
    }
    assert_eq!(whole_log(&bench), before, "nothing was written");
}
