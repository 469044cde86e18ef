//! Which lead is which: from ohm readings between pairs, from taps with steel and from a compass, to a hookup.

mod hookup;
mod identify;
mod search;
mod sense;
mod sound;
mod wirings;

pub use hookup::{Against, HookupMap, HookupPlace, ModeHookup, against, as_hooked_up, hookup};
pub(crate) use hookup::{known_ohms, lead_in_words};
pub use identify::{CoilFound, LeadsFound, NextPair, PairReading, Search, Touching, identify};
pub use search::{CoilDrawn, LeadLine, LeadSearch, LeadSearchView, LeadTask, recorded_coils};
pub use sense::{CoilSense, CompassMark, Marks, SensesFound, senses};
pub use sound::CANCELLED;
pub use sound::Phase;
pub(crate) use sound::{Hum, Sound, hum_in_words, sound, worse};
pub use wirings::{Facts, MOST_NODES, Nodes, Relation, Wiring, wirings};
