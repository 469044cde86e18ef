//! Recorded takes: kept, listed, told and struck out.

pub(super) mod asks;
mod computed;
mod evening;
mod keep;
mod lines;
mod several;
mod telling;

pub(super) use lines::take_of;

pub use asks::{TakeAct, TakeAsk};
pub use keep::{ReceivingTake, TakePlace};
