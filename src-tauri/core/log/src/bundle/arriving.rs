//! Entries that arrive as lines from elsewhere than a bundle, as from a log that several benches share: held against the same
//! rules as those of a bundle, and taken in all at once or not at all.

use std::path::Path;

use chrono::{DateTime, Utc};

use super::flaw::{Flaw, NotCarried};
use super::limits::LONGEST_LINE;
use super::line::Carried;
use super::look::{Staging, staging};
use super::take_in::{Tallied, write};
use super::tray::Tray;
use super::watch::Watch;
use crate::place::LogFiles;
use crate::{Trouble, copies, tally};

/// Up to so many entries are added to the tally one by one.
const FEW: usize = 1000;

/// Takes in entries, each a line as in a bundle, without its end, under a number that it is named by when something is wrong with
/// it; answers how many are new in the log. With `copied`, the log is copied first, and the copy is of that instant.
///
/// # Errors
/// [`NotCarried`]; the log is as it was, but for a file that went from its place while they were written ([`Trouble::Gone`]).
pub fn take_in_lines<'a>(
    folder: &Path,
    tray: &Tray,
    lines: impl IntoIterator<Item = (u64, &'a [u8])>,
    copied: Option<DateTime<Utc>>,
    watch: &Watch,
) -> Result<u64, NotCarried> {
    let mut place = LogFiles::of(folder);
    let mut conn = staging(folder, tray)?;
    let mut count = 0;
    let stroke = conn.unchecked_transaction()?;
    let mut staging = Staging::new(&stroke)?;
    for (number, line) in lines {
        if line.len() > LONGEST_LINE {
            return Err(Flaw::LongLine(number).into());
        }
        staging.stage(&Carried::read(line, number)?, number)?;
        count += 1;
    }
    drop(staging);
    stroke.commit()?;
    watch.go_on()?;
    if let Some(now) = copied {
        copies::make(&conn, folder, now)?;
    }
    let tallied = if count <= FEW { Tallied::OneByOne } else { Tallied::Anew };
    let written = write(&mut conn, folder, tray, watch, tallied)?;
    drop(conn);
    if !place.is_still(folder) {
        return Err(Trouble::Gone(String::new()).into());
    }
    if written > 0 && tallied == Tallied::Anew {
        // What is not counted now is counted at the next opening.
        let _ = tally::count_anew(folder);
    }
    Ok(written)
}
