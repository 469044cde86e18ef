//! The log, written in ink: entries are added, never changed; a mistake is struck out by another entry.
//!
//! It knows what is written down and nothing that is made of it. Tables that are derived from entries stand in its schema, so that
//! damage to them is seen; who makes and reads them does so by [`Log::tables`].

pub mod bundle;
mod checks;
mod copies;
mod file;
mod follow;
mod listener;
mod lock;
mod notice;
mod opening;
pub mod photos;
mod place;
pub mod private;
mod raw;
mod remembered;
mod row;
mod salvage;
mod schema;
mod store;
pub mod sums;
mod tally;
mod trouble;

use solderlast_record as record;

pub use checks::{Looked, copy_beside, is_there, look_over, whole};
pub use follow::bring_together;
pub use listener::Listener;
pub use notice::{Lacking, Notice, Source};
pub use remembered::Stamp;
pub use row::{ABOUT, read_entry};
pub use salvage::{Salvaged, salvage_files};
pub use store::{Came, Log};
pub use trouble::Trouble;
