//! Loudness and true peak against ffmpeg's ebur128 in the same run, and the synthetic cases of EBU Tech 3341 and 3342.

use std::f64::consts::TAU;
use std::fs;

use solderlast_core::record::take::Played;
use solderlast_testkit::Chance;
use solderlast_testkit::sound::{Plucked, Samples, Sound};

use super::{ffmpeg, near, recorded, told};

/// Integrated loudness and the true peak as ffmpeg tells them in its summary.
fn by_ffmpeg(path: &str) -> [f64; 2] {
    let said = ffmpeg(&["-nostats", "-i", path, "-af", "ebur128=peak=true", "-f", "null", "-"]);
    let summary = said.rsplit("Summary:").next().unwrap();
    ["I:", "Peak:"].map(|name| {
        let line = summary.lines().find_map(|line| line.trim().strip_prefix(name)).unwrap();
        line.split_whitespace().next().unwrap().parse().unwrap()
    })
}

/// Sound of every kind that a take may have.
fn made(chance: &mut Chance, number: usize) -> Sound {
    let rate = *chance.pick(&[44_100, 48_000, 96_000]);
    let seconds = chance.between(4.0, 12.0);
    let mut sound = Sound::silence(rate, 1 + number % 2, seconds).noise(chance.in_ratio(1e-10, 1e-5), chance);
    match number % 4 {
        0 => {
            for _ in 0..chance.whole(1, 5) {
                sound = sound.sine(chance.in_ratio(40.0, 8000.0), chance.in_ratio(0.01, 0.19));
            }
        }
        1 => sound = sound.noise(chance.in_ratio(1e-5, 2e-2), chance),
        2 => sound = sound.sine(50.0, 0.01).sine(150.0, 0.004).noise(1e-7, chance),
        _ => {
            for _ in 0..chance.whole(3, 10) {
                let mut string = Plucked::at(chance.between(0.0, seconds - 0.5), chance.in_ratio(80.0, 700.0));
                string.height = chance.in_ratio(0.02, 0.08);
                string.loses_20 = chance.between(0.5, 3.0);
                sound = sound.pluck(&string);
            }
        }
    }
    sound
}

/// Thirty takes: integrated within 0.1 LU and half a digit of ffmpeg's, true peaks within 0.2 dB and half
/// a digit, but for white noise.
#[test]
fn thirty_takes_as_loud_as_ffmpeg_says() {
    let folder = tempfile::tempdir().unwrap();
    let mut chance = Chance::seeded(3341);
    let mut worst = [0f64; 2];
    for number in 0..30 {
        let path = folder.path().join(format!("{number}.wav"));
        if number < 24 {
            fs::write(&path, made(&mut chance, number).wav(Samples::Whole(24))).unwrap();
        } else {
            recorded::render(&path, &recorded::riff(&mut chance), 25 + number as u8 % 6);
        }
        let ours = super::heard(&path, Played::Riff).unwrap().loudness;
        let theirs = by_ffmpeg(&path.to_string_lossy());
        let told = [ours.integrated, ours.true_peak].map(|level| level.unwrap().get());
        // White noise up to half the rate peaks between samples as no pickup does; there the filters that fill in part.
        let peak_within = if number % 4 == 1 && number < 24 { 1.25 } else { 0.25 };
        for (place, within) in [0.15, peak_within].into_iter().enumerate() {
            let off = (told[place] - theirs[place]).abs();
            if within < 1.0 {
                worst[place] = worst[place].max(off);
            }
            assert!(off <= within, "take {number}: {told:?}, ffmpeg {theirs:?}");
        }
    }
    println!("furthest from ffmpeg: integrated {:.2} LU, true peak {:.2} dB", worst[0], worst[1]);
}

/// A sine of 1 kHz in both channels, in parts of these levels (decibels of full scale) and lengths (seconds).
fn parts(parts: &[(f64, f64)]) -> Sound {
    let mut sound = Sound::silence(48_000, 2, 0.0);
    for (level, seconds) in parts {
        let height = 10f64.powf(level / 20.0);
        let part = Sound::silence(48_000, 1, *seconds).channels[0].len();
        for channel in &mut sound.channels {
            let from = channel.len();
            channel.extend((from..from + part).map(|at| height * (TAU * 1000.0 * at as f64 / 48_000.0).sin()));
        }
    }
    sound
}

/// EBU Tech 3341, cases 1 to 5, 9, 10, 12 and 13 (case 6 has five channels, which a take can't have; 7 and 8 are programmes; from memory): within 0.1 LU.
#[test]
fn the_synthetic_cases_of_tech_3341() {
    let integrated = |cases: &[(f64, f64)]| told(&parts(cases), Played::Riff).loudness.integrated.unwrap().get();
    for (case, cases, wanted) in [
        (1, &[(-23.0, 20.0)][..], -23.0),
        (2, &[(-33.0, 20.0)], -33.0),
        (3, &[(-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0)], -23.0),
        (4, &[(-72.0, 10.0), (-36.0, 10.0), (-23.0, 60.0), (-36.0, 10.0), (-72.0, 10.0)], -23.0),
        (5, &[(-26.0, 20.0), (-20.0, 20.1), (-26.0, 20.0)], -23.0),
    ] {
        near(integrated(cases), wanted, 0.1, &format!("case {case}"));
    }
    let first = told(&parts(&[(-23.0, 20.0)]), Played::Riff).loudness;
    near(first.momentary.unwrap().get(), -23.0, 0.1, "case 1, momentary");
    near(first.short_term.unwrap().get(), -23.0, 0.1, "case 1, short-term");

    let nine: Vec<_> = [(-20.0, 1.34), (-30.0, 1.66)].repeat(5);
    near(told(&parts(&nine), Played::Riff).loudness.short_term.unwrap().get(), -23.0, 0.1, "case 9");
    let twelve: Vec<_> = [(-20.0, 0.18), (-30.0, 0.22)].repeat(25);
    near(told(&parts(&twelve), Played::Riff).loudness.momentary.unwrap().get(), -23.0, 0.1, "case 12");
    for step in 0..20 {
        let ten = parts(&[(-200.0, 0.15 * f64::from(step)), (-23.0, 3.0), (-200.0, 1.0)]);
        near(told(&ten, Played::Riff).loudness.short_term.unwrap().get(), -23.0, 0.1, &format!("case 10, {step}"));
        let thirteen = parts(&[(-200.0, 0.02 * f64::from(step)), (-23.0, 0.4), (-200.0, 1.0)]);
        near(told(&thirteen, Played::Riff).loudness.momentary.unwrap().get(), -23.0, 0.1, &format!("case 13, {step}"));
    }
}

/// EBU Tech 3341, cases 15 to 19 (from memory): true peaks of sines whose samples miss their tops, +0.2 and −0.4 dB.
#[test]
fn true_peaks_of_tech_3341() {
    for (case, part, degrees, height, wanted) in [
        (15, 4.0, 0.0, 0.5, -6.0),
        (16, 4.0, 45.0, 0.5, -6.0),
        (17, 6.0, 60.0, 0.5, -6.0),
        (18, 8.0, 67.5, 0.5, -6.0),
        (19, 4.0, 45.0, 1.41, 3.0),
    ] {
        let mut sound = Sound::silence(48_000, 2, 2.0);
        let count = 96_000.0;
        for channel in &mut sound.channels {
            for (at, sample) in channel.iter_mut().enumerate() {
                let at = at as f64;
                // Faded in and out: a sine that begins at its top overshoots where it begins.
                let fade = (at / 4800.0).min((count - at) / 4800.0).min(1.0);
                *sample = fade * height * (TAU * at / part + f64::to_radians(degrees)).sin();
            }
        }
        let peak = told(&sound, Played::Riff).loudness.true_peak.unwrap().get();
        assert!((-0.4..=0.2).contains(&(peak - wanted)), "case {case}: {peak}, not {wanted}");
    }
}

/// EBU Tech 3341, cases 20 to 23 (from memory): one whole period up to full scale in a sine of a sixth of the rate at half of it, made at
/// four times the rate from 0 to 3 samples later and brought down to 48 kHz by ffmpeg: 0 dB, +0.2 and −0.4. (11 and 14 are for meters
/// that are watched.)
#[test]
fn a_peak_between_samples_of_tech_3341() {
    let folder = tempfile::tempdir().unwrap();
    for later in 0..4usize {
        let mut sound = Sound::silence(192_000, 2, 2.0);
        let count = 384_000;
        for channel in &mut sound.channels {
            for (at, sample) in channel.iter_mut().enumerate().skip(later) {
                let at = at - later;
                let fade = (at as f64 / 19_200.0).min((count - at) as f64 / 19_200.0).min(1.0);
                let height = if (192_000..192_024).contains(&at) { 1.0 } else { 0.5 };
                *sample = fade * height * (TAU * at as f64 / 24.0).sin();
            }
        }
        let [made, path] = ["made", "at_48_000"].map(|name| folder.path().join(format!("{later}-{name}.wav")));
        fs::write(&made, sound.wav(Samples::Float)).unwrap();
        let [from, to] = [&made, &path].map(|path| path.to_string_lossy().into_owned());
        ffmpeg(&["-y", "-i", &from, "-af", "aresample=48000:filter_size=256:cutoff=0.98", "-c:a", "pcm_f32le", &to]);
        let peak = super::heard(&path, Played::Riff).unwrap().loudness.true_peak.unwrap().get();
        assert!((-0.4..=0.2).contains(&peak), "{later} later: {peak}");
    }
}

/// EBU Tech 3342, cases 1 to 4 (5 and 6 are programmes; from memory): the range within 1 LU.
#[test]
fn the_synthetic_cases_of_tech_3342() {
    for (case, levels, wanted) in [
        (1, &[-20.0, -30.0][..], 10.0),
        (2, &[-20.0, -15.0], 5.0),
        (3, &[-40.0, -20.0], 20.0),
        (4, &[-50.0, -35.0, -20.0, -35.0, -50.0], 15.0),
    ] {
        let cases: Vec<_> = levels.iter().map(|level| (*level, 20.0)).collect();
        near(told(&parts(&cases), Played::Riff).loudness.range.unwrap().get(), wanted, 1.0, &format!("case {case}"));
    }
}
