//! Mains and amplifiers.

use super::{Caution, Condition, Fact, Moment, SignalWord, Source, WhenUnknown};
use crate::cautions::AmpKind;

pub(super) const CAUTIONS: &[Caution] = &[
    Caution {
        id: "amp-closed",
        word: SignalWord::Danger,
        hazard: "Never open an amplifier.",
        harm: "The parts inside kill. A valve amp holds a deadly charge even when it is unplugged.",
        avoid: "Leave the case shut. If the amp hums, smokes or smells, pull the plug and take it to a licensed technician.",
        when: Condition::Not(&Condition::AmpIs(&[AmpKind::Battery])),
        unknown: WhenUnknown::Shown,
        moments: &[Moment::SoundUp, Moment::Proof],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "a licensed technician, under local electrical rules",
    },
    Caution {
        id: "no-earth",
        word: SignalWord::Warning,
        hazard: "An amp without earth can make the strings live.",
        harm: "A fault inside then sends mains current through your hands. It can kill.",
        avoid: "Use an earthed outlet and a plug with its earth pin in place. Never use an adapter that lifts the earth. If \
                you feel a tingle, let go and switch off.",
        when: Condition::Not(&Condition::Any(&[Condition::Is(Fact::Earthed), Condition::AmpIs(&[AmpKind::Battery])])),
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::SoundUp, Moment::Listen, Moment::Proof],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "a licensed electrician",
    },
    Caution {
        id: "damp",
        word: SignalWord::Warning,
        hazard: "Wet hands or a damp room carry current.",
        harm: "A small fault in an amp or an iron can then give a deadly shock.",
        avoid: "Dry your hands and shoes. Keep drinks away. Work in a dry room, on an outlet with a safety switch that \
                trips on leaks to earth.",
        when: Condition::Is(Fact::Damp),
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::SoundUp, Moment::Listen, Moment::Iron, Moment::Proof],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "a licensed electrician",
    },
    Caution {
        id: "frayed-lead",
        word: SignalWord::Warning,
        hazard: "A mains lead is worn or broken.",
        harm: "Bare wire can give a deadly shock or start a fire.",
        avoid: "Do not use it, and do not tape it up. Have it replaced.",
        when: Condition::Is(Fact::Frayed),
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::SoundUp, Moment::Listen, Moment::Iron, Moment::Proof],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "a licensed electrician",
    },
    Caution {
        id: "meter-on-mains",
        word: SignalWord::Warning,
        hazard: "The meter is for the pickup only.",
        harm: "Probes on the mains or inside an amp can give a deadly shock.",
        avoid: "Unplug the rig from the amp first. Touch nothing but its output and the pickup leads.",
        when: Condition::Always,
        unknown: WhenUnknown::Shown,
        moments: &[Moment::Meter, Moment::Proof],
        must_acknowledge: false,
        source: Source::CommonPractice,
        defer_to: "a licensed technician",
    },
];
