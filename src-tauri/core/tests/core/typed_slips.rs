//! Whatever is typed for a gap, a coil or at a jack: what is right is never asked about, and what can't be is, with what may have been
//! meant. The values are written and worked out here by hand, over wide chance.

use serde_json::{Value, json};
use solderlast_testkit::Chance;
use solderlast_testkit::workbench::Workbench;

/// Between these a gap is usual, in millimetres.
const USUAL: (f64, f64) = (0.4, 8.0);

fn understood(bench: &Workbench, quantity: &str, text: &str, unit: &str) -> Value {
    bench.ok(&json!({"ask": "understand", "quantity": quantity, "text": text, "unit": unit}))
}

/// A number as somebody writes it: with a point or a comma, with or without the zero before it.
fn written(chance: &mut Chance, value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let text = if text.starts_with("0.") && chance.below(3) == 0 { text[1..].to_owned() } else { text };
    if chance.below(3) == 0 { text.replace('.', ",") } else { text }
}

/// The figures of a number without zeros at its ends.
fn figures(text: &str) -> String {
    let figures: String = text.chars().filter(char::is_ascii_digit).collect();
    figures.trim_matches('0').to_owned()
}

/// `2.4 mm` or `0.094 in`, in millimetres.
fn millimetres(text: &str) -> f64 {
    let (number, unit) = text.split_once(' ').expect("a number and its unit");
    let number: f64 = number.parse().expect("a number");
    match unit {
        "mm" => number,
        "in" => number * 25.4,
        other => panic!("{other}"),
    }
}

#[test]
fn gaps_that_are_right_are_never_asked_about_and_slips_are() {
    let rounds = std::env::var("SOLDERLAST_SLIPS").ok().and_then(|rounds| rounds.parse().ok()).unwrap_or(1500);
    let seed = std::env::var("SOLDERLAST_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(2811);
    let mut chance = Chance::seeded(seed);
    let bench = Workbench::empty();
    let (mut slips, mut as_meant) = (0, 0);
    for _ in 0..rounds {
        let in_inches = chance.below(2) == 0;
        // From 0.6 to 6 mm, as a rule and a feeler gauge tell it.
        let value =
            if in_inches { (24 + chance.below(212)) as f64 / 1000.0 } else { (12 + chance.below(108)) as f64 / 20.0 };
        let gap = if in_inches { value * 25.4 } else { value };
        let decimals = if in_inches { 3 } else { 2 };
        let bare_unit = if in_inches { "decimal_inch" } else { "millimetre" };
        let other_unit = if in_inches { "millimetre" } else { "decimal_inch" };
        let suffix = if in_inches { [" in", "in", "\"", " inches"] } else { [" mm", "mm", "  mm", " MM"] };
        let text = written(&mut chance, value, decimals);
        let named = format!("{text}{}", suffix[chance.below(4) as usize]);
        for (right, unit) in [(&text, bare_unit), (&named, bare_unit), (&named, other_unit), (&named, "sixtyfourth")] {
            assert!(understood(&bench, "gap", right, unit)["query"].is_null(), "{right} {unit}");
        }
        let sixtyfourths = (gap / 25.4 * 64.0).round().max(2.0);
        let fraction = format!("{sixtyfourths}/64");
        for unit in ["decimal_inch", "sixtyfourth"] {
            assert!(understood(&bench, "gap", &fraction, unit)["query"].is_null(), "{fraction} {unit}");
        }
        // The other unit, or the point one or two places off.
        let by = [10.0, 0.1, 100.0, 0.01][chance.below(4) as usize];
        let off = written(&mut chance, value * by, decimals + 2);
        let as_other = if in_inches { value } else { value * 25.4 };
        for (wrong, unit, comes_to) in [(&text, other_unit, as_other), (&off, bare_unit, gap * by)] {
            let answer = understood(&bench, "gap", wrong, unit);
            let asked = !answer["query"].is_null();
            let cant_be = !(USUAL.0..=USUAL.1).contains(&comes_to);
            assert_eq!(asked, cant_be, "{wrong} {unit}: {comes_to} mm, {answer}");
            if !asked {
                continue;
            }
            slips += 1;
            let instead = answer["instead"].as_str().unwrap_or_else(|| panic!("{wrong} {unit} {answer}"));
            assert!((USUAL.0..=USUAL.1).contains(&millimetres(instead)), "{wrong} {unit}: {instead}");
            assert_eq!(
                figures(instead.split(' ').next().unwrap_or_default()),
                figures(wrong),
                "{wrong} {unit}: {instead}"
            );
            assert!(understood(&bench, "gap", instead, unit)["query"].is_null(), "{instead}");
            as_meant += usize::from((millimetres(instead) - gap).abs() < 0.02);
        }
    }
    assert!(slips > rounds, "{slips} slips of {rounds}");
    // Some can't be told from others: 0.24 in may be 0.024 in or 2.4 mm. Most are.
    assert!(as_meant * 3 > slips * 2, "{as_meant} of {slips} as they were meant");
}

/// A k left out at the jack before anything is unsoldered, at a pot and at a coil: asked about, and taken by one tap.
#[test]
fn a_letter_left_out_is_asked_about_wherever_a_resistance_is_typed() {
    let bench = Workbench::empty();
    let mut chance = Chance::seeded(7);
    for _ in 0..300 {
        let kilohms = f64::from(1500 + chance.below(14_000) as u32) / 1000.0;
        for (quantity, value) in [("coil", kilohms), ("jack", kilohms), ("pot", kilohms * 30.0)] {
            let text = format!("{value:.2}");
            assert!(
                understood(&bench, quantity, &format!("{text}k"), "millimetre")["query"].is_null(),
                "{text}k {quantity}"
            );
            let answer = understood(&bench, quantity, &text, "millimetre");
            assert_eq!(answer["instead"], format!("{text}k"), "{quantity}");
            assert!(!answer["query"].is_null());
        }
    }
    for (quantity, text) in
        [("jack", "OL"), ("coil", "OL"), ("jack", "250k"), ("pot", "500k"), ("pot", "1M"), ("gap", "2.4")]
    {
        assert!(understood(&bench, quantity, text, "millimetre")["query"].is_null(), "{quantity} {text}");
    }
}

/// Two coils of a pickup: whatever a point in the wrong place makes of one is asked about beside the other, and never what two coils have.
#[test]
fn a_coil_is_held_against_the_other_one_of_its_pickup() {
    let bench = Workbench::empty();
    let mut chance = Chance::seeded(8);
    let beside = |text: &str, other: &str| {
        let ask = json!({"ask": "understand", "quantity": "coil", "text": text, "unit": "millimetre", "beside": other});
        bench.ok(&ask)
    };
    for _ in 0..300 {
        let one = 1500.0 + chance.below(7000) as f64;
        let other = one * chance.in_ratio(0.34, 2.9);
        let [one, other] = [one, other].map(|ohms| format!("{:.2}k", ohms / 1000.0));
        assert!(beside(&one, &other)["query"].is_null(), "{one} beside {other}");
        let alike = 1500.0 + chance.below(7000) as f64;
        let twin = alike * chance.in_ratio(0.8, 1.25);
        let (alike, off) = (format!("{:.2}k", alike / 1000.0), [0.1, 10.0][chance.below(2) as usize] * twin / 1000.0);
        let answer = beside(&format!("{off:.3}k"), &alike);
        let instead = answer["instead"].as_str().unwrap_or_else(|| panic!("{off:.3}k beside {alike}: {answer}"));
        let figure: f64 = instead.trim_end_matches('k').parse().expect("a number");
        let figure = if instead.ends_with('k') { figure } else { figure / 1000.0 };
        assert!((figure / (twin / 1000.0) - 1.0).abs() < 0.02, "{off:.3}k beside {alike}: {instead}");
    }
    // Nobody knows which of both is wrong; what is no coil's is asked about by itself.
    let query = |text: &str, other: &str| beside(text, other)["query"].as_str().map(str::to_owned);
    assert_eq!(
        query("4.1k", "41k").as_deref(),
        Some("4.1 kΩ beside 41 kΩ? Coils of one pickup are more alike. Look at the letter and the point in both.")
    );
    for other in ["", "OL", "about five", "4.1", "4.1M", "0"] {
        assert_eq!(query("4.1k", other), None, "{other}");
    }
}

/// Each kind of length that a page asks for, in the unit that the person has and in the other one: what only makes sense in the other
/// is offered there, in one tap, and what can't be is never offered as it stands.
#[test]
fn a_length_in_the_other_unit_is_offered_wherever_one_is_typed() {
    let bench = Workbench::empty();
    let mut chance = Chance::seeded(41);
    // In millimetres: what is measured, and what the bench takes at all.
    type Kind = (&'static str, (f64, f64), (f64, f64));
    let kinds: [Kind; 7] = [
        ("gap", (1.0, 5.0), (0.0, 20.0)),
        ("height", (1.0, 4.0), (0.2, 8.0)),
        ("scale", (480.0, 880.0), (250.0, 1000.0)),
        ("place", (25.0, 250.0), (0.0, 3000.0)),
        ("size", (13.0, 100.0), (-1.0, 3000.0)),
        ("spread", (34.0, 78.0), (-1.0, 3000.0)),
        ("pitch", (0.5, 1.25), (-1.0, 3000.0)),
    ];
    let mut swapped = 0;
    for (quantity, (least, most), (low, high)) in kinds {
        for _ in 0..200 {
            let is = least + (most - least) * f64::from(chance.below(1000) as u32) / 1000.0;
            let (mm, inch) = (format!("{is:.2}"), format!("{:.3}", is / 25.4));
            for (text, right, wrong) in [(&mm, "millimetre", "decimal_inch"), (&inch, "decimal_inch", "millimetre")] {
                assert!(understood(&bench, quantity, text, right)["query"].is_null(), "{quantity} {text} {right}");
                let answer = understood(&bench, quantity, text, wrong);
                let number: f64 = text.parse().expect("a number");
                let comes_to = if wrong == "millimetre" { number } else { number * 25.4 };
                if answer["query"].is_null() {
                    // As long as another thing of its kind may be.
                    assert!(comes_to > least / 4.0 && comes_to < most * 4.0, "{quantity} {text} {wrong}: {answer}");
                    continue;
                }
                let never = answer["never"] == true;
                assert_eq!(
                    never,
                    comes_to <= low.max(0.0) || comes_to > high || (low > 0.0 && comes_to < low),
                    "{quantity} {text} {wrong} {answer}"
                );
                let instead =
                    answer["instead"].as_str().unwrap_or_else(|| panic!("{quantity} {text} {wrong} {answer}"));
                swapped += usize::from((millimetres(instead) - is).abs() < 0.02);
                assert!(understood(&bench, quantity, instead, wrong)["query"].is_null(), "{quantity} {instead}");
            }
        }
    }
    assert!(swapped > 2000, "{swapped} of 2800 as they were meant");
}

/// A scale in inches where millimetres are expected: the field offers the inches, and they are taken.
#[test]
fn a_scale_of_twenty_five_and_a_half_is_offered_in_inches() {
    let bench = Workbench::empty();
    for (text, instead) in [("25.5", "25.5 in"), ("24.75", "24.75 in"), ("34", "34 in"), ("25,5", "25.5 in")] {
        let answer = understood(&bench, "scale", text, "millimetre");
        assert_eq!((answer["instead"].as_str(), &answer["never"]), (Some(instead), &json!(true)), "{text}");
    }
    // Short, and there may be one.
    assert_eq!(understood(&bench, "scale", "330", "millimetre")["never"], Value::Null);
}
