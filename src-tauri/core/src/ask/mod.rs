//! The contract: one typed entry through which every shell asks the bench.
//!
//! [`Bench::ask`] answers a question or writes something down; [`Bench::answer`] does the same in JSON. A shell adds no
//! meaning of its own.

mod bench;
mod carry;
mod carry_view;
mod carrying;
mod comparing;
mod contract;
mod examples;
mod fitting;
mod forms;
mod geometry;
mod history;
mod holding;
mod letter;
mod listener;
mod load;
mod measuring;
mod photo;
mod refusal;
mod reply;
mod resting;
mod showing;
mod since;
mod striking;
mod stroke;
mod views;
mod writing;

pub use bench::{Bench, in_json};
pub use carry_view::{BundleView, CarryId, CarryView, Carrying, Standing};
pub use carrying::Receiving;
pub use contract::*;
pub use examples::examples;
pub use forms::guitar::{GuitarForm, LayoutForm, PlaceForm, PotsForm, SelectorForm, StringForm};
pub use forms::pickup::{CoilForm, PickupForm, StaggerForm};
pub use forms::rig::RigForm;
pub use forms::{AimForm, ChoiceForm, HearForm, LevelForm};
pub use letter::{LONGEST_ASK, read};
pub use refusal::{Code, Refusal};
pub use reply::Reply;
pub use views::*;
