//! A guitar's volumes and its selector.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::quantity::{Farads, Ohms};

/// How the volume pots are laid out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "layout", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub enum VolumeLayout {
    /// One volume for all pickups, after the selector: the pickup across the whole track, the wiper to the jack. Its pots
    /// are those of the guitar's controls.
    Shared {},
    /// A volume for each place, before the selector.
    EachPlace {
        /// How each of them is wired.
        track: TrackWiring,
        /// The pots, by place.
        pots: Vec<PlacePots>,
    },
    /// No volume pot: the selector goes straight to the jack.
    NoVolume {},
}

impl Default for VolumeLayout {
    fn default() -> Self {
        Self::Shared {}
    }
}

/// Where a pickup goes on the volume pot of its own place.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/guitar.ts")]
pub enum TrackWiring {
    /// The usual way: the pickup across the whole track, the wiper to the selector. One volume at zero silences all that
    /// the selector joins.
    #[default]
    PickupOnTrack,
    /// The independent way: the pickup to the wiper, the end of the track to the selector. A volume at zero silences its
    /// own pickup only.
    PickupOnWiper,
    /// One of the two, and nobody can tell which: with a volume down nothing is expected.
    NotKnown,
}

impl TrackWiring {
    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::PickupOnTrack => "pickup across the track, wiper to the selector",
            Self::PickupOnWiper => "pickup to the wiper, end of the track to the selector",
            Self::NotKnown => "wired in a way not known yet",
        }
    }
}

/// The pots of one place. What is not known is left out.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct PlacePots {
    /// The place, by its name in the guitar's record.
    pub place: String,
    /// Volume pot, in ohms.
    #[serde(default)]
    pub volume: Option<Ohms>,
    /// Tone pot, in ohms; nothing where the place has none.
    #[serde(default)]
    pub tone: Option<Ohms>,
    /// Tone capacitor, in farads.
    #[serde(default)]
    pub capacitor: Option<Farads>,
}

/// A pickup selector.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct Selector {
    /// Its positions, in the order of its lever.
    pub positions: Vec<SelectorPosition>,
}

/// One position of the selector.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct SelectorPosition {
    /// Its name: "neck", "middle and bridge", or words; no two share one.
    pub name: String,
    /// The places it puts out together, by their names in the guitar's record.
    pub places: Vec<String>,
}

impl Selector {
    /// The usual selector for these places, in their order along the string: each place alone, and each with its neighbour between. One
    /// place has none. (Common practice.)
    #[must_use]
    pub fn usual(places: &[String]) -> Option<Self> {
        if places.len() < 2 {
            return None;
        }
        let alone = |place: &String| SelectorPosition { name: place.clone(), places: vec![place.clone()] };
        let mut positions: Vec<SelectorPosition> = places.first().map(alone).into_iter().collect();
        for pair in places.windows(2) {
            if let [one, other] = pair {
                positions.push(SelectorPosition { name: format!("{one} and {other}"), places: pair.to_vec() });
                positions.push(alone(other));
            }
        }
        Some(Self { positions })
    }
}
