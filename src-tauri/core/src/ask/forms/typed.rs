//! Numbers of a form as they are typed, and shown to be typed again.

use crate::ask::Refusal;
use crate::physics::lengths::{HEIGHT, Span, read_length_of};
use crate::record::quantity::{Farads, LengthUnit, Millimetres, Ohms, Reading, read_farads, read_length, read_ohms};
use crate::record::words::Unclear;

/// The lowest and the highest an open string stands over the last fret, in millimetres.
const LOWEST: f64 = 0.2;
const HIGHEST: f64 = 8.0;

/// Makes a refusal of what was typed into this field.
pub(crate) fn at(field: impl Into<String>) -> impl FnOnce(Unclear) -> Refusal {
    let field = field.into();
    move |unclear| Refusal::unclear(&field, unclear.sentence)
}

/// The height of a string over the last fret, which may be left empty.
pub(crate) fn height(typed: &str, unit: LengthUnit, field: &str) -> Result<Option<Millimetres>, Refusal> {
    match length_of(&HEIGHT, typed, unit, field)? {
        Some(height) if !height_can_be(height) => {
            let between = from_to(LOWEST, HIGHEST, unit);
            let sentence = format!("An open string stands between {between} above the last fret. Check the unit.");
            Err(Refusal::unclear(field, sentence))
        }
        other => Ok(other),
    }
}

/// Whether an open string can stand so high over the last fret.
pub(crate) fn height_can_be(height: Millimetres) -> bool {
    (LOWEST..=HIGHEST).contains(&height.0)
}

/// `0.2 and 8 mm`: two lengths in millimetres, told in the unit a person works in.
pub(crate) fn from_to(low: f64, high: f64, unit: LengthUnit) -> String {
    let [low, high] = [low, high].map(|length| Millimetres(length).shown(unit));
    let (_, name) = high.rsplit_once(' ').unwrap_or_default();
    format!("{} and {high}", low.strip_suffix(name).unwrap_or(&low).trim_end())
}

/// A length that may be left empty.
pub(crate) fn length(typed: &str, unit: LengthUnit, field: &str) -> Result<Option<Millimetres>, Refusal> {
    unless_empty(typed, field, |typed| read_length(typed, unit))
}

/// What is read of a field, which may be left empty.
fn unless_empty<T>(
    typed: &str,
    field: &str,
    read: impl FnOnce(&str) -> Result<T, Unclear>,
) -> Result<Option<T>, Refusal> {
    if typed.trim().is_empty() { Ok(None) } else { read(typed).map(Some).map_err(at(field)) }
}

/// The same of a kind that says what a bare number can be.
pub(crate) fn length_of(
    span: &Span,
    typed: &str,
    unit: LengthUnit,
    field: &str,
) -> Result<Option<Millimetres>, Refusal> {
    unless_empty(typed, field, |typed| read_length_of(typed, unit, span))
}

/// A resistance that may be left empty.
pub(crate) fn ohms(typed: &str, field: &str) -> Result<Option<Ohms>, Refusal> {
    if typed.trim().is_empty() {
        return Ok(None);
    }
    match read_ohms(typed).map_err(at(field))? {
        Reading::Ohms(ohms) if ohms.0 > 0.0 => Ok(Some(ohms)),
        Reading::Ohms(_) => {
            Err(Refusal::unclear(field, "A resistance of zero can't be right here. Leave it empty if it is not known."))
        }
        Reading::OverLimit => {
            Err(Refusal::unclear(field, "A stated resistance can't be over limit. Leave it empty if it is not known."))
        }
    }
}

pub(crate) fn farads(typed: &str, field: &str) -> Result<Option<Farads>, Refusal> {
    unless_empty(typed, field, read_farads)
}

pub(crate) fn shown_length(length: Option<Millimetres>, unit: LengthUnit) -> String {
    let Some(length) = length else { return String::new() };
    // Given back as typed text: without the mark that says a fraction is rounded, and to a thousandth so that nothing
    // is lost by opening a form and writing it again.
    match unit {
        LengthUnit::Millimetre => trimmed(format!("{:.3}", length.0)) + " mm",
        LengthUnit::DecimalInch | LengthUnit::Sixtyfourth => trimmed(length.in_decimals(4)) + " in",
    }
}

/// How a length is written in a form.
pub(crate) type Written = fn(Option<Millimetres>, LengthUnit) -> String;

pub(crate) fn read_length_as(length: Option<Millimetres>, unit: LengthUnit) -> String {
    length.map(|length| length.shown(unit)).unwrap_or_default()
}

/// What a stud rises with one turn, wherever it stands: too fine for a 64th, and exact where so many turns go to the inch.
pub(crate) fn shown_pitch(pitch: Option<Millimetres>, unit: LengthUnit) -> String {
    let turns = pitch.map_or(0.0, |pitch| 1.0 / pitch.inches());
    // What is no whole number of turns is off by more than this.
    let whole = (turns - turns.round()).abs() < 1e-6 && (2.0..1000.0).contains(&turns);
    match unit {
        LengthUnit::DecimalInch | LengthUnit::Sixtyfourth if whole => format!("1/{:.0} in", turns.round()),
        LengthUnit::Millimetre | LengthUnit::DecimalInch | LengthUnit::Sixtyfourth => shown_length(pitch, unit),
    }
}

pub(crate) fn trimmed(text: String) -> String {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pitch_is_written_one_way_and_read_again_as_it_was() {
        for unit in [LengthUnit::DecimalInch, LengthUnit::Sixtyfourth] {
            for (typed, shown) in
                [("1/32", "1/32 in"), ("1/40\"", "1/40 in"), ("0.7 mm", "0.0276 in"), ("0.03125 in", "1/32 in")]
            {
                let read = read_length(typed, unit).ok();
                assert_eq!(shown_pitch(read, unit), shown, "{typed}");
                let again = read_length(shown, unit).ok();
                assert_eq!(shown_pitch(again, unit), shown, "{typed}");
            }
        }
        assert_eq!(shown_pitch(Some(Millimetres(0.7)), LengthUnit::Millimetre), "0.7 mm");
        assert_eq!(shown_pitch(None, LengthUnit::DecimalInch), "");
    }

    #[test]
    fn what_is_allowed_is_told_in_the_unit_that_is_set() {
        for (unit, told) in [
            (LengthUnit::Millimetre, "0.2 and 8 mm"),
            (LengthUnit::DecimalInch, "0.008 and 0.315 in"),
            (LengthUnit::Sixtyfourth, "≈ 1/64 and ≈ 5/16 in"),
        ] {
            assert_eq!(from_to(LOWEST, HIGHEST, unit), told);
            let refused = height("12 mm", unit, "height_bass").map_err(|refusal| refusal.sentence);
            assert!(matches!(&refused, Err(sentence) if sentence.contains(told)), "{refused:?}");
        }
    }
}
