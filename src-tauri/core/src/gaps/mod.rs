//! Gaps between a pickup and the strings: where to start, how near is too near, and the turns of the studs that change
//! them.

mod levels;
mod moves;

use serde::{Deserialize, Serialize};
use ts_rs::TS;

pub use levels::{LevelLaw, LevelReading, LevelsView, levels_view};
pub use moves::{Moves, StudMove, moves};

use crate::pickup::Construction;
use crate::quantity::{Length, LengthUnit, Millimetres};
use crate::words::capital;

/// Gaps that differ by no more than this are the same
/// for a fair comparison (common practice).
pub const FAIR: Millimetres = Millimetres(0.2);
/// The largest gap that still says anything about a pickup.
const LARGEST: f64 = 20.0;
/// Farther from the saddle than this part of the scale, a place counts as a neck place.
const NECK_FROM: f64 = 0.2;
/// How much farther the starting range lies at a neck place, in millimetres (common practice): strings swing wider there
/// and magnets pull them more.
const NECK_FARTHER: f64 = 0.3;
/// This much nearer than the starting range, magnets are likely to pull the strings, in millimetres (common practice).
const PULLS_BELOW: f64 = 0.5;
/// This many times the largest starting gap, nothing can be judged any more (common practice).
const NOTHING_BEYOND: f64 = 2.5;

/// Where to start, in millimetres, by construction and place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct StartingGaps {
    /// Smallest and largest at the bass side.
    pub bass: [Length; 2],
    /// Smallest and largest at the treble side.
    pub treble: [Length; 2],
    /// Why not nearer, in a sentence.
    pub reason: String,
    /// Where the range is from.
    pub source: String,
}

/// What the starting range hangs on: how the pickup is built, and whether it is at a neck place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Under {
    /// How the pickup is built.
    pub construction: Construction,
    /// Whether it is at a neck place.
    pub neck: bool,
}

/// How a gap compares with its starting range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum GapIs {
    /// Nearer than the range.
    Near,
    /// Within it.
    Within,
    /// Farther than the range.
    Far,
}

/// How far a gap is from where anything can be judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, TS)]
#[serde(rename_all = "snake_case")]
#[ts(export_to = "contract.ts")]
pub enum Reach {
    /// So near that the magnets are likely to pull the strings.
    Pulls,
    /// Where a pickup can be judged.
    Fine,
    /// So far that nothing can be judged.
    TooFar,
}

impl Under {
    /// A pickup of this construction at `place` on a string of `scale`, both in millimetres.
    #[must_use]
    pub fn at(construction: Construction, place: Millimetres, scale: Millimetres) -> Self {
        Self { construction, neck: scale.0 > 0.0 && place.0 / scale.0 > NECK_FROM }
    }

    /// The starting range at the bass and at the treble side, in millimetres (common practice, no source).
    fn range(self) -> [[f64; 2]; 2] {
        let range = match self.construction {
            Construction::SingleCoil | Construction::Stacked | Construction::SoapBar | Construction::TappedCoil => {
                [[2.0, 3.2], [1.6, 2.4]]
            }
            Construction::SideBySide | Construction::Rail | Construction::Mini => [[1.6, 2.8], [1.2, 2.4]],
        };
        let farther = if self.neck { NECK_FARTHER } else { 0.0 };
        range.map(|side| side.map(|gap| gap + farther))
    }

    fn side(self, bass_side: bool) -> [f64; 2] {
        let [bass, treble] = self.range();
        if bass_side { bass } else { treble }
    }

    /// The starting range.
    #[must_use]
    pub fn starting(self) -> StartingGaps {
        let [bass, treble] = self.range();
        let lengths = |[low, high]: [f64; 2]| [Length::from(Millimetres(low)), Length::from(Millimetres(high))];
        let reason = "Nearer is louder, but magnets that are too near pull the strings: they warble, sound out of tune and \
                      die early, the wound strings first.";
        let place = if self.neck {
            " At a neck place strings swing wider and are pulled more, so the range lies a little farther away."
        } else {
            ""
        };
        StartingGaps {
            bass: lengths(bass),
            treble: lengths(treble),
            reason: format!("{reason}{place}"),
            source: "Common practice; a place to start, not a rule.".to_owned(),
        }
    }

    /// The middle of the starting range: bass, treble.
    #[must_use]
    pub fn middle(self) -> [Millimetres; 2] {
        self.range().map(|[low, high]| Millimetres((low + high) / 2.0))
    }

    /// How a gap at the bass or treble side compares with the starting range.
    #[must_use]
    pub fn compare(self, bass_side: bool, gap: Millimetres) -> GapIs {
        let [low, high] = self.side(bass_side);
        beside(gap, Millimetres(low), Millimetres(high))
    }

    /// Whether anything can be judged at these gaps, bass and treble side: the worse of the two sides.
    #[must_use]
    pub fn reach(self, gaps: [Millimetres; 2]) -> Reach {
        let sides = [(true, gaps[0].0), (false, gaps[1].0)];
        let is = |test: fn(f64, [f64; 2]) -> bool| sides.iter().any(|(bass, gap)| test(*gap, self.side(*bass)));
        if is(|gap, [low, _]| gap < low - PULLS_BELOW - 1e-9) {
            Reach::Pulls
        } else if is(|gap, [_, high]| gap > high * NOTHING_BEYOND + 1e-9) {
            Reach::TooFar
        } else {
            Reach::Fine
        }
    }
}

/// How a gap compares with a range.
#[must_use]
pub fn beside(gap: Millimetres, low: Millimetres, high: Millimetres) -> GapIs {
    // A gap is read to a tenth of a millimetre at best.
    if gap.0 < low.0 - 0.05 {
        GapIs::Near
    } else if gap.0 > high.0 + 0.05 {
        GapIs::Far
    } else {
        GapIs::Within
    }
}

/// Whether this can be a gap at all.
///
/// # Errors
/// A sentence, when it is zero or below, or so large that nothing could be judged.
pub fn possible(gap: Millimetres) -> Result<(), String> {
    if gap.0 <= 0.0 {
        Err("A gap of zero touches the string. Measure from the pole top to the string.".to_owned())
    } else if gap.0 > LARGEST {
        Err(format!("At more than {LARGEST} mm hardly anything is heard. Check the unit."))
    } else {
        Ok(())
    }
}

/// Two auditions' gaps beside each other.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct Fairness {
    /// Whether they are the same within the fair limit, measured the same way.
    pub fair: bool,
    /// What it comes to, in a sentence.
    pub sentence: String,
}

/// Whether two pairs of gaps, each with the fret at which the strings were pressed, make a fair comparison.
#[must_use]
pub fn fairness(
    one: [Millimetres; 2],
    pressed: Option<u8>,
    other: [Millimetres; 2],
    other_pressed: Option<u8>,
) -> Fairness {
    let shown = |length: f64| Millimetres(length.abs()).shown(LengthUnit::Millimetre);
    let apart = [one[0].0 - other[0].0, one[1].0 - other[1].0];
    let limit = FAIR.shown(LengthUnit::Millimetre);
    let over: Vec<String> = ["bass", "treble"]
        .iter()
        .zip(apart)
        .filter(|(_, apart)| apart.abs() > FAIR.0 + 1e-9)
        .map(|(side, apart)| {
            let way = if apart > 0.0 { "farther" } else { "nearer" };
            format!("{} {way} at the {side} side", shown(apart))
        })
        .collect();
    if !over.is_empty() {
        return Fairness {
            fair: false,
            sentence: format!(
                "{} than the other: more than {limit} apart, so not a fair comparison yet.",
                capital(&over.join(", "))
            ),
        };
    }
    if pressed != other_pressed {
        let how =
            |pressed: Option<u8>| pressed.map_or_else(|| "open".to_owned(), |fret| format!("pressed at fret {fret}"));
        return Fairness {
            fair: false,
            sentence: format!(
                "The numbers are the same, but the strings were {} here and {} there. Measure both alike.",
                how(pressed),
                how(other_pressed)
            ),
        };
    }
    Fairness { fair: true, sentence: format!("The same gaps within {limit}: a fair comparison.") }
}

/// One string's gap between the outer ones.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, TS)]
#[ts(export_to = "contract.ts")]
pub struct StringGap {
    /// Its note.
    pub note: String,
    /// Its gap.
    pub gap: Length,
    /// "0.4 mm nearer than a straight line from the bass to the treble gap".
    pub words: String,
}

/// Gaps of the strings between the outer ones, beside a straight line from the bass to the treble gap. Nothing for a
/// string that was not measured.
#[must_use]
pub fn between(
    notes: &[String],
    bass: Millimetres,
    treble: Millimetres,
    gaps: &[Option<Millimetres>],
) -> Vec<StringGap> {
    let steps = gaps.len() as f64 + 1.0;
    gaps.iter()
        .enumerate()
        .filter_map(|(index, gap)| {
            let gap = (*gap)?;
            let on_line = bass.0 + (treble.0 - bass.0) * (index as f64 + 1.0) / steps;
            let apart = gap.0 - on_line;
            let words = if apart.abs() < 0.05 {
                "on a straight line from the bass to the treble gap".to_owned()
            } else {
                let way = if apart > 0.0 { "farther" } else { "nearer" };
                let much = Millimetres(apart.abs()).shown(LengthUnit::Millimetre);
                format!("{much} {way} than a straight line from the bass to the treble gap")
            };
            Some(StringGap { note: notes.get(index + 1).cloned().unwrap_or_default(), gap: gap.into(), words })
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const SINGLE: Under = Under { construction: Construction::SingleCoil, neck: false };

    #[test]
    fn gaps_beside_their_range() {
        for (gap, bass_side, is) in [(1.9, true, GapIs::Near), (2.0, true, GapIs::Within), (2.5, false, GapIs::Far)] {
            assert_eq!(SINGLE.compare(bass_side, Millimetres(gap)), is, "{gap}");
        }
        assert!(possible(Millimetres(0.0)).is_err() && possible(Millimetres(-1.0)).is_err());
        assert!(possible(Millimetres(25.0)).is_err() && possible(Millimetres(2.4)).is_ok());
    }

    #[test]
    fn a_neck_place_starts_farther_away() {
        let at = |place: f64| Under::at(Construction::SideBySide, Millimetres(place), Millimetres(648.0));
        assert!(at(162.0).neck && !at(99.0).neck && !at(41.0).neck);
        assert!((at(162.0).middle()[0].0 - at(41.0).middle()[0].0 - NECK_FARTHER).abs() < 1e-9);
        assert!(at(162.0).starting().reason.contains("neck place"));
    }

    #[test]
    fn too_near_and_too_far() {
        let neck = Under { neck: true, ..SINGLE };
        for (under, bass, treble, reach) in [
            (SINGLE, 1.5, 1.1, Reach::Fine),
            (SINGLE, 1.4, 2.0, Reach::Pulls),
            (SINGLE, 2.4, 1.0, Reach::Pulls),
            (neck, 1.5, 1.6, Reach::Pulls),
            (SINGLE, 8.0, 6.0, Reach::Fine),
            (SINGLE, 8.1, 2.0, Reach::TooFar),
            (SINGLE, 2.0, 6.1, Reach::TooFar),
        ] {
            assert_eq!(under.reach([Millimetres(bass), Millimetres(treble)]), reach, "{bass} {treble}");
        }
    }

    #[test]
    fn fair_comparisons() {
        let mm = |gaps: [f64; 2]| gaps.map(Millimetres);
        for (one, other, pressed, fair, part) in [
            ([2.6, 2.0], [2.6, 2.0], (Some(22), Some(22)), true, "within 0.2 mm"),
            ([2.6, 2.0], [2.4, 1.8], (None, None), true, "a fair comparison"),
            ([2.6, 2.0], [2.3, 2.0], (None, None), false, "0.3 mm farther at the bass side"),
            (
                [2.0, 1.6],
                [2.6, 2.0],
                (None, None),
                false,
                "0.6 mm nearer at the bass side, 0.4 mm nearer at the treble side",
            ),
            ([2.6, 2.0], [2.6, 2.0], (Some(22), None), false, "Measure both alike"),
        ] {
            let said = fairness(mm(one), pressed.0, mm(other), pressed.1);
            assert_eq!(said.fair, fair, "{one:?} {other:?}");
            assert!(said.sentence.to_lowercase().contains(&part.to_lowercase()), "{}", said.sentence);
        }
    }

    #[test]
    fn strings_between_the_outer_ones() {
        let notes = ["E2", "A2", "D3", "G3", "B3", "E4"].map(str::to_owned);
        let gaps = [Some(Millimetres(2.5)), None, Some(Millimetres(1.9)), Some(Millimetres(2.32))];
        let said = between(&notes, Millimetres(2.7), Millimetres(2.2), &gaps);
        assert_eq!(said.iter().map(|s| s.note.as_str()).collect::<Vec<_>>(), ["A2", "G3", "B3"]);
        assert!(said[0].words.starts_with("0.1 mm nearer"), "{}", said[0].words);
        assert!(said[1].words.starts_with("0.5 mm nearer"), "{}", said[1].words);
        assert!(said[2].words.starts_with("on a straight line"), "{}", said[2].words);
    }
}
