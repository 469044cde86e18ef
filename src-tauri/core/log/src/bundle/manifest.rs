//! The list of what a bundle holds, which is its last member.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use uuid::Uuid;

use super::flaw::Flaw;

/// The name of the form.
pub const FORM: &str = "solderlast-bundle";
/// The version of the form that this program packs, and the newest that it reads.
pub const VERSION: u64 = 2;
/// The version of a bundle without takes, which older programs read too.
pub(super) const WITHOUT_TAKES: u64 = 1;

/// The member with this list.
pub(super) const MANIFEST: &str = "manifest.json";
/// The member with the entries.
pub(super) const ENTRIES: &str = "entries.jsonl";
/// Where photos lie in a bundle, and how their names end.
pub(super) const PHOTOS: (&str, &str) = ("photos/", ".jpg");
/// The same of takes.
pub(super) const TAKES: (&str, &str) = ("takes/", ".flac");

/// What a bundle holds.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Manifest {
    /// [`FORM`].
    pub form: String,
    /// [`VERSION`], or a lower one where nothing in it needs that.
    pub version: u64,
    /// When it was packed.
    pub made: DateTime<Utc>,
    /// The bench that packed it.
    pub bench: Uuid,
    /// The program that packed it.
    pub program: String,
    /// Whether the whole log is in it; otherwise some auditions with what they are about.
    pub whole: bool,
    /// How much is in it.
    pub counts: Counts,
    /// Every other member.
    pub members: Vec<MemberListed>,
}

/// How much is in a bundle.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Counts {
    /// Entries.
    pub entries: u64,
    /// Auditions.
    pub auditions: u64,
    /// Pickups.
    pub pickups: u64,
    /// Guitars.
    pub guitars: u64,
    /// Rigs.
    pub rigs: u64,
    /// Fit sheets.
    #[serde(skip_serializing_if = "is_none")]
    pub fits: u64,
    /// Meters.
    #[serde(skip_serializing_if = "is_none")]
    pub meters: u64,
    /// Benches that were given a name.
    #[serde(skip_serializing_if = "is_none")]
    pub benches: u64,
    /// Things of other kinds.
    pub others: u64,
    /// Photos.
    pub photos: u64,
    /// Photos that entries name and that were not beside the log.
    pub photos_missing: u64,
    /// Takes.
    #[serde(skip_serializing_if = "is_none")]
    pub takes: u64,
    /// Takes that entries name and that were not beside the log.
    #[serde(skip_serializing_if = "is_none")]
    pub takes_missing: u64,
}

fn is_none(count: &u64) -> bool {
    *count == 0
}

impl Counts {
    /// Counts a thing of this kind.
    pub(super) fn add(&mut self, thing: &str) {
        *match thing {
            "audition" => &mut self.auditions,
            "pickup" => &mut self.pickups,
            "guitar" => &mut self.guitars,
            "rig" => &mut self.rigs,
            "fit" => &mut self.fits,
            "meter" => &mut self.meters,
            "bench" => &mut self.benches,
            _ => &mut self.others,
        } += 1;
    }

    /// "102 entries, 2 auditions, 5 pickups": what there is none of is left out, but for entries.
    #[must_use]
    pub fn in_words(&self) -> Vec<String> {
        let some = |count: u64, one: &str, many: &str| match count {
            0 => None,
            1 => Some(format!("1 {one}")),
            _ => Some(format!("{} {many}", grouped(count))),
        };
        [
            some(self.auditions, "audition", "auditions"),
            some(self.pickups, "pickup", "pickups"),
            some(self.guitars, "guitar", "guitars"),
            some(self.rigs, "rig", "rigs"),
            some(self.fits, "fit sheet", "fit sheets"),
            some(self.meters, "meter", "meters"),
            some(self.benches, "bench name", "bench names"),
            some(self.others, "other thing", "other things"),
            some(self.photos, "photo", "photos"),
            some(self.takes, "take", "takes"),
        ]
        .into_iter()
        .flatten()
        .collect()
    }
}

/// `1234567` as `1,234,567`.
#[must_use]
pub fn grouped(count: u64) -> String {
    let digits = count.to_string();
    let mut text = String::new();
    for (index, digit) in digits.chars().enumerate() {
        if index > 0 && (digits.len() - index).is_multiple_of(3) {
            text.push(',');
        }
        text.push(digit);
    }
    text
}

/// One member.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct MemberListed {
    /// Its name.
    pub name: String,
    /// Its size unpacked, in bytes.
    pub bytes: u64,
    /// The SHA-256 of it unpacked, as 64 small hexadecimal digits.
    pub sha256: String,
}

impl Manifest {
    /// Reads a manifest. Fields that a later version of the same form may have are passed over.
    ///
    /// # Errors
    /// [`Flaw`] when it is none, or of another form or a newer version.
    pub(super) fn read(text: &[u8]) -> Result<Self, Flaw> {
        #[derive(Deserialize)]
        struct Which {
            form: String,
            version: u64,
        }
        let which: Which = serde_json::from_slice(text).map_err(|_| Flaw::Manifest)?;
        if which.form != FORM {
            return Err(Flaw::OtherForm);
        }
        if which.version > VERSION {
            return Err(Flaw::NewerForm(which.version));
        }
        if !(WITHOUT_TAKES..=VERSION).contains(&which.version) {
            return Err(Flaw::OtherForm);
        }
        serde_json::from_slice(text).map_err(|_| Flaw::Manifest)
    }
}

/// Sums up bytes as they pass.
#[derive(Default)]
pub(super) struct Sum {
    sha: Sha256,
    bytes: u64,
}

impl Sum {
    pub(super) fn add(&mut self, bytes: &[u8]) {
        self.sha.update(bytes);
        self.bytes += bytes.len() as u64;
    }

    pub(super) fn bytes(&self) -> u64 {
        self.bytes
    }

    pub(super) fn listed(self, name: &str) -> MemberListed {
        let sha256 = self.sha.finalize().iter().map(|byte| format!("{byte:02x}")).collect();
        MemberListed { name: name.to_owned(), bytes: self.bytes, sha256 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_groups_of_three() {
        for (number, shown) in [(0, "0"), (999, "999"), (1000, "1,000"), (1_234_567, "1,234,567")] {
            assert_eq!(grouped(number), shown);
        }
    }

    #[test]
    fn only_what_there_is_is_counted() {
        let mut counts = Counts::default();
        let all = ["audition", "pickup", "pickup", "meter", "guitar", "fit", "bench", "bench", "tomorrow"];
        all.into_iter().for_each(|thing| counts.add(thing));
        assert_eq!(
            counts.in_words(),
            ["1 audition", "2 pickups", "1 guitar", "1 fit sheet", "1 meter", "2 bench names", "1 other thing"]
        );
    }
}
