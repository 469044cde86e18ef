//! Several benches with one log: the exchange by itself, and over a real PostgreSQL that is started in a scratch folder.
//!
//! `SOLDERLAST_BENCHES=20 SOLDERLAST_ENTRIES=2000` lets more benches write more at once than the usual 4 and 100;
//! `SOLDERLAST_MEETINGS=1000` tries more orders of exchanges, `SOLDERLAST_SEED` others; `SOLDERLAST_TAKE_MB=190` sends a take of so
//! many megabytes.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]

mod allowed;
mod bad_input;
#[path = "../faults/bench.rs"]
#[allow(dead_code, reason = "all of it is used by the tests of faults")]
mod bench;
mod clocks;
mod erased;
mod files;
mod in_any_order;
mod killed;
mod server;
mod settings;
mod shopkeeper;

/// A number from the environment.
fn number(name: &str, usual: u64) -> u64 {
    std::env::var(name).ok().and_then(|number| number.parse().ok()).unwrap_or(usual)
}
