//! Whether the open log is still the file at its path, and what is done once it is not.
//!
//! A file can be deleted, renamed or replaced while a program has it open. The program then writes on into a file that
//! nobody finds again. So what a path names is looked at after each commit, before it is acknowledged.

use std::path::{Path, PathBuf};

use super::lock::identity;
use crate::row::FILE;

/// What tells a file from every other one on this computer. It is asked for by name: to close a file that is open would give
/// up all locks that this program has on it.
pub(super) type FileId = (u64, u64);

/// The files that an open log lies in.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct LogFiles {
    pub(super) log: Option<FileId>,
    pub(super) wal: Option<FileId>,
}

impl LogFiles {
    /// What lies in a folder now.
    pub fn of(folder: &Path) -> Self {
        Self { log: identity(&folder.join(FILE)), wal: identity(&folder.join(format!("{FILE}-wal"))) }
    }

    /// Whether the same lies there still. A write-ahead file comes with the first look into the log.
    pub fn is_still(&mut self, folder: &Path) -> bool {
        let now = Self::of(folder);
        self.wal = self.wal.or(now.wal);
        *self == now
    }
}

/// Where a file that this program has open lies now, as far as the system tells; nothing where it was deleted.
pub(super) fn now_at(file: FileId) -> Option<PathBuf> {
    let open = std::fs::read_dir("/proc/self/fd").ok()?;
    let mut names = open.filter_map(|one| {
        let one = one.ok()?.path();
        (identity(&one) == Some(file)).then(|| std::fs::read_link(one).ok())?
    });
    names.find(|name| identity(name) == Some(file))
}
