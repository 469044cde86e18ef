//! Strings.

use super::{Caution, Condition, Moment, SignalWord, Source, WhenUnknown};

pub(super) const CAUTIONS: &[Caution] = &[
    Caution {
        id: "strings-whip",
        word: SignalWord::Caution,
        hazard: "A tight string whips when it lets go.",
        harm: "It cuts skin and can scratch an eye.",
        avoid: "Wear glasses. Slacken each string at its tuner before you cut it or take it off.",
        when: Condition::Always,
        unknown: WhenUnknown::Shown,
        moments: &[Moment::Fit],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "a guitar technician",
    },
    Caution {
        id: "string-ends",
        word: SignalWord::Caution,
        hazard: "Cut string ends are sharp.",
        harm: "They prick fingers and scratch eyes and finish.",
        avoid: "Wear glasses. Coil old strings up and bin them at once.",
        when: Condition::Always,
        unknown: WhenUnknown::Shown,
        moments: &[Moment::Fit],
        must_acknowledge: false,
        source: Source::CommonPractice,
        defer_to: "a guitar technician",
    },
    Caution {
        id: "wire-ends",
        word: SignalWord::Caution,
        hazard: "Cut wire ends fly and prick.",
        harm: "They scratch eyes and stick in fingers.",
        avoid: "Wear glasses when you cut or strip a lead. Hold the end that comes off.",
        when: Condition::Always,
        unknown: WhenUnknown::Shown,
        moments: &[Moment::Leads],
        must_acknowledge: false,
        source: Source::CommonPractice,
        defer_to: "a guitar technician",
    },
];
