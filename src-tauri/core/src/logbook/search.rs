//! Looking for auditions: by words, pickup, guitar, place, mode, what the readings came to, state, passed holds and date.
//!
//! Each thing that can be asked for is a token of its own in the full-text index, beside the words that can be typed, so that
//! any of them together are one question of the index.

use std::cmp::Reverse;

use chrono::{DateTime, Utc};
use rusqlite::params_from_iter;
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use unicode_normalization::UnicodeNormalization;
use unicode_normalization::char::is_combining_mark;

use super::lines::Line;
use super::store::Log;
use super::trouble::Trouble;
use crate::audition::{Audition, CameTo, State};
use crate::guitar::GuitarId;
use crate::pickup::PickupId;
use crate::rig::Mode;

/// How many lines a page of the logbook holds.
pub const PAGE: usize = 30;
/// How much of a typed word is looked for, in characters.
const LONGEST_WORD: usize = 40;
/// How much of a place's or a mode's name tells it from others, in characters.
const LONGEST_NAME: usize = 60;

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
    /// Only at a place of this name, whatever its case.
    pub place: Option<String>,
    /// Only where this mode was to be tried.
    pub mode: Option<Mode>,
    /// Only where the readings came to this.
    pub proof: Option<CameTo>,
    /// Only those that stand like this.
    pub state: Option<State>,
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
        self.find_some(find, PAGE)
    }

    /// At most so many lines of the logbook.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn find_some(&mut self, find: &Find, most: usize) -> Result<Found, Trouble> {
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
        let mut select = self.conn.prepare_cached(&sql)?;
        let rows =
            select.query_map(params_from_iter(values), |row| Ok((row.get::<_, i64>(0)?, row.get::<_, String>(1)?)))?;
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
        Ok(Found { lines, after })
    }
}

/// Everything of an audition that can be looked for, as tokens.
pub(super) fn words_of(audition: &Audition, line: &Line) -> String {
    let mut words =
        vec![line.pickup_label.clone(), line.guitar_label.clone(), line.place.clone(), line.question.clone()];
    words.extend(line.begun.format("%Y-%m-%d %B").to_string().split(' ').map(str::to_owned));
    let mut asked = vec![of_proof(line.proof), of_state(line.state), of_overridden(line.overrides > 0)];
    asked.extend(line.pickup.map(of_pickup));
    asked.extend(line.guitar.map(of_guitar));
    if let Some(choice) = &audition.choice {
        asked.push(of_place(&choice.said.place));
        for mode in &choice.said.modes {
            words.push(mode.0.clone());
            asked.push(of_mode(mode));
        }
    }
    words.extend(audition.notes.values().map(|note| note.said.clone()));
    words.extend(audition.amp.iter().map(|amp| amp.said.clone()));
    words.extend(audition.overrides.iter().map(|over| over.said.why.clone()));
    words.extend(audition.skipped.values().map(|why| why.said.clone()));
    words.extend(audition.ended_early.iter().map(|why| why.said.clone()));
    words.extend(audition.ticks.values().map(|words| words.said.clone()));
    words.iter().flat_map(|words| tokens(words)).chain(asked).collect::<Vec<_>>().join(" ")
}

/// Begins every token that is asked for by a choice and not by typing. It is no letter, so no typed word has it; and it is
/// beyond ASCII, so SQLite's tokenizer takes it for one.
const CHOSEN: char = '§';

fn of_pickup(id: PickupId) -> String {
    format!("{CHOSEN}p{}", id.0.simple())
}

fn of_guitar(id: GuitarId) -> String {
    format!("{CHOSEN}g{}", id.0.simple())
}

fn of_place(place: &str) -> String {
    format!("{CHOSEN}l{}", one_token(place))
}

fn of_mode(mode: &Mode) -> String {
    format!("{CHOSEN}m{}", one_token(&mode.0))
}

fn of_proof(proof: CameTo) -> String {
    let letter = match proof {
        CameTo::Proven => 'y',
        CameTo::SomethingWrong => 'w',
        CameTo::NotProven => 'n',
    };
    format!("{CHOSEN}r{letter}")
}

fn of_state(state: State) -> String {
    let letter = match state {
        State::Open => 'o',
        State::Finished => 'f',
        State::EndedEarly => 'e',
    };
    format!("{CHOSEN}s{letter}")
}

fn of_overridden(overridden: bool) -> String {
    format!("{CHOSEN}h{}", if overridden { 'y' } else { 'n' })
}

/// A name as one token, without case and marks; what would part it is a dot.
fn one_token(name: &str) -> String {
    let name: String = folded(name).trim().chars().take(LONGEST_NAME).collect();
    name.chars().map(|c| if c.is_ascii() && !c.is_ascii_alphanumeric() { '·' } else { c }).collect()
}

/// What is typed and chosen as a full-text question: each typed word quoted, its beginning is enough. Empty when nothing
/// was asked for that has no index of its own; nothing when what was typed has no word in it, so that no line can have it.
fn question(find: &Find) -> Option<String> {
    // At most twelve words: more of them narrow nothing and only cost time.
    let mut asked: Vec<String> = tokens(&find.words)
        .into_iter()
        .take(12)
        .map(|word| format!("\"{}\"*", word.chars().take(LONGEST_WORD).collect::<String>()))
        .collect();
    if asked.is_empty() && !find.words.trim().is_empty() {
        return None;
    }
    let chosen = |token: String| format!("\"{token}\"");
    asked.extend(find.place.as_deref().map(of_place).map(chosen));
    asked.extend(find.mode.as_ref().map(of_mode).map(chosen));
    asked.extend(find.proof.map(of_proof).map(chosen));
    asked.extend(find.state.map(of_state).map(chosen));
    asked.extend(find.overridden.map(of_overridden).map(chosen));
    if !asked.is_empty() {
        asked.extend(find.pickup.map(of_pickup).map(chosen));
        asked.extend(find.guitar.map(of_guitar).map(chosen));
    }
    Some(asked.join(" AND "))
}

/// The words of a text as they are looked for: without case, accents and other marks, whatever the script.
///
/// Done here and not by SQLite's tokenizer, which splits some scripts inside a word; so both sides are sure to agree,
/// and a token is never more than one to SQLite.
fn tokens(text: &str) -> Vec<String> {
    folded(text).split(|c: char| !c.is_alphanumeric()).filter(|token| !token.is_empty()).map(str::to_owned).collect()
}

fn folded(text: &str) -> String {
    text.nfkd().flat_map(char::to_lowercase).filter(|c| !is_combining_mark(*c)).collect()
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
        let asked = question(&Find {
            words: "tin".to_owned(),
            place: Some("a \"b".to_owned()),
            mode: Some(Mode::new("series")),
            proof: Some(CameTo::SomethingWrong),
            state: Some(State::EndedEarly),
            overridden: Some(true),
            ..Find::default()
        });
        let whole = r#""tin"* AND "§la··b" AND "§mseries" AND "§rw" AND "§se" AND "§hy""#;
        assert_eq!(asked.as_deref(), Some(whole));
        assert_eq!(tokens("§lneck §sf"), ["lneck", "sf"]);
    }
}
