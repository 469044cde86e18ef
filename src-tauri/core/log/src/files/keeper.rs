//! What keeps files where no system does.

use std::io;

/// How a file is opened.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Way {
    /// It is made where there is none.
    pub create: bool,
    /// It must not be there yet.
    pub new: bool,
    /// It is emptied.
    pub empty: bool,
}

/// Keeps files by their whole names (`bench/photos/x.jpg`); folders are the beginnings of names. An open file goes by a number,
/// which stays its own until it is closed, also when the name goes or is given to another file.
///
/// What was written has reached the device when [`Keeper::sync`] comes back; a change of names when its own method does.
pub trait Keeper {
    /// Opens a file.
    ///
    /// # Errors
    /// `NotFound`, `AlreadyExists`, or when there is no room.
    fn open(&self, name: &str, way: Way) -> io::Result<u32>;

    /// Opens the same file once more.
    fn again(&self, file: u32);

    /// Closes a file.
    fn close(&self, file: u32);

    /// How long a file is, in bytes.
    ///
    /// # Errors
    /// When it can't be told.
    fn size(&self, file: u32) -> io::Result<u64>;

    /// Reads from this byte on; answers how many bytes came, fewer than asked for at the end alone.
    ///
    /// # Errors
    /// When it can't be read.
    fn read_at(&self, file: u32, at: u64, into: &mut [u8]) -> io::Result<usize>;

    /// Writes all of this from this byte on.
    ///
    /// # Errors
    /// `StorageFull` when there is no room.
    fn write_at(&self, file: u32, at: u64, bytes: &[u8]) -> io::Result<()>;

    /// Cuts a file, or makes it longer by zeros.
    ///
    /// # Errors
    /// When there is no room.
    fn set_size(&self, file: u32, size: u64) -> io::Result<()>;

    /// Brings what was written, and the name of the file, to the device.
    ///
    /// # Errors
    /// When that fails.
    fn sync(&self, file: u32) -> io::Result<()>;

    /// Gives a file another name, in place of the file that has it.
    ///
    /// # Errors
    /// `NotFound`, or when it can't be written.
    fn rename(&self, from: &str, to: &str) -> io::Result<()>;

    /// Removes a file.
    ///
    /// # Errors
    /// `NotFound`, or when it can't be written.
    fn remove(&self, name: &str) -> io::Result<()>;

    /// Whether there is a file of this name.
    fn has(&self, name: &str) -> bool;

    /// All names that begin like this.
    fn names(&self, begin: &str) -> Vec<String>;
}
