//! A rig: the holder over the strings, its terminal block, its switch and its feet.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use crate::quantity::{Farads, Millimetres};

/// Names one rig for good, across benches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/rig.ts")]
pub struct RigId(pub Uuid);

/// A wiring mode, by the name its rig gives it: `parallel`, `single`, `series`, or words.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/rig.ts")]
pub struct Mode(pub String);

impl Mode {
    /// The mode with this name.
    pub fn new(name: impl Into<String>) -> Self {
        Self(name.into())
    }
}

/// What a person knows of a rig.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/rig.ts")]
pub struct Rig {
    /// What its owner calls it; never empty.
    pub label: String,
    /// Which way a pickup's poles point in it.
    pub faces: Faces,
    /// Terminal names in their order on the block; two to eight.
    pub terminals: Vec<String>,
    /// What each switch position does.
    pub positions: Vec<SwitchPosition>,
    /// Travel of a stud for one turn, in millimetres.
    pub thread_pitch: Option<Millimetres>,
    /// How many studs hold the holder: two to four.
    pub studs: u8,
    /// Distance between the bass-side and the treble-side studs, in millimetres.
    #[serde(default)]
    pub stud_spread: Option<Millimetres>,
    /// How far a stud can travel in all, in millimetres.
    #[serde(default)]
    pub stud_travel: Option<Millimetres>,
    /// What it stands on.
    pub feet: Feet,
    /// Capacitance it adds across the output, in farads.
    #[serde(default)]
    pub stray: Option<Farads>,
    /// Free words.
    #[serde(default)]
    pub notes: String,
}

/// Which way the poles of a pickup in the rig point.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/rig.ts")]
pub enum Faces {
    /// The pickup hangs above the strings, its poles down.
    Down,
    /// The pickup lies below the strings, its poles up.
    Up,
}

/// One position of a rig's switch.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/rig.ts")]
pub struct SwitchPosition {
    /// The mode this position gives.
    pub mode: Mode,
    /// Sets of terminals joined in this position, by their place on the block, counted from 0.
    pub bonds: Vec<Vec<u8>>,
    /// The terminal at the output's ground and the one at its tip, counted from 0.
    pub output: [u8; 2],
}

/// What a rig stands on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/rig.ts")]
pub enum Feet {
    /// Suction feet.
    Suction,
    /// Low-tack tape.
    Tape,
    /// Foam or rubber pads.
    Pads,
    /// It stands on the guitar without holding on (felt, cork, its own weight).
    Loose,
}

impl Feet {
    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Suction => "suction feet",
            Self::Tape => "low-tack tape",
            Self::Pads => "foam or rubber pads",
            Self::Loose => "felt or cork",
        }
    }
}

impl Rig {
    /// Whether there is a switch to set: a rig of one mode has none.
    #[must_use]
    pub fn has_switch(&self) -> bool {
        self.positions.len() > 1
    }

    /// The four-terminal rig: coil A minus, coil A plus, coil B minus, coil B plus; series bonds 2-3 and puts out 1
    /// and 4, parallel bonds 1-3 and 2-4, single puts out 1 and 2.
    ///
    /// Thread pitch 0.7 mm is that of an M4 screw (ISO 261); the rest is common practice.
    #[must_use]
    pub fn four_terminal(label: impl Into<String>) -> Self {
        let position = |mode: &str, bonds: &[[u8; 2]], output: [u8; 2]| SwitchPosition {
            mode: Mode::new(mode),
            bonds: bonds.iter().map(|pair| pair.to_vec()).collect(),
            output,
        };
        Self {
            label: label.into(),
            faces: Faces::Down,
            terminals: ["1", "2", "3", "4"].map(str::to_owned).to_vec(),
            positions: vec![
                position("parallel", &[[0, 2], [1, 3]], [0, 1]),
                position("single", &[], [0, 1]),
                position("series", &[[1, 2]], [0, 3]),
            ],
            thread_pitch: Some(Millimetres(0.7)),
            studs: 4,
            stud_spread: Some(Millimetres(80.0)),
            stud_travel: Some(Millimetres(20.0)),
            feet: Feet::Suction,
            stray: Some(Farads(30e-12)),
            notes: String::new(),
        }
    }

    /// Common kinds of rig to begin a record from, in no order of worth: what each is, and what may be joined in it. How it
    /// stands and what its studs do is its owner's to say.
    #[must_use]
    pub fn to_begin_from() -> [(&'static str, &'static str, Self); 4] {
        let position = |mode: &str, bonds: &[[u8; 2]], output: [u8; 2]| SwitchPosition {
            mode: Mode::new(mode),
            bonds: bonds.iter().map(|pair| pair.to_vec()).collect(),
            output,
        };
        let rig = |terminals: &[&str], positions: Vec<SwitchPosition>| Self {
            label: String::new(),
            terminals: terminals.iter().map(|name| (*name).to_owned()).collect(),
            positions,
            thread_pitch: None,
            stud_spread: None,
            stud_travel: None,
            feet: Feet::Loose,
            stray: None,
            ..Self::four_terminal("")
        };
        [
            (
                "Two clips",
                "Two leads, one mode.",
                rig(&["ground clip", "hot clip"], vec![position("direct", &[], [0, 1])]),
            ),
            (
                "Stub in a screw block",
                "A cable stub that stays soldered to the pickup, its core and braid under two screws.",
                rig(&["braid", "core"], vec![position("direct", &[], [0, 1])]),
            ),
            (
                "Three terminals",
                "Two coils, their joint in the middle: series, or one coil.",
                rig(
                    &["ground end", "joint", "hot end"],
                    vec![position("series", &[], [0, 2]), position("single", &[], [0, 1])],
                ),
            ),
            (
                "Four terminals",
                "Both ends of two coils: series, parallel, or one coil.",
                rig(
                    &["A ground side", "A hot side", "B ground side", "B hot side"],
                    vec![
                        position("series", &[[1, 2]], [0, 3]),
                        position("single", &[], [0, 1]),
                        position("parallel", &[[0, 2], [1, 3]], [0, 1]),
                    ],
                ),
            ),
        ]
    }

    /// The switch position that gives `mode`.
    #[must_use]
    pub fn position(&self, mode: &Mode) -> Option<&SwitchPosition> {
        self.positions.iter().find(|position| &position.mode == mode)
    }
}
