//! One thing after the other: what is done cold comes before the iron, what was passed over is said, and what can't be had or
//! can't be measured is answered before anything is written down.

use serde_json::{Value, json};
use solderlast_testkit::workbench::{AUDITION, GUITAR, OTHER_PICKUP, PICKUP, RIG, Workbench, guitar_form, pickup_form};

use super::{
    FIT, act, begin, bench, fit, light, pass, plan, refused, up_to_done, up_to_proof,
    write_bridge_of_which_nothing_is_known,
};

fn steps(view: &Value) -> Vec<Value> {
    view["steps"].as_array().expect("steps").clone()
}

/// Every step that is looked at before its turn says what comes first, and no other does.
#[test]
fn every_step_before_its_turn_says_what_comes_first() {
    let bench = bench();
    let check = |view: &Value| {
        let mut waits = 0;
        for step in steps(view) {
            let over = matches!(step["status"].as_str(), Some("done" | "skipped"));
            let said = step["before"].as_str();
            assert_eq!(said.is_some(), !over && waits > 0, "{step}");
            assert!(said.is_none_or(|said| said.contains("before this")), "{step}");
            waits += usize::from(!over);
        }
    };
    let place = super::place_name(&bench);
    let (_, view) = fit(&bench, json!({"ask": "begin_fit", "audition": AUDITION, "place": place}));
    check(&view);
    let proof = steps(&view).into_iter().find(|one| one["step"] == "proof").expect("the proof");
    assert_eq!(proof["before"], "As it was to Solder come before this: not all are done.");
    check(&pass(&bench, "as_it_was"));
    check(&plan(&bench, "series"));
    check(&pass(&bench, "parts"));
    let bench = super::bench();
    let view = up_to_done(&bench);
    check(&view);
    // What is over says nothing of it.
    let (_, view) = fit(&bench, json!({"ask": "give_up_fit", "why": "too deep"}));
    assert!(steps(&view).iter().all(|step| step["before"].is_null()), "{}", view["steps"]);
}

/// What can't be done any more once something is unsoldered is done, or passed with a reason, before the iron is lit.
#[test]
fn the_iron_waits_for_the_guitar_as_it_was() {
    let bench = bench();
    let place = super::place_name(&bench);
    let (_, view) = fit(&bench, json!({"ask": "begin_fit", "audition": AUDITION, "place": place}));
    let acts = |list: &Value| -> Vec<String> {
        list.as_array().into_iter().flatten().filter_map(|one| one["act"].as_str().map(str::to_owned)).collect()
    };
    assert_eq!(acts(&view["opening"]), ["old_pictured"]);
    assert_eq!(acts(&view["acts"])[0], "old_out");
    plan(&bench, "series");
    for act in [
        json!({"do": "tick_off", "tick": "guitar_unplugged", "words": ""}),
        json!({"do": "tell", "told": {"fact": "battery", "is": false}}),
        json!({"do": "tick_off", "tick": "finish_covered", "words": ""}),
    ] {
        super::iron(&bench, act);
    }
    let held = refused(&bench, json!({"ask": "at_fit_iron", "act": {"do": "light_iron"}}));
    assert_eq!((held["code"].as_str(), held["field"].as_str()), (Some("held"), Some("as_it_was")), "{held}");
    let open = |view: &Value| view["steps"][0]["open"].to_string();
    let view = act(&bench, "old_pictured");
    assert!(!open(&view).contains("pictured") && open(&view).contains("read"), "{}", open(&view));
    pass(&bench, "as_it_was");
    light(&bench);
    act(&bench, "old_out");
}

/// A single coil of two leads, heard in the rig's single mode.
fn with_one_coil() -> Workbench {
    let bench = Workbench::stocked();
    let mut form = pickup_form("Paper crane");
    form["construction"] = json!("single_coil");
    form["coils"] = json!([{"stated": "6k66", "magnet_up": "north"}]);
    form["leads"] = json!([
        {"name": "moss", "ends": [{"coil": "A", "end": "minus"}]}, {"name": "rust", "ends": [{"coil": "A", "end": "plus"}]}]);
    bench.write(json!({"ask": "write_pickup", "id": PICKUP, "form": form}));
    bench.write(json!({"ask": "choose", "audition": AUDITION, "choice": {
        "pickup": PICKUP, "guitar": GUITAR, "rig": RIG, "place": "neck", "from_saddle": "162 mm", "unit": "millimetre",
        "modes": ["series", "single"], "question": ""}}));
    let mut form = guitar_form("Kitchen guitar");
    form["places"][0]["fitted"] = json!(OTHER_PICKUP);
    bench.write(json!({"ask": "write_guitar", "id": GUITAR, "form": form}));
    bench
}

/// A mode that gives no sound is said to before it is chosen and refused when it is; a switch that gives less than it is asked for
/// is asked about, and taken by who means it.
#[test]
fn a_plan_that_gives_no_sound_is_not_taken() {
    let bench = with_one_coil();
    let view = begin(&bench);
    let modes = view["plan"]["modes"].as_array().expect("modes").clone();
    let silent = |mode: &str| modes.iter().find(|one| one["mode"] == mode).expect("a mode")["silent"].clone();
    let said = silent("series");
    assert!(
        said.as_str().is_some_and(|said| said.starts_with("Series gives no sound") && said.contains("one coil")),
        "{said}"
    );
    assert!(silent("single").is_null(), "{modes:?}");
    // What is offered first is heard.
    assert_eq!(view["plan"]["form"]["mode"], "single");
    let ask = |plan: &Value, anyway: bool| json!({"ask": "plan_fit", "plan": plan, "anyway": anyway});
    let fixed = json!({"kind": "fixed", "mode": "series", "turned": false});
    for anyway in [false, true] {
        let no = refused(&bench, ask(&fixed, anyway));
        assert_eq!((&no["field"], &no["sentence"]), (&json!("mode"), &said), "{no}");
    }
    // A position without sound may be meant as a mute.
    let ready = json!({"kind": "ready", "switch": "DPDT on-on", "modes": ["single", "series"], "turned": false});
    let asked = refused(&bench, ask(&ready, false));
    assert_eq!((&asked["field"], &asked["sentence"]), (&json!("anyway"), &said), "{asked}");
    let (_, view) = fit(&bench, ask(&ready, true));
    let of = |step: &str| steps(&view).into_iter().find(|one| one["step"] == step).expect("a step");
    assert_eq!(of("plan")["status"], "skipped", "no tick for what is not all to be had: {}", of("plan"));
    assert!(!of("hookup")["open"].as_array().expect("open points").is_empty(), "{}", of("hookup"));
    let (_, view) = fit(&bench, ask(&json!({"kind": "fixed", "mode": "single", "turned": false}), false));
    assert_eq!(steps(&view)[1]["status"], "done");
}

/// Nobody can tell: it counts as one of which nothing is known, says what that leaves open, and the plan goes on.
#[test]
fn who_cant_tell_whether_a_pickup_sits_there_goes_on() {
    let bench = bench();
    write_bridge_of_which_nothing_is_known(&bench);
    let view = begin(&bench);
    let answers = view["plan"]["asked"][0]["answers"].as_array().expect("answers").clone();
    let cant = answers.iter().find(|one| one["words"] == "can't tell").expect("an answer for it");
    let (_, view) = fit(&bench, json!({"ask": "answer_fit", "answer": cant["answer"]}));
    let asked = &view["plan"]["asked"][0];
    assert_eq!(asked["verdict"]["kind"], "unsure", "{asked}");
    let said = asked["verdict"]["sentence"].as_str().expect("a sentence");
    assert!(said.contains("stay open") && said.contains("OL"), "{said}");
    let view = plan(&bench, "series");
    let lines = view["jack"]["lines"].as_array().expect("lines");
    assert_eq!(lines.iter().find(|line| line["at"]["selector"] == "bridge").expect("alone")["shown"], "not known");
    // Found out later, that answer stands.
    let sits = json!({"check": "sits", "place": "bridge", "sits": false});
    let (_, view) = fit(&bench, json!({"ask": "answer_fit", "answer": sits}));
    assert!(view["plan"]["asked"][0]["verdict"].is_null(), "{}", view["plan"]["asked"]);
}

/// Leads that meet in a joint of their own are named: in the list by each other, at the meter by the joint.
#[test]
fn a_joint_is_named_by_its_leads() {
    let bench = bench();
    let view = up_to_proof(&bench);
    let joints = view["hookup"]["joints"].as_array().expect("joints");
    let own = joints.iter().find(|one| one["at"] == "each other, and insulated").expect("rust meets slate in series");
    assert_eq!(own["what"], "rust and slate", "{own}");
    let beside = view["proof"]["beside"].as_array().expect("probes");
    let there: Vec<&str> =
        beside.iter().filter_map(|one| one["sentence"].as_str()).filter(|said| said.contains("rust")).collect();
    assert!(there.iter().any(|said| said.contains("the joint of rust and slate")), "{there:?}");
    assert!(!view.to_string().contains("joint of their own"), "a joint without a name");
}

/// What can't be measured is not asked for again: the next best is, until something is measured or nothing is left to tell.
#[test]
fn who_cant_measure_is_asked_for_the_next_best() {
    let bench = bench();
    let view = up_to_proof(&bench);
    let first = view["proof"]["next"].clone();
    let (_, mut view) = fit(&bench, json!({"ask": "read_jack", "at": first, "reading": "OL", "room": ""}));
    let next = |view: &Value| view["proof"]["diagnosis"]["next"]["probe"].clone();
    let mut asked: Vec<Value> = Vec::new();
    while !next(&view).is_null() {
        let probe = next(&view);
        assert!(!asked.contains(&probe), "asked for again: {probe}");
        asked.push(probe.clone());
        assert!(asked.len() < 60, "no end of it");
        view = fit(&bench, json!({"ask": "cant_probe_fit", "probe": probe})).1;
    }
    assert!(asked.len() > 2, "{asked:?}");
    assert!(view["proof"]["diagnosis"]["sentence"].as_str().is_some_and(|said| said.contains("No further reading")));
    assert!(view["written"].to_string().contains("Can't be measured"), "it stands in ink");
    // Measured after all, it counts; struck out, it is asked for again.
    let lines = view["written"].as_array().expect("lines").clone();
    let said = lines.iter().find(|one| one["words"].to_string().contains("Can't be measured")).expect("a line");
    let (_, view) = fit(&bench, json!({"ask": "strike_fit", "struck": said["entry"], "why": ""}));
    assert_eq!(next(&view), asked[0]);
    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    assert_eq!(next(&view), asked[0]);
}

/// Beside the jack a slip is asked about as it is typed: what is next says what can be read there in a good install.
#[test]
fn what_is_read_beside_the_jack_can_be_asked_about_while_it_is_typed() {
    let bench = bench();
    let view = up_to_proof(&bench);
    let beside = view["proof"]["beside"].as_array().expect("probes").clone();
    assert!(!beside.is_empty());
    for probe in &beside {
        assert_eq!(probe["plausible"], json!([0.0, 2.0]), "{probe}");
    }
    let typed = |text: &str, plausible: &Value| {
        bench.ok(&json!({"ask": "understand", "quantity": "reading", "text": text, "unit": "millimetre", "plausible": plausible}))
            ["query"]
            .clone()
    };
    assert!(typed("0.4k", &beside[0]["plausible"]).is_string());
    assert!(typed("0.4", &beside[0]["plausible"]).is_null() && typed("OL", &beside[0]["plausible"]).is_null());
}
