//! Three taps of steel on the poles, or three touches of a cell: which way the first swing of each goes.
//!
//! What was there a tenth of a second before is taken away: whole periods of 50 and of 60 Hz fit into that, so mains hum goes with it.
//! What rings is smoothed away; it comes after the first swing anyway. A pulse counts where it swings broadly one way first, has an
//! edge, as steel that meets a pole does, and is over soon: a thump has no edge, a crackle no breadth, and a scrape no end.
//!
//! A cell lies on the tip for as long as somebody holds it there, and a good input lets that through as long: of touches, the steps
//! count.

mod bad;

use std::io::{Read, Seek};

use solderlast_record::quantity::Decibels;

pub use self::bad::Bad;
use crate::file::{Flaw, Recording};
use crate::whole::Whole;

/// So many samples beside each other that are as high as the highest are a flat top.
const FLAT: usize = 10;
/// So many taps are asked for, and all must agree.
pub const TAPS: usize = 3;
/// The longest recording, in seconds.
const LONGEST: f64 = 30.0;
/// How far back that lies which is taken away, in seconds.
const BACK: f64 = 0.1;
/// How wide is smoothed, twice over, in seconds.
const SMOOTH: f64 = 0.000_3;
/// The parts in which tops are looked for, in seconds.
const PART: f64 = 0.005;
/// The top of a pulse is at least so many times the top of a quiet part, and this share of full scale.
const OVER: f64 = 8.0;
const LEAST: f64 = 2e-4;
/// A pulse begins to count at this share of its top.
const BEGINS: f64 = 0.25;
/// What swings the other way before that, by this share of its top within so many seconds, makes it unclear.
const OTHER: f64 = 0.12;
const BEFORE: f64 = 0.05;
/// The first swing is at least so long, in seconds: a crackle is shorter.
const BROAD: f64 = 0.000_9;
/// An edge changes it by this share of its top.
const STEEP: f64 = 0.4;
/// Over half of its top for longer than this in all, in seconds, it is a hand on the strings, that hums.
const LASTS: f64 = 0.045;
/// What is smaller than this share of the third highest is no tap.
const SMALL: f64 = 0.2;

/// What the pulses are made with.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum By {
    /// Knocks of steel on the poles.
    Steel,
    /// Touches of a cell, behind a resistor, on the cable's tip.
    Cell,
}

impl By {
    /// What lies so far back is taken away, so that a step becomes a pulse, in seconds.
    fn step(self) -> Option<f64> {
        match self {
            Self::Steel => None,
            Self::Cell => Some(0.008),
        }
    }

    /// Within so many seconds there is an edge: a thump has none. A cell fills the cable through its resistor.
    fn edge(self) -> f64 {
        match self {
            Self::Steel => 0.0006,
            Self::Cell => 0.002,
        }
    }

    /// Quiet for so long, in seconds, and the next pulse is another.
    fn apart(self) -> f64 {
        match self {
            Self::Steel => 0.2,
            Self::Cell => 0.35,
        }
    }

    /// Longer than this, in seconds, it is a scrape; what is lifted off again belongs to its tap.
    const ENDS: f64 = 0.6;
}

/// What three taps tell.
#[derive(Debug, Clone, PartialEq)]
pub struct Taps {
    /// Whether the first swing of each goes up in the file.
    pub up: bool,
    /// How high the middle one of them is, smoothed, in decibels of full scale.
    pub height: Decibels,
    /// When each begins, in seconds.
    pub at: [f64; TAPS],
}

/// Which way three taps, or three touches, swing first.
///
/// # Errors
/// [`Bad`], with a sentence, where nothing can be made of the recording.
pub fn taps<R: Read + Seek + Send + Sync + 'static>(source: R, by: By) -> Result<Taps, Bad> {
    let (samples, rate) = loudest(source, by)?;
    let mut still = since(&samples, BACK, rate);
    if let Some(step) = by.step() {
        still = since(&still, step, rate);
    }
    told(&still, rate, by)
}

/// Three taps of steel in the sound around them, without what was there a tenth of a second before.
pub(crate) struct Heard {
    pub taps: Taps,
    pub samples: Vec<f64>,
    /// Samples a second.
    pub rate: f64,
}

/// Three taps of steel, and the sound that they are in.
pub(crate) fn heard<R: Read + Seek + Send + Sync + 'static>(source: R) -> Result<Heard, Bad> {
    let (samples, rate) = loudest(source, By::Steel)?;
    let samples = since(&samples, BACK, rate);
    Ok(Heard { taps: told(&samples, rate, By::Steel)?, samples, rate })
}

fn told(still: &[f64], rate: f64, by: By) -> Result<Taps, Bad> {
    let smooth = smoothed(still, rate);
    let mut pulses: Vec<Pulse> =
        pulses(&smooth, rate, by).filter_map(|(from, to)| Pulse::of(&smooth, (from, to), rate, by)).collect();
    let mut tops: Vec<f64> = pulses.iter().map(|pulse| pulse.top).collect();
    tops.sort_by(|one, other| other.total_cmp(one));
    if let Some(third) = tops.get(TAPS - 1) {
        pulses.retain(|pulse| pulse.top >= SMALL * third);
    }
    let [one, two, three] = pulses.as_slice() else { return Err(Bad::Count { found: pulses.len() }) };
    let all = [one, two, three];
    let seconds = |at: usize| at as f64 / rate;
    if let Some(unclear) = all.into_iter().find(|pulse| !pulse.clear) {
        return Err(Bad::Unclear { at: seconds(unclear.at) });
    }
    let ups = all.into_iter().filter(|pulse| pulse.up).count();
    let most = ups > 1;
    if let Some(other) = all.into_iter().find(|pulse| pulse.up != most) {
        return Err(Bad::Differ { at: seconds(other.at) });
    }
    let height = 20.0 * tops.get(1).copied().unwrap_or(0.0).max(1e-6).log10();
    Ok(Taps { up: most, height: Decibels(height), at: all.map(|pulse| seconds(pulse.at)) })
}

/// The channel that has more in it, and its samples a second.
fn loudest<R: Read + Seek + Send + Sync + 'static>(source: R, by: By) -> Result<(Vec<f64>, f64), Bad> {
    let Whole { samples, rate, flaws, clipped } =
        Whole::of(&mut Recording::open(source)?, LONGEST)?.ok_or(Bad::TooLong)?;
    let altered = |flaw: &Flaw| matches!(flaw, Flaw::CutOff { .. } | Flaw::Damaged { .. } | Flaw::Lossy { .. });
    if flaws.iter().any(altered) {
        return Err(Bad::Altered);
    }
    // A cell that lies on the tip is flat, and where it is cut it goes the same way.
    if by == By::Steel && (clipped || is_flat(&samples)) {
        return Err(Bad::Clipped);
    }
    Ok((samples, f64::from(rate)))
}

/// Whether its highest top, or its lowest, stays the same for some samples: three taps alone have few tops to tell by.
fn is_flat(samples: &[f64]) -> bool {
    [1.0, -1.0].into_iter().any(|way| {
        let top = samples.iter().fold(0.0, |top: f64, sample| top.max(way * sample));
        let mut run = 0;
        top > LEAST
            && samples.iter().any(|sample| {
                run = if way * sample > top - 1e-6 { run + 1 } else { 0 };
                run >= FLAT
            })
    })
}

/// Less what was there so many seconds before; nothing of the first of them.
fn since(samples: &[f64], seconds: f64, rate: f64) -> Vec<f64> {
    let back = (seconds * rate).round() as usize;
    let rest = samples.iter().skip(back).zip(samples).map(|(now, before)| now - before);
    std::iter::repeat_n(0.0, back.min(samples.len())).chain(rest).collect()
}

/// The mean of what lies around, twice over.
fn smoothed(samples: &[f64], rate: f64) -> Vec<f64> {
    let half = (0.5 * SMOOTH * rate).round().max(1.0) as usize;
    let mean = |samples: &[f64]| -> Vec<f64> {
        let sums: Vec<f64> = std::iter::once(0.0)
            .chain(samples.iter().scan(0.0, |sum, sample| {
                *sum += sample;
                Some(*sum)
            }))
            .collect();
        let around = |at: usize| {
            let (from, to) = (at.saturating_sub(half), (at + half + 1).min(samples.len()));
            (sums[to] - sums[from]) / (to - from) as f64
        };
        (0..samples.len()).map(around).collect()
    };
    mean(&mean(samples))
}

/// Where something stands out of the quiet, from and to.
fn pulses(smooth: &[f64], rate: f64, by: By) -> impl Iterator<Item = (usize, usize)> {
    let part = ((PART * rate) as usize).max(1);
    let tops: Vec<f64> =
        smooth.chunks(part).map(|part| part.iter().fold(0.0, |top: f64, one| top.max(one.abs()))).collect();
    let first = ((BACK * rate) as usize).div_ceil(part) + 1;
    let mut quiet: Vec<f64> = tops.iter().skip(first).copied().collect();
    quiet.sort_by(f64::total_cmp);
    let floor = (OVER * quiet.get(quiet.len() / 4).copied().unwrap_or(0.0)).max(LEAST);
    let apart = (by.apart() / PART) as usize;
    let mut found: Vec<(usize, usize)> = Vec::new();
    for (at, _) in tops.iter().enumerate().filter(|(_, top)| **top > floor) {
        match found.last_mut() {
            Some((_, to)) if at - *to <= apart => *to = at,
            _ => found.push((at, at)),
        }
    }
    let length = smooth.len();
    found.into_iter().map(move |(from, to)| (from * part, ((to + 1) * part).min(length)))
}

/// Something that may be a tap.
struct Pulse {
    at: usize,
    top: f64,
    up: bool,
    clear: bool,
}

impl Pulse {
    /// Nothing where it is no tap.
    fn of(smooth: &[f64], (from, to): (usize, usize), rate: f64, by: By) -> Option<Self> {
        let samples = |seconds: f64| (seconds * rate) as usize;
        let own = smooth.get(from..to)?;
        let top = own.iter().fold(0.0, |top: f64, one| top.max(one.abs()));
        let begins = from + own.iter().position(|one| one.abs() > BEGINS * top)?;
        let up = smooth[begins] > 0.0;
        let along = |at: usize| if up { smooth[at] } else { -smooth[at] };
        let swings = |at: &usize| along(*at) > 0.5 * BEGINS * top;
        let first = (0..begins).rev().take_while(swings).count() + (begins..to).take_while(swings).count();
        let high = |at: &usize| smooth[*at].abs() > OTHER * top;
        let long = (from..to).rev().find(high).zip((from..to).find(high)).map_or(0, |(last, first)| last - first);
        let edge = samples(by.edge()).max(1);
        let steep = (begins..to.saturating_sub(edge)).any(|at| (smooth[at + edge] - smooth[at]).abs() > STEEP * top);
        let lasts = own.iter().filter(|one| one.abs() > 0.5 * top).count();
        if first < samples(BROAD) || long > samples(By::ENDS) || lasts > samples(LASTS) || !steep {
            return None;
        }
        let clear = (begins.saturating_sub(samples(BEFORE))..begins).all(|at| along(at) > -OTHER * top);
        Some(Self { at: begins, top, up, clear })
    }
}

#[cfg(test)]
mod tests {
    use std::io::Cursor;

    use solderlast_samples::Chance;
    use solderlast_samples::sound::{Samples, Sound};

    use super::*;

    const RATE: u32 = 48_000;

    /// A tap: a swing that grows until the steel meets the pole, then half of it the other way for a moment.
    fn tap(sound: &mut Sound, at: f64, height: f64, grows: f64) {
        let meets = (at * f64::from(RATE)) as usize;
        for (place, sample) in sound.channels[0].iter_mut().enumerate() {
            let seconds = (place as f64 - meets as f64) / f64::from(RATE);
            if seconds < 0.0 {
                *sample += height * (seconds / grows).exp();
            } else {
                *sample -= 0.5 * height * (-seconds / (2.0 * grows)).exp();
            }
        }
    }

    fn three(heights: [f64; 3]) -> Sound {
        let mut sound = Sound::silence(RATE, 1, 4.5).noise(1e-9, &mut Chance(5)).sine(50.0, 0.02).sine(150.0, 0.01);
        for (at, height) in [1.0, 2.1, 3.3].into_iter().zip(heights) {
            tap(&mut sound, at, height, 0.003);
        }
        sound
    }

    fn told(sound: &Sound) -> Result<Taps, Bad> {
        taps(Cursor::new(sound.wav(Samples::Whole(24))), By::Steel)
    }

    #[test]
    fn three_taps_that_agree_tell_which_way() {
        let up = told(&three([0.2, 0.3, 0.15])).unwrap();
        assert!(up.up && (up.at[1] - 2.1).abs() < 0.01, "{up:?}");
        assert!(!told(&three([-0.2, -0.3, -0.15])).unwrap().up);
    }

    #[test]
    fn one_that_differs_and_one_that_is_missing_are_named() {
        assert!(matches!(told(&three([0.2, -0.2, 0.2])), Err(Bad::Differ { at }) if (at - 2.1).abs() < 0.02));
        assert_eq!(told(&three([0.2, 0.0, 0.2])), Err(Bad::Count { found: 2 }));
        assert_eq!(told(&three([0.0; 3])), Err(Bad::Count { found: 0 }));
        assert_eq!(told(&three([0.2; 3]).clipped(0.1)), Err(Bad::Clipped));
        let mut four = three([0.2; 3]);
        tap(&mut four, 4.0, 0.2, 0.003);
        assert_eq!(told(&four), Err(Bad::Count { found: 4 }));
        assert_eq!(told(&Sound::silence(RATE, 1, 31.0)), Err(Bad::TooLong));
    }

    #[test]
    fn handling_is_no_tap() {
        let mut sound = three([0.2; 3]);
        for (place, sample) in sound.channels[0].iter_mut().enumerate() {
            let seconds = place as f64 / f64::from(RATE);
            // A thump, a crackle, and a hand that hums for half a second.
            *sample -= 0.3 * (-((seconds - 0.5) / 0.03).powi(2)).exp();
            *sample -= if (1.6..1.6004).contains(&seconds) { 0.4 } else { 0.0 };
            *sample -= if (3.8..4.3).contains(&seconds) { 0.1 * (seconds * 1300.0).sin() } else { 0.0 };
        }
        assert!(told(&sound).unwrap().up);
        for bad in [Bad::Altered, Bad::Count { found: 1 }, Bad::Unclear { at: 1.0 }] {
            let [of_taps, of_touches] = [By::Steel, By::Cell].map(|by| bad.sentence(by));
            assert!(of_taps.ends_with('.') && !of_taps.contains("three touches"), "{of_taps}");
            assert!(of_touches.ends_with('.') && !of_touches.contains("tap"), "{of_touches}");
        }
    }

    /// A cell that is held to the tip of an input that lets slow things through.
    #[test]
    fn a_touch_is_told_by_its_step() {
        for way in [0.3, -0.3] {
            let mut sound = Sound::silence(RATE, 1, 4.5).noise(1e-9, &mut Chance(6)).sine(50.0, 0.02);
            for (at, held) in [(0.9, 0.3), (1.9, 0.1), (2.9, 0.4)] {
                for (place, sample) in sound.channels[0].iter_mut().enumerate() {
                    let seconds = place as f64 / f64::from(RATE) - at;
                    *sample += if (0.0..held).contains(&seconds) { way } else { 0.0 };
                }
            }
            let heard = |by| taps(Cursor::new(sound.wav(Samples::Whole(24))), by);
            assert_eq!(heard(By::Cell).unwrap().up, way > 0.0);
            assert!(heard(By::Steel).is_err());
        }
    }
}
