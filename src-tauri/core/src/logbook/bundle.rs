//! A bundle taken in, and its entries listed.

use std::io::{Read, Seek};
use std::path::Path;

use chrono::{DateTime, Utc};
use rusqlite::Connection;
use uuid::Uuid;

pub use solderlast_log::bundle::{
    BundleNews, Counts, FORM, Flaw, Manifest, MemberListed, NotCarried, Phase, Tray, VERSION, Watch, Which, clear_away,
    grouped, limits, look, pack, pack_with, size_shown, taken_in, takes_in, would_hold,
};

use super::up_to_date::catch_up_some;
use super::{Log, Trouble};
use crate::record::names::BenchId;

/// Takes in the bundle that was looked into with this tray, and brings the lists up to date; answers how many entries are new
/// in the log.
///
/// # Errors
/// [`NotCarried`]; the log is as it was. Once the entries are written nothing is refused any more.
pub fn take_in<R: Read + Seek>(
    folder: &Path,
    bundle: R,
    tray: &Tray,
    now: DateTime<Utc>,
    watch: &Watch,
) -> Result<u64, NotCarried> {
    let written = solderlast_log::bundle::take_in(folder, bundle, tray, now, watch)?;
    // It is in. What can't be listed now is listed at the next look.
    let _ = list(folder, watch);
    Ok(written)
}

/// Brings the lists up to date, so that the next look does not have to wait for it.
fn list(folder: &Path, watch: &Watch) -> Result<(), Trouble> {
    let mut log = Log::beside(folder, BenchId(Uuid::nil()))?;
    let count = |sql: &str, conn: &Connection| conn.query_row(sql, [], |row| row.get::<_, i64>(0));
    let from = count("SELECT up_to FROM listed", log.tables())?;
    let to = count("SELECT coalesce(max(seq), 0) FROM entry", log.tables())?;
    let part = |done: i64| u64::try_from(done).unwrap_or(0);
    watch.begin(Phase::Listing, part(to - from));
    while catch_up_some(&mut log)? {
        let up_to = count("SELECT up_to FROM listed", log.tables())?;
        // Called off too late: the entries are in, so their lists are too.
        let _ = watch.reached(part(up_to - from));
    }
    Ok(())
}
