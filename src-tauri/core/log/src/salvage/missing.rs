//! What was seen of entries that are nowhere as they were written.

use std::collections::{BTreeMap, HashSet};

use chrono::DateTime;
use rusqlite::{Connection, params};
use uuid::Uuid;

use super::From;
use crate::notice::Lacking;
use crate::raw::{self, Raw, Ref};
use crate::trouble::Trouble;

/// What was seen of entries that are nowhere as they were written.
pub(super) fn lacking(conn: &Connection, altered: Vec<Raw>, sources: &[From]) -> Result<Vec<Lacking>, Trouble> {
    let mut has_name = conn.prepare("SELECT 1 FROM entry WHERE id = ?1")?;
    let mut has_row = conn.prepare("SELECT 1 FROM entry WHERE seq = ?1")?;
    // An entry whose name is altered, and nothing else.
    let mut has_all_else =
        conn.prepare("SELECT 1 FROM entry WHERE about = ?1 AND at = ?2 AND body = CAST(?3 AS TEXT)")?;
    let mut lacking = Vec::new();
    let (mut names, mut rows) = (HashSet::new(), HashSet::new());
    for raw in altered {
        let seen = raw.seq.map_or(Ok(false), |seq| has_row.exists([seq]))?;
        if seen
            || has_name.exists([Ref(raw.values()[0])])?
            || has_all_else.exists(params![Ref(raw.values()[4]), raw.at, raw.body])?
        {
            continue;
        }
        let known_row = raw.seq.is_some_and(|seq| !rows.insert(seq));
        if names.insert(raw.id) && !known_row {
            lacking.push(Lacking {
                at: DateTime::from_timestamp_micros(raw.at).unwrap_or_default(),
                kind: String::from_utf8_lossy(&raw.kind).into_owned(),
                name: Some(Uuid::from_bytes(raw.id)),
                doubtful: Some(String::from_utf8_lossy(&raw.body).into_owned()),
            });
        }
    }
    let mut unseen: BTreeMap<i64, Vec<[u8; 16]>> = BTreeMap::new();
    for source in sources {
        let mut refused = None;
        let _ = raw::names(&source.file, &source.wal, &mut |name, row| {
            let known = has_name
                .exists([Ref(rusqlite::types::ValueRef::Blob(&name))])
                .and_then(|named| Ok(named || has_row.exists([row])?));
            match known {
                Ok(true) => {}
                Ok(false) if rows.contains(&row) || names.contains(&name) => {}
                Ok(false) => unseen.entry(row).or_default().push(name),
                Err(error) => refused = Some(error),
            }
        });
        refused.map_or(Ok(()), |error| Err(Trouble::from(error)))?;
    }
    let mut has_about = conn.prepare("SELECT 1 FROM entry WHERE about = ?1 LIMIT 1")?;
    for found in unseen.into_values() {
        // Two indexes tell of a row: one by its name, one by what it is about.
        let mut named = None;
        for name in found {
            if !has_about.exists([Ref(rusqlite::types::ValueRef::Blob(&name))])? {
                named = named.or(Some(name));
            }
        }
        let name = named.map(Uuid::from_bytes);
        let begun = name.and_then(|name| name.get_timestamp()).and_then(|stamp| {
            let (seconds, nanos) = stamp.to_unix();
            DateTime::from_timestamp(i64::try_from(seconds).ok()?, nanos)
        });
        if name.is_none_or(|name| names.insert(name.into_bytes())) {
            lacking.push(Lacking { at: begun.unwrap_or_default(), kind: String::new(), name, doubtful: None });
        }
    }
    Ok(lacking)
}
