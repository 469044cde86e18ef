//! What was erased for good on any bench, both ways: facts go out and come in, and what they name goes here.

use std::collections::HashMap;

use uuid::Uuid;

use crate::log::shared::Shared;
use crate::{Exchanged, NotMet, SharedLog, Wish};

/// How many facts are asked for at once.
const READ_AT_ONCE: usize = 5000;

/// How far erasures came over one connection.
#[derive(Debug, Default)]
pub(crate) struct Erasures {
    /// The number there up to which they were read.
    read_up_to: i64,
    /// The names of the things that were erased, each with the word for its kind and who erased it.
    there: HashMap<Uuid, (String, String)>,
    /// Their words and names, in order.
    things: Vec<(String, Uuid)>,
    /// The row here up to which was looked whether anything of them lies here, and how many things were erased by then.
    looked: (i64, usize),
    /// What lies here still, as it was told last.
    waits: Vec<Uuid>,
    /// How long this bench's own list was when it was read.
    pub(crate) noted_bytes: u64,
}

impl Erasures {
    pub(crate) async fn exchange(
        &mut self,
        here: &mut Shared,
        there: &mut impl SharedLog,
        wish: Wish,
        exchanged: &mut Exchanged,
    ) -> Result<(), NotMet> {
        self.read(there).await?;
        let noted_bytes = here.erasures_bytes();
        let mut new = here.erasures()?;
        new.retain(|erasure| !self.is_erased(erasure.about.uuid()));
        if !new.is_empty() {
            there.add_erasures(&new).await?;
            exchanged.erasures_sent += new.len() as u64;
            self.read(there).await?;
        }
        self.noted_bytes = noted_bytes;
        // A bundle, or a log made anew of its copies, may bring back what was erased.
        let looked = (here.newest()?, self.things.len());
        let asked_for = wish.erase && !self.waits.is_empty();
        if asked_for || looked != self.looked && (!self.things.is_empty() || self.looked == (0, 0)) {
            let erased = here.erase(&self.things, wish.erase, wish.now)?;
            for (about, entries) in erased.went {
                if let Some(told) = self.there.get(&about) {
                    exchanged.erased.add(told, entries);
                }
            }
            if erased.waits != self.waits {
                for told in erased.waits.iter().filter_map(|about| self.there.get(about)) {
                    exchanged.waits.add(told, 0);
                }
                self.waits = erased.waits;
            }
        }
        self.looked = looked;
        exchanged.lie_here_still = self.waits.len() as u64;
        Ok(())
    }

    /// Whether this thing was erased on any bench.
    pub(crate) fn is_erased(&self, about: Uuid) -> bool {
        self.there.contains_key(&about)
    }

    async fn read(&mut self, there: &mut impl SharedLog) -> Result<(), NotMet> {
        loop {
            let erased = there.erasures_after(self.read_up_to, READ_AT_ONCE).await?;
            let count = erased.len();
            for one in erased {
                if one.number <= self.read_up_to {
                    return Err(NotMet::untrue("what was erased is not in order"));
                }
                self.read_up_to = one.number;
                if !self.is_erased(one.about) {
                    self.things.push((one.thing.clone(), one.about));
                    self.there.insert(one.about, (one.thing, plain(&one.account)));
                }
            }
            if count < READ_AT_ONCE {
                return Ok(());
            }
        }
    }
}

/// A name that a server tells, as it may stand in a sentence.
fn plain(name: &str) -> String {
    let plain: String = name.chars().filter(|one| one.is_alphanumeric() || "-_.@ ".contains(*one)).take(63).collect();
    if plain.trim().is_empty() { "another bench".to_owned() } else { plain }
}
