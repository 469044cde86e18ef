//! What changes from one circuit to another, said only as far as it holds for everything that a pickup may be.

use super::Told;
use super::told::Peak;

/// The least and the most of a figure.
pub type Spread = [f64; 2];

/// A change of level that is heard, and one of frequency, as a ratio: less is not worth a word (common practice).
const HEARD_DECIBELS: f64 = 0.5;
const HEARD_RATIO: f64 = 1.03;

fn spread(of: impl Iterator<Item = f64>) -> Option<Spread> {
    let all: Vec<f64> = of.collect();
    (!all.is_empty() && all.iter().all(|one| one.is_finite())).then(|| {
        [all.iter().copied().fold(f64::INFINITY, f64::min), all.iter().copied().fold(f64::NEG_INFINITY, f64::max)]
    })
}

/// How high a curve stands at its resonance above its level at 200 Hz; zero where it has none.
fn height(told: &Told) -> f64 {
    told.peak.map_or(0.0, |peak: Peak| peak.over_low.0)
}

/// `3 dB`, `3 to 5 dB`.
fn decibels([one, other]: Spread) -> String {
    let (low, high) = (one.abs().min(other.abs()), one.abs().max(other.abs()));
    let places = usize::from(high < 3.0);
    let [low, high] = [low, high].map(|db| format!("{db:.places$}"));
    if low == high { format!("{low} dB") } else { format!("{low} to {high} dB") }
}

/// `12 %`, `12 to 20 %`.
fn share([one, other]: Spread) -> String {
    let off = |ratio: f64| 100.0 * (ratio - 1.0).abs();
    let [low, high] = [off(one).min(off(other)), off(one).max(off(other))].map(|part| format!("{part:.0}"));
    if low == high { format!("{low} %") } else { format!("{low} to {high} %") }
}

/// What changes from the first circuit to the second, in one sentence: for every pickup of both lists, which stand in one order.
/// A difference that goes one way for one of them and the other way for another is left out.
#[must_use]
pub fn changes(from: &[Told], to: &[Told]) -> String {
    let pairs = || from.iter().zip(to);
    let one_way = |[low, high]: Spread, least: f64| low.min(high) > least || low.max(high) < -least;
    let mut words: Vec<String> = Vec::new();
    let level = spread(pairs().map(|(from, to)| to.level.0 - from.level.0));
    if let Some(level) = level.filter(|level| one_way(*level, HEARD_DECIBELS)) {
        words.push(format!("{} {}", decibels(level), if level[0] > 0.0 { "louder" } else { "quieter" }));
    }
    let higher = spread(pairs().map(|(from, to)| height(to) - height(from)));
    if let Some(higher) = higher.filter(|higher| one_way(*higher, HEARD_DECIBELS)) {
        words.push(format!(
            "its resonance {} {}",
            decibels(higher),
            if higher[0] > 0.0 { "higher, so brighter" } else { "lower, so milder" }
        ));
    }
    let moved = |of: fn(&Told) -> Option<f64>| {
        let all: Option<Vec<f64>> = pairs().map(|(from, to)| Some(of(to)? / of(from)?)).collect();
        all.and_then(|all| spread(all.into_iter()))
    };
    let apart = |[low, high]: &Spread| low.min(*high) > HEARD_RATIO || low.max(*high) < 1.0 / HEARD_RATIO;
    if let Some(moved) = moved(|told| told.peak.map(|peak| peak.hertz.0)).filter(apart) {
        words.push(format!("its resonance {} {} in pitch", share(moved), if moved[0] > 1.0 { "up" } else { "down" }));
    } else if let Some(moved) = moved(|told| told.falls_at.map(|at| at.0)).filter(apart) {
        let further = if moved[0] > 1.0 { "further up" } else { "lower down" };
        words.push(format!("its highs end {} {further}", share(moved)));
    }
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::quantity::{Decibels, Hertz};

    fn told(level: f64, peak: Option<(f64, f64)>, falls: f64) -> Told {
        let peak = peak.map(|(hertz, over)| Peak { hertz: Hertz(hertz), over_low: Decibels(over) });
        Told { level: Decibels(level), peak, falls_at: Some(Hertz(falls)) }
    }

    #[test]
    fn only_what_holds_for_all_is_said() {
        let high = told(0.0, Some((4000.0, 10.0)), 6000.0);
        let low = told(-1.0, Some((3000.0, 4.0)), 5000.0);
        for (from, to, said) in [
            (vec![high], vec![high], ""),
            (
                vec![high],
                vec![low],
                "1.0 dB quieter, its resonance 6 dB lower, so milder, its resonance 25 % down in pitch",
            ),
            (
                vec![low],
                vec![high],
                "1.0 dB louder, its resonance 6 dB higher, so brighter, its resonance 33 % up in pitch",
            ),
            // One goes up and the other down: nothing holds.
            (vec![high, low], vec![low, high], ""),
            (
                vec![high],
                vec![told(0.0, None, 2000.0)],
                "its resonance 10 dB lower, so milder, its highs end 67 % lower down",
            ),
            (vec![], vec![], ""),
        ] {
            assert_eq!(changes(&from, &to), said);
        }
    }
}
