//! What tests and benches are made of: pickups, rigs, benches and bundles under test, pretended benches and installs with the
//! truth about them, seeded chance, and limits in time. For tests and benches only: nothing that ships knows it.
//!
//! The unit tests of a crate see another copy of it than this crate does, and the same one of the crates under it. So all but
//! those of `record` may build what is written down with [`invented`] and [`pickups`].

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
