//! Hearing.

use super::{Caution, Condition, Moment, SignalWord, Source, WhenUnknown};

const NIOSH: Source = Source::Published("NIOSH 98-126");

pub(super) const CAUTIONS: &[Caution] = &[
    Caution {
        id: "loud-sound",
        word: SignalWord::Warning,
        hazard: "Loud sound wears out your ears.",
        harm: "The harm builds up over the day and never heals.",
        avoid: "Keep it low enough to talk over. Take breaks. Each 3 dB more halves the time your ears can take.",
        when: Condition::Always,
        unknown: WhenUnknown::Shown,
        moments: &[Moment::SoundUp, Moment::Proof],
        must_acknowledge: true,
        source: NIOSH,
        defer_to: "a hearing specialist",
    },
    Caution {
        id: "bang",
        word: SignalWord::Warning,
        hazard: "A bare terminal touched with the sound up makes a bang.",
        harm: "One bang can harm ears for good and tear a speaker.",
        avoid: "Volume to zero before you plug in, unplug, or touch a lead. Then raise it slowly.",
        when: Condition::Always,
        unknown: WhenUnknown::Shown,
        moments: &[Moment::SoundUp, Moment::Listen, Moment::TakeDown],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "a hearing specialist",
    },
];
