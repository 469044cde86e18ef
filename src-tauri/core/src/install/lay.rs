//! How the pickup comes to lie in its place, and whether it fits there.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::Mounting;
use crate::guitar::{Guitar, Place};
use crate::pickup::{CoilName, Pickup};
use crate::quantity::{Length, Millimetres};
use crate::rig::Rig;
use crate::strings::StringsView;

/// Which way round the pickup goes in.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct InstallWay {
    /// Whether its ends can be told apart.
    pub marked: bool,
    /// The coil that lies nearest the bridge when installed, for coils side by side.
    pub coil_at_bridge: Option<CoilName>,
    /// The coil that lay nearest the bridge in the rig.
    pub coil_at_bridge_in_rig: Option<CoilName>,
    /// Which end goes to the bass strings, in a sentence.
    pub bass_end: String,
    /// Which edge goes to the bridge, in a sentence.
    pub bridge_edge: String,
    /// What the rig changed against the installed state, in sentences: coil order, sign of the signal.
    pub rig_changed: Vec<String>,
}

/// Whether the pickup fits its place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct FitAt {
    /// Whether it fits as far as was measured; nothing when too little was.
    pub fits: Option<bool>,
    /// Opening and depth against the pickup's size, in sentences.
    pub size: Vec<String>,
    /// Where to start with the heights: bass and treble side, from pole to string.
    pub gaps: [Length; 2],
    /// Where these are from, in a sentence.
    pub gaps_from: String,
    /// The strings over the poles at this place.
    pub strings: StringsView,
}

/// Which way round a pickup goes into a guitar, and what the rig had changed. `mounting` is how it lay in the audition.
#[must_use]
pub fn way_round(pickup: &Pickup, guitar: &Guitar, rig: &Rig, mounting: Option<&Mounting>) -> InstallWay {
    let _ = (pickup, guitar, rig, mounting);
    InstallWay {
        marked: false,
        coil_at_bridge: None,
        coil_at_bridge_in_rig: None,
        bass_end: String::new(),
        bridge_edge: String::new(),
        rig_changed: Vec::new(),
    }
}

/// Whether a pickup fits a place, where its heights start, and how the strings lie over its poles there. `gaps` are those
/// of the audition, bass and treble side.
#[must_use]
pub fn fit_at(pickup: &Pickup, guitar: &Guitar, place: &Place, gaps: Option<[Millimetres; 2]>) -> FitAt {
    let under = crate::gaps::Under::at(pickup.construction, place.from_saddle, guitar.scale);
    FitAt {
        fits: None,
        size: Vec::new(),
        gaps: gaps.unwrap_or_else(|| under.middle()).map(Length::from),
        gaps_from: String::new(),
        strings: crate::strings::strings_over_poles(
            guitar,
            pickup,
            place.from_saddle,
            Millimetres(0.0),
            crate::strings::OUTER_LIMIT,
        ),
    }
}
