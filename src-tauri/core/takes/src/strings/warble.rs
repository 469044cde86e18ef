//! Warble: a partial that grows and shrinks while the string rings. Magnets that pull a string do that: they let it swing at two
//! pitches at once, along and across their pull.

use std::f64::consts::TAU;

use serde::{Deserialize, Serialize};
use solderlast_record::quantity::{Decibels, Hertz};
use ts_rs::TS;

use super::envelope::until_stopped;

/// Partials that are looked at.
const PARTIALS: std::ops::RangeInclusive<u32> = 1..=6;
/// A partial is followed from here to there, in seconds after the pluck.
const FROM: f64 = 0.15;
const TO: f64 = 4.0;
/// The least that is followed, in seconds.
const LEAST: f64 = 0.8;
/// A partial is heard through a window of this length, at such steps, in seconds.
const WINDOW: f64 = 0.08;
const STEP: f64 = 0.02;
/// It is followed until it has lost this, in decibels.
const LOST: f64 = 40.0;
/// Rates that are a warble, in hertz.
const RATES: [f64; 2] = [0.8, 12.0];
/// The least depth, in decibels.
const DEEP: f64 = 2.0;
/// It swells so many times at least, or it is no more than a bend.
const TIMES: f64 = 2.5;
/// A partial this far below the strongest, in decibels, is not heard to warble.
const WEAK: f64 = 15.0;
/// The share of all that moves which one rate and its double have to make up.
const MOSTLY: f64 = 0.5;

/// How a string warbles.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Warble {
    /// The partial that warbles most.
    pub partial: u32,
    /// How often it swells.
    pub rate: Hertz,
    /// From its loudest to its softest, in decibels, its dying away left out.
    pub depth: Decibels,
}

/// How the string that is plucked where this begins warbles, if it does.
pub(super) fn of(sound: &[f32], pitch: f64, rate: f64) -> Option<Warble> {
    let partials: Vec<(u32, Vec<f64>)> = PARTIALS
        .filter(|number| pitch * f64::from(*number) < 0.4 * rate)
        .map(|number| (number, follow(sound, pitch * f64::from(number), rate)))
        .collect();
    let top = |levels: &[f64]| levels.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    let strongest = partials.iter().map(|(_, levels)| top(levels)).fold(f64::NEG_INFINITY, f64::max);
    let audible = partials.iter().filter(|(_, levels)| top(levels) > strongest - WEAK);
    let swells = audible.filter_map(|(partial, levels)| {
        let (rate, depth) = swell(levels)?;
        Some(Warble { partial: *partial, rate: Hertz(rate), depth: Decibels(depth) })
    });
    swells.max_by(|one, other| one.depth.get().total_cmp(&other.depth.get()))
}

/// The level of a partial, step by step, in decibels, until little is left of it.
fn follow(sound: &[f32], hertz: f64, rate: f64) -> Vec<f64> {
    let length = (WINDOW * rate) as usize;
    let window: Vec<[f64; 2]> = (0..length)
        .map(|at| {
            let weight = 0.5 - 0.5 * (TAU * (at as f64 + 0.5) / length as f64).cos();
            let angle = TAU * hertz / rate * at as f64;
            [weight * angle.cos(), weight * angle.sin()]
        })
        .collect();
    let mut levels = Vec::new();
    let mut top = f64::NEG_INFINITY;
    for number in 0..((TO - FROM) / STEP) as usize {
        let from = ((FROM + STEP * number as f64) * rate) as usize;
        let Some(part) = sound.get(from..from + length) else { break };
        let (mut re, mut im) = (0.0, 0.0);
        for (sample, [cos, sin]) in part.iter().zip(&window) {
            re += f64::from(*sample) * cos;
            im += f64::from(*sample) * sin;
        }
        let level = 20.0 * (re.hypot(im) * 4.0 / length as f64).max(1e-9).log10();
        top = top.max(level);
        levels.push(level);
    }
    levels.truncate(until_stopped(&levels, STEP));
    // Beats dip deep: only what stays low has died away.
    while levels.last().is_some_and(|level| *level < top - LOST) {
        levels.pop();
    }
    levels
}

/// The rate and the depth of a swell in levels that fall.
fn swell(levels: &[f64]) -> Option<(f64, f64)> {
    let count = levels.len();
    let span = count as f64 * STEP;
    if span < LEAST {
        return None;
    }
    let moves = without_trend(levels);
    let all: f64 = moves.iter().map(|move_| move_ * move_).sum();
    let at = |rate: f64| {
        let (mut re, mut im) = (0.0, 0.0);
        for (number, level) in moves.iter().enumerate() {
            let angle = TAU * rate * number as f64 * STEP;
            re += level * angle.cos();
            im += level * angle.sin();
        }
        // The share of all that moves in a wave of this rate.
        2.0 * (re * re + im * im) / count as f64
    };
    let slowest = RATES[0].max(TIMES / span);
    let rates = (0..).map(|number| slowest + 0.05 * f64::from(number)).take_while(|rate| *rate <= RATES[1]);
    let best = rates.max_by(|one, other| at(*one).total_cmp(&at(*other)))?;
    if at(best) + at(2.0 * best) + at(3.0 * best) < MOSTLY * all {
        return None;
    }
    let depth =
        moves.iter().copied().fold(f64::NEG_INFINITY, f64::max) - moves.iter().copied().fold(f64::INFINITY, f64::min);
    (depth >= DEEP).then_some((best, depth))
}

/// What is left without the parabola nearest to it: a partial that dies in two slopes bends, and does not swell.
fn without_trend(levels: &[f64]) -> Vec<f64> {
    let count = levels.len() as f64;
    // Legendre polynomials are nearly at right angles to each other; twice makes them so.
    let mut left = levels.to_vec();
    for _ in 0..4 {
        for power in 0..3 {
            let shape = |at: usize| {
                let x = 2.0 * (at as f64 + 0.5) / count - 1.0;
                match power {
                    0 => 1.0,
                    1 => x,
                    _ => 1.5 * x * x - 0.5,
                }
            };
            let (mut along, mut size) = (0.0, 0.0);
            for (at, level) in left.iter().enumerate() {
                along += level * shape(at);
                size += shape(at).powi(2);
            }
            for (at, level) in left.iter_mut().enumerate() {
                *level -= along / size * shape(at);
            }
        }
    }
    left
}
