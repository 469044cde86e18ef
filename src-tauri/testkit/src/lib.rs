//! What tests and benches are made of: pickups, rigs, benches and bundles under test, pretended benches and installs with the
//! truth about them, seeded chance, and limits in time. For tests and benches only: nothing that ships knows it.
//!
//! The unit tests of the core see another copy of the core than this crate does. They use of it what knows no thing of the
//! trade, as [`Chance`] does, and have their builders beside them.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]

pub mod by_chance;
mod chance;
pub mod figures;
pub mod invented;
pub mod limits;
pub mod parcel;
pub mod pickups;
pub mod program;
pub mod simulated_bench;
pub mod simulated_install;
pub mod workbench;

pub use chance::{Chance, number};
