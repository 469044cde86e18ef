//! An ask as it arrives: JSON text, from which an [`Ask`] is read, or the field is named that keeps it from being one.

use serde::Deserialize;
use serde_json::Value;

use super::contract::Ask;
use super::{Code, Refusal};

/// The longest ask, in bytes.
pub const LONGEST_ASK: usize = 1024 * 1024;

/// How much of what serde says is repeated, in characters.
const LONGEST_REASON: usize = 200;

/// Names that tell what kind an object is; without them its other fields can't be read.
const KINDS: [&str; 3] = ["ask", "thing", "kind"];

/// Reads an ask.
///
/// # Errors
/// A [`Refusal`] that names the field at fault, where one can be named.
pub fn parse(json: &[u8]) -> Result<Ask, Refusal> {
    let refuse = |sentence: &str| Err(Refusal::new(Code::NotAnAsk, format!("{sentence} Nothing was written.")));
    if json.len() > LONGEST_ASK {
        return refuse("That is more than one ask can hold (1 MB).");
    }
    let mut reading = serde_json::Deserializer::from_slice(json);
    let whole = match Value::deserialize(&mut reading) {
        Ok(whole) => whole,
        Err(error) if error.is_eof() => return refuse("The ask ends in the middle; send it again."),
        Err(_) => return refuse("This is not JSON."),
    };
    if reading.end().is_err() {
        return refuse("There is something after the end of the ask.");
    }
    if !whole.is_object() {
        return refuse(r#"An ask is an object with a name, like {"ask": "bench"}."#);
    }
    // From the text itself, so that a name given twice is seen.
    parse_named(json).map_err(|error| {
        let said = error.to_string();
        // A field given twice is one field once the text is a value.
        let twice = said.starts_with("duplicate field");
        let (field, what) = if twice { None } else { fault(&whole) }.unwrap_or((Vec::new(), said));
        let field = if field.is_empty() { named(&what) } else { Some(shown(&field)) };
        let what: String = what.chars().take(LONGEST_REASON).collect();
        let sentence = match &field {
            Some(field) => format!("The field “{field}” is not as it should be: {what}. Nothing was written."),
            None => format!("This is not an ask that this version knows: {what}. Nothing was written."),
        };
        Refusal { code: Code::NotAnAsk, sentence, field }
    })
}

/// What tells which ask it is.
#[derive(Deserialize)]
struct Named {
    ask: String,
}

/// Reads its name, then the fields that belong to it.
fn parse_named(json: &[u8]) -> Result<Ask, serde_json::Error> {
    let named: Named = serde_json::from_slice(json)?;
    let mut whole = serde_json::Deserializer::from_slice(json);
    Ask::named(&named.ask, &mut whole)
}

/// Finds the field at fault, and what is wrong with it.
///
/// Serde reads field after field and stops at the first fault, but for a tagged enum it can't say where it was. So the
/// shortest beginning of the ask that fails with the same words is looked for, object by object: its last field is the
/// one. Halving keeps that to a few readings, whatever the length of a list.
fn fault(whole: &Value) -> Option<(Vec<String>, String)> {
    let reads = |part: Value| {
        let read = Named::deserialize(&part).and_then(|named| Ask::named(&named.ask, part));
        read.err().map(|error| error.to_string())
    };
    let what = reads(whole.clone())?;
    let mut path = Vec::new();
    // A missing field has no place of its own; serde names it.
    while !what.starts_with("missing field") {
        let count = children(whole, &path).len();
        let fails_with = |kept: usize| reads(beginning(whole, &path, kept)).as_ref() == Some(&what);
        let (mut below, mut above) = (0, count);
        if count == 0 || !fails_with(count) || fails_with(0) {
            break;
        }
        while above - below > 1 {
            let middle = below + (above - below) / 2;
            if fails_with(middle) { above = middle } else { below = middle }
        }
        path.extend(children(whole, &path).into_iter().nth(above - 1));
    }
    Some((path, what))
}

/// The names of what lies in an object or list, what tells its kind first.
fn children(whole: &Value, path: &[String]) -> Vec<String> {
    match inside(whole, path) {
        Some(Value::Object(fields)) => {
            let (kinds, others): (Vec<_>, Vec<_>) = fields.keys().cloned().partition(|n| KINDS.contains(&n.as_str()));
            kinds.into_iter().chain(others).collect()
        }
        Some(Value::Array(list)) => (0..list.len()).map(|index| index.to_string()).collect(),
        _ => Vec::new(),
    }
}

fn inside<'a>(whole: &'a Value, path: &[String]) -> Option<&'a Value> {
    path.iter().try_fold(whole, |at, name| match at {
        Value::Object(fields) => fields.get(name),
        Value::Array(list) => list.get(name.parse::<usize>().ok()?),
        _ => None,
    })
}

/// The ask, with only the first `kept` fields of the object or list at `path`.
fn beginning(whole: &Value, path: &[String], kept: usize) -> Value {
    let names: Vec<String> = children(whole, path).into_iter().take(kept).collect();
    let mut part = whole.clone();
    let place = path.iter().try_fold(&mut part, |at, name| match at {
        Value::Object(fields) => fields.get_mut(name),
        Value::Array(list) => list.get_mut(name.parse::<usize>().ok()?),
        _ => None,
    });
    match place {
        Some(Value::Object(fields)) => fields.retain(|name, _| names.contains(name)),
        Some(Value::Array(list)) => list.truncate(kept),
        _ => {}
    }
    part
}

/// A path as refusals write it. A field of a form goes by its name in the form, as when its text is not understood.
fn shown(path: &[String]) -> String {
    let path = match path.split_first() {
        Some((first, rest)) if !rest.is_empty() && (first == "form" || first == "choice") => rest,
        _ => path,
    };
    let shown: String = path.join(".").chars().take(80).collect();
    shown
}

/// The field that serde names between backquotes.
fn named(what: &str) -> Option<String> {
    let (_, rest) = what.split_once("field `")?;
    rest.split_once('`').map(|(name, _)| name.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    const ID: &str = "019a3c5f-7e00-7000-8000-000000000001";

    /// What arrives, the field that is named, and a part of the sentence.
    #[test]
    fn the_field_at_fault_is_named() {
        for (json, field, part) in [
            (r#"{"ask": "drawer", "retired": "yes"}"#, Some("retired"), "expected a boolean"),
            (r#"{"ask": "drawer"}"#, Some("retired"), "missing field"),
            (r#"{"ask": "drawer", "retired": true, "colour": 1}"#, Some("colour"), "unknown field"),
            (r#"{"ask": "dance"}"#, Some("ask"), "unknown variant `dance`"),
            (r#"{"retired": true}"#, Some("ask"), "missing field"),
            (r#"{"ask": null}"#, Some("ask"), "null"),
            (r#"{"ask": "bench", "ask": "drawer"}"#, Some("ask"), "duplicate field"),
            (r#"{"ask": "logbook", "find": {"words": 3}}"#, Some("find.words"), "expected a string"),
            (r#"{"ask": "logbook", "find": {"from": "yesterday"}}"#, Some("find.from"), "invalid characters"),
            (
                r#"{"ask": "what_would_go", "things": [{"thing": "spoon", "id": "ID"}]}"#,
                Some("things.0.thing"),
                "spoon",
            ),
            (
                r#"{"ask": "what_would_go", "things": [{"thing": "rig", "id": "ID"}, {"thing": "rig", "id": "x"}]}"#,
                Some("things.1.id"),
                "UUID",
            ),
            (r#"{"ask": "put_notice_away", "notice": 1e99}"#, Some("notice"), "floating point"),
            (
                r#"{"ask": "understand", "quantity": "reading", "text": 6.66, "unit": "millimetre"}"#,
                Some("text"),
                "expected a string",
            ),
            (
                r#"{"ask": "mount", "entry": "ID", "audition": "ID", "mounting": {"bass_end_over": "nose", "turn": "rolled"}}"#,
                Some("mounting.bass_end_over"),
                "nose",
            ),
            (
                r#"{"ask": "mount", "entry": "ID", "audition": "ID", "mounting": {"bass_end_over": null}}"#,
                Some("turn"),
                "missing field",
            ),
            (
                r#"{"ask": "write_pickup", "entry": "ID", "id": "ID", "form": {"coils": [{"stated": "6k"}, {"stated": 6}]}}"#,
                Some("coils.1.stated"),
                "expected a string",
            ),
            (r#"["bench"]"#, None, "An ask is an object"),
            ("3", None, "An ask is an object"),
            ("", None, "ends in the middle"),
            (r#"{"ask": "bench""#, None, "ends in the middle"),
            (r#"{"ask": "understand", "text": NaN}"#, None, "not JSON"),
            (r#"{"ask": "bench"}}"#, None, "after the end"),
            ("\u{feff}{}", None, "not JSON"),
        ] {
            let json = json.replace("ID", ID);
            let Err(refusal) = parse(json.as_bytes()) else { unreachable!("{json} was read") };
            assert_eq!(refusal.field.as_deref(), field, "{json}: {}", refusal.sentence);
            assert!(refusal.sentence.contains(part), "{json}: {}", refusal.sentence);
            assert!(refusal.sentence.ends_with("Nothing was written."), "{}", refusal.sentence);
        }
    }

    #[test]
    fn a_fault_at_the_end_of_a_long_list_is_found_soon() {
        let thing = format!(r#"{{"thing": "pickup", "id": "{ID}"}},"#);
        let json = format!(r#"{{"ask": "erase", "things": [{}{{"thing": "pickup", "id": 0}}]}}"#, thing.repeat(15_000));
        let Err(refusal) = parse(json.as_bytes()) else { unreachable!("a number is no name") };
        assert_eq!(refusal.field.as_deref(), Some("things.15000.id"));
    }

    #[test]
    fn deep_nesting_is_refused_and_does_no_harm() {
        for json in ["[".repeat(500_000), r#"{"ask":"#.repeat(100_000)] {
            assert!(parse(json.as_bytes()).is_err());
        }
    }
}
