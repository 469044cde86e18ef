//! A bundle: a log, or part of one, in one file, to keep as a backup or to bring to another bench.
//!
//! It is a zip file with entries as lines of JSON, photos, and a list with the SHA-256 of each; `demo-data/BUNDLE.md`
//! documents it. Taking one in is a union of entries: nothing that is written is changed, and the same bundle taken in
//! twice comes to the same as once.

mod arriving;
mod compare;
mod directory;
mod flaw;
pub mod limits;
mod line;
mod look;
mod manifest;
mod pack;
mod take_in;
mod takes;
mod tray;
mod watch;
mod words;

pub use arriving::take_in_lines;
pub use flaw::{Flaw, NotCarried};
pub use look::{BundleNews, look};
pub use manifest::{Counts, FORM, Manifest, MemberListed, VERSION, grouped};
pub use pack::{Which, pack, pack_with, takes_in, would_hold};
pub use take_in::take_in;
pub use tray::{Tray, clear_away};
pub use watch::{Phase, Watch};
pub use words::{size_shown, taken_in};

pub(crate) use line::Carried;
pub(crate) use pack::read_row;
pub(crate) use takes::{HEAD as HEAD_OF_TAKE, is_as_kept as is_take_as_kept, named_in as take_named_in};
