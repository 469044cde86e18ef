//! A stretch of a take, as it is heard beside stretches of others: one channel at 48 kHz, whatever the take was recorded at, so that
//! neither rate nor channels tell which it is.
//!
//! All stretches of a comparison begin where something sounds in their take, and have one length. A take that is quieter than
//! another stays as it is; the louder goes down, so nothing is ever clipped by matching.

use std::f64::consts::PI;
use std::io::{Read, Seek};

use solderlast_record::quantity::Decibels;

use crate::file::{Recording, Unreadable};
use crate::loudness::Meter;
use crate::spectrum::{Band, Spectra};

/// Samples a second of every stretch.
pub const RATE: u32 = 48_000;
/// The longest stretch, in seconds.
pub const LONGEST_STRETCH: f64 = 30.0;
/// The bytes before the samples in the file of a stretch.
pub const HEAD: usize = 44;
/// Length of a block in which it is looked for where a take begins to sound, in seconds.
const BLOCK: f64 = 0.005;
/// It begins to sound within this of its loudest block, in decibels.
const SOUNDS: f64 = 30.0;
/// A stretch begins this long before that, in seconds.
const BEFORE: f64 = 0.03;
/// Both ends of a stretch rise and fall in this time, in seconds, so that it can go round without a click.
const ENDS: f64 = 0.004;
/// How many samples to either side a sample of another rate is made of.
const REACH: usize = 32;

/// Where a take begins to sound.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Beginning {
    /// Where, in seconds, a little before it is heard.
    pub at: f64,
    /// How long the whole take is, in seconds.
    pub whole: f64,
}

/// Looks for where a take begins to sound.
///
/// # Errors
/// As [`Recording::each_part`].
pub fn beginning<R: Read + Seek + Send + Sync + 'static>(source: R) -> Result<Beginning, Unreadable> {
    let mut recording = Recording::open(source)?;
    let (channels, rate) = (usize::from(recording.shape().channels.max(1)), f64::from(recording.shape().rate));
    let block = ((rate * BLOCK) as usize).max(1);
    let (mut powers, mut sum, mut squares, mut within) = (Vec::new(), 0.0, 0.0, 0);
    recording.each_part(|samples| {
        for frame in samples.chunks_exact(channels) {
            let sample = mixed(frame);
            (sum, squares, within) = (sum + sample, squares + sample * sample, within + 1);
            if within == block {
                let count = block as f64;
                // What stands still is no sound.
                powers.push((squares / count - (sum / count).powi(2)).max(0.0) as f32);
                (sum, squares, within) = (0.0, 0.0, 0);
            }
        }
        Ok(())
    })?;
    let loudest = powers.iter().copied().fold(0.0, f32::max);
    let enough = loudest * 10f32.powf(-(SOUNDS as f32) / 10.0);
    let first = powers.iter().position(|power| *power > 0.0 && *power >= enough).unwrap_or(0);
    let at = (first as f64 * block as f64 / rate - BEFORE).max(0.0);
    Ok(Beginning { at, whole: recording.length() })
}

/// One channel of all.
fn mixed(frame: &[f32]) -> f64 {
    frame.iter().map(|sample| f64::from(*sample)).sum::<f64>() / frame.len().max(1) as f64
}

/// Sound that is cut out of a take.
#[derive(Debug, Clone, PartialEq)]
pub struct Stretch {
    samples: Vec<f32>,
}

impl Stretch {
    /// Cuts so many seconds out of a take. Where the take ends before, silence follows.
    ///
    /// # Errors
    /// As [`Recording::open`].
    pub fn cut<R: Read + Seek + Send + Sync + 'static>(source: R, at: f64, seconds: f64) -> Result<Self, Unreadable> {
        let mut recording = Recording::open(source)?;
        let (channels, rate) = (usize::from(recording.shape().channels.max(1)), recording.shape().rate);
        let seconds = seconds.clamp(0.0, LONGEST_STRETCH);
        let wanted = (seconds * f64::from(RATE)).round() as usize;
        // What a sample at either end is made of as well.
        let first = (at.max(0.0) * f64::from(rate)).round() as usize;
        let from = first.saturating_sub(2 * REACH * (rate / RATE).max(1) as usize);
        let to = first + (seconds * f64::from(rate)).ceil() as usize + 2 * REACH * (rate / RATE).max(1) as usize;
        let (mut frames, mut heard) = (Vec::with_capacity(to - from), 0);
        let read = recording.each_part(|samples| {
            for frame in samples.chunks_exact(channels) {
                if (from..to).contains(&heard) {
                    frames.push(mixed(frame) as f32);
                }
                heard += 1;
            }
            // Only to come out of the reading: nothing more is wanted.
            if heard >= to { Err(Unreadable::Empty) } else { Ok(()) }
        });
        if heard < to {
            read?;
        }
        let mut samples = resampled(&frames, first - from, rate, wanted);
        let ends = (ENDS * f64::from(RATE)) as usize;
        for at in 0..ends.min(samples.len() / 2) {
            let rises = (0.5 - 0.5 * (PI * (at as f64 + 0.5) / ends as f64).cos()) as f32;
            let last = samples.len() - 1 - at;
            samples[at] *= rises;
            samples[last] *= rises;
        }
        Ok(Self { samples })
    }

    /// How loud it is, in LUFS; nothing where it is too quiet or too short to count.
    #[must_use]
    pub fn loudness(&self) -> Option<Decibels> {
        let mut meter = Meter::new(1, RATE).ok()?;
        meter.hear(&self.samples).ok()?;
        meter.told().ok()?.integrated
    }

    /// The lowest and the highest sample in each of so many parts, full scale being 1, to be drawn.
    #[must_use]
    pub fn outline(&self, parts: usize) -> Vec<[f32; 2]> {
        let each = self.samples.len().div_ceil(parts.max(1)).max(1);
        let ends = |part: &[f32]| part.iter().fold([0.0_f32; 2], |[low, high], one| [low.min(*one), high.max(*one)]);
        self.samples.chunks(each).map(ends).collect()
    }

    /// Levels in third octaves (IEC 61260-1).
    #[must_use]
    pub fn thirds(&self) -> Vec<Band> {
        let mut spectra = Spectra::new(1, RATE);
        spectra.hear(&self.samples);
        spectra.told().0.thirds
    }

    /// As a WAV file with 24 bit, turned by a gain in decibels. Noise of one step, which nobody hears, is drawn from `noise`: two
    /// files of one stretch have no sample in common that would tell that they are alike.
    #[must_use]
    pub fn wav(&self, gain: Decibels, noise: u64) -> Vec<u8> {
        let turned = 10f64.powf(gain.get() / 20.0);
        let size = self.samples.len() * 3;
        let mut file = Vec::with_capacity(HEAD + size);
        file.extend(b"RIFF");
        file.extend((36 + size as u32).to_le_bytes());
        file.extend(b"WAVEfmt \x10\0\0\0\x01\0\x01\0");
        file.extend(RATE.to_le_bytes());
        file.extend((RATE * 3).to_le_bytes());
        file.extend([3, 0, 24, 0]);
        file.extend(b"data");
        file.extend((size as u32).to_le_bytes());
        let mut state = noise;
        for sample in &self.samples {
            let dither = (drawn(&mut state) - drawn(&mut state)) * 1.5;
            let whole = (f64::from(*sample) * turned * 8_388_607.0 + dither).round().clamp(-8_388_608.0, 8_388_607.0);
            file.extend(&(whole as i32).to_le_bytes()[..3]);
        }
        file
    }
}

/// From 0 to 1 (SplitMix64).
fn drawn(state: &mut u64) -> f64 {
    *state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
    let mut z = *state;
    z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
    ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
}

/// Samples from `first` on at [`RATE`], made of samples at another rate by a windowed sinc. What the lower of the two rates can't
/// hold is taken out.
fn resampled(samples: &[f32], first: usize, rate: u32, wanted: usize) -> Vec<f32> {
    let at = |index: i64| usize::try_from(index).ok().and_then(|index| samples.get(index)).copied().unwrap_or(0.0);
    if rate == RATE {
        return (0..wanted).map(|frame| at((first + frame) as i64)).collect();
    }
    let divisor = common(rate, RATE);
    let (up, down) = ((RATE / divisor) as usize, (rate / divisor) as usize);
    // Of the lower rate's half, a little is left for the slope.
    let narrow = (f64::from(RATE) / f64::from(rate)).min(1.0);
    let (cut, reach) = (0.94 * narrow, (REACH as f64 / narrow).ceil() as i64);
    let phases: Vec<Vec<f32>> = (0..up)
        .map(|phase| {
            let part = phase as f64 / up as f64;
            let weight = |tap: i64| {
                let x = tap as f64 - part;
                let window = (PI * x / (2.0 * (reach as f64 + 1.0))).cos().max(0.0).powi(4);
                let sinc = if x == 0.0 { 1.0 } else { (PI * x * cut).sin() / (PI * x * cut) };
                cut * sinc * window
            };
            let weights: Vec<f64> = (-reach..=reach + 1).map(weight).collect();
            let sum: f64 = weights.iter().sum();
            weights.into_iter().map(|weight| (weight / sum) as f32).collect()
        })
        .collect();
    (0..wanted)
        .map(|frame| {
            let (whole, phase) = ((frame * down) / up, (frame * down) % up);
            let middle = (first + whole) as i64;
            let weights = phases[phase].iter().zip(-reach..);
            weights.map(|(weight, tap)| weight * at(middle + tap)).sum()
        })
        .collect()
}

/// The greatest common divisor.
fn common(one: u32, other: u32) -> u32 {
    if other == 0 { one.max(1) } else { common(other, one % other) }
}

/// The gains by which all are as loud as the quietest, in decibels; none above 0. One of which no loudness can be told stays as it is.
///
/// ```
/// use solderlast_record::quantity::Decibels;
/// use solderlast_takes::stretch::matched;
///
/// let gains = matched(&[Some(Decibels(-18.0)), Some(Decibels(-21.8)), None]);
/// assert_eq!(gains, [Decibels(-3.8000000000000007), Decibels(0.0), Decibels(0.0)]);
/// ```
#[must_use]
pub fn matched(loudness: &[Option<Decibels>]) -> Vec<Decibels> {
    let quietest = loudness.iter().flatten().map(|one| one.get()).fold(f64::INFINITY, f64::min);
    loudness.iter().map(|one| Decibels(one.map_or(0.0, |one| (quietest - one.get()).min(0.0)))).collect()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::TAU;
    use std::io::Cursor;

    use solderlast_samples::Chance;
    use solderlast_samples::sound::{Plucked, Samples, Sound};

    use super::*;

    fn file(sound: &Sound) -> Cursor<Vec<u8>> {
        Cursor::new(sound.wav(Samples::Whole(24)))
    }

    /// The part of a stretch that is not a sine of this pitch, in decibels against it; its ends left out.
    fn residue(stretch: &Stretch, hertz: f64) -> f64 {
        let inside = &stretch.samples[2000..stretch.samples.len() - 2000];
        let phase = |at: usize| TAU * hertz * at as f64 / f64::from(RATE);
        let part = |wave: fn(f64) -> f64| {
            2.0 * inside.iter().enumerate().map(|(at, one)| f64::from(*one) * wave(phase(at))).sum::<f64>()
                / inside.len() as f64
        };
        let (sine, cosine) = (part(f64::sin), part(f64::cos));
        let rest: f64 = inside
            .iter()
            .enumerate()
            .map(|(at, one)| (f64::from(*one) - sine * phase(at).sin() - cosine * phase(at).cos()).powi(2))
            .sum();
        let power = (sine * sine + cosine * cosine) / 2.0 * inside.len() as f64;
        10.0 * (rest / power).log10()
    }

    #[test]
    fn every_rate_becomes_the_same_one() {
        for rate in [8_000, 22_050, 44_100, 48_000, 88_200, 96_000, 192_000] {
            for hertz in [250.0, 1000.0, 3000.0] {
                let sound = Sound::silence(rate, 1, 3.0).sine(hertz, 0.5);
                // A whole number of periods, so that a sine is told from the rest.
                let stretch = Stretch::cut(file(&sound), 0.5, 2.0 + 4000.0 / 48_000.0).expect("it is cut");
                let residue = residue(&stretch, hertz);
                assert!(residue < -70.0, "{rate} Hz, {hertz} Hz: {residue} dB");
                let peak = stretch.samples.iter().copied().fold(0.0, f32::max);
                assert!((peak - 0.5).abs() < 0.01, "{rate} Hz, {hertz} Hz: {peak}");
            }
        }
    }

    #[test]
    fn a_take_begins_where_it_sounds() {
        let mut chance = Chance::seeded(4);
        for at in [0.0, 0.2, 1.7, 4.0] {
            let string = Plucked { height: 0.3, ..Plucked::at(at, 110.0) };
            let sound = Sound::silence(44_100, 2, 8.0).noise(1e-8, &mut chance).pluck(&string);
            let found = beginning(file(&sound)).expect("it is read");
            assert!((0.0..=0.05).contains(&(at - found.at).abs()), "{at}: {found:?}");
            assert!((found.whole - 8.0).abs() < 0.01);
        }
    }

    #[test]
    fn matched_stretches_are_as_loud_as_each_other() {
        let heights = [0.5, 0.11, 0.32];
        let cut = |height: &f64| {
            let string = |at: f64| Plucked { height: *height, ..Plucked::at(at, 196.0) };
            let sound = Sound::silence(44_100, 1, 6.0).pluck(&string(0.1)).pluck(&string(2.1));
            Stretch::cut(file(&sound), 0.1, 5.0).expect("it is cut")
        };
        let stretches: Vec<Stretch> = heights.iter().map(cut).collect();
        let gains = matched(&stretches.iter().map(Stretch::loudness).collect::<Vec<_>>());
        assert!(gains.iter().all(|gain| gain.get() <= 0.0), "{gains:?}");
        let heard: Vec<f64> = stretches
            .iter()
            .zip(&gains)
            .map(|(stretch, gain)| {
                let told = Cursor::new(stretch.wav(*gain, 1));
                Stretch::cut(told, 0.0, 5.0).expect("read again").loudness().expect("it is loud").get()
            })
            .collect();
        assert!(heard.iter().all(|one| (one - heard[0]).abs() < 0.1), "{heard:?}");
    }

    /// Two files of one stretch, and files of others, differ in their samples alone.
    #[test]
    fn files_tell_nothing_by_their_size_or_their_head() {
        let mut chance = Chance::seeded(9);
        let mut files = Vec::new();
        for (rate, channels, seconds) in [(44_100, 1, 3.0), (96_000, 2, 9.0), (48_000, 1, 1.0)] {
            let sound = Sound::silence(rate, channels, seconds).noise(0.01, &mut chance);
            let stretch = Stretch::cut(file(&sound), 0.25, 2.5).expect("it is cut");
            files.extend([stretch.wav(Decibels(-2.0), 5), stretch.wav(Decibels(-2.0), 6)]);
        }
        for (at, one) in files.iter().enumerate() {
            assert_eq!(one.len(), HEAD + 3 * 120_000);
            assert_eq!(one[..HEAD], files[0][..HEAD]);
            assert!(files.iter().enumerate().all(|(other, file)| other == at || file != one));
        }
    }

    /// What goes round has no step between its end and its beginning.
    #[test]
    fn ends_meet() {
        let sound = Sound::silence(48_000, 1, 3.0).sine(97.0, 0.9);
        let stretch = Stretch::cut(file(&sound), 1.0, 1.0).expect("it is cut");
        let (first, last) = (stretch.samples[0], stretch.samples[stretch.samples.len() - 1]);
        assert!(first.abs() < 0.001 && last.abs() < 0.001, "{first} {last}");
    }
}
