//! A pickup over its strings, to scale, in plan and in section.

use nalgebra::{Rotation3, Vector3};

use super::{EndsAre, Facing, PolesFace};
use crate::coils::coils_of;
use crate::drawing::{Drawn, Of, SHEET, Stands};
use crate::lies::InSpace;
use crate::record::guitar::{Guitar, Hand};
use crate::record::mounting::Way;
use crate::record::pickup::{Construction, Pickup, Poles, Stagger};
use crate::record::quantity::{InInches, Millimetres};
use crate::record::rig::{Faces, Rig};
use crate::sides::across;
use crate::strings;

/// Units of the sheet for one millimetre.
const SCALE: f64 = 2.4;
/// Between the studs where a rig record does not say, in millimetres (common practice).
const USUAL_STUD_SPREAD: f64 = 80.0;
/// From the strings to the guitar's face, in millimetres, where the drawing needs it (common practice).
const STRINGS_OVER_FACE: f64 = 12.0;

/// The outside of a pickup in its own axes, in millimetres: along, across, deep.
pub(super) fn size(pickup: Option<&Pickup>) -> [f64; 3] {
    // Usual outside sizes (common practice), where the record has none.
    let usual = match pickup.map(|pickup| pickup.construction) {
        None
        | Some(Construction::SingleCoil | Construction::Stacked | Construction::Rail | Construction::TappedCoil) => {
            [18.0, 83.0, 18.0]
        }
        Some(Construction::SideBySide) => [38.0, 70.0, 18.0],
        Some(Construction::SoapBar) => [36.0, 86.0, 16.0],
        Some(Construction::Mini) => [29.0, 68.0, 18.0],
    };
    let Some(pickup) = pickup else { return usual };
    [pickup.width, pickup.length, pickup.depth]
        .map(|known| known.map(|known| known.0).filter(|known| (4.0..=150.0).contains(known)))
        .into_iter()
        .zip(usual)
        .map(|(known, usual)| known.unwrap_or(usual))
        .collect::<Vec<_>>()
        .try_into()
        .unwrap_or(usual)
}

/// Something drawn in the pickup's own axes: where it begins and ends, from the middle of the case.
struct Pole {
    from: Vector3<f64>,
    to: Vector3<f64>,
}

fn poles(pickup: &Pickup, strung: Hand, depth: f64) -> Vec<Pole> {
    let rows: Vec<f64> = if pickup.has_coils_side_by_side() {
        coils_of(pickup, strung).into_iter().map(|(_, at)| at.x).collect()
    } else {
        vec![0.0]
    };
    let across: Vec<f64> = match pickup.poles {
        Poles::Hidden | Poles::Blade => Vec::new(),
        Poles::Rods | Poles::Screws => strings::pole_places(pickup, Millimetres(0.0)).unwrap_or_default(),
    };
    let height = |index: usize| match &pickup.stagger {
        Stagger::Staggered { heights } => heights.get(index).map_or(0.0, |height| height.0.min(6.0)),
        Stagger::Flat | Stagger::Unknown => 0.0,
    };
    rows.iter()
        .flat_map(|row| {
            across.iter().enumerate().map(|(index, y)| Pole {
                from: Vector3::new(*row, *y, depth / 2.0),
                to: Vector3::new(*row, *y, depth / 2.0 + 0.8 + height(index)),
            })
        })
        .collect()
}

fn blades(pickup: &Pickup, strung: Hand, length: f64, depth: f64) -> Vec<Pole> {
    let rows: Vec<f64> = if pickup.has_coils_side_by_side() {
        coils_of(pickup, strung).into_iter().map(|(_, at)| at.x).collect()
    } else {
        vec![0.0]
    };
    let half = (length / 2.0 - 10.0).max(5.0);
    rows.into_iter()
        .map(|row| Pole {
            from: Vector3::new(row - 0.8, -half, depth / 2.0),
            to: Vector3::new(row + 0.8, half, depth / 2.0 + 0.8),
        })
        .collect()
}

/// Half of what a coil's letter takes on the sheet, across and down.
const LETTER: [f64; 2] = [5.0, 5.5];
/// Radii on the sheet of a pole's top and of a stud.
const POLE: f64 = 2.4 * SCALE;
const STUD: f64 = 2.0 * SCALE;

/// Whether a letter at a point keeps clear of a circle.
fn clear_of(letter: [f64; 2], circle: [f64; 2], radius: f64) -> bool {
    (letter[0] - circle[0]).abs() >= radius + LETTER[0] || (letter[1] - circle[1]).abs() >= radius + LETTER[1]
}

/// How the guitar's axes come onto the sheet.
struct Sheet {
    /// 1 when the treble side is to the right, −1 on a guitar that is strung for the left hand.
    across: f64,
    strung: Hand,
    middle: f64,
    from_above: bool,
}

impl Sheet {
    fn at(&self, point: Vector3<f64>) -> [f64; 2] {
        let x = SHEET / 2.0 + self.across * SCALE * point.y;
        let y = if self.from_above { self.middle + SCALE * point.x } else { self.middle - SCALE * point.z };
        [x, y]
    }

    /// Whether a direction points out of the sheet.
    fn towards_us(&self, direction: Vector3<f64>) -> f64 {
        // The plan is seen from above, the section from the bridge.
        if self.from_above { direction.z } else { direction.x }
    }
}

fn hand_of(guitar: Option<&Guitar>) -> Hand {
    guitar.map_or(Hand::Right, Guitar::strung_for)
}

/// The case with its poles, its marks and its coils; `over` is where studs are drawn over it.
fn case(
    drawn: &mut Drawn,
    sheet: &Sheet,
    marked: bool,
    pickup: Option<&Pickup>,
    rotation: &Rotation3<f64>,
    middle: Vector3<f64>,
    over: &[[f64; 2]],
) {
    let [width, length, depth] = size(pickup);
    let place = |point: Vector3<f64>| sheet.at(middle + rotation * point);
    let half = Vector3::new(width, length, depth) / 2.0;
    let (one, other) = (place(-half), place(half));
    let out = sheet.towards_us(rotation * Vector3::z());
    let steel: Vec<Pole> = pickup
        .map(|pickup| match pickup.poles {
            Poles::Blade => blades(pickup, sheet.strung, length, depth),
            Poles::Rods | Poles::Screws | Poles::Hidden => poles(pickup, sheet.strung, depth),
        })
        .unwrap_or_default();
    let is_blade = pickup.is_some_and(|pickup| pickup.poles == Poles::Blade);
    let tops = |drawn: &mut Drawn, of: Of| {
        for pole in &steel {
            if is_blade {
                drawn.between(of, place(pole.from), place(pole.to), 0.0);
            } else {
                drawn.round(of, place(pole.to), POLE);
            }
        }
    };
    if out.abs() < 0.5 {
        // From the side: the poles stand out of the case.
        for pole in &steel {
            let radius = if is_blade { Vector3::zeros() } else { Vector3::new(2.4, 2.4, 0.0) };
            drawn.between(Of::Steel, place(pole.from - radius), place(pole.to + radius), 1.0);
        }
    }
    drawn.between(Of::Case, one, other, 5.0);
    if out > 0.5 {
        tops(drawn, Of::Steel);
    } else if out < -0.5 {
        tops(drawn, Of::Hidden);
    }
    if steel.is_empty() {
        pole_side(drawn, out, &place, half);
    }
    let letters: Vec<_> = pickup.filter(|p| p.coils.len() > 1).map(|p| coils_of(p, sheet.strung)).unwrap_or_default();
    // At the treble end, or as near to it as nothing lies over a letter.
    let end = length / 2.0 - 4.0;
    let letters_at = |side: f64| -> Vec<[f64; 2]> {
        letters.iter().map(|(_, at)| place(at + Vector3::new(0.0, side, 0.0))).collect()
    };
    let clear = |points: &Vec<[f64; 2]>| {
        points.iter().all(|point| {
            over.iter().all(|stud| clear_of(*point, *stud, STUD))
                && (is_blade || out.abs() < 0.5 || steel.iter().all(|pole| clear_of(*point, place(pole.to), POLE)))
        })
    };
    let points = (0..300_u32)
        .map(|step| end - 0.25 * f64::from(step))
        .take_while(|side| *side >= 0.0)
        .map(letters_at)
        .find(clear)
        .unwrap_or_else(|| letters_at(end));
    // Seen from a side from which one coil hides the other, letters would lie on each other.
    let apart = points.windows(2).all(|two| (two[0][0] - two[1][0]).hypot(two[0][1] - two[1][1]) > 10.0);
    for ((coil, _), point) in letters.iter().zip(&points).filter(|_| apart) {
        drawn.word(Of::OnCase, [point[0], point[1] + 5.0], Stands::Middle, coil.letter());
    }
    if marked {
        let end = -half.y;
        if sheet.towards_us(rotation * Vector3::y()).abs() > 0.5 {
            let [x, y] = place(Vector3::zeros());
            let mut line = |y: f64, word: &str| drawn.word(Of::OnCase, [x, y], Stands::Middle, word);
            if (one[0] - other[0]).abs() > 70.0 {
                line(y + 5.0, "bass end");
            } else {
                line(y - 3.0, "bass");
                line(y + 12.0, "end");
            }
        } else {
            let corner = |x: f64, z: f64| place(Vector3::new(x, end - 2.0, z));
            let (a, b) = (corner(-half.x, -half.z), corner(half.x, half.z));
            drawn.line(Of::Act, a, b, 6.0);
        }
    }
}

/// Which side the poles are on where none of them are seen, as under a cover: a strip and a word from the side, a word from above or
/// below. `out` is how far their side looks out of the sheet.
fn pole_side(drawn: &mut Drawn, out: f64, place: &impl Fn(Vector3<f64>) -> [f64; 2], half: Vector3<f64>) {
    const STRIP: f64 = 2.5;
    let middle = place(Vector3::zeros());
    let face = place(Vector3::new(0.0, 0.0, half.z));
    let [right, down] = [face[0] - middle[0], face[1] - middle[1]];
    if right.hypot(down) < 1.0 {
        // The case is looked at along its depth: from its poles or from its back.
        let seen = if out > 0.0 { "poles" } else { "back" };
        drawn.word(Of::OnCase, [middle[0], middle[1] + 5.0], Stands::Middle, seen);
        return;
    }
    drawn.between(
        Of::Steel,
        place(Vector3::new(-half.x, -half.y, half.z - STRIP)),
        place(Vector3::new(half.x, half.y, half.z)),
        1.0,
    );
    if down.abs() > right.abs() {
        let at = if down > 0.0 { face[1] - 10.0 } else { face[1] + 19.0 };
        drawn.word(Of::OnCase, [middle[0], at], Stands::Middle, "poles");
    }
}

fn string_lines(guitar: Option<&Guitar>) -> Vec<(f64, f64)> {
    let gauges: Vec<Option<f64>> =
        guitar.map_or_else(|| vec![None; 6], |guitar| guitar.strings.iter().map(|s| s.gauge.map(|g| g.0)).collect());
    let count = gauges.len().max(2);
    gauges
        .into_iter()
        .enumerate()
        .map(|(index, gauge)| {
            let part = index as f64 / (count - 1) as f64;
            (part - 0.5, gauge.unwrap_or(1.15 - 0.9 * part))
        })
        .collect()
}

/// Where the studs stand, in the guitar's axes: along and across, in millimetres.
fn studs(rig: Option<&Rig>) -> Vec<[f64; 2]> {
    let half = rig.and_then(|rig| rig.stud_spread).map_or(USUAL_STUD_SPREAD, |spread| spread.0) / 2.0;
    // Two studs on a side stand one towards the neck and one towards the bridge.
    let pair = |across: f64| [[-12.0, across], [12.0, across]];
    match rig.map_or(4, |rig| rig.studs) {
        2 => vec![[0.0, -half], [0.0, half]],
        3 => [&pair(-half)[..], &[[0.0, half]]].concat(),
        _ => [pair(-half), pair(half)].concat(),
    }
}

/// The rig's bar and studs, from above: in outline, so that the pickup is seen.
fn rig_from_above(drawn: &mut Drawn, sheet: &Sheet, rig: Option<&Rig>) {
    let studs = studs(rig);
    let reach = studs.iter().fold([0.0_f64; 2], |most, at| [most[0].max(at[0].abs()), most[1].max(at[1].abs())]);
    let corner = Vector3::new(reach[0] + 5.0, reach[1] + 5.0, 0.0);
    drawn.between(Of::Hidden, sheet.at(-corner), sheet.at(corner), 6.0);
    for [along, across] in studs {
        drawn.round(Of::Steel, sheet.at(Vector3::new(along, across, 0.0)), STUD);
    }
}

/// The rig's bar and studs, cut across the strings: the bar at `bar`, the guitar's face at `face`, heights in millimetres.
fn rig_across(drawn: &mut Drawn, sheet: &Sheet, rig: Option<&Rig>, bar: f64, face: f64) {
    let half = studs(rig).iter().fold(0.0_f64, |most, at| most.max(at[1].abs()));
    let at = |y: f64, z: f64| sheet.at(Vector3::new(0.0, y, z));
    for side in [-half, half] {
        drawn.between(Of::Steel, at(side - 1.5, face), at(side + 1.5, bar + 4.0), 1.0);
    }
    drawn.between(Of::Steel, at(-half - 5.0, bar), at(half + 5.0, bar + 3.0), 2.0);
}

fn words_of(facing: &Facing, faces: Faces, hand: Hand) -> String {
    let side = match hand {
        Hand::Right => "left",
        Hand::Left => "right",
    };
    let over = match faces {
        Faces::Down => "The pickup hangs above the strings.",
        Faces::Up => "The pickup lies below the strings.",
    };
    format!("The bass strings are on the {side}. {over} {}", facing.sentences.join(" "))
}

/// Seen from above, the neck at the top.
pub(super) fn plan(
    facing: &Facing,
    marked: bool,
    pickup: Option<&Pickup>,
    guitar: Option<&Guitar>,
    rig: Option<&Rig>,
) -> Drawn {
    let (hand, faces) = (hand_of(guitar), rig.map_or(Faces::Down, |rig| rig.faces));
    let across = across(hand);
    let [width, length, depth] = size(pickup);
    let Some(rotation) = facing.lie.rotation() else { return Drawn::default() };
    let reach = (rotation * Vector3::new(width, length, depth)).x.abs().max(40.0);
    let height = reach * SCALE + 64.0;
    let sheet = Sheet { across, strung: hand, middle: height / 2.0, from_above: true };
    let desc = format!("Seen from above, the neck at the top. {}", words_of(facing, faces, hand));
    let mut drawn = Drawn::new("From above", desc, height);
    let spread = guitar.map_or(46.0, |guitar| strings::spread_at(guitar, strings::middle_place(guitar)).0);
    let lines = |drawn: &mut Drawn| {
        for (part, gauge) in string_lines(guitar) {
            let x = SHEET / 2.0 + across * part * spread * SCALE;
            drawn.line(Of::String, [x, 18.0], [x, height - 18.0], gauge * SCALE);
        }
    };
    if faces == Faces::Down {
        lines(&mut drawn);
    }
    let over: Vec<[f64; 2]> =
        studs(rig).into_iter().map(|[along, across]| sheet.at(Vector3::new(along, across, 0.0))).collect();
    case(&mut drawn, &sheet, marked, pickup, &rotation, Vector3::zeros(), &over);
    if faces == Faces::Up {
        lines(&mut drawn);
    }
    rig_from_above(&mut drawn, &sheet, rig);
    let outer = spread / 2.0 * SCALE + 12.0;
    drawn.word(Of::Soft, [SHEET / 2.0, 13.0], Stands::Middle, "neck");
    drawn.word(Of::Soft, [SHEET / 2.0, height - 4.0], Stands::Middle, "bridge");
    for (side, name) in [(-1.0, "bass"), (1.0, "treble")] {
        let stands = if side * across > 0.0 { Stands::Start } else { Stands::End };
        drawn.word(Of::Strong, [SHEET / 2.0 + side * across * outer, height - 4.0], stands, name);
    }
    if marked && facing.ends != EndsAre::Astray {
        let towards = if facing.lie.bass_end == Way::Bass { -across } else { across };
        let x = SHEET / 2.0 + towards * ((length / 2.0 + 5.0) * SCALE);
        let stands = if towards > 0.0 { Stands::Start } else { Stands::End };
        for (line, word) in ["bass", "end"].into_iter().enumerate() {
            drawn.word(Of::Strong, [x, height / 2.0 + 14.0 * line as f64], stands, word);
        }
    }
    drawn
}

/// Cut across the strings, seen from the bridge. `gaps` in millimetres, bass side and treble side.
pub(super) fn section(
    facing: &Facing,
    marked: bool,
    pickup: Option<&Pickup>,
    guitar: Option<&Guitar>,
    rig: Option<&Rig>,
    gaps: [Millimetres; 2],
) -> Drawn {
    let (hand, faces) = (hand_of(guitar), rig.map_or(Faces::Down, |rig| rig.faces));
    let across = across(hand);
    let [width, length, depth] = size(pickup);
    let Some(rotation) = facing.lie.rotation() else { return Drawn::default() };
    let tall = (rotation * Vector3::new(width, length, depth)).z.abs();
    // From the string to the middle of the case: the gap, the poles where they face the strings, half the case.
    let tip = pickup.map_or(0.8, |pickup| {
        0.8 + match &pickup.stagger {
            Stagger::Staggered { heights } => heights.iter().map(|height| height.0.min(6.0)).fold(0.0, f64::max),
            Stagger::Flat | Stagger::Unknown => 0.0,
        }
    });
    let tip = if facing.poles == PolesFace::Strings { tip } else { 0.0 };
    let gap = f64::midpoint(gaps[0].0, gaps[1].0).clamp(0.1, 20.0);
    let away = gap + tip + tall / 2.0;
    let (up, above, below) = match faces {
        Faces::Down => (1.0, away + tall / 2.0 + 8.0, STRINGS_OVER_FACE),
        Faces::Up => (-1.0, 6.0, away + tall / 2.0 + 8.0),
    };
    let height = (above + below) * SCALE + 26.0;
    let sheet = Sheet { across, strung: hand, middle: above * SCALE, from_above: false };
    let (desc, desc_in_inches) = InInches::told(|unit| {
        format!(
            "Cut across the strings, seen from the bridge. {} Drawn with a gap of {}.",
            words_of(facing, faces, hand),
            Millimetres(gap).shown(unit)
        )
    });
    let mut drawn = Drawn { desc_in_inches, ..Drawn::new("Across the strings", desc, height) };
    let face = sheet.middle + below * SCALE;
    drawn.between(Of::Wood, [8.0, face], [SHEET - 8.0, height], 3.0);
    let bar = match faces {
        Faces::Down => away + tall / 2.0,
        Faces::Up => -away - tall / 2.0 - 3.0,
    };
    rig_across(&mut drawn, &sheet, rig, bar, -below);
    case(&mut drawn, &sheet, marked, pickup, &rotation, Vector3::new(0.0, 0.0, up * away), &[]);
    let half = studs(rig).iter().fold(0.0_f64, |most, at| most.max(at[1].abs()));
    let spread = guitar.map_or(46.0, |guitar| strings::spread_at(guitar, strings::middle_place(guitar)).0);
    for (part, gauge) in string_lines(guitar) {
        // The gap is to the near side of the string, so its middle is half a gauge farther.
        let z = -up * gauge / 2.0;
        drawn.round(Of::String, sheet.at(Vector3::new(0.0, part * spread, z)), (gauge / 2.0 * SCALE).max(1.2));
    }
    for (side, name) in [(-1.0, "bass"), (1.0, "treble")] {
        let stands = if side * across > 0.0 { Stands::Start } else { Stands::End };
        // Outside the studs, so that no word stands in one.
        let x = SHEET / 2.0 + side * across * ((spread / 2.0).max(half + 1.5) * SCALE + 8.0);
        drawn.word(Of::Strong, [x, sheet.middle + 5.0], stands, name);
    }
    drawn.word(Of::Soft, [SHEET / 2.0, height - 8.0], Stands::Middle, "the guitar's face, seen from the bridge");
    drawn
}
