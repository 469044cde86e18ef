//! What a bench asks of a shared log, wherever it is kept.

use uuid::Uuid;

use crate::NotMet;
use crate::log::Erasure;
use crate::log::shared::{Names, Outgoing, Parts, Sha};

/// An entry of a shared log, without what it says.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Head {
    /// Its number there: what came later has a higher one.
    pub number: i64,
    /// Its name.
    pub id: Uuid,
    /// The SHA-256 of its line.
    pub sum: Sha,
    /// How long its line is, in bytes.
    pub length: usize,
    /// Whether what it is about was erased for good: it is not to be had any more.
    pub erased: bool,
}

/// That a thing was erased for good, as a shared log tells it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ErasedThere {
    /// Its number there: what came later has a higher one.
    pub number: i64,
    /// The word for the kind of thing, also of one that this version does not know.
    pub thing: String,
    /// The name of the thing.
    pub about: Uuid,
    /// Who erased it: the account under which the fact was added.
    pub account: String,
}

/// A file of a shared log, without what it is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct FileHead {
    /// Its number there: what came later has a higher one.
    pub number: i64,
    /// The SHA-256 of the whole file, which its name is. Somebody may have said so of what is another file.
    pub sum: Sha,
    /// The SHA-256 of the list of its parts.
    pub parts_sum: Sha,
}

/// A log that several benches share: entries are added to it and never changed.
///
/// Whoever has read up to a number has read all that was ever added below it: an entry that is added gets a number above those
/// that anybody can have read.
#[expect(async_fn_in_trait, reason = "who asks waits for each answer on one thread")]
pub trait SharedLog {
    /// Its name, which no other has.
    async fn name(&mut self) -> Result<Uuid, NotMet>;

    /// The names of all entries up to this number.
    async fn names(&mut self, up_to: i64) -> Result<Names, NotMet>;

    /// The first entries behind this number, in order, at most so many.
    async fn after(&mut self, number: i64, most: usize) -> Result<Vec<Head>, NotMet>;

    /// What these entries say: each with its number, in any order.
    async fn lines(&mut self, numbers: &[i64]) -> Result<Vec<(i64, String)>, NotMet>;

    /// Adds entries in one stroke; those that are there already stay as they are, and those about what was erased are left out.
    async fn add(&mut self, entries: &[Outgoing]) -> Result<(), NotMet>;

    /// The first files behind this number, in order, at most so many. Each is there whole.
    async fn files_after(&mut self, number: i64, most: usize) -> Result<Vec<FileHead>, NotMet>;

    /// What the file of this number is made of; nothing when it is there no more.
    async fn parts_of(&mut self, number: i64) -> Result<Option<Parts>, NotMet>;

    /// One part of a file; nothing when it is there no more.
    async fn part(&mut self, sum: &Sha) -> Result<Option<Vec<u8>>, NotMet>;

    /// Those of these parts that are there.
    async fn parts_there(&mut self, sums: &[Sha]) -> Result<Vec<Sha>, NotMet>;

    /// Adds a part; one that is there stays as it is.
    async fn add_part(&mut self, sum: &Sha, bytes: &[u8]) -> Result<(), NotMet>;

    /// Adds a file, all parts of which are there; one that is there stays as it is.
    async fn add_file(&mut self, sum: &Sha, parts: &Parts) -> Result<(), NotMet>;

    /// The first erasures behind this number, in order, at most so many.
    async fn erasures_after(&mut self, number: i64, most: usize) -> Result<Vec<ErasedThere>, NotMet>;

    /// Adds erasures; one that is there stays as it is.
    async fn add_erasures(&mut self, erasures: &[Erasure]) -> Result<(), NotMet>;
}
