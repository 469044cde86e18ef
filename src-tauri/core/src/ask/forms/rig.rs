//! A rig as typed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::Refusal;
use crate::ask::forms::typed::{Written, at, farads, from_to, length_of, read_length_as, shown_length, shown_pitch};
use crate::physics::lengths::{PITCH, SPREAD, TRAVEL};
use crate::record::quantity::{Farads, LengthUnit};
use crate::record::rig::{Faces, Feet, Mode, Rig, SwitchPosition};
use crate::record::words;

/// How far a stud travels a turn at least and at most, in millimetres.
const LEAST_A_TURN: f64 = 0.1;
const MOST_A_TURN: f64 = 5.0;

/// A rig as typed. Empty text means "not known".
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/rig.ts")]
pub struct RigForm {
    /// What its owner calls it.
    pub label: String,
    /// Which way a pickup's poles point in it.
    pub faces: Faces,
    /// Terminal names, in order.
    pub terminals: Vec<String>,
    /// What each switch position does.
    pub positions: Vec<SwitchPosition>,
    /// Travel of a stud for one turn, as typed.
    pub thread_pitch: String,
    /// How many studs.
    pub studs: u8,
    /// Distance between bass-side and treble-side studs, as typed.
    pub stud_spread: String,
    /// How far a stud travels, as typed.
    pub stud_travel: String,
    /// What it stands on.
    pub feet: Feet,
    /// Stray capacitance, as typed.
    pub stray: String,
    /// Free words.
    pub notes: String,
    /// The unit of bare lengths.
    pub unit: LengthUnit,
}

/// A common kind of rig.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/rig.ts")]
pub struct RigToBeginFrom {
    /// What it is.
    pub what: String,
    /// What can be joined in it, in a sentence.
    pub joins: String,
    /// A form of it, without a label.
    pub form: RigForm,
}

impl RigForm {
    pub(crate) fn read(self) -> Result<Rig, Refusal> {
        let count = self.terminals.len();
        if !(2..=8).contains(&count) {
            return Err(Refusal::unclear("terminals", "A terminal block has two to eight terminals here."));
        }
        let mut terminals = Vec::new();
        for (index, name) in self.terminals.iter().enumerate() {
            terminals.push(words::label(name, "the terminal").map_err(at(format!("terminals.{index}")))?);
        }
        if self.positions.is_empty() || self.positions.len() > 8 {
            return Err(Refusal::unclear("positions", "A rig's switch has one to eight positions here."));
        }
        let mut positions: Vec<SwitchPosition> = Vec::new();
        for (index, position) in self.positions.into_iter().enumerate() {
            let field = format!("positions.{index}");
            let mode = Mode(words::label(&position.mode.0, "the mode").map_err(at(field.as_str()))?.to_lowercase());
            if positions.iter().any(|other| other.mode == mode) {
                return Err(Refusal::unclear(&field, "Two positions can't give the same mode."));
            }
            if position.bonds.iter().flatten().chain(&position.output).any(|terminal| usize::from(*terminal) >= count) {
                return Err(Refusal::unclear(&field, "This position names a terminal that the block does not have."));
            }
            if position.output[0] == position.output[1] {
                return Err(Refusal::unclear(&field, "The output needs two different terminals."));
            }
            positions.push(SwitchPosition { mode, ..position });
        }
        if !(2..=4).contains(&self.studs) {
            return Err(Refusal::unclear("studs", "A rig stands on two to four studs here."));
        }
        let thread_pitch = length_of(&PITCH, &self.thread_pitch, self.unit, "thread_pitch")?;
        if thread_pitch.is_some_and(|pitch| !(LEAST_A_TURN..=MOST_A_TURN).contains(&pitch.0)) {
            let between = from_to(LEAST_A_TURN, MOST_A_TURN, self.unit);
            return Err(Refusal::unclear(
                "thread_pitch",
                format!("A stud travels between {between} a turn. Check the unit."),
            ));
        }
        Ok(Rig {
            label: words::label(&self.label, "the rig").map_err(at("label"))?,
            faces: self.faces,
            terminals,
            positions,
            thread_pitch,
            studs: self.studs,
            stud_spread: length_of(&SPREAD, &self.stud_spread, self.unit, "stud_spread")?,
            stud_travel: length_of(&TRAVEL, &self.stud_travel, self.unit, "stud_travel")?,
            feet: self.feet,
            stray: farads(&self.stray, "stray")?,
            notes: words::note(&self.notes, "the note").map_err(at("notes"))?,
        })
    }

    /// As typed text, from which nothing is lost.
    pub(crate) fn from_record(rig: &Rig, unit: LengthUnit) -> Self {
        Self::with_lengths(rig, unit, shown_length)
    }

    /// To be read and not to be typed again: lengths as they are shown elsewhere.
    pub(crate) fn to_read(rig: &Rig, unit: LengthUnit) -> Self {
        Self::with_lengths(rig, unit, read_length_as)
    }

    pub(crate) fn with_lengths(rig: &Rig, unit: LengthUnit, written: Written) -> Self {
        Self {
            label: rig.label.clone(),
            faces: rig.faces,
            terminals: rig.terminals.clone(),
            positions: rig.positions.clone(),
            thread_pitch: shown_pitch(rig.thread_pitch, unit),
            studs: rig.studs,
            stud_spread: written(rig.stud_spread, unit),
            stud_travel: written(rig.stud_travel, unit),
            feet: rig.feet,
            stray: rig.stray.map(Farads::shown).unwrap_or_default(),
            notes: rig.notes.clone(),
            unit,
        }
    }
}
