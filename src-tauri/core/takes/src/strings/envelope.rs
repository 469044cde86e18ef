//! How a string rises and dies away.

use super::{Decay, mean_square};
use crate::decibels::of_power;

/// The decay that is asked for, in decibels.
const LOSES: f64 = 20.0;
/// The least length of a block, in seconds; it is whole periods.
const BLOCK: f64 = 0.02;
/// The strongest block is among those of so many seconds.
const STRONGEST: f64 = 0.3;
/// How many blocks go into one point of the smoothed envelope, to each side.
const SMOOTH: usize = 2;
/// What has to be lost before a decay may be told by its beginning, in decibels.
const SEEN: f64 = 5.0;
/// A level so near to what is never quieter, in decibels, is no string any more.
const NEAR_FLOOR: f64 = 8.0;
/// The first slope is so many times the second one, or there is one slope.
const TWO: f64 = 1.8;
/// The least seconds in which two slopes are looked for.
const LONG: f64 = 1.5;

/// A string that loses so much, in decibels, within so many seconds, and does not come back within as many more, was stopped.
const STOPPED: f64 = 12.0;
const AT_ONCE: f64 = 0.08;
const STAYS: f64 = 0.3;

/// How many of these levels come before a finger stops the string; `step` is the time from one to the next, in seconds.
pub(super) fn until_stopped(levels: &[f64], step: f64) -> usize {
    let [at_once, stays] = [AT_ONCE, STAYS].map(|seconds| (seconds / step).ceil() as usize);
    let is_stopped = |at: &usize| {
        let later = levels.get(at + at_once..).unwrap_or_default();
        !later.is_empty() && later.iter().take(stays).all(|level| *level < levels[*at] - STOPPED)
    };
    (0..levels.len()).find(is_stopped).unwrap_or(levels.len())
}

/// The level of a string, block by block.
pub(super) struct Envelope {
    /// Seconds from one block to the next.
    step: f64,
    /// Levels, in decibels.
    levels: Vec<f64>,
}

impl Envelope {
    pub(super) fn of(sound: &[f32], pitch: f64, rate: f64) -> Self {
        let periods = (BLOCK * pitch).ceil().max(1.0);
        let step = periods / pitch;
        let mut levels = Vec::new();
        let begins = |number: usize| (number as f64 * step * rate).round() as usize;
        while let Some(block) = sound.get(begins(levels.len())..begins(levels.len() + 1)) {
            levels.push(of_power(mean_square(block)).max(-200.0));
        }
        levels.truncate(until_stopped(&levels, step));
        Self { step, levels }
    }

    /// The smoothed level around a block.
    fn smooth(&self, at: usize) -> f64 {
        let from = at.saturating_sub(SMOOTH);
        let to = (at + SMOOTH + 1).min(self.levels.len());
        let some = &self.levels[from..to];
        some.iter().sum::<f64>() / some.len() as f64
    }

    /// How long it takes to lose 20 dB; `quietest` is the power of what is never quieter.
    pub(super) fn decay(&self, quietest: f64) -> Option<Decay> {
        let early = ((STRONGEST / self.step) as usize).max(1).min(self.levels.len());
        let top = (0..early).max_by(|one, other| self.levels[*one].total_cmp(&self.levels[*other]))?;
        let floor = of_power(quietest) + NEAR_FLOOR;
        // What it has where it is strongest, told by the slope there, as the blocks around it rise.
        let wanted = self.levels[top] - LOSES;
        let last = self.levels.len();
        let points: Vec<(f64, f64)> = (top + SMOOTH..last.saturating_sub(SMOOTH))
            .map(|at| ((at - top) as f64 * self.step, self.smooth(at)))
            .take_while(|(_, level)| *level > floor)
            .collect();
        let two_slopes = two_slopes(&points);
        // The last time it comes through, as beats may come through before.
        let through = points.windows(2).rev().find(|pair| pair[0].1 > wanted && pair[1].1 <= wanted);
        if let Some(&[(before, high), (after, low)]) = through.and_then(|pair| <&[_; 2]>::try_from(pair).ok())
            && points.last().is_some_and(|(_, level)| *level <= wanted)
        {
            let seconds = before + (after - before) * (high - wanted) / (high - low);
            return Some(Decay { seconds, heard: true, two_slopes });
        }
        let (slope, level) = line(&points)?;
        let lost = points.first()?.1 - points.last()?.1;
        (slope < 0.0 && lost >= SEEN).then(|| Decay {
            seconds: ((wanted - level) / slope).max(0.0),
            heard: false,
            two_slopes,
        })
    }
}

/// The straight line nearest to points: its slope and where it begins.
fn line(points: &[(f64, f64)]) -> Option<(f64, f64)> {
    let count = points.len() as f64;
    let (x, y) = points.iter().fold((0.0, 0.0), |(x, y), point| (x + point.0 / count, y + point.1 / count));
    let (mut across, mut up) = (0.0, 0.0);
    for point in points {
        across += (point.0 - x).powi(2);
        up += (point.0 - x) * (point.1 - y);
    }
    (across > 0.0).then(|| (up / across, y - up / across * x))
}

fn misses(points: &[(f64, f64)], (slope, level): (f64, f64)) -> f64 {
    points.iter().map(|(x, y)| (y - level - slope * x).powi(2)).sum()
}

/// How much steeper it dies at first than later, where two lines fit much better than one.
fn two_slopes(points: &[(f64, f64)]) -> Option<f64> {
    if points.last()?.0 < LONG {
        return None;
    }
    let one = misses(points, line(points)?);
    let fit = |at: usize| {
        let (early, late) = points.split_at(at);
        let (first, second) = (line(early)?, line(late)?);
        Some((misses(early, first) + misses(late, second), first.0 / second.0, second.0))
    };
    let (two, ratio, later) = (points.len() / 6..points.len() * 3 / 4)
        .filter_map(fit)
        .min_by(|(one, ..), (other, ..)| one.total_cmp(other))?;
    (two * 4.0 < one && one / points.len() as f64 > 0.25 && later < 0.0 && ratio >= TWO).then_some(ratio)
}

/// From a tenth to nine tenths of the height it reaches at first, in seconds. `pluck` is where it was plucked.
pub(super) fn rise(sound: &[f32], pluck: usize, pitch: f64, rate: f64) -> f64 {
    // It reaches its height within two periods, and no later than this.
    let reaches = (0.06f64.max(2.0 / pitch) * rate) as usize;
    let sound = &sound[..sound.len().min(pluck + reaches)];
    let height = sound.iter().skip(pluck).fold(0f32, |most, sample| most.max(sample.abs()));
    let first = |share: f32| sound.iter().position(|sample| sample.abs() >= share * height).unwrap_or(0);
    (first(0.9).saturating_sub(first(0.1))) as f64 / rate
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sound_that_is_stopped_at_once_has_no_decay() {
        let click: Vec<f32> = (0..48_000).map(|at| if at < 500 { 0.5 } else { 0.0 }).collect();
        assert_eq!(Envelope::of(&click, 110.0, 48_000.0).decay(1e-9), None);
    }
}
