//! Whatever is typed for a gap, a coil or at a jack: what is right is never asked about, and what can't be is, with what may have been
//! meant. The values are written and worked out here by hand, over wide chance.

use serde_json::{Value, json};
use solderlast_testkit::Chance;
use solderlast_testkit::workbench::{PICKUP, Workbench, pickup_form};

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

/// A figure that no coil has, and one that a seller states for both coils of a pickup.
#[test]
fn what_is_stated_for_a_coil_is_asked_about() {
    let bench = Workbench::empty();
    let asked = |quantity: &str, text: &str| understood(&bench, quantity, text, "millimetre");
    assert_eq!(asked("coil_stated", "59k")["instead"], "5.9k");
    assert_eq!(asked("coil_of_two", "59k")["instead"], "5.9k");
    assert_eq!(asked("coil_of_two", "8.1k")["instead"], "4.05 kΩ each");
    for (quantity, text) in [("coil_stated", "8.1k"), ("coil_of_two", "4.05k"), ("coil_of_two", "6.66k")] {
        assert!(asked(quantity, text)["query"].is_null(), "{quantity} {text}");
    }
}

/// One figure for a whole pickup is taken as half of it for each coil, and a slip in it is asked about.
#[test]
fn what_is_stated_for_both_coils_together_is_half_of_it_for_each() {
    let bench = Workbench::empty();
    let told = |text: &str| understood(&bench, "coils_together", text, "millimetre");
    for (text, shown) in [("8.1k", "4.05 kΩ each"), ("13k", "6.5 kΩ each"), ("6,66 kΩ", "3.33 kΩ each")] {
        assert_eq!((&told(text)["shown"], &told(text)["query"]), (&json!(shown), &Value::Null), "{text}");
    }
    assert_eq!(told("8.1")["instead"], "8.1k");
    let mut form = pickup_form("Paper crane");
    for coil in form["coils"].as_array_mut().expect("it has coils") {
        coil["stated"] = json!("");
    }
    form["stated_together"] = json!("8.1k");
    bench.write(json!({"ask": "write_pickup", "id": PICKUP, "form": form}));
    let page = bench.ok(&json!({"ask": "pickup", "id": PICKUP, "unit": "millimetre"}))["pickup"].clone();
    assert_eq!(
        (&page["pickup"]["coils"][0]["stated"], &page["pickup"]["coils"][1]["stated"]),
        (&json!(4050.0), &json!(4050.0))
    );
    assert_eq!(page["form"]["coils"][1]["stated"], "4.05 kΩ");
    // A coil has no half of its own.
    form["coils"].as_array_mut().expect("it has coils").truncate(1);
    form["leads"].as_array_mut().expect("it has leads").truncate(2);
    let said = bench.asked(&json!({"ask": "write_pickup", "entry": bench.name(), "id": PICKUP, "form": form}));
    assert_eq!(said["refused"]["field"], "stated_together", "{said}");
}

/// So many of a digit's last place, with the point set by hand: `placed(615, -2)` is `6.15`.
fn placed(figures: u64, power: i32) -> String {
    let figures = figures.to_string();
    let behind = usize::try_from(-power).unwrap_or(0);
    if behind == 0 {
        return figures + &"0".repeat(usize::try_from(power).unwrap_or(0));
    }
    let figures = format!("{figures:0>width$}", width = behind + 1);
    let (before, after) = figures.split_at(figures.len() - behind);
    format!("{before}.{after}")
}

/// `6.15k` in ohms.
fn ohms(text: &str) -> f64 {
    let (number, by) = match text.chars().last() {
        Some('k') => (&text[..text.len() - 1], 1e3),
        Some('M') => (&text[..text.len() - 1], 1e6),
        _ => (text, 1.0),
    };
    number.parse::<f64>().expect("a number") * by
}

/// Beside what is expected, in the meter step and at the jack: a reading that fits is never asked about, one with the letter and the
/// point elsewhere always is, and what is proposed is that reading and is taken as it stands.
#[test]
fn letter_and_point_together_are_asked_about_beside_what_is_expected() {
    let bench = Workbench::empty();
    let mut chance = Chance::seeded(615);
    let mut slips = 0;
    for (counts, tops) in
        [(2000.0, ["2k", "20k", "200k"]), (6000.0, ["6k", "60k", "600k"]), (60_000.0, ["60k", "600k", "6M"])]
    {
        let ranges: Vec<Value> =
            tops.iter().zip(["1", "10", "100"]).map(|(top, digit)| json!({"top": top, "digit": digit})).collect();
        let form = json!({"label": "Shelf meter", "percent": "0.8", "counts": "2", "ranges": ranges});
        bench.write(json!({"ask": "write_meter", "form": form}));
        for _ in 0..40 {
            let nominal = chance.in_ratio(300.0, 400e3);
            let share = chance.between(0.02, 0.15);
            let (low, high) = (nominal * (1.0 - share), nominal * (1.0 + share));
            let read = chance.between(low * 1.005, high * 0.995);
            // As many figures as the meter has.
            let power = (read / counts).log10().ceil() as i32;
            let figures = (read / 10_f64.powi(power)).round() as u64;
            let read = figures as f64 * 10_f64.powi(power);
            if !(low * 1.002..=high * 0.998).contains(&read) {
                continue;
            }
            let shown_in = if read >= 1e3 { 3 } else { 0 };
            for quantity in ["coil", "reading"] {
                let asked = |text: &str| {
                    bench.ok(&json!({"ask": "understand", "quantity": quantity, "text": text, "unit": "millimetre",
                        "plausible": [low, high]}))
                };
                for (letter, by) in [("", 0), ("k", 3), ("M", 6)] {
                    for moved in -3..=3 {
                        let text = format!("{}{letter}", placed(figures, power - shown_in + moved));
                        let off = by - shown_in + moved;
                        let comes_to = read * 10_f64.powi(off);
                        if comes_to > 0.9e9 {
                            continue;
                        }
                        let answer = asked(&text);
                        let context = format!("{quantity} {text}, {low} to {high}: {answer}");
                        assert_eq!(answer["query"].is_null(), off == 0, "{context}");
                        if off == 0 {
                            continue;
                        }
                        slips += 1;
                        let instead = answer["instead"].as_str().unwrap_or_else(|| panic!("{context}"));
                        let meant = ohms(instead);
                        assert!((low..=high).contains(&meant) && (meant / read - 1.0).abs() < 1e-3, "{context}");
                        let again = asked(instead);
                        assert!(again["query"].is_null(), "{instead} of {context}: {again}");
                    }
                }
            }
        }
    }
    assert!(slips > 2000, "{slips} slips");
}

/// What is proposed for a coil is never asked about itself, whatever is known of it.
#[test]
fn no_proposal_for_a_coil_is_asked_about_itself() {
    let bench = Workbench::empty();
    for quantity in ["coil", "coil_stated", "leads", "jack", "pot"] {
        for beside in [Value::Null, json!("8.1k"), json!("60k")] {
            for text in ["82.7", "61.5", "150", "6.66", "0.4", "59k", "590", "666k", "6.66M", "40M", "0.081k", "81"] {
                let asked = |text: &str| {
                    bench.ok(&json!({"ask": "understand", "quantity": quantity, "text": text, "unit": "millimetre",
                        "beside": beside}))
                };
                if let Some(instead) = asked(text)["instead"].as_str() {
                    let again = asked(instead);
                    assert!(again["query"].is_null(), "{quantity} {text} beside {beside}: {instead}, {again}");
                }
            }
        }
    }
}
