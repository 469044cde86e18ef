//! A bench of the shop: its log in a folder, written to by asks.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_serve::machine::{SystemClock, SystemDice};
use tempfile::TempDir;

use crate::bench::{Stock, name};

/// Entries as they lie in a log: each by its name, with all that it says.
pub type Rows = BTreeMap<String, (i64, String, String, String, String, String)>;

pub struct Shopkeeper {
    folder: TempDir,
    bench: Option<Bench>,
}

impl Shopkeeper {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let mut keeper = Self { folder, bench: None };
        keeper.open();
        keeper
    }

    pub fn folder(&self) -> PathBuf {
        self.folder.path().to_owned()
    }

    fn open(&mut self) -> &Bench {
        let folder = self.folder.path().to_owned();
        self.bench
            .get_or_insert_with(|| Bench::open(&folder, Box::new(SystemClock), &SystemDice).expect("the log opens"))
    }

    /// Its reply to an ask that must not be refused.
    pub fn ok(&mut self, ask: &Value) -> Value {
        let answer: Value = serde_json::from_slice(&self.open().answer(ask.to_string().as_bytes())).expect("JSON");
        assert!(answer.get("ok").is_some(), "{ask} was refused: {answer}");
        answer["ok"].clone()
    }

    /// Writes down the things and the audition that every bench of the shop knows.
    pub fn stocked(stock: &Stock) -> Self {
        let mut keeper = Self::new();
        for ask in &stock.asks {
            let mut ask = ask.clone();
            ask["entry"] = json!(name());
            keeper.ok(&ask);
        }
        keeper
    }

    /// What is shown of the log: lists, histories and an audition, all folded from entries.
    pub fn folds(&mut self, audition: &str) -> Vec<Value> {
        [
            json!({"ask": "logbook", "find": {"words": ""}}),
            json!({"ask": "struck"}),
            json!({"ask": "choosable"}),
            json!({"ask": "audition", "id": audition}),
        ]
        .iter()
        .map(|ask| self.ok(ask))
        .collect()
    }

    pub fn rows(&self) -> Rows {
        rows(self.folder.path())
    }
}

pub fn rows(folder: &Path) -> Rows {
    let log =
        Connection::open_with_flags(folder.join("solderlast.db"), OpenFlags::SQLITE_OPEN_READ_ONLY).expect("opens");
    let sound: String = log.query_row("PRAGMA integrity_check", [], |row| row.get(0)).expect("checked");
    assert_eq!(sound, "ok");
    let mut select = log
        .prepare("SELECT lower(hex(id)), at, lower(hex(bench)), thing, lower(hex(about)), kind, body FROM entry")
        .expect("a log");
    let all = select.query_map([], |row| {
        Ok((row.get(0)?, (row.get(1)?, row.get(2)?, row.get(3)?, row.get(4)?, row.get(5)?, row.get(6)?)))
    });
    all.expect("read").map(|row| row.expect("a row")).collect()
}

/// All entries of several logs together.
pub fn union<'a>(all: impl IntoIterator<Item = &'a Rows>) -> Rows {
    all.into_iter().flat_map(|rows| rows.iter().map(|(id, row)| (id.clone(), row.clone()))).collect()
}
