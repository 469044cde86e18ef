//! The items of the stop lists.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

/// The items of the stop lists: before the sound comes up, before the rig is taken down, before the iron is lit.
///
/// What each says and why is told where the lists are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum Tick {
    /// Hands and floor dry, mains leads whole.
    DryAndWhole,
    /// Volume at zero, on the amplifier and on the guitar.
    VolumeAtZero,
    /// Amplifier in standby, or off.
    Standby,
    /// Cable plugged into the rig, then into the amplifier.
    PluggedIn,
    /// Switched on.
    SwitchedOn,
    /// Raised slowly, to a level at which one can still talk. From here on listening is counted.
    RaisedSlowly,
    /// Volume back at zero. Up to here listening is counted.
    VolumeDown,
    /// Amplifier in standby, or off.
    AmpQuiet,
    /// Cable out.
    Unplugged,
    /// Leads out of the terminals.
    LeadsFree,
    /// Rig lifted off. Up to here the time on the finish is counted.
    Lifted,
    /// Finish looked at.
    FinishLooked,
    /// The guitar is unplugged from everything.
    GuitarUnplugged,
    /// Its battery is out.
    BatteryOut,
    /// Strings off, or slack and covered.
    StringsSafe,
    /// The finish is covered.
    FinishCovered,
    /// Safety glasses on.
    GlassesOn,
    /// Fume is drawn away.
    AirMoving,
    /// Stand ready, bench clear, children and pets out.
    StandReady,
}

impl Tick {
    /// The list before the sound comes up.
    pub const SOUND_UP: [Self; 6] =
        [Self::DryAndWhole, Self::VolumeAtZero, Self::Standby, Self::PluggedIn, Self::SwitchedOn, Self::RaisedSlowly];
    /// The list before the rig is taken down.
    pub const TAKE_DOWN: [Self; 6] =
        [Self::VolumeDown, Self::AmpQuiet, Self::Unplugged, Self::LeadsFree, Self::Lifted, Self::FinishLooked];
    /// The list by which the sound goes down at a guitar without a rig.
    pub const SOUND_DOWN: [Self; 3] = [Self::VolumeDown, Self::AmpQuiet, Self::Unplugged];
    /// The list before the iron is lit.
    pub const IRON: [Self; 7] = [
        Self::GuitarUnplugged,
        Self::BatteryOut,
        Self::StringsSafe,
        Self::FinishCovered,
        Self::GlassesOn,
        Self::AirMoving,
        Self::StandReady,
    ];

    /// Whether the item is ticked by itself only: a hold, a clock or a look hangs on it.
    #[must_use]
    pub fn alone(self) -> bool {
        match self {
            Self::VolumeAtZero
            | Self::RaisedSlowly
            | Self::VolumeDown
            | Self::Lifted
            | Self::FinishLooked
            | Self::GuitarUnplugged
            | Self::BatteryOut
            | Self::FinishCovered => true,
            Self::DryAndWhole
            | Self::Standby
            | Self::PluggedIn
            | Self::SwitchedOn
            | Self::AmpQuiet
            | Self::Unplugged
            | Self::LeadsFree
            | Self::StringsSafe
            | Self::GlassesOn
            | Self::AirMoving
            | Self::StandReady => false,
        }
    }

    /// What it reads as in the logbook.
    #[must_use]
    pub fn done(self) -> &'static str {
        match self {
            Self::DryAndWhole => "Hands and floor dry, mains leads whole",
            Self::VolumeAtZero => "Volume at zero",
            Self::Standby => "Amplifier in standby or off",
            Self::PluggedIn => "Plugged in",
            Self::SwitchedOn => "Switched on",
            Self::RaisedSlowly => "Volume raised slowly",
            Self::VolumeDown => "Volume down",
            Self::AmpQuiet => "Amplifier in standby or off after listening",
            Self::Unplugged => "Unplugged",
            Self::LeadsFree => "Leads out of the terminals",
            Self::Lifted => "Rig lifted off",
            Self::FinishLooked => "Finish looked at",
            Self::GuitarUnplugged => "Guitar unplugged from everything",
            Self::BatteryOut => "Battery out",
            Self::StringsSafe => "Strings off, or slack and covered",
            Self::FinishCovered => "Finish covered",
            Self::GlassesOn => "Safety glasses on",
            Self::AirMoving => "Fume drawn away",
            Self::StandReady => "Stand ready, bench clear",
        }
    }
}

/// The most items a stop list may have.
pub const MOST_ITEMS: usize = 7;
