//! One audition: its steps, what was answered in them, and what holds them.
//!
//! An [`Audition`] is a fold over its entries: the same entries in any order give the same audition, so a resumed
//! session is the same code as a live one.

mod fold;
mod gaps;
mod judged;
mod kit;
mod page;
mod present;
mod proof;
mod questions;
mod saved;
mod sound;
mod sounding;
mod steps;
mod view;

pub(crate) use judged::agreement;

pub use fold::{Audition, Before, MeterRead, Override, Rating, Take};
pub use gaps::{AimView, GapsView, HeightView};
pub(crate) use gaps::{drawn_gaps, sounding_levels};
pub use kit::{Kit, meant};
pub(crate) use kit::{ends_in_terminals, hookup_by_record, hookup_or_meant, hung, over, under};
pub use page::{
    AuditionView, IronView, LeadsView, ListenView, MeterView, OverrideView, PhotoView, ProbedLine, SeatView,
    WhichWayView,
};
pub use present::{HearingView, Present, SessionView};
pub use proof::{CameTo, proof};
pub use questions::{AnswerView, QuestionView, questions};
pub use saved::Saved;
pub use sound::SoundView;
pub(crate) use sound::{Unexplained, sound, this_round};
pub use sounding::Session;
pub use steps::{State, Status, StepView, at_any_step, holding, progress, state, steps};
pub(crate) use steps::{before, leads_to};
pub(crate) use view::{FITTED_NOW, cautions_read, conditions_words, iron, listen, photos};
pub use view::{title, view};
