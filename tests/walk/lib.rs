//! A browser in the hand, a bench to begin with, and the audition that is walked by the journeys and by the measured pages.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a walk that can't go on should stop")]

pub mod audition;
pub mod bench;
pub mod browser;
pub mod program;
pub mod worker;
