//! Pickups, guitars, rigs and the meter: what is asked about them and written about them.

mod act;
pub(super) mod asks;
mod meter;
pub(super) mod pages;
