//! The same job over HTTP and on the command line: no rule of the trade lives here.
//!
//! A [`Workshop`] is one open log with everything that may ask it something: the pages in a browser on this computer
//! ([`bench_door`]), phones on the same network ([`phone_door`]), and lines on standard input ([`lines`]). With others it
//! may have one log ([`sharing`]). The app in
//! `src-tauri` holds a `Workshop` too, so its window and its phone door are these very same doors.

pub mod bench_door;
mod disk;
pub mod lines;
pub mod machine;
pub mod phone_door;
pub mod refusal;
pub mod sharing;
pub mod web;
mod workshop;

pub use workshop::{Wish, Workshop};
