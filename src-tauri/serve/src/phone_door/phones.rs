//! The phones that have been let in, kept beside the log so they stay paired after a restart.
//!
//! A phone holds a token of 256 random bits in a cookie. The file holds only its SHA-256, and only its owner may read
//! it. The file is read afresh at every question, so forgetting the phones in one program shuts them out of all.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};

use crate::machine;
use crate::refusal::Refusal;

/// What a phone shows at each visit: 32 random bytes in hexadecimal.
pub type Token = String;

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Phone {
    token_sha256: String,
    paired_at: DateTime<Utc>,
}

/// The list of paired phones of one log.
#[derive(Debug, Clone)]
pub struct Phones {
    folder: PathBuf,
}

impl Phones {
    /// The phones paired with the log in this folder.
    #[must_use]
    pub fn of(log_folder: &Path) -> Self {
        Self { folder: log_folder.to_path_buf() }
    }

    /// Lets one more phone in, and gives the token it must show from now on. On disk when this returns.
    ///
    /// # Errors
    /// A refusal when the list can't be written, or when the system has no randomness; then nothing has changed.
    pub fn let_in(&self, now: DateTime<Utc>) -> Result<Token, Refusal> {
        let token = hex::encode(machine::secret::<32>().map_err(|_| super::pairing::no_randomness())?);
        self.rewrite(|phones| phones.push(Phone { token_sha256: hash_of(&token), paired_at: now }))
            .map_err(|error| disk_trouble("The phone could not be paired", &error))?;
        Ok(token)
    }

    /// Whether this token belongs to a phone that was let in and not forgotten. A list that can't be read lets nobody in.
    #[must_use]
    pub fn know(&self, token: &str) -> bool {
        let hash = hash_of(token);
        self.read().iter().any(|phone| phone.token_sha256 == hash)
    }

    /// How many phones are paired.
    #[must_use]
    pub fn count(&self) -> usize {
        self.read().len()
    }

    /// Forgets every phone, and says how many there were. Each has to pair again.
    ///
    /// # Errors
    /// A refusal when the list can't be written; then the phones stay paired.
    pub fn forget_all(&self) -> Result<usize, Refusal> {
        let mut forgotten = 0;
        if !self.folder.exists() {
            return Ok(forgotten);
        }
        self.rewrite(|phones| {
            forgotten = phones.len();
            phones.clear();
        })
        .map_err(|error| disk_trouble("The phones could not be forgotten", &error))?;
        Ok(forgotten)
    }

    fn file(&self) -> PathBuf {
        self.folder.join("phones.json")
    }

    /// A missing or damaged list is an empty one: the worst that follows is that a phone has to pair again.
    fn read(&self) -> Vec<Phone> {
        fs::read(self.file()).ok().and_then(|text| serde_json::from_slice(&text).ok()).unwrap_or_default()
    }

    /// Changes the list whole or not at all, one program at a time.
    fn rewrite(&self, change: impl FnOnce(&mut Vec<Phone>)) -> io::Result<()> {
        let lock = File::create(self.folder.join("phones.lock"))?;
        lock.lock()?;
        let mut phones = self.read();
        change(&mut phones);

        let fresh = self.folder.join("phones.json.new");
        // A file left by a killed program may have other permissions, so it is not written over.
        match fs::remove_file(&fresh) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
        let mut file = only_owner().open(&fresh)?;
        file.write_all(&serde_json::to_vec_pretty(&phones)?)?;
        file.sync_all()?;
        fs::rename(&fresh, self.file())?;
        #[cfg(unix)]
        File::open(&self.folder)?.sync_all()?;
        Ok(())
    }
}

fn only_owner() -> OpenOptions {
    let mut options = OpenOptions::new();
    options.write(true).create_new(true);
    #[cfg(unix)]
    std::os::unix::fs::OpenOptionsExt::mode(&mut options, 0o600);
    options
}

fn hash_of(token: &str) -> String {
    hex::encode(Sha256::digest(token.as_bytes()))
}

fn disk_trouble(what: &str, error: &io::Error) -> Refusal {
    Refusal::new("disk", format!("{what}: {error}. Make room or check the folder of the log, then try again."))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_phone_stays_paired_until_it_is_forgotten() {
        let folder = tempfile::tempdir().unwrap();
        let phones = Phones::of(folder.path());
        assert_eq!(phones.count(), 0);
        let token = phones.let_in(Utc::now()).unwrap();
        let other = phones.let_in(Utc::now()).unwrap();
        assert_eq!(token.len(), 64);
        assert_ne!(token, other);

        let after_restart = Phones::of(folder.path());
        assert!(after_restart.know(&token) && after_restart.know(&other));
        assert!(!after_restart.know(""));
        assert!(!after_restart.know(&token[1..]));
        assert!(!after_restart.know(&hash_of(&token)), "the file's own words open nothing");

        assert_eq!(after_restart.forget_all().unwrap(), 2);
        assert!(!phones.know(&token), "also for a program that was running all along");
        assert_eq!(phones.forget_all().unwrap(), 0);
    }

    #[test]
    fn the_file_keeps_no_token_and_only_its_owner_reads_it() {
        let folder = tempfile::tempdir().unwrap();
        let phones = Phones::of(folder.path());
        let token = phones.let_in(Utc::now()).unwrap();
        let kept = fs::read_to_string(phones.file()).unwrap();
        assert!(!kept.contains(&token));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            assert_eq!(fs::metadata(phones.file()).unwrap().permissions().mode() & 0o777, 0o600);
        }
    }

    #[test]
    fn a_damaged_list_lets_nobody_in_and_can_be_written_again() {
        let folder = tempfile::tempdir().unwrap();
        let phones = Phones::of(folder.path());
        let token = phones.let_in(Utc::now()).unwrap();
        for damage in ["", "{", "[{}]", "\0\0\0", "null"] {
            fs::write(phones.file(), damage).unwrap();
            assert!(!phones.know(&token), "{damage:?}");
            assert_eq!(phones.count(), 0);
        }
        let fresh = phones.let_in(Utc::now()).unwrap();
        assert!(phones.know(&fresh));
    }

    #[test]
    fn phones_let_in_by_several_programs_at_once_are_all_kept() {
        let folder = tempfile::tempdir().unwrap();
        let tokens: Vec<Token> = std::thread::scope(|scope| {
            let programs: Vec<_> =
                (0..8).map(|_| scope.spawn(|| Phones::of(folder.path()).let_in(Utc::now()).unwrap())).collect();
            programs.into_iter().map(|program| program.join().unwrap()).collect()
        });
        let phones = Phones::of(folder.path());
        assert!(tokens.iter().all(|token| phones.know(token)));
    }
}
