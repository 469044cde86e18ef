//! What a note was heard in, folded from what was written before it and never asked for.

use chrono::{DateTime, Utc};

use crate::record::audition::Choice;
use crate::record::facts::{AmpKind, Cable, InputLoad, Installed, LoadResistor};
use crate::record::gaps::GapsMeasured;
use crate::record::mounting::Mounting;
use crate::record::names::BenchId;
use crate::record::note::Note;
use crate::record::quantity::Celsius;
use crate::record::sound::LevelTold;

/// What a sound went through when it was heard, recorded by itself.
#[derive(Debug, Clone, PartialEq)]
pub struct Conditions {
    /// What was chosen then.
    pub choice: Option<Choice>,
    /// How the pickup lay.
    pub mounting: Option<Mounting>,
    /// The gaps then.
    pub gaps: Option<GapsMeasured>,
    /// The amplifier and its settings then, in words; or as they were written down once it was over, where nobody had.
    pub amp: Option<String>,
    /// The kind of amplifier, if it was told.
    pub amp_kind: Option<AmpKind>,
    /// The level at the ear, if it was told.
    pub level: Option<LevelTold>,
    /// The room's temperature, if it was measured.
    pub room: Option<Celsius>,
    /// The tuning, where it was not the guitar record's.
    pub tuned: Option<Vec<Note>>,
    /// What became of the fitted pickup, if it was told.
    pub installed: Option<Installed>,
    /// The cable, if it was told.
    pub cable: Option<Cable>,
    /// Whether a clip grounded the strings, if it was told.
    pub string_ground: Option<bool>,
    /// What lay across the rig's output, if it was told.
    pub load: Option<LoadResistor>,
    /// The cable's capacitance, if it was told, in picofarads.
    pub picofarads: Option<u16>,
    /// The input of the amplifier or interface, if it was told.
    pub input: Option<InputLoad>,
    /// Who wrote it down: the device, as nobody is asked for a name.
    pub by: BenchId,
    /// When it was heard.
    pub at: DateTime<Utc>,
}

impl Conditions {
    /// The cable's capacitance, in picofarads: as it was told, else by its length.
    #[must_use]
    pub fn cable_picofarads(&self) -> Option<f64> {
        self.picofarads.map(f64::from).or(self.cable.map(Cable::picofarads))
    }

    /// Whether nothing but the time is different.
    #[must_use]
    pub fn is_as(&self, other: &Self) -> bool {
        let Self {
            choice,
            mounting,
            gaps,
            amp,
            amp_kind,
            level,
            room,
            tuned,
            installed,
            cable,
            string_ground,
            load,
            picofarads,
            input,
            by,
            at: _,
        } = self;
        *choice == other.choice
            && *mounting == other.mounting
            && *gaps == other.gaps
            && *amp == other.amp
            && *amp_kind == other.amp_kind
            && *level == other.level
            && *room == other.room
            && *tuned == other.tuned
            && *installed == other.installed
            && *cable == other.cable
            && *string_ground == other.string_ground
            && *load == other.load
            && *picofarads == other.picofarads
            && *input == other.input
            && *by == other.by
    }
}
