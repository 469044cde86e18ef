//! Ohms as people write them.

use super::{Ohms, Reading, Unclear, decimal, short, tidy};

/// The largest resistance a bench meter is asked about, in ohms: past it, a meter says over-limit.
const LARGEST_OHMS: f64 = 1e9;
/// What is named when a reading is not clear.
const WHAT: &str = "a reading";
const EXAMPLE: &str = "6.66k or OL";

/// Reads an ohms reading as people write it: `6.66k`, `6k66`, `6,66 kΩ`, `6660`, `1M0`, `R47`, `OL`; in the digits of any
/// script.
///
/// A letter in the place of the point is IEC 60062 notation. A comma is a decimal comma, unless three digits follow
/// and neither k nor M says which is meant.
///
/// # Errors
/// [`Unclear`] for anything else: words, a negative value, `m` for a prefix, more than 1 GΩ.
///
/// ```
/// use solderlast_record::quantity::{read_ohms, Ohms, Reading};
/// assert_eq!(read_ohms("6k66").unwrap(), Reading::Ohms(Ohms(6660.0)));
/// assert_eq!(read_ohms("1,847 k").unwrap(), Reading::Ohms(Ohms(1847.0)));
/// assert_eq!(read_ohms("OL").unwrap(), Reading::OverLimit);
/// assert!(read_ohms("6.66 mΩ").is_err());
/// ```
pub fn read_ohms(typed: &str) -> Result<Reading, Unclear> {
    written(typed).map(|written| written.map_or(Reading::OverLimit, |(ohms, _)| Reading::Ohms(Ohms(ohms))))
}

/// How much the last digit of a reading stands for, as it was typed: 10 Ω for `2.00k`, 1 Ω for `2.000k`. Zeros at the end
/// of a number without a point may stand for nothing, so `2000` tells no more than 1 kΩ. Nothing for over-limit and for what
/// can't be read.
///
/// ```
/// use solderlast_record::quantity::{last_digit, Ohms};
/// assert_eq!(last_digit("2.00k"), Some(Ohms(10.0)));
/// assert_eq!(last_digit("OL"), None);
/// ```
#[must_use]
pub fn last_digit(typed: &str) -> Option<Ohms> {
    written(typed).ok().flatten().map(|(_, digit)| Ohms(digit))
}

/// The resistance and how much its last digit stands for; nothing for over-limit.
fn written(typed: &str) -> Result<Option<(f64, f64)>, Unclear> {
    let text = tidy(typed, WHAT, EXAMPLE)?;
    let bare: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    if matches!(
        bare.to_lowercase().as_str(),
        "ol" | "0l" | "o.l" | "o.l." | "0.l" | "0.l." | "over" | "overlimit" | "open"
    ) {
        return Ok(None);
    }
    // The ohm sign U+2126 and the Greek capital letter are the same thing to a person; "ohm" too.
    let mut number = bare.replace('\u{2126}', "Ω");
    for ending in ["Ω", "ohms", "ohm", "Ohms", "Ohm", "OHM"] {
        if let Some(rest) = number.strip_suffix(ending) {
            number = rest.to_owned();
            break;
        }
    }
    let letters: Vec<(usize, char)> = number.char_indices().filter(|(_, c)| c.is_alphabetic()).collect();
    let (number, factor) = match letters.as_slice() {
        [] => (number, 1.0),
        [(at, letter)] => {
            let factor = factor(*letter)?;
            let (before, after) = (&number[..*at], &number[at + letter.len_utf8()..]);
            let digits_only = |s: &str| s.chars().all(|c| c.is_ascii_digit());
            if after.is_empty() {
                // With a k or an M nobody writes thousands apart: 1,847k is 1.847k.
                (if factor > 1.0 { before.replacen(',', ".", 1) } else { before.to_owned() }, factor)
            } else if digits_only(before) && digits_only(after) {
                // Letter for the point: 4K7, R47, 1M0.
                (format!("{}.{after}", if before.is_empty() { "0" } else { before }), factor)
            } else {
                return Err(Unclear::new("That mixes a point and a letter. Write 6.66k or 6k66."));
            }
        }
        _ => {
            return Err(Unclear::new(format!(
                "“{}” is not a reading. Write it like 6.66k, or OL when the meter is over its limit.",
                short(&text)
            )));
        }
    };
    let ohms = decimal(&number, WHAT, EXAMPLE)? * factor;
    if ohms > LARGEST_OHMS {
        return Err(Unclear::new("No bench meter reads that much. Write OL when the meter is over its limit."));
    }
    let places = match number.find(['.', ',']) {
        Some(point) => -(number.len() as f64 - point as f64 - 1.0),
        None => (number.len() - number.trim_end_matches('0').len()) as f64,
    };
    Ok(Some((ohms, factor * 10_f64.powf(places))))
}

fn factor(letter: char) -> Result<f64, Unclear> {
    match letter {
        'k' | 'K' | '\u{212A}' => Ok(1e3),
        'M' => Ok(1e6),
        'r' | 'R' => Ok(1.0),
        'm' => Err(Unclear::new(
            "A small m means thousandths of an ohm, which no coil has. Write M for megohm, k for kilohm.",
        )),
        'e' | 'E' => Err(Unclear::new("Write the reading as the meter shows it, like 6.66k, not with an exponent.")),
        other => Err(Unclear::new(format!(
            "“{other}” is not a unit of resistance. Write k for kilohm, M for megohm, or OL."
        ))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_as_people_write_them() {
        for (typed, ohms, shown) in [
            ("6.66k", 6660.0, "6.66 kΩ"),
            ("6,66k", 6660.0, "6.66 kΩ"),
            ("6k66", 6660.0, "6.66 kΩ"),
            ("6.66 kΩ", 6660.0, "6.66 kΩ"),
            ("6.66 k\u{2126}", 6660.0, "6.66 kΩ"),
            ("6660", 6660.0, "6.66 kΩ"),
            ("6660 ohm", 6660.0, "6.66 kΩ"),
            ("3.334k", 3334.0, "3.334 kΩ"),
            ("13.34K", 13340.0, "13.34 kΩ"),
            ("4K7", 4700.0, "4.7 kΩ"),
            ("R47", 0.47, "0.47 Ω"),
            ("1M0", 1e6, "1 MΩ"),
            ("1M", 1e6, "1 MΩ"),
            ("0", 0.0, "0 Ω"),
            ("0.3", 0.3, "0.3 Ω"),
            (".3", 0.3, "0.3 Ω"),
            ("999.96", 999.96, "1 kΩ"),
            ("1,847 k", 1847.0, "1.847 kΩ"),
            ("13,346kΩ", 13_346.0, "13.35 kΩ"),
            ("1,002M", 1.002e6, "1.002 MΩ"),
            ("٦٫٦٦ k", 6660.0, "6.66 kΩ"),
            ("६.६६k", 6660.0, "6.66 kΩ"),
            ("६६६०", 6660.0, "6.66 kΩ"),
            ("６．６６ｋ", 6660.0, "6.66 kΩ"),
        ] {
            assert_eq!(read_ohms(typed), Ok(Reading::Ohms(Ohms(ohms))), "{typed}");
            assert_eq!(Ohms(ohms).shown(), shown, "{typed}");
        }
        for typed in ["OL", "ol", "0L", "O.L", "0.L", " OL "] {
            assert_eq!(read_ohms(typed), Ok(Reading::OverLimit), "{typed}");
        }
    }

    #[test]
    fn readings_nobody_can_mean() {
        for (typed, part) in [
            ("", "Nothing was typed"),
            ("   ", "Nothing was typed"),
            ("six", "not a reading"),
            ("k", "no number"),
            ("-6.66k", "below zero"),
            ("−6.66k", "below zero"),
            ("1e99", "exponent"),
            ("NaN", "not a reading"),
            ("inf", "not a reading"),
            ("6.66mΩ", "M for megohm"),
            ("6.6k6", "mixes"),
            ("6..6", "more than one"),
            ("1,234.5", "more than one"),
            ("6,660", "could be"),
            ("6\u{0}6", "can't be seen"),
            ("\u{202E}66.6", "can't be seen"),
            ("六", "not a unit"),
            ("2000M", "No bench meter"),
        ] {
            let Err(unclear) = read_ohms(typed) else { unreachable!("{typed:?} was read") };
            assert!(unclear.sentence.contains(part), "{typed:?}: {}", unclear.sentence);
        }
        let Err(unclear) = read_ohms(&"9".repeat(10_000_000)) else { unreachable!("ten megabytes were read") };
        assert!(unclear.sentence.contains("too long"));
    }

    #[test]
    fn how_much_the_last_digit_stands_for() {
        for (typed, digit) in [
            ("2.00k", 10.0),
            ("2.000k", 1.0),
            ("1,99k", 10.0),
            ("6k66", 10.0),
            ("6.7k", 100.0),
            ("6660", 10.0),
            ("6661", 1.0),
            ("2000", 1000.0),
            ("13.34 kΩ", 10.0),
            ("0.3", 0.1),
            ("1M0", 1e5),
        ] {
            assert!(last_digit(typed).is_some_and(|found| (found.0 / digit - 1.0).abs() < 1e-9), "{typed}");
        }
        assert_eq!([last_digit("OL"), last_digit("six"), last_digit("")], [None; 3]);
    }
}
