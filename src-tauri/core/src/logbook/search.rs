//! Looking for auditions: by words, pickup, guitar, place, mode, what the readings came to, state, passed holds and date.
//!
//! Each thing that can be asked for is a token of its own in the full-text index, beside the words that can be typed, so that
//! any of them together are one question of the index.

use std::cmp::Reverse;

use chrono::{DateTime, Utc};
use rusqlite::{OptionalExtension, params_from_iter};
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use super::beside::{FoundBeside, beside};
use super::up_to_date::catch_up_to_look;
use super::{Log, Trouble};
use crate::audition::{CameTo, State};
use crate::logbook::line::{Line, read_line};
use crate::logbook::words::{
    BENCHES, of_bench, of_guitar, of_mode, of_overridden, of_pickup, of_place, of_proof, of_state, tokens,
};
use crate::record::guitar::GuitarId;
use crate::record::names::BenchId;
use crate::record::pickup::PickupId;
use crate::record::rig::Mode;

/// How many lines a page of the logbook holds.
pub const PAGE: usize = 30;
/// How much of a typed word is looked for, in characters.
const LONGEST_WORD: usize = 40;

/// From this length on, in characters, a word's beginnings have no index of their own.
const LONG: usize = 4;
/// The most words of the logbook that are looked for one by one, where a typed word is the beginning of them all.
const MOST_SPELT: usize = 60;

/// What to look for in the logbook.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, TS)]
#[serde(default, deny_unknown_fields)]
#[ts(export_to = "contract/log.ts", optional_fields)]
pub struct Find {
    /// Words, or their beginnings; each must occur.
    pub words: String,
    /// Only this pickup.
    pub pickup: Option<PickupId>,
    /// Only this guitar.
    pub guitar: Option<GuitarId>,
    /// Only at a place of this name, whatever its case.
    pub place: Option<String>,
    /// Only where this mode was to be tried.
    pub mode: Option<Mode>,
    /// Only where the readings came to this.
    pub proof: Option<CameTo>,
    /// Only those that stand like this.
    pub state: Option<State>,
    /// Only those in which this bench wrote.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub bench: Option<BenchId>,
    /// Only those in which a hold was passed, or only those in which none was.
    pub overridden: Option<bool>,
    /// Begun at this instant or later.
    #[ts(type = "string | null")]
    pub from: Option<DateTime<Utc>>,
    /// Begun before this instant.
    #[ts(type = "string | null")]
    pub until: Option<DateTime<Utc>>,
    /// Go on after this line of the page before.
    #[ts(type = "number | null")]
    pub after: Option<i64>,
}

/// A page of the logbook, newest first.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/log.ts")]
pub struct LogbookPage {
    /// The lines.
    pub lines: Vec<Line>,
    /// Where the next page begins; nothing when this is the last.
    #[ts(type = "number | null")]
    pub after: Option<i64>,
    /// What was found beside auditions, with the first page of what typed words find.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<FoundBeside>>", optional)]
    pub beside: Vec<FoundBeside>,
}

/// A page of the logbook.
pub(super) fn find(log: &mut Log, find: &Find) -> Result<LogbookPage, Trouble> {
    let page = find_some(log, find, PAGE)?;
    // What only auditions have leaves the others out.
    let words_alone = Find { words: find.words.clone(), ..Find::default() } == *find;
    let words = typed(find).filter(|_| words_alone).unwrap_or_default();
    Ok(LogbookPage { beside: beside(log, &words)?, ..page })
}

/// At most so many lines of the logbook.
pub(super) fn find_some(log: &mut Log, find: &Find, most: usize) -> Result<LogbookPage, Trouble> {
    catch_up_to_look(log)?;
    let nothing = || Ok(LogbookPage { lines: Vec::new(), after: None, beside: Vec::new() });
    let Some(typed) = typed(find) else { return nothing() };
    let mut asked = Vec::new();
    for word in typed {
        let Some(spelt) = spelt(log, word)? else { return nothing() };
        asked.push(spelt);
    }
    let words = question(find, asked);
    let mut sql = String::from(if words.is_empty() {
        "SELECT row, audition, open, last, pickup, guitar, rig, line, place, words, sum FROM audition_line WHERE 1"
    } else {
        "SELECT l.row, l.audition, l.open, l.last, l.pickup, l.guitar, l.rig, l.line, l.place, l.words, l.sum
         FROM audition_words w JOIN audition_line l ON l.row = w.rowid WHERE audition_words MATCH ?"
    });
    let row = if words.is_empty() { "row" } else { "w.rowid" };
    let mut values: Vec<rusqlite::types::Value> = Vec::new();
    if !words.is_empty() {
        values.push(words.into());
    }
    // Beside other tokens, pickup and guitar are looked up as tokens too; alone they have an index of their own.
    if values.is_empty() {
        for (column, id) in [("pickup", find.pickup.map(|p| p.0)), ("guitar", find.guitar.map(|g| g.0))] {
            if let Some(id) = id {
                sql.push_str(&format!(" AND {column} = ?"));
                values.push(id.into_bytes().to_vec().into());
            }
        }
    }
    for (condition, value) in [
        (">=", find.from.map(|at| at.timestamp_micros())),
        ("<", find.until.map(|at| at.timestamp_micros())),
        ("<", find.after),
    ] {
        if let Some(value) = value {
            sql.push_str(&format!(" AND {row} {condition} ?"));
            values.push(value.into());
        }
    }
    sql.push_str(&format!(" ORDER BY {row} DESC LIMIT {}", most + 1));
    let mut select = log.tables().prepare_cached(&sql)?;
    let rows = select.query_map(params_from_iter(values), |row| Ok((row.get::<_, i64>(0)?, read_line(row)?)))?;
    let mut lines = Vec::new();
    let mut after = None;
    let mut last_row = None;
    for found in rows {
        let (row, text) = found?;
        if lines.len() == most {
            after = last_row;
            break;
        }
        last_row = Some(row);
        lines.extend(serde_json::from_str::<Line>(&text));
    }
    // Rows are in the order of their beginnings. Auditions begun in the same instant got theirs in the order in
    // which they were merged in, which nobody may see.
    lines.sort_by_key(|line| (Reverse(line.begun), line.audition));
    Ok(LogbookPage { lines, after, beside: Vec::new() })
}

/// A typed word as a part of a full-text question: its beginning is enough. Nothing when no line has it.
///
/// SQLite gathers the lines of all words with a long beginning before it answers the first of them, which takes long
/// where one of them is common. A few such words are better looked for by their whole names.
fn spelt(log: &Log, word: String) -> Result<Option<String>, Trouble> {
    if word.chars().count() < LONG {
        return Ok(Some(beginning(&word)));
    }
    let mut next = log.tables().prepare_cached("SELECT term FROM temp.audition_terms WHERE term >= ?1 LIMIT 1")?;
    let mut found: Vec<String> = Vec::new();
    let mut from = word.clone();
    while let Some(term) = next.query_row([&from], |row| row.get::<_, String>(0)).optional()? {
        if !term.starts_with(&word) {
            break;
        }
        if found.len() == MOST_SPELT {
            return Ok(Some(beginning(&word)));
        }
        // Nothing that a word may go on with comes before this figure.
        from = format!("{term}0");
        found.push(format!("\"{term}\""));
    }
    Ok((!found.is_empty()).then(|| format!("({})", found.join(" OR "))))
}

/// The benches that wrote in any audition, but the invented one.
pub(super) fn benches(log: &mut Log) -> Result<Vec<BenchId>, Trouble> {
    catch_up_to_look(log)?;
    benches_listed(log)
}

/// The same, as far as the lists are up to date.
pub(super) fn benches_listed(log: &Log) -> Result<Vec<BenchId>, Trouble> {
    let mut next = log.tables().prepare_cached("SELECT term FROM temp.audition_terms WHERE term >= ?1 LIMIT 1")?;
    let (mut benches, mut from) = (Vec::new(), BENCHES.to_owned());
    while let Some(term) = next.query_row([&from], |row| row.get::<_, String>(0)).optional()? {
        let Some(name) = term.strip_prefix(BENCHES) else { break };
        benches.extend(Uuid::try_parse(name).ok().map(BenchId));
        // All are of one length, so this comes before the next of them.
        from = format!("{term}0");
    }
    Ok(benches)
}

/// The words that were typed; nothing when what was typed has no word in it, so that no line can have it.
fn typed(find: &Find) -> Option<Vec<String>> {
    // At most twelve words: more of them narrow nothing and only cost time.
    let words = tokens(&find.words).into_iter().take(12).map(|word| word.chars().take(LONGEST_WORD).collect());
    let words: Vec<String> = words.collect();
    (!words.is_empty() || find.words.trim().is_empty()).then_some(words)
}

/// Any word that begins like this, as a part of a full-text question.
fn beginning(word: &str) -> String {
    format!("\"{word}\"*")
}

/// What is typed, each word as a part of a full-text question, and what is chosen, as the whole of it. Empty when nothing was
/// asked for that has no index of its own.
fn question(find: &Find, mut asked: Vec<String>) -> String {
    let chosen = |token: String| format!("\"{token}\"");
    asked.extend(find.place.as_deref().map(of_place).map(chosen));
    asked.extend(find.mode.as_ref().map(of_mode).map(chosen));
    asked.extend(find.proof.map(of_proof).map(chosen));
    asked.extend(find.state.map(of_state).map(chosen));
    asked.extend(find.overridden.map(of_overridden).map(chosen));
    asked.extend(find.bench.map(of_bench).map(chosen));
    if !asked.is_empty() {
        asked.extend(find.pickup.map(of_pickup).map(chosen));
        asked.extend(find.guitar.map(of_guitar).map(chosen));
    }
    asked.join(" AND ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::logbook::Lists;
    use crate::record::audition::AuditionId;
    use crate::record::body::{Body, ListeningBody};
    use crate::record::entry::{About, Entry, Written};
    use crate::record::names::EntryId;

    #[test]
    fn words_without_case_and_marks_in_any_script() {
        for (text, expected) in [
            ("Old Tin, 6k66", &["old", "tin", "6k66"][..]),
            ("Ångström NAÏVE e\u{301}clat", &["angstrom", "naive", "eclat"]),
            ("İstanbul ﬁne ６６", &["istanbul", "fine", "66"]),
            ("मेरा गिटार", &["मर", "गटर"]),
            ("מַגְבֵּר", &["מגבר"]),
            ("明るい音", &["明るい音"]),
            ("don't—stop_it", &["don", "t", "stop", "it"]),
            ("\u{0} \" * ♥ \u{301}", &[]),
        ] {
            assert_eq!(tokens(text), expected, "{text}");
        }
    }

    #[test]
    fn nothing_typed_finds_all_and_no_word_finds_nothing() {
        let asked = |words: &str| {
            let find = Find { words: words.to_owned(), ..Find::default() };
            typed(&find).map(|typed| question(&find, typed.iter().map(|word| beginning(word)).collect()))
        };
        assert_eq!(asked(" ").as_deref(), Some(""));
        assert_eq!(asked("♥ !"), None);
        assert_eq!(asked("Tin hat").as_deref(), Some(r#""tin"* AND "hat"*"#));
    }

    /// Words that are spelt out find the lines that their beginning finds, whether few words have it or many.
    #[test]
    fn spelt_out_or_by_its_beginning() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let bench = BenchId(Uuid::from_u128(7));
        let mut log = Log::open(folder.path(), DateTime::UNIX_EPOCH, bench).expect("a new log");
        // Words with a beginning in common, more than are spelt out; and few with a longer one.
        let words = |number: usize| format!("clear clea{number} clearer{} Ångström{number}", number % 3);
        let entries = (0..MOST_SPELT + 20).map(|number| {
            let name = Uuid::from_u128(number as u128 + 1);
            let body = Body::Listening(ListeningBody::NoteWritten { mode: Mode::new("series"), words: words(number) });
            let at = DateTime::from_timestamp(1_700_000_000 + number as i64, 0).unwrap_or_default();
            Entry { id: EntryId(name), at, bench, about: About::Audition(AuditionId(name)), body: Written::Known(body) }
        });
        let entries: Vec<Entry> = entries.collect();
        log.write(&entries).expect("written");
        log.catch_up().expect("listed");
        let spelt = |log: &Log, word: &str| super::spelt(log, word.to_owned()).expect("looked up");
        assert_eq!(spelt(&log, "cle").as_deref(), Some("\"cle\"*"));
        assert_eq!(spelt(&log, "clea").as_deref(), Some("\"clea\"*"));
        let clearer = r#"("clear" OR "clearer0" OR "clearer1" OR "clearer2")"#;
        assert_eq!(spelt(&log, "clear").as_deref(), Some(clearer));
        assert_eq!(spelt(&log, "clears"), None);
        assert_eq!(spelt(&log, "zzzz"), None);
        for (typed, found) in [
            ("cle", MOST_SPELT + 20),
            ("clea", MOST_SPELT + 20),
            ("clear", MOST_SPELT + 20),
            ("clearer2", (MOST_SPELT + 20) / 3),
            ("clea7", 1 + 10),
            ("clearer1 clea7", 1 + 4),
            ("Angström7", 1 + 10),
            ("clears", 0),
            ("clear nowhere", 0),
        ] {
            let find = Find { words: typed.to_owned(), ..Find::default() };
            assert_eq!(log.find_some(&find, 1000).expect("found").lines.len(), found, "{typed}");
        }
    }

    /// Whatever a place is called, its name is one token that no typed word is, and another name is another token.
    #[test]
    fn a_name_is_one_token() {
        for (name, token) in [
            ("neck", "§lneck"),
            (" Neck ", "§lneck"),
            ("half way, 1/2", "§lhalf·way··1·2"),
            ("Ångström", "§langstrom"),
            ("♥", "§l♥"),
            ("\" OR \u{0}*", "§l··or···"),
        ] {
            assert_eq!(of_place(name), token, "{name}");
        }
        let find = Find {
            place: Some("a \"b".to_owned()),
            mode: Some(Mode::new("series")),
            proof: Some(CameTo::SomethingWrong),
            state: Some(State::EndedEarly),
            overridden: Some(true),
            ..Find::default()
        };
        let asked = question(&find, vec![beginning("tin")]);
        let whole = r#""tin"* AND "§la··b" AND "§mseries" AND "§rw" AND "§se" AND "§hy""#;
        assert_eq!(asked, whole);
        assert_eq!(tokens("§lneck §sf"), ["lneck", "sf"]);
    }
}
