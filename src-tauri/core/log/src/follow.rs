//! What is done once the open log is not the file at its path any more, and bringing it together into one file.

use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use rusqlite::{Connection, OpenFlags};

use crate::copies;
use crate::place::{LogFiles, now_at};
use crate::row::{FILE, read_entry};
use crate::store::Log;
use crate::trouble::Trouble;

/// How many entries are brought over in one stroke.
pub(crate) const AT_ONCE: i64 = 1000;

/// Brings all of the log in a folder into its one file. Answers whether nobody was in the way.
///
/// # Errors
/// [`Trouble`] when there is no log, or the disk can't be written.
pub fn bring_together(folder: &Path) -> Result<bool, Trouble> {
    // Not begun where there is none.
    let conn = Connection::open_with_flags(folder.join(FILE), OpenFlags::SQLITE_OPEN_READ_WRITE)?;
    let busy: bool = conn.query_row("PRAGMA wal_checkpoint(TRUNCATE)", [], |row| row.get(0))?;
    Ok(!busy)
}

impl Log {
    /// How many rows were changed since the log was opened.
    pub fn changes(&self) -> u64 {
        self.conn.total_changes()
    }

    /// Whether the open log is the file at its path.
    pub fn is_in_place(&mut self) -> bool {
        self.left.is_none() && self.place.is_still(&self.folder)
    }

    /// Whether the log was let go of, because nothing could be opened at its path.
    pub fn is_left(&self) -> bool {
        self.left.is_some()
    }

    /// Opens the log that lies at the path now, and brings over what the one holds that was open until now. A notice says so.
    ///
    /// # Errors
    /// [`Trouble::Gone`] where none can be opened there; it names the file that holds everything.
    pub fn open_in_place(&mut self, now: DateTime<Utc>) -> Result<(), Trouble> {
        let moved = self.place.log.and_then(now_at);
        if let (Some(moved), false) = (&moved, self.folder.is_dir()) {
            // The whole folder was renamed: all of it is there, and goes on there.
            return Err(Trouble::Gone(format!("It is at {} now.", moved.display())));
        }
        let left = match &self.left {
            Some(left) => left.clone(),
            None => self.leave(now)?,
        };
        self.left = Some(left.clone());
        // From here on that file is all there is, until another log is open.
        self.let_go();
        self.clear_away_companions();
        let named = left.file_name().unwrap_or_default().to_string_lossy().into_owned();
        let gone = |trouble: &Trouble| {
            Trouble::Gone(format!("What was written until then lies in {named}, beside where it was. {trouble}"))
        };
        let mut new = Self::open(&self.folder, now, self.bench()).map_err(|trouble| gone(&trouble))?;
        let whole = new.bring_over(&left).map_err(|trouble| gone(&trouble))?;
        let what = "The log was moved, replaced or deleted while the program ran.";
        let sentence = if whole {
            // All of it is in the log again.
            let _ = crate::files::remove_file(&left);
            format!("{what} All that had been written was brought into the log that lies in its place now.")
        } else {
            format!("{what} Not all that had been written could be brought over. It lies in {named}: keep that file.")
        };
        copies::say(&new.conn, now, sentence, (!whole).then_some(named))?;
        *self = new;
        Ok(())
    }

    /// What SQLite kept beside a log that lies elsewhere now would be taken for part of the one in its place.
    pub(crate) fn clear_away_companions(&self) {
        let now = LogFiles::of(&self.folder);
        if now.log != self.place.log && now.wal.is_some() && now.wal == self.place.wal {
            for ending in ["-wal", "-shm", "-journal"] {
                // Where that fails the log is looked at when it is opened, as any other.
                let _ = crate::files::remove_file(self.folder.join(format!("{FILE}{ending}")));
            }
        }
    }

    /// Puts all that is open into a file beside the place of the log.
    pub(crate) fn leave(&self, now: DateTime<Utc>) -> Result<PathBuf, Trouble> {
        crate::files::create_dir_all(&self.folder)?;
        copies::leave(&self.conn, &self.folder, now)
    }

    /// Brings over entries that are not here. Answers whether all of them are now.
    pub(crate) fn bring_over(&mut self, left: &Path) -> Result<bool, Trouble> {
        let other = Connection::open_with_flags(left, OpenFlags::SQLITE_OPEN_READ_ONLY)?;
        let mut whole = true;
        let mut after = 0_i64;
        loop {
            let mut select = other.prepare_cached("SELECT seq FROM entry WHERE seq > ?1 ORDER BY seq LIMIT ?2")?;
            let rows: Vec<i64> = select.query_map([after, AT_ONCE], |row| row.get(0))?.collect::<Result<_, _>>()?;
            let Some(last) = rows.last() else { return Ok(whole) };
            after = *last;
            let mut entries = Vec::with_capacity(rows.len());
            for row in rows {
                let mut entry = other
                    .prepare_cached("SELECT id, at, bench, thing, about, kind, body, sum FROM entry WHERE seq = ?1")?;
                match entry.query_row([row], read_entry) {
                    Ok(Some(entry)) => entries.push(entry),
                    // Of a thing this version does not know, or not as it was written.
                    Ok(None) | Err(_) => whole = false,
                }
            }
            self.write(&entries)?;
        }
    }
}
