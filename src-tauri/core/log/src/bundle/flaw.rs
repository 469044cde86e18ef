//! Why a bundle is not taken in. Whatever the reason, nothing was changed.

use std::fmt;
use std::io;

use chrono::{DateTime, Utc};

use super::limits::{
    LONGEST_LINE, MOST_BYTES, MOST_BYTES_OF_ENTRIES, MOST_CHOSEN, MOST_ENTRIES, MOST_PHOTOS, MOST_RATIO, MOST_TAKES,
};
use crate::Trouble;

/// What is wrong with a bundle.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Flaw {
    /// It is no zip file, or its end is missing.
    NotABundle,
    /// It weighs too much; its size in bytes.
    TooHeavy(u64),
    /// It is a zip file, but not packed the way bundles are; what is odd about it.
    OddlyPacked(&'static str),
    /// It has more members than a bundle may have.
    TooManyMembers(u64),
    /// A member has a name that no member of a bundle has.
    Name(String),
    /// Two members have the same name.
    Twice(String),
    /// A member unpacks to more than it may.
    UnpacksTooFar(String),
    /// A member is not there.
    Missing(String),
    /// A member is there that the manifest does not name.
    NotListed(String),
    /// A member is not what the manifest says, or can't be unpacked.
    Changed(String),
    /// The manifest can't be read.
    Manifest,
    /// It is a bundle of some other kind.
    OtherForm,
    /// A newer version packed it; the number of its form.
    NewerForm(u64),
    /// It has more entries than a bundle may have.
    TooManyEntries,
    /// A line of entries is too long; its number, from 1.
    LongLine(u64),
    /// A line of entries can't be read; its number, from 1.
    Line(u64),
    /// An entry, or its thing, or its bench, has a name that nothing in a log has; the line.
    NotAName(u64),
    /// An entry is dated as none can be; the line.
    Time(u64),
    /// An entry says something that no page can write; the line, and what is wrong with it.
    Unsound(u64, String),
    /// An entry speaks of a thing as something that it is not; the line.
    Reference(u64),
    /// An entry strikes out what it can't: something about another thing, or a look that can't be unseen; the line.
    Strike(u64),
    /// An entry has the name of one that belongs to the act of another, and is none such; the line of the other.
    Follower(u64),
    /// Two lines have the same name; the line of the second.
    EntryTwice(u64),
    /// The number of entries is not what the manifest says.
    Counts,
    /// A photo is not of the kind that is kept.
    Photo(String),
    /// No entry names this photo.
    PhotoOfNothing(String),
    /// A take is not of the kind that is kept.
    Take(String),
    /// No entry names this take.
    TakeOfNothing(String),
    /// An entry of this name is in the log and says something else; when that one was written.
    Rewritten(DateTime<Utc>),
    /// One name is used for two different things.
    TwoThings,
}

impl Flaw {
    /// A stable name of the reason.
    #[must_use]
    pub fn code(&self) -> &'static str {
        match self {
            Self::NotABundle => "bundle_not_a_bundle",
            Self::TooHeavy(_) => "bundle_too_heavy",
            Self::OddlyPacked(_) => "bundle_oddly_packed",
            Self::TooManyMembers(_) => "bundle_too_many_members",
            Self::Name(_) => "bundle_name",
            Self::Twice(_) => "bundle_twice",
            Self::UnpacksTooFar(_) => "bundle_unpacks_too_far",
            Self::Missing(_) => "bundle_missing",
            Self::NotListed(_) => "bundle_not_listed",
            Self::Changed(_) => "bundle_changed",
            Self::Manifest => "bundle_manifest",
            Self::OtherForm => "bundle_other_form",
            Self::NewerForm(_) => "bundle_newer_form",
            Self::TooManyEntries => "bundle_too_many_entries",
            Self::LongLine(_) => "bundle_long_line",
            Self::Line(_) => "bundle_line",
            Self::NotAName(_) => "bundle_not_a_name",
            Self::Time(_) => "bundle_time",
            Self::Unsound(..) => "bundle_unsound",
            Self::Reference(_) => "bundle_reference",
            Self::Strike(_) => "bundle_strike",
            Self::Follower(_) => "bundle_follower",
            Self::EntryTwice(_) => "bundle_entry_twice",
            Self::Counts => "bundle_counts",
            Self::Photo(_) => "bundle_photo",
            Self::PhotoOfNothing(_) => "bundle_photo_of_nothing",
            Self::Take(_) => "bundle_take",
            Self::TakeOfNothing(_) => "bundle_take_of_nothing",
            Self::Rewritten(_) => "bundle_rewritten",
            Self::TwoThings => "bundle_two_things",
        }
    }

    /// What is wrong, without the words that nothing was changed.
    fn what(&self) -> String {
        match self {
            Self::NotABundle => "This file is not a bundle, or its end got lost on the way.".to_owned(),
            Self::TooHeavy(bytes) => format!(
                "This file has {} MB, and a bundle has at most {} MB.",
                bytes.div_ceil(1_000_000),
                MOST_BYTES / 1_000_000
            ),
            Self::OddlyPacked(what) => format!("This file is a zip file, but no bundle packed by Solderlast: {what}."),
            Self::TooManyMembers(count) => {
                format!("This file holds {count} files, and a bundle holds at most {}.", MOST_PHOTOS + MOST_TAKES + 2)
            }
            Self::Name(name) => format!("This bundle holds a file that does not belong in one: {name}."),
            Self::Twice(name) => format!("This bundle holds two files of the name {name}."),
            Self::UnpacksTooFar(name) => {
                format!("{name} in this bundle unpacks to more than {MOST_RATIO} times its size, or to more than fits.")
            }
            Self::Missing(name) => format!("{name} is missing in this bundle."),
            Self::NotListed(name) => format!("This bundle holds {name}, which its list does not name."),
            Self::Changed(name) => format!(
                "{name} in this bundle is damaged, or was changed after it was packed. Fetch the bundle again from \
                 where it was packed."
            ),
            Self::Manifest => "The list of what this bundle holds can't be read.".to_owned(),
            Self::OtherForm => "This is a bundle of some other program.".to_owned(),
            Self::NewerForm(form) => format!(
                "A newer version of Solderlast packed this bundle (form {form}). Use that version to bring it in."
            ),
            Self::TooManyEntries => format!(
                "This bundle holds more than {MOST_ENTRIES} entries, or more than {} MB of them.",
                MOST_BYTES_OF_ENTRIES / 1_000_000
            ),
            Self::LongLine(line) => {
                format!("Entry {line} of this bundle is longer than {} MB.", LONGEST_LINE / 1_000_000)
            }
            Self::Line(line) => format!("Entry {line} of this bundle can't be read."),
            Self::NotAName(line) => {
                format!("Entry {line} of this bundle, or what it is about, has a name that no log gives.")
            }
            Self::Time(line) => format!("Entry {line} of this bundle has a date that no clock shows."),
            Self::Unsound(line, what) => {
                format!("Entry {line} of this bundle says something that nobody can have written: {what}")
            }
            Self::Reference(line) => {
                format!("Entry {line} of this bundle takes something for another thing than it is.")
            }
            Self::Strike(line) => format!("Entry {line} of this bundle strikes out something that it can't."),
            Self::Follower(line) => {
                format!("Entry {line} of this bundle was written with others, and one of them is another entry here.")
            }
            Self::EntryTwice(line) => {
                format!("Entry {line} of this bundle has the name of another entry in it.")
            }
            Self::Counts => "This bundle does not hold as many entries as its list says.".to_owned(),
            Self::Photo(name) => format!("{name} in this bundle is not a photo as Solderlast keeps them."),
            Self::PhotoOfNothing(name) | Self::TakeOfNothing(name) => {
                format!("No entry in this bundle speaks of {name}.")
            }
            Self::Take(name) => format!("{name} in this bundle is not a take as Solderlast keeps them."),
            Self::Rewritten(at) => format!(
                "An entry in this bundle differs from the same entry here, of {}. What was saved for good is not \
                 changed, so one of the two was altered.",
                at.format("%e %B %Y").to_string().trim_start()
            ),
            Self::TwoThings => {
                "This bundle has one name for two different things, or for something else than this log.".to_owned()
            }
        }
    }

    /// What is wrong with entries that came from a log that several benches share, and that nothing was changed.
    #[must_use]
    pub fn sentence_of_shared(&self) -> String {
        let what = self.what().replace("this bundle", "the shared log").replace("This bundle", "The shared log");
        format!("{what} Nothing of it was brought in, and your log is as it was.")
    }

    /// What is wrong, and that nothing was changed.
    #[must_use]
    pub fn sentence(&self) -> String {
        format!("{} Nothing was brought in, and your log is as it was.", self.what())
    }
}

impl fmt::Display for Flaw {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence())
    }
}

/// Why a bundle was not packed, looked into or taken in. The log is as it was.
#[derive(Debug)]
pub enum NotCarried {
    /// Something is wrong with the bundle.
    Flaw(Flaw),
    /// There is too much, or nothing, to pack; in a sentence.
    Unpackable(String),
    /// Something is wrong with the disk or the log.
    Trouble(Trouble),
    /// Somebody called it off.
    CalledOff,
}

impl NotCarried {
    /// That there is more than a bundle may hold.
    pub(super) fn too_much(what: &str) -> Self {
        Self::Unpackable(format!(
            "This is more than one bundle holds: {what}. Nothing was packed. Pack at most {MOST_CHOSEN} chosen \
             auditions at a time."
        ))
    }

    /// What happened, what was kept, what to do.
    #[must_use]
    pub fn sentence(&self) -> String {
        match self {
            Self::Flaw(flaw) => flaw.sentence(),
            Self::Unpackable(sentence) => sentence.clone(),
            Self::Trouble(trouble) => trouble.to_string(),
            Self::CalledOff => "Called off. Your log is as it was.".to_owned(),
        }
    }
}

impl fmt::Display for NotCarried {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.sentence())
    }
}

impl std::error::Error for NotCarried {}

impl From<Flaw> for NotCarried {
    fn from(flaw: Flaw) -> Self {
        Self::Flaw(flaw)
    }
}

impl From<Trouble> for NotCarried {
    fn from(trouble: Trouble) -> Self {
        Self::Trouble(trouble)
    }
}

impl From<rusqlite::Error> for NotCarried {
    fn from(error: rusqlite::Error) -> Self {
        Self::Trouble(error.into())
    }
}

impl From<io::Error> for NotCarried {
    fn from(error: io::Error) -> Self {
        Self::Trouble(error.into())
    }
}
