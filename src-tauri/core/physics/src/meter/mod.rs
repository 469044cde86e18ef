//! What a meter should show in each mode, whether what it showed agrees, and what is wrong when it does not.

use crate::record::leads::Contact;
use crate::record::quantity::Celsius;

pub(crate) mod agree;
pub(crate) mod circuit;
mod covered;
pub(crate) mod diagnosis;
pub(crate) mod evidence;
pub(crate) mod expect;
mod health;
mod slip;

pub use agree::{
    Agreement, AgreementKind, ImpliedCoil, ModeAgreement, Shown, agree, agree_as_written, beside_measured, digits,
};
pub use covered::{LOW_IMPEDANCE_BELOW, NotCovered, not_covered};
pub use diagnosis::{
    CANNOT_SHOW, Case, Cause, Diagnosis, DiagnosisKind, Given, LeadIn, NextMeasurement, SeenWith, SlipAt, Taken,
    candidate_probes, causes, diagnose, every_outcome, pairs_of_causes, would_read,
};
pub use expect::{ModeExpectation, expected, expected_beside, expected_from};
pub use health::{CoilHealth, Health, HealthKind, HealthPoint, Visit, health, shown_at_20, within_at_20};
pub use slip::{
    COIL, POT, Slip, USUAL_COIL, is_doubtful, slip, slip_by_letter_and_point, stated_of_both,
    stated_too_little_or_much, too_little_or_much,
};

/// Resistance of copper rises by this share for each degree above 20 °C (IEC 60028).
pub const COPPER_PER_DEGREE: f64 = 0.003_93;
/// How far windings lie from what is stated, commonly (common practice: 5 to 10 %).
pub const WINDING: f64 = 0.10;
/// Where nobody measured the room, it is taken to be within this of 20 °C, in degrees (common practice).
pub(crate) const ROOM_WITHIN: f64 = 10.0;
/// Below this a reading on a coil is a short (common practice: no pickup coil has so little wire), in ohms.
pub const SHORT_BELOW: f64 = 100.0;
/// Above this a reading is no coil (common practice: no pickup coil has so much wire), in ohms.
pub const NO_COIL_ABOVE: f64 = 90_000.0;

/// The leads that share a terminal.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Joined {
    /// The terminal, by its place on the block, counted from 0.
    pub terminal: u8,
    /// What is in it.
    pub leads: Vec<Contact>,
}

/// How much more resistance copper has in this room than at 20 °C, as a factor.
#[must_use]
pub fn copper(room: Celsius) -> f64 {
    1.0 + COPPER_PER_DEGREE * (room.0 - 20.0)
}
