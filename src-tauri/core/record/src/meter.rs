//! The meter on the bench, and where its probes were put on a rig.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use crate::claim::Meter;
use crate::leads::Contact;
use crate::rig::Mode;

/// Names a meter for good.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/meter.ts")]
pub struct MeterId(pub Uuid);

impl MeterId {
    /// The meter that readings are taken with. A bench has one at a time, so its name is the same on every bench, and the
    /// newest description counts.
    pub const IN_USE: Self = Self(Uuid::from_u128(0x0198_0000_0000_7000_8000_0000_0000_0e7e));
}

/// A meter and what it claims.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/meter.ts")]
pub struct OwnMeter {
    /// What its owner calls it; never empty.
    pub label: String,
    /// What it claims of its readings.
    pub claim: Meter,
}

impl Default for OwnMeter {
    fn default() -> Self {
        Self { label: "A plain pocket meter".to_owned(), claim: Meter::plain() }
    }
}

/// Where to put the probes. All but the first are taken with nothing plugged in and fingers off the bare metal.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "at", deny_unknown_fields)]
#[ts(export_to = "contract/meter.ts")]
pub enum Probe {
    /// The rig's output, in a mode.
    Output {
        /// The mode.
        mode: Mode,
        /// What was taken care of.
        care: Care,
    },
    /// The screws of two terminals.
    Terminals {
        /// Where the switch stands.
        mode: Mode,
        /// The two, by their place on the block, counted from 0.
        between: [u8; 2],
    },
    /// The bare wire of two leads, beside the screws.
    Leads {
        /// Where the switch stands.
        mode: Mode,
        /// The two.
        between: [Contact; 2],
    },
    /// The bare wire of a lead, and the screw of a terminal.
    LeadAt {
        /// Where the switch stands.
        mode: Mode,
        /// The lead, or the shield.
        lead: Contact,
        /// The terminal, by its place on the block, counted from 0.
        terminal: u8,
    },
}

/// What is taken care of in a reading at the output.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/meter.ts")]
pub enum Care {
    /// As readings are taken commonly.
    AsUsual,
    /// Probes in clips, or held by their handles only.
    HandsOff,
    /// Nothing plugged in.
    Unplugged,
    /// Switch and range looked at, and the k or M on the display.
    SwitchAndRange,
}

/// What a terminal is called on its rig; its place, counted from 1, where it has no name there.
#[must_use]
pub fn terminal_name(terminals: &[String], terminal: u8) -> String {
    let name = terminals.get(usize::from(terminal)).filter(|name| !name.is_empty());
    name.cloned().unwrap_or_else(|| (u16::from(terminal) + 1).to_string())
}

impl Probe {
    /// In words, terminals counted from 1: `parallel, at the output, with nothing plugged in`.
    #[must_use]
    pub fn in_words(&self) -> String {
        self.in_words_with(&[])
    }

    /// The same, with the names of the rig's terminals; one without a name is counted from 1.
    #[must_use]
    pub fn in_words_with(&self, terminals: &[String]) -> String {
        let name = |terminal: u8| terminal_name(terminals, terminal);
        match self {
            Self::Output { mode, care } => {
                let care = match care {
                    Care::AsUsual => "",
                    Care::HandsOff => ", hands off the probes",
                    Care::Unplugged => ", with nothing plugged in",
                    Care::SwitchAndRange => ", with the range looked at",
                };
                format!("in {}, at the output{care}", mode.0)
            }
            Self::Terminals { mode, between: [a, b] } => {
                format!("between terminals {} and {}, in {}", name(*a), name(*b), mode.0)
            }
            Self::Leads { mode, between: [a, b] } => {
                format!("between {} and {}, in {}", a.in_words(), b.in_words(), mode.0)
            }
            Self::LeadAt { mode, lead, terminal } => {
                format!("from {} to the screw of terminal {}, in {}", lead.in_words(), name(*terminal), mode.0)
            }
        }
    }
}
