//! Safety holds: what stops the next risky act, why, and what clears it.
//!
//! A hold is computed from what is known and never stored. Somebody with experience can pass one by writing why; that
//! is in ink and is shown wherever the work is shown.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::cautions::{Moment, SignalWord, Situation};
use crate::hearing::HearingState;
use crate::record::guitar::FinishKind;
use crate::record::rig::Feet;
use crate::record::tick::Tick;

/// What stops the next risky act.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum SafetyHold {
    /// Before the rig is seated: the finish was not asked about.
    FinishNotAsked,
    /// Before the rig is seated: suction feet or foam would touch a finish they can mark.
    BareFeetOnFinish,
    /// Before sound up: the rig stands on something that slides, and nothing holds it.
    RigNotHeld,
    /// Before sound up: a reading shows a short that nobody has explained.
    UnexplainedShort,
    /// Before sound up: a reading shows an open coil that nobody has explained.
    UnexplainedOpen,
    /// Before plugging in: nobody has said that the volume is at zero.
    AmpNotAtZero,
    /// Before sound up and while listening: today's hearing allowance is spent.
    HearingSpent,
    /// Before the iron: the guitar is not said to be unplugged.
    IronPluggedIn,
    /// Before the iron: the battery is not said to be out.
    IronBatteryIn,
    /// Before the iron: the finish is not said to be covered.
    IronFinishBare,
}

impl SafetyHold {
    /// All holds, in the order of the work.
    pub const ALL: [Self; 10] = [
        Self::FinishNotAsked,
        Self::BareFeetOnFinish,
        Self::RigNotHeld,
        Self::UnexplainedShort,
        Self::UnexplainedOpen,
        Self::AmpNotAtZero,
        Self::HearingSpent,
        Self::IronPluggedIn,
        Self::IronBatteryIn,
        Self::IronFinishBare,
    ];

    /// Its name for good, as entries refer to it.
    #[must_use]
    pub fn id(self) -> &'static str {
        match self {
            Self::FinishNotAsked => "finish_not_asked",
            Self::BareFeetOnFinish => "bare_feet_on_finish",
            Self::RigNotHeld => "rig_not_held",
            Self::UnexplainedShort => "unexplained_short",
            Self::UnexplainedOpen => "unexplained_open",
            Self::AmpNotAtZero => "amp_not_at_zero",
            Self::HearingSpent => "hearing_spent",
            Self::IronPluggedIn => "iron_plugged_in",
            Self::IronBatteryIn => "iron_battery_in",
            Self::IronFinishBare => "iron_finish_bare",
        }
    }

    /// The hold with this name.
    #[must_use]
    pub fn named(id: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|hold| hold.id() == id)
    }

    /// The moments it stops.
    #[must_use]
    pub fn stops(self) -> &'static [Moment] {
        match self {
            Self::FinishNotAsked | Self::BareFeetOnFinish => &[Moment::Seat],
            Self::RigNotHeld | Self::UnexplainedShort | Self::UnexplainedOpen | Self::AmpNotAtZero => {
                &[Moment::SoundUp]
            }
            Self::HearingSpent => &[Moment::SoundUp, Moment::Listen],
            Self::IronPluggedIn | Self::IronBatteryIn | Self::IronFinishBare => &[Moment::Iron],
        }
    }

    /// How bad it is to go on.
    #[must_use]
    pub fn word(self) -> SignalWord {
        match self {
            Self::UnexplainedShort | Self::AmpNotAtZero | Self::HearingSpent | Self::IronPluggedIn => {
                SignalWord::Warning
            }
            Self::IronBatteryIn => SignalWord::Caution,
            Self::FinishNotAsked
            | Self::BareFeetOnFinish
            | Self::RigNotHeld
            | Self::UnexplainedOpen
            | Self::IronFinishBare => SignalWord::Notice,
        }
    }

    /// Why it stops, in a sentence.
    #[must_use]
    pub fn reason(self) -> &'static str {
        match self {
            Self::FinishNotAsked => "The finish is not recorded yet, so it is not known what may touch it.",
            Self::BareFeetOnFinish => "These feet can mark this finish within hours, and nothing lies between.",
            Self::RigNotHeld => "What the rig stands on slides, and nothing holds it. Playing takes both hands.",
            Self::UnexplainedShort => "A reading shows a short. With the sound up, a loose short hums and bangs.",
            Self::UnexplainedOpen => "A reading shows an open coil. It will be silent, or hum loudly.",
            Self::AmpNotAtZero => "Nobody has said that the volume is at zero. A plug going in can bang.",
            Self::HearingSpent => "Your ears have had all they can take today.",
            Self::IronPluggedIn => "The guitar may still be plugged in. A fault could send current through you.",
            Self::IronBatteryIn => "The battery may still be in. A slip of the iron can short it, and it gets hot.",
            Self::IronFinishBare => "The finish is bare. One drop of solder marks it for good.",
        }
    }

    /// Why it stops here, with what a record says that nobody has looked at.
    #[must_use]
    pub fn reason_here(self, s: &Situation) -> String {
        match (self, s.finish) {
            (Self::FinishNotAsked, Some(kind)) if kind != FinishKind::Unknown => {
                format!("The guitar’s record says {}, not looked at yet.", kind.in_words())
            }
            _ => self.reason().to_owned(),
        }
    }

    /// What clears it, in a sentence.
    #[must_use]
    pub fn clears(self) -> &'static str {
        match self {
            Self::FinishNotAsked => "Look at it, and say what the finish is. “Not known” is an answer too.",
            Self::BareFeetOnFinish => "Lay clean cotton, paper or card between, or use other feet.",
            Self::RigNotHeld => {
                "Tie a soft strap round body and rig, or use feet that grip. Say so where the rig is seated."
            }
            Self::UnexplainedShort | Self::UnexplainedOpen => {
                "Check the clamps and measure again, or pick the cause that explains it."
            }
            Self::AmpNotAtZero => "Turn the volume to zero on the amp and the guitar, and tick it.",
            Self::HearingSpent => "Stop until tomorrow. If the time or the level is wrong, correct it.",
            Self::IronPluggedIn => "Pull the cable out of the guitar, and tick it.",
            Self::IronBatteryIn => "Take the battery out and tick it, or say that there is none.",
            Self::IronFinishBare => "Cover the top with cotton or card, and tick it.",
        }
    }

    /// Where it is lifted.
    #[must_use]
    pub fn lift(self) -> Lift {
        let (at, words) = match self {
            Self::FinishNotAsked => (Some(Moment::Seat), "To the finish"),
            Self::BareFeetOnFinish => (Some(Moment::Seat), "To the barrier"),
            Self::RigNotHeld => (Some(Moment::Seat), "To what holds it"),
            Self::UnexplainedShort | Self::UnexplainedOpen => (Some(Moment::Meter), "To the readings"),
            Self::AmpNotAtZero => (Some(Moment::SoundUp), "To the volume"),
            Self::HearingSpent => (None, "To the times"),
            Self::IronPluggedIn => (Some(Moment::Iron), "To the cable"),
            Self::IronBatteryIn => (Some(Moment::Iron), "To the battery"),
            Self::IronFinishBare => (Some(Moment::Iron), "To the cover"),
        };
        Lift { at, words: words.to_owned() }
    }

    /// The item of a stop list that clears it.
    #[must_use]
    pub fn cleared_by(self) -> Option<Tick> {
        match self {
            Self::AmpNotAtZero => Some(Tick::VolumeAtZero),
            Self::IronPluggedIn => Some(Tick::GuitarUnplugged),
            Self::IronBatteryIn => Some(Tick::BatteryOut),
            Self::IronFinishBare => Some(Tick::FinishCovered),
            Self::FinishNotAsked
            | Self::BareFeetOnFinish
            | Self::RigNotHeld
            | Self::UnexplainedShort
            | Self::UnexplainedOpen
            | Self::HearingSpent => None,
        }
    }

    /// Whether its reason is there, at whatever moment.
    #[must_use]
    pub fn stands(self, s: &Situation) -> bool {
        match self {
            Self::FinishNotAsked => s.finish_asked != Some(true),
            Self::BareFeetOnFinish => {
                let marked = s.finish.is_some_and(FinishKind::is_delicate);
                let marks = matches!(s.feet, Some(Feet::Suction | Feet::Pads));
                marked && marks && s.barrier != Some(true)
            }
            Self::RigNotHeld => s.slides == Some(true) && s.held_fast != Some(true),
            Self::UnexplainedShort => s.short_unexplained == Some(true),
            Self::UnexplainedOpen => s.open_unexplained == Some(true),
            Self::AmpNotAtZero => s.amp_at_zero != Some(true),
            Self::HearingSpent => HearingState::of(s.hearing_spent.unwrap_or(0.0)) == HearingState::Spent,
            Self::IronPluggedIn => s.unplugged != Some(true),
            Self::IronBatteryIn => s.battery != Some(false) && s.battery_out != Some(true),
            Self::IronFinishBare => s.finish_covered != Some(true),
        }
    }
}

/// Where a hold is lifted: what answers it stands there.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/safety.ts")]
pub struct Lift {
    /// At which moment of the work; nothing where it stands beside the hold, whatever the moment.
    pub at: Option<Moment>,
    /// What leads there, in words.
    pub words: String,
}

/// Something that stops a step.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/safety.ts")]
pub struct HoldView {
    /// Its name for good.
    pub hold: SafetyHold,
    /// How bad it is to go on.
    pub word: SignalWord,
    /// Why it stops.
    pub reason: String,
    /// What clears it.
    pub clears: String,
    /// Where that is done.
    pub lift: Lift,
    /// The reason with which somebody passed it, if they did.
    pub overridden: Option<String>,
}

/// What holds the moment of this situation, in the order of the work; without a moment, all that would hold any.
#[must_use]
pub fn holding(situation: &Situation) -> Vec<SafetyHold> {
    SafetyHold::ALL
        .into_iter()
        .filter(|hold| situation.moment.is_none_or(|moment| hold.stops().contains(&moment)))
        .filter(|hold| hold.stands(situation))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn bench(moment: Moment) -> Situation {
        Situation { moment: Some(moment), ..Situation::default() }
    }

    /// A bench on which nothing is left to hold.
    fn careful(moment: Moment) -> Situation {
        Situation {
            finish_asked: Some(true),
            finish: Some(FinishKind::Lacquer),
            feet: Some(Feet::Suction),
            barrier: Some(true),
            short_unexplained: Some(false),
            open_unexplained: Some(false),
            amp_at_zero: Some(true),
            hearing_spent: Some(0.4),
            unplugged: Some(true),
            battery: Some(true),
            battery_out: Some(true),
            finish_covered: Some(true),
            ..bench(moment)
        }
    }

    #[test]
    fn names_are_kept() {
        for hold in SafetyHold::ALL {
            assert_eq!(SafetyHold::named(hold.id()), Some(hold));
            assert_eq!(serde_json::to_value(hold).expect("a plain name"), hold.id());
        }
        assert_eq!(SafetyHold::named("no_such_hold"), None);
    }

    #[test]
    fn nothing_holds_a_careful_bench() {
        for moment in Moment::ALL {
            assert_eq!(holding(&careful(moment)), [], "{moment:?}");
        }
    }

    /// For each hold: what brings it about on an otherwise careful bench, and what clears it again.
    #[test]
    fn each_hold_both_ways() {
        type Change = fn(&mut Situation);
        let cases: [(SafetyHold, Moment, Change, Change); 14] = [
            (SafetyHold::FinishNotAsked, Moment::Seat, |s| s.finish_asked = None, |s| s.finish_asked = Some(true)),
            (SafetyHold::BareFeetOnFinish, Moment::Seat, |s| s.barrier = Some(false), |s| s.barrier = Some(true)),
            (SafetyHold::BareFeetOnFinish, Moment::Seat, |s| s.barrier = None, |s| s.feet = Some(Feet::Loose)),
            (
                SafetyHold::BareFeetOnFinish,
                Moment::Seat,
                |s| (s.barrier, s.film) = (Some(false), Some(true)),
                |s| s.finish = Some(FinishKind::Poly),
            ),
            (
                SafetyHold::BareFeetOnFinish,
                Moment::Seat,
                |s| (s.feet, s.finish, s.barrier) = (Some(Feet::Pads), Some(FinishKind::Unknown), None),
                |s| s.finish = Some(FinishKind::OilOrWax),
            ),
            (SafetyHold::RigNotHeld, Moment::SoundUp, |s| s.slides = Some(true), |s| s.held_fast = Some(true)),
            (
                SafetyHold::UnexplainedShort,
                Moment::SoundUp,
                |s| s.short_unexplained = Some(true),
                |s| s.short_unexplained = Some(false),
            ),
            (
                SafetyHold::UnexplainedOpen,
                Moment::SoundUp,
                |s| s.open_unexplained = Some(true),
                |s| s.open_unexplained = Some(false),
            ),
            (SafetyHold::AmpNotAtZero, Moment::SoundUp, |s| s.amp_at_zero = None, |s| s.amp_at_zero = Some(true)),
            (
                SafetyHold::HearingSpent,
                Moment::SoundUp,
                |s| s.hearing_spent = Some(1.0),
                |s| s.hearing_spent = Some(0.9),
            ),
            (SafetyHold::HearingSpent, Moment::Listen, |s| s.hearing_spent = Some(3.0), |s| s.hearing_spent = None),
            (SafetyHold::IronPluggedIn, Moment::Iron, |s| s.unplugged = None, |s| s.unplugged = Some(true)),
            (SafetyHold::IronBatteryIn, Moment::Iron, |s| s.battery_out = None, |s| s.battery = Some(false)),
            (
                SafetyHold::IronFinishBare,
                Moment::Iron,
                |s| s.finish_covered = Some(false),
                |s| s.finish_covered = Some(true),
            ),
        ];
        let mut tried = std::collections::BTreeSet::new();
        for (hold, moment, brings, clears) in cases {
            let mut s = careful(moment);
            brings(&mut s);
            assert_eq!(holding(&s), [hold], "brought about");
            for other in Moment::ALL.into_iter().filter(|other| !hold.stops().contains(other)) {
                assert_eq!(
                    holding(&Situation { moment: Some(other), ..s.clone() }),
                    [],
                    "{hold:?} does not stop {other:?}"
                );
            }
            clears(&mut s);
            assert_eq!(holding(&s), [], "{hold:?} cleared");
            tried.insert(hold);
        }
        assert_eq!(tried.len(), SafetyHold::ALL.len(), "each hold has a case");
    }

    /// A way leads to where each is lifted: to a moment that comes before what it stops, or to the very same page.
    #[test]
    fn each_hold_says_where_it_is_lifted() {
        for hold in SafetyHold::ALL {
            let lift = hold.lift();
            assert!(!lift.words.is_empty(), "{hold:?}");
            let before = |moment: Moment| hold.stops().iter().all(|stopped| moment <= *stopped);
            assert!(lift.at.is_none_or(before), "{hold:?} is lifted at {:?}", lift.at);
        }
    }

    #[test]
    fn nothing_known_holds_what_must_be_said_first() {
        assert_eq!(holding(&bench(Moment::Seat)), [SafetyHold::FinishNotAsked]);
        assert_eq!(holding(&bench(Moment::SoundUp)), [SafetyHold::AmpNotAtZero]);
        assert_eq!(
            holding(&bench(Moment::Iron)),
            [SafetyHold::IronPluggedIn, SafetyHold::IronBatteryIn, SafetyHold::IronFinishBare]
        );
        assert_eq!(holding(&bench(Moment::Choose)), []);
    }
}
