//! Refusals that the shells themselves make, in the shape the core's answers have.

use serde::Serialize;
use serde_json::json;

/// Why a shell did not pass something on: a stable code for programs, a sentence for people, and the field at fault.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Refusal {
    /// Stable, lower case, words joined by hyphens.
    pub code: &'static str,
    /// What happened, what was kept, what to do.
    pub sentence: String,
    /// The field at fault, if there is one.
    pub field: Option<&'static str>,
}

impl Refusal {
    /// A refusal that is about no field.
    pub fn new(code: &'static str, sentence: impl Into<String>) -> Self {
        Self { code, sentence: sentence.into(), field: None }
    }

    /// The same refusal, naming the field at fault.
    #[must_use]
    pub fn about(self, field: &'static str) -> Self {
        Self { field: Some(field), ..self }
    }

    /// As a whole answer: `{"refused": {"code", "sentence", "field"}}`.
    #[must_use]
    pub fn answer(&self) -> Vec<u8> {
        refused(self)
    }
}

/// A whole answer that grants something: `{"ok": …}`.
#[must_use]
pub fn granted(reply: &impl Serialize) -> Vec<u8> {
    json!({ "ok": reply }).to_string().into_bytes()
}

/// A whole answer that refuses: `{"refused": …}`.
#[must_use]
pub fn refused(why: &impl Serialize) -> Vec<u8> {
    json!({ "refused": why }).to_string().into_bytes()
}

/// The longest question any shell takes, in bytes: 1 MiB.
pub const LONGEST_ASK: usize = 1 << 20;

/// A question longer than [`LONGEST_ASK`].
#[must_use]
pub fn too_long() -> Refusal {
    Refusal::new("too-long", "This question is longer than 1 MiB. Nothing was written. Send less at a time.")
}
