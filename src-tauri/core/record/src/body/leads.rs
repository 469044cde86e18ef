//! Entries about the leads of a pickup.

use serde::{Deserialize, Serialize};
use strum::{IntoStaticStr, VariantNames};

use crate::leads::{CoilLeads, Contact, LeadName, RecordedTaps, Swing, Tap};
use crate::names::EntryId;
use crate::pickup::CoilName;
use crate::pickup::Polarity;
use crate::quantity::Reading;

/// What is found out about the leads of a pickup.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, VariantNames, IntoStaticStr)]
#[serde(rename_all = "snake_case", tag = "kind", deny_unknown_fields)]
#[strum(serialize_all = "snake_case")]
pub enum LeadsBody {
    /// The leads of a pickup are to be found out; what was measured of them before no longer counts.
    LeadsBegun {
        /// The leads, by their owner's names or colours.
        leads: Vec<LeadName>,
        /// Whether there is a shield to measure at.
        shield: bool,
        /// Whether there is a frame or baseplate to measure at.
        frame: bool,
        /// The coils with the leads at their ends, minus first, where the pickup's record is taken for right: then only what swings and
        /// which pole is up is to be found out. Empty where the leads are measured.
        #[serde(default, skip_serializing_if = "Vec::is_empty")]
        as_recorded: Vec<CoilLeads>,
    },
    /// A reading between two leads of a pickup, or a lead and its shield or frame.
    LeadsMeasured {
        /// The two.
        between: [Contact; 2],
        /// What the meter showed; nothing when the two can't be reached.
        reading: Option<Reading>,
        /// The letters that were typed; empty when the two can't be reached.
        typed: String,
        /// Somebody was asked whether it is so, and said yes.
        #[serde(default, skip_serializing_if = "std::ops::Not::not")]
        sure: bool,
    },
    /// Which coil lies between two leads of a pickup.
    CoilNamed {
        /// The coil and its leads.
        coil: CoilLeads,
    },
    /// Steel laid on a pickup's poles and pulled off.
    Tapped {
        /// The probes and the swing.
        tap: Tap,
    },
    /// Three taps on the poles, recorded, which agree.
    TapsRecorded {
        /// Where the cable was clipped, and which way they swing.
        taps: RecordedTaps,
    },
    /// A cell of which plus is known, touched three times: whether an input turns what it records about.
    InputCalibrated {
        /// The input, as its owner calls it.
        input: String,
        /// Whether it does.
        turned: bool,
        /// The entry that kept the recording.
        #[serde(default, skip_serializing_if = "Option::is_none")]
        take: Option<EntryId>,
    },
    /// A compass held over a pickup's coil.
    CompassHeld {
        /// The coil.
        coil: CoilName,
        /// The pole that faces the strings; nothing when the compass did not tell.
        up: Option<Polarity>,
    },
}

impl LeadsBody {
    /// In words; nothing where leads are only named.
    #[must_use]
    pub fn in_words(&self) -> Option<String> {
        Some(match self {
            Self::LeadsMeasured { between: [a, b], reading: Some(reading), .. } => {
                format!("{a} to {b}: {}", reading.shown())
            }
            Self::LeadsMeasured { between: [a, b], reading: None, .. } => format!("{a} to {b}: can't be reached"),
            Self::CoilNamed { coil } => {
                format!("Coil {} lies between {} and {}", coil.coil.letter(), coil.between[0], coil.between[1])
            }
            Self::Tapped { tap } => {
                let swing = match tap.swing {
                    Swing::Up => "swings to plus",
                    Swing::UpSmall => "swings to plus, hardly",
                    Swing::Down => "swings to minus",
                    Swing::DownSmall => "swings to minus, hardly",
                    Swing::Nothing => "no swing seen",
                };
                format!("Tapped, plus probe on {}, minus on {}: {swing}", tap.plus, tap.minus)
            }
            Self::TapsRecorded { taps: RecordedTaps { tip, sleeve, input, up, height, .. } } => {
                let way = if *up { "up" } else { "down" };
                let height = height.shown();
                format!(
                    "Three taps on {input}, tip on {tip}, sleeve on {sleeve}: all swing {way} first, {height} of full scale"
                )
            }
            Self::InputCalibrated { input, turned, .. } => {
                let turns = if *turned { "turns what it records upside down" } else { "records plus as plus" };
                format!("A cell touched to {input} three times: this input {turns}")
            }
            Self::CompassHeld { coil, up } => {
                let up = match up {
                    Some(Polarity::North) => "north is up",
                    Some(Polarity::South) => "south is up",
                    None => "the compass does not tell",
                };
                format!("Coil {}: {up}", coil.letter())
            }
            Self::LeadsBegun { .. } => return None,
        })
    }
}
