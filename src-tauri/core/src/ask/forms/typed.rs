//! Numbers of a form as they are typed, and shown to be typed again.

use crate::ask::Refusal;
use crate::record::quantity::{Farads, LengthUnit, Millimetres, Ohms, Reading, read_farads, read_length, read_ohms};
use crate::record::words::Unclear;

/// Makes a refusal of what was typed into this field.
pub(crate) fn at(field: impl Into<String>) -> impl FnOnce(Unclear) -> Refusal {
    let field = field.into();
    move |unclear| Refusal::unclear(&field, unclear.sentence)
}

/// The height of a string over the last fret, which may be left empty.
pub(crate) fn height(typed: &str, unit: LengthUnit, field: &str) -> Result<Option<Millimetres>, Refusal> {
    match length(typed, unit, field)? {
        Some(height) if !height_can_be(height) => {
            let sentence = "An open string stands between 0.2 and 8 mm above the last fret. Check the unit.";
            Err(Refusal::unclear(field, sentence))
        }
        other => Ok(other),
    }
}

/// Whether an open string can stand so high over the last fret.
pub(crate) fn height_can_be(height: Millimetres) -> bool {
    (0.2..=8.0).contains(&height.0)
}

/// A length that may be left empty.
pub(crate) fn length(typed: &str, unit: LengthUnit, field: &str) -> Result<Option<Millimetres>, Refusal> {
    if typed.trim().is_empty() { Ok(None) } else { read_length(typed, unit).map(Some).map_err(at(field)) }
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
    if typed.trim().is_empty() { Ok(None) } else { read_farads(typed).map(Some).map_err(at(field)) }
}

pub(crate) fn shown_length(length: Option<Millimetres>, unit: LengthUnit) -> String {
    let Some(length) = length else { return String::new() };
    // Given back as typed text: without the mark that says a fraction is rounded, and to a thousandth so that nothing
    // is lost by opening a form and writing it again.
    match unit {
        LengthUnit::Millimetre => trimmed(format!("{:.3}", length.0)) + " mm",
        LengthUnit::DecimalInch | LengthUnit::Sixtyfourth => trimmed(format!("{:.4}", length.inches())) + " in",
    }
}

/// How a length is written in a form.
pub(crate) type Written = fn(Option<Millimetres>, LengthUnit) -> String;

pub(crate) fn read_length_as(length: Option<Millimetres>, unit: LengthUnit) -> String {
    length.map(|length| length.shown(unit)).unwrap_or_default()
}

pub(crate) fn trimmed(text: String) -> String {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}
