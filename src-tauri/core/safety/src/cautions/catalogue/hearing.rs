//! Hearing.

use super::{Caution, Condition, Fact, Moment, SignalWord, Source, WhenUnknown};

/// From this level on, in dB(A), ears have a quarter of an hour a day by NIOSH 98-126.
const VERY_LOUD: f64 = 100.0;

const NIOSH: Source = Source::Published("NIOSH 98-126");

pub(super) const CAUTIONS: &[Caution] = &[
    Caution {
        id: "loud-sound",
        word: SignalWord::Warning,
        hazard: "Loud sound wears out your ears.",
        harm: "The harm builds up over the day and never heals.",
        avoid: "Keep the sound low enough to talk over. Take breaks. A few dB more halve the time ears can take.",
        // The two below say the same for a worse bench, in its place.
        when: Condition::Not(&Condition::Any(&[Condition::Is(Fact::Headphones), Condition::LevelFrom(VERY_LOUD)])),
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
    Caution {
        id: "headphones",
        word: SignalWord::Warning,
        hazard: "Headphones put the sound right at your ears.",
        harm: "A level that wears ears out seems normal after a while. A bang has nowhere else to go.",
        avoid: "Put headphones on after the sound is up, not before. Set the level low enough to hear someone speak to you.",
        when: Condition::Is(Fact::Headphones),
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::SoundUp, Moment::Listen, Moment::Proof],
        must_acknowledge: true,
        source: NIOSH,
        defer_to: "a hearing specialist",
    },
    Caution {
        id: "very-loud",
        word: SignalWord::Warning,
        hazard: "This is very loud.",
        harm: "At 100 dB(A) the most careful rule gives your ears a quarter of an hour a day, and less the louder it is. Harm stays for life.",
        avoid: "Turn the sound down, or wear ear plugs and keep it short.",
        // The level alone decides; whether headphones are on is seldom told.
        when: Condition::All(&[
            Condition::LevelFrom(VERY_LOUD),
            Condition::Not(&Condition::Known(&Condition::Is(Fact::Headphones))),
        ]),
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::SoundUp, Moment::Listen, Moment::Proof],
        must_acknowledge: true,
        source: NIOSH,
        defer_to: "a hearing specialist",
    },
    Caution {
        id: "hearing-half",
        word: SignalWord::Warning,
        hazard: "Half of what your ears can take today is spent.",
        harm: "Tired ears judge badly, and go on to harm that stays.",
        avoid: "Turn it down or take a break. Listen to the most needed mode next.",
        when: Condition::SpentBetween { from: 0.5, below: 1.0 },
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::SoundUp, Moment::Listen],
        must_acknowledge: false,
        source: NIOSH,
        defer_to: "a hearing specialist",
    },
    Caution {
        id: "hearing-spent",
        word: SignalWord::Warning,
        hazard: "Your ears have had all they can take today.",
        harm: "More sound now can harm them for good.",
        avoid: "Volume to zero, and quiet for your ears until tomorrow.",
        when: Condition::SpentBetween { from: 1.0, below: f64::INFINITY },
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::SoundUp, Moment::Listen],
        must_acknowledge: true,
        source: NIOSH,
        defer_to: "a hearing specialist",
    },
    Caution {
        id: "ringing-ears",
        word: SignalWord::Warning,
        hazard: "Ringing or dull ears are a sign of harm.",
        harm: "If you go on, the ringing can stay for life.",
        avoid: "Stop now and rest your ears in a quiet place. See a doctor soon if it is still there after a day, or at once if \
                one ear goes deaf.",
        when: Condition::Is(Fact::Ringing),
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::SoundUp, Moment::Listen, Moment::TakeDown],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "a doctor",
    },
];
