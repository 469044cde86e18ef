//! What a curve comes to: its points, its peak, where it has fallen by 3 dB.

use super::Response;
use crate::record::quantity::{Decibels, Hertz};

/// The least and the highest frequency that is looked at, in hertz: what ears may hear.
pub const HEARD: [f64; 2] = [20.0, 20_000.0];
/// Where the level is told and heights are counted from: well below every resonance, in hertz.
const LOW: f64 = 200.0;
/// Where the treble is told, in hertz: above it lies what a tone control takes away (common practice).
const TREBLE: f64 = 4000.0;
/// A peak that rises by less than this is none that anybody hears, in decibels (common practice).
const LEAST_PEAK: f64 = 0.1;

/// One point of a curve.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// The frequency.
    pub hertz: Hertz,
    /// Against the voltage in one coil, in decibels.
    pub level: Decibels,
    /// Phase, in degrees, −180 to 180.
    pub degrees: f64,
}

/// A resonance.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Peak {
    /// Where the level is highest.
    pub hertz: Hertz,
    /// How far that is above the level at 200 Hz.
    pub over_low: Decibels,
}

/// What a curve comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Told {
    /// The level at 200 Hz, against the voltage in one coil.
    pub level: Decibels,
    /// The level at 4 kHz, against the voltage in one coil.
    pub treble: Decibels,
    /// The resonance; nothing where the curve has none.
    pub peak: Option<Peak>,
    /// Where the level has fallen 3 dB below that at 200 Hz, above the resonance; nothing below 20 kHz.
    pub falls_at: Option<Hertz>,
}

/// So many frequencies from 20 Hz to 20 kHz, each the same step above the last.
pub(super) fn frequencies(points: usize) -> Vec<f64> {
    let [low, high] = HEARD;
    let last = points.saturating_sub(1).max(1) as f64;
    (0..points).map(|at| low * (high / low).powf(at as f64 / last)).collect()
}

impl Response {
    /// So many points from 20 Hz to 20 kHz, each the same step above the last.
    #[must_use]
    pub fn points(&self, count: usize) -> Vec<Point> {
        let point = |hertz: f64| {
            let at = self.at(Hertz(hertz))?;
            Some(Point { hertz: Hertz(hertz), level: Decibels(decibels(at.norm())), degrees: at.arg().to_degrees() })
        };
        frequencies(count).into_iter().filter_map(point).collect()
    }

    /// What a curve comes to by its points alone: a parabola through the three highest, straight lines between the others.
    /// Enough to say what a range comes to, and ten times as fast as [`Self::told`].
    #[must_use]
    pub fn sketched(&self, points: &[Point]) -> Told {
        let [low, treble] = [LOW, TREBLE].map(|hertz| self.level(hertz));
        let heard: Vec<(f64, f64)> =
            points.iter().map(|point| (point.hertz.0, point.level.0)).filter(|(hertz, _)| *hertz >= LOW).collect();
        let top = (0..heard.len()).max_by(|a, b| heard[*a].1.total_cmp(&heard[*b].1)).unwrap_or(0);
        let peak = (top > 0 && top + 1 < heard.len()).then(|| {
            let [before, at, after] = [heard[top - 1].1, heard[top].1, heard[top + 1].1];
            let bent = before - 2.0 * at + after;
            let off = if bent < 0.0 { 0.5 * (before - after) / bent } else { 0.0 };
            let step = (heard[top + 1].0 / heard[top].0).ln();
            let over = at - 0.25 * (before - after) * off - low;
            Peak { hertz: Hertz(heard[top].0 * (off * step).exp()), over_low: Decibels(over) }
        });
        let falls_at = (top.max(1)..heard.len()).find(|at| heard[*at].1 < low - 3.0).map(|at| {
            let [(near, high), (far, deep)] = [heard[at - 1], heard[at]];
            let part = ((high - (low - 3.0)) / (high - deep)).clamp(0.0, 1.0);
            Hertz(near * (far / near).powf(part))
        });
        let peak = peak.filter(|peak| peak.over_low.0 >= LEAST_PEAK);
        Told { level: Decibels(low), treble: Decibels(treble), peak, falls_at }
    }

    /// The level at a frequency, in decibels.
    fn level(&self, hertz: f64) -> f64 {
        self.at(Hertz(hertz)).map_or(f64::NEG_INFINITY, |at| decibels(at.norm()))
    }

    /// What the curve comes to.
    #[must_use]
    pub fn told(&self) -> Told {
        let level = |hertz: f64| self.level(hertz);
        let [low, treble] = [LOW, TREBLE].map(level);
        let grid: Vec<(f64, f64)> =
            frequencies(241).into_iter().filter(|hertz| *hertz >= LOW).map(|hertz| (hertz, level(hertz))).collect();
        let top = (0..grid.len()).max_by(|a, b| grid[*a].1.total_cmp(&grid[*b].1)).unwrap_or(0);
        let peak = (top > 0 && top + 1 < grid.len()).then(|| {
            let hertz = highest(grid[top - 1].0, grid[top + 1].0, level);
            Peak { hertz: Hertz(hertz), over_low: Decibels(level(hertz) - low) }
        });
        let fallen = |(_, db): &(f64, f64)| *db < low - 3.0;
        let falls_at = (top..grid.len()).find(|at| fallen(&grid[*at])).filter(|at| *at > 0);
        let falls_at =
            falls_at.map(|at| Hertz(crosses(grid[at - 1].0, grid[at].0, |hertz| level(hertz) - (low - 3.0))));
        let peak = peak.filter(|peak| peak.over_low.0 >= LEAST_PEAK);
        Told { level: Decibels(low), treble: Decibels(treble), peak, falls_at }
    }
}

fn decibels(ratio: f64) -> f64 {
    20.0 * ratio.log10()
}

/// Where a function with one top between these is highest: the golden section, in logarithms.
fn highest(low: f64, high: f64, of: impl Fn(f64) -> f64) -> f64 {
    let golden = 0.5 * (5_f64.sqrt() - 1.0);
    let (mut low, mut high) = (low.ln(), high.ln());
    for _ in 0..40 {
        let step = golden * (high - low);
        if of((high - step).exp()) > of((low + step).exp()) {
            high = low + step;
        } else {
            low = high - step;
        }
    }
    (0.5 * (low + high)).exp()
}

/// Where a function that is not below zero at `low` and below it at `high` goes through it: halving, in logarithms.
fn crosses(low: f64, high: f64, of: impl Fn(f64) -> f64) -> f64 {
    let (mut low, mut high) = (low.ln(), high.ln());
    for _ in 0..50 {
        let middle = 0.5 * (low + high);
        if of(middle.exp()) < 0.0 {
            high = middle;
        } else {
            low = middle;
        }
    }
    (0.5 * (low + high)).exp()
}
