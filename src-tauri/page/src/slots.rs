//! Open files without names, each by its number.

use std::io;

/// Files that are open already. Numbers 0 and 1 hold the list of names, the others what the names stand for.
pub trait Slots {
    /// Reads from this byte on; answers how many bytes came.
    ///
    /// # Errors
    /// When it can't be read.
    fn read_at(&self, slot: u32, at: u64, into: &mut [u8]) -> io::Result<usize>;

    /// Writes all of this from this byte on.
    ///
    /// # Errors
    /// `StorageFull` when there is no room.
    fn write_at(&self, slot: u32, at: u64, bytes: &[u8]) -> io::Result<()>;

    /// Its length in bytes.
    ///
    /// # Errors
    /// When it can't be told.
    fn size(&self, slot: u32) -> io::Result<u64>;

    /// Cuts it, or makes it longer by zeros.
    ///
    /// # Errors
    /// When there is no room.
    fn set_size(&self, slot: u32, size: u64) -> io::Result<()>;

    /// Brings what was written to the device.
    ///
    /// # Errors
    /// When that fails.
    fn sync(&self, slot: u32) -> io::Result<()>;
}

/// Reads until the end, or until so many bytes came.
///
/// # Errors
/// When it can't be read.
pub fn read_all(slots: &impl Slots, slot: u32, most: u64) -> io::Result<Vec<u8>> {
    let size = usize::try_from(slots.size(slot)?.min(most)).map_err(io::Error::other)?;
    let mut bytes = vec![0; size];
    let mut at = 0;
    while at < size {
        match slots.read_at(slot, at as u64, &mut bytes[at..])? {
            0 => break,
            read => at += read,
        }
    }
    bytes.truncate(at);
    Ok(bytes)
}
