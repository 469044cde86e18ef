//! How a pickup is to be wired, and where the probes were put on the wired guitar.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::contacts::ModeSwitch;
use crate::leads::Contact;
use crate::rig::Mode;

/// How everything stands for a reading at the jack. All tones are at full, nothing is plugged in but the meter.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct JackSet {
    /// The position of the pickup selector, by name; empty where there is none.
    pub selector: String,
    /// The position of the mode switch, by name; empty for a fixed mode.
    pub switch: String,
    /// The volumes.
    pub volumes: Volumes,
}

/// How the volumes stand.
#[derive(Debug, Clone, PartialEq, Eq, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "at", deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub enum Volumes {
    /// All at full.
    Full {},
    /// All at zero.
    Zero {},
    /// All about half way.
    Half {},
    /// One at zero, the others at full.
    ZeroOf {
        /// The place it belongs to.
        place: String,
    },
}

impl Volumes {
    /// In a person's words: `volume at full`.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self {
            Self::Full {} => "volume at full".to_owned(),
            Self::Zero {} => "volume at zero".to_owned(),
            Self::Half {} => "volume about half way".to_owned(),
            Self::ZeroOf { place } => format!("{place} volume at zero, the other at full"),
        }
    }
}

impl JackSet {
    /// In a person's words: `selector on neck, switch on up, volume at full`.
    #[must_use]
    pub fn in_words(&self) -> String {
        let mut words = Vec::new();
        if !self.selector.is_empty() {
            words.push(format!("selector on {}", self.selector));
        }
        if !self.switch.is_empty() {
            words.push(format!("mode switch on {}", self.switch));
        }
        words.push(self.volumes.in_words());
        words.join(", ")
    }
}

/// Where to put the probes. The guitar is unplugged, and fingers are off the bare metal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "at", deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
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
        /// The lead, or the shield.
        lead: Contact,
        /// The point, by its place in the wiring's list.
        point: u8,
    },
    /// Across a joint, from the wire that goes in to the metal it sits on: from its cold side to its hot side.
    AcrossJoint {
        /// How everything stands.
        set: JackSet,
        /// The joint.
        joint: JointAt,
    },
    /// From the bridge to the jack's sleeve: the ground of the strings.
    BridgeToSleeve {
        /// How everything stands.
        set: JackSet,
    },
    /// From the case of a volume pot to the jack's sleeve.
    CaseToSleeve {
        /// How everything stands.
        set: JackSet,
        /// The place it belongs to; empty for the shared one.
        place: String,
    },
}

/// A joint, or a short wire with its two joints.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "of", deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub enum JointAt {
    /// A lead of the new pickup, on the point where it belongs.
    Lead {
        /// The lead, or the shield.
        lead: Contact,
    },
    /// A wire between two points.
    Wire {
        /// The points, by their places in the wiring's list.
        between: [u8; 2],
    },
    /// From the new pickup's hot to its pot or the selector.
    Hot {},
    /// From the new pickup's ground to the guitar's.
    Ground {},
    /// From the volume or selector to the jack's tip.
    Tip {},
    /// From the guitar's ground to the jack's sleeve.
    Sleeve {},
    /// The grounded lug of a volume pot.
    Lug {
        /// The place it belongs to; empty for the shared one.
        place: String,
    },
    /// The hot of a pickup that stays.
    Stays {
        /// Its place.
        place: String,
    },
    /// The ground of a pickup that stays.
    StaysGround {
        /// Its place.
        place: String,
    },
    /// The selector's contact for a place, in a position that puts it out.
    Selector {
        /// The place.
        place: String,
    },
    /// A contact of the mode switch, in a position that closes it.
    Switch {
        /// The points it joins, by their places in the wiring's list.
        between: [u8; 2],
    },
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
            | Self::AcrossJoint { set, .. }
            | Self::BridgeToSleeve { set }
            | Self::CaseToSleeve { set, .. } => set,
        }
    }

    /// Whether the probes lie on the same metal. Inside the guitar the switches may stand otherwise then.
    #[must_use]
    pub fn same_place(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::AcrossJoint { joint, .. }, Self::AcrossJoint { joint: other, .. }) => joint == other,
            (Self::BridgeToSleeve { .. }, Self::BridgeToSleeve { .. }) => true,
            (Self::CaseToSleeve { place, .. }, Self::CaseToSleeve { place: other, .. }) => place == other,
            (Self::PointToSleeve { point, .. }, Self::PointToSleeve { point: other, .. })
            | (Self::PointToTip { point, .. }, Self::PointToTip { point: other, .. }) => point == other,
            (Self::LeadToPoint { lead, point, .. }, Self::LeadToPoint { lead: l, point: p, .. }) => {
                lead == l && point == p
            }
            _ => self == other,
        }
    }
}

/// What the person means to install.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct Plan {
    /// The modes that are wanted: one without a switch; with one, in the order of its positions as far as that can be.
    pub modes: Vec<Mode>,
    /// The switch; nothing for one mode that is fixed.
    #[serde(default)]
    pub switch: Option<ModeSwitch>,
    /// Whether hot and ground of the pickup are exchanged, to bring it in phase with one that stays.
    #[serde(default)]
    pub turned: bool,
    /// What the pickup selector does beside choosing places; then the switch is a further pole of it, with the selector's positions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub selector: Option<BySelector>,
}

/// What a pickup selector does beside choosing places: it changes the new pickup's mode, and may put two pickups in a row.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct BySelector {
    /// Its positions in which the new pickup is heard.
    pub heard: Vec<String>,
    /// Two pickups in a row in one position; nothing where none stands on another.
    #[serde(default)]
    pub row: Option<InRow>,
}

/// Two pickups in a row in one position of the selector: the ground end of one lies on the hot of the other there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct InRow {
    /// The selector's position.
    pub position: String,
    /// The place of the pickup that stands on the other: the selector joins its ground end to ground, or to the other's hot.
    pub upper: String,
    /// The place of the one it stands on: its ground end stays at ground.
    pub lower: String,
}

/// The positions of a plan's switch, each with the mode it is to give; one without a name where there is no switch. Of a selector
/// they are those in which the new pickup is heard.
#[must_use]
pub fn positions(plan: &Plan) -> Vec<(Option<String>, Mode)> {
    match &plan.switch {
        None => plan.modes.first().map(|mode| (None, mode.clone())).into_iter().collect(),
        Some(switch) => switch
            .positions
            .iter()
            .zip(&plan.modes)
            .filter(|(position, _)| plan.selector.as_ref().is_none_or(|by| by.heard.contains(&position.name)))
            .map(|(position, mode)| (Some(position.name.clone()), mode.clone()))
            .collect(),
    }
}

/// `DPDT on-on: one gives series, two gives parallel.`
#[must_use]
pub fn plan_in_words(plan: &Plan) -> String {
    let gives: Vec<String> = positions(plan)
        .into_iter()
        .map(|(name, mode)| name.map_or_else(|| mode.0.clone(), |name| format!("{name} gives {}", mode.0)))
        .collect();
    let turned = if plan.turned { " Hot and ground of the pickup change places." } else { "" };
    let row = plan.selector.iter().find_map(|by| by.row.as_ref()).map_or_else(String::new, |row| {
        format!(" In {}, the {} pickup stands on the {} one, both in a row.", row.position, row.upper, row.lower)
    });
    match &plan.switch {
        None => format!("{}, for good.{turned}", gives.join(", ")),
        Some(switch) if plan.selector.is_some() => {
            format!("By the selector ({}): {}.{row}{turned}", switch.name, gives.join(", "))
        }
        Some(switch) => format!("{}: {}.{turned}", switch.name, gives.join(", ")),
    }
}
