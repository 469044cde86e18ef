//! Why something was not done, by the bench or on the way to it, for a program (a stable code) and for a person (a sentence).

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
    /// The file is no take that can be kept; the field says why.
    Take,
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

    // On the way to the bench.
    /// The question was not sent as JSON.
    NotJson,
    /// The question is longer than one may be.
    TooLong,
    /// It ended before it was whole.
    CutOff,
    /// It took too long to arrive.
    TooSlow,
    /// It was not sent as a file.
    NotAFile,
    /// There is nothing at this address, or it does not do that.
    NotHere,
    /// It was asked under another address than the bench shows.
    WrongHost,
    /// It did not come from a page of the bench.
    WrongOrigin,
    /// The system names no folder for this.
    NoPlace,
    /// A file could not be written for the person.
    NotKept,

    // At the doors.
    /// This browser was not let in.
    NotLetIn,
    /// The key is not that of the address shown.
    WrongKey,
    /// This phone is not paired.
    NotPaired,
    /// It needs the code that the computer shows.
    CodeNeeded,
    /// What was typed is no code.
    NotACode,
    /// It is not the code.
    WrongCode,
    /// The code has run out.
    CodeOld,
    /// The code has let a phone in already.
    CodeUsed,
    /// Too many wrong codes were tried.
    TooManyTries,
    /// The system gave no randomness for a secret.
    NoRandomness,
    /// Another phone has this name.
    NameTaken,
    /// No phone of this name is paired.
    NoSuchPhone,
    /// The phone door could not be opened or closed.
    DoorStuck,
}

impl Refusal {
    /// Something typed that can't be read.
    #[must_use]
    pub fn unclear(field: &str, sentence: impl Into<String>) -> Self {
        Self { code: Code::Unclear, sentence: sentence.into(), field: Some(field.to_owned()) }
    }

    /// About no field.
    #[must_use]
    pub fn new(code: Code, sentence: impl Into<String>) -> Self {
        Self { code, sentence: sentence.into(), field: None }
    }

    /// The same, naming the field at fault.
    #[must_use]
    pub fn about(self, field: impl Into<String>) -> Self {
        Self { field: Some(field.into()), ..self }
    }

    /// As a whole answer in JSON: `{"refused": {"code", "sentence", "field"}}`.
    #[must_use]
    pub fn answer(&self) -> Vec<u8> {
        serde_json::json!({ "refused": self }).to_string().into_bytes()
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
