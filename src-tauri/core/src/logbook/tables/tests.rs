//! Tables as a spreadsheet reads them.

use chrono::DateTime;
use uuid::Uuid;

use super::*;
use crate::record::body::StrikeBody;
use crate::record::entry::Written;
use crate::record::names::{BenchId, EntryId};
use crate::record::quantity::{Ohms, Reading};
use crate::record::wiring::{JackProbe, JackSet, Volumes};

fn table_of(log: &mut Log, table: Table, find: &Find) -> Vec<Vec<String>> {
    let mut text = Vec::new();
    let rows = write_table(log, table, find, &mut text).expect("written");
    let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(&text[..]);
    let table: Vec<Vec<String>> =
        reader.records().map(|record| record.expect("a record").iter().map(str::to_owned).collect()).collect();
    assert_eq!(table.len() as u64, rows + 1);
    table
}

#[test]
fn words_that_look_like_a_formula_are_guarded() {
    for (words, cell) in [
        ("=1+1", "'=1+1"),
        ("+1", "'+1"),
        ("-3 dB", "'-3 dB"),
        ("@me", "'@me"),
        ("\tx", "'\tx"),
        ("a=1", "a=1"),
        ("", ""),
        ("'=1", "'=1"),
        (" =1+1", "' =1+1"),
        ("\u{FEFF}\u{200B} \u{AD}@me", "'\u{FEFF}\u{200B} \u{AD}@me"),
        ("\u{FF1D}1", "'\u{FF1D}1"),
        ("\u{FF0B}1", "'\u{FF0B}1"),
        ("\u{FF0D}1", "'\u{FF0D}1"),
        ("\u{FF20}me", "'\u{FF20}me"),
        ("\u{FE66}1", "'\u{FE66}1"),
        ("\u{2212}3 dB", "'\u{2212}3 dB"),
        ("\n=1", "'\n=1"),
        ("a \u{200B}=1", "a \u{200B}=1"),
        ("\u{200B}warm", "\u{200B}warm"),
    ] {
        assert_eq!(guarded(words), cell);
    }
    assert_eq!(number(-2.5), "-2.5", "a number stays one");
}

#[test]
fn a_number_ends_where_it_means_nothing_more() {
    for (value, cell) in [
        (8_050.000_000_000_001, "8050"),
        (2.381_249_999_999_999_6, "2.38125"),
        (6_660.0, "6660"),
        (1_234_567.0, "1234567"),
        (0.1 + 0.2, "0.3"),
        (-4.999_999_999_999_9, "-5"),
        (4.7e-10, "0.00000000047"),
        (0.0, "0"),
        (41.3, "41.3"),
        (123.456_789, "123.456789"),
        (1.234_567_891_2, "1.23456789"),
    ] {
        assert_eq!(number(value), cell);
    }
}

/// What a spreadsheet may pass over, and what it may take for the beginning of a formula, by lists of their own.
const UNSEEN: [char; 16] = [
    ' ', '\t', '\r', '\n', '\u{A0}', '\u{AD}', '\u{200B}', '\u{200C}', '\u{200D}', '\u{200E}', '\u{2060}', '\u{2003}',
    '\u{3000}', '\u{FEFF}', '\u{202E}', '\u{0}',
];
const BEGINS: [char; 12] = [
    '=', '+', '-', '@', '\u{FF1D}', '\u{FF0B}', '\u{FF0D}', '\u{FF20}', '\u{FE66}', '\u{FE62}', '\u{FE63}', '\u{FE6B}',
];

proptest::proptest! {
    #[test]
    fn whatever_stands_before_a_formula_it_is_guarded(
        before in proptest::collection::vec(proptest::sample::select(&UNSEEN[..]), 0..6),
        sign in proptest::sample::select(&BEGINS[..]),
        rest in ".*",
    ) {
        let words: String = before.into_iter().chain([sign]).chain(rest.chars()).collect();
        proptest::prop_assert_eq!(guarded(&words), format!("'{words}"));
    }

    #[test]
    fn words_that_begin_with_a_letter_or_a_digit_stay_as_they_are(first in "[a-zA-Z0-9éßÅ中]", rest in ".*") {
        let words = format!("{first}{rest}");
        proptest::prop_assert_eq!(guarded(&words), words);
    }

    #[test]
    fn a_guarded_cell_never_begins_with_a_formula_and_loses_nothing(words in ".*") {
        let cell = guarded(&words);
        let seen = cell.chars().find(|c| !UNSEEN.contains(c));
        proptest::prop_assert!(!seen.is_some_and(|c| BEGINS.contains(&c)), "{cell:?}");
        proptest::prop_assert!(cell == words || cell.strip_prefix('\'') == Some(words.as_str()));
    }
}

#[test]
fn every_reading_and_note_of_the_demo_bench() {
    let folder = tempfile::tempdir().expect("a scratch folder");
    let mut log = Log::open(folder.path(), DateTime::UNIX_EPOCH, BenchId(Uuid::from_u128(7))).expect("a new log");
    assert_eq!(table_of(&mut log, Table::Readings, &Find::default()).len(), 1, "only the heads of an empty log");
    let mut entries = crate::demo::entries();
    // The install of the demo bench goes on: two readings at the jack, one of them struck out.
    let install = entries.iter().map(|entry| entry.about).find(|about| matches!(about, About::Fit(_)));
    let last = entries.iter().map(|entry| entry.at).max().expect("there are some");
    let set = JackSet { selector: "neck".to_owned(), switch: String::new(), volumes: Volumes::Full {} };
    let ink = |number: u128, body: Body| Entry {
        id: EntryId(Uuid::from_u128(number)),
        at: last + chrono::TimeDelta::seconds(number as i64),
        bench: BenchId(Uuid::from_u128(7)),
        about: install.expect("the demo bench has an install"),
        body: Written::Known(body),
    };
    let over = Body::Install(InstallBody::JackRead {
        at: set.clone(),
        reading: Reading::OverLimit,
        typed: "OL".to_owned(),
        room: None,
        sure: false,
    });
    let probe = JackProbe::CaseToSleeve { set, place: "neck".to_owned() };
    let case =
        Body::Install(InstallBody::FitProbed { probe, reading: Reading::Ohms(Ohms(0.3)), typed: "0.3".to_owned() });
    let struck = Body::Strike(StrikeBody::StruckOut { entry: EntryId(Uuid::from_u128(1)), why: String::new() });
    entries.extend([ink(1, over), ink(2, case), ink(3, struck)]);
    log.write(&entries).expect("written");
    let count = |test: fn(&Body) -> bool| entries.iter().filter(|e| e.body.known().is_some_and(test)).count();
    let readings = table_of(&mut log, Table::Readings, &Find::default());
    let taken = count(|body| {
        matches!(body, Body::Audition(AuditionBody::ReadingTaken { .. }) | Body::Audition(AuditionBody::Probed { .. }))
    });
    let at_the_jack = count(|body| {
        matches!(
            body,
            Body::Install(InstallBody::JackRead { .. })
                | Body::Install(InstallBody::JackReadBefore { .. })
                | Body::Install(InstallBody::FitProbed { .. })
        )
    });
    assert!(taken > 4 && at_the_jack == 4, "{taken} {at_the_jack}");
    let taken = taken + at_the_jack;
    assert_eq!(readings.len(), taken + 1);
    assert!(readings.iter().all(|row| row.len() == readings[0].len()));
    let column = |name: &str| readings[0].iter().position(|head| head == name).expect("a column");
    let (ohms, over, stands, at) =
        (column("reading (ohm)"), column("over limit"), column("stands"), column("measured at"));
    let is_a_reading = |row: &Vec<String>| row[over] == "yes" || row[ohms].parse::<f64>().is_ok_and(|ohms| ohms >= 0.0);
    assert!(readings[1..].iter().all(is_a_reading), "{readings:?}");
    let told: Vec<[&str; 4]> = readings[1..]
        .iter()
        .map(|row| [row[at].as_str(), row[ohms].as_str(), row[over].as_str(), row[stands].as_str()])
        .filter(|[at, ..]| *at != "the output")
        .collect();
    let jack = ["at the jack, selector on neck, volume at full", "", "yes", "struck out"];
    let case = ["from the case of the neck pot to the sleeve", "0.3", "no", "counts"];
    assert!(told.contains(&jack) && told.contains(&case), "{told:?}");
    assert!(readings[1..].iter().any(|row| row[stands] == "counts"));
    let notes = table_of(&mut log, Table::Notes, &Find::default());
    assert!(notes.iter().any(|row| row[8] == "note" && !row[10].is_empty()));
    assert!(notes.iter().any(|row| row[9] == "4" || row[9] == "3"));
    let none = Find { words: "nothing has this word".to_owned(), ..Find::default() };
    assert_eq!(table_of(&mut log, Table::Notes, &none).len(), 1);
}
