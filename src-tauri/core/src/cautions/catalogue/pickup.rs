//! The pickup.

use super::{Caution, Condition, Moment, SignalWord, Source, WhenUnknown};

pub(super) const CAUTIONS: &[Caution] = &[Caution {
    id: "coil-wire",
    word: SignalWord::Notice,
    hazard: "Coil wire is finer than hair.",
    harm: "One touch with a tool or a nail breaks it, and the coil is dead.",
    avoid: "Hold the pickup by its edges or its base. Never lift it by its leads.",
    when: Condition::Always,
    unknown: WhenUnknown::Shown,
    moments: &[Moment::WhichWay, Moment::Leads],
    must_acknowledge: true,
    source: Source::CommonPractice,
    defer_to: "a pickup winder",
}];
