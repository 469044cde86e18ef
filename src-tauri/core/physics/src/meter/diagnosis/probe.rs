//! Where a meter can be put, and what it showed there.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::meter::circuit::{RigCircuit, RigLook, terminal, wire};
use crate::record::leads::Contact;
use crate::record::meter::{Care, Probe};
use crate::record::quantity::{Ohms, Reading, last_digit};
use crate::record::rig::Mode;

/// A reading and where it was taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/meter.ts")]
pub struct Taken {
    /// Where.
    pub probe: Probe,
    /// What the meter showed.
    pub reading: Reading,
    /// As it was typed; empty where that is not known.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub typed: String,
}

impl Taken {
    /// A reading of which only the value is known.
    #[must_use]
    pub fn new(probe: Probe, reading: Reading) -> Self {
        Self { probe, reading, typed: String::new() }
    }

    /// A reading at the output, as it is taken commonly.
    #[must_use]
    pub fn at_output(mode: Mode, reading: Reading) -> Self {
        Self::new(Probe::Output { mode, care: Care::AsUsual }, reading)
    }

    /// The same, with the letters that were typed for it.
    #[must_use]
    pub fn typed(self, typed: &str) -> Self {
        Self { typed: typed.to_owned(), ..self }
    }

    /// What its last digit stands for, if that is known.
    #[must_use]
    pub fn last_digit(&self) -> Option<Ohms> {
        last_digit(&self.typed)
    }
}

/// A place for the probes of a meter, on a rig.
pub(super) trait AtTheRig {
    /// The look that is meant; nothing when this rig has no such mode, terminal or lead.
    fn look(&self, circuit: &RigCircuit) -> Option<RigLook>;

    /// What to do, in a sentence.
    fn sentence(&self, circuit: &RigCircuit) -> String;
}

impl AtTheRig for Probe {
    fn look(&self, circuit: &RigCircuit) -> Option<RigLook> {
        let place = |place: u8| (usize::from(place) < circuit.terminals.len()).then(|| terminal(place));
        let lead = |name: &Contact| circuit.wires.iter().position(|wire| &wire.name == name).map(wire);
        let (mode, port) = match self {
            Self::Output { mode, .. } => (mode, None),
            Self::Terminals { mode, between: [a, b] } => (mode, Some((place(*a)?, place(*b)?))),
            Self::Leads { mode, between: [a, b] } => (mode, Some((lead(a)?, lead(b)?))),
            Self::LeadAt { mode, lead: name, terminal } => (mode, Some((lead(name)?, place(*terminal)?))),
        };
        Some(RigLook { position: circuit.position(mode)?, port, body: false, load: false })
    }

    fn sentence(&self, circuit: &RigCircuit) -> String {
        let name = |place: &u8| circuit.terminals.get(usize::from(*place)).cloned().unwrap_or_default();
        let unplugged = |mode: &Mode| {
            let switch = if circuit.has_switch() { format!(", switch in {}", mode.0) } else { String::new() };
            format!("Nothing plugged in{switch}")
        };
        match self {
            Self::Output { mode, care: Care::AsUsual } => format!("Measure {} at the output.", mode.0),
            Self::Output { mode, care: Care::HandsOff } => {
                format!(
                    "Measure {} again at the output, with the probes in clips or held by their handles only.",
                    mode.0
                )
            }
            Self::Output { mode, care: Care::Unplugged } => {
                format!("Pull everything out of the rig's output, and measure {} there again.", mode.0)
            }
            Self::Output { care: Care::SwitchAndRange, .. } if !circuit.has_switch() => {
                "Look at the meter's range and its k or M, and measure again.".to_owned()
            }
            Self::Output { mode, care: Care::SwitchAndRange } => {
                format!(
                    "Set the switch to {} until it clicks, look at the meter's range and its k or M, and measure again.",
                    mode.0
                )
            }
            Self::Terminals { mode, between: [a, b] } => format!(
                "{}: measure between the screws of terminals {} and {}. Hold the probes by their \
                 handles.",
                unplugged(mode),
                name(a),
                name(b)
            ),
            Self::Leads { mode, between: [a, b] } => format!(
                "{}: measure on the bare wire of {} and of {}, beside the screws. Hold the probes by \
                 their handles.",
                unplugged(mode),
                a.in_words(),
                b.in_words()
            ),
            Self::LeadAt { mode, lead, terminal } => format!(
                "{}: measure from the bare wire of {} to the screw of terminal {}. Hold the probes by \
                 their handles.",
                unplugged(mode),
                lead.in_words(),
                name(terminal)
            ),
        }
    }
}
