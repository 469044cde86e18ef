//! The catalogue of cautions, one file for each thing that can go wrong.
//!
//! To add a caution: write it in its file, then say in the tests when it applies and when it does not. An id is kept
//! for good, because entries in logbooks refer to it.

mod finish;
mod hearing;
mod magnets;
mod mains;
mod pickup;
mod soldering;
mod strings;

use super::{Caution, Condition, Fact, Moment, SignalWord, Source, WhenUnknown};

/// All cautions, in the parts in which a person reads them.
pub const CATALOGUE: [(&str, &[Caution]); 7] = [
    ("Mains and amplifiers", mains::CAUTIONS),
    ("Hearing", hearing::CAUTIONS),
    ("Soldering", soldering::CAUTIONS),
    ("Magnets and small parts", magnets::CAUTIONS),
    ("Strings", strings::CAUTIONS),
    ("Finish", finish::CAUTIONS),
    ("The pickup", pickup::CAUTIONS),
];

/// All cautions, part after part.
pub fn all() -> impl Iterator<Item = &'static Caution> {
    CATALOGUE.iter().flat_map(|(_, cautions)| cautions.iter())
}
