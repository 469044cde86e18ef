//! The selector, the volumes and the pots of a guitar as typed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::Refusal;
use crate::ask::forms::typed::{at, farads, ohms};
use crate::record::controls::{PlacePots, Selector, SelectorPosition, TrackWiring, VolumeLayout};
use crate::record::guitar::{Guitar, Place, along_the_string};
use crate::record::words;

/// The pickup selector as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, TS)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub enum SelectorForm {
    /// None, or nobody has written it down.
    #[default]
    None,
    /// The usual one for the guitar's places: each alone, and neighbours together between them. One place has none.
    Usual,
    /// With positions of its own.
    Own {
        /// Its positions, in the order of its lever: two to eight.
        positions: Vec<SelectorPosition>,
    },
}

/// How the volumes are laid out, as chosen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/guitar.ts")]
pub enum LayoutForm {
    /// One for all pickups.
    #[default]
    Shared,
    /// One for each place.
    EachPlace,
    /// None.
    NoVolume,
}

/// The pots of one place, as typed. Empty text means "not known".
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct PotsForm {
    /// The place.
    pub place: String,
    /// Volume pot, as typed.
    pub volume: String,
    /// Tone pot, as typed.
    pub tone: String,
    /// Tone capacitor, as typed.
    pub capacitor: String,
}

impl SelectorForm {
    pub(crate) fn read(self, places: &[Place]) -> Result<Option<Selector>, Refusal> {
        let positions = match self {
            Self::None => return Ok(None),
            Self::Usual => return Ok(Selector::usual(&along_the_string(places))),
            Self::Own { positions } => positions,
        };
        if !(2..=8).contains(&positions.len()) {
            return Err(Refusal::unclear("selector.positions", "A selector has two to eight positions here."));
        }
        let mut read: Vec<SelectorPosition> = Vec::new();
        for (index, position) in positions.into_iter().enumerate() {
            let field = |name: &str| format!("selector.positions.{index}.{name}");
            let name = words::label(&position.name, "the position").map_err(at(field("name")))?;
            if read.iter().any(|other| other.name == name) {
                return Err(Refusal::unclear(&field("name"), "Two positions can't share a name."));
            }
            if position.places.is_empty() {
                return Err(Refusal::unclear(&field("places"), "Say which places this position puts out."));
            }
            if let Some(missing) = position.places.iter().find(|name| places.iter().all(|place| place.name != **name)) {
                let sentence = format!("The guitar has no place called {missing}. Take it out of this position.");
                return Err(Refusal::unclear(&field("places"), sentence));
            }
            read.push(SelectorPosition { name, places: position.places });
        }
        Ok(Some(Selector { positions: read }))
    }

    pub(crate) fn of(guitar: &Guitar) -> Self {
        let along = along_the_string(&guitar.places);
        match &guitar.controls.selector {
            None => Self::None,
            Some(selector) if Selector::usual(&along).as_ref() == Some(selector) => Self::Usual,
            Some(selector) => Self::Own { positions: selector.positions.clone() },
        }
    }
}

/// The volumes; pots of places that the guitar does not have are left out.
pub(crate) fn read_layout(
    layout: LayoutForm,
    track: TrackWiring,
    pots: &[PotsForm],
    places: &[String],
) -> Result<VolumeLayout, Refusal> {
    Ok(match layout {
        LayoutForm::Shared => VolumeLayout::Shared {},
        LayoutForm::NoVolume => VolumeLayout::NoVolume {},
        LayoutForm::EachPlace => {
            let mut read: Vec<PlacePots> = Vec::new();
            for (index, form) in pots.iter().enumerate().filter(|(_, form)| places.contains(&form.place)) {
                let field = |name: &str| format!("pots.{index}.{name}");
                if read.iter().any(|other| other.place == form.place) {
                    return Err(Refusal::unclear(&field("place"), "The pots of this place are written down twice."));
                }
                read.push(PlacePots {
                    place: form.place.clone(),
                    volume: ohms(&form.volume, &field("volume"))?,
                    tone: ohms(&form.tone, &field("tone"))?,
                    capacitor: farads(&form.capacitor, &field("capacitor"))?,
                });
            }
            VolumeLayout::EachPlace { track, pots: read }
        }
    })
}
