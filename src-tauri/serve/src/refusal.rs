//! Answers in the shape that the core's have, for what a shell itself grants or refuses.

use serde::Serialize;
use serde_json::json;
pub use solderlast_core::ask::{Code, Refusal};

/// A whole answer that grants something: `{"ok": …}`.
#[must_use]
pub fn granted(reply: &impl Serialize) -> Vec<u8> {
    json!({ "ok": reply }).to_string().into_bytes()
}

/// The longest question any shell takes, in bytes: 1 MiB.
pub const LONGEST_ASK: usize = 1 << 20;

/// A question longer than [`LONGEST_ASK`].
#[must_use]
pub fn too_long() -> Refusal {
    Refusal::new(Code::TooLong, "This question is longer than 1 MiB. Nothing was written. Send less at a time.")
}
