//! A decision as its page shows it, and what was decided before.

use chrono::{DateTime, Utc};
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::{SAME_PLACE, SURE};
use crate::blind::BlindEvidence;
use crate::comparison::Compared;
use crate::record::audition::AuditionId;
use crate::record::body::{Body, ComparisonBody, StrikeBody};
use crate::record::decision::{Must, Wish};
use crate::record::entry::Entry;
use crate::record::guitar::GuitarId;
use crate::record::listening::Quality;
use crate::record::names::EntryId;
use crate::record::pickup::PickupId;
use crate::record::quantity::{InInches, Length, Millimetres};
use crate::record::rig::Mode;
use crate::record::strike::Struck;
use crate::record::verdict::Verdict;

/// A decision for one place of a guitar.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct DecisionView {
    /// The guitar.
    pub guitar: GuitarId,
    /// What it is called.
    pub guitar_label: String,
    /// The places at which something was heard, the one with the newest audition first.
    pub places: Vec<PlaceOffered>,
    /// What the place is called that this is about; empty when nothing was heard yet.
    pub place: String,
    /// From the saddle to the pole line.
    pub from_saddle: Option<Length>,
    /// Every quality with the words to wish by, and what is wished.
    pub wishes: Vec<WishView>,
    /// Must-haves.
    pub musts: Vec<MustView>,
    /// What can't be counted with, in sentences: wishes and steps off the scale in the last decision, and who was rated beside
    /// what was fitted alone.
    pub left_out: Vec<String>,
    /// Every quality with its words, to name must-haves by.
    pub qualities: Vec<QualityOffered>,
    /// How sure the order is.
    pub verdict: Option<Verdict>,
    /// The candidates in groups that can be told apart, the best first. Without a wish they are all in one.
    pub groups: Vec<GroupView>,
    /// Candidates that fail a must-have.
    pub out: Vec<CandidateView>,
    /// What to hear next to be surer.
    pub next: Option<NextAudition>,
    /// What is taken for granted, in sentences.
    pub assumptions: Vec<String>,
    /// What was heard blind of takes from this place, the newest first: above notes, as nobody saw the names.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[ts(optional = nullable, as = "Option<Vec<BlindEvidence>>")]
    pub blind: Vec<BlindEvidence>,
    /// What was decided for this guitar, the newest first.
    pub decided: Vec<DecidedLine>,
}

/// A place at which something was heard.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct PlaceOffered {
    /// What it is called.
    pub name: String,
    /// From the saddle to the pole line.
    pub from_saddle: Length,
    /// How many auditions it had.
    pub auditions: usize,
}

/// One quality and what is wished of it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct WishView {
    /// The quality.
    pub quality: Quality,
    /// Its name.
    pub name: String,
    /// The words for −2 to 2.
    pub anchors: [String; 5],
    /// What is wished, from −2 to 2.
    pub want: i8,
}

/// A must-have.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct MustView {
    /// What.
    pub must: Must,
    /// In words.
    pub words: String,
}

/// A quality with the words of its scale.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct QualityOffered {
    /// Which.
    pub quality: Quality,
    /// Its name.
    pub name: String,
    /// The words for 1 to 5.
    pub anchors: [String; 5],
}

/// Candidates that can't be told from the first of them.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct GroupView {
    /// "In front", "Tied for first" or "Behind".
    pub title: String,
    /// The candidates.
    pub candidates: Vec<CandidateView>,
}

/// One candidate.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct CandidateView {
    /// The pickup.
    pub pickup: PickupId,
    /// What it is called.
    pub label: String,
    /// The mode.
    pub mode: Mode,
    /// The newest audition it was rated in.
    pub audition: AuditionId,
    /// How many auditions it was rated in.
    pub auditions: usize,
    /// The chance that it is the best of those that may be chosen, from 0 to 1; nothing without a wish.
    pub chance: Option<f64>,
    /// The chance in words: "best in 64 of 100".
    pub chance_shown: String,
    /// What speaks for it.
    pub speaks_for: Vec<String>,
    /// What speaks against it.
    pub against: Vec<String>,
    /// What of it can't be said for sure about must-haves.
    pub musts: Vec<String>,
    /// What weakens its evidence, the worst first.
    pub weak: Vec<String>,
}

/// What to hear next.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct NextAudition {
    /// What and why, in sentences.
    pub sentence: String,
    /// The audition whose pickup and modes are heard again.
    pub again: AuditionId,
    /// The audition under whose conditions.
    pub like: AuditionId,
}

/// Something that was decided.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/comparison.ts")]
pub struct DecidedLine {
    /// The entry.
    pub entry: EntryId,
    /// When.
    #[ts(type = "string")]
    pub at: DateTime<Utc>,
    /// In words.
    pub words: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub in_inches: Option<InInches>,
    /// The audition it was chosen by.
    pub audition: AuditionId,
    /// The pickup that was chosen.
    pub pickup: PickupId,
    /// The mode it was chosen in.
    pub mode: Mode,
    /// What the place is called.
    pub place: String,
    /// Whether it is the last word for its place.
    pub stands: bool,
    /// Whether it was struck out, and why.
    pub struck: Option<Struck>,
}

/// What was decided for a guitar by its entries, as [`crate::record::entry::in_order`] sorts them; the newest first.
#[must_use]
pub fn decided_lines(ordered: &[(Entry, bool)]) -> Vec<DecidedLine> {
    let mut lines: Vec<DecidedLine> = Vec::new();
    let mut settled: Vec<Millimetres> = Vec::new();
    for (entry, struck) in ordered.iter().rev() {
        let Some(Body::Comparison(ComparisonBody::Decided { decision })) = entry.body.known() else { continue };
        let struck = struck
            .then(|| {
                ordered.iter().rev().find_map(|(other, other_struck)| match other.body.known() {
                    Some(Body::Strike(StrikeBody::StruckOut { entry: target, why }))
                        if *target == entry.id && !other_struck =>
                    {
                        Some(Struck { by: other.id, at: other.at, why: why.clone() })
                    }
                    _ => None,
                })
            })
            .flatten();
        let newer = settled.iter().any(|place| (place.0 - decision.from_saddle.0).abs() <= SAME_PLACE.0);
        let stands = struck.is_none() && !newer;
        if stands {
            settled.push(decision.from_saddle);
        }
        let (words, in_inches) = InInches::told(|unit| decision.in_words(unit));
        lines.push(DecidedLine {
            entry: entry.id,
            at: entry.at,
            words,
            in_inches,
            audition: decision.audition,
            pickup: decision.pickup,
            mode: decision.mode.clone(),
            place: decision.place.clone(),
            stands,
            struck,
        });
    }
    lines
}

/// What is taken for granted.
#[must_use]
pub fn assumptions() -> Vec<String> {
    vec![
        "A rating is taken to be true to half a step (common practice). What was heard in another setting may be off by one step \
         more, and each lesser doubt adds half a step."
            .to_owned(),
        "What was never rated may be anything from 1 to 5.".to_owned(),
        format!(
            "Two candidates are told apart when one is better in {:.0} of 100 cases. Whoever can't be told from the best is level \
             with it. The rest is sorted the same way.",
            SURE * 100.0
        ),
        "Notes are weighed by how sure they are, and what you want of each quality counts in proportion.".to_owned(),
    ]
}

/// The places of a guitar at which something was heard, the one heard last first; places within [`SAME_PLACE`] are one.
#[must_use]
pub fn places(all: &[Compared]) -> Vec<PlaceOffered> {
    let mut sorted: Vec<&Compared> = all.iter().collect();
    sorted.sort_by_key(|one| std::cmp::Reverse((one.when(), one.id)));
    let mut places: Vec<PlaceOffered> = Vec::new();
    for one in sorted {
        let Some(choice) = one.audition.choice.as_ref().map(|saved| &saved.said) else { continue };
        let same = |known: &&mut PlaceOffered| (known.from_saddle.value.0 - choice.from_saddle.0).abs() <= SAME_PLACE.0;
        match places.iter_mut().find(same) {
            Some(known) => known.auditions += 1,
            None => places.push(PlaceOffered {
                name: choice.place.clone(),
                from_saddle: choice.from_saddle.into(),
                auditions: 1,
            }),
        }
    }
    places
}

/// What is wished of every quality, in the order in which they are asked.
#[must_use]
pub fn wish_views(wishes: &[Wish]) -> Vec<WishView> {
    Quality::ALL
        .map(|quality| WishView {
            quality,
            name: quality.name().to_owned(),
            anchors: Wish::anchors(quality),
            want: wishes.iter().find(|wish| wish.quality == quality).map_or(0, |wish| wish.want),
        })
        .to_vec()
}
