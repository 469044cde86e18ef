//! What is written down: the things of the bench, and what a person answers about them.
//!
//! Everything else may use what is here; nothing here uses anything else.

pub mod audition;
pub mod body;
pub mod claim;
pub mod contacts;
pub mod controls;
pub mod decision;
pub mod entry;
pub mod gaps;
pub mod guitar;
pub mod install;
pub mod leads;
pub mod listening;
pub mod meter;
pub mod mounting;
pub mod names;
pub mod note;
pub mod photo;
pub mod pickup;
pub mod quantity;
pub mod rig;
pub mod rules;
pub mod seat;
pub mod sound;
pub mod strike;
pub mod things;
pub mod tick;
pub mod told;
pub mod verdict;
pub mod wiring;
pub mod words;
