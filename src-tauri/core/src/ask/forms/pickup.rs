//! A pickup as typed.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::ask::Refusal;
use crate::ask::forms::typed::{Written, at, length, length_of, ohms, read_length_as, shown_length};
use crate::physics::lengths::{SIZE, SPREAD};
use crate::record::leads::{Contact, LeadName, MOST_LEADS, TOO_MANY};
use crate::record::pickup::{
    Coil, CoilEnd, CoilName, Construction, Lead, Magnets, Pickup, Polarity, Poles, Shield, ShieldKind, Stagger,
};
use crate::record::quantity::{LengthUnit, Ohms};
use crate::record::words;

/// A pickup as typed. Empty text means "not known".
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/pickup.ts")]
pub struct PickupForm {
    /// What its owner calls it.
    pub label: String,
    /// How it is built.
    pub construction: Construction,
    /// One to three coils.
    pub coils: Vec<CoilForm>,
    /// What is stated for both coils in series, as typed; each coil is then taken as half of it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub stated_together: Option<String>,
    /// Its leads.
    pub leads: Vec<Lead>,
    /// Coil ends joined inside without a lead of their own.
    pub joined_inside: Vec<Vec<CoilEnd>>,
    /// The shield.
    pub shield: Shield,
    /// The lead that the frame or cover is joined to, or `shield`.
    #[serde(default)]
    pub frame_joined_to: Option<Contact>,
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
#[ts(export_to = "contract/pickup.ts")]
pub struct CoilForm {
    /// Stated resistance, as typed.
    pub stated: String,
    /// The magnetic pole that faces the strings.
    pub magnet_up: Option<Polarity>,
}

/// Whether poles stand at different heights.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/pickup.ts")]
pub enum StaggerForm {
    /// Not looked at.
    Unknown,
    /// All at one height.
    Flat,
    /// At different heights.
    Staggered,
}

/// Leads with names of their own, at coils that the pickup has.
fn read_leads(typed: Vec<Lead>, coils: &[Coil]) -> Result<Vec<Lead>, Refusal> {
    let mut leads: Vec<Lead> = Vec::new();
    if typed.len() > MOST_LEADS {
        return Err(Refusal::unclear("leads", TOO_MANY));
    }
    for (index, lead) in typed.into_iter().enumerate() {
        let field = format!("leads.{index}.name");
        let name = LeadName(words::label(lead.name.as_str(), "the lead").map_err(at(field.as_str()))?);
        if Contact::Shield.is(&name) {
            let sentence = "“shield” means the shield of the cable here. Say under Shield what it is; a braid that is the end of a coil \
                            is called “braid”.";
            return Err(Refusal::unclear(&field, sentence));
        }
        if leads.iter().any(|other| other.name == name) {
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
    Ok(leads)
}

fn read_pole_count(typed: &str) -> Result<Option<u8>, Refusal> {
    let typed = typed.trim();
    if typed.is_empty() {
        return Ok(None);
    }
    let count = typed.parse::<u8>().ok().filter(|count| (1..=24).contains(count));
    let wrong = || Refusal::unclear("pole_count", "Write how many poles it has as a whole number from 1 to 24.");
    count.map(Some).ok_or_else(wrong)
}

fn read_stagger(stagger: StaggerForm, typed: &[String], unit: LengthUnit) -> Result<Stagger, Refusal> {
    Ok(match stagger {
        StaggerForm::Unknown => Stagger::Unknown,
        StaggerForm::Flat => Stagger::Flat,
        StaggerForm::Staggered => {
            let mut heights = Vec::new();
            for (index, typed) in typed.iter().take(24).enumerate() {
                heights.extend(length(typed, unit, &format!("heights.{index}"))?);
            }
            Stagger::Staggered { heights }
        }
    })
}

impl PickupForm {
    pub(crate) fn read(self) -> Result<Pickup, Refusal> {
        if self.coils.is_empty() || self.coils.len() > 3 {
            return Err(Refusal::unclear("coils", "A pickup has one to three coils."));
        }
        if self.construction == Construction::TappedCoil && self.coils.len() < 2 {
            let sentence = "A tapped coil has two parts: up to its tap, and beyond it. Give it two.";
            return Err(Refusal::unclear("coils", sentence));
        }
        let half = match &self.stated_together {
            Some(typed) => ohms(typed, "stated_together")?.map(|whole| Ohms(whole.0 / 2.0)),
            None => None,
        };
        if half.is_some() && self.coils.len() != 2 {
            return Err(Refusal::unclear("stated_together", "One figure for both needs a pickup with two coils."));
        }
        let mut coils = Vec::new();
        for (index, (coil, name)) in self.coils.iter().zip(CoilName::ALL).enumerate() {
            coils.push(Coil {
                name,
                stated: half.or(ohms(&coil.stated, &format!("coils.{index}.stated"))?),
                magnet_up: coil.magnet_up,
            });
        }
        let leads = read_leads(self.leads, &coils)?;
        let joined_to = self.shield.joined_to.filter(|name| !name.as_str().trim().is_empty());
        if let Some(name) = &joined_to
            && leads.iter().all(|lead| &lead.name != name)
        {
            return Err(Refusal::unclear(
                "shield.joined_to",
                "The shield is joined to a lead that is not in the list.",
            ));
        }
        let frame_joined_to = self.frame_joined_to.filter(|name| !name.as_str().trim().is_empty());
        match &frame_joined_to {
            Some(Contact::Shield) if self.shield.kind == ShieldKind::None => {
                let sentence = "The frame is joined to a shield, and there is none. Say under Shield what it is.";
                return Err(Refusal::unclear("frame_joined_to", sentence));
            }
            Some(contact @ (Contact::Lead(_) | Contact::Frame)) if leads.iter().all(|lead| !contact.is(&lead.name)) => {
                return Err(Refusal::unclear(
                    "frame_joined_to",
                    "The frame is joined to a lead that is not in the list.",
                ));
            }
            Some(_) | None => {}
        }
        let pole_count = read_pole_count(&self.pole_count)?;
        let stagger = read_stagger(self.stagger, &self.heights, self.unit)?;
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
            pole_spacing: length_of(&SPREAD, &self.pole_spacing, self.unit, "pole_spacing")?,
            stagger,
            coil_distance: length_of(&SIZE, &self.coil_distance, self.unit, "coil_distance")?,
            bass_end_mark: words::note(&self.bass_end_mark, "the mark").map_err(at("bass_end_mark"))?,
            width: length_of(&SIZE, &self.width, self.unit, "width")?,
            length: length_of(&SIZE, &self.length, self.unit, "length")?,
            depth: length_of(&SIZE, &self.depth, self.unit, "depth")?,
            notes: words::note(&self.notes, "the note").map_err(at("notes"))?,
            came_from: words::note(&self.came_from, "the note").map_err(at("came_from"))?,
            active: self.active,
        })
    }

    /// As typed text, from which nothing is lost.
    pub(crate) fn from_record(pickup: &Pickup, unit: LengthUnit) -> Self {
        Self::with_lengths(pickup, unit, shown_length)
    }

    /// To be read and not to be typed again: lengths as they are shown elsewhere.
    pub(crate) fn to_read(pickup: &Pickup, unit: LengthUnit) -> Self {
        Self::with_lengths(pickup, unit, read_length_as)
    }

    pub(crate) fn with_lengths(pickup: &Pickup, unit: LengthUnit, written: Written) -> Self {
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
            stated_together: None,
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
