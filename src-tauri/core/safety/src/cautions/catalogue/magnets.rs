//! Magnets and small parts.

use super::{Caution, Condition, Fact, Moment, SignalWord, Source, WhenUnknown};

pub(super) const CAUTIONS: &[Caution] = &[
    Caution {
        id: "magnet-implant",
        word: SignalWord::Warning,
        hazard: "Pickup magnets can upset an implanted medical device.",
        harm: "A pacemaker can change how it works. That can be deadly.",
        avoid: "Keep the pickup 15 cm (6 in) or more away from the device. Never carry it in a breast pocket.",
        when: Condition::Is(Fact::Implant),
        unknown: WhenUnknown::Shown,
        moments: &[Moment::WhichWay],
        must_acknowledge: true,
        source: Source::Published("FDA advice on magnets and implanted medical devices, 2021"),
        defer_to: "the doctor who looks after the device",
    },
    Caution {
        id: "small-parts",
        word: SignalWord::Warning,
        hazard: "Children and pets swallow small parts.",
        harm: "Two magnets in the gut pull together and tear it. Screws choke.",
        avoid: "Keep magnets and screws in a shut box, out of reach. If one is swallowed, go to a hospital at once.",
        when: Condition::Is(Fact::LittleOnes),
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::WhichWay, Moment::Fit],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "a doctor",
    },
    Caution {
        id: "magnets-grab",
        word: SignalWord::Notice,
        hazard: "The magnets grab steel tools.",
        harm: "A tool that snaps onto the poles dents a cover or cuts the coil.",
        avoid: "Lay steel tools an arm's length away. Hold a tool firmly when it comes near the poles.",
        when: Condition::Always,
        unknown: WhenUnknown::Shown,
        moments: &[Moment::WhichWay, Moment::Fit],
        must_acknowledge: false,
        source: Source::CommonPractice,
        defer_to: "a pickup winder",
    },
];
