//! Slips of the pen: a k left out, a letter or a point in the wrong place, a digit doubled, a lone 1 for over limit. Asked
//! about before anything is made of a value that does not fit, wherever a resistance is typed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{LOW_IMPEDANCE_BELOW, NO_COIL_ABOVE, SHORT_BELOW};
use crate::record::quantity::{Ohms, Reading, in_ascii, read_ohms};

/// What a coil has, or two of them, where nothing is known of it (common practice), in ohms.
pub const COIL: (f64, f64) = (500.0, 60_000.0);
/// What one coil of a pickup has in nearly all of them (from memory), in ohms.
pub const USUAL_COIL: (f64, f64) = (1000.0, 25_000.0);
/// More than this is rather stated for two coils in series than for one of them (common practice), in ohms.
const RATHER_BOTH: f64 = 7000.0;
/// What a pot has (common practice), in ohms.
pub const POT: (f64, f64) = (10e3, 10e6);
/// How many places letter and point together can be off: six from none to M, and three more.
const PLACES: i32 = 9;
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

/// As [`slip`], for what is typed beside something expected: letter and point may be wrong together. Asked only where what can be
/// here is narrow enough that one place of the point is left.
///
/// ```
/// use solderlast_physics::meter::slip_by_letter_and_point;
/// let asked = slip_by_letter_and_point("61.5", (5600.0, 6800.0), 4000.0).unwrap();
/// assert_eq!(asked.instead, "6.15k");
/// ```
#[must_use]
pub fn slip_by_letter_and_point(typed: &str, plausible: (f64, f64), counts: f64) -> Option<Slip> {
    if let Some(asked) = slip(typed, plausible, counts) {
        return Some(asked);
    }
    let Ok(Reading::Ohms(Ohms(ohms))) = read_ohms(typed) else { return None };
    let fits = |ohms: f64| (plausible.0..=plausible.1).contains(&ohms);
    if fits(ohms) || ohms <= 0.0 || plausible.1 >= plausible.0 * 10.0 {
        return None;
    }
    let powers = (-PLACES..=PLACES).filter(|power| *power != 0);
    let instead = powers
        .map(|power| as_typed(Ohms(ohms * 10_f64.powi(power))))
        .find(|instead| matches!(read_ohms(instead), Ok(Reading::Ohms(Ohms(other))) if fits(other)))?;
    let shown = Ohms(ohms).shown();
    let sentence = format!("{shown} does not fit here. Look at the letter and the point: is it {instead}?");
    Some(Slip { sentence, instead })
}

/// As somebody types it: `6.66k`.
fn as_typed(ohms: Ohms) -> String {
    ohms.shown().replace(" kΩ", "k").replace(" MΩ", "M").replace(" Ω", "")
}

/// As [`slip_by_letter_and_point`], for a coil of which nothing may be known; also asks about what is too little for a coil and no
/// slip explains. It may be so, with a short, and is not refused.
#[must_use]
pub fn too_little_or_much(typed: &str, plausible: Option<(f64, f64)>, counts: f64) -> Option<Slip> {
    let Ok(Reading::Ohms(Ohms(ohms))) = read_ohms(typed) else { return None };
    if plausible.is_some_and(|(low, high)| (low..=high).contains(&ohms)) {
        return None;
    }
    let no_coil = !(SHORT_BELOW..=NO_COIL_ABOVE).contains(&ohms);
    // Where something is expected, another coil's value is no answer.
    let asked = match plausible {
        Some(plausible) => slip_by_letter_and_point(typed, plausible, counts),
        None if no_coil => slip(typed, COIL, counts),
        None => None,
    };
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

/// Whether what is stated for a coil is to be doubted before a meter is. Coils of low impedance are a kind of their own.
#[must_use]
pub fn is_doubtful(stated: Ohms) -> bool {
    stated.0 > USUAL_COIL.1 || (LOW_IMPEDANCE_BELOW..USUAL_COIL.0).contains(&stated.0)
}

/// Asks about what is stated for one coil: a slip, or more than such a coil has.
#[must_use]
pub fn stated_too_little_or_much(typed: &str, counts: f64) -> Option<Slip> {
    let Ok(Reading::Ohms(stated)) = read_ohms(typed) else { return None };
    if !is_doubtful(stated) || stated.0 > NO_COIL_ABOVE {
        return too_little_or_much(typed, None, counts);
    }
    let than = if stated.0 > USUAL_COIL.1 { "more" } else { "less" };
    let instead = slip(typed, USUAL_COIL, counts).map(|asked| asked.instead).unwrap_or_default();
    let sentence =
        format!("{}? That is {than} than one coil of a pickup has. Look at the letter and the point.", stated.shown());
    Some(Slip { sentence, instead })
}

/// Asks whether what is stated for one of two coils, and nothing for the other, is of both in series, as sellers state it. What
/// to write instead is then for each of them: `4.05 kΩ each`.
#[must_use]
pub fn stated_of_both(typed: &str) -> Option<Slip> {
    let Ok(Reading::Ohms(stated)) = read_ohms(typed) else { return None };
    let half = Ohms(stated.0 / 2.0).shown();
    ((RATHER_BOTH..=2.0 * USUAL_COIL.1).contains(&stated.0)).then(|| Slip {
        sentence: format!(
            "Is that the whole pickup, both coils in series? Then each coil has {half}, half of {}.",
            stated.shown()
        ),
        instead: format!("{half} each"),
    })
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
        found.push((Kind::Point, as_typed(Ohms(ohms / 10_f64.powi(power)))));
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
    fn what_is_stated_for_a_coil_is_asked_about_beyond_what_coils_have() {
        let asked = |typed: &str| stated_too_little_or_much(typed, 4000.0).map(|asked| asked.instead);
        assert_eq!(asked("59k"), Some("5.9k".to_owned()));
        for usual in ["3.3k", "6.66k", "8.1k", "14k", "24k"] {
            assert_eq!(asked(usual), None, "{usual}");
        }
        for (typed, each) in
            [("8.1k", Some("4.05 kΩ each")), ("16k", Some("8 kΩ each")), ("4.2k", None), ("6.66k", None), ("OL", None)]
        {
            assert_eq!(stated_of_both(typed).map(|asked| asked.instead).as_deref(), each, "{typed}");
        }
        for (ohms, doubtful) in [(59e3, true), (590.0, true), (5900.0, false), (200.0, false), (24e3, false)] {
            assert_eq!(is_doubtful(Ohms(ohms)), doubtful, "{ohms}");
        }
    }

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

    /// Letter and point wrong together, beside what is expected, and never a proposal that would be asked about itself.
    #[test]
    fn letter_and_point_together() {
        for (typed, band, instead) in [
            ("61.5", (5270.0, 7130.0), Some("6.15k")),
            ("82.7", (7600.0, 9000.0), Some("8.27k")),
            ("81", (7000.0, 9200.0), Some("8.1k")),
            ("620k", (5270.0, 7130.0), Some("6.2k")),
            ("0.062", (5270.0, 7130.0), Some("6.2k")),
            ("62M", (5270.0, 7130.0), Some("6.2k")),
            ("6.2k", (5270.0, 7130.0), None),
            ("4.1k", (5270.0, 7130.0), None),
            // A joint may read anything down to nothing: no place of the point is the likelier one.
            ("61.5k", (0.0, 2.0), None),
            ("0", (5270.0, 7130.0), None),
        ] {
            let asked = slip_by_letter_and_point(typed, band, 4000.0);
            assert_eq!(asked.map(|asked| asked.instead).as_deref(), instead, "{typed}");
        }
        // What fits no place of the point is asked about without a proposal, where it is no coil's.
        let asked = too_little_or_much("47", Some((5270.0, 7130.0)), 4000.0);
        assert_eq!(asked.map(|asked| asked.instead).as_deref(), Some(""));
        assert_eq!(too_little_or_much("99k", Some((95e3, 110e3)), 4000.0), None);
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
