//! The proof of an install: whether the readings are those of a good one, and what is wrong when they are not.

mod cause;
mod probe;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use cause::InstallCause;
pub use probe::{JackProbe, JackTaken};

use super::{Install, JackSet};
use crate::meter::DiagnosisKind;

/// What resistance can't show on an installed pickup, to be said with every verdict.
pub const PROOF_CANNOT_SHOW: &str = "At the jack resistance can't show hot and ground exchanged, a pot case without ground, a \
                                     shorted turn or a weak magnet. The tap test, a probe on the pot cases and a listen do.";

/// What the readings of an install come to. Its parts are named as those of the rig's diagnosis are.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct Proof {
    /// The verdict.
    pub kind: DiagnosisKind,
    /// The verdict in words.
    pub sentence: String,
    /// Each reading beside what was expected, in the order taken.
    pub readings: Vec<ProofLine>,
    /// The likeliest causes, the likeliest first.
    pub ranked: Vec<ProofSuspect>,
    /// The one measurement that tells most; or, while all is well, the next position to measure.
    pub next: Option<ProofNext>,
    /// Positions that are still to be measured.
    pub left: Vec<JackSet>,
    /// What resistance can't show.
    pub cannot_show: String,
}

/// One reading beside what was expected.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ProofLine {
    /// Where it was taken, in words.
    pub words: String,
    /// What was read.
    pub read: String,
    /// What was expected.
    pub expected: String,
    /// Whether it lies within the band; nothing where there is none.
    pub agrees: Option<bool>,
}

/// One explanation of all readings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ProofSuspect {
    /// The cause; none when nothing is wrong.
    pub causes: Vec<InstallCause>,
    /// What is wrong, as a sentence.
    pub sentence: String,
    /// Why: what it predicts for each reading.
    pub why: String,
    /// What to do, a sentence a cause.
    pub what_to_do: Vec<String>,
    /// Its share among all explanations, 0 to 1, together with those alike.
    pub share: f64,
    /// The share in words: `almost sure`.
    pub how_sure: String,
    /// Other causes that would read the same everywhere so far, in words.
    pub alike: Vec<String>,
    /// The same causes as data.
    pub alike_causes: Vec<Vec<InstallCause>>,
}

/// The next measurement.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct ProofNext {
    /// Where to put the probes.
    pub probe: JackProbe,
    /// What to do, in a sentence.
    pub sentence: String,
    /// What it separates, in words; empty for a position that was not measured yet.
    pub why: String,
    /// How much it is expected to tell, in bits.
    pub bits: f64,
}

/// Ranks what may be wrong with an install, and names the one next measurement.
#[must_use]
pub fn prove(install: &Install, taken: &[JackTaken]) -> Proof {
    let _ = (install, taken);
    Proof {
        kind: DiagnosisKind::NothingYet,
        sentence: "No reading yet.".to_owned(),
        readings: Vec::new(),
        ranked: Vec::new(),
        next: None,
        left: Vec::new(),
        cannot_show: PROOF_CANNOT_SHOW.to_owned(),
    }
}
