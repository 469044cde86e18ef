//! Where a meter can be put on an installed pickup, and what it showed there.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::GOOD_JOINT;
use super::cause::pot;
use crate::record::quantity::Reading;
use crate::record::wiring::{JackProbe, JackSet, JointAt};
use crate::wiring::circuit::{BRIDGE, InstallCircuit, JackLook, Joint, SLEEVE, TIP, case, point, wire};
use crate::wiring::jack::{look, sets};

/// What a joint that was written down is of this circuit.
trait OfCircuit: Sized {
    fn of(joint: Joint, circuit: &InstallCircuit) -> Option<Self>;

    /// What it is, in a word.
    fn what(&self) -> &'static str;

    fn joint(&self, circuit: &InstallCircuit) -> Option<Joint>;
}

impl OfCircuit for JointAt {
    fn of(joint: Joint, circuit: &InstallCircuit) -> Option<Self> {
        Some(match joint {
            Joint::Lead(wire) => Self::Lead { lead: circuit.wires.get(usize::from(wire))?.name.clone() },
            Joint::Jumper(jumper) => Self::Wire { between: *circuit.jumpers.get(usize::from(jumper))? },
            Joint::Hot => Self::Hot {},
            Joint::Earth => Self::Ground {},
            Joint::Tip => Self::Tip {},
            Joint::Sleeve => Self::Sleeve {},
            Joint::Lug(pot) => Self::Lug { place: circuit.pot_name(pot) },
            Joint::Stays(place) => Self::Stays { place: circuit.places.get(usize::from(place))?.clone() },
            Joint::StaysEarth(place) => Self::StaysGround { place: circuit.places.get(usize::from(place))?.clone() },
            Joint::Selector(place) => Self::Selector { place: circuit.places.get(usize::from(place))?.clone() },
            Joint::Switch(a, b) => Self::Switch { between: [a, b] },
            Joint::Case(_) | Joint::Strings => return None,
        })
    }

    fn what(&self) -> &'static str {
        match self {
            Self::Selector { .. } | Self::Switch { .. } => "contact",
            Self::Lead { .. }
            | Self::Wire { .. }
            | Self::Hot {}
            | Self::Ground {}
            | Self::Tip {}
            | Self::Sleeve {}
            | Self::Lug { .. }
            | Self::Stays { .. }
            | Self::StaysGround { .. } => "joint",
        }
    }

    fn joint(&self, circuit: &InstallCircuit) -> Option<Joint> {
        let number = |at: Option<usize>| at.and_then(|at| u8::try_from(at).ok());
        let staying =
            |place: &String| number(circuit.places.iter().skip(1).position(|other| other == place))?.checked_add(1);
        let joint = match self {
            Self::Lead { lead } => Joint::Lead(number(circuit.wires.iter().position(|wire| &wire.name == lead))?),
            Self::Wire { between } => Joint::Jumper(number(circuit.jumpers.iter().position(|pair| pair == between))?),
            Self::Hot {} => Joint::Hot,
            Self::Ground {} => Joint::Earth,
            Self::Tip {} => Joint::Tip,
            Self::Sleeve {} => Joint::Sleeve,
            Self::Lug { place } => Joint::Lug((0..circuit.pots()).find(|pot| &circuit.pot_name(*pot) == place)?),
            Self::Stays { place } => Joint::Stays(staying(place)?),
            Self::StaysGround { place } => Joint::StaysEarth(staying(place)?),
            Self::Selector { place } => {
                Joint::Selector(number(circuit.places.iter().position(|other| other == place))?)
            }
            Self::Switch { between: [a, b] } => Joint::Switch(*a, *b),
        };
        (!joint.is_contact() || circuit.joints().any(|other| other == joint)).then_some(joint)
    }
}

/// A reading and where it was taken.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub struct JackTaken {
    /// Where.
    pub probe: JackProbe,
    /// What the meter showed.
    pub reading: Reading,
}

/// A place for the probes of a meter, on an installed pickup.
pub(super) trait AtTheGuitar: Sized {
    /// The probe that shows a joint's own resistance: with everything standing like this, or as closes a contact.
    fn across(joint: Joint, circuit: &InstallCircuit, set: &JackSet) -> Option<Self>;

    /// Whether the probes lie on metal that a good joint joins, so that next to nothing is to be read.
    fn is_on_a_joint(&self) -> bool;

    /// The look that is meant; nothing when this guitar has no such position, point or lead.
    fn look(&self, circuit: &InstallCircuit) -> Option<JackLook>;

    /// In words: `at the jack, selector on neck, volume at full`.
    fn in_words(&self, circuit: &InstallCircuit) -> String;

    /// What to do, in a sentence.
    fn sentence(&self, circuit: &InstallCircuit) -> String;

    /// How much trouble it is, against a reading at the jack: for all others the guitar is open.
    fn trouble(&self) -> f64;
}

impl AtTheGuitar for JackProbe {
    fn across(joint: Joint, circuit: &InstallCircuit, set: &JackSet) -> Option<Self> {
        let closed = |set: &JackSet| circuit.closes(joint, &set.selector, &set.switch);
        let set = if closed(set) { set.clone() } else { sets(circuit).into_iter().find(closed)? };
        Some(match joint {
            Joint::Case(pot) => Self::CaseToSleeve { set, place: circuit.pot_name(pot) },
            Joint::Strings => Self::BridgeToSleeve { set },
            joint => Self::AcrossJoint { set, joint: JointAt::of(joint, circuit)? },
        })
    }

    fn is_on_a_joint(&self) -> bool {
        match self {
            Self::AcrossJoint { .. } | Self::BridgeToSleeve { .. } | Self::CaseToSleeve { .. } => true,
            Self::Jack { .. } | Self::PointToSleeve { .. } | Self::PointToTip { .. } | Self::LeadToPoint { .. } => {
                false
            }
        }
    }

    fn look(&self, circuit: &InstallCircuit) -> Option<JackLook> {
        let node = |place: u8| (usize::from(place) < circuit.points.len()).then(|| point(place));
        let port = match self {
            Self::Jack { .. } => (TIP, SLEEVE),
            Self::PointToSleeve { point, .. } => (node(*point)?, SLEEVE),
            Self::PointToTip { point, .. } => (node(*point)?, TIP),
            Self::LeadToPoint { lead, point, .. } => {
                let lead = circuit.wires.iter().position(|wire| &wire.name == lead)?;
                (wire(u8::try_from(lead).ok()?), node(*point)?)
            }
            Self::AcrossJoint { joint, .. } => {
                let joint = joint.joint(circuit)?;
                circuit.between(&circuit.planned, joint)?
            }
            Self::BridgeToSleeve { .. } => (BRIDGE, SLEEVE),
            Self::CaseToSleeve { place, .. } => {
                let pot = (0..circuit.pots()).find(|pot| &circuit.pot_name(*pot) == place)?;
                (case(pot), SLEEVE)
            }
        };
        look(circuit, self.set(), port)
    }

    fn in_words(&self, circuit: &InstallCircuit) -> String {
        let at = |point: &u8| circuit.points.get(usize::from(*point)).cloned().unwrap_or_default();
        let set = self.set().in_words();
        match self {
            Self::Jack { .. } => format!("at the jack, {set}"),
            Self::PointToSleeve { point, .. } => format!("{} to the sleeve, {set}", at(point)),
            Self::PointToTip { point, .. } => format!("{} to the tip, {set}", at(point)),
            Self::LeadToPoint { lead, point, .. } => format!("{} to {}, {set}", lead.in_words(), at(point)),
            Self::AcrossJoint { joint, .. } => match joint.joint(circuit).and_then(|joint| circuit.joins(joint)) {
                Some([from, to]) => format!("across the {} from {from} to {to}", joint.what()),
                None => String::new(),
            },
            Self::BridgeToSleeve { .. } => "bridge to the sleeve".to_owned(),
            Self::CaseToSleeve { place, .. } => format!("case of {} to the sleeve", pot(place, "volume pot")),
        }
    }

    fn sentence(&self, circuit: &InstallCircuit) -> String {
        let at = |point: &u8| circuit.points.get(usize::from(*point)).cloned().unwrap_or_default();
        let set = self.set().in_words();
        let care = "Hold the probes by their handles.";
        match self {
            Self::Jack { .. } => {
                format!("Cable out of the amplifier. With the {set}: measure between tip and sleeve at the jack.")
            }
            Self::PointToSleeve { point, .. } => {
                format!("With the {set}: measure from {} to the sleeve of the jack. {care}", at(point))
            }
            Self::PointToTip { point, .. } => {
                format!("With the {set}: measure from {} to the tip of the jack. {care}", at(point))
            }
            Self::LeadToPoint { lead, point, .. } => {
                format!("With the {set}: measure from the bare wire of {} to {}. {care}", lead.in_words(), at(point))
            }
            Self::AcrossJoint { joint, .. } => match joint.joint(circuit).and_then(|joint| circuit.joins(joint)) {
                Some([from, to]) => format!(
                    "Guitar unplugged, {set}: measure across the {what}, one probe on {from}, the other on {to}. A good {what} \
                     reads below {GOOD_JOINT} Ω. {care}",
                    what = joint.what()
                ),
                None => String::new(),
            },
            Self::BridgeToSleeve { .. } => format!(
                "Guitar unplugged: measure from the bridge to the sleeve of the jack. It should read below {GOOD_JOINT} Ω; that is \
                 the ground of the strings."
            ),
            Self::CaseToSleeve { place, .. } => format!(
                "Guitar unplugged: measure from the case of {} to the sleeve of the jack. It should read below {GOOD_JOINT} Ω.",
                pot(place, "volume pot")
            ),
        }
    }

    fn trouble(&self) -> f64 {
        match self {
            Self::Jack { .. } => 1.0,
            Self::CaseToSleeve { .. } | Self::BridgeToSleeve { .. } => 1.05,
            Self::AcrossJoint { .. } => 1.1,
            Self::PointToSleeve { .. } | Self::PointToTip { .. } => 1.2,
            Self::LeadToPoint { .. } => 1.25,
        }
    }
}
