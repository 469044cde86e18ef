//! A bench of the shop: its log in a folder, written to by asks.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags};
use serde_json::{Value, json};
use solderlast_core::ask::Bench;
use solderlast_core::clock::Clock as _;
use solderlast_core::logbook::Log;
use solderlast_core::record::audition::{AuditionId, PhotoKind};
use solderlast_core::record::body::{Body, TakeBody};
use solderlast_core::record::entry::{About, Entry, Written};
use solderlast_core::record::names::{BenchId, EntryId};
use solderlast_core::record::take::TakeName;
use solderlast_serve::machine::{SystemClock, SystemDice};
use solderlast_testkit::{Chance, parcel};
use tempfile::TempDir;
use uuid::Uuid;

use crate::bench::{Stock, name};

/// Finished photos and takes: each by the name of its file, with what is in it.
pub type Files = BTreeMap<String, Vec<u8>>;

/// Entries as they lie in a log: each by its name, with all that it says.
pub type Rows = BTreeMap<String, (i64, String, String, String, String, String)>;

pub struct Shopkeeper {
    folder: TempDir,
    bench: Option<Bench>,
    /// How many entries it wrote itself.
    pub written: u64,
}

impl Shopkeeper {
    pub fn new() -> Self {
        let folder = tempfile::tempdir().expect("a scratch folder");
        let mut keeper = Self { folder, bench: None, written: 0 };
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

    /// What it says to an ask.
    pub fn tries(&mut self, ask: &Value) -> Value {
        serde_json::from_slice(&self.open().answer(ask.to_string().as_bytes())).expect("JSON")
    }

    /// Its reply to an ask that must not be refused.
    pub fn ok(&mut self, ask: &Value) -> Value {
        let answer = self.tries(ask);
        assert!(answer.get("ok").is_some(), "{ask} was refused: {answer}");
        self.written += u64::from(ask.get("entry").is_some());
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
        .map(|ask| seen_anywhere(self.ok(ask)))
        .collect()
    }

    /// Takes a photo of an audition.
    pub fn photo(&mut self, audition: &str, number: u8) {
        let id = |text: &str| Uuid::parse_str(text).expect("a name");
        let (entry, of) = (EntryId(id(&name())), AuditionId(id(audition)));
        self.open().take_photo(entry, of, PhotoKind::Before, &parcel::photo(number)).expect("a photo");
        self.written += 1;
    }

    /// Keeps a take of so many bytes: its head is that of a FLAC file, and nobody listens to it here.
    pub fn take(&mut self, audition: &str, bytes: usize, chance: &mut Chance) {
        let id = |text: &str| Uuid::parse_str(text).expect("a name");
        let mut file = b"fLaC\x00\x00\x00\x22".to_vec();
        file.extend([0; 10]);
        // 44,100 samples a second, two channels, 24 bit.
        file.extend([0x0a, 0xc4, 0x43, 0x70]);
        while file.len() < bytes {
            file.extend(chance.next().to_le_bytes());
        }
        file.truncate(bytes);
        let take = TakeName::of(&file);
        let body = json!({
            "kind": "take_kept",
            "sound": {"take": take, "seconds": 3.0, "rate": 44_100, "channels": 2, "bytes": file.len(), "came_as": "pcm"},
            "recorded": {"played": "riff"},
        });
        let body: Body = serde_json::from_value(body).expect("a take");
        assert!(matches!(body, Body::Take(TakeBody::TakeKept { .. })));
        let bench = self.open();
        let folder = bench.folder().to_owned();
        std::fs::create_dir_all(folder.join("takes")).expect("made");
        std::fs::write(folder.join(format!("takes/{take}.flac")), file).expect("laid down");
        let (entry, about) = (EntryId(id(&name())), About::Audition(AuditionId(id(audition))));
        let entry = Entry { id: entry, at: SystemClock.now(), bench: bench.id(), about, body: Written::Known(body) };
        Log::beside(&folder, BenchId(bench.id().0)).and_then(|mut log| log.write(&[entry])).expect("written");
        self.written += 1;
    }

    /// The finished photos and takes.
    pub fn files(&self) -> Files {
        files(self.folder.path())
    }

    pub fn rows(&self) -> Rows {
        rows(self.folder.path())
    }
}

/// What is shown, without what a bench calls itself and others: whose it is differs by who looks, who wrote does not.
fn seen_anywhere(mut shown: Value) -> Value {
    for line in shown["audition"]["written"].as_array_mut().into_iter().flatten().filter_map(Value::as_object_mut) {
        line.remove("by");
    }
    if let Some(benches) = shown["choosable"]["benches"].as_array_mut() {
        for one in benches.iter_mut() {
            *one = one["bench"].take();
        }
        benches.sort_by_key(Value::to_string);
    }
    shown
}

/// The finished photos and takes of a log; anything else beside them must be half, or told of them.
pub fn files(folder: &Path) -> Files {
    let mut files = Files::new();
    for shelf in ["photos", "takes"] {
        for file in std::fs::read_dir(folder.join(shelf)).into_iter().flatten().filter_map(Result::ok) {
            let name = file.file_name().to_string_lossy().into_owned();
            let ending = name.split_once('.').expect("an ending").1;
            match ending {
                "jpg" | "flac" => {
                    files.insert(format!("{shelf}/{name}"), std::fs::read(file.path()).expect("read"));
                }
                "half" | "told" => {}
                _ => panic!("{name} lies in {shelf}"),
            }
        }
    }
    files
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
