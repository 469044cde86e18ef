//! What a pickup's coils measure: sweeps, values of a component meter, and what follows from both.

mod asks;
mod heard;
mod view;

pub use asks::{MeasureAct, MeasureAsk};
