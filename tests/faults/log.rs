//! The log as it lies on disk, looked at past the program.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use rusqlite::{Connection, OpenFlags};

/// The log in this folder.
pub fn file(folder: &Path) -> PathBuf {
    folder.join("solderlast.db")
}

/// Names of all entries.
pub fn names(file: &Path) -> BTreeSet<String> {
    let log = open(file);
    let mut select = log.prepare("SELECT lower(hex(id)) FROM entry").expect("the log has entries");
    let rows = select.query_map([], |row| row.get(0)).expect("entries can be read");
    rows.map(|row| row.expect("an entry can be read")).collect()
}

/// SQLite's own finding on the whole file.
pub fn finding(file: &Path) -> String {
    open(file).query_row("PRAGMA integrity_check", [], |row| row.get(0)).unwrap_or_else(|error| error.to_string())
}

/// All that was ever written, word for word; a byte that went bad is shown as such.
pub fn rows(file: &Path) -> Vec<(String, String, String)> {
    let log = open(file);
    let mut select = log
        .prepare("SELECT lower(hex(id)), CAST(kind AS BLOB), CAST(body AS BLOB) FROM entry ORDER BY id")
        .expect("the log has entries");
    let rows = select
        .query_map([], |row| {
            let (kind, body): (Vec<u8>, Vec<u8>) = (row.get(1)?, row.get(2)?);
            let in_letters = |bytes: Vec<u8>| String::from_utf8_lossy(&bytes).into_owned();
            Ok((row.get(0)?, in_letters(kind), in_letters(body)))
        })
        .expect("entries can be read");
    rows.map(|row| row.expect("an entry can be read")).collect()
}

/// A connection that changes nothing.
pub fn open(file: &Path) -> Connection {
    Connection::open_with_flags(file, OpenFlags::SQLITE_OPEN_READ_ONLY).expect("the log opens")
}

/// A name as SQLite's `hex` shows it.
pub fn plain(name: &str) -> String {
    name.replace('-', "")
}

/// The copies, oldest first.
pub fn copies(folder: &Path) -> Vec<PathBuf> {
    let mut copies: Vec<PathBuf> = std::fs::read_dir(folder.join("copies"))
        .map(|files| files.filter_map(|file| file.ok().map(|file| file.path())).collect())
        .unwrap_or_default();
    copies.retain(|copy| copy.extension().is_some_and(|ending| ending == "db"));
    copies.sort();
    copies
}
