//! Phase and hum of the new pickup beside each one that stays.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Install;
use crate::leads::Swing;
use crate::rig::Mode;

/// How the new pickup meets those that stay.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct PhaseAndHum {
    /// All of it in a sentence.
    pub sentence: String,
    /// The first swing to expect at the jack when steel is pulled off the new pickup, plus probe on the tip.
    pub swing: Option<Swing>,
    /// What the rig's roll did to the sign, in a sentence.
    pub rig: String,
    /// One a selector position with several pickups, a pickup that stays and a mode of the new one.
    pub pairs: Vec<PairPhase>,
}

/// The new pickup beside one that stays.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct PairPhase {
    /// The selector position; empty where there is no selector.
    pub selector: String,
    /// The mode of the new pickup.
    pub mode: Mode,
    /// The place of the other.
    pub other: String,
    /// Whether they are in phase; nothing when it can't be known.
    pub in_phase: Option<bool>,
    /// Whether hum is cancelled in this position; nothing when it can't be known.
    pub cancels_hum: Option<bool>,
    /// What settles what is not known, in sentences.
    pub settle: Vec<String>,
    /// When out of phase: what to exchange.
    pub swap: Option<SwapLeads>,
    /// In words.
    pub sentence: String,
}

/// What to exchange to bring a pickup in phase.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct SwapLeads {
    /// The leads that are at the hot now, and go to ground.
    pub hot: Vec<String>,
    /// The leads that are at ground now, and go to the hot.
    pub ground: Vec<String>,
    /// Whether it can be done with the leads that come out; false where the shield or the cover hangs on one of them.
    pub can_be: bool,
    /// What to do, and what it does to shield and ground, in sentences.
    pub sentence: String,
}

/// Says how the new pickup meets each one that stays, in every selector position that puts out both.
#[must_use]
pub fn phase_and_hum(install: &Install) -> PhaseAndHum {
    let _ = install;
    PhaseAndHum { sentence: String::new(), swing: None, rig: String::new(), pairs: Vec::new() }
}
