//! A row as it lies in a file, and the entry or the name that can be made out of its bytes.

use rusqlite::types::ValueRef;

use super::varint;
use crate::sums::{Sum, sum_of};

/// An entry as it lies in a file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Raw {
    /// The number of its row, where that can be told.
    pub seq: Option<i64>,
    pub id: [u8; 16],
    pub at: i64,
    pub bench: [u8; 16],
    pub thing: Vec<u8>,
    pub about: [u8; 16],
    pub kind: Vec<u8>,
    pub body: Vec<u8>,
    pub sum: Option<Sum>,
}

/// What a row's sum says of it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Standing {
    /// It is as it was written.
    Right,
    /// It has no sum yet, and reads like an entry.
    Unsealed,
    /// It is not as it was written.
    Wrong,
}

impl Raw {
    pub fn values(&self) -> [ValueRef<'_>; 7] {
        [
            ValueRef::Blob(&self.id),
            ValueRef::Integer(self.at),
            ValueRef::Blob(&self.bench),
            ValueRef::Text(&self.thing),
            ValueRef::Blob(&self.about),
            ValueRef::Text(&self.kind),
            ValueRef::Text(&self.body),
        ]
    }

    pub fn standing(&self) -> Standing {
        match self.sum {
            Some(sum) if sum == sum_of(self.values()) => Standing::Right,
            Some(_) => Standing::Wrong,
            None if self.reads_like_an_entry() => Standing::Unsealed,
            None => Standing::Wrong,
        }
    }

    /// Whether its body is JSON of the kind that stands beside it.
    fn reads_like_an_entry(&self) -> bool {
        let letters = std::str::from_utf8(&self.thing).is_ok_and(|thing| !thing.is_empty());
        let body = serde_json::from_slice::<serde_json::Value>(&self.body);
        letters && body.is_ok_and(|body| body["kind"].as_str().is_some_and(|kind| kind.as_bytes() == self.kind))
    }
}

/// How many bytes a value of this type takes.
pub(super) fn size_of(kind: u64) -> u64 {
    match kind {
        1..=4 => kind,
        5 => 6,
        6 | 7 => 8,
        0 | 8..=11 => 0,
        _ => (kind - 12) / 2,
    }
}

/// The types of a record's values, and where the first value lies.
pub(super) fn head(record: &[u8]) -> Option<(Vec<u64>, usize)> {
    let (length, mut at) = varint(record, 0)?;
    let end = usize::try_from(length).ok().filter(|end| *end <= record.len() && *end < 128)?;
    let mut types = Vec::new();
    while at < end {
        let (kind, next) = varint(record, at)?;
        types.push(kind);
        at = next;
    }
    (at == end).then_some((types, end))
}

/// What the types of an entry's values are: no number of its own, a name, a time, a bench, a thing, what it is about, a
/// kind, a body, and a sum unless an earlier version wrote it.
fn are_an_entrys(types: &[u64]) -> bool {
    let is_text = |kind: u64| kind >= 13 && kind % 2 == 1;
    matches!(types, [0, 44, at, 44, thing, 44, kind, body, rest @ ..]
        if (matches!(at, 1..=6 | 8 | 9)) && [thing, kind, body].iter().all(|one| is_text(**one))
            && rest.first().is_none_or(|sum| matches!(sum, 0 | 44)))
}

/// An entry, if the record is one.
pub(super) fn record(payload: &[u8]) -> Option<Raw> {
    let (types, mut at) = head(payload)?;
    are_an_entrys(&types).then_some(())?;
    let mut values = Vec::with_capacity(types.len());
    for kind in &types {
        let end = at.checked_add(usize::try_from(size_of(*kind)).ok()?)?;
        values.push(payload.get(at..end)?);
        at = end;
    }
    let whole = |index: usize| -> Option<i64> {
        match types.get(index)? {
            8 => Some(0),
            9 => Some(1),
            _ => {
                let bytes = values.get(index)?;
                let sign = if bytes.first()? & 0x80 == 0 { 0 } else { -1 };
                Some(bytes.iter().fold(sign, |number: i64, byte| number << 8 | i64::from(*byte)))
            }
        }
    };
    let sixteen = |index: usize| -> Option<[u8; 16]> { values.get(index).and_then(|bytes| (*bytes).try_into().ok()) };
    let letters = |index: usize| values.get(index).map(|bytes| bytes.to_vec());
    Some(Raw {
        seq: None,
        id: sixteen(1)?,
        at: whole(2)?,
        bench: sixteen(3)?,
        thing: letters(4)?,
        about: sixteen(5)?,
        kind: letters(6)?,
        body: letters(7)?,
        sum: sixteen(8),
    })
}

/// A name and the number of a row, if the record of an index is that.
pub(super) fn named(record: &[u8]) -> Option<([u8; 16], i64)> {
    let (types, at) = head(record)?;
    let [44, number] = types[..] else { return None };
    matches!(number, 1..=6 | 8 | 9).then_some(())?;
    let name = record.get(at..at + 16)?.try_into().ok()?;
    let row = match number {
        8 => 0,
        9 => 1,
        _ => {
            let bytes = record.get(at + 16..at + 16 + usize::try_from(size_of(number)).ok()?)?;
            bytes.iter().fold(0, |row: i64, byte| row << 8 | i64::from(*byte))
        }
    };
    Some((name, row))
}

/// A value as a parameter, text byte for byte.
pub(crate) struct Ref<'a>(pub rusqlite::types::ValueRef<'a>);

impl rusqlite::ToSql for Ref<'_> {
    fn to_sql(&self) -> rusqlite::Result<rusqlite::types::ToSqlOutput<'_>> {
        Ok(rusqlite::types::ToSqlOutput::Borrowed(self.0))
    }
}
