//! Whole tests by asks and files: nothing that comes before the end tells which take is heard, and what comes at the end is so.

use std::io::Cursor;

use serde_json::{Value, json};
use solderlast_core::ask::TakePlace;
use solderlast_core::blind::{KEY_FILE, Key, order};
use solderlast_core::record::blind::BlindPlan;
use solderlast_core::record::body::{BlindBody, Body};
use solderlast_core::record::names::EntryId;
use solderlast_core::takes::stretch::{HEAD, Stretch};
use solderlast_testkit::Chance;
use solderlast_testkit::sound::{Plucked, Samples, Sound};
use solderlast_testkit::workbench::{AUDITION, GUITAR, OTHER_PICKUP, Workbench, choice};

const OTHER: &str = "019a3c5f-7e00-7000-8000-00000000000b";

/// A riff of three strings, brighter or duller, at another level, rate and moment.
fn riff(rate: u32, channels: usize, late: f64, height: f64, stretch: f64) -> Vec<u8> {
    let mut sound = Sound::silence(rate, channels, 4.0 + late);
    for (at, hertz) in [(0.0, 110.0), (0.9, 146.83), (1.8, 196.0)] {
        sound = sound.pluck(&Plucked { height, stretch, stopped: 1.0, ..Plucked::at(late + at, hertz) });
    }
    sound.wav(Samples::Whole(24))
}

fn keep(bench: &Workbench, audition: &str, file: &[u8], gain: &str) -> String {
    keep_about(bench, &json!({"thing": "audition", "id": audition}), file, gain)
}

fn keep_about(bench: &Workbench, about: &Value, file: &[u8], gain: &str) -> String {
    let entry = bench.name();
    let place: TakePlace = serde_json::from_value(json!({"about": about, "entry": entry,
        "recorded": {"played": "riff", "mode": "single", "through": "instrument", "gain": gain}}))
    .expect("a place for a take");
    let mut receiving = bench.bench.receive_take().expect("room");
    receiving.take(file).expect("room");
    bench.bench.keep_take(&place, receiving).expect("it is kept");
    entry
}

/// A bench with a take each of two pickups, and a second one of the first. `key` is the key of its tests.
fn recorded(key: char) -> (Workbench, [String; 3]) {
    let bench = Workbench::begun();
    std::fs::write(bench.folder.path().join(KEY_FILE), String::from(key).repeat(64)).expect("a key");
    let mut other = choice();
    other["pickup"] = json!(OTHER_PICKUP);
    bench.write(json!({"ask": "choose", "audition": OTHER, "choice": other}));
    let one = keep(&bench, AUDITION, &riff(44_100, 1, 0.3, 0.3, 5e-5), "3");
    let two = keep(&bench, OTHER, &riff(96_000, 2, 1.1, 0.08, 4e-4), "5");
    let again = keep(&bench, AUDITION, &riff(44_100, 1, 0.7, 0.28, 5.2e-5), "3");
    (bench, [one, two, again])
}

fn plan(bench: &Workbench, question: &str, takes: &[&String], trials: u32) -> (String, Value) {
    let about = json!({"thing": "guitar", "id": GUITAR});
    let (test, reply) = bench
        .write(json!({"ask": "plan_blind", "about": about, "question": question, "takes": takes, "trials": trials}));
    (test, reply["blind"].clone())
}

fn sounds(bench: &Workbench, test: &str, trial: u32, count: u8) -> Vec<Vec<u8>> {
    let test: EntryId = serde_json::from_value(json!(test)).expect("a name");
    (1..=count).map(|sound| bench.bench.blind_sound(test, trial, sound).expect("it is given")).collect()
}

/// Samples of a sound's file.
fn samples(file: &[u8]) -> Vec<f64> {
    file[HEAD..].chunks_exact(3).map(|one| f64::from(i32::from_le_bytes([0, one[0], one[1], one[2]]) >> 8)).collect()
}

/// The mean square of the difference between two sounds.
fn apart(one: &[u8], other: &[u8]) -> f64 {
    let (one, other) = (samples(one), samples(other));
    one.iter().zip(&other).map(|(one, other)| (one - other).powi(2)).sum::<f64>() / one.len().max(1) as f64
}

/// Which of three is the odd one, by taking their samples from each other, as no ear can.
fn odd_by_samples(files: &[Vec<u8>]) -> u8 {
    let [a, b, c] = [apart(&files[1], &files[2]), apart(&files[0], &files[2]), apart(&files[0], &files[1])];
    if a < b && a < c {
        1
    } else if b < c {
        2
    } else {
        3
    }
}

/// Everything that is told of a running test is the same whatever the key is, but for the seal, and names nothing.
#[test]
fn nothing_before_the_end_tells_which_take_is_heard() {
    for question in ["odd_one_out", "nearer_to_wish"] {
        let told = ['a', '7', 'e'].map(|key| {
            let (bench, [one, two, _]) = recorded(key);
            let names: Vec<String> = ["Paper crane", "Tin whistle"].map(str::to_owned).to_vec();
            let kept: Vec<String> = bench.ok(&json!({"ask": "takes", "about": null}))["takes"]["takes"]
                .as_array()
                .expect("takes")
                .iter()
                .filter_map(|line| line["sound"]["take"].as_str().map(str::to_owned))
                .collect();
            let (test, blind) = plan(&bench, question, &[&one, &two], 5);
            let seed = String::from(
                Key::kept(bench.folder.path())
                    .expect("a key")
                    .seed(serde_json::from_value(json!(test)).expect("a name")),
            );
            let mut replies = vec![blind.clone()];
            let (trials, count) =
                (blind["trials"].as_u64().expect("trials"), blind["sounds"].as_u64().expect("sounds"));
            for trial in 1..=trials {
                let files = sounds(&bench, &test, trial as u32, count as u8);
                for (at, file) in files.iter().enumerate() {
                    // One size and one head for all, and no two alike.
                    assert_eq!((file.len(), &file[..HEAD]), (files[0].len(), &files[0][..HEAD]));
                    assert!(files[at + 1..].iter().all(|other| other != file), "two sounds of trial {trial} are alike");
                    let stretch = Stretch::cut(Cursor::new(file.clone()), 0.0, 5.0).expect("it is a sound");
                    let first = Stretch::cut(Cursor::new(files[0].clone()), 0.0, 5.0).expect("it is a sound");
                    let loud = [stretch, first].map(|one| one.loudness().expect("it is loud").get());
                    assert!((loud[0] - loud[1]).abs() < 0.1, "{loud:?}");
                }
                let answer = json!({"ask": "answer_blind", "about": blind["about"], "test": test, "trial": trial,
                    "sound": 1 + trial % count});
                replies.push(bench.write(answer).1);
                replies.push(bench.ok(&json!({"ask": "blind", "test": test})));
                for about in [blind["about"].clone(), json!({"thing": "audition", "id": AUDITION})] {
                    replies.push(bench.ok(&json!({"ask": "blind_tests", "about": about})));
                }
                // Whoever left it is offered to go on with it.
                let left = bench.ok(&json!({"ask": "blind_tests", "about": null}));
                assert_eq!((&left["tests"][0]["test"], &left["tests"][0]["running"]), (&json!(test), &json!(true)));
                replies.push(left);
            }
            for reply in &replies {
                let text = reply.to_string();
                for hidden in names.iter().chain(&kept).chain([&seed]) {
                    assert!(!text.contains(hidden.as_str()), "{hidden} stands in {text}");
                }
            }
            // Whatever else a page may look at.
            for ask in [
                json!({"ask": "bench"}),
                json!({"ask": "decision", "guitar": GUITAR, "place": null, "wishes": null, "musts": null}),
                json!({"ask": "guitar", "id": GUITAR, "unit": "millimetre"}),
                json!({"ask": "guitar_history", "id": GUITAR, "after": null}),
                json!({"ask": "logbook", "find": {"words": "crane"}}),
                json!({"ask": "audition", "id": AUDITION}),
            ] {
                let reply = bench.ok(&ask);
                assert!(!reply.to_string().contains(&seed), "{ask}");
                replies.push(reply);
            }
            let seal = blind["seal"].as_str().expect("a seal").to_owned();
            replies.iter().map(|reply| reply.to_string().replace(&seal, "seal")).collect::<Vec<_>>()
        });
        assert_eq!(told[0], told[1], "{question}");
        assert_eq!(told[0], told[2], "{question}");
    }
}

/// A test that was left is found by each audition whose takes are heard in it, and by no other.
#[test]
fn a_test_is_found_by_the_auditions_of_its_takes() {
    let (bench, [one, two, again]) = recorded('b');
    let third = "019a3c5f-7e00-7000-8000-0000000000aa";
    bench.write(json!({"ask": "choose", "audition": third, "choice": choice()}));
    let of = |audition: &str| {
        let reply = bench.ok(&json!({"ask": "blind_tests", "about": {"thing": "audition", "id": audition}}));
        let tests = reply["tests"].as_array().expect("tests").clone();
        tests.iter().map(|test| (test["test"].clone(), test["running"] == true)).collect::<Vec<_>>()
    };
    let (both, blind) = plan(&bench, "odd_one_out", &[&one, &two], 5);
    let (own, _) = plan(&bench, "odd_one_out", &[&one, &again], 5);
    assert_eq!(of(AUDITION), [(json!(own), true), (json!(both), true)], "the newest first");
    assert_eq!(of(OTHER), [(json!(both), true)]);
    assert!(of(third).is_empty(), "none of its takes is heard");
    bench.write(json!({"ask": "uncover_blind", "about": blind["about"], "test": both}));
    assert_eq!(of(OTHER), [(json!(both), false)], "it is over");
}

/// What is heard in each trial is what the order says, the control included; and the order is the one that was sealed.
#[test]
fn the_order_is_what_was_sealed_and_heard() {
    let (bench, [one, two, _]) = recorded('c');
    let (test, blind) = plan(&bench, "odd_one_out", &[&one, &two], 8);
    assert_eq!(blind["trials"].as_u64(), Some(14), "{blind}");
    for trial in 1..=14 {
        let files = sounds(&bench, &test, trial, 3);
        bench.write(json!({"ask": "answer_blind", "about": blind["about"], "test": test, "trial": trial,
            "sound": odd_by_samples(&files)}));
    }
    let (_, reply) = bench.write(json!({"ask": "uncover_blind", "about": blind["about"], "test": test}));
    let result = &reply["blind"]["result"];
    assert!(result["trials"].as_array().expect("trials").iter().all(|trial| trial["right"] == true), "{result}");
    // Two takes of one pickup are told apart by samples as well, and that weakens the rest.
    assert_eq!(result["verdict"]["word"], "Told apart, and so was the control", "{result}");
    let unfair = result["unfair"].as_array().expect("what was not alike");
    assert_eq!(blind["unfair"].as_u64(), Some(unfair.len() as u64));
    assert!(unfair[0].as_str().is_some_and(|one| one.contains("gain")), "{result}");
    let seed = serde_json::from_value(result["seed"].clone()).expect("a seed");
    let plan: BlindPlan = {
        let log = rusqlite::Connection::open(bench.folder.path().join("solderlast.db")).expect("the log");
        let body: String =
            log.query_row("SELECT body FROM entry WHERE kind = 'blind_planned'", [], |row| row.get(0)).expect("a plan");
        serde_json::from_value(serde_json::from_str::<Value>(&body).expect("JSON")["plan"].clone()).expect("a plan")
    };
    assert!(plan.seal.closes(&seed));
    let told: Vec<bool> =
        result["trials"].as_array().expect("trials").iter().map(|one| one["control"] == true).collect();
    assert_eq!(order(&plan, &seed).iter().map(|trial| trial.pair.is_none()).collect::<Vec<_>>(), told);
    // It is evidence for the decision from now on.
    let decision =
        bench.ok(&json!({"ask": "decision", "guitar": GUITAR, "place": 162.0, "wishes": null, "musts": null}));
    let told = decision["decision"]["blind"][0]["told"][0].as_str().unwrap_or_default();
    assert!(told.starts_with("Paper crane and Tin whistle can be told apart: 8 of 8"), "{decision}");
    let elsewhere =
        bench.ok(&json!({"ask": "decision", "guitar": GUITAR, "place": 41.0, "wishes": null, "musts": null}));
    assert!(elsewhere["decision"].get("blind").is_none(), "{elsewhere}");
    let tests = bench.ok(&json!({"ask": "blind_tests", "about": blind["about"]}));
    assert_eq!(tests["tests"][0]["running"], false);
    assert_eq!(bench.ok(&json!({"ask": "blind_tests", "about": null}))["tests"], json!([]));
}

#[test]
fn what_can_not_be_done_says_why() {
    let (bench, [one, two, again]) = recorded('d');
    let about = json!({"thing": "guitar", "id": GUITAR});
    let refused = |ask: Value| {
        let mut ask = ask;
        ask["entry"] = json!(bench.name());
        let refusal = bench.refused(&ask);
        (
            refusal["code"].as_str().unwrap_or_default().to_owned(),
            refusal["sentence"].as_str().unwrap_or_default().to_owned(),
        )
    };
    let planned = |takes: Value, trials: u32, about: &Value| {
        refused(
            json!({"ask": "plan_blind", "about": about, "question": "odd_one_out", "takes": takes, "trials": trials}),
        )
    };
    assert!(planned(json!([one]), 8, &about).1.contains("two to four"));
    assert!(planned(json!([one, one]), 8, &about).1.contains("chosen twice"));
    assert!(planned(json!([one, two]), 4, &about).1.contains("5 to 60"));
    assert_eq!(planned(json!([one, bench.name()]), 8, &about).0, "not_found");
    assert!(
        planned(json!([one, two]), 8, &json!({"thing": "pickup", "id": OTHER_PICKUP})).1.contains("something else")
    );

    let (test, _) = plan(&bench, "nearer_to_wish", &[&one, &two, &again], 5);
    let answer = |trial: u32, sound: u8| json!({"ask": "answer_blind", "about": about, "test": test, "trial": trial, "sound": sound});
    assert!(refused(answer(2, 1)).1.contains("not due"));
    assert_eq!(refused(answer(1, 3)).0, "unclear");
    bench.write(answer(1, 2));
    assert!(refused(answer(1, 1)).1.contains("An answer stands"));
    let id: EntryId = serde_json::from_value(json!(test)).expect("a name");
    assert!(bench.bench.blind_sound(id, 1, 1).is_err() && bench.bench.blind_sound(id, 3, 1).is_err());
    assert!(bench.bench.blind_sound(id, 2, 3).is_err() && bench.bench.blind_sound(id, 2, 0).is_err());

    // A key that is gone: what was answered stays, and nothing is told by another order.
    let key = bench.folder.path().join(KEY_FILE);
    let kept = std::fs::read(&key).expect("a key");
    std::fs::remove_file(&key).expect("removed");
    let uncover = json!({"ask": "uncover_blind", "about": about, "test": test});
    assert!(refused(uncover.clone()).1.contains("another bench"));
    assert!(bench.bench.blind_sound(id, 2, 1).is_err_and(|refusal| refusal.sentence.contains("another bench")));
    std::fs::write(&key, kept).expect("put back");

    // Ended early: it says so, and nothing can be answered any more.
    let (_, reply) = bench.write(uncover.clone());
    let result = &reply["blind"]["result"];
    assert!(result["early"].as_str().is_some_and(|early| early.contains("1 of 21")), "{result}");
    assert_eq!(result["verdict"]["word"], "Ended early");
    assert!(refused(answer(2, 1)).1.contains("names of this test are shown"));
    assert!(refused(uncover).1.contains("shown already"));
    // What was heard blind can't be struck out, by whichever ask.
    let struck = refused(json!({"ask": "strike_decision", "guitar": GUITAR, "struck": test, "why": ""}));
    assert!(struck.1.contains("not decided"), "{struck:?}");
}

/// Side by side, with names: matched within 0.1 LU by gains that only go down, the same stretch of each.
#[test]
fn takes_side_by_side_are_matched() {
    let (bench, [one, two, again]) = recorded('b');
    let reply = bench.ok(&json!({"ask": "hear_takes", "takes": [one, two, again], "from": 0.0, "length": 3.0}));
    let hearing = &reply["hearing"];
    let takes = hearing["takes"].as_array().expect("takes");
    let heard: Vec<f64> = takes
        .iter()
        .map(|take| {
            let (start, length) =
                (take["start"].as_f64().expect("a start"), hearing["length"].as_f64().expect("a length"));
            let gain = take["gain"].as_f64().expect("a gain");
            assert!(gain <= 0.0, "{take}");
            let file = bench.bench.stretch(take["take"].as_str().expect("a name"), start, length).expect("it is cut");
            Stretch::cut(Cursor::new(file), 0.0, length).expect("a sound").loudness().expect("loud").get() + gain
        })
        .collect();
    assert!(heard.iter().all(|one| (one - heard[0]).abs() < 0.1), "{heard:?}");
    assert!(takes[1]["gain"] == 0.0 && takes[0]["gain_shown"].as_str().is_some_and(|gain| gain.ends_with("dB down")));
    let names: Vec<&str> = takes.iter().filter_map(|take| take["name"].as_str()).collect();
    assert_eq!(names, ["Paper crane in single, take 1", "Tin whistle", "Paper crane in single, take 2"]);
    let differences = hearing["differences"].to_string();
    assert!(differences.contains("louder than Tin whistle") && differences.contains("Around"), "{differences}");
    let offer = bench.ok(&json!({"ask": "blind_offer", "question": "odd_one_out", "takes": [one, two], "trials": 12}))
        ["offer"]
        .clone();
    assert_eq!((offer["all"].as_u64(), offer["pairs"].as_u64()), (Some(18), Some(1)));
    assert!(
        offer["chosen"]["words"].as_str().is_some_and(|words| words.starts_with("12 of each pair: 8 right ones")),
        "{offer}"
    );
    // The numbers add up, and what a test shows is said of who takes it.
    let words = offer["words"].as_str().unwrap_or_default();
    assert!(words.starts_with("12 trials of the pair and 6 of the control: 18 trials of 3 sounds each"), "{words}");
    assert!(offer["chosen"]["words"].as_str().is_some_and(|words| words.ends_with(" times in 100.")), "{offer}");
    assert!(
        offer["control"].as_str().is_some_and(|control| control.starts_with("Two takes of Paper crane")),
        "{offer}"
    );
}

/// A key is made once, by whatever is thrown at the opening, and for its owner alone.
#[test]
fn the_key_is_kept() {
    let mut chance = Chance::seeded(3);
    let folder = tempfile::tempdir().expect("a scratch folder");
    let test: EntryId = serde_json::from_value(json!(AUDITION)).expect("a name");
    let mut fresh = || [chance.next().to_le_bytes(); 4].concat().try_into().expect("32 bytes");
    let seeds: Vec<String> =
        (0..3).map(|_| String::from(Key::of(folder.path(), fresh()).expect("a key").seed(test))).collect();
    assert!(seeds.iter().all(|seed| *seed == seeds[0]));
    assert_eq!(std::fs::read_dir(folder.path()).expect("read").count(), 1, "nothing else is left there");
}

/// Two takes of one pickup that are both candidates are no control for each other, as that pair is asked about already.
#[test]
fn what_is_a_candidate_is_no_control() {
    let (bench, [one, two, again]) = recorded('e');
    let control = |takes: Value| {
        let offer = bench.ok(&json!({"ask": "blind_offer", "question": "odd_one_out", "takes": takes, "trials": 8}));
        offer["offer"]["control"].as_str().unwrap_or_default().to_owned()
    };
    assert!(control(json!([one, two])).starts_with("Two takes of "), "{}", control(json!([one, two])));
    for takes in [json!([one, again]), json!([one, two, again])] {
        assert!(control(takes.clone()).contains("against itself"), "{}", control(takes));
    }
}

/// A take of an install was made at the place it is in, so what is heard blind of it beside an audition there feeds the decision.
#[test]
fn a_take_of_an_install_is_of_its_place() {
    const FIT: &str = "019a3c5f-7e00-7000-8000-0000000000f1";
    let (bench, [one, _, _]) = recorded('f');
    bench.hook_up();
    bench.measure();
    bench.write(json!({"ask": "begin_fit", "fit": FIT, "audition": AUDITION, "place": "neck"}));
    let installed = keep_about(&bench, &json!({"thing": "fit", "id": FIT}), &riff(44_100, 1, 0.2, 0.3, 6e-5), "3");
    let (test, _) = plan(&bench, "nearer_to_wish", &[&one, &installed], 5);
    let test: EntryId = serde_json::from_value(json!(test)).expect("a name");
    let log = solderlast_testkit::parcel::log(bench.folder.path());
    let planned = log.entry(test).expect("readable").expect("it is there");
    let Some(Body::Blind(BlindBody::BlindPlanned { plan })) = planned.body.known() else {
        unreachable!("a plan was written")
    };
    assert_eq!(plan.from_saddle.map(solderlast_core::record::quantity::Millimetres::get), Some(162.0));
    assert!(plan.unfair.iter().any(|said| said.contains("not made in an audition")), "{:?}", plan.unfair);
}
