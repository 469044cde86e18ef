//! What goes wrong at an install, in a person's words.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::GOOD_JOINT;
use crate::record::leads::Contact;
use crate::record::pickup::CoilName;
use crate::record::wiring::JackSet;

/// One thing that is wrong with an install, or with a reading of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "cause", deny_unknown_fields)]
#[ts(export_to = "contract/install.ts")]
pub enum InstallCause {
    /// A lead is soldered to another point than planned.
    WrongPoint {
        /// The lead.
        lead: Contact,
        /// Where it belongs, in words.
        meant: String,
        /// Where it is, in words.
        found: String,
    },
    /// Two leads are in each other's place.
    LeadsExchanged {
        /// The two.
        leads: [Contact; 2],
    },
    /// A lead's joint is cold, or the lead is broken off.
    ColdJoint {
        /// The lead, or the shield.
        lead: Contact,
        /// The point it should be on, in words.
        point: String,
    },
    /// A wire between two points is missing or cold.
    WireOpen {
        /// The two points, in words.
        between: [String; 2],
    },
    /// A joint conducts, but has a resistance of its own: anything from an ohm up.
    PoorJoint {
        /// What it joins, in words.
        between: [String; 2],
    },
    /// A contact of the selector or the mode switch does not close.
    ContactOpen {
        /// The two lugs, in words.
        between: [String; 2],
    },
    /// A contact of the selector or the mode switch closes, but has a resistance of its own: anything from an ohm up.
    PoorContact {
        /// The two lugs, in words.
        between: [String; 2],
    },
    /// The case of a pot carries the ground of something and is not grounded itself.
    CaseCarriesGround {
        /// The place the pot belongs to; empty for the shared one, and for all of them together.
        place: String,
        /// What has its ground there, in words.
        carries: String,
    },
    /// The guitar's cable was still in the amplifier while it was measured.
    PluggedIn {},
    /// The same for one reading.
    PluggedInFor {
        /// How everything stood for the reading.
        reading: JackSet,
    },
    /// A volume that should be at zero for a reading was not turned down.
    VolumeNotAtZero {
        /// How everything was meant to stand for the reading.
        reading: JackSet,
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
        /// How everything was meant to stand for the reading.
        reading: JackSet,
        /// The position in which it stood.
        stood: String,
    },
    /// The mode switch stood elsewhere for a reading.
    SwitchElsewhere {
        /// How everything was meant to stand for the reading.
        reading: JackSet,
        /// The position in which it stood.
        stood: String,
    },
    /// The selector stood on one position for several readings that ask for others.
    SelectorLeft {
        /// The position in which it stood.
        stood: String,
    },
    /// The mode switch stood on one position for several readings that ask for others.
    SwitchLeft {
        /// The position in which it stood.
        stood: String,
    },
    /// Two positions of the mode switch are in each other's place: it was set by the wrong one, or it works the other way round.
    SwitchExchanged {
        /// The two positions.
        positions: [String; 2],
    },
    /// The selector's pole for the modes is wired from its other end: what belongs to its first position is at its last.
    PoleMirrored {},
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

impl InstallCause {
    /// What is wrong, as a sentence without its full stop: `the joint of moss is cold`.
    #[must_use]
    pub fn in_words(&self) -> String {
        match self {
            Self::WrongPoint { lead, meant, found } => {
                format!("{} is on {found} instead of {meant}", lead.in_words())
            }
            Self::LeadsExchanged { leads: [a, b] } => format!("{a} and {b} are in each other's place"),
            Self::ColdJoint { lead, point } => {
                format!("{} has no contact with {point}: a cold joint or a broken lead", lead.in_words())
            }
            Self::WireOpen { between: [a, b] } => format!("the wire from {a} to {b} is missing or has a cold joint"),
            Self::PoorJoint { between: [a, b] } => {
                format!("the joint from {a} to {b} is poor: it has ohms of its own")
            }
            Self::ContactOpen { between: [a, b] } => format!("the contact from {a} to {b} does not close"),
            Self::PoorContact { between: [a, b] } => {
                format!("the contact from {a} to {b} is poor: it has ohms of its own")
            }
            Self::CaseCarriesGround { place, carries } => {
                format!("the case of {} carries the ground of {carries}, and has none itself", pot(place, "volume pot"))
            }
            Self::PluggedIn {} => "the cable was still in the amplifier".to_owned(),
            Self::PluggedInFor { reading } => {
                format!("the cable was in the amplifier for the reading with the {}", reading.in_words())
            }
            Self::VolumeNotAtZero { reading } => {
                format!("nobody turned the volume down for the reading with the {}", reading.in_words())
            }
            Self::PickupTurned {} => "hot and ground of the new pickup are exchanged".to_owned(),
            Self::JackTurned {} => "tip and sleeve are exchanged at the jack".to_owned(),
            Self::CaseNotGrounded { place } => format!("the case of {} is not grounded", pot(place, "volume pot")),
            Self::SelectorElsewhere { reading, stood } => {
                format!("the selector stood on {stood} for the reading with the {}", reading.in_words())
            }
            Self::SwitchElsewhere { reading, stood } => {
                format!("the mode switch stood on {stood} for the reading with the {}", reading.in_words())
            }
            Self::SelectorLeft { stood } => format!("the selector stood on {stood} for all that is off"),
            Self::SwitchLeft { stood } => format!("the mode switch stood on {stood} for all that is off"),
            Self::SwitchExchanged { positions: [a, b] } => {
                format!("the mode switch works the other way round: {a} and {b} are in each other's place")
            }
            Self::PoleMirrored {} => {
                "the selector's pole for the modes is wired from its other end, its last position in place of its first"
                    .to_owned()
            }
            Self::VolumeNotFull {} => "the volume was not quite at full".to_owned(),
            Self::VolumeBackwards { place } => {
                format!("the outer lugs of {} are exchanged, so that full is zero", pot(place, "volume pot"))
            }
            Self::CapacitorShorted { place } => {
                format!("the capacitor of {} conducts", pot(place, "tone pot"))
            }
            Self::TouchesGround { point } => format!("{point} touches ground"),
            Self::JackShorted {} => "tip and sleeve touch at the jack".to_owned(),
            Self::OtherPot { place } => format!("{} has another value than written down", pot(place, "volume pot")),
            Self::PlacesExchanged { places: [a, b] } => {
                format!("the pickups of {a} and {b} are on each other's lug of the selector")
            }
            Self::SharesLug { place } => format!("the {place} pickup is joined to the new one's lug"),
            Self::DeadCoil { coil } => format!("coil {} is open", coil.letter()),
            Self::NotAsMeasured {} => "the coils are not what was measured or stated for them".to_owned(),
        }
    }

    /// What to do about it, and what to measure after.
    #[must_use]
    pub fn what_to_do(&self) -> String {
        match self {
            Self::WrongPoint { lead, meant, found } => {
                format!("Take {} off {found} and solder it to {meant}. Then measure again.", lead.in_words())
            }
            Self::LeadsExchanged { leads: [a, b] } => {
                format!("Exchange {a} and {b} by the hookup list. Then measure again.")
            }
            Self::ColdJoint { lead, point } => format!(
                "Look at the joint of {} on {point} and tug it gently. Heat it again with a little fresh solder, and let it cool \
                 without moving it. Then measure again.",
                lead.in_words()
            ),
            Self::WireOpen { between: [a, b] } => {
                format!(
                    "Follow the wire from {a} to {b}, tug it gently and solder it again where it is loose. Then measure again."
                )
            }
            Self::PoorJoint { between: [a, b] } => format!(
                "Measure across the joint, from {a} to {b}, guitar unplugged. More than {GOOD_JOINT} Ω is a poor joint: heat it \
                 again with a little fresh solder and let it cool without moving it. Then measure again."
            ),
            Self::ContactOpen { between: [a, b] } | Self::PoorContact { between: [a, b] } => format!(
                "Guitar unplugged: move the switch through all its positions twenty times. Then measure from {a} to {b}: a good \
                 contact reads below {GOOD_JOINT} Ω. If it stays above, clean it with contact cleaner, in fresh air and with a cloth over the finish, or put in \
                 another switch."
            ),
            Self::CaseCarriesGround { place, .. } => format!(
                "Solder a wire from the case of {} to the sleeve lug of the jack. Then measure from the case to the sleeve.",
                pot(place, "volume pot")
            ),
            Self::PluggedIn {} => "Pull the cable out of the amplifier, and measure every position again.".to_owned(),
            Self::PluggedInFor { reading } => {
                format!("Pull the cable out of the amplifier. Measure that again: {}.", reading.in_words())
            }
            Self::VolumeNotAtZero { reading } => {
                format!("Turn it down to its stop: {}. Measure that again.", reading.in_words())
            }
            Self::PickupTurned {} => {
                "Exchange the new pickup's hot and ground, the shield staying on ground. Then tap it again.".to_owned()
            }
            Self::JackTurned {} => "Exchange the two wires at the jack: ground goes to the sleeve.".to_owned(),
            Self::CaseNotGrounded { place } => {
                format!(
                    "Solder a ground wire to the case of {}. Then measure from the case to the sleeve.",
                    pot(place, "volume pot")
                )
            }
            Self::SelectorElsewhere { reading, .. } | Self::SwitchElsewhere { reading, .. } => {
                format!("Set it until it clicks: {}. Measure that again.", reading.in_words())
            }
            Self::SelectorLeft { .. } => {
                "Set the selector as each reading asks, until it clicks. Measure again what is off.".to_owned()
            }
            Self::SwitchLeft { .. } => {
                "Set the mode switch as each reading asks, until it clicks. Measure again what is off.".to_owned()
            }
            Self::SwitchExchanged { positions: [a, _] } => format!(
                "Set the mode switch to {a} until it clicks, and measure that again. If it reads the same once more, exchange the names \
                 of its positions in “Plan”, or its wires by the hookup list."
            ),
            Self::PoleMirrored {} => {
                "Find the lugs of that pole with the meter, position by position, and solder its wires by the hookup list. Then measure again.".to_owned()
            }
            Self::VolumeNotFull {} => "Turn every volume up to its stop, and measure again.".to_owned(),
            Self::VolumeBackwards { place } => {
                format!("Exchange the wires on the outer lugs of {}. Then measure again.", pot(place, "volume pot"))
            }
            Self::CapacitorShorted { place } => format!(
                "Lift one leg of the capacitor at {} and measure again. If that mends it, put in another capacitor.",
                pot(place, "tone pot")
            ),
            Self::TouchesGround { point } => format!(
                "Look round {point} with a magnifier: a hair of wire, a strand of braid, insulation drawn back by the heat. Part \
                 them. Then measure again."
            ),
            Self::JackShorted {} => {
                "Look at the jack: a strand or a blob of solder joins its lugs. Then measure again.".to_owned()
            }
            Self::OtherPot { place } => {
                format!("Read the value on {} and write it into the guitar's record.", pot(place, "volume pot"))
            }
            Self::PlacesExchanged { .. } => "Exchange the two wires on the selector. Then measure again.".to_owned(),
            Self::SharesLug { place } => {
                format!(
                    "Look at the selector's lugs: part the {place} pickup's wire from the new one's. Then measure again."
                )
            }
            Self::DeadCoil { coil } => format!(
                "Unsolder one end of coil {} and measure the coil on its bare leads. If it shows OL there too, the coil or its lead \
                 is broken: that is work for a winder.",
                coil.letter()
            ),
            Self::NotAsMeasured {} => {
                "Look whether it is the pickup you think. Before you take it out, measure across its joints: a poor one reads \
                 like this too."
                    .to_owned()
            }
        }
    }
}

/// `the volume pot`, `the neck volume pot`.
pub(super) fn pot(place: &str, what: &str) -> String {
    if place.is_empty() { format!("the {what}") } else { format!("the {place} {what}") }
}
