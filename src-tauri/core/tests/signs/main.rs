//! What leads, joins, shields and magnets come to, held against a reference that shares no code with it: contacts by union-find,
//! currents by elimination, signs by hand. Pickups, rigs and switches are made by chance from a fixed seed.
//!
//! `SOLDERLAST_SIGNS=20000` tries more of each; `SOLDERLAST_SEED=7` tries others.

#![allow(clippy::needless_range_loop, reason = "elimination reads best by its indices")]
#![allow(clippy::panic, clippy::expect_used, reason = "a test that can't go on should stop")]

mod make;
mod own;
mod rigs;
mod switches;
mod together;

/// How many of each are tried: this many, or as many as the environment says.
fn rounds(usual: u64) -> u64 {
    std::env::var("SOLDERLAST_SIGNS").ok().and_then(|many| many.parse().ok()).unwrap_or(usual)
}

fn chance(of: u64) -> own::Chance {
    let seed: u64 = std::env::var("SOLDERLAST_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(20_261_128);
    own::Chance(seed.wrapping_mul(1_000_003).wrapping_add(of))
}
