//! The pool over files in memory, of which what was not synced goes with a power cut: each part of it or not, by chance.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::io::{self, ErrorKind};

use solderlast_core::logbook::files::{Keeper, Way};
use solderlast_samples::Chance;

use crate::names::LISTS;
use crate::pool::Pool;
use crate::slots::Slots;

/// What was done to a file since it was synced.
#[derive(Clone)]
enum Done {
    Written(usize, Vec<u8>),
    Sized(usize),
}

#[derive(Default, Clone)]
struct OneFile {
    certain: Vec<u8>,
    since: Vec<Done>,
}

fn apply(bytes: &mut Vec<u8>, done: &Done) {
    match done {
        Done::Written(at, part) => {
            bytes.resize(bytes.len().max(at + part.len()), 0);
            bytes[*at..at + part.len()].copy_from_slice(part);
        }
        Done::Sized(size) => bytes.resize(*size, 0),
    }
}

impl OneFile {
    fn now(&self) -> Vec<u8> {
        let mut bytes = self.certain.clone();
        self.since.iter().for_each(|done| apply(&mut bytes, done));
        bytes
    }

    /// What is left of it after a power cut. A write that did not reach the device whole is cut off somewhere.
    fn after_a_cut(&self, chance: &mut Chance) -> Vec<u8> {
        let mut bytes = self.certain.clone();
        for done in &self.since {
            match done {
                Done::Written(at, part) if chance.below(3) == 0 => {
                    let kept = chance.below(part.len() as u64 + 1) as usize;
                    apply(&mut bytes, &Done::Written(*at, part[..kept].to_vec()));
                }
                done if chance.below(2) == 0 => apply(&mut bytes, done),
                _ => {}
            }
        }
        bytes
    }
}

#[derive(Default)]
struct Memory {
    files: RefCell<BTreeMap<u32, OneFile>>,
    room: RefCell<Option<usize>>,
}

impl Memory {
    fn of(count: u32) -> Self {
        Self {
            files: RefCell::new((0..LISTS + count).map(|number| (number, OneFile::default())).collect()),
            room: RefCell::default(),
        }
    }

    fn cut(&self, chance: &mut Chance) -> Self {
        let left = |(number, file): (&u32, &OneFile)| {
            (*number, OneFile { certain: file.after_a_cut(chance), since: Vec::new() })
        };
        Self { files: RefCell::new(self.files.borrow().iter().map(left).collect()), room: RefCell::default() }
    }

    fn done(&self, slot: u32, done: Done) -> io::Result<()> {
        if let (Some(room), Done::Written(_, part)) = (self.room.borrow_mut().as_mut(), &done) {
            *room = room.checked_sub(part.len()).ok_or(ErrorKind::StorageFull)?;
        }
        self.files.borrow_mut().entry(slot).or_default().since.push(done);
        Ok(())
    }
}

impl Slots for Memory {
    fn read_at(&self, slot: u32, at: u64, into: &mut [u8]) -> io::Result<usize> {
        let bytes = self.files.borrow()[&slot].now();
        let rest = bytes.get(at as usize..).unwrap_or_default();
        let length = rest.len().min(into.len());
        into[..length].copy_from_slice(&rest[..length]);
        Ok(length)
    }

    fn write_at(&self, slot: u32, at: u64, bytes: &[u8]) -> io::Result<()> {
        self.done(slot, Done::Written(at as usize, bytes.to_vec()))
    }

    fn size(&self, slot: u32) -> io::Result<u64> {
        Ok(self.files.borrow()[&slot].now().len() as u64)
    }

    fn set_size(&self, slot: u32, size: u64) -> io::Result<()> {
        self.done(slot, Done::Sized(size as usize))
    }

    fn sync(&self, slot: u32) -> io::Result<()> {
        let mut files = self.files.borrow_mut();
        let file = files.entry(slot).or_default();
        *file = OneFile { certain: file.now(), since: Vec::new() };
        Ok(())
    }
}

const MADE: Way = Way { create: true, new: false, empty: true };

fn write(pool: &Pool<Memory>, name: &str, bytes: &[u8], certain: bool) -> io::Result<()> {
    let file = pool.open(name, MADE)?;
    let written = pool.write_at(file, 0, bytes).and_then(|()| if certain { pool.sync(file) } else { Ok(()) });
    pool.close(file);
    written
}

fn read(pool: &Pool<Memory>, name: &str) -> io::Result<Vec<u8>> {
    let file = pool.open(name, Way::default())?;
    let mut bytes = vec![0; pool.size(file)? as usize];
    let read = pool.read_at(file, 0, &mut bytes);
    pool.close(file);
    read.map(|_| bytes)
}

fn over(slots: Memory) -> Pool<Memory> {
    let numbers: Vec<u32> = slots.files.borrow().keys().copied().collect();
    Pool::over(slots, numbers).expect("names that can be read")
}

/// Files written, renamed and removed by chance, with power cuts in between: what was synced is there under its name, and
/// what was removed stays away.
#[test]
fn what_was_synced_outlasts_a_power_cut() {
    let rounds = std::env::var("SOLDERLAST_KILLS").ok().and_then(|rounds| rounds.parse().ok()).unwrap_or(150);
    let mut chance = Chance::seeded(20_261_128);
    for _ in 0..rounds {
        let mut pool = over(Memory::of(12));
        // Nothing where it may be there or not.
        let mut model: BTreeMap<String, Option<Vec<u8>>> = BTreeMap::new();
        for _ in 0..60 {
            let name = format!("bench/{}", chance.below(6));
            let other = format!("bench/{}", chance.below(6));
            match chance.below(7) {
                0 | 1 => {
                    let bytes: Vec<u8> = (0..chance.below(40)).map(|_| chance.below(256) as u8).collect();
                    write(&pool, &name, &bytes, true).expect("room");
                    model.insert(name, Some(bytes));
                }
                2 => {
                    write(&pool, &name, b"not synced", false).expect("room");
                    model.insert(name, None);
                }
                3 => {
                    let moved = pool.rename(&name, &other);
                    if moved.is_ok() && name != other {
                        let what = model.remove(&name).flatten();
                        model.insert(other, what);
                    }
                }
                4 => {
                    let _ = pool.remove(&name);
                    model.remove(&name);
                }
                _ if chance.below(4) == 0 => {
                    pool = over(pool.slots().cut(&mut chance));
                }
                _ => {}
            }
        }
        let pool = over(pool.slots().cut(&mut chance));
        for number in 0..6 {
            let name = format!("bench/{number}");
            match model.get(&name) {
                Some(Some(bytes)) => assert_eq!(&read(&pool, &name).expect("it was synced"), bytes, "{name}"),
                Some(None) => {}
                None => assert!(!pool.has(&name), "{name} was removed"),
            }
        }
    }
}

#[test]
fn a_full_disk_takes_nothing_that_is_there() {
    let pool = over(Memory::of(6));
    write(&pool, "bench/kept", b"kept", true).expect("room");
    *pool.slots().room.borrow_mut() = Some(10);
    let refused = write(&pool, "bench/more", &[7; 100], true).expect_err("no room");
    assert_eq!(refused.kind(), ErrorKind::StorageFull);
    assert_eq!(read(&pool, "bench/kept").expect("there"), b"kept");
    *pool.slots().room.borrow_mut() = None;
    write(&pool, "bench/more", b"more", true).expect("room again");
    let pool = over(pool.slots().cut(&mut Chance::seeded(1)));
    assert_eq!(read(&pool, "bench/more").expect("there"), b"more");
}

#[test]
fn an_open_file_stays_its_own_when_its_name_goes() {
    let pool = over(Memory::of(2));
    write(&pool, "a", b"first", true).expect("room");
    let file = pool.open("a", Way::default()).expect("there");
    pool.remove("a").expect("removed");
    write(&pool, "b", b"second", true).expect("room");
    assert!(write(&pool, "c", b"third", true).is_err(), "no file is free");
    let mut bytes = [0; 5];
    pool.read_at(file, 0, &mut bytes).expect("read");
    assert_eq!(&bytes, b"first");
    pool.close(file);
    assert_eq!(pool.slots().size(file).expect("a size"), 0, "what was in it is gone with its name");
    write(&pool, "c", b"third", true).expect("free again");
}

#[test]
fn nothing_stays_of_what_lost_its_name() {
    let pool = over(Memory::of(3));
    for (name, bytes) in [("a", b"first"), ("b", b"other")] {
        write(&pool, name, bytes, true).expect("room");
    }
    pool.rename("a", "b").expect("renamed");
    pool.remove("b").expect("removed");
    // Not after a power cut either.
    for seed in 0..20 {
        let left = pool.slots().cut(&mut Chance(seed));
        let left: Vec<u64> = (LISTS..LISTS + 3).map(|number| left.size(number).expect("a size")).collect();
        assert_eq!(left, [0, 0, 0], "{seed}");
    }
}

#[test]
fn a_flipped_bit_in_the_list_takes_one_name_at_most() {
    let pool = over(Memory::of(20));
    for number in 0..10 {
        write(&pool, &format!("bench/{number}"), &[number; 9], true).expect("room");
    }
    let length = pool.slots().size(0).expect("a list");
    for at in 24..length {
        let damaged = pool.slots().cut(&mut Chance::seeded(2));
        let mut byte = [0];
        damaged.read_at(0, at, &mut byte).expect("read");
        damaged.write_at(0, at, &[byte[0] ^ 4]).expect("written");
        let pool = over(damaged);
        let there = (0..10).filter(|number| pool.has(&format!("bench/{number}"))).count();
        assert!(there >= 9, "{there} names at byte {at}");
    }
}
