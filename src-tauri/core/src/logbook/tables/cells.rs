//! What stands in a cell: numbers bare, and words that no spreadsheet takes for a formula.

use chrono::{DateTime, SecondsFormat, Utc};
use unicode_normalization::UnicodeNormalization as _;

use crate::audition::Audition;
use crate::logbook::line::Line;
use crate::record::entry::Entry;
use crate::record::quantity::Reading;

/// The cells of a reading, after those of its audition.
pub(super) fn cells(
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

pub(super) fn stands(struck: bool, counts: bool) -> &'static str {
    match (struck, counts) {
        (true, _) => "struck out",
        (false, true) => "counts",
        (false, false) => "measured again later",
    }
}

/// The cells that every row of an audition begins with.
pub(super) fn about(line: &Line, audition: &Audition) -> Vec<String> {
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
pub(super) fn guarded(words: &str) -> String {
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

/// A number with a point, to nine digits at the most: no meter and no rule on a bench tells more, and what was reckoned into
/// another unit ends in digits that nobody read.
pub(super) fn number(value: f64) -> String {
    // Through text, so that it is the number nearest to the one that is written.
    format!("{value:.8e}").parse().unwrap_or(value).to_string()
}

pub(super) fn instant(at: DateTime<Utc>) -> String {
    at.to_rfc3339_opts(SecondsFormat::Secs, true)
}
