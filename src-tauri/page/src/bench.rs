//! The bench as the worker's script sees it.
//!
//! What answers in JSON answers `{"ok": …}` or `{"refused": …}`, as everywhere. Files come in part after part, and go out the
//! same way.

use std::cell::RefCell;
use std::collections::HashMap;
use std::io::Read as _;
use std::path::Path;
use std::rc::Rc;

use serde_json::{Value, json};
use solderlast_core::ask::{Bench, CarryId, Code, Receiving, ReceivingTake, Refusal, Reply, TakePlace, in_json};
use solderlast_core::logbook::files::{File, kept_by};
use solderlast_core::logbook::{Find, Table};
use solderlast_core::takes::sweep;
use wasm_bindgen::prelude::*;

use crate::machine::{PageClock, PageDice};
use crate::origin::OriginSlots;
use crate::pool::Pool;
use crate::sqlite::opens_files_of;

/// Where the log lies, by name.
const FOLDER: &str = "bench";
/// How many files are ready to be given a name.
const SPARE: usize = 24;

/// The open bench.
#[wasm_bindgen]
pub struct PageBench {
    pool: Rc<Pool<OriginSlots>>,
    bench: Option<Bench>,
    take: RefCell<Option<ReceivingTake>>,
    bundle: RefCell<Option<Receiving>>,
    out: RefCell<HashMap<u32, File>>,
}

fn text(answer: Vec<u8>) -> String {
    String::from_utf8(answer).unwrap_or_default()
}

fn refused(refusal: Refusal) -> String {
    text(in_json(&Err(refusal)))
}

fn arrived() -> String {
    text(in_json(&Ok(Reply::Done { sentence: String::new() })))
}

fn word<T: serde::de::DeserializeOwned>(text: &str, field: &str) -> Result<T, Refusal> {
    serde_json::from_value(Value::String(text.to_owned()))
        .map_err(|_| Refusal::unclear(field, "This is no place for a file. Nothing was kept."))
}

fn nothing() -> Refusal {
    Refusal::new(Code::NotHere, "There is no such thing here.")
}

#[wasm_bindgen]
impl PageBench {
    /// Opens the files of this origin.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn prepare() -> Result<PageBench, JsValue> {
        std::panic::set_hook(Box::new(|what| web_sys::console::error_1(&what.to_string().into())));
        let slots = OriginSlots::open().await?;
        let numbers = slots.numbers();
        let pool = Pool::over(slots, numbers).map_err(|error| JsValue::from_str(&error.to_string()))?;
        let pool = Rc::new(pool);
        kept_by(pool.clone());
        opens_files_of(pool.clone()).map_err(JsValue::from)?;
        let bench =
            Self { pool, bench: None, take: RefCell::default(), bundle: RefCell::default(), out: RefCell::default() };
        bench.refill(0).await?;
        Ok(bench)
    }

    /// Has at least so many files ready for what comes next. To be called between questions.
    ///
    /// # Errors
    /// What the browser says.
    pub async fn refill(&self, beside: u32) -> Result<(), JsValue> {
        let wanted = SPARE + beside as usize;
        let missing = u32::try_from(wanted.saturating_sub(self.pool.spare())).unwrap_or(0);
        if missing > 0 {
            for number in self.pool.slots().more(missing).await? {
                self.pool.add(number);
            }
        }
        Ok(())
    }

    /// Opens the log. Answers nothing where that is done, a refusal otherwise.
    pub fn open(&mut self) -> String {
        if self.bench.is_some() {
            return String::new();
        }
        match Bench::open(Path::new(FOLDER), Box::new(PageClock), &PageDice) {
            Ok(bench) => {
                self.bench = Some(bench);
                String::new()
            }
            Err(refusal) => refused(refusal),
        }
    }

    /// Does what waits until there is time: the log is checked after it was opened, and copied once a day.
    pub fn rest(&self) {
        if let Some(bench) = &self.bench {
            bench.wait_for_copy();
        }
    }

    /// Answers one question.
    pub fn answer(&self, ask: &str, has: Option<String>) -> String {
        self.at_bench(|bench| Ok(text(bench.answer_since(ask.as_bytes(), has.as_deref()))))
    }

    /// Keeps a photo.
    pub fn take_photo(&self, about: &str, entry: &str, look: &str, file: &[u8]) -> String {
        self.at_bench(|bench| {
            let (entry, about, look) = (word(entry, "entry")?, word(about, "audition")?, word(look, "look")?);
            Ok(text(in_json(&bench.take_photo(entry, about, look, file))))
        })
    }

    /// The bytes of a photo; none where there is none.
    pub fn photo(&self, name: &str) -> Vec<u8> {
        self.bench.as_ref().and_then(|bench| bench.photo(name).ok()).unwrap_or_default()
    }

    /// Takes a part of the file of a take; the first begins anew.
    pub fn take_part(&self, first: bool, part: &[u8]) -> String {
        self.at_bench(|bench| {
            let mut now = self.take.borrow_mut();
            if first || now.is_none() {
                *now = Some(bench.receive_take()?);
            }
            let taken = now.as_mut().map_or(Ok(()), |receiving| receiving.take(part));
            if taken.is_err() {
                *now = None;
            }
            taken.map(|()| arrived())
        })
    }

    /// The file of a take is whole: it is kept.
    pub fn take_end(&self, thing: &str, id: &str, entry: &str, recorded: &str) -> String {
        self.at_bench(|bench| {
            let receiving = self.take.borrow_mut().take().ok_or_else(nothing)?;
            let wrong = |_| Refusal::unclear("recorded", "This is no place for a take. Nothing was kept.");
            let recorded: Value = serde_json::from_str(recorded).map_err(wrong)?;
            let place = json!({"entry": entry, "about": {"thing": thing, "id": id}, "recorded": recorded});
            let place: TakePlace = serde_json::from_value(place).map_err(wrong)?;
            Ok(text(in_json(&bench.keep_take(&place, receiving))))
        })
    }

    /// The file of a take comes no more.
    pub fn take_off(&self) {
        *self.take.borrow_mut() = None;
    }

    /// Takes a part of a bundle; the first begins anew.
    pub fn bundle_part(&self, carry: &str, first: bool, part: &[u8]) -> String {
        self.at_bench(|bench| {
            let carry: CarryId = word(carry, "carry")?;
            let mut now = self.bundle.borrow_mut();
            if first {
                *now = Some(bench.receive_bundle(carry)?);
            }
            let taken = now.as_mut().ok_or_else(nothing)?.take(part);
            if taken.is_err() {
                *now = None;
                bench.let_go_of(carry);
            }
            taken.map(|()| arrived())
        })
    }

    /// The bundle is whole: it is looked into.
    pub fn bundle_end(&self) -> String {
        self.at_bench(|bench| {
            let receiving = self.bundle.borrow_mut().take().ok_or_else(nothing)?;
            Ok(text(in_json(&bench.look_into(receiving))))
        })
    }

    /// The bundle comes no more.
    pub fn bundle_off(&self, carry: &str) {
        *self.bundle.borrow_mut() = None;
        if let (Some(bench), Ok(carry)) = (&self.bench, word(carry, "carry")) {
            bench.let_go_of(carry);
        }
    }

    /// Opens a packed bundle to be given out: `{"out": number, "name", "bytes"}`, or a refusal.
    pub fn bundle_out(&self, carry: &str) -> String {
        self.at_bench(|bench| {
            let (file, name, bytes) = bench.packed_bundle(word(carry, "carry")?)?;
            Ok(self.given_out(file, &name, bytes))
        })
    }

    /// Opens the file of a take to be given out, in the same way.
    pub fn take_out(&self, name: &str) -> String {
        self.at_bench(|bench| {
            let (file, bytes) = bench.take_file(name, false)?;
            Ok(self.given_out(file, "take.flac", bytes))
        })
    }

    /// The next part of what is given out; none at its end.
    pub fn next_part(&self, out: u32, most: u32) -> Vec<u8> {
        let mut open = self.out.borrow_mut();
        let mut part = Vec::new();
        let read = open.get_mut(&out).map(|file| file.take(u64::from(most)).read_to_end(&mut part));
        if part.is_empty() || !matches!(read, Some(Ok(_))) {
            open.remove(&out);
            part.clear();
        }
        part
    }

    /// A table of the logbook; `find` is what to look for, in JSON. Nothing where there is no such table.
    pub fn table(&self, table: &str, find: &str) -> Option<Vec<u8>> {
        let (bench, table) = (self.bench.as_ref()?, Table::named(table)?);
        let find: Find = if find.is_empty() { Find::default() } else { serde_json::from_str(find).ok()? };
        let mut bytes = Vec::new();
        bench.write_table(table, &find, &mut bytes).ok()?;
        Some(bytes)
    }

    /// Sound to be heard beside other sound, or a refusal in JSON.
    pub fn stretch(&self, take: &str, start: f64, length: f64) -> Vec<u8> {
        self.sound(|bench| bench.stretch(take, start, length))
    }

    /// The sweep that is sent through a pickup.
    pub fn sweep(&self) -> Vec<u8> {
        sweep::wav()
    }

    /// A sound of the trial that is due, or a refusal in JSON.
    pub fn blind_sound(&self, test: &str, trial: u32, sound: u32) -> Vec<u8> {
        self.sound(|bench| {
            let sound = u8::try_from(sound).map_err(|_| nothing())?;
            bench.blind_sound(word(test, "test")?, trial, sound)
        })
    }
}

impl PageBench {
    fn at_bench(&self, act: impl FnOnce(&Bench) -> Result<String, Refusal>) -> String {
        let not_open = || Refusal::new(Code::Program, "The log is not open yet. Try again.");
        self.bench.as_ref().ok_or_else(not_open).and_then(act).unwrap_or_else(refused)
    }

    fn sound(&self, act: impl FnOnce(&Bench) -> Result<Vec<u8>, Refusal>) -> Vec<u8> {
        let cut = self.bench.as_ref().ok_or_else(nothing).and_then(act);
        cut.unwrap_or_else(|refusal| in_json(&Err(refusal)))
    }

    fn given_out(&self, file: File, name: &str, bytes: u64) -> String {
        let mut open = self.out.borrow_mut();
        let number = open.keys().max().map_or(0, |last| last.wrapping_add(1));
        open.insert(number, file);
        json!({"out": number, "name": name, "bytes": bytes}).to_string()
    }
}
