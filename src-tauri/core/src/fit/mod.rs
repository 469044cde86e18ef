//! One permanent install: the fit sheet, the acts at the open guitar, and the proof.
//!
//! A [`Fit`] is a fold over its entries, as an audition is. What its sheet shows is computed at every look from the plan,
//! the audition it rests on and the guitar's record; nothing of it is stored.

mod acts;
mod by_ear;
mod computed;
mod fold;
mod kit;
mod parts;
mod plan;
mod seen;
mod sheet;
mod slips;
mod view;

pub use acts::{ACTS, Act};
pub use fold::{Finished, Fit, FitState, JackRead};
pub use kit::{FitKit, Known};
pub use plan::{OwnPositionForm, PlanForm};
pub use seen::{
    ActView, AnswerOffered, BeforeReading, BeforeView, CheckView, CheckedLine, FitStepView, FitView, HeardBefore,
    HookupView, IronAct, JackLine, JackView, JointLine, LivesIn, MissingSize, ModeOffered, PartsView, PhaseView,
    PlanView, ProofReading, ProofView, SizeOf, SwitchOffered, TogetherView, Unrecorded,
};
pub use slips::{FitSlip, StatedIn};
pub use view::view;
