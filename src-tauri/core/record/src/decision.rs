//! A decision as it is written down.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::audition::AuditionId;
use crate::listening::Quality;
use crate::pickup::PickupId;
use crate::quantity::{LengthUnit, Millimetres};
use crate::rig::Mode;

/// What a person wants of one quality, and how much it matters to them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/comparison.ts")]
pub struct Wish {
    /// The quality.
    pub quality: Quality,
    /// From −2, much less of it, to 2, much more; 0 does not matter.
    pub want: i8,
}

impl Wish {
    /// The words for −2 to 2.
    #[must_use]
    pub fn anchors(quality: Quality) -> [String; 5] {
        let [less, more] = quality.compared();
        let much = |words: &str| format!("much {words}");
        [much(less), less.to_owned(), "does not matter".to_owned(), more.to_owned(), much(more)]
    }
}

/// Which side of a value is meant.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/comparison.ts")]
pub enum Bound {
    /// This value or more.
    AtLeast,
    /// This value or less.
    AtMost,
}

/// Must-haves.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/comparison.ts")]
pub struct Must {
    /// The quality.
    pub quality: Quality,
    /// Whether the value is the least or the most.
    pub bound: Bound,
    /// 1 to 5.
    pub value: u8,
}

impl Must {
    /// "Hum: faint at most".
    #[must_use]
    pub fn in_words(self) -> String {
        let bound = match self.bound {
            Bound::AtLeast => "at least",
            Bound::AtMost => "at most",
        };
        format!("{}: {} {bound}", self.quality.name(), self.quality.word(self.value).unwrap_or("off the scale"))
    }
}

/// The most things that may have to be so.
const MOST_MUSTS: usize = 16;

/// What is wished, and the must-haves, as far as it can be counted with.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Wanted {
    /// One wish a quality at most, each from −2 to 2.
    pub wishes: Vec<Wish>,
    /// Sixteen at most, each a step from 1 to 5.
    pub musts: Vec<Must>,
    /// What was left out, in sentences; empty where everything is in range.
    pub left_out: Vec<String>,
}

impl Wanted {
    /// Takes what is in range, and says what is not: no page writes such a thing, but a file that is taken in may hold it.
    #[must_use]
    pub fn of(wishes: &[Wish], musts: &[Must]) -> Self {
        let mut wanted = Self::default();
        for wish in wishes {
            let name = wish.quality.name().to_lowercase();
            if !(-2..=2).contains(&wish.want) {
                wanted.left_out.push(format!("A wish of {} for {name} is off the scale. It is left out.", wish.want));
            } else if wanted.wishes.iter().any(|one| one.quality == wish.quality) {
                wanted.left_out.push(format!("A second wish for {name} is left out."));
            } else {
                wanted.wishes.push(*wish);
            }
        }
        for must in musts {
            let name = must.quality.name().to_lowercase();
            if !(1..=5).contains(&must.value) {
                wanted.left_out.push(format!("Step {} of {name} is off the scale. It is left out.", must.value));
            } else if wanted.musts.len() == MOST_MUSTS {
                wanted.left_out.push(format!("More than {MOST_MUSTS} must-haves: {name} is left out."));
            } else {
                wanted.musts.push(*must);
            }
        }
        wanted
    }
}

/// A pickup in one mode, with the auditions it was heard in.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/comparison.ts")]
pub struct Contender {
    /// The pickup.
    pub pickup: PickupId,
    /// What it was called.
    pub label: String,
    /// The mode.
    pub mode: Mode,
    /// The auditions it was heard in.
    pub auditions: Vec<AuditionId>,
}

/// What was decided.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/comparison.ts")]
pub struct Decision {
    /// What the place is called.
    pub place: String,
    /// From the saddle to the pole line, in millimetres.
    pub from_saddle: Millimetres,
    /// What was wanted.
    pub wishes: Vec<Wish>,
    /// What had to be so.
    pub musts: Vec<Must>,
    /// Who was to choose from.
    pub contenders: Vec<Contender>,
    /// The pickup that was chosen.
    pub pickup: PickupId,
    /// What it was called.
    pub label: String,
    /// The mode it was chosen in.
    pub mode: Mode,
    /// The audition it was chosen by.
    pub audition: AuditionId,
    /// Why, in words.
    pub why: String,
}

impl Decision {
    /// "Decided for the neck, 162 mm from the saddle: Lantern stack in single, of 4 candidates. Why".
    #[must_use]
    pub fn in_words(&self, unit: LengthUnit) -> String {
        let of = match self.contenders.len() {
            0 | 1 => "the only candidate".to_owned(),
            count => format!("of {count} candidates"),
        };
        format!(
            "Decided for {}, {} from the saddle: {} in {}, {of}. Why: {}",
            self.place,
            self.from_saddle.shown(unit),
            self.label,
            self.mode.0,
            self.why
        )
    }
}
