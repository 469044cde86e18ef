//! Strings over poles, and harmonics as bars.

use super::offsets::StringOffset;
use super::place::HarmonicRow;
use super::{outer_at, slant};
use crate::coils::coils_of;
use crate::drawing::{Drawn, Of, SHEET, Stands};
use crate::record::guitar::Guitar;
use crate::record::pickup::{CoilName, Pickup, Poles};
use crate::record::quantity::{InInches, LengthUnit, Millimetres};
use crate::sides::across;

/// How far rows of poles are apart on the sheet: along the strings it is not to scale.
const ROWS: f64 = 34.0;

/// How far the case goes beyond the outermost pole, and how far within its end the letter of a coil stands: clear of both.
const END: f64 = 34.0;
const LETTER: f64 = 10.0;

/// The rows of poles from the neck to the bridge, as they lie installed: how far each is from the middle of the sheet, and its coil
/// where there are several.
fn rows(guitar: &Guitar, pickup: &Pickup) -> Vec<(f64, Option<CoilName>)> {
    if !pickup.has_coils_side_by_side() {
        return vec![(0.0, None)];
    }
    let mut coils = coils_of(pickup, guitar.strung_for());
    coils.sort_by(|(_, one), (_, other)| one.x.total_cmp(&other.x));
    let middle = (coils.len() as f64 - 1.0) / 2.0;
    coils.iter().enumerate().map(|(row, (coil, _))| ((row as f64 - middle) * ROWS, Some(*coil))).collect()
}

/// A row of poles: how far it is from the middle, and its coil.
type Row = (f64, Option<CoilName>);

/// The same in words: where the bass strings are, how coils lie, where the mark is, what each string does.
fn described(
    bass_left: bool,
    lie: Option<&Vec<Row>>,
    marked: Option<&Pickup>,
    offsets: &[StringOffset],
    unit: LengthUnit,
) -> String {
    let offset = |string: &StringOffset| {
        format!("{}: {}.", string.note, InInches::in_unit(&string.words, string.in_inches.as_ref(), unit))
    };
    let side = if bass_left { "left" } else { "right" };
    let lie = match lie.map(Vec::as_slice) {
        Some([(_, Some(neck)), .., (_, Some(bridge))]) => {
            Some(format!("Coil {} at the neck side, coil {} at the bridge side.", neck.letter(), bridge.letter()))
        }
        _ => None,
    };
    let mark = marked.map(|pickup| format!("The mark ({}) is at the bass end.", pickup.bass_end_mark.trim()));
    std::iter::once(format!("Seen from above, the neck at the top, the bass strings on the {side}."))
        .chain(lie)
        .chain(mark)
        .chain(offsets.iter().map(offset))
        .collect::<Vec<_>>()
        .join(" ")
}

/// Strings over poles at `place`, seen from above with the neck at the top. Installed, each coil has its letter and the bass end
/// its mark; a pickup in a rig may lie otherwise.
pub(super) fn over_poles(
    guitar: &Guitar,
    pickup: &Pickup,
    place: [Millimetres; 2],
    strings: &[f64],
    poles: Option<&[f64]>,
    offsets: &[StringOffset],
    installed: bool,
) -> Drawn {
    let mirror = across(guitar.strung_for());
    let outermost = strings.iter().chain(poles.unwrap_or_default()).fold(20.0_f64, |most, at| most.max(at.abs()));
    let scale = 130.0 / outermost;
    let x = |across: f64| SHEET / 2.0 + mirror * across * scale;
    let rows = rows(guitar, pickup);
    let half = 26.0 + ROWS / 2.0 * (rows.len() as f64 - 1.0);
    let (top, pole_line, bottom) = (24.0, 52.0 + half, 80.0 + 2.0 * half);
    let marked = installed && !pickup.bass_end_mark.trim().is_empty();
    let (desc, desc_in_inches) = InInches::told(|unit| {
        described(mirror > 0.0, installed.then_some(&rows), marked.then_some(pickup), offsets, unit)
    });
    let mut drawn = Drawn { desc_in_inches, ..Drawn::new("Strings over poles", desc, bottom + 36.0) };
    let ends = [x(-outermost) - mirror * END, x(outermost) + mirror * END];
    drawn.between(Of::Case, [ends[0], pole_line - half], [ends[1], pole_line + half], 10.0);
    if marked {
        drawn.line(Of::Act, [ends[0], pole_line - half + 6.0], [ends[0], pole_line + half - 6.0], 6.0);
    }
    for (row, coil) in &rows {
        if pickup.poles == Poles::Blade {
            drawn.between(
                Of::Steel,
                [x(-outermost) - mirror * 12.0, pole_line + row - 3.0],
                [x(outermost) + mirror * 12.0, pole_line + row + 3.0],
                1.0,
            );
        }
        if let Some(coil) = coil.filter(|_| installed) {
            drawn.word(Of::OnCase, [ends[1] - mirror * LETTER, pole_line + row + 5.0], Stands::Middle, coil.letter());
        }
    }
    // Aslant, the pole line runs nearer the neck, which is up, at the bass side.
    let span = (outermost * 2.0).max(1.0);
    let lean = (slant(guitar, place) * scale).clamp(-30.0, 30.0);
    for (row, _) in &rows {
        for pole in poles.unwrap_or_default() {
            drawn.round(Of::Steel, [x(*pole), pole_line + row + lean * pole / span], 2.4 * scale);
        }
    }
    // The fan, drawn a quarter of the scale long to each side.
    let reach = guitar.scale.0 / 8.0;
    let apart = |by: f64| {
        let [bass, treble] = outer_at(guitar, place.map(|place| Millimetres(place.0 + by)));
        (treble - bass).max(1.0)
    };
    let wider = |by: f64| apart(by) / apart(0.0);
    let count = strings.len();
    for (index, string) in strings.iter().enumerate() {
        let far = offsets.get(index).is_some_and(|offset| offset.far);
        let gauge = guitar.strings.get(index).and_then(|string| string.gauge);
        let part = index as f64 / (count.max(2) - 1) as f64;
        let width = gauge.map_or(1.15 - 0.9 * part, |gauge| gauge.0) * 2.4;
        let of = if far { Of::Act } else { Of::String };
        drawn.line(of, [x(string * wider(reach)), top], [x(string * wider(-reach)), bottom], width);
        if let Some(offset) = offsets.get(index) {
            let of = if far { Of::Strong } else { Of::Plain };
            drawn.word(of, [x(string * wider(reach)), 16.0], Stands::Middle, offset.note.clone());
        }
    }
    for (end, name) in [(strings.first(), "bass"), (strings.last(), "treble")] {
        if let Some(at) = end {
            drawn.word(Of::Strong, [x(*at), bottom + 18.0], Stands::Middle, name);
        }
    }
    drawn.word(Of::Soft, [SHEET / 2.0, bottom + 32.0], Stands::Middle, "bridge");
    drawn
}

/// The lowest level the bars show, in decibels.
const LOWEST: f64 = -40.0;

/// The harmonics as bars, the rig's place beside the final one.
pub(super) fn bars(title: String, rows: &[HarmonicRow]) -> Drawn {
    let (left, right, top, bottom) = (38.0, SHEET - 4.0, 34.0, 170.0);
    let told: Vec<String> =
        rows.iter().filter(|row| row.rig_silent || row.last_silent).map(HarmonicRow::in_words).collect();
    let desc = if told.is_empty() {
        "Levels of the harmonics 1 to 20 at both places. None of them is silent. The table has the numbers.".to_owned()
    } else {
        format!("Levels of the harmonics 1 to 20 at both places. {} The table has the numbers.", told.join(" "))
    };
    let mut drawn = Drawn::new(title, desc, 214.0);
    let y = |level: f64| top + (bottom - top) * (level.max(LOWEST) / LOWEST).clamp(0.0, 1.0);
    for level in [0.0, -20.0, LOWEST] {
        drawn.line(Of::Thin, [left, y(level)], [right, y(level)], 1.0);
        drawn.word(
            Of::Soft,
            [left - 4.0, y(level) + 4.0],
            Stands::End,
            if level == 0.0 { "0 dB".to_owned() } else { format!("−{:.0}", -level) },
        );
    }
    let step = (right - left) / rows.len().max(1) as f64;
    for (index, row) in rows.iter().enumerate() {
        let from = left + step * index as f64;
        let bar = |drawn: &mut Drawn, of: Of, x: f64, level: f64, silent: bool| {
            if silent {
                drawn.round(of, [x + step * 0.19, bottom - 4.0], 2.6);
            } else {
                drawn.between(of, [x, y(level)], [x + step * 0.38, bottom], 1.0);
            }
        };
        bar(&mut drawn, Of::Rig, from + step * 0.08, row.rig.0, row.rig_silent);
        bar(&mut drawn, Of::Final, from + step * 0.54, row.last.0, row.last_silent);
        if row.harmonic == 1 || row.harmonic % 5 == 0 {
            drawn.word(Of::Plain, [from + step / 2.0, bottom + 16.0], Stands::Middle, row.harmonic.to_string());
        }
    }
    drawn.between(Of::Rig, [left, 8.0], [left + 12.0, 20.0], 1.0);
    drawn.word(Of::Plain, [left + 18.0, 18.0], Stands::Start, "in the rig");
    drawn.between(Of::Final, [left + 104.0, 8.0], [left + 116.0, 20.0], 1.0);
    drawn.word(Of::Plain, [left + 122.0, 18.0], Stands::Start, "final place");
    drawn.round(Of::Rig, [left + 226.0, 14.0], 2.6);
    drawn.word(Of::Plain, [left + 234.0, 18.0], Stands::Start, "silent");
    drawn.word(Of::Soft, [(left + right) / 2.0, 206.0], Stands::Middle, "harmonic");
    drawn
}

#[cfg(test)]
mod tests {
    use super::super::strings_when_installed;
    use super::*;
    use crate::drawing::Mark;
    use crate::facing::facing;
    use crate::record::guitar::Hand;
    use crate::record::mounting::Lie;
    use crate::record::pickup::Construction;
    use crate::record::rig::{Faces, Rig};
    use solderlast_samples::Chance;
    use solderlast_samples::invented::{guitar, pickup};

    /// What stands in a drawing: letters with their heights, how many poles, the mark, the words "bass" and "treble".
    struct Stands {
        letters: Vec<(String, f64)>,
        steel: usize,
        mark: Option<f64>,
        sides: [f64; 2],
    }

    fn drawn_of(construction: Construction, hand: Hand, poles: Poles) -> Stands {
        let guitar = Guitar { hand, ..guitar() };
        let pickup = Pickup { poles, ..pickup(construction) };
        let drawn = strings_when_installed(&guitar, &pickup, [Millimetres(162.0); 2]).drawn;
        let word = |name: &str| {
            drawn.marks.iter().find_map(|mark| match mark {
                Mark::Word { text, at, .. } if text == name => Some(at[0]),
                _ => None,
            })
        };
        let letters = drawn.marks.iter().filter_map(|mark| match mark {
            Mark::Word { of: Of::OnCase, text, at, .. } => Some((text.clone(), at[1])),
            _ => None,
        });
        let steel = |mark: &&Mark| matches!(mark, Mark::Round { of: Of::Steel, .. } | Mark::Box { of: Of::Steel, .. });
        let mark = drawn.marks.iter().find_map(|mark| match mark {
            Mark::Line { of: Of::Act, from, to, .. } if from[0] == to[0] => Some(from[0]),
            _ => None,
        });
        let sides = ["bass", "treble"].map(|name| word(name).expect("a side"));
        Stands { letters: letters.collect(), steel: drawn.marks.iter().filter(steel).count(), mark, sides }
    }

    /// Coils side by side are two rows, each with its letter, the one at the bridge below; the mark is at the bass end, for both hands.
    #[test]
    fn both_coils_are_drawn_as_they_lie_installed() {
        let all = [
            Construction::SingleCoil,
            Construction::Stacked,
            Construction::SideBySide,
            Construction::Rail,
            Construction::Mini,
            Construction::TappedCoil,
        ];
        for construction in all {
            for hand in [Hand::Right, Hand::Left] {
                for (poles, each) in [(Poles::Rods, 6), (Poles::Blade, 1)] {
                    let what = format!("{construction:?}, {hand:?}, {poles:?}");
                    let pickup = pickup(construction);
                    let Stands { mut letters, steel, mark, sides: [bass, treble] } =
                        drawn_of(construction, hand, poles);
                    let rows = if pickup.has_coils_side_by_side() { pickup.coils.len() } else { 1 };
                    assert_eq!(steel, rows * each, "{what}");
                    letters.sort_by(|(_, one), (_, other)| one.total_cmp(other));
                    let rig = Rig { faces: Faces::Up, ..Rig::four_terminal("bench rig") };
                    let strung = Guitar { hand, ..guitar() };
                    let at_bridge =
                        facing(Lie::INSTALLED, true, Some(&pickup), Some(&strung), Some(&rig), &[]).coil_at_bridge;
                    let lowest = letters.last().map(|(letter, _)| letter.clone());
                    assert_eq!(lowest, at_bridge.map(|coil| coil.letter().to_string()), "{what}: {letters:?}");
                    assert_eq!(letters.len(), if rows > 1 { rows } else { 0 }, "{what}: {letters:?}");
                    let mark = mark.expect("its bass end is marked");
                    assert!((mark - bass).abs() < (mark - treble).abs(), "{what}: {mark} {bass} {treble}");
                }
            }
        }
    }

    /// Whatever the pickup and the guitar, words stand on the sheet, and the letter of a coil clear of the ends of its case and of
    /// poles.
    #[test]
    fn words_stand_within_the_sheet_and_letters_within_the_case() {
        let mut chance = Chance(19);
        for round in 0..400 {
            let hand = chance.of(&[Hand::Right, Hand::Left]);
            let poles = chance.of(&[Poles::Rods, Poles::Screws, Poles::Blade, Poles::Hidden]);
            let construction = chance.of(&[Construction::SideBySide, Construction::Rail, Construction::SingleCoil]);
            let spread = |chance: &mut Chance| chance.flip().then(|| Millimetres(chance.between(28.0, 80.0)));
            let guitar =
                Guitar { hand, spread_nut: spread(&mut chance), spread_saddle: spread(&mut chance), ..guitar() };
            let spacing = chance.flip().then(|| Millimetres(chance.between(40.0, 75.0)));
            let pickup = Pickup { poles, pole_spacing: spacing, ..pickup(construction) };
            let [bass, treble] = [chance.between(30.0, 200.0), chance.between(-15.0, 15.0)];
            let place = [bass, bass + treble].map(Millimetres);
            let drawn = strings_when_installed(&guitar, &pickup, place).drawn;
            let what = format!("round {round}: {hand:?}, {poles:?}, {construction:?}, {spacing:?}");
            drawn.assert_words_within(&what);
            let case = drawn.marks.iter().find_map(|mark| match mark {
                Mark::Box { of: Of::Case, at, size, .. } => Some([at[0], at[0] + size[0]]),
                _ => None,
            });
            let [left, right] = case.expect("a case");
            for (of, letter, [[from, _], [to, _]]) in drawn.words() {
                if of == Of::OnCase {
                    assert!(
                        from - left >= 3.0 && right - to >= 3.0,
                        "{what}: {letter} from {from} to {to} in {left} to {right}"
                    );
                }
            }
        }
    }
}
