//! Striking out: whatever a page offers to strike can be struck, answers with a page, and can be put back; what can't be
//! struck is refused before anything is written.

use std::collections::BTreeSet;

use serde_json::{Value, json};
use solderlast_core::ask::examples;
use solderlast_core::record::body::Body;
use solderlast_testkit::workbench::{self, AUDITION, GUITAR, PICKUP, Workbench, guitar_form};

const WORKED: &str = "019a3c5f-7e00-7000-8000-000000000004";
const SECOND: &str = "019a3c5f-7e00-7000-8000-000000000005";
const FIT: &str = "019a3c5f-7e00-7000-8000-000000000008";

/// A bench on which every worked example was asked up to where things are erased, so that nearly every kind of entry is in it.
fn worked() -> Workbench {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let bench = Workbench::empty();
    for (ask, _) in examples(folder.path()).expect("the examples can be worked") {
        if ask["ask"] == "erase" {
            break;
        }
        bench.asked(&ask);
    }
    bench
}

fn entries(bench: &Workbench) -> i64 {
    let file = bench.folder.path().join("solderlast.db");
    let conn = rusqlite::Connection::open_with_flags(file, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY).expect("opens");
    conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0)).expect("counted")
}

fn kinds(bench: &Workbench) -> BTreeSet<String> {
    let file = bench.folder.path().join("solderlast.db");
    let conn = rusqlite::Connection::open_with_flags(file, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY).expect("opens");
    let mut select = conn.prepare("SELECT DISTINCT kind FROM entry").expect("the log has entries");
    let kinds = select.query_map([], |row| row.get(0)).expect("kinds can be read");
    kinds.map(|kind| kind.expect("a kind")).collect()
}

/// A page without what passes with the time alone.
fn still(mut page: Value) -> Value {
    for passing in ["last", "hearing", "on_finish"] {
        page.as_object_mut().expect("a page").remove(passing);
    }
    page
}

/// Strikes out every line that is offered, one after the other, and puts each back.
fn strike_all(bench: &Workbench, look: &Value, page: &str, strike: &Value) -> usize {
    let before = still(bench.ok(look)[page].clone());
    let lines = before["written"].as_array().expect("lines").clone();
    let mut struck = 0;
    for line in lines {
        let ask = |entry: &Value| {
            let mut ask = strike.clone();
            (ask["struck"], ask["why"]) = (entry.clone(), json!(""));
            ask
        };
        let words = &line["words"];
        if line["can_strike"] == false {
            if line["struck"].is_null() {
                let (count, mut ask) = (entries(bench), ask(&line["entry"]));
                ask["entry"] = json!(bench.name());
                assert_eq!(bench.refused(&ask)["field"], "struck", "{words}");
                assert_eq!(entries(bench), count, "{words}: nothing is written");
            }
            continue;
        }
        let (_, reply) = bench.write(ask(&line["entry"]));
        let written = reply[page]["written"].as_array().expect("lines").clone();
        let now = written.iter().find(|one| one["entry"] == line["entry"]).expect("it stays readable");
        assert!(now["struck"]["by"].is_string(), "{words}");
        // Struck twice it would have to be put back twice.
        let mut again = ask(&line["entry"]);
        again["entry"] = json!(bench.name());
        assert_eq!(bench.refused(&again)["field"], "struck", "{words}");
        let (_, reply) = bench.write(ask(&now["struck"]["by"]));
        assert_eq!(still(reply[page].clone()), before, "{words}: put back");
        assert_eq!(still(bench.ok(look)[page].clone()), before, "{words}: looked at again");
        struck += 1;
    }
    struck
}

#[test]
fn what_is_offered_can_be_struck_out_and_put_back() {
    let bench = worked();
    let mut struck = 0;
    for audition in [WORKED, SECOND] {
        let look = json!({"ask": "audition", "id": audition});
        struck += strike_all(&bench, &look, "audition", &json!({"ask": "strike_out", "audition": audition}));
    }
    struck += strike_all(&bench, &json!({"ask": "fit", "id": FIT}), "fit", &json!({"ask": "strike_fit", "fit": FIT}));
    assert!(struck > 70, "{struck} lines");
    // Whoever adds a kind of entry lets it be struck out here, or says why it stands in no list of lines.
    let (all, there): (BTreeSet<&str>, _) = (Body::kinds().collect(), kinds(&bench));
    let missing: Vec<&str> = all.into_iter().filter(|kind| !there.contains(*kind)).collect();
    assert_eq!(
        missing,
        [
            "blind_answered",
            "blind_planned",
            "blind_uncovered",
            "coil_rung",
            "coil_swept",
            "component_metered",
            "input_calibrated",
            "photo_taken",
            "take_kept",
            "taken_out",
            "taps_recorded"
        ],
        "photos and takes are files; what came out of a guitar is struck with its install; what was heard blind can't be taken back; what coils measure is \
         struck out on a page of its own (coils.rs), and recorded taps with the leads (recorded_taps.rs)"
    );
}

#[test]
fn what_was_found_out_about_leads_and_what_was_decided_can_be_put_back() {
    let bench = worked();
    let look = json!({"ask": "find_leads", "pickup": PICKUP, "rig": null});
    let before = bench.ok(&look);
    let lines = before["search"]["lines"].as_array().expect("lines").clone();
    assert!(lines.len() > 8, "{lines:?}");
    for line in lines.iter().filter(|line| line["struck"].is_null()) {
        let strike = |entry: &Value| json!({"ask": "strike_leads", "pickup": PICKUP, "struck": entry});
        let (_, reply) = bench.write(strike(&line["entry"]));
        let written = reply["search"]["lines"].as_array().expect("lines").clone();
        let now = written.iter().find(|one| one["entry"] == line["entry"]).expect("it stays readable");
        let (_, reply) = bench.write(strike(&now["struck"]["by"]));
        assert_eq!(reply["search"]["lines"], before["search"]["lines"], "{}", line["words"]);
        assert_eq!(bench.ok(&look), before, "{}", line["words"]);
    }
    // A record's description is no line of its leads, and can't be struck out as one.
    let settled = "019a3c5f-7e00-7000-8000-000000000066";
    let ask = json!({"ask": "strike_leads", "entry": bench.name(), "pickup": PICKUP, "struck": settled});
    assert_eq!(bench.refused(&ask)["field"], "struck");

    let look = json!({"ask": "decision", "guitar": GUITAR, "place": null, "wishes": null, "musts": null});
    let struck = bench.ok(&look)["decision"]["decided"][0].clone();
    let strike = |entry: &Value| json!({"ask": "strike_decision", "guitar": GUITAR, "struck": entry, "why": ""});
    let (_, reply) = bench.write(strike(&struck["struck"]["by"]));
    let back = reply["decision"]["decided"][0].clone();
    assert!(back["struck"].is_null() && back["stands"] == true, "{back}");
    let (_, reply) = bench.write(strike(&back["entry"]));
    assert!(reply["decision"]["decided"][0]["struck"].is_object());
}

/// A bench with an install that was begun, and the entry that began it.
fn begun() -> (Workbench, Value) {
    let bench = Workbench::begun();
    let mut form = guitar_form("Kitchen guitar");
    form["selector"] = json!({"kind": "usual"});
    bench.write(json!({"ask": "write_guitar", "id": GUITAR, "form": form}));
    let (_, reply) = bench.write(json!({"ask": "begin_fit", "fit": FIT, "audition": AUDITION, "place": ""}));
    let line = reply["fit"]["written"][0].clone();
    (bench, line)
}

#[test]
fn a_sheet_whose_beginning_was_struck_out_can_be_read_and_brought_back() {
    let (bench, line) = begun();
    bench.write(json!({"ask": "plan_fit", "fit": FIT, "plan": {"kind": "fixed", "mode": "series", "turned": false}}));
    assert!(line["takes_along"].as_str().is_some_and(|words| words.contains("whole fit sheet")), "{line}");
    let before = still(bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone());
    let strike = |entry: &Value| json!({"ask": "strike_fit", "fit": FIT, "struck": entry, "why": "begun by mistake"});
    let (by, reply) = bench.write(strike(&line["entry"]));
    assert_eq!(
        (reply["fit"]["state"].as_str(), reply["fit"]["struck_out"].as_str()),
        (Some("struck_out"), Some(by.as_str()))
    );
    // It stands in no list but one, also after a restart, and nothing goes on in it.
    let bench = bench.reopened();
    assert_eq!(bench.ok(&json!({"ask": "bench"}))["bench"]["fits"], json!([]));
    let about = json!({"thing": "pickup", "id": PICKUP});
    assert_eq!(bench.ok(&json!({"ask": "fits", "about": about}))["fits"], json!([]));
    let give_up = json!({"ask": "give_up_fit", "entry": bench.name(), "fit": FIT, "why": "enough"});
    let refusal = bench.refused(&give_up);
    assert!(refusal["sentence"].as_str().is_some_and(|words| words.contains("Bring it back")), "{refusal}");
    let lines = bench.ok(&json!({"ask": "struck"}))["lines"].clone();
    assert_eq!(
        (&lines[0]["about"]["id"], &lines[0]["struck"]["why"]),
        (&json!(FIT), &json!("begun by mistake")),
        "{lines}"
    );
    assert!(lines[0]["title"].as_str().is_some_and(|title| title.contains("Paper crane")), "{lines}");
    // From there it is brought back, whole.
    let (_, reply) = bench.write(strike(&lines[0]["struck"]["by"]));
    assert_eq!(still(reply["fit"].clone()), before);
    assert_eq!(bench.ok(&json!({"ask": "struck"}))["lines"], json!([]));
    assert_eq!(bench.ok(&json!({"ask": "bench"}))["bench"]["fits"][0]["fit"], FIT);
    // Erased with its pickup, also while it is struck out.
    bench.write(strike(&line["entry"]));
    bench.ok(&json!({"ask": "erase", "things": [about]}));
    assert_eq!(bench.refused(&json!({"ask": "fit", "id": FIT}))["code"], "not_found");
}

#[test]
fn a_hot_iron_or_an_installed_pickup_keeps_the_sheet_in_sight() {
    let (bench, line) = begun();
    let fit = |mut ask: Value| {
        ask["fit"] = json!(FIT);
        bench.write(ask).1["fit"].clone()
    };
    fit(json!({"ask": "pass_fit_step", "step": "as_it_was", "why": "read on paper"}));
    fit(json!({"ask": "plan_fit", "plan": {"kind": "fixed", "mode": "series", "turned": false}}));
    for act in [
        json!({"do": "tick_off", "tick": "guitar_unplugged", "words": ""}),
        json!({"do": "tell", "told": {"fact": "battery", "is": false}}),
        json!({"do": "tick_off", "tick": "finish_covered", "words": ""}),
        json!({"do": "light_iron"}),
    ] {
        fit(json!({"ask": "at_fit_iron", "act": act}));
    }
    let offered = |view: &Value| view["written"][0]["can_strike"] == true;
    let view = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    assert!(!offered(&view));
    let strike = json!({"ask": "strike_fit", "entry": bench.name(), "fit": FIT, "struck": line["entry"], "why": ""});
    let refusal = bench.refused(&strike);
    assert!(refusal["sentence"].as_str().is_some_and(|words| words.contains("iron is on")), "{refusal}");
    assert!(offered(&fit(json!({"ask": "at_fit_iron", "act": {"do": "iron_off"}}))));
}

#[test]
fn an_audition_whose_choice_was_struck_out_is_found_and_brought_back() {
    let bench = Workbench::begun();
    bench.hook_up();
    let before = still(bench.audition());
    let line = before["written"][0].clone();
    assert!(line["takes_along"].as_str().is_some_and(|words| words.contains("no pickup")), "{line}");
    bench.note(json!({"ask": "strike_out", "struck": line["entry"], "why": ""}));
    let page = bench.ok(&json!({"ask": "pickup", "id": PICKUP, "unit": "millimetre"}));
    assert_eq!(page["pickup"]["auditions"], json!([]));
    let lines = bench.ok(&json!({"ask": "struck"}))["lines"].clone();
    assert_eq!(lines[0]["about"]["id"], AUDITION, "{lines}");
    let (_, back) = bench.note(json!({"ask": "strike_out", "struck": lines[0]["struck"]["by"], "why": ""}));
    assert_eq!(still(back), before);
    // Chosen anew, the first choice is a line like any other.
    let (_, view) = bench.note(json!({"ask": "choose", "choice": workbench::choice()}));
    assert!(view["written"][0]["takes_along"].is_null(), "{}", view["written"][0]);
}
