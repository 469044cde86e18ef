//! Curves of a circuit over each other, drawn: frequency to the right and level upwards, both in logarithms.

use super::Point;
use crate::drawing::{Drawn, Of, SHEET, Stands};

/// What is drawn of frequencies, in hertz.
const HERTZ: [f64; 2] = [50.0, 20_000.0];
/// The edges of the curves on the sheet.
const LEFT: f64 = 34.0;
const RIGHT: f64 = SHEET - 8.0;
const TALL: f64 = 200.0;
/// A row of names, above them.
const ROW: f64 = 20.0;
/// How many decibels at most are drawn: what is further down is not heard beside the rest.
const MOST: f64 = 50.0;

/// One curve.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// What it is called.
    pub name: String,
    /// Its points, by frequency.
    pub points: Vec<Point>,
    /// The least and the most level at each of them.
    pub band: Vec<[f64; 2]>,
}

/// Draws up to three curves: the first strongly and with its band, the second dashed, the third dotted. `desc` says all of it in
/// words.
#[must_use]
pub fn curves_drawn(title: &str, desc: &str, curves: &[Curve]) -> Drawn {
    let looks = [(Of::Act, 2.5), (Of::Hidden, 2.0), (Of::Axis, 2.0)];
    let heard = |point: &&Point| point.hertz.0 >= HERTZ[0];
    let levels = curves.iter().flat_map(|curve| curve.points.iter().filter(heard).map(|point| point.level.0));
    let banded = curves.first().into_iter().flat_map(|curve| curve.band.iter().map(|[_, high]| *high));
    let top = levels.clone().chain(banded).filter(|level| level.is_finite()).fold(f64::NEG_INFINITY, f64::max);
    let top = if top.is_finite() { ((top + 1.0) / 10.0).ceil() * 10.0 } else { 0.0 };
    let low = levels.filter(|level| level.is_finite()).fold(top, f64::min);
    let bottom = ((low / 10.0).floor() * 10.0).max(top - MOST).min(top - 20.0);
    let names = 6.0 + ROW * curves.len().min(looks.len()) as f64;
    let floor = names + TALL;
    let x = |hertz: f64| LEFT + (RIGHT - LEFT) * (hertz / HERTZ[0]).ln() / (HERTZ[1] / HERTZ[0]).ln();
    let y = |level: f64| {
        let level = if level.is_finite() { level.clamp(bottom, top) } else { bottom };
        names + TALL * (top - level) / (top - bottom)
    };
    let mut drawn = Drawn::new(title, desc, floor + 40.0);
    for (row, (curve, (of, width))) in curves.iter().zip(looks).enumerate() {
        let at = 10.0 + ROW * row as f64;
        drawn.line(of, [LEFT, at], [LEFT + 28.0, at], width);
        drawn.word(Of::Soft, [LEFT + 36.0, at + 4.5], Stands::Start, curve.name.clone());
    }
    let mut level = top;
    while level >= bottom - 1e-9 {
        drawn.line(Of::Thin, [LEFT, y(level)], [RIGHT, y(level)], 0.4);
        drawn.word(Of::Soft, [LEFT - 4.0, y(level) + 4.0], Stands::End, format!("{level:.0}").replace('-', "−"));
        level -= 10.0;
    }
    for (hertz, word) in
        [(100.0, "100"), (200.0, "200"), (500.0, "500"), (1e3, "1k"), (2e3, "2k"), (5e3, "5k"), (10e3, "10k")]
    {
        drawn.line(Of::Thin, [x(hertz), names], [x(hertz), floor], 0.4);
        drawn.word(Of::Soft, [x(hertz), floor + 16.0], Stands::Middle, word);
    }
    drawn.line(Of::Thin, [RIGHT, names], [RIGHT, floor], 0.4);
    drawn.word(Of::Soft, [LEFT, floor + 34.0], Stands::Start, "Level in dB over frequency in Hz");
    if let Some(first) = curves.first() {
        let ends = |which: usize| {
            let both = first.points.iter().zip(&first.band).filter(|(point, _)| point.hertz.0 >= HERTZ[0]);
            both.map(move |(point, band)| [x(point.hertz.0), y(band[which])]).collect::<Vec<_>>()
        };
        drawn.area(Of::Band, ends(1).into_iter().chain(ends(0).into_iter().rev()));
    }
    for (curve, (of, width)) in curves.iter().zip(looks).rev() {
        drawn.curve(of, curve.points.iter().filter(heard).map(|point| [x(point.hertz.0), y(point.level.0)]), width);
    }
    drawn
}
