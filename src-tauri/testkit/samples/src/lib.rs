//! An invented pickup, an invented guitar, and seeded chance, for tests and benches only. It knows what is written down and nothing
//! else, so that the unit tests of the crates under the core need not be built again when the core is.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]

mod chance;
pub mod invented;

pub use chance::{Chance, number};
