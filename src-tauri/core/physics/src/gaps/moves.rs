//! Turns of the studs, from the present gaps to the wanted ones.

use serde::{Deserialize, Serialize};
use ts_rs::TS;

use crate::record::quantity::{InInches, Length, LengthUnit, Millimetres};
use crate::record::rig::{Faces, Rig};
use crate::record::words::capital;
use crate::strings::USUAL_SPREAD_SADDLE;

/// The smallest part of a turn a hand can do.
const PARTS_OF_A_TURN: f64 = 8.0;

/// What to do at one side.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct StudMove {
    /// "Bass stud" or "Both bass studs".
    pub side: String,
    /// Eighths of a turn; above zero lifts the rig, below zero lowers it.
    pub eighths: i32,
    /// The move in words: "three eighths of a turn, lifting".
    pub words: String,
}

/// Turns of the studs from the present gaps to the wanted ones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/gaps.ts")]
pub struct Moves {
    /// Bass side, then treble side.
    pub studs: Vec<StudMove>,
    /// The gap at the bass side afterwards.
    pub bass_after: Length,
    /// The gap at the treble side afterwards.
    pub treble_after: Length,
    /// What is left over at the side where more is, in size.
    pub left: Length,
    /// Whether the studs can't go as far as it would need.
    pub out_of_range: bool,
    /// What to do and what is left over, in a sentence.
    pub sentence: String,
    /// The same in inches; nothing where it tells no length.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[ts(optional)]
    pub sentence_in_inches: Option<InInches>,
}

/// The stud turns from the present gaps to the wanted ones; nothing when the rig's pitch is not known.
///
/// The studs stand wider than the strings, so a change at the strings is carried out to the studs along a straight line,
/// rounded there to eighths of a turn, kept within what the studs can travel, and carried back to say what is left over.
/// `out` says how far the studs of the bass and the treble side stand out of their lowest position, where that was
/// measured; without it, only a move longer than the whole travel is known to be impossible.
#[must_use]
pub fn moves(
    present: [Millimetres; 2],
    wanted: [Millimetres; 2],
    rig: &Rig,
    spread: Option<Millimetres>,
    out: Option<[Millimetres; 2]>,
) -> Option<Moves> {
    let pitch = rig.thread_pitch?.0;
    if pitch <= 0.0 {
        return None;
    }
    let strings = spread.unwrap_or(USUAL_SPREAD_SADDLE).0.max(1.0);
    let studs = rig.stud_spread.map_or(strings, |s| s.0).max(1.0);
    let change = [wanted[0].0 - present[0].0, wanted[1].0 - present[1].0];
    let (mean, tilt) = (f64::midpoint(change[0], change[1]), (change[0] - change[1]) / strings);
    // Above the strings a lifted rig widens the gap; below them it narrows it.
    let up = match rig.faces {
        Faces::Down => 1.0,
        Faces::Up => -1.0,
    };
    let wanted_eighths =
        [1.0, -1.0].map(|side| ((mean + side * tilt * studs / 2.0) * up / pitch * PARTS_OF_A_TURN).round());
    let eighths = [0, 1].map(|side| within_travel(wanted_eighths[side], rig, pitch, out.map(|out| out[side].0)));
    let out_of_range = eighths != wanted_eighths;
    let moved = eighths.map(|eighths| eighths / PARTS_OF_A_TURN * pitch * up);
    let (mean, tilt) = (f64::midpoint(moved[0], moved[1]), (moved[0] - moved[1]) / studs);
    let after = [present[0].0 + mean + tilt * strings / 2.0, present[1].0 + mean - tilt * strings / 2.0];
    let left = (after[0] - wanted[0].0).abs().max((after[1] - wanted[1].0).abs());
    let studs = ["bass", "treble"]
        .iter()
        .zip(eighths)
        .map(|(side, eighths)| StudMove {
            side: match rig.studs {
                2 => format!("{} stud", capital(side)),
                4 => format!("Both {side} studs"),
                _ => format!("Studs at the {side} side"),
            },
            eighths: eighths as i32,
            words: turn_in_words(eighths as i32),
        })
        .collect();
    let (sentence, sentence_in_inches) = InInches::told(|unit| sentence(rig, eighths, left, out_of_range, unit));
    Some(Moves {
        studs,
        bass_after: Millimetres(after[0]).into(),
        treble_after: Millimetres(after[1]).into(),
        left: Millimetres(left).into(),
        out_of_range,
        sentence,
        sentence_in_inches,
    })
}

/// Eighths of a turn, no farther than the studs can go.
fn within_travel(eighths: f64, rig: &Rig, pitch: f64, out: Option<f64>) -> f64 {
    let Some(travel) = rig.stud_travel.map(|travel| travel.0.max(0.0)) else { return eighths };
    let (lower, higher) =
        out.map_or((travel, travel), |out| (out.clamp(0.0, travel), (travel - out).clamp(0.0, travel)));
    // A little more than exact, so that a travel of just so many eighths is not lost to rounding.
    let most = |room: f64| (room / pitch * PARTS_OF_A_TURN + 1e-9).floor();
    eighths.clamp(-most(lower), most(higher))
}

fn sentence(rig: &Rig, eighths: [f64; 2], left: f64, out_of_range: bool, unit: LengthUnit) -> String {
    let left_over = Millimetres(left).shown(unit);
    if out_of_range {
        return format!(
            "The studs can't go that far: {left_over} stays left over. Put spacers under the feet, or seat the pickup \
             differently in its holder."
        );
    }
    if eighths == [0.0, 0.0] {
        return "Leave the studs as they are: less than an eighth of a turn is missing.".to_owned();
    }
    let together = if rig.studs > 2 { "Turn the studs of one side together. " } else { "" };
    if left <= 0.1 {
        let within = match unit {
            LengthUnit::Millimetre => "a tenth of a millimetre",
            LengthUnit::DecimalInch | LengthUnit::Sixtyfourth => "four thousandths of an inch",
        };
        format!("{together}This brings the gaps to within {within}.")
    } else {
        format!("{together}{left_over} stays left over: an eighth of a turn is the smallest a hand can do.")
    }
}

/// `one and three eighths turns, lifting`.
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

    fn mm(gaps: [f64; 2]) -> [Millimetres; 2] {
        gaps.map(Millimetres)
    }

    #[test]
    fn turns_as_a_hand_does_them() {
        let rig = Rig::four_terminal("bench rig");
        let moves = moves(mm([3.4, 2.9]), mm([2.6, 2.0]), &rig, None, None).expect("the rig has a pitch");
        // 0.8 and 0.9 mm down at the strings; 0.77 and 0.93 mm at studs 80 mm apart; 0.7 mm a turn.
        assert_eq!(moves.studs.iter().map(|m| m.eighths).collect::<Vec<_>>(), [-9, -11]);
        assert_eq!(moves.studs[0].words, "1 and one eighth turns, lowering");
        assert_eq!(moves.studs[0].side, "Both bass studs");
        assert!((moves.bass_after.value.0 - 2.6).abs() < 0.05, "{:?}", moves.bass_after);
    }

    #[test]
    fn three_eighths_at_the_bass_stud() {
        let rig = Rig { studs: 2, stud_spread: None, ..Rig::four_terminal("two studs") };
        let moves =
            moves(mm([2.0, 2.0]), mm([2.26, 2.0]), &rig, Some(Millimetres(50.0)), None).expect("it has a pitch");
        let said: Vec<String> = moves.studs.iter().map(|m| format!("{}: {}", m.side, m.words)).collect();
        assert_eq!(said, ["Bass stud: three eighths of a turn, lifting", "Treble stud: no turn"]);
    }

    #[test]
    fn a_rig_below_the_strings_is_lifted_to_come_nearer() {
        let rig = Rig { faces: Faces::Up, ..Rig::four_terminal("tray") };
        let moves = moves(mm([3.0; 2]), mm([2.3; 2]), &rig, None, None).expect("the rig has a pitch");
        assert_eq!(moves.studs.iter().map(|m| m.words.as_str()).collect::<Vec<_>>(), ["one whole turn, lifting"; 2]);
    }

    #[test]
    fn without_a_pitch_there_are_no_turns() {
        let rig = Rig { thread_pitch: None, ..Rig::four_terminal("shims") };
        assert_eq!(moves(mm([3.0; 2]), mm([2.0; 2]), &rig, None, None), None);
    }

    #[test]
    fn studs_go_no_farther_than_they_can() {
        let rig = Rig { stud_travel: Some(Millimetres(7.0)), ..Rig::four_terminal("short studs") };
        let lowered = moves(mm([12.0; 2]), mm([2.0; 2]), &rig, None, None).expect("the rig has a pitch");
        // 7 mm at 0.7 mm a turn are ten turns.
        assert_eq!(lowered.studs.iter().map(|m| m.eighths).collect::<Vec<_>>(), [-80, -80]);
        assert!(lowered.out_of_range && lowered.sentence.contains("3 mm stays left over"), "{}", lowered.sentence);
        let told = lowered.sentence_in_inches.expect("it tells a length");
        assert!(told.decimal_inch.contains("0.118 in stays left over"), "{}", told.decimal_inch);
        // Standing 1.4 mm out, they can be lowered by two turns and lifted by eight.
        let out = Some(mm([1.4; 2]));
        let down = moves(mm([5.0; 2]), mm([2.0; 2]), &rig, None, out).expect("the rig has a pitch");
        assert_eq!(down.studs[0].eighths, -16);
        let up = moves(mm([2.0; 2]), mm([4.8; 2]), &rig, None, out).expect("the rig has a pitch");
        assert_eq!((up.studs[0].eighths, up.out_of_range), (32, false));
    }

    proptest! {
        #[test]
        fn turns_bring_the_gaps_there(
            present in prop::array::uniform2(0.5_f64..8.0), wanted in prop::array::uniform2(0.5_f64..8.0),
            pitch in 0.35_f64..1.5, studs in 40.0_f64..120.0, strings in 30.0_f64..60.0, faces_up: bool,
        ) {
            let rig = Rig {
                faces: if faces_up { Faces::Up } else { Faces::Down },
                thread_pitch: Some(Millimetres(pitch)),
                stud_spread: Some(Millimetres(studs)),
                stud_travel: None,
                ..Rig::four_terminal("any")
            };
            let moves = moves(mm(present), mm(wanted), &rig, Some(Millimetres(strings)), None).expect("it has a pitch");
            // Half an eighth of a turn at each stud, carried to the strings, is all that may be left over.
            let most = pitch / 16.0 * (strings / studs).max(1.0) + 1e-9;
            prop_assert!((moves.bass_after.value.0 - wanted[0]).abs() <= most);
            prop_assert!((moves.treble_after.value.0 - wanted[1]).abs() <= most);
            prop_assert!(moves.left.value.0 <= most);
        }

        /// The turns, done by hand on two straight lines, end where they are said to end.
        #[test]
        fn turns_done_at_the_studs_end_where_they_are_said_to(
            present in prop::array::uniform2(0.5_f64..8.0), wanted in prop::array::uniform2(0.5_f64..8.0),
            studs in 40.0_f64..120.0, strings in 30.0_f64..60.0, travel in 0.5_f64..10.0, out in 0.0_f64..1.0,
        ) {
            let rig = Rig {
                stud_spread: Some(Millimetres(studs)),
                stud_travel: Some(Millimetres(travel)),
                ..Rig::four_terminal("any")
            };
            let out = travel * out;
            let moves = moves(mm(present), mm(wanted), &rig, Some(Millimetres(strings)), Some(mm([out; 2]))).expect("a pitch");
            let lift: Vec<f64> = moves.studs.iter().map(|stud| f64::from(stud.eighths) / 8.0 * 0.7).collect();
            for lift in &lift {
                prop_assert!(out + lift >= -1e-6 && out + lift <= travel + 1e-6, "a stud that stands {out} out moves by {lift}");
            }
            // The holder is a straight bar between the studs; the outer strings stand somewhere along it.
            let at = |y: f64| lift[0] + (lift[1] - lift[0]) * (y + studs / 2.0) / studs;
            let after = [present[0] + at(-strings / 2.0), present[1] + at(strings / 2.0)];
            prop_assert!((after[0] - moves.bass_after.value.0).abs() < 1e-9);
            prop_assert!((after[1] - moves.treble_after.value.0).abs() < 1e-9);
            let left = (after[0] - wanted[0]).abs().max((after[1] - wanted[1]).abs());
            prop_assert!((left - moves.left.value.0).abs() < 1e-9);
        }
    }
}
