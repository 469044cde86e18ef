//! What a bench asks of a shared log, wherever it is kept.

use uuid::Uuid;

use crate::NotMet;
use crate::log::shared::{Names, Outgoing, Sha};

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

    /// Adds entries in one stroke; those that are there already stay as they are.
    async fn add(&mut self, entries: &[Outgoing]) -> Result<(), NotMet>;
}
