//! Bundles and tables in the window: they come from a file that the person chose, part after part, and go to the folder
//! for downloads, since a window has no download of its own.

use std::collections::HashMap;
use std::fs::File;
use std::io::{self, BufWriter, Write as _};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use solderlast_core::ask::{Ask, CarryAsk, Receiving, ReceivingTake, Reply, TakePlace};
use solderlast_core::ask::{Bench, in_json};
use solderlast_core::logbook::Table;
use solderlast_core::private;
use solderlast_core::record::names::EntryId;
use solderlast_serve::refusal::{Code, Refusal};
use solderlast_serve::web::{bundle, take};
use tauri::async_runtime::Mutex;

/// The bundle that comes in, between two of its parts.
#[derive(Default)]
pub struct Coming(Mutex<Option<Receiving>>);

impl Coming {
    /// Takes a part: `first` begins anew, `next` goes on, `end` says that it is whole.
    pub async fn take(&self, bench: Arc<Bench>, carry: &str, which: &str, part: Vec<u8>) -> Vec<u8> {
        let carry = match bundle::named(carry) {
            Ok(carry) => carry,
            Err(refusal) => return refusal.answer(),
        };
        let mut coming = self.0.lock().await;
        let before = if which == "first" { None } else { coming.take().filter(|before| before.id() == carry) };
        let end = which == "end";
        let work = move || -> Result<(Option<Receiving>, Reply), Refusal> {
            let mut receiving = match before {
                Some(before) => before,
                None => bench.receive_bundle(carry)?,
            };
            if let Err(refusal) = receiving.take(&part) {
                bench.let_go_of(carry);
                return Err(refusal);
            }
            if end {
                return Ok((None, bench.look_into(receiving)?));
            }
            Ok((Some(receiving), bench.ask(Ask::Carry(CarryAsk::Carry {}))?))
        };
        match tauri::async_runtime::spawn_blocking(work).await {
            Ok(Ok((now, reply))) => {
                *coming = now;
                in_json(&Ok(reply))
            }
            Ok(Err(refusal)) => refusal.answer(),
            Err(_) => fault().answer(),
        }
    }
}

/// The takes that come in, between two of their parts.
#[derive(Default)]
pub struct ComingTakes(Mutex<HashMap<EntryId, ReceivingTake>>);

impl ComingTakes {
    /// Takes a part: `first` begins anew, `next` goes on, `end` says that it is whole, and `none` that it comes no more.
    pub async fn take(&self, bench: Arc<Bench>, place: TakePlace, which: &str, part: Vec<u8>) -> Vec<u8> {
        let before = self.0.lock().await.remove(&place.entry).filter(|_| which != "first");
        if which == "none" {
            return arrived();
        }
        let receiver = Arc::clone(&bench);
        let taken = tauri::async_runtime::spawn_blocking(move || -> Result<ReceivingTake, Refusal> {
            let mut receiving = match before {
                Some(before) => before,
                None => receiver.receive_take()?,
            };
            receiving.take(&part)?;
            Ok(receiving)
        });
        match taken.await {
            Ok(Ok(receiving)) if which == "end" => take::kept(bench, place, receiving).await,
            Ok(Ok(receiving)) => {
                let mut coming = self.0.lock().await;
                // A page sends one after the other; what was left behind goes.
                coming.clear();
                coming.insert(place.entry, receiving);
                arrived()
            }
            Ok(Err(refusal)) => refusal.answer(),
            Err(_) => fault().answer(),
        }
    }
}

/// A part came, and more is to come.
fn arrived() -> Vec<u8> {
    in_json(&Ok(Reply::Done { sentence: String::new() }))
}

/// Copies the packed bundle into this folder; answers what was done, in JSON.
pub fn keep_bundle(bench: &Bench, carry: &str, folder: &Path) -> Vec<u8> {
    let carry = match bundle::named(carry) {
        Ok(carry) => carry,
        Err(refusal) => return refusal.answer(),
    };
    match bench.packed_bundle(carry) {
        Ok((mut packed, name, _)) => kept(folder, &name, |file| io::copy(&mut packed, file).map(drop)),
        Err(refusal) => refusal.answer(),
    }
}

/// Writes a table of the logbook into this folder; answers what was done, in JSON.
pub fn keep_table(bench: &Bench, table: &str, find: &str, folder: &Path) -> Vec<u8> {
    let (Some(table), Ok(find)) = (Table::named(table), bundle::find(find)) else {
        return Refusal::new(Code::Unclear, "There is no such table. Nothing was kept.").answer();
    };
    kept(folder, table.file_name(), |file| {
        let mut out = BufWriter::new(file);
        bench.write_table(table, &find, &mut out).map_err(io::Error::other)?;
        out.flush()
    })
}

fn kept(folder: &Path, name: &str, write: impl FnOnce(&mut File) -> io::Result<()>) -> Vec<u8> {
    let (mut file, path) = match free_name(folder, name) {
        Ok(made) => made,
        Err(error) => return unkept(&error).answer(),
    };
    match write(&mut file).and_then(|()| file.sync_all()) {
        Ok(()) => in_json(&Ok(Reply::Done { sentence: format!("Kept as {}.", path.display()) })),
        Err(error) => {
            // A part of a file is of no use.
            let _removed = std::fs::remove_file(&path);
            unkept(&error).answer()
        }
    }
}

/// Makes a file of this name, or of the first name like it that is free: nothing is overwritten.
fn free_name(folder: &Path, name: &str) -> io::Result<(File, PathBuf)> {
    private::folder(folder)?;
    let (stem, ending) = name.rsplit_once('.').unwrap_or((name, ""));
    let mut number = 1;
    loop {
        let name = if number == 1 { name.to_owned() } else { format!("{stem}-{number}.{ending}") };
        let path = folder.join(name);
        match private::options().create_new(true).open(&path) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists && number < 1000 => number += 1,
            made => return made.map(|file| (file, path)),
        }
    }
}

fn unkept(error: &io::Error) -> Refusal {
    Refusal::new(Code::NotKept, format!("The file could not be written: {error}. Nothing was kept."))
}

fn fault() -> Refusal {
    Refusal::new(Code::Program, "Something went wrong inside the program. Your log is as it was. Try again.")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_is_overwritten() {
        let folder = tempfile::tempdir().unwrap();
        for _ in 0..3 {
            let answer = kept(folder.path(), "a.csv", |file| file.write_all(b"x"));
            assert!(String::from_utf8(answer).unwrap().contains("Kept as"));
        }
        let mut there: Vec<_> = std::fs::read_dir(folder.path())
            .unwrap()
            .map(|file| file.unwrap().file_name().into_string().unwrap())
            .collect();
        there.sort();
        assert_eq!(there, ["a-2.csv", "a-3.csv", "a.csv"]);
        let failed = kept(folder.path(), "b.csv", |_| Err(io::Error::other("no room")));
        assert!(String::from_utf8(failed).unwrap().contains("no room"));
        assert!(!folder.path().join("b.csv").exists());
    }
}
