//! What reaches the amplifier from an install, asked through the contract.

use serde_json::{Value, json};

use super::{FIT, begin, bench, fit, plan, refused};
use solderlast_testkit::workbench::Workbench;

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
    assert_eq!(circuit(&bench, &Value::Null)["look"]["parts"], small["look"]["parts"]);
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
