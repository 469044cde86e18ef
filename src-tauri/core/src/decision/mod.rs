//! Which pickup, in which mode, for one place of a guitar: the candidates, what speaks for each, and how sure that is.
//!
//! No sum is shown as if it were the truth. Candidates that can't be told apart are called level; each has its reasons and its
//! weakest evidence; and what to hear next is what would tell most.

mod evidence;
mod ranking;
mod standing;
#[cfg(test)]
mod tests;
mod view;

pub use evidence::{Candidate, Evidence, Weakness, beside_fitted_alone, candidates};
pub use ranking::{Estimate, NEVER_RATED, chances_to_lead, groups, normal_below};
pub use standing::{Standing, decide};
pub use view::{
    CandidateView, DecidedLine, DecisionView, GroupView, MustView, NextAudition, PlaceOffered, QualityOffered,
    WishView, assumptions, decided_lines, places, wish_views,
};

use crate::record::quantity::Millimetres;

/// Auditions at places that are no farther apart than this are about the same place (common practice).
pub const SAME_PLACE: Millimetres = Millimetres(5.0);
/// How many auditions of a place are looked at, the newest first.
pub const MOST_AUDITIONS: usize = 24;
/// Two candidates are told apart when the one is better with at least this chance (common practice).
pub const SURE: f64 = 0.9;
