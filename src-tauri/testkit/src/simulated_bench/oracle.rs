//! What a person who knew all could say of readings: which causes could have led to them at all, and whether a reading lies
//! beyond its band. Written apart from the diagnosis: no prior, only what is possible.

use std::collections::HashMap;

use solderlast_core::physics::meter::{Cause, SeenWith, WINDING, copper, every_outcome, expected};
use solderlast_core::physics::network::Seen;
use solderlast_core::record::claim::Meter;
use solderlast_core::record::quantity::{Celsius, Ohms, Reading};

use super::bench::PretendedBench;
use crate::pickups::{hooked_up, side_by_side};
use solderlast_core::physics::meter::Taken;
use solderlast_core::record::rig::Rig;

/// Coils, then a body, then a load, then a bad contact.
const VALUES: usize = 6;
const BODY: usize = 3;
const LOAD: usize = 4;
const CONTACT: usize = 5;

/// Causes that see the same in every mode.
pub struct Outcome {
    seen: Vec<SeenWith>,
    as_stated: bool,
    pub causes: Vec<Vec<Cause>>,
}

/// Every outcome on the pretended bench, for a pickup with or without stated coils.
pub fn outcomes(stated: bool) -> Vec<Outcome> {
    let pickup = side_by_side(&[stated.then_some(7000.0); 2], true);
    let mut by_seen: HashMap<(Vec<SeenWith>, bool), Vec<Vec<Cause>>> = HashMap::new();
    for (causes, seen) in every_outcome(&pickup, &hooked_up(), &Rig::four_terminal("pretended")) {
        let as_stated = !causes.contains(&Cause::NotAsStated);
        by_seen.entry((seen, as_stated)).or_default().push(causes);
    }
    by_seen.into_iter().map(|((seen, as_stated), causes)| Outcome { seen, as_stated, causes }).collect()
}

/// Every set of causes that could show, within the meter's claim, what this bench shows within the meter's claim.
pub fn possible<'a>(bench: &PretendedBench, outcomes: &'a [Outcome]) -> Vec<&'a Vec<Cause>> {
    let exact: Vec<Option<f64>> =
        bench.rig.positions.iter().map(|p| bench.exact(&super::bench::usual(p.mode.clone()))).collect();
    outcomes
        .iter()
        .filter(|outcome| outcome.causes.contains(&bench.wrong) || could_show(bench, outcome, &exact))
        .flat_map(|outcome| &outcome.causes)
        .collect()
}

/// Whether resistances in their range bring an outcome within twice the claim of exact readings: once for each reading's error.
fn could_show(bench: &PretendedBench, outcome: &Outcome, exact: &[Option<f64>]) -> bool {
    let mut numbers: Vec<(&Seen, f64, f64)> = Vec::new();
    for (with, exact) in outcome.seen.iter().zip(exact) {
        let open = matches!(with.seen, Seen::Open) || (with.range_low && !matches!(with.seen, Seen::Short));
        match (exact, open, matches!(with.seen, Seen::Short)) {
            (None, true, _) => {}
            (Some(0.0), false, true) => {}
            (Some(ohms), false, false) if *ohms > 0.0 => {
                let really = ohms / 10_f64.powi(i32::from(with.power));
                if really < 50.0 {
                    return false;
                }
                numbers.push((&with.seen, really.ln(), bench.meter.claim(Ohms(really)).0 / really));
            }
            _ => return false,
        }
    }
    if numbers.is_empty() {
        return true;
    }
    let ranges = ranges(bench, outcome.as_stated);
    best_fit(&numbers, &ranges) <= 2.0
}

/// Where the logarithm of each resistance may lie.
fn ranges(bench: &PretendedBench, as_stated: bool) -> [(f64, f64); VALUES] {
    let (cold, warm) = bench.room.map_or((10.0, 30.0), |room| (room.0, room.0));
    let mut ranges = [(500_f64.ln(), 60e3_f64.ln()); VALUES];
    for (range, coil) in ranges.iter_mut().zip(&bench.pickup.coils) {
        if let Some(stated) = coil.stated.filter(|_| as_stated) {
            *range = (
                (stated.0 * (1.0 - WINDING) * copper(Celsius(cold))).ln(),
                (stated.0 * (1.0 + WINDING) * copper(Celsius(warm))).ln(),
            );
        }
    }
    ranges[BODY] = (1e5_f64.ln(), 1e6_f64.ln());
    ranges[LOAD] = (2e5_f64.ln(), 1e6_f64.ln());
    ranges[CONTACT] = (0.0, 3e5_f64.ln());
    ranges
}

/// The least that the worst of the readings lies off, in times of the claim, over all resistances in range: a search along
/// each resistance in turn, from several starts, with ever finer steps.
fn best_fit(numbers: &[(&Seen, f64, f64)], ranges: &[(f64, f64); VALUES]) -> f64 {
    let off = |logs: &[f64; VALUES]| -> (f64, f64) {
        let values = logs.map(f64::exp);
        let each = numbers.iter().map(|(seen, log, claim)| (seen.ohms(&values).ln() - log).abs() / claim);
        let (worst, squares) = each.fold((0.0_f64, 0.0), |(worst, sum), off| (worst.max(off), sum + off * off));
        (worst, squares)
    };
    let used: Vec<usize> = (0..VALUES).filter(|at| numbers.iter().any(|(seen, ..)| seen.has(*at as u8))).collect();
    let mut best = f64::INFINITY;
    for start in [0.5, 0.15, 0.85] {
        for twist in [0.0, 0.3] {
            let mut logs: [f64; VALUES] = std::array::from_fn(|at| {
                let (low, high) = ranges[at];
                let share: f64 = if at % 2 == 0 { start + twist } else { start - twist };
                low + (high - low) * share.clamp(0.0, 1.0)
            });
            // First down the squares, which are smooth, then down the worst.
            for smooth in [true, false] {
                let value = |logs: &[f64; VALUES]| if smooth { off(logs).1 } else { off(logs).0 };
                let mut step = 0.5;
                let mut here = value(&logs);
                while step > 1e-4 {
                    let mut moved = false;
                    // Along each resistance, and along pairs of them, up and down against each other.
                    for (place, one) in used.iter().enumerate() {
                        for other in std::iter::once(None).chain(used.iter().skip(place + 1).map(Some)) {
                            for (first, second) in [(1.0, 1.0), (-1.0, -1.0), (1.0, -1.0), (-1.0, 1.0)] {
                                let mut next = logs;
                                next[*one] = (next[*one] + first * step).clamp(ranges[*one].0, ranges[*one].1);
                                if let Some(other) = other {
                                    next[*other] =
                                        (next[*other] + second * step).clamp(ranges[*other].0, ranges[*other].1);
                                }
                                let there = value(&next);
                                if there < here {
                                    (logs, here, moved) = (next, there, true);
                                }
                            }
                        }
                    }
                    if !moved {
                        step *= 0.5;
                    }
                }
            }
            best = best.min(off(&logs).0);
            if best <= 2.0 {
                return best;
            }
        }
    }
    best
}

/// Whether readings lie beyond the band of a good hookup: of what is stated, or, where nothing is, of any coils at all.
pub fn beyond_the_band(bench: &PretendedBench, taken: &[Taken]) -> bool {
    let expected = expected(&bench.pickup, &bench.joined, &bench.rig, &bench.meter, bench.room);
    let mut read = Vec::new();
    for (taken, expected) in taken.iter().zip(&expected) {
        let Reading::Ohms(Ohms(ohms)) = taken.reading else { return true };
        if ohms < 100.0 {
            return true;
        }
        if let (Some(low), Some(high)) = (expected.low, expected.high)
            && !(low.0..=high.0).contains(&ohms)
        {
            return true;
        }
        read.push(ohms);
    }
    !some_coils_fit(&read, &bench.meter)
}

/// Whether two coils read parallel, single and series like this within the claim: for each first coil that fits single, the
/// second must fit both others.
fn some_coils_fit(read: &[f64], meter: &Meter) -> bool {
    let [parallel, single, series] = read else { return true };
    let band = |ohms: f64| {
        let claim = meter.claim(Ohms(ohms)).0;
        (ohms - claim, ohms + claim)
    };
    let ((p_low, p_high), (a_low, a_high), (s_low, s_high)) = (band(*parallel), band(*single), band(*series));
    (0..=2000).any(|step| {
        let a = a_low + (a_high - a_low) * f64::from(step) / 2000.0;
        // B in series, and B from 1/B = 1/P − 1/A; a parallel at or above A leaves no upper end.
        let over = |p: f64| if p < a { 1.0 / (1.0 / p - 1.0 / a) } else { f64::INFINITY };
        let low = (s_low - a).max(over(p_low)).max(0.0);
        let high = (s_high - a).min(over(p_high));
        low <= high && high > 0.0
    })
}
