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

/// How the curves look, one after the other.
const LOOKS: [(Of, f64); 3] = [(Of::Act, 2.5), (Of::Hidden, 2.0), (Of::Axis, 2.0)];

/// Where a curve lies above the bottom, in pieces: it leaves the picture where it falls below. Each point has a level beside its
/// place to the right, and none where the level is no number.
fn above(bottom: f64, points: impl Iterator<Item = [f64; 2]>) -> Vec<Vec<[f64; 2]>> {
    let mut pieces = vec![Vec::new()];
    let mut last: Option<[f64; 2]> = None;
    for [x, level] in points {
        let here = level >= bottom;
        // Where it crosses the bottom between two points.
        if let Some([before, was]) = last.filter(|_| level.is_finite())
            && was.is_finite()
            && here != (was >= bottom)
        {
            let crossing = [before + (x - before) * (bottom - was) / (level - was), bottom];
            if let Some(piece) = pieces.last_mut() {
                piece.push(crossing);
            }
        }
        match pieces.last_mut() {
            Some(piece) if here => piece.push([x, level]),
            Some(piece) if !piece.is_empty() => pieces.push(Vec::new()),
            _ => {}
        }
        last = Some([x, level]);
    }
    pieces.retain(|piece| piece.len() > 1);
    pieces
}

/// Draws up to three curves: the first strongly and with its band, the second dashed, the third dotted. `desc` says all of it in
/// words. It is as high with one as with three, so that what stands below it stays where it is.
#[must_use]
pub fn curves_drawn(title: &str, desc: &str, curves: &[Curve]) -> Drawn {
    let heard = |point: &&Point| point.hertz.0 >= HERTZ[0];
    let levels = curves.iter().flat_map(|curve| curve.points.iter().filter(heard).map(|point| point.level.0));
    let banded = curves.first().into_iter().flat_map(|curve| curve.band.iter().map(|[_, high]| *high));
    let top = levels.clone().chain(banded).filter(|level| level.is_finite()).fold(f64::NEG_INFINITY, f64::max);
    // Adding zero turns a negative zero into a plain one.
    let top = if top.is_finite() { ((top + 1.0) / 10.0).ceil() * 10.0 + 0.0 } else { 0.0 };
    let low = levels.filter(|level| level.is_finite()).fold(top, f64::min);
    let bottom = ((low / 10.0).floor() * 10.0).max(top - MOST).min(top - 20.0);
    let names = 6.0 + ROW * LOOKS.len() as f64;
    let floor = names + TALL;
    let x = |hertz: f64| LEFT + (RIGHT - LEFT) * (hertz / HERTZ[0]).ln() / (HERTZ[1] / HERTZ[0]).ln();
    let y = |level: f64| names + TALL * (top - level) / (top - bottom);
    let mut drawn = Drawn::new(title, desc, floor + 40.0);
    for (row, (curve, (of, width))) in curves.iter().zip(LOOKS).enumerate() {
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
        let both = || first.points.iter().zip(&first.band).filter(|(point, _)| point.hertz.0 >= HERTZ[0]);
        let most = above(bottom, both().map(|(point, band)| [x(point.hertz.0), band[1]]));
        for piece in most {
            let (Some([from, _]), Some([to, _])) = (piece.first(), piece.last()) else { continue };
            let within =
                both().map(|(point, band)| [x(point.hertz.0), band[0]]).filter(|[at, _]| at >= from && at <= to);
            let least: Vec<[f64; 2]> = within
                .map(|[at, level]| [at, if level.is_finite() { level.clamp(bottom, top) } else { bottom }])
                .collect();
            drawn
                .area(Of::Band, piece.iter().copied().chain(least.into_iter().rev()).map(|[at, level]| [at, y(level)]));
        }
    }
    for (curve, (of, width)) in curves.iter().zip(LOOKS).rev() {
        let points = curve.points.iter().filter(heard).map(|point| [x(point.hertz.0), point.level.0]);
        for piece in above(bottom, points) {
            drawn.curve(of, piece.into_iter().map(|[at, level]| [at, y(level)]), width);
        }
    }
    drawn
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Mark;
    use crate::record::quantity::{Decibels, Hertz};

    /// A curve through these levels, evenly between the ends of the sheet.
    fn curve(levels: &[f64]) -> Curve {
        let last = (levels.len() - 1) as f64;
        let at = |at: usize| HERTZ[0] * (HERTZ[1] / HERTZ[0]).powf(at as f64 / last);
        let points = levels.iter().enumerate().map(|(place, level)| Point {
            hertz: Hertz(at(place)),
            level: Decibels(*level),
            degrees: 0.0,
        });
        let band = levels.iter().map(|level| [level - 3.0, level + 3.0]).collect();
        Curve { name: "one".to_owned(), points: points.collect(), band }
    }

    fn lines(drawn: &Drawn, which: Of) -> Vec<&[[f64; 2]]> {
        let lines = drawn.marks.iter().filter_map(|mark| match mark {
            Mark::Curve { of, points, .. } if *of == which => Some(points.as_slice()),
            _ => None,
        });
        lines.collect()
    }

    #[test]
    fn one_curve_more_moves_nothing_below_the_drawing() {
        let one = curve(&[-10.0, -12.0, -20.0]);
        let high = |count: usize| curves_drawn("", "", &vec![one.clone(); count]).height;
        assert_eq!([high(0), high(1), high(2), high(4)], [high(3); 4]);
    }

    /// What falls further than the picture reaches leaves it at the bottom edge, and comes back in from there.
    #[test]
    fn a_curve_below_the_bottom_leaves_the_picture() {
        let drawn = curves_drawn("", "", &[curve(&[-1.0, -31.0, -91.0, -95.0, f64::NEG_INFINITY, -80.0, -11.0])]);
        let lines = lines(&drawn, Of::Act);
        assert_eq!(lines.len(), 2, "{lines:?}");
        let floor = 6.0 + ROW * 3.0 + TALL;
        for line in &lines {
            let low = line.iter().filter(|[_, y]| *y > floor - 0.2).count();
            assert!(low <= 1 && line.iter().all(|[_, y]| *y <= floor + 0.1), "{line:?}");
        }
        assert!(lines[0].last().is_some_and(|[_, y]| (*y - floor).abs() < 0.2), "{lines:?}");
        assert!(lines[1].first().is_some_and(|[_, y]| (*y - floor).abs() < 0.2), "{lines:?}");
    }

    #[test]
    fn zero_has_no_sign() {
        for highest in [-10.0, -1.5, -0.5, 0.0, 4.0] {
            let drawn = curves_drawn("", "", &[curve(&[highest - 4.0, highest - 30.0])]);
            let words: Vec<&str> = drawn
                .marks
                .iter()
                .filter_map(|mark| match mark {
                    Mark::Word { text, .. } => Some(text.as_str()),
                    _ => None,
                })
                .collect();
            assert!(!words.contains(&"−0"), "{highest}: {words:?}");
        }
    }
}
