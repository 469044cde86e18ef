//! One entry: who wrote what about which thing, and when.

use std::collections::hash_map::Entry as MapEntry;
use std::collections::{HashMap, HashSet};

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use crate::audition::AuditionId;
use crate::body::{Body, StrikeBody};
use crate::guitar::GuitarId;
use crate::install::InstallId;
use crate::meter::MeterId;
use crate::names::{BenchId, EntryId};
use crate::pickup::PickupId;
use crate::rig::RigId;

/// The thing an entry is about.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "thing", content = "id")]
#[ts(export_to = "contract/entry.ts")]
pub enum About {
    /// A pickup.
    Pickup(PickupId),
    /// A guitar.
    Guitar(GuitarId),
    /// A rig.
    Rig(RigId),
    /// An audition.
    Audition(AuditionId),
    /// A meter.
    Meter(MeterId),
    /// A permanent install.
    Fit(InstallId),
    /// A bench itself.
    Bench(BenchId),
}

impl About {
    /// The identifier alone.
    #[must_use]
    pub fn uuid(self) -> Uuid {
        match self {
            Self::Pickup(id) => id.0,
            Self::Guitar(id) => id.0,
            Self::Rig(id) => id.0,
            Self::Audition(id) => id.0,
            Self::Meter(id) => id.0,
            Self::Fit(id) => id.0,
            Self::Bench(id) => id.0,
        }
    }

    /// The kind of thing, in the word that stands in the log.
    #[must_use]
    pub fn word(self) -> &'static str {
        match self {
            Self::Pickup(_) => "pickup",
            Self::Guitar(_) => "guitar",
            Self::Rig(_) => "rig",
            Self::Audition(_) => "audition",
            Self::Meter(_) => "meter",
            Self::Fit(_) => "fit",
            Self::Bench(_) => "bench",
        }
    }

    /// From the word of its kind and its name; nothing for a kind that this version does not know.
    #[must_use]
    pub fn from_parts(thing: &str, id: Uuid) -> Option<Self> {
        match thing {
            "pickup" => Some(Self::Pickup(PickupId(id))),
            "guitar" => Some(Self::Guitar(GuitarId(id))),
            "rig" => Some(Self::Rig(RigId(id))),
            "audition" => Some(Self::Audition(AuditionId(id))),
            "meter" => Some(Self::Meter(MeterId(id))),
            "fit" => Some(Self::Fit(InstallId(id))),
            "bench" => Some(Self::Bench(BenchId(id))),
            _ => None,
        }
    }
}

/// One entry of the log.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    /// Its name.
    pub id: EntryId,
    /// When it was written.
    pub at: DateTime<Utc>,
    /// Who wrote it.
    pub bench: BenchId,
    /// What it is about.
    pub about: About,
    /// What it says.
    pub body: Written,
}

/// The body of an entry, which a newer version may have written.
#[derive(Debug, Clone, PartialEq)]
#[expect(clippy::large_enum_variant, reason = "nearly every entry is known, so a box would only cost")]
pub enum Written {
    /// A body this version understands.
    Known(Body),
    /// A body of a kind, or with fields, this version does not know; kept to the letter.
    Newer {
        /// Its kind, as written.
        kind: String,
        /// The JSON text, as written.
        text: String,
    },
}

impl Written {
    /// Reads the JSON text of a body; whatever this version does not know is kept as it is.
    #[must_use]
    pub fn read(kind: &str, text: &str) -> Self {
        Body::read(kind, text)
            .map_or_else(|_| Self::Newer { kind: kind.to_owned(), text: text.to_owned() }, Self::Known)
    }

    /// The body, if this version understands it.
    #[must_use]
    pub fn known(&self) -> Option<&Body> {
        match self {
            Self::Known(body) => Some(body),
            Self::Newer { .. } => None,
        }
    }
}

/// Sorts entries into the order they are read in, each once, and says which are struck out.
///
/// The order is (time, name), whatever order they arrived in. A strike-out counts unless it is itself struck out by a
/// later one. It strikes out earlier entries only, so no two can cancel each other.
#[must_use]
pub fn in_order(entries: impl IntoIterator<Item = Entry>) -> Vec<(Entry, bool)> {
    let mut sorted: Vec<Entry> = entries.into_iter().collect();
    sorted.sort_by_key(|entry| (entry.at, entry.id));
    let mut place = HashMap::new();
    sorted.retain(|entry| {
        let next = place.len();
        match place.entry(entry.id) {
            MapEntry::Occupied(_) => false,
            MapEntry::Vacant(free) => {
                free.insert(next);
                true
            }
        }
    });
    // From the last to the first: whatever could strike an entry out was looked at before it.
    let mut struck = HashSet::new();
    for (index, entry) in sorted.iter().enumerate().rev() {
        if let Some(Body::Strike(StrikeBody::StruckOut { entry: target, .. })) = entry.body.known()
            && !struck.contains(&entry.id)
            && place.get(target).is_some_and(|target| *target < index)
        {
            struck.insert(*target);
        }
    }
    sorted
        .into_iter()
        .map(|entry| {
            let is_struck = struck.contains(&entry.id);
            (entry, is_struck)
        })
        .collect()
}
