//! Takes heard blind: a test is planned, its trials are answered, and only then are names shown.
//!
//! The order of a test follows from a seed, which is made from a key beside the log (`key.rs`) and the name of the plan. The plan holds the
//! seed's seal; the seed itself is written down when names are uncovered, so that anybody can work out the order anew and see that
//! it was there before the first answer. Until then it is in no entry and in no answer.

mod fold;
mod key;
mod order;
mod result;
mod view;

pub use fold::BlindTest;
pub use key::{KEY_FILE, Key};
pub use order::{Trial, order};
pub use result::{BlindResult, PairResult, Ranked, TrialTold, names};
pub use view::{BlindEvidence, BlindLine, BlindView, evidence};
