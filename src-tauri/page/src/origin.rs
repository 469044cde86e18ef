//! Open files on the origin's private file system.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io::{self, ErrorKind};

use js_sys::{Array, AsyncIterator, Promise, Reflect};
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    DedicatedWorkerGlobalScope, FileSystemDirectoryHandle, FileSystemFileHandle, FileSystemGetDirectoryOptions,
    FileSystemGetFileOptions, FileSystemReadWriteOptions, FileSystemSyncAccessHandle,
};

use crate::names::LISTS;
use crate::slots::Slots;

/// The folder of the origin's private file system.
const FOLDER: &str = "solderlast";
/// How many tries a file is given that a worker which has just ended still holds, and how long between them.
const TRIES: u32 = 50;
const PAUSE_MILLISECONDS: i32 = 100;

/// Files that are open for as long as this worker lives.
pub struct OriginSlots {
    folder: FileSystemDirectoryHandle,
    open: RefCell<BTreeMap<u32, FileSystemSyncAccessHandle>>,
}

impl OriginSlots {
    /// Opens all files there are, and the two for names.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn open() -> Result<Self, JsValue> {
        let worker: DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
        let root: FileSystemDirectoryHandle =
            JsFuture::from(worker.navigator().storage().get_directory()).await?.into();
        let create = FileSystemGetDirectoryOptions::new();
        create.set_create(true);
        let folder: FileSystemDirectoryHandle =
            JsFuture::from(root.get_directory_handle_with_options(FOLDER, &create)).await?.into();
        let slots = Self { folder, open: RefCell::default() };
        let mut numbers: Vec<u32> = (0..LISTS).collect();
        let names: AsyncIterator = slots.folder.keys().into();
        loop {
            let next = JsFuture::from(names.next()?).await?;
            if Reflect::get(&next, &"done".into())?.is_truthy() {
                break;
            }
            let name = Reflect::get(&next, &"value".into())?.as_string().unwrap_or_default();
            if let Ok(number) = name.parse::<u32>()
                && number >= LISTS
            {
                numbers.push(number);
            }
        }
        slots.open_all(&numbers).await?;
        Ok(slots)
    }

    /// The numbers of all open files.
    pub fn numbers(&self) -> Vec<u32> {
        self.open.borrow().keys().copied().collect()
    }

    /// Makes so many files more; answers their numbers.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn more(&self, count: u32) -> Result<Vec<u32>, JsValue> {
        let first = self.open.borrow().keys().last().map_or(LISTS, |last| last + 1);
        let numbers: Vec<u32> = (first..first.saturating_add(count)).collect();
        self.open_all(&numbers).await?;
        Ok(numbers)
    }

    /// Opens files, all at once: one after the other takes several times as long.
    async fn open_all(&self, numbers: &[u32]) -> Result<(), JsValue> {
        let opening: Array = numbers
            .iter()
            .map(|number| wasm_bindgen_futures::future_to_promise(opened(self.folder.clone(), *number)))
            .collect();
        let handles: Array = JsFuture::from(Promise::all(&opening)).await?.into();
        let mut open = self.open.borrow_mut();
        for (number, handle) in numbers.iter().zip(handles.iter()) {
            open.insert(*number, handle.into());
        }
        Ok(())
    }

    fn with<T>(&self, slot: u32, act: impl FnOnce(&FileSystemSyncAccessHandle) -> Result<T, JsValue>) -> io::Result<T> {
        let open = self.open.borrow();
        let handle = open.get(&slot).ok_or_else(|| io::Error::other("a file that is not open"))?;
        act(handle).map_err(|error| failed(&error))
    }
}

async fn opened(folder: FileSystemDirectoryHandle, number: u32) -> Result<JsValue, JsValue> {
    let create = FileSystemGetFileOptions::new();
    create.set_create(true);
    let name = number.to_string();
    let file: FileSystemFileHandle = JsFuture::from(folder.get_file_handle_with_options(&name, &create)).await?.into();
    let mut tries = 0;
    loop {
        match JsFuture::from(file.create_sync_access_handle()).await {
            Err(error) if named(&error) == "NoModificationAllowedError" && tries < TRIES => {
                tries += 1;
                let pause = Promise::new(&mut |done, _| {
                    let worker: DedicatedWorkerGlobalScope = js_sys::global().unchecked_into();
                    // Where no pause can be had it is tried again at once.
                    if worker.set_timeout_with_callback_and_timeout_and_arguments_0(&done, PAUSE_MILLISECONDS).is_err()
                    {
                        let _ = done.call0(&JsValue::NULL);
                    }
                });
                JsFuture::from(pause).await?;
            }
            other => return other,
        }
    }
}

fn named(error: &JsValue) -> String {
    Reflect::get(error, &"name".into()).ok().and_then(|name| name.as_string()).unwrap_or_default()
}

fn failed(error: &JsValue) -> io::Error {
    let name = named(error);
    let kind = if name == "QuotaExceededError" { ErrorKind::StorageFull } else { ErrorKind::Other };
    io::Error::new(kind, if name.is_empty() { "the browser's storage can't be used".to_owned() } else { name })
}

fn at(place: u64) -> FileSystemReadWriteOptions {
    let options = FileSystemReadWriteOptions::new();
    options.set_at(place as f64);
    options
}

impl Slots for OriginSlots {
    fn read_at(&self, slot: u32, place: u64, into: &mut [u8]) -> io::Result<usize> {
        Ok(self.with(slot, |handle| handle.read_with_u8_array_and_options(into, &at(place)))? as usize)
    }

    fn write_at(&self, slot: u32, place: u64, bytes: &[u8]) -> io::Result<()> {
        let mut done = 0;
        while done < bytes.len() {
            let options = at(place + done as u64);
            let part = &bytes[done..];
            match self.with(slot, |handle| handle.write_with_u8_array_and_options(part, &options))? as usize {
                0 => return Err(ErrorKind::StorageFull.into()),
                written => done += written,
            }
        }
        Ok(())
    }

    fn size(&self, slot: u32) -> io::Result<u64> {
        Ok(self.with(slot, FileSystemSyncAccessHandle::get_size)? as u64)
    }

    fn set_size(&self, slot: u32, size: u64) -> io::Result<()> {
        self.with(slot, |handle| handle.truncate_with_f64(size as f64))
    }

    fn sync(&self, slot: u32) -> io::Result<()> {
        self.with(slot, FileSystemSyncAccessHandle::flush)
    }
}
