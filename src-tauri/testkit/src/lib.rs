//! What tests and benches are made of: pickups, rigs, benches and bundles under test, pretended benches and installs with the
//! truth about them, seeded chance, and limits in time. For tests and benches only: nothing that ships knows it.
//!
//! The unit tests of the core see another copy of it than this crate does, and the same one of the crates under it. Those of the
//! crates under it use `solderlast-samples`, which is shown here as [`Chance`], [`invented`] and [`sound`].

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]

pub mod by_chance;
pub mod figures;
pub mod files;
pub mod limits;
pub mod parcel;
pub mod pickups;
pub mod program;
pub mod simulated_bench;
pub mod simulated_install;
pub mod workbench;

pub use solderlast_samples::{Chance, invented, number, sound};
