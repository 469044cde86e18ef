//! Gaps and sides by another road: points and straight lines in the plane for the height of strings, quaternions and points
//! in the room for where the coils of a pickup and the bass strings of a guitar come to lie. Nothing here calls the core's own
//! geometry to get its reference.

use nalgebra::{Matrix2, UnitQuaternion, Vector2, Vector3};
use serde_json::{Value, json};
use solderlast_core::physics::drawing::{Drawn, Mark, Of};
use solderlast_core::physics::facing;
use solderlast_core::physics::gaps::{Hung, Over, fairness};
use solderlast_core::physics::sides::{LeftRight, TopBottom};
use solderlast_core::physics::strings::{OUTER_LIMIT, strings_over_poles};
use solderlast_core::record::gaps::Strings;
use solderlast_core::record::guitar::{Guitar, Hand};
use solderlast_core::record::mounting::{Lie, Way};
use solderlast_core::record::pickup::{CoilName, Pickup};
use solderlast_core::record::quantity::Millimetres;
use solderlast_core::record::rig::{Faces, Rig};
use solderlast_testkit::Chance;

fn guitar(change: &Value) -> Guitar {
    let strings: Vec<Value> =
        ["E2", "A2", "D3", "G3", "B3", "E4"].iter().map(|note| json!({"note": note, "gauge": null})).collect();
    let mut record = json!({
        "label": "Heron", "hand": "right",
        "strings": strings, "strings_age": "", "scale": 648.0,
        "spread_nut": 35.0, "spread_saddle": 52.5,
        "places": [{"name": "neck", "from_saddle": 162.0}],
        "controls": {}, "finish": {"kind": "poly", "surface": "flat_gloss", "words": ""}, "notes": "",
    });
    for (name, value) in change.as_object().into_iter().flatten() {
        record[name] = value.clone();
    }
    serde_json::from_value(record).expect("a record of a guitar")
}

fn pickup() -> Pickup {
    let coil = |name: &str| json!({"name": name, "stated": null, "magnet_up": null});
    serde_json::from_value(json!({
        "label": "Two ponds", "construction": "side_by_side", "coils": [coil("A"), coil("B")], "leads": [],
        "shield": {"kind": "none"}, "poles": "screws", "pole_count": 6, "pole_spacing": 50.0, "stagger": {"kind": "flat"},
        "coil_distance": 18.0, "bass_end_mark": "notch",
    }))
    .expect("a record of a pickup")
}

/// Where two straight lines through two points each meet `x`.
fn line_at(one: Vector2<f64>, other: Vector2<f64>, x: f64) -> f64 {
    // y = m·x + c, solved as two equations.
    let [m, c] = (Matrix2::new(one.x, 1.0, other.x, 1.0).try_inverse().expect("two points apart")
        * Vector2::new(one.y, other.y))
    .into();
    m * x + c
}

/// A side view of one string: fret tops lie on the line y = 0, the saddle at x = 0 and the nut's slot at the scale length.
/// The open string passes `height` above the last fret; pressed, it runs from the saddle over the fret's top. A pole at
/// `pole_y` stands below or above. All distances are read off the lines.
#[test]
fn pressed_and_open_by_points_and_lines() {
    let mut chance = Chance(0x5eed_0c0f_fee5_1ab5);
    for round in 0..20_000 {
        let scale = chance.between(560.0, 940.0);
        let last_fret = chance.whole(19, 27) as u8;
        let height = [chance.between(0.8, 4.0), chance.between(0.8, 4.0)];
        let fret_x = |fret: u8| {
            // By successive division, as luthiers did it before tables: every fret is nearer by the twelfth root of two.
            (0..fret).fold(scale, |length, _| length / 2f64.powf(1.0 / 12.0))
        };
        let pressed = chance.whole(5, u32::from(last_fret)) as u8;
        let place = chance.between(20.0, fret_x(last_fret).min(fret_x(pressed)) * 0.98);
        let faces = if chance.flip() { Faces::Down } else { Faces::Up };
        let record = guitar(&json!({
            "scale": scale, "last_fret": last_fret, "height_bass": height[0], "height_treble": height[1],
            "hand": if chance.flip() { "left" } else { "right" },
        }));
        let over = Over::of(Some(&record), [Millimetres(place); 2], faces);
        assert!(over.measured);
        let mut expected = [[0.0; 2]; 2];
        let pole_off = [chance.between(0.5, 6.0), chance.between(0.5, 6.0)];
        for side in [0, 1] {
            // The nut's slot lies at the height of the fret tops, so the open string is the line through it and the point above
            // the last fret.
            let nut = Vector2::new(scale, 0.0);
            let above_last = Vector2::new(fret_x(last_fret), height[side]);
            let saddle = Vector2::new(0.0, line_at(nut, above_last, 0.0));
            let open = line_at(nut, above_last, place);
            let held = line_at(saddle, Vector2::new(fret_x(pressed), 0.0), place);
            let pole = match faces {
                Faces::Down => open + pole_off[side],
                Faces::Up => open - pole_off[side],
            };
            expected[side] = [(pole - open).abs(), if faces == Faces::Down { pole - held } else { held - pole }];
        }
        let gaps = [0, 1].map(|side: usize| Millimetres(expected[side][0]));
        let turned = over.turned(gaps, Strings::Open {}, Strings::Pressed { at: pressed });
        let back = over.open(turned, Strings::Pressed { at: pressed });
        for side in [0, 1] {
            assert!((turned[side].0 - expected[side][1]).abs() < 1e-9, "{round} {faces:?} fret {pressed} at {place}");
            assert!((back[side].0 - expected[side][0]).abs() < 1e-9, "{round}");
            let nearer = turned[side].0 < gaps[side].0;
            assert_eq!(nearer, faces == Faces::Up, "pressing takes the string away from a pickup above it");
        }
        // The same strings heard by a rig from above and by an installed pickup from below, as far from the open ones.
        let below = over.facing(Faces::Up);
        let installed = below.turned(gaps, Strings::Open {}, Strings::Pressed { at: pressed });
        let one = Hung {
            gaps: over.turned(gaps, Strings::Open {}, Strings::Pressed { at: pressed }),
            strings: Strings::Pressed { at: pressed },
            over,
        };
        let other = Hung { gaps: installed, strings: Strings::Pressed { at: pressed }, over: below };
        assert!(fairness(&one, &other).fair, "{round}: {}", fairness(&one, &other).sentence);
    }
}

/// The pickup as points in the room: built once, for a guitar that is strung for the right hand, with the bridge along x,
/// the player's right hand side (seen from the bridge) along y, and up along z.
struct Thing {
    coil_a: Vector3<f64>,
    coil_b: Vector3<f64>,
    bass_end: Vector3<f64>,
    poles: Vector3<f64>,
}

const THING: Thing = Thing {
    coil_a: Vector3::new(-9.0, 0.0, 0.0),
    coil_b: Vector3::new(9.0, 0.0, 0.0),
    bass_end: Vector3::new(0.0, -1.0, 0.0),
    poles: Vector3::new(0.0, 0.0, 1.0),
};

fn room(way: Way, bass_y: f64) -> Vector3<f64> {
    match way {
        Way::Up => Vector3::new(0.0, 0.0, 1.0),
        Way::Down => Vector3::new(0.0, 0.0, -1.0),
        Way::Bass => Vector3::new(0.0, bass_y, 0.0),
        Way::Treble => Vector3::new(0.0, -bass_y, 0.0),
        Way::Bridge => Vector3::new(1.0, 0.0, 0.0),
        Way::Neck => Vector3::new(-1.0, 0.0, 0.0),
    }
}

/// All turns by which a thing can lie with its edges along the room's axes.
fn turns() -> Vec<UnitQuaternion<f64>> {
    let quarter = std::f64::consts::FRAC_PI_2;
    let generators = [
        UnitQuaternion::from_axis_angle(&Vector3::x_axis(), quarter),
        UnitQuaternion::from_axis_angle(&Vector3::z_axis(), quarter),
    ];
    let mut all = vec![UnitQuaternion::identity()];
    let mut at = 0;
    while at < all.len() {
        for generator in generators {
            let next = generator * all[at];
            if all.iter().all(|known: &UnitQuaternion<f64>| known.angle_to(&next) > 1e-6) {
                all.push(next);
            }
        }
        at += 1;
    }
    all
}

/// Every lie, hand, stringing and way a rig faces: where the real coils come to lie, by the one turn that brings the thing's
/// bass end and poles where they are said to be.
#[test]
fn coils_of_the_real_thing_for_every_hand_stringing_and_mounting() {
    let (all, pickup) = (turns(), pickup());
    let mut looked = 0;
    for hand in ["right", "left"] {
        for strung in [Value::Null, json!("right"), json!("left")] {
            let record = guitar(&json!({"hand": hand, "strung": strung}));
            let left = strung.as_str().unwrap_or(hand) == "left";
            // Seen from the bridge, the bass strings are at the left where it is strung for the right hand.
            let bass_y = if left { 1.0 } else { -1.0 };
            let turn_of = |lie: Lie| {
                let fits = |q: &&UnitQuaternion<f64>| {
                    ((*q * THING.bass_end) - room(lie.bass_end, bass_y)).norm() < 1e-6
                        && ((*q * THING.poles) - room(lie.poles, bass_y)).norm() < 1e-6
                };
                let found: Vec<_> = all.iter().filter(fits).collect();
                assert_eq!(found.len(), 1, "{lie:?}");
                *found[0]
            };
            for faces in [Faces::Down, Faces::Up] {
                let rig = Rig { faces, ..Rig::four_terminal("any") };
                for lie in Lie::all() {
                    let said = facing::facing(lie, true, Some(&pickup), Some(&record), Some(&rig), &[]);
                    let (here, installed) = (turn_of(lie), turn_of(Lie::INSTALLED));
                    for (coil, at) in [(CoilName::A, THING.coil_a), (CoilName::B, THING.coil_b)] {
                        let told = said.coils.iter().find(|told| told.coil == coil).expect("it has this coil");
                        assert!((told.in_rig.0 - (here * at).x).abs() < 1e-6, "{lie:?} {hand} {strung}");
                        assert!((told.installed.0 - (installed * at).x).abs() < 1e-6, "{lie:?} {hand} {strung}");
                    }
                    let ahead = (here * THING.coil_b).x;
                    let nearest = if ahead > 1.0 {
                        Some(CoilName::B)
                    } else if ahead < -1.0 {
                        Some(CoilName::A)
                    } else {
                        None
                    };
                    assert_eq!(said.coil_at_bridge, nearest, "{lie:?} {hand} {strung} {faces:?}");
                    drawn_alike(lie, &record, &pickup, &rig, &here, bass_y);
                    looked += 1;
                }
            }
        }
    }
    assert_eq!(looked, 2 * 3 * 2 * 24);
}

/// Both drawings of a lie show every letter and the bass side where the same turn brings them: from above with the neck at the
/// top the picture's right is the room's y and its down is x; from the bridge its right is y and its up is z.
fn drawn_alike(lie: Lie, guitar: &Guitar, pickup: &Pickup, rig: &Rig, here: &UnitQuaternion<f64>, bass_y: f64) {
    let gaps = [Millimetres(4.4), Millimetres(3.6)];
    let view = facing::look(lie, true, Some(pickup), Some(guitar), Some(rig), &[], gaps);
    let (plan, section): (Vector3<f64>, Vector3<f64>) = (Vector3::x(), -Vector3::z());
    for (drawn, down) in [(&view.plan, plan), (&view.section, section)] {
        let word = |text: &str, of: Of| {
            drawn.marks.iter().find_map(|mark| match mark {
                Mark::Word { at, text: words, of: is, .. } if words == text && *is == of => Some(*at),
                _ => None,
            })
        };
        let [bass, treble] = ["bass", "treble"].map(|side| word(side, Of::Strong).expect("both sides are named"));
        assert_eq!(treble[0] > bass[0], bass_y < 0.0, "{} {lie:?}", drawn.title);
        if let (Some(a), Some(b)) = (word("A", Of::OnCase), word("B", Of::OnCase)) {
            let across = here * (THING.coil_b - THING.coil_a);
            let picture = [across.y, across.dot(&down)];
            for axis in [0, 1] {
                let apart = b[axis] - a[axis];
                if picture[axis].abs() > 1.0 {
                    assert!(apart * picture[axis] > 0.0, "{} {lie:?}: {a:?} {b:?} {picture:?}", drawn.title);
                } else {
                    assert!(apart.abs() < 1.0, "{} {lie:?}: {a:?} {b:?}", drawn.title);
                }
            }
        }
        // The coloured end of the case.
        let end = drawn.marks.iter().find_map(|mark| match mark {
            Mark::Line { of: Of::Act, from, to, .. } => Some((from[0] + to[0]) / 2.0 - 180.0),
            _ => None,
        });
        let towards = (here * THING.bass_end).y;
        if let Some(end) = end.filter(|_| towards.abs() > 0.5) {
            assert!(end * towards > 0.0, "{} {lie:?}", drawn.title);
        }
    }
}

/// The strings over the poles, and the words by which the pages draw a guitar, agree with the same turn of the picture.
#[test]
fn bass_strings_are_where_the_picture_says() {
    for (hand, strung, left) in [
        ("right", Value::Null, false),
        ("left", Value::Null, true),
        ("right", json!("left"), true),
        ("left", json!("right"), false),
    ] {
        let record = guitar(&json!({"hand": hand, "strung": strung}));
        let bass = Vector2::new(0.0, if left { 1.0 } else { -1.0 });
        // Looked at from the front with the neck up: right is the room's y, up is away from the bridge.
        let neck_up = Vector2::new(bass.y, -bass.x);
        // The picture turned a quarter to the left brings the neck to the left: what was right is up now.
        let neck_left = Vector2::new(-neck_up.y, neck_up.x);
        let sides = solderlast_core::physics::sides::sides(Some(&record));
        assert_eq!(sides.neck_up == LeftRight::Right, neck_up.x > 0.0);
        assert_eq!(sides.from_bridge == LeftRight::Right, bass.y > 0.0);
        assert_eq!(sides.neck_left == TopBottom::Top, neck_left.y > 0.0);
        if hand == "right" && !left {
            assert_eq!(sides.neck_left, TopBottom::Bottom, "a right-handed guitar has its bass strings at the bottom");
        }
        let seen = strings_over_poles(&record, &pickup(), [Millimetres(162.0); 2], Millimetres(0.0), OUTER_LIMIT);
        let strings = lines(&seen.drawn);
        let (first, last) = (strings[0], strings[strings.len() - 1]);
        assert_eq!(first < last, neck_up.x < 0.0, "the bass string is drawn first");
    }
    assert_eq!(Hand::Right, guitar(&json!({})).strung_for());
}

/// The middle of each string, in the order they are drawn.
fn lines(drawn: &Drawn) -> Vec<f64> {
    drawn
        .marks
        .iter()
        .filter_map(|mark| match mark {
            Mark::Line { of: Of::String | Of::Act, from, to, .. } => Some((from[0] + to[0]) / 2.0),
            _ => None,
        })
        .collect()
}
