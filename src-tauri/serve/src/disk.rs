//! What waits for a disk: done on threads kept for that, and small files beside the log that several programs share.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use solderlast_core::private;

use crate::refusal::{Code, Refusal};

/// Runs what waits for a disk on a thread kept for that.
///
/// # Errors
/// A refusal when the work could not be finished, which is a fault of the program.
pub(crate) async fn off_the_loop<T: Send + 'static>(work: impl FnOnce() -> T + Send + 'static) -> Result<T, Refusal> {
    tokio::task::spawn_blocking(work).await.map_err(|_| {
        Refusal::new(Code::Program, "Something went wrong inside the program. Your log is as it was. Try again.")
    })
}

/// A small file beside the log, its owner's alone. It is changed whole or not at all, by one program at a time.
#[derive(Debug, Clone)]
pub(crate) struct Kept {
    folder: PathBuf,
    name: &'static str,
    lock: &'static str,
}

impl Kept {
    /// The file of this name beside the log in this folder, and the name of the one that is locked while it changes.
    pub fn beside(log_folder: &Path, name: &'static str, lock: &'static str) -> Self {
        Self { folder: log_folder.to_path_buf(), name, lock }
    }

    /// Where it is.
    pub fn path(&self) -> PathBuf {
        self.folder.join(self.name)
    }

    /// What is in it; nothing when it is not there or can't be read.
    pub fn read(&self) -> Option<Vec<u8>> {
        fs::read(self.path()).ok()
    }

    /// Removes it, and these beside it.
    ///
    /// # Errors
    /// When the disk can't be used.
    pub fn remove(&self, others: &[&str]) -> io::Result<()> {
        let lock = private::file(&self.folder.join(self.lock))?;
        lock.lock()?;
        for path in others.iter().map(|name| self.folder.join(name)).chain([self.path()]) {
            match fs::remove_file(path) {
                Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
                _ => {}
            }
        }
        Ok(())
    }

    /// Looks at what is in it and puts something else there, if `change` says so. On disk when this returns.
    ///
    /// # Errors
    /// When the disk can't be used; then the file is as it was.
    pub fn change<T>(&self, change: impl FnOnce(Option<Vec<u8>>) -> io::Result<(Option<Vec<u8>>, T)>) -> io::Result<T> {
        let lock = private::file(&self.folder.join(self.lock))?;
        lock.lock()?;
        let (new, answer) = change(self.read())?;
        let Some(new) = new else { return Ok(answer) };
        let fresh = self.folder.join(format!("{}.new", self.name));
        // A file left by a killed program may have other permissions, so it is not written over.
        match fs::remove_file(&fresh) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
        let mut file = private::options().create_new(true).open(&fresh)?;
        file.write_all(&new)?;
        file.sync_all()?;
        fs::rename(&fresh, self.path())?;
        #[cfg(unix)]
        File::open(&self.folder)?.sync_all()?;
        Ok(answer)
    }
}
