//! What is no entry, brought over: the name of the bench, who listens, drafts and notices.

use std::path::Path;

use chrono::DateTime;
use rusqlite::types::Value;
use rusqlite::{Connection, OpenFlags};

use super::From;
use crate::files as fs;
use crate::notice::Lacking;
use crate::private;
use crate::sums;
use crate::trouble::Trouble;

/// A copy of the damaged file that SQLite may look into.
const LOOK: &str = "solderlast.look";

/// Brings over what is no entry: the bench's name, who listens, drafts and notices, each from the first source that has it
/// as it was written. Answers the drafts that were altered.
pub(super) fn small_tables(conn: &Connection, sources: &[From], folder: &Path) -> Result<Vec<Lacking>, Trouble> {
    let look = folder.join(LOOK);
    let mut lacking = Vec::new();
    let mut rows: [Option<Vec<Vec<Value>>>; 5] = Default::default();
    for source in sources {
        let opened = if source.sound {
            Connection::open_with_flags(&source.file, OpenFlags::SQLITE_OPEN_READ_ONLY).ok()
        } else {
            to_look_into(source, &look)
        };
        let Some(opened) = opened else { continue };
        for ((table, columns), kept) in
            [("this_bench", 1), ("listener", 2), ("listener_zone", 1), ("draft", 3), ("notice", 3)]
                .iter()
                .zip(&mut rows)
        {
            if kept.is_some() {
                continue;
            }
            let (right, wrong) = read_small(&opened, table, *columns);
            if *table == "draft" {
                lacking.extend(wrong.iter().map(|row| Lacking {
                    at: DateTime::UNIX_EPOCH,
                    kind: "draft".to_owned(),
                    name: None,
                    doubtful: Some(format!("{:?}", row.get(1))),
                }));
            }
            if !right.is_empty() || (wrong.is_empty() && matches!(*table, "draft" | "notice") && !kept.is_some()) {
                *kept = Some(right);
            }
        }
    }
    for name in ["", "-wal", "-shm"] {
        let _ = fs::remove_file(folder.join(format!("{LOOK}{name}")));
    }
    let [bench, listener, zone, drafts, notices] = rows.map(Option::unwrap_or_default);
    for (row, sql) in bench
        .iter()
        .take(1)
        .map(|row| (row, "INSERT INTO this_bench VALUES (?1, sum_of(?1))"))
        .chain(
            listener
                .iter()
                .take(1)
                .map(|row| (row, "UPDATE listener SET rule = ?1, minutes_ahead = ?2, sum = sum_of(?1, ?2)")),
        )
        .chain(zone.iter().take(1).map(|row| (row, "INSERT INTO listener_zone VALUES (?1, sum_of(?1))")))
        .chain(drafts.iter().map(|row| (row, "INSERT OR IGNORE INTO draft VALUES (?1, ?2, ?3, sum_of(?1, ?2, ?3))")))
        .chain(notices.iter().map(|row| (row, "INSERT OR IGNORE INTO notice VALUES (?1, ?2, ?3, sum_of(?1, ?2, ?3))")))
    {
        // A value of another type than the table's can't go in, and is not what was written.
        let _ = conn.execute(sql, rusqlite::params_from_iter(row));
    }
    Ok(lacking)
}

/// The rows of a small table that are as they were written, and those that are not.
fn read_small(conn: &Connection, table: &str, columns: usize) -> (Vec<Vec<Value>>, Vec<Vec<Value>>) {
    let (mut right, mut wrong) = (Vec::new(), Vec::new());
    // By their places: a name may be what is damaged.
    let Ok(mut select) = conn.prepare(&format!("SELECT * FROM {table}")) else { return (right, wrong) };
    let count = select.column_count();
    let Ok(mut found) = select.query([]) else { return (right, wrong) };
    while let Ok(Some(row)) = found.next() {
        let values: Option<Vec<Value>> = (0..count.min(columns)).map(|index| row.get(index).ok()).collect();
        let sealed = if count > columns { sums::check(row, columns, table).is_ok() } else { true };
        match values {
            Some(values) if values.len() == columns && sealed => right.push(values),
            Some(values) => wrong.push(values),
            None => {}
        }
    }
    (right, wrong)
}

/// A copy of a damaged file that SQLite can look into, its head made good.
fn to_look_into(source: &From, look: &Path) -> Option<Connection> {
    use std::io::{Seek, SeekFrom, Write};
    private::begin(look).ok()?;
    fs::copy(&source.file, look).ok()?;
    let mut wal = look.as_os_str().to_owned();
    wal.push("-wal");
    if fs::exists(&source.wal).unwrap_or(false) {
        fs::copy(&source.wal, wal).ok()?;
    }
    let mut file = fs::OpenOptions::new().write(true).open(look).ok()?;
    let mut mend = |at: u64, bytes: &[u8]| file.seek(SeekFrom::Start(at)).and_then(|_| file.write_all(bytes)).ok();
    // Name, page size, versions, reserved bytes and fractions; the format of tables; letters in UTF-8.
    mend(0, b"SQLite format 3\0\x10\x00\x02\x02\x00\x40\x20\x20")?;
    if cfg!(target_family = "wasm") {
        // A page has no write-ahead mode.
        mend(18, &[1, 1])?;
    }
    mend(44, &[0, 0, 0, 4])?;
    mend(52, &[0; 4])?;
    mend(56, &[0, 0, 0, 1])?;
    drop(file);
    let conn = Connection::open(look).ok()?;
    // Whatever is wrong in the text of one table must not keep the others from being read.
    let _ = conn.execute_batch("PRAGMA writable_schema = ON");
    Some(conn)
}
