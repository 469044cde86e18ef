//! The doors for this computer and for phones, by raw bytes, and the command line. One program, so that it is linked once.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]

mod bench_door;
mod bundles;
mod command_line;
mod other_account;
mod phone_door;
mod photos;
mod raw;
mod takes;
