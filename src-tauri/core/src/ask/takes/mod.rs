//! Recorded takes: kept, listed, told and struck out.

pub(super) mod asks;
mod computed;
mod evening;
mod keep;
mod lines;
mod several;
mod telling;

pub(super) use lines::take_of;
pub(super) use telling::measured;

/// Said of a recording from which nothing follows: the take itself stays.
pub(super) const TELLS_NOTHING: &str =
    "Nothing follows from this recording; it stays among the recordings of this pickup.";

pub use asks::{TakeAct, TakeAsk};
pub use keep::{ReceivingTake, TakePlace};
