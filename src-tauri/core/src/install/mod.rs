//! One permanent install: the fit sheet, the acts at the open guitar, and the proof.
//!
//! An [`Install`] is a fold over its entries, as an audition is. What its sheet shows is computed at every look from the plan,
//! the audition it rests on and the guitar's record; nothing of it is stored.

mod by_ear;
mod circuit;
mod compute;
mod fold;
mod gives;
mod jack;
mod kit;
mod laid;
mod page;
mod parts;
mod parts_drawn;
mod plan;
mod sheet;
mod shown;
mod side_by_side;
mod slips;
mod tasks;
mod view;

pub use circuit::{
    CircuitLook, CircuitView, CurveRow, CurveTold, PartOffered, PartsOffered, Passage, as_installed, circuit_of,
};
pub use fold::{Finished, Install, InstallState, JackRead};
pub use gives::Gives;
pub use kit::{InstallKit, LaidBefore, PickupThatStays};
pub use page::{
    ActView, AnswerOffered, BeforeReading, BeforeView, CheckView, CheckedLine, HeardBefore, HookupView,
    InstallStepView, InstallView, IronAct, JackLine, JackView, JointLine, LivesIn, MissingSize, ModeOffered, PartsView,
    PhaseView, PlanView, ProofReading, ProofView, SizeOf, SwitchOffered, TogetherView, Unrecorded,
};
pub use plan::{OwnPositionForm, PlanForm, PositionForm, RowOffered, SelectorHere, SelectorOffered};
pub use side_by_side::{SheetBeside, SheetsView, side_by_side};
pub use slips::{InstallSlip, StatedIn};
pub use tasks::{TASKS, TaskText};
pub use view::view;
