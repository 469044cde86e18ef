//! Looking for auditions: by words, by pickup, by guitar, by date.

use std::cmp::Reverse;

use chrono::{DateTime, Utc};
use rusqlite::params_from_iter;
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use super::lists::Line;
use super::store::Log;
use super::trouble::Trouble;
use crate::audition::Audition;
use crate::guitar::GuitarId;
use crate::pickup::PickupId;

/// How many lines a page of the logbook holds.
pub const PAGE: usize = 30;
/// How much of a typed word is looked for, in characters.
const LONGEST_WORD: usize = 40;

/// What to look for in the logbook.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize, TS)]
#[serde(default, deny_unknown_fields)]
#[ts(export_to = "contract.ts", optional_fields)]
pub struct Find {
    /// Words, or their beginnings; each must occur.
    pub words: String,
    /// Only this pickup.
    pub pickup: Option<PickupId>,
    /// Only this guitar.
    pub guitar: Option<GuitarId>,
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
#[ts(export_to = "contract.ts")]
pub struct Found {
    /// The lines.
    pub lines: Vec<Line>,
    /// Where the next page begins; nothing when this is the last.
    #[ts(type = "number | null")]
    pub after: Option<i64>,
}

impl Log {
    /// A page of the logbook.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn find(&mut self, find: &Find) -> Result<Found, Trouble> {
        self.catch_up_to_look()?;
        let Some(words) = question(find) else {
            return Ok(Found { lines: Vec::new(), after: None });
        };
        let mut sql = String::from(if words.is_empty() {
            "SELECT row, line FROM audition_line WHERE 1"
        } else {
            "SELECT l.row, l.line FROM audition_words w JOIN audition_line l ON l.row = w.rowid WHERE audition_words MATCH ?"
        });
        let row = if words.is_empty() { "row" } else { "w.rowid" };
        let mut values: Vec<rusqlite::types::Value> = Vec::new();
        if !words.is_empty() {
            values.push(words.into());
        }
        // With words, pickup and guitar are looked up as words too.
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
        sql.push_str(&format!(" ORDER BY {row} DESC LIMIT {}", PAGE + 1));
        let mut select = self.conn.prepare_cached(&sql)?;
        let rows =
            select.query_map(params_from_iter(values), |row| Ok((row.get::<_, i64>(0)?, row.get::<_, String>(1)?)))?;
        let mut lines = Vec::new();
        let mut after = None;
        let mut last_row = None;
        for found in rows {
            let (row, text) = found?;
            if lines.len() == PAGE {
                after = last_row;
                break;
            }
            last_row = Some(row);
            lines.extend(serde_json::from_str::<Line>(&text));
        }
        // Rows are in the order of their beginnings. Auditions begun in the same instant got theirs in the order in
        // which they were merged in, which nobody may see.
        lines.sort_by_key(|line| (Reverse(line.begun), line.audition));
        Ok(Found { lines, after })
    }
}

/// Everything of an audition that can be looked for, as tokens.
pub(super) fn words_of(audition: &Audition, line: &Line) -> String {
    let mut words =
        vec![line.pickup_label.clone(), line.guitar_label.clone(), line.place.clone(), line.question.clone()];
    words.extend(line.pickup.map(|id| id.0.simple().to_string()));
    words.extend(line.guitar.map(|id| id.0.simple().to_string()));
    words.extend(line.begun.format("%Y-%m-%d %B").to_string().split(' ').map(str::to_owned));
    if let Some(choice) = &audition.choice {
        words.extend(choice.said.modes.iter().map(|mode| mode.0.clone()));
    }
    words.extend(audition.notes.values().map(|note| note.said.clone()));
    words.extend(audition.amp.iter().map(|amp| amp.said.clone()));
    words.extend(audition.overrides.iter().map(|over| over.said.why.clone()));
    words.extend(audition.skipped.values().map(|why| why.said.clone()));
    words.extend(audition.ended_early.iter().map(|why| why.said.clone()));
    words.extend(audition.ticks.values().map(|words| words.said.clone()));
    words.iter().flat_map(|words| tokens(words)).collect::<Vec<_>>().join(" ")
}

/// What is typed as a full-text question: each word quoted, the beginning of a word is enough. Empty when nothing was
/// typed; nothing when what was typed has no word in it, so that no line can have it.
fn question(find: &Find) -> Option<String> {
    if find.words.trim().is_empty() {
        return Some(String::new());
    }
    // At most twelve words: more of them narrow nothing and only cost time.
    let mut words: Vec<String> = tokens(&find.words)
        .into_iter()
        .take(12)
        .map(|word| format!("\"{}\"*", word.chars().take(LONGEST_WORD).collect::<String>()))
        .collect();
    if words.is_empty() {
        return None;
    }
    words.extend(find.pickup.map(|id| format!("\"{}\"", id.0.simple())));
    words.extend(find.guitar.map(|id| format!("\"{}\"", id.0.simple())));
    Some(words.join(" AND "))
}

/// The words of a text as they are looked for: without case, accents and other marks, whatever the script.
///
/// Done here and not by SQLite's tokenizer, which splits some scripts inside a word; so both sides are sure to agree,
/// and a token is never more than one to SQLite.
fn tokens(text: &str) -> Vec<String> {
    let folded: String = text.nfkd().flat_map(char::to_lowercase).filter(|c| !is_combining_mark(*c)).collect();
    folded.split(|c: char| !c.is_alphanumeric()).filter(|token| !token.is_empty()).map(str::to_owned).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

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
        let asked = |words: &str| question(&Find { words: words.to_owned(), ..Find::default() });
        assert_eq!(asked(" ").as_deref(), Some(""));
        assert_eq!(asked("♥ !"), None);
        assert_eq!(asked("Tin hat").as_deref(), Some(r#""tin"* AND "hat"*"#));
    }
}
