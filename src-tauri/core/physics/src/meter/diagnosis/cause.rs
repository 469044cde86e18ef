//! What goes wrong on a bench, in a person's words.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::leads::Contact;
use crate::record::pickup::{CoilEnd, CoilName};
use crate::record::rig::Mode;
use crate::record::words::listed;

/// One thing that is wrong, with the hookup or with a reading.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "cause", deny_unknown_fields)]
#[ts(export_to = "contract/meter.ts")]
pub enum Cause {
    /// A lead is not clamped, or clamped on its insulation.
    NotClamped {
        /// The lead.
        lead: Contact,
    },
    /// A lead is clamped, but makes a bad contact: dirt, varnish, a strand or two.
    BadContact {
        /// The lead.
        lead: Contact,
    },
    /// Leads are in each other's place.
    InEachOthersPlace {
        /// Where each of them is, and where it belongs.
        leads: Vec<LeadIn>,
    },
    /// Both ends of a coil are in one terminal.
    OnOneTerminal {
        /// The coil.
        coil: CoilName,
        /// The lead that is in the wrong one.
        lead: Contact,
        /// The terminal both are in, by its place, counted from 0.
        terminal: u8,
        /// The terminal's name on the block.
        name: String,
    },
    /// A hair of wire joins two neighbours.
    Bridged {
        /// The names of the two terminals.
        terminals: [String; 2],
    },
    /// A coil is open inside.
    Broken {
        /// The coil.
        coil: CoilName,
    },
    /// An end of a coil touches the shield.
    TouchesShield {
        /// The coil end.
        end: CoilEnd,
    },
    /// The switch stood elsewhere for one reading.
    OtherPosition {
        /// The mode that was written down.
        mode: Mode,
        /// The mode in which it stood.
        stood: Mode,
    },
    /// The reading was taken on another range than thought, so that it is off by powers of ten.
    WrongRange {
        /// The mode of the reading; nothing for all readings.
        mode: Option<Mode>,
        /// The power of ten that was written too much; negative for too little.
        power: i8,
    },
    /// The meter's range was too low for the reading, so that it showed over limit.
    RangeTooLow {
        /// The mode of the reading; nothing for all readings.
        mode: Option<Mode>,
    },
    /// Fingers lay on the probes.
    Fingers {
        /// The mode of the reading; nothing for all readings.
        mode: Option<Mode>,
    },
    /// An amplifier or a volume pot is still connected.
    StillConnected,
    /// The coils are not what is stated for them.
    NotAsStated,
}

/// A lead, the terminal it is in and the one it belongs in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/meter.ts")]
pub struct LeadIn {
    /// The lead.
    pub lead: Contact,
    /// The name of the terminal it is in.
    pub terminal: String,
    /// The name of the terminal it belongs in; the same where only the record says otherwise.
    pub belongs: String,
}

impl LeadIn {
    fn lies_well(&self) -> bool {
        self.terminal == self.belongs
    }
}

impl Cause {
    /// Whether only a reading was taken wrongly: nothing is left of it once that is taken anew.
    #[must_use]
    pub fn is_past(&self) -> bool {
        match self {
            Self::OtherPosition { .. }
            | Self::WrongRange { .. }
            | Self::RangeTooLow { .. }
            | Self::Fingers { .. }
            | Self::StillConnected => true,
            Self::NotClamped { .. }
            | Self::BadContact { .. }
            | Self::InEachOthersPlace { .. }
            | Self::OnOneTerminal { .. }
            | Self::Bridged { .. }
            | Self::Broken { .. }
            | Self::TouchesShield { .. }
            | Self::NotAsStated => false,
        }
    }

    /// What is wrong, as a sentence without its full stop: `moss is not clamped, or clamped on its insulation`.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self {
            Self::NotClamped { lead } => format!("{} is not clamped on its bare wire", lead.in_words()),
            Self::BadContact { lead } => format!("{} makes a bad contact in its terminal", lead.in_words()),
            Self::InEachOthersPlace { leads } => match leads.as_slice() {
                leads if leads.iter().all(LeadIn::lies_well) => {
                    let places: Vec<String> =
                        leads.iter().map(|lead| format!("{} is in terminal {}", lead.lead, lead.terminal)).collect();
                    format!("it is not as written: {}", listed(&places))
                }
                [one, other] => format!("{} and {} are in each other's place", one.lead, other.lead),
                _ => {
                    let places: Vec<String> =
                        leads.iter().map(|lead| format!("{} on terminal {}", lead.lead, lead.terminal)).collect();
                    format!("the leads are mixed up: {}", listed(&places))
                }
            },
            Self::OnOneTerminal { coil, name, .. } => {
                format!("both ends of coil {} are in terminal {name}", coil.letter())
            }
            Self::Bridged { terminals: [a, b] } => format!("a hair of wire joins terminals {a} and {b}"),
            Self::Broken { coil } => format!("coil {} is broken inside", coil.letter()),
            Self::TouchesShield { end } => format!("{} touches the shield", end.in_words()),
            Self::OtherPosition { mode, stood } => {
                format!("the switch stood in {} for the {} reading", stood.0, mode.0)
            }
            Self::WrongRange { mode: Some(mode), power } => {
                format!("the {} reading is {} by its range", mode.0, times(*power))
            }
            Self::WrongRange { mode: None, power } => format!("all readings are {} by their range", times(*power)),
            Self::RangeTooLow { mode: Some(mode) } => {
                format!("the meter's range was too low for the {} reading", mode.0)
            }
            Self::RangeTooLow { mode: None } => "the meter's range was too low for every reading".to_owned(),
            Self::Fingers { mode: Some(mode) } => format!("fingers lay on the probes for the {} reading", mode.0),
            Self::Fingers { mode: None } => "fingers lay on the probes for every reading".to_owned(),
            Self::StillConnected => "an amplifier or a volume pot is still connected".to_owned(),
            Self::NotAsStated => "the coils are not what is stated for them".to_owned(),
        }
    }

    /// What to do about it, and what to measure after.
    #[must_use]
    pub fn what_to_do(&self) -> String {
        match self {
            Self::NotClamped { lead } => format!(
                "Take {} out, see that bare wire goes under the screw, clamp it snug and tug it. Then measure again.",
                lead.in_words()
            ),
            Self::BadContact { lead } => format!(
                "Take {} out, clean or strip its end to bright wire, and clamp all of it snug. Then measure again.",
                lead.in_words()
            ),
            Self::InEachOthersPlace { leads } => match leads.as_slice() {
                leads if leads.iter().all(LeadIn::lies_well) => {
                    "Look at the terminals. If it is so, leave it, and write it down at the leads.".to_owned()
                }
                [one, other] => format!(
                    "Swap the leads on terminals {} and {}. Then measure again.",
                    one.terminal, other.terminal
                ),
                _ => {
                    let places: Vec<String> =
                        leads.iter().map(|lead| format!("{} into terminal {}", lead.lead, lead.belongs)).collect();
                    format!("Put {}. Then measure again.", listed(&places))
                }
            },
            Self::OnOneTerminal { lead, name, .. } => {
                format!("Take {lead} out of terminal {name} and put it into its own. Then measure again.")
            }
            Self::Bridged { terminals: [a, b] } => format!(
                "Look between terminals {a} and {b} with a magnifier, and take the stray strand away. Then measure again."
            ),
            Self::Broken { coil } => format!(
                "Measure coil {} on its bare leads, off the block. If it shows OL there too, the coil or its lead is broken: \
                 that is work for a winder.",
                coil.letter()
            ),
            Self::TouchesShield { .. } => {
                "Look where the leads leave the cable: bare strands or a nicked insulation. Part them. Then measure again."
                    .to_owned()
            }
            Self::OtherPosition { mode, .. } => {
                format!("Set the switch to {} until it clicks, and measure that again.", mode.0)
            }
            Self::WrongRange { .. } => {
                "Look at the range and at the k or M on the display, and write the reading again.".to_owned()
            }
            Self::RangeTooLow { .. } => {
                "Turn the meter to a higher range, for 20 kΩ or more, and measure again.".to_owned()
            }
            Self::Fingers { .. } => {
                "Clip the probes on, or hold them by their handles only, and measure again.".to_owned()
            }
            Self::StillConnected => "Pull the plug out of the rig, and measure again.".to_owned(),
            Self::NotAsStated => {
                "Look whether it is the pickup you think. If it is, write what you measured into its record.".to_owned()
            }
        }
    }
}

fn times(power: i8) -> String {
    let factor = format!("1{}", "0".repeat(usize::from(power.unsigned_abs())));
    if power < 0 { format!("{factor} times too small") } else { format!("{factor} times too large") }
}
