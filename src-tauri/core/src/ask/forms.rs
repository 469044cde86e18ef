//! What a person types into a form, and the record it becomes.
//!
//! Every typed quantity travels as text and is read here, so that a refusal can name the field and no page has to
//! compute. The same form is given back, filled from the record, to be edited.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::Refusal;
use crate::record::audition::{AuditionId, Choice};
use crate::record::controls::{PlacePots, Selector, SelectorPosition, TrackWiring, VolumeLayout};
use crate::record::guitar::{Controls, Finish, Guitar, GuitarId, GuitarString, Hand, Place};
use crate::record::leads::SHIELD;
use crate::record::mounting::Lie;
use crate::record::names::EntryId;
use crate::record::pickup::{
    Coil, CoilEnd, CoilName, Construction, Lead, Magnets, Pickup, PickupId, Polarity, Poles, Shield, Stagger,
};
use crate::record::quantity::{
    Farads, LengthUnit, Millimetres, Ohms, Reading, read_farads, read_gauge, read_length, read_ohms,
};
use crate::record::rig::{Faces, Feet, Mode, Rig, RigId, SwitchPosition};
use crate::record::sound::Loudness;
use crate::record::words;
use crate::record::words::Unclear;

/// The level at the ear as typed or picked.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "by", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum LevelForm {
    /// Read from a meter.
    Meter {
        /// As typed: `85`, `92.5 dB(A)`.
        typed: String,
    },
    /// Picked from plain descriptions.
    Words {
        /// The description.
        loudness: Loudness,
    },
}

/// A pickup as typed. Empty text means "not known".
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct PickupForm {
    /// What its owner calls it.
    pub label: String,
    /// How it is built.
    pub construction: Construction,
    /// One to three coils.
    pub coils: Vec<CoilForm>,
    /// Its leads.
    pub leads: Vec<Lead>,
    /// Coil ends joined inside without a lead of their own.
    pub joined_inside: Vec<Vec<CoilEnd>>,
    /// The shield.
    pub shield: Shield,
    /// The lead that the frame or cover is joined to.
    #[serde(default)]
    pub frame_joined_to: Option<String>,
    /// What stands under the strings.
    pub poles: Poles,
    /// Where its magnets are; nothing when nobody knows.
    #[serde(default)]
    pub magnets: Option<Magnets>,
    /// How many poles, as typed.
    pub pole_count: String,
    /// Centre to centre of the outer poles, as typed.
    pub pole_spacing: String,
    /// `unknown`, `flat` or `staggered`.
    pub stagger: StaggerForm,
    /// Heights of staggered poles, bass end first, as typed; may be empty.
    pub heights: Vec<String>,
    /// Distance between the pole lines of two coils, as typed.
    pub coil_distance: String,
    /// How the bass end is marked.
    pub bass_end_mark: String,
    /// Size along the strings, as typed.
    pub width: String,
    /// Size across the strings, as typed.
    pub length: String,
    /// Depth, as typed.
    pub depth: String,
    /// Free words.
    pub notes: String,
    /// Where it came from.
    pub came_from: String,
    /// Whether it needs a battery; nothing where nobody knows.
    #[serde(default)]
    #[ts(optional = nullable)]
    pub active: Option<bool>,
    /// The unit of bare lengths.
    pub unit: LengthUnit,
}

/// A coil as typed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct CoilForm {
    /// Stated resistance, as typed.
    pub stated: String,
    /// The magnetic pole that faces the strings.
    pub magnet_up: Option<Polarity>,
}

/// Whether poles stand at different heights.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum StaggerForm {
    /// Not looked at.
    Unknown,
    /// All at one height.
    Flat,
    /// At different heights.
    Staggered,
}

/// A guitar as typed. Empty text means "not known".
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
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

/// The pickup selector as typed.
#[derive(Debug, Clone, PartialEq, Eq, Default, Serialize, Deserialize, TS)]
#[serde(tag = "kind", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
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
#[ts(export_to = "contract.ts")]
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
#[ts(export_to = "contract.ts")]
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

/// A string as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct StringForm {
    /// Its note.
    pub note: String,
    /// Its gauge, as typed.
    pub gauge: String,
}

/// How high the open strings of a guitar stand over its last fret, as typed. Empty text means "not known".
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
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
    pub(super) fn read(self, guitar: Guitar) -> Result<Guitar, Refusal> {
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

fn read_last_fret(typed: &str) -> Result<Option<u8>, Refusal> {
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
#[ts(export_to = "contract.ts")]
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

/// A rig as typed. Empty text means "not known".
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct RigForm {
    /// What its owner calls it.
    pub label: String,
    /// Which way a pickup's poles point in it.
    pub faces: Faces,
    /// Terminal names, in order.
    pub terminals: Vec<String>,
    /// What each switch position does.
    pub positions: Vec<SwitchPosition>,
    /// Travel of a stud for one turn, as typed.
    pub thread_pitch: String,
    /// How many studs.
    pub studs: u8,
    /// Distance between bass-side and treble-side studs, as typed.
    pub stud_spread: String,
    /// How far a stud travels, as typed.
    pub stud_travel: String,
    /// What it stands on.
    pub feet: Feet,
    /// Stray capacitance, as typed.
    pub stray: String,
    /// Free words.
    pub notes: String,
    /// The unit of bare lengths.
    pub unit: LengthUnit,
}

/// What is chosen for an audition, as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct ChoiceForm {
    /// The pickup.
    pub pickup: PickupId,
    /// The guitar.
    pub guitar: GuitarId,
    /// The rig.
    pub rig: RigId,
    /// What the place is called.
    pub place: String,
    /// From the saddle to the pole line, as typed; at the bass side where the two sides differ.
    pub from_saddle: String,
    /// The same at the treble side, as typed, where it differs.
    #[serde(default)]
    pub from_saddle_treble: String,
    /// The unit of a bare length.
    pub unit: LengthUnit,
    /// The modes to hear.
    pub modes: Vec<Mode>,
    /// What the person wants to find out.
    pub question: String,
}

/// What the studs are turned for, as typed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "aim", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum AimForm {
    /// The middle of the starting range.
    Middle {},
    /// The gaps of an earlier audition.
    Earlier {
        /// Which.
        audition: AuditionId,
    },
    /// Gaps of one's own.
    Typed {
        /// At the bass side, as typed.
        bass: String,
        /// At the treble side, as typed.
        treble: String,
        /// The unit of bare lengths.
        unit: LengthUnit,
        /// The fret at which the strings are pressed; nothing when they are open.
        pressed_at: Option<u8>,
    },
}

/// What is listened to at two places, as typed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub struct HearForm {
    /// The pickup.
    pub pickup: PickupId,
    /// The guitar.
    pub guitar: GuitarId,
    /// The rig.
    pub rig: RigId,
    /// How the pickup lies in the rig; nothing for the right way round.
    pub lie: Option<Lie>,
    /// From the saddle to the pole line in the rig, as typed; at the bass side where the two sides differ.
    pub from_saddle: String,
    /// The same at the treble side, as typed, where it differs.
    #[serde(default)]
    pub from_saddle_treble: String,
    /// From the saddle to the pole line where it will be installed, as typed; empty for the rig's place.
    pub final_place: String,
    /// The same at the treble side, as typed, where it differs.
    #[serde(default)]
    pub final_place_treble: String,
    /// The unit of bare lengths.
    pub unit: LengthUnit,
    /// The coil that hears alone; nothing for all together.
    pub coil: Option<CoilName>,
    /// Distance between two coils, as typed; empty for the record's.
    pub apart: String,
    /// Length of string that one coil senses, as typed; empty for the usual one.
    pub aperture: String,
    /// The string whose harmonics are wanted, counted from 0 at the bass side.
    pub string: u8,
    /// The fret at which it is pressed; 0 is open.
    pub fret: u8,
    /// The tuning, as typed; empty for the record's.
    pub tuning: String,
}

/// Makes a refusal of what was typed into this field.
pub(super) fn at(field: impl Into<String>) -> impl FnOnce(Unclear) -> Refusal {
    let field = field.into();
    move |unclear| Refusal::unclear(&field, unclear.sentence)
}

/// The longest scale that is taken: basses with fanned frets go up to some 940 mm.
const SCALE_MOST: f64 = 1000.0;
pub(super) const BETWEEN_SADDLE_AND_NUT: &str =
    "The place lies between the saddle and the nut. Measure from the saddle to the pole line.";

/// The height of a string over the last fret, which may be left empty.
fn height(typed: &str, unit: LengthUnit, field: &str) -> Result<Option<Millimetres>, Refusal> {
    match length(typed, unit, field)? {
        Some(height) if !(0.2..=8.0).contains(&height.0) => {
            let sentence = "An open string stands between 0.2 and 8 mm above the last fret. Check the unit.";
            Err(Refusal::unclear(field, sentence))
        }
        other => Ok(other),
    }
}

/// A length that may be left empty.
fn length(typed: &str, unit: LengthUnit, field: &str) -> Result<Option<Millimetres>, Refusal> {
    if typed.trim().is_empty() { Ok(None) } else { read_length(typed, unit).map(Some).map_err(at(field)) }
}

/// A resistance that may be left empty.
fn ohms(typed: &str, field: &str) -> Result<Option<Ohms>, Refusal> {
    if typed.trim().is_empty() {
        return Ok(None);
    }
    match read_ohms(typed).map_err(at(field))? {
        Reading::Ohms(ohms) if ohms.0 > 0.0 => Ok(Some(ohms)),
        Reading::Ohms(_) => {
            Err(Refusal::unclear(field, "A resistance of zero can't be right here. Leave it empty if it is not known."))
        }
        Reading::OverLimit => {
            Err(Refusal::unclear(field, "A stated resistance can't be over limit. Leave it empty if it is not known."))
        }
    }
}

fn farads(typed: &str, field: &str) -> Result<Option<Farads>, Refusal> {
    if typed.trim().is_empty() { Ok(None) } else { read_farads(typed).map(Some).map_err(at(field)) }
}

fn shown_length(length: Option<Millimetres>, unit: LengthUnit) -> String {
    let Some(length) = length else { return String::new() };
    // Given back as typed text: without the mark that says a fraction is rounded, and to a thousandth so that nothing
    // is lost by opening a form and writing it again.
    match unit {
        LengthUnit::Millimetre => trimmed(format!("{:.3}", length.0)) + " mm",
        LengthUnit::DecimalInch | LengthUnit::Sixtyfourth => trimmed(format!("{:.4}", length.inches())) + " in",
    }
}

/// How a length is written in a form.
type Written = fn(Option<Millimetres>, LengthUnit) -> String;

fn read_length_as(length: Option<Millimetres>, unit: LengthUnit) -> String {
    length.map(|length| length.shown(unit)).unwrap_or_default()
}

fn trimmed(text: String) -> String {
    if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.').to_owned() } else { text }
}

impl PickupForm {
    pub(super) fn read(self) -> Result<Pickup, Refusal> {
        if self.coils.is_empty() || self.coils.len() > 3 {
            return Err(Refusal::unclear("coils", "A pickup has one to three coils."));
        }
        if self.construction == Construction::TappedCoil && self.coils.len() < 2 {
            let sentence = "A tapped coil has two parts: up to its tap, and beyond it. Give it two.";
            return Err(Refusal::unclear("coils", sentence));
        }
        let mut coils = Vec::new();
        for (index, (coil, name)) in self.coils.iter().zip(CoilName::ALL).enumerate() {
            coils.push(Coil {
                name,
                stated: ohms(&coil.stated, &format!("coils.{index}.stated"))?,
                magnet_up: coil.magnet_up,
            });
        }
        let mut leads: Vec<Lead> = Vec::new();
        if self.leads.len() > 8 {
            return Err(Refusal::unclear("leads", "More than eight leads don't fit here."));
        }
        for (index, lead) in self.leads.into_iter().enumerate() {
            let field = format!("leads.{index}.name");
            let name = words::label(&lead.name, "the lead").map_err(at(field.as_str()))?;
            if leads.iter().any(|other| other.name == name) || name == SHIELD {
                return Err(Refusal::unclear(&field, "Two leads can't share a name. Add a mark, like “white 2”."));
            }
            if lead.ends.iter().any(|end| coils.iter().all(|coil| coil.name != end.coil)) {
                return Err(Refusal::unclear(
                    &format!("leads.{index}.ends"),
                    "This lead names a coil that the pickup does not have.",
                ));
            }
            leads.push(Lead { name, ends: lead.ends });
        }
        let joined_to = self.shield.joined_to.filter(|name| !name.trim().is_empty());
        if let Some(name) = &joined_to
            && leads.iter().all(|lead| &lead.name != name)
        {
            return Err(Refusal::unclear(
                "shield.joined_to",
                "The shield is joined to a lead that is not in the list.",
            ));
        }
        let frame_joined_to = self.frame_joined_to.filter(|name| !name.trim().is_empty());
        if frame_joined_to.as_ref().is_some_and(|name| leads.iter().all(|lead| &lead.name != name)) {
            return Err(Refusal::unclear("frame_joined_to", "The frame is joined to a lead that is not in the list."));
        }
        let pole_count = match self.pole_count.trim() {
            "" => None,
            typed => Some(typed.parse::<u8>().ok().filter(|count| (1..=24).contains(count)).ok_or_else(|| {
                Refusal::unclear("pole_count", "Write how many poles it has as a whole number from 1 to 24.")
            })?),
        };
        let stagger = match self.stagger {
            StaggerForm::Unknown => Stagger::Unknown,
            StaggerForm::Flat => Stagger::Flat,
            StaggerForm::Staggered => {
                let mut heights = Vec::new();
                for (index, typed) in self.heights.iter().take(24).enumerate() {
                    heights.extend(length(typed, self.unit, &format!("heights.{index}"))?);
                }
                Stagger::Staggered { heights }
            }
        };
        Ok(Pickup {
            label: words::label(&self.label, "the pickup").map_err(at("label"))?,
            construction: self.construction,
            coils,
            leads,
            joined_inside: self.joined_inside,
            shield: Shield { kind: self.shield.kind, joined_to },
            frame_joined_to,
            poles: self.poles,
            magnets: self.magnets,
            pole_count,
            pole_spacing: length(&self.pole_spacing, self.unit, "pole_spacing")?,
            stagger,
            coil_distance: length(&self.coil_distance, self.unit, "coil_distance")?,
            bass_end_mark: words::note(&self.bass_end_mark, "the mark").map_err(at("bass_end_mark"))?,
            width: length(&self.width, self.unit, "width")?,
            length: length(&self.length, self.unit, "length")?,
            depth: length(&self.depth, self.unit, "depth")?,
            notes: words::note(&self.notes, "the note").map_err(at("notes"))?,
            came_from: words::note(&self.came_from, "the note").map_err(at("came_from"))?,
            active: self.active,
        })
    }

    /// As typed text, from which nothing is lost.
    pub(super) fn from_record(pickup: &Pickup, unit: LengthUnit) -> Self {
        Self::with_lengths(pickup, unit, shown_length)
    }

    /// To be read and not to be typed again: lengths as they are shown elsewhere.
    pub(super) fn to_read(pickup: &Pickup, unit: LengthUnit) -> Self {
        Self::with_lengths(pickup, unit, read_length_as)
    }

    fn with_lengths(pickup: &Pickup, unit: LengthUnit, written: Written) -> Self {
        let shown = |length| written(length, unit);
        let (stagger, heights) = match &pickup.stagger {
            Stagger::Unknown => (StaggerForm::Unknown, Vec::new()),
            Stagger::Flat => (StaggerForm::Flat, Vec::new()),
            Stagger::Staggered { heights } => {
                (StaggerForm::Staggered, heights.iter().map(|height| shown(Some(*height))).collect())
            }
        };
        Self {
            label: pickup.label.clone(),
            construction: pickup.construction,
            coils: pickup
                .coils
                .iter()
                .map(|coil| CoilForm {
                    stated: coil.stated.map(Ohms::shown).unwrap_or_default(),
                    magnet_up: coil.magnet_up,
                })
                .collect(),
            leads: pickup.leads.clone(),
            joined_inside: pickup.joined_inside.clone(),
            shield: pickup.shield.clone(),
            frame_joined_to: pickup.frame_joined_to.clone(),
            poles: pickup.poles,
            magnets: pickup.magnets,
            pole_count: pickup.pole_count.map(|count| count.to_string()).unwrap_or_default(),
            pole_spacing: shown(pickup.pole_spacing),
            stagger,
            heights,
            coil_distance: shown(pickup.coil_distance),
            bass_end_mark: pickup.bass_end_mark.clone(),
            width: shown(pickup.width),
            length: shown(pickup.length),
            depth: shown(pickup.depth),
            notes: pickup.notes.clone(),
            came_from: pickup.came_from.clone(),
            active: pickup.active,
            unit,
        }
    }
}

impl GuitarForm {
    pub(super) fn read(self) -> Result<Guitar, Refusal> {
        let count = self.strings.len();
        if self.in_pairs && !matches!(count, 8 | 10 | 12) {
            return Err(Refusal::unclear("strings", "In pairs there are eight, ten or twelve strings here."));
        }
        if !self.in_pairs && !(4..=8).contains(&count) {
            return Err(Refusal::unclear("strings", "A guitar has four to eight strings here, or twelve in pairs."));
        }
        let mut strings = Vec::new();
        for (index, string) in self.strings.iter().enumerate() {
            let note = words::label(&string.note, "the note").map_err(at(format!("strings.{index}.note")))?;
            let gauge = if string.gauge.trim().is_empty() {
                None
            } else {
                Some(read_gauge(&string.gauge).map_err(at(format!("strings.{index}.gauge")))?)
            };
            strings.push(GuitarString { note, gauge });
        }
        let between = |read: &Millimetres| (250.0..=SCALE_MOST).contains(&read.0);
        let scale_wrong = "Write the scale length, nut to saddle, between 250 and 1000 mm.";
        let scale = length(&self.scale, self.unit, "scale")?
            .filter(between)
            .ok_or_else(|| Refusal::unclear("scale", scale_wrong))?;
        let scale_treble = length(&self.scale_treble, self.unit, "scale_treble")?;
        if scale_treble.is_some_and(|treble| !between(&treble)) {
            return Err(Refusal::unclear("scale_treble", scale_wrong));
        }
        let last_fret = read_last_fret(&self.last_fret)?;
        let height_bass = height(&self.height_bass, self.unit, "height_bass")?;
        let height_treble = height(&self.height_treble, self.unit, "height_treble")?;
        let mut places = Vec::new();
        for (index, place) in self.places.into_iter().enumerate() {
            let field = |name: &str| format!("places.{index}.{name}");
            let from_saddle = read_length(&place.from_saddle, self.unit).map_err(at(field("from_saddle")))?;
            if from_saddle.0 >= scale.0 {
                return Err(Refusal::unclear(
                    &field("from_saddle"),
                    "That is beyond the nut. Measure from the saddle to the pole line.",
                ));
            }
            let treble = length(&place.from_saddle_treble, self.unit, &field("from_saddle_treble"))?;
            if treble.is_some_and(|treble| treble.0 <= 0.0 || treble.0 >= scale_treble.unwrap_or(scale).0) {
                return Err(Refusal::unclear(&field("from_saddle_treble"), BETWEEN_SADDLE_AND_NUT));
            }
            places.push(Place {
                name: words::label(&place.name, "the place").map_err(at(field("name")))?,
                from_saddle,
                from_saddle_treble: treble,
                opening_length: length(&place.opening_length, self.unit, &field("opening_length"))?,
                opening_width: length(&place.opening_width, self.unit, &field("opening_width"))?,
                depth: length(&place.depth, self.unit, &field("depth"))?,
                fitted: place.fitted,
                fitted_words: words::note(&place.fitted_words, "the note").map_err(at(field("fitted_words")))?,
            });
        }
        if places.is_empty() {
            return Err(Refusal::unclear("places", "Add at least one place for a pickup."));
        }
        let names: Vec<String> = places.iter().map(|place: &Place| place.name.clone()).collect();
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
            spread_nut: length(&self.spread_nut, self.unit, "spread_nut")?,
            spread_saddle: length(&self.spread_saddle, self.unit, "spread_saddle")?,
            places,
            controls: Controls {
                volume: ohms(&self.volume, "volume")?,
                tone: ohms(&self.tone, "tone")?,
                capacitor: farads(&self.capacitor, "capacitor")?,
                words: words::note(&self.controls, "the note").map_err(at("controls"))?,
                selector: self.selector.read(&names)?,
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
    pub(super) fn from_record(guitar: &Guitar, unit: LengthUnit) -> Self {
        Self::with_lengths(guitar, unit, shown_length)
    }

    /// To be read and not to be typed again: lengths as they are shown elsewhere.
    pub(super) fn to_read(guitar: &Guitar, unit: LengthUnit) -> Self {
        // Scale lengths go by decimal inches.
        let in_decimals = if unit == LengthUnit::Sixtyfourth { LengthUnit::DecimalInch } else { unit };
        Self {
            scale: guitar.scale.shown(in_decimals),
            scale_treble: read_length_as(guitar.scale_treble, in_decimals),
            ..Self::with_lengths(guitar, unit, read_length_as)
        }
    }

    fn with_lengths(guitar: &Guitar, unit: LengthUnit, written: Written) -> Self {
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
                            format!("{:.4}", gauge.inches()).trim_start_matches('0').trim_end_matches('0').to_owned()
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

impl SelectorForm {
    fn read(self, places: &[String]) -> Result<Option<Selector>, Refusal> {
        let positions = match self {
            Self::None => return Ok(None),
            Self::Usual => return Ok(Selector::usual(places)),
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
            if let Some(missing) = position.places.iter().find(|place| !places.contains(place)) {
                let sentence = format!("The guitar has no place called {missing}. Take it out of this position.");
                return Err(Refusal::unclear(&field("places"), sentence));
            }
            read.push(SelectorPosition { name, places: position.places });
        }
        Ok(Some(Selector { positions: read }))
    }

    fn of(guitar: &Guitar) -> Self {
        let names: Vec<String> = guitar.places.iter().map(|place| place.name.clone()).collect();
        match &guitar.controls.selector {
            None => Self::None,
            Some(selector) if Selector::usual(&names).as_ref() == Some(selector) => Self::Usual,
            Some(selector) => Self::Own { positions: selector.positions.clone() },
        }
    }
}

/// The volumes; pots of places that the guitar does not have are left out.
fn read_layout(
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

impl RigForm {
    pub(super) fn read(self) -> Result<Rig, Refusal> {
        let count = self.terminals.len();
        if !(2..=8).contains(&count) {
            return Err(Refusal::unclear("terminals", "A terminal block has two to eight terminals here."));
        }
        let mut terminals = Vec::new();
        for (index, name) in self.terminals.iter().enumerate() {
            terminals.push(words::label(name, "the terminal").map_err(at(format!("terminals.{index}")))?);
        }
        if self.positions.is_empty() || self.positions.len() > 8 {
            return Err(Refusal::unclear("positions", "A rig's switch has one to eight positions here."));
        }
        let mut positions: Vec<SwitchPosition> = Vec::new();
        for (index, position) in self.positions.into_iter().enumerate() {
            let field = format!("positions.{index}");
            let mode = Mode(words::label(&position.mode.0, "the mode").map_err(at(field.as_str()))?.to_lowercase());
            if positions.iter().any(|other| other.mode == mode) {
                return Err(Refusal::unclear(&field, "Two positions can't give the same mode."));
            }
            if position.bonds.iter().flatten().chain(&position.output).any(|terminal| usize::from(*terminal) >= count) {
                return Err(Refusal::unclear(&field, "This position names a terminal that the block does not have."));
            }
            if position.output[0] == position.output[1] {
                return Err(Refusal::unclear(&field, "The output needs two different terminals."));
            }
            positions.push(SwitchPosition { mode, ..position });
        }
        if !(2..=4).contains(&self.studs) {
            return Err(Refusal::unclear("studs", "A rig stands on two to four studs here."));
        }
        let thread_pitch = length(&self.thread_pitch, self.unit, "thread_pitch")?;
        if thread_pitch.is_some_and(|pitch| !(0.1..=5.0).contains(&pitch.0)) {
            return Err(Refusal::unclear(
                "thread_pitch",
                "A stud travels between 0.1 and 5 mm a turn. Check the unit.",
            ));
        }
        Ok(Rig {
            label: words::label(&self.label, "the rig").map_err(at("label"))?,
            faces: self.faces,
            terminals,
            positions,
            thread_pitch,
            studs: self.studs,
            stud_spread: length(&self.stud_spread, self.unit, "stud_spread")?,
            stud_travel: length(&self.stud_travel, self.unit, "stud_travel")?,
            feet: self.feet,
            stray: farads(&self.stray, "stray")?,
            notes: words::note(&self.notes, "the note").map_err(at("notes"))?,
        })
    }

    /// As typed text, from which nothing is lost.
    pub(super) fn from_record(rig: &Rig, unit: LengthUnit) -> Self {
        Self::with_lengths(rig, unit, shown_length)
    }

    /// To be read and not to be typed again: lengths as they are shown elsewhere.
    pub(super) fn to_read(rig: &Rig, unit: LengthUnit) -> Self {
        // A thread's pitch is finer than any 64th.
        let thread_pitch = shown_length(rig.thread_pitch, unit);
        Self { thread_pitch, ..Self::with_lengths(rig, unit, read_length_as) }
    }

    fn with_lengths(rig: &Rig, unit: LengthUnit, written: Written) -> Self {
        Self {
            label: rig.label.clone(),
            faces: rig.faces,
            terminals: rig.terminals.clone(),
            positions: rig.positions.clone(),
            thread_pitch: written(rig.thread_pitch, unit),
            studs: rig.studs,
            stud_spread: written(rig.stud_spread, unit),
            stud_travel: written(rig.stud_travel, unit),
            feet: rig.feet,
            stray: rig.stray.map(Farads::shown).unwrap_or_default(),
            notes: rig.notes.clone(),
            unit,
        }
    }
}

impl ChoiceForm {
    pub(super) fn read(self, guitar: &Guitar, rig: &Rig) -> Result<Choice, Refusal> {
        let from_saddle = read_length(&self.from_saddle, self.unit).map_err(at("from_saddle"))?;
        if from_saddle.0 <= 0.0 || from_saddle.0 >= guitar.scale.0 {
            return Err(Refusal::unclear("from_saddle", BETWEEN_SADDLE_AND_NUT));
        }
        let from_saddle_treble = length(&self.from_saddle_treble, self.unit, "from_saddle_treble")?;
        if from_saddle_treble.is_some_and(|treble| treble.0 <= 0.0 || treble.0 >= guitar.scales()[1].0) {
            return Err(Refusal::unclear("from_saddle_treble", BETWEEN_SADDLE_AND_NUT));
        }
        let mut modes: Vec<Mode> = Vec::new();
        for mode in self.modes {
            if rig.position(&mode).is_none() {
                return Err(Refusal::unclear("modes", "The rig's switch has no such position."));
            }
            if !modes.contains(&mode) {
                modes.push(mode);
            }
        }
        if modes.is_empty() {
            return Err(Refusal::unclear("modes", "Choose at least one mode to hear."));
        }
        Ok(Choice {
            pickup: self.pickup,
            guitar: self.guitar,
            rig: self.rig,
            place: words::label(&self.place, "the place").map_err(at("place"))?,
            from_saddle,
            from_saddle_treble,
            modes,
            question: words::note(&self.question, "the question").map_err(at("question"))?,
        })
    }
}
/// What is said of the sound at an install.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(tag = "do", rename_all = "snake_case", deny_unknown_fields)]
#[ts(export_to = "contract.ts")]
pub enum SoundAct {
    /// Tells how loud it is at the ear.
    TellLevel {
        /// By a meter or in plain words.
        level: LevelForm,
    },
    /// Corrects a time with the sound up.
    CorrectListening {
        /// The entry with which the sound came up.
        session: EntryId,
        /// How long it really was, as typed; empty where that was right.
        time: String,
        /// How loud it really was; nothing where that was right.
        level: Option<LevelForm>,
    },
}
