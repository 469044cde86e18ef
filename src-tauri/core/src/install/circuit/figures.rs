//! What curves come to, in figures.

use super::CurveRow;
use super::bench::Found;
use crate::physics::response::{Point, Response};
use crate::record::quantity::{Decibels, Hertz};

/// Where the table for ears and paper has its rows, in hertz.
const ROWS: [f64; 10] = [100.0, 200.0, 500.0, 1e3, 2e3, 3e3, 4e3, 5e3, 7e3, 10e3];

/// `3.2 kHz`, `2.1 to 4.9 kHz`.
fn hertz(of: &[f64]) -> String {
    let shown =
        |hertz: f64| if hertz >= 995.0 { format!("{:.1} kHz", hertz / 1e3) } else { format!("{:.0} Hz", hertz) };
    between(of, shown)
}

fn between(of: &[f64], shown: impl Fn(f64) -> String) -> String {
    let low = minus(&shown(of.iter().copied().fold(f64::INFINITY, f64::min)));
    let high = minus(&shown(of.iter().copied().fold(f64::NEG_INFINITY, f64::max)));
    match (low.split_once(' '), high.split_once(' ')) {
        _ if low == high => low,
        (Some((figure, one)), Some((_, other))) if one == other => format!("{figure} to {high}"),
        _ => format!("{low} to {high}"),
    }
}

/// With a real minus, and none before a zero.
fn minus(text: &str) -> String {
    let figure = |word: &str| match word.strip_prefix('-') {
        Some(size) if size.chars().all(|one| one == '0' || one == '.') => size.to_owned(),
        Some(size) => format!("−{size}"),
        None => word.to_owned(),
    };
    text.split(' ').map(figure).collect::<Vec<_>>().join(" ")
}

pub(super) fn figures(found: &Found) -> Vec<(String, String)> {
    let peaks: Vec<_> = found.told.iter().filter_map(|told| told.peak).collect();
    let mut figures = Vec::new();
    let mut add = |name: &str, said: String| figures.push((name.to_owned(), said));
    if peaks.is_empty() {
        add("Resonance", "none that is heard".to_owned());
    } else {
        let all = if peaks.len() < found.told.len() { ", or none" } else { "" };
        let at: Vec<f64> = peaks.iter().map(|peak| peak.hertz.0).collect();
        let high: Vec<f64> = peaks.iter().map(|peak| peak.over_low.0).collect();
        add("Resonance", format!("{}{all}", hertz(&at)));
        add("Its height", between(&high, |db| format!("{db:.0} dB")));
    }
    let falls: Vec<f64> = found.told.iter().filter_map(|told| told.falls_at).map(|Hertz(at)| at).collect();
    if !falls.is_empty() {
        add("3 dB down at", hertz(&falls));
    }
    let level: Vec<f64> = found.told.iter().map(|told| told.level).map(|Decibels(db)| db).collect();
    add("Level at 200 Hz", between(&level, |db| format!("{db:.1} dB")));
    let seen: Vec<f64> =
        found.all.iter().filter_map(|one| one.seen_at(Hertz(1000.0))).map(|seen| seen.norm()).collect();
    if !seen.is_empty() {
        add("Output impedance at 1 kHz", between(&seen, |ohms| format!("{:.0} kΩ", ohms / 1e3)));
    }
    let noise: Vec<f64> = found.all.iter().take(1).map(Response::noise).collect();
    add("Noise of its resistance", between(&noise, |volts| format!("{:.1} µV", volts * 1e6)));
    figures
}

pub(super) fn rows(found: &[Found]) -> Vec<CurveRow> {
    ROWS.into_iter()
        .map(|at| CurveRow {
            hertz: hertz(&[at]),
            levels: found
                .iter()
                .map(|one| {
                    let near = |point: &Point| (point.hertz.0 / at).ln().abs();
                    let points = one.curve.points.iter().zip(&one.curve.band);
                    let here = points.min_by(|(a, _), (b, _)| near(a).total_cmp(&near(b)));
                    here.map_or_else(String::new, |(_, band)| between(band, |db| format!("{db:.0}")))
                })
                .collect(),
        })
        .collect()
}
