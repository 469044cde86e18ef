//! Strings.

use super::{Caution, Condition, Moment, SignalWord, Source, WhenUnknown};

pub(super) const CAUTIONS: &[Caution] = &[Caution {
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
}];
