//! Gaps between a pickup and the strings, and the turns of the studs that change them.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::pickup::Construction;
use crate::quantity::{Length, Millimetres};
use crate::rig::{Faces, Rig};

/// Gaps that differ by no more than this are the same
/// for a fair comparison (common practice).
pub const FAIR: Millimetres = Millimetres(0.2);
/// Outer string to outer string where a guitar record does not say (common practice).
const USUAL_SPREAD: f64 = 52.0;
/// The smallest part of a turn a hand can do.
const PARTS_OF_A_TURN: f64 = 8.0;
/// The largest gap that still says anything about a pickup.
const LARGEST: f64 = 20.0;

/// Where to start, in millimetres, by construction.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct StartingGaps {
    /// Smallest and largest at the bass side.
    pub bass: [Length; 2],
    /// Smallest and largest at the treble side.
    pub treble: [Length; 2],
    /// Why not nearer, in a sentence.
    pub reason: String,
    /// Where the range is from.
    pub source: String,
}

/// The starting range for this construction (common practice, no source).
#[must_use]
pub fn starting(construction: Construction) -> StartingGaps {
    let [bass, treble] = range(construction);
    let lengths = |[low, high]: [f64; 2]| [Length::from(Millimetres(low)), Length::from(Millimetres(high))];
    StartingGaps {
        bass: lengths(bass),
        treble: lengths(treble),
        reason:
            "Nearer is louder, but magnets that are too near pull the strings: they warble, sound out of tune and die \
                 early, the wound strings first."
                .to_owned(),
        source: "Common practice; a place to start, not a rule.".to_owned(),
    }
}

fn range(construction: Construction) -> [[f64; 2]; 2] {
    match construction {
        Construction::SingleCoil | Construction::Stacked | Construction::SoapBar => [[2.0, 3.2], [1.6, 2.4]],
        Construction::SideBySide | Construction::Rail | Construction::Mini => [[1.6, 2.8], [1.2, 2.4]],
    }
}

/// How a gap compares with its starting range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum GapIs {
    /// Nearer than the range.
    Near,
    /// Within it.
    Within,
    /// Farther than the range.
    Far,
}

/// What to do at one side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct StudMove {
    /// "Bass side" or "Treble side".
    pub side: String,
    /// Eighths of a turn; above zero lifts the rig, below zero lowers it.
    pub eighths: i32,
    /// The move in words: "three eighths of a turn, lifting".
    pub words: String,
}

/// Turns of the studs from the present gaps to the wanted ones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct Moves {
    /// Bass side, then treble side.
    pub studs: Vec<StudMove>,
    /// The gap at the bass side afterwards.
    pub bass_after: Length,
    /// The gap at the treble side afterwards.
    pub treble_after: Length,
    /// What to do and what is left over, in a sentence.
    pub sentence: String,
}

/// How a gap at the bass or treble side compares with the starting range.
#[must_use]
pub fn compare(construction: Construction, bass_side: bool, gap: Millimetres) -> GapIs {
    let [bass, treble] = range(construction);
    let [low, high] = if bass_side { bass } else { treble };
    // A gap is read to a tenth of a millimetre at best.
    if gap.0 < low - 0.05 {
        GapIs::Near
    } else if gap.0 > high + 0.05 {
        GapIs::Far
    } else {
        GapIs::Within
    }
}

/// The middle of the starting range: bass, treble.
#[must_use]
pub fn middle(construction: Construction) -> [Millimetres; 2] {
    range(construction).map(|[low, high]| Millimetres((low + high) / 2.0))
}

/// Whether this can be a gap at all.
///
/// # Errors
/// A sentence, when it is zero or so large that nothing could be judged.
pub fn possible(gap: Millimetres) -> Result<(), String> {
    if gap.0 <= 0.0 {
        Err("A gap of zero touches the string. Measure from the pole top to the underside of the string.".to_owned())
    } else if gap.0 > LARGEST {
        Err(format!("At more than {LARGEST} mm hardly anything is heard. Check the unit."))
    } else {
        Ok(())
    }
}

/// The stud turns from the present gaps to the wanted ones; nothing when the rig's pitch is not known.
///
/// The studs stand wider than the strings, so a change at the strings is carried out to the studs along a straight line,
/// rounded there to eighths of a turn, and carried back to say what is left over.
#[must_use]
pub fn moves(
    present: [Millimetres; 2],
    wanted: [Millimetres; 2],
    rig: &Rig,
    spread: Option<Millimetres>,
) -> Option<Moves> {
    let pitch = rig.thread_pitch?.0;
    if pitch <= 0.0 {
        return None;
    }
    let strings = spread.map_or(USUAL_SPREAD, |s| s.0).max(1.0);
    let studs = rig.stud_spread.map_or(strings, |s| s.0).max(1.0);
    let change = [wanted[0].0 - present[0].0, wanted[1].0 - present[1].0];
    let (mean, tilt) = (f64::midpoint(change[0], change[1]), (change[0] - change[1]) / strings);
    // Above the strings a lifted rig widens the gap; below them it narrows it.
    let up = match rig.faces {
        Faces::Down => 1.0,
        Faces::Up => -1.0,
    };
    let eighths = [1.0, -1.0].map(|side| ((mean + side * tilt * studs / 2.0) * up / pitch * PARTS_OF_A_TURN).round());
    let moved = eighths.map(|eighths| eighths / PARTS_OF_A_TURN * pitch * up);
    let (mean, tilt) = (f64::midpoint(moved[0], moved[1]), (moved[0] - moved[1]) / studs);
    let after = [present[0].0 + mean + tilt * strings / 2.0, present[1].0 + mean - tilt * strings / 2.0];
    let left = (after[0] - wanted[0].0).abs().max((after[1] - wanted[1].0).abs());
    let studs = [("Bass side", eighths[0]), ("Treble side", eighths[1])]
        .map(|(side, eighths)| StudMove {
            side: side.to_owned(),
            eighths: eighths as i32,
            words: turn_in_words(eighths as i32),
        })
        .to_vec();
    let sentence = if eighths == [0.0, 0.0] {
        "Leave the studs as they are: less than an eighth of a turn is missing.".to_owned()
    } else if left <= 0.1 {
        "Turn the studs of one side together. This brings the gaps to within a tenth of a millimetre.".to_owned()
    } else {
        format!(
            "Turn the studs of one side together. {left:.1} mm stays left over: an eighth of a turn is the smallest a hand can do."
        )
    };
    Some(Moves {
        studs,
        bass_after: Millimetres(after[0]).into(),
        treble_after: Millimetres(after[1]).into(),
        sentence,
    })
}

/// `1 and 3/8 turns, lifting`.
fn turn_in_words(eighths: i32) -> String {
    if eighths == 0 {
        return "no turn".to_owned();
    }
    let (whole, part) = (eighths.abs() / 8, eighths.abs() % 8);
    let part = match part {
        1 => "one eighth",
        2 => "one quarter",
        3 => "three eighths",
        4 => "one half",
        5 => "five eighths",
        6 => "three quarters",
        7 => "seven eighths",
        _ => "",
    };
    let turns = match (whole, part) {
        (0, part) => format!("{part} of a turn"),
        (1, "") => "one whole turn".to_owned(),
        (whole, "") => format!("{whole} whole turns"),
        (whole, part) => format!("{whole} and {part} turns"),
    };
    let way = if eighths > 0 { "lifting" } else { "lowering" };
    format!("{turns}, {way}")
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn turns_as_a_hand_does_them() {
        let rig = Rig::four_terminal("bench rig");
        let moves = moves([Millimetres(3.4), Millimetres(2.9)], [Millimetres(2.6), Millimetres(2.0)], &rig, None)
            .expect("the rig has a pitch");
        // 0.8 and 0.9 mm down at the strings; 0.77 and 0.93 mm at studs 80 mm apart; 0.7 mm a turn.
        assert_eq!(moves.studs.iter().map(|m| m.eighths).collect::<Vec<_>>(), [-9, -11]);
        assert_eq!(moves.studs[0].words, "1 and one eighth turns, lowering");
        assert!((moves.bass_after.value.0 - 2.6).abs() < 0.05, "{:?}", moves.bass_after);
    }

    #[test]
    fn a_rig_below_the_strings_is_lifted_to_come_nearer() {
        let rig = Rig { faces: Faces::Up, ..Rig::four_terminal("tray") };
        let moves = moves([Millimetres(3.0); 2], [Millimetres(2.3); 2], &rig, None).expect("the rig has a pitch");
        assert_eq!(moves.studs.iter().map(|m| m.words.as_str()).collect::<Vec<_>>(), ["one whole turn, lifting"; 2]);
    }

    #[test]
    fn without_a_pitch_there_are_no_turns() {
        let rig = Rig { thread_pitch: None, ..Rig::four_terminal("shims") };
        assert_eq!(moves([Millimetres(3.0); 2], [Millimetres(2.0); 2], &rig, None), None);
    }

    #[test]
    fn gaps_beside_their_range() {
        for (gap, bass_side, is) in [(1.9, true, GapIs::Near), (2.0, true, GapIs::Within), (2.5, false, GapIs::Far)] {
            assert_eq!(compare(Construction::SingleCoil, bass_side, Millimetres(gap)), is, "{gap}");
        }
        assert!(possible(Millimetres(0.0)).is_err() && possible(Millimetres(25.0)).is_err());
        assert!(possible(Millimetres(2.4)).is_ok());
    }

    proptest! {
        #[test]
        fn turns_bring_the_gaps_there(
            present in prop::array::uniform2(0.5_f64..8.0), wanted in prop::array::uniform2(0.5_f64..8.0),
            pitch in 0.35_f64..1.5, studs in 40.0_f64..120.0, strings in 30.0_f64..60.0,
        ) {
            let rig = Rig {
                thread_pitch: Some(Millimetres(pitch)),
                stud_spread: Some(Millimetres(studs)),
                ..Rig::four_terminal("any")
            };
            let moves = moves(present.map(Millimetres), wanted.map(Millimetres), &rig, Some(Millimetres(strings)))
                .expect("the rig has a pitch");
            // Half an eighth of a turn at each stud, carried to the strings, is all that may be left over.
            let most = pitch / 16.0 * (strings / studs).max(1.0) + 1e-9;
            prop_assert!((moves.bass_after.value.0 - wanted[0]).abs() <= most);
            prop_assert!((moves.treble_after.value.0 - wanted[1]).abs() <= most);
        }
    }
}
