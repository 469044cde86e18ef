//! Bundles under test: packed from a log, taken apart, put together again otherwise, and logs to hold against each other.

use std::collections::BTreeMap;
use std::io::{Cursor, Read as _, Write as _};
use std::path::Path;

use chrono::{DateTime, TimeDelta, Utc};
use rusqlite::Connection;
use serde_json::{Value, json};
use sha2::{Digest as _, Sha256};
use solderlast_core::logbook::Log;
use solderlast_core::logbook::bundle::{BundleNews, NotCarried, Tray, Watch, Which, look, pack, take_in};
use solderlast_core::logbook::photos::{Shelf, clean};
use solderlast_core::record::audition::{AuditionId, PhotoKind};
use solderlast_core::record::body::{BenchBody, Body};
use solderlast_core::record::entry::{About, Entry, Written};
use solderlast_core::record::names::{BenchId, EntryId};
use solderlast_core::record::photo::PhotoName;
use uuid::Uuid;
use zip::write::SimpleFileOptions;
use zip::{CompressionMethod, ZipArchive, ZipWriter};

/// The member that holds the entries.
pub const ENTRIES: &str = "entries.jsonl";
/// The list of members.
pub const MANIFEST: &str = "manifest.json";

/// The instant at which bundles are packed and taken in.
pub fn now() -> DateTime<Utc> {
    DateTime::from_timestamp(1_795_000_000, 0).unwrap_or_default()
}

/// A name of its own for each number of a family.
pub fn name(family: u8, number: u64) -> Uuid {
    Uuid::from_u128(0x019a_3c5f_7e00_7000_8000_0000_0000_0000 | u128::from(family) << 48 | u128::from(number))
}

/// The log in this folder.
pub fn log(folder: &Path) -> Log {
    Log::open(folder, now(), BenchId(name(8, 7))).expect("a log opens in a scratch folder")
}

/// A bundle of the whole log in this folder.
pub fn packed(folder: &Path) -> Vec<u8> {
    packed_of(folder, &Which::All)
}

/// A bundle of this.
pub fn packed_of(folder: &Path, which: &Which) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    pack(folder, which, now(), &mut out, &Watch::default()).expect("packed");
    out.into_inner()
}

/// Looks into a bundle, and lets it lie.
pub fn looked_into(folder: &Path, bundle: &[u8]) -> Result<BundleNews, NotCarried> {
    let tray = Tray::put(folder, name(7, 1)).expect("a tray");
    look(folder, Cursor::new(bundle), &tray, now(), &Watch::default())
}

/// Takes a bundle in; answers how many entries were new.
pub fn taken(folder: &Path, bundle: &[u8]) -> Result<u64, NotCarried> {
    let tray = Tray::put(folder, name(7, 1)).expect("a tray");
    look(folder, Cursor::new(bundle), &tray, now(), &Watch::default())?;
    take_in(folder, Cursor::new(bundle), &tray, now(), &Watch::default())
}

/// Every row of the log, by its name, and every photo beside it, by its file. What a log is, without what is derived.
pub fn content(folder: &Path) -> (BTreeMap<Vec<u8>, String>, BTreeMap<String, Vec<u8>>) {
    let conn = Connection::open(folder.join("solderlast.db")).expect("a log");
    let mut select = conn.prepare("SELECT id, at, bench, thing, about, kind, body FROM entry").expect("a table");
    let rows = select.query_map([], |row| {
        let (bench, about): (Vec<u8>, Vec<u8>) = (row.get(2)?, row.get(4)?);
        let (at, thing, kind, body): (i64, String, String, String) =
            (row.get(1)?, row.get(3)?, row.get(5)?, row.get(6)?);
        Ok((row.get(0)?, format!("{at} {bench:?} {thing} {about:?} {kind} {body}")))
    });
    let rows = rows.expect("rows").collect::<Result<_, _>>().expect("rows");
    let photos = std::fs::read_dir(folder.join("photos")).map(|files| {
        let files = files.filter_map(|file| file.ok().map(|file| file.path()));
        files
            .map(|path| {
                (
                    path.file_name().unwrap_or_default().to_string_lossy().into_owned(),
                    std::fs::read(&path).unwrap_or_default(),
                )
            })
            .collect()
    });
    (rows, photos.unwrap_or_default())
}

/// Whether anything lies on a tray.
pub fn trays(folder: &Path) -> usize {
    std::fs::read_dir(folder.join("carry")).map_or(0, |trays| trays.count())
}

/// A photo as it is kept, another one for each number.
pub fn photo(number: u8) -> Vec<u8> {
    let mut file = Cursor::new(Vec::new());
    let picture = image::RgbImage::from_fn(24, 16, |x, y| image::Rgb([number, x as u8 * 9, y as u8 * 11]));
    picture.write_to(&mut file, image::ImageFormat::Png).expect("writes to memory");
    clean(&file.into_inner()).expect("a photo").bytes
}

/// Keeps a photo beside the log; answers the entry that speaks of it.
pub fn with_photo(folder: &Path, number: u8) -> Entry {
    let bytes = photo(number);
    let photo = clean(&bytes).expect("a photo");
    let kept = solderlast_core::logbook::photos::Photo { name: PhotoName::of(&bytes), bytes, ..photo };
    let shelf = Shelf::beside(folder);
    shelf.lay_down(&kept.name, &kept.bytes).and_then(|()| shelf.keep(&kept.name)).expect("kept");
    let body = Body::Bench(BenchBody::PhotoTaken { look: PhotoKind::Before, photo: kept.name });
    entry(100 + u64::from(number), About::Audition(AuditionId(name(4, 0))), Written::Known(body))
}

/// An entry with this number for a name.
pub fn entry(number: u64, about: About, body: Written) -> Entry {
    let at = now() - TimeDelta::days(30) + TimeDelta::seconds(i64::try_from(number).unwrap_or(0));
    Entry { id: EntryId(name(9, number)), at, bench: BenchId(name(8, number % 2)), about, body }
}

/// An entry of a kind that this version does not know.
pub fn newer(number: u64) -> Entry {
    let body = Written::read("rewound", &format!(r#"{{ "kind": "rewound",  "turns": {number}e1 }}"#));
    entry(number, About::Audition(AuditionId(name(4, 0))), body)
}

/// A log with the demo bench, two photos and an entry of a newer version.
pub fn stocked(folder: &Path) {
    let mut log = log(folder);
    let mut entries = solderlast_core::demo::entries();
    entries.extend([with_photo(folder, 1), with_photo(folder, 2), newer(3)]);
    log.write(&entries).expect("written");
}

/// A bundle in its parts, to be changed and put together again.
#[derive(Debug, Clone, PartialEq)]
pub struct Parcel {
    /// The members but the list, in their order.
    pub members: Vec<(String, Vec<u8>)>,
    /// The list.
    pub manifest: Value,
    /// Whether the list is written anew so that it fits the members.
    pub honest: bool,
}

impl Parcel {
    /// Takes a bundle apart.
    pub fn of(bundle: &[u8]) -> Self {
        let mut archive = ZipArchive::new(Cursor::new(bundle)).expect("a zip file");
        let mut members = Vec::new();
        for index in 0..archive.len() {
            let mut member = archive.by_index(index).expect("a member");
            let mut bytes = Vec::new();
            member.read_to_end(&mut bytes).expect("bytes");
            members.push((member.name().expect("a name").into_owned(), bytes));
        }
        let (_, manifest) = members.pop().expect("the list comes last");
        Self { members, manifest: serde_json::from_slice(&manifest).expect("JSON"), honest: true }
    }

    /// The lines of entries.
    pub fn lines(&self) -> Vec<String> {
        let entries = self.members.iter().find(|(name, _)| name == ENTRIES).map(|(_, bytes)| bytes.as_slice());
        String::from_utf8_lossy(entries.unwrap_or_default()).lines().map(str::to_owned).collect()
    }

    /// The same with these lines of entries.
    pub fn with_lines(mut self, lines: &[String]) -> Self {
        let text: String = lines.iter().map(|line| format!("{line}\n")).collect();
        for (name, bytes) in &mut self.members {
            if name == ENTRIES {
                *bytes = text.clone().into_bytes();
            }
        }
        if let Some(count) = self.manifest.pointer_mut("/counts/entries").filter(|_| self.honest) {
            *count = json!(lines.len());
        }
        self
    }

    /// The same with a member of this name and these bytes more.
    pub fn with(mut self, name: &str, bytes: &[u8]) -> Self {
        self.members.push((name.to_owned(), bytes.to_vec()));
        self
    }

    /// The same with a list that says so of a field.
    pub fn saying(mut self, field: &str, value: Value) -> Self {
        self.manifest[field] = value;
        self
    }

    /// The same with the list as it is, whether it fits or not.
    pub fn unlisted(mut self) -> Self {
        self.honest = false;
        self
    }

    /// Put together as a bundle, with these bytes in one of its members.
    pub fn packed_with(mut self, name: &str, bytes: &[u8]) -> Vec<u8> {
        self.members.iter_mut().filter(|(of, _)| of == name).for_each(|(_, all)| *all = bytes.to_vec());
        self.packed()
    }

    /// Put together as a bundle.
    pub fn packed(&self) -> Vec<u8> {
        let mut manifest = self.manifest.clone();
        if self.honest && manifest.is_object() {
            let listed = self.members.iter().map(|(name, bytes)| {
                let sha: String = Sha256::digest(bytes).iter().map(|byte| format!("{byte:02x}")).collect();
                json!({"name": name, "bytes": bytes.len(), "sha256": sha})
            });
            manifest["members"] = listed.collect();
        }
        let mut members = self.members.clone();
        members.push((MANIFEST.to_owned(), manifest.to_string().into_bytes()));
        zipped(&members)
    }
}

/// These members as a zip file, deflated.
pub fn zipped(members: &[(String, Vec<u8>)]) -> Vec<u8> {
    let mut zip = ZipWriter::new(Cursor::new(Vec::new()));
    let deflated = SimpleFileOptions::default().compression_method(CompressionMethod::Deflated);
    for (name, bytes) in members {
        zip.start_file(name, deflated).expect("a member");
        zip.write_all(bytes).expect("writes to memory");
    }
    zip.finish().expect("a zip file").into_inner()
}

/// Where the record of this member begins in the list at the end of a zip file.
pub fn record_of(zip: &[u8], member: &str) -> usize {
    let at = (0..zip.len())
        .rev()
        .find(|at| zip[*at..].starts_with(b"PK\x01\x02") && zip[at + 46..].starts_with(member.as_bytes()));
    at.expect("a record")
}
