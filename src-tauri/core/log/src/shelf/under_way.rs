//! Files on their way onto a shelf: one without a name yet, one that was laid down, one of which the beginning is there.

use std::io::{Seek as _, SeekFrom, Write as _};
use std::path::PathBuf;

use super::unlock;
use crate::Trouble;
use crate::files::{self as fs, File};

/// A file that comes in and has no name yet. It goes again unless it is laid down.
#[derive(Debug)]
pub struct Arriving {
    pub(super) file: File,
    pub(super) path: PathBuf,
}

/// A file that was laid down under its name. While this is held, no tidying takes it for left behind.
#[derive(Debug)]
pub struct Laid(pub(super) Option<File>);

impl Drop for Laid {
    fn drop(&mut self) {
        self.0.iter().for_each(unlock);
    }
}

/// A file whose name is known, and of which the beginning is there. It stays for the next time when it is let go of.
#[derive(Debug)]
pub struct Half {
    pub(super) file: File,
    pub(super) path: PathBuf,
}

impl Drop for Half {
    fn drop(&mut self) {
        unlock(&self.file);
    }
}

impl Half {
    /// The file, from its beginning.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn rewound(&mut self) -> Result<&mut File, Trouble> {
        self.file.rewind()?;
        Ok(&mut self.file)
    }

    /// Keeps the first so many bytes alone, and goes on behind them.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn cut(&mut self, bytes: u64) -> Result<(), Trouble> {
        self.file.set_len(bytes)?;
        self.file.seek(SeekFrom::Start(bytes))?;
        Ok(())
    }

    /// Writes behind what was written last.
    ///
    /// # Errors
    /// [`Trouble`] when there is no room.
    pub fn add(&mut self, part: &[u8]) -> Result<(), Trouble> {
        Ok(self.file.write_all(part)?)
    }

    /// Throws it away: it is not what it was taken for, or nobody wants it any more.
    pub fn throw_away(self) {
        // What can't be removed now is gone through by the next tidying.
        let _ = fs::remove_file(&self.path);
    }
}

impl Arriving {
    /// The file, to be written and read from its beginning.
    ///
    /// # Errors
    /// [`Trouble`] when the disk can't be used.
    pub fn rewound(&self) -> Result<File, Trouble> {
        let mut file = self.file.try_clone()?;
        file.rewind()?;
        Ok(file)
    }

    /// Writes at its end.
    ///
    /// # Errors
    /// [`Trouble`] when there is no room.
    pub fn write(&mut self, part: &[u8]) -> Result<(), Trouble> {
        Ok(self.file.write_all(part)?)
    }
}

impl Drop for Arriving {
    fn drop(&mut self) {
        // What can't be removed now is removed by the next tidying; what was laid down has another path.
        let _ = fs::remove_file(&self.path);
    }
}
