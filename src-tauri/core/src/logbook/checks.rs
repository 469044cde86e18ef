//! The whole log looked at, with lists that are made anew where they are not right.

use std::path::Path;

use chrono::{DateTime, Utc};
use uuid::Uuid;

use super::up_to_date::catch_up;
use super::{Log, Trouble};
use crate::record::names::BenchId;

/// Checks the log in a folder as it lies on the disk, from a connection of its own, so that the bench can go on meanwhile.
///
/// # Errors
/// [`Trouble::Damaged`] with the first finding.
pub(super) fn check(folder: &Path) -> Result<(), Trouble> {
    if !solderlast_log::whole(folder)? {
        // Whoever it is: nothing is written in a name.
        catch_up(&mut Log::beside(folder, BenchId(Uuid::nil()))?)?;
    }
    Ok(())
}

/// Checks the log in a folder, and copies it where that is due.
///
/// # Errors
/// [`Trouble::Damaged`] when the log is not sound; [`Trouble`] when there is no room.
pub(crate) fn check_and_copy(folder: &Path, now: DateTime<Utc>, copy: bool) -> Result<(), Trouble> {
    check(folder)?;
    if copy {
        solderlast_log::copy_beside(folder, now)?;
    }
    Ok(())
}
