use std::collections::{BTreeMap, BTreeSet};

use nalgebra::{Matrix3, Vector3};
use solderlast_samples::invented as bench;

use super::*;
use crate::coils::coil_distance;
use crate::lies::{Axis, InSpace, Turned};
use crate::record::guitar::{Guitar, Hand};
use crate::record::mounting::{Lie, Mounting, Side, Way};
use crate::record::pickup::{CoilName, Construction, Pickup, Poles, Stagger};
use crate::record::quantity::Millimetres;
use crate::record::rig::{Faces, Rig};
use crate::record::verdict::VerdictKind;
use crate::sides::vector;

fn rig(faces: Faces) -> Rig {
    Rig { faces, ..Rig::four_terminal("bench rig") }
}

fn look(lie: Lie, pickup: &Pickup, faces: Faces) -> Facing {
    facing(lie, true, Some(pickup), None, Some(&rig(faces)), &[])
}

#[test]
fn twenty_four_proper_rotations() {
    let all: Vec<Lie> = Lie::all().collect();
    assert_eq!(all.iter().collect::<BTreeSet<_>>().len(), 24);
    for lie in all {
        let rotation = lie.rotation().expect("each of the 24 is possible");
        let matrix = rotation.matrix();
        assert!((matrix.determinant() - 1.0).abs() < 1e-12, "{lie:?} is a mirror image");
        assert!((matrix * matrix.transpose() - Matrix3::identity()).norm() < 1e-12, "{lie:?}");
        assert_eq!(Lie::from_rotation(&rotation), Some(lie));
        assert_eq!(rotation * Vector3::z(), vector(lie.poles));
        assert_eq!(rotation * -Vector3::y(), vector(lie.bass_end));
    }
    assert_eq!(Lie::INSTALLED.rotation().map(|rotation| *rotation.matrix()), Some(Matrix3::identity()));
    let impossible = Lie { poles: Way::Up, bass_end: Way::Down };
    assert!(impossible.rotation().is_none() && impossible.turned(Turned::half(Axis::Roll)).is_none());
}

/// A left-handed guitar is the right-handed one in a mirror: the hands turn a proper rotation that is the mirror image
/// of the right-handed one, and every point of the pickup comes to lie at the mirror image of its point there.
#[test]
fn left_handed_is_the_mirror_image() {
    let mirror = Matrix3::from_diagonal(&Vector3::new(1.0, -1.0, 1.0));
    for lie in Lie::all() {
        let right = lie.in_the_room(Hand::Right).expect("possible");
        let left = lie.in_the_room(Hand::Left).expect("possible");
        assert!((left.matrix().determinant() - 1.0).abs() < 1e-12, "{lie:?}");
        for point in [Vector3::x(), Vector3::y(), Vector3::z(), Vector3::new(9.0, -26.0, 4.0)] {
            // The same point of the pickup, installed: in the room it is mirrored.
            let installed_left = mirror * point;
            assert!((left * installed_left - mirror * (right * point)).norm() < 1e-12, "{lie:?}");
        }
    }
    // A quarter flat that turns one way on a right-handed guitar turns the other way on a left-handed one.
    let quarter = Lie::INSTALLED.turned(Turned { about: Axis::Flat, quarters: 1 }).expect("possible");
    let [right, left] = [Hand::Right, Hand::Left].map(|hand| quarter.in_the_room(hand).expect("possible"));
    assert!((right.matrix() - left.matrix()).norm() > 1.0);
    assert!((right.inverse().matrix() - left.matrix()).norm() < 1e-12);
}

/// All 24 lies, both hands, both ways a rig can face, all constructions: the words agree with the matrices.
#[test]
fn the_words_agree_with_the_matrices() {
    for (lie, hand, faces) in every_case() {
        for construction in [
            Construction::SingleCoil,
            Construction::Stacked,
            Construction::SideBySide,
            Construction::SoapBar,
            Construction::Rail,
            Construction::Mini,
        ] {
            let pickup = bench::pickup(construction);
            let guitar = Guitar { hand, ..bench::guitar() };
            let said = facing(lie, true, Some(&pickup), Some(&guitar), Some(&rig(faces)), &[]);
            // In the room, with the mirror of a left-handed guitar taken back out again.
            let mirror = Matrix3::from_diagonal(&Vector3::new(1.0, if hand == Hand::Left { -1.0 } else { 1.0 }, 1.0));
            let room = mirror * lie.in_the_room(hand).expect("possible").matrix() * mirror;
            let (bridge_edge, treble_end, poles) = (room * Vector3::x(), room * Vector3::y(), room * Vector3::z());
            let to_strings = if faces == Faces::Down { -1.0 } else { 1.0 };
            let case = format!("{lie:?} {hand:?} {faces:?} {construction:?}: {}", said.sentences.join(" "));
            let is = |part: &str| said.sentences.iter().any(|sentence| sentence.contains(part));

            let facing = poles.z * to_strings;
            assert_eq!(said.poles == PolesFace::Strings, facing > 0.5, "{case}");
            assert_eq!(is("poles face the strings."), facing > 0.5, "{case}");
            assert_eq!(said.poles == PolesFace::Away, facing < -0.5, "{case}");
            assert_eq!(is("back is to the strings"), facing < -0.5, "{case}");

            assert_eq!(said.ends == EndsAre::Right, treble_end.y > 0.5, "{case}");
            assert_eq!(is("bass end lies over the bass strings"), treble_end.y > 0.5, "{case}");
            assert_eq!(said.ends == EndsAre::Reversed, treble_end.y < -0.5, "{case}");
            assert_eq!(is("bass end lies over the treble strings"), treble_end.y < -0.5, "{case}");

            assert_eq!(said.edge == EdgeIs::AsInstalled, bridge_edge.x > 0.5, "{case}");
            assert_eq!(said.edge == EdgeIs::Swapped, bridge_edge.x < -0.5, "{case}");
            assert_eq!(is("edges have changed places"), bridge_edge.x < -0.5, "{case}");

            let right_stagger = facing > 0.5 && treble_end.y > 0.5;
            assert_eq!(said.stagger == StaggerIs::Right, right_stagger, "{case}");
            assert_eq!(is("each meets the string it is made for"), right_stagger, "{case}");
            assert_eq!(said.stagger == StaggerIs::Reversed, facing > 0.5 && treble_end.y < -0.5, "{case}");

            // The sign: a string that swings up goes away from a pickup below it and comes nearer to one above it.
            let sign = if facing.abs() < 0.5 { None } else { Some(to_strings) };
            let told = match said.signal {
                Signal::AsInstalled => Some(1.0),
                Signal::TurnedOver => Some(-1.0),
                Signal::CantSay => None,
            };
            assert_eq!(told, sign, "{case}");

            if pickup.has_coils_side_by_side() {
                for at in &said.coils {
                    let there = room * Vector3::new(at.installed.0, 0.0, 0.0);
                    assert!((there.x - at.in_rig.0).abs() < 1e-9, "{case}");
                }
                // The thing itself is not mirrored: its coil B is at the edge that faces the bridge on a guitar strung for
                // the right hand, wherever that edge is now.
                let b = lie.of_the_thing(hand).expect("possible") * Vector3::x();
                let at_bridge = match b.x {
                    x if x > 0.5 => Some(CoilName::B),
                    x if x < -0.5 => Some(CoilName::A),
                    _ => None,
                };
                assert_eq!(said.coil_at_bridge, at_bridge, "{case}");
            } else {
                assert!(
                    said.coils.iter().all(|at| said.poles == PolesFace::Sideways || at.in_rig.0.abs() < 1e-9),
                    "{case}"
                );
            }
            if construction == Construction::Stacked {
                let nearest = match facing {
                    f if f > 0.5 => Some(CoilName::A),
                    f if f < -0.5 => Some(CoilName::B),
                    _ => None,
                };
                assert_eq!(said.coil_at_strings, nearest, "{case}");
            }
        }
    }
}

fn every_case() -> impl Iterator<Item = (Lie, Hand, Faces)> {
    Lie::all().flat_map(|lie| {
        [Hand::Right, Hand::Left]
            .into_iter()
            .flat_map(move |hand| [Faces::Down, Faces::Up].map(|faces| (lie, hand, faces)))
    })
}

/// Wherever a mend is told, doing it in the room mends; it is told exactly where something is wrong, and never longer
/// than it has to be.
#[test]
fn the_mend_mends() {
    let pickup = bench::pickup(Construction::SideBySide);
    let mut lengths: BTreeMap<usize, usize> = BTreeMap::new();
    for (lie, hand, faces) in every_case() {
        let said = look(lie, &pickup, faces);
        let right = Lie::right(faces);
        match &said.mend {
            Mend::None {} => assert_eq!(lie, right),
            Mend::Turns { turns, lie: there, words } => {
                assert_ne!(lie, right);
                // Turn after turn about the pickup's own axes, as hands do it in the room.
                let mirror = |m: Matrix3<f64>| {
                    let mirror =
                        Matrix3::from_diagonal(&Vector3::new(1.0, if hand == Hand::Left { -1.0 } else { 1.0 }, 1.0));
                    mirror * m * mirror
                };
                let mut room = *lie.in_the_room(hand).expect("possible").matrix();
                for turn in turns {
                    room *= mirror(*turn.rotation().matrix());
                }
                let wanted = right.in_the_room(hand).expect("possible");
                assert!((room - wanted.matrix()).norm() < 1e-9, "{lie:?} {hand:?} {faces:?}: {words}");
                assert_eq!(*there, right);
                assert_eq!(look(*there, &pickup, faces).mend, Mend::None {});
                if turns.len() == 2 {
                    assert!(Turned::all().all(|turn| lie.turned(turn) != Some(right)), "one turn would do: {lie:?}");
                }
                *lengths.entry(turns.len()).or_default() += 1;
                let verdict = said.verdict();
                assert_eq!(verdict.kind, VerdictKind::Bad, "{lie:?}");
                assert!(verdict.sentence.contains(words.as_str()), "{}", verdict.sentence);
            }
        }
    }
    // Nine lies are one turn away and fourteen are two, for both hands and both rigs.
    assert_eq!(lengths, BTreeMap::from([(1, 9 * 4), (2, 14 * 4)]));
}

/// The half turns of a person who took the pickup the wrong way, with the turn that mends each.
#[test]
fn mends_as_a_person_does_them() {
    let pickup = bench::pickup(Construction::SingleCoil);
    let lie = |poles, bass_end| Lie { poles, bass_end };
    for (wrong, faces, mend) in [
        (lie(Way::Up, Way::Bass), Faces::Down, Axis::Roll),
        (lie(Way::Up, Way::Treble), Faces::Down, Axis::EndOverEnd),
        (lie(Way::Down, Way::Treble), Faces::Down, Axis::Flat),
        (lie(Way::Down, Way::Bass), Faces::Up, Axis::Roll),
        (lie(Way::Down, Way::Treble), Faces::Up, Axis::EndOverEnd),
        (lie(Way::Up, Way::Treble), Faces::Up, Axis::Flat),
    ] {
        match look(wrong, &pickup, faces).mend {
            Mend::Turns { turns, .. } => assert_eq!(turns, [Turned::half(mend)], "{wrong:?}"),
            Mend::None {} => unreachable!("{wrong:?} is wrong"),
        }
    }
}

/// The same marked pickup with its bass end over the bass strings: on a left-handed guitar its other coil is nearest the
/// bridge. How the guitar is strung decides that, not the hand it was built for.
#[test]
fn the_other_coil_is_at_the_bridge_on_a_left_handed_guitar() {
    use crate::record::guitar::Guitar;
    let pickup = bench::pickup(Construction::SideBySide);
    for (hand, strung, coil) in [
        (Hand::Right, None, CoilName::B),
        (Hand::Left, None, CoilName::A),
        (Hand::Right, Some(Hand::Left), CoilName::A),
        (Hand::Left, Some(Hand::Right), CoilName::B),
    ] {
        let guitar = Guitar { hand, strung, ..bench::guitar() };
        let said = facing(Lie::INSTALLED, true, Some(&pickup), Some(&guitar), Some(&rig(Faces::Up)), &[]);
        assert_eq!(said.coil_at_bridge, Some(coil), "{hand:?} {strung:?}");
        assert_eq!((said.edge, said.ends), (EdgeIs::AsInstalled, EndsAre::Right));
    }
}

/// A quarter turn tells by where it ends which way it goes, for every lie.
#[test]
fn a_quarter_turn_says_which_way() {
    let pickup = bench::pickup(Construction::SideBySide);
    for (lie, _, faces) in every_case() {
        for turn in Turned::all().filter(|turn| turn.quarters != 2) {
            let back = Turned { quarters: 4 - turn.quarters, ..turn };
            let (there, other) = (lie.turned(turn).expect("possible"), lie.turned(back).expect("possible"));
            assert_ne!(turn.in_words(there), back.in_words(other), "{lie:?}");
            let points = if turn.about == Axis::Roll { there.poles } else { there.bass_end };
            assert!(turn.in_words(there).ends_with(points.in_words()), "{}", turn.in_words(there));
        }
        let view = super::look(lie, true, Some(&pickup), None, Some(&rig(faces)), &[], [Millimetres(2.0); 2]);
        let names: BTreeSet<&str> = view.turns.iter().map(|turn| turn.name.as_str()).collect();
        assert_eq!(names.len(), 9, "{names:?}");
        if let Mend::Turns { turns, words, .. } = &view.facing.mend {
            let quarters = turns.iter().filter(|turn| turn.quarters != 2).count();
            assert_eq!(words.matches("until its").count(), quarters, "{words}");
        }
    }
}

/// Face down the edges can't be right together with the bass end, whatever one does; face up nothing stays different.
#[test]
fn rolled_face_down_the_edge_is_swapped_and_the_sign_turned_over() {
    let pickup = bench::pickup(Construction::SideBySide);
    let said = look(Lie::right(Faces::Down), &pickup, Faces::Down);
    assert_eq!((said.edge, said.signal, said.stagger), (EdgeIs::Swapped, Signal::TurnedOver, StaggerIs::Right));
    assert_eq!(said.coil_at_bridge, Some(CoilName::A));
    assert!(said.cannot[0].starts_with("No turn can mend all"), "{:?}", said.cannot);
    assert_eq!(said.cannot.len(), 2);
    assert_eq!(said.verdict().kind, VerdictKind::Good);
    let [single] = &said.alone[..] else { unreachable!("one mode has one coil: {:?}", said.alone) };
    assert_eq!((single.coil, single.apart.value), (CoilName::A, Millimetres(18.0)));
    assert_eq!(
        single.sentence,
        "Single is coil A alone, 9 mm nearer the bridge than the pole line. Installed it is 9 mm nearer the neck: what you hear \
         is 18 mm away from where it will be. That takes the coils to be 18 mm apart, as is common: nobody has measured it. Write your \
         own into the pickup's record."
    );
    let up = look(Lie::right(Faces::Up), &pickup, Faces::Up);
    assert!(up.cannot.is_empty());
    assert_eq!((up.edge, up.signal), (EdgeIs::AsInstalled, Signal::AsInstalled));
    assert!(up.alone[0].sentence.contains("where it will be when installed"));
}

#[test]
fn a_distance_of_ones_own_between_the_coils() {
    let pickup = Pickup { coil_distance: Some(Millimetres(20.5)), ..bench::pickup(Construction::SideBySide) };
    assert_eq!(look(Lie::right(Faces::Down), &pickup, Faces::Down).alone[0].apart.value, Millimetres(20.5));
    assert_eq!(coil_distance(&bench::pickup(Construction::SideBySide)), (Millimetres(18.0), false));
}

/// A distance that nobody measured is said to be taken, with where to write one's own; one in the record is not.
#[test]
fn a_distance_that_is_taken_is_said_to_be() {
    for (construction, taken) in
        [(Construction::SideBySide, "18 mm"), (Construction::Rail, "9 mm"), (Construction::Mini, "13 mm")]
    {
        let pickup = Pickup { construction, ..bench::pickup(Construction::SideBySide) };
        let said = &look(Lie::right(Faces::Down), &pickup, Faces::Down).alone[0].sentence;
        assert!(said.contains(&format!("takes the coils to be {taken} apart")) && said.contains("record"), "{said}");
        let known = Pickup { coil_distance: Some(Millimetres(9.5)), ..pickup };
        let said = &look(Lie::right(Faces::Down), &known, Faces::Down).alone[0].sentence;
        assert!(!said.contains("takes the coils"), "{said}");
    }
}

#[test]
fn unmarked_ends_and_stagger_nobody_wrote_down() {
    let staggered = bench::pickup(Construction::SideBySide);
    for bass_end in [Way::Bass, Way::Treble] {
        let lie = Lie { poles: Way::Down, bass_end };
        let said = facing(lie, false, Some(&staggered), None, Some(&rig(Faces::Down)), &[]);
        assert_eq!((said.ends, said.edge, said.coil_at_bridge), (EndsAre::Unmarked, EdgeIs::Unmarked, None));
        assert_eq!((said.mend.clone(), said.verdict().kind), (Mend::None {}, VerdictKind::Unsure));
        assert!(said.alone[0].sentence.contains("Without a mark"), "{}", said.alone[0].sentence);
    }
    // With its back to the strings a roll mends it, marked or not.
    let back = facing(Lie::INSTALLED, false, Some(&staggered), None, Some(&rig(Faces::Down)), &[]);
    assert_eq!(back.verdict().kind, VerdictKind::Bad);
    assert!(back.verdict().sentence.contains("Roll it half a turn"), "{}", back.verdict().sentence);

    let reversed = Lie { poles: Way::Down, bass_end: Way::Treble };
    for (stagger, poles, kind, part) in [
        (Stagger::Unknown, Poles::Rods, VerdictKind::Bad, "Not recorded yet"),
        (
            Stagger::Staggered { heights: Vec::new() },
            Poles::Rods,
            VerdictKind::Bad,
            "bass poles are over treble strings",
        ),
        (Stagger::Flat, Poles::Rods, VerdictKind::Unsure, "two ends are alike"),
        (Stagger::Unknown, Poles::Blade, VerdictKind::Unsure, "two ends are alike"),
        (
            Stagger::Staggered { heights: [0.5, 1.0, 1.0, 0.5].map(Millimetres).to_vec() },
            Poles::Rods,
            VerdictKind::Unsure,
            "two ends are alike",
        ),
    ] {
        let pickup = Pickup { stagger, poles, ..bench::pickup(Construction::SingleCoil) };
        let said = look(reversed, &pickup, Faces::Down);
        assert_eq!(said.verdict().kind, kind, "{:?}", pickup.stagger);
        assert!(said.sentences.join(" ").contains(part), "{:?}", said.sentences);
    }
    let right =
        Pickup { stagger: Stagger::Staggered { heights: Vec::new() }, ..bench::pickup(Construction::SingleCoil) };
    assert!(look(Lie::right(Faces::Down), &right, Faces::Down).sentences.join(" ").contains("not measured"));
}

/// What older entries say by their turn alone comes to the same lie, and what is written now reads as it did.
#[test]
fn mountings_of_older_entries() {
    use crate::record::mounting::Turn;
    let old = |bass_end_over, turn| Mounting { bass_end_over, turn, lie: None };
    for (mounting, poles, bass_end) in [
        (old(Some(Side::Bass), Turn::Rolled), Way::Down, Way::Bass),
        (old(Some(Side::Treble), Turn::EndOverEnd), Way::Down, Way::Treble),
        (old(Some(Side::Bass), Turn::NotTurned), Way::Up, Way::Bass),
        (old(None, Turn::Rolled), Way::Down, Way::Bass),
        (old(None, Turn::EndOverEnd), Way::Down, Way::Treble),
    ] {
        let lie = Lie { poles, bass_end };
        assert_eq!(mounting.lies(), lie);
        let now = Mounting::of(lie, mounting.is_marked());
        assert_eq!((now.bass_end_over, now.turn), (mounting.bass_end_over, mounting.turn));
    }
    let text = r#"{"bass_end_over":"bass","turn":"rolled"}"#;
    assert_eq!(serde_json::from_str::<Mounting>(text).expect("an old entry"), old(Some(Side::Bass), Turn::Rolled));
}

/// The drawings show what the words say: the bass end's mark is on the side where the bass end is.
#[test]
fn drawings_mirror_with_the_hand() {
    use crate::drawing::{Mark, Of};
    let pickup = bench::pickup(Construction::SingleCoil);
    let guitar = |hand| Guitar { hand, ..bench::guitar() };
    for (bass_end, hand, left) in [
        (Way::Bass, Hand::Right, true),
        (Way::Treble, Hand::Right, false),
        (Way::Bass, Hand::Left, false),
        (Way::Treble, Hand::Left, true),
    ] {
        let lie = Lie { poles: Way::Down, bass_end };
        let guitar = guitar(hand);
        let gaps = [Millimetres(2.4), Millimetres(2.0)];
        let seen = super::look(lie, true, Some(&pickup), Some(&guitar), Some(&rig(Faces::Down)), &[], gaps);
        for drawn in [&seen.plan, &seen.section] {
            let mark = drawn.marks.iter().find_map(|mark| match mark {
                Mark::Line { of: Of::Act, from, .. } => Some(from[0]),
                _ => None,
            });
            assert_eq!(mark.map(|x| x < 180.0), Some(left), "{bass_end:?} {hand:?} {}", drawn.title);
            let bass = drawn.marks.iter().find_map(|mark| match mark {
                Mark::Word { at, text, of: Of::Strong, .. } if text == "bass" && at[1] > 20.0 => Some(at[0]),
                _ => None,
            });
            assert!(bass.is_some(), "the bass side is told by a word");
        }
    }
}

/// However far apart the studs stand, none is drawn over the letter of a coil, nor is a pole.
#[test]
fn nothing_lies_over_the_letters_of_the_coils() {
    use crate::drawing::{Mark, Of};
    let mut seen = 0;
    for construction in [Construction::SideBySide, Construction::SoapBar, Construction::Mini] {
        let pickup = bench::pickup(construction);
        for spread in (50..=96).step_by(2) {
            let rig = Rig { stud_spread: Some(Millimetres(f64::from(spread))), ..rig(Faces::Down) };
            for poles in [Way::Down, Way::Up] {
                let lie = Lie { poles, bass_end: Way::Bass };
                let gaps = [Millimetres(2.4), Millimetres(2.0)];
                let plan = super::look(lie, false, Some(&pickup), Some(&bench::guitar()), Some(&rig), &[], gaps).plan;
                for letter in &plan.marks {
                    let Mark::Word { of: Of::OnCase, at: [x, y], text, .. } = letter else { continue };
                    seen += 1;
                    for mark in &plan.marks {
                        let Mark::Round { of: Of::Steel, at, radius } = mark else { continue };
                        // A letter's middle is above the line that it stands on.
                        let away = ((at[0] - x).abs() - 5.0).max((at[1] - (y - 5.0)).abs() - 5.5);
                        assert!(away >= radius - 0.2, "{text} of {construction:?}, studs {spread} mm apart");
                    }
                }
            }
        }
    }
    assert!(seen > 50, "letters were drawn: {seen}");
}

/// Where a cover hides the poles, the drawings still tell which side they are on, in every lie.
#[test]
fn which_side_hidden_poles_are_on_is_seen() {
    use crate::drawing::{Drawn, Mark, Of};
    let words = |drawn: &Drawn, wanted: &str| -> Vec<[f64; 2]> {
        let at = |mark: &Mark| match mark {
            Mark::Word { of: Of::OnCase, at, text, .. } if text == wanted => Some(*at),
            _ => None,
        };
        drawn.marks.iter().filter_map(at).collect()
    };
    for construction in [Construction::SingleCoil, Construction::SideBySide, Construction::Rail] {
        let covered = Pickup { poles: Poles::Hidden, ..bench::pickup(construction) };
        let bare = Pickup { poles: Poles::Rods, ..covered.clone() };
        for (lie, hand) in Lie::all().flat_map(|lie| [(lie, Hand::Right), (lie, Hand::Left)]) {
            let guitar = Guitar { hand, ..bench::guitar() };
            let gaps = [Millimetres(2.4), Millimetres(2.0)];
            let look =
                |pickup| super::look(lie, false, Some(pickup), Some(&guitar), Some(&rig(Faces::Down)), &[], gaps);
            let (seen, of_bare) = (look(&covered), look(&bare));
            for drawn in [&of_bare.plan, &of_bare.section] {
                assert!(
                    words(drawn, "poles").is_empty() && words(drawn, "back").is_empty(),
                    "they are drawn themselves"
                );
            }
            let (up, down) = (lie.poles == Way::Up, lie.poles == Way::Down);
            let [poles, back] = ["poles", "back"].map(|word| !words(&seen.plan, word).is_empty());
            assert_eq!(back, down, "{lie:?}");
            assert!(poles || !up, "{lie:?}");
            if up || down {
                let case = seen.section.marks.iter().find_map(|mark| match mark {
                    Mark::Box { at, size, of: Of::Case, .. } => Some(at[1] + size[1] / 2.0),
                    _ => None,
                });
                let word = words(&seen.section, "poles").first().map(|at| at[1] - 4.5);
                let (case, word) = (case.expect("a case"), word.expect("a word"));
                assert_eq!(word > case, down, "{lie:?} {construction:?}: {word} {case}");
            }
        }
    }
}
