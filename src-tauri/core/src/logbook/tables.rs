//! Tables of the logbook for a spreadsheet: comma-separated values after RFC 4180, in UTF-8, with the units in the first
//! row.
//!
//! A spreadsheet takes a cell that begins with `=`, `+`, `-` or `@` for a formula, and runs it; some pass over blanks and signs
//! that can't be seen before it, and some take the wide and small forms of these signs for the same. So a cell of words whose
//! first sign that can be seen is one of them gets an apostrophe before it, and so does one that begins with a tab or a
//! return. Numbers are written bare.

mod measured;

use solderlast_log::Ordered;
use std::io::Write;

use chrono::{DateTime, SecondsFormat, Utc};
use csv::{Writer, WriterBuilder};
use unicode_normalization::UnicodeNormalization as _;

use super::install_line::InstallLine;
use super::installs::installs_of;
use super::search::{self, Find};
use super::{Log, Trouble};
use crate::audition::Audition;
use crate::entry_lines::install::reading_at_in_words;
use crate::install::Install;
use crate::listening::Conditions;
use crate::logbook::line::Line;
use crate::record::body::{AuditionBody, Body, InstallBody};
use crate::record::entry::{About, Entry};
use crate::record::listening::Quality;
use crate::record::quantity::{Millimetres, Reading};

/// A table of the logbook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Table {
    /// Every meter reading that was written, one a row.
    Readings,
    /// What was heard: one note, rating or take a row, as it stands.
    Notes,
    /// What was measured of coils: one value a row.
    Measured,
}

impl Table {
    /// All tables.
    pub const ALL: [Self; 3] = [Self::Readings, Self::Notes, Self::Measured];

    /// The table of this name.
    #[must_use]
    pub fn named(name: &str) -> Option<Self> {
        match name {
            "readings" => Some(Self::Readings),
            "notes" => Some(Self::Notes),
            "measured" => Some(Self::Measured),
            _ => None,
        }
    }

    /// A name for its file.
    #[must_use]
    pub fn file_name(self) -> &'static str {
        match self {
            Self::Readings => "solderlast-readings.csv",
            Self::Notes => "solderlast-notes.csv",
            Self::Measured => "solderlast-measured.csv",
        }
    }

    fn heads(self) -> &'static [&'static str] {
        match self {
            Self::Readings => &[
                "audition",
                "begun (UTC)",
                "pickup",
                "guitar",
                "place",
                "from saddle (mm)",
                "mode",
                "measured (UTC)",
                "reading (ohm)",
                "over limit",
                "as typed",
                "room (C)",
                "measured at",
                "stands",
            ],
            Self::Notes => &[
                "audition",
                "begun (UTC)",
                "pickup",
                "guitar",
                "place",
                "from saddle (mm)",
                "mode",
                "written (UTC)",
                "what",
                "value (1 to 5)",
                "words",
                "gap bass (mm)",
                "gap treble (mm)",
                "amplifier",
            ],
            Self::Measured => &measured::HEADS,
        }
    }
}

/// Writes a table of the auditions that `find` finds, newest first, whatever page it asks for; of what was measured, of all pickups or
/// the one it names. Memory stays the same however many there are. Answers how many rows there are below the heads.
pub(super) fn write_table(log: &mut Log, table: Table, find: &Find, out: impl Write) -> Result<u64, Trouble> {
    let mut rows = Rows { out: WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out), count: 0 };
    rows.out.write_record(table.heads()).map_err(unwritten)?;
    let mut page = Find { after: None, ..find.clone() };
    loop {
        let found = search::find(log, &page)?;
        for line in &found.lines {
            let ordered = log.about(About::Audition(line.audition))?;
            match table {
                Table::Readings => {
                    rows.readings(line, &ordered)?;
                    for install in installs_of(log, About::Audition(line.audition))? {
                        let of_install = log.about(About::Fit(install.fit))?;
                        rows.at_the_jack(&install, about(line, &Audition::fold(&ordered)), &of_install)?;
                    }
                }
                Table::Notes => rows.notes(line, &ordered)?,
                Table::Measured => {}
            }
        }
        match found.after {
            Some(after) => page.after = Some(after),
            None => break,
        }
    }
    rows.out.flush()?;
    Ok(rows.count)
}

/// Writes what was measured of these pickups, each by its entries.
pub(super) fn write_measured(pickups: Vec<Ordered>, out: impl Write) -> Result<u64, Trouble> {
    let mut rows = Rows { out: WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(out), count: 0 };
    rows.out.write_record(Table::Measured.heads()).map_err(unwritten)?;
    measured::write(pickups, &mut rows)?;
    rows.out.flush()?;
    Ok(rows.count)
}

struct Rows<W: Write> {
    out: Writer<W>,
    count: u64,
}

impl<W: Write> Rows<W> {
    fn row(&mut self, audition: &[String], cells: &[String]) -> Result<(), Trouble> {
        self.count += 1;
        self.out.write_record(audition.iter().chain(cells)).map_err(unwritten)
    }

    fn readings(&mut self, line: &Line, ordered: &[(Entry, bool)]) -> Result<(), Trouble> {
        let audition = Audition::fold(ordered);
        let about = about(line, &audition);
        for (entry, struck) in ordered {
            let (mode, reading, typed, room, at) = match entry.body.known() {
                Some(Body::Audition(AuditionBody::ReadingTaken { mode, reading, typed, room, .. })) => {
                    (mode.0.clone(), reading, typed, room.map(|room| number(room.0)), "the output".to_owned())
                }
                Some(Body::Audition(AuditionBody::Probed { probe, reading, typed, .. })) => {
                    (String::new(), reading, typed, None, probe.in_words())
                }
                _ => continue,
            };
            let counts = audition.readings.values().any(|taken| taken.entry == entry.id)
                || audition.evidence.iter().any(|taken| taken.entry == entry.id);
            let cells = cells(entry, &mode, *reading, typed, room, &at, stands(*struck, counts));
            self.row(&about, &cells)?;
        }
        Ok(())
    }

    /// Readings of a permanent install that rests on the audition; its place may be another one.
    fn at_the_jack(
        &mut self,
        line: &InstallLine,
        mut about: Vec<String>,
        ordered: &[(Entry, bool)],
    ) -> Result<(), Trouble> {
        let install = Install::fold(ordered);
        if let [.., place, from_saddle] = about.as_mut_slice()
            && *place != line.place
        {
            *place = guarded(&line.place);
            from_saddle.clear();
        }
        for (entry, struck) in ordered {
            let (reading, typed, room) = match entry.body.known() {
                Some(
                    Body::Install(InstallBody::JackRead { reading, typed, room, .. })
                    | Body::Install(InstallBody::JackReadBefore { reading, typed, room, .. }),
                ) => (reading, typed, room.map(|room| number(room.0))),
                Some(Body::Install(InstallBody::FitProbed { reading, typed, .. })) => (reading, typed, None),
                _ => continue,
            };
            let Some(at) = entry.body.known().and_then(reading_at_in_words) else { continue };
            let counts = install.readings.iter().any(|taken| taken.entry == entry.id)
                || install.before.iter().any(|taken| taken.entry == entry.id)
                || install.evidence.iter().any(|taken| taken.entry == entry.id);
            let cells = cells(entry, "", *reading, typed, room, &at, stands(*struck, counts));
            self.row(&about, &cells)?;
        }
        Ok(())
    }

    fn notes(&mut self, line: &Line, ordered: &[(Entry, bool)]) -> Result<(), Trouble> {
        let audition = Audition::fold(ordered);
        let about = about(line, &audition);
        let modes: std::collections::BTreeSet<_> = audition
            .notes
            .keys()
            .chain(audition.rated.keys().chain(audition.against.keys()).map(|(mode, _)| mode))
            .cloned()
            .collect();
        for mode in modes {
            let newest = audition.conditions.get(&mode);
            let gap = |gap: Option<Millimetres>| gap.map(|gap| number(gap.0)).unwrap_or_default();
            // Each rating carries what it was heard in itself; words carry what the mode was heard in last.
            let mut cells = |conditions: Option<&Conditions>, at, what: &str, value: String, words: &str| {
                let gaps = conditions.and_then(|conditions| conditions.gaps.as_ref());
                let amp = conditions.and_then(|conditions| conditions.amp.clone()).unwrap_or_default();
                let cells = [
                    guarded(&mode.0),
                    instant(at),
                    what.to_owned(),
                    value,
                    guarded(words),
                    gap(gaps.map(|gaps| gaps.bass)),
                    gap(gaps.map(|gaps| gaps.treble)),
                    guarded(&amp),
                ];
                self.row(&about, &cells)
            };
            for quality in Quality::ALL {
                if let Some(rated) = audition.rated.get(&(mode.clone(), quality)) {
                    let word = quality.word(rated.said.value).unwrap_or_default();
                    let conditions = audition.contexts.get(rated.said.context);
                    cells(conditions, rated.at, quality.name(), rated.said.value.to_string(), word)?;
                }
                if let Some(than) = audition.against.get(&(mode.clone(), quality)) {
                    let what = format!("{}, against what is fitted now", quality.name().to_lowercase());
                    cells(newest, than.at, &what, String::new(), &than.said.in_words(quality))?;
                }
            }
            if let Some(note) = audition.notes.get(&mode) {
                cells(newest, note.at, "note", String::new(), &note.said)?;
            }
        }
        for take in &audition.takes {
            let gaps = take.said.conditions.gaps.as_ref();
            let gap = |gap: Option<Millimetres>| gap.map(|gap| number(gap.0)).unwrap_or_default();
            let mode = take.said.recorded.mode.as_ref().map_or("", |mode| mode.0.as_str());
            let cells = [
                guarded(mode),
                instant(take.at),
                "take".to_owned(),
                String::new(),
                guarded(&take.said.recorded.in_words()),
                gap(gaps.map(|gaps| gaps.bass)),
                gap(gaps.map(|gaps| gaps.treble)),
                guarded(take.said.conditions.amp.as_deref().unwrap_or_default()),
            ];
            self.row(&about, &cells)?;
        }
        Ok(())
    }
}

/// The cells of a reading, after those of its audition.
fn cells(
    entry: &Entry,
    mode: &str,
    reading: Reading,
    typed: &str,
    room: Option<String>,
    at: &str,
    stands: &str,
) -> [String; 8] {
    let (ohms, over) = match reading {
        Reading::Ohms(ohms) => (number(ohms.0), "no"),
        Reading::OverLimit => (String::new(), "yes"),
    };
    [
        guarded(mode),
        instant(entry.at),
        ohms,
        over.to_owned(),
        guarded(typed),
        room.unwrap_or_default(),
        guarded(at),
        stands.to_owned(),
    ]
}

fn stands(struck: bool, counts: bool) -> &'static str {
    match (struck, counts) {
        (true, _) => "struck out",
        (false, true) => "counts",
        (false, false) => "measured again later",
    }
}

/// The cells that every row of an audition begins with.
fn about(line: &Line, audition: &Audition) -> Vec<String> {
    let from_saddle = audition.choice.as_ref().map(|choice| number(choice.said.from_saddle.0));
    vec![
        line.audition.0.to_string(),
        instant(line.begun),
        guarded(&line.pickup_label),
        guarded(&line.guitar_label),
        guarded(&line.place),
        from_saddle.unwrap_or_default(),
    ]
}

/// Words that no spreadsheet takes for a formula.
fn guarded(words: &str) -> String {
    let first = words.chars().find(|c| !is_passed_over(*c));
    // The wide and the small forms come down to the plain ones.
    let begins_one = first.is_some_and(|c| c.nfkc().any(|plain| matches!(plain, '=' | '+' | '-' | '@' | '\u{2212}')));
    let begins_odd = words.starts_with(['\t', '\r', '\n']);
    if begins_one || begins_odd { format!("'{words}") } else { words.to_owned() }
}

/// Whether a sign shows nothing: blanks, controls, and what only turns, joins or parts the letters around it.
fn is_passed_over(c: char) -> bool {
    c.is_whitespace()
        || c.is_control()
        || matches!(c,
            '\u{AD}' | '\u{34F}' | '\u{61C}' | '\u{115F}' | '\u{1160}' | '\u{17B4}' | '\u{17B5}' | '\u{180B}'..='\u{180F}'
            | '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2060}'..='\u{206F}' | '\u{2800}' | '\u{3164}'
            | '\u{FE00}'..='\u{FE0F}' | '\u{FEFF}' | '\u{FFA0}' | '\u{FFF0}'..='\u{FFFB}' | '\u{1BCA0}'..='\u{1BCA3}'
            | '\u{1D173}'..='\u{1D17A}' | '\u{E0000}'..='\u{E0FFF}')
}

/// A number with a point, as short as it can be without losing anything.
fn number(value: f64) -> String {
    value.to_string()
}

fn instant(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Secs, true)
}

fn unwritten(error: csv::Error) -> Trouble {
    match error.into_kind() {
        csv::ErrorKind::Io(error) => error.into(),
        other => Trouble::Program(format!("{other:?}")),
    }
}

#[cfg(test)]
mod tests {
    use uuid::Uuid;

    use super::*;
    use crate::record::body::StrikeBody;
    use crate::record::entry::Written;
    use crate::record::names::{BenchId, EntryId};
    use crate::record::quantity::Ohms;
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

    /// What a spreadsheet may pass over, and what it may take for the beginning of a formula, by lists of their own.
    const UNSEEN: [char; 16] = [
        ' ', '\t', '\r', '\n', '\u{A0}', '\u{AD}', '\u{200B}', '\u{200C}', '\u{200D}', '\u{200E}', '\u{2060}',
        '\u{2003}', '\u{3000}', '\u{FEFF}', '\u{202E}', '\u{0}',
    ];
    const BEGINS: [char; 12] = [
        '=', '+', '-', '@', '\u{FF1D}', '\u{FF0B}', '\u{FF0D}', '\u{FF20}', '\u{FE66}', '\u{FE62}', '\u{FE63}',
        '\u{FE6B}',
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
            matches!(
                body,
                Body::Audition(AuditionBody::ReadingTaken { .. }) | Body::Audition(AuditionBody::Probed { .. })
            )
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
        let is_a_reading =
            |row: &Vec<String>| row[over] == "yes" || row[ohms].parse::<f64>().is_ok_and(|ohms| ohms >= 0.0);
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
}
