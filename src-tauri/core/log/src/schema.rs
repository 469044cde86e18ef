//! The tables of the log: the changes of each version, and whether a file has what they make.
//!
//! SQLite keeps the text of its tables in the file itself. A bit that flips there gives a file that SQLite calls sound and
//! that can't be read, so the text is held against what the changes make in memory.

use std::sync::OnceLock;

use rusqlite::{Connection, Transaction, TransactionBehavior};

use super::sums;
use super::trouble::Trouble;
use crate::row::in_letters;

/// Schema changes, in order; the number of those applied is SQLite's `user_version`.
pub(super) const MIGRATIONS: [&str; 10] = [
    "CREATE TABLE entry (
        seq INTEGER PRIMARY KEY AUTOINCREMENT,
        id BLOB NOT NULL UNIQUE CHECK (length(id) = 16),
        at INTEGER NOT NULL,
        bench BLOB NOT NULL CHECK (length(bench) = 16),
        thing TEXT NOT NULL,
        about BLOB NOT NULL CHECK (length(about) = 16),
        kind TEXT NOT NULL,
        body TEXT NOT NULL
     ) STRICT;
     CREATE INDEX entry_about ON entry (about);
     CREATE TABLE this_bench (id BLOB NOT NULL CHECK (length(id) = 16)) STRICT;
     CREATE TABLE draft (key TEXT PRIMARY KEY, text TEXT NOT NULL, at INTEGER NOT NULL) STRICT;
     CREATE TABLE notice (
        id INTEGER PRIMARY KEY, at INTEGER NOT NULL, notice TEXT NOT NULL
     ) STRICT;
     CREATE TABLE listed (up_to INTEGER NOT NULL) STRICT;
     INSERT INTO listed VALUES (0);
     CREATE TABLE audition_line (
        row INTEGER PRIMARY KEY,
        audition BLOB NOT NULL UNIQUE,
        open INTEGER NOT NULL,
        last INTEGER NOT NULL,
        pickup BLOB, guitar BLOB, rig BLOB,
        line TEXT NOT NULL
     ) STRICT;
     CREATE INDEX audition_open ON audition_line (last) WHERE open = 1;
     CREATE INDEX audition_pickup ON audition_line (pickup, row);
     CREATE INDEX audition_guitar ON audition_line (guitar, row);
     CREATE VIRTUAL TABLE audition_words USING fts5(
        words, content = '', contentless_delete = 1, detail = none, prefix = '1 2 3',
        tokenize = 'ascii'
     );
     CREATE TABLE thing_line (
        id BLOB PRIMARY KEY, thing TEXT NOT NULL, label TEXT NOT NULL, retired INTEGER NOT NULL, terminals INTEGER
     ) STRICT;",
    // Of the demo bench's entries alone, so that it costs no other entry anything.
    "CREATE INDEX entry_demo ON entry (thing, about) WHERE bench = x'0198000000007000800000000000de30';
       CREATE INDEX thing_kind ON thing_line (thing, retired);",
    WHO_LISTENS_AND_PHOTOS,
    "CREATE INDEX entry_pin ON entry (at) WHERE kind IN ('reference_pinned', 'reference_unpinned');",
    MORE_TO_LOOK_FOR,
    PERMANENT_INSTALLS,
    SUMS,
    READINGS_AND_LEADS,
    // Which takes are named, and what of.
    "CREATE INDEX entry_take ON entry (about) WHERE kind = 'take_kept';",
    BENCHES_TO_LOOK_FOR,
];

/// Who listens (one person with one pair of ears and one clock); where the sound came up, so that a day's hearing is
/// summed without reading the whole log; which photos are named.
const WHO_LISTENS_AND_PHOTOS: &str =
    "CREATE TABLE listener (rule TEXT NOT NULL, minutes_ahead INTEGER NOT NULL) STRICT;
     INSERT INTO listener VALUES ('niosh', 0);
     CREATE INDEX entry_sound_up ON entry (at)
        WHERE instr(body, '\"raised_slowly\"') > 0 OR instr(body, '\"sound_up\"') > 0;
     CREATE INDEX entry_photo ON entry (about) WHERE kind = 'photo_taken';";

/// Lines tell where an audition was and what its readings came to, so all of them are made anew from the entries. The index of
/// their ends finds those that a thing described anew, at an earlier time, may be judged otherwise by.
const MORE_TO_LOOK_FOR: &str = "DELETE FROM audition_line; DELETE FROM thing_line;
     INSERT INTO audition_words (audition_words) VALUES ('delete-all');
     UPDATE listed SET up_to = 0;
     ALTER TABLE audition_line ADD COLUMN place TEXT NOT NULL DEFAULT '';
     CREATE INDEX audition_place ON audition_line (place);
     CREATE INDEX audition_last ON audition_line (last);";
/// Permanent installs, by what they are about.
const PERMANENT_INSTALLS: &str = "CREATE TABLE fit_line (
        fit BLOB PRIMARY KEY, open INTEGER NOT NULL, last INTEGER NOT NULL,
        audition BLOB NOT NULL, pickup BLOB NOT NULL, guitar BLOB NOT NULL, came_out BLOB, line TEXT NOT NULL
     ) STRICT;";

/// A sum of each entry, and of each row of the small tables, so that a row that is not as it was written is seen when it is
/// read. Rows that were there before get theirs beside the running bench, up to the row that `sealed` names.
const SUMS: &str = "ALTER TABLE entry ADD COLUMN sum BLOB;
     CREATE TABLE sealed (up_to INTEGER NOT NULL) STRICT;
     INSERT INTO sealed VALUES (0);
     ALTER TABLE this_bench ADD COLUMN sum BLOB;
     UPDATE this_bench SET sum = sum_of(id);
     ALTER TABLE listener ADD COLUMN sum BLOB;
     UPDATE listener SET sum = sum_of(rule, minutes_ahead);
     CREATE TABLE listener_zone (zone TEXT NOT NULL, sum BLOB) STRICT;
     ALTER TABLE draft ADD COLUMN sum BLOB;
     UPDATE draft SET sum = sum_of(key, text, at);
     ALTER TABLE notice ADD COLUMN sum BLOB;
     UPDATE notice SET sum = sum_of(id, at, notice);
     ALTER TABLE audition_line ADD COLUMN words INTEGER;
     ALTER TABLE audition_line ADD COLUMN sum BLOB;
     UPDATE audition_line SET sum = sum_of(row, audition, open, last, pickup, guitar, rig, line, place, words);
     ALTER TABLE thing_line ADD COLUMN sum BLOB;
     UPDATE thing_line SET sum = sum_of(id, thing, label, retired, terminals);
     ALTER TABLE fit_line ADD COLUMN sum BLOB;
     UPDATE fit_line SET sum = sum_of(fit, open, last, audition, pickup, guitar, came_out, line);
     -- An install whose beginning was struck out had no line before: the lists catch up anew from the first of them.
     UPDATE listed SET up_to = min(up_to,
        (SELECT coalesce(min(seq) - 1, up_to) FROM entry WHERE thing = 'fit' AND kind = 'struck_out'));";

/// Lines tell the leads and the readings of an audition, so all of them are made anew. What was found out about leads, read at a jack
/// and decided stands in no line; it is looked for itself, so it has an index of its own.
const READINGS_AND_LEADS: &str = "DELETE FROM audition_line; DELETE FROM thing_line;
     INSERT INTO audition_words (audition_words) VALUES ('delete-all');
     UPDATE listed SET up_to = 0;
     CREATE INDEX entry_beside ON entry (at)
        WHERE kind IN ('leads_begun', 'leads_measured', 'jack_read', 'jack_read_before', 'fit_probed', 'decided');";

/// Lines tell which benches wrote in an audition, so all of them are made anew.
const BENCHES_TO_LOOK_FOR: &str = "DELETE FROM audition_line; DELETE FROM thing_line;
     INSERT INTO audition_words (audition_words) VALUES ('delete-all');
     UPDATE listed SET up_to = 0;
     CREATE INDEX entry_bench_named ON entry (about) WHERE kind = 'bench_named';";

/// One table, index or the like: its type, its name, its text.
type Made = (String, String, String);
/// All of them, in the order of their names.
type Schema = Vec<Made>;

/// What the tables of a file are.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Tables {
    /// There are none: a new file.
    None,
    /// What the first so many changes make.
    Of(usize),
    /// More than this version knows: a newer one wrote it.
    Newer,
    /// Something else, in words.
    Altered(String),
}

/// Looks at the tables of a file, without trusting its number of changes alone: that is a few bits in its head.
pub(super) fn look(conn: &Connection, migrations: &[&str]) -> Result<Tables, Trouble> {
    let number: i64 = conn.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    let there = read(conn)?;
    if there.is_empty() && number == 0 {
        return Ok(Tables::None);
    }
    // Changes that can't be made in memory are a mistake of the program, and say nothing of the file.
    let made = made_by(migrations).map_err(|trouble| Trouble::Program(trouble.to_string()))?;
    let number = usize::try_from(number).unwrap_or(usize::MAX);
    let of = made.iter().position(|schema| *schema == there).map(|at| at + 1);
    Ok(match of {
        Some(version) if version == number => Tables::Of(version),
        Some(version) => Tables::Altered(format!("its tables are of version {version}, but it says {number}")),
        // Each change makes or alters a table, so what a newer version wrote is not what any of ours make.
        None if number > migrations.len() => Tables::Newer,
        None => Tables::Altered(first_difference(made.get(number.saturating_sub(1)), &there)),
    })
}

fn first_difference(made: Option<&Schema>, there: &Schema) -> String {
    let lacks = made.into_iter().flatten().find(|one| !there.contains(one));
    match lacks {
        Some((kind, name, _)) => format!("its {kind} {name} is not as it was made"),
        None => "it has tables that were not made here".to_owned(),
    }
}

fn read(conn: &Connection) -> Result<Schema, Trouble> {
    let mut select = conn.prepare("SELECT type, name, sql FROM sqlite_schema")?;
    let rows = select.query_map([], |row| {
        let of = |index| row.get_ref(index).map(in_letters);
        Ok((of(0)?, of(1)?, of(2)?))
    })?;
    let mut schema = rows.collect::<Result<Schema, _>>()?;
    schema.sort();
    Ok(schema)
}

/// What the changes make, after the first, the second, and so on.
fn made_by(migrations: &[&str]) -> Result<Vec<Schema>, Trouble> {
    static OURS: OnceLock<Vec<Schema>> = OnceLock::new();
    let ours = migrations == MIGRATIONS;
    if let Some(made) = OURS.get().filter(|_| ours) {
        return Ok(made.clone());
    }
    let conn = Connection::open_in_memory()?;
    sums::teach(&conn)?;
    let mut made = Vec::new();
    for migration in migrations {
        conn.execute_batch(migration)?;
        made.push(read(&conn)?);
    }
    Ok(if ours { OURS.get_or_init(|| made).clone() } else { made })
}

/// Brings the tables up to date, from those that the first so many changes made.
pub(super) fn migrate(conn: &mut Connection, migrations: &[&str]) -> Result<(), Trouble> {
    let stroke = conn.transaction_with_behavior(TransactionBehavior::Immediate)?;
    // Read inside the transaction: another program may have migrated the log in the meantime.
    for migration in migrations.iter().skip(version(&stroke)?) {
        stroke.execute_batch(migration)?;
    }
    number(&stroke, migrations)?;
    stroke.commit()?;
    Ok(())
}

fn number(stroke: &Transaction<'_>, migrations: &[&str]) -> Result<(), Trouble> {
    Ok(stroke.pragma_update(None, "user_version", i64::try_from(migrations.len()).unwrap_or(i64::MAX))?)
}

/// How many changes the file says it has seen.
pub(super) fn version(conn: &Connection) -> Result<usize, Trouble> {
    let version: i64 = conn.query_row("PRAGMA user_version", [], |row| row.get(0))?;
    Ok(version.try_into().unwrap_or(usize::MAX))
}

/// The tables of a new log, for a file that is not in its place yet.
pub(super) fn begin(conn: &mut Connection) -> Result<(), Trouble> {
    sums::teach(conn)?;
    migrate(conn, &MIGRATIONS)
}

/// Empties the lists, so that they are made anew when somebody looks at them.
pub(crate) fn clear(conn: &Connection) -> Result<(), Trouble> {
    let stroke = conn.unchecked_transaction()?;
    stroke.execute_batch(
        "DELETE FROM audition_line; DELETE FROM thing_line; DELETE FROM fit_line;
         INSERT INTO audition_words (audition_words) VALUES ('delete-all');
         DELETE FROM listed; INSERT INTO listed VALUES (0);",
    )?;
    Ok(stroke.commit()?)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_change_makes_tables_that_no_other_does() {
        let made = made_by(&MIGRATIONS).expect("made");
        assert_eq!(made.len(), MIGRATIONS.len());
        for (number, schema) in made.iter().enumerate() {
            assert_eq!(made.iter().position(|other| other == schema), Some(number), "change {}", number + 1);
        }
    }

    #[test]
    fn a_number_that_flipped_is_told_from_a_newer_version() {
        let mut conn = Connection::open_in_memory().expect("in memory");
        assert_eq!(look(&conn, &MIGRATIONS).expect("looked"), Tables::None);
        begin(&mut conn).expect("made");
        assert_eq!(look(&conn, &MIGRATIONS).expect("looked"), Tables::Of(MIGRATIONS.len()));
        for bit in 0..31 {
            conn.pragma_update(None, "user_version", (MIGRATIONS.len() as i32) ^ (1 << bit)).expect("flipped");
            assert!(matches!(look(&conn, &MIGRATIONS).expect("looked"), Tables::Altered(_)), "bit {bit}");
        }
        conn.execute_batch("CREATE TABLE weather (sky TEXT) STRICT").expect("made");
        assert_eq!(look(&conn, &MIGRATIONS).expect("looked"), Tables::Newer);
        conn.pragma_update(None, "user_version", MIGRATIONS.len() as i64).expect("set");
        assert!(matches!(look(&conn, &MIGRATIONS).expect("looked"), Tables::Altered(_)));
    }
}
