//! Finish.

use super::{Caution, Condition, Fact, Moment, SignalWord, Source, WhenUnknown};
use crate::guitar::{FinishKind, Surface};
use crate::rig::Feet;

const SOFT_FINISH: &[FinishKind] = &[FinishKind::Unknown, FinishKind::Lacquer, FinishKind::Shellac];

pub(super) const CAUTIONS: &[Caution] = &[
    Caution {
        id: "rubber-on-lacquer",
        word: SignalWord::Notice,
        hazard: "Rubber, vinyl and foam can mark this finish.",
        harm: "On lacquer or shellac they leave dull or sticky marks within hours.",
        avoid: "Lay clean cotton or paper between, and keep the time short. Try it first where it does not show.",
        when: Condition::All(&[
            Condition::FinishIs(SOFT_FINISH),
            Condition::FeetAre(&[Feet::Suction, Feet::Pads]),
            Condition::Not(&Condition::Is(Fact::Barrier)),
        ]),
        unknown: WhenUnknown::Shown,
        moments: &[Moment::Seat],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "the maker of the lacquer",
    },
    Caution {
        id: "suction-slips",
        word: SignalWord::Notice,
        hazard: "Suction does not hold on this top.",
        harm: "On a matt, oiled or carved top the rig slips, and a slip scratches.",
        avoid: "Use felt or low-tack tape that you have tried out, or hold the rig by hand.",
        when: Condition::All(&[
            Condition::FeetAre(&[Feet::Suction]),
            Condition::Any(&[
                Condition::SurfaceIs(&[Surface::FlatMatt, Surface::Carved]),
                Condition::FinishIs(&[FinishKind::OilOrWax, FinishKind::Bare]),
            ]),
        ]),
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::Seat],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "a guitar technician",
    },
    Caution {
        id: "tape-pulls-finish",
        word: SignalWord::Notice,
        hazard: "Tape can pull this finish off.",
        harm: "Soft or old finish lifts with the tape. Old tape can leave a line that never goes.",
        avoid: "Use low-tack tape for minutes, not days. Peel it back flat and slowly. Try it first where it does not show.",
        when: Condition::All(&[
            Condition::FeetAre(&[Feet::Tape]),
            Condition::Any(&[Condition::FinishIs(SOFT_FINISH), Condition::Is(Fact::Aged)]),
        ]),
        unknown: WhenUnknown::Quiet,
        moments: &[Moment::Seat, Moment::TakeDown],
        must_acknowledge: true,
        source: Source::CommonPractice,
        defer_to: "a guitar technician",
    },
    Caution {
        id: "look-first",
        word: SignalWord::Notice,
        hazard: "Grit under the rig scratches.",
        harm: "A grain of sand under a foot cuts a line into any finish.",
        avoid: "Wipe the top with a clean cloth. Look at it in light from the side, before and after. A photo helps.",
        when: Condition::Always,
        unknown: WhenUnknown::Shown,
        moments: &[Moment::Seat],
        must_acknowledge: false,
        source: Source::CommonPractice,
        defer_to: "a guitar technician",
    },
];
