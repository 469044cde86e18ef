//! What a bench log has to outlast: a program killed at any moment, a full disk, a damaged file, two programs at once,
//! and a log of another version. The program under test is `solderlast ask`, spoken to in lines, as a script would.
//!
//! `SOLDERLAST_KILLS=2000` kills more often than the usual 200 times; `SOLDERLAST_SEED=7` repeats a run.

#![allow(clippy::panic, clippy::unwrap_used, reason = "a test that can't go on should stop")]

mod bench;
mod carried;
mod client;
mod copied_folder;
mod damaged;
mod disk_full;
mod flipped;
mod killed;
mod log;
mod other_versions;
mod page;
mod takes;
mod two_clients;
mod vanished;
