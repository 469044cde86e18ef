//! Listening notes: the words for a sound, what a note was heard in, and the audition that other notes are held against.

mod bench;
mod context;
mod how;
mod quality;
mod reference;

pub use bench::{Cable, Installed, string_ground_in_words};
pub use context::HeardIn;
pub use how::{HOW_TO_LISTEN, how_to_rate};
pub use quality::{Quality, Than};
pub use reference::{Reference, ReferenceMode, ReferenceRating, ReferenceView, against_in_words, pinned};
