//! One entry as a line of JSON.
//!
//! Its body is carried to the letter, so an entry that a newer version wrote goes through this one unharmed. Only a body
//! that is no JSON object with a kind of its own, as a damaged log may hold, is carried as a text.

use std::borrow::Cow;

use chrono::{DateTime, SecondsFormat, Timelike, Utc};
use serde::Deserialize;
use serde_json::value::RawValue;
use uuid::Uuid;

use super::flaw::Flaw;
use super::limits::{LONGEST_KIND, earliest, latest};
use crate::record::entry::Written;

/// An entry between two logs, as a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Carried {
    pub id: Uuid,
    /// In microseconds since 1970.
    pub at: i64,
    pub bench: Uuid,
    pub thing: String,
    pub about: Uuid,
    pub kind: String,
    pub body: String,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Line<'a> {
    id: Uuid,
    #[serde(borrow)]
    at: Cow<'a, str>,
    bench: Uuid,
    #[serde(borrow)]
    about: AboutLine<'a>,
    #[serde(borrow)]
    body: Option<&'a RawValue>,
    #[serde(borrow)]
    kind: Option<Cow<'a, str>>,
    #[serde(borrow)]
    body_text: Option<Cow<'a, str>>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct AboutLine<'a> {
    #[serde(borrow)]
    thing: Cow<'a, str>,
    id: Uuid,
}

#[derive(Deserialize)]
struct Kind<'a> {
    #[serde(borrow)]
    kind: Cow<'a, str>,
}

impl Carried {
    /// Writes this entry as a line, with its end.
    pub fn write(&self, line: &mut String) {
        let at = DateTime::from_timestamp_micros(self.at).unwrap_or_default();
        let whole = !self.body.contains(['\n', '\r'])
            && serde_json::from_str::<Kind<'_>>(&self.body).is_ok_and(|written| written.kind == self.kind);
        line.push_str(&format!(
            r#"{{"id":"{}","at":"{}","bench":"{}","about":{{"thing":{},"id":"{}"}},"#,
            self.id,
            at.to_rfc3339_opts(SecondsFormat::Micros, true),
            self.bench,
            quoted(&self.thing),
            self.about
        ));
        if whole {
            line.push_str("\"body\":");
            line.push_str(&self.body);
        } else {
            line.push_str(&format!(r#""kind":{},"body_text":{}"#, quoted(&self.kind), quoted(&self.body)));
        }
        line.push_str("}\n");
    }

    /// Reads the line of this number, without its end.
    ///
    /// # Errors
    /// [`Flaw`] when it is no entry that a log can hold.
    pub fn read(line: &[u8], number: u64) -> Result<Self, Flaw> {
        let line: Line<'_> = serde_json::from_slice(line).map_err(|_| Flaw::Line(number))?;
        let (kind, body) = match (line.body, line.kind, line.body_text) {
            (Some(body), None, None) => {
                let kind = serde_json::from_str::<Kind<'_>>(body.get()).map_err(|_| Flaw::Line(number))?.kind;
                (kind.into_owned(), body.get().to_owned())
            }
            (None, Some(kind), Some(text)) => (kind.into_owned(), text.into_owned()),
            _ => return Err(Flaw::Line(number)),
        };
        let name = |id: Uuid| id.get_version_num() == 7;
        let is_word = |word: &str| {
            (1..=LONGEST_KIND).contains(&word.len())
                && word.bytes().all(|b| b.is_ascii_lowercase() || b.is_ascii_digit() || b == b'_')
        };
        if !(name(line.id) && name(line.bench) && name(line.about.id) && is_word(&line.about.thing)) {
            return Err(Flaw::NotAName(number));
        }
        if !is_word(&kind) {
            return Err(Flaw::Line(number));
        }
        Ok(Self {
            id: line.id,
            at: read_time(&line.at).ok_or(Flaw::Time(number))?,
            bench: line.bench,
            thing: line.about.thing.into_owned(),
            about: line.about.id,
            kind,
            body,
        })
    }

    /// What this version reads in the body.
    pub fn written(&self) -> Written {
        Written::read(&self.kind, &self.body)
    }
}

/// An instant in UTC, in whole microseconds, that a clock can have shown.
fn read_time(text: &str) -> Option<i64> {
    let at = DateTime::parse_from_rfc3339(text).ok().filter(|_| text.ends_with('Z'))?.with_timezone(&Utc);
    let possible =
        (earliest()..latest()).contains(&at) && at.nanosecond() % 1000 == 0 && at.nanosecond() < 1_000_000_000;
    possible.then(|| at.timestamp_micros())
}

fn quoted(text: &str) -> String {
    serde_json::Value::from(text).to_string()
}

/// The names of photos that a body of this kind may hold, whatever version wrote it: every run of exactly 64 small hexadecimal digits.
pub(super) fn photos_in<'a>(kind: &str, body: &'a str) -> impl Iterator<Item = &'a str> {
    // A take is named in the same way, and is no photo.
    let body = if kind == "take_kept" { "" } else { body };
    runs(body, |b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b)).filter(|run| run.len() == 64)
}

/// The names of things that a body may hold, whatever version wrote it.
pub(super) fn names_in(body: &str) -> impl Iterator<Item = Uuid> {
    runs(body, |b| b.is_ascii_hexdigit() || b == b'-')
        .filter(|run| run.len() == 36)
        .filter_map(|run| Uuid::try_parse(run).ok())
}

/// The longest runs of these bytes, which must be ASCII.
fn runs(text: &str, belongs: impl Fn(u8) -> bool) -> impl Iterator<Item = &str> {
    text.split(move |c: char| !(c.is_ascii() && belongs(c as u8))).filter(|run| !run.is_empty())
}

#[cfg(test)]
mod tests {
    use super::*;

    const ID: &str = "019a3c5f-7e00-7000-8000-000000000001";

    fn line(at: &str, rest: &str) -> String {
        format!(r#"{{"id":"{ID}","at":"{at}","bench":"{ID}","about":{{"thing":"pickup","id":"{ID}"}},{rest}}}"#)
    }

    fn carried(kind: &str, body: &str) -> Carried {
        let id = Uuid::parse_str(ID).expect("a name");
        let (kind, body) = (kind.to_owned(), body.to_owned());
        Carried { id, at: 1_793_700_000_123_456, bench: id, thing: "pickup".to_owned(), about: id, kind, body }
    }

    #[test]
    fn what_is_written_is_read_to_the_letter() {
        for (kind, body) in [
            ("retired", r#"{"kind":"retired","why":"sold"}"#),
            ("retired", r#"{ "why" : "\u0041\n é 🎸",  "kind":"retired" }"#),
            ("rewound", r#"{"kind":"rewound","turns":1e2,"big":123456789012345678901234567890}"#),
            ("retired", "{\n\"kind\":\"retired\",\"why\":\"\"}"),
            ("retired", r#"{"kind":"other"}"#),
            ("retired", "not JSON at all \"\\\n"),
            ("retired", ""),
        ] {
            let entry = carried(kind, body);
            let mut written = String::new();
            entry.write(&mut written);
            assert_eq!(written.matches('\n').count(), 1, "{written}");
            assert_eq!(Carried::read(written.trim_end_matches('\n').as_bytes(), 1), Ok(entry), "{written}");
        }
    }

    #[test]
    fn what_no_log_holds_is_refused() {
        let body = r#""body":{"kind":"retired","why":""}"#;
        let at = "2026-11-03T10:00:00.000000Z";
        assert!(Carried::read(line(at, body).as_bytes(), 1).is_ok());
        let cases = [
            (line("2026-11-03T10:00:00+01:00", body), Flaw::Time(1)),
            (line("2026-11-03T10:00:00", body), Flaw::Time(1)),
            (line("1969-12-31T23:59:59Z", body), Flaw::Time(1)),
            (line("2200-01-01T00:00:00Z", body), Flaw::Time(1)),
            (line("2026-11-03T10:00:00.0000001Z", body), Flaw::Time(1)),
            (line("2026-12-31T23:59:60Z", body), Flaw::Time(1)),
            (line("yesterday", body), Flaw::Time(1)),
            (line(at, body).replacen("-7000-", "-4000-", 1), Flaw::NotAName(1)),
            (line(at, body).replace("\"pickup\"", "\"../pickup\""), Flaw::NotAName(1)),
            (line(at, r#""body":{"why":""}"#), Flaw::Line(1)),
            (line(at, r#""body":[]"#), Flaw::Line(1)),
            (line(at, r#""body":{"kind":"Retired!"}"#), Flaw::Line(1)),
            (line(at, r#""kind":"retired""#), Flaw::Line(1)),
            (line(at, &format!(r#"{body},"more":1"#)), Flaw::Line(1)),
            (line(at, &format!("{body},{body}")), Flaw::Line(1)),
            (String::new(), Flaw::Line(1)),
            ("[".repeat(100_000), Flaw::Line(1)),
        ];
        for (text, flaw) in cases {
            assert_eq!(Carried::read(text.as_bytes(), 1), Err(flaw), "{}", text.chars().take(200).collect::<String>());
        }
        // However deep a body is, it is carried, and this version does not claim to read it.
        let deep = format!(r#""body":{{"kind":"retired","why":{}{}}}"#, "[".repeat(5000), "]".repeat(5000));
        assert!(Carried::read(line(at, &deep).as_bytes(), 1).is_ok_and(|entry| entry.written().known().is_none()));
    }

    #[test]
    fn names_are_found_whatever_the_kind() {
        let photo = "0a".repeat(32);
        let body = format!(r#"{{"kind":"x","picture":"{photo}","longer":"{photo}a","é":"{ID}"}}"#);
        assert_eq!(photos_in("x", &body).collect::<Vec<_>>(), [photo.as_str()]);
        assert_eq!(names_in(&body).map(|id| id.to_string()).collect::<Vec<_>>(), [ID]);
    }
}
