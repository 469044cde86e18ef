//! The log, written in ink: entries are added, never changed; a mistake is struck out by another entry.
//!
//! It knows what is written down and nothing that is made of it. Tables that are derived from entries stand in its schema, so that
//! damage to them is seen; who makes and reads them does so by [`Log::tables`].
//!
//! ```
//! use chrono::DateTime;
//! use solderlast_log::Log;
//! use solderlast_record::audition::AuditionId;
//! use solderlast_record::entry::{About, Entry, Written};
//! use solderlast_record::names::{BenchId, EntryId};
//! use uuid::Uuid;
//!
//! # fn main() -> Result<(), Box<dyn std::error::Error>> {
//! let folder = tempfile::tempdir()?;
//! let (at, bench) = (DateTime::UNIX_EPOCH, BenchId(Uuid::from_u128(7)));
//! let about = About::Audition(AuditionId(Uuid::from_u128(1)));
//! // A kind that this version does not know is kept to the letter.
//! let body = Written::Newer { kind: "hummed".to_owned(), text: r#"{"kind":"hummed","tune":[1.5]}"#.to_owned() };
//! let entry = Entry { id: EntryId(Uuid::from_u128(2)), at, bench, about, body };
//!
//! let mut log = Log::open(folder.path(), at, bench)?;
//! log.write(&[entry.clone()])?;
//! // Written twice is written once.
//! log.write(&[entry.clone()])?;
//! assert_eq!(log.about(about)?[..], [(entry, false)]);
//! # Ok(())
//! # }
//! ```

pub mod bundle;
mod checks;
mod copies;
mod erasing;
mod file;
pub mod files;
mod follow;
mod found;
mod listener;
mod lock;
mod moment;
mod notice;
mod opening;
mod ordered;
pub mod photos;
mod place;
pub mod private;
mod raw;
mod remembered;
mod row;
mod salvage;
mod schema;
pub mod shared;
mod shelf;
mod store;
pub mod sums;
pub mod takes;
mod tally;
mod trouble;

use solderlast_record as record;

pub use checks::{Looked, copy_beside, is_there, look_over, whole};
pub use erasing::Erasure;
pub use follow::bring_together;
pub use found::Found;
pub use listener::Listener;
pub use notice::{Lacking, Notice, Source};
pub use ordered::Ordered;
pub use remembered::Stamp;
pub use row::{ABOUT, read_entry};
pub use salvage::{Salvaged, salvage_files};
pub use store::{Came, Log};
pub use trouble::Trouble;
