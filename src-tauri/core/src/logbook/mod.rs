//! The logbook, written in ink: entries are added, never changed; a mistake is struck out by another entry.

pub mod bundle;
mod checks;
mod copies;
mod fits;
mod lines;
mod listener;
mod lists;
mod lock;
mod opening;
pub mod photos;
mod place;
mod raw;
mod remembered;
mod salvage;
mod schema;
mod search;
mod store;
mod sums;
mod tables;
mod tally;
mod trouble;

pub use checks::{Looked, is_there, look_over};
pub(crate) use copies::check_and_copy;
pub use copies::{Lacking, Notice, Source};
pub use fits::FitLine;
pub use lines::Line;
pub use listener::Listener;
pub(crate) use place::bring_together;
pub(crate) use remembered::Stamp;
pub use salvage::{Salvaged, salvage_files};
pub use search::{Find, Found, PAGE};
pub(crate) use store::Came;
pub use store::Log;
pub use tables::Table;
pub use trouble::Trouble;
