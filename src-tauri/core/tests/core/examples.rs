//! The worked examples cover the whole contract and never go stale, because they are asked anew each time.

use std::collections::BTreeSet;

use solderlast_core::ask::Ask;
use solderlast_core::ask::examples;
use ts_rs::{Config, TS};

/// The names of all questions, as the contract tells them to TypeScript.
fn all_questions() -> BTreeSet<String> {
    let told = Ask::decl(&Config::new());
    told.split("\"ask\": \"").skip(1).filter_map(|rest| rest.split('"').next()).map(str::to_owned).collect()
}

#[test]
fn every_question_has_a_worked_example() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let pairs = examples(folder.path()).expect("a bench can be opened in a scratch folder");
    let asked: BTreeSet<String> = pairs.iter().filter_map(|(ask, _)| ask["ask"].as_str().map(str::to_owned)).collect();
    let questions = all_questions();
    assert!(questions.len() > 40, "the contract was not read: {questions:?}");
    assert_eq!(asked, questions);
}

/// Refusals are answers too; these are the ones that the examples show on purpose.
#[test]
fn every_example_is_answered_or_refused_on_purpose() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let pairs = examples(folder.path()).expect("a bench can be opened in a scratch folder");
    let mut refused = Vec::new();
    for (ask, reply) in &pairs {
        match (reply.get("ok"), reply.get("refused")) {
            (Some(ok), None) => assert!(ok["reply"].is_string(), "{ask} {reply}"),
            (None, Some(refusal)) => refused.push(format!("{} {}", ask["ask"], refusal["code"])),
            _ => unreachable!("neither answered nor refused: {ask} {reply}"),
        }
    }
    assert_eq!(refused, [r#""seat" "held""#, r#""light_iron" "held""#, r#""take_in" "not_found""#]);
}

#[test]
fn the_examples_are_the_same_in_every_run() {
    let [once, again] = [(); 2].map(|()| {
        let folder = tempfile::tempdir().expect("a scratch folder");
        examples(folder.path()).expect("a bench can be opened in a scratch folder")
    });
    assert_eq!(once, again);
}
