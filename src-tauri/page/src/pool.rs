//! Files by name over open files without one: what a log takes for its disk.

use std::cell::{Ref, RefCell, RefMut};
use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, ErrorKind};

use solderlast_core::logbook::files::{Keeper, Way};

use crate::names::{LISTS, Names};
use crate::slots::Slots;

/// A pool of open files, some of which have names.
#[derive(Debug)]
pub struct Pool<S> {
    slots: S,
    state: RefCell<State>,
}

#[derive(Debug)]
struct State {
    names: Names,
    /// Files without a name that nobody has open.
    free: BTreeSet<u32>,
    /// How often each file is open.
    open: BTreeMap<u32, u32>,
}

impl State {
    fn named(&self, name: &str) -> io::Result<u32> {
        self.names.files.get(name).copied().ok_or_else(|| ErrorKind::NotFound.into())
    }

    /// A file that lost its name is free once nobody has it open. What was in it goes: it may have been erased.
    fn let_go(&mut self, slots: &impl Slots, file: u32) {
        if !self.open.contains_key(&file) && !self.names.files.values().any(|named| *named == file) {
            // Where that fails it goes when the file gets another name.
            let _ = slots.set_size(file, 0).and_then(|()| slots.sync(file));
            self.free.insert(file);
        }
    }
}

impl<S: Slots> Pool<S> {
    /// A pool of the files with these numbers; 0 and 1, which hold the names, are open as well.
    ///
    /// # Errors
    /// When the names can't be read.
    pub fn over(slots: S, numbers: impl IntoIterator<Item = u32>) -> io::Result<Self> {
        let names = Names::read(&slots)?;
        let mut free: BTreeSet<u32> = numbers.into_iter().filter(|number| *number >= LISTS).collect();
        free.retain(|number| !names.files.values().any(|named| named == number));
        Ok(Self { slots, state: RefCell::new(State { names, free, open: BTreeMap::new() }) })
    }

    /// The open files.
    pub fn slots(&self) -> &S {
        &self.slots
    }

    /// How many files there are to be given a name.
    pub fn spare(&self) -> usize {
        self.look().free.len()
    }

    /// Adds an open file.
    pub fn add(&self, number: u32) {
        self.state.borrow_mut().free.insert(number);
    }

    fn look(&self) -> Ref<'_, State> {
        self.state.borrow()
    }

    fn hand(&self) -> RefMut<'_, State> {
        self.state.borrow_mut()
    }
}

impl<S: Slots> Keeper for Pool<S> {
    fn open(&self, name: &str, way: Way) -> io::Result<u32> {
        let mut state = self.hand();
        let file = match state.named(name) {
            Ok(_) if way.new => return Err(ErrorKind::AlreadyExists.into()),
            Ok(file) => {
                if way.empty {
                    self.slots.set_size(file, 0)?;
                }
                file
            }
            Err(error) if !way.create => return Err(error),
            Err(_) => {
                let none = || io::Error::other("too many new files at once; try again");
                let file = *state.free.first().ok_or_else(none)?;
                self.slots.set_size(file, 0)?;
                state.names.give(&self.slots, name, file)?;
                state.free.remove(&file);
                file
            }
        };
        *state.open.entry(file).or_default() += 1;
        Ok(file)
    }

    fn again(&self, file: u32) {
        *self.hand().open.entry(file).or_default() += 1;
    }

    fn close(&self, file: u32) {
        let mut state = self.hand();
        if let Some(count) = state.open.get_mut(&file) {
            *count -= 1;
            if *count == 0 {
                state.open.remove(&file);
                state.let_go(&self.slots, file);
            }
        }
    }

    fn size(&self, file: u32) -> io::Result<u64> {
        self.slots.size(file)
    }

    fn read_at(&self, file: u32, at: u64, into: &mut [u8]) -> io::Result<usize> {
        if into.is_empty() { Ok(0) } else { self.slots.read_at(file, at, into) }
    }

    fn write_at(&self, file: u32, at: u64, bytes: &[u8]) -> io::Result<()> {
        if bytes.is_empty() { Ok(()) } else { self.slots.write_at(file, at, bytes) }
    }

    fn set_size(&self, file: u32, size: u64) -> io::Result<()> {
        self.slots.set_size(file, size)
    }

    fn sync(&self, file: u32) -> io::Result<()> {
        self.slots.sync(file)?;
        self.hand().names.sync(&self.slots)
    }

    fn rename(&self, from: &str, to: &str) -> io::Result<()> {
        let mut state = self.hand();
        let file = state.named(from)?;
        if from == to {
            return Ok(());
        }
        let before = state.named(to).ok();
        state.names.change(&self.slots, from, to, file)?;
        // Before the file that had the name may be written over.
        state.names.sync(&self.slots)?;
        before.into_iter().for_each(|before| state.let_go(&self.slots, before));
        Ok(())
    }

    fn remove(&self, name: &str) -> io::Result<()> {
        let mut state = self.hand();
        let file = state.named(name)?;
        state.names.take(&self.slots, name)?;
        state.names.sync(&self.slots)?;
        state.let_go(&self.slots, file);
        Ok(())
    }

    fn has(&self, name: &str) -> bool {
        self.look().names.files.contains_key(name)
    }

    fn names(&self, begin: &str) -> Vec<String> {
        let state = self.look();
        let from = state.names.files.range(begin.to_owned()..);
        from.map(|(name, _)| name.clone()).take_while(|name| name.starts_with(begin)).collect()
    }
}
