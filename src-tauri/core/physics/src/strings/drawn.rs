//! Strings over poles, and harmonics as bars.

use super::offsets::StringOffset;
use super::place::HarmonicRow;
use super::{outer_at, slant};
use crate::drawing::{Drawn, Of, SHEET, Stands};
use crate::record::guitar::Guitar;
use crate::record::pickup::{Pickup, Poles};
use crate::record::quantity::Millimetres;
use crate::sides::across;

/// Strings over poles at `place`, seen from above with the neck at the top.
pub(super) fn over_poles(
    guitar: &Guitar,
    pickup: &Pickup,
    place: [Millimetres; 2],
    strings: &[f64],
    poles: Option<&[f64]>,
    offsets: &[StringOffset],
) -> Drawn {
    let mirror = across(guitar.strung_for());
    let outermost = strings.iter().chain(poles.unwrap_or_default()).fold(20.0_f64, |most, at| most.max(at.abs()));
    let scale = 130.0 / outermost;
    let x = |across: f64| SHEET / 2.0 + mirror * across * scale;
    let (top, pole_line, bottom) = (24.0, 78.0, 132.0);
    let side = if mirror > 0.0 { "left" } else { "right" };
    let told: Vec<String> = offsets.iter().map(|string| format!("{}: {}.", string.note, string.words)).collect();
    let desc = format!("Seen from above, the neck at the top, the bass strings on the {side}. {}", told.join(" "));
    let mut drawn = Drawn::new("Strings over poles", desc, 168.0);
    drawn.between(
        Of::Case,
        [x(-outermost) - mirror * 26.0, pole_line - 26.0],
        [x(outermost) + mirror * 26.0, pole_line + 26.0],
        10.0,
    );
    if pickup.poles == Poles::Blade {
        drawn.between(
            Of::Steel,
            [x(-outermost) - mirror * 12.0, pole_line - 3.0],
            [x(outermost) + mirror * 12.0, pole_line + 3.0],
            1.0,
        );
    }
    // Aslant, the pole line runs nearer the neck, which is up, at the bass side.
    let span = (outermost * 2.0).max(1.0);
    let lean = (slant(guitar, place) * scale).clamp(-30.0, 30.0);
    for pole in poles.unwrap_or_default() {
        drawn.round(Of::Steel, [x(*pole), pole_line + lean * pole / span], 2.4 * scale);
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
            drawn.word(Of::Strong, [x(*at), 150.0], Stands::Middle, name);
        }
    }
    drawn.word(Of::Soft, [SHEET / 2.0, 164.0], Stands::Middle, "bridge");
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
