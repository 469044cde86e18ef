//! Mains hum and its harmonics, found in what sounds when nobody plays.

use serde::{Deserialize, Serialize};
use solderlast_record::quantity::{Decibels, Hertz};
use ts_rs::TS;

use crate::decibels::{of_power, power, told};
use crate::spectrum::{LOW, Quiet};

/// What mains may have, in hertz.
const MAINS: [f64; 2] = [50.0, 60.0];
/// How far mains may be off, as a share (EN 50160 allows 1 %; joined networks stay within 0.4 %).
const OFF: f64 = 0.006;
/// A line stands out of what is around it by this, in decibels.
const STANDS_OUT: f64 = 12.0;
/// What is around a line reaches so far from it, and begins so far from it, in hertz.
const AROUND: [f64; 2] = [3.0, 14.0];
/// A line is so wide to each side, in steps of the spectrum.
const HALF_LINE: usize = 3;
/// How far a line may lie from where it should, in hertz.
const MISSES: f64 = 0.3;
/// At least one line is among so many first harmonics.
const FIRST: u32 = 3;
/// A line that is louder in one quiet window than in another by this, in decibels, is no hum: mains are steady.
const STEADY: f64 = 6.0;
/// A line that is weaker than in a rest by this anywhere in a take, in decibels, is a note and no hum: mains never stop. Hands on
/// the strings may take that much of it away.
const EVERYWHERE: f64 = 20.0;
/// A line that falls or rises within a window by this, as a share, is a note that dies away: about 2 dB a second.
const FALLS: f64 = 0.07;
/// Where somebody plays, a rest lies at least so far below the playing, in decibels.
const RESTS: f64 = 12.0;
/// One line alone has to stand out by this, in decibels.
const ALONE: f64 = 30.0;

/// One line of hum.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts", rename = "HumLine")]
pub struct Line {
    /// Which harmonic; the first is the mains itself.
    pub harmonic: u32,
    /// Its level, in decibels of full scale.
    pub level: Decibels,
}

/// Mains hum.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract/take.ts")]
pub struct Hum {
    /// 50 or 60 Hz.
    pub mains: Hertz,
    /// What the mains had during the take.
    pub exact: Hertz,
    /// All lines together, in decibels of full scale.
    pub level: Decibels,
    /// The same, against the level of the playing; nothing where nobody plays.
    pub against_playing: Option<Decibels>,
    /// The lines that stand out.
    pub lines: Vec<Line>,
}

struct Found {
    harmonic: u32,
    hertz: f64,
    power: f64,
    stands_out: f64,
    /// It sounds as a note does, that dies away or was not there before.
    as_a_note: bool,
}

/// What is heard of hum in a take.
#[derive(Debug, Clone, PartialEq)]
pub(crate) enum Heard {
    /// Hum.
    Hum(Hum),
    /// None, in a rest in which it would be heard.
    None,
    /// It can't be told: nothing rests, or a note still sounds where the mains may be.
    CantTell,
}

/// The hum in what is quiet.
pub(crate) fn hum(quiet: &Quiet, nobody_plays: bool) -> Heard {
    if quiet.windows.is_empty() || (!nobody_plays && quiet.below_loudest < RESTS) {
        return Heard::CantTell;
    }
    let strongest = |notes_too: bool| {
        let found = MAINS.into_iter().filter_map(|mains| of(quiet, mains, notes_too));
        found.max_by(|one, other| {
            one.lines.len().cmp(&other.lines.len()).then(one.level.get().total_cmp(&other.level.get()))
        })
    };
    match strongest(nobody_plays) {
        Some(hum) => Heard::Hum(hum),
        None if strongest(true).is_some() => Heard::CantTell,
        None => Heard::None,
    }
}

/// The hum of one mains; with lines that sound as a note does, or without them.
fn of(quiet: &Quiet, mains: f64, notes_too: bool) -> Option<Hum> {
    let most = ((LOW - AROUND[1]) / (1.0 + OFF) / mains) as u32;
    let mut mean = vec![0.0; quiet.windows.first()?.len()];
    for window in &quiet.windows {
        mean.iter_mut().zip(window).for_each(|(sum, power)| *sum += power / quiet.windows.len() as f64);
    }
    let found: Vec<Found> = (1..=most)
        .filter_map(|harmonic| line(quiet, &mean, mains, harmonic))
        .filter(|line| notes_too || !line.as_a_note)
        .collect();
    // The mains is where most lines agree; of those, what the strongest says.
    let agree = |exact: f64| {
        found
            .iter()
            .filter(move |line| (line.hertz - exact * f64::from(line.harmonic)).abs() <= MISSES)
            .collect::<Vec<_>>()
    };
    let stands = |lines: &[&Found]| lines.iter().map(|line| line.stands_out).sum::<f64>();
    let lines = found
        .iter()
        .map(|line| agree(line.hertz / f64::from(line.harmonic)))
        .max_by(|one, other| one.len().cmp(&other.len()).then(stands(one).total_cmp(&stands(other))))?;
    let enough = lines.len() >= 2 || lines.iter().any(|line| line.stands_out >= ALONE);
    // Every third line and no other belongs to a string of three times the mains. Every second is what a rectifier makes.
    let shared = lines.iter().fold(0, |shared, line| greatest_common_divisor(shared, line.harmonic));
    if !enough || shared > 2 || lines.iter().all(|line| line.harmonic > FIRST) {
        return None;
    }
    let (mut sum, mut weights) = (0.0, 0.0);
    for line in &lines {
        let weight = line.stands_out * f64::from(line.harmonic);
        sum += weight * line.hertz / f64::from(line.harmonic);
        weights += weight;
    }
    let total: f64 = lines.iter().map(|line| line.power).sum();
    let mut told_lines = Vec::new();
    for line in &lines {
        told_lines.push(Line { harmonic: line.harmonic, level: told(of_power(line.power))? });
    }
    Some(Hum {
        mains: Hertz(mains),
        exact: Hertz(sum / weights),
        level: told(of_power(total))?,
        against_playing: None,
        lines: told_lines,
    })
}

fn greatest_common_divisor(one: u32, other: u32) -> u32 {
    if other == 0 { one } else { greatest_common_divisor(other, one % other) }
}

/// The line of one harmonic, if one stands out.
fn line(quiet: &Quiet, powers: &[f64], mains: f64, harmonic: u32) -> Option<Found> {
    let place = |hertz: f64| (hertz / quiet.step).round() as usize;
    let middle = mains * f64::from(harmonic);
    let (from, to) = (place(middle * (1.0 - OFF)), place(middle * (1.0 + OFF)));
    let peak = (from..=to).max_by(|one, other| {
        let at = |place: usize| powers.get(place).copied().unwrap_or(0.0);
        at(*one).total_cmp(&at(*other))
    })?;
    // What rises towards the edge belongs to something beside it.
    let here = *powers.get(peak)?;
    if here < *powers.get(peak + 1)? || here < *powers.get(peak.checked_sub(1)?)? {
        return None;
    }
    let [near, far] = AROUND.map(|hertz| (hertz / quiet.step).ceil() as usize);
    let mut around: Vec<f64> = (peak.saturating_sub(far)..=peak.saturating_sub(near))
        .chain(peak + near..=peak + far)
        .filter_map(|place| powers.get(place).copied())
        .collect();
    around.sort_by(f64::total_cmp);
    let floor = around.get(around.len() / 2).copied().unwrap_or(0.0);
    if here <= floor * power(STANDS_OUT) {
        return None;
    }
    let span = peak.saturating_sub(HALF_LINE)..=peak + HALF_LINE;
    let in_line = |powers: &[f64]| -> f64 {
        span.clone().map(|place| powers.get(place).map_or(0.0, |power| power - floor)).sum()
    };
    let mut each: Vec<f64> = quiet.windows.iter().map(|window| in_line(window)).collect();
    each.sort_by(f64::total_cmp);
    let (least, most) = (*each.first()?, *each.last()?);
    if least <= 0.0 || of_power(most / least) > STEADY {
        return None;
    }
    let (mut sum, mut weighed) = (0.0, 0.0);
    for place in peak.saturating_sub(2)..=peak + 2 {
        let here = powers.get(place).copied().unwrap_or(0.0);
        sum += here;
        weighed += here * place as f64;
    }
    // What a note does at the edge of a rest is heard in one window of it; what dies away, in most.
    let sounds = |window: &[f64]| -> f64 { span.clone().filter_map(|place| window.get(place)).sum() };
    let mut falls: Vec<f64> = quiet
        .windows
        .iter()
        .zip(&quiet.falls)
        .map(|(window, falls)| (sounds(falls) / sounds(window)).abs())
        .filter(|falls| falls.is_finite())
        .collect();
    falls.sort_by(f64::total_cmp);
    let falls = falls.get(falls.len().saturating_sub(1) / 2).copied().unwrap_or(0.0);
    // Noise beside the line sways it as well, the less the more windows there are.
    let noise = floor * (2 * HALF_LINE + 1) as f64 / sounds(powers);
    let sways = (noise / quiet.windows.len() as f64).sqrt();
    let anywhere = (peak.saturating_sub(1)..=peak + 1).filter_map(|place| quiet.least.get(place).copied());
    let stops = of_power(here / anywhere.fold(0.0, f64::max)) > EVERYWHERE;
    Some(Found {
        harmonic,
        hertz: weighed / sum * quiet.step,
        power: each[each.len() / 2],
        stands_out: of_power(here / floor.max(1e-20)),
        as_a_note: stops || falls > FALLS + sways,
    })
}
