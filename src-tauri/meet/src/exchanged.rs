//! How to meet, and what came of it, in words.

use std::collections::{BTreeMap, BTreeSet};

use chrono::{DateTime, Utc};
use uuid::Uuid;

/// How to meet.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wish {
    /// Whether two logs that have nothing in common become one.
    pub join: bool,
    /// Whether much goes here that was erased elsewhere; a little goes unasked.
    pub erase: bool,
    /// The present instant, for the name of a copy.
    pub now: DateTime<Utc>,
    /// A new name, for the tray.
    pub tray: Uuid,
}

/// What came of an exchange.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Exchanged {
    /// How many entries went out.
    pub sent: u64,
    /// How many came in.
    pub brought: u64,
    /// How many stay here because no bench would take them in.
    pub kept_back: u64,
    /// Whether the shared log has lost what it had, so that all was compared anew.
    pub went_back: bool,
    /// How many photos and takes went out.
    pub files_sent: u64,
    /// How many came in.
    pub files_brought: u64,
    /// How many are there and not what they are called.
    pub files_refused: u64,
    /// What was erased here because it was erased elsewhere.
    pub erased: Gone,
    /// What was erased elsewhere and lies here still, as it is much; told once over a connection.
    pub waits: Gone,
    /// How many things that were erased elsewhere lie here still, told each time.
    pub lie_here_still: u64,
    /// Of how many things the shared log was told that they were erased here.
    pub erasures_sent: u64,
    /// Whether photos or takes are under way still: exchange again at once.
    pub more: bool,
}

impl Exchanged {
    /// Whether anything moved.
    #[must_use]
    pub fn is_anything(&self) -> bool {
        Self { kept_back: 0, lie_here_still: 0, more: false, ..self.clone() } != Self::default()
    }

    /// This and the exchange after it.
    #[must_use]
    pub fn and(self, next: Self) -> Self {
        Self {
            sent: self.sent + next.sent,
            brought: self.brought + next.brought,
            // The first exchange of a connection counts all of them.
            kept_back: self.kept_back + next.kept_back,
            went_back: self.went_back || next.went_back,
            files_sent: self.files_sent + next.files_sent,
            files_brought: self.files_brought + next.files_brought,
            files_refused: self.files_refused + next.files_refused,
            erased: self.erased.and(next.erased),
            waits: self.waits.and(next.waits),
            lie_here_still: next.lie_here_still,
            erasures_sent: self.erasures_sent + next.erasures_sent,
            more: next.more,
        }
    }

    /// What others erased and lies here still, and what to find out first, in sentences; nothing where none does.
    #[must_use]
    pub fn waits_in_words(&self) -> Option<String> {
        let (things, by) = self.waits.in_words();
        (self.waits.count() > 0).then(|| {
            format!(
                "{by} erased much of what lies here: {things}. It was not erased here, and nothing more of it is exchanged. Ask whether \
                 it is meant."
            )
        })
    }

    /// What moved, in sentences.
    #[must_use]
    pub fn in_words(&self) -> String {
        let counted = |count: u64, one: &str, many: &str| match count {
            0 => None,
            1 => Some(format!("1 {one}")),
            many_of => Some(format!("{many_of} {many}")),
        };
        let moved = |entries: u64, files: u64| {
            let both = [counted(entries, "entry", "entries"), counted(files, "photo or take", "photos and takes")];
            let both: Vec<String> = both.into_iter().flatten().collect();
            if both.is_empty() { "nothing".to_owned() } else { both.join(" and ") }
        };
        let (out, inside) = (moved(self.sent, self.files_sent), moved(self.brought, self.files_brought));
        let mut words = match (out.as_str(), inside.as_str()) {
            ("nothing", "nothing") if self.more => "Photos and takes are on their way.".to_owned(),
            ("nothing", "nothing") => "Nothing new on either side.".to_owned(),
            _ if self.more => format!("Sent {out}, brought in {inside}. More photos and takes are on their way."),
            _ => format!("Sent {out}, brought in {inside}."),
        };
        if let Some(things) = counted(self.erasures_sent, "thing was", "things were") {
            words.push_str(&format!(" {things} erased for good here, and every bench erases the same."));
        }
        words.extend(self.erased.went());
        if let Some(files) = counted(self.files_refused, "photo or take", "photos and takes") {
            words.push_str(&format!(
                " The shared log has {files} that can't be what the entries speak of, so nothing of that was brought in. Ask who \
                 keeps the server to look at it."
            ));
        }
        if self.went_back {
            words.push_str(" The shared log had lost what it had, so all was compared anew.");
        }
        match self.kept_back {
            0 => {}
            1 => words.push_str(" 1 entry is not as any version writes it, so it stays here."),
            many => words.push_str(&format!(" {many} entries are not as any version writes them, so they stay here.")),
        }
        words
    }
}

/// Things that somebody erased, and what that comes to here.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Gone {
    /// How many there are, and what, as `audition`.
    pub things: BTreeMap<String, u64>,
    /// How many entries here were about them, where that is known.
    pub entries: u64,
    /// Who erased them: accounts of the server.
    pub by: BTreeSet<String>,
}

impl Gone {
    pub(crate) fn add(&mut self, (thing, by): &(String, String), entries: u64) {
        *self.things.entry(thing.clone()).or_default() += 1;
        self.entries += entries;
        self.by.insert(by.clone());
    }

    /// How many things.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.things.values().sum()
    }

    /// With those of the exchange after it.
    fn and(mut self, next: Self) -> Self {
        for (thing, count) in next.things {
            *self.things.entry(thing).or_default() += count;
        }
        self.by.extend(next.by);
        self.entries += next.entries;
        self
    }

    fn in_words(&self) -> (String, String) {
        let word = |(thing, count): (&String, &u64)| {
            let thing = if thing == "fit" { "fit sheet" } else { thing };
            if *count == 1 { format!("1 {thing}") } else { format!("{count} {thing}s") }
        };
        let things: Vec<String> = self.things.iter().map(word).collect();
        (things.join(", "), self.by.iter().cloned().collect::<Vec<_>>().join(", "))
    }

    /// That they went here, in a sentence.
    fn went(&self) -> Option<String> {
        let (things, by) = self.in_words();
        let entries = if self.entries == 1 { "1 entry".to_owned() } else { format!("{} entries", self.entries) };
        (self.count() > 0).then(|| format!(" Erased for good here too, as {by} erased it: {things}, with {entries}."))
    }
}
