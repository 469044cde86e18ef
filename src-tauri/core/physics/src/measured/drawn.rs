//! Swept curves with what was fitted to them, and what is left between the two, on logarithmic axes.

use super::Measured;
use crate::drawing::{Drawn, Of, SHEET, Stands};
use crate::record::measured::Swept;

/// Where the axes lie on the sheet.
const LEFT: f64 = 38.0;
const RIGHT: f64 = SHEET - 8.0;
const TOP: f64 = 18.0;
const FLOOR: f64 = 188.0;
/// Where what is left lies, and how many decibels it shows to either side at the least.
const MIDDLE: f64 = 232.0;
const HALF: f64 = 24.0;
const LEAST: f64 = 0.2;
const HEIGHT: f64 = 276.0;
const HERTZ: [f64; 2] = [100.0, 20_000.0];
const NAMED: [(f64, &str); 7] =
    [(100.0, "100"), (200.0, "200"), (500.0, "500"), (1000.0, "1k"), (2000.0, "2k"), (5000.0, "5k"), (10_000.0, "10k")];

fn x(hertz: f64) -> f64 {
    let along = (hertz / HERTZ[0]).ln() / (HERTZ[1] / HERTZ[0]).ln();
    LEFT + along.clamp(0.0, 1.0) * (RIGHT - LEFT)
}

/// Sweeps in the order in which they were told, with their curves; nothing where there are none.
#[must_use]
pub fn drawn(found: &Measured, sweeps: &[&Swept]) -> Option<Drawn> {
    let levels = || sweeps.iter().flat_map(|swept| swept.points.iter().map(|point| point.1.0));
    let (low, high) = (levels().fold(f64::INFINITY, f64::min), levels().fold(f64::NEG_INFINITY, f64::max));
    if !(low.is_finite() && high.is_finite()) {
        return None;
    }
    let (low, high) = ((low / 10.0).floor() * 10.0, (high / 10.0).ceil() * 10.0 + 0.001);
    let y = |level: f64| FLOOR - ((level - low) / (high - low)).clamp(0.0, 1.0) * (FLOOR - TOP);
    let off: Vec<Vec<f64>> = sweeps
        .iter()
        .zip(&found.curves)
        .map(|(swept, curve)| swept.points.iter().zip(curve).map(|(point, fitted)| point.1.0 - fitted).collect())
        .collect();
    let most = off.iter().flatten().fold(LEAST, |most, off| most.max(off.abs()));
    let left = |off: f64| MIDDLE - off / most * HALF;
    let desc = desc(found, sweeps, most);
    let mut sheet = Drawn::new("What came back, and the curve that fits it", desc, HEIGHT);
    for (hertz, name) in NAMED {
        sheet.line(Of::Thin, [x(hertz), TOP], [x(hertz), FLOOR], 0.5);
        sheet.line(Of::Thin, [x(hertz), MIDDLE - HALF], [x(hertz), MIDDLE + HALF], 0.5);
        sheet.word(Of::Soft, [x(hertz), HEIGHT - 6.0], Stands::Middle, name);
    }
    sheet.word(Of::Soft, [RIGHT, HEIGHT - 6.0], Stands::End, "Hz");
    let mut level = low;
    while level <= high {
        sheet.line(Of::Thin, [LEFT, y(level)], [RIGHT, y(level)], 0.5);
        sheet.word(Of::Soft, [LEFT - 4.0, y(level) + 4.0], Stands::End, format!("{level:.0}").replace('-', "−"));
        level += if high - low > 45.0 { 20.0 } else { 10.0 };
    }
    sheet.word(Of::Soft, [2.0, 12.0], Stands::Start, "dB");
    for (name, value) in [(format!("+{most:.1}"), most), ("0".to_owned(), 0.0), (format!("−{most:.1}"), -most)] {
        sheet.line(Of::Thin, [LEFT, left(value)], [RIGHT, left(value)], 0.5);
        sheet.word(Of::Soft, [LEFT - 4.0, left(value) + 4.0], Stands::End, name);
    }
    let mut named: Vec<String> = Vec::new();
    for ((swept, curve), off) in sweeps.iter().zip(&found.curves).zip(&off) {
        for (point, off) in swept.points.iter().zip(off) {
            sheet.round(Of::Steel, [x(point.0.0), y(point.1.0)], 1.4);
            sheet.round(Of::Steel, [x(point.0.0), left(*off)], 1.0);
        }
        for (points, levels) in swept.points.windows(2).zip(curve.windows(2)) {
            let [from, to] = [0, 1].map(|at| [x(points[at].0.0), y(levels[at])]);
            sheet.line(Of::Act, from, to, 1.8);
        }
        let tops = swept.points.iter().zip(curve).max_by(|one, other| one.1.total_cmp(other.1));
        if let Some((point, level)) = tops {
            let name = swept.added.map_or_else(|| "bare".to_owned(), |added| added.farads.shown());
            // The same of another coil lies near it, and has the same name.
            if !named.contains(&name) {
                sheet.word(Of::Strong, [x(point.0.0), y(*level) - 6.0], Stands::Middle, name.clone());
                named.push(name);
            }
        }
    }
    Some(sheet)
}

fn desc(found: &Measured, sweeps: &[&Swept], most: f64) -> String {
    let each = sweeps.iter().zip(&found.curves).filter_map(|(swept, curve)| {
        let (point, _) = swept.points.iter().zip(curve).max_by(|one, other| one.1.total_cmp(other.1))?;
        Some(format!("Swept {}: highest at {:.0} Hz.", swept.in_words(), point.0.0))
    });
    let each: Vec<String> = each.collect();
    format!("{} The points lie at most {most:.1} dB off the curves. The table below has the figures.", each.join(" "))
}
