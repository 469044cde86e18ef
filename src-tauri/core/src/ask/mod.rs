//! The contract: one typed entry through which every shell asks the bench.
//!
//! [`Bench::ask`] answers a question or writes something down; [`Bench::answer`] does the same in JSON. A shell adds no
//! meaning of its own.

mod acts;
mod answering;
mod at_bench;
mod audition;
mod bench;
mod beside;
mod blind;
mod blind_view;
mod carry;
mod carry_view;
mod carrying;
mod coils;
mod comparison;
mod contract;
mod examples;
mod forms;
mod holding;
mod install;
mod leads;
mod listener;
mod load;
mod log;
mod parse;
mod photo;
mod reference;
mod refusal;
mod reply;
mod resting;
mod since;
mod striking;
mod stroke;
mod take_view;
mod takes;
mod things;
mod understand;
mod views;

pub use at_bench::BenchAsk;
pub use audition::asks::{AuditionAct, AuditionAsk};
pub use bench::Bench;
pub use blind::{BlindAct, BlindAsk};
pub use blind_view::{BlindOffer, HeardTake, PowerLine, TakesTogether};
pub use carry_view::{BundleView, CarryId, CarryView, Carrying, Standing};
pub use carrying::{CarryAsk, Receiving};
pub use comparison::asks::{ComparisonAct, ComparisonAsk};
pub use contract::{Ask, names};
pub use examples::examples;
pub use forms::guitar::{GuitarForm, LayoutForm, PlaceForm, PotsForm, SelectorForm, StringForm};
pub use forms::pickup::{CoilForm, PickupForm, StaggerForm};
pub use forms::rig::{RigForm, RigToBeginFrom};
pub use forms::take::RecordedForm;
pub use forms::{AimForm, ChoiceForm, HearForm, LevelForm};
pub use install::asks::{InstallAct, InstallAsk};
pub use leads::asks::{LeadsAct, LeadsAsk};
pub use log::LogAsk;
pub use parse::{LONGEST_ASK, parse};
pub use refusal::{Code, Refusal};
pub use reply::{Reply, in_json};
pub use take_view::{LastRecorded, TakeChoices, TakeLine, TakePicked, TakesView};
pub use takes::{ReceivingTake, TakeAct, TakeAsk, TakePlace};
pub use things::asks::{ThingAct, ThingAsk};
pub use understand::Quantity;
pub use views::*;
