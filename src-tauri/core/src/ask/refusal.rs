//! Why something was not done, for a program (a stable code) and for a person (a sentence).

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::logbook::Trouble;
use crate::record::rules::Broken;

/// Why an ask was refused. Nothing was written, and nothing that was written before was touched.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/ask.ts")]
pub struct Refusal {
    /// A stable code.
    pub code: Code,
    /// What happened, what was kept, what to do.
    pub sentence: String,
    /// The field at fault, as a path into the ask, or into the form that it carries.
    pub field: Option<String>,
}

/// Kinds of refusal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/ask.ts")]
pub enum Code {
    /// What was typed can't be read.
    Unclear,
    /// The ask is not of a known form.
    NotAnAsk,
    /// The thing asked about is not in the log.
    NotFound,
    /// A hold stops it.
    Held,
    /// The file is no photo that can be kept; the field says why.
    Photo,
    /// The file is no bundle that can be taken in; the field says why.
    Bundle,
    /// It can't be done as things stand.
    NotNow,
    /// The disk is full.
    DiskFull,
    /// Another program holds the log.
    Busy,
    /// The disk can't be used.
    Disk,
    /// The log is damaged.
    Damaged,
    /// A newer version wrote the log.
    NewerLog,
    /// The program made a mistake.
    Program,
}

impl Refusal {
    /// Something typed that can't be read.
    #[must_use]
    pub fn unclear(field: &str, sentence: impl Into<String>) -> Self {
        Self { code: Code::Unclear, sentence: sentence.into(), field: Some(field.to_owned()) }
    }

    pub(super) fn new(code: Code, sentence: impl Into<String>) -> Self {
        Self { code, sentence: sentence.into(), field: None }
    }

    pub(super) fn not_found(what: &str) -> Self {
        Self::new(Code::NotFound, format!("This {what} is not in the log. It may have been erased on this bench."))
    }
}

impl From<Broken> for Refusal {
    fn from(broken: Broken) -> Self {
        Self::unclear(&broken.field, broken.sentence)
    }
}

impl From<Trouble> for Refusal {
    fn from(trouble: Trouble) -> Self {
        let code = match trouble {
            Trouble::Full => Code::DiskFull,
            Trouble::Busy => Code::Busy,
            Trouble::Disk(_) | Trouble::Gone(_) => Code::Disk,
            Trouble::Damaged(_) => Code::Damaged,
            Trouble::Newer => Code::NewerLog,
            Trouble::Program(_) => Code::Program,
        };
        Self::new(code, trouble.to_string())
    }
}

impl std::fmt::Display for Refusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.sentence)
    }
}

impl std::error::Error for Refusal {}
