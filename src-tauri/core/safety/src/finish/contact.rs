//! What may touch which finish, and for how long.

use chrono::TimeDelta;
use serde::{Deserialize, Serialize};
use ts_rs::TS;

use super::WHERE_TO_TRY;
use crate::hearing::time_shown;
use crate::record::guitar::{FinishKind, Surface};
use crate::record::rig::Feet;
use crate::record::seat::{Barrier, HeldBy};

/// What to do where feet can't hold a rig.
pub const HOW_TO_HOLD: &str = "Lay the guitar flat. Tie a soft cotton strap round the body and over the rig, snug, not tight, \
     with no buckle on the finish. Nudge the rig: it must stay without a hand.";

/// How the guitar lies while a rig stands on it.
pub const HOW_IT_LIES: &str = "Lay the guitar flat on its back on a soft cloth, its neck in a rest or on a rolled towel. Then \
     nothing slides, and both hands are free.";

/// Feet and what lies under them, on which a rig slides.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/safety.ts")]
pub struct Slides {
    /// The feet.
    pub feet: Feet,
    /// What lies between them and the finish.
    pub barrier: Barrier,
}

impl Slides {
    /// Every pair on which a rig slides.
    #[must_use]
    pub fn all() -> Vec<Self> {
        [Feet::Suction, Feet::Tape, Feet::Pads, Feet::Loose]
            .into_iter()
            .flat_map(|feet| Barrier::ALL.map(|barrier| Self { feet, barrier }))
            .filter(|one| slides(one.feet, one.barrier))
            .collect()
    }
}

/// Whether a rig on these feet slides on what lies under them, so that something else has to hold it: cloth and paper take
/// the grip from any foot, and felt or cork have none.
#[must_use]
pub fn slides(feet: Feet, barrier: Barrier) -> bool {
    match barrier {
        Barrier::Cloth | Barrier::Paper => true,
        Barrier::None => feet == Feet::Loose,
        Barrier::Film => matches!(feet, Feet::Loose | Feet::Tape),
    }
}

/// What to do with a rig that did not stay put when it was nudged, by what holds it.
#[must_use]
pub fn make_steady(feet: Feet, barrier: Barrier, held_by: Option<HeldBy>) -> &'static str {
    match (held_by, feet) {
        (Some(HeldBy::Strap), _) => "Tie the strap again, snug, over the rig. Then nudge it once more.",
        (Some(HeldBy::Other), _) => "Fix what holds it again. Then nudge it once more.",
        _ if slides(feet, barrier) => "Nothing holds it. Tie a soft strap round the body and over the rig.",
        (_, Feet::Suction) => "Wipe each foot and press it down again, or put other feet under it.",
        (_, Feet::Tape) => "Put fresh tape under it, or other feet.",
        (_, Feet::Pads | Feet::Loose) => {
            "Set it down again so that every foot bears, or tie a soft strap round body and rig."
        }
    }
}

/// What really touches the finish.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Touching {
    /// Cotton, paper, card, felt or cork.
    Dry,
    /// A clinging film, which may be vinyl.
    Film,
    /// A suction foot.
    Suction,
    /// Foam or rubber.
    Foam,
    /// Low-tack tape.
    Tape,
}

impl Touching {
    fn of(feet: Feet, barrier: Barrier) -> Self {
        match (barrier, feet) {
            (Barrier::Cloth | Barrier::Paper, _) | (Barrier::None, Feet::Loose) => Self::Dry,
            (Barrier::Film, _) => Self::Film,
            (Barrier::None, Feet::Suction) => Self::Suction,
            (Barrier::None, Feet::Pads) => Self::Foam,
            (Barrier::None, Feet::Tape) => Self::Tape,
        }
    }

    fn in_words(self) -> &'static str {
        match self {
            Self::Dry => "cotton, paper or felt",
            Self::Film => "a clinging film",
            Self::Suction => "a suction foot",
            Self::Foam => "foam or rubber",
            Self::Tape => "low-tack tape",
        }
    }

    /// Minutes on a sound, flat finish; 0 is not at all. An unknown finish gets the smaller time of lacquer and shellac.
    fn minutes(self, kind: FinishKind) -> i64 {
        match (self, kind) {
            (Self::Dry, FinishKind::Poly) => 480,
            (Self::Dry, FinishKind::Lacquer | FinishKind::OilOrWax | FinishKind::Bare) => 240,
            (Self::Dry, FinishKind::Shellac | FinishKind::Unknown) => 120,
            (Self::Film, FinishKind::Poly) => 480,
            (Self::Film | Self::Foam, FinishKind::OilOrWax | FinishKind::Bare) => 60,
            (Self::Suction | Self::Foam | Self::Tape, FinishKind::Poly) => 240,
            (Self::Tape, FinishKind::Lacquer | FinishKind::OilOrWax) => 30,
            (Self::Tape, FinishKind::Shellac | FinishKind::Unknown) => 15,
            (Self::Tape, FinishKind::Bare) => 0,
            (Self::Suction, FinishKind::OilOrWax | FinishKind::Bare) => 0,
            (
                Self::Film | Self::Suction | Self::Foam,
                FinishKind::Lacquer | FinishKind::Shellac | FinishKind::Unknown,
            ) => 0,
        }
    }
}

/// Whether something may touch a finish.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract/safety.ts")]
pub enum May {
    /// For one session.
    Yes,
    /// For an hour at most, after it was tried out.
    Briefly,
    /// Not at all.
    No,
}

/// What the guard says about a rig on a finish.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(deny_unknown_fields)]
#[ts(export_to = "contract/safety.ts")]
pub struct FinishVerdict {
    /// Whether it may touch.
    pub may: May,
    /// The longest it should stay, in minutes; 0 when it may not touch.
    pub minutes: u32,
    /// `2 h`, or `not at all`.
    pub shown: String,
    /// The verdict and its reason.
    pub sentence: String,
    /// What helps.
    pub helps: String,
    /// Where to try it out first.
    pub try_first: String,
    /// What else to know about this pair, if there is anything.
    pub note: Option<String>,
    /// Where this is from.
    pub source: String,
}

/// What may stand on a finish, and for how long.
///
/// `aged` means old, cracked or flaking, or with lines left by earlier tape: nothing that grips may touch it, and all
/// else has half the time.
///
/// ```
/// use solderlast_safety::finish::{May, guard};
/// use solderlast_record::seat::Barrier;
/// use solderlast_record::guitar::{FinishKind, Surface};
/// use solderlast_record::rig::Feet;
/// let bare = guard(FinishKind::Lacquer, Surface::FlatGloss, false, Feet::Suction, Barrier::None);
/// assert_eq!(bare.may, May::No);
/// let cloth = guard(FinishKind::Lacquer, Surface::FlatGloss, false, Feet::Suction, Barrier::Cloth);
/// assert_eq!(cloth.shown, "4 h");
/// ```
#[must_use]
pub fn guard(kind: FinishKind, surface: Surface, aged: bool, feet: Feet, barrier: Barrier) -> FinishVerdict {
    let touching = Touching::of(feet, barrier);
    let sucks = feet == Feet::Suction && matches!(barrier, Barrier::None | Barrier::Film);
    let slips = sucks && surface != Surface::FlatGloss;
    let lifts = aged && matches!(touching, Touching::Suction | Touching::Tape | Touching::Film);
    let table = touching.minutes(kind);
    let minutes = match () {
        () if slips || lifts => 0,
        () if aged => table / 2,
        () => table,
    };
    let may = match minutes {
        0 => May::No,
        1..=60 => May::Briefly,
        _ => May::Yes,
    };
    let shown = if minutes == 0 { "not at all".to_owned() } else { time_shown(minutes as f64 * 60.0) };
    let on = format!("{} on {}", touching.in_words(), finish_words(kind, aged));
    let sentence = match may {
        May::No if slips && surface == Surface::Unknown && table > 0 => {
            "Say first what the top is like: suction does not hold on a matt or carved one.".to_owned()
        }
        May::No if slips => "Suction does not hold on a matt or carved top. The rig would slip and scratch.".to_owned(),
        May::No if lifts => format!("No {}. It would lift what is loose.", without_article(&on)),
        May::No => format!("No {}. It can leave a mark for good.", without_article(&on)),
        May::Briefly => format!("Only for {shown}: {on}."),
        May::Yes => format!("Up to {shown}: {on}."),
    };
    FinishVerdict {
        may,
        minutes: u32::try_from(minutes).unwrap_or(0),
        shown,
        sentence,
        helps: helps(touching, kind).to_owned(),
        try_first: WHERE_TO_TRY.to_owned(),
        note: note(feet, barrier).map(str::to_owned),
        source: "common practice".to_owned(),
    }
}

/// Words as they stand after "no": no suction foot.
fn without_article(words: &str) -> &str {
    words.strip_prefix("a ").or_else(|| words.strip_prefix("an ")).unwrap_or(words)
}

fn finish_words(kind: FinishKind, aged: bool) -> String {
    let old = if aged { "old or loose " } else { "" };
    match kind {
        FinishKind::Unknown => format!("{old}finish of an unknown kind"),
        FinishKind::Lacquer | FinishKind::Poly | FinishKind::Shellac | FinishKind::OilOrWax | FinishKind::Bare => {
            format!("{old}{}", kind.in_words())
        }
    }
}

fn helps(touching: Touching, kind: FinishKind) -> &'static str {
    match (touching, kind) {
        (Touching::Dry, _) => "Keep cloth and top free of grit, and out of the sun. Heat softens any finish.",
        (_, FinishKind::Poly) => "Clean cotton between is kinder still. Keep it out of the sun.",
        (_, FinishKind::OilOrWax | FinishKind::Bare) => "Lay clean white cotton or card between, so nothing stains.",
        (_, FinishKind::Lacquer | FinishKind::Shellac | FinishKind::Unknown) => {
            "Lay clean white cotton or plain paper between. Film is no help: some kinds mark lacquer too."
        }
    }
}

fn note(feet: Feet, barrier: Barrier) -> Option<&'static str> {
    match (feet, barrier) {
        (Feet::Suction, Barrier::Cloth | Barrier::Paper) => {
            Some("Suction does not hold through cloth or paper: something else has to hold the rig.")
        }
        (Feet::Tape, Barrier::Cloth | Barrier::Paper) => {
            Some("Tape on cloth or paper does not hold the rig to the top: something else has to.")
        }
        (Feet::Pads, Barrier::Cloth | Barrier::Paper) => {
            Some("Cloth and paper slide under pads: something else has to hold the rig.")
        }
        (Feet::Loose, Barrier::None | Barrier::Cloth | Barrier::Paper | Barrier::Film) => {
            Some("Felt and cork slide: something else has to hold the rig.")
        }
        (Feet::Tape, Barrier::Film) => Some("Tape on film does not hold the rig to the top: something else has to."),
        (Feet::Suction, Barrier::None) => Some("Free a suction foot at its lip. Never tear it off."),
        (Feet::Tape, Barrier::None) => Some("Peel tape back flat and slowly, warm rather than cold."),
        (Feet::Suction | Feet::Pads, Barrier::Film) | (Feet::Pads, Barrier::None) => None,
    }
}

impl FinishVerdict {
    /// The longest it should stay, as a span.
    #[must_use]
    pub fn limit(&self) -> TimeDelta {
        TimeDelta::minutes(self.minutes.into())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cautions::Situation;
    use crate::holds::SafetyHold;

    const KINDS: [FinishKind; 6] = [
        FinishKind::Unknown,
        FinishKind::Lacquer,
        FinishKind::Poly,
        FinishKind::Shellac,
        FinishKind::OilOrWax,
        FinishKind::Bare,
    ];
    const SURFACES: [Surface; 4] = [Surface::Unknown, Surface::FlatGloss, Surface::FlatMatt, Surface::Carved];
    const FEET: [Feet; 4] = [Feet::Suction, Feet::Tape, Feet::Pads, Feet::Loose];
    const BARRIERS: [Barrier; 4] = [Barrier::None, Barrier::Cloth, Barrier::Paper, Barrier::Film];

    fn every(mut check: impl FnMut(FinishKind, Surface, bool, Feet, Barrier)) {
        for kind in KINDS {
            for surface in SURFACES {
                for aged in [false, true] {
                    for feet in FEET {
                        for barrier in BARRIERS {
                            check(kind, surface, aged, feet, barrier);
                        }
                    }
                }
            }
        }
    }

    #[test]
    fn bench_cases() {
        use Barrier::{Cloth, Film, None as Bare};
        use FinishKind::{Lacquer, OilOrWax, Poly, Shellac, Unknown};
        use Surface::{Carved, FlatGloss, FlatMatt};
        for (kind, surface, aged, feet, barrier, shown) in [
            (Lacquer, FlatGloss, false, Feet::Suction, Bare, "not at all"),
            (Lacquer, FlatGloss, false, Feet::Pads, Bare, "not at all"),
            (Lacquer, FlatGloss, false, Feet::Suction, Film, "not at all"),
            (Lacquer, FlatGloss, false, Feet::Suction, Cloth, "4 h"),
            (Lacquer, FlatGloss, true, Feet::Pads, Cloth, "2 h"),
            (Lacquer, FlatGloss, false, Feet::Tape, Bare, "30 min"),
            (Lacquer, FlatGloss, true, Feet::Tape, Bare, "not at all"),
            (Shellac, FlatGloss, false, Feet::Loose, Bare, "2 h"),
            (Unknown, FlatGloss, false, Feet::Suction, Bare, "not at all"),
            (Unknown, FlatGloss, false, Feet::Tape, Bare, "15 min"),
            (Poly, FlatGloss, false, Feet::Suction, Bare, "4 h"),
            (Poly, FlatGloss, true, Feet::Suction, Bare, "not at all"),
            (Poly, FlatMatt, false, Feet::Suction, Bare, "not at all"),
            (Poly, Carved, false, Feet::Suction, Cloth, "8 h"),
            (Poly, Surface::Unknown, false, Feet::Suction, Bare, "not at all"),
            (Poly, Surface::Unknown, false, Feet::Suction, Cloth, "8 h"),
            (Poly, Surface::Unknown, false, Feet::Pads, Bare, "4 h"),
            (OilOrWax, FlatMatt, false, Feet::Pads, Bare, "1 h"),
            (FinishKind::Bare, FlatMatt, false, Feet::Tape, Bare, "not at all"),
        ] {
            let verdict = guard(kind, surface, aged, feet, barrier);
            assert_eq!(verdict.shown, shown, "{kind:?} {surface:?} aged {aged} {feet:?} {barrier:?}");
        }
    }

    /// The guard and the hold agree: what is held may not touch.
    #[test]
    fn what_is_held_may_not_touch() {
        let mut held = 0;
        every(|kind, surface, aged, feet, barrier| {
            let s = Situation {
                finish: Some(kind),
                surface: Some(surface),
                feet: Some(feet),
                barrier: Some(matches!(barrier, Barrier::Cloth | Barrier::Paper)),
                film: Some(barrier == Barrier::Film),
                aged: Some(aged),
                ..Situation::default()
            };
            if SafetyHold::BareFeetOnFinish.stands(&s) {
                held += 1;
                assert_eq!(guard(kind, surface, aged, feet, barrier).may, May::No, "{kind:?} {feet:?} {barrier:?}");
            }
        });
        assert!(held > 0);
    }

    /// Nothing lies loose without the guard saying that something else has to hold it.
    #[test]
    fn what_slides_is_said_where_it_is_chosen() {
        let mut sliding = 0;
        every(|kind, surface, aged, feet, barrier| {
            let verdict = guard(kind, surface, aged, feet, barrier);
            let said = verdict.note.as_deref().is_some_and(|note| note.contains("something else has to"));
            assert_eq!(said, slides(feet, barrier), "{feet:?} {barrier:?}: {:?}", verdict.note);
            let all = [Some(verdict.sentence), Some(verdict.helps), verdict.note];
            let words = all.into_iter().flatten().collect::<Vec<_>>().join(" ").to_lowercase();
            assert!(!words.contains("hand near") && !words.contains("by hand"), "{words}");
            sliding += u32::from(said);
        });
        assert!(sliding > 0 && HOW_TO_HOLD.contains("strap"));
    }

    /// A rig that moves is made steady by what holds it: nobody is told to press felt down.
    #[test]
    fn what_to_do_with_a_rig_that_moves_follows_from_what_holds_it() {
        use Barrier::{Cloth, None as Bare};
        for (feet, barrier, held_by, says) in [
            (Feet::Loose, Bare, Some(HeldBy::Strap), "Tie the strap again"),
            (Feet::Suction, Cloth, Some(HeldBy::Other), "Fix what holds it"),
            (Feet::Suction, Cloth, Some(HeldBy::Nothing), "Nothing holds it"),
            (Feet::Loose, Bare, None, "Nothing holds it"),
            (Feet::Suction, Bare, None, "press it down again"),
            (Feet::Tape, Bare, None, "fresh tape"),
            (Feet::Pads, Bare, None, "every foot bears"),
        ] {
            let advice = make_steady(feet, barrier, held_by);
            assert!(advice.contains(says), "{feet:?} {barrier:?} {held_by:?}: {advice}");
        }
    }

    #[test]
    fn every_sentence_is_one() {
        let mut refused = std::collections::BTreeSet::new();
        every(|kind, surface, aged, feet, barrier| {
            let sentence = guard(kind, surface, aged, feet, barrier).sentence;
            assert!(!sentence.contains("No a ") && !sentence.contains("No an "), "{sentence}");
            if let Some((what, _)) = sentence.strip_prefix("No ").and_then(|rest| rest.split_once(" on ")) {
                refused.insert(what.to_owned());
            }
        });
        let refused: Vec<&str> = refused.iter().map(String::as_str).collect();
        assert_eq!(refused, ["clinging film", "foam or rubber", "low-tack tape", "suction foot"]);
    }

    /// Age never gives time, cotton or paper never takes any, and an unknown finish or surface is treated as the most delicate.
    #[test]
    fn careful_in_every_direction() {
        every(|kind, surface, aged, feet, barrier| {
            let minutes = |kind, aged, barrier| guard(kind, surface, aged, feet, barrier).minutes;
            assert!(minutes(kind, true, barrier) <= minutes(kind, false, barrier));
            assert!(minutes(kind, aged, Barrier::Cloth) >= minutes(kind, aged, Barrier::None));
            assert!(minutes(FinishKind::Unknown, aged, barrier) <= minutes(FinishKind::Lacquer, aged, barrier));
            assert!(minutes(FinishKind::Unknown, aged, barrier) <= minutes(FinishKind::Shellac, aged, barrier));
            let verdict = guard(kind, surface, aged, feet, barrier);
            assert!(guard(kind, Surface::Unknown, aged, feet, barrier).minutes <= verdict.minutes);
            assert_eq!(verdict.may == May::No, verdict.minutes == 0);
            assert_eq!(verdict.may == May::Briefly, (1..=60).contains(&verdict.minutes));
        });
    }
}
