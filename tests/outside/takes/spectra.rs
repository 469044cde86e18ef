//! Third octaves and the middle of a spectrum against SciPy's own transform of the whole take, and against the limits of
//! IEC 61260-1; hum against combs of known level.

use std::f64::consts::TAU;
use std::fs;

use serde_json::json;
use solderlast_core::record::take::Played;
use solderlast_testkit::Chance;
use solderlast_testkit::sound::{Plucked, Samples, Sound};

use super::{heard, near, scipy, told};

/// One transform of the whole take by scipy.fft, its powers summed between the edges of each band: 0.5 dB.
#[test]
fn third_octaves_as_scipy_sums_them() {
    const SCRIPT: &str = "
import json, sys
import numpy as np
from scipy.fft import rfft, rfftfreq
from scipy.io import wavfile
out = []
for path, middles in json.load(sys.stdin):
    rate, sound = wavfile.read(path)
    sound = sound.reshape(len(sound), -1).astype(float)
    power = sum(np.abs(rfft(channel)) ** 2 for channel in sound.T) * 2 / len(sound) ** 2
    at = rfftfreq(len(sound), 1 / rate)
    half = 10 ** (3 / 10 / 6)
    bands = [10 * np.log10(power[(at >= m / half) & (at < m * half)].sum() + 1e-30) for m in middles]
    heard = (at >= 20) & (at <= 20000)
    out.append([bands, float((power * at)[heard].sum() / power[heard].sum())])
print(json.dumps(out))
";
    let folder = tempfile::tempdir().unwrap();
    let mut chance = Chance::seeded(61260);
    let (mut takes, mut asked) = (Vec::new(), Vec::new());
    for number in 0..12 {
        let rate = *chance.pick(&[44_100, 48_000, 96_000]);
        let mut sound = Sound::silence(rate, 1 + number % 2, 12.0);
        if number % 3 == 0 {
            sound = sound.noise(1e-3, &mut chance);
        } else {
            sound = sound.noise(1e-8, &mut chance);
            for _ in 0..6 {
                let mut string = Plucked::at(chance.between(0.2, 8.0), chance.in_ratio(80.0, 700.0));
                string.height = 0.1;
                sound = sound.pluck(&string);
            }
        }
        let path = folder.path().join(format!("{number}.wav"));
        fs::write(&path, sound.wav(Samples::Float)).unwrap();
        let spectrum = heard(&path, Played::Riff).unwrap().spectrum;
        let middles: Vec<f64> = spectrum.thirds.iter().map(|band| band.middle.get()).collect();
        asked.push(json!([path, middles]));
        takes.push(spectrum);
    }
    let mut worst = 0f64;
    for (number, (ours, theirs)) in takes.iter().zip(scipy(SCRIPT, &json!(asked)).as_array().unwrap()).enumerate() {
        let theirs_of = |place: usize| theirs[0][place].as_f64().unwrap();
        let loudest = (0..ours.thirds.len()).map(theirs_of).fold(f64::NEG_INFINITY, f64::max);
        for (place, band) in ours.thirds.iter().enumerate() {
            let (told, theirs) = (band.level.unwrap().get(), theirs_of(place));
            // What is far under the loudest band, or under the one beside it, is a skirt in both, each by its own window.
            let beside = theirs_of(place.saturating_sub(1)).max(theirs_of((place + 1).min(ours.thirds.len() - 1)));
            if theirs > loudest - 50.0 && theirs > beside - 6.0 {
                let within = if band.middle.get() < 50.0 { 1.0 } else { 0.5 };
                // A partial within a hertz of an edge may be counted on either side of it: then the two together are alike.
                let sum = |level: &dyn Fn(usize) -> f64, other: usize| {
                    10.0 * (10f64.powf(level(place) / 10.0) + 10f64.powf(level(other) / 10.0)).log10()
                };
                let ours_of = |place: usize| ours.thirds[place].level.unwrap().get();
                let alike = |other: usize| (sum(&ours_of, other) - sum(&theirs_of, other)).abs() <= within;
                let at_edge = alike(place.saturating_sub(1)) || alike((place + 1).min(ours.thirds.len() - 1));
                let off = (told - theirs).abs();
                assert!(off <= within || at_edge, "take {number}, {} Hz: {told}, not {theirs}", band.name.get());
                if off <= within {
                    worst = worst.max(off);
                }
            }
        }
        let middle = theirs[1].as_f64().unwrap();
        near(ours.middle.unwrap().get() / middle, 1.0, 0.01, &format!("take {number}: the middle"));
    }
    println!("furthest from SciPy: {worst:.2} dB");
}

/// The limits of a class 1 filter (IEC 61260-1, table 1, from memory) for a steady tone beside the middle of a band.
#[test]
fn third_octaves_within_the_limits_of_class_1() {
    let octave = 10f64.powf(0.3);
    // By the octave's exponent: least and most that a tone there is weakened, in decibels.
    let limits = [
        (0.0, -0.4, 0.4),
        (0.125, -0.4, 0.5),
        (0.25, -0.4, 0.7),
        (0.375, -0.4, 1.4),
        (0.49, -0.4, 5.3),
        (0.55, 1.4, f64::INFINITY),
        (1.0, 16.6, f64::INFINITY),
        (2.0, 40.5, f64::INFINITY),
        (3.0, 60.0, f64::INFINITY),
        (4.0, 70.0, f64::INFINITY),
    ];
    for place in [2usize, 6, 11, 16, 21] {
        for (exponent, least, most) in limits {
            for up in [true, false] {
                let of_octave = octave.powf(exponent);
                let ratio = 1.0 + (octave.powf(1.0 / 6.0) - 1.0) / (octave.sqrt() - 1.0) * (of_octave - 1.0);
                let middle = 1000.0 * octave.powf((place as f64 - 16.0) / 3.0);
                let hertz = if up { middle * ratio } else { middle / ratio };
                if !(10.0..=21_000.0).contains(&hertz) {
                    continue;
                }
                let mut sound = Sound::silence(48_000, 1, 8.0);
                let count = sound.channels[0].len() as f64;
                for (at, sample) in sound.channels[0].iter_mut().enumerate() {
                    let at = at as f64;
                    // Faded in and out, as a filter is tried with what is steady.
                    let edge = (at / 72_000.0).min((count - at) / 72_000.0).min(1.0);
                    *sample = 0.5 * (0.5 - 0.5 * (TAU / 2.0 * edge).cos()) * (TAU * hertz * at / 48_000.0).sin();
                }
                let power = sound.channels[0].iter().map(|x| x * x).sum::<f64>() / count;
                let band = told(&sound, Played::Riff).spectrum.thirds[place];
                let weakened = 10.0 * power.log10() - band.level.map_or(-200.0, |level| level.get());
                assert!(
                    (least..=most).contains(&weakened),
                    "{} Hz, a tone of {hertz:.1} Hz: weakened by {weakened:.2} dB, not {least} to {most}",
                    band.name.get()
                );
            }
        }
    }
}

/// Combs of hum at known levels, alone and in the rests of a playing: level within 0.5 dB, and the right mains.
#[test]
fn hum_at_its_known_level() {
    let mut chance = Chance::seeded(50);
    for number in 0..24 {
        let mains = chance.of(&[50.0, 60.0]) * chance.between(0.997, 1.003);
        let loud = chance.in_ratio(1e-4, 1e-2);
        let heights: Vec<f64> = (0..8).map(|_| loud * chance.between(0.05, 1.0)).collect();
        let plays = number % 2 == 0;
        let mut sound = Sound::silence(48_000, 1, 14.0).noise(loud * loud * chance.in_ratio(1e-6, 1e-3), &mut chance);
        for (harmonic, height) in heights.iter().enumerate() {
            sound = sound.sine(mains * (harmonic + 1) as f64, *height);
        }
        if plays {
            for at in 0..8 {
                let mut string = Plucked::at(0.5 + f64::from(at), chance.in_ratio(80.0, 400.0));
                string.height = 0.2;
                string.stopped = 0.9;
                sound = sound.pluck(&string);
            }
        }
        let told = told(&sound, if plays { Played::Riff } else { Played::HumHandsOff });
        let hum = told.hum.unwrap_or_else(|| panic!("take {number}: none was found"));
        let level = 10.0 * (0.5 * heights.iter().map(|height| height * height).sum::<f64>()).log10();
        near(hum.level.get(), level, 0.5, &format!("take {number}"));
        near(hum.exact.get(), mains, 0.1, &format!("take {number}"));
        assert_eq!(hum.against_playing.is_some(), plays);
    }
}

/// Where there is no hum, none is found: strings, noise, and tones beside the mains.
#[test]
fn no_hum_where_there_is_none() {
    let mut chance = Chance::seeded(49);
    for number in 0..24 {
        let mut sound = Sound::silence(48_000, 1, 10.0).noise(chance.in_ratio(1e-11, 1e-7), &mut chance);
        if number % 3 > 0 {
            for at in 0..6 {
                // Within 0.6 % of twice the mains a string that rings through all rests can't be told from a rectifier's hum. No
                // note of the usual tunings lies there.
                let hertz = loop {
                    let hertz = chance.in_ratio(70.0, 400.0);
                    let near =
                        |double: f64| (hertz / double - (hertz / double).round()).abs() < 0.01 * (hertz / double);
                    if !near(100.0) && !near(120.0) {
                        break hertz;
                    }
                };
                let mut string = Plucked::at(0.3 + f64::from(at), hertz);
                string.stopped = if number % 3 == 1 { 0.9 } else { 4.0 };
                sound = sound.pluck(&string);
            }
        }
        let told = told(&sound, if number % 3 == 0 { Played::HumHandsOn } else { Played::Riff });
        assert!(told.hum.is_none(), "take {number}: {:?}", told.hum);
    }
}
