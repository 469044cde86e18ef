//! How a take was made, as it is typed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::Refusal;
use crate::ask::forms::typed::{at, ohms};
use crate::record::facts::Cable;
use crate::record::rig::Mode;
use crate::record::take::{LONGEST_WORDS, Played, Recorded, Through};
use crate::record::words;

/// How a take was made, as it is typed. All but what was played may be left out.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/take.ts")]
pub struct RecordedForm {
    /// What was played.
    pub played: Played,
    /// The mode; nothing where there is none to choose.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub mode: Option<Mode>,
    /// What it was recorded through.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub through: Option<Through>,
    /// Where the gain stood, in words.
    #[serde(default)]
    #[ts(optional = nullable, as = "Option<String>")]
    pub gain: String,
    /// A resistor across the rig's output, as typed: `125k`; empty for none.
    #[serde(default)]
    #[ts(optional = nullable, as = "Option<String>")]
    pub load: String,
    /// How long the cable was.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub cable: Option<Cable>,
    /// The device that recorded it.
    #[serde(default)]
    #[ts(optional = nullable, as = "Option<String>")]
    pub device: String,
}

impl RecordedForm {
    /// Reads what was typed.
    pub(crate) fn read(&self) -> Result<Recorded, Refusal> {
        let text = |field: &str, typed: &str| -> Result<String, Refusal> {
            let read = words::note(typed, "it").map_err(at(field))?.trim().to_owned();
            if read.chars().count() > LONGEST_WORDS {
                return Err(Refusal::unclear(field, format!("That is too long: {LONGEST_WORDS} letters fit.")));
            }
            Ok(read)
        };
        Ok(Recorded {
            played: self.played,
            mode: self.mode.clone(),
            through: self.through,
            gain: text("recorded.gain", &self.gain)?,
            load: ohms(&self.load, "recorded.load")?,
            cable: self.cable,
            device: text("recorded.device", &self.device)?,
            computed: None,
        })
    }

    /// As it was typed, to be offered again.
    pub(crate) fn of(recorded: &Recorded) -> Self {
        let Recorded { played, mode, through, gain, load, cable, device, computed: _ } = recorded.clone();
        let load = load.map_or_else(String::new, |load| load.shown());
        Self { played, mode, through, gain, load, cable, device }
    }
}
