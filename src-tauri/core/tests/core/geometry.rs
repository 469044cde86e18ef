//! The geometry of an audition through `ask`: what is told, what is recorded, and what nobody can mean.

use serde_json::{Value, json};
use solderlast_testkit::workbench::{
    AUDITION, GUITAR, PICKUP, RIG, Workbench, choice, guitar_form, pickup_form, rig_form,
};

const SECOND: &str = "019a3c5f-7e00-7000-8000-00000000000b";

fn strings_over(bench: &Workbench) -> Value {
    let ask = json!({"ask": "strings_over", "audition": AUDITION, "shift": "", "to_treble": true, "limit": "", "unit": "millimetre"});
    bench.ok(&ask)["strings"].clone()
}

fn hear(form: Value) -> Value {
    let mut whole = json!({"pickup": PICKUP, "guitar": GUITAR, "rig": RIG, "lie": null, "from_saddle": "162", "final_place": "41",
        "unit": "millimetre", "coil": null, "apart": "", "aperture": "", "string": 0, "fret": 0, "tuning": ""});
    for (name, value) in form.as_object().into_iter().flatten() {
        whole[name] = value.clone();
    }
    json!({"ask": "hear_place", "form": whole})
}

fn text(value: &Value) -> String {
    value.as_array().into_iter().flatten().filter_map(Value::as_str).collect::<Vec<_>>().join(" ")
}

fn write_guitar(bench: &Workbench, change: impl FnOnce(&mut Value)) {
    let mut form = guitar_form("Kitchen guitar");
    change(&mut form);
    bench.write(json!({"ask": "write_guitar", "id": GUITAR, "form": form}));
}

fn write_pickup(bench: &Workbench, change: impl FnOnce(&mut Value)) {
    let mut form = pickup_form("Paper crane");
    change(&mut form);
    bench.write(json!({"ask": "write_pickup", "id": PICKUP, "form": form}));
}

/// What is said of all strings and of each string never contradict each other, wherever it hears.
#[test]
fn what_it_can_t_hear_is_told_alike() {
    let bench = Workbench::begun();
    let mut both = [0, 0];
    for place in (25..300).step_by(7) {
        for fret in [0, 12] {
            let form = json!({"from_saddle": place.to_string(), "final_place": "", "fret": fret});
            let place = bench.ok(&hear(form))["place"].clone();
            let (all, first) = (text(&place["sentences"]), &place["strings"][0]);
            let said = match first["rig_silent"].as_u64() {
                Some(number) => format!("first harmonic it can't hear is number {number}."),
                None => "It hears all of the first 20 harmonics".to_owned(),
            };
            both[usize::from(first["rig_silent"].is_null())] += 1;
            assert!(all.contains(&said) || all.contains(&said.to_lowercase()), "{said}: {all}");
        }
    }
    assert!(both.iter().all(|count| *count > 0), "{both:?}");
}

/// Nobody is said to tell the ends of a pickup apart before they say so, unless the record names a mark.
#[test]
fn ends_are_told_apart_by_the_record_or_a_person() {
    for (mark, told) in [("", false), ("notch", true)] {
        let bench = Workbench::begun();
        write_pickup(&bench, |form| form["bass_end_mark"] = json!(mark));
        let view = bench.ok(&json!({"ask": "audition", "id": AUDITION}))["audition"].clone();
        assert_eq!(view["which_way"]["marked"], json!(told), "{mark}: {}", view["which_way"]);
    }
}

#[test]
fn eight_strings_on_a_six_pole_pickup() {
    let bench = Workbench::begun();
    let notes = ["F#1", "B1", "E2", "A2", "D3", "G3", "B3", "E4"];
    write_guitar(&bench, |form| {
        form["strings"] = notes.iter().map(|note| json!({"note": note, "gauge": ""})).collect();
        form["spread_saddle"] = json!("72");
        form["spread_nut"] = json!("48");
    });
    let seen = strings_over(&bench);
    let said = text(&seen["sentences"]);
    assert!(said.contains("6 poles, and the guitar 8 strings"), "{said}");
    assert_eq!(seen["strings"].as_array().map(Vec::len), Some(8));
    // The outer strings run far outside a spacing of 52 mm; each is told beside its nearest pole.
    assert_eq!((&seen["strings"][0]["pole"], &seen["strings"][7]["pole"]), (&json!(1), &json!(6)));
    assert_eq!(seen["strings"][0]["far"], true);
    assert!(said.contains("Both outer strings are off by more than 1.5 mm"), "{said}");
}

#[test]
fn wider_at_the_nut_than_at_the_saddle_is_computed_with_a_remark() {
    let bench = Workbench::begun();
    write_guitar(&bench, |form| {
        form["spread_nut"] = json!("54");
        form["spread_saddle"] = json!("50");
    });
    let seen = strings_over(&bench);
    let said = text(&seen["sentences"]);
    assert!(said.contains("wider at the nut (54 mm) than at the saddle (50 mm)"), "{said}");
    // 162 of 648 mm from the saddle: a quarter of the way from 50 to 54 mm.
    assert_eq!(seen["spread"]["millimetre"], "51 mm");
}

#[test]
fn what_the_records_do_not_say_is_said() {
    let bench = Workbench::begun();
    write_pickup(&bench, |form| form["pole_spacing"] = json!(""));
    write_guitar(&bench, |form| form["spread_nut"] = json!(""));
    let said = text(&strings_over(&bench)["sentences"]);
    assert!(said.contains("lacks the spread of its strings") && said.contains("common practice"), "{said}");
    assert!(said.contains("lacks the number of its poles or their spacing"), "{said}");
    write_pickup(&bench, |form| form["poles"] = json!("blade"));
    assert!(text(&strings_over(&bench)["sentences"]).contains("A blade runs under all strings"));
    write_pickup(&bench, |form| form["stagger"] = json!("unknown"));
    let ask =
        json!({"ask": "facing", "audition": AUDITION, "lie": {"poles": "down", "bass_end": "treble"}, "marked": true});
    let look = bench.ok(&ask)["look"].clone();
    assert!(text(&look["facing"]["sentences"]).contains("Not recorded yet: whether its poles"));
    assert_eq!(look["verdict"]["kind"], "bad");
}

#[test]
fn a_shift_that_balances() {
    let bench = Workbench::begun();
    let ask = |shift: &str, to_treble: bool, limit: &str| {
        bench.ok(
            &json!({"ask": "strings_over", "audition": AUDITION, "shift": shift, "to_treble": to_treble, "limit": limit,
            "unit": "millimetre"}),
        )["strings"]
            .clone()
    };
    let moved = ask("2", true, "");
    assert!((moved["balance"]["value"].as_f64().unwrap_or(0.0) + 2.0).abs() < 1e-9, "{}", moved["balance"]);
    assert!(text(&moved["sentences"]).contains("Move the pickup 2 mm to the bass side"), "{}", moved["sentences"]);
    assert!(text(&ask("2", false, "")["sentences"]).contains("to the treble side"));
    assert!(text(&ask("", true, "")["sentences"]).contains("no shift is needed"));
    // The limit is the person's.
    let strict = ask("", true, "0.1");
    assert_eq!(strict["strings"][0]["far"], true, "{}", strict["strings"][0]);
    assert_eq!(ask("", true, "4")["strings"][0]["far"], false);
}

#[test]
fn gaps_of_an_earlier_audition_become_the_aim() {
    let bench = Workbench::begun();
    let measure = |audition: &str, bass: &str, treble: &str| {
        bench.write(
            json!({"ask": "measure_gaps", "audition": audition, "bass": bass, "treble": treble, "unit": "millimetre",
            "pressed_at": 22, "kept": true}),
        );
    };
    measure(AUDITION, "2.4", "2");
    bench.write(json!({"ask": "choose", "audition": SECOND, "choice": choice()}));
    let earlier = bench.ok(&json!({"ask": "earlier_gaps", "audition": SECOND}))["earlier"].clone();
    assert_eq!(earlier.as_array().map(Vec::len), Some(1));
    assert_eq!((&earlier[0]["audition"], &earlier[0]["bass"]["millimetre"]), (&json!(AUDITION), &json!("2.4 mm")));
    let none = bench.refused(&json!({"ask": "aim_gaps", "entry": bench.name(), "audition": AUDITION,
        "aim": {"aim": "earlier", "audition": SECOND}}));
    assert_eq!(none["field"], "aim.audition");

    bench.write(json!({"ask": "aim_gaps", "audition": SECOND, "aim": {"aim": "earlier", "audition": AUDITION}}));
    measure(SECOND, "3.2", "2.3");
    let gaps = bench.ok(&json!({"ask": "audition", "id": SECOND}))["audition"]["gaps"].clone();
    assert_eq!(gaps["aim"]["from"], AUDITION);
    assert_eq!(gaps["aim"]["fairness"]["fair"], false);
    assert!(
        gaps["aim"]["fairness"]["sentence"].as_str().is_some_and(|s| s.contains("0.8 mm farther at the bass side"))
    );
    assert_eq!(gaps["moves"]["studs"][0]["side"], "Both bass studs");
    // The turns, done: what is measured then is what was said, and that is a fair match.
    let after = |side: &str| gaps["moves"][side]["millimetre"].as_str().unwrap_or_default().to_owned();
    measure(SECOND, &after("bass_after"), &after("treble_after"));
    let gaps = bench.ok(&json!({"ask": "audition", "id": SECOND}))["audition"]["gaps"].clone();
    assert_eq!(gaps["aim"]["fairness"]["fair"], true, "{}", gaps["aim"]);
    assert_eq!(gaps["bass_is"], "within");
    bench.write(json!({"ask": "aim_gaps", "audition": SECOND, "aim": {"aim": "middle"}}));
    let gaps = bench.ok(&json!({"ask": "audition", "id": SECOND}))["audition"]["gaps"].clone();
    assert_eq!((&gaps["aim"]["chosen"], &gaps["aim"]["fairness"]), (&json!(false), &Value::Null));
}

#[test]
fn single_strings_studs_and_levels_are_recorded() {
    let bench = Workbench::begun();
    let (_, audition) = bench
        .note(json!({"ask": "measure_gaps", "bass": "2.7", "treble": "2.2", "unit": "millimetre", "pressed_at": null,
        "kept": true, "between": ["2.5", "", "3/32\"", "2.3"], "studs_out": ["3", "2.5"]}));
    let gaps = &audition["gaps"];
    assert_eq!(gaps["between"][0]["note"], "A2");
    assert_eq!(gaps["between_typed"], json!(["2.5 mm", "", "2.38 mm", "2.3 mm"]));
    assert_eq!(gaps["studs_out"][1]["millimetre"], "2.5 mm");
    let line = audition["written"].as_array().and_then(|lines| lines.last()).map(|line| line["words"].to_string());
    assert!(line.is_some_and(|line| line.contains("strings between 2.5 mm, ?, 2.38 mm, 2.3 mm")));
    for (level, gap) in [("-12", "2"), ("−20 dB", "4")] {
        bench.note(json!({"ask": "read_level", "level": level, "gap": gap, "unit": "millimetre"}));
    }
    let levels = bench.audition()["gaps"]["levels"].clone();
    assert_eq!(levels["law"]["readings"], 2);
    assert!(levels["sentence"].as_str().is_some_and(|s| s.contains("half the gap gives 8 dB")), "{levels}");
    // A level without a gap belongs to the gaps measured last: the mean of 2.7 and 2.2 mm.
    bench.note(json!({"ask": "read_level", "level": "-14", "gap": "", "unit": "millimetre"}));
    assert_eq!(bench.audition()["gaps"]["levels"]["readings"][2], "−14 dB at 2.45 mm");
    // Another place is another law.
    let mut elsewhere = choice();
    elsewhere["from_saddle"] = json!("100");
    bench.write(json!({"ask": "choose", "audition": AUDITION, "choice": elsewhere}));
    assert_eq!(bench.audition()["gaps"]["levels"]["readings"], json!([]));
}

#[test]
fn tuning_and_final_place() {
    let bench = Workbench::begun();
    let (_, audition) = bench.note(json!({"ask": "tune", "notes": "DADGAD"}));
    assert_eq!(audition["tuning"], "D2 A2 D3 G3 A3 D4");
    let (_, audition) = bench.note(json!({"ask": "tune", "notes": ""}));
    assert_eq!(audition["tuning"], "");
    let (_, audition) =
        bench.note(json!({"ask": "choose_final", "place": "bridge", "from_saddle": "1.614 in", "unit": "millimetre"}));
    assert_eq!(audition["final_place"]["place"], "bridge");
    let place = bench.ok(&hear(json!({"tuning": "D A D G B E", "fret": 12})))["place"].clone();
    assert_eq!(place["rows"][0]["pitch_shown"], "146.8 Hz");
    assert_eq!(place["strings"][0]["note"], "D2");
    assert_eq!(place["rows"].as_array().map(Vec::len), Some(20));
}

/// A slanted pickup has a distance for each side at both places: the outer strings hear what straight ones there would.
#[test]
fn a_final_place_aslant_is_heard_and_kept() {
    let bench = Workbench::begun();
    let rows = |form: Value| bench.ok(&hear(form))["place"]["rows"].clone();
    let both =
        json!({"from_saddle": "162", "from_saddle_treble": "150", "final_place": "58", "final_place_treble": "41"});
    for (string, rig, last) in [(0, "162", "58"), (5, "150", "41")] {
        let mut aslant = both.clone();
        aslant["string"] = json!(string);
        let straight = rows(json!({"string": string, "from_saddle": rig, "final_place": last}));
        assert_eq!(rows(aslant), straight, "string {string}");
    }
    // Nothing said of the final place: the rig's own, with its slant.
    let same = rows(json!({"from_saddle_treble": "150", "final_place": "", "string": 5}));
    assert!(same.as_array().into_iter().flatten().all(|row| row["rig_shown"] == row["last_shown"]), "{same}");
    for (change, field) in [
        (json!({"from_saddle_treble": "700"}), "from_saddle_treble"),
        (json!({"final_place_treble": "0"}), "final_place_treble"),
        (json!({"final_place_treble": "far"}), "final_place_treble"),
    ] {
        assert_eq!(bench.refused(&hear(change))["field"], field);
    }

    let choose = |place: &str, bass: &str, treble: &str| json!({"ask": "choose_final", "place": place, "from_saddle": bass, "from_saddle_treble": treble, "unit": "millimetre"});
    let (_, audition) = bench.note(choose("bridge", "58", "41"));
    assert_eq!(audition["final_place"]["from_saddle_treble"], 41.0);
    assert!(audition.to_string().contains("58 mm from the saddle, 41 mm at the treble side"), "it is told in the log");
    assert_eq!(bench.note_refused(choose("bridge", "58", "648"))["field"], "from_saddle_treble");
    // A place of the record is as the record has it.
    write_guitar(&bench, |form| {
        form["places"][0]["from_saddle"] = json!("58");
        form["places"][0]["from_saddle_treble"] = json!("41");
    });
    let (_, audition) = bench.note(choose("bridge", "58", ""));
    assert_eq!(audition["final_place"]["from_saddle_treble"], 41.0);
    let (_, audition) = bench.note(choose("elsewhere", "70", ""));
    assert_eq!(audition["final_place"]["from_saddle_treble"], Value::Null);
}

/// Twelve strings in pairs: a gap for each pair between the outer ones, and one that is too near is seen.
#[test]
fn pairs_of_strings_have_a_gap_each() {
    let bench = Workbench::begun();
    let notes = ["E3", "E2", "A3", "A2", "D4", "D3", "G4", "G3", "B3", "B3", "E4", "E4"];
    write_guitar(&bench, |form| {
        form["strings"] = notes.iter().map(|note| json!({"note": note, "gauge": ""})).collect();
        form["in_pairs"] = json!(true);
    });
    let gaps = |between: &[&str]| {
        json!({"ask": "measure_gaps", "bass": "3.6", "treble": "3", "unit": "millimetre", "pressed_at": null, "kept": true,
            "between": between})
    };
    assert_eq!(bench.audition()["gaps"]["between_notes"], json!(["A3 and A2", "D4 and D3", "G4 and G3", "B3 and B3"]));
    let refusal = bench.note_refused(gaps(&["3"; 10]));
    assert_eq!(refusal["field"], "between");
    assert!(refusal["sentence"].as_str().is_some_and(|said| said.contains("Between the outer pairs there are 4")));
    let (_, audition) = bench.note(gaps(&["3.48", "", "3.0", ""]));
    let said = audition["gaps"]["between"].clone();
    assert_eq!((&said[0]["note"], &said[1]["note"]), (&json!("A3 and A2"), &json!("G4 and G3")));
    assert_eq!(said[0]["words"], "on a straight line from the bass to the treble gap");
    assert!(said[1]["words"].as_str().is_some_and(|words| words.starts_with("0.24 mm nearer")), "{said}");
    let sentence = |audition: &Value| {
        audition["steps"]
            .as_array()
            .into_iter()
            .flatten()
            .find(|step| step["step"] == "gaps")
            .map(|step| step["verdict"]["sentence"].to_string())
            .unwrap_or_default()
    };
    let fine = sentence(&audition);
    let (_, audition) = bench.note(gaps(&["", "0.3", "", ""]));
    assert_ne!(sentence(&audition), fine, "a stroke brings that pair onto its pole");
}

/// Every harmonic of every open string and of frets up to the 24th can be asked for, at any place on the string.
#[test]
fn every_string_and_fret_is_answered() {
    let bench = Workbench::begun();
    for string in 0..6 {
        for fret in 0..=20 {
            let place = bench.ok(&hear(json!({"string": string, "fret": fret})))["place"].clone();
            assert!(place["chart"]["marks"].as_array().is_some_and(|marks| marks.len() > 40));
            assert!(!text(&place["sentences"]).is_empty());
        }
    }
}

#[test]
fn what_nobody_can_mean() {
    let bench = Workbench::begun();
    bench.note(json!({"ask": "measure_gaps", "bass": "2.4", "treble": "2", "unit": "millimetre", "pressed_at": null, "kept": true}));
    let gaps = |change: Value| {
        let mut ask = json!({"ask": "measure_gaps", "bass": "2.4", "treble": "2", "unit": "millimetre", "pressed_at": null, "kept": true});
        for (name, value) in change.as_object().into_iter().flatten() {
            ask[name] = value.clone();
        }
        ask
    };
    let before = bench.audition();
    for (ask, field, part) in [
        (gaps(json!({"bass": "0"})), "bass", "touches the string"),
        (gaps(json!({"treble": "-1"})), "treble", "below zero"),
        (gaps(json!({"bass": "30"})), "bass", "Check the unit"),
        (gaps(json!({"between": ["2"]})), "between", "there are 4 on this guitar"),
        (gaps(json!({"between": ["2", "0", "", ""]})), "between.1", "touches the string"),
        (gaps(json!({"studs_out": ["3"]})), "studs_out", "two lengths"),
        (gaps(json!({"studs_out": ["3", ""]})), "studs_out.1", "Nothing was typed"),
        (gaps(json!({"studs_out": ["3", "90"]})), "studs_out.1", "studs travel 20 mm in all"),
        (
            json!({"ask": "aim_gaps", "aim": {"aim": "typed", "bass": "0", "treble": "2", "unit": "millimetre", "pressed_at": null}}),
            "aim.bass",
            "touches the string",
        ),
        (json!({"ask": "read_level", "level": "loud", "gap": "", "unit": "millimetre"}), "level", "not a level"),
        (json!({"ask": "read_level", "level": "-12", "gap": "0", "unit": "millimetre"}), "gap", "touches the string"),
        (json!({"ask": "tune", "notes": "D A D"}), "notes", "each of the 6 strings"),
        (json!({"ask": "tune", "notes": "D A D G B H"}), "notes", "not a note"),
        (
            json!({"ask": "choose_final", "place": "neck", "from_saddle": "700", "unit": "millimetre"}),
            "from_saddle",
            "between the saddle and the nut",
        ),
        (
            json!({"ask": "choose_final", "place": "neck", "from_saddle": "0", "unit": "millimetre"}),
            "from_saddle",
            "between the saddle and the nut",
        ),
        (json!({"ask": "choose_final", "place": "", "from_saddle": "41", "unit": "millimetre"}), "place", "a name"),
        (
            json!({"ask": "mount", "mounting": {"bass_end_over": "bass", "turn": "rolled", "lie": {"poles": "up", "bass_end": "down"}}}),
            "mounting.lie",
            "right angle",
        ),
    ] {
        let refusal = bench.note_refused(ask.clone());
        assert_eq!(refusal["field"], field, "{ask}: {refusal}");
        assert!(refusal["sentence"].as_str().is_some_and(|s| s.contains(part)), "{ask}: {refusal}");
    }
    for (ask, field, part) in [
        (hear(json!({"from_saddle": "700"})), "from_saddle", "between the saddle and the nut"),
        (hear(json!({"from_saddle": "0"})), "from_saddle", "between the saddle and the nut"),
        (hear(json!({"final_place": "648"})), "final_place", "between the saddle and the nut"),
        (hear(json!({"fret": 24})), "fret", "the string ends before the pickup"),
        (hear(json!({"fret": 255})), "fret", "the string ends before the pickup"),
        (hear(json!({"string": 6})), "string", "6 strings"),
        (hear(json!({"coil": "C"})), "coil", "no such coil"),
        (hear(json!({"apart": "0"})), "apart", "above zero"),
        (hear(json!({"aperture": "3 m"})), "aperture", "not a length"),
        (hear(json!({"tuning": "E"})), "tuning", "each of the 6 strings"),
        (hear(json!({"lie": {"poles": "bass", "bass_end": "treble"}})), "lie", "right angle"),
        (
            json!({"ask": "facing", "audition": AUDITION, "lie": {"poles": "up", "bass_end": "up"}, "marked": true}),
            "lie",
            "right angle",
        ),
        (
            json!({"ask": "strings_over", "audition": AUDITION, "shift": "wide", "to_treble": true, "limit": "", "unit": "millimetre"}),
            "shift",
            "not a length",
        ),
        (
            json!({"ask": "strings_over", "audition": AUDITION, "shift": "90", "to_treble": true, "limit": "", "unit": "millimetre"}),
            "shift",
            "Check the unit",
        ),
    ] {
        let refusal = bench.refused(&ask);
        assert_eq!(refusal["field"], field, "{ask}: {refusal}");
        assert!(refusal["sentence"].as_str().is_some_and(|s| s.contains(part)), "{ask}: {refusal}");
    }
    assert_eq!(bench.audition(), before, "nothing was lost");
}

/// Entries that older versions wrote, letter by letter, still tell the same.
#[test]
fn entries_of_older_versions_still_read() {
    use solderlast_core::record::body::{AuditionBody, Body};
    use solderlast_core::record::entry::Written;
    for (kind, body) in [
        ("mounted", json!({"kind": "mounted", "mounting": {"bass_end_over": "bass", "turn": "rolled"}})),
        ("mounted", json!({"kind": "mounted", "mounting": {"bass_end_over": null, "turn": "end_over_end"}})),
        (
            "gaps_measured",
            json!({"kind": "gaps_measured", "gaps": {"bass": 2.4, "treble": 2.0, "pressed_at": 22, "kept": true}}),
        ),
    ] {
        let Written::Known(body) = Written::read(kind, &body.to_string()) else { unreachable!("{kind} is known") };
        assert!(matches!(
            body,
            Body::Audition(AuditionBody::Mounted { .. }) | Body::Audition(AuditionBody::GapsMeasured { .. })
        ));
    }
}

#[test]
fn a_gap_that_pulls_or_says_nothing_raises_a_caution() {
    let bench = Workbench::begun();
    let cautions = |bass: &str, treble: &str| -> Vec<String> {
        bench.note(json!({"ask": "measure_gaps", "bass": bass, "treble": treble, "unit": "millimetre", "pressed_at": null, "kept": false}));
        let step = bench.step("gaps");
        step["cautions"].as_array().into_iter().flatten().filter_map(|c| c["id"].as_str().map(str::to_owned)).collect()
    };
    let has = |list: &[String], id: &str| list.iter().any(|known| known == id);
    let fine = cautions("5", "4");
    assert!(!has(&fine, "string-pull") && !has(&fine, "gap-too-far"), "{fine:?}");
    // What an installed pickup would have under pressed strings is hit by the open ones under a rig that faces down.
    assert!(has(&cautions("2.4", "2"), "pole-can-be-hit") && !has(&fine, "pole-can-be-hit"));
    assert!(has(&cautions("1.5", "1.4"), "string-pull"));
    assert!(has(&cautions("12", "9"), "gap-too-far"));
}

#[test]
fn a_rig_whose_terminals_hold_the_coils_the_other_way_round() {
    let bench = Workbench::stocked();
    write_pickup(&bench, |form| form["construction"] = json!("side_by_side"));
    bench.write(json!({"ask": "write_rig", "id": RIG, "form": rig_form()}));
    bench.write(json!({"ask": "choose", "audition": AUDITION, "choice": choice()}));
    let single = |bench: &Workbench| {
        let ask = json!({"ask": "facing", "audition": AUDITION, "lie": {"poles": "down", "bass_end": "bass"}, "marked": true});
        bench.ok(&ask)["look"]["facing"]["alone"][0]["sentence"].as_str().unwrap_or_default().to_owned()
    };
    assert!(single(&bench).starts_with("Single is coil A alone, 9 mm nearer the bridge"), "{}", single(&bench));
    for (terminal, lead) in ["slate", "chalk", "moss", "rust"].into_iter().enumerate() {
        bench.note(json!({"ask": "hook_up", "hooked": {"terminal": terminal, "leads": [lead], "tugged": true}}));
    }
    assert!(single(&bench).starts_with("Single is coil B alone, 9 mm nearer the neck"), "{}", single(&bench));
}
