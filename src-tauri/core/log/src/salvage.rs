//! A log made anew of everything that can be read: the damaged file, its write-ahead file, all copies.
//!
//! Entries are never changed, so what was found anywhere and is as it was written, by its sum, belongs into the log: the
//! sources are joined by union. Rows without a sum yet come after all that have one, those of sound copies first. Lists,
//! search and indexes are made anew. The new log is written beside the damaged one and takes its place when all of it is on
//! disk, so a stop in between leaves the damaged log, and the next opening comes here again.

mod missing;
mod small_tables;
mod taking;

use crate::files as fs;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use rusqlite::{Connection, OptionalExtension};
use uuid::Uuid;

use self::missing::lacking;
use self::small_tables::small_tables;
use self::taking::Taking;
use super::copies::{self};
use super::lock::Lock;
use super::raw::{self, Raw, Standing};
use super::schema;
use super::tally::{self, TallyRead, Totals};
use super::trouble::Trouble;
use crate::notice::{Lacking, Notice, Source};
use crate::private;
use crate::record::names::{BenchId, DEMO_BENCH};
use crate::row::FILE;

const UNFINISHED: &str = "solderlast.part";
const COPIES: &str = "the copies";
/// How many entries a notice lists.
const LISTED: usize = 200;
/// How many altered rows are looked at.
const MOST_ALTERED: usize = 5000;

/// Puts a log made of everything that can be read into the place of the one in this folder, which may be missing.
///
/// # Errors
/// [`Trouble`] when the disk can't be used; then everything is as it was.
pub(super) fn salvage(folder: &Path, now: DateTime<Utc>, what: &str) -> Result<(), Trouble> {
    let log = folder.join(FILE);
    let aside = if fs::exists(&log)? { Some(copies::set_aside(folder, now)?) } else { copies::left_aside(folder) };
    let companions = aside.clone().unwrap_or_else(|| copies::name_aside(folder, now));
    if !fs::exists(&log)? {
        copies::set_companions_aside(folder, &companions)?;
    }
    let unfinished = folder.join(UNFINISHED);
    let sources = sources(folder, aside.as_deref());
    let told = tally::read(folder);
    let made = gather(&sources, &told, &unfinished, folder).and_then(|gathered| {
        let happened = match aside.as_deref().and_then(Path::file_name) {
            Some(name) => format!("The log was damaged ({what}) and was set aside as {}.", name.to_string_lossy()),
            None => format!("The log was not as it was left ({what})."),
        };
        let notice = gathered.notice(aside.as_deref(), &happened);
        let (bench, totals) = (gathered.bench, gathered.totals);
        gathered.finish(now, &notice)?;
        Ok((bench, totals))
    });
    if made.is_err() {
        let _ = fs::remove_file(&unfinished);
    }
    let (bench, totals) = made?;
    copies::set_companions_aside(folder, &companions)?;
    fs::rename(&unfinished, &log)?;
    copies::sync_folder(folder)?;
    // Only now: until then the old one says how many entries there must be.
    tally::begin(folder, bench, Some(totals), true)
}

/// What a salvage of files came to.
#[derive(Debug, Clone, PartialEq)]
pub struct Salvaged {
    /// How many entries the new log has.
    pub entries: u64,
    /// The same, and where they came from, in words; and what is missing.
    pub notice: Notice,
}

/// Makes a log in a folder that has none of all that can be read in these files: logs, whole or damaged, and copies of them.
/// The files are not changed. Nothing when the folder has a log.
///
/// # Errors
/// [`Trouble`] when a file can't be read, or the folder can't be written.
pub fn salvage_files(files: &[PathBuf], folder: &Path, now: DateTime<Utc>) -> Result<Option<Salvaged>, Trouble> {
    for file in files {
        fs::File::open(file)?;
    }
    private::folder(folder)?;
    let lock = Lock::of(folder)?;
    let _alone = lock.alone()?;
    if super::checks::is_there(folder) {
        return Ok(None);
    }
    let sources: Vec<From> = files
        .iter()
        .map(|file| From { wal: beside(file), words: "the files", sound: false, file: file.clone() })
        .collect();
    let unfinished = folder.join(UNFINISHED);
    let made = gather(&sources, &TallyRead::default(), &unfinished, folder).and_then(|gathered| {
        let notice = gathered.notice(None, "This log was salvaged from files.");
        let entries = gathered.totals.count;
        gathered.finish(now, &notice)?;
        Ok(Salvaged { entries, notice })
    });
    if made.is_err() {
        let _ = fs::remove_file(&unfinished);
    }
    let made = made?;
    fs::rename(&unfinished, folder.join(FILE))?;
    copies::sync_folder(folder)?;
    Ok(Some(made))
}

/// SQLite's write-ahead file of a file.
fn beside(file: &Path) -> PathBuf {
    let mut name = file.as_os_str().to_owned();
    name.push("-wal");
    PathBuf::from(name)
}

/// A file that entries are looked for in.
struct From {
    file: PathBuf,
    wal: PathBuf,
    /// What a person calls it.
    words: &'static str,
    /// Whether SQLite finds nothing wrong in it.
    sound: bool,
}

fn sources(folder: &Path, aside: Option<&Path>) -> Vec<From> {
    let log = folder.join(FILE);
    // Until the new one takes its place, the damaged log has both names, and its write-ahead file the old one.
    let damaged = aside.map(|aside| if fs::exists(&log).unwrap_or(false) { log } else { aside.to_owned() });
    let damaged = damaged.map(|file| From { wal: beside(&file), words: "the damaged file", sound: false, file });
    let copies = copies::all(folder).into_iter().map(|file| From {
        wal: beside(&file),
        sound: copies::is_sound(&file),
        words: COPIES,
        file,
    });
    damaged.into_iter().chain(copies).collect()
}

/// Everything that was found, in a new file.
struct Gathered {
    conn: Connection,
    file: PathBuf,
    from: BTreeMap<&'static str, u64>,
    lacking: Vec<Lacking>,
    /// How many more there must be, of which nothing is known.
    unknown: u64,
    totals: Totals,
    bench: BenchId,
}

fn gather(sources: &[From], told: &TallyRead, to: &Path, folder: &Path) -> Result<Gathered, Trouble> {
    let conn = new_file(to)?;
    let mut from = BTreeMap::new();
    let (totals, altered) = {
        let mut taking = Taking::into(&conn)?;
        let doubtful = take_sealed(&mut taking, sources, told, &mut from)?;
        // Sound copies before others: where two rows of one name differ, the damage is in the file that is damaged.
        let mut order: Vec<usize> = (0..sources.len()).filter(|number| doubtful.unsealed[*number]).collect();
        order.sort_by_key(|number| !sources[*number].sound);
        for source in order.into_iter().map(|number| &sources[number]) {
            let unsealed = |raw: Raw| (raw.standing() == Standing::Unsealed).then_some(raw);
            take_from(source, &mut taking, &mut from, unsealed)?;
        }
        (taking.totals, doubtful.altered)
    };
    let mut lacking = if told.totals == Some(totals) { Vec::new() } else { lacking(&conn, altered, sources)? };
    let must = told.totals.map_or(0, |totals| totals.count);
    let unknown = must.saturating_sub(totals.count).saturating_sub(lacking.len() as u64);
    lacking.extend(small_tables(&conn, sources, folder)?);
    lacking.sort_by_key(|one| one.at);
    conn.execute_batch("UPDATE sealed SET up_to = (SELECT coalesce(max(seq), 0) FROM entry); COMMIT")?;
    let bench = name_of_bench(&conn, told)?;
    Ok(Gathered { conn, file: to.to_owned(), from, lacking, unknown, totals, bench })
}

/// A log with nothing in it, to be filled in one stroke.
fn new_file(to: &Path) -> Result<Connection, Trouble> {
    if fs::exists(to)? {
        fs::remove_file(to)?;
    }
    private::begin(to)?;
    let mut conn = Connection::open(to)?;
    conn.execute_batch(
        "PRAGMA page_size = 4096; PRAGMA journal_mode = OFF; PRAGMA synchronous = OFF; PRAGMA cache_size = -64000;",
    )?;
    schema::begin(&mut conn)?;
    conn.execute_batch("BEGIN")?;
    Ok(conn)
}

/// What no sum proves.
struct Doubtful {
    /// Rows whose sum is wrong.
    altered: Vec<Raw>,
    /// Which sources have rows of earlier versions, which have no sum.
    unsealed: Vec<bool>,
}

/// Takes the entries whose sum proves them: those of the damaged file, of the tally, then of copies while any is missing.
fn take_sealed(
    taking: &mut Taking<'_>,
    sources: &[From],
    told: &TallyRead,
    from: &mut BTreeMap<&'static str, u64>,
) -> Result<Doubtful, Trouble> {
    let mut doubtful = Doubtful { altered: Vec::new(), unsealed: vec![false; sources.len()] };
    let copies = sources.iter().position(|source| source.words == COPIES).unwrap_or(sources.len());
    for (number, source) in sources.iter().enumerate() {
        if number == copies {
            take_told(taking, told, from)?;
        }
        // All that must be there is.
        if number >= copies && told.totals == Some(taking.totals) {
            break;
        }
        // What was taken out of the log stays in its copies; the demo bench does not come back from there.
        let passed_over = (number >= copies && copies > 0 && !taking.demo).then_some(DEMO_BENCH.0.into_bytes());
        take_from(source, taking, from, |raw| {
            match raw.standing() {
                _ if Some(raw.bench) == passed_over => {}
                Standing::Right => return Some(raw),
                Standing::Unsealed => doubtful.unsealed[number] = true,
                Standing::Wrong if doubtful.altered.len() < MOST_ALTERED && !doubtful.altered.contains(&raw) => {
                    doubtful.altered.push(raw);
                }
                Standing::Wrong => {}
            }
            None
        })?;
    }
    if copies == sources.len() {
        take_told(taking, told, from)?;
    }
    Ok(doubtful)
}

/// Takes the rows of one source that are wanted. A file that can't be read to its end gives what it can.
fn take_from(
    source: &From,
    taking: &mut Taking<'_>,
    from: &mut BTreeMap<&'static str, u64>,
    mut wanted: impl FnMut(Raw) -> Option<Raw>,
) -> Result<(), Trouble> {
    let mut refused = None;
    let count = from.entry(source.words).or_insert(0);
    let _ = raw::entries(&source.file, &source.wal, &mut |raw| {
        let Some(raw) = wanted(raw) else { return Ok(()) };
        match taking.take(&raw) {
            Ok(new) => *count += u64::from(new),
            Err(trouble) => {
                refused = Some(trouble);
                return Err(std::io::Error::other("the new log can't be written"));
            }
        }
        Ok(())
    });
    refused.map_or(Ok(()), Err)
}

/// The name of the bench as a file had it, or else the tally.
fn name_of_bench(conn: &Connection, told: &TallyRead) -> Result<BenchId, Trouble> {
    let bench = conn.query_row("SELECT id FROM this_bench LIMIT 1", [], |row| row.get(0)).optional()?;
    Ok(match (bench, told.bench) {
        (Some(bench), _) => BenchId(bench),
        (None, Some(bench)) => {
            conn.execute("INSERT INTO this_bench VALUES (?1, sum_of(?1))", [bench.0])?;
            bench
        }
        (None, None) => BenchId(Uuid::nil()),
    })
}

/// Takes what the tally has.
fn take_told(taking: &mut Taking<'_>, told: &TallyRead, from: &mut BTreeMap<&'static str, u64>) -> Result<(), Trouble> {
    for raw in &told.entries {
        *from.entry("the tally").or_insert(0) += u64::from(taking.take(raw)?);
    }
    Ok(())
}

impl Gathered {
    /// What is said of it, after a sentence on what happened.
    fn notice(&self, aside: Option<&Path>, happened: &str) -> Notice {
        let name = aside.and_then(|aside| aside.file_name()).map(|name| name.to_string_lossy().into_owned());
        let entries = match self.totals.count {
            0 => "No entry could be found anywhere, so an empty log is open.".to_owned(),
            1 => "A new one was made of all that could be found: one entry.".to_owned(),
            many => format!("A new one was made of all that could be found: {many} entries."),
        };
        let from: Vec<String> = self
            .from
            .iter()
            .filter(|(_, entries)| **entries > 0)
            .map(|(from, entries)| format!("{entries} from {from}"))
            .collect();
        let from = if from.len() > 1 { format!(" Of these {}.", from.join(", ")) } else { String::new() };
        let missing = match self.lacking.len() {
            0 if self.totals.count == 0 => " Anything written before may be missing.".to_owned(),
            0 => " No other entry was seen.".to_owned(),
            1 => " One more was seen that is not as it was written. It is not in the log.".to_owned(),
            many => format!(" {many} more were seen that are not as they were written. They are not in the log."),
        };
        let unknown = match self.unknown {
            0 => String::new(),
            1 => " One entry more was counted and is nowhere.".to_owned(),
            many => format!(" {many} entries more were counted and are nowhere."),
        };
        let keep = if name.is_some() { " Keep that file: nothing in it was changed." } else { "" };
        let mut lacking = self.lacking.clone();
        lacking.truncate(LISTED);
        Notice {
            sentence: format!("{happened} {entries}{from}{missing}{unknown}{keep}"),
            aside: name,
            sources: self
                .from
                .iter()
                .filter(|(_, entries)| **entries > 0)
                .map(|(from, entries)| Source { from: (*from).to_owned(), entries: *entries })
                .collect(),
            lacking,
        }
    }

    /// Puts the notice in, and brings all of it onto the disk.
    fn finish(self, now: DateTime<Utc>, notice: &Notice) -> Result<(), Trouble> {
        crate::notice::add_notice(&self.conn, now, notice)?;
        self.conn.close().map_err(|(_, error)| error)?;
        fs::File::open(&self.file)?.sync_all()?;
        Ok(())
    }
}
