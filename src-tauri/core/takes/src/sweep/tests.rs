//! A coil of closed form answers the sweep; recordings that are bad, each in one way, are named.

use std::f64::consts::TAU;
use std::io::Cursor;

use realfft::RealFftPlanner;
use realfft::num_complex::Complex;
use solderlast_samples::Chance;
use solderlast_samples::sound::{Samples, wav_of};

use super::answer::spectrum;
use super::*;

/// What comes back of a coil of 2.5 H, 7 kΩ and 500 pF, 400 kΩ across, through 100 kΩ.
fn coil(hertz: f64) -> Complex<f64> {
    let w = TAU * hertz;
    let across = Complex::new(1.0 / 400e3, w * 500e-12);
    let seen = (Complex::new(7e3, w * 2.5).inv() + across).inv();
    seen / (seen + 100e3)
}

/// What is sent, recorded through this.
fn through(rate: u32, gain: f64, of: impl Fn(f64) -> Complex<f64>) -> Vec<f64> {
    let sent = sent(rate);
    let length = (2 * sent.len()).next_power_of_two();
    let mut lines = spectrum(&sent, length);
    for (at, line) in lines.iter_mut().enumerate() {
        *line *= of(at as f64 * f64::from(rate) / length as f64) * gain;
    }
    let last = lines.len() - 1;
    (lines[0].im, lines[last].im) = (0.0, 0.0);
    let mut out = vec![0.0; length];
    RealFftPlanner::new().plan_fft_inverse(length).process(&mut lines, &mut out).expect("lengths fit");
    // It begins to record before, and ends after.
    let before = vec![0.0; (0.8 * f64::from(rate)) as usize];
    let heard = out.into_iter().take(sent.len() + before.len()).map(|sample| sample / length as f64);
    before.iter().copied().chain(heard).collect()
}

fn noise(mut samples: Vec<f64>, height: f64, seed: u64) -> Vec<f64> {
    let mut chance = Chance(seed);
    samples.iter_mut().for_each(|sample| *sample += height * chance.between(-1.0, 1.0));
    samples
}

fn wav(samples: &[f64], rate: u32) -> Vec<u8> {
    let data: Vec<u8> = samples
        .iter()
        .flat_map(|sample| ((sample.clamp(-1.0, 1.0) * 8_388_607.0) as i32).to_le_bytes().into_iter().take(3))
        .collect();
    wav_of(Samples::Whole(24), 1, rate, &data, data.len() as u32)
}

fn told(samples: &[f64], rate: u32) -> Result<Answer, Bad> {
    answer(Cursor::new(wav(samples, rate)))
}

#[test]
fn a_coil_answers_as_it_is_whatever_the_rate_and_the_gain() {
    for (rate, gain) in [(48_000, 1.2), (44_100, 0.3), (96_000, -1.0)] {
        let samples = noise(through(rate, gain, coil), 1e-4, 7);
        let answer = told(&samples, rate).expect("a sweep");
        assert_eq!(answer.turned, gain < 0.0);
        for point in &answer.points {
            let want = 20.0 * (coil(point.0.0).norm() * gain.abs()).log10();
            // Wide for chance, and for the roof of a narrow peak.
            let off = (point.1.0 - want).abs();
            assert!(off < 0.02 + 5.0 * point.2.0, "{rate} Hz: {point:?}, {want}");
        }
    }
}

#[test]
fn the_spread_that_is_told_is_how_far_points_lie_off() {
    let (mut inside, mut all) = (0, 0);
    for seed in 0..6 {
        let answer = told(&noise(through(48_000, 0.5, coil), 3e-3, seed), 48_000).expect("a sweep");
        for point in answer.points {
            let want = 20.0 * (coil(point.0.0).norm() * 0.5).log10();
            inside += usize::from((point.1.0 - want).abs() < 1.96 * point.2.0);
            all += 1;
        }
    }
    let share = f64::from(inside as u32) / f64::from(all);
    assert!((0.90..0.98).contains(&share), "{share}");
}

#[test]
fn bad_recordings_are_named() {
    let rate = 48_000;
    let good = through(rate, 1.0, coil);
    let seconds = |at: usize| at as f64 / f64::from(rate);
    let with = |of: &dyn Fn(usize, f64) -> f64| -> Vec<f64> {
        let changed: Vec<f64> = good.iter().enumerate().map(|(at, sample)| of(at, *sample)).collect();
        noise(changed, 1e-4, 3)
    };
    let power = good.iter().map(|sample| sample * sample).sum::<f64>() / good.len() as f64;
    let hum = |over: f64| (2.0 * power * 10_f64.powf(over / 10.0)).sqrt();
    // An envelope that follows within a tenth of a second, and a gain that keeps it near one height.
    let mut height = 0.0_f64;
    let automatic: Vec<f64> = good
        .iter()
        .map(|sample| {
            height = (height * 0.9998).max(sample.abs());
            sample * (0.2 / height.max(0.02)).min(3.0)
        })
        .collect();
    let cases: Vec<(&str, Vec<f64>, u32)> = vec![
        ("sweep_clipped", with(&|_, sample| (4.0 * sample).clamp(-0.9, 0.9)), rate),
        ("sweep_hum", with(&|at, sample| 0.3 * (sample + hum(20.0) * (TAU * 50.0 * seconds(at)).sin())), rate),
        ("sweep_hum", with(&|at, sample| 0.3 * (sample + hum(20.0) * (TAU * 180.0 * seconds(at)).sin())), rate),
        ("sweep_speed", with(&|_, sample| sample), 44_100),
        ("sweep_cut_off", good[..good.len() * 6 / 10].to_vec(), rate),
        ("sweep_cut_off", good[good.len() * 3 / 10..].to_vec(), rate),
        ("sweep_cut_off", good[..good.len() / 5].to_vec(), rate),
        ("sweep_automatic_gain", automatic, rate),
        ("sweep_automatic_gain", with(&|_, sample| 0.25 * (4.0 * sample).tanh()), rate),
        ("sweep_changed", with(&|at, sample| if seconds(at) > 7.0 { 0.9 * sample } else { sample }), rate),
        (
            "sweep_other_sound",
            with(&|at, sample| {
                let burst = (1.5..1.9).contains(&(seconds(at) - 0.8));
                sample + if burst { 0.3 * (TAU * 700.0 * seconds(at)).sin() } else { 0.0 }
            }),
            rate,
        ),
        ("sweep_none", noise(vec![0.0; good.len()], 0.1, 4), rate),
    ];
    for (code, samples, rate) in cases {
        let refused = told(&samples, rate).expect_err(code);
        assert_eq!(refused.code(), code, "{}", refused.sentence());
    }
    assert_eq!(
        told(&noise(good.clone(), 0.5, 5), rate).map(|_| ()).expect_err("noise").code().split('_').next(),
        Some("sweep")
    );
    // Hum that is as strong as the answer does no harm.
    let humming = with(&|at, sample| sample + hum(0.0) * (TAU * 50.0 * seconds(at)).sin());
    let answer = told(&humming, rate).expect("a sweep");
    let worst =
        answer.points.iter().map(|point| (point.1.0 - 20.0 * coil(point.0.0).norm().log10()).abs()).fold(0.0, f64::max);
    assert!(worst < 0.5, "{worst}");
}
