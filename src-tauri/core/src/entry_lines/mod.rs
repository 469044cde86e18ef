//! Entries as lines a person can read, and what can be struck out of them.

mod audition;
pub mod install;
pub mod lines;
mod reason;
pub mod strikes;

pub(crate) use self::audition::finish_in_words;
