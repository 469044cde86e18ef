//! The worked examples cover the whole contract and never go stale, because they are asked anew each time.

use std::collections::BTreeSet;
use std::path::Path;

use solderlast_core::ask::{examples, names, parse};

#[test]
fn every_question_has_a_worked_example() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let pairs = examples(folder.path()).expect("a bench can be opened in a scratch folder");
    let asked: BTreeSet<String> = pairs.iter().filter_map(|(ask, _)| ask["ask"].as_str().map(str::to_owned)).collect();
    let questions: BTreeSet<String> = names().map(str::to_owned).collect();
    assert_eq!(questions.len(), names().count(), "two asks have one name");
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
    assert_eq!(
        refused,
        [
            r#""seat" "held""#,
            r#""light_iron" "held""#,
            r#""take_in" "not_found""#,
            r#""keep_sweep" "take""#,
            r#""keep_ringing" "take""#,
            r#""keep_taps" "take""#,
            r#""calibrate_input" "take""#
        ]
    );
}

#[test]
fn the_examples_are_the_same_in_every_run() {
    let [once, again] = [(); 2].map(|()| {
        let folder = tempfile::tempdir().expect("a scratch folder");
        examples(folder.path()).expect("a bench can be opened in a scratch folder")
    });
    assert_eq!(once, again);
}

/// What phones, scripts, logs and bundles hold others to: each ask as it is written, and the entries that the examples wrote.
/// A line of it may come anew, but none that is there may change: `WRITE_SNAPSHOTS=1` writes it, to be read in review.
#[test]
fn asks_and_entries_keep_their_form() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let pairs = examples(folder.path()).expect("a bench can be opened in a scratch folder");
    let mut lines = Vec::new();
    for (ask, _) in &pairs {
        let read = parse(ask.to_string().as_bytes()).expect("a worked ask can be read");
        lines.push(serde_json::to_string(&read).expect("an ask can be written"));
    }
    let log = rusqlite::Connection::open(folder.path().join("solderlast.db")).expect("the log can be read");
    let mut entries = log.prepare("SELECT body FROM entry ORDER BY id").expect("the log has entries");
    let bodies = entries.query_map([], |row| row.get::<_, String>(0)).expect("entries can be read");
    // The demo bench has its own file.
    lines.extend(bodies.map(|body| body.expect("an entry can be read")));
    let fresh = lines.join("\n") + "\n";
    let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/core/form.jsonl");
    if std::env::var_os("WRITE_SNAPSHOTS").is_some() {
        std::fs::write(&kept, &fresh).expect("the form can be kept");
    }
    let kept = std::fs::read_to_string(&kept).unwrap_or_default();
    for (kept, fresh) in kept.lines().zip(fresh.lines()) {
        assert_eq!(kept, fresh, "the form of an ask or an entry is not what it was");
    }
    assert_eq!(kept.len(), fresh.len(), "an ask or an entry is there that is not kept, or the other way round");
}
