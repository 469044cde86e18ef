//! Files of a browser's page, by the names and rules of `std::fs`, as far as a log needs them.

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::io::{self, Error, ErrorKind, Read, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};
use std::rc::Rc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::SystemTime;

use super::keeper::{Keeper, Way};

thread_local! {
    static KEEPER: RefCell<Option<Rc<dyn Keeper>>> = const { RefCell::new(None) };
}

/// From now on this keeps all files of this thread.
pub fn kept_by(keeper: Rc<dyn Keeper>) {
    KEEPER.with_borrow_mut(|now| *now = Some(keeper));
}

fn keeper() -> io::Result<Rc<dyn Keeper>> {
    let kept = KEEPER.with_borrow(Clone::clone);
    kept.ok_or_else(|| Error::new(ErrorKind::Unsupported, "nothing keeps files here"))
}

fn named(path: &Path) -> io::Result<&str> {
    path.to_str().ok_or_else(|| Error::new(ErrorKind::InvalidInput, "a name that is no text"))
}

/// Names in this folder begin so.
fn inside(folder: &Path) -> io::Result<String> {
    Ok(format!("{}/", named(folder)?.trim_end_matches('/')))
}

/// An open file. It is closed when this is dropped.
#[derive(Debug)]
pub struct File {
    number: u32,
    at: AtomicU64,
    append: bool,
}

impl File {
    /// Opens a file to be read.
    ///
    /// # Errors
    /// When there is none.
    pub fn open(path: impl AsRef<Path>) -> io::Result<Self> {
        OpenOptions::new().read(true).open(path)
    }

    /// The same file, open once more, at the same place.
    ///
    /// # Errors
    /// When nothing keeps files.
    pub fn try_clone(&self) -> io::Result<Self> {
        keeper()?.again(self.number);
        Ok(Self { number: self.number, at: AtomicU64::new(self.here()), append: self.append })
    }

    fn here(&self) -> u64 {
        self.at.load(Ordering::Relaxed)
    }

    fn go_to(&self, at: u64) {
        self.at.store(at, Ordering::Relaxed);
    }

    /// Brings what was written to the device.
    ///
    /// # Errors
    /// When that fails.
    pub fn sync_all(&self) -> io::Result<()> {
        keeper()?.sync(self.number)
    }

    /// Cuts the file, or makes it longer by zeros.
    ///
    /// # Errors
    /// When there is no room.
    pub fn set_len(&self, size: u64) -> io::Result<()> {
        keeper()?.set_size(self.number, size)
    }

    /// How long it is.
    ///
    /// # Errors
    /// When it can't be told.
    pub fn metadata(&self) -> io::Result<Metadata> {
        Ok(Metadata { size: Some(keeper()?.size(self.number)?) })
    }

    /// Nobody else is there, so the lock is had.
    ///
    /// # Errors
    /// Never.
    #[expect(clippy::unnecessary_wraps, reason = "as the standard library has it")]
    pub fn lock(&self) -> io::Result<()> {
        Ok(())
    }

    /// As [`Self::lock`].
    ///
    /// # Errors
    /// Never.
    pub fn try_lock(&self) -> Result<(), TryLockError> {
        Ok(())
    }

    /// As [`Self::lock`].
    ///
    /// # Errors
    /// Never.
    pub fn try_lock_shared(&self) -> Result<(), TryLockError> {
        Ok(())
    }

    /// As [`Self::lock`].
    ///
    /// # Errors
    /// Never.
    #[expect(clippy::unnecessary_wraps, reason = "as the standard library has it")]
    pub fn unlock(&self) -> io::Result<()> {
        Ok(())
    }
}

impl Drop for File {
    fn drop(&mut self) {
        if let Ok(keeper) = keeper() {
            keeper.close(self.number);
        }
    }
}

impl Read for &File {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        let read = keeper()?.read_at(self.number, self.here(), into)?;
        self.go_to(self.here() + read as u64);
        Ok(read)
    }
}

impl Write for &File {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let keeper = keeper()?;
        let at = if self.append { keeper.size(self.number)? } else { self.here() };
        keeper.write_at(self.number, at, bytes)?;
        self.go_to(at + bytes.len() as u64);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for &File {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        let at = match to {
            SeekFrom::Start(at) => Some(at),
            SeekFrom::Current(by) => self.here().checked_add_signed(by),
            SeekFrom::End(by) => keeper()?.size(self.number)?.checked_add_signed(by),
        };
        self.go_to(at.ok_or_else(|| Error::new(ErrorKind::InvalidInput, "before the beginning of a file"))?);
        Ok(self.here())
    }
}

impl Read for File {
    fn read(&mut self, into: &mut [u8]) -> io::Result<usize> {
        (&*self).read(into)
    }
}

impl Write for File {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        (&*self).write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

impl Seek for File {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        (&*self).seek(to)
    }
}

/// Why a lock is not had.
#[derive(Debug)]
pub enum TryLockError {
    /// Somebody else has it.
    WouldBlock,
    /// The disk can't be used.
    Error(Error),
}

/// How a file is opened.
#[derive(Debug, Clone, Default)]
pub struct OpenOptions {
    way: Way,
    append: bool,
}

impl OpenOptions {
    /// As nothing was said.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// Every file can be read.
    pub fn read(&mut self, _: bool) -> &mut Self {
        self
    }

    /// Every file can be written.
    pub fn write(&mut self, _: bool) -> &mut Self {
        self
    }

    /// What is written goes to its end.
    pub fn append(&mut self, append: bool) -> &mut Self {
        self.append = append;
        self
    }

    /// It is made where there is none.
    pub fn create(&mut self, create: bool) -> &mut Self {
        self.way.create = create;
        self
    }

    /// It is made, and must not be there yet.
    pub fn create_new(&mut self, new: bool) -> &mut Self {
        self.way.new = new;
        self.way.create |= new;
        self
    }

    /// It is emptied.
    pub fn truncate(&mut self, empty: bool) -> &mut Self {
        self.way.empty = empty;
        self
    }

    /// Opens it.
    ///
    /// # Errors
    /// When it is not there, is there already, or there is no room.
    pub fn open(&self, path: impl AsRef<Path>) -> io::Result<File> {
        let number = keeper()?.open(named(path.as_ref())?, self.way)?;
        Ok(File { number, at: AtomicU64::new(0), append: self.append })
    }
}

/// Makes folders, which are no more here than the beginnings of names.
#[derive(Debug, Default)]
pub struct DirBuilder;

impl DirBuilder {
    /// One that makes nothing.
    #[must_use]
    pub fn new() -> Self {
        Self
    }

    /// With those it lies in.
    pub fn recursive(&mut self, _: bool) -> &mut Self {
        self
    }

    /// Nothing is to be done.
    ///
    /// # Errors
    /// When nothing keeps files.
    pub fn create(&self, path: impl AsRef<Path>) -> io::Result<()> {
        create_dir_all(path)
    }
}

/// What is told of a file or folder.
#[derive(Debug, Clone, Copy)]
pub struct Metadata {
    /// Nothing for a folder.
    size: Option<u64>,
}

impl Metadata {
    /// Its length in bytes.
    #[must_use]
    pub fn len(&self) -> u64 {
        self.size.unwrap_or(0)
    }

    /// Whether nothing is in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// Whether it is a file.
    #[must_use]
    pub fn is_file(&self) -> bool {
        self.size.is_some()
    }

    /// Whether it is a folder.
    #[must_use]
    pub fn is_dir(&self) -> bool {
        self.size.is_none()
    }

    /// Long ago: whatever is found unfinished here was left by a page that has ended.
    ///
    /// # Errors
    /// Never.
    pub fn modified(&self) -> io::Result<SystemTime> {
        Ok(SystemTime::UNIX_EPOCH)
    }
}

/// One name in a folder.
#[derive(Debug)]
pub struct DirEntry(PathBuf);

impl DirEntry {
    /// The whole name.
    #[must_use]
    pub fn path(&self) -> PathBuf {
        self.0.clone()
    }

    /// The last part of it.
    #[must_use]
    pub fn file_name(&self) -> std::ffi::OsString {
        self.0.file_name().unwrap_or_default().to_owned()
    }

    /// What is told of it.
    ///
    /// # Errors
    /// When it is gone.
    pub fn metadata(&self) -> io::Result<Metadata> {
        metadata(&self.0)
    }
}

/// What lies in a folder.
///
/// # Errors
/// `NotFound` when nothing does.
pub fn read_dir(folder: impl AsRef<Path>) -> io::Result<impl Iterator<Item = io::Result<DirEntry>>> {
    let folder = folder.as_ref();
    let begin = inside(folder)?;
    let names = keeper()?.names(&begin);
    if names.is_empty() {
        return Err(ErrorKind::NotFound.into());
    }
    let first = |name: &String| name[begin.len()..].split('/').next().unwrap_or_default().to_owned();
    let parts: BTreeSet<String> = names.iter().map(first).collect();
    let folder = folder.to_owned();
    Ok(parts.into_iter().map(move |part| Ok(DirEntry(folder.join(part)))))
}

/// What is told of a file or folder.
///
/// # Errors
/// `NotFound` when there is none.
pub fn metadata(path: impl AsRef<Path>) -> io::Result<Metadata> {
    match File::open(&path) {
        Ok(file) => file.metadata(),
        Err(error) if keeper()?.names(&inside(path.as_ref())?).is_empty() => Err(error),
        Err(_) => Ok(Metadata { size: None }),
    }
}

/// Whether there is such a file or folder.
///
/// # Errors
/// When nothing keeps files.
pub fn exists(path: impl AsRef<Path>) -> io::Result<bool> {
    let (keeper, path) = (keeper()?, path.as_ref());
    Ok(keeper.has(named(path)?) || !keeper.names(&inside(path)?).is_empty())
}

/// The whole of a file.
///
/// # Errors
/// When it can't be read.
pub fn read(path: impl AsRef<Path>) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    File::open(path)?.read_to_end(&mut bytes)?;
    Ok(bytes)
}

/// The whole of a file of text.
///
/// # Errors
/// When it can't be read, or is no text.
pub fn read_to_string(path: impl AsRef<Path>) -> io::Result<String> {
    String::from_utf8(read(path)?).map_err(|_| Error::new(ErrorKind::InvalidData, "no text"))
}

/// Gives a file, or all in a folder, another name.
///
/// # Errors
/// When there is none, or it can't be written.
pub fn rename(from: impl AsRef<Path>, to: impl AsRef<Path>) -> io::Result<()> {
    keeper()?.rename(named(from.as_ref())?, named(to.as_ref())?)
}

/// Removes a file.
///
/// # Errors
/// When there is none, or it can't be written.
pub fn remove_file(path: impl AsRef<Path>) -> io::Result<()> {
    keeper()?.remove(named(path.as_ref())?)
}

/// An empty folder is none.
///
/// # Errors
/// When something lies in it.
pub fn remove_dir(path: impl AsRef<Path>) -> io::Result<()> {
    match read_dir(path) {
        Ok(_) => Err(ErrorKind::DirectoryNotEmpty.into()),
        Err(_) => Ok(()),
    }
}

/// Removes all that lies in a folder.
///
/// # Errors
/// When it can't be written.
pub fn remove_dir_all(path: impl AsRef<Path>) -> io::Result<()> {
    let keeper = keeper()?;
    for name in keeper.names(&inside(path.as_ref())?) {
        keeper.remove(&name)?;
    }
    Ok(())
}

/// Folders need not be made.
///
/// # Errors
/// When nothing keeps files.
pub fn create_dir_all(_: impl AsRef<Path>) -> io::Result<()> {
    keeper().map(drop)
}

/// A file has one name here.
///
/// # Errors
/// Always: who asks goes on by another way.
pub fn hard_link(_: impl AsRef<Path>, _: impl AsRef<Path>) -> io::Result<()> {
    Err(ErrorKind::Unsupported.into())
}

/// Copies a file, in place of one that has this name.
///
/// # Errors
/// When it can't be read, or there is no room.
pub fn copy(from: impl AsRef<Path>, to: impl AsRef<Path>) -> io::Result<u64> {
    let mut from = File::open(from)?;
    let mut to = OpenOptions::new().write(true).create(true).truncate(true).open(to)?;
    io::copy(&mut from, &mut to)
}
