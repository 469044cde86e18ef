//! Recorded takes: kept, listed, told and struck out.

pub(super) mod asks;
mod form;
mod keep;
mod lines;
mod telling;
mod view;

pub use asks::{TakeAct, TakeAsk};
pub use form::RecordedForm;
pub use keep::{ReceivingTake, TakePlace};
pub use view::{LastRecorded, TakeChoices, TakeLine, TakesView};
