//! The file of a log: opened, and looked at before anything is read from it.

use crate::files::File;
use std::io::Read as _;
use std::path::Path;
use std::time::Duration;

use rusqlite::config::DbConfig;
use rusqlite::{Connection, OpenFlags};

use crate::raw::PAGE;
use crate::sums;
use crate::trouble::Trouble;

/// The shortest file that can be a log, in bytes: SQLite's smallest page.
pub(crate) const SHORTEST: u64 = 512;

/// How long another program may hold the log before an ask is refused.
pub(crate) const PATIENCE: Duration = Duration::from_secs(5);

/// In bytes: some thirty pages, which is more than most changes touch.
pub(crate) const KEPT_OF_CHANGES: u32 = 128 * 1024;

pub(crate) fn connect(path: &Path) -> Result<Connection, Trouble> {
    let flags = OpenFlags::default() & !OpenFlags::SQLITE_OPEN_CREATE;
    // A file that is gone is not begun anew by who only wants to look.
    if !crate::files::exists(path)? {
        return Err(Trouble::Damaged("the file is missing".to_owned()));
    }
    let conn = Connection::open_with_flags(path, flags)?;
    conn.busy_timeout(PATIENCE)?;
    prepare(&conn)?;
    Ok(conn)
}

pub(crate) fn prepare(conn: &Connection) -> Result<(), Trouble> {
    conn.set_prepared_statement_cache_capacity(128);
    // A statement is prepared once, not anew for each value that is looked for.
    conn.set_db_config(DbConfig::SQLITE_DBCONFIG_ENABLE_QPSG, true)?;
    sums::teach(conn)?;
    if cfg!(target_family = "wasm") {
        roll_back(conn)?
    } else {
        write_ahead(conn)?
    }
    conn.execute_batch(
        "PRAGMA synchronous = FULL;
         PRAGMA secure_delete = ON;
         PRAGMA temp_store = MEMORY;
         PRAGMA cache_size = -16000;
         CREATE VIRTUAL TABLE temp.audition_terms USING fts5vocab('main', 'audition_words', 'instance');",
    )?;
    Ok(())
}

/// Sets write-ahead mode. For this change alone SQLite does not wait for another program that is about to make it too.
pub(crate) fn write_ahead(conn: &Connection) -> Result<(), Trouble> {
    const PAUSE: Duration = Duration::from_millis(5);
    let mut waited = Duration::ZERO;
    loop {
        match conn.query_row("PRAGMA journal_mode = WAL", [], |row| row.get::<_, String>(0)).map_err(Trouble::from) {
            Err(Trouble::Busy) if waited < PATIENCE => crate::files::pause(PAUSE),
            other => return other.map(drop),
        }
        waited += PAUSE;
    }
}

/// Sets the mode of a page: what was there before is kept in a file beside the log until a change is whole. The write-ahead mode
/// would take memory that several connections share, and a page has none; so this one lets a bundle be packed and a copy be made
/// by connections of their own. The file stays, as a browser takes three times as long to write into one that grows anew.
///
/// A log that is not begun yet is also given pages of the size that logs have everywhere.
fn roll_back(conn: &Connection) -> Result<(), Trouble> {
    conn.execute_batch(&format!("PRAGMA page_size = {PAGE}"))?;
    conn.query_row("PRAGMA journal_mode = PERSIST", [], |_| Ok(()))?;
    keep_of_changes(conn, KEPT_OF_CHANGES)
}

/// How much stays on a page, in bytes, of what was there before the last changes; with 0 nothing of it does from the next change on.
pub(crate) fn keep_of_changes(conn: &Connection, bytes: u32) -> Result<(), Trouble> {
    if !cfg!(target_family = "wasm") {
        return Ok(());
    }
    Ok(conn.query_row(&format!("PRAGMA journal_size_limit = {bytes}"), [], |_| Ok(()))?)
}

pub(crate) fn check(conn: &Connection) -> Result<(), Trouble> {
    let finding: String = conn.query_row("PRAGMA integrity_check(1)", [], |row| row.get(0))?;
    if finding == "ok" { Ok(()) } else { Err(Trouble::Damaged(finding)) }
}

/// Whether the first bytes are those of every log: one bit of them means another form of file, which SQLite refuses or
/// takes for one that can't be written.
pub(crate) fn head_is_ours(path: &Path) -> Result<(), Trouble> {
    let mut head = [0; 100];
    File::open(path)?.read_exact(&mut head)?;
    let page = u16::try_from(PAGE).unwrap_or(0).to_be_bytes();
    let right = head.starts_with(b"SQLite format 3\0")
        && head[16..18] == page
        && matches!(head[18..20], [1, 1] | [2, 2])
        && head[20..24] == [0, 64, 32, 32]
        // What has no tables yet has no format of tables.
        && (head[44..48] == [0, 0, 0, 4] || head[40..48] == [0; 8])
        && head[52..56] == [0; 4]
        && (head[56..60] == [0, 0, 0, 1] || head[56..60] == [0; 4])
        && head[64..92] == [0; 28];
    if right { Ok(()) } else { Err(Trouble::Damaged("the head of the file is not a log's".to_owned())) }
}
