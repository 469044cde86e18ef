//! The phones that have been let in, kept beside the log so they stay paired after a restart.
//!
//! A phone holds a token of 256 random bits in a cookie. The file holds only its SHA-256, and only its owner may read
//! it. The file is read afresh at every question, so forgetting a phone in one program shuts it out of all.

use std::io;
use std::path::Path;

use chrono::{DateTime, TimeDelta, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest as _, Sha256};
use solderlast_core::record::words;

use crate::disk::Kept;
use crate::machine;
use crate::refusal::{Code, Refusal};

/// What a phone shows at each visit: 32 random bytes in hexadecimal.
pub type Token = String;

/// When a phone was last seen is kept to within this.
const OFTEN: TimeDelta = TimeDelta::minutes(5);
/// How many letters of its hash name a phone to the pages.
const ID: usize = 16;

#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Phone {
    token_sha256: String,
    paired_at: DateTime<Utc>,
    #[serde(default)]
    name: String,
    #[serde(default)]
    seen_at: Option<DateTime<Utc>>,
}

/// A phone that is paired, as a person is told of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PairedPhone {
    /// Names it in questions about it. Opens nothing.
    pub id: String,
    /// Its name; no two have the same.
    pub name: String,
    /// When it was let in.
    pub paired_at: DateTime<Utc>,
    /// When it asked something last, to within five minutes; nothing if it never did.
    pub seen_at: Option<DateTime<Utc>>,
}

/// The list of paired phones of one log.
#[derive(Debug, Clone)]
pub struct Phones {
    file: Kept,
}

impl Phones {
    /// The phones paired with the log in this folder.
    #[must_use]
    pub fn of(log_folder: &Path) -> Self {
        Self { file: Kept::beside(log_folder, "phones.json", "phones.lock") }
    }

    /// Lets one more phone in, and gives the token it must show from now on. On disk when this returns. Its name is its
    /// `kind`, with a number where another has it already.
    ///
    /// # Errors
    /// A refusal when the list can't be written, or when the system has no randomness; then nothing has changed.
    pub fn let_in(&self, kind: &str, now: DateTime<Utc>) -> Result<Token, Refusal> {
        let token = hex::encode(machine::secret::<32>().map_err(|_| super::pairing::no_randomness())?);
        self.rewrite(|phones| {
            let name = free_name(phones, kind);
            phones.push(Phone { token_sha256: hash_of(&token), paired_at: now, name, seen_at: Some(now) });
        })
        .map_err(|error| disk_trouble("The phone could not be paired", &error))?;
        Ok(token)
    }

    /// Whether this token belongs to a phone that was let in and not forgotten; notes that it was seen. A list that can't
    /// be read lets nobody in.
    #[must_use]
    pub fn know(&self, token: &str, now: DateTime<Utc>) -> bool {
        let hash = hash_of(token);
        let phones = self.read();
        let Some(phone) = phones.iter().find(|phone| phone.token_sha256 == hash) else { return false };
        if phone.seen_at.is_none_or(|seen| (now - seen).abs() >= OFTEN) {
            // That it can't be noted keeps nobody out.
            let _ = self.rewrite(|phones| {
                phones
                    .iter_mut()
                    .filter(|phone| phone.token_sha256 == hash)
                    .for_each(|phone| phone.seen_at = Some(now));
            });
        }
        true
    }

    /// Every paired phone, in the order in which they came.
    #[must_use]
    pub fn all(&self) -> Vec<PairedPhone> {
        let phone = |phone: Phone| PairedPhone {
            id: id_of(&phone).to_owned(),
            name: phone.name,
            paired_at: phone.paired_at,
            seen_at: phone.seen_at,
        };
        self.read().into_iter().map(phone).collect()
    }

    /// Gives a phone another name.
    ///
    /// # Errors
    /// A refusal when there is no such phone, the name can't be one or another phone has it, or the list can't be written.
    pub fn rename(&self, id: &str, name: &str) -> Result<(), Refusal> {
        let name = words::label(name, "the phone")
            .map_err(|unclear| Refusal::new(Code::Unclear, unclear.sentence).about("name"))?;
        let done = self.rewrite(|phones| {
            if phones.iter().any(|phone| id_of(phone) != id && phone.name.to_lowercase() == name.to_lowercase()) {
                let sentence = "Another phone has this name. Choose another one.";
                return Err(Refusal::new(Code::NameTaken, sentence).about("name"));
            }
            let phone = phones.iter_mut().find(|phone| id_of(phone) == id).ok_or_else(no_such_phone)?;
            phone.name = name;
            Ok(())
        });
        done.map_err(|error| disk_trouble("The phone could not be named", &error))?
    }

    /// Forgets one phone, by the name it goes by in questions or by its own; answers its own. It has to pair again.
    ///
    /// # Errors
    /// A refusal when there is no such phone, or the list can't be written; then it stays paired.
    pub fn forget(&self, named: &str) -> Result<String, Refusal> {
        let known = |phone: &Phone| id_of(phone) == named || phone.name.to_lowercase() == named.trim().to_lowercase();
        if !self.read().iter().any(known) {
            return Err(no_such_phone());
        }
        let forgotten = self.rewrite(|phones| {
            let at = phones.iter().position(known)?;
            Some(phones.remove(at).name)
        });
        forgotten.map_err(|error| disk_trouble("The phone could not be forgotten", &error))?.ok_or_else(no_such_phone)
    }

    /// Forgets every phone, and says how many there were. Each has to pair again.
    ///
    /// # Errors
    /// A refusal when the list can't be written; then the phones stay paired.
    pub fn forget_all(&self) -> Result<usize, Refusal> {
        if self.file.read().is_none() {
            // No phone was ever let in here, so nothing is begun here either.
            return Ok(0);
        }
        self.rewrite(|phones| {
            let forgotten = phones.len();
            phones.clear();
            forgotten
        })
        .map_err(|error| disk_trouble("The phones could not be forgotten", &error))
    }

    /// A missing or damaged list is an empty one: the worst that follows is that a phone has to pair again.
    fn read(&self) -> Vec<Phone> {
        named(self.file.read())
    }

    /// Changes the list whole or not at all, one program at a time.
    fn rewrite<T>(&self, change: impl FnOnce(&mut Vec<Phone>) -> T) -> io::Result<T> {
        self.file.change(|there| {
            let mut phones = named(there);
            let answer = change(&mut phones);
            Ok((Some(serde_json::to_vec_pretty(&phones)?), answer))
        })
    }
}

/// The phones in this file. Those that an older version let in have no name of their own yet.
fn named(file: Option<Vec<u8>>) -> Vec<Phone> {
    let mut phones: Vec<Phone> = file.and_then(|text| serde_json::from_slice(&text).ok()).unwrap_or_default();
    while let Some(at) = phones.iter().position(|phone| phone.name.is_empty()) {
        phones[at].name = free_name(&phones, "Phone");
    }
    phones
}

/// `Phone`, or `Phone 2` where there is one.
fn free_name(phones: &[Phone], kind: &str) -> String {
    let taken = |name: &String| phones.iter().any(|phone| phone.name.to_lowercase() == name.to_lowercase());
    let numbered = (2..).map(|number: usize| format!("{kind} {number}"));
    std::iter::once(kind.to_owned()).chain(numbered).find(|name| !taken(name)).unwrap_or_default()
}

/// What a browser says it runs on, in plain words.
pub(super) fn kind_of(user_agent: &str) -> &'static str {
    let says = |word| user_agent.contains(word);
    match () {
        () if says("iPhone") => "iPhone",
        () if says("iPad") => "iPad",
        () if says("Android") && says("Mobile") => "Android phone",
        () if says("Android") => "Android tablet",
        () if says("Windows") => "Windows computer",
        () if says("Macintosh") => "Mac",
        () if says("Linux") || says("X11") => "Linux computer",
        () => "Phone",
    }
}

fn id_of(phone: &Phone) -> &str {
    phone.token_sha256.get(..ID).unwrap_or_default()
}

fn no_such_phone() -> Refusal {
    Refusal::new(Code::NoSuchPhone, "No phone of this name is paired.").about("phone")
}

fn hash_of(token: &str) -> String {
    hex::encode(Sha256::digest(token.as_bytes()))
}

fn disk_trouble(what: &str, error: &io::Error) -> Refusal {
    Refusal::new(Code::Disk, format!("{what}: {error}. Make room or check the folder of the log, then try again."))
}

#[cfg(test)]
mod tests {
    use std::fs;

    use solderlast_testkit::limits::{A_PROGRAM, within};

    use super::*;

    #[test]
    fn a_phone_stays_paired_until_it_is_forgotten() {
        let folder = tempfile::tempdir().unwrap();
        let phones = Phones::of(folder.path());
        assert_eq!(phones.all().len(), 0);
        let token = phones.let_in("Phone", Utc::now()).unwrap();
        let other = phones.let_in("Phone", Utc::now()).unwrap();
        assert_eq!(token.len(), 64);
        assert_ne!(token, other);

        let after_restart = Phones::of(folder.path());
        assert!(after_restart.know(&token, Utc::now()) && after_restart.know(&other, Utc::now()));
        assert!(!after_restart.know("", Utc::now()));
        assert!(!after_restart.know(&token[1..], Utc::now()));
        assert!(!after_restart.know(&hash_of(&token), Utc::now()), "the file's own words open nothing");

        assert_eq!(after_restart.forget_all().unwrap(), 2);
        assert!(!phones.know(&token, Utc::now()), "also for a program that was running all along");
        assert_eq!(phones.forget_all().unwrap(), 0);
    }

    #[test]
    fn the_file_keeps_no_token_and_only_its_owner_reads_it() {
        let folder = tempfile::tempdir().unwrap();
        let phones = Phones::of(folder.path());
        let token = phones.let_in("Phone", Utc::now()).unwrap();
        let kept = fs::read_to_string(phones.file.path()).unwrap();
        assert!(!kept.contains(&token));
        #[cfg(unix)]
        {
            use std::os::unix::fs::PermissionsExt as _;
            assert_eq!(fs::metadata(phones.file.path()).unwrap().permissions().mode() & 0o777, 0o600);
        }
    }

    #[test]
    fn a_damaged_list_lets_nobody_in_and_can_be_written_again() {
        let folder = tempfile::tempdir().unwrap();
        let phones = Phones::of(folder.path());
        let token = phones.let_in("Phone", Utc::now()).unwrap();
        for damage in ["", "{", "[{}]", "\0\0\0", "null"] {
            fs::write(phones.file.path(), damage).unwrap();
            assert!(!phones.know(&token, Utc::now()), "{damage:?}");
            assert_eq!(phones.all().len(), 0);
        }
        let fresh = phones.let_in("Phone", Utc::now()).unwrap();
        assert!(phones.know(&fresh, Utc::now()));
    }

    #[test]
    fn phones_let_in_by_several_programs_at_once_are_all_kept() {
        within(A_PROGRAM, || {
            let folder = tempfile::tempdir().unwrap();
            let tokens: Vec<Token> = std::thread::scope(|scope| {
                let programs: Vec<_> = (0..8)
                    .map(|_| scope.spawn(|| Phones::of(folder.path()).let_in("Phone", Utc::now()).unwrap()))
                    .collect();
                programs.into_iter().map(|program| program.join().unwrap()).collect()
            });
            let phones = Phones::of(folder.path());
            assert!(tokens.iter().all(|token| phones.know(token, Utc::now())));
        });
    }

    #[test]
    fn phones_have_names_and_are_forgotten_one_by_one() {
        let folder = tempfile::tempdir().unwrap();
        let phones = Phones::of(folder.path());
        let at = |minutes| DateTime::UNIX_EPOCH + TimeDelta::minutes(minutes);
        let tokens: Vec<Token> = (0..3).map(|_| phones.let_in("Android phone", at(0)).unwrap()).collect();
        let names = || phones.all().into_iter().map(|phone| phone.name).collect::<Vec<_>>();
        assert_eq!(names(), ["Android phone", "Android phone 2", "Android phone 3"]);
        let id = phones.all()[1].id.clone();
        assert!(!phones.know(&id, at(0)), "what names it opens nothing");
        phones.rename(&id, "  Ida's phone ").unwrap();
        assert_eq!(names()[1], "Ida's phone");
        for (id, name, code) in [
            (id.as_str(), "android PHONE", Code::NameTaken),
            (&id, "", Code::Unclear),
            (&id, "a\u{7}", Code::Unclear),
            ("nobody", "Other", Code::NoSuchPhone),
            ("", "Other", Code::NoSuchPhone),
        ] {
            assert_eq!(phones.rename(id, name).unwrap_err().code, code, "{name:?}");
        }
        assert_eq!(phones.forget("ida's phone").unwrap(), "Ida's phone");
        assert!(phones.know(&tokens[0], at(1)) && !phones.know(&tokens[1], at(1)) && phones.know(&tokens[2], at(1)));
        assert_eq!(phones.forget(&phones.all()[1].id).unwrap(), "Android phone 3");
        assert_eq!(phones.forget("Ida's phone").unwrap_err().code, Code::NoSuchPhone);
        assert_eq!(names(), ["Android phone"]);
        // When it was seen is noted, and the disk is left alone in between.
        let seen = || phones.all()[0].seen_at.unwrap();
        assert!(phones.know(&tokens[0], at(4)));
        assert_eq!(seen(), at(0));
        assert!(phones.know(&tokens[0], at(5)));
        assert_eq!(seen(), at(5));
        assert!(phones.know(&tokens[0], at(-9)), "a clock may be set back");
        assert_eq!(seen(), at(-9));
    }

    #[test]
    fn a_list_of_an_older_version_is_read() {
        let folder = tempfile::tempdir().unwrap();
        let phones = Phones::of(folder.path());
        let hash = |token| hash_of(token);
        let list = serde_json::json!([
            {"token_sha256": hash("one"), "paired_at": "2026-11-03T10:00:00Z"},
            {"token_sha256": hash("two"), "paired_at": "2026-11-03T10:00:00Z"},
        ]);
        fs::write(phones.file.path(), list.to_string()).unwrap();
        assert!(phones.know("one", Utc::now()) && phones.know("two", Utc::now()));
        assert_eq!(phones.all().into_iter().map(|phone| phone.name).collect::<Vec<_>>(), ["Phone", "Phone 2"]);
    }

    #[test]
    fn a_browser_tells_what_it_runs_on() {
        for (user_agent, kind) in [
            (
                "Mozilla/5.0 (Linux; Android 15; K) AppleWebKit/537.36 Chrome/140.0 Mobile Safari/537.36",
                "Android phone",
            ),
            ("Mozilla/5.0 (Linux; Android 15; K) AppleWebKit/537.36 Chrome/140.0 Safari/537.36", "Android tablet"),
            ("Mozilla/5.0 (iPhone; CPU iPhone OS 18_5 like Mac OS X) Version/18.5 Mobile Safari/604.1", "iPhone"),
            ("Mozilla/5.0 (X11; Linux x86_64; rv:140.0) Gecko/20100101 Firefox/140.0", "Linux computer"),
            ("", "Phone"),
        ] {
            assert_eq!(kind_of(user_agent), kind, "{user_agent}");
        }
    }
}
