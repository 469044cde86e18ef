//! A sum of what a row holds, kept beside it: SQLite keeps none, so a bit that flips within a row goes unseen by it.

use rusqlite::functions::{Context, FunctionFlags};
use rusqlite::types::{Value, ValueRef};
use rusqlite::{Connection, Row};
use sha2::{Digest, Sha256};

/// The first sixteen bytes of a SHA-256.
pub(super) type Sum = [u8; 16];

/// The sum of values. Each goes in with its type and length, so that no two rows that differ go in alike.
pub(super) fn sum_of<'a>(values: impl IntoIterator<Item = ValueRef<'a>>) -> Sum {
    let mut hash = Sha256::new();
    let framed = |hash: &mut Sha256, kind: u8, bytes: &[u8]| {
        hash.update([kind]);
        hash.update((bytes.len() as u64).to_le_bytes());
        hash.update(bytes);
    };
    for value in values {
        match value {
            ValueRef::Null => framed(&mut hash, 0, &[]),
            ValueRef::Integer(number) => framed(&mut hash, 1, &number.to_le_bytes()),
            ValueRef::Real(number) => framed(&mut hash, 2, &number.to_bits().to_le_bytes()),
            ValueRef::Text(bytes) => framed(&mut hash, 3, bytes),
            ValueRef::Blob(bytes) => framed(&mut hash, 4, bytes),
        }
    }
    let whole = hash.finalize();
    let mut sum = Sum::default();
    sum.copy_from_slice(&whole[..16]);
    sum
}

/// Teaches a connection the SQL function `sum_of`, of any number of values.
pub(super) fn teach(conn: &Connection) -> rusqlite::Result<()> {
    let flags = FunctionFlags::SQLITE_UTF8 | FunctionFlags::SQLITE_DETERMINISTIC;
    conn.create_scalar_function("sum_of", -1, flags, |values: &mut Context<'_>| {
        let sum = sum_of((0..values.len()).map(|index| values.get_raw(index)));
        Ok(Value::Blob(sum.to_vec()))
    })
}

/// Whether the first `columns` of a row are as they were written, by the sum that stands behind them. A row that has
/// none yet is taken as it is.
pub fn check(row: &Row<'_>, columns: usize, what: &str) -> rusqlite::Result<()> {
    let there = row.get_ref(columns)?;
    if there == ValueRef::Null {
        return Ok(());
    }
    let values = (0..columns).map(|index| row.get_ref(index)).collect::<Result<Vec<_>, _>>()?;
    if there == ValueRef::Blob(&sum_of(values)) {
        return Ok(());
    }
    let altered = Altered(what.to_owned());
    Err(rusqlite::Error::FromSqlConversionFailure(columns, rusqlite::types::Type::Blob, Box::new(altered)))
}

/// A row is not as it was written.
#[derive(Debug)]
struct Altered(String);

impl std::fmt::Display for Altered {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(f, "{} is not as it was written", self.0)
    }
}

impl std::error::Error for Altered {}

/// The part of one word in the sum of a line.
pub fn sum_of_word(word: &[u8]) -> i64 {
    let sum = sum_of([ValueRef::Text(word)]);
    sum.iter().take(8).fold(0, |number, byte| number << 8 | i64::from(*byte))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sql_and_the_program_come_to_the_same_sum() {
        let conn = Connection::open_in_memory().expect("in memory");
        teach(&conn).expect("taught");
        let by_sql: Vec<u8> =
            conn.query_row("SELECT sum_of(x'0102', 7, 'tin', NULL, 1.5)", [], |row| row.get(0)).expect("computed");
        let blob = [1, 2];
        let values =
            [ValueRef::Blob(&blob), ValueRef::Integer(7), ValueRef::Text(b"tin"), ValueRef::Null, ValueRef::Real(1.5)];
        assert_eq!(by_sql, sum_of(values));
    }

    #[test]
    fn rows_that_differ_have_other_sums() {
        let rows: Vec<Vec<ValueRef<'_>>> = vec![
            vec![],
            vec![ValueRef::Null],
            vec![ValueRef::Text(b"")],
            vec![ValueRef::Blob(b"")],
            vec![ValueRef::Text(b"ab"), ValueRef::Text(b"c")],
            vec![ValueRef::Text(b"a"), ValueRef::Text(b"bc")],
            vec![ValueRef::Integer(1)],
            vec![ValueRef::Real(1.0)],
        ];
        let sums: std::collections::BTreeSet<Sum> = rows.iter().map(|row| sum_of(row.iter().copied())).collect();
        assert_eq!(sums.len(), rows.len());
    }
}
