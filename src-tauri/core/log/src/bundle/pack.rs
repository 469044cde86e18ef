//! Packing a bundle: all entries, or those of chosen auditions with what they are about, and the photos they name.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{BufWriter, Seek, Write};
use std::path::Path;

use chrono::{DateTime, Utc};
use rusqlite::{Connection, Row, params};
use uuid::Uuid;
use zip::CompressionMethod;
use zip::result::ZipError;
use zip::write::{SimpleFileOptions, ZipWriter};

use super::flaw::NotCarried;
use super::limits::{
    LONGEST_LINE, MOST_BYTES, MOST_BYTES_OF_ENTRIES, MOST_CHOSEN, MOST_ENTRIES, MOST_PHOTOS, MOST_TAKES,
};
use super::line::{Carried, names_in, photos_in};
use super::manifest::{Counts, ENTRIES, FORM, MANIFEST, Manifest, MemberListed, PHOTOS, Sum, VERSION, WITHOUT_TAKES};
use super::takes::named_in;
use super::watch::{Phase, Watch};
use crate::file::connect;
use crate::photos::Shelf;
use crate::record::audition::AuditionId;
use crate::record::meter::MeterId;
use crate::record::photo::PhotoName;
use crate::record::take::TakeName;
use crate::row::{FILE, in_letters};
use crate::{Trouble, sums};

/// How many entries are written between two looks at whether it was called off.
const AT_ONCE: u64 = 500;

/// What is packed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Which {
    /// The whole log.
    All,
    /// These auditions, and the pickups, guitars, rigs and meters that they and those name.
    Only(BTreeSet<AuditionId>),
}

/// Packs a bundle of the log in this folder. The log is read as it is at one instant, whoever writes meanwhile, and
/// memory stays the same however long it is.
///
/// # Errors
/// [`NotCarried`]; what was written by then is of no use.
pub fn pack<W: Write + Seek>(
    folder: &Path,
    which: &Which,
    now: DateTime<Utc>,
    out: W,
    watch: &Watch,
) -> Result<Manifest, NotCarried> {
    pack_with(folder, which, false, now, out, watch)
}

/// The same, with the takes that entries name, if they are wanted.
///
/// # Errors
/// [`NotCarried`]; what was written by then is of no use.
pub fn pack_with<W: Write + Seek>(
    folder: &Path,
    which: &Which,
    takes: bool,
    now: DateTime<Utc>,
    out: W,
    watch: &Watch,
) -> Result<Manifest, NotCarried> {
    let conn = connect(&folder.join(FILE))?;
    // One transaction that only reads: everything is of the instant of its first question.
    let read = conn.unchecked_transaction()?;
    choose(&read, which)?;
    let mut counts = counted(&read, which)?;
    watch.begin(Phase::Packing, counts.entries);

    let mut zip = ZipWriter::new(BufWriter::with_capacity(1 << 16, out));
    zip.start_file(ENTRIES, deflated()).map_err(unwritten)?;
    let mut packing = Packing { sum: Sum::default(), entries: 0, photos: BTreeSet::new(), takes: BTreeMap::new() };
    pack_entries(&read, which, &mut zip, &mut packing, watch)?;
    let Packing { sum, entries, photos, takes: named } = packing;
    let mut members = vec![sum.listed(ENTRIES)];
    let shelf = Shelf::beside(folder);
    let mut weight = members.iter().map(|member| member.bytes).sum::<u64>();
    for name in photos {
        watch.go_on()?;
        // What lies there is read anew, so a photo that was changed on disk is not carried on as what it was.
        let Some(bytes) = shelf.read(&name)? else {
            counts.photos_missing += 1;
            continue;
        };
        weight += bytes.len() as u64;
        if weight > MOST_BYTES {
            return Err(NotCarried::too_much("its photos alone weigh more than 4 GB"));
        }
        let member = format!("{}{name}{}", PHOTOS.0, PHOTOS.1);
        zip.start_file(&member, stored()).map_err(unwritten)?;
        zip.write_all(&bytes)?;
        members.push(MemberListed { name: member, bytes: bytes.len() as u64, sha256: name.into() });
        counts.photos += 1;
    }
    counts.entries = entries;
    if takes {
        let (shelf, named) = (crate::takes::Shelf::beside(folder), named.into_keys().collect());
        super::takes::pack(&mut zip, &shelf, named, &mut weight, &mut counts, &mut members, watch)?;
    }
    let bench: Uuid = read.query_row("SELECT id FROM this_bench LIMIT 1", [], |row| row.get(0))?;
    let manifest = Manifest {
        form: FORM.to_owned(),
        version: if counts.takes > 0 { VERSION } else { WITHOUT_TAKES },
        made: now,
        bench,
        program: concat!("solderlast ", env!("CARGO_PKG_VERSION")).to_owned(),
        whole: *which == Which::All,
        counts,
        members,
    };
    zip.start_file(MANIFEST, deflated()).map_err(unwritten)?;
    let text = serde_json::to_vec_pretty(&manifest).map_err(|error| Trouble::Program(error.to_string()))?;
    zip.write_all(&text)?;
    zip.finish().map_err(unwritten)?.flush()?;
    Ok(manifest)
}

/// Writes the entries, a line each, in the order they were written.
fn pack_entries<W: Write + Seek>(
    read: &Connection,
    which: &Which,
    zip: &mut ZipWriter<BufWriter<W>>,
    packing: &mut Packing,
    watch: &Watch,
) -> Result<(), NotCarried> {
    let mut select = read.prepare(match which {
        Which::All => "SELECT id, at, bench, thing, about, kind, body, sum FROM entry ORDER BY seq",
        Which::Only(_) => {
            "SELECT id, at, bench, thing, about, kind, body, sum FROM entry
             WHERE (thing, about) IN (SELECT thing, about FROM temp.wanted) ORDER BY seq"
        }
    })?;
    let mut rows = select.query([])?;
    let mut line = String::new();
    while let Some(row) = rows.next()? {
        line.clear();
        sums::check(row, 7, "an entry")?;
        let entry = read_row(row)?;
        entry.write(&mut line);
        packing.take(&entry, &line)?;
        zip.write_all(line.as_bytes())?;
        if packing.entries.is_multiple_of(AT_ONCE) {
            watch.reached(packing.entries)?;
        }
    }
    Ok(())
}

/// How much a bundle would hold.
///
/// # Errors
/// [`NotCarried`] when an audition is not in the log, or the disk can't be read.
pub fn would_hold(folder: &Path, which: &Which) -> Result<Counts, NotCarried> {
    let conn = connect(&folder.join(FILE))?;
    let read = conn.unchecked_transaction()?;
    choose(&read, which)?;
    counted(&read, which)
}

/// The takes that a bundle could carry, and their size in bytes, as their entries say.
///
/// # Errors
/// [`NotCarried`] when an audition is not in the log, or the disk can't be read.
pub fn takes_in(folder: &Path, which: &Which) -> Result<(u64, u64), NotCarried> {
    let conn = connect(&folder.join(FILE))?;
    let read = conn.unchecked_transaction()?;
    choose(&read, which)?;
    let mut select = read.prepare(match which {
        Which::All => "SELECT body FROM entry INDEXED BY entry_take WHERE kind = 'take_kept'",
        Which::Only(_) => {
            "SELECT body FROM entry INDEXED BY entry_take WHERE kind = 'take_kept'
             AND (thing, about) IN (SELECT thing, about FROM temp.wanted)"
        }
    })?;
    let mut rows = select.query([])?;
    let mut takes = BTreeMap::new();
    while let Some(row) = rows.next()? {
        takes.extend(named_in("take_kept", &in_letters(row.get_ref(0)?)));
    }
    Ok((takes.len() as u64, takes.values().sum()))
}

/// What passes into a bundle, within its limits.
struct Packing {
    sum: Sum,
    entries: u64,
    photos: BTreeSet<PhotoName>,
    /// Takes, with the size that their entries say.
    takes: BTreeMap<TakeName, u64>,
}

impl Packing {
    fn take(&mut self, entry: &Carried, line: &str) -> Result<(), NotCarried> {
        self.sum.add(line.as_bytes());
        self.entries += 1;
        if self.entries > MOST_ENTRIES || self.sum.bytes() > MOST_BYTES_OF_ENTRIES {
            return Err(NotCarried::too_much("the log has more than 10,000,000 entries, or more than 3 GB of them"));
        }
        if line.len() > LONGEST_LINE {
            return Err(NotCarried::too_much("one of its entries is longer than 2 MB"));
        }
        self.takes.extend(named_in(&entry.kind, &entry.body));
        for name in photos_in(&entry.kind, &entry.body) {
            self.photos.extend(PhotoName::try_from(name.to_owned()));
        }
        if self.photos.len() > MOST_PHOTOS {
            return Err(NotCarried::too_much("the log has more than 20,000 photos"));
        }
        if self.takes.len() > MOST_TAKES {
            return Err(NotCarried::too_much("the log has more than 20,000 takes"));
        }
        Ok(())
    }
}

/// Puts the things that are wanted into a table of this connection alone.
fn choose(read: &Connection, which: &Which) -> Result<(), NotCarried> {
    let Which::Only(auditions) = which else { return Ok(()) };
    if auditions.is_empty() || auditions.len() > MOST_CHOSEN {
        let sentence = format!("Choose 1 to {MOST_CHOSEN} auditions for a bundle. Nothing was packed.");
        return Err(NotCarried::Unpackable(sentence));
    }
    read.execute_batch(
        "CREATE TEMP TABLE wanted (about BLOB NOT NULL, thing TEXT NOT NULL, PRIMARY KEY (about, thing)) WITHOUT ROWID",
    )?;
    let mut insert = read.prepare("INSERT OR IGNORE INTO temp.wanted VALUES (?1, ?2)")?;
    let mut bodies = read.prepare("SELECT thing, body FROM entry WHERE about = ?1")?;
    let mut things = read.prepare("SELECT DISTINCT thing FROM entry WHERE about = ?1 AND thing <> 'audition'")?;
    let mut ahead: Vec<(Uuid, Option<&str>)> =
        auditions.iter().map(|audition| (audition.0, Some("audition"))).collect();
    // The meter's claim is part of every verdict.
    ahead.push((MeterId::IN_USE.0, Some("meter")));
    // Who wrote an entry goes by a name.
    let mut benches =
        read.prepare("SELECT DISTINCT about FROM entry WHERE kind = 'bench_named' AND thing = 'bench'")?;
    for bench in benches.query_map([], |row| row.get(0))? {
        ahead.push((bench?, Some("bench")));
    }
    let mut seen = BTreeSet::new();
    while let Some((about, only)) = ahead.pop() {
        let kinds: Vec<String> = match only {
            Some(thing) => vec![thing.to_owned()],
            None => things.query_map([about], |row| row.get(0))?.collect::<Result<_, _>>()?,
        };
        let mut named = BTreeSet::new();
        let mut rows = bodies.query([about])?;
        let mut any = false;
        while let Some(row) = rows.next()? {
            if kinds.contains(&row.get::<_, String>(0)?) {
                any = true;
                named.extend(names_in(&in_letters(row.get_ref(1)?)));
            }
        }
        if only == Some("audition") && !any {
            let sentence = "One of these auditions is not in the log. Nothing was packed.";
            return Err(NotCarried::Unpackable(sentence.to_owned()));
        }
        for thing in kinds.iter().filter(|_| any) {
            insert.execute(params![about, thing])?;
        }
        ahead.extend(named.into_iter().filter(|name| seen.insert(*name)).map(|name| (name, None)));
    }
    Ok(())
}

fn counted(read: &Connection, which: &Which) -> Result<Counts, NotCarried> {
    let mut counts = Counts::default();
    let entries = match which {
        Which::All => "SELECT count(*) FROM entry",
        Which::Only(_) => "SELECT count(*) FROM entry WHERE (thing, about) IN (SELECT thing, about FROM temp.wanted)",
    };
    counts.entries = read.query_row(entries, [], |row| super::compare::counted(row, 0))?;
    // Along the index of things, so that no list of them has to be held.
    let mut things = read.prepare(match which {
        Which::All => {
            "SELECT (SELECT thing FROM entry e WHERE e.about = a.about LIMIT 1) \
             FROM (SELECT DISTINCT about FROM entry INDEXED BY entry_about) a"
        }
        Which::Only(_) => "SELECT thing FROM temp.wanted",
    })?;
    let mut rows = things.query([])?;
    while let Some(row) = rows.next()? {
        counts.add(&in_letters(row.get_ref(0)?));
    }
    Ok(counts)
}

/// A row of (id, at, bench, thing, about, kind, body), also of a thing that this version does not know.
pub(crate) fn read_row(row: &Row<'_>) -> rusqlite::Result<Carried> {
    Ok(Carried {
        id: row.get(0)?,
        at: row.get(1)?,
        bench: row.get(2)?,
        thing: in_letters(row.get_ref(3)?),
        about: row.get(4)?,
        kind: in_letters(row.get_ref(5)?),
        body: in_letters(row.get_ref(6)?),
    })
}

fn deflated() -> SimpleFileOptions {
    SimpleFileOptions::default().compression_method(CompressionMethod::Deflated)
}

/// Photos are as small as they get.
fn stored() -> SimpleFileOptions {
    SimpleFileOptions::default().compression_method(CompressionMethod::Stored)
}

pub(super) fn unwritten(error: ZipError) -> NotCarried {
    match error {
        ZipError::Io(error) => error.into(),
        error => Trouble::Program(error.to_string()).into(),
    }
}

impl Which {
    /// All, when no audition is named; else those.
    #[must_use]
    pub fn of(auditions: impl IntoIterator<Item = AuditionId>) -> Self {
        let only: BTreeSet<AuditionId> = auditions.into_iter().collect();
        if only.is_empty() { Self::All } else { Self::Only(only) }
    }
}
