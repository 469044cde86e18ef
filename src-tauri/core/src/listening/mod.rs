//! Listening notes: the words for a sound, what a note was heard in, and the audition that other notes are held against.

mod conditions;
mod how;
mod reference;

pub use conditions::Conditions;
pub use how::{HOW_TO_LISTEN, how_to_rate};
pub use reference::{Reference, against_in_words, pinned};
