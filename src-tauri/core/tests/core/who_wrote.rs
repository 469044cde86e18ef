//! Who wrote what, where several benches wrote one log: their names, and the logbook narrowed to one of them.

use std::path::Path;
use std::sync::Arc;

use chrono::{DateTime, TimeDelta};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::clock::{SeededDice, SteppingClock};
use solderlast_testkit::parcel::{packed, taken};
use solderlast_testkit::workbench::{GUITAR, PICKUP, RIG, choice, guitar_form, pickup_form, rig_form};

const AUDITIONS: [&str; 3] = [
    "019a3c5f-7e00-7000-8000-0000000000a1",
    "019a3c5f-7e00-7000-8000-0000000000a2",
    "019a3c5f-7e00-7000-8000-0000000000a3",
];

/// One of several benches; what it writes has names that no other gives.
struct One {
    bench: Bench,
    folder: tempfile::TempDir,
    number: u64,
    count: u64,
}

impl One {
    fn new(number: u64) -> Self {
        let folder = tempfile::tempdir().expect("a scratch folder");
        Self { bench: Self::open(folder.path(), number), folder, number, count: 0 }
    }

    fn open(folder: &Path, number: u64) -> Bench {
        let start = DateTime::from_timestamp(1_793_700_000, 0).unwrap_or_default();
        let clock = Arc::new(SteppingClock::new(start, TimeDelta::seconds(1)));
        Bench::open(folder, Box::new(clock), &SeededDice::new(number)).expect("it opens")
    }

    fn answer(&self, ask: &Value) -> Value {
        serde_json::from_slice(&self.bench.answer(ask.to_string().as_bytes())).expect("JSON")
    }

    fn ok(&self, ask: &Value) -> Value {
        let answer = self.answer(ask);
        assert!(answer.get("ok").is_some(), "{ask}: {answer}");
        answer["ok"].clone()
    }

    fn entry(&mut self) -> String {
        self.count += 1;
        format!("019a3c5f-7e00-7000-8000-{:04x}{:08x}", self.number, self.count)
    }

    fn write(&mut self, mut ask: Value) -> Value {
        ask["entry"] = json!(self.entry());
        self.ok(&ask)
    }

    fn stock(&mut self) {
        self.write(json!({"ask": "write_pickup", "id": PICKUP, "form": pickup_form("Paper crane")}));
        self.write(json!({"ask": "write_guitar", "id": GUITAR, "form": guitar_form("Kitchen guitar")}));
        self.write(json!({"ask": "write_rig", "id": RIG, "form": rig_form()}));
    }

    fn choose(&mut self, audition: &str) {
        self.write(json!({"ask": "choose", "audition": audition, "choice": choice()}));
    }

    /// Takes in all that another has.
    fn takes_in(&self, other: &Self) {
        taken(self.folder.path(), &packed(other.folder.path())).expect("taken in");
    }

    fn id(&self) -> String {
        self.bench.id().0.to_string()
    }

    /// The auditions that are found.
    fn finds(&self, find: &Value) -> Vec<String> {
        let found = self.ok(&json!({"ask": "logbook", "find": find}));
        let lines = found["found"]["lines"].as_array().expect("lines").clone();
        let mut found: Vec<String> =
            lines.iter().map(|line| line["audition"].as_str().expect("a name").to_owned()).collect();
        found.sort();
        found
    }

    /// What can be chosen from: the names of benches.
    fn offers(&self) -> Vec<String> {
        let choosable = self.ok(&json!({"ask": "choosable"}))["choosable"].clone();
        names(&choosable["benches"])
    }
}

fn names(benches: &Value) -> Vec<String> {
    let all = benches.as_array().into_iter().flatten();
    all.map(|one| one["name"].as_str().expect("a name").to_owned()).collect()
}

#[test]
fn the_logbook_is_narrowed_to_who_wrote() {
    let (mut ada, mut ben) = (One::new(1), One::new(2));
    ada.stock();
    ada.choose(AUDITIONS[0]);
    ada.write(json!({"ask": "name_bench", "name": " Ada's window "}));
    assert_eq!(ada.offers(), Vec::<String>::new(), "one alone is nothing to choose from");
    ben.takes_in(&ada);
    ben.choose(AUDITIONS[1]);
    ben.choose(AUDITIONS[2]);
    assert_eq!(ben.offers(), ["This bench", "Ada's window"]);
    ben.write(json!({"ask": "name_bench", "name": "Ben"}));
    // Each writes in an audition of the other's.
    ben.write(json!({"ask": "describe_amp", "audition": AUDITIONS[0], "words": "small and tin"}));
    ada.takes_in(&ben);
    ada.write(json!({"ask": "describe_amp", "audition": AUDITIONS[2], "words": "the large one"}));
    ben.takes_in(&ada);
    for bench in [&ada, &ben] {
        assert_eq!(bench.finds(&json!({})), AUDITIONS);
        assert_eq!(bench.finds(&json!({"bench": ada.id()})), [AUDITIONS[0], AUDITIONS[2]]);
        assert_eq!(bench.finds(&json!({"bench": ben.id()})), AUDITIONS);
        assert_eq!(bench.finds(&json!({"bench": ada.id(), "words": "larg"})), [AUDITIONS[2]]);
        assert_eq!(bench.finds(&json!({"bench": ada.id(), "pickup": PICKUP, "words": "tin"})), [AUDITIONS[0]]);
        let nobody = "019a3c5f-7e00-7000-8000-00000000beef";
        assert_eq!(bench.finds(&json!({"bench": nobody})), Vec::<String>::new());
    }
    // Each line says who wrote it, where another did.
    let by = |bench: &One, audition: &str| -> Vec<Option<String>> {
        let view = bench.ok(&json!({"ask": "audition", "id": audition}))["audition"].clone();
        let lines = view["written"].as_array().expect("lines").clone();
        let mut by: Vec<_> = lines.iter().map(|line| line["by"].as_str().map(str::to_owned)).collect();
        // Their clocks are not alike, so neither is the order.
        by.sort();
        by
    };
    let (window, other) = (Some("Ada's window".to_owned()), Some("Ben".to_owned()));
    assert_eq!(by(&ada, AUDITIONS[0]), [window.clone(), other.clone()]);
    assert_eq!(by(&ben, AUDITIONS[2]), [window, other.clone()]);
    assert_eq!((by(&ben, AUDITIONS[1]), by(&ada, AUDITIONS[1])), (vec![None], vec![other]));
    assert_eq!((ada.offers(), ben.offers()), (strings(["Ada's window", "Ben"]), strings(["Ben", "Ada's window"])));
    // The invented bench wrote nothing.
    ada.ok(&json!({"ask": "load_demo"}));
    assert_eq!(ada.offers(), ["Ada's window", "Ben"]);
    let invented = "01980000-0000-7000-8000-00000000de30";
    assert_eq!(ada.finds(&json!({"bench": invented})), Vec::<String>::new());
    // Lists that are made anew say the same.
    drop(ada.bench);
    let file = ada.folder.path().join("solderlast.db");
    let conn = rusqlite::Connection::open(&file).expect("opens");
    conn.execute_batch(
        "DELETE FROM audition_line; DELETE FROM thing_line; INSERT INTO audition_words (audition_words) VALUES ('delete-all');
         UPDATE listed SET up_to = 0;",
    )
    .expect("emptied");
    drop(conn);
    ada.bench = One::open(ada.folder.path(), 1);
    assert_eq!(ada.finds(&json!({"bench": ben.id()})), AUDITIONS);
    assert_eq!(ada.offers(), ["Ada's window", "Ben"]);
}

fn strings<const N: usize>(words: [&str; N]) -> Vec<String> {
    words.map(str::to_owned).to_vec()
}

#[test]
fn a_bench_has_the_name_that_was_given_last_and_no_other_has_it() {
    let (mut ada, mut ben) = (One::new(1), One::new(2));
    let all = |bench: &One| names(&bench.ok(&json!({"ask": "benches"}))["benches"]);
    assert_eq!(all(&ada), ["This bench"]);
    for (name, words) in [("", "name"), ("\u{200B}", "can't be seen"), (&"w".repeat(81), "80")] {
        let entry = ada.entry();
        let refused = ada.answer(&json!({"ask": "name_bench", "entry": entry, "name": name}))["refused"].clone();
        assert_eq!(refused["field"], "name", "{refused}");
        assert!(refused["sentence"].as_str().is_some_and(|sentence| sentence.contains(words)), "{refused}");
    }
    ada.write(json!({"ask": "name_bench", "name": "Window"}));
    ada.write(json!({"ask": "name_bench", "name": "Door"}));
    assert_eq!(all(&ada), ["Door"]);
    // Said again, nothing is written.
    let entry = ada.entry();
    let again = json!({"ask": "name_bench", "entry": entry, "name": "Door"});
    assert_eq!(ada.ok(&again), ada.ok(&again));
    ada.stock();
    ada.choose(AUDITIONS[0]);
    ben.takes_in(&ada);
    ben.choose(AUDITIONS[1]);
    let entry = ben.entry();
    let taken = ben.answer(&json!({"ask": "name_bench", "entry": entry, "name": "DOOR"}))["refused"].clone();
    assert!(
        taken["sentence"].as_str().is_some_and(|sentence| sentence.contains("Another bench has this name")),
        "{taken}"
    );
    // Named apart from each other they may come to one name: then a number tells them apart.
    ada.write(json!({"ask": "name_bench", "name": "Attic"}));
    ben.write(json!({"ask": "name_bench", "name": "attic"}));
    ben.takes_in(&ada);
    ada.takes_in(&ben);
    assert_eq!((all(&ada), all(&ben)), (strings(["Attic", "attic (2)"]), strings(["attic", "Attic (2)"])));
    // One that nobody named.
    let mut cid = One::new(3);
    cid.takes_in(&ada);
    cid.choose(AUDITIONS[2]);
    ada.takes_in(&cid);
    assert_eq!(all(&ada), ["Attic", "attic (2)", "A bench without a name"]);
}
