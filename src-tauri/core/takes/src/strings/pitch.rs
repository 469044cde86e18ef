//! The pitch of one plucked string.
//!
//! A difference function finds the period (de Cheveigné and Kawahara, J. Acoust. Soc. Am. 111, 2002); then the phase of the lowest
//! strong partial tells it finely, by how much it turns from one window to a later one.

use std::f64::consts::TAU;

use realfft::num_complex::Complex;

/// What a string of a guitar or a bass may sound, in hertz.
const RANGE: [f64; 2] = [28.0, 1500.0];
/// The signal is thinned to about so many samples a second for the period.
const THINNED: f64 = 44_100.0;
/// A period whose difference is below this, as a share of its mean, is one.
const ALIKE: f64 = 0.15;
/// The least alike that is still a pitch.
const NO_PITCH: f64 = 0.45;
/// Where the pitch is looked for, in seconds after the pluck.
const FROM: f64 = 0.06;
/// Windows for the phase, and how far apart they are, in seconds.
const WINDOW: f64 = 0.12;
const STEPS: [f64; 2] = [0.03, 0.12];
/// A partial is strong enough to be read if it is not this far below the strongest of the first, in decibels.
const STRONG: f64 = 30.0;

/// The pitch, in hertz, of a string that is plucked where this begins; nothing for a noise.
pub(super) fn of(sound: &[f32], rate: f64) -> Option<f64> {
    let sound = sound.get((FROM * rate) as usize..)?;
    let rough = period(sound, rate)?;
    Some(fine(sound, rate, rough))
}

/// The sum of the squares of what two stretches differ by. In lanes, so that the processor adds several at once.
fn difference(one: &[f32], other: &[f32]) -> f32 {
    const LANES: usize = 16;
    let mut sums = [0f32; LANES];
    let (ones, others) = (one.chunks_exact(LANES), other.chunks_exact(LANES));
    let rest: f32 = ones.remainder().iter().zip(others.remainder()).map(|(one, other)| (one - other).powi(2)).sum();
    for (one, other) in ones.zip(others) {
        for lane in 0..LANES {
            let apart = one[lane] - other[lane];
            sums[lane] += apart * apart;
        }
    }
    sums.iter().sum::<f32>() + rest
}

fn period(sound: &[f32], rate: f64) -> Option<f64> {
    let every = ((rate / THINNED) as usize).max(1);
    let thinned_rate = rate / every as f64;
    let longest = (thinned_rate / RANGE[0]) as usize;
    let thin: Vec<f32> =
        sound.chunks_exact(every).take(3 * longest + 2).map(|group| group.iter().sum::<f32>() / every as f32).collect();
    let window = thin.len().checked_sub(longest + 1)?;
    let shortest = (thinned_rate / RANGE[1]) as usize;
    if window < longest {
        return None;
    }
    let mut differences = vec![0.0; longest + 1];
    let mut sum = 0.0;
    for lag in 1..=longest {
        let difference = difference(&thin[..window], &thin[lag..lag + window]);
        sum += f64::from(difference);
        differences[lag] = if sum > 0.0 { f64::from(difference) * lag as f64 / sum } else { 1.0 };
    }
    let is_dip = |lag: usize| differences[lag] <= differences[lag - 1] && differences[lag] < differences[lag + 1];
    let dips: Vec<usize> = (shortest.max(2)..longest).filter(|lag| is_dip(*lag)).collect();
    let deepest = dips.iter().copied().min_by(|one, other| differences[*one].total_cmp(&differences[*other]))?;
    if differences[deepest] > NO_PITCH {
        return None;
    }
    // The first that is nearly as deep: twice the period is a period as well.
    let enough = ALIKE.max(differences[deepest] + 0.05);
    let lag = dips.into_iter().find(|lag| differences[*lag] <= enough).unwrap_or(deepest);
    let (before, here, after) = (differences[lag - 1], differences[lag], differences[lag + 1]);
    let bend = before - 2.0 * here + after;
    let shift = if bend > 0.0 { 0.5 * (before - after) / bend } else { 0.0 };
    Some(thinned_rate / (lag as f64 + shift))
}

/// A partial at about this frequency: its size and its phase in a window that begins at this frame.
fn partial(sound: &[f32], rate: f64, hertz: f64, from: usize) -> Option<(f64, f64)> {
    let length = (WINDOW * rate) as usize;
    let window = sound.get(from..from + length)?;
    // Both turn by the same angle from sample to sample, so no sine is worked out twice.
    let turns = |angle: f64| Complex::from_polar(1.0, angle);
    let (step, mut turned) = (turns(-TAU * hertz / rate), turns(0.0));
    let (bell_step, mut bell) = (turns(TAU / length as f64), turns(TAU * 0.5 / length as f64));
    let mut sum = turns(0.0) * 0.0;
    for sample in window {
        // A Hann window.
        sum += turned * (f64::from(*sample) * (0.5 - 0.5 * bell.re));
        turned *= step;
        bell *= bell_step;
    }
    let (re, im) = (sum.re, sum.im);
    Some((re.hypot(im) / length as f64 * 4.0, im.atan2(re)))
}

fn fine(sound: &[f32], rate: f64, rough: f64) -> f64 {
    let sizes: Vec<f64> = (1..=4)
        .map(|number| partial(sound, rate, rough * f64::from(number), 0).map_or(0.0, |(size, _)| size))
        .collect();
    let strongest = sizes.iter().copied().fold(0.0, f64::max);
    let least = strongest * 10f64.powf(-STRONG / 20.0);
    let Some(number) = sizes.iter().position(|size| *size >= least && *size > 0.0).map(|at| (at + 1) as f64) else {
        return rough;
    };
    let mut hertz = rough * number;
    for step in STEPS {
        let frames = (step * rate) as usize;
        let Some(((_, one), (_, other))) = partial(sound, rate, hertz, 0).zip(partial(sound, rate, hertz, frames))
        else {
            break;
        };
        let seconds = frames as f64 / rate;
        let turned = other - one - TAU * hertz * seconds;
        let off = turned - TAU * (turned / TAU).round();
        hertz += off / (TAU * seconds);
    }
    // A step that went astray is not followed.
    if (hertz / number / rough).log2().abs() < 0.5 / 12.0 { hertz / number } else { rough }
}
