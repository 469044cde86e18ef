//! What the readings of an audition prove, in one word, for lists and for looking it up again.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::fold::Audition;
use super::judged::agreement;
use crate::audition::kit::Kit;
use crate::physics::meter::AgreementKind;

/// What the readings of an audition came to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/audition.ts")]
pub enum CameTo {
    /// Every mode that was to be tried was measured, and the readings agree.
    Proven,
    /// The readings don't agree.
    SomethingWrong,
    /// A mode was not measured, or the readings leave it open.
    NotProven,
}

impl CameTo {
    /// All of them, the best first.
    pub const ALL: [Self; 3] = [Self::Proven, Self::SomethingWrong, Self::NotProven];

    /// In a word or two.
    #[must_use]
    pub fn in_words(self) -> &'static str {
        match self {
            Self::Proven => "Readings agree",
            Self::SomethingWrong => "Something wrong",
            Self::NotProven => "Left open",
        }
    }
}

/// What the readings prove, with the things as they were described then.
#[must_use]
pub fn proof(audition: &Audition, kit: &Kit) -> CameTo {
    let Some(choice) = &audition.choice else { return CameTo::NotProven };
    let modes = &choice.said.modes;
    let all = !modes.is_empty() && modes.iter().all(|mode| audition.readings.contains_key(mode));
    match agreement(audition, kit).map(|agreement| agreement.kind) {
        Some(AgreementKind::DoesNotAgree) => CameTo::SomethingWrong,
        Some(AgreementKind::Agrees) if all => CameTo::Proven,
        Some(AgreementKind::Agrees | AgreementKind::CantSay | AgreementKind::NothingYet) | None => CameTo::NotProven,
    }
}
