//! What goes wrong at an install, in a person's words.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::pickup::CoilName;

/// One thing that is wrong with an install, or with a reading of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "cause", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum InstallCause {
    /// A lead is soldered to another point than planned.
    WrongPoint {
        /// The lead.
        lead: String,
        /// Where it belongs, in words.
        meant: String,
        /// Where it is, in words.
        found: String,
    },
    /// Two leads are in each other's place.
    LeadsExchanged {
        /// The two.
        leads: [String; 2],
    },
    /// A lead's joint is cold, or the lead is broken off.
    ColdJoint {
        /// The lead; [`crate::audition::SHIELD`] for the shield.
        lead: String,
        /// The point it should be on, in words.
        point: String,
    },
    /// A wire between two points is missing or cold.
    WireOpen {
        /// The two points, in words.
        between: [String; 2],
    },
    /// Hot and ground of the new pickup are exchanged where they leave it or the mode switch.
    PickupTurned {},
    /// Tip and sleeve are exchanged at the jack.
    JackTurned {},
    /// The case of a pot is not grounded.
    CaseNotGrounded {
        /// The place it belongs to; empty for the shared one.
        place: String,
    },
    /// The selector stood elsewhere for a reading.
    SelectorElsewhere {
        /// The position that was written down.
        meant: String,
        /// The position in which it stood.
        stood: String,
    },
    /// The mode switch stood elsewhere for a reading.
    SwitchElsewhere {
        /// The position that was written down.
        meant: String,
        /// The position in which it stood.
        stood: String,
    },
    /// A volume was not quite at full for the readings that should have it there.
    VolumeNotFull {},
    /// A volume pot's outer lugs are exchanged, so that full is zero.
    VolumeBackwards {
        /// The place it belongs to; empty for the shared one.
        place: String,
    },
    /// A tone capacitor conducts.
    CapacitorShorted {
        /// The place it belongs to; empty for the shared one.
        place: String,
    },
    /// A point touches ground: a hair of wire, the braid, a nicked insulation.
    TouchesGround {
        /// The point, in words.
        point: String,
    },
    /// Tip and sleeve touch at the jack.
    JackShorted {},
    /// A volume pot has another value than stated.
    OtherPot {
        /// The place it belongs to; empty for the shared one.
        place: String,
    },
    /// Two pickups are on each other's lug of the selector.
    PlacesExchanged {
        /// The two places.
        places: [String; 2],
    },
    /// Another pickup is joined to the same lug as the new one.
    SharesLug {
        /// The other place.
        place: String,
    },
    /// A coil is open, as the heat of the iron does.
    DeadCoil {
        /// The coil.
        coil: CoilName,
    },
    /// The coils are not what was measured or stated for them.
    NotAsMeasured {},
}
