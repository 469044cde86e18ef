//! The permanent install: which lead is soldered where, what to read at the jack, phase and hum beside the pickups that
//! stay, and what is wrong when a reading is off.
//!
//! Everything here is computed from plain data: the pickup with its proven leads, the guitar's controls and the plan. It
//! knows no entries.

mod before;
mod circuit;
mod controls;
#[cfg(test)]
mod invented;
mod jack;
mod known;
mod lay;
mod phase;
mod plan;
mod proof;
mod soldered;
mod sounding;

pub use before::{ReadBefore, SolvedBack, positions_before, solved_back};
pub use controls::{POT_WITHIN, SignalPath};
pub use jack::{JackReading, jack_readings};
pub use lay::{Clearance, InstallWay, clearance, way_round};
pub use phase::{PairPhase, PhaseAndHum, SwapLeads, phase_and_hum};
pub use plan::{JackCase, ModeWiring, Staying, mode_wirings};
pub use proof::{
    InstallCause, InstallGiven, JackTaken, PROOF_CANNOT_SHOW, Proof, ProofLine, ProofNext, install_causes,
    install_outcomes, install_probes, install_values, install_would_read, probe_in_words, prove, prove_without,
};
pub use soldered::{PositionWired, SolderPoint, SolderPointKind, WiringKind, WiringPlan, wire, wire_in};
pub use sounding::{Sources, Standing, installed, staying_measured, staying_of_kind};
