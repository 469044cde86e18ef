//! Slips of the pen in a gap: a point in the wrong place, inches for millimetres or the other way round. Asked about while it is
//! typed, before anything is made of it.

use crate::meter::Slip;
use crate::record::quantity::{LengthUnit, MILLIMETRES_PER_INCH, Millimetres, in_ascii, read_length};

/// Between a pole and a string, and between a string and the last fret, there is as much as this (common practice), in millimetres.
pub const USUAL: (f64, f64) = (0.4, 8.0);
/// Amid them, by ratio: of two that may have been meant, the one nearer to this is likelier.
const MIDDLE: f64 = 2.0;

/// Asks about a gap that lies outside what can be between a pole and a string, where a slip would bring it there. A bare number is
/// of `unit`. Nothing for a gap that is usual, or that no slip explains.
///
/// ```
/// use solderlast_physics::gaps::gap_slip;
/// use solderlast_record::quantity::LengthUnit;
/// let asked = gap_slip("2.4", LengthUnit::DecimalInch).unwrap();
/// assert_eq!(asked.instead, "2.4 mm");
/// assert_eq!(gap_slip("2.4", LengthUnit::Millimetre), None);
/// ```
#[must_use]
pub fn gap_slip(typed: &str, unit: LengthUnit) -> Option<Slip> {
    let Millimetres(gap) = read_length(typed, unit).ok()?;
    let text = in_ascii(typed).to_lowercase();
    let number = text
        .trim()
        .trim_end_matches(|c: char| c.is_alphabetic() || matches!(c, '"' | '\'' | ' ' | '\u{201D}' | '\u{2033}'));
    let bare = number.len() == text.trim().len();
    let value = number.replace(',', ".").parse::<f64>().ok();
    // Nobody writes tenths of a sixty-fourth.
    let odd = unit == LengthUnit::Sixtyfourth && bare && value.is_some_and(|value| value.fract() != 0.0);
    if usual(gap) && !odd {
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
    let inches = (gap - value.unwrap_or(gap)).abs() > 1e-9;
    if !odd {
        let moves =
            [(10.0, 0.3), (0.1, 0.3), (100.0, 0.9), (0.01, 0.9)].into_iter().chain(inches.then_some((0.001, 0.5)));
        meant.extend(moves.map(|(by, less)| (gap * by, less, written(gap * by, inches))));
    }
    let far = |millimetres: f64, less: f64| (millimetres / MIDDLE).ln().abs() + less;
    let likeliest = meant
        .into_iter()
        .filter(|(millimetres, ..)| usual(*millimetres) && (millimetres - gap).abs() > 1e-9)
        .min_by(|one, other| far(one.0, one.1).total_cmp(&far(other.0, other.1)));
    let shown = Millimetres(gap).shown(unit);
    likeliest.map(|(.., instead)| Slip {
        sentence: format!("{shown} between pole and string? Is it {instead}? Look at the point and the unit."),
        instead,
    })
}

/// Asks about a gap that is out of what is usual and that no slip explains, too.
#[must_use]
pub fn gap_asked(typed: &str, unit: LengthUnit) -> Option<Slip> {
    gap_slip(typed, unit).or_else(|| {
        let gap = read_length(typed, unit).ok().filter(|gap| !usual(gap.0))?;
        let sentence = format!("{} between pole and string? Look at the point and the unit.", gap.shown(unit));
        Some(Slip { sentence, instead: String::new() })
    })
}

fn usual(millimetres: f64) -> bool {
    (USUAL.0 - 1e-9..=USUAL.1 + 1e-9).contains(&millimetres)
}

fn trimmed(number: f64, decimals: usize) -> String {
    format!("{number:.decimals$}").trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn slips_of_bench_cases() {
        use LengthUnit::{DecimalInch, Millimetre, Sixtyfourth};
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
            let asked = gap_asked(typed, unit).map(|asked| asked.instead);
            assert_eq!(asked.as_deref(), Some(instead), "{typed} {unit:?}");
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
            assert_eq!(gap_asked(typed, unit), None, "{typed} {unit:?}");
        }
    }
}
