//! The key beside a log from which the seeds of its tests are made.

use std::io::{self, Write as _};
use std::path::Path;

use crate::logbook::files as fs;
use crate::private;
use crate::record::blind::Seed;
use crate::record::names::EntryId;

/// The file of the key, in the log's folder. It is in no bundle and in no copy.
pub const KEY_FILE: &str = "blind.key";

/// What the seeds of a log's tests are made from.
#[derive(Debug, Clone)]
pub struct Key(Seed);

impl Key {
    /// The key that lies in this folder; nothing where there is none that can be read.
    #[must_use]
    pub fn kept(folder: &Path) -> Option<Self> {
        let text = fs::read_to_string(folder.join(KEY_FILE)).ok()?;
        Seed::try_from(text.trim().to_owned()).ok().map(Self)
    }

    /// The key that lies in this folder, or `fresh` laid there. Where two programs make one at once, both go by the first.
    ///
    /// # Errors
    /// When it can't be written.
    pub fn of(folder: &Path, fresh: [u8; 32]) -> io::Result<Self> {
        if let Some(kept) = Self::kept(folder) {
            return Ok(kept);
        }
        let path = folder.join(KEY_FILE);
        let beside = folder.join(format!("{KEY_FILE}.{}", fs::program()));
        let mut file = private::file(&beside)?;
        file.write_all(String::from(Seed::of(fresh)).as_bytes())?;
        file.sync_all()?;
        drop(file);
        // A link is made only where nothing is, so the first one wins.
        let linked = fs::hard_link(&beside, &path);
        let renamed = match linked {
            Ok(()) => Ok(()),
            Err(_) if Self::kept(folder).is_some() => Ok(()),
            // A disk that knows no links, or a file that holds no key.
            Err(_) => fs::rename(&beside, &path),
        };
        let _gone = fs::remove_file(&beside);
        renamed?;
        Self::kept(folder).ok_or_else(|| io::Error::other("the key of blind tests can't be read"))
    }

    /// The seed of the test of this name.
    #[must_use]
    pub fn seed(&self, test: EntryId) -> Seed {
        Seed::of(self.0.draw(&test.0.to_string(), 0))
    }
}
