//! What is known of each candidate, and what weakens it.

use std::collections::BTreeMap;

use super::ranking::Estimate;
use crate::audition::agreement;
use crate::comparison::Compared;
use crate::comparison::{Heard, Subject, Weight, differences, missing_in_mode, mixed, to_be_like};
use crate::physics::meter::AgreementKind;
use crate::record::audition::AuditionId;
use crate::record::listening::Quality;
use crate::record::pickup::PickupId;
use crate::record::quantity::LengthUnit;
use crate::record::rig::Mode;

/// A rating is true to half a step (common practice): its variance, in squared steps.
pub const HALF_A_STEP: f64 = 0.25;
/// What a note in another setting may be off besides, one step, as a variance.
const UNFAIR: f64 = 1.0;
/// What each lesser weakness adds: half a step, as a variance.
const DOUBT: f64 = 0.25;

/// What weakens a note.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Weakness {
    /// Something was not the same as in the audition that it is held against, in a way that can be heard.
    Unfair(Vec<Subject>),
    /// Something may not have been the same, or nobody recorded it of this one.
    Doubtful(Vec<Subject>),
    /// It was rated after looking at the reference.
    Led,
    /// Hum was rated while nothing grounded the strings.
    HumUngrounded,
    /// Its readings do not agree, or none prove that it was hooked up right.
    NotProven,
    /// A hold was passed.
    HoldPassed,
    /// Steps were left out.
    StepsLeftOut,
}

impl Weakness {
    /// What it adds to the variance of a rating of this quality.
    fn variance(&self, quality: Quality) -> f64 {
        match self {
            // A string ground is heard in the hum and nowhere else.
            Self::Unfair(subjects) if quality != Quality::Hum && *subjects == [Subject::StringGround] => 0.0,
            Self::HumUngrounded if quality != Quality::Hum => 0.0,
            Self::Unfair(_) | Self::HumUngrounded => UNFAIR,
            Self::Doubtful(_) | Self::Led | Self::NotProven => DOUBT,
            // BenchFact, but they say nothing of what was heard.
            Self::HoldPassed | Self::StepsLeftOut => 0.0,
        }
    }

    /// In words.
    #[must_use]
    pub fn in_words(&self) -> String {
        let listed = |subjects: &[Subject]| {
            crate::record::words::listed(
                &subjects.iter().map(|subject| subject.name().to_lowercase()).collect::<Vec<_>>(),
            )
        };
        match self {
            Self::Unfair(subjects) => format!("not heard as the others: {}", listed(subjects)),
            Self::Doubtful(subjects) => format!("perhaps not heard as the others: {}", listed(subjects)),
            Self::Led => "rated after looking at the reference".to_owned(),
            Self::HumUngrounded => "hum was rated without a string ground".to_owned(),
            Self::NotProven => "no readings prove that it was hooked up right".to_owned(),
            Self::HoldPassed => "a hold was passed".to_owned(),
            Self::StepsLeftOut => "steps were left out".to_owned(),
        }
    }
}

/// One audition of a candidate.
#[derive(Debug, Clone, PartialEq)]
pub struct Evidence {
    /// The audition.
    pub audition: AuditionId,
    /// Its ratings, each with how far it may be off.
    pub rated: BTreeMap<Quality, Estimate>,
    /// What weakens it.
    pub weak: Vec<Weakness>,
}

/// A pickup in one mode.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// The pickup.
    pub pickup: PickupId,
    /// What it is called.
    pub label: String,
    /// The mode.
    pub mode: Mode,
    /// The auditions it was rated in, the newest first.
    pub evidence: Vec<Evidence>,
}

impl Candidate {
    /// What its notes come to in one quality.
    #[must_use]
    pub fn estimate(&self, quality: Quality) -> Estimate {
        Estimate::of(&self.notes(quality))
    }

    /// The same if it were heard once more as the others were, with the same result.
    #[must_use]
    pub fn estimate_if_heard_again(&self, quality: Quality) -> Estimate {
        let mut notes = self.notes(quality);
        notes.push(Estimate { mean: Estimate::of(&notes).mean, variance: HALF_A_STEP });
        Estimate::of(&notes)
    }

    /// How often a quality was rated.
    #[must_use]
    pub fn times(&self, quality: Quality) -> usize {
        self.notes(quality).len()
    }

    fn notes(&self, quality: Quality) -> Vec<Estimate> {
        self.evidence.iter().filter_map(|evidence| evidence.rated.get(&quality).copied()).collect()
    }
}

/// The candidates in these auditions, which are all of one guitar and place: every pickup in every mode in which it was
/// rated, in the order of their names for good. Demo or not, open or not, whatever was rated counts.
#[must_use]
pub fn candidates(all: &[Compared]) -> Vec<Candidate> {
    let held_against = to_be_like(all).and_then(|index| all.get(index));
    let mut sorted: Vec<&Compared> = all.iter().collect();
    sorted.sort_by_key(|one| std::cmp::Reverse((one.when(), one.id)));
    let mut found: BTreeMap<(PickupId, Mode), Candidate> = BTreeMap::new();
    for one in sorted {
        for (mode, conditions) in &one.audition.conditions {
            let Some(choice) = &conditions.choice else { continue };
            let weak = weaknesses(one, mode, all, held_against);
            let (mut rated, mut led) = (BTreeMap::new(), false);
            for quality in Quality::ALL {
                let Some(rating) = one.audition.rated.get(&(mode.clone(), quality)).map(|saved| saved.said) else {
                    continue;
                };
                led |= rating.led;
                let weak = weak.iter().chain(rating.led.then_some(&Weakness::Led));
                let variance = HALF_A_STEP + weak.map(|weak| weak.variance(quality)).sum::<f64>();
                rated.insert(quality, Estimate { mean: f64::from(rating.value), variance });
            }
            if rated.is_empty() {
                continue;
            }
            let weak = weak.into_iter().chain(led.then_some(Weakness::Led)).collect();
            found
                .entry((choice.pickup, mode.clone()))
                .or_insert_with(|| Candidate {
                    pickup: choice.pickup,
                    label: one
                        .kit
                        .pickup
                        .as_ref()
                        .map_or_else(|| "A pickup that is gone".to_owned(), |p| p.label.clone()),
                    mode: mode.clone(),
                    evidence: Vec::new(),
                })
                .evidence
                .push(Evidence { audition: one.id, rated, weak });
        }
    }
    found.into_values().collect()
}

/// Who was rated beside what was fitted and nowhere else, in sentences: that is no step on a scale, so they are no candidates.
#[must_use]
pub fn beside_fitted_alone(all: &[Compared]) -> Vec<String> {
    let candidates = candidates(all);
    let mut told: BTreeMap<(PickupId, &Mode), String> = BTreeMap::new();
    for one in all {
        for (mode, conditions) in &one.audition.conditions {
            let Some(choice) = &conditions.choice else { continue };
            let rated = candidates.iter().any(|other| (other.pickup, &other.mode) == (choice.pickup, mode));
            if let Some(beside) = one.audition.beside_fitted(mode).filter(|_| !rated) {
                let label = one.kit.pickup.as_ref().map_or("A pickup that is gone", |pickup| pickup.label.as_str());
                told.insert(
                    (choice.pickup, mode),
                    format!(
                        "{label} in {} was rated {beside}. No step on a scale was given, so it is no candidate here.",
                        mode.0
                    ),
                );
            }
        }
    }
    told.into_values().collect()
}

fn weaknesses(one: &Compared, mode: &Mode, all: &[Compared], held_against: Option<&Compared>) -> Vec<Weakness> {
    let mut weak = Vec::new();
    // What nobody recorded is a weak point of those alone of which it is not recorded.
    let (mut unfair, mut doubtful) = (Vec::new(), missing_in_mode(one, mode, all));
    if let (Some(other), Some(conditions)) = (held_against.filter(|other| other.id != one.id), one.conditions(mode)) {
        // What it was heard in counts, in whichever mode that was.
        if let Some(other_in) = other.conditions_near(mode) {
            let heard = |name, of, conditions| Heard { name, of, mode, conditions };
            let (found, _) =
                differences(heard("one", one, conditions), heard("other", other, other_in), LengthUnit::Millimetre);
            for difference in found {
                match difference.weight {
                    Weight::Unfair => unfair.push(difference.subject),
                    Weight::Doubt if difference.not_recorded == [false; 2] => {
                        doubtful.insert(difference.subject);
                    }
                    Weight::Doubt | Weight::Harmless => {}
                }
            }
        }
    }
    doubtful.extend(mixed("one", one, mode).map(|difference| difference.subject));
    if !unfair.is_empty() {
        weak.push(Weakness::Unfair(unfair));
    } else if !doubtful.is_empty() {
        weak.push(Weakness::Doubtful(doubtful.into_iter().collect()));
    }
    let hum = one.audition.rated.contains_key(&(mode.clone(), Quality::Hum));
    if hum && one.conditions(mode).and_then(|heard| heard.string_ground) == Some(false) {
        weak.push(Weakness::HumUngrounded);
    }
    if agreement(&one.audition, &one.kit).is_none_or(|found| found.kind != AgreementKind::Agrees) {
        weak.push(Weakness::NotProven);
    }
    if !one.audition.overrides.is_empty() {
        weak.push(Weakness::HoldPassed);
    }
    if !one.audition.skipped.is_empty() {
        weak.push(Weakness::StepsLeftOut);
    }
    weak
}
