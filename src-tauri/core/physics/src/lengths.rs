//! Lengths at a guitar, and slips of the pen in them: a point in the wrong place, inches for millimetres or the other way round.
//! Asked about while they are typed, before anything is made of them.

use crate::meter::Slip;
use crate::record::quantity::{LengthUnit, MILLIMETRES_PER_INCH, Millimetres, in_ascii, read_length};
use crate::record::words::Unclear;

/// What a length of some kind can be.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Span {
    /// The least and the most it is (common practice), in millimetres.
    pub usual: (f64, f64),
    /// Amid them, by ratio: of two that may have been meant, the one nearer to this is likelier.
    pub middle: f64,
    /// How much less likely a point in another place is here than the other unit: nearly as likely for what is short.
    pub moved: f64,
    /// Where it lies, after the length in a sentence.
    pub at: &'static str,
}

/// Between a pole and a string.
pub const GAP: Span = Span { usual: (0.4, 8.0), middle: 2.0, moved: 0.0, at: "between pole and string" };
/// Between the last fret and an open string.
pub const HEIGHT: Span = Span { usual: (0.4, 8.0), middle: 2.0, moved: 0.0, at: "between fret and string" };
/// A scale: from a child's guitar to a long bass.
pub const SCALE: Span = Span { usual: (400.0, 920.0), middle: 640.0, moved: 0.5, at: "from nut to saddle" };
/// From the saddle to a pole line.
pub const PLACE: Span = Span { usual: (12.0, 330.0), middle: 90.0, moved: 0.5, at: "from the saddle" };
/// A side of a pickup or of an opening, or what lies between two pole lines.
pub const SIZE: Span = Span { usual: (5.0, 130.0), middle: 40.0, moved: 0.5, at: "at a pickup or its opening" };
/// From the first to the last of strings, poles or studs.
pub const SPREAD: Span = Span { usual: (25.0, 200.0), middle: 52.0, moved: 0.5, at: "from the first to the last" };
/// What a stud rises with one turn.
pub const PITCH: Span = Span { usual: (0.2, 3.0), middle: 0.7, moved: 0.5, at: "for one turn" };
/// How far a stud stands out.
pub const TRAVEL: Span = Span { usual: (0.0, 60.0), middle: 12.0, moved: 0.5, at: "for a stud" };

/// Reads a length of this kind. Where lengths go by 64ths of an inch, a bare whole number is 64ths if that can be here, else inches if
/// these can, else what lies nearer to what can be; of what can be both, [`length_slip`] asks.
///
/// # Errors
/// Those of [`read_length`].
///
/// ```
/// use solderlast_physics::lengths::{GAP, SIZE, read_length_of};
/// use solderlast_record::quantity::{LengthUnit::Sixtyfourth, Millimetres};
/// assert_eq!(read_length_of("2", Sixtyfourth, &SIZE), Ok(Millimetres(50.8)));
/// assert_eq!(read_length_of("32", Sixtyfourth, &SIZE), Ok(Millimetres(12.7)));
/// assert_eq!(read_length_of("8", Sixtyfourth, &GAP), Ok(Millimetres(3.175)));
/// ```
pub fn read_length_of(typed: &str, unit: LengthUnit, span: &Span) -> Result<Millimetres, Unclear> {
    match whole(typed, unit) {
        Some([parts, inches]) if span.takes_for_inches(parts, inches) => Ok(inches),
        Some(_) | None => read_length(typed, unit),
    }
}

/// A bare whole number as 64ths and as inches, where lengths go by 64ths.
fn whole(typed: &str, unit: LengthUnit) -> Option<[Millimetres; 2]> {
    let digits = in_ascii(typed.trim());
    if unit != LengthUnit::Sixtyfourth || digits.is_empty() || !digits.chars().all(|c| c.is_ascii_digit()) {
        return None;
    }
    Some([read_length(&digits, LengthUnit::Sixtyfourth).ok()?, read_length(&digits, LengthUnit::DecimalInch).ok()?])
}

/// Asks about a length that lies outside what it can be, where a slip would bring it there. A bare number is of `unit`. Nothing for a
/// length that is usual, or that no slip explains.
///
/// ```
/// use solderlast_physics::lengths::{GAP, SCALE, length_slip};
/// use solderlast_record::quantity::LengthUnit;
/// let meant = |typed, unit, span| length_slip(typed, unit, &span).map(|asked| asked.instead);
/// assert_eq!(meant("2.4", LengthUnit::DecimalInch, GAP).as_deref(), Some("2.4 mm"));
/// assert_eq!(meant("25.5", LengthUnit::Millimetre, SCALE).as_deref(), Some("25.5 in"));
/// assert_eq!(meant("2.4", LengthUnit::Millimetre, GAP), None);
/// ```
#[must_use]
pub fn length_slip(typed: &str, unit: LengthUnit, span: &Span) -> Option<Slip> {
    // Nothing where it is too long to be read at all.
    let length = read_length_of(typed, unit, span).ok().map(|Millimetres(length)| length);
    let text = in_ascii(typed).to_lowercase();
    let number = text
        .trim()
        .trim_end_matches(|c: char| c.is_alphabetic() || matches!(c, '"' | '\'' | ' ' | '\u{201D}' | '\u{2033}'));
    let value = number.replace(',', ".").parse::<f64>().ok();
    // A whole number that can be 64ths and inches here.
    if let Some([parts, inches]) = whole(typed, unit)
        && inches.0 > 0.0
        && span.holds(parts.0)
        && span.holds(inches.0)
    {
        let instead = format!("{} in", trimmed(inches.inches(), 4));
        return Some(Slip { sentence: format!("{} {}, or {instead}?", parts.shown(unit), span.at), instead });
    }
    if length.is_some_and(|length| span.holds(length)) {
        return None;
    }
    let written = |millimetres: f64, inches: bool| {
        if inches {
            format!("{} in", trimmed(millimetres / MILLIMETRES_PER_INCH, 4))
        } else {
            format!("{} mm", trimmed(millimetres, 3))
        }
    };
    // What may have been meant, with how much less likely it is than the same figures in the other unit.
    let mut meant: Vec<(f64, f64, String)> = Vec::new();
    if let Some(value) = value.filter(|value| *value > 0.0) {
        meant.push((value, 0.0, written(value, false)));
        meant.push((value * MILLIMETRES_PER_INCH, 0.0, written(value * MILLIMETRES_PER_INCH, true)));
    }
    // The unit that was written stays, and only the point moves; thousandths of an inch are spoken of as whole numbers.
    if let Some(length) = length {
        let inches = (length - value.unwrap_or(length)).abs() > 1e-9;
        let moves =
            [(10.0, 0.3), (0.1, 0.3), (100.0, 0.9), (0.01, 0.9)].into_iter().chain(inches.then_some((0.001, 0.5)));
        meant.extend(moves.map(|(by, less)| (length * by, less + span.moved, written(length * by, inches))));
    }
    let far = |millimetres: f64, less: f64| (millimetres / span.middle).ln().abs() + less;
    let likeliest = meant
        .into_iter()
        .filter(|(millimetres, ..)| {
            *millimetres > 0.0
                && span.holds(*millimetres)
                && length.is_none_or(|length| (millimetres - length).abs() > 1e-9)
        })
        .min_by(|one, other| far(one.0, one.1).total_cmp(&far(other.0, other.1)));
    let shown = length.map_or_else(|| typed.trim().to_owned(), |length| Millimetres(length).shown(unit));
    likeliest.map(|(.., instead)| Slip { sentence: format!("{shown} {}, or {instead}?", span.at), instead })
}

/// Asks about a length that is out of what is usual and that no slip explains, too.
#[must_use]
pub fn length_asked(typed: &str, unit: LengthUnit, span: &Span) -> Option<Slip> {
    length_slip(typed, unit, span).or_else(|| {
        let length = read_length_of(typed, unit, span).ok().filter(|length| !span.holds(length.0))?;
        let sentence = format!("{} {}? Look at the point and the unit.", length.shown(unit), span.at);
        Some(Slip { sentence, instead: String::new() })
    })
}

impl Span {
    fn takes_for_inches(&self, parts: Millimetres, inches: Millimetres) -> bool {
        let far = |length: Millimetres| (length.0 / self.middle).ln().abs();
        match (self.holds(parts.0), self.holds(inches.0)) {
            (true, _) => false,
            (false, true) => true,
            (false, false) => far(inches) < far(parts),
        }
    }

    fn holds(&self, millimetres: f64) -> bool {
        (self.usual.0 - 1e-9..=self.usual.1 + 1e-9).contains(&millimetres)
    }
}

fn trimmed(number: f64, decimals: usize) -> String {
    format!("{number:.decimals$}").trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::LengthUnit::{DecimalInch, Millimetre, Sixtyfourth};
    use super::*;

    fn asked(typed: &str, unit: LengthUnit, span: &Span) -> Option<String> {
        length_asked(typed, unit, span).map(|asked| asked.instead)
    }

    #[test]
    fn slips_of_gaps() {
        for (typed, unit, instead) in [
            ("24", Millimetre, "2.4 mm"),
            ("0.24", Millimetre, "2.4 mm"),
            ("240", Millimetre, "2.4 mm"),
            ("0,094", Millimetre, "0.094 in"),
            (".09", Millimetre, "0.09 in"),
            ("2.4", DecimalInch, "2.4 mm"),
            ("2,4 in", Millimetre, "2.4 mm"),
            ("2.4\"", Millimetre, "2.4 mm"),
            ("0.9", DecimalInch, "0.09 in"),
            (".94", DecimalInch, "0.094 in"),
            ("94", DecimalInch, "0.094 in"),
            ("3000 mm", Millimetre, ""),
            ("2.4", Sixtyfourth, "2.4 mm"),
            ("0.09 mm", DecimalInch, "0.09 in"),
        ] {
            assert_eq!(asked(typed, unit, &GAP).as_deref(), Some(instead), "{typed} {unit:?}");
        }
        for (typed, unit) in [
            ("2.4", Millimetre),
            ("3/32\"", Millimetre),
            ("3/32", DecimalInch),
            (".094", DecimalInch),
            ("6", Sixtyfourth),
            ("6/64", Sixtyfourth),
            ("4.6 mm", DecimalInch),
            ("", Millimetre),
            ("wide", Millimetre),
        ] {
            assert_eq!(asked(typed, unit, &GAP), None, "{typed} {unit:?}");
        }
    }

    /// Where lengths go by 64ths: what is understood, and what is asked about it.
    #[test]
    fn bare_numbers_where_lengths_go_by_sixtyfourths() {
        for (typed, span, millimetres, instead) in [
            ("2.75", SIZE, 69.85, None),
            ("2,75", SIZE, 69.85, None),
            ("1.5", SIZE, 38.1, None),
            ("3", SIZE, 76.2, None),
            ("3.0", SIZE, 76.2, None),
            ("48", SIZE, 19.05, None),
            ("48/64", SIZE, 19.05, None),
            ("38 mm", SIZE, 38.0, None),
            ("0,08", GAP, 2.032, None),
            (".094", GAP, 2.3876, None),
            ("5", GAP, 1.984_375, None),
            ("5 / 64\"", GAP, 1.984_375, None),
            ("2.4", GAP, 60.96, Some("2.4 mm")),
            ("0.9", GAP, 22.86, Some("0.09 in")),
            ("6", HEIGHT, 2.381_25, None),
            ("0.1", HEIGHT, 2.54, None),
            ("25", SCALE, 635.0, None),
            ("25.5", SCALE, 647.7, None),
            ("25,5", SCALE, 647.7, None),
            ("34", SCALE, 863.6, None),
            ("648", SCALE, 257.175, Some("648 mm")),
            ("6", PLACE, 152.4, None),
            ("1.625", PLACE, 41.275, None),
            ("104", PLACE, 41.275, None),
            ("2", SPREAD, 50.8, None),
            ("2.05", SPREAD, 52.07, None),
            ("132", SPREAD, 52.387_5, None),
            ("2", PITCH, 0.793_75, None),
            ("1/32", PITCH, 0.793_75, None),
            ("0.03", PITCH, 0.762, None),
            ("0.5", TRAVEL, 12.7, None),
            ("32", TRAVEL, 12.7, None),
            ("0", TRAVEL, 0.0, None),
            ("2", TRAVEL, 0.793_75, Some("2 in")),
        ] {
            let read = read_length_of(typed, Sixtyfourth, &span).ok();
            assert!(read.is_some_and(|read| (read.0 - millimetres).abs() < 1e-9), "{typed} {}: {read:?}", span.at);
            assert_eq!(asked(typed, Sixtyfourth, &span).as_deref(), instead, "{typed} {}", span.at);
        }
        // What is offered instead is asked about no more.
        assert_eq!(asked("2 in", Sixtyfourth, &TRAVEL), None);
    }

    /// What makes sense in one unit alone is offered in it, whatever is measured.
    #[test]
    fn slips_of_other_lengths() {
        for (typed, unit, span, instead) in [
            ("25.5", Millimetre, SCALE, "25.5 in"),
            ("25,5", Millimetre, SCALE, "25.5 in"),
            ("24.75", Millimetre, SCALE, "24.75 in"),
            ("34", Millimetre, SCALE, "34 in"),
            ("64.8", Millimetre, SCALE, "648 mm"),
            ("648", DecimalInch, SCALE, "648 mm"),
            ("648 in", Millimetre, SCALE, "648 mm"),
            ("3000", Millimetre, SCALE, ""),
            ("6.3", Millimetre, PLACE, "6.3 in"),
            ("41", DecimalInch, PLACE, "41 mm"),
            ("2.75", Millimetre, SIZE, "2.75 in"),
            ("0.75", Millimetre, SIZE, "0.75 in"),
            ("38", DecimalInch, SIZE, "38 mm"),
            ("2.05", Millimetre, SPREAD, "2.05 in"),
            ("52", DecimalInch, SPREAD, "52 mm"),
            ("0.7", DecimalInch, PITCH, "0.7 mm"),
            ("12", DecimalInch, TRAVEL, "12 mm"),
        ] {
            assert_eq!(asked(typed, unit, &span).as_deref(), Some(instead), "{typed} {unit:?} {}", span.at);
        }
        for (typed, unit, span) in [
            ("648", Millimetre, SCALE),
            ("25.5 in", Millimetre, SCALE),
            ("25 1/2\"", Millimetre, SCALE),
            ("25.5", DecimalInch, SCALE),
            ("864 mm", DecimalInch, SCALE),
            ("41", Millimetre, PLACE),
            ("1.6", DecimalInch, PLACE),
            ("92", Millimetre, SIZE),
            ("18", Millimetre, SIZE),
            ("52.4", Millimetre, SPREAD),
            ("0.7", Millimetre, PITCH),
            ("0", Millimetre, TRAVEL),
        ] {
            assert_eq!(asked(typed, unit, &span), None, "{typed} {unit:?} {}", span.at);
        }
    }
}
