//! Where a bundle lies while it is packed, looked into or taken in: a folder of its own beside the log.
//!
//! Each tray is locked by who uses it, so what a program that was stopped left behind is known by its open lock, and is
//! ended or thrown away when the log is opened next. Nothing on a tray is part of the log.

use crate::files::{self as fs, File, TryLockError};
use std::io::Write as _;
use std::path::{Path, PathBuf};

use uuid::Uuid;

use crate::private;
use crate::record::names::EntryId;
use crate::record::photo::PhotoName;
use crate::record::take::TakeName;
use crate::shelf::{Shelf, Sort};
use crate::{Log, Trouble};

const FOLDER: &str = "carry";
const LOCK: &str = "lock";
const BUNDLE: &str = "bundle.zip";
const STAGED: &str = "staged.db";
const PHOTOS: &str = "photos";
const TAKES: &str = "takes";
/// Names an entry that is about to be written: if the log has it, the photos on the tray belong to it.
const COMMITTING: &str = "committing";

/// A tray in use. What is on it goes when it is dropped.
#[derive(Debug)]
pub struct Tray {
    path: PathBuf,
    lock: File,
}

impl Tray {
    /// Puts a tray beside the log in this folder.
    ///
    /// # Errors
    /// [`Trouble`] when there is no room, or another program uses a tray of this name.
    pub fn put(log_folder: &Path, name: Uuid) -> Result<Self, Trouble> {
        let path = log_folder.join(FOLDER).join(name.to_string());
        private::folder(&path)?;
        let lock = private::file(&path.join(LOCK))?;
        match lock.try_lock() {
            Ok(()) => {}
            Err(TryLockError::WouldBlock) => return Err(Trouble::Busy),
            Err(TryLockError::Error(error)) => return Err(error.into()),
        }
        Ok(Self { path, lock })
    }

    /// The bundle itself.
    #[must_use]
    pub fn bundle(&self) -> PathBuf {
        self.path.join(BUNDLE)
    }

    pub(super) fn staged(&self) -> PathBuf {
        self.path.join(STAGED)
    }

    /// Lays a photo on the tray, synced.
    pub(super) fn lay_photo(&self, name: &PhotoName, bytes: &[u8]) -> Result<(), Trouble> {
        let folder = self.path.join(PHOTOS);
        private::folder(&folder)?;
        let mut file = private::file(&folder.join(name.as_str()))?;
        file.write_all(bytes)?;
        file.sync_all()?;
        Ok(())
    }

    /// Begins a take on the tray; whoever writes it syncs it.
    pub(super) fn begin_take(&self, name: &TakeName) -> Result<File, Trouble> {
        let folder = self.path.join(TAKES);
        private::folder(&folder)?;
        Ok(private::file(&folder.join(name.as_str()))?)
    }

    /// Notes, synced, that an entry is about to be written.
    pub(super) fn committing(&self, first: EntryId) -> Result<(), Trouble> {
        let mut file = private::file(&self.path.join(COMMITTING))?;
        file.write_all(first.0.to_string().as_bytes())?;
        file.sync_all()?;
        Ok(())
    }

    /// Moves photos and takes to their shelves, now that entries name them.
    pub(super) fn shelve(&self, log_folder: &Path) -> Result<(), Trouble> {
        shelve(&self.path, log_folder)
    }
}

impl Drop for Tray {
    fn drop(&mut self) {
        // What can't be removed now is removed at the next opening.
        let _ = self.lock.unlock();
        let _ = fs::remove_dir_all(&self.path);
    }
}

fn shelve(tray: &Path, log_folder: &Path) -> Result<(), Trouble> {
    shelve_all::<PhotoName>(&tray.join(PHOTOS), &Shelf::beside(log_folder))?;
    shelve_all::<TakeName>(&tray.join(TAKES), &Shelf::beside(log_folder))
}

fn shelve_all<N: Sort>(from: &Path, shelf: &Shelf<N>) -> Result<(), Trouble> {
    let Ok(files) = fs::read_dir(from) else { return Ok(()) };
    for file in files.filter_map(Result::ok) {
        if let Ok(name) = N::try_from(file.file_name().to_string_lossy().into_owned()) {
            shelf.adopt(&name, &file.path())?;
        }
    }
    shelf.settle()
}

/// Ends or throws away what programs that were stopped left on their trays.
///
/// # Errors
/// [`Trouble`] when the log or the folder can't be used; it is tried again at the next opening.
pub fn clear_away(log: &Log) -> Result<(), Trouble> {
    let Ok(trays) = fs::read_dir(log.folder().join(FOLDER)) else { return Ok(()) };
    for path in trays.filter_map(|tray| tray.ok().map(|tray| tray.path())) {
        let Ok(lock) = File::open(path.join(LOCK)) else {
            // Stopped between making the folder and locking it, or none of ours: an empty one goes, others stay.
            let _ = fs::remove_dir(&path);
            continue;
        };
        if lock.try_lock().is_err() {
            continue;
        }
        let committing = fs::read_to_string(path.join(COMMITTING)).ok().and_then(|text| Uuid::try_parse(&text).ok());
        if let Some(first) = committing
            && log.entry(EntryId(first))?.is_some()
        {
            shelve(&path, log.folder())?;
        }
        fs::remove_dir_all(&path)?;
    }
    Ok(())
}
