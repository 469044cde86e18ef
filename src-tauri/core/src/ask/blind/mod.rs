//! Takes heard beside each other, with their names and without.

pub(super) mod asks;
mod chosen;
mod planning;
mod sound;

pub use asks::{BlindAct, BlindAsk};
