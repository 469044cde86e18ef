//! Turns of the studs, tried one eighth after the other on a straight bar across the strings: those that are told come nearest,
//! go the right way, and leave over what is said.

use solderlast_core::physics::gaps::moves;
use solderlast_core::record::quantity::Millimetres;
use solderlast_core::record::rig::{Faces, Rig};
use solderlast_testkit::Chance;

/// Where a straight line through the values at both ends of a length is, so far from its middle.
fn along([first, last]: [f64; 2], length: f64, from_middle: f64) -> f64 {
    first + (last - first) * (0.5 + from_middle / length)
}

/// `one and three eighths turns, lifting` in eighths, lifting above zero.
fn in_eighths(words: &str) -> i32 {
    let Some((turns, way)) = words.split_once(", ") else {
        assert_eq!(words, "no turn");
        return 0;
    };
    let parts =
        ["one eighth", "one quarter", "three eighths", "one half", "five eighths", "three quarters", "seven eighths"];
    let part = parts.iter().zip(1..).find(|(part, _)| turns.contains(**part)).map_or(0, |(_, eighths)| eighths);
    let first = turns.split(' ').next().unwrap_or_default();
    let whole = if turns == "one whole turn" { 1 } else { first.parse().unwrap_or(0) };
    match way {
        "lifting" => 8 * whole + part,
        "lowering" => -(8 * whole + part),
        other => panic!("{other}"),
    }
}

#[test]
fn the_turns_that_are_told_come_nearest_of_all_that_a_hand_can_do() {
    let mut chance = Chance::seeded(44);
    let (mut stopped, mut still) = (0, 0);
    for round in 0..1000 {
        let (pitch, apart, strings) =
            (chance.between(0.35, 1.5), chance.between(40.0, 120.0), chance.between(30.0, 60.0));
        let down = chance.flip();
        let travel = chance.flip().then(|| chance.between(0.5, 12.0));
        let out = travel.filter(|_| chance.flip()).map(|travel| [0, 1].map(|_| chance.between(0.0, travel)));
        let present = [0, 1].map(|_| chance.between(0.5, 8.0));
        // Some are nearly there.
        let far = chance.of(&[0.1, 1.0, 7.0]);
        let wanted = present.map(|gap| gap + chance.between(-far, far));
        let rig = Rig {
            faces: if down { Faces::Down } else { Faces::Up },
            thread_pitch: Some(Millimetres(pitch)),
            studs: chance.of(&[2, 3, 4]),
            stud_spread: Some(Millimetres(apart)),
            stud_travel: travel.map(Millimetres),
            ..Rig::four_terminal("any")
        };
        let told = moves(
            present.map(Millimetres),
            wanted.map(Millimetres),
            &rig,
            Some(Millimetres(strings)),
            out.map(|out| out.map(Millimetres)),
        )
        .expect("it has a pitch");
        // Above the strings what is lifted goes away from them, below them it comes nearer.
        let sign = if down { 1.0 } else { -1.0 };
        let change = [0, 1].map(|side: usize| sign * (wanted[side] - present[side]));
        let mut lifted = [0.0; 2];
        let mut free = true;
        for (side, end) in [-0.5, 0.5].into_iter().enumerate() {
            let lift = along(change, strings, end * apart);
            let allowed = |eighths: i32| {
                let by = f64::from(eighths) * pitch / 8.0;
                match (travel, out) {
                    (Some(travel), Some(out)) => (-1e-9..=travel + 1e-9).contains(&(out[side] + by)),
                    (Some(travel), None) => by.abs() <= travel + 1e-9,
                    (None, _) => true,
                }
            };
            let off = |eighths: i32| (f64::from(eighths) * pitch / 8.0 - lift).abs();
            let nearest = (-1200..=1200).min_by(|one, other| off(*one).total_cmp(&off(*other))).unwrap_or(0);
            let best = (-1200..=1200).filter(|eighths| allowed(*eighths));
            let best = best.min_by(|one, other| off(*one).total_cmp(&off(*other))).unwrap_or(0);
            let stud = &told.studs[side];
            assert_eq!((stud.eighths, in_eighths(&stud.words)), (best, best), "{round}: {told:?} {rig:?} {lift}");
            assert!(stud.side.to_lowercase().contains(["bass", "treble"][side]), "{round}: {told:?}");
            lifted[side] = f64::from(best) * pitch / 8.0;
            free &= nearest == best;
        }
        let after = [-0.5, 0.5].map(|end| sign * along(lifted, apart, end * strings));
        let after = [present[0] + after[0], present[1] + after[1]];
        let left = (after[0] - wanted[0]).abs().max((after[1] - wanted[1]).abs());
        assert!((told.bass_after.value.0 - after[0]).abs() < 1e-9, "{round}: {told:?}");
        assert!((told.treble_after.value.0 - after[1]).abs() < 1e-9, "{round}: {told:?}");
        assert!((told.left.value.0 - left).abs() < 1e-9, "{round}: {told:?}");
        assert_eq!(told.out_of_range, !free, "{round}: {told:?} {rig:?}");
        let none = free && lifted == [0.0; 2];
        assert_eq!(told.sentence.starts_with("Leave the studs"), none, "{round}: {told:?}");
        stopped += usize::from(!free);
        still += usize::from(none);
    }
    assert!(stopped > 20 && still > 5, "{stopped} {still}");
}
