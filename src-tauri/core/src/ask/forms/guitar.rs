//! A guitar as typed.

mod controls;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use self::controls::read_layout;
pub use self::controls::{LayoutForm, PotsForm, SelectorForm};
use crate::ask::Refusal;
use crate::ask::forms::typed::{Written, at, farads, from_to, height, length_of, ohms, read_length_as, shown_length};
use crate::physics::lengths::{PLACE, SCALE, SIZE, SPREAD, read_length_of};
use crate::record::controls::{TrackWiring, VolumeLayout};
use crate::record::guitar::{Controls, Finish, Guitar, GuitarString, Hand, Place};
use crate::record::pickup::PickupId;
use crate::record::quantity::{Farads, LengthUnit, Millimetres, Ohms, read_gauge};
use crate::record::words;

/// A guitar as typed. Empty text means "not known".
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct GuitarForm {
    /// What its owner calls it.
    pub label: String,
    /// Which hand it is built for.
    pub hand: Hand,
    /// Which hand it is strung for, where that is another.
    #[serde(default)]
    pub strung: Option<Hand>,
    /// Whether its strings stand in pairs.
    #[serde(default)]
    pub in_pairs: bool,
    /// Its strings, bass side first.
    pub strings: Vec<StringForm>,
    /// How old the strings are, in words.
    pub strings_age: String,
    /// Scale length, as typed; that of the bass side where the frets are fanned.
    pub scale: String,
    /// Scale length of the treble side, as typed, where the frets are fanned.
    #[serde(default)]
    pub scale_treble: String,
    /// The number of its last fret, as typed.
    #[serde(default)]
    pub last_fret: String,
    /// From the last fret to the underside of the open string at the bass side, as typed.
    #[serde(default)]
    pub height_bass: String,
    /// The same at the treble side.
    #[serde(default)]
    pub height_treble: String,
    /// Outer strings at the nut, as typed.
    pub spread_nut: String,
    /// Outer strings at the saddle, as typed.
    pub spread_saddle: String,
    /// Places for pickups.
    pub places: Vec<PlaceForm>,
    /// Volume pot, as typed.
    pub volume: String,
    /// Tone pot, as typed.
    pub tone: String,
    /// Tone capacitor, as typed.
    pub capacitor: String,
    /// Anything else about the controls, in words.
    pub controls: String,
    /// The pickup selector.
    #[serde(default)]
    pub selector: SelectorForm,
    /// How the volumes are laid out.
    #[serde(default)]
    pub layout: LayoutForm,
    /// How the volumes of the places are wired, where each place has one.
    #[serde(default)]
    pub track: TrackWiring,
    /// The pots of each place, where each place has its own.
    #[serde(default)]
    pub pots: Vec<PotsForm>,
    /// Its finish.
    pub finish: Finish,
    /// Free words.
    pub notes: String,
    /// The unit of bare lengths.
    pub unit: LengthUnit,
}

/// A string as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct StringForm {
    /// Its note.
    pub note: String,
    /// Its gauge, as typed.
    pub gauge: String,
}

/// How high the open strings of a guitar stand over its last fret, as typed. Empty text means "not known".
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct HeightsForm {
    /// The number of the last fret.
    pub last_fret: String,
    /// At the bass side.
    pub bass: String,
    /// At the treble side.
    pub treble: String,
    /// The unit of bare lengths.
    pub unit: LengthUnit,
}

impl HeightsForm {
    /// The guitar with these heights.
    pub(crate) fn read(self, guitar: Guitar) -> Result<Guitar, Refusal> {
        let last_fret = read_last_fret(&self.last_fret)?;
        let needed = |read: Option<Millimetres>, field: &str| match read {
            Some(_) => Ok(read),
            None => Err(Refusal::unclear(field, "Measure from the last fret to the underside of the open string.")),
        };
        Ok(Guitar {
            last_fret: last_fret.or(guitar.last_fret),
            height_bass: needed(height(&self.bass, self.unit, "heights.bass")?, "heights.bass")?,
            height_treble: needed(height(&self.treble, self.unit, "heights.treble")?, "heights.treble")?,
            ..guitar
        })
    }
}

pub(crate) fn read_last_fret(typed: &str) -> Result<Option<u8>, Refusal> {
    match typed.trim() {
        "" => Ok(None),
        typed => typed.parse::<u8>().ok().filter(|fret| (12..=36).contains(fret)).map(Some).ok_or_else(|| {
            Refusal::unclear("last_fret", "Write the number of the last fret as a whole number from 12 to 36.")
        }),
    }
}

/// A place as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/guitar.ts")]
pub struct PlaceForm {
    /// What it is called.
    pub name: String,
    /// From the saddle to the pole line, as typed; at the bass side where the two sides differ.
    pub from_saddle: String,
    /// The same at the treble side, as typed, where it differs.
    #[serde(default)]
    pub from_saddle_treble: String,
    /// Opening across the strings, as typed.
    pub opening_length: String,
    /// Opening along the strings, as typed.
    pub opening_width: String,
    /// Depth, as typed.
    pub depth: String,
    /// The pickup that sits there, if it is one of the records.
    pub fitted: Option<PickupId>,
    /// Words about what sits there.
    pub fitted_words: String,
}

/// The longest scale that is taken: basses with fanned frets go up to some 940 mm.
pub(crate) const SCALE_MOST: f64 = 1000.0;
/// The shortest scale that is taken, in millimetres.
const SCALE_LEAST: f64 = 250.0;

pub(crate) const BETWEEN_SADDLE_AND_NUT: &str =
    "The place lies between the saddle and the nut. Measure from the saddle to the pole line.";

fn read_strings(typed: &[StringForm], in_pairs: bool) -> Result<Vec<GuitarString>, Refusal> {
    let count = typed.len();
    if in_pairs && !matches!(count, 8 | 10 | 12) {
        return Err(Refusal::unclear("strings", "In pairs there are eight, ten or twelve strings here."));
    }
    if !in_pairs && !(4..=8).contains(&count) {
        return Err(Refusal::unclear("strings", "A guitar has four to eight strings here, or twelve in pairs."));
    }
    let mut strings = Vec::new();
    for (index, string) in typed.iter().enumerate() {
        let note = words::label(&string.note, "the note").map_err(at(format!("strings.{index}.note")))?;
        let gauge = if string.gauge.trim().is_empty() {
            None
        } else {
            Some(read_gauge(&string.gauge).map_err(at(format!("strings.{index}.gauge")))?)
        };
        strings.push(GuitarString { note, gauge });
    }
    Ok(strings)
}

impl PlaceForm {
    /// The place, between the saddle and the nut at the bass and at the treble side.
    fn read(self, index: usize, unit: LengthUnit, scale: [Millimetres; 2]) -> Result<Place, Refusal> {
        let field = |name: &str| format!("places.{index}.{name}");
        let from_saddle = read_length_of(&self.from_saddle, unit, &PLACE).map_err(at(field("from_saddle")))?;
        if from_saddle.0 >= scale[0].0 {
            return Err(Refusal::unclear(
                &field("from_saddle"),
                "That is beyond the nut. Measure from the saddle to the pole line.",
            ));
        }
        let treble = length_of(&PLACE, &self.from_saddle_treble, unit, &field("from_saddle_treble"))?;
        if treble.is_some_and(|treble| treble.0 <= 0.0 || treble.0 >= scale[1].0) {
            return Err(Refusal::unclear(&field("from_saddle_treble"), BETWEEN_SADDLE_AND_NUT));
        }
        Ok(Place {
            name: words::label(&self.name, "the place").map_err(at(field("name")))?,
            from_saddle,
            from_saddle_treble: treble,
            opening_length: length_of(&SIZE, &self.opening_length, unit, &field("opening_length"))?,
            opening_width: length_of(&SIZE, &self.opening_width, unit, &field("opening_width"))?,
            depth: length_of(&SIZE, &self.depth, unit, &field("depth"))?,
            fitted: self.fitted,
            fitted_words: words::note(&self.fitted_words, "the note").map_err(at(field("fitted_words")))?,
        })
    }
}

/// Whether there is such a scale length.
pub(crate) fn scale_can_be(scale: Millimetres) -> bool {
    (SCALE_LEAST..=SCALE_MOST).contains(&scale.0)
}

impl GuitarForm {
    pub(crate) fn read(self) -> Result<Guitar, Refusal> {
        let strings = read_strings(&self.strings, self.in_pairs)?;
        let between = |read: &Millimetres| scale_can_be(*read);
        let can_be = from_to(SCALE_LEAST, SCALE_MOST, self.unit);
        let scale_wrong = format!("Write the scale length, nut to saddle, between {can_be}.");
        let scale = length_of(&SCALE, &self.scale, self.unit, "scale")?
            .filter(between)
            .ok_or_else(|| Refusal::unclear("scale", scale_wrong.as_str()))?;
        let scale_treble = length_of(&SCALE, &self.scale_treble, self.unit, "scale_treble")?;
        if scale_treble.is_some_and(|treble| !between(&treble)) {
            return Err(Refusal::unclear("scale_treble", scale_wrong));
        }
        let last_fret = read_last_fret(&self.last_fret)?;
        let height_bass = height(&self.height_bass, self.unit, "height_bass")?;
        let height_treble = height(&self.height_treble, self.unit, "height_treble")?;
        let mut places = Vec::new();
        for (index, place) in self.places.into_iter().enumerate() {
            places.push(place.read(index, self.unit, [scale, scale_treble.unwrap_or(scale)])?);
        }
        if places.is_empty() {
            return Err(Refusal::unclear("places", "Add at least one place for a pickup."));
        }
        let names: Vec<String> = places.iter().map(|place: &Place| place.name.clone()).collect();
        let selector = self.selector.read(&places)?;
        Ok(Guitar {
            label: words::label(&self.label, "the guitar").map_err(at("label"))?,
            hand: self.hand,
            strung: self.strung.filter(|strung| *strung != self.hand),
            strings,
            in_pairs: self.in_pairs,
            strings_age: words::note(&self.strings_age, "the note").map_err(at("strings_age"))?,
            scale,
            scale_treble,
            last_fret,
            height_bass,
            height_treble,
            spread_nut: length_of(&SPREAD, &self.spread_nut, self.unit, "spread_nut")?,
            spread_saddle: length_of(&SPREAD, &self.spread_saddle, self.unit, "spread_saddle")?,
            places,
            controls: Controls {
                volume: ohms(&self.volume, "volume")?,
                tone: ohms(&self.tone, "tone")?,
                capacitor: farads(&self.capacitor, "capacitor")?,
                words: words::note(&self.controls, "the note").map_err(at("controls"))?,
                selector,
                layout: read_layout(self.layout, self.track, &self.pots, &names)?,
            },
            finish: Finish {
                words: words::note(&self.finish.words, "the note").map_err(at("finish.words"))?,
                ..self.finish
            },
            notes: words::note(&self.notes, "the note").map_err(at("notes"))?,
        })
    }

    /// As typed text, from which nothing is lost.
    pub(crate) fn from_record(guitar: &Guitar, unit: LengthUnit) -> Self {
        Self::with_lengths(guitar, unit, shown_length)
    }

    /// To be read and not to be typed again: lengths as they are shown elsewhere.
    pub(crate) fn to_read(guitar: &Guitar, unit: LengthUnit) -> Self {
        // Scale lengths go by decimal inches.
        let in_decimals = if unit == LengthUnit::Sixtyfourth { LengthUnit::DecimalInch } else { unit };
        Self {
            scale: guitar.scale.shown(in_decimals),
            scale_treble: read_length_as(guitar.scale_treble, in_decimals),
            ..Self::with_lengths(guitar, unit, read_length_as)
        }
    }

    pub(crate) fn with_lengths(guitar: &Guitar, unit: LengthUnit, written: Written) -> Self {
        let shown = |length| written(length, unit);
        Self {
            label: guitar.label.clone(),
            hand: guitar.hand,
            strung: guitar.strung,
            in_pairs: guitar.in_pairs,
            strings: guitar
                .strings
                .iter()
                .map(|string| StringForm {
                    note: string.note.clone(),
                    gauge: string
                        .gauge
                        .map(|gauge| {
                            // `.010`, as on a packet; `.0095` where it is so.
                            let inches = format!("{:.4}", gauge.inches());
                            inches.strip_suffix('0').unwrap_or(&inches).trim_start_matches('0').to_owned()
                        })
                        .unwrap_or_default(),
                })
                .collect(),
            strings_age: guitar.strings_age.clone(),
            scale: shown(Some(guitar.scale)),
            scale_treble: shown(guitar.scale_treble),
            last_fret: guitar.last_fret.map(|fret| fret.to_string()).unwrap_or_default(),
            height_bass: shown(guitar.height_bass),
            height_treble: shown(guitar.height_treble),
            spread_nut: shown(guitar.spread_nut),
            spread_saddle: shown(guitar.spread_saddle),
            places: guitar
                .places
                .iter()
                .map(|place| PlaceForm {
                    name: place.name.clone(),
                    from_saddle: shown(Some(place.from_saddle)),
                    from_saddle_treble: shown(place.from_saddle_treble),
                    opening_length: shown(place.opening_length),
                    opening_width: shown(place.opening_width),
                    depth: shown(place.depth),
                    fitted: place.fitted,
                    fitted_words: place.fitted_words.clone(),
                })
                .collect(),
            volume: guitar.controls.volume.map(Ohms::shown).unwrap_or_default(),
            tone: guitar.controls.tone.map(Ohms::shown).unwrap_or_default(),
            capacitor: guitar.controls.capacitor.map(Farads::shown).unwrap_or_default(),
            controls: guitar.controls.words.clone(),
            selector: SelectorForm::of(guitar),
            layout: match &guitar.controls.layout {
                VolumeLayout::Shared {} => LayoutForm::Shared,
                VolumeLayout::EachPlace { .. } => LayoutForm::EachPlace,
                VolumeLayout::NoVolume {} => LayoutForm::NoVolume,
            },
            track: match &guitar.controls.layout {
                VolumeLayout::EachPlace { track, .. } => *track,
                VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => TrackWiring::default(),
            },
            pots: match &guitar.controls.layout {
                VolumeLayout::EachPlace { pots, .. } => pots
                    .iter()
                    .map(|pots| PotsForm {
                        place: pots.place.clone(),
                        volume: pots.volume.map(Ohms::shown).unwrap_or_default(),
                        tone: pots.tone.map(Ohms::shown).unwrap_or_default(),
                        capacitor: pots.capacitor.map(Farads::shown).unwrap_or_default(),
                    })
                    .collect(),
                VolumeLayout::Shared {} | VolumeLayout::NoVolume {} => Vec::new(),
            },
            finish: guitar.finish.clone(),
            notes: guitar.notes.clone(),
            unit,
        }
    }
}
