//! A pickup: its coils, magnets, poles and leads, as far as they are known.

use serde::{Deserialize, Serialize};
use ts_rs::TS;
use uuid::Uuid;

use crate::lead_name::{Contact, LeadName};
use crate::quantity::{Millimetres, Ohms};

/// Names one pickup for good, across benches.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(transparent)]
#[ts(export_to = "contract/pickup.ts")]
pub struct PickupId(pub Uuid);

/// What a person knows of a pickup. Everything but the label may be unknown.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/pickup.ts")]
pub struct Pickup {
    /// What its owner calls it; never empty.
    pub label: String,
    /// How it is built.
    pub construction: Construction,
    /// One to three coils, in the order A, B, C.
    pub coils: Vec<Coil>,
    /// The leads that come out of it, in any order; the shield is not among them.
    pub leads: Vec<Lead>,
    /// Coil ends joined inside the pickup that have no lead of their own, as sets of ends.
    #[serde(default)]
    pub joined_inside: Vec<Vec<CoilEnd>>,
    /// The shield and what it is joined to.
    pub shield: Shield,
    /// The lead or the shield that its frame, baseplate or metal cover is joined to inside, if any.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub frame_joined_to: Option<Contact>,
    /// What stands under the strings.
    pub poles: Poles,
    /// Where its magnets are; nothing when nobody knows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub magnets: Option<Magnets>,
    /// How many poles, where there are single ones.
    pub pole_count: Option<u8>,
    /// Centre to centre of the outer poles, in millimetres.
    pub pole_spacing: Option<Millimetres>,
    /// Whether the poles stand at different heights.
    pub stagger: Stagger,
    /// Distance between the two coils' pole lines for side-by-side coils, in millimetres; 18 mm is common practice.
    #[serde(default)]
    pub coil_distance: Option<Millimetres>,
    /// Whether the bass end is marked, and how ("arrow on the base", "lead exit").
    #[serde(default)]
    pub bass_end_mark: String,
    /// Outside size along the strings, in millimetres.
    #[serde(default)]
    pub width: Option<Millimetres>,
    /// Outside size across the strings, in millimetres.
    #[serde(default)]
    pub length: Option<Millimetres>,
    /// Depth below the mounting surface, in millimetres.
    #[serde(default)]
    pub depth: Option<Millimetres>,
    /// Free words.
    #[serde(default)]
    pub notes: String,
    /// Where it came from.
    #[serde(default)]
    pub came_from: String,
    /// Whether it needs a battery, as it has an amplifier inside; nothing where nobody has said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional = nullable)]
    pub active: Option<bool>,
}

/// How a pickup is built. "Soap-bar", "rail" and "mini" name the shape; the coils say the rest.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/pickup.ts")]
pub enum Construction {
    /// One coil round its poles.
    SingleCoil,
    /// One coil above the other round the same magnets.
    Stacked,
    /// Two coils beside each other along the strings.
    SideBySide,
    /// A wide, flat coil in a soap-bar case.
    SoapBar,
    /// Blades in the size of a single coil, two narrow coils beside each other.
    Rail,
    /// A smaller two-coil pickup.
    Mini,
    /// One winding with a lead part of the way. Its parts are coil A, up to the tap, and coil B, beyond it.
    TappedCoil,
}

impl Construction {
    /// In a person's words.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::SingleCoil => "single coil",
            Self::Stacked => "stacked coils",
            Self::SideBySide => "humbucker",
            Self::SoapBar => "soap-bar",
            Self::Rail => "rail",
            Self::Mini => "mini",
            Self::TappedCoil => "tapped coil",
        }
    }
}

/// One coil.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/pickup.ts")]
pub struct Coil {
    /// Which coil.
    pub name: CoilName,
    /// The resistance its maker states, at 20 °C, in ohms.
    pub stated: Option<Ohms>,
    /// The magnetic pole that faces the strings.
    pub magnet_up: Option<Polarity>,
}

/// A coil's letter. In a stacked pickup A is the upper coil, in a tapped one the part up to the tap; side by side, A is the
/// coil nearer the neck when it is installed on a guitar that is strung for the right hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/pickup.ts")]
pub enum CoilName {
    /// The first coil.
    A,
    /// The second coil.
    B,
    /// The third coil.
    C,
}

impl CoilName {
    /// All letters, in order.
    pub const ALL: [Self; 3] = [Self::A, Self::B, Self::C];

    /// `A`, `B` or `C`.
    #[must_use]
    pub fn letter(self) -> &'static str {
        match self {
            Self::A => "A",
            Self::B => "B",
            Self::C => "C",
        }
    }
}

/// A magnetic pole.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/pickup.ts")]
pub enum Polarity {
    /// North faces the strings.
    North,
    /// South faces the strings.
    South,
}

/// One end of a coil: its plus end swings positive when steel is pulled off its poles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/pickup.ts")]
pub struct CoilEnd {
    /// The coil.
    pub coil: CoilName,
    /// Which of its ends.
    pub end: End,
}

impl CoilEnd {
    /// `coil A plus`.
    #[must_use]
    pub fn in_words(self) -> String {
        format!("coil {} {}", self.coil.letter(), self.end.in_words())
    }
}

/// Plus or minus end of a coil.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/pickup.ts")]
pub enum End {
    /// The minus end.
    Minus,
    /// The plus end.
    Plus,
}

impl End {
    /// `plus` or `minus`.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Minus => "minus",
            Self::Plus => "plus",
        }
    }
}

/// A lead, by the colour or name its owner gives it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/pickup.ts")]
pub struct Lead {
    /// Colour or name in the owner's words; no two leads of a pickup share one.
    pub name: LeadName,
    /// The coil ends it is joined to: none when unknown, one for an ordinary lead, two where it is the join of two
    /// coils.
    #[serde(default)]
    pub ends: Vec<CoilEnd>,
}

/// The shield of a pickup's cable.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/pickup.ts")]
pub struct Shield {
    /// What it is made of.
    pub kind: ShieldKind,
    /// The name of the lead it is joined to inside, if any.
    #[serde(default)]
    pub joined_to: Option<LeadName>,
}

/// Kinds of shield.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/pickup.ts")]
pub enum ShieldKind {
    /// No shield.
    None,
    /// A bare wire beside the leads.
    BareWire,
    /// A braided sheath round the leads, used as ground.
    Braid,
}

/// What stands under the strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/pickup.ts")]
pub enum Poles {
    /// Magnet rods.
    Rods,
    /// Steel screws.
    Screws,
    /// A blade under all strings.
    Blade,
    /// Not known, or hidden by a cover.
    Hidden,
}

/// Where the magnets of a pickup are, which decides how hard it pulls the strings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/pickup.ts")]
pub enum Magnets {
    /// The poles are magnets themselves and end right under the strings.
    InPoles,
    /// A bar below or beside the coil; the poles, a blade or screws are steel.
    Bar,
}

/// Heights of the poles.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case", tag = "kind")]
#[ts(export_to = "contract/pickup.ts")]
pub enum Stagger {
    /// Not looked at.
    Unknown,
    /// All at one height.
    Flat,
    /// At different heights; above the lowest pole in millimetres, bass end first, if measured.
    Staggered {
        /// One height a pole, bass end first; may be empty.
        heights: Vec<Millimetres>,
    },
}

impl Pickup {
    /// An end of one of its coils: `coil A plus`, and `plus` where there is one coil alone.
    #[must_use]
    pub fn end_in_words(&self, end: CoilEnd) -> String {
        match self.coils.as_slice() {
            [alone] if alone.name == end.coil => end.end.in_words().to_owned(),
            _ => end.in_words(),
        }
    }

    /// A pickup of which no more is known than what it is called and how it is built: no coils and no leads yet, and rods for poles.
    #[must_use]
    pub fn new(label: impl Into<String>, construction: Construction) -> Self {
        Self {
            label: label.into(),
            construction,
            coils: Vec::new(),
            leads: Vec::new(),
            joined_inside: Vec::new(),
            shield: Shield { kind: ShieldKind::None, joined_to: None },
            frame_joined_to: None,
            poles: Poles::Rods,
            magnets: None,
            pole_count: None,
            pole_spacing: None,
            stagger: Stagger::Unknown,
            coil_distance: None,
            bass_end_mark: String::new(),
            width: None,
            length: None,
            depth: None,
            notes: String::new(),
            came_from: String::new(),
            active: None,
        }
    }

    /// The lead that a probe or a terminal touches; nothing where it is none of this pickup's.
    #[must_use]
    pub fn lead(&self, contact: &Contact) -> Option<&Lead> {
        self.leads.iter().find(|lead| contact.is(&lead.name))
    }

    /// What is joined to a lead inside, by the shield or without it, and belongs at ground with it, in words, each with the
    /// lead.
    #[must_use]
    pub fn joined_to_leads(&self) -> Vec<(&'static str, &LeadName)> {
        let shield = self.shield.joined_to.as_ref().filter(|_| self.shield.kind != ShieldKind::None);
        let frame = self.frame_joined_to.as_ref().and_then(|contact| match contact {
            Contact::Shield => shield,
            Contact::Lead(_) | Contact::Frame => self.lead(contact).map(|lead| &lead.name),
        });
        [("the shield", shield), ("the frame or cover", frame)]
            .into_iter()
            .filter_map(|(what, lead)| Some((what, lead?)))
            .filter(|(_, lead)| self.leads.iter().any(|other| other.name == **lead))
            .collect()
    }

    /// Whether its frame can be joined to this: a lead of its own, or the shield where it has one.
    #[must_use]
    pub fn can_have_frame_on(&self, contact: &Contact) -> bool {
        self.lead(contact).is_some() || (*contact == Contact::Shield && self.shield.kind != ShieldKind::None)
    }

    /// Whether two of its coils lie beside each other along the strings.
    #[must_use]
    pub fn has_coils_side_by_side(&self) -> bool {
        self.coils.len() > 1
            && match self.construction {
                Construction::SideBySide | Construction::Rail | Construction::Mini | Construction::SoapBar => true,
                Construction::SingleCoil | Construction::Stacked | Construction::TappedCoil => false,
            }
    }
}
