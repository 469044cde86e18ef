//! What was found, written into the new log.

use rusqlite::{Connection, params};

use crate::raw::{Raw, Ref};
use crate::record::names::DEMO_BENCH;
use crate::sums::sum_of;
use crate::tally::Totals;
use crate::trouble::Trouble;

/// Writes what was found into the new log.
pub(super) struct Taking<'a> {
    pub(super) insert: rusqlite::Statement<'a>,
    pub(super) with_number: rusqlite::Statement<'a>,
    pub(super) is_there: rusqlite::Statement<'a>,
    pub(super) totals: Totals,
    /// Whether anything of the demo bench was taken.
    pub(super) demo: bool,
}

impl<'a> Taking<'a> {
    pub(super) fn into(conn: &'a Connection) -> Result<Self, Trouble> {
        let insert = |seq: &str, given: &str| {
            conn.prepare(&format!(
                "INSERT OR IGNORE INTO entry ({seq}id, at, bench, thing, about, kind, body, sum)
                 VALUES ({given}?1, ?2, ?3, ?4, ?5, ?6, ?7, sum_of(?1, ?2, ?3, ?4, ?5, ?6, ?7))"
            ))
        };
        Ok(Self {
            insert: insert("", "")?,
            with_number: insert("seq, ", "?8, ")?,
            is_there: conn.prepare("SELECT 1 FROM entry WHERE id = ?1")?,
            totals: Totals::default(),
            demo: false,
        })
    }

    /// Takes an entry; answers whether it is new.
    pub(super) fn take(&mut self, raw: &Raw) -> Result<bool, Trouble> {
        let new = self.insert(raw)?;
        if new {
            self.demo |= raw.bench == DEMO_BENCH.0.into_bytes();
            self.totals.toggle(&raw.sum.unwrap_or_else(|| sum_of(raw.values())), true);
        }
        Ok(new)
    }

    fn insert(&mut self, raw: &Raw) -> Result<bool, Trouble> {
        let values = raw.values();
        if let Some(seq) = raw.seq.filter(|seq| *seq > 0) {
            let [id, at, bench, thing, about, kind, body] = values;
            let with = params![Ref(id), Ref(at), Ref(bench), Ref(thing), Ref(about), Ref(kind), Ref(body), seq];
            if self.with_number.execute(with)? == 1 {
                return Ok(true);
            }
        }
        if self.is_there.exists([Ref(values[0])])? {
            return Ok(false);
        }
        // Another entry has its number.
        Ok(self.insert.execute(rusqlite::params_from_iter(values.map(Ref)))? == 1)
    }
}
