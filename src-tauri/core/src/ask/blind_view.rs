//! What is shown of takes beside each other, and of a test that is offered.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::entry::About;
use crate::record::names::EntryId;
use crate::record::quantity::{Decibels, Hertz, InInches};
use crate::record::take::TakeName;

/// One of the takes that are heard beside each other.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct HeardTake {
    /// The entry that kept it.
    pub entry: EntryId,
    /// Its file.
    pub take: TakeName,
    /// The name by which it is told from the others.
    pub name: String,
    /// How it was made.
    pub words: String,
    /// Where the stretch begins in it, in seconds.
    pub start: f64,
    /// The gain by which it is as loud as the quietest, in decibels; never above 0.
    pub gain: Decibels,
    /// `3.8 dB down`.
    pub gain_shown: String,
    /// How loud the stretch is as it was recorded: `−18.2 LUFS`.
    pub loudness_shown: String,
    /// The lowest and the highest sample in each of 240 parts, as recorded, full scale being 1.
    pub outline: Vec<[f32; 2]>,
    /// Third octaves by their names in hertz, matched, in decibels of full scale.
    pub thirds: Vec<(Hertz, Option<Decibels>)>,
}

/// Takes beside each other.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct TakesTogether {
    /// The takes, in the order they were named.
    pub takes: Vec<HeardTake>,
    /// Where the stretch begins, in seconds from where each begins to sound.
    pub from: f64,
    /// How long it is, in seconds.
    pub length: f64,
    /// How long the shortest of them sounds, in seconds.
    pub longest: f64,
    /// What differs, in sentences.
    pub differences: Vec<String>,
    /// What was not the same when they were made, in sentences.
    pub unfair: Vec<String>,
    /// The same in inches, one for each; nothing for one that tells no length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Option<InInches>>>", optional)]
    pub unfair_in_inches: Vec<Option<InInches>>,
}

/// What a number of trials can show.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct PowerLine {
    /// How often each pair is heard.
    pub trials: u32,
    /// How many answers the same way tell something; nothing where none would.
    pub needed: Option<u32>,
    /// How often a test finds out somebody who hears it half of the time, or takes the same one 8 times of 10; from 0 to 1.
    pub power: f64,
    /// That in words.
    pub words: String,
}

/// What a test would be.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/blind.ts")]
pub struct BlindOffer {
    /// The guitar or the pickup that it would be about.
    pub about: About,
    /// What is asked.
    pub question: String,
    /// The names of the takes.
    pub names: Vec<String>,
    /// How many pairs there are, the control not counted.
    pub pairs: u32,
    /// How many trials there are in all.
    pub all: u32,
    /// How long that takes, in words.
    pub words: String,
    /// What the chosen number can show.
    pub chosen: PowerLine,
    /// What other numbers can show.
    pub power: Vec<PowerLine>,
    /// What the control is, in a sentence.
    pub control: String,
    /// What was not the same for all, in sentences. It is marked for good.
    pub unfair: Vec<String>,
    /// The same in inches, one for each; nothing for one that tells no length.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(as = "Option<Vec<Option<InInches>>>", optional)]
    pub unfair_in_inches: Vec<Option<InInches>>,
}
