//! What changes from one circuit to another, said only as far as it holds for everything that a pickup may be.

use super::Told;
use super::told::Peak;

/// The least and the most of a figure.
pub type Spread = [f64; 2];

/// A change of level that is heard, and one of frequency, as a ratio: less is not worth a word (common practice).
const HEARD_DECIBELS: f64 = 0.5;
const HEARD_RATIO: f64 = 1.03;
/// Treble that is quieter by this, and by so much more than the lows, is lost, in decibels (common practice).
const LOST_DECIBELS: f64 = 6.0;
const LOST_BESIDE_LOWS: f64 = 3.0;
/// An interval of nearly an octave is told in octaves.
const OCTAVE_FROM: f64 = 0.9;

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

/// An interval: `5 semitones`, `3 to 5 semitones`; from an octave on in half octaves, `two and a half to three octaves`.
fn interval([one, other]: Spread) -> String {
    let octaves = |ratio: f64| ratio.log2().abs();
    let both = [octaves(one).min(octaves(other)), octaves(one).max(octaves(other))];
    let (unit, [low, high]) = if both[0] < OCTAVE_FROM {
        ("semitone", both.map(|octaves| format!("{:.0}", 12.0 * octaves)))
    } else {
        ("octave", both.map(halves))
    };
    match high.as_str() {
        "1" | "one" if low == high => format!("{high} {unit}"),
        _ if low == high => format!("{high} {unit}s"),
        _ => format!("{low} to {high} {unit}s"),
    }
}

/// Octaves to the nearest half, in words.
fn halves(octaves: f64) -> String {
    const WHOLE: [&str; 8] = ["no", "one", "two", "three", "four", "five", "six", "seven"];
    let nearest = (2.0 * octaves).round() / 2.0;
    let whole = (0_u8..).zip(WHOLE).take_while(|(count, _)| f64::from(*count) <= nearest).last();
    let whole = whole.map_or("no", |(_, word)| word);
    if nearest.fract() == 0.0 { whole.to_owned() } else { format!("{whole} and a half") }
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
        words.push(format!("{} {} at 200 Hz", decibels(level), if level[0] > 0.0 { "louder" } else { "quieter" }));
    }
    let treble = spread(pairs().map(|(from, to)| to.treble.0 - from.treble.0));
    let beside_lows = |(from, to): (&Told, &Told)| (to.treble.0 - from.treble.0) - (to.level.0 - from.level.0);
    if let Some(lost) = treble
        .filter(|[_, most]| *most < -LOST_DECIBELS && pairs().map(beside_lows).all(|beside| beside < -LOST_BESIDE_LOWS))
    {
        words.push(format!("its treble {} quieter at 4 kHz", decibels(lost)));
    }
    let higher = spread(pairs().map(|(from, to)| height(to) - height(from)));
    if let Some(higher) = higher.filter(|higher| one_way(*higher, HEARD_DECIBELS)) {
        let up = higher[0] > 0.0;
        // A resonance that moved may stand higher, and the treble lower all the same.
        let heard = match treble {
            Some([least, _]) if up && least > 0.0 => ", so brighter",
            Some([_, most]) if !up && most < 0.0 => ", so milder",
            _ => "",
        };
        words.push(format!("its resonance {} {}{heard}", decibels(higher), if up { "higher" } else { "lower" }));
    }
    let moved = |of: fn(&Told) -> Option<f64>| {
        let all: Option<Vec<f64>> = pairs().map(|(from, to)| Some(of(to)? / of(from)?)).collect();
        all.and_then(|all| spread(all.into_iter()))
    };
    let higher_or_lower = |moved: Spread| if moved[0] > 1.0 { "higher" } else { "lower" };
    let apart = |[low, high]: &Spread| low.min(*high) > HEARD_RATIO || low.max(*high) < 1.0 / HEARD_RATIO;
    if let Some(moved) = moved(|told| told.peak.map(|peak| peak.hertz.0)).filter(apart) {
        words.push(format!("its resonance about {} {} in pitch", interval(moved), higher_or_lower(moved)));
    } else if let Some(moved) = moved(|told| told.falls_at.map(|at| at.0)).filter(apart) {
        words.push(format!("its highs end about {} {}", interval(moved), higher_or_lower(moved)));
    }
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::quantity::{Decibels, Hertz};

    fn told([level, treble]: [f64; 2], peak: Option<(f64, f64)>, falls: f64) -> Told {
        let peak = peak.map(|(hertz, over)| Peak { hertz: Hertz(hertz), over_low: Decibels(over) });
        Told { level: Decibels(level), treble: Decibels(treble), peak, falls_at: Some(Hertz(falls)) }
    }

    #[test]
    fn only_what_holds_for_all_is_said() {
        let high = told([0.0, 10.0], Some((4000.0, 10.0)), 6000.0);
        let low = told([-1.0, 2.0], Some((3000.0, 4.0)), 5000.0);
        for (from, to, said) in [
            (vec![high], vec![high], ""),
            (
                vec![high],
                vec![low],
                "1.0 dB quieter at 200 Hz, its treble 8 dB quieter at 4 kHz, its resonance 6 dB lower, so milder, its \
                 resonance about 5 semitones lower in pitch",
            ),
            (
                vec![low],
                vec![high],
                "1.0 dB louder at 200 Hz, its resonance 6 dB higher, so brighter, its resonance about 5 semitones higher in \
                 pitch",
            ),
            // One goes up and the other down: nothing holds.
            (vec![high, low], vec![low, high], ""),
            (
                vec![high],
                vec![told([0.0, -9.0], None, 2000.0)],
                "its treble 19 dB quieter at 4 kHz, its resonance 10 dB lower, so milder, its highs end about one and a \
                 half octaves lower",
            ),
            // A tone at zero: a little louder in the lows, and no treble.
            (
                vec![high, low],
                vec![told([1.0, -30.0], Some((700.0, 10.0)), 900.0), told([0.5, -28.0], Some((400.0, 4.0)), 700.0)],
                "1.0 to 1.5 dB louder at 200 Hz, its treble 30 to 40 dB quieter at 4 kHz, its resonance about two and a \
                 half to three octaves lower in pitch",
            ),
            // As loud in the lows, and higher where it rings, yet with less above: not brighter.
            (vec![high], vec![told([0.0, 8.0], Some((3900.0, 12.0)), 6000.0)], "its resonance 2.0 dB higher"),
            (vec![], vec![], ""),
        ] {
            assert_eq!(changes(&from, &to), said);
        }
    }
}
