//! Listening notes: the words for a sound, what a note was heard in, and the audition that other notes are held against.

mod bench;
mod context;
mod quality;
mod reference;

pub use bench::{Cable, Installed};
pub use context::HeardIn;
pub use quality::{Quality, Than};
pub use reference::{Reference, ReferenceMode, ReferenceRating, ReferenceView, against_in_words, pinned};
