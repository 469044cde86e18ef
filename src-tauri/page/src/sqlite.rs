//! SQLite over the pool's files.

use std::borrow::Cow;
use std::cell::RefCell;
use std::collections::HashMap;
use std::io::{self, ErrorKind};
use std::rc::Rc;

use solderlast_core::logbook::files::{Keeper, Way};
use sqlite_plugin::flags::{AccessFlags, CreateMode, LockLevel, OpenMode, OpenOpts};
use sqlite_plugin::vars::{
    SQLITE_BUSY, SQLITE_CANTOPEN, SQLITE_FULL, SQLITE_IOCAP_UNDELETABLE_WHEN_OPEN, SQLITE_IOERR,
    SQLITE_IOERR_DELETE_NOENT,
};
use sqlite_plugin::vfs::{RegisterOpts, Vfs, VfsHandle, VfsResult, register_static};

type Kept = Rc<dyn Keeper>;

thread_local! {
    static KEEPER: RefCell<Option<Kept>> = const { RefCell::new(None) };
    static LOCKS: RefCell<HashMap<u32, Locks>> = RefCell::default();
}

/// From now on every file of SQLite is one of this keeper's.
///
/// # Errors
/// What SQLite says.
pub fn opens_files_of(keeper: Kept) -> Result<(), i32> {
    KEEPER.with_borrow_mut(|now| *now = Some(keeper));
    register_static(c"page".to_owned(), PageFiles, RegisterOpts { make_default: true }).map(drop)
}

fn with<T>(act: impl FnOnce(&dyn Keeper) -> io::Result<T>) -> VfsResult<T> {
    let keeper = KEEPER.with_borrow(Clone::clone).ok_or(SQLITE_IOERR)?;
    act(&*keeper).map_err(|error| match error.kind() {
        ErrorKind::StorageFull => SQLITE_FULL,
        _ => SQLITE_IOERR,
    })
}

/// Who holds what of one file: connections of one worker, one after the other.
#[derive(Debug, Default)]
struct Locks {
    shared: u32,
    reserved: bool,
    pending: bool,
    exclusive: bool,
}

struct PageFiles;

/// A file of SQLite's.
enum Handle {
    Kept {
        file: u32,
        lock: u8,
        goes: Option<String>,
    },
    /// What SQLite keeps for a moment, and nobody finds again.
    Passing(Vec<u8>),
}

impl VfsHandle for Handle {
    fn readonly(&self) -> bool {
        false
    }

    fn in_memory(&self) -> bool {
        false
    }
}

const fn level(lock: &LockLevel) -> u8 {
    match lock {
        LockLevel::Unlocked => 0,
        LockLevel::Shared => 1,
        LockLevel::Reserved => 2,
        LockLevel::Pending => 3,
        LockLevel::Exclusive => 4,
    }
}

impl Vfs for PageFiles {
    type Handle = Handle;

    fn canonical_path<'a>(&self, path: Cow<'a, str>) -> VfsResult<Cow<'a, str>> {
        Ok(path)
    }

    fn open(&self, path: Option<&str>, opts: OpenOpts) -> VfsResult<Handle> {
        let Some(path) = path.filter(|path| !path.is_empty()) else { return Ok(Handle::Passing(Vec::new())) };
        let (create, new) = match opts.mode() {
            OpenMode::ReadWrite { create: CreateMode::Create } => (true, false),
            OpenMode::ReadWrite { create: CreateMode::MustCreate } => (true, true),
            _ => (false, false),
        };
        let keeper = KEEPER.with_borrow(Clone::clone).ok_or(SQLITE_IOERR)?;
        let file = keeper.open(path, Way { create, new, empty: false }).map_err(|_| SQLITE_CANTOPEN)?;
        let goes = opts.delete_on_close().then(|| path.to_owned());
        Ok(Handle::Kept { file, lock: 0, goes })
    }

    fn delete(&self, path: &str) -> VfsResult<()> {
        if !with(|keeper| Ok(keeper.has(path)))? {
            return Err(SQLITE_IOERR_DELETE_NOENT);
        }
        with(|keeper| keeper.remove(path))
    }

    fn access(&self, path: &str, _: AccessFlags) -> VfsResult<bool> {
        with(|keeper| Ok(keeper.has(path)))
    }

    fn file_size(&self, handle: &mut Handle) -> VfsResult<usize> {
        match handle {
            Handle::Kept { file, .. } => with(|keeper| keeper.size(*file)).map(|size| size as usize),
            Handle::Passing(bytes) => Ok(bytes.len()),
        }
    }

    fn truncate(&self, handle: &mut Handle, size: usize) -> VfsResult<()> {
        match handle {
            Handle::Kept { file, .. } => with(|keeper| keeper.set_size(*file, size as u64)),
            Handle::Passing(bytes) => {
                bytes.resize(size, 0);
                Ok(())
            }
        }
    }

    fn write(&self, handle: &mut Handle, offset: usize, data: &[u8]) -> VfsResult<usize> {
        match handle {
            Handle::Kept { file, .. } => with(|keeper| keeper.write_at(*file, offset as u64, data))?,
            Handle::Passing(bytes) => {
                let end = offset.checked_add(data.len()).ok_or(SQLITE_FULL)?;
                if bytes.len() < end {
                    bytes.resize(end, 0);
                }
                bytes[offset..end].copy_from_slice(data);
            }
        }
        Ok(data.len())
    }

    fn read(&self, handle: &mut Handle, offset: usize, data: &mut [u8]) -> VfsResult<usize> {
        match handle {
            Handle::Kept { file, .. } => with(|keeper| keeper.read_at(*file, offset as u64, data)),
            Handle::Passing(bytes) => {
                let rest = bytes.get(offset..).unwrap_or_default();
                let length = rest.len().min(data.len());
                data[..length].copy_from_slice(&rest[..length]);
                Ok(length)
            }
        }
    }

    fn lock(&self, handle: &mut Handle, wanted: LockLevel) -> VfsResult<()> {
        let Handle::Kept { file, lock, .. } = handle else { return Ok(()) };
        let wanted = level(&wanted);
        if *lock >= wanted {
            return Ok(());
        }
        LOCKS.with_borrow_mut(|all| {
            let held = all.entry(*file).or_default();
            let others = held.shared - u32::from(*lock > 0);
            match wanted {
                1 if held.pending || held.exclusive => return Err(SQLITE_BUSY),
                1 => held.shared += 1,
                2 if held.reserved => return Err(SQLITE_BUSY),
                2 => held.reserved = true,
                _ if *lock < 2 && held.reserved => return Err(SQLITE_BUSY),
                _ => {
                    held.reserved = true;
                    held.pending = true;
                    *lock = 3;
                    if wanted == 4 {
                        if others > 0 {
                            return Err(SQLITE_BUSY);
                        }
                        held.exclusive = true;
                    }
                }
            }
            *lock = wanted;
            Ok(())
        })
    }

    fn unlock(&self, handle: &mut Handle, wanted: LockLevel) -> VfsResult<()> {
        let Handle::Kept { file, lock, .. } = handle else { return Ok(()) };
        let wanted = level(&wanted);
        if *lock <= wanted {
            return Ok(());
        }
        LOCKS.with_borrow_mut(|all| {
            let held = all.entry(*file).or_default();
            if *lock >= 2 {
                (held.reserved, held.pending, held.exclusive) = (false, false, false);
            }
            if wanted == 0 {
                held.shared = held.shared.saturating_sub(1);
                if held.shared == 0 {
                    all.remove(file);
                }
            }
        });
        *lock = wanted;
        Ok(())
    }

    fn check_reserved_lock(&self, handle: &mut Handle) -> VfsResult<bool> {
        let Handle::Kept { file, .. } = handle else { return Ok(false) };
        Ok(LOCKS.with_borrow(|all| all.get(file).is_some_and(|held| held.reserved)))
    }

    fn sync(&self, handle: &mut Handle) -> VfsResult<()> {
        match handle {
            Handle::Kept { file, .. } => with(|keeper| keeper.sync(*file)),
            Handle::Passing(_) => Ok(()),
        }
    }

    fn close(&self, mut handle: Handle) -> VfsResult<()> {
        self.unlock(&mut handle, LockLevel::Unlocked)?;
        let Handle::Kept { file, goes, .. } = handle else { return Ok(()) };
        with(|keeper| {
            keeper.close(file);
            goes.map_or(Ok(()), |name| keeper.remove(&name))
        })
    }

    fn device_characteristics(&self, _: &mut Handle) -> VfsResult<i32> {
        // No promise about the order of what is written, or about half a sector.
        Ok(SQLITE_IOCAP_UNDELETABLE_WHEN_OPEN)
    }
}
