//! What a person types into a form, and the record it becomes.
//!
//! Every typed quantity travels as text and is read here, so that a refusal can name the field and no page has to
//! compute. The same form is given back, filled from the record, to be edited.

pub(super) mod guitar;
pub(super) mod measured;
pub(super) mod meter;
pub(super) mod pickup;
pub(super) mod rig;
pub(super) mod sizes;
pub(super) mod take;
pub(super) mod typed;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Refusal;
use crate::ask::forms::guitar::BETWEEN_SADDLE_AND_NUT;
use crate::ask::forms::typed::{at, length_of};
use crate::physics::lengths::{PLACE, read_length_of};
use crate::record::audition::{AuditionId, Choice};
use crate::record::guitar::{Guitar, GuitarId};
use crate::record::mounting::Lie;
use crate::record::names::EntryId;
use crate::record::pickup::{CoilName, PickupId};
use crate::record::quantity::LengthUnit;
use crate::record::rig::{Mode, Rig, RigId};
use crate::record::sound::Loudness;
use crate::record::words;

/// The level at the ear as typed or picked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "by", deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub enum LevelForm {
    /// Read from a meter.
    Meter {
        /// As typed: `85`, `92.5 dB(A)`.
        typed: String,
    },
    /// Picked from plain descriptions.
    Words {
        /// The description.
        loudness: Loudness,
    },
}

/// What is chosen for an audition, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/audition.ts")]
pub struct ChoiceForm {
    /// The pickup.
    pub pickup: PickupId,
    /// The guitar.
    pub guitar: GuitarId,
    /// The rig.
    pub rig: RigId,
    /// What the place is called.
    pub place: String,
    /// From the saddle to the pole line, as typed; at the bass side where the two sides differ.
    pub from_saddle: String,
    /// The same at the treble side, as typed, where it differs.
    #[serde(default)]
    pub from_saddle_treble: String,
    /// The unit of a bare length.
    pub unit: LengthUnit,
    /// The modes to hear.
    pub modes: Vec<Mode>,
    /// What the person wants to find out.
    pub question: String,
}

/// What the studs are turned for, as typed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "aim", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract/gaps.ts")]
pub enum AimForm {
    /// The middle of the starting range.
    Middle {},
    /// The gaps of an earlier audition.
    Earlier {
        /// Which.
        audition: AuditionId,
    },
    /// Gaps of one's own.
    Typed {
        /// At the bass side, as typed.
        bass: String,
        /// At the treble side, as typed.
        treble: String,
        /// The unit of bare lengths.
        unit: LengthUnit,
        /// The fret at which the strings are pressed; nothing when they are open.
        pressed_at: Option<u8>,
    },
}

/// What is listened to at two places, as typed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/strings.ts")]
pub struct HearForm {
    /// The pickup.
    pub pickup: PickupId,
    /// The guitar.
    pub guitar: GuitarId,
    /// The rig.
    pub rig: RigId,
    /// How the pickup lies in the rig; nothing for the right way round.
    pub lie: Option<Lie>,
    /// From the saddle to the pole line in the rig, as typed; at the bass side where the two sides differ.
    pub from_saddle: String,
    /// The same at the treble side, as typed, where it differs.
    #[serde(default)]
    pub from_saddle_treble: String,
    /// From the saddle to the pole line where it will be installed, as typed; empty for the rig's place.
    pub final_place: String,
    /// The same at the treble side, as typed, where it differs.
    #[serde(default)]
    pub final_place_treble: String,
    /// The unit of bare lengths.
    pub unit: LengthUnit,
    /// The coil that hears alone; nothing for all together.
    pub coil: Option<CoilName>,
    /// Distance between two coils, as typed; empty for the record's.
    pub apart: String,
    /// Length of string that one coil senses, as typed; empty for the usual one.
    pub aperture: String,
    /// The string whose harmonics are wanted, counted from 0 at the bass side.
    pub string: u8,
    /// The fret at which it is pressed; 0 is open.
    pub fret: u8,
    /// The tuning, as typed; empty for the record's.
    pub tuning: String,
}

impl ChoiceForm {
    pub(super) fn read(self, guitar: &Guitar, rig: &Rig) -> Result<Choice, Refusal> {
        let from_saddle = read_length_of(&self.from_saddle, self.unit, &PLACE).map_err(at("from_saddle"))?;
        if from_saddle.0 <= 0.0 || from_saddle.0 >= guitar.scale.0 {
            return Err(Refusal::unclear("from_saddle", BETWEEN_SADDLE_AND_NUT));
        }
        let from_saddle_treble = length_of(&PLACE, &self.from_saddle_treble, self.unit, "from_saddle_treble")?;
        if from_saddle_treble.is_some_and(|treble| treble.0 <= 0.0 || treble.0 >= guitar.scales()[1].0) {
            return Err(Refusal::unclear("from_saddle_treble", BETWEEN_SADDLE_AND_NUT));
        }
        let mut modes: Vec<Mode> = Vec::new();
        for mode in self.modes {
            if rig.position(&mode).is_none() {
                return Err(Refusal::unclear("modes", "The rig has no such mode."));
            }
            if !modes.contains(&mode) {
                modes.push(mode);
            }
        }
        if modes.is_empty() {
            return Err(Refusal::unclear("modes", "Choose at least one mode to hear."));
        }
        Ok(Choice {
            pickup: self.pickup,
            guitar: self.guitar,
            rig: self.rig,
            place: words::label(&self.place, "the place").map_err(at("place"))?,
            from_saddle,
            from_saddle_treble,
            modes,
            question: words::note(&self.question, "the question").map_err(at("question"))?,
        })
    }
}
/// What is said of the sound at an install.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub enum SoundAct {
    /// Tells how loud it is at the ear.
    TellLevel {
        /// By a meter or in plain words.
        level: LevelForm,
    },
    /// Corrects a time with the sound up.
    CorrectListening {
        /// The entry with which the sound came up.
        session: EntryId,
        /// How long it really was, as typed; empty where that was right.
        time: String,
        /// How loud it really was; nothing where that was right.
        level: Option<LevelForm>,
    },
}
