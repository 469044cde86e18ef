//! Slips of the pen: a k left out, a letter or a point in the wrong place, a digit doubled, a lone 1 for over limit. Asked
//! about before anything is made of a value that does not fit, wherever a resistance is typed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{NO_COIL_ABOVE, SHORT_BELOW};
use crate::record::quantity::{Ohms, Reading, in_ascii, read_ohms};

/// What a coil has, or two of them, where nothing is known of it (common practice), in ohms.
pub const COIL: (f64, f64) = (500.0, 60_000.0);
/// What a pot has (common practice), in ohms.
pub const POT: (f64, f64) = (10e3, 10e6);
/// A meter of up to so many counts shows a lone 1 when it is over its limit.
const LONE_ONE_UP_TO: f64 = 2100.0;

/// A question about something typed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/meter.ts")]
pub struct Slip {
    /// The question, with what to write if it was one.
    pub sentence: String,
    /// What to write instead: `6.66k` or `OL`.
    pub instead: String,
}

/// Asks about a value that lies outside what can be here, `plausible` in ohms, where a slip would bring it there. `counts`
/// are those of the meter ([`crate::record::claim::Meter::most_counts`]). Nothing for a value that is plausible, or that no slip explains.
///
/// ```
/// use solderlast_physics::meter::slip;
/// let asked = slip("6.66", (6000.0, 7500.0), 4000.0).unwrap();
/// assert_eq!(asked.instead, "6.66k");
/// assert_eq!(slip("6.9k", (6000.0, 7500.0), 4000.0), None);
/// ```
#[must_use]
pub fn slip(typed: &str, plausible: (f64, f64), counts: f64) -> Option<Slip> {
    let Ok(Reading::Ohms(Ohms(ohms))) = read_ohms(typed) else { return None };
    let fits = |ohms: f64| (plausible.0..=plausible.1).contains(&ohms);
    if fits(ohms) {
        return None;
    }
    let text: String = in_ascii(typed).chars().filter(|c| !c.is_whitespace()).collect();
    let number = text.trim_end_matches(|c: char| c.is_alphabetic());
    if number == "1" && ohms < SHORT_BELOW && counts <= LONE_ONE_UP_TO {
        let sentence = "A lone 1 at the left, with nothing after it, means over limit on this meter. Then write OL.";
        return Some(Slip { sentence: sentence.to_owned(), instead: "OL".to_owned() });
    }
    let shown = Ohms(ohms).shown();
    let mut found = candidates(number, &text, ohms).into_iter();
    let (kind, instead) =
        found.find(|(_, instead)| matches!(read_ohms(instead), Ok(Reading::Ohms(Ohms(other))) if fits(other)))?;
    let sentence = match kind {
        Kind::NoLetter if ohms < SHORT_BELOW => {
            format!("{shown} or {}? A coil has some kilohms.", shown.replace(" Ω", " kΩ"))
        }
        Kind::NoLetter => format!("{shown} is far too little here. Does the meter show a k? Then type {instead}."),
        Kind::Letter => format!("{shown} is far too much here. Look at the letter on the meter: is it {instead}?"),
        Kind::Point => format!("{shown} does not fit here. Look where the point stands: is it {instead}?"),
        Kind::Doubled => format!("{shown} does not fit here. Was a digit typed twice? Then type {instead}."),
    };
    Some(Slip { sentence, instead })
}

/// As [`slip`], for a coil of which nothing is known; also asks about what is too little for a coil and no slip explains. It
/// may be so, with a short, and is not refused.
#[must_use]
pub fn too_little_or_much(typed: &str, plausible: Option<(f64, f64)>, counts: f64) -> Option<Slip> {
    let Ok(Reading::Ohms(Ohms(ohms))) = read_ohms(typed) else { return None };
    let no_coil = !(SHORT_BELOW..=NO_COIL_ABOVE).contains(&ohms);
    let asked = plausible
        .and_then(|plausible| slip(typed, plausible, counts))
        .or_else(|| if no_coil { slip(typed, COIL, counts) } else { None });
    let shown = Ohms(ohms).shown();
    let no_slip = |sentence: String| Some(Slip { sentence, instead: String::new() });
    match asked {
        Some(asked) => Some(asked),
        None if ohms < SHORT_BELOW => no_slip(format!("{shown}? A coil has some kilohms. None at all is a short.")),
        None if ohms > NO_COIL_ABOVE => {
            no_slip(format!("{shown}? No pickup coil has that much. Look at the letter and the point."))
        }
        None => None,
    }
}

/// What may have been meant, in words: which slip it was.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    NoLetter,
    Letter,
    Point,
    Doubled,
}

/// What may have been meant, the commonest slip first.
fn candidates(number: &str, text: &str, ohms: f64) -> Vec<(Kind, String)> {
    let letter = text.chars().find(|c| matches!(c, 'k' | 'K' | '\u{212A}' | 'M'));
    let mut found = Vec::new();
    // A letter in the place of the point keeps it: 6k66 is 6.66 with a k.
    let number = if number.chars().any(char::is_alphabetic) {
        number.replace(['k', 'K', 'M', 'R', 'r'], ".")
    } else {
        number.to_owned()
    };
    match letter {
        None => found.push((Kind::NoLetter, format!("{number}k"))),
        Some('M') => found.push((Kind::Letter, format!("{number}k"))),
        Some(_) => {}
    }
    for power in [1, 2, -1] {
        let moved = Ohms(ohms / 10_f64.powi(power));
        found.push((Kind::Point, moved.shown().replace(" kΩ", "k").replace(" MΩ", "M").replace(" Ω", "")));
    }
    let digits: Vec<char> = number.chars().collect();
    let after = letter.map(String::from).unwrap_or_default();
    for at in (1..digits.len()).filter(|at| digits[*at] == digits[*at - 1] && digits[*at].is_ascii_digit()) {
        let mut once = digits.clone();
        once.remove(at);
        found.push((Kind::Doubled, format!("{}{after}", once.into_iter().collect::<String>())));
    }
    if matches!(letter, Some('k' | 'K' | '\u{212A}')) {
        found.push((Kind::Letter, number));
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_at_every_size() {
        let about = |ohms: f64| (ohms * 0.85, ohms * 1.15);
        for (typed, ohms, instead) in [
            ("6.66", 6660.0, "6.66k"),
            ("6,66", 6660.0, "6,66k"),
            ("666", 666_000.0, "666k"),
            ("13.34", 13_340.0, "13.34k"),
            ("٦٫٦٦", 6660.0, "6.66k"),
            ("6.66M", 6660.0, "6.66k"),
            ("6M66", 6660.0, "6.66k"),
            ("666k", 6660.0, "6.66k"),
            ("66.6k", 6660.0, "6.66k"),
            ("1334k", 13_340.0, "13.34k"),
            ("0.666k", 6660.0, "6.66k"),
            ("113.4k", 13_400.0, "13.4k"),
            ("66.66k", 6660.0, "6.666k"),
            ("6660k", 6660.0, "6660"),
        ] {
            let asked = slip(typed, about(ohms), 4000.0);
            assert_eq!(asked.as_ref().map(|asked| asked.instead.as_str()), Some(instead), "{typed} {asked:?}");
        }
        for (typed, ohms) in
            [("6.66k", 6660.0), ("6.9k", 6660.0), ("9.1k", 6660.0), ("OL", 6660.0), ("0", 6660.0), ("", 6660.0)]
        {
            assert_eq!(slip(typed, about(ohms), 4000.0), None, "{typed}");
        }
        // A lone 1 on a meter of 1999 counts is over limit.
        assert_eq!(slip("1", about(6660.0), 2000.0).map(|asked| asked.instead), Some("OL".to_owned()));
        assert_eq!(slip("1", about(1000.0), 4000.0).map(|asked| asked.instead), Some("1k".to_owned()));
    }

    #[test]
    fn what_no_coil_has_is_asked_about() {
        for (typed, part) in [
            ("6.66", "6.66 Ω or 6.66 kΩ?"),
            ("6.66M", "is it 6.66k"),
            ("666k", "is it 6.66k"),
            ("0", "is a short"),
            ("0.2", "is a short"),
            ("40M", "is it 40k"),
            ("900M", "No pickup coil"),
        ] {
            let asked = too_little_or_much(typed, None, 4000.0).map(|asked| asked.sentence).unwrap_or_default();
            assert!(asked.contains(part), "{typed}: {asked}");
        }
        for typed in ["6.66k", "100", "90k", "OL", "six"] {
            assert_eq!(too_little_or_much(typed, None, 4000.0), None, "{typed}");
        }
        assert!(too_little_or_much("1", None, 1999.0).is_some_and(|asked| asked.instead == "OL"));
    }
}
