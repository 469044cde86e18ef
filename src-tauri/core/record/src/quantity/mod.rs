//! Units, and what a person types for them.
//!
//! Every number of the bench has a type that carries its unit, so ohms can't be taken for millimetres. Reading a
//! typed number answers a value or an [`Unclear`] sentence; showing one answers the text a person would write.

mod ohms;
mod scripts;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use ohms::{last_digit, read_ohms};
pub use scripts::in_ascii;

use crate::words::Unclear;

macro_rules! unit {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, Serialize, Deserialize, TS)]
        #[serde(transparent)]
        #[ts(export_to = "contract/quantity.ts")]
        pub struct $name(pub f64);

        impl $name {
            /// The bare number, in this type's unit.
            #[must_use]
            pub fn get(self) -> f64 {
                self.0
            }
        }
    };
}

unit!(
    /// Electrical resistance, in ohms.
    Ohms
);
unit!(
    /// Length, in millimetres.
    Millimetres
);
unit!(
    /// Frequency, in hertz.
    Hertz
);
unit!(
    /// A level or a level difference, in decibels; A-weighted sound pressure where hearing is meant.
    Decibels
);
unit!(
    /// Temperature, in degrees Celsius.
    Celsius
);
unit!(
    /// Capacitance, in farads.
    Farads
);
unit!(
    /// Inductance, in henries.
    Henries
);

/// One inch in millimetres, exactly (NIST SP 811).
pub const MILLIMETRES_PER_INCH: f64 = 25.4;

/// What a meter showed on its ohms range.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/quantity.ts")]
pub enum Reading {
    /// A resistance, in ohms.
    Ohms(Ohms),
    /// The meter showed over-limit: on a coil that means open, or a lead not clamped.
    OverLimit,
}

impl Reading {
    /// The resistance, or nothing when the meter was over its limit.
    #[must_use]
    pub fn ohms(self) -> Option<Ohms> {
        match self {
            Self::Ohms(ohms) => Some(ohms),
            Self::OverLimit => None,
        }
    }

    /// As a person writes it: `6.66 kΩ` or `OL`.
    #[must_use]
    pub fn shown(self) -> String {
        match self {
            Self::Ohms(ohms) => ohms.shown(),
            Self::OverLimit => "OL".to_owned(),
        }
    }
}

/// The unit a person works in for short lengths; a typed length that names its own unit overrides it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/quantity.ts")]
pub enum LengthUnit {
    /// Millimetres.
    #[default]
    Millimetre,
    /// Inches with a decimal point.
    DecimalInch,
    /// Fractions of an inch: a bare whole number is 64ths, one with a point or a comma is inches.
    Sixtyfourth,
}

/// A length in the three ways a bench writes it, so that no page has to convert.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/quantity.ts")]
pub struct Length {
    /// The value, in millimetres.
    pub value: Millimetres,
    /// `2.4 mm`.
    pub millimetre: String,
    /// `0.094 in`.
    pub decimal_inch: String,
    /// `3/32 in`, to the nearest 64th, marked `≈` where that is not exact.
    pub sixtyfourth: String,
}

impl From<Millimetres> for Length {
    fn from(value: Millimetres) -> Self {
        Self {
            value,
            millimetre: value.shown(LengthUnit::Millimetre),
            decimal_inch: value.shown(LengthUnit::DecimalInch),
            sixtyfourth: value.shown(LengthUnit::Sixtyfourth),
        }
    }
}

/// A sentence that tells lengths, as it is told where they go by inches.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/quantity.ts")]
pub struct InInches {
    /// With lengths like `0.094 in`.
    pub decimal_inch: String,
    /// With lengths like `3/32 in`.
    pub sixtyfourth: String,
}

impl InInches {
    /// A sentence in millimetres, and in inches where it tells a length.
    pub fn told(say: impl Fn(LengthUnit) -> String) -> (String, Option<Self>) {
        let words = say(LengthUnit::Millimetre);
        let decimal_inch = say(LengthUnit::DecimalInch);
        let tells_a_length = decimal_inch != words;
        let in_inches = tells_a_length.then(|| Self { decimal_inch, sixtyfourth: say(LengthUnit::Sixtyfourth) });
        (words, in_inches)
    }

    /// The same for a sentence that may be missing.
    pub fn told_if(say: impl Fn(LengthUnit) -> Option<String>) -> (Option<String>, Option<Self>) {
        if say(LengthUnit::Millimetre).is_none() {
            return (None, None);
        }
        let (words, in_inches) = Self::told(|unit| say(unit).unwrap_or_default());
        (Some(words), in_inches)
    }

    /// The same for several sentences, which are as many in each unit; nothing beside them where none tells a length.
    pub fn told_each(say: impl Fn(LengthUnit) -> Vec<String>) -> (Vec<String>, Vec<Option<Self>>) {
        let words = say(LengthUnit::Millimetre);
        let mut beside = say(LengthUnit::DecimalInch).into_iter().zip(say(LengthUnit::Sixtyfourth));
        let in_inches = words
            .iter()
            .map(|words| {
                let (decimal_inch, sixtyfourth) = beside.next()?;
                (decimal_inch != *words).then_some(Self { decimal_inch, sixtyfourth })
            })
            .collect();
        (words, Self::where_told(in_inches))
    }

    /// What stands beside sentences; empty where none of them tells a length.
    #[must_use]
    pub fn where_told(beside: Vec<Option<Self>>) -> Vec<Option<Self>> {
        if beside.iter().any(Option::is_some) { beside } else { Vec::new() }
    }

    /// Several sentences in this unit, one after the other.
    #[must_use]
    pub fn together(words: &[String], beside: &[Option<Self>], unit: LengthUnit) -> String {
        let in_inches = |at: usize| beside.get(at).and_then(Option::as_ref);
        let told = words.iter().enumerate().map(|(at, words)| Self::in_unit(words, in_inches(at), unit));
        told.collect::<Vec<_>>().join(" ")
    }

    /// Words in this unit, out of those in millimetres and what stands beside them.
    #[must_use]
    pub fn in_unit<'a>(words: &'a str, in_inches: Option<&'a Self>, unit: LengthUnit) -> &'a str {
        match (unit, in_inches) {
            (LengthUnit::Millimetre, _) | (_, None) => words,
            (LengthUnit::DecimalInch, Some(told)) => &told.decimal_inch,
            (LengthUnit::Sixtyfourth, Some(told)) => &told.sixtyfourth,
        }
    }
}

/// The most a typed number may be long, in characters.
const LONGEST_NUMBER: usize = 32;
/// A room above this is asked for its unit, up to what a room may have in °F.
const HOTTEST_BARE: f64 = 40.0;
const HOTTEST_FAHRENHEIT: f64 = 140.0;
/// As for any number below zero, where a length is a fraction.
const BELOW_ZERO: &str = "A length can't be below zero.";
/// The largest length on this bench, in millimetres.
const LARGEST_MILLIMETRES: f64 = 3000.0;

impl Ohms {
    /// To four significant digits, with the prefix a meter would use: `0.47 Ω`, `6.66 kΩ`, `1.2 MΩ`.
    #[must_use]
    pub fn shown(self) -> String {
        // Rounding first keeps 999.96 from showing as "1000 Ω" instead of "1 kΩ".
        let rounded = to_significant(self.0, 4);
        let size = rounded.abs();
        let (divisor, unit) = if size >= 1e6 {
            (1e6, "MΩ")
        } else if size >= 1e3 {
            (1e3, "kΩ")
        } else {
            (1.0, "Ω")
        };
        format!("{} {unit}", plain(rounded / divisor, 4))
    }
}

impl Millimetres {
    /// A length given in inches.
    #[must_use]
    pub fn from_inches(inches: f64) -> Self {
        Self(inches * MILLIMETRES_PER_INCH)
    }

    /// This length in inches.
    #[must_use]
    pub fn inches(self) -> f64 {
        self.0 / MILLIMETRES_PER_INCH
    }

    /// As a person writes it in `unit`: a tenth or a hundredth of a millimetre, a thousandth of an inch, or the
    /// nearest 64th in lowest terms; what is too short for a 64th goes by thousandths.
    #[must_use]
    pub fn shown(self, unit: LengthUnit) -> String {
        match unit {
            LengthUnit::Millimetre => format!("{} mm", trimmed(format!("{:.2}", self.0))),
            LengthUnit::DecimalInch => format!("{} in", self.in_decimals(3)),
            LengthUnit::Sixtyfourth => sixtyfourths(self.inches()),
        }
    }

    /// In inches with so many decimals, a half going up: 1/16 is 0.063 wherever it stands.
    #[must_use]
    pub fn in_decimals(self, places: u8) -> String {
        // What was typed as a fraction lies a hair off a half once it was millimetres.
        const HAIR: f64 = 1e-7;
        let times = 10_f64.powi(i32::from(places));
        format!("{:.*}", usize::from(places), (self.inches() * times + HAIR).round() / times)
    }

    /// The same for one that is only estimated, so that a hundredth of a millimetre would say too much.
    #[must_use]
    pub fn about(self, unit: LengthUnit) -> String {
        match unit {
            LengthUnit::Millimetre => Self((self.0 * 10.0).round() / 10.0).shown(unit),
            LengthUnit::DecimalInch | LengthUnit::Sixtyfourth => self.shown(unit),
        }
    }
}

impl Decibels {
    /// To a tenth: `−12.5 dB`.
    #[must_use]
    pub fn shown(self) -> String {
        let rounded = (self.0 * 10.0).round() / 10.0 + 0.0;
        let sign = if rounded < 0.0 { "−" } else { "" };
        format!("{sign}{} dB", trimmed(format!("{:.1}", rounded.abs())))
    }
}

impl Celsius {
    /// `21.5 °C`.
    #[must_use]
    pub fn shown(self) -> String {
        format!("{} °C", trimmed(format!("{:.1}", self.0)))
    }
}

impl Farads {
    /// `470 pF`, `22 nF`, `1 µF`.
    #[must_use]
    pub fn shown(self) -> String {
        let (divisor, unit) = if self.0 >= 1e-6 {
            (1e-6, "µF")
        } else if self.0 >= 1e-9 {
            (1e-9, "nF")
        } else {
            (1e-12, "pF")
        };
        format!("{} {unit}", plain(self.0 / divisor, 4))
    }
}

impl Henries {
    /// `2.41 H`, `850 mH`.
    #[must_use]
    pub fn shown(self) -> String {
        let (divisor, unit) = if self.0 >= 0.9995 { (1.0, "H") } else { (1e-3, "mH") };
        format!("{} {unit}", plain(self.0 / divisor, 3))
    }
}

/// Reads a length: `2.4`, `2,4 mm`, `0.094"`, `94 thou`, `3/32"`, `1 3/16 in`; a bare number is in `unit`, a bare fraction in
/// inches. Nobody writes tenths of a 64th: a bare number with a point or a comma is inches there.
///
/// # Errors
/// [`Unclear`] for words, a zero below the fraction line, a negative length or more than three metres.
///
/// ```
/// use solderlast_record::quantity::{read_length, LengthUnit};
/// let gap = read_length("3/32\"", LengthUnit::Millimetre).unwrap();
/// assert!((gap.get() - 2.38125).abs() < 1e-12);
/// ```
pub fn read_length(typed: &str, unit: LengthUnit) -> Result<Millimetres, Unclear> {
    const EXAMPLE: &str = "2.4 mm or 3/32\"";
    let text = tidy(typed, "a length", EXAMPLE)?;
    let lower = text.to_lowercase().replace(['”', '″'], "\"").replace("''", "\"");
    let (number, named) = strip_unit(
        lower.trim(),
        &[
            ("mm", (1.0, false)),
            ("cm", (10.0, false)),
            ("inches", (MILLIMETRES_PER_INCH, true)),
            ("inch", (MILLIMETRES_PER_INCH, true)),
            ("in", (MILLIMETRES_PER_INCH, true)),
            ("\"", (MILLIMETRES_PER_INCH, true)),
            ("thou", (MILLIMETRES_PER_INCH / 1e3, false)),
        ],
    );
    let millimetres = if number.contains('/') {
        if named.is_some_and(|(_, takes_fractions)| !takes_fractions) {
            return Err(Unclear::new("Fractions are for inches here. Write millimetres with a point, like 2.4 mm."));
        }
        fraction(number)? * MILLIMETRES_PER_INCH
    } else {
        let each = named.map(|(each, _)| each).unwrap_or(match unit {
            LengthUnit::Millimetre => 1.0,
            LengthUnit::Sixtyfourth if !number.contains(['.', ',']) => MILLIMETRES_PER_INCH / 64.0,
            LengthUnit::DecimalInch | LengthUnit::Sixtyfourth => MILLIMETRES_PER_INCH,
        });
        decimal(number, "a length", EXAMPLE)? * each
    };
    if millimetres > LARGEST_MILLIMETRES {
        return Err(Unclear::new("That is longer than three metres. Check the unit."));
    }
    Ok(Millimetres(millimetres))
}

/// Reads a string gauge: `.010`, `10`, `0.010"`, `0.25 mm`. A bare whole number is thousandths of an inch, as strings
/// are sold.
///
/// # Errors
/// [`Unclear`] for words, or a gauge outside 0.1 to 4 mm.
pub fn read_gauge(typed: &str) -> Result<Millimetres, Unclear> {
    const EXAMPLE: &str = ".010 or 0.25 mm";
    let text = tidy(typed, "a string gauge", EXAMPLE)?;
    let whole = text.chars().all(|c| c.is_ascii_digit());
    let gauge = if whole {
        Millimetres::from_inches(decimal(&text, "a string gauge", EXAMPLE)? / 1000.0)
    } else {
        read_length(&text, LengthUnit::DecimalInch)?
    };
    if !(0.1..=4.0).contains(&gauge.0) {
        return Err(Unclear::new("A guitar string is between .004 and .157 inch. Write it like .010 or 10."));
    }
    Ok(gauge)
}

/// Reads a temperature: `21`, `21.5 °C`, `70 F`.
///
/// # Errors
/// [`Unclear`] for words, outside −40 to 60 °C, or for 41 to 60 without a unit: a room that hot is rare, and in °F it is a
/// cool one.
pub fn read_celsius(typed: &str) -> Result<Celsius, Unclear> {
    const EXAMPLE: &str = "21 or 70 F";
    let text = tidy(typed, "a temperature", EXAMPLE)?.replace('−', "-").to_lowercase().replace('°', "");
    let (number, fahrenheit) = strip_unit(text.trim(), &[("c", false), ("f", true)]);
    let (sign, number) = match number.strip_prefix('-') {
        Some(rest) => (-1.0, rest),
        None => (1.0, number),
    };
    let value = sign * decimal(number, "a temperature", EXAMPLE)?;
    let celsius = if fahrenheit == Some(true) { (value - 32.0) / 1.8 } else { value };
    if fahrenheit.is_none() && value > HOTTEST_BARE && value <= HOTTEST_FAHRENHEIT {
        return Err(Unclear::new(format!("Is that °C or °F? Write it like {value} F or {value} C.")));
    }
    if !(-40.0..=60.0).contains(&celsius) {
        return Err(Unclear::new("A room is between −40 and 60 °C. Check the number and its unit."));
    }
    Ok(Celsius(celsius))
}

/// Reads a level on a meter: `-12.5`, `−12,5 dB`, `+3`. Most meters count down from full scale, so below zero is usual.
///
/// # Errors
/// [`Unclear`] for words, or outside −120 to 140 dB.
pub fn read_decibels(typed: &str) -> Result<Decibels, Unclear> {
    const EXAMPLE: &str = "-12.5";
    let text = tidy(typed, "a level", EXAMPLE)?.to_lowercase();
    let (number, _) = strip_unit(text.trim(), &[("dbfs", ()), ("dbu", ()), ("dbv", ()), ("db", ())]);
    let (sign, number) = match number.strip_prefix(['-', '−', '–']) {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, number.strip_prefix('+').unwrap_or(number).trim_start()),
    };
    let level = sign * decimal(number, "a level", EXAMPLE)?;
    if !(-120.0..=140.0).contains(&level) {
        return Err(Unclear::new("A level lies between −120 and 140 dB. Check what the meter shows."));
    }
    Ok(Decibels(level))
}

/// Reads a capacitance: `470p`, `22n`, `0.022 µF`, `22 nF`; the prefix is needed.
///
/// # Errors
/// [`Unclear`] without a prefix, for words, or above 10 µF.
pub fn read_farads(typed: &str) -> Result<Farads, Unclear> {
    const EXAMPLE: &str = "22n or 0.022 µF";
    let text = tidy(typed, "a capacitance", EXAMPLE)?.replace(['µ', 'μ'], "u").to_lowercase();
    let bare: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    let bare = bare.strip_suffix('f').unwrap_or(&bare);
    let (number, prefix) = strip_unit(bare, &[("p", 1e-12), ("n", 1e-9), ("u", 1e-6)]);
    let Some(prefix) = prefix else {
        return Err(Unclear::new(format!("Say the unit of the capacitance: p, n or µ, like {EXAMPLE}.")));
    };
    let farads = decimal(number, "a capacitance", EXAMPLE)? * prefix;
    if farads > 1e-5 {
        return Err(Unclear::new("That is more than 10 µF. Check the unit."));
    }
    Ok(Farads(farads))
}

/// Trims what was typed and refuses what can't be a number at all, before any unit is looked at.
///
/// # Errors
/// A sentence: it is empty, too long, or has characters in it that can't be seen.
pub fn tidy(typed: &str, what: &str, example: &str) -> Result<String, Unclear> {
    // Looking at a bounded part only: ten megabytes of text must not be copied about.
    if typed.chars().take(LONGEST_NUMBER * 4 + 1).count() > LONGEST_NUMBER * 4 {
        return Err(Unclear::new(format!("That is too long for {what}. Write it like {example}.")));
    }
    let text = in_ascii(typed.trim());
    if text.is_empty() {
        return Err(Unclear::new(format!("Nothing was typed. Write {what} like {example}.")));
    }
    if text.chars().count() > LONGEST_NUMBER {
        return Err(Unclear::new(format!("That is too long for {what}. Write it like {example}.")));
    }
    if text.chars().any(|c| c.is_control() || is_direction_mark(c)) {
        return Err(Unclear::new(format!(
            "There are characters in it that can't be seen. Type {what} anew, like {example}."
        )));
    }
    Ok(text)
}

fn is_direction_mark(c: char) -> bool {
    matches!(c, '\u{200B}'..='\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}' | '\u{FEFF}')
}

/// The text without the first of these units that it ends in, and what that unit stands for.
pub fn strip_unit<'a, T: Copy>(text: &'a str, units: &[(&str, T)]) -> (&'a str, Option<T>) {
    for (ending, unit) in units {
        if let Some(rest) = text.strip_suffix(ending) {
            return (rest.trim_end(), Some(*unit));
        }
    }
    (text, None)
}

/// A decimal number with a point or a comma, zero or more.
///
/// # Errors
/// A sentence: it is no number, or below zero.
pub fn decimal(text: &str, what: &str, example: &str) -> Result<f64, Unclear> {
    let text = text.trim();
    let not_a_number = || Unclear::new(format!("“{}” is not {what}. Write it like {example}.", short(text)));
    if text.is_empty() {
        return Err(Unclear::new(format!("There is no number in it. Write {what} like {example}.")));
    }
    if text.starts_with(['-', '−']) {
        return Err(Unclear::new(format!("{} can't be below zero.", crate::words::capital(what))));
    }
    let marks = text.chars().filter(|c| matches!(c, '.' | ',')).count();
    if marks > 1 {
        return Err(Unclear::new(format!("There is more than one point or comma in it. Write {what} like {example}.")));
    }
    let digits = text.chars().filter(char::is_ascii_digit).count();
    if digits == 0 || digits + marks != text.chars().count() {
        return Err(not_a_number());
    }
    if let Some((before, after)) = text.split_once(',')
        && after.len() == 3
        && !before.is_empty()
        && before != "0"
    {
        return Err(Unclear::new(format!(
            "“{text}” could be {before}.{after} or {before}{after}. Write it with a point, or without the comma."
        )));
    }
    text.replace(',', ".").parse::<f64>().ok().filter(|v| v.is_finite()).ok_or_else(not_a_number)
}

/// `3/32`, `3 / 32`, `1 3/16` or `1-3/16`, in inches.
fn fraction(text: &str) -> Result<f64, Unclear> {
    let unclear =
        || Unclear::new(format!("“{}” is not a fraction of an inch. Write it like 3/32\" or 1 3/16\".", short(text)));
    if text.trim_start().starts_with(['-', '−', '–']) {
        return Err(Unclear::new(BELOW_ZERO));
    }
    let (before, bottom) = text.split_once('/').ok_or_else(unclear)?;
    let (whole, top) = match before.trim().split_once([' ', '-']) {
        Some((whole, top)) => (whole.trim().parse::<u32>().map_err(|_| unclear())?, top),
        None => (0, before),
    };
    let top = top.trim().parse::<u32>().map_err(|_| unclear())?;
    let bottom = bottom.trim().parse::<u32>().map_err(|_| unclear())?;
    if bottom == 0 {
        return Err(Unclear::new("A fraction can't have 0 below the line."));
    }
    Ok(f64::from(whole) + f64::from(top) / f64::from(bottom))
}

fn sixtyfourths(inches: f64) -> String {
    let exact = inches * 64.0;
    let nearest = exact.round();
    if nearest == 0.0 && inches.abs() >= 0.0005 {
        return format!("{inches:.3} in");
    }
    let about = if (exact - nearest).abs() > 0.01 { "≈ " } else { "" };
    let whole = (nearest / 64.0).trunc();
    let mut top = nearest - whole * 64.0;
    if top == 0.0 {
        return format!("{about}{whole:.0} in");
    }
    let mut bottom = 64.0;
    while top % 2.0 == 0.0 {
        top /= 2.0;
        bottom /= 2.0;
    }
    if whole == 0.0 {
        format!("{about}{top:.0}/{bottom:.0} in")
    } else {
        format!("{about}{whole:.0} {top:.0}/{bottom:.0} in")
    }
}

fn to_significant(value: f64, digits: i32) -> f64 {
    if value == 0.0 || !value.is_finite() {
        return value;
    }
    // Through text, so that the result is the nearest double to the written decimal number.
    let precision = usize::try_from(digits - 1).unwrap_or(0);
    format!("{value:.precision$e}").parse().unwrap_or(value)
}

/// `value` with up to `digits` significant digits and no trailing zeros.
fn plain(value: f64, digits: i32) -> String {
    // Saturating, for a value that is not finite.
    let before_point = if value.abs() < 1.0 { 1 } else { (value.abs().log10().floor() as i32).saturating_add(1) };
    let after = usize::try_from(digits.saturating_sub(before_point)).unwrap_or(0);
    trimmed(format!("{value:.after$}"))
}

fn trimmed(text: String) -> String {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

/// At most twenty characters of what was typed, to quote back.
fn short(text: &str) -> String {
    let cut: String = text.chars().filter(|c| !c.is_control() && !is_direction_mark(*c)).take(20).collect();
    if cut.chars().count() < text.chars().count() { format!("{cut}…") } else { cut }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_as_people_write_them() {
        use LengthUnit::{DecimalInch, Millimetre, Sixtyfourth};
        for (typed, unit, millimetres) in [
            ("2.4", Millimetre, 2.4),
            ("2,4", Millimetre, 2.4),
            ("2.4 mm", DecimalInch, 2.4),
            ("0.1", DecimalInch, 2.54),
            ("0.1\"", Millimetre, 2.54),
            ("3/32", Millimetre, 2.38125),
            ("3/32\"", Sixtyfourth, 2.38125),
            ("1 3/16 in", Millimetre, 30.1625),
            ("1-3/16”", Millimetre, 30.1625),
            ("6", Sixtyfourth, 2.38125),
            ("6/64", Sixtyfourth, 2.38125),
            ("6 / 64\"", Millimetre, 2.38125),
            ("6 /64", Sixtyfourth, 2.38125),
            ("1 3 / 16 in", Millimetre, 30.1625),
            ("2.75", Sixtyfourth, 69.85),
            ("2,75", Sixtyfourth, 69.85),
            (".08", Sixtyfourth, 2.032),
            ("2.4 mm", Sixtyfourth, 2.4),
            ("4.5 cm", Millimetre, 45.0),
            ("46,5 thou", Millimetre, 1.1811),
            ("46.5thou", Sixtyfourth, 1.1811),
            ("94 THOU", DecimalInch, 2.3876),
            ("25.4", Millimetre, 25.4),
        ] {
            let read = read_length(typed, unit);
            assert!(matches!(read, Ok(mm) if (mm.0 - millimetres).abs() < 1e-12), "{typed}: {read:?}");
        }
        for (typed, part) in [
            ("3/0\"", "0 below the line"),
            ("3/0 inch", "0 below the line"),
            ("-1", "below zero"),
            ("-1/16", "below zero"),
            ("−1/16\"", "below zero"),
            ("- 1 1/16 in", "below zero"),
            ("1 2 3/16", "not a fraction"),
            ("tall", "not a length"),
            ("3/4 mm", "Fractions are for inches"),
            ("3/4 thou", "Fractions are for inches"),
            ("4000", "three metres"),
            ("1/2/3", "not a fraction"),
            ("999999999999/1", "not a fraction"),
        ] {
            let read = read_length(typed, Millimetre);
            assert!(matches!(&read, Err(u) if u.sentence.contains(part)), "{typed}: {read:?}");
        }
    }

    #[test]
    fn lengths_are_shown_in_every_unit() {
        let length = Length::from(Millimetres(2.38125));
        assert_eq!(
            (length.millimetre.as_str(), length.decimal_inch.as_str(), length.sixtyfourth.as_str()),
            ("2.38 mm", "0.094 in", "3/32 in")
        );
        assert_eq!(Millimetres(2.4).shown(LengthUnit::Sixtyfourth), "≈ 3/32 in");
        assert_eq!(Millimetres(25.4).shown(LengthUnit::Sixtyfourth), "1 in");
        assert_eq!(Millimetres(30.1625).shown(LengthUnit::Sixtyfourth), "1 3/16 in");
        assert_eq!(Millimetres(0.0).shown(LengthUnit::Sixtyfourth), "0 in");
        for (typed, shown) in [("1/16", "0.063 in"), ("3/16", "0.188 in"), ("1/32", "0.031 in"), ("0.0625", "0.063 in")]
        {
            let read = read_length(typed, LengthUnit::DecimalInch).map(|length| length.shown(LengthUnit::DecimalInch));
            assert_eq!(read.as_deref(), Ok(shown), "{typed}");
        }
    }

    #[test]
    fn what_is_no_number_is_shown_all_the_same() {
        for value in [f64::INFINITY, f64::NEG_INFINITY, f64::NAN, f64::MAX, f64::MIN] {
            assert!(Ohms(value).shown().ends_with("Ω") && Farads(value).shown().ends_with('F'));
        }
    }

    #[test]
    fn levels_as_meters_show_them() {
        for (typed, level, shown) in [
            ("-12.5", -12.5, "−12.5 dB"),
            ("−12,5 dB", -12.5, "−12.5 dB"),
            ("- 6 dBFS", -6.0, "−6 dB"),
            ("+3", 3.0, "3 dB"),
            ("0", 0.0, "0 dB"),
            ("94 dB", 94.0, "94 dB"),
        ] {
            assert_eq!(read_decibels(typed), Ok(Decibels(level)), "{typed}");
            assert_eq!(Decibels(level).shown(), shown, "{typed}");
        }
        for typed in ["", "loud", "--3", "-200", "3 volts", "NaN", "\u{202e}3"] {
            assert!(read_decibels(typed).is_err(), "{typed}");
        }
    }

    #[test]
    fn sentences_are_told_in_each_unit() {
        let say = |unit| vec!["Leave it.".to_owned(), format!("It is {}.", Millimetres(2.38125).shown(unit))];
        let (words, beside) = InInches::told_each(say);
        assert_eq!(words, ["Leave it.", "It is 2.38 mm."]);
        let told = InInches { decimal_inch: "It is 0.094 in.".to_owned(), sixtyfourth: "It is 3/32 in.".to_owned() };
        assert_eq!(beside, [None, Some(told)]);
        for (unit, together) in [
            (LengthUnit::Millimetre, "Leave it. It is 2.38 mm."),
            (LengthUnit::DecimalInch, "Leave it. It is 0.094 in."),
            (LengthUnit::Sixtyfourth, "Leave it. It is 3/32 in."),
        ] {
            assert_eq!(InInches::together(&words, &beside, unit), together);
        }
        assert!(InInches::told_each(|_| vec!["Leave it.".to_owned()]).1.is_empty());
        assert_eq!(InInches::told_if(|_| None), (None, None));
    }

    #[test]
    fn what_is_too_short_for_a_sixtyfourth_goes_by_thousandths() {
        assert_eq!(Millimetres(0.1).shown(LengthUnit::Sixtyfourth), "0.004 in");
        assert_eq!(Millimetres(0.2).shown(LengthUnit::Sixtyfourth), "≈ 1/64 in");
        assert_eq!(Millimetres(0.0).shown(LengthUnit::Sixtyfourth), "0 in");
        assert_eq!(Millimetres(3.394).about(LengthUnit::Millimetre), "3.4 mm");
        assert_eq!(Millimetres(3.394).about(LengthUnit::DecimalInch), "0.134 in");
    }

    #[test]
    fn rooms_gauges_and_capacitors() {
        assert_eq!(read_celsius("21.5 °C"), Ok(Celsius(21.5)));
        assert_eq!(read_celsius("-5"), Ok(Celsius(-5.0)));
        assert!(matches!(read_celsius("68 F"), Ok(Celsius(c)) if (c - 20.0).abs() < 1e-9));
        assert!(read_celsius("300").is_err());
        for bare in ["41", "50", "59,5", "60", "70", "100"] {
            let asked = read_celsius(bare);
            assert!(matches!(&asked, Err(unclear) if unclear.sentence.contains("°C or °F")), "{bare}: {asked:?}");
        }
        assert_eq!(read_celsius("40"), Ok(Celsius(40.0)));
        assert_eq!(read_celsius("50 C"), Ok(Celsius(50.0)));
        assert!(matches!(read_celsius("50 °F"), Ok(Celsius(c)) if (c - 10.0).abs() < 1e-9));
        assert_eq!(read_celsius("٢١"), Ok(Celsius(21.0)));
        for gauge in [".010", "10", "0.010\"", "0.254 mm"] {
            assert!(matches!(read_gauge(gauge), Ok(Millimetres(mm)) if (mm - 0.254).abs() < 1e-9), "{gauge}");
        }
        assert!(read_gauge("900").is_err());
        for (typed, shown) in [("22n", "22 nF"), ("0.022 µF", "22 nF"), ("470 pF", "470 pF"), ("22 NF", "22 nF")] {
            assert_eq!(read_farads(typed).map(Farads::shown), Ok(shown.to_owned()), "{typed}");
        }
        assert!(read_farads("22").is_err());
    }
}
