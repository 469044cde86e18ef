//! What nobody can mean, in every field that takes it: each is refused with a sentence that names the field, and
//! nothing that was written before is touched.

mod readings;

use rusqlite::types::Value as Cell;
use serde_json::{Value, json};
use solderlast_testkit::workbench::{
    AUDITION, GUITAR, PICKUP, RIG, Workbench, choice, finish_answer, guitar_form, pickup_form, rig_form,
};

/// All that the log holds, row by row, read beside the bench.
fn whole_log(bench: &Workbench) -> Vec<Vec<Cell>> {
    let file = bench.folder.path().join("solderlast.db");
    let conn = rusqlite::Connection::open(file).expect("the log can be read beside the bench");
    let mut all = Vec::new();
    for table in ["entry", "draft", "notice", "this_bench"] {
        let mut select = conn.prepare(&format!("SELECT * FROM {table} ORDER BY rowid")).expect("the table is there");
        let width = select.column_count();
        let rows = select.query_map([], |row| (0..width).map(|column| row.get(column)).collect());
        all.extend(rows.expect("the table can be read").map(|row| row.expect("the row can be read")));
    }
    all
}

/// Something typed into one field of an ask, the rest of which is in order.
struct Field {
    /// Where it lies in the ask, as a JSON pointer.
    pointer: &'static str,
    /// What a refusal calls it.
    name: &'static str,
    ask: fn() -> Value,
}

const fn field(pointer: &'static str, name: &'static str, ask: fn() -> Value) -> Field {
    Field { pointer, name, ask }
}

fn write_pickup() -> Value {
    let mut form = pickup_form("Paper crane");
    form["stagger"] = json!("staggered");
    form["heights"] = json!(["0.9", "0.5"]);
    json!({"ask": "write_pickup", "id": PICKUP, "form": form})
}

fn write_guitar() -> Value {
    json!({"ask": "write_guitar", "id": GUITAR, "form": guitar_form("Kitchen guitar")})
}

fn write_rig() -> Value {
    json!({"ask": "write_rig", "id": RIG, "form": rig_form()})
}

fn choose() -> Value {
    json!({"ask": "choose", "audition": AUDITION, "choice": choice()})
}

fn take_reading() -> Value {
    json!({"ask": "take_reading", "audition": AUDITION, "mode": "single", "reading": "6.66k", "room": "21"})
}

fn measure_gaps() -> Value {
    json!({"ask": "measure_gaps", "audition": AUDITION, "bass": "2.4", "treble": "2", "unit": "millimetre",
        "pressed_at": 22, "kept": true})
}

fn hook_up() -> Value {
    json!({"ask": "hook_up", "audition": AUDITION, "hooked": {"terminal": 0, "leads": ["moss"], "tugged": true}})
}

fn ask_finish() -> Value {
    json!({"ask": "ask_finish", "audition": AUDITION, "answer": finish_answer()})
}

fn tick_off() -> Value {
    json!({"ask": "tick_off", "audition": AUDITION, "tick": "volume_at_zero", "words": ""})
}

fn note_down() -> Value {
    json!({"ask": "note_down", "audition": AUDITION, "mode": "single", "words": "clear"})
}

fn describe_amp() -> Value {
    json!({"ask": "describe_amp", "audition": AUDITION, "words": "small amp"})
}

fn skip_step() -> Value {
    json!({"ask": "skip_step", "audition": AUDITION, "step": "gaps", "why": "no gauge"})
}

fn override_hold() -> Value {
    json!({"ask": "override_hold", "audition": AUDITION, "hold": "finish_not_asked", "why": "scrap wood"})
}

fn end_early() -> Value {
    json!({"ask": "end_early", "audition": AUDITION, "why": "the amp broke"})
}

fn retire() -> Value {
    json!({"ask": "retire", "thing": {"thing": "rig", "id": RIG}, "why": "sold"})
}

fn acknowledge() -> Value {
    json!({"ask": "acknowledge", "audition": AUDITION, "caution": "loud-sound", "cause": "always"})
}

/// Where a resistance, a length, a gauge, a temperature, a capacitance or a count is typed.
const NUMBERS: [Field; 31] = [
    field("/reading", "reading", take_reading),
    field("/room", "room", take_reading),
    field("/bass", "bass", measure_gaps),
    field("/treble", "treble", measure_gaps),
    field("/choice/from_saddle", "from_saddle", choose),
    field("/form/coils/0/stated", "coils.0.stated", write_pickup),
    field("/form/coils/1/stated", "coils.1.stated", write_pickup),
    field("/form/pole_count", "pole_count", write_pickup),
    field("/form/pole_spacing", "pole_spacing", write_pickup),
    field("/form/heights/1", "heights.1", write_pickup),
    field("/form/coil_distance", "coil_distance", write_pickup),
    field("/form/width", "width", write_pickup),
    field("/form/length", "length", write_pickup),
    field("/form/depth", "depth", write_pickup),
    field("/form/strings/0/gauge", "strings.0.gauge", write_guitar),
    field("/form/strings/5/gauge", "strings.5.gauge", write_guitar),
    field("/form/scale", "scale", write_guitar),
    field("/form/spread_nut", "spread_nut", write_guitar),
    field("/form/spread_saddle", "spread_saddle", write_guitar),
    field("/form/places/0/from_saddle", "places.0.from_saddle", write_guitar),
    field("/form/places/0/opening_length", "places.0.opening_length", write_guitar),
    field("/form/places/0/opening_width", "places.0.opening_width", write_guitar),
    field("/form/places/0/depth", "places.0.depth", write_guitar),
    field("/form/volume", "volume", write_guitar),
    field("/form/tone", "tone", write_guitar),
    field("/form/capacitor", "capacitor", write_guitar),
    field("/form/thread_pitch", "thread_pitch", write_rig),
    field("/form/stud_spread", "stud_spread", write_rig),
    field("/form/stud_travel", "stud_travel", write_rig),
    field("/form/stray", "stray", write_rig),
    // A number that is only looked at is read in the same way.
    field("/text", "text", || json!({"ask": "understand", "quantity": "length", "text": "2.4", "unit": "millimetre"})),
];

/// Where a name is typed.
const LABELS: [Field; 9] = [
    field("/form/label", "label", write_pickup),
    field("/form/label", "label", write_guitar),
    field("/form/label", "label", write_rig),
    field("/form/leads/0/name", "leads.0.name", write_pickup),
    field("/form/places/0/name", "places.0.name", write_guitar),
    field("/form/strings/0/note", "strings.0.note", write_guitar),
    field("/form/terminals/3", "terminals.3", write_rig),
    field("/form/positions/1/mode", "positions.1", write_rig),
    field("/choice/place", "place", choose),
];

/// Where words are written.
const NOTES: [Field; 18] = [
    field("/form/notes", "notes", write_pickup),
    field("/form/came_from", "came_from", write_pickup),
    field("/form/bass_end_mark", "bass_end_mark", write_pickup),
    field("/form/notes", "notes", write_guitar),
    field("/form/strings_age", "strings_age", write_guitar),
    field("/form/places/0/fitted_words", "places.0.fitted_words", write_guitar),
    field("/form/controls", "controls", write_guitar),
    field("/form/finish/words", "finish.words", write_guitar),
    field("/form/notes", "notes", write_rig),
    field("/choice/question", "question", choose),
    field("/answer/before", "answer.before", ask_finish),
    field("/words", "words", tick_off),
    field("/words", "words", note_down),
    field("/words", "words", describe_amp),
    field("/why", "why", skip_step),
    field("/why", "why", override_hold),
    field("/why", "why", end_early),
    field("/why", "why", retire),
];

/// Puts `text` into the field of an ask and has it refused, by that field and in a sentence.
fn refused(bench: &Workbench, field: &Field, text: Value) -> String {
    let mut ask = (field.ask)();
    let kind = ask["ask"].as_str().unwrap_or_default().to_owned();
    if kind != "understand" {
        ask["entry"] = json!(bench.name());
    }
    let typed: String = text.to_string().chars().take(40).collect();
    *ask.pointer_mut(field.pointer).expect("the field is there") = text;
    let before = whole_log(bench);
    let refusal = bench.refused(&ask);
    assert_eq!(refusal["field"], field.name, "{kind} {typed}: {refusal}");
    let sentence = refusal["sentence"].as_str().unwrap_or_default().to_owned();
    assert!(sentence.ends_with('.') && sentence.len() > 20, "{kind} {typed}: {sentence}");
    assert!(sentence.chars().all(|c| !c.is_control() && !('\u{202A}'..='\u{202E}').contains(&c)), "{kind}: {sentence}");
    assert!(sentence.chars().count() < 400, "{kind} {typed}: {sentence}");
    assert!(whole_log(bench) == before, "{kind} {typed}: something was written");
    sentence
}

#[test]
fn numbers_nobody_can_mean() {
    let bench = Workbench::begun();
    let long = "9".repeat(900_000);
    for field in &NUMBERS {
        for typed in [
            "six",
            "k",
            "-1",
            "−6.66",
            "1e99",
            "NaN",
            "nan",
            "inf",
            "-inf",
            "Infinity",
            "0x10",
            "6..6",
            "1,234,567",
            "..",
            "6.6.6",
            "3/0",
            "3/0 inch",
            "1/2/3",
            "6\u{0}6",
            "6\u{7}",
            "6\n6",
            "\u{202E}66.6",
            "6\u{200B}6",
            "六六",
            "אבג",
            "六.六",
            "½",
            "6️⃣",
            "'; DROP TABLE entry; --",
            "{}",
            "\\u0036",
            &long,
        ] {
            // A garage can be below zero; nothing else that is typed here can.
            if field.name != "room" || !typed.starts_with(['-', '−']) {
                refused(&bench, field, json!(typed));
            }
        }
        for kind in [json!(6.66), json!(null), json!(true), json!([]), json!(["6"]), json!({"ohms": 6})] {
            let sentence = refused(&bench, field, kind);
            assert!(sentence.contains(field.name), "{sentence}");
        }
    }
}

/// The fields in which “not known” is no answer, and a value that is a number but can't be right there.
#[test]
fn numbers_that_must_be_given_and_numbers_out_of_reach() {
    let bench = Workbench::begun();
    let by_name = |name: &str| NUMBERS.iter().find(|field| field.name == name).expect("a field of the table");
    for name in ["reading", "bass", "treble", "from_saddle", "scale", "places.0.from_saddle", "text"] {
        refused(&bench, by_name(name), json!(""));
        refused(&bench, by_name(name), json!("  "));
    }
    for (name, typed, part) in [
        ("reading", "6.66 mΩ", "M for megohm"),
        ("reading", "6,660", "could be"),
        ("reading", "2000M", "meter"),
        ("room", "300", "between"),
        ("room", "-60", "between"),
        ("bass", "4000", "three metres"),
        ("bass", "3/4 mm", "Fractions are for inches"),
        ("from_saddle", "0", "between the saddle and the nut"),
        ("from_saddle", "700", "between the saddle and the nut"),
        ("coils.0.stated", "0", "zero"),
        ("coils.0.stated", "OL", "over limit"),
        ("pole_count", "0", "whole number"),
        ("pole_count", "6.5", "whole number"),
        ("pole_count", "99999999999999999999", "whole number"),
        ("strings.0.gauge", "900", "between"),
        ("scale", "12", "between 250 and 1000"),
        ("places.0.from_saddle", "900", "beyond the nut"),
        ("capacitor", "22", "unit"),
        ("capacitor", "1 F", "unit"),
        ("thread_pitch", "12", "turn"),
    ] {
        let sentence = refused(&bench, by_name(name), json!(typed));
        assert!(sentence.contains(part), "{name} {typed}: {sentence}");
    }
    for (bass, treble) in [("0", "2"), ("60", "2"), ("2", "0")] {
        let mut ask = measure_gaps();
        (ask["bass"], ask["treble"]) = (json!(bass), json!(treble));
        ask["entry"] = json!(bench.name());
        let refusal = bench.refused(&ask);
        assert_eq!(refusal["field"], if bass == "2" { "treble" } else { "bass" }, "{refusal}");
    }
}

/// As people write numbers, and what the bench says it understood.
#[test]
fn numbers_as_people_write_them_are_understood() {
    let bench = Workbench::begun();
    for (typed, shown) in [
        ("6,66k", "6.66 kΩ"),
        ("6k66", "6.66 kΩ"),
        ("6.66 kΩ", "6.66 kΩ"),
        ("6660", "6.66 kΩ"),
        ("OL", "OL"),
        ("0", "0 Ω"),
    ] {
        let (_, audition) = bench.read_meter("single", typed);
        assert_eq!(audition["meter"]["modes"][1]["reading"], shown, "{typed}");
        let ask = json!({"ask": "understand", "quantity": "reading", "text": typed, "unit": "millimetre"});
        let understood = bench.ok(&ask)["shown"].as_str().unwrap_or_default().to_owned();
        assert!(understood.starts_with(shown), "{typed}: {understood}");
    }
    for (typed, unit, shown) in [
        ("2,4", "millimetre", "2.4 mm"),
        ("3/32\"", "millimetre", "2.38 mm"),
        ("3/32 inch", "sixtyfourth", "3/32 in"),
        ("6", "sixtyfourth", "3/32 in"),
        (".1", "decimal_inch", "0.100 in"),
    ] {
        let ask = json!({"ask": "understand", "quantity": "length", "text": typed, "unit": unit});
        assert_eq!(bench.ok(&ask)["shown"], shown, "{typed}");
    }
}

#[test]
fn names_and_words_nobody_can_keep() {
    let bench = Workbench::begun();
    let long = "x".repeat(900_000);
    for field in &LABELS {
        for typed in
            ["", "   ", "a\u{0}b", "a\u{7}b", "two\nlines", "\u{202E}drawkcab", "a\u{2066}b", "\u{FEFF}", &long]
        {
            refused(&bench, field, json!(typed));
        }
    }
    for field in &NOTES {
        for typed in ["a\u{0}b", "a\u{1b}[31mb", "\u{7}", &long] {
            refused(&bench, field, json!(typed));
        }
    }
    for field in LABELS.iter().chain(&NOTES) {
        for kind in [json!(6.66), json!(true), json!([]), json!({"text": "x"})] {
            let name = field.name;
            // A mode is a word by itself, so its own place is named.
            let mut ask = (field.ask)();
            ask["entry"] = json!(bench.name());
            *ask.pointer_mut(field.pointer).expect("the field is there") = kind;
            let before = whole_log(&bench);
            let refusal = bench.refused(&ask);
            assert!(refusal["field"].as_str().is_some_and(|named| named.starts_with(name)), "{name}: {refusal}");
            assert!(whole_log(&bench) == before, "{name}");
        }
    }
}

/// Words in any script are words, and come back to the letter.
#[test]
fn words_from_right_to_left_are_kept_and_found_again() {
    let bench = Workbench::begun();
    for words in
        ["מגבר קטן", "صوت واضح", "चमकदार गिटार", "明るい音", "Ångström naïve", "👩‍🔧 loud", "خانه‌ی من", "e\u{301}clat"]
    {
        let (_, audition) = bench.note(json!({"ask": "note_down", "mode": "single", "words": words}));
        assert_eq!(audition["listen"]["modes"][1]["note"], words);
        let mut form = guitar_form(words);
        form["notes"] = json!(words);
        let (_, reply) = bench.write(json!({"ask": "write_guitar", "id": GUITAR, "form": form}));
        assert_eq!(reply["guitar"]["guitar"]["label"], words);
        let found = bench.ok(&json!({"ask": "logbook", "find": {"words": words}}));
        assert_eq!(found["found"]["lines"][0]["audition"], AUDITION, "{words}");
    }
}

/// What may be looked for: any text at all; nothing found is an answer.
#[test]
fn anything_may_be_looked_for() {
    let bench = Workbench::begun();
    for words in [
        "",
        "\"",
        "crane\"*",
        "AND",
        "crane AND",
        "NOT crane",
        "NEAR(a b)",
        "words:crane",
        "^crane",
        "-crane",
        "%",
        "_",
        "'; DROP TABLE entry; --",
        "\u{0}",
        "\u{202E}",
        "Ⓐ",
        "𞤀𞤣𞤢𞤥",
        "½",
        "٦",
        "गिटार",
        "e\u{301}",
        "\u{301}",
        "a\u{301}\u{301}b",
        "👩‍🔧",
        "ﬁ",
        "İ",
        "ß",
        "ᾳ",
        "ꙮ",
        "က္က",
        "ᄀᄂ",
        "𝒜𝒷",
        "x\u{200D}y",
        "x\u{AD}y",
        "5€",
        "a_b",
        "a'b",
        "a.b@c",
    ] {
        let answer = bench.asked(&json!({"ask": "logbook", "find": {"words": words}}));
        assert!(answer["ok"]["found"]["lines"].is_array(), "{words:?}: {answer}");
    }
    let refusal = bench.refused(&json!({"ask": "logbook", "find": {"words": "crane ".repeat(100_000)}}));
    assert_eq!(refusal["field"], "find.words");
}

#[test]
fn choices_and_names_that_are_not_there() {
    let bench = Workbench::begun();
    let nobody = "019a3c5f-7e00-7000-8000-0000000fffff";
    let version_4 = "6f2b8c1e-9d3a-4e5f-8a7b-0c1d2e3f4a5b";
    let with = |ask: Value, pointer: &str, value: Value| {
        let mut ask = ask;
        ask["entry"] = json!(bench.name());
        *ask.pointer_mut(pointer).expect("the field is there") = value;
        ask
    };
    let rate = |value: Value| json!({"ask": "rate", "audition": AUDITION, "mode": "single", "quality": "treble", "value": value});
    let strike = json!({"ask": "strike_out", "audition": AUDITION, "struck": nobody, "why": ""});
    for (ask, code, field) in [
        (with(take_reading(), "/audition", json!(nobody)), "not_found", None),
        (with(take_reading(), "/audition", json!(version_4)), "unclear", Some("id")),
        (with(take_reading(), "/audition", json!("")), "not_an_ask", Some("audition")),
        (with(take_reading(), "/audition", json!(PICKUP)), "unclear", Some("id")),
        (with(describe_amp(), "/audition", json!(RIG)), "unclear", Some("id")),
        (with(choose(), "/audition", json!(GUITAR)), "unclear", Some("id")),
        (with(write_pickup(), "/id", json!(AUDITION)), "unclear", Some("id")),
        (with(take_reading(), "/entry", json!(version_4)), "unclear", Some("entry")),
        (with(take_reading(), "/entry", json!("x")), "not_an_ask", Some("entry")),
        (with(take_reading(), "/mode", json!("loud")), "unclear", Some("mode")),
        (with(take_reading(), "/mode", json!("")), "unclear", Some("mode")),
        (with(note_down(), "/mode", json!("Single")), "unclear", Some("mode")),
        (with(choose(), "/choice/pickup", json!(nobody)), "not_found", None),
        (with(choose(), "/choice/guitar", json!(nobody)), "not_found", None),
        (with(choose(), "/choice/rig", json!(GUITAR)), "not_found", None),
        (with(choose(), "/choice/modes", json!([])), "unclear", Some("modes")),
        (with(choose(), "/choice/modes", json!(["sideways"])), "unclear", Some("modes")),
        (with(choose(), "/choice/unit", json!("cubit")), "not_an_ask", Some("unit")),
        (with(hook_up(), "/hooked/terminal", json!(4)), "unclear", Some("hooked.terminal")),
        (with(hook_up(), "/hooked/terminal", json!(-1)), "not_an_ask", Some("hooked.terminal")),
        (with(hook_up(), "/hooked/terminal", json!(256)), "not_an_ask", Some("hooked.terminal")),
        (with(hook_up(), "/hooked/leads", json!(["ivory"])), "unclear", Some("hooked.leads")),
        (with(hook_up(), "/hooked/leads", json!([""])), "unclear", Some("hooked.leads")),
        (with(write_pickup(), "/form/leads/0/name", json!("shield")), "unclear", Some("leads.0.name")),
        (with(write_pickup(), "/form/leads/0/name", json!("rust")), "unclear", Some("leads.1.name")),
        (with(measure_gaps(), "/pressed_at", json!(0)), "unclear", Some("pressed_at")),
        (with(measure_gaps(), "/pressed_at", json!(37)), "unclear", Some("pressed_at")),
        (with(measure_gaps(), "/pressed_at", json!(1e99)), "not_an_ask", Some("pressed_at")),
        (with(rate(json!(0)), "/value", json!(0)), "unclear", Some("value")),
        (with(rate(json!(6)), "/value", json!(6)), "unclear", Some("value")),
        (with(rate(json!(3)), "/value", json!(2.5)), "not_an_ask", Some("value")),
        (with(rate(json!(3)), "/quality", json!("colour")), "not_an_ask", Some("quality")),
        (with(acknowledge(), "/caution", json!("spilled-coffee")), "unclear", Some("caution")),
        (with(override_hold(), "/hold", json!("lunch")), "not_an_ask", Some("hold")),
        (with(retire(), "/thing", json!({"thing": "rig", "id": nobody})), "not_found", None),
        (with(retire(), "/thing", json!({"thing": "audition", "id": AUDITION})), "not_found", None),
        (with(strike.clone(), "/struck", json!(nobody)), "unclear", Some("struck")),
        (json!({"ask": "audition", "id": nobody}), "not_found", None),
        (json!({"ask": "pickup", "id": GUITAR, "unit": "millimetre"}), "not_found", None),
        (json!({"ask": "erase", "things": []}), "unclear", Some("things")),
        (json!({"ask": "keep_draft", "key": "k".repeat(201), "text": "x"}), "unclear", Some("key")),
        (json!({"ask": "keep_draft", "key": "k", "text": "x".repeat(900_000)}), "unclear", Some("text")),
    ] {
        let before = whole_log(&bench);
        let refusal = bench.refused(&ask);
        assert_eq!(refusal["code"], code, "{ask}: {refusal}");
        assert_eq!(refusal["field"].as_str(), field, "{ask}: {refusal}");
        assert!(whole_log(&bench) == before, "{ask}");
    }
}

#[test]
fn too_many_to_erase_at_once_are_not_erased_in_part() {
    let bench = Workbench::begun();
    let things: Vec<Value> = (0..1500).map(|_| json!({"thing": "pickup", "id": PICKUP})).collect();
    let distinct: Vec<Value> = (0..1500).map(|_| json!({"thing": "pickup", "id": bench.name()})).collect();
    let before = whole_log(&bench);
    for things in [things, distinct] {
        let refusal = bench.refused(&json!({"ask": "erase", "things": things}));
        assert_eq!(refusal["field"], "things");
    }
    assert!(whole_log(&bench) == before);
}

/// Every ask that writes, cut short at every length: none is taken for another.
#[test]
fn an_ask_cut_short_is_not_taken_for_a_shorter_one() {
    let bench = Workbench::begun();
    let before = whole_log(&bench);
    for ask in [write_pickup, write_guitar, write_rig, choose, take_reading, hook_up, ask_finish, note_down] {
        let mut ask = ask();
        ask["entry"] = json!(bench.name());
        let whole = ask.to_string();
        for length in 0..whole.len() {
            let answer = bench.bench.answer(&whole.as_bytes()[..length]);
            let answer: Value = serde_json::from_slice(&answer).expect("an answer is JSON");
            assert_eq!(answer["refused"]["code"], "not_an_ask", "{length} of {whole}");
            assert!(answer["refused"]["sentence"].as_str().is_some_and(|s| s.contains("Nothing was written")));
        }
    }
    assert!(whole_log(&bench) == before);
}

/// Every field of every ask that writes, taken away, and one field more than there should be.
#[test]
fn fields_that_are_missing_or_unknown() {
    let bench = Workbench::begun();
    let before = whole_log(&bench);
    for ask in [
        write_pickup,
        write_guitar,
        write_rig,
        choose,
        take_reading,
        measure_gaps,
        hook_up,
        ask_finish,
        tick_off,
        note_down,
        describe_amp,
        skip_step,
        override_hold,
        end_early,
        retire,
        acknowledge,
    ] {
        let mut ask = ask();
        ask["entry"] = json!(bench.name());
        let names: Vec<String> = ask.as_object().map(|fields| fields.keys().cloned().collect()).unwrap_or_default();
        // A fret that is not given is an open string.
        for name in names.iter().filter(|name| *name != "pressed_at") {
            let mut less = ask.clone();
            less.as_object_mut().and_then(|fields| fields.remove(name));
            assert_eq!(bench.refused(&less)["field"], name.as_str(), "{less}");
        }
        let mut more = ask.clone();
        more["colour"] = json!("blue");
        assert_eq!(bench.refused(&more)["field"], "colour", "{more}");
        for inner in ["form", "choice", "hooked", "answer"] {
            if ask[inner].is_object() {
                let mut more = ask.clone();
                more[inner]["colour"] = json!("blue");
                let refusal = bench.refused(&more);
                assert!(refusal["field"].as_str().is_some_and(|field| field.ends_with("colour")), "{refusal}");
            }
        }
    }
    assert!(whole_log(&bench) == before);
}

#[test]
fn letters_that_are_no_asks() {
    let bench = Workbench::begun();
    let before = whole_log(&bench);
    let ten_megabytes = format!(
        r#"{{"ask": "understand", "quantity": "reading", "unit": "millimetre", "text": "{}"}}"#,
        "9".repeat(10 << 20)
    );
    for letter in [
        &b""[..],
        b" ",
        b"\n",
        b"bench",
        b"null",
        b"true",
        b"0",
        b"[]",
        b"[\"bench\"]",
        b"\"bench\"",
        b"{}",
        b"{\"ask\"}",
        b"{\"ask\": \"bench\"",
        b"{\"ask\": \"bench\"} {\"ask\": \"bench\"}",
        b"{'ask': 'bench'}",
        b"{\"ask\": \"Bench\"}",
        b"{\"ask\": \"bench\", \"ask\": \"drafts\"}",
        b"\xff\xfe{\"ask\": \"bench\"}",
        b"{\"ask\": \"\xc3\x28\"}",
        b"{\"ask\": \"drawer\", \"retired\": NaN}",
        b"{\"ask\": \"put_notice_away\", \"notice\": 1e999}",
        b"<ask>bench</ask>",
        &[0; 4096],
        &[b'['; 1 << 20],
        ten_megabytes.as_bytes(),
    ] {
        let answer: Value = serde_json::from_slice(&bench.bench.answer(letter)).expect("an answer is JSON");
        let shown: String = String::from_utf8_lossy(letter).chars().take(60).collect();
        assert_eq!(answer["refused"]["code"], "not_an_ask", "{shown}: {answer}");
        assert!(
            answer["refused"]["sentence"].as_str().is_some_and(|s| s.ends_with("Nothing was written.")),
            "{shown}: {answer}"
        );
    }
    assert!(whole_log(&bench) == before);
}

/// Leads that are being found out, with what people type who are tired: each reading is kept, and what does not fit is said.
#[test]
fn readings_between_leads_that_can_not_be() {
    for (what, typed, part) in [
        ("0 Ω and OL for the same pair", &["0", "OL"][..], "did not read the same twice"),
        ("one reading only", &["6.66k"], "Not sure yet"),
        ("only over limit", &["OL", "OL", "OL"], "Not sure yet"),
        ("absurdly large", &["900M"], "Fingers read like this"),
    ] {
        let bench = Workbench::stocked();
        bench.ok(&begin_leads(&bench, &["moss", "rust", "slate"]));
        for reading in typed {
            bench.ok(&measure_leads(&bench, "rust", reading));
        }
        let found = bench.ok(&json!({"ask": "find_leads", "pickup": PICKUP}));
        assert_eq!(found["search"]["lines"].as_array().map(Vec::len), Some(typed.len()), "{what}: {found}");
        let found = found.to_string();
        assert!(found.contains(part), "{what}: {found}");
    }
    let bench = Workbench::stocked();
    bench.ok(&begin_leads(&bench, &["moss", "rust", "slate"]));
    bench.ok(&measure_leads(&bench, "rust", "6.66k"));
    let before = whole_log(&bench);
    let nine: Vec<String> = (0..9).map(|lead| format!("lead {lead}")).collect();
    let nine: Vec<&str> = nine.iter().map(String::as_str).collect();
    for (what, ask) in [
        ("negative", measure_leads(&bench, "rust", "-6.66k")),
        ("no number", measure_leads(&bench, "rust", "about six")),
        ("endless", measure_leads(&bench, "rust", "1e400")),
        ("an unknown lead", measure_leads(&bench, "azure", "6.66k")),
        ("a lead to itself", measure_leads(&bench, "moss", "0")),
        ("nine leads", begin_leads(&bench, &nine)),
        ("two alike", begin_leads(&bench, &["moss", "moss"])),
        ("one lead that is called like the shield", begin_leads(&bench, &["moss", "shield"])),
    ] {
        let refusal = bench.refused(&ask);
        let said = refusal["sentence"].as_str().unwrap_or_default();
        assert!(said.ends_with('.') && said.len() > 20, "{what}: {refusal}");
        assert_eq!(whole_log(&bench), before, "{what}: nothing is lost and nothing is added");
    }
}

fn begin_leads(bench: &Workbench, leads: &[&str]) -> Value {
    json!({"ask": "begin_leads", "entry": bench.name(), "pickup": PICKUP, "leads": leads, "shield": false, "frame": false})
}

fn measure_leads(bench: &Workbench, other: &str, reading: &str) -> Value {
    json!({
        "ask": "measure_leads", "entry": bench.name(), "pickup": PICKUP, "between": ["moss", other], "reading": reading,
        "out_of_reach": false
    })
}
