//! Magnets and small parts.

use super::{Caution, Condition, Fact, Moment, SignalWord, Source, WhenUnknown};

pub(super) const CAUTIONS: &[Caution] = &[Caution {
    id: "magnet-implant",
    word: SignalWord::Warning,
    hazard: "Pickup magnets can upset an implanted medical device.",
    harm: "A pacemaker can change how it works. That can be deadly.",
    avoid: "Keep the pickup 15 cm (6 in) or more away from the device. Never carry it in a breast pocket.",
    when: Condition::Is(Fact::Implant),
    unknown: WhenUnknown::Shown,
    moments: &[Moment::Choose],
    must_acknowledge: true,
    source: Source::Published("FDA advice on magnets and implanted medical devices, 2021"),
    defer_to: "the doctor who looks after the device",
}];
