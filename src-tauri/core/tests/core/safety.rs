//! Safety through `ask`, as the pages and a phone meet it: holds, the time on a finish, hearing, stop lists, the iron, and
//! which cautions a bench comes to.

use std::collections::{BTreeMap, BTreeSet};

use chrono::TimeDelta;
use serde_json::{Value, json};
use solderlast_core::safety::cautions::{self, Condition, Moment, catalogue};
use solderlast_testkit::workbench::{
    self, AUDITION, OTHER_GUITAR, SOUND_UP, TAKE_DOWN, Workbench, choice, finish_answer, step_of,
};

const OTHER: &str = "019a3c5f-7e00-7000-8000-00000000000b";

/// Seated on lacquer with cotton between, which may stand for four hours.
fn on_lacquer() -> Workbench {
    let bench = Workbench::begun();
    answer_finish(&bench, "lacquer", "cloth");
    bench.note(json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}}));
    bench
}

fn answer_finish(bench: &Workbench, kind: &str, barrier: &str) {
    let mut answer = finish_answer();
    (answer["kind"], answer["barrier"], answer["held_by"]) = (json!(kind), json!(barrier), json!("strap"));
    bench.note(json!({"ask": "ask_finish", "answer": answer}));
}

fn meter(bench: &Workbench, level: &str) {
    bench.note(json!({"ask": "tell_level", "level": {"by": "meter", "typed": level}}));
}

fn spent(audition: &Value) -> f64 {
    audition["hearing"]["today"]["spent"].as_f64().expect("a share")
}

fn held(audition: &Value, step: &str) -> Vec<String> {
    step_of(audition, step)["holds"]
        .as_array()
        .into_iter()
        .flatten()
        .filter(|hold| hold["overridden"].is_null())
        .map(|hold| hold["hold"].as_str().unwrap_or_default().to_owned())
        .collect()
}

fn minutes(bench: &Workbench, minutes: i64) {
    bench.clock.move_by(TimeDelta::minutes(minutes));
}

#[test]
fn a_loud_session_runs_out_of_hearing_and_holds() {
    let bench = Workbench::begun();
    bench.tick_off(&SOUND_UP);
    let audition = bench.audition();
    assert_eq!(audition["hearing"]["sounding"], true);
    let said = audition["hearing"]["level_said"].as_str().unwrap_or_default();
    assert!(said.contains("Nobody has said how loud it is, so it counts as 80 dB(A)"), "{said}");

    // 100 dB(A) may last fifteen minutes by NIOSH 98-126; the first level told counts from when the sound came up.
    meter(&bench, "100");
    let left = bench.audition()["hearing"]["today"]["left"]["shown"].clone();
    assert_eq!(left, "14 min left at 100 dB(A)");
    let due = bench.audition()["hearing"]["next_look"].clone();
    assert!(due.is_string(), "the page looks again when half is spent");

    minutes(&bench, 8);
    let audition = bench.audition();
    assert!((0.5..0.6).contains(&spent(&audition)), "{}", spent(&audition));
    let ids: Vec<&str> = shown(&audition, "listen").into_iter().map(|(id, _)| id).collect();
    assert!(ids.contains(&"hearing-half"), "{ids:?}");
    assert_eq!(held(&audition, "listen"), Vec::<String>::new());
    let (_, audition) = bench.note(json!({"ask": "rate", "mode": "single", "quality": "treble", "value": 4}));
    assert!(spent(&audition) < 1.0);

    minutes(&bench, 8);
    let audition = bench.audition();
    assert!(spent(&audition) > 1.0);
    assert_eq!(held(&audition, "listen"), ["hearing_spent"]);
    assert_eq!(step_of(&audition, "listen")["status"], "held");
    let rate = json!({"ask": "rate", "mode": "series", "quality": "treble", "value": 4});
    let refusal = bench.note_refused(rate.clone());
    assert_eq!((&refusal["code"], &refusal["field"]), (&json!("held"), &json!("hearing_spent")));
    let bench_page = bench.ok(&json!({"ask": "bench"}))["bench"].clone();
    assert_eq!(bench_page["hearing"]["state"], "spent");
    assert_eq!(bench_page["sounding"], json!([AUDITION]));

    // With the sound down, what was heard may be written down; more sound may not come up.
    bench.tick_off(&TAKE_DOWN[..1]);
    bench.note(rate);
    assert_eq!(
        bench.note_refused(json!({"ask": "tick_off", "tick": "volume_at_zero", "words": ""}))["field"],
        "hearing_spent"
    );

    // The next day ears are fresh.
    minutes(&bench, 24 * 60);
    bench.tick_off(&SOUND_UP);
    assert!(spent(&bench.audition()) < 0.1);
}

fn shown<'a>(audition: &'a Value, step: &str) -> Vec<(&'a str, bool)> {
    let steps = audition["steps"].as_array().expect("an audition has steps");
    let step = steps.iter().find(|view| view["step"] == step).expect("the step is there");
    ids(&step["cautions"])
}

fn ids(cautions: &Value) -> Vec<(&str, bool)> {
    let all = cautions.as_array().expect("a list of cautions");
    all.iter().filter_map(|one| Some((one["id"].as_str()?, one["acknowledged"] == true))).collect()
}

#[test]
fn a_day_is_summed_over_all_its_auditions_and_a_time_is_corrected_by_hand() {
    let bench = Workbench::begun();
    meter(&bench, "97 dB(A)");
    bench.tick_off(&SOUND_UP);
    minutes(&bench, 15);
    bench.tick_off(&TAKE_DOWN[..1]);
    // 97 dB(A) may last half an hour: half of it is spent.
    let half = spent(&bench.audition());
    assert!((0.5..0.52).contains(&half), "{half}");

    bench.write(json!({"ask": "choose", "audition": OTHER, "choice": choice()}));
    let other = || bench.ok(&json!({"ask": "audition", "id": OTHER}))["audition"].clone();
    assert!((spent(&other()) - half).abs() < 0.001, "the same ears");
    let said = other()["hearing"]["level_said"].clone();
    assert_eq!(said, "97 dB(A), by a meter", "the level of the same day is taken over");
    let tick = |tick: &str| {
        bench.write(json!({"ask": "tick_off", "audition": OTHER, "tick": tick, "words": ""}));
    };
    SOUND_UP.iter().for_each(|one| tick(one));
    minutes(&bench, 16);
    let refusal = bench.refused(&json!({"ask": "rate", "entry": bench.name(), "audition": OTHER, "mode": "single",
        "quality": "bass", "value": 2}));
    assert_eq!(refusal["field"], "hearing_spent");

    // It was not up all that time.
    let session = other()["hearing"]["sessions"][0]["session"].clone();
    let correct = |time: &str, level: Value| json!({"ask": "correct_listening", "entry": bench.name(), "audition": OTHER, "session": session, "time": time, "level": level});
    for (time, field) in [("", "time"), ("soon", "time"), ("-4", "time"), ("30 h", "time")] {
        assert_eq!(bench.refused(&correct(time, Value::Null))["field"], field, "{time:?}");
    }
    let mut elsewhere = correct("5", Value::Null);
    elsewhere["session"] = json!(bench.name());
    assert_eq!(bench.refused(&elsewhere)["field"], "session");
    tick("volume_down");
    bench.ok(&correct("6 min", Value::Null));
    let corrected = other();
    assert!((0.7..0.72).contains(&spent(&corrected)), "{}", spent(&corrected));
    assert!(
        corrected["hearing"]["sessions"][0]["shown"]
            .as_str()
            .is_some_and(|shown| shown.contains("6 min at 97 dB(A), corrected by hand")),
        "{}",
        corrected["hearing"]["sessions"]
    );
    let line = corrected["written"].as_array().and_then(|all| all.last()).map(|line| line["words"].clone());
    assert_eq!(line, Some(json!("Listening corrected: it was 6 min")));
    // A level said too loud is corrected too.
    bench.ok(&correct("6", json!({"by": "words", "loudness": "talk_with_ease"})));
    assert!((spent(&other()) - half).abs() < 0.001, "75 dB(A) does not count by NIOSH");

    // Erased, what was heard in it is no longer known.
    bench.ok(&json!({"ask": "erase", "things": [{"thing": "audition", "id": AUDITION}]}));
    assert_eq!(spent(&other()), 0.0);
}

#[test]
fn the_rule_and_the_persons_own_midnight_decide() {
    let bench = Workbench::begun();
    let listener = |rule: Value, ahead: Value| {
        bench.ok(&json!({"ask": "listener", "rule": rule, "minutes_ahead": ahead}))["listener"].clone()
    };
    let first = listener(Value::Null, Value::Null);
    assert_eq!((&first["rule"], &first["minutes_ahead"]), (&json!("niosh"), &json!(0)));
    assert_eq!(first["rules"].as_array().map(Vec::len), Some(3));
    meter(&bench, "100");
    bench.tick_off(&SOUND_UP);
    minutes(&bench, 20);
    bench.tick_off(&TAKE_DOWN[..1]);
    let by = |rule: &str| listener(json!(rule), Value::Null)["today"]["spent"].as_f64().unwrap_or_default();
    // 20 minutes at 100 dB(A): of 15 minutes, of 2 hours, and of 8 h / 2^(13/3.01).
    for (rule, share) in [("niosh", 20.0 / 15.0), ("osha", 20.0 / 120.0), ("eu", 20.0 / (480.0 / 10f64.powf(1.3)))] {
        assert!((by(rule) - share).abs() < 0.02, "{rule}: {} is not {share}", by(rule));
    }
    for (rule, holds) in [("niosh", &["hearing_spent"][..]), ("eu", &[]), ("osha", &[])] {
        by(rule);
        assert_eq!(held(&bench.audition(), "sound_up"), holds, "{rule}");
    }
    let reopened = bench.reopened();
    let kept = reopened.ok(&json!({"ask": "listener", "rule": null, "minutes_ahead": null}))["listener"].clone();
    assert_eq!(kept["rule"], "osha", "it is kept");

    // It is 11 past four in the afternoon UTC. Where it is past midnight already, that was yesterday.
    let ahead = |minutes: i64| {
        let asked = json!({"ask": "listener", "rule": "niosh", "minutes_ahead": minutes});
        reopened.ok(&asked)["listener"]["today"]["spent"].as_f64().unwrap_or_default()
    };
    let now = reopened.audition()["last"].as_str().map(|at| at[11..16].to_owned()).unwrap_or_default();
    let past_midnight =
        24 * 60 - (now[..2].parse::<i64>().unwrap_or(0) * 60 + now[3..].parse::<i64>().unwrap_or(0)) + 5;
    assert!(ahead(0) > 1.0);
    if past_midnight <= 18 * 60 {
        // Five minutes into the new day only the last of the sound can lie in it.
        assert!(ahead(past_midnight) < 0.5, "{now}: {}", ahead(past_midnight));
    }
    for wrong in [18 * 60 + 1, -5000, 1_000_000] {
        let refusal = reopened.refused(&json!({"ask": "listener", "rule": null, "minutes_ahead": wrong}));
        assert_eq!(refusal["field"], "minutes_ahead");
    }
}

/// Clocks go back in the night, so the day is 25 hours long: what was heard after its midnight is spent until its end, also when
/// the page was opened anew since and tells another distance from UTC.
#[test]
fn a_night_over_the_change_of_clocks_forgets_nothing() {
    let bench = Workbench::begun();
    let until = |at: &str| {
        let at: chrono::DateTime<chrono::Utc> = at.parse().expect("an instant written in the test");
        bench.clock.move_by(at - solderlast_core::clock::Clock::now(&*bench.clock));
    };
    let told = |ahead: Value, zone: Value| {
        bench.ok(&json!({"ask": "listener", "rule": null, "minutes_ahead": ahead, "zone": zone}))["listener"].clone()
    };
    let spent = |listener: &Value| listener["today"]["spent"].as_f64().unwrap_or_default();
    let lisbon = json!("Europe/Lisbon");
    // Ten past midnight there, an hour ahead of UTC: 10 minutes at 100 dB(A), of 15.
    until("2027-10-30T23:10:00Z");
    told(json!(60), lisbon.clone());
    meter(&bench, "100");
    bench.tick_off(&SOUND_UP);
    minutes(&bench, 10);
    bench.tick_off(&TAKE_DOWN[..1]);
    // Half past eleven of the same day, by a clock that is not ahead any more.
    until("2027-10-31T23:30:00Z");
    let evening = told(json!(0), lisbon.clone());
    assert!((spent(&evening) - 2.0 / 3.0).abs() < 0.02, "{evening}");
    assert_eq!((&evening["minutes_ahead"], &evening["zone"]), (&json!(0), &lisbon));
    // A page of before that tells no zone says the same of the clock, so the zone stays.
    let older = told(json!(0), Value::Null);
    assert_eq!((&older["zone"], spent(&older) > 0.6), (&lisbon, true));
    // One that says otherwise was opened somewhere else.
    let elsewhere = told(json!(120), Value::Null);
    assert_eq!((&elsewhere["zone"], spent(&elsewhere)), (&Value::Null, 0.0));
    // A zone that this version does not know is kept, and the minutes count.
    let newer = told(json!(0), json!("Mars/Olympus"));
    assert_eq!((&newer["zone"], &newer["minutes_ahead"]), (&json!("Mars/Olympus"), &json!(0)));
    told(json!(0), lisbon.clone());
    until("2027-11-01T00:00:30Z");
    assert_eq!(spent(&told(Value::Null, Value::Null)), 0.0, "a new day");
    for wrong in ["", "Europe/Lis bon", "Europe/L\u{ed}sbon", "<b>", &"x".repeat(65)] {
        let ask = json!({"ask": "listener", "rule": null, "minutes_ahead": 0, "zone": wrong});
        assert_eq!(bench.refused(&ask)["field"], "zone", "{wrong}");
    }
    let kept = bench.ok(&json!({"ask": "listener", "rule": null, "minutes_ahead": null}))["listener"].clone();
    assert_eq!(kept["zone"], lisbon, "it is kept, and asked for in the words of older pages");
    let reopened = bench.reopened();
    let later = reopened.ok(&json!({"ask": "listener", "rule": null, "minutes_ahead": null}))["listener"].clone();
    assert_eq!(later["zone"], lisbon, "also when the program was closed");
}

#[test]
fn a_word_given_for_ones_ears_holds_for_the_day() {
    let bench = Workbench::begun();
    meter(&bench, "112");
    bench.tick_off(&SOUND_UP);
    minutes(&bench, 10);
    bench.tick_off(&TAKE_DOWN[..1]);
    bench.note(json!({"ask": "override_hold", "hold": "hearing_spent", "why": "plugs of 30 dB are in"}));
    bench.tick_off(&SOUND_UP);
    minutes(&bench, 24 * 60);
    let audition = bench.audition();
    assert_eq!(held(&audition, "listen"), ["hearing_spent"], "a day with the sound up, by what was ticked");
    assert_eq!(audition["overrides"][0]["why"], "plugs of 30 dB are in", "and it stays to be read");
}

#[test]
fn suction_on_lacquer_is_held_a_barrier_clears_it_and_the_time_runs() {
    let bench = Workbench::begun();
    answer_finish(&bench, "lacquer", "none");
    assert_eq!(held(&bench.audition(), "seat"), ["bare_feet_on_finish"]);
    let seat = json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}});
    assert_eq!(bench.note_refused(seat.clone())["field"], "bare_feet_on_finish");
    answer_finish(&bench, "lacquer", "film");
    assert_eq!(bench.note_refused(seat.clone())["field"], "bare_feet_on_finish", "film is no barrier");
    answer_finish(&bench, "lacquer", "cloth");
    assert!(bench.audition()["on_finish"].is_null());
    let (_, audition) = bench.note(seat);
    assert_eq!(
        (&audition["on_finish"]["state"], &audition["on_finish"]["shown"]),
        (&json!("running"), &json!("4 h left"))
    );

    // The app is closed for most of it: the next opening says so on the Bench page and in every step that follows.
    minutes(&bench, 232);
    let bench = bench.reopened();
    let page = bench.ok(&json!({"ask": "bench"}))["bench"]["on_finish"].clone();
    assert_eq!((&page[0]["audition"], &page[0]["countdown"]["state"]), (&json!(AUDITION), &json!("nearly_over")));
    assert_eq!(page[0]["title"], "Paper crane on Kitchen guitar, neck");
    let audition = bench.audition();
    for step in ["gaps", "sound_up", "listen", "take_down"] {
        assert!(shown(&audition, step).iter().any(|(id, _)| *id == "time-on-finish"), "{step}");
    }
    minutes(&bench, 30);
    assert_eq!(bench.audition()["on_finish"]["state"], "over");

    // Lifted, it is over and done with; seated again, a new time begins.
    bench.tick_off(&["volume_down", "lifted"]);
    assert!(bench.audition()["on_finish"].is_null());
    assert_eq!(bench.ok(&json!({"ask": "bench"}))["bench"]["on_finish"], json!([]));
    let (_, audition) = bench.note(json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}}));
    assert_eq!(audition["on_finish"]["state"], "running");
}

#[test]
fn a_clock_set_back_gives_a_finish_no_time_and_set_forward_is_believed() {
    let bench = on_lacquer();
    minutes(&bench, 150);
    bench.note(json!({"ask": "note_down", "mode": "single", "words": "clear"}));
    minutes(&bench, -300);
    let countdown = bench.audition()["on_finish"].clone();
    assert_eq!(countdown["clock_moved"], true);
    assert_eq!(countdown["shown"], "1 h 29 min left", "counted from what was written last");
    assert!(countdown["sentence"].as_str().is_some_and(|sentence| sentence.contains("set back")));
    let bench = bench.reopened();
    assert_eq!(bench.audition()["on_finish"]["clock_moved"], true, "also after a restart");
    minutes(&bench, 700);
    let countdown = bench.audition()["on_finish"].clone();
    assert_eq!((&countdown["state"], &countdown["clock_moved"]), (&json!("over"), &json!(false)));
}

#[test]
fn a_rig_that_was_left_standing_is_asked_after() {
    let bench = on_lacquer();
    bench.note(json!({"ask": "end_early", "why": "the amp broke"}));
    minutes(&bench, 300);
    let page = bench.ok(&json!({"ask": "bench"}))["bench"].clone();
    assert_eq!((&page["go_on"], &page["on_finish"][0]["countdown"]["state"]), (&json!([]), &json!("over")));
    bench.tick_off(&["lifted"]);
    assert_eq!(bench.ok(&json!({"ask": "bench"}))["bench"]["on_finish"], json!([]));

    // Seated again without having been lifted, it has stood there all the time.
    let bench = on_lacquer();
    minutes(&bench, 100);
    bench.note(json!({"ask": "seat", "seating": {"feet": "suction", "steady": true}}));
    assert_eq!(bench.audition()["on_finish"]["shown"], "2 h 19 min left");
    // Another guitar is another finish.
    let mut other = choice();
    other["guitar"] = json!(OTHER_GUITAR);
    bench.note(json!({"ask": "choose", "choice": other}));
    assert!(bench.audition()["on_finish"].is_null());
}

#[test]
fn a_hold_passed_for_one_finish_passes_nothing_on_another() {
    let bench = Workbench::begun();
    answer_finish(&bench, "lacquer", "none");
    bench.note(json!({"ask": "override_hold", "hold": "bare_feet_on_finish", "why": "scrap body, to be refinished"}));
    assert_eq!(held(&bench.audition(), "seat"), Vec::<String>::new());
    let mut other = choice();
    other["guitar"] = json!(OTHER_GUITAR);
    bench.note(json!({"ask": "choose", "choice": other}));
    assert_eq!(held(&bench.audition(), "seat"), ["finish_not_asked"]);
    answer_finish(&bench, "lacquer", "none");
    let audition = bench.audition();
    assert_eq!(held(&audition, "seat"), ["bare_feet_on_finish"]);
    assert_eq!(audition["overrides"][0]["why"], "scrap body, to be refinished", "what was done stays to be read");
    let found = bench.ok(&json!({"ask": "logbook", "find": {"words": "refinished"}}))["found"]["lines"].clone();
    assert_eq!(found[0]["overrides"], 1);
}

#[test]
fn a_stop_list_is_ticked_item_by_item_or_in_one_act_where_nothing_hangs_on_it() {
    let bench = Workbench::begun();
    let together = |ticks: &[&str]| json!({"ask": "tick_together", "ticks": ticks});
    for wrong in [
        &["standby", "volume_at_zero"][..],
        &["switched_on", "raised_slowly"],
        &["leads_free", "lifted"],
        &["standby", "amp_quiet"],
        &[],
        &[
            "glasses_on",
            "air_moving",
            "stand_ready",
            "strings_safe",
            "glasses_on",
            "air_moving",
            "stand_ready",
            "strings_safe",
        ],
    ] {
        assert_eq!(bench.note_refused(together(wrong))["field"], "ticks", "{wrong:?}");
    }
    // Nothing is plugged in before the volume is at zero, however many items are ticked at once.
    let refusal = bench.note_refused(together(&["standby", "plugged_in", "switched_on"]));
    assert_eq!((&refusal["code"], &refusal["field"]), (&json!("held"), &json!("amp_not_at_zero")));
    assert_eq!(bench.audition()["sound_up"]["together"], json!([]), "the first waits alone");
    bench.tick_off(&["dry_and_whole", "volume_at_zero"]);
    let order = bench.audition()["sound_up"].clone();
    assert_eq!(order["together"], json!(["standby", "plugged_in", "switched_on"]));
    let (entry, audition) = bench.note(together(&["standby", "plugged_in", "switched_on"]));
    assert_eq!(audition["sound_up"]["next"], "raised_slowly");
    let line = audition["written"].as_array().and_then(|all| all.last()).map(|line| line["words"].clone());
    assert_eq!(line, Some(json!("Said aloud and done together: Amplifier in standby or off; Plugged in; Switched on")));
    let (_, audition) = bench.note(json!({"ask": "strike_out", "struck": entry, "why": "I did not"}));
    assert_eq!(audition["sound_up"]["next"], "standby", "struck out, none of it was done");
}

#[test]
fn an_amp_without_a_volume_knob_is_passed_by_writing_why() {
    let bench = Workbench::begun();
    bench.tick_off(&["dry_and_whole"]);
    let waits = bench.audition()["sound_up"]["waits"].clone();
    assert_eq!((&waits["hold"], &waits["overridden"]), (&json!("amp_not_at_zero"), &Value::Null));
    bench.note(
        json!({"ask": "override_hold", "hold": "amp_not_at_zero", "why": "test speaker with a fixed level of 60 dB"}),
    );
    let order = bench.audition()["sound_up"].clone();
    assert_eq!((&order["next"], &order["waits"]), (&json!("standby"), &Value::Null));
    bench.tick_off(&["standby", "plugged_in", "switched_on", "raised_slowly"]);
    assert_eq!(step_of(&bench.audition(), "sound_up")["status"], "done");
}

#[test]
fn no_iron_before_unplugged_battery_out_and_finish_covered() {
    let bench = Workbench::begun();
    let light = json!({"ask": "light_iron"});
    let iron_holds = |bench: &Workbench| -> Vec<String> {
        let iron = bench.audition()["iron"].clone();
        let holds = iron["holds"].as_array().cloned().unwrap_or_default();
        holds
            .iter()
            .filter(|one| one["overridden"].is_null())
            .map(|one| one["hold"].as_str().unwrap_or_default().to_owned())
            .collect()
    };
    assert_eq!(iron_holds(&bench), ["iron_plugged_in", "iron_battery_in", "iron_finish_bare"]);
    assert_eq!(bench.note_refused(light.clone())["field"], "iron_plugged_in");
    bench.tick_off(&["guitar_unplugged"]);
    assert_eq!(bench.note_refused(light.clone())["field"], "iron_battery_in");
    bench.note(json!({"ask": "tell", "told": {"fact": "battery", "is": false}}));
    assert_eq!(bench.audition()["iron"]["order"]["items"].as_array().map(Vec::len), Some(6), "no battery, no item");
    assert_eq!(bench.note_refused(light.clone())["field"], "iron_finish_bare");
    bench.note(json!({"ask": "override_hold", "hold": "iron_finish_bare", "why": "the body lies in another room"}));
    let (_, audition) = bench.note(light);
    assert!(audition["iron"]["lit"].is_string());
    // The Bench page says so until it is off.
    let irons = |bench: &Workbench| bench.ok(&json!({"ask": "bench"}))["bench"]["irons"].clone();
    let on = irons(&bench);
    assert_eq!((&on[0]["about"]["thing"], &on[0]["since"]), (&json!("audition"), &audition["iron"]["lit"]));
    assert!(on[0]["title"].as_str().is_some_and(|title| !title.is_empty()), "{on}");
    assert_eq!(audition["overrides"][0]["reason"], "The finish is bare. One drop of solder marks it for good.");
    let (_, audition) = bench.note(json!({"ask": "iron_off"}));
    assert!(audition["iron"]["lit"].is_null());
    assert_eq!(irons(&bench), json!([]));
    assert_eq!(
        iron_holds(&bench),
        ["iron_plugged_in"],
        "the list is read anew the next time; what was passed stays passed"
    );
}

#[test]
fn a_caution_is_read_once_and_again_when_its_cause_changes() {
    let bench = Workbench::begun();
    let loud = |bench: &Workbench| {
        let audition = bench.audition();
        let step = step_of(&audition, "sound_up");
        let all = step["cautions"].as_array().cloned().unwrap_or_default();
        all.into_iter()
            .find(|one| one["id"] == "loud-sound")
            .map(|one| (one["acknowledged"] == true, one["cause"].clone()))
    };
    let (read, cause) = loud(&bench).expect("it applies");
    assert!(!read);
    bench.note(json!({"ask": "acknowledge", "caution": "loud-sound", "cause": cause}));
    assert_eq!(loud(&bench).map(|(read, _)| read), Some(true));
    meter(&bench, "82");
    bench.note(json!({"ask": "tell", "told": {"fact": "headphones", "is": false}}));
    bench.note(json!({"ask": "tell", "told": {"fact": "amp", "is": "solid_state"}}));
    assert_eq!(loud(&bench).map(|(read, _)| read), Some(true), "nothing it hangs on has changed");
    bench.note(json!({"ask": "tell", "told": {"fact": "headphones", "is": true}}));
    assert_eq!(loud(&bench), None, "the one about headphones speaks in its place");
    let audition = bench.audition();
    assert!(shown(&audition, "sound_up").contains(&("headphones", false)));
    // It was read, though it applies no more.
    let read = |line: &&Value| line["hazard"] == "Loud sound wears out your ears." && line["word_shown"] == "WARNING";
    assert_eq!(audition["cautions_read"].as_array().into_iter().flatten().filter(read).count(), 1, "{audition}");
}

/// The pages of an audition that somebody comes to, the iron's included, each with its cautions. What is chosen stands on a page
/// before any audition is begun, so nobody meets a caution there.
fn pages(audition: &Value) -> BTreeMap<String, BTreeSet<String>> {
    let all = |list: &Value| ids(list).into_iter().map(|(id, _)| id.to_owned()).collect::<BTreeSet<_>>();
    let mut pages = BTreeMap::new();
    for step in audition["steps"].as_array().into_iter().flatten().filter(|step| step["step"] != "choose") {
        pages.insert(step["name"].as_str().unwrap_or_default().to_owned(), all(&step["cautions"]));
    }
    let iron = all(&audition["iron"]["cautions"]);
    let opened = iron.union(&all(&audition["iron"]["opening"])).cloned().collect();
    pages.insert(Moment::Fit.name().to_owned(), opened);
    pages.insert(Moment::Iron.name().to_owned(), iron);
    pages
}

/// A page that is come to before the pickup is first handled warns whoever has a device in the body, above what can only be spoilt.
#[test]
fn the_first_page_warns_of_magnets() {
    let bench = Workbench::begun();
    let audition = bench.audition();
    assert_eq!(audition["next"], "which_way");
    let step = step_of(&audition, "which_way");
    let first = &step["cautions"][0];
    assert_eq!((&first["id"], &first["word"]), (&json!("magnet-implant"), &json!("warning")));
    let asked: Vec<&Value> = step["questions"].as_array().into_iter().flatten().map(|one| &one["question"]).collect();
    assert_eq!(asked, ["implant", "little_ones", "potted"]);
    bench.note(json!({"ask": "tell", "told": {"fact": "implant", "is": false}}));
    assert!(shown(&bench.audition(), "which_way").iter().all(|(id, _)| *id != "magnet-implant"));
}

/// Every caution of the catalogue is come to by some bench through the contract alone, on the page of each step it names, and
/// there is a bench without it unless it is meant for every bench.
#[test]
fn every_caution_is_come_to_and_left_again() {
    let mut seen: BTreeMap<String, usize> = BTreeMap::new();
    let mut benches = 0;
    let mut look = |audition: &Value| {
        benches += 1;
        let pages = pages(audition);
        for id in pages.values().flatten().cloned().collect::<BTreeSet<_>>() {
            // The last of an install stands on a page of its own.
            let named = cautions::named(&id).into_iter().flat_map(|caution| caution.moments);
            for moment in named.filter(|moment| **moment != Moment::Proof) {
                let there = pages.get(moment.name()).is_some_and(|page| page.contains(&id));
                assert!(there, "{id} does not stand on a page of {}", moment.name());
            }
            *seen.entry(id).or_default() += 1;
        }
    };
    let bench = Workbench::begun();
    look(&bench.audition());
    for (fact, answers) in [
        ("amp", vec![json!("valve"), json!("battery"), json!("desk"), json!("solid_state")]),
        ("solder", vec![json!("leaded"), json!("lead_free"), json!("unknown")]),
    ]
    .into_iter()
    .chain(
        ["earthed", "damp", "frayed", "headphones", "ringing", "implant", "little_ones", "potted", "battery"]
            .map(|fact| (fact, vec![json!(true), json!(false)])),
    ) {
        for is in answers {
            bench.note(json!({"ask": "tell", "told": {"fact": fact, "is": is}}));
            look(&bench.audition());
        }
    }
    for (kind, feet) in
        [("lacquer", "suction"), ("lacquer", "tape"), ("oil_or_wax", "pads"), ("unknown", "suction"), ("poly", "loose")]
    {
        for barrier in ["none", "film", "cloth"] {
            for (surface, aged) in [("flat_gloss", true), ("flat_matt", false)] {
                let bench = Workbench::begun();
                let mut answer = finish_answer();
                answer["kind"] = json!(kind);
                answer["barrier"] = json!(barrier);
                answer["surface"] = json!(surface);
                answer["aged"] = json!(aged);
                bench.note(json!({"ask": "ask_finish", "answer": answer}));
                look(&bench.audition());
                bench.note(json!({"ask": "override_hold", "hold": "bare_feet_on_finish", "why": "a scrap body"}));
                bench.note(json!({"ask": "seat", "seating": {"feet": feet, "steady": false}}));
                look(&bench.audition());
            }
        }
    }
    let bench = Workbench::begun();
    for (bass, treble) in [("1.5", "1.4"), ("12", "9"), ("2.6", "2.2")] {
        bench.note(json!({"ask": "measure_gaps", "bass": bass, "treble": treble, "unit": "millimetre",
            "pressed_at": null, "kept": false}));
        look(&bench.audition());
    }
    let mut hidden = workbench::pickup_form("Tin whistle");
    hidden["poles"] = json!("hidden");
    bench.write(json!({"ask": "write_pickup", "id": workbench::PICKUP, "form": hidden}));
    look(&bench.audition());
    meter(&bench, "103");
    bench.tick_off(&SOUND_UP);
    for _ in 0..3 {
        minutes(&bench, 4);
        look(&bench.audition());
    }
    bench.tick_off(&["guitar_unplugged", "battery_out", "finish_covered"]);
    look(&bench.audition());

    let always: BTreeSet<&str> =
        catalogue::all().filter(|caution| caution.when == Condition::Always).map(|caution| caution.id).collect();
    for caution in catalogue::all() {
        let count = seen.get(caution.id).copied().unwrap_or(0);
        assert!(count > 0, "{} is come to by no bench", caution.id);
        assert_eq!(count == benches, always.contains(caution.id), "{} on {count} of {benches} benches", caution.id);
    }
}

#[test]
fn the_safety_page_tells_of_what_goes_on_and_of_a_bench_with_nothing_open() {
    let bench = Workbench::stocked();
    let asked = |bench: &Workbench| bench.ok(&json!({"ask": "cautions"}));
    let reply = asked(&bench);
    assert!(
        reply["who_decides"]
            .as_str()
            .is_some_and(|sentence| sentence.contains("Local rules and licensed people decide"))
    );
    assert_eq!(reply["now"][0]["audition"], Value::Null);
    assert!(reply["now"][0]["cautions"].as_array().is_some_and(|all| all.len() > 10));

    let bench = on_lacquer();
    meter(&bench, "110");
    bench.tick_off(&SOUND_UP);
    minutes(&bench, 20);
    let now = asked(&bench)["now"].clone();
    assert_eq!(
        (&now[0]["audition"], &now[0]["title"]),
        (&json!(AUDITION), &json!("Paper crane on Kitchen guitar, neck"))
    );
    let holds: Vec<Value> = now[0]["holds"].as_array().into_iter().flatten().map(|one| one["hold"].clone()).collect();
    assert_eq!(holds, ["hearing_spent"]);
    let all: Vec<&str> = ids(&now[0]["cautions"]).into_iter().map(|(id, _)| id).collect();
    for id in ["hearing-spent", "very-loud", "amp-closed", "look-first"] {
        assert!(all.contains(&id), "{id}: {all:?}");
    }
    let once: BTreeSet<&str> = all.iter().copied().collect();
    assert_eq!(once.len(), all.len(), "each once");
    let words: Vec<Value> =
        now[0]["cautions"].as_array().into_iter().flatten().map(|one| one["word"].clone()).collect();
    let rank = |word: &Value| ["danger", "warning", "caution", "notice"].iter().position(|one| word == one);
    assert!(words.windows(2).all(|pair| rank(&pair[0]) <= rank(&pair[1])), "worst first");

    // Of two that go on both are told of; one that nobody wrote in for days is not what is on the bench now.
    let titles = |bench: &Workbench| asked(bench)["now"].as_array().map_or(0, Vec::len);
    bench.write(json!({"ask": "choose", "audition": OTHER, "choice": choice()}));
    assert_eq!(titles(&bench), 2);
    minutes(&bench, 3 * 24 * 60);
    assert_eq!((titles(&bench), &asked(&bench)["now"][0]["audition"]), (1, &json!(OTHER)));
}

/// What each step of each demo audition shows, kept as text that a person reads in review.
#[test]
fn what_the_demo_auditions_are_shown() {
    let bench = Workbench::empty();
    bench.ok(&json!({"ask": "load_demo"}));
    let lines = bench.ok(&json!({"ask": "logbook", "find": {}}))["found"]["lines"].clone();
    let mut text = String::from(
        "What each step of each demo audition shows. A star waits for \"read\". Read this in review: is anything missing, is \
         anything there for nothing?\n",
    );
    for line in lines.as_array().into_iter().flatten() {
        let audition = bench.ok(&json!({"ask": "audition", "id": line["audition"]}))["audition"].clone();
        text.push_str(&format!("\n# {}\n", audition["title"].as_str().unwrap_or_default()));
        let steps = audition["steps"].as_array().cloned().unwrap_or_default();
        let steps = steps.iter().map(|step| (step["name"].clone(), step["cautions"].clone()));
        let iron = [("Solder", "cautions"), ("While the guitar is opened", "opening")]
            .map(|(name, list)| (json!(name), audition["iron"][list].clone()));
        for (name, cautions) in steps.chain(iron) {
            text.push_str(&format!("{}\n", name.as_str().unwrap_or_default()));
            let cautions = cautions.as_array().cloned().unwrap_or_default();
            assert!(cautions.len() <= 8, "{name}: {} are too many", cautions.len());
            let waiting = cautions.iter().filter(|one| one["must_acknowledge"] == true).count();
            assert!(waiting <= 5, "{name}: {waiting} wait to be read");
            for one in cautions {
                let star = if one["must_acknowledge"] == true { "*" } else { " " };
                let word = |field: &str| one[field].as_str().unwrap_or_default().to_owned();
                text.push_str(&format!("  {star} {:<8} {}: {}\n", word("word_shown"), word("id"), word("hazard")));
            }
        }
    }
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/core/demo_cautions.txt");
    if std::env::var_os("WRITE_SNAPSHOTS").is_some() {
        std::fs::write(path, &text).expect("the source folder can be written");
    }
    let kept = std::fs::read_to_string(path).expect("the snapshot is checked in");
    assert_eq!(kept, text, "the cautions changed: read the difference, then keep it with WRITE_SNAPSHOTS=1");
}

/// A top that nobody has described is asked about before suction stands on it, and once it is, its answer holds.
#[test]
fn suction_waits_for_a_word_about_the_top() {
    let bench = Workbench::begun();
    let mut answer = finish_answer();
    for (surface, may, says) in [
        ("unknown", "bad", "Say first what the top is like"),
        ("carved", "bad", "does not hold"),
        ("flat_gloss", "good", "Up to"),
    ] {
        (answer["kind"], answer["feet"], answer["barrier"]) = (json!("poly"), json!("suction"), json!("none"));
        answer["surface"] = json!(surface);
        bench.note(json!({"ask": "ask_finish", "answer": answer}));
        let verdict = bench.step("seat")["verdict"].clone();
        assert_eq!(verdict["kind"], json!(may), "{surface}: {verdict}");
        assert!(verdict["sentence"].as_str().is_some_and(|said| said.contains(says)), "{surface}: {verdict}");
    }
}
