//! What is missing in a record and was measured where it was missed: a pickup's size and mark, an opening.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::typed::{at, length_of};
use crate::ask::Refusal;
use crate::physics::lengths::SIZE;
use crate::record::guitar::Guitar;
use crate::record::pickup::Pickup;
use crate::record::quantity::LengthUnit;
use crate::record::words;

/// Nothing was typed that could be written down.
const NOTHING: &str = "Write down what you know of it first.";

/// A pickup's size and the mark of its bass end, as typed. What is empty stays as the record says it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/pickup.ts")]
pub struct SizesForm {
    /// How its bass end is marked.
    #[serde(default)]
    pub bass_end_mark: String,
    /// Across the strings.
    #[serde(default)]
    pub length: String,
    /// Along the strings.
    #[serde(default)]
    pub width: String,
    /// Depth.
    #[serde(default)]
    pub depth: String,
    /// The unit of bare lengths.
    pub unit: LengthUnit,
}

impl SizesForm {
    /// The pickup with what was typed.
    pub(crate) fn read(self, pickup: Pickup) -> Result<Pickup, Refusal> {
        let typed = [&self.bass_end_mark, &self.length, &self.width, &self.depth];
        if typed.iter().all(|one| one.trim().is_empty()) {
            return Err(Refusal::unclear("sizes", NOTHING));
        }
        let mark = words::note(&self.bass_end_mark, "the mark").map_err(at("sizes.bass_end_mark"))?;
        Ok(Pickup {
            bass_end_mark: if mark.is_empty() { pickup.bass_end_mark } else { mark },
            length: length_of(&SIZE, &self.length, self.unit, "sizes.length")?.or(pickup.length),
            width: length_of(&SIZE, &self.width, self.unit, "sizes.width")?.or(pickup.width),
            depth: length_of(&SIZE, &self.depth, self.unit, "sizes.depth")?.or(pickup.depth),
            ..pickup
        })
    }
}

/// The opening at a place of a guitar, as typed. What is empty stays as the record says it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct OpeningForm {
    /// The place, by its name in the record.
    pub place: String,
    /// Across the strings.
    #[serde(default)]
    pub length: String,
    /// Along the strings.
    #[serde(default)]
    pub width: String,
    /// Depth.
    #[serde(default)]
    pub depth: String,
    /// The unit of bare lengths.
    pub unit: LengthUnit,
}

impl OpeningForm {
    /// The guitar with what was typed.
    pub(crate) fn read(self, mut guitar: Guitar) -> Result<Guitar, Refusal> {
        if [&self.length, &self.width, &self.depth].iter().all(|one| one.trim().is_empty()) {
            return Err(Refusal::unclear("opening", NOTHING));
        }
        let across = length_of(&SIZE, &self.length, self.unit, "opening.length")?;
        let along = length_of(&SIZE, &self.width, self.unit, "opening.width")?;
        let depth = length_of(&SIZE, &self.depth, self.unit, "opening.depth")?;
        let Some(place) = guitar.places.iter_mut().find(|place| place.name == self.place) else {
            return Err(Refusal::unclear("opening.place", "The guitar has no such place."));
        };
        place.opening_length = across.or(place.opening_length);
        place.opening_width = along.or(place.opening_width);
        place.depth = depth.or(place.depth);
        Ok(guitar)
    }
}
