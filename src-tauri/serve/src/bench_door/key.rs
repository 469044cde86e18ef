//! The key of this computer's own door. Whoever can read the log's folder has it; nobody else does.
//!
//! It lies beside the log, in a file that its owner alone may read, and stays the same, so that a browser that was let in
//! stays in. The address that is printed carries it behind `#`, a part that browsers do not send; the page there hands
//! it over once and gets a cookie that scripts can't read. A program sends it as `Authorization: Bearer KEY`.

use std::io;
use std::path::Path;

use axum::http::{HeaderMap, header};
use sha2::{Digest as _, Sha256};

use crate::disk::Kept;
use crate::machine;
use crate::web::cookies;

/// The name of the file in the log's folder.
pub const FILE: &str = "door.key";

/// How many letters a key has: 32 bytes in hexadecimal.
const LENGTH: usize = 64;

/// The key of one log's door.
#[derive(Clone)]
pub struct Key {
    key: String,
    cookie: String,
}

impl std::fmt::Debug for Key {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Key").finish_non_exhaustive()
    }
}

impl Key {
    /// The key beside the log in this folder; a new one is made if there is none, or none that can be one.
    ///
    /// # Errors
    /// When the folder can't be used, or the system has no randomness to give.
    pub fn of(log_folder: &Path) -> io::Result<Self> {
        let file = Kept::beside(log_folder, FILE, "door.lock");
        let key = file.change(|there| {
            let there = there.and_then(|bytes| String::from_utf8(bytes).ok()).map(|text| text.trim().to_owned());
            if let Some(key) = there.filter(|key| is_one(key)) {
                return Ok((None, key));
            }
            let key = hex::encode(machine::secret::<32>().map_err(io::Error::other)?);
            Ok((Some(format!("{key}\n").into_bytes()), key))
        })?;
        // Cookies know no ports, so each log's has a name of its own.
        let cookie = format!("solderlast-{}", &hex::encode(Sha256::digest(format!("cookie {key}")))[..12]);
        Ok(Self { key, cookie })
    }

    /// The key itself, to be printed in an address for who started the program.
    #[must_use]
    pub fn shown(&self) -> &str {
        &self.key
    }

    /// Whether this is the key.
    #[must_use]
    pub fn is(&self, said: &str) -> bool {
        // Hashes tell nothing by the time it takes to compare them.
        Sha256::digest(said) == Sha256::digest(&self.key)
    }

    /// Whether whoever sent these headers was let in.
    #[must_use]
    pub fn opens(&self, headers: &HeaderMap) -> bool {
        let sent = headers.get_all(header::AUTHORIZATION).iter().filter_map(|value| value.to_str().ok());
        let mut sent = sent.filter_map(|value| value.strip_prefix("Bearer "));
        sent.any(|key| self.is(key)) || cookies::named(headers, &self.cookie).iter().any(|key| self.is(key))
    }

    /// The name of the cookie that keeps a browser let in.
    #[must_use]
    pub fn cookie(&self) -> &str {
        &self.cookie
    }
}

fn is_one(key: &str) -> bool {
    key.len() == LENGTH && key.bytes().all(|b| b.is_ascii_digit() || (b'a'..=b'f').contains(&b))
}

#[cfg(test)]
mod tests {
    use solderlast_testkit::limits::{A_PROGRAM, within};

    use super::*;

    fn sent(name: header::HeaderName, value: String) -> HeaderMap {
        HeaderMap::from_iter([(name, value.parse().unwrap())])
    }

    #[test]
    fn the_key_stays_and_is_its_owners_alone() {
        let folder = tempfile::tempdir().unwrap();
        let key = Key::of(folder.path()).unwrap();
        let again = Key::of(folder.path()).unwrap();
        assert_eq!((key.shown(), key.cookie()), (again.shown(), again.cookie()));
        assert_eq!(std::fs::read_to_string(folder.path().join(FILE)).unwrap().trim(), key.shown());
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            let mode = std::fs::metadata(folder.path().join(FILE)).unwrap().permissions().mode();
            assert_eq!(mode & 0o777, 0o600);
        }
        let other = tempfile::tempdir().unwrap();
        let other = Key::of(other.path()).unwrap();
        assert!(other.shown() != key.shown() && other.cookie() != key.cookie());
        for damage in ["", "short", &"g".repeat(64), "\0"] {
            std::fs::write(folder.path().join(FILE), damage).unwrap();
            let fresh = Key::of(folder.path()).unwrap();
            assert!(is_one(fresh.shown()) && fresh.shown() != key.shown(), "{damage:?}");
        }
    }

    #[test]
    fn only_the_key_opens() {
        let folder = tempfile::tempdir().unwrap();
        let key = Key::of(folder.path()).unwrap();
        let (word, cookie) = (key.shown(), key.cookie());
        assert!(key.opens(&sent(header::AUTHORIZATION, format!("Bearer {word}"))));
        assert!(key.opens(&sent(header::COOKIE, format!("a=b; {cookie}={word}; c=d"))));
        assert!(!key.opens(&HeaderMap::new()));
        for value in [word.to_owned(), format!("Basic {word}"), "Bearer ".to_owned(), format!("Bearer {}", &word[1..])]
        {
            assert!(!key.opens(&sent(header::AUTHORIZATION, value)));
        }
        for value in [format!("other={word}"), format!("{cookie}="), format!("{cookie}={word}0"), word.to_owned()] {
            assert!(!key.opens(&sent(header::COOKIE, value)));
        }
    }

    #[test]
    fn programs_that_start_at_once_have_one_key() {
        let keys: Vec<String> = within(A_PROGRAM, || {
            let folder = tempfile::tempdir().unwrap();
            std::thread::scope(|scope| {
                let programs: Vec<_> =
                    (0..8).map(|_| scope.spawn(|| Key::of(folder.path()).unwrap().shown().to_owned())).collect();
                programs.into_iter().map(|program| program.join().unwrap()).collect()
            })
        });
        assert!(keys.iter().all(|key| *key == keys[0]));
    }
}
