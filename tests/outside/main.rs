//! What is computed, against published values and against general-purpose programs that are run in the same test. One program, so
//! that it is linked once.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a check that can't go on should stop")]

mod bundle;
mod by_selector;
mod decision;
mod gaps;
mod geometry;
mod hearing;
mod install;
mod installed_sound;
mod measured;
mod meter_values;
mod networks;
mod plucked_string;
mod reading_level;
mod response;
mod signal_words;
mod takes;
