//! What was answered last time is offered whole, with the same guitar and rig alone, and counts for nothing until it is written again.

use serde_json::{Value, json};
use solderlast_testkit::workbench::{AUDITION, Workbench, choice, finish_answer, rig_form, step_of};

const SECOND: &str = "019a3c5f-7e00-7000-8000-0000000000b2";
const OTHER_RIG: &str = "019a3c5f-7e00-7000-8000-0000000000b3";

fn last(bench: &Workbench, audition: Option<&str>) -> Value {
    bench.ok(&json!({"ask": "last_time", "audition": audition}))["last"].clone()
}

#[test]
fn it_is_offered_and_nothing_of_it_counts_before_it_is_written() {
    let bench = Workbench::begun();
    assert_eq!(last(&bench, Some(AUDITION)), Value::Null, "there was no earlier one");
    assert_eq!(
        last(&bench, None)["choice"]["guitar"],
        choice()["guitar"],
        "the newest choice is offered to a new audition"
    );
    let mut finish = finish_answer();
    finish["before"] = json!("a fine scratch");
    bench.write(json!({"ask": "ask_finish", "audition": AUDITION, "answer": finish}));
    bench.write(json!({"ask": "describe_amp", "audition": AUDITION, "words": "small amp, volume 3"}));
    bench.write(
        json!({"ask": "take_reading", "audition": AUDITION, "mode": "single", "reading": "6.66k", "room": "21"}),
    );

    bench.write(json!({"ask": "choose", "audition": SECOND, "choice": choice()}));
    let offered = last(&bench, Some(SECOND));
    finish["before"] = json!("");
    assert_eq!(offered["finish"], finish, "what it looked like is of that day");
    assert_eq!((&offered["audition"], &offered["amp"]), (&json!(AUDITION), &json!("small amp, volume 3")));
    assert!(offered["room"].as_str().is_some_and(|room| room.starts_with("21")), "{offered}");
    assert!(!offered["finish_words"].as_str().unwrap_or_default().contains("scratch"), "{offered}");

    // The step is as open, and as held, as with nothing offered.
    let second = bench.ok(&json!({"ask": "audition", "id": SECOND}))["audition"].clone();
    assert_eq!(
        (&second["seat"]["finish"], &second["listen"]["amp"], &second["meter"]["room"]),
        (&Value::Null, &json!(""), &Value::Null)
    );
    let seat = step_of(&second, "seat");
    assert_eq!(seat["holds"][0]["hold"], "finish_not_asked", "{seat}");
    let refused = bench.refused(
        &json!({"ask": "seat", "entry": bench.name(), "audition": SECOND, "seating": {"feet": "suction", "steady": true}}),
    );
    assert_eq!(refused["code"], "held");

    // With another rig it was never answered.
    bench.write(json!({"ask": "write_rig", "id": OTHER_RIG, "form": rig_form()}));
    let mut other = choice();
    other["rig"] = json!(OTHER_RIG);
    bench.write(json!({"ask": "choose", "audition": SECOND, "choice": other}));
    assert_eq!(last(&bench, Some(SECOND)), Value::Null);
}
