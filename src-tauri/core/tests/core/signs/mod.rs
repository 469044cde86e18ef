//! What leads, joins, shields and magnets come to, held against a reference that shares no code with it: contacts by union-find,
//! currents by elimination, signs by hand. Pickups, rigs and switches are made by chance from a fixed seed.
//!
//! `SOLDERLAST_SIGNS=20000` tries more of each; `SOLDERLAST_SEED=7` tries others.

#![allow(clippy::needless_range_loop, reason = "elimination reads best by its indices")]

mod own;
mod rigs;
mod switches;
mod tapped;
mod together;

use solderlast_testkit::{Chance, number};

/// How many of each are tried: this many, or as many as the environment says.
fn rounds(usual: u64) -> u64 {
    number("SOLDERLAST_SIGNS", usual)
}

fn chance(of: u64) -> Chance {
    Chance(number("SOLDERLAST_SEED", 20_261_128).wrapping_mul(1_000_003).wrapping_add(of))
}
