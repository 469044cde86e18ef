//! Takes kept beside a log: what goes in comes out as it was, what can't be kept leaves nothing, and a strike-out is a strike-out.

use std::io::{Cursor, Read as _};

use serde_json::{Value, json};
use solderlast_core::ask::{Bench, Refusal, TakePlace, in_json};
use solderlast_core::logbook::bundle::{Watch, Which, pack_with};
use solderlast_core::logbook::{Find, Table};
use solderlast_core::record::take::TakeName;
use solderlast_testkit::parcel::{looked_into, packed, taken};
use solderlast_testkit::sound::{Samples, Sound};
use solderlast_testkit::workbench::{AUDITION, Workbench};

fn of_audition() -> Value {
    json!({"thing": "audition", "id": AUDITION})
}

fn place(about: &Value, entry: &str, recorded: &Value) -> TakePlace {
    serde_json::from_value(json!({"about": about, "entry": entry, "recorded": recorded})).expect("a place for a take")
}

fn kept_as(bench: &Bench, place: &TakePlace, file: &[u8]) -> Result<Value, Refusal> {
    let mut receiving = bench.receive_take()?;
    for part in file.chunks(10_000) {
        receiving.take(part)?;
    }
    let reply = bench.keep_take(place, receiving)?;
    Ok(serde_json::from_slice::<Value>(&in_json(&Ok(reply))).expect("JSON")["ok"]["takes"].clone())
}

fn kept(bench: &Workbench, file: &[u8]) -> Value {
    let place = place(&of_audition(), &bench.name(), &json!({"played": "riff", "load": "125k"}));
    kept_as(&bench.bench, &place, file).expect("it is kept")
}

/// The names of files on the shelf.
fn shelf(bench: &Workbench) -> Vec<String> {
    let all = std::fs::read_dir(bench.folder.path().join("takes")).into_iter().flatten().filter_map(Result::ok);
    let mut names: Vec<String> = all.map(|file| file.file_name().to_string_lossy().into_owned()).collect();
    names.sort();
    names
}

fn riff(rate: u32, channels: usize) -> Sound {
    Sound::silence(rate, channels, 2.0).sine(220.0, 0.3).sine(1234.5, 0.05)
}

#[test]
fn a_take_is_kept_told_and_handed_out() {
    let bench = Workbench::begun();
    let said = json!({"played": "riff", "through": "instrument", "gain": " at 3 ", "load": "125k", "cable": "short"});
    let place = place(&of_audition(), &bench.name(), &said);
    let file = riff(44_100, 1).wav(Samples::Whole(24));
    let takes = kept_as(&bench.bench, &place, &file).expect("it is kept");
    let [line] = takes["takes"].as_array().expect("takes").as_slice() else { unreachable!("one take: {takes}") };
    assert_eq!(
        line["words"],
        "a riff, instrument input (1 MΩ), gain at 3, 125 kΩ across the output, cable up to 3 m (10 ft)"
    );
    assert_eq!(line["kept"], "2.0 s, 44.1 kHz, 1 channel, came as unpacked sound");
    assert!(line["told"]["loudness"]["integrated"].is_number() && line["is_here"] == true, "{line}");
    assert_eq!(takes["last"]["form"]["load"], "125 kΩ", "{takes}");

    // Asked again, nothing more is written.
    let again = kept_as(&bench.bench, &place, &file).expect("it is kept");
    assert_eq!(again["takes"].as_array().map(Vec::len), Some(1));
    let name = line["sound"]["take"].as_str().expect("a name");
    assert_eq!(shelf(&bench), [format!("{name}.flac"), format!("{name}.told")]);

    // It is what its name says, and every sample is as it was.
    let (mut flac, bytes) = bench.bench.take_file(name, false).expect("it is there");
    let mut kept = Vec::new();
    flac.read_to_end(&mut kept).expect("it is read");
    assert_eq!((kept.len() as u64, line["sound"]["bytes"].as_u64()), (bytes, Some(bytes)));
    assert!(TakeName::of(&kept).as_str() == name && kept.len() < file.len());

    // What was told can be thrown away, and is worked out again.
    std::fs::remove_file(bench.folder.path().join(format!("takes/{name}.told"))).expect("removed");
    let untold = bench.ok(&json!({"ask": "takes", "about": of_audition()}));
    assert!(untold["takes"]["takes"][0]["told"].is_null(), "{untold}");
    let told = bench.ok(&json!({"ask": "tell_take", "about": of_audition(), "take": line["entry"]}));
    assert_eq!(told["take"]["told"], line["told"]);

    // One that was changed on disk is not handed out.
    kept[100] ^= 1;
    std::fs::write(bench.folder.path().join(format!("takes/{name}.flac")), kept).expect("changed");
    assert!(bench.bench.take_file(name, false).is_err());
}

#[test]
fn what_it_was_made_in_is_held_with_it_and_what_was_answered_is_offered() {
    let bench = Workbench::begun();
    bench.note(json!({"ask": "tell", "told": {"fact": "string_ground", "is": true}}));
    let takes = kept(&bench, &riff(48_000, 2).wav(Samples::Whole(16)));
    assert!(takes["takes"][0]["conditions"].as_str().is_some_and(|words| words.contains("string ground")), "{takes}");
    assert!(takes["last"]["words"].as_str() == Some("125 kΩ across the output"), "{takes}");
    assert_eq!(
        bench.audition()["listen"]["takes"],
        json!(["a riff, 125 kΩ across the output"]),
        "the bench card tells it"
    );
    let mut table = Vec::new();
    bench.bench.write_table(Table::Notes, &Find::default(), &mut table).expect("a table");
    let table = String::from_utf8(table).expect("text");
    assert!(table.contains(",take,,\"a riff, 125 kΩ across the output\","), "{table}");
    let all = bench.ok(&json!({"ask": "takes", "about": null}));
    assert_eq!(all["takes"]["takes"].as_array().map(Vec::len), Some(1));
}

#[test]
fn what_is_no_take_leaves_nothing() {
    let bench = Workbench::begun();
    let good = riff(48_000, 1).wav(Samples::Whole(16));
    let none = "019a3c5f-7e00-7000-8000-00000000dead";
    for (about, recorded, file, code) in [
        (of_audition(), json!({"played": "riff"}), b"\x89PNG\r\n\x1a\n and so on".to_vec(), "take"),
        (of_audition(), json!({"played": "riff"}), Vec::new(), "take"),
        (of_audition(), json!({"played": "riff"}), riff(48_000, 6).wav(Samples::Whole(16)), "take"),
        (of_audition(), json!({"played": "riff", "mode": "backwards"}), good.clone(), "unclear"),
        (of_audition(), json!({"played": "riff", "load": "a lot"}), good.clone(), "unclear"),
        (of_audition(), json!({"played": "riff", "gain": "x".repeat(81)}), good.clone(), "unclear"),
        (json!({"thing": "audition", "id": none}), json!({"played": "riff"}), good.clone(), "not_found"),
        (json!({"thing": "guitar", "id": none}), json!({"played": "riff"}), good.clone(), "unclear"),
    ] {
        let place = place(&about, &bench.name(), &recorded);
        let refusal = kept_as(&bench.bench, &place, &file).expect_err("it is refused");
        assert_eq!(json!(refusal.code), code, "{recorded} {refusal}");
        assert!(refusal.code != solderlast_core::ask::Code::Take || refusal.sentence.contains("Nothing was kept"));
        assert!(shelf(&bench).is_empty(), "{:?}", shelf(&bench));
    }
    assert_eq!(bench.ok(&json!({"ask": "takes", "about": of_audition()}))["takes"]["takes"], json!([]));
}

#[test]
fn a_take_is_struck_out_and_brought_back() {
    let bench = Workbench::begun();
    let takes = kept(&bench, &riff(48_000, 1).wav(Samples::Float));
    let (take, strike) = (takes["takes"][0]["entry"].clone(), bench.name());
    let struck = bench.ok(&json!({"ask": "strike_take", "entry": strike, "about": of_audition(), "struck": take,
        "why": "somebody talked"}));
    assert_eq!(struck["takes"]["takes"][0]["struck"]["why"], "somebody talked");
    let back = bench.ok(&json!({"ask": "strike_take", "entry": bench.name(), "about": of_audition(), "struck": strike,
        "why": ""}));
    assert!(back["takes"]["takes"][0]["struck"].is_null(), "{back}");
    // No other line is struck out by this.
    let amp = bench.name();
    bench.ok(&json!({"ask": "describe_amp", "entry": amp, "audition": AUDITION, "words": "small amp"}));
    bench.refused(
        &json!({"ask": "strike_take", "entry": bench.name(), "about": of_audition(), "struck": amp, "why": ""}),
    );
}

#[test]
fn a_take_goes_with_what_is_erased() {
    let bench = Workbench::begun();
    let file = riff(48_000, 1).wav(Samples::Whole(16));
    kept(&bench, &file);
    let would = bench.ok(&json!({"ask": "what_would_go", "things": [of_audition()]}));
    assert!(would["sentences"].to_string().contains("One take goes with them"), "{would}");
    bench.ok(&json!({"ask": "erase", "things": [of_audition()]}));
    assert!(shelf(&bench).is_empty(), "{:?}", shelf(&bench));
}

/// A bundle of the whole log, with the sound of takes.
fn packed_with_takes(bench: &Workbench) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    let now = chrono::DateTime::from_timestamp(1_793_800_000, 0).expect("a time");
    pack_with(bench.folder.path(), &Which::All, true, now, &mut out, &Watch::default()).expect("packed");
    out.into_inner()
}

#[test]
fn a_bundle_carries_takes_when_they_are_wanted() {
    let bench = Workbench::begun();
    let none = bench.ok(&json!({"ask": "bundle_of", "auditions": []}));
    assert!(none["bundle"]["takes"].is_null(), "{none}");
    for tone in [220.0, 330.0] {
        kept(&bench, &riff(48_000, 1).sine(tone, 0.1).wav(Samples::Whole(16)));
    }
    let size: u64 = shelf(&bench)
        .iter()
        .filter(|name| name.ends_with("flac"))
        .map(|name| std::fs::metadata(bench.folder.path().join("takes").join(name)).expect("there").len())
        .sum();
    let said = bench.ok(&json!({"ask": "bundle_of", "auditions": []}))["bundle"]["takes"].clone();
    assert_eq!(said, format!("2 takes, {} kB more", size / 1000));

    // Without them: the entries come, and what is missing is said.
    let there = Workbench::empty();
    let without = packed(bench.folder.path());
    let found = looked_into(there.folder.path(), &without).expect("it is sound");
    assert_eq!((found.new.takes, found.new.takes_missing, found.manifest.version), (0, 2, 1));
    assert!(found.warnings().iter().any(|line| line.contains("2 takes")), "{:?}", found.warnings());
    assert_eq!((found.new.photos, found.new.photos_missing), (0, 0), "a take is no photo");
    taken(there.folder.path(), &without).expect("taken in");
    let there = there.reopened();
    let line = there.ok(&json!({"ask": "takes", "about": of_audition()}))["takes"]["takes"][0].clone();
    assert!(line["is_here"] == false && line["told"].is_null(), "{line}");
    let told = there.ok(&json!({"ask": "tell_take", "about": of_audition(), "take": line["entry"]}));
    assert!(told["take"]["told"].is_null());

    // With them, as a later backup: the sound comes to the entries that are here.
    let with = packed_with_takes(&bench);
    let found = looked_into(there.folder.path(), &with).expect("it is sound");
    assert_eq!((found.new.entries, found.new.takes, found.manifest.version), (0, 2, 2));
    assert!(found.is_anything_new());
    taken(there.folder.path(), &with).expect("taken in");
    let told = there.ok(&json!({"ask": "tell_take", "about": of_audition(), "take": line["entry"]}));
    assert!(told["take"]["is_here"] == true && told["take"]["told"]["loudness"]["integrated"].is_number(), "{told}");
    let flacs = |names: Vec<String>| names.into_iter().filter(|name| name.ends_with("flac")).collect::<Vec<_>>();
    assert_eq!(flacs(shelf(&there)), flacs(shelf(&bench)));
    assert_eq!(looked_into(there.folder.path(), &with).expect("sound").new.takes, 0, "they are here already");
}

#[test]
fn a_bundle_whose_takes_were_changed_is_refused_and_leaves_nothing() {
    let bench = Workbench::begun();
    kept(&bench, &riff(48_000, 1).wav(Samples::Whole(16)));
    let with = packed_with_takes(&bench);
    let there = Workbench::empty();
    let at = with.windows(4).position(|four| four == b"fLaC").expect("a take is in it");
    for shift in [0, 20, 5000, 9000] {
        let mut changed = with.clone();
        changed[at + shift] ^= 4;
        assert!(taken(there.folder.path(), &changed).is_err(), "byte {shift}");
        assert!(shelf(&there).is_empty());
    }
    taken(there.folder.path(), &with).expect("it is sound as it was");
    assert_eq!(shelf(&there).len(), 1);
}

#[test]
fn three_of_the_same_are_asked_for_and_then_tell_the_player() {
    let bench = Workbench::begun();
    let mut takes = Value::Null;
    for (count, said) in [(1, "record the same 2 times more"), (2, "record the same once more"), (3, "over 3 takes")] {
        let louder = riff(48_000, 1).sine(300.0, 0.05 * f64::from(count)).wav(Samples::Whole(16));
        takes = kept(&bench, &louder);
        let told = takes["together"][0].as_str().expect("a sentence");
        assert!(told.contains(said) && takes["together"].as_array().map(Vec::len) == Some(1), "{told}");
    }
    let told = takes["together"][0].as_str().expect("a sentence");
    assert!(told.contains("loudness") && told.contains('±') && told.contains("inside these spreads"), "{told}");
    // What is struck out does not count.
    let struck = bench.ok(&json!({"ask": "strike_take", "entry": bench.name(), "about": of_audition(),
        "struck": takes["takes"][0]["entry"], "why": ""}));
    assert!(struck["takes"]["together"].to_string().contains("once more"), "{struck}");
}

#[test]
fn the_same_recording_is_no_second_playing() {
    let bench = Workbench::begun();
    let file = riff(48_000, 1).wav(Samples::Whole(16));
    let first = kept(&bench, &file)["takes"][0]["entry"].clone();
    let made = json!({"played": "riff", "load": "125k"});
    let again = |entry: &str| kept_as(&bench.bench, &place(&of_audition(), entry, &made), &file);
    let refusal = again(&bench.name()).expect_err("it is here already");
    assert!(refusal.sentence.contains("already"), "{refusal}");
    // What is there stays, and asking again with its own name answers as before.
    assert_eq!(shelf(&bench).len(), 2, "the file and what it tells: {:?}", shelf(&bench));
    assert_eq!(
        again(first.as_str().expect("a name")).expect("it is written")["takes"].as_array().map(Vec::len),
        Some(1)
    );
    // Struck out, it may come again.
    bench.ok(&json!({"ask": "strike_take", "entry": bench.name(), "about": of_audition(), "struck": first, "why": ""}));
    again(&bench.name()).expect("it is kept");
}

#[test]
fn takes_that_were_made_otherwise_are_named_as_such() {
    let bench = Workbench::begun();
    let mut picked = Vec::new();
    for (count, load) in [(1, "125k"), (2, "125k"), (3, "")] {
        let place =
            place(&of_audition(), &bench.name(), &json!({"played": "riff", "through": "instrument", "load": load}));
        let louder = riff(48_000, 1).sine(300.0, 0.05 * f64::from(count)).wav(Samples::Whole(16));
        let takes = kept_as(&bench.bench, &place, &louder).expect("it is kept");
        picked.push(json!({"about": of_audition(), "take": takes["takes"][0]["entry"]}));
    }
    let fair = |takes: &[Value]| {
        bench.ok(&json!({"ask": "fair_takes", "takes": takes, "unit": "millimetre"}))["fairness"].clone()
    };
    assert_eq!(fair(&picked[..2])["found"].to_string().matches("Load").count(), 0);
    let unfair = fair(&picked[1..]);
    assert!(unfair["kind"] == "not_fair" && unfair["found"][0]["name"] == "Load", "{unfair}");
    bench.refused(&json!({"ask": "fair_takes", "takes": [picked[0], picked[0]], "unit": "millimetre"}));
    bench.refused(&json!({"ask": "fair_takes", "takes": [picked[0]], "unit": "millimetre"}));
}
