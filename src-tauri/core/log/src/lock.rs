//! One lock for all programs on a log: a file beside it.
//!
//! Whoever opens, brings back, migrates or shortens holds it alone; whoever writes an entry holds it together with other
//! writers, until the entry is acknowledged. So nothing is acknowledged between the reading of a damaged log and the
//! moment the salvaged one lies in its place. The order of locks: this one first, then SQLite's own, then the tally's
//! file. Nobody who holds a later one waits for an earlier one.

use crate::files::{File, TryLockError};
use std::path::Path;
use std::time::Duration;

use super::trouble::Trouble;
use crate::private;

const FILE: &str = "solderlast.lock";
const PAUSE: Duration = Duration::from_millis(2);
/// How long a writer waits for who holds the lock alone.
const FOR_WRITING: Duration = Duration::from_secs(5);
/// How long an opening waits: another program may be salvaging a long log.
const FOR_OPENING: Duration = Duration::from_secs(120);

/// The lock of a log. It is held by what its methods give.
#[derive(Debug)]
pub(super) struct Lock(File);

/// The lock, held until this is dropped.
#[derive(Debug)]
pub(super) struct Held<'a>(&'a File);

impl Drop for Held<'_> {
    fn drop(&mut self) {
        // It is gone with the file too, when that is closed.
        let _ = self.0.unlock();
    }
}

impl Lock {
    /// The lock of the log in this folder.
    pub fn of(folder: &Path) -> Result<Self, Trouble> {
        Ok(Self(private::options().create(true).truncate(false).read(true).open(folder.join(FILE))?))
    }

    /// Held alone: for opening, salvage, migration.
    pub fn alone(&self) -> Result<Held<'_>, Trouble> {
        self.hold(File::try_lock, FOR_OPENING)
    }

    /// Held together with other writers.
    pub fn together(&self) -> Result<Held<'_>, Trouble> {
        self.hold(File::try_lock_shared, FOR_WRITING)
    }

    /// Held alone, by who can't wait for long.
    pub fn alone_to_write(&self) -> Result<Held<'_>, Trouble> {
        self.hold(File::try_lock, FOR_WRITING)
    }

    fn hold(&self, take: fn(&File) -> Result<(), TryLockError>, patience: Duration) -> Result<Held<'_>, Trouble> {
        let mut waited = Duration::ZERO;
        loop {
            match take(&self.0) {
                Ok(()) => return Ok(Held(&self.0)),
                Err(TryLockError::WouldBlock) if waited < patience => crate::files::pause(PAUSE),
                Err(TryLockError::WouldBlock) => return Err(Trouble::Busy),
                // A disk that knows no locks: SQLite's own are all there is.
                Err(TryLockError::Error(error)) if error.kind() == std::io::ErrorKind::Unsupported => {
                    return Ok(Held(&self.0));
                }
                Err(TryLockError::Error(error)) => return Err(error.into()),
            }
            waited += PAUSE;
        }
    }
}

/// What tells the file at a path from every other one on this computer, where a system says so.
pub(super) fn identity(path: &Path) -> Option<(u64, u64)> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt as _;
        crate::files::metadata(path).ok().map(|file| (file.dev(), file.ino()))
    }
    #[cfg(not(unix))]
    {
        let _ = path;
        None
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn writers_hold_it_together_and_an_opening_alone() {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let (one, other) = (Lock::of(folder.path()).expect("a lock"), Lock::of(folder.path()).expect("a lock"));
        {
            let _one = one.together().expect("held");
            let _other = other.together().expect("held by both");
        }
        let alone = one.alone().expect("held");
        assert!(matches!(other.hold(File::try_lock_shared, Duration::ZERO), Err(Trouble::Busy)));
        assert!(matches!(other.hold(File::try_lock, Duration::ZERO), Err(Trouble::Busy)));
        drop(alone);
        let _ = other.alone().expect("let go of");
    }
}
