//! Recordings beside a log: FLAC files, each named by what it holds.

use crate::record::take::TakeName;
use crate::shelf::{self, Sort};

pub use crate::shelf::{Arriving, Laid};

/// The takes beside a log.
pub type Shelf = shelf::Shelf<TakeName>;

impl Sort for TakeName {
    const FOLDER: &str = "takes";
    const ENDING: &str = "flac";
    const BY_PARTS: bool = true;
}
