//! One audition through `ask`: its steps, its holds, what a change makes worthless, and ink that is struck out.

use serde_json::{Value, json};
use solderlast_core::logbook::Log;
use solderlast_core::record::body::{Body, ComparisonBody};
use solderlast_core::record::decision::{Bound, Must, Wish};
use solderlast_core::record::entry::{About, Entry, Written};
use solderlast_core::record::guitar::GuitarId;
use solderlast_core::record::listening::Quality;
use solderlast_core::record::names::{BenchId, EntryId};
use solderlast_testkit::workbench::{
    self, AUDITION, GUITAR, OTHER_GUITAR, OTHER_PICKUP, PICKUP, RIG, SOUND_UP, TAKE_DOWN, Workbench, choice,
};

fn status(bench: &Workbench, step: &str) -> String {
    bench.step(step)["status"].as_str().unwrap_or_default().to_owned()
}

fn invalidated(bench: &Workbench, step: &str) -> String {
    bench.step(step)["invalidated"].as_str().unwrap_or_default().to_owned()
}

/// The lines of the audition that are not struck out, and all that are.
fn lines(audition: &Value) -> (Vec<String>, Vec<String>) {
    let words = |line: &Value| line["words"].as_str().unwrap_or_default().to_owned();
    let written = audition["written"].as_array().expect("an audition has lines");
    let (struck, stand): (Vec<_>, Vec<_>) = written.iter().partition(|line| !line["struck"].is_null());
    (stand.into_iter().map(words).collect(), struck.into_iter().map(words).collect())
}

/// Everything up to where the rig may be seated.
fn measured() -> Workbench {
    let bench = Workbench::begun();
    bench.note(json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "rolled"}}));
    bench.hook_up();
    bench.measure();
    bench
}

/// Everything up to where something is heard.
fn sounding() -> Workbench {
    let bench = measured();
    bench.note(json!({"ask": "ask_finish", "answer": workbench::finish_answer()}));
    bench.note(json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}}));
    measure_gaps(&bench);
    bench.tick_off(&SOUND_UP);
    bench
}

fn measure_gaps(bench: &Workbench) {
    bench.note(json!({"ask": "measure_gaps", "bass": "4.4", "treble": "3.6", "unit": "millimetre", "pressed_at": null, "kept": true}));
}

fn listen(bench: &Workbench) {
    for mode in ["parallel", "single", "series"] {
        bench.note(json!({"ask": "rate", "mode": mode, "quality": "treble", "value": 4}));
    }
}

#[test]
fn a_step_out_of_its_turn_says_what_comes_before_it() {
    let bench = Workbench::begun();
    let before = |step: &str| bench.step(step)["before"].clone();
    for (step, said) in [
        ("choose", Value::Null),
        ("which_way", Value::Null),
        ("leads", json!("Which way round comes before this and is not done.")),
        ("meter", json!("Which way round and Leads come before this and are not done.")),
        ("listen", json!("Which way round to Sound up come before this: not all are done.")),
    ] {
        assert_eq!(before(step), said, "{step}");
    }
    bench.note(json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "rolled"}}));
    assert_eq!(before("leads"), Value::Null);
    bench.note(json!({"ask": "skip_step", "step": "leads", "why": "They stayed in from yesterday."}));
    assert_eq!(before("meter"), Value::Null, "what was left out with a reason is not waited for");
}

/// The answers to a question of a step, each with its words and what is told by it.
fn answers(bench: &Workbench, step: &str, question: &str) -> Vec<(String, Value)> {
    let step = bench.step(step);
    let asked =
        step["questions"].as_array().and_then(|all| all.iter().find(|one| one["question"] == question)).cloned();
    let asked = asked.unwrap_or_else(|| unreachable!("{question} is not asked in {step}"));
    let answers = asked["answers"].as_array().expect("answers");
    answers.iter().map(|one| (one["words"].as_str().unwrap_or_default().to_owned(), one["told"].clone())).collect()
}

/// A clip from the output's sleeve to the bridge is asked for before the sound comes up, and goes with what is heard.
#[test]
fn the_string_ground_goes_with_the_note() {
    let bench = sounding();
    let hum = || {
        let listen = bench.audition()["listen"].clone();
        let rated = listen["modes"][0]["rated"].as_array().expect("scales").clone();
        let how = |quality: &str| rated.iter().find(|one| one["quality"] == quality).map(|one| one["how"].clone());
        assert_eq!(how("output"), Some(json!("At one volume for all modes.")));
        assert_eq!(how("treble"), Some(Value::Null));
        how("hum").and_then(|how| how.as_str().map(str::to_owned)).unwrap_or_default()
    };
    let how = bench.audition()["listen"]["how"].to_string();
    assert!(
        how.contains("First rate output in every mode") && how.contains("Then set each mode equally loud"),
        "{how}"
    );
    // Whoever ticked “Clip the string ground on” has said it: nobody is asked once more, and it may still be told otherwise.
    assert!(hum().contains("the string ground works"), "{}", hum());
    let asked = bench.step("listen")["questions"].clone();
    let ground =
        asked.as_array().and_then(|all| all.iter().find(|one| one["question"] == "string_ground")).expect("asked");
    assert_eq!(ground["answers"].as_array().and_then(|all| all.iter().position(|one| one["chosen"] == true)), Some(1));
    for (answer, said, kept) in [
        (0, "hum says little. Volume to zero", "string ground: none"),
        (1, "the string ground works", "string ground: clipped"),
    ] {
        let told = answers(&bench, "sound_up", "string_ground")[answer].1.clone();
        bench.note(json!({"ask": "tell", "told": told}));
        assert!(hum().contains(said), "{}", hum());
        bench.note(json!({"ask": "rate", "mode": "single", "quality": "hum", "value": 3}));
        let heard = bench.audition()["listen"]["modes"][1]["heard_in"].as_str().unwrap_or_default().to_owned();
        assert!(heard.contains(kept), "{heard}");
    }
    assert_eq!(answers(&bench, "listen", "string_ground").len(), 2);
}

/// An amplifier with a square in a square is made to have no earth pin: that is an answer, and no warning.
#[test]
fn a_double_insulated_amplifier_is_an_answer() {
    let bench = sounding();
    let warned = || {
        let cautions = bench.step("sound_up")["cautions"].clone();
        cautions.as_array().is_some_and(|all| all.iter().any(|one| one["id"] == "no-earth"))
    };
    let asked = answers(&bench, "sound_up", "earthed");
    assert_eq!(
        asked.iter().map(|(words, _)| words.as_str()).collect::<Vec<_>>(),
        ["No", "Yes", "It needs none: a square in a square", "Can't tell"]
    );
    for ((_, told), warns) in asked.into_iter().zip([true, false, false]) {
        let (_, audition) = bench.note(json!({"ask": "tell", "told": told}));
        assert_eq!(warned(), warns, "{told}");
        let line = audition["written"].as_array().and_then(|all| all.last()).map(|line| line["words"].to_string());
        assert!(line.is_some_and(|line| line.contains("Is its plug earthed")), "{told}");
    }
}

/// Active pickups, and those of low impedance by their record or by all readings, are said to be not covered: nothing is judged,
/// and nothing holds the sound as a short. An ordinary one with the same readings is held.
#[test]
fn what_is_not_covered_is_said_and_not_called_a_short() {
    let judged = |change: &dyn Fn(&mut Value), readings: [&str; 3]| {
        let bench = Workbench::stocked();
        let mut form = workbench::pickup_form("Paper crane");
        change(&mut form);
        bench.write(json!({"ask": "write_pickup", "id": PICKUP, "form": form}));
        bench.write(json!({"ask": "choose", "audition": AUDITION, "choice": choice()}));
        let chosen = bench.step("choose")["verdict"]["word"].clone();
        bench.note(json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "rolled"}}));
        bench.hook_up();
        for (mode, reading) in ["parallel", "single", "series"].into_iter().zip(readings) {
            bench.read_meter(mode, reading);
        }
        let (meter, sound) = (bench.step("meter"), bench.step("sound_up"));
        let held: Vec<Value> =
            sound["holds"].as_array().expect("holds").iter().map(|hold| hold["hold"].clone()).collect();
        let view = bench.audition()["meter"].clone();
        assert_eq!(view["verdict"], meter["verdict"]);
        (chosen, meter["verdict"]["word"].clone(), meter["status"].clone(), held, view["diagnosis"].is_null())
    };
    let not_covered = json!("Not covered");
    let unstated = |form: &mut Value| (0..2).for_each(|coil| form["coils"][coil]["stated"] = json!(""));
    let low = ["22.5", "45", "90"];
    for readings in [["0.2", "0.2", "0.2"], ["OL", "OL", "OL"], ["3.334k", "6.66k", "13.34k"]] {
        let (chosen, word, status, held, quiet) = judged(&|form| form["active"] = json!(true), readings);
        assert_eq!((&chosen, &word, &status), (&not_covered, &not_covered, &json!("done")), "{readings:?}");
        assert_eq!((held, quiet), (Vec::new(), true), "{readings:?}");
    }
    let (chosen, word, _, held, quiet) =
        judged(&|form| (0..2).for_each(|coil| form["coils"][coil]["stated"] = json!("45")), low);
    assert_eq!((&chosen, &word, held, quiet), (&not_covered, &not_covered, Vec::new(), true));
    let (chosen, word, _, held, quiet) = judged(&unstated, low);
    assert_eq!((&chosen, &word, held, quiet), (&Value::Null, &not_covered, Vec::new(), true));
    let (chosen, word, _, held, _) = judged(&|_| (), low);
    assert_eq!((&chosen, held), (&Value::Null, vec![json!("unexplained_short")]));
    assert_ne!(word, not_covered);
}

/// No ask takes a wish that is off the scale; a log that holds one all the same shows its decision, says so and leaves it out.
#[test]
fn a_stored_decision_that_is_off_the_scale_stays_readable() {
    let bench = sounding();
    listen(&bench);
    let ask =
        |wishes: Value| json!({"ask": "decision", "guitar": GUITAR, "place": null, "wishes": wishes, "musts": null});
    for odd in [
        json!([{"quality": "treble", "want": 3}]),
        json!([{"quality": "hum", "want": 1}, {"quality": "hum", "want": 1}]),
    ] {
        assert_eq!(bench.refused(&ask(odd))["field"], "wishes");
    }
    let decide = json!({"ask": "decide", "guitar": GUITAR, "wishes": [{"quality": "treble", "want": 1}], "musts": [],
        "audition": AUDITION, "mode": "single", "why": "bright enough"});
    bench.write(decide);
    assert_eq!(bench.ok(&ask(Value::Null))["decision"]["left_out"], json!([]));

    let Workbench { bench: opened, clock, folder, .. } = bench;
    drop(opened);
    let now = solderlast_core::clock::Clock::now(&*clock);
    let mut log = Log::open(folder.path(), now, BenchId(uuid::Uuid::nil())).expect("the log opens");
    let about = About::Guitar(GuitarId(GUITAR.parse().expect("a name")));
    let decided = log.about(about).expect("read").entries().find_map(|entry| match &entry.body {
        Written::Known(Body::Comparison(ComparisonBody::Decided { decision })) => {
            Some((entry.clone(), decision.clone()))
        }
        _ => None,
    });
    let (entry, mut decision) = decided.expect("it was decided");
    decision.wishes.push(Wish { quality: Quality::Hum, want: 100 });
    decision.musts.push(Must { quality: Quality::Bass, bound: Bound::AtLeast, value: 9 });
    let body = Written::Known(Body::Comparison(ComparisonBody::Decided { decision }));
    let id = EntryId("019a3c5f-7e00-7000-8000-0000000fffff".parse().expect("a name"));
    log.write(&[Entry { id, at: now, body, ..entry }]).expect("written");
    drop(log);

    let bench = Workbench::around(folder, clock);
    let shown = bench.ok(&ask(Value::Null))["decision"].clone();
    assert_eq!(shown["decided"].as_array().map(Vec::len), Some(2));
    let want = |quality: &str| {
        shown["wishes"]
            .as_array()
            .and_then(|all| all.iter().find(|one| one["quality"] == quality))
            .map(|one| one["want"].clone())
    };
    assert_eq!((want("treble"), want("hum"), &shown["musts"]), (Some(json!(1)), Some(json!(0)), &json!([])));
    assert_eq!(
        shown["left_out"],
        json!([
            "A wish of 100 for hum is off the scale. It is left out.",
            "Step 9 of bass is off the scale. It is left out."
        ])
    );
}

#[test]
fn cautions_are_asked_to_be_read_until_they_are() {
    let bench = Workbench::begun();
    let step = bench.step("sound_up");
    assert_eq!(step["unread"], "Read the cautions above first.");
    for caution in step["cautions"].as_array().expect("a step has cautions") {
        if caution["must_acknowledge"] == json!(true) {
            bench.note(json!({"ask": "acknowledge", "caution": caution["id"], "cause": caution["cause"]}));
        }
    }
    assert_eq!(bench.step("sound_up")["unread"], Value::Null);
}

#[test]
fn a_whole_audition_closed_and_opened_after_every_step() {
    let mut bench = Workbench::begun();
    let order = ["which_way", "leads", "meter", "seat", "gaps", "sound_up", "listen", "take_down"];
    for (index, step) in order.into_iter().enumerate() {
        bench = bench.reopened();
        let audition = bench.audition();
        assert_eq!(audition["next"], step);
        let go_on = bench.ok(&json!({"ask": "bench"}))["bench"]["go_on"].clone();
        assert_eq!(go_on[0]["step"], step, "the Bench page offers to go on here");
        assert_eq!(go_on[0]["steps_over"], index + 1);
        match step {
            "which_way" => {
                bench.note(json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "rolled"}}));
            }
            "leads" => bench.hook_up(),
            "meter" => bench.measure(),
            "seat" => {
                bench.note(json!({"ask": "ask_finish", "answer": workbench::finish_answer()}));
                bench.note(json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}}));
            }
            "gaps" => measure_gaps(&bench),
            "sound_up" => bench.tick_off(&SOUND_UP),
            "listen" => listen(&bench),
            _ => bench.tick_off(&TAKE_DOWN),
        }
        assert_eq!(status(&bench, step), "done", "{step}");
    }
    let audition = bench.audition();
    assert_eq!((audition["state"].as_str(), audition["next"].as_str()), (Some("finished"), None));
    let page = bench.ok(&json!({"ask": "bench"}))["bench"].clone();
    assert_eq!(page["go_on"], json!([]));
    assert_eq!(page["recent"][0]["audition"], AUDITION);
    // Everything typed is there to be read.
    let (stand, _) = lines(&audition);
    for part in
        ["3.334 kΩ", "6.66 kΩ", "13.34 kΩ", "4.4 mm", "strings open", "no marks", "treble 4 of 5", "Rig lifted off"]
    {
        assert!(stand.iter().any(|line| line.contains(part)), "{part}: {stand:#?}");
    }
}

/// The Bench page and the logbook lead to the step to which the audition itself leads: back to readings that are wrong.
#[test]
fn lists_lead_to_the_step_that_the_audition_leads_to() {
    let bench = Workbench::begun();
    bench.note(json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "rolled"}}));
    bench.hook_up();
    for (readings, step) in [(["OL", "OL", "OL"], "meter"), (["3.334k", "6.66k", "13.34k"], "seat")] {
        for (mode, reading) in ["parallel", "single", "series"].into_iter().zip(readings) {
            bench.read_meter(mode, reading);
        }
        let page = bench.ok(&json!({"ask": "bench"}))["bench"].clone();
        let found = bench.ok(&json!({"ask": "logbook", "find": {}}))["found"]["lines"].clone();
        let lead = [
            &bench.audition()["next"],
            &page["go_on"][0]["step"],
            &page["go_on"][0]["line"]["next"],
            &found[0]["next"],
        ];
        assert_eq!(lead, [&json!(step); 4], "{readings:?}");
    }
}

#[test]
fn a_wrong_reading_is_struck_out_and_the_right_one_written() {
    let bench = Workbench::begun();
    bench.hook_up();
    bench.read_meter("parallel", "3.334k");
    bench.read_meter("single", "6.66k");
    // The switch stood in single, so series shows one coil.
    let (wrong, audition) = bench.read_meter("series", "6.66k");
    assert_eq!(audition["meter"]["verdict"]["kind"], "bad", "{}", audition["meter"]["verdict"]);
    assert_eq!(status(&bench, "meter"), "open");

    let (strike, audition) =
        bench.note(json!({"ask": "strike_out", "struck": wrong, "why": "the switch stood in single"}));
    let (_, struck) = lines(&audition);
    assert_eq!(struck, ["Reading in series: 6.66 kΩ"], "struck out, and still readable");
    let line = audition["written"].as_array().and_then(|all| all.iter().find(|line| line["entry"] == wrong.as_str()));
    assert_eq!(line.map(|line| &line["struck"]["why"]), Some(&json!("the switch stood in single")));

    let (_, audition) = bench.read_meter("series", "13.34k");
    assert_eq!(audition["meter"]["verdict"]["kind"], "good");
    assert_eq!(status(&bench, "meter"), "done");

    // Striking the strike-out brings the old line back; the newer reading still stands.
    let (_, audition) = bench.note(json!({"ask": "strike_out", "struck": strike, "why": ""}));
    assert_eq!(lines(&audition).1, Vec::<String>::new());
    assert_eq!(status(&bench, "meter"), "done");
    assert_eq!(bench.reopened().audition(), audition, "the same after a restart");
}

/// Every reading that stands in an audition is found, also one before a mend or beside the ordinary ones; one that is struck out is not.
#[test]
fn what_was_read_before_something_was_mended_is_found() {
    let bench = Workbench::begun();
    bench.hook_up();
    bench.read_meter("series", "4.22k");
    bench.note(json!({"ask": "mend", "what": "a joint"}));
    let (again, _) = bench.read_meter("series", "8.25k");
    let found = |words: &str| {
        bench.ok(&json!({"ask": "logbook", "find": {"words": words}}))["found"]["lines"].as_array().map(Vec::len)
    };
    for words in ["4.22", "4.22k", "4.22 kΩ", "8.25"] {
        assert_eq!(found(words), Some(1), "{words}");
    }
    bench.note(json!({"ask": "strike_out", "struck": again, "why": ""}));
    assert_eq!((found("4.22"), found("8.25")), (Some(1), Some(0)));
}

#[test]
fn a_reading_that_is_struck_out_gives_back_the_one_before() {
    let bench = Workbench::begun();
    bench.read_meter("single", "6.66k");
    let (wrong, _) = bench.read_meter("single", "6.00k");
    let shown = |audition: &Value| audition["meter"]["modes"][1]["reading"].as_str().map(str::to_owned);
    assert_eq!(shown(&bench.audition()).as_deref(), Some("6 kΩ"));
    bench.note(json!({"ask": "strike_out", "struck": wrong, "why": ""}));
    assert_eq!(shown(&bench.audition()).as_deref(), Some("6.66 kΩ"));
}

#[test]
fn what_is_asked_again_is_written_once_and_answered_the_same() {
    let bench = Workbench::stocked();
    let asks = [
        json!({"ask": "write_pickup", "id": PICKUP, "form": workbench::pickup_form("Paper crane the second")}),
        json!({"ask": "retire", "thing": {"thing": "guitar", "id": OTHER_GUITAR}, "why": "sold"}),
        json!({"ask": "choose", "audition": AUDITION, "choice": choice()}),
        json!({"ask": "mount", "audition": AUDITION, "mounting": {"bass_end_over": "bass", "turn": "rolled"}}),
        json!({"ask": "hook_up", "audition": AUDITION, "hooked": {"terminal": 0, "leads": ["moss"], "tugged": true}}),
        json!({"ask": "take_reading", "audition": AUDITION, "mode": "single", "reading": "6.66k", "room": "21"}),
        json!({"ask": "ask_finish", "audition": AUDITION, "answer": workbench::finish_answer()}),
        json!({"ask": "tick_off", "audition": AUDITION, "tick": "volume_at_zero", "words": ""}),
        json!({"ask": "note_down", "audition": AUDITION, "mode": "single", "words": "clear"}),
        json!({"ask": "skip_step", "audition": AUDITION, "step": "gaps", "why": "no gauge here"}),
    ];
    for mut ask in asks {
        ask["entry"] = json!(bench.name());
        let once = bench.ok(&ask);
        let lines = audition_lines(&bench);
        assert_eq!(bench.ok(&ask), once, "{ask}");
        assert_eq!(bench.ok(&ask), once, "{ask}");
        assert_eq!(audition_lines(&bench), lines, "{ask}");
        // The same name for another thing is a mistake of the asker.
        let mut other = json!({"ask": "bring_back", "thing": {"thing": "rig", "id": RIG}});
        other["entry"] = ask["entry"].clone();
        let refusal = bench.refused(&other);
        assert_eq!(refusal["field"], "entry");
        assert!(refusal["sentence"].as_str().is_some_and(|sentence| sentence.contains("Another entry has this name")));
    }
}

fn audition_lines(bench: &Workbench) -> usize {
    let answer = bench.asked(&json!({"ask": "audition", "id": AUDITION}));
    answer["ok"]["audition"]["written"].as_array().map_or(0, Vec::len)
}

#[test]
fn the_rig_is_not_seated_before_the_finish_is_asked_about() {
    let bench = measured();
    assert_eq!(status(&bench, "seat"), "held");
    let seat = json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}});
    let refusal = bench.note_refused(seat.clone());
    assert_eq!((&refusal["code"], &refusal["field"]), (&json!("held"), &json!("finish_not_asked")));
    assert!(refusal["sentence"].as_str().is_some_and(|s| s.contains("not looked at yet")), "{refusal}");

    // “Not known” is an answer; then it is the feet that may mark it.
    let mut answer = workbench::finish_answer();
    answer["kind"] = json!("unknown");
    bench.note(json!({"ask": "ask_finish", "answer": answer.clone()}));
    assert_eq!(status(&bench, "seat"), "held");
    assert_eq!(bench.note_refused(seat.clone())["field"], "bare_feet_on_finish");

    answer["barrier"] = json!("cloth");
    let (_, audition) = bench.note(json!({"ask": "ask_finish", "answer": answer}));
    // All of it is told, as its line tells it.
    let told = audition["seat"]["finish_words"].as_str().unwrap_or_default();
    for part in ["clean cotton", "tried where it does not show", "grit wiped off", "before: no marks"] {
        assert!(told.contains(part), "{told}");
    }
    bench.note(seat);
    assert_eq!(status(&bench, "seat"), "done");
}

#[test]
fn the_feet_that_were_chosen_with_the_finish_are_the_ones_that_count() {
    let bench = measured();
    let mut answer = workbench::finish_answer();
    (answer["kind"], answer["feet"]) = (json!("lacquer"), json!("suction"));
    bench.note(json!({"ask": "ask_finish", "answer": answer.clone()}));
    assert_eq!(bench.step("seat")["holds"][0]["hold"], "bare_feet_on_finish");

    // Felt and cotton: seating is not held, nothing is said of suction, and something has to hold the rig.
    (answer["feet"], answer["barrier"]) = (json!("loose"), json!("cloth"));
    bench.note(json!({"ask": "ask_finish", "answer": answer.clone()}));
    assert_eq!(bench.step("seat")["holds"], json!([]));
    let note = bench.audition()["seat"]["guard"]["note"].as_str().unwrap_or_default().to_owned();
    assert!(note.contains("Felt and cork slide") && !note.contains("uction"), "{note}");

    // Felt was looked at, not suction.
    answer["barrier"] = json!("none");
    bench.note(json!({"ask": "ask_finish", "answer": answer}));
    let refusal = bench.note_refused(json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}}));
    assert_eq!(refusal["field"], "bare_feet_on_finish");
    bench.note(json!({"ask": "seat", "seating": {"feet": "loose", "steady": true}}));
    assert_eq!(status(&bench, "seat"), "done");
}

#[test]
fn a_rig_that_moves_is_told_so_by_what_holds_it() {
    let bench = measured();
    let mut answer = workbench::finish_answer();
    (answer["feet"], answer["held_by"]) = (json!("loose"), json!("strap"));
    bench.note(json!({"ask": "ask_finish", "answer": answer}));
    assert_eq!(bench.step("seat")["verdict"]["word"], "May stand");
    bench.note(json!({"ask": "seat", "seating": {"feet": "loose", "steady": false}}));
    let verdict = bench.step("seat")["verdict"].clone();
    assert_eq!(verdict["word"], "It moves");
    assert!(verdict["sentence"].as_str().is_some_and(|said| said.contains("Tie the strap again")), "{verdict}");
    let written = bench.audition()["written"].to_string();
    assert!(written.contains("felt or cork, nothing between, held by a soft strap"), "{written}");
}

#[test]
fn a_mode_is_not_called_silent_while_leads_are_still_to_come() {
    let bench = Workbench::begun();
    bench.note(json!({"ask": "hook_up", "hooked": {"terminal": 0, "leads": ["moss"], "tugged": true}}));
    let said = bench.audition()["leads"]["hookup"]["modes"].to_string();
    assert!(said.contains("parallel") && !said.contains("no sound"), "{said}");
    // Said to be empty, it is.
    bench.note(json!({"ask": "hook_up", "hooked": {"terminal": 1, "leads": [], "tugged": false}}));
    let said = bench.audition()["leads"]["hookup"]["modes"].to_string();
    assert!(said.contains("single: no sound"), "{said}");
}

#[test]
fn a_frame_joined_to_the_shield_is_kept_and_goes_where_the_shield_goes() {
    let bench = Workbench::stocked();
    let mut form = workbench::pickup_form("Covered heron");
    form["frame_joined_to"] = json!("shield");
    bench.write(json!({"ask": "write_pickup", "id": PICKUP, "form": form}));
    let page =
        |bench: &Workbench| bench.ok(&json!({"ask": "pickup", "id": PICKUP, "unit": "millimetre"}))["pickup"].clone();
    let kept = page(&bench);
    assert_eq!(
        (&kept["pickup"]["frame_joined_to"], &kept["form"]["frame_joined_to"]),
        (&json!("shield"), &json!("shield"))
    );

    // A bare shield goes to ground alone; one on a lead takes the frame along with that lead.
    let ground = |bench: &Workbench| {
        bench.write(json!({"ask": "choose", "audition": AUDITION, "choice": choice()}));
        bench.audition()["leads"]["hookup"]["ground"].to_string()
    };
    assert!(!ground(&bench).contains("frame"), "{}", ground(&bench));
    form["shield"]["joined_to"] = json!("moss");
    bench.write(json!({"ask": "write_pickup", "id": PICKUP, "form": form}));
    assert!(ground(&bench).contains("frame"), "{}", ground(&bench));

    form["shield"] = json!({"kind": "none", "joined_to": null});
    let refused = bench.refused(&json!({"ask": "write_pickup", "entry": bench.name(), "id": PICKUP, "form": form}));
    assert_eq!(refused["field"], "frame_joined_to", "{refused}");
}

#[test]
fn whether_the_rig_has_a_switch_is_told_once() {
    assert_eq!(Workbench::begun().audition()["switched"], true);
    assert_eq!(on_two_clips().audition()["switched"], false);
}

/// A pickup of one coil, yellow its plus end, on a rig of two clips and no switch.
fn on_two_clips() -> Workbench {
    let bench = Workbench::stocked();
    let mut form = workbench::pickup_form("Lone heron");
    form["construction"] = json!("single_coil");
    form["coils"] = json!([{"stated": "6.2k", "magnet_up": "north"}]);
    form["leads"] = json!([
        {"name": "yellow", "ends": [{"coil": "A", "end": "plus"}]}, {"name": "blue", "ends": [{"coil": "A", "end": "minus"}]},
    ]);
    form["shield"] = json!({"kind": "none", "joined_to": null});
    bench.write(json!({"ask": "write_pickup", "id": PICKUP, "form": form}));
    let mut rig = bench.ok(&json!({"ask": "rigs_to_begin_from", "unit": "millimetre"}))["rigs"][0]["form"].clone();
    rig["label"] = json!("Two clips");
    bench.write(json!({"ask": "write_rig", "id": RIG, "form": rig}));
    let mut choice = choice();
    choice["modes"] = json!(["direct"]);
    bench.write(json!({"ask": "choose", "audition": AUDITION, "choice": choice}));
    bench
}

fn put(bench: &Workbench, terminal: u8, leads: &[&str]) {
    let tugged = !leads.is_empty();
    bench.note(json!({"ask": "hook_up", "hooked": {"terminal": terminal, "leads": leads, "tugged": tugged}}));
}

/// What each terminal is offered, what is in it, and what that is.
fn terminals(bench: &Workbench) -> Vec<(Value, Value, String)> {
    let audition = bench.audition();
    let rows = audition["leads"]["terminals"].as_array().expect("a rig has terminals").clone();
    let row = |row: &Value| {
        (row["suggested"].clone(), row["hooked"]["leads"].clone(), row["role"].as_str().unwrap().to_owned())
    };
    rows.iter().map(row).collect()
}

#[test]
fn leads_against_the_record_are_told_and_called_what_they_are() {
    let bench = on_two_clips();
    let told = || bench.audition()["leads"]["hookup"]["sentence"].as_str().unwrap().to_owned();
    assert!(!told().contains("turned round"), "{}", told());
    put(&bench, 0, &["yellow"]);
    // Said as soon as it is in, and the other lead is offered for the other clip.
    assert!(told().contains("Yellow (plus) is at ground: turned round against the record."), "{}", told());
    let (yellow, blue) = (json!(["yellow"]), json!(["blue"]));
    assert_eq!(terminals(&bench)[1], (blue.clone(), Value::Null, "minus".to_owned()));
    put(&bench, 1, &["blue"]);
    assert!(bench.audition()["leads"]["hookup"]["amiss"] == true && told().contains("turned round"), "{}", told());
    let rows = terminals(&bench);
    assert_eq!((&rows[0].1, rows[0].2.as_str()), (&yellow, "plus"));
    assert_eq!((&rows[1].1, rows[1].2.as_str()), (&blue, "minus"));
    // It is no mistake.
    assert_eq!(status(&bench, "leads"), "done");
    put(&bench, 0, &["blue"]);
    put(&bench, 1, &["yellow"]);
    assert!(!told().contains("turned round"), "{}", told());
    assert_eq!(terminals(&bench)[1].2, "plus");
}

#[test]
fn a_lead_is_in_one_terminal_alone() {
    let bench = on_two_clips();
    put(&bench, 0, &["yellow"]);
    put(&bench, 1, &["yellow"]);
    let rows = terminals(&bench);
    assert_eq!((&rows[0].0, &rows[0].1, &rows[1].1), (&json!(["blue"]), &Value::Null, &json!(["yellow"])));
    assert_eq!(status(&bench, "leads"), "open");
    put(&bench, 0, &["blue"]);
    assert_eq!(status(&bench, "leads"), "done");
    // What stays where one was taken out is tugged anew.
    put(&bench, 0, &["blue", "yellow"]);
    put(&bench, 1, &["yellow"]);
    assert_eq!(status(&bench, "leads"), "open");
    put(&bench, 0, &["blue"]);
    assert_eq!(status(&bench, "leads"), "done");
}

#[test]
fn a_clip_that_stays_empty_leaves_a_lone_coil_without_a_sound() {
    let bench = on_two_clips();
    put(&bench, 0, &["blue"]);
    put(&bench, 1, &[]);
    assert_eq!(status(&bench, "leads"), "open");
    let sentence = "Yellow is in no terminal, and so no mode gives a sound.";
    assert_eq!(bench.step("leads")["verdict"]["sentence"], sentence);
    assert_eq!(bench.audition()["leads"]["hookup"]["sentence"], sentence);
    // Of two coils one may be heard alone.
    let bench = Workbench::begun();
    for (terminal, leads) in [(0, &["moss"][..]), (1, &["rust"]), (2, &[]), (3, &[])] {
        put(&bench, terminal, leads);
    }
    assert_eq!(status(&bench, "leads"), "done");
}

/// Both leads in one clip: the rig has no switch, so none is spoken of.
#[test]
fn a_rig_of_one_mode_has_no_switch_to_look_at() {
    let bench = on_two_clips();
    put(&bench, 0, &["blue", "yellow"]);
    put(&bench, 1, &[]);
    for reading in ["0.2", "6.2k", "3.1k", "62k", "OL"] {
        bench.read_meter("direct", reading);
        let said = sentences(&bench.audition()["meter"]);
        assert!(said.iter().all(|sentence| !sentence.to_lowercase().contains("switch")), "{reading}: {said:#?}");
    }
}

/// A reading that was only taken wrongly is over once it is taken anew: nothing is told to be wrong beside what agrees.
#[test]
fn what_was_wrong_with_a_reading_is_over_once_it_agrees() {
    let bench = on_two_clips();
    put(&bench, 0, &["blue"]);
    put(&bench, 1, &["yellow"]);
    bench.read_meter("direct", "62k");
    let meter = bench.audition()["meter"].clone();
    assert!(meter["verdict"]["kind"] == "bad" && !meter["diagnosis"].is_null(), "{meter:#}");
    let probe = json!({"at": "output", "mode": "direct", "care": "switch_and_range"});
    bench.note(json!({"ask": "probe", "probe": probe, "reading": "6.15k"}));
    let meter = bench.audition()["meter"].clone();
    assert_eq!((&meter["verdict"]["kind"], &meter["diagnosis"]), (&json!("good"), &Value::Null), "{meter:#}");
    assert_eq!(status(&bench, "meter"), "done");
}

/// Every string of an answer that is a sentence.
fn sentences(answer: &Value) -> Vec<String> {
    match answer {
        Value::String(text) if text.contains(' ') => vec![text.clone()],
        Value::Array(all) => all.iter().flat_map(sentences).collect(),
        Value::Object(all) => all.values().flat_map(sentences).collect(),
        _ => Vec::new(),
    }
}

#[test]
fn in_64ths_a_record_reads_in_64ths_and_its_form_loses_nothing() {
    let bench = Workbench::stocked();
    let page = &bench.ok(&json!({"ask": "guitar", "id": workbench::GUITAR, "unit": "sixtyfourth"}))["guitar"];
    assert_eq!((&page["shown"]["scale"], &page["form"]["scale"]), (&json!("25.512 in"), &json!("25.5118 in")));
    assert_eq!(page["shown"]["spread_nut"], "≈ 1 3/8 in");
    let rig = &bench.ok(&json!({"ask": "rig", "id": workbench::RIG, "unit": "sixtyfourth"}))["rig"];
    assert_eq!(
        (&rig["shown"]["thread_pitch"], &rig["shown"]["stud_spread"]),
        (&json!("0.0276 in"), &json!("≈ 3 5/32 in"))
    );
}

#[test]
fn ohms_too_few_for_a_coil_are_asked_about_and_not_refused() {
    let bench = Workbench::empty();
    for (quantity, text, query) in [
        ("coil", "6.66", json!("6.66 Ω or 6.66 kΩ? A coil has some kilohms.")),
        ("coil", "0", json!("0 Ω? A coil has some kilohms. None at all is a short.")),
        ("coil", "6.66k", json!(null)),
        ("coil", "OL", json!(null)),
        ("reading", "0.3", json!(null)),
    ] {
        let said = bench.ok(&json!({"ask": "understand", "quantity": quantity, "text": text, "unit": "millimetre"}));
        assert_eq!(said["query"], query, "{quantity} {text}: {said}");
    }
}

/// A reading that somebody was asked about while it was typed is not asked about once more; the cause is looked for.
#[test]
fn what_was_said_to_be_so_is_not_asked_about_again() {
    for sure in [false, true] {
        let bench = Workbench::begun();
        bench.hook_up();
        bench.read_meter("series", "13.34k");
        bench.read_meter("single", "6.66k");
        let ask = json!({"ask": "take_reading", "mode": "parallel", "reading": "3.334", "room": "21", "sure": sure});
        let (_, audition) = bench.note(ask);
        let found = &audition["meter"]["diagnosis"];
        assert_eq!(found["slip"].is_null(), sure, "{found}");
        assert!(found["ranked"].as_array().is_some_and(|all| !all.is_empty()), "{found}");
        let bench = bench.reopened();
        assert_eq!(bench.audition(), audition);
        // Where the diagnosis asks for a measurement, the same.
        let probe = json!({"at": "output", "mode": "parallel", "care": "as_usual"});
        let (_, audition) = bench.note(json!({"ask": "probe", "probe": probe, "reading": "3.334", "sure": sure}));
        assert_eq!(audition["meter"]["diagnosis"]["slip"].is_null(), sure);
    }
}

#[test]
fn a_hold_can_be_passed_by_writing_why_and_that_stays_to_be_read() {
    let bench = measured();
    let override_it = |why: &str| json!({"ask": "override_hold", "hold": "finish_not_asked", "why": why});
    for why in ["", "   ", "x"] {
        assert_eq!(bench.note_refused(override_it(why))["field"], "why", "{why:?} is no reason");
    }
    bench.note(override_it("plywood offcut, no finish to mark"));
    let (_, audition) = bench.note(json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}}));
    let (stand, _) = lines(&audition);
    assert!(
        stand
            .iter()
            .any(|line| line.contains("in spite of a hold") && line.contains("plywood offcut, no finish to mark")),
        "{stand:#?}"
    );
    let hold = workbench::step_of(&audition, "seat")["holds"][0].clone();
    assert_eq!(hold["overridden"], "plywood offcut, no finish to mark");
    let found = bench.ok(&json!({"ask": "logbook", "find": {"words": "plywood"}}))["found"]["lines"].clone();
    assert_eq!(found[0]["overrides"], 1, "the logbook says so too");

    // The reason struck out, the hold stands again.
    let written = audition["written"].as_array().cloned().unwrap_or_default();
    let passed = written.iter().find(|line| line["words"].as_str().is_some_and(|words| words.contains("in spite")));
    bench.note(
        json!({"ask": "strike_out", "struck": passed.map(|line| line["entry"].clone()), "why": "it has lacquer"}),
    );
    let seat = bench.note_refused(json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}}));
    assert_eq!(seat["field"], "finish_not_asked");
}

#[test]
fn no_sound_comes_up_over_a_short_or_an_open_coil() {
    for (reading, hold) in [("OL", "unexplained_open"), ("0.3", "unexplained_short"), ("45", "unexplained_short")] {
        // Until it is measured again.
        let bench = Workbench::begun();
        bench.hook_up();
        bench.read_meter("parallel", "3.334k");
        bench.read_meter("series", "13.34k");
        bench.read_meter("single", reading);
        for tick in SOUND_UP {
            let refusal = bench.note_refused(json!({"ask": "tick_off", "tick": tick, "words": ""}));
            assert_eq!((&refusal["code"], &refusal["field"]), (&json!("held"), &json!(hold)), "{reading} {tick}");
        }
        bench.read_meter("single", "6.66k");
        bench.tick_off(&SOUND_UP);
        assert_eq!(status(&bench, "sound_up"), "done", "{reading}");

        // Or until somebody writes why.
        let bench = Workbench::begun();
        bench.read_meter("single", reading);
        let (_, audition) =
            bench.note(json!({"ask": "override_hold", "hold": hold, "why": "coil B is known to be dead"}));
        assert!(lines(&audition).0.iter().any(|line| line.contains("coil B is known to be dead")), "{reading}");
        bench.tick_off(&SOUND_UP);
        assert_eq!(status(&bench, "sound_up"), "done", "{reading}");
    }
}

#[test]
fn nothing_is_plugged_in_before_the_volume_is_at_zero() {
    for tick in ["plugged_in", "switched_on", "raised_slowly"] {
        let bench = measured();
        let refusal = bench.note_refused(json!({"ask": "tick_off", "tick": tick, "words": ""}));
        assert_eq!((&refusal["code"], &refusal["field"]), (&json!("held"), &json!("amp_not_at_zero")), "{tick}");
        bench.tick_off(&["volume_at_zero", tick]);
    }
}

#[test]
fn how_a_step_stands_is_computed_from_what_was_said() {
    let bench = Workbench::begun();
    type Stands<'a> = (&'a str, &'a dyn Fn(&Workbench), &'a str);
    let stands: [Stands; 12] = [
        ("which_way", &|_| (), "open"),
        (
            "which_way",
            &|b| drop(b.note(json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "end_over_end"}}))),
            "open",
        ),
        (
            "which_way",
            &|b| drop(b.note(json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "not_turned"}}))),
            "open",
        ),
        (
            "which_way",
            &|b| drop(b.note(json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "rolled"}}))),
            "done",
        ),
        (
            "leads",
            &|b| drop(b.note(json!({"ask": "hook_up", "hooked": {"terminal": 0, "leads": ["moss"], "tugged": false}}))),
            "open",
        ),
        ("leads", &Workbench::hook_up, "done"),
        ("meter", &|b| drop(b.read_meter("single", "6.66k")), "open"),
        ("meter", &Workbench::measure, "done"),
        (
            "gaps",
            &|b| {
                drop(b.note(json!({"ask": "measure_gaps", "bass": "4", "treble": "4", "unit": "millimetre", "pressed_at": null, "kept": false})))
            },
            "open",
        ),
        ("gaps", &measure_gaps, "done"),
        (
            "listen",
            &|b| drop(b.note(json!({"ask": "skip_step", "step": "listen", "why": "the neighbours sleep"}))),
            "skipped",
        ),
        ("listen", &|b| drop(b.note(json!({"ask": "take_up_step", "step": "listen"}))), "open"),
    ];
    for (number, (step, doing, expected)) in stands.into_iter().enumerate() {
        doing(&bench);
        assert_eq!(status(&bench, step), expected, "{number}: {step}");
    }
    assert_eq!(
        bench.note_refused(json!({"ask": "skip_step", "step": "choose", "why": "no reason helps"}))["field"],
        "step"
    );
    assert_eq!(bench.note_refused(json!({"ask": "skip_step", "step": "gaps", "why": ""}))["field"], "why");
}

/// What was changed, and for each step that had been answered, a part of what is said about it.
#[test]
fn what_a_change_makes_worthless_is_said_aloud() {
    type Change = (&'static str, Value, &'static [(&'static str, &'static str)]);
    let changed = |field: &str, value: Value| {
        let mut changed = choice();
        changed[field] = value;
        json!({"ask": "choose", "choice": changed})
    };
    let changes: [Change; 6] = [
        (
            "another pickup",
            changed("pickup", json!(OTHER_PICKUP)),
            &[
                ("which_way", "The pickup was changed"),
                ("leads", "The pickup was changed"),
                ("meter", "Measure again"),
                ("gaps", "Measure the gaps again"),
                ("sound_up", "Volume to zero"),
                ("listen", "belongs to the earlier choice"),
            ],
        ),
        (
            "a lead in another terminal",
            json!({"ask": "hook_up", "hooked": {"terminal": 2, "leads": [], "tugged": true}}),
            &[("meter", "A lead was moved"), ("sound_up", "A lead was moved")],
        ),
        ("another place", changed("from_saddle", json!("90")), &[("gaps", "The place was changed")]),
        (
            "another guitar",
            changed("guitar", json!(OTHER_GUITAR)),
            &[
                ("seat", "The guitar was changed"),
                ("gaps", "The place was changed"),
                ("listen", "The guitar was changed"),
            ],
        ),
        (
            "the pickup turned",
            json!({"ask": "mount", "mounting": {"bass_end_over": "treble", "turn": "rolled"}}),
            &[("gaps", "The pickup was turned")],
        ),
        (
            "the rig seated again",
            json!({"ask": "seat", "seating": {"feet": "tape", "steady": true}}),
            &[("gaps", "seated again")],
        ),
    ];
    for (what, change, said) in changes {
        let bench = sounding();
        listen(&bench);
        let (entry, _) = bench.note(change);
        for step in ["choose", "which_way", "leads", "meter", "seat", "gaps", "sound_up", "listen", "take_down"] {
            let sentence = invalidated(&bench, step);
            match said.iter().find(|(named, _)| *named == step) {
                Some((_, part)) => {
                    assert!(sentence.contains(part), "{what}, {step}: {sentence:?}");
                    assert_ne!(status(&bench, step), "done", "{what}, {step}");
                }
                None => assert_eq!(sentence, "", "{what}, {step}"),
            }
        }
        // Struck out, the change has never been.
        bench.note(json!({"ask": "strike_out", "struck": entry, "why": "I was wrong"}));
        for step in ["which_way", "leads", "meter", "seat", "gaps", "sound_up", "listen"] {
            assert_eq!(
                (status(&bench, step).as_str(), invalidated(&bench, step).as_str()),
                ("done", ""),
                "{what}, {step}"
            );
        }
    }
}

#[test]
fn a_step_that_is_done_again_is_no_longer_said_to_be_worthless() {
    let bench = sounding();
    bench.note(json!({"ask": "hook_up", "hooked": {"terminal": 0, "leads": ["moss"], "tugged": true}}));
    assert_ne!(invalidated(&bench, "meter"), "");
    bench.measure();
    bench.tick_off(&SOUND_UP);
    for step in ["meter", "sound_up"] {
        assert_eq!((status(&bench, step).as_str(), invalidated(&bench, step).as_str()), ("done", ""), "{step}");
    }
}

#[test]
fn what_was_heard_carries_what_it_was_heard_in() {
    let bench = sounding();
    bench.note(json!({"ask": "describe_amp", "words": "small amp, volume 3"}));
    let (_, audition) = bench.note(json!({"ask": "note_down", "mode": "single", "words": "clear, some hum"}));
    let card = audition["listen"]["modes"][1].clone();
    assert_eq!(card["note"], "clear, some hum");
    let heard_in = card["heard_in"].as_str().unwrap_or_default();
    for part in [
        "single",
        "neck, 162 mm from the saddle",
        "gaps 4.4 mm and 3.6 mm",
        "small amp, volume 3",
        "strings .010 to .046",
    ] {
        assert!(heard_in.contains(part), "{part}: {heard_in}");
    }
    // What changes later does not change what it was heard in.
    bench.note(json!({"ask": "measure_gaps", "bass": "1.8", "treble": "1.6", "unit": "millimetre", "pressed_at": null, "kept": true}));
    assert_eq!(bench.audition()["listen"]["modes"][1]["heard_in"], heard_in);
}

/// The amplifier that was forgotten is written down later: what was heard carries it, and the audition is no longer by that.
#[test]
fn an_amplifier_that_was_forgotten_goes_with_what_was_heard() {
    let bench = sounding();
    let (_, running) = bench.note(json!({"ask": "note_down", "mode": "single", "words": "clear, some hum"}));
    let heard_in =
        |audition: &Value| audition["listen"]["modes"][1]["heard_in"].as_str().unwrap_or_default().to_owned();
    assert!(heard_in(&running).contains("amplifier not written down"), "{running}");
    let (_, ended) = bench.note(json!({"ask": "end_early", "why": "supper"}));
    bench.write(
        json!({"ask": "write_guitar", "id": GUITAR, "form": workbench::guitar_form("Kitchen guitar, now blue")}),
    );
    let (_, later) = bench.note(json!({"ask": "describe_amp", "words": "small amp, volume 3"}));
    assert_eq!(later["listen"]["amp"], "small amp, volume 3");
    assert!(heard_in(&later).contains("small amp, volume 3"), "{}", heard_in(&later));
    assert_eq!((&later["last"], &later["guitar"]["label"]), (&ended["last"], &json!("Kitchen guitar")));
    // Another one takes nothing back of what is known.
    let (_, again) = bench.note(json!({"ask": "describe_amp", "words": "another amp"}));
    assert_eq!(heard_in(&again), heard_in(&later));
}

/// An audition is as long as it was heard and taken down; what is written of it later makes it no longer, a new round does.
#[test]
fn what_is_written_later_makes_an_audition_no_longer() {
    let bench = sounding();
    let (heard, running) = bench.note(json!({"ask": "note_down", "mode": "single", "words": "clear, some hum"}));
    bench.tick_off(&TAKE_DOWN[..3]);
    let over = bench.audition();
    assert_ne!(over["last"], running["last"], "taking down is a part of it");
    let (strike, _) = bench.note(json!({"ask": "strike_out", "struck": heard, "why": "wrong mode"}));
    for later in [
        json!({"ask": "strike_out", "struck": strike, "why": ""}),
        json!({"ask": "describe_amp", "words": "small amp, volume 3"}),
        json!({"ask": "note_down", "mode": "series", "words": "fuller"}),
        json!({"ask": "rate", "mode": "series", "quality": "hum", "value": 2}),
    ] {
        let (_, audition) = bench.note(later.clone());
        assert_eq!(audition["last"], over["last"], "{later}");
    }
    bench.tick_off(&SOUND_UP);
    let again = bench.audition();
    assert_ne!(again["last"], over["last"]);
    bench.tick_off(&TAKE_DOWN);
    let over = bench.audition();
    assert_ne!(over["last"], again["last"]);
    let (_, audition) = bench.note(json!({"ask": "note_down", "mode": "single", "words": "no hum"}));
    assert_eq!(audition["last"], over["last"]);
}

/// While the sound is up, an amplifier goes with what is heard from then on.
#[test]
fn an_amplifier_goes_with_nothing_that_was_heard_before_it() {
    let bench = sounding();
    bench.note(json!({"ask": "note_down", "mode": "single", "words": "clear, some hum"}));
    let (_, audition) = bench.note(json!({"ask": "describe_amp", "words": "small amp, volume 3"}));
    let heard_in = audition["listen"]["modes"][1]["heard_in"].as_str().unwrap_or_default();
    assert!(heard_in.contains("amplifier not written down"), "{heard_in}");
}

#[test]
fn an_audition_tells_of_its_things_as_they_were_once_it_is_over() {
    let bench = Workbench::begun();
    bench.note(json!({"ask": "end_early", "why": "the amp broke"}));
    bench.write(
        json!({"ask": "write_guitar", "id": GUITAR, "form": workbench::guitar_form("Kitchen guitar, now blue")}),
    );
    let audition = bench.audition();
    assert_eq!(audition["guitar"]["label"], "Kitchen guitar");
    assert_eq!(audition["ended_because"], "the amp broke");
    // In the list it goes by the name it has now.
    let found = bench.ok(&json!({"ask": "logbook", "find": {"words": "blue"}}))["found"]["lines"].clone();
    assert_eq!(found[0]["guitar_label"], "Kitchen guitar, now blue");
}

#[test]
fn every_rig_to_begin_from_takes_a_pickup_once_it_has_a_label() {
    let bench = Workbench::stocked();
    // Two coils of 6.66 kΩ: what comes out of each mode.
    let wanted = [
        ("Two clips", vec![("direct", Some(6660.0))]),
        ("Stub in a screw block", vec![("direct", Some(6660.0))]),
        ("Three terminals", vec![("series", Some(13320.0)), ("single", Some(6660.0))]),
        ("Four terminals", vec![("series", Some(13320.0)), ("single", Some(6660.0)), ("parallel", Some(3330.0))]),
    ];
    let reply = bench.ok(&json!({"ask": "rigs_to_begin_from", "unit": "millimetre"}));
    let rigs = reply["rigs"].as_array().unwrap();
    assert_eq!(rigs.len(), wanted.len());
    for (number, (rig, (what, modes))) in rigs.iter().zip(wanted).enumerate() {
        assert_eq!(rig["what"], what);
        let id = format!("019a3c5f-7e00-7000-8000-00000000a{number:03x}");
        let mut form = rig["form"].clone();
        assert_eq!(
            bench.refused(&json!({"ask": "write_rig", "entry": bench.name(), "id": id, "form": form}))["field"],
            "label"
        );
        form["label"] = json!(what);
        bench.write(json!({"ask": "write_rig", "id": id, "form": form}));
        let reply = bench.ok(&json!({"ask": "modes_of", "pickup": PICKUP, "rig": id}));
        let came: Vec<(&str, Option<f64>)> = reply["modes"]
            .as_array()
            .unwrap()
            .iter()
            .map(|mode| (mode["mode"].as_str().unwrap(), mode["nominal"].as_f64().map(f64::round)))
            .collect();
        assert_eq!(came, modes, "{what}");
    }
}
