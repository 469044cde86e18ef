//! The whole bench job in plain Rust: no window, no network, no clock of its own, no screen.
//!
//! The shells (the Tauri app, the server for a phone, the command line) ask [`ask`] and show the answers; they hold no
//! rule of the trade. Modules are things of the trade; the map is in DEVELOPERS.md.

pub mod ask;
pub mod audition;
pub mod blind;
pub mod clock;
pub mod comparison;
pub mod decision;
pub mod demo;
pub mod entry_lines;
pub mod history;
pub mod install;
mod leads;
pub mod listening;
pub mod logbook;
pub mod measured;

pub use solderlast_log::private;
pub use solderlast_physics as physics;
pub use solderlast_record as record;
pub use solderlast_safety as safety;
pub use solderlast_takes as takes;
