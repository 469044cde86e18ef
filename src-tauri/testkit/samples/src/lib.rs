//! An invented pickup, an invented guitar, sound that is made, and seeded chance, for tests and benches only. It knows what is written down and nothing
//! else, so that the unit tests of the crates under the core need not be built again when the core is.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]

mod chance;
pub mod invented;
pub mod sound;

pub use chance::{Chance, number};
