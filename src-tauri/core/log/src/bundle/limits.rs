//! Every limit of a bundle, in one place. A bundle that passes one is refused before it can cost memory, disk or time.
//! They are written down for people in `demo-data/BUNDLE.md`.

use chrono::{DateTime, TimeDelta, Utc};

/// The most a bundle may weigh, in bytes: 4 GB. It stays below what a plain zip can hold.
pub const MOST_BYTES: u64 = 4_000_000_000;
/// The most that the lines of entries may come to, unpacked, in bytes: 3 GB.
pub const MOST_BYTES_OF_ENTRIES: u64 = 3_000_000_000;
/// The most entries.
pub const MOST_ENTRIES: u64 = 10_000_000;
/// The longest line of an entry, in bytes: 2 MiB. What a page may send at once is half of that.
pub const LONGEST_LINE: usize = 2 * 1024 * 1024;
/// The most photos.
pub const MOST_PHOTOS: usize = 20_000;
/// The most one photo may weigh, in bytes: 16 MiB. One as it is kept has about 2.
pub const MOST_BYTES_OF_PHOTO: u64 = 16 * 1024 * 1024;
/// The most takes.
pub const MOST_TAKES: usize = 20_000;
/// The most one take may weigh, in bytes: as much as one may be kept.
pub const MOST_BYTES_OF_TAKE: u64 = crate::record::take::LARGEST;
/// The most the manifest may weigh, in bytes: 8 MiB.
pub const MOST_BYTES_OF_MANIFEST: u64 = 8 * 1024 * 1024;
/// How many times larger a member may become when it is unpacked, once it has [`RATIO_FROM`] bytes. Real lines of entries
/// come to about 20; a bomb to about 1000.
pub const MOST_RATIO: u64 = 200;
/// From how many unpacked bytes on the ratio counts: 1 MiB.
pub const RATIO_FROM: u64 = 1024 * 1024;
/// The longest name of a kind of entry or thing, in letters.
pub const LONGEST_KIND: usize = 60;
/// The most auditions that can be chosen for one bundle.
pub const MOST_CHOSEN: usize = 10_000;
/// How far ahead of this bench's clock an entry may be dated before it is worth a word: a day.
pub const AHEAD: TimeDelta = TimeDelta::days(1);

/// The first instant an entry can have been written at: what a clock shows that was never set.
#[must_use]
pub fn earliest() -> DateTime<Utc> {
    DateTime::UNIX_EPOCH
}

/// The instant from which on no entry can be dated: the year 2200.
#[must_use]
pub fn latest() -> DateTime<Utc> {
    DateTime::from_timestamp(7_258_118_400, 0).unwrap_or(DateTime::<Utc>::MAX_UTC)
}
