//! One audition: its steps, what was answered in them, and what holds them.
//!
//! An [`Audition`] is a fold over its entries: the same entries in any order give the same audition, so a resumed
//! session is the same code as a live one.

mod answers;
mod fold;
mod ink;
mod judged;
mod step;
mod steps;
mod view;

pub(crate) use judged::agreement;

pub use answers::{
    Choice, FinalPlace, FinishAnswer, GapAim, GapsMeasured, HookedUp, Mounting, Quality, SHIELD, Seating, Side, Tick,
    Turn,
};
pub use fold::{Audition, HeardIn, Inked, Override, Taken};
pub use ink::{InkLine, Struck, ink};
pub use step::{AuditionId, Step};
pub(crate) use steps::ends_in_terminals;
pub use steps::{Kit, State, Status, StepView, Verdict, VerdictKind, holding, state, steps};
pub(crate) use view::drawn_gaps;
pub use view::{
    AimView, AuditionView, GapsView, LeadsView, ListenView, MeterView, OrderView, ProbedLine, SeatView, WhichWayView,
    meant, view,
};
