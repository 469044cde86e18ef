//! An act is decided and written as one: with other programs on the same log, and where a name it needs is taken.

use std::sync::{Arc, Barrier};

use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::ask::examples;
use solderlast_core::record::names::EntryId;
use solderlast_testkit::limits::{A_PROGRAM, within};
use solderlast_testkit::workbench::{AUDITION, Workbench, open};

const FIT: &str = "019a3c5f-7e00-7000-8000-000000000008";
const WORKED: &str = "019a3c5f-7e00-7000-8000-000000000004";

/// A bench with an install that waits for nothing but to be finished.
fn up_to_done() -> Workbench {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let bench = Workbench::empty();
    for (ask, _) in examples(folder.path()).expect("the examples can be worked") {
        if ask["ask"] == "finish_fit" {
            break;
        }
        bench.asked(&ask);
    }
    bench
}

fn beside(name: &str, number: u8) -> String {
    let name: EntryId = serde_json::from_value(json!(name)).expect("a name");
    name.beside(number).0.to_string()
}

fn entries(bench: &Workbench) -> i64 {
    let file = bench.folder.path().join("solderlast.db");
    let conn = rusqlite::Connection::open_with_flags(file, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY).expect("opens");
    conn.query_row("SELECT count(*) FROM entry", [], |row| row.get(0)).expect("counted")
}

fn finish(entry: &str) -> Value {
    json!({"ask": "finish_fit", "entry": entry, "fit": FIT, "words": ""})
}

/// Writes something that has nothing to do with the install, under a name of one's choice.
fn take(bench: &Workbench, name: &str) {
    bench.ok(&json!({"ask": "describe_amp", "entry": name, "audition": WORKED, "words": "small amp"}));
}

#[test]
fn an_act_that_needs_a_name_which_is_taken_is_not_half_written() {
    let bench = up_to_done();
    // Done, installed and fitted are written in one stroke; nothing came out of the guitar.
    for number in [1, 3] {
        let name = bench.name();
        take(&bench, &beside(&name, number));
        let before = entries(&bench);
        let refusal = bench.refused(&finish(&name));
        assert_eq!(
            (refusal["code"].as_str(), refusal["field"].as_str()),
            (Some("unclear"), Some("entry")),
            "{refusal}"
        );
        assert!(refusal["sentence"].as_str().is_some_and(|words| words.contains("Nothing was written")), "{refusal}");
        assert_eq!(entries(&bench), before, "nothing of it");
    }
    let (done, reply) = bench.write(json!({"ask": "finish_fit", "fit": FIT, "words": ""}));
    assert_eq!(reply["fit"]["state"], "done");

    // Taking it back is one stroke as well: the names of its followers follow from its own.
    let name = bench.name();
    take(&bench, &beside(&name, 1));
    let before = entries(&bench);
    let strike = json!({"ask": "strike_fit", "entry": name, "fit": FIT, "struck": done, "why": ""});
    assert_eq!(bench.refused(&strike)["field"], "entry");
    assert_eq!(entries(&bench), before);
    let (_, reply) = bench.write(json!({"ask": "strike_fit", "fit": FIT, "struck": done, "why": ""}));
    assert_eq!(reply["fit"]["state"], "open");

    let name = bench.name();
    take(&bench, &beside(&name, 1));
    let again = json!({"ask": "hear_again", "entry": name, "audition": AUDITION, "again": WORKED, "like": WORKED});
    assert_eq!(bench.refused(&again)["field"], "entry");
    assert_eq!(bench.refused(&json!({"ask": "audition", "id": AUDITION}))["code"], "not_found");
}

#[test]
fn striking_a_line_out_leaves_what_has_a_name_beside_it_by_chance() {
    let bench = up_to_done();
    let fit = bench.ok(&json!({"ask": "fit", "id": FIT}))["fit"].clone();
    let line = fit["written"][1].clone();
    let other = beside(line["entry"].as_str().expect("a name"), 1);
    take(&bench, &other);
    bench.write(json!({"ask": "strike_fit", "fit": FIT, "struck": line["entry"], "why": ""}));
    let audition = bench.ok(&json!({"ask": "audition", "id": WORKED}))["audition"].clone();
    let lines = audition["written"].as_array().expect("lines");
    let other = lines.iter().find(|line| line["entry"] == other.as_str()).expect("it is there");
    assert!(other["struck"].is_null(), "{other}");
}

/// Two programs finish one install at the same moment: one did it, and the other is told that it is done.
#[test]
fn one_install_is_finished_once() {
    within(A_PROGRAM, || {
        let bench = up_to_done();
        let other = Arc::new(open(bench.folder.path(), &bench.clock));
        let asked = |bench: &Bench, ask: &Value| -> Value {
            serde_json::from_slice(&bench.answer(ask.to_string().as_bytes())).expect("an answer is JSON")
        };
        for round in 0..40 {
            let names = [bench.name(), bench.name()];
            let start = Barrier::new(2);
            let answers: Vec<Value> = std::thread::scope(|scope| {
                let others = scope.spawn(|| {
                    start.wait();
                    asked(&other, &finish(&names[1]))
                });
                start.wait();
                let mine = asked(&bench.bench, &finish(&names[0]));
                vec![mine, others.join().expect("an answer")]
            });
            let done: Vec<usize> = (0..2).filter(|at| answers[*at].get("ok").is_some()).collect();
            assert_eq!(
                done.len(),
                1,
                "round {round}: {:?}",
                answers.iter().map(|one| &one["refused"]).collect::<Vec<_>>()
            );
            let told = &answers[1 - done[0]]["refused"];
            assert_eq!(told["code"], "not_now", "round {round}: {told}");
            assert!(told["sentence"].as_str().is_some_and(|words| words.contains("done already")), "{told}");
            let (_, reply) = bench.write(json!({"ask": "strike_fit", "fit": FIT, "struck": names[done[0]], "why": ""}));
            assert_eq!(reply["fit"]["state"], "open", "round {round}");
        }
    });
}

/// The same entry through two programs is written once, and both are content.
#[test]
fn one_finish_through_two_programs_is_one() {
    let bench = up_to_done();
    let other = open(bench.folder.path(), &bench.clock);
    let name = bench.name();
    let before = entries(&bench);
    let first = bench.ok(&finish(&name));
    let second: Value = serde_json::from_slice(&other.answer(finish(&name).to_string().as_bytes())).expect("JSON");
    assert_eq!(second["ok"]["fit"]["written"], first["fit"]["written"]);
    assert_eq!(entries(&bench), before + 3);
}
