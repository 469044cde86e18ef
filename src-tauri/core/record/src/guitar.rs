//! A guitar: what the rig stands on and what the pickup will live in.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use crate::controls::{Selector, VolumeLayout};
use crate::pickup::PickupId;
use crate::quantity::{Farads, Millimetres, Ohms};

/// Names one guitar for good, across benches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/guitar.ts")]
pub struct GuitarId(pub Uuid);

/// What a person knows of a guitar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct Guitar {
    /// What its owner calls it; never empty.
    pub label: String,
    /// Which hand it is built for.
    pub hand: Hand,
    /// Which hand it is strung for, where that is another than the hand it is built for; it decides on which side the bass
    /// strings are.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub strung: Option<Hand>,
    /// Four to eight strings, bass side first; eight, ten or twelve where they stand in pairs.
    pub strings: Vec<GuitarString>,
    /// Whether the strings stand in pairs, each pair over one pole.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    #[ts(type = "boolean | undefined")]
    pub in_pairs: bool,
    /// When the strings were last changed, or other words about their age.
    #[serde(default)]
    pub strings_age: String,
    /// Scale length, in millimetres; that of the bass side where the frets are fanned.
    pub scale: Millimetres,
    /// Scale length of the treble side, in millimetres, where the frets are fanned.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub scale_treble: Option<Millimetres>,
    /// The number of its last fret.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub last_fret: Option<u8>,
    /// From the last fret to the underside of the open string at the bass side, in millimetres.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub height_bass: Option<Millimetres>,
    /// The same at the treble side.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub height_treble: Option<Millimetres>,
    /// Outer string to outer string at the nut, in millimetres, centre to centre.
    pub spread_nut: Option<Millimetres>,
    /// Outer string to outer string at the saddle, in millimetres, centre to centre.
    pub spread_saddle: Option<Millimetres>,
    /// Places where a pickup sits or could sit, neck side first.
    pub places: Vec<Place>,
    /// The controls between the pickups and the jack.
    pub controls: Controls,
    /// Its finish.
    pub finish: Finish,
    /// Free words.
    #[serde(default)]
    pub notes: String,
}

impl Guitar {
    /// The hand it is strung for: with the neck to the left and seen from the front, its bass strings are at the bottom when
    /// that is the right one, and on top when it is the left one.
    #[must_use]
    pub fn strung_for(&self) -> Hand {
        self.strung.unwrap_or(self.hand)
    }

    /// Scale length at the bass and at the treble side.
    #[must_use]
    pub fn scales(&self) -> [Millimetres; 2] {
        [self.scale, self.scale_treble.unwrap_or(self.scale)]
    }

    /// What the strings, or pairs of strings, between the outer ones are called: their notes.
    #[must_use]
    pub fn inner_courses(&self) -> Vec<String> {
        let each = if self.in_pairs { 2 } else { 1 };
        let notes = |course: &[GuitarString]| {
            course.iter().map(|string| string.note.as_str()).collect::<Vec<_>>().join(" and ")
        };
        self.strings.chunks(each).skip(1).take(self.courses().saturating_sub(2)).map(notes).collect()
    }

    /// How many strings or pairs of strings it has: as many as there are poles under them.
    #[must_use]
    pub fn courses(&self) -> usize {
        if self.in_pairs { self.strings.len().div_ceil(2) } else { self.strings.len() }
    }
}

/// The names of places in their order along the string, whatever the order they were written in: from the end at which the first
/// of them stands.
#[must_use]
pub fn along_the_string(places: &[Place]) -> Vec<String> {
    let from = |place: &Place| place.from_saddle.0;
    let to_the_saddle = places.first().zip(places.last()).is_some_and(|(first, last)| from(first) > from(last));
    let mut along: Vec<&Place> = places.iter().collect();
    along.sort_by(|one, other| {
        let order = from(one).total_cmp(&from(other));
        if to_the_saddle { order.reverse() } else { order }
    });
    along.into_iter().map(|place| place.name.clone()).collect()
}

impl Place {
    /// From the saddle to the pole line at the bass and at the treble side.
    #[must_use]
    pub fn sides(&self) -> [Millimetres; 2] {
        [self.from_saddle, self.from_saddle_treble.unwrap_or(self.from_saddle)]
    }
}

/// The hand that a guitar is built or strung for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/guitar.ts")]
pub enum Hand {
    /// For a right-handed player.
    Right,
    /// For a left-handed player.
    Left,
}

/// One string.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct GuitarString {
    /// The note it is tuned to, as `E2` or `F#3`.
    pub note: String,
    /// Its diameter, in millimetres.
    pub gauge: Option<Millimetres>,
}

/// A place for a pickup along the strings.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct Place {
    /// What it is called: "neck", "middle", "bridge", or words.
    pub name: String,
    /// From the saddle to the pole line, in millimetres; the middle between two pole lines for two coils. At the bass side
    /// where the two sides differ.
    pub from_saddle: Millimetres,
    /// The same at the treble side, for a slanted pickup or fanned frets.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub from_saddle_treble: Option<Millimetres>,
    /// Opening across the strings, in millimetres.
    #[serde(default)]
    pub opening_length: Option<Millimetres>,
    /// Opening along the strings, in millimetres.
    #[serde(default)]
    pub opening_width: Option<Millimetres>,
    /// Depth of the opening, in millimetres.
    #[serde(default)]
    pub depth: Option<Millimetres>,
    /// The pickup that sits there now, if it is one of the records.
    #[serde(default)]
    pub fitted: Option<PickupId>,
    /// Words about what sits there now.
    #[serde(default)]
    pub fitted_words: String,
}

/// Controls between the pickups and the jack.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct Controls {
    /// Volume potentiometer, in ohms.
    #[serde(default)]
    pub volume: Option<Ohms>,
    /// Tone potentiometer, in ohms.
    #[serde(default)]
    pub tone: Option<Ohms>,
    /// Tone capacitor, in farads.
    #[serde(default)]
    pub capacitor: Option<Farads>,
    /// The selector and anything else, in words.
    #[serde(default)]
    pub words: String,
    /// The pickup selector; nothing in a guitar with one pickup, or where it is not written down.
    #[serde(default)]
    pub selector: Option<Selector>,
    /// How the volumes are laid out.
    #[serde(default)]
    pub layout: VolumeLayout,
}

impl Controls {
    /// What a pickup at a place has across it where it resonates: its volume and its tone pot beside each other, both at full.
    /// Nothing where neither is written down.
    #[must_use]
    pub fn pots_at(&self, place: &str) -> Option<Ohms> {
        let pots = match &self.layout {
            VolumeLayout::Shared {} => [self.volume, self.tone],
            VolumeLayout::EachPlace { pots, .. } => {
                let here = pots.iter().find(|pots| pots.place == place)?;
                [here.volume, here.tone]
            }
            VolumeLayout::NoVolume {} => [None, self.tone],
        };
        let conducts: f64 = pots.into_iter().flatten().filter(|pot| pot.0 > 0.0).map(|pot| 1.0 / pot.0).sum();
        (conducts > 0.0).then(|| Ohms(1.0 / conducts))
    }
}

/// What a guitar's face is finished with.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct Finish {
    /// Its kind.
    pub kind: FinishKind,
    /// How its surface is.
    pub surface: Surface,
    /// Its age and state, in words.
    #[serde(default)]
    pub words: String,
}

/// Kinds of finish, by what may touch them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/guitar.ts")]
pub enum FinishKind {
    /// Not known.
    Unknown,
    /// Nitrocellulose lacquer.
    Lacquer,
    /// Polyester or polyurethane.
    Poly,
    /// Shellac or another spirit varnish.
    Shellac,
    /// Oil or wax.
    OilOrWax,
    /// Bare wood.
    Bare,
}

impl FinishKind {
    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Unknown => "unknown finish",
            Self::Lacquer => "nitrocellulose lacquer",
            Self::Poly => "polyester or polyurethane",
            Self::Shellac => "shellac or spirit varnish",
            Self::OilOrWax => "oil or wax",
            Self::Bare => "bare wood",
        }
    }

    /// Whether rubber, vinyl, foam or tape can mark it, or it is not known that they can't.
    #[must_use]
    pub fn is_delicate(self) -> bool {
        match self {
            Self::Unknown | Self::Lacquer | Self::Shellac => true,
            Self::Poly | Self::OilOrWax | Self::Bare => false,
        }
    }
}

/// The surface of a guitar's face.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/guitar.ts")]
pub enum Surface {
    /// Not known: suction may slip.
    Unknown,
    /// Flat and glossy: suction holds.
    FlatGloss,
    /// Flat and matt: suction slips.
    FlatMatt,
    /// Carved: suction slips.
    Carved,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::controls::{PlacePots, TrackWiring};

    #[test]
    fn pots_beside_each_other_load_together() {
        let pot = |kilohms: f64| Some(Ohms(kilohms * 1e3));
        let own = |place: &str, volume, tone| PlacePots { place: place.to_owned(), volume, tone, capacitor: None };
        let each = VolumeLayout::EachPlace {
            track: TrackWiring::PickupOnTrack,
            pots: vec![own("neck", pot(500.0), pot(500.0)), own("bridge", pot(500.0), None), own("middle", None, None)],
        };
        let with = |layout, volume, tone| Controls { layout, volume, tone, ..Controls::default() };
        for (controls, place, kilohms) in [
            (with(VolumeLayout::Shared {}, pot(250.0), pot(250.0)), "neck", Some(125.0)),
            (with(VolumeLayout::Shared {}, pot(500.0), None), "neck", Some(500.0)),
            (with(VolumeLayout::Shared {}, None, None), "neck", None),
            (with(VolumeLayout::NoVolume {}, pot(250.0), None), "neck", None),
            (with(each.clone(), None, None), "neck", Some(250.0)),
            (with(each.clone(), None, None), "bridge", Some(500.0)),
            (with(each.clone(), None, None), "middle", None),
            (with(each, pot(250.0), None), "gone", None),
        ] {
            let found = controls.pots_at(place).map(|ohms| ohms.0 / 1e3);
            assert!(found.zip(kilohms).map_or(found == kilohms, |(a, b)| (a - b).abs() < 1e-9), "{place}: {found:?}");
        }
    }
}
