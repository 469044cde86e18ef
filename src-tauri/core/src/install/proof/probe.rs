//! Where a meter can be put on an installed pickup, and what it showed there.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::cause::pot;
use crate::install::JackSet;
use crate::install::circuit::{Circuit, Look, SLEEVE, TIP, case, point, wire};
use crate::install::jack::look;
use crate::meter::diagnosis::said;
use crate::quantity::Reading;

/// Where to put the probes. The guitar is unplugged, and fingers are off the bare metal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "at", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum JackProbe {
    /// Tip to sleeve, at the jack.
    Jack {
        /// How everything stands.
        set: JackSet,
    },
    /// From a point of the wiring to the jack's sleeve.
    PointToSleeve {
        /// How everything stands.
        set: JackSet,
        /// The point, by its place in the wiring's list.
        point: u8,
    },
    /// From a point of the wiring to the jack's tip.
    PointToTip {
        /// How everything stands.
        set: JackSet,
        /// The point, by its place in the wiring's list.
        point: u8,
    },
    /// From the bare wire of a lead to a point of the wiring: across a joint.
    LeadToPoint {
        /// How everything stands.
        set: JackSet,
        /// The lead; [`crate::audition::SHIELD`] for the shield.
        lead: String,
        /// The point, by its place in the wiring's list.
        point: u8,
    },
    /// From the case of a volume pot to the jack's sleeve.
    CaseToSleeve {
        /// How everything stands.
        set: JackSet,
        /// The place it belongs to; empty for the shared one.
        place: String,
    },
}

/// A reading and where it was taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct JackTaken {
    /// Where.
    pub probe: JackProbe,
    /// What the meter showed.
    pub reading: Reading,
}

impl JackProbe {
    /// How everything stands.
    #[must_use]
    pub fn set(&self) -> &JackSet {
        match self {
            Self::Jack { set }
            | Self::PointToSleeve { set, .. }
            | Self::PointToTip { set, .. }
            | Self::LeadToPoint { set, .. }
            | Self::CaseToSleeve { set, .. } => set,
        }
    }
}

impl JackProbe {
    /// The look that is meant; nothing when this guitar has no such position, point or lead.
    pub(super) fn look(&self, circuit: &Circuit) -> Option<Look> {
        let node = |place: u8| (usize::from(place) < circuit.points.len()).then(|| point(place));
        let port = match self {
            Self::Jack { .. } => (TIP, SLEEVE),
            Self::PointToSleeve { point, .. } => (node(*point)?, SLEEVE),
            Self::PointToTip { point, .. } => (node(*point)?, TIP),
            Self::LeadToPoint { lead, point, .. } => {
                let lead = circuit.wires.iter().position(|wire| &wire.name == lead)?;
                (wire(u8::try_from(lead).ok()?), node(*point)?)
            }
            Self::CaseToSleeve { place, .. } => {
                let pot = (0..circuit.pots()).find(|pot| &circuit.pot_name(*pot) == place)?;
                (case(pot), SLEEVE)
            }
        };
        look(circuit, self.set(), port)
    }

    /// In words: `at the jack, selector on neck, volume at full`.
    pub(super) fn in_words(&self, circuit: &Circuit) -> String {
        let at = |point: &u8| circuit.points.get(usize::from(*point)).cloned().unwrap_or_default();
        let set = self.set().in_words();
        match self {
            Self::Jack { .. } => format!("at the jack, {set}"),
            Self::PointToSleeve { point, .. } => format!("{} to the sleeve, {set}", at(point)),
            Self::PointToTip { point, .. } => format!("{} to the tip, {set}", at(point)),
            Self::LeadToPoint { lead, point, .. } => format!("{} to {}, {set}", said(lead), at(point)),
            Self::CaseToSleeve { place, .. } => format!("case of {} to the sleeve", pot(place, "volume pot")),
        }
    }

    /// What to do, in a sentence.
    pub(super) fn sentence(&self, circuit: &Circuit) -> String {
        let at = |point: &u8| circuit.points.get(usize::from(*point)).cloned().unwrap_or_default();
        let set = self.set().in_words();
        let care = "Hold the probes by their handles.";
        match self {
            Self::Jack { .. } => format!("With the {set}: measure between tip and sleeve at the jack."),
            Self::PointToSleeve { point, .. } => {
                format!("With the {set}: measure from {} to the sleeve of the jack. {care}", at(point))
            }
            Self::PointToTip { point, .. } => {
                format!("With the {set}: measure from {} to the tip of the jack. {care}", at(point))
            }
            Self::LeadToPoint { lead, point, .. } => {
                format!("With the {set}: measure from the bare wire of {} to {}. {care}", said(lead), at(point))
            }
            Self::CaseToSleeve { place, .. } => {
                format!("Measure from the case of {} to the sleeve of the jack.", pot(place, "volume pot"))
            }
        }
    }

    /// How much trouble it is, against a reading at the jack: for all others the guitar is open.
    pub(super) fn trouble(&self) -> f64 {
        match self {
            Self::Jack { .. } => 1.0,
            Self::CaseToSleeve { .. } => 1.1,
            Self::PointToSleeve { .. } | Self::PointToTip { .. } => 1.2,
            Self::LeadToPoint { .. } => 1.25,
        }
    }
}
